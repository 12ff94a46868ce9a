//! What is short, by how much and where.

use crate::problem::{DayIx, Problem};

/// Something a pour decided already cannot do without.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Short {
    /// Moulds of a group.
    Moulds {
        /// Which group.
        group: usize,
        /// When.
        day: DayIx,
        /// How many are missing.
        missing: i64,
    },
    /// Labour.
    Labour {
        /// When.
        day: DayIx,
        /// Minutes missing.
        missing: f64,
    },
    /// Batches of the mixer.
    Mixer {
        /// When.
        day: DayIx,
        /// How many are missing.
        missing: i64,
    },
    /// A material.
    Material {
        /// Which one.
        material: usize,
        /// When.
        day: DayIx,
        /// How much is missing, in its own small unit.
        missing: f64,
    },
}

impl Short {
    /// The day it is short.
    pub fn day(&self) -> DayIx {
        match *self {
            Short::Moulds { day, .. } | Short::Labour { day, .. } | Short::Mixer { day, .. } => day,
            Short::Material { day, .. } => day,
        }
    }

    /// Says so, and what to do.
    pub fn sentence(&self, problem: &Problem) -> String {
        let day = problem.calendar.day(self.day());
        let short = match *self {
            Short::Moulds { group, missing, .. } => {
                format!("{missing} moulds of group \"{}\" short on {day}", problem.groups[group].id)
            }
            Short::Labour { missing, .. } => format!("{} minutes of labour short on {day}", tidy(missing)),
            Short::Mixer { missing, .. } => format!("{missing} batches of the mixer short on {day}"),
            Short::Material { material, missing, .. } => {
                format!("{} of material \"{}\" short on {day}", tidy(missing), problem.materials[material].id)
            }
        };
        format!("the pinned pours cannot all be kept: {short}; drop a pin, move it, or find what is short")
    }
}

/// A quantity to a tenth, rounded up, without needless zeros.
pub(crate) fn tidy(quantity: f64) -> String {
    let tenths = (quantity * 10.0 - 1e-6).ceil() / 10.0;
    format!("{tenths}")
}
