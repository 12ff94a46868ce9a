//! Faults as one line.

use std::fmt::Display;

/// All of them, parted by semicolons.
pub(crate) fn joined<T: Display>(faults: &[T]) -> String {
    faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")
}
