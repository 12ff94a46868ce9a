//! What the columns of a table are, as far as reading them goes.

use super::units::{Measure, Unit};

/// What stands in a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// What a thing is known by.
    Id,
    /// Text that a person wrote.
    Text,
    /// A day.
    Day,
    /// A number; whether it has to be whole is for whoever takes it.
    Number,
    /// The word of a material's own unit, or under `us_` and the name that of the US unit our exports give for it.
    Unit,
    /// A number in the unit that the end of the column's name says.
    Measured(Measure),
    /// Written for people: passed over when it comes back.
    Shown,
}

/// One column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Column {
    /// Its name in our exports.
    pub name: &'static str,
    /// What stands there.
    pub kind: Kind,
    /// Whether it belongs to the thing as a whole, and so is alike on all its rows.
    pub whole: bool,
}

impl Column {
    /// Of the thing as a whole.
    pub const fn whole(name: &'static str, kind: Kind) -> Self {
        Self { name, kind, whole: true }
    }

    /// Of an entry of one of its lists, or of a thing of one row.
    pub const fn part(name: &'static str, kind: Kind) -> Self {
        Self { name, kind, whole: false }
    }

    /// Its name without the unit.
    pub fn stem(&self) -> &'static str {
        match self.kind {
            Kind::Measured(measure) => {
                let stem = self.name.strip_suffix(measure.usual()).and_then(|stem| stem.strip_suffix('_'));
                stem.unwrap_or(self.name)
            }
            _ => self.name,
        }
    }

    /// Whether a header names it: with the unit it names, or what it should say instead.
    pub fn named(&self, header: &str) -> Option<Result<Option<Unit>, String>> {
        let in_us = header.strip_prefix("us_").is_some_and(|name| name == self.name);
        if in_us && self.kind == Kind::Unit {
            return Some(Measure::Stock.unit("in_us_unit").map(Some));
        }
        if self.kind == Kind::Shown {
            return (header.replace("_in_us_unit", "_in_unit") == self.name).then_some(Ok(None));
        }
        let Kind::Measured(measure) = self.kind else {
            return (header == self.name).then_some(Ok(None));
        };
        let unclear = |why: String| format!("says no unit that is clear: name it {}_ and the unit; {why}", self.stem());
        let rest = header.strip_prefix(self.stem())?;
        if rest.is_empty() {
            return Some(Err(unclear(format!("there are {}", measure.words().join(", ")))));
        }
        let word = rest.strip_prefix('_')?;
        Some(measure.unit(word).map(Some).map_err(unclear))
    }
}

/// A table that can be read.
#[derive(Clone, Copy, Debug)]
pub struct Form {
    /// Its name, and that of its sheet.
    pub name: &'static str,
    /// Its columns; the first says which thing a row is of.
    pub columns: &'static [Column],
    /// Columns that a file has to have.
    pub needed: &'static [&'static str],
}

impl Form {
    /// The column of a name.
    pub fn column(&self, name: &str) -> Option<usize> {
        self.columns.iter().position(|column| column.name == name)
    }

    /// The names of its columns, as a fault lists them.
    pub fn names(&self) -> String {
        self.columns.iter().map(|column| column.name).collect::<Vec<_>>().join(", ")
    }
}
