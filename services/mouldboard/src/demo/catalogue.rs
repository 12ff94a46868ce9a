//! The invented workshop's materials, finishes, panels, sets, moulds, tanks and racks.

use chrono::NaiveDate as Day;
use quantities::{Millilitres, Millimetres, MinorUnits, Minutes, Pieces};
use workshop::catalogue::{
    Amount, Finish, Material, MaterialKind, MouldGroup, OutOfService, Panel, PanelSet, PerPanel, PriceBreak, Rack,
    Rows, ScrapCause, StockUnit, Suit, Supply, Tank,
};
use workshop::ids::{FinishId, MaterialId, MouldGroupId, PanelId, RackId, RevisionId, ScrapCauseId, SetId, TankId};

use super::day;

/// One row of the materials table: what it is, then pack, price, floor, lead days, charge, room.
struct Bought {
    id: &'static str,
    name: &'static str,
    kind: MaterialKind,
    unit: StockUnit,
    relative_density: Option<f64>,
    pack: i64,
    price: i64,
    floor: i64,
    lead_days: i64,
    charge: i64,
    room: Option<i64>,
    breaks: &'static [(i64, i64)],
}

/// Prices in euro cent; all invented.
#[rustfmt::skip]
const BOUGHT: [Bought; 12] = {
    use MaterialKind::*;
    use StockUnit::*;
    [
        Bought { id: "cement", name: "Portland cement, 25 kg bags", kind: PortlandCement, unit: Gram, relative_density: Some(3.15), pack: 25_000, price: 790, floor: 50_000, lead_days: 4, charge: 1_800, room: Some(1_200_000), breaks: &[(20, 745), (40, 710)] },
        Bought { id: "rapid-cement", name: "Rapid-setting CSA cement, 20 kg pails", kind: RapidCement, unit: Gram, relative_density: Some(2.98), pack: 20_000, price: 3_400, floor: 5_000, lead_days: 9, charge: 2_500, room: Some(400_000), breaks: &[] },
        Bought { id: "sand", name: "Washed sand 0-2 mm, bulk bags", kind: Aggregate, unit: Gram, relative_density: Some(2.65), pack: 850_000, price: 5_200, floor: 40_000, lead_days: 6, charge: 3_000, room: Some(3_000_000), breaks: &[] },
        Bought { id: "gravel", name: "Rounded gravel 4-10 mm, bulk bags", kind: Aggregate, unit: Gram, relative_density: Some(2.65), pack: 850_000, price: 5_600, floor: 40_000, lead_days: 6, charge: 3_000, room: Some(3_000_000), breaks: &[] },
        Bought { id: "perlite", name: "Expanded perlite 1-3 mm, 10 kg sacks", kind: LightweightAggregate, unit: Gram, relative_density: Some(0.35), pack: 10_000, price: 2_900, floor: 2_000, lead_days: 7, charge: 1_500, room: Some(120_000), breaks: &[] },
        Bought { id: "foaming-liquid", name: "Foaming liquid, 20 L cans", kind: FoamingConcentrate, unit: Millilitre, relative_density: Some(1.02), pack: 20_000, price: 9_800, floor: 1_000, lead_days: 10, charge: 1_500, room: None, breaks: &[] },
        Bought { id: "ar-fibre", name: "Alkali-resistant glass fibre 12 mm, 10 kg boxes", kind: Fibre, unit: Gram, relative_density: Some(2.68), pack: 10_000, price: 6_400, floor: 500, lead_days: 8, charge: 1_500, room: None, breaks: &[] },
        Bought { id: "charcoal-pigment", name: "Charcoal iron oxide, 15 kg sacks", kind: Pigment, unit: Gram, relative_density: Some(4.6), pack: 15_000, price: 7_900, floor: 500, lead_days: 24, charge: 1_500, room: None, breaks: &[] },
        Bought { id: "mesh", name: "Galvanised mesh, 2 m² sheets", kind: Mesh, unit: SquareMillimetre, relative_density: None, pack: 2_000_000, price: 1_350, floor: 0, lead_days: 5, charge: 1_200, room: None, breaks: &[(10, 1_220)] },
        Bought { id: "release-oil", name: "Mould release oil, 5 L cans", kind: ReleaseOil, unit: Millilitre, relative_density: None, pack: 5_000, price: 3_100, floor: 200, lead_days: 5, charge: 1_200, room: None, breaks: &[] },
        Bought { id: "corner-pin", name: "Corner pins, boxes of 50", kind: Hardware, unit: Piece, relative_density: None, pack: 50, price: 2_250, floor: 0, lead_days: 7, charge: 1_200, room: None, breaks: &[] },
        Bought { id: "planter-strap", name: "Planter straps, boxes of 20", kind: Hardware, unit: Piece, relative_density: None, pack: 20, price: 1_900, floor: 0, lead_days: 7, charge: 1_200, room: None, breaks: &[] },
    ]
};

/// Everything bought, and water from the main.
pub fn materials() -> anyhow::Result<Vec<Material>> {
    let mut list = vec![Material {
        id: MaterialId::parse("water")?,
        name: "Mains water".into(),
        kind: MaterialKind::Water,
        unit: StockUnit::Gram,
        relative_density: Some(1.0),
        supply: Supply::Mains,
        floor: Amount::ZERO,
        pack: Amount::new(1_000),
        pack_price: MinorUnits::ZERO,
        lead_days: 0,
        delivery_charge: MinorUnits::ZERO,
        store_max: None,
        price_breaks: Vec::new(),
        keep_days: None,
    }];
    for row in &BOUGHT {
        list.push(Material {
            id: MaterialId::parse(row.id)?,
            name: row.name.into(),
            kind: row.kind,
            unit: row.unit,
            relative_density: row.relative_density,
            supply: Supply::Bought,
            floor: Amount::new(row.floor),
            pack: Amount::new(row.pack),
            pack_price: MinorUnits::new(row.price),
            lead_days: row.lead_days,
            delivery_charge: MinorUnits::new(row.charge),
            store_max: row.room.map(Amount::new),
            price_breaks: row
                .breaks
                .iter()
                .map(|(n, p)| PriceBreak { from_packs: *n, pack_price: MinorUnits::new(*p) })
                .collect(),
            // Cement in bags is used up within about three months: common practice, no source.
            keep_days: row.kind.is_cement().then_some(90),
        });
    }
    Ok(list)
}

/// Why panels are scrapped here.
pub fn scrap_causes() -> anyhow::Result<Vec<ScrapCause>> {
    let named = [
        ("corner-broken", "Corner broken while stripping"),
        ("foam-collapsed", "Foam collapsed in the mould"),
        ("crazed", "Crazed while drying"),
        ("dropped", "Dropped or knocked over"),
    ];
    named.into_iter().map(|(id, name)| Ok(ScrapCause { id: ScrapCauseId::parse(id)?, name: name.into() })).collect()
}

/// Three finishes.
pub fn finishes() -> anyhow::Result<Vec<Finish>> {
    [
        ("charcoal", "Charcoal, smooth", 85),
        ("grey", "Natural grey, smooth", 40),
        ("stone", "Stone, washed gravel face", 45),
    ]
    .into_iter()
    .map(|(id, name, darkness)| Ok(Finish { id: FinishId::parse(id)?, name: name.into(), darkness }))
    .collect()
}

/// Four mould groups, 26 moulds; one long mould is away for repair in the second week.
pub fn mould_groups() -> anyhow::Result<Vec<MouldGroup>> {
    let group = |id: &str, name: &str, moulds, turnaround_days, out: Vec<(Day, Day, i64, &str)>| {
        anyhow::Ok(MouldGroup {
            id: MouldGroupId::parse(id)?,
            name: name.into(),
            moulds,
            turnaround_days,
            life_uses: Some(120),
            out_of_service: out
                .into_iter()
                .map(|(from, to, moulds, reason)| OutOfService {
                    from,
                    to,
                    moulds,
                    which: vec![],
                    reason: reason.into(),
                })
                .collect(),
        })
    };
    let repair = vec![(day(2026, 3, 9), day(2026, 3, 13), 1, "new bottom board")];
    Ok(vec![
        group("long-moulds", "Long moulds", 8, 0, repair)?,
        group("short-moulds", "Short moulds", 10, 0, vec![])?,
        group("square-moulds", "Square moulds", 6, 0, vec![])?,
        group("screen-moulds", "Screen moulds", 2, 1, vec![])?,
    ])
}

/// Two tanks; the small one takes only what is at most 600 mm long.
pub fn tanks() -> anyhow::Result<Vec<Tank>> {
    let tank = |id: &str, name: &str, row_names: &[&str], usable, depth, width| {
        anyhow::Ok(Tank {
            id: TankId::parse(id)?,
            name: name.into(),
            rows: Rows { count: row_names.len() as i64, usable: Millimetres::new(usable) },
            row_names: row_names.iter().map(ToString::to_string).collect(),
            depth: Millimetres::new(depth),
            width: Millimetres::new(width),
        })
    };
    Ok(vec![
        tank("big-tank", "Big tank", &["by the door", "by the wall"], 1_500, 700, 1_300)?,
        tank("small-tank", "Small tank", &["only row"], 1_400, 700, 700)?,
    ])
}

/// One rack.
pub fn racks() -> anyhow::Result<Vec<Rack>> {
    let rows = Rows { count: 3, usable: Millimetres::new(2_700) };
    let row_names = ["top", "middle", "bottom"].map(str::to_owned).to_vec();
    Ok(vec![Rack { id: RackId::parse("drying-rack")?, name: "Drying rack".into(), rows, row_names }])
}

/// One row of the panels table: size in mm, voids in ml, minutes, mixes, mesh in mm².
struct Cast {
    id: &'static str,
    name: &'static str,
    size: (i64, i64, i64),
    voids: i64,
    group: &'static str,
    minutes: (i64, i64, i64),
    mixes: &'static [&'static str],
    small_tank: bool,
    mesh: i64,
}

/// The foamed mixes and the gravel mix.
const ALL: &[&str] = &["foamed-grey@1", "foamed-grey@2", "foamed-rapid@1", "foamed-charcoal@1", "gravel-stone@1"];
/// As `ALL`, and the perlite mix, which is too weak for the long panels.
const WITH_PERLITE: &[&str] =
    &["foamed-grey@1", "foamed-grey@2", "foamed-perlite@1", "foamed-rapid@1", "foamed-charcoal@1", "gravel-stone@1"];

#[rustfmt::skip]
const CAST: [Cast; 6] = [
    Cast { id: "bed-side-1200", name: "Bed side 1200", size: (1_200, 300, 40), voids: 120, group: "long-moulds", minutes: (8, 6, 4), mixes: ALL, small_tank: false, mesh: 300_000 },
    Cast { id: "bed-side-900", name: "Bed side 900", size: (900, 300, 40), voids: 120, group: "short-moulds", minutes: (7, 5, 3), mixes: ALL, small_tank: false, mesh: 220_000 },
    Cast { id: "bed-end-600", name: "Bed end 600", size: (600, 300, 40), voids: 120, group: "short-moulds", minutes: (6, 4, 3), mixes: WITH_PERLITE, small_tank: true, mesh: 140_000 },
    Cast { id: "planter-side-450", name: "Planter side 450", size: (450, 450, 35), voids: 60, group: "square-moulds", minutes: (6, 4, 3), mixes: WITH_PERLITE, small_tank: true, mesh: 150_000 },
    Cast { id: "edging-600", name: "Edging 600", size: (600, 150, 50), voids: 0, group: "square-moulds", minutes: (4, 3, 2), mixes: WITH_PERLITE, small_tank: true, mesh: 0 },
    Cast { id: "screen-900", name: "Pierced screen 900", size: (900, 600, 40), voids: 5_200, group: "screen-moulds", minutes: (14, 9, 6), mixes: &["foamed-grey@1", "foamed-grey@2", "foamed-charcoal@1"], small_tank: false, mesh: 420_000 },
];

/// Six panels.
pub fn panels() -> anyhow::Result<Vec<Panel>> {
    CAST.iter().map(panel).collect()
}

fn panel(row: &Cast) -> anyhow::Result<Panel> {
    let (length, height, thickness) = row.size;
    let (pour, strip, lift) = row.minutes;
    let suits = row.mixes.iter().map(|mix| {
        let reason = "cast and loaded in the yard through one winter (invented)".to_owned();
        anyhow::Ok(Suit { revision: RevisionId::parse(mix)?, reason })
    });
    let mut per_panel =
        vec![PerPanel { material: MaterialId::parse("release-oil")?, amount: Amount::new(length * height / 18_000) }];
    if row.mesh > 0 {
        per_panel.insert(0, PerPanel { material: MaterialId::parse("mesh")?, amount: Amount::new(row.mesh) });
    }
    let tanks: &[&str] = if row.small_tank { &[] } else { &["big-tank"] };
    Ok(Panel {
        id: PanelId::parse(row.id)?,
        name: row.name.into(),
        length: Millimetres::new(length),
        height: Millimetres::new(height),
        thickness: Millimetres::new(thickness),
        voids: Millilitres::new(row.voids),
        mould_group: MouldGroupId::parse(row.group)?,
        pour_minutes: Minutes::new(pour),
        strip_minutes: Minutes::new(strip),
        lift_minutes: Minutes::new(lift),
        suits: suits.collect::<anyhow::Result<_>>()?,
        tanks: tanks.iter().map(|t| TankId::parse(t)).collect::<Result<_, _>>()?,
        per_panel,
        pass_rate: Some(0.97),
    })
}

/// Four sets.
pub fn sets() -> anyhow::Result<Vec<PanelSet>> {
    let set = |id: &str, name: &str, panels: &[(&str, i64)], hardware: (&str, i64)| {
        anyhow::Ok(PanelSet {
            id: SetId::parse(id)?,
            name: name.into(),
            panels: panels.iter().map(|(p, n)| Ok((PanelId::parse(p)?, *n))).collect::<anyhow::Result<_>>()?,
            hardware: vec![(MaterialId::parse(hardware.0)?, Pieces::new(hardware.1))],
        })
    };
    Ok(vec![
        set("bed-1200x600", "Raised bed 1200 x 600", &[("bed-side-1200", 2), ("bed-end-600", 2)], ("corner-pin", 4))?,
        set("bed-900x600", "Raised bed 900 x 600", &[("bed-side-900", 2), ("bed-end-600", 2)], ("corner-pin", 4))?,
        set("planter-450", "Square planter 450", &[("planter-side-450", 4)], ("planter-strap", 2))?,
        set("edging-run", "Edging run 3.6 m", &[("edging-600", 6)], ("corner-pin", 2))?,
    ])
}
