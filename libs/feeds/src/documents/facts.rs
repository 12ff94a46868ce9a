//! The shape of a facts document.

use chrono::NaiveDate as Day;
use workshop::documents::facts::*;

use super::json::{Json, list, object};
use super::node::Node;

const FORMAT: &str = "mouldboard-facts/1";
const STAGES: [(&str, Stage); 3] =
    [("in_mould", Stage::InMould), ("soaking", Stage::Soaking), ("drying", Stage::Drying)];

pub(super) fn read(node: &Node) -> Facts {
    node.object(|f| {
        f.required("format", |node| node.exactly(FORMAT));
        Facts {
            name: f.optional_text("name"),
            first_day: f.day("first_day"),
            last_day: f.day("last_day"),
            working_days: f.list("working_days", Node::day).into_iter().collect(),
            labour_minutes: f.required("labour_minutes", |node| Read(Some(read_labour(node)))).0.unwrap_or(NO_LABOUR),
            mixer_batches: f.whole("mixer_batches"),
            materials: f.list("materials", read_material),
            mixes: f.list("mixes", read_mix),
            mould_groups: f.list("mould_groups", read_group),
            panels: f.list("panels", read_panel),
            tanks: f.list("tanks", read_room),
            racks: f.list("racks", read_room),
            ready_stock: f.optional_list("ready_stock", read_stock),
            lots: f.optional_list("lots", read_lot),
            pinned: f.optional_list("pinned", read_pour),
            orders: f.list("orders", read_order),
            published: f.optional_list("published", read_pour),
            policy: f.required("policy", |node| Read(Some(read_policy(node)))).0.unwrap_or(NO_POLICY),
        }
    })
}

/// A part that has no default of its own: none was read.
struct Read<T>(Option<T>);

impl<T> Default for Read<T> {
    fn default() -> Self {
        Read(None)
    }
}

const NO_LABOUR: Labour = Labour { usual: 0.0, on: std::collections::BTreeMap::new() };
const NO_POLICY: Policy = Policy { unmet_days: 0, steady_days: 0, late_price: 0.0, seconds: 0.0, threads: 1, seed: 0 };

fn read_labour(node: &Node) -> Labour {
    node.object(|f| Labour {
        usual: f.number("usual"),
        on: f.optional("on").map(|node| node.map(Node::day_key, Node::number)).unwrap_or_default(),
    })
}

fn read_material(node: &Node) -> Material {
    node.object(|f| Material {
        id: f.text("id"),
        on_hand: f.number("on_hand"),
        floor: f.number("floor"),
        pack: f.number("pack"),
        pack_price: f.number("pack_price"),
        lead_days: f.whole("lead_days"),
        delivery_charge: f.number("delivery_charge"),
        store_max: f.optional("store_max").map(|node| node.number()),
        price_breaks: f.optional_list("price_breaks", |node| {
            node.object(|f| PriceBreak { from_packs: f.whole("from_packs"), pack_price: f.number("pack_price") })
        }),
        expected: f.optional_list("expected", |node| {
            node.object(|f| Expected { day: f.day("day"), quantity: f.number("quantity") })
        }),
        unit: f.optional_text("unit"),
    })
}

fn read_mix(node: &Node) -> Mix {
    node.object(|f| Mix {
        id: f.text("id"),
        finish: f.text("finish"),
        per_litre: f.required("per_litre", |node| node.map(Node::id_key, Node::number)),
        batch_litres_min: f.number("batch_litres_min"),
        batch_litres_max: f.number("batch_litres_max"),
        batch_minutes: f.number("batch_minutes"),
        washout_litres: f.number("washout_litres"),
        washout_minutes: f.number("washout_minutes"),
        washout_price: f.optional("washout_price").map_or(0.0, |node| node.number()),
        washout_price_on: f
            .optional("washout_price_on")
            .map(|node| node.map(Node::day_key, Node::number))
            .unwrap_or_default(),
        hold_days: f.whole("hold_days"),
        hold_days_on: f.optional("hold_days_on").map(|node| node.map(Node::day_key, Node::whole)).unwrap_or_default(),
        soak_days: f.whole("soak_days"),
        dry_days: f.whole("dry_days"),
        not_on: f.optional_list("not_on", Node::day).into_iter().collect(),
    })
}

fn read_group(node: &Node) -> MouldGroup {
    node.object(|f| MouldGroup {
        id: f.text("id"),
        moulds: f.whole("moulds"),
        turnaround_days: f.whole("turnaround_days"),
        out_of_service: f.optional_list("out_of_service", |node| {
            node.object(|f| OutOfService { from: f.day("from"), to: f.day("to"), moulds: f.whole("moulds") })
        }),
    })
}

fn read_panel(node: &Node) -> Panel {
    node.object(|f| Panel {
        id: f.text("id"),
        mould_group: f.text("mould_group"),
        litres: f.number("litres"),
        tank_mm: f.number("tank_mm"),
        rack_mm: f.number("rack_mm"),
        pour_minutes: f.number("pour_minutes"),
        strip_minutes: f.number("strip_minutes"),
        lift_minutes: f.number("lift_minutes"),
        mixes: f.list("mixes", Node::text),
        tanks: f.optional("tanks").map(|node| node.list(Node::text)),
        per_panel: f.optional("per_panel").map(|node| node.map(Node::id_key, Node::number)).unwrap_or_default(),
        pass_rate: f.optional("pass_rate").map(|node| node.number()),
        keep_price: f.optional("keep_price").map_or(0.0, |node| node.number()),
    })
}

fn read_room(node: &Node) -> Room {
    node.object(|f| Room { id: f.text("id"), mm: f.number("mm") })
}

fn read_stock(node: &Node) -> ReadyStock {
    node.object(|f| ReadyStock { panel: f.text("panel"), finish: f.text("finish"), quantity: f.whole("quantity") })
}

fn read_lot(node: &Node) -> Lot {
    node.object(|f| Lot {
        panel: f.text("panel"),
        mix: f.text("mix"),
        stage: f.required("stage", |node| Read(Some(node.word(&STAGES)))).0.unwrap_or(Stage::InMould),
        since: f.day("since"),
        quantity: f.whole("quantity"),
        tank: f.optional_text("tank"),
        rack: f.optional_text("rack"),
        soaked_on: f.optional_day("soaked_on"),
    })
}

pub(super) fn read_pour(node: &Node) -> Pour {
    node.object(|f| Pour {
        day: f.day("day"),
        panel: f.text("panel"),
        mix: f.text("mix"),
        quantity: f.whole("quantity"),
    })
}

fn read_order(node: &Node) -> Order {
    node.object(|f| Order {
        id: f.text("id"),
        due_on: f.day("due_on"),
        weight: f.number("weight"),
        lines: f.list("lines", |node| {
            node.object(|f| OrderLine {
                panel: f.text("panel"),
                finish: f.text("finish"),
                quantity: f.whole("quantity"),
            })
        }),
    })
}

fn read_policy(node: &Node) -> Policy {
    node.object(|f| Policy {
        unmet_days: f.whole("unmet_days"),
        steady_days: f.whole("steady_days"),
        late_price: f.number("late_price"),
        seconds: f.number("seconds"),
        threads: f.whole("threads"),
        seed: f.whole("seed"),
    })
}

pub(super) fn write(facts: &Facts) -> Json {
    let name = facts.name.as_ref().map(Json::from);
    object([("format", FORMAT.into())])
        .and("name", name)
        .and("first_day", Some(facts.first_day.into()))
        .and("last_day", Some(facts.last_day.into()))
        .and("working_days", Some(days(&facts.working_days)))
        .and("labour_minutes", Some(write_labour(&facts.labour_minutes)))
        .and("mixer_batches", Some(facts.mixer_batches.into()))
        .and("materials", Some(list(&facts.materials, write_material)))
        .and("mixes", Some(list(&facts.mixes, write_mix)))
        .and("mould_groups", Some(list(&facts.mould_groups, write_group)))
        .and("panels", Some(list(&facts.panels, write_panel)))
        .and("tanks", Some(list(&facts.tanks, write_room)))
        .and("racks", Some(list(&facts.racks, write_room)))
        .and("ready_stock", Some(list(&facts.ready_stock, write_stock)))
        .and("lots", Some(list(&facts.lots, write_lot)))
        .and("pinned", Some(list(&facts.pinned, write_pour)))
        .and("orders", Some(list(&facts.orders, write_order)))
        .and("published", Some(list(&facts.published, write_pour)))
        .and("policy", Some(write_policy(&facts.policy)))
}

fn days<'a>(days: impl IntoIterator<Item = &'a Day>) -> Json {
    list(days, |day| (*day).into())
}

fn write_labour(labour: &Labour) -> Json {
    object([("usual", labour.usual.into())]).and_unless_empty("on", (&labour.on).into())
}

fn write_material(material: &Material) -> Json {
    let price_break =
        |b: &PriceBreak| object([("from_packs", b.from_packs.into()), ("pack_price", b.pack_price.into())]);
    let expected = |e: &Expected| object([("day", e.day.into()), ("quantity", e.quantity.into())]);
    object([
        ("id", (&material.id).into()),
        ("on_hand", material.on_hand.into()),
        ("floor", material.floor.into()),
        ("pack", material.pack.into()),
        ("pack_price", material.pack_price.into()),
        ("lead_days", material.lead_days.into()),
        ("delivery_charge", material.delivery_charge.into()),
    ])
    .and("store_max", material.store_max.map(Json::from))
    .and_unless_empty("price_breaks", list(&material.price_breaks, price_break))
    .and_unless_empty("expected", list(&material.expected, expected))
    .and("unit", material.unit.as_deref().map(Json::from))
}

fn write_mix(mix: &Mix) -> Json {
    object([
        ("id", (&mix.id).into()),
        ("finish", (&mix.finish).into()),
        ("per_litre", (&mix.per_litre).into()),
        ("batch_litres_min", mix.batch_litres_min.into()),
        ("batch_litres_max", mix.batch_litres_max.into()),
        ("batch_minutes", mix.batch_minutes.into()),
        ("washout_litres", mix.washout_litres.into()),
        ("washout_minutes", mix.washout_minutes.into()),
        ("hold_days", mix.hold_days.into()),
        ("soak_days", mix.soak_days.into()),
        ("dry_days", mix.dry_days.into()),
    ])
    .and("washout_price", unless_nothing(mix.washout_price))
    .and_unless_empty("washout_price_on", (&mix.washout_price_on).into())
    .and_unless_empty("hold_days_on", (&mix.hold_days_on).into())
    .and_unless_empty("not_on", days(&mix.not_on))
}

fn write_group(group: &MouldGroup) -> Json {
    let out = |o: &OutOfService| object([("from", o.from.into()), ("to", o.to.into()), ("moulds", o.moulds.into())]);
    object([
        ("id", (&group.id).into()),
        ("moulds", group.moulds.into()),
        ("turnaround_days", group.turnaround_days.into()),
    ])
    .and_unless_empty("out_of_service", list(&group.out_of_service, out))
}

fn write_panel(panel: &Panel) -> Json {
    object([
        ("id", (&panel.id).into()),
        ("mould_group", (&panel.mould_group).into()),
        ("litres", panel.litres.into()),
        ("tank_mm", panel.tank_mm.into()),
        ("rack_mm", panel.rack_mm.into()),
        ("pour_minutes", panel.pour_minutes.into()),
        ("strip_minutes", panel.strip_minutes.into()),
        ("lift_minutes", panel.lift_minutes.into()),
        ("mixes", list(&panel.mixes, Json::from)),
    ])
    .and("tanks", panel.tanks.as_ref().map(|tanks| list(tanks, Json::from)))
    .and_unless_empty("per_panel", (&panel.per_panel).into())
    .and("pass_rate", panel.pass_rate.map(Json::from))
    .and("keep_price", unless_nothing(panel.keep_price))
}

/// A price, left out where there is none.
fn unless_nothing(price: f64) -> Option<Json> {
    (price != 0.0).then(|| price.into())
}

fn write_room(room: &Room) -> Json {
    object([("id", (&room.id).into()), ("mm", room.mm.into())])
}

fn write_stock(stock: &ReadyStock) -> Json {
    object([("panel", (&stock.panel).into()), ("finish", (&stock.finish).into()), ("quantity", stock.quantity.into())])
}

fn write_lot(lot: &Lot) -> Json {
    let word = STAGES.iter().find(|(_, stage)| *stage == lot.stage).map_or("", |(word, _)| *word);
    object([
        ("panel", (&lot.panel).into()),
        ("mix", (&lot.mix).into()),
        ("stage", word.into()),
        ("since", lot.since.into()),
        ("quantity", lot.quantity.into()),
    ])
    .and("tank", lot.tank.as_ref().map(Json::from))
    .and("rack", lot.rack.as_ref().map(Json::from))
    .and("soaked_on", lot.soaked_on.map(Json::from))
}

pub(super) fn write_pour(pour: &Pour) -> Json {
    object([
        ("day", pour.day.into()),
        ("panel", (&pour.panel).into()),
        ("mix", (&pour.mix).into()),
        ("quantity", pour.quantity.into()),
    ])
}

fn write_order(order: &Order) -> Json {
    let line = |line: &OrderLine| {
        object([("panel", (&line.panel).into()), ("finish", (&line.finish).into()), ("quantity", line.quantity.into())])
    };
    object([
        ("id", (&order.id).into()),
        ("due_on", order.due_on.into()),
        ("weight", order.weight.into()),
        ("lines", list(&order.lines, line)),
    ])
}

fn write_policy(policy: &Policy) -> Json {
    object([
        ("unmet_days", policy.unmet_days.into()),
        ("steady_days", policy.steady_days.into()),
        ("late_price", policy.late_price.into()),
        ("seconds", policy.seconds.into()),
        ("threads", policy.threads.into()),
        ("seed", policy.seed.into()),
    ])
}
