//! Places that hold more than they have room for before anything is done (rule 3: no breach, but nothing is added).

use workshop::documents::explanation::Overfull;

use crate::problem::{At, Problem};
use crate::short::tidy;

/// Mould groups, tanks and racks that the lots alone overfill on the first working day.
pub(super) fn overfull(problem: &Problem) -> Vec<Overfull> {
    let held = |unit: &dyn Fn(&crate::problem::Lot) -> f64| -> f64 { problem.lots.iter().map(unit).sum() };
    let mut found = Vec::new();
    for (ix, group) in problem.groups.iter().enumerate() {
        let in_it = |lot: &crate::problem::Lot| match lot.at {
            At::Mould(_) if problem.panel_of(lot.make).group == ix => lot.quantity as f64,
            _ => 0.0,
        };
        let room = group.in_service.first().copied().unwrap_or(0) as f64;
        found.extend(said("mould group", &group.id, held(&in_it), room, "panels", "moulds in service"));
    }
    for (ix, tank) in problem.tanks.iter().enumerate() {
        let in_it = |lot: &crate::problem::Lot| match lot.at {
            At::Tank(tank, _) if tank == ix => lot.quantity as f64 * problem.panel_of(lot.make).tank_mm,
            _ => 0.0,
        };
        found.extend(said("tank", &tank.id, held(&in_it), tank.mm, "mm of panels", "mm of row"));
    }
    for (ix, rack) in problem.racks.iter().enumerate() {
        let in_it = |lot: &crate::problem::Lot| match lot.at {
            At::Rack(rack, _) if rack == ix => lot.quantity as f64 * problem.panel_of(lot.make).rack_mm,
            _ => 0.0,
        };
        found.extend(said("rack", &rack.id, held(&in_it), rack.mm, "mm of panels", "mm of row"));
    }
    found
}

fn said(noun: &str, id: &str, held: f64, room: f64, of_what: &str, of_room: &str) -> Option<Overfull> {
    let sentence = || {
        format!(
            "{noun} \"{id}\" holds {} {of_what} and has {} {of_room}: nothing is added until {} have left it",
            tidy(held),
            tidy(room),
            tidy(held - room)
        )
    };
    (held > room + 1e-6).then(|| Overfull { place: id.to_owned(), sentence: sentence() })
}
