//! What is short, by how much and where.

use crate::problem::{DayIx, Material, Problem};

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
                let m = &problem.materials[material];
                format!("{} of material \"{}\" short on {day}", amount(m, missing), m.id)
            }
        };
        format!("the pinned pours cannot all be kept: {short}; drop a pin, move it, or find what is short")
    }
}

/// A quantity of a material with its unit.
pub(crate) fn amount(material: &Material, quantity: f64) -> String {
    measure(material.unit.as_deref(), quantity)
}

/// A quantity in a small unit, said in the usual one: 3.4 kg rather than 3400 g. Rounded up to a thousandth of the large unit,
/// a tenth of any other.
pub(crate) fn measure(unit: Option<&str>, quantity: f64) -> String {
    let large = match unit {
        Some("g") => Some("kg"),
        Some("ml") => Some("L"),
        _ => None,
    };
    match (large, unit) {
        (Some(large), _) if quantity >= 1000.0 => {
            let thousandths = (quantity - 1e-6).ceil() / 1000.0;
            format!("{thousandths} {large}")
        }
        (_, Some("pieces")) if (quantity - 1.0).abs() < 1e-6 => "1 piece".to_owned(),
        (_, Some(unit)) => format!("{} {unit}", tidy(quantity)),
        (_, None) => format!("{} of its small unit", tidy(quantity)),
    }
}

/// A quantity to a tenth, rounded up, without needless zeros.
pub(crate) fn tidy(quantity: f64) -> String {
    let tenths = (quantity * 10.0 - 1e-6).ceil() / 10.0;
    format!("{tenths}")
}
