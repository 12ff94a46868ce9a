//! How a file is to be read, as far as whoever sends it has said.

use std::collections::BTreeMap;

use super::days::Order;
use super::numbers::Sign;

/// What kind of file it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// Text, UTF-8, fields parted by commas, semicolons or tabs.
    Csv,
    /// A workbook.
    Xlsx,
}

/// What is stated; the rest is read off the file, or asked for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Way {
    /// Our columns, each with the header the file has for it. Empty: the file's headers are ours.
    pub map: BTreeMap<String, String>,
    /// The decimal sign of all numbers.
    pub decimal: Option<Sign>,
    /// The order of day and month in all days.
    pub dates: Option<Order>,
    /// The sheet of a workbook.
    pub sheet: Option<String>,
}
