//! Faults of a material.

use super::found::{AMOUNT_MOST, Found, MONEY_MOST};
use crate::Fault;
use crate::catalogue::{Material, MaterialKind, StockUnit, Supply};

/// Every fault of a material.
pub fn faults(material: &Material) -> Vec<Fault> {
    let mut found = Found::new();
    found.name("/name", &material.name);
    if let Some(density) = material.relative_density {
        found.number("/relative_density", density, 0.01..=10.0);
    }
    density_where_mixed(material, &mut found);
    unit_of_kind(material, &mut found);
    found.whole("/floor", material.floor.get(), 0..=AMOUNT_MOST);
    found.whole("/pack", material.pack.get(), 1..=AMOUNT_MOST);
    found.whole("/pack_price_minor", material.pack_price.get(), 0..=MONEY_MOST);
    found.whole("/lead_days", material.lead_days, 0..=365);
    if let Some(keep) = material.keep_days {
        found.whole("/keep_days", keep, 1..=3650);
    }
    found.whole("/delivery_charge_minor", material.delivery_charge.get(), 0..=MONEY_MOST);
    room(material, &mut found);
    price_breaks(material, &mut found);
    found.all()
}

/// What is mixed is proportioned by absolute volume, which needs its density.
fn density_where_mixed(material: &Material, found: &mut Found) {
    let mixed = !matches!(material.kind, MaterialKind::Mesh | MaterialKind::Hardware | MaterialKind::ReleaseOil);
    let detail = || "is missing: give it for whatever goes into a mix, as 3.15 for Portland cement".to_owned();
    found.ensure(!mixed || material.relative_density.is_some(), "/relative_density", detail);
}

/// What is mixed is weighed or measured; what is counted or cut is not.
fn unit_of_kind(material: &Material, found: &mut Found) {
    let fits = match material.kind {
        MaterialKind::Mesh => matches!(material.unit, StockUnit::SquareMillimetre | StockUnit::Piece),
        MaterialKind::Hardware => material.unit == StockUnit::Piece,
        _ => matches!(material.unit, StockUnit::Gram | StockUnit::Millilitre),
    };
    found.ensure(fits, "/unit", || {
        "does not suit the kind: mesh is counted in square_millimetre or piece, hardware in piece, all else in gram or millilitre"
            .to_owned()
    });
}

fn room(material: &Material, found: &mut Found) {
    let Some(most) = material.store_max else { return };
    found.whole("/store_max", most.get(), 1..=AMOUNT_MOST);
    found.ensure(material.floor <= most, "/floor", || {
        "is more than there is room for: lower it, or raise store_max".to_owned()
    });
    let bought = material.supply == Supply::Bought;
    found.ensure(!bought || material.pack <= most, "/store_max", || {
        "is less than one pack: no delivery would fit; raise it to a pack or more".to_owned()
    });
}

fn price_breaks(material: &Material, found: &mut Found) {
    let mut before: Option<(i64, i64)> = None;
    for (index, step) in material.price_breaks.iter().enumerate() {
        let at = |field: &str| format!("/price_breaks/{index}/{field}");
        found.whole(&at("from_packs"), step.from_packs, 2..=100_000);
        found.whole(&at("pack_price_minor"), step.pack_price.get(), 0..=MONEY_MOST);
        let (packs, price) = before.unwrap_or((1, material.pack_price.get()));
        found.ensure(before.is_none() || step.from_packs > packs, at("from_packs"), || {
            format!("{} does not rise: give more than {packs}", step.from_packs)
        });
        found.ensure(step.pack_price.get() < price, at("pack_price_minor"), || {
            format!("{} is not lower than for fewer packs: give less than {price}", step.pack_price.get())
        });
        before = Some((step.from_packs, step.pack_price.get()));
    }
}
