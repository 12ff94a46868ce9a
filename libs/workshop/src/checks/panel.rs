//! Faults of a panel.

use super::found::{AMOUNT_MOST, Found};
use crate::Fault;
use crate::catalogue::Panel;

/// Every fault of a panel.
pub fn faults(panel: &Panel) -> Vec<Fault> {
    let mut found = Found::new();
    found.name("/name", &panel.name);
    size(panel, &mut found);
    for (pointer, minutes) in [
        ("/pour_minutes", panel.pour_minutes),
        ("/strip_minutes", panel.strip_minutes),
        ("/lift_minutes", panel.lift_minutes),
    ] {
        found.whole(pointer, minutes.get(), 0..=1440);
    }
    for (index, suit) in panel.suits.iter().enumerate() {
        let pointer = format!("/suits/{index}/reason");
        found.ensure(!suit.reason.trim().is_empty(), pointer.clone(), || {
            "is empty: name the trial, or say on whose word the mix suits this panel".to_owned()
        });
        found.note(&pointer, Some(&suit.reason));
    }
    for (index, each) in panel.per_panel.iter().enumerate() {
        found.whole(&format!("/per_panel/{index}/amount"), each.amount.get(), 1..=AMOUNT_MOST);
    }
    found.distinct(panel.suits.iter().map(|s| &s.revision), |i| format!("/suits/{i}/revision"));
    found.distinct(panel.tanks.iter(), |i| format!("/tanks/{i}"));
    found.distinct(panel.per_panel.iter().map(|p| &p.material), |i| format!("/per_panel/{i}/material"));
    if let Some(rate) = panel.pass_rate {
        found.above_zero("/pass_rate", rate, 1.0);
        // Tables show four decimals, and what goes out has to come back.
        let (scaled, whole) = (rate * 1.0e4, (rate * 1.0e4).round());
        found.ensure(!(0.0..=1.0).contains(&rate) || (scaled - whole).abs() < 1.0e-6, "/pass_rate", || {
            format!("{rate} is finer than a hundredth of a per cent: give at most four decimals")
        });
    }
    found.all()
}

fn size(panel: &Panel, found: &mut Found) {
    let sides = [("/length_mm", panel.length), ("/height_mm", panel.height), ("/thickness_mm", panel.thickness)];
    for (pointer, side) in sides {
        found.whole(pointer, side.get(), 1..=10_000);
    }
    found.whole("/voids_ml", panel.voids.get(), 0..=10_000_000);
    let sides_fit = sides.iter().all(|(_, side)| (1..=10_000).contains(&side.get()));
    found.ensure(!sides_fit || panel.concrete().get() > 0, "/voids_ml", || {
        "leaves no concrete: the voids are as large as the whole panel; give less".to_owned()
    });
}
