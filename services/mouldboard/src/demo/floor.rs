//! What is on the invented workshop's floor on the demonstration's first morning: panels in moulds, tanks, rack and yard, materials on hand
//! and on their way, a pour decided by a person.

use chrono::{DateTime, Days, Utc};
use store::Tx;
use store::deliveries::NewDelivery;
use store::pins::NewPin;
use workshop::catalogue::Amount;
use workshop::ids::{MaterialId, PanelId, RackId, RevisionId, TankId};
use workshop::lots::{NewLot, Stage};
use workshop::stock::{EntryKind, NewStockEntry};

use super::TODAY;

/// On hand, in each material's own unit.
const ON_HAND: [(&str, i64); 12] = [
    ("cement", 310_000),
    ("rapid-cement", 44_000),
    ("sand", 700_000),
    ("gravel", 640_000),
    ("perlite", 14_000),
    ("foaming-liquid", 9_500),
    ("ar-fibre", 6_200),
    ("charcoal-pigment", 2_300),
    ("mesh", 14_000_000),
    ("release-oil", 3_600),
    ("corner-pin", 64),
    ("planter-strap", 22),
];

/// Panels on the way or ready: panel, revision, stage, days since it came there, how many, where.
#[rustfmt::skip]
const LOTS: [(&str, &str, Stage, u64, i64, &str); 17] = [
    ("bed-side-1200",    "foamed-grey@2",     Stage::InMould, 3,  4, ""),
    ("bed-end-600",      "foamed-grey@2",     Stage::InMould, 3,  4, ""),
    ("planter-side-450", "foamed-charcoal@1", Stage::InMould, 4,  4, ""),
    ("screen-900",       "foamed-charcoal@1", Stage::InMould, 3,  1, ""),
    ("bed-side-1200",    "foamed-grey@2",     Stage::Soaking, 5,  6, "big-tank"),
    ("bed-side-900",     "foamed-grey@2",     Stage::Soaking, 7,  6, "big-tank"),
    ("bed-end-600",      "foamed-grey@2",     Stage::Soaking, 10, 8, "small-tank"),
    ("screen-900",       "foamed-charcoal@1", Stage::Soaking, 11, 2, "big-tank"),
    ("planter-side-450", "foamed-charcoal@1", Stage::Soaking, 12, 6, "small-tank"),
    ("bed-side-900",     "foamed-grey@1",     Stage::Soaking, 14, 4, "big-tank"),
    ("edging-600",       "gravel-stone@1",    Stage::Drying,  4,  8, "drying-rack"),
    ("bed-side-1200",    "foamed-grey@1",     Stage::Drying,  9,  6, "drying-rack"),
    ("bed-end-600",      "foamed-grey@1",     Stage::Drying,  11, 8, "drying-rack"),
    ("planter-side-450", "foamed-charcoal@1", Stage::Drying,  6,  4, "drying-rack"),
    ("bed-side-900",     "foamed-grey@1",     Stage::Ready,   3,  4, ""),
    ("bed-end-600",      "foamed-grey@1",     Stage::Ready,   3,  3, ""),
    ("edging-600",       "gravel-stone@1",    Stage::Ready,   5,  3, ""),
];

/// Writes it all.
pub async fn write(tx: &Tx, now: DateTime<Utc>) -> anyhow::Result<()> {
    for (material, amount) in ON_HAND {
        store::stock::append(tx, now, &count_at_the_start(material, amount)?).await?;
    }
    for row in LOTS {
        store::lots::insert(tx, &lot(row)?).await?;
    }
    let sand = NewDelivery { material: MaterialId::parse("sand")?, packs: 1, expected_on: TODAY + Days::new(7) };
    store::deliveries::insert(tx, &sand).await?;
    let fibre = NewDelivery { material: MaterialId::parse("ar-fibre")?, packs: 1, expected_on: TODAY + Days::new(3) };
    store::deliveries::insert(tx, &fibre).await?;
    let pin = NewPin {
        day: TODAY + Days::new(8),
        panel: PanelId::parse("planter-side-450")?,
        revision: RevisionId::parse("gravel-stone@1")?,
        quantity: 4,
        reason: "visitors from the surgery want to see theirs poured".into(),
    };
    store::pins::insert(tx, &pin).await?;
    Ok(())
}

fn count_at_the_start(material: &str, amount: i64) -> anyhow::Result<NewStockEntry> {
    Ok(NewStockEntry {
        material: MaterialId::parse(material)?,
        day: TODAY,
        kind: EntryKind::Counted,
        amount: Amount::new(amount),
        counted: Some(Amount::new(amount)),
        ticket: None,
        delivery: None,
        counters: None,
        note: Some("counted on the first morning".into()),
    })
}

fn lot((panel, revision, stage, days, quantity, place): (&str, &str, Stage, u64, i64, &str)) -> anyhow::Result<NewLot> {
    let since = TODAY - Days::new(days);
    // Days already behind a panel when it came to its stage: about two in the mould, a fortnight each in tank and rack.
    let before = match stage {
        Stage::InMould => 0,
        Stage::Soaking => 3,
        Stage::Drying => 18,
        Stage::Ready => 32,
    };
    Ok(NewLot {
        panel: PanelId::parse(panel)?,
        revision: RevisionId::parse(revision)?,
        poured_on: since - Days::new(before),
        ticket: None,
        stage,
        since,
        quantity,
        tank: (stage == Stage::Soaking).then(|| TankId::parse(place)).transpose()?,
        rack: (stage == Stage::Drying).then(|| RackId::parse(place)).transpose()?,
        row: None,
    })
}
