//! Ticket arithmetic against masses worked out by hand.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate as Day, NaiveTime, Utc, Weekday};
use quantities::{Grams, Millilitres, Millimetres, MinorUnits, Minutes};
use workshop::catalogue::*;
use workshop::documents::Plan;
use workshop::documents::plan::{Batches, Pour};
use workshop::ids::*;
use workshop::planning::draws::per_litre;
use workshop::site::{DisplayUnits, Policy, TakingOver, Workshop};
use workshop::tickets::{LineKind, Ticket};

use super::{Inputs, decide_tickets};

struct World {
    workshop: Workshop,
    materials: Vec<Material>,
    revisions: Vec<MixRevision>,
    mixes: Vec<Mix>,
    finishes: Vec<Finish>,
    panels: Vec<Panel>,
    plan: Plan,
}

fn today() -> Day {
    "2026-05-04".parse().unwrap()
}

fn material(id: &str, kind: MaterialKind, unit: StockUnit, relative_density: Option<f64>) -> Material {
    Material {
        id: MaterialId::parse(id).unwrap(),
        name: id.into(),
        kind,
        unit,
        relative_density,
        supply: if kind == MaterialKind::Water { Supply::Mains } else { Supply::Bought },
        floor: Amount::ZERO,
        pack: Amount::new(1_000),
        pack_price: MinorUnits::new(100),
        lead_days: 1,
        delivery_charge: MinorUnits::ZERO,
        store_max: None,
        price_breaks: vec![],
        keep_days: None,
    }
}

/// 200 + 100 + 100 litres of solids and water and 100 litres of air in a cubic metre: half of it is foam.
fn revision(id: &str, cement: &str) -> MixRevision {
    let part = |id: &str, kg_m3| Ingredient { material: MaterialId::parse(id).unwrap(), kg_m3 };
    MixRevision {
        id: RevisionId::parse(id).unwrap(),
        state: RevisionState::InUse,
        reason: None,
        ingredients: vec![part("water", 200.0), part(cement, 315.0), part("sand", 265.0), part("plasticiser", 2.4)],
        foam: Some(Foam {
            concentrate: MaterialId::parse("foamer").unwrap(),
            density_kg_m3: 50.0,
            dilution: 40.0,
            water_counted: false,
        }),
        wet_density_kg_m3: 810.0,
        wet_density_low_kg_m3: 770.0,
        wet_density_high_kg_m3: 850.0,
        air_percent: 9.8,
        hold_hours_at_20c: 20.0,
        soak_days: 5,
        dry_days: 7,
        batch_min: Millilitres::new(5_000),
        batch_max: Millilitres::new(60_000),
        batch_minutes: Minutes::new(20),
        washout: Millilitres::new(1_500),
        washout_minutes: Minutes::new(15),
        least_air_c: None,
    }
}

fn panel(id: &str, length: i64) -> Panel {
    let each = |id: &str, amount| PerPanel { material: MaterialId::parse(id).unwrap(), amount: Amount::new(amount) };
    Panel {
        id: PanelId::parse(id).unwrap(),
        name: id.into(),
        length: Millimetres::new(length),
        height: Millimetres::new(300),
        thickness: Millimetres::new(40),
        voids: Millilitres::ZERO,
        mould_group: MouldGroupId::parse("sides").unwrap(),
        pour_minutes: Minutes::new(4),
        strip_minutes: Minutes::new(5),
        lift_minutes: Minutes::new(3),
        suits: vec![],
        tanks: vec![],
        per_panel: vec![each("mesh", 240_000), each("oil", 15)],
        pass_rate: None,
    }
}

pub(crate) fn workshop() -> Workshop {
    let at = |h| NaiveTime::from_hms_opt(h, 0, 0).unwrap();
    Workshop {
        name: "Tern Hollow Garden Castings".into(),
        time_zone: "Europe/Dublin".into(),
        currency: "EUR".into(),
        display_units: DisplayUnits::Metric,
        writing: workshop::writing::Writing::default(),
        working_weekdays: vec![Weekday::Mon],
        labour_minutes: Minutes::new(480),
        mixer_batches: 6,
        issue_at: at(6),
        pour_at: at(15),
        strip_at: at(8),
        least_air_c: 5.0,
        usual_air_c: 15.0,
        tank_gap: Millimetres::new(10),
        rack_gap: Millimetres::new(30),
        scale_resolution: Grams::new(10),
        lifting_limit: Grams::new(9_000),
        soaking: workshop::soaking::COMMON_PRACTICE.to_vec(),
        taking_over: TakingOver::ByItself,
        policy: Policy {
            horizon_days: 60,
            unmet_days: 90,
            steady_days: 5,
            late_price: 200,
            seconds: 20,
            evaluations: None,
            threads: 1,
            seed: 7,
            calm_seconds: None,
            night_at: None,
        },
    }
}

fn mix(id: &str, finish: &str) -> Mix {
    Mix { id: MixId::parse(id).unwrap(), name: id.into(), finish: FinishId::parse(finish).unwrap() }
}

fn finish(id: &str, darkness: i64) -> Finish {
    Finish { id: FinishId::parse(id).unwrap(), name: id.into(), darkness }
}

fn world(pours: &[(&str, &str, i64)], batches: &[(&str, &[f64])]) -> World {
    use MaterialKind as K;
    use StockUnit as U;
    let pour = |(panel, mix, quantity): &(&str, &str, i64)| Pour {
        day: today(),
        panel: (*panel).into(),
        mix: (*mix).into(),
        quantity: *quantity,
    };
    let mixed = |(mix, litres): &(&str, &[f64])| Batches { day: today(), mix: (*mix).into(), litres: litres.to_vec() };
    World {
        workshop: workshop(),
        materials: vec![
            material("water", K::Water, U::Gram, Some(1.0)),
            material("cement", K::PortlandCement, U::Gram, Some(3.15)),
            material("csa", K::RapidCement, U::Gram, Some(3.15)),
            material("sand", K::Aggregate, U::Gram, Some(2.65)),
            material("plasticiser", K::Admixture, U::Millilitre, Some(1.2)),
            material("foamer", K::FoamingConcentrate, U::Millilitre, Some(1.02)),
            material("mesh", K::Mesh, U::SquareMillimetre, None),
            material("oil", K::ReleaseOil, U::Millilitre, None),
        ],
        revisions: vec![revision("grey@2", "cement"), revision("rapid@1", "csa")],
        mixes: vec![mix("grey", "grey-smooth"), mix("rapid", "grey-smooth")],
        finishes: vec![finish("grey-smooth", 50)],
        panels: vec![panel("cap", 500), panel("side", 1_000)],
        plan: Plan {
            pours: pours.iter().map(pour).collect(),
            batches: batches.iter().map(mixed).collect(),
            ..Plan::default()
        },
    }
}

impl World {
    fn tickets(&self) -> Vec<Ticket> {
        decide_tickets(&self.inputs()).unwrap()
    }

    fn inputs(&self) -> Inputs<'_> {
        Inputs {
            day: today(),
            issued_at: DateTime::<Utc>::UNIX_EPOCH,
            run: RunId::new(3),
            plan: &self.plan,
            workshop: &self.workshop,
            materials: &self.materials,
            revisions: &self.revisions,
            mixes: &self.mixes,
            finishes: &self.finishes,
            panels: &self.panels,
        }
    }
}

/// Kind, material, grams, own amount.
fn lines(ticket: &Ticket) -> Vec<(LineKind, &str, Option<i64>, i64)> {
    ticket.lines.iter().map(|l| (l.kind, l.material.as_str(), l.mass.map(Grams::get), l.target.get())).collect()
}

#[test]
fn a_batch_is_weighed_as_by_hand() {
    // Two sides of 12 litres: 24 litres and 1.5 of washout.
    let tickets = world(&[("side", "grey@2", 2)], &[("grey@2", &[24.0])]).tickets();
    assert_eq!(tickets.len(), 1);
    let ticket = &tickets[0];
    assert_eq!(ticket.number.to_string(), "2026-05-04-01");
    assert_eq!((ticket.batch, ticket.washout), (Millilitres::new(24_000), Millilitres::new(1_500)));
    use LineKind::*;
    let by_hand = [
        (Ingredient, "water", Some(5_100), 5_100),
        // 315 × 25.5 = 8032.5 g: to 10 g.
        (Ingredient, "cement", Some(8_030), 8_030),
        // 265 × 25.5 = 6757.5 g.
        (Ingredient, "sand", Some(6_760), 6_760),
        // 2.4 × 25.5 = 61.2 g: to 60 g, and 60 / 1.2 = 50 ml.
        (Ingredient, "plasticiser", Some(60), 50),
        // Foam 25 kg/m³: 0.60946 litres of concentrate in a cubic metre; × 25.5 = 15.54 ml, 15.85 g, with 621.6 g water.
        (FoamConcentrate, "foamer", Some(16), 16),
        (FoamWater, "water", Some(622), 622),
        (PerPanel, "mesh", None, 480_000),
        (PerPanel, "oil", None, 30),
    ];
    assert_eq!(lines(ticket), by_hand);
    assert_eq!(ticket.lines.iter().map(|l| l.position).collect::<Vec<_>>(), [1, 2, 3, 4, 5, 6, 7, 8]);
    assert_eq!(ticket.foam, Millilitres::new(12_750));
    assert_eq!(ticket.foam_mass, Grams::new(638));
    assert_eq!(ticket.labour, Minutes::new(20 + 2 * 4 + 15));
    let counted: Vec<bool> = ticket.lines.iter().map(|l| l.counted).collect();
    assert_eq!(counted, [false, true, true, true, true, false, true, true]);
}

#[test]
fn the_washout_is_weighed_up_on_the_last_ticket_of_each_mix() {
    let pours = [("side", "grey@2", 2), ("side", "rapid@1", 1)];
    let tickets = world(&pours, &[("rapid@1", &[12.0]), ("grey@2", &[12.0, 12.0])]).tickets();
    let shown: Vec<_> =
        tickets.iter().map(|t| (t.revision.to_string(), t.batch.get(), t.washout.get(), t.labour.get())).collect();
    let expected = [
        ("grey@2".to_owned(), 12_000, 0, 24),
        ("grey@2".to_owned(), 12_000, 1_500, 39),
        ("rapid@1".to_owned(), 12_000, 1_500, 39),
    ];
    assert_eq!(shown, expected);
    assert!(tickets[1].cautions.iter().any(|c| c.starts_with("Wash mixer and tools out before rapid@1")));
    assert!(!tickets[2].cautions.iter().any(|c| c.starts_with("Wash mixer")));
}

#[test]
fn a_panel_from_two_batches_stands_on_both_and_its_mesh_on_the_first() {
    let tickets = world(&[("side", "grey@2", 3)], &[("grey@2", &[18.0, 18.0])]).tickets();
    let fills: Vec<_> =
        tickets.iter().map(|t| (t.fills[0].finished, t.fills[0].begun.get(), t.fills[0].volume.get())).collect();
    assert_eq!(fills, [(1, 6_000, 18_000), (2, 0, 18_000)]);
    let mesh: Vec<i64> = tickets
        .iter()
        .map(|t| t.lines.iter().filter(|l| l.material.as_str() == "mesh").map(|l| l.target.get()).sum())
        .collect();
    assert_eq!(mesh, [480_000, 240_000]);
}

#[test]
fn rapid_batches_share_panels_out_whole_or_say_why_not() {
    let pours = [("cap", "rapid@1", 2), ("side", "rapid@1", 2)];
    let tickets = world(&pours, &[("rapid@1", &[18.0, 18.0])]).tickets();
    for ticket in &tickets {
        assert_eq!(
            ticket.fills.iter().map(|f| (f.panel.as_str(), f.finished)).collect::<Vec<_>>(),
            [("cap", 1), ("side", 1)]
        );
        assert!(!ticket.cautions.iter().any(|c| c.contains("although the cement sets rapidly")));
    }
    let unavoidable = world(&[("side", "rapid@1", 3)], &[("rapid@1", &[18.0, 18.0])]).tickets();
    for ticket in unavoidable {
        assert!(
            ticket.cautions.iter().any(|c| c.contains("although the cement sets rapidly")),
            "{:?}",
            ticket.cautions
        );
    }
}

#[test]
fn tickets_add_up_to_what_the_plan_draws() {
    let pours = [("side", "grey@2", 7), ("cap", "grey@2", 5), ("cap", "rapid@1", 3)];
    let w = world(&pours, &[("grey@2", &[38.3333, 38.3333, 37.3334]), ("rapid@1", &[18.0])]);
    let tickets = w.tickets();
    let materials = w.materials.iter().map(|m| (&m.id, m)).collect();
    let mut planned: BTreeMap<String, f64> = BTreeMap::new();
    for (revision, litres) in w.revisions.iter().zip([114.0 + 1.5, 18.0 + 1.5]) {
        for (id, amount) in per_litre(revision, &materials).unwrap() {
            *planned.entry(id.to_string()).or_default() += amount * litres;
        }
    }
    planned.insert("mesh".into(), 15.0 * 240_000.0);
    planned.insert("oil".into(), 15.0 * 15.0);
    let mut drawn: BTreeMap<String, (i64, f64)> = BTreeMap::new();
    for line in tickets.iter().flat_map(|t| &t.lines).filter(|l| l.counted) {
        let sum = drawn.entry(line.material.to_string()).or_default();
        sum.0 += line.target.get();
        // Half a step of the scale, or half a unit, for each line; a millilitre of batch for each ticket.
        sum.1 += if line.kind == LineKind::Ingredient { 5.5 } else { 0.6 };
    }
    assert_eq!(planned.keys().collect::<Vec<_>>(), drawn.keys().collect::<Vec<_>>());
    for (material, (sum, slack)) in drawn {
        let off = (sum as f64 - planned[&material]).abs();
        assert!(off <= slack, "{material}: {sum} drawn, {} planned", planned[&material]);
    }
}

#[test]
fn cautions_stand_where_they_apply() {
    let heavy = world(&[("side", "grey@2", 1)], &[("grey@2", &[12.0])]).tickets();
    let titles =
        |t: &Ticket| t.cautions.iter().map(|c| c.split(':').next().unwrap_or("").to_owned()).collect::<Vec<_>>();
    let said = titles(&heavy[0]);
    // A side weighs 12 L × 0.81 = 9.72 kg, above 9 kg.
    for title in [
        "Wet cement burns",
        "Dust and silica",
        "Foaming concentrate",
        "Mixer",
        "Pressure",
        "Heavy panel",
        "Washout water",
    ] {
        assert!(said.iter().any(|s| s == title), "{title} is missing in {said:?}");
    }
    assert!(!said.iter().any(|s| s == "Two cements, one mixer"));
    let light = world(&[("cap", "rapid@1", 1)], &[("rapid@1", &[6.0])]).tickets();
    let said = titles(&light[0]);
    assert!(!said.iter().any(|s| s == "Heavy panel"));
    assert!(said.iter().any(|s| s == "Two cements, one mixer"));
}

#[test]
fn what_the_scale_rounds_away_is_left_in_grams_with_a_remark() {
    let mut w = world(&[("cap", "grey@2", 1)], &[("grey@2", &[6.0])]);
    w.revisions[0].ingredients[3].kg_m3 = 0.4;
    let ticket = &w.tickets()[0];
    assert_eq!(ticket.lines[3].mass, Some(Grams::new(3)));
    assert!(ticket.cautions.iter().any(|c| c.contains("finer scale")), "{:?}", ticket.cautions);
}

#[test]
fn pale_finishes_are_mixed_before_dark_ones_and_portland_before_rapid_cement() {
    let batches: &[(&str, &[f64])] =
        &[("charcoal@1", &[12.0]), ("grey@2", &[12.0, 12.0]), ("rapid@1", &[12.0]), ("white@1", &[12.0])];
    let pours = [("side", "charcoal@1", 1), ("side", "grey@2", 2), ("side", "rapid@1", 1), ("side", "white@1", 1)];
    let mut w = world(&pours, batches);
    w.revisions.extend([revision("charcoal@1", "cement"), revision("white@1", "cement")]);
    w.mixes = vec![mix("charcoal", "dark"), mix("grey", "middling"), mix("rapid", "pale"), mix("white", "pale")];
    w.finishes = vec![finish("dark", 85), finish("middling", 50), finish("pale", 5)];
    let mixed: Vec<String> = w.tickets().iter().map(|t| t.revision.to_string()).collect();
    assert_eq!(mixed, ["white@1", "grey@2", "grey@2", "charcoal@1", "rapid@1"]);
    assert!(w.tickets().iter().zip(1..).all(|(ticket, n)| ticket.number.sequence == n));
}

#[test]
fn everything_missing_is_told_at_once() {
    let mut w = world(&[("gone", "grey@2", 1)], &[("grey@2", &[12.0]), ("lost@1", &[5.0])]);
    w.materials.retain(|m| m.id.as_str() != "sand");
    let faults = decide_tickets(&w.inputs()).unwrap_err();
    for word in ["gone", "lost@1", "sand"] {
        assert!(faults.iter().any(|f| f.detail.contains(word)), "{word} is missing in {faults:?}");
    }
}

#[test]
fn other_days_are_left_alone_and_a_day_without_batches_has_no_tickets() {
    let mut w = world(&[("side", "grey@2", 1)], &[("grey@2", &[12.0])]);
    w.plan.batches[0].day = today().succ_opt().unwrap();
    assert_eq!(w.tickets(), []);
}

/// The world as planning sees it, without orders or lots.
pub(crate) fn snapshot() -> workshop::planning::Snapshot {
    let w = world(&[], &[]);
    workshop::planning::Snapshot {
        workshop: w.workshop,
        calendar: vec![],
        materials: w.materials,
        on_hand: BTreeMap::new(),
        deliveries: vec![],
        finishes: w.finishes,
        mixes: w.mixes,
        revisions: w.revisions,
        panels: w.panels,
        sets: vec![],
        mould_groups: vec![],
        tanks: vec![],
        racks: vec![],
        orders: vec![],
        dispatched: BTreeMap::new(),
        lots: vec![],
        pins: vec![],
        tickets: vec![],
        moves: vec![],
        in_force: None,
        issued_plan: None,
        holds: BTreeMap::new(),
        water: Default::default(),
        upkeep: vec![],
        upkeep_done: Default::default(),
        upkeep_reports: vec![],
    }
}
