//! The shape of a plan document.

use workshop::documents::plan::*;

use super::facts::{read_pour, write_pour};
use super::json::{Json, list, object};
use super::node::Node;

const FORMAT: &str = "mouldboard-plan/1";
/// The figures that may lead, by name.
pub const LATE_FIGURES: [(&str, LateFigure); 2] =
    [("order_days_late", LateFigure::OrderDaysLate), ("panel_days_late", LateFigure::PanelDaysLate)];

pub(super) fn read(node: &Node) -> Plan {
    node.object(|f| {
        f.required("format", |node| node.exactly(FORMAT));
        Plan {
            pours: f.list("pours", read_pour),
            strips: f.list("strips", read_strip),
            lifts: f.list("lifts", read_lift),
            batches: f.list("batches", |node| {
                node.object(|f| Batches {
                    day: f.day("day"),
                    mix: f.text("mix"),
                    litres: f.list("litres", Node::number),
                })
            }),
            deliveries: f.list("deliveries", |node| {
                node.object(|f| Delivery {
                    arrives: f.day("arrives"),
                    material: f.text("material"),
                    packs: f.whole("packs"),
                })
            }),
            orders: f.list("orders", read_order),
            figures: f.required("figures", read_figures),
            proof: f.optional("proof").map(|node| read_proof(&node)),
        }
    })
}

fn read_strip(node: &Node) -> Strip {
    node.object(|f| Strip {
        day: f.day("day"),
        panel: f.text("panel"),
        mix: f.text("mix"),
        quantity: f.whole("quantity"),
        tank: f.optional_text("tank"),
    })
}

fn read_lift(node: &Node) -> Lift {
    node.object(|f| Lift {
        day: f.day("day"),
        panel: f.text("panel"),
        mix: f.text("mix"),
        quantity: f.whole("quantity"),
        tank: f.optional_text("tank"),
        rack: f.optional_text("rack"),
    })
}

fn read_order(node: &Node) -> OrderResult {
    node.object(|f| OrderResult {
        id: f.text("id"),
        ready_on: f.optional("ready_on").map(|node| node.day()),
        met: f.list("met", |node| {
            node.object(|f| Met {
                panel: f.text("panel"),
                finish: f.text("finish"),
                day: f.day("day"),
                quantity: f.whole("quantity"),
            })
        }),
    })
}

fn read_figures(node: &Node) -> Figures {
    node.object(|f| Figures {
        order_days_late: f.number("order_days_late"),
        panel_days_late: f.number("panel_days_late"),
        material_cost: f.whole("material_cost"),
        changes: f.whole("changes"),
    })
}

fn read_proof(node: &Node) -> Proof {
    node.object(|f| Proof {
        figure: f.optional("figure").map_or(LateFigure::OrderDaysLate, |node| node.word(&LATE_FIGURES)),
        bound: f.number("bound"),
        gap: f.number("gap"),
        seconds: f.number("seconds"),
        ended: f.text("ended"),
        way: f.optional_text("way").unwrap_or_default(),
    })
}

pub(super) fn write(plan: &Plan) -> Json {
    object([
        ("format", FORMAT.into()),
        ("pours", list(&plan.pours, write_pour)),
        ("strips", list(&plan.strips, write_strip)),
        ("lifts", list(&plan.lifts, write_lift)),
        ("batches", list(&plan.batches, write_batches)),
        ("deliveries", list(&plan.deliveries, write_delivery)),
        ("orders", list(&plan.orders, write_order)),
        ("figures", write_figures(&plan.figures)),
    ])
    .and("proof", plan.proof.as_ref().map(write_proof))
}

fn write_strip(strip: &Strip) -> Json {
    object([
        ("day", strip.day.into()),
        ("panel", (&strip.panel).into()),
        ("mix", (&strip.mix).into()),
        ("quantity", strip.quantity.into()),
        ("tank", (&strip.tank).into()),
    ])
}

fn write_lift(lift: &Lift) -> Json {
    object([
        ("day", lift.day.into()),
        ("panel", (&lift.panel).into()),
        ("mix", (&lift.mix).into()),
        ("quantity", lift.quantity.into()),
        ("tank", (&lift.tank).into()),
        ("rack", (&lift.rack).into()),
    ])
}

fn write_batches(batches: &Batches) -> Json {
    object([
        ("day", batches.day.into()),
        ("mix", (&batches.mix).into()),
        ("litres", list(&batches.litres, |litres| (*litres).into())),
    ])
}

fn write_delivery(delivery: &Delivery) -> Json {
    object([
        ("arrives", delivery.arrives.into()),
        ("material", (&delivery.material).into()),
        ("packs", delivery.packs.into()),
    ])
}

fn write_order(order: &OrderResult) -> Json {
    let met = |met: &Met| {
        object([
            ("panel", (&met.panel).into()),
            ("finish", (&met.finish).into()),
            ("day", met.day.into()),
            ("quantity", met.quantity.into()),
        ])
    };
    object([
        ("id", (&order.id).into()),
        ("ready_on", order.ready_on.map_or(Json::Null, Json::from)),
        ("met", list(&order.met, met)),
    ])
}

fn write_figures(figures: &Figures) -> Json {
    object([
        ("order_days_late", figures.order_days_late.into()),
        ("panel_days_late", figures.panel_days_late.into()),
        ("material_cost", figures.material_cost.into()),
        ("changes", figures.changes.into()),
    ])
}

fn write_proof(proof: &Proof) -> Json {
    let word = LATE_FIGURES.iter().find(|(_, figure)| *figure == proof.figure).map_or("", |(word, _)| *word);
    object([
        ("figure", word.into()),
        ("bound", proof.bound.into()),
        ("gap", proof.gap.into()),
        ("seconds", proof.seconds.into()),
        ("ended", (&proof.ended).into()),
        ("way", (&proof.way).into()),
    ])
}
