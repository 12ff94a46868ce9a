//! The rows, one family a file.

mod batches;
mod labour;
mod materials;
mod mixer;
mod moulds;
mod openings;
mod orders;
mod racks;
mod shares;
mod soaking;
mod supply;
mod tanks;
mod waiting;

use workshop::documents::plan::LateFigure;

use super::{Aim, Builder, Variables};
use crate::problem::Problem;

/// Adds every family.
pub(super) fn add(problem: &Problem, variables: &Variables, figure: LateFigure, aim: Aim, to: &mut Builder) {
    waiting::add(problem, variables, to);
    soaking::add(problem, variables, to);
    moulds::add(problem, variables, to);
    tanks::add(problem, variables, to);
    racks::add(problem, variables, to);
    batches::add(problem, variables, to);
    openings::add(problem, variables, to);
    mixer::add(problem, variables, to);
    labour::add(problem, variables, to);
    materials::add(problem, variables, to);
    supply::add(problem, variables, to);
    orders::add(problem, variables, to);
    if let Aim::Price { late } = aim {
        shares::add(problem, variables, figure, late, to);
    }
}

/// Each family and the text of its file.
#[cfg(test)]
pub(super) const FILES: [(&str, &str); 13] = [
    ("waiting", include_str!("waiting.rs")),
    ("soaking", include_str!("soaking.rs")),
    ("moulds", include_str!("moulds.rs")),
    ("tanks", include_str!("tanks.rs")),
    ("racks", include_str!("racks.rs")),
    ("batches", include_str!("batches.rs")),
    ("openings", include_str!("openings.rs")),
    ("mixer", include_str!("mixer.rs")),
    ("labour", include_str!("labour.rs")),
    ("materials", include_str!("materials.rs")),
    ("supply", include_str!("supply.rs")),
    ("orders", include_str!("orders.rs")),
    ("shares", include_str!("shares.rs")),
];
