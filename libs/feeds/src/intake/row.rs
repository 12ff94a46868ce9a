//! Reads the cells of one row into the workshop's own types, and collects what cannot be read.

use chrono::NaiveDate as Day;
use workshop::catalogue::StockUnit;
use workshop::ids::IdFault;

use super::fault::CellFault;
use super::grid::{Grid, GridRow, Value};
use super::units::{Lost, Unit};
use crate::table::us;
use crate::words;

/// Other words for units of record than our own.
const OTHER_UNITS: [(&str, StockUnit); 4] = [
    ("gram", StockUnit::Gram),
    ("millilitre", StockUnit::Millilitre),
    ("square_millimetre", StockUnit::SquareMillimetre),
    ("piece", StockUnit::Piece),
];

/// One row of a grid; `noun` is what it is of.
pub(super) struct Cells<'a> {
    pub(super) grid: &'a Grid,
    pub(super) row: &'a GridRow,
    pub(super) noun: &'static str,
    pub(super) faults: &'a mut Vec<CellFault>,
}

impl<'a> Cells<'a> {
    /// The same for another row.
    pub(super) fn on<'b>(&'b mut self, row: &'b GridRow) -> Cells<'b> {
        Cells { grid: self.grid, row, noun: self.noun, faults: self.faults }
    }

    /// A fault of a cell.
    pub(super) fn wrong(&mut self, column: &str, detail: impl Into<String>) {
        self.faults.push(self.grid.fault(self.row, column, detail));
    }

    fn value(&self, column: &str) -> &'a Value {
        self.grid.form.column(column).map_or(&Value::Blank, |number| &self.row_values()[number])
    }

    fn row_values(&self) -> &'a [Value] {
        let row: &'a GridRow = self.row;
        &row.values
    }

    pub(super) fn is_blank(&self, column: &str) -> bool {
        *self.value(column) == Value::Blank
    }

    pub(super) fn text(&mut self, column: &str) -> Option<String> {
        match self.value(column) {
            Value::Text(text) => Some(text.clone()),
            _ => None,
        }
    }

    pub(super) fn id<T>(&mut self, column: &str, parse: impl Fn(&str) -> Result<T, IdFault>) -> Option<T> {
        let text = self.text(column)?;
        parse(&text).map_err(|fault| self.wrong(column, fault.to_string())).ok()
    }

    pub(super) fn day(&mut self, column: &str) -> Option<Day> {
        match self.value(column) {
            Value::Day(day) => Some(*day),
            _ => None,
        }
    }

    /// A number without a fraction.
    pub(super) fn whole(&mut self, column: &str) -> Option<i64> {
        let Value::Number(number) = self.value(column) else { return None };
        if number.whole().is_none() {
            self.wrong(column, "is not a whole number: give one");
        }
        number.whole()
    }

    pub(super) fn decimal(&mut self, column: &str) -> Option<f64> {
        match self.value(column) {
            Value::Number(number) => Some(number.number()),
            _ => None,
        }
    }

    /// A measure in its unit of record.
    pub(super) fn measured(&mut self, column: &str) -> Option<i64> {
        self.in_unit(column, self.unit_of(column)?)
    }

    fn in_unit(&mut self, column: &str, unit: Unit) -> Option<i64> {
        let Value::Number(number) = self.value(column) else { return None };
        match unit.recorded(*number) {
            Ok(recorded) => Some(recorded),
            Err(Lost::Fraction) => {
                self.wrong(column, "has a fraction of the smallest unit that is kept: round it");
                None
            }
            Err(Lost::TooMuch) => {
                self.wrong(column, "is more than can be counted: look whether its unit is right");
                None
            }
        }
    }

    /// An amount of a material, in the material's own unit.
    pub(super) fn amount(&mut self, column: &str, own: Option<StockUnit>) -> Option<i64> {
        let unit = self.unit_of(column)?;
        match own {
            Some(own) if !unit.suits(own) && !self.is_blank(column) => {
                let own = words::unit(own);
                self.wrong(
                    column,
                    format!("is in {}, and the material is counted in {own}: give it in {own}", unit.word),
                );
                None
            }
            Some(own) => self.in_unit(column, unit.of_material(own)),
            // What it is counted in is a fault of its own.
            None => self.in_unit(column, unit),
        }
    }

    fn unit_of(&self, column: &str) -> Option<Unit> {
        self.grid.places[self.grid.form.column(column)?].as_ref()?.unit
    }

    /// The unit a material is counted in. Under the header of an export in US units its word is the one that stands for it.
    pub(super) fn stock_unit(&mut self, column: &str) -> Option<StockUnit> {
        let of = |unit| (words::unit(unit), unit);
        let in_us = |unit| (us::unit(unit), unit);
        let own = [StockUnit::Gram, StockUnit::Millilitre, StockUnit::SquareMillimetre, StockUnit::Piece];
        match self.unit_of(column) {
            Some(_) => self.word(column, &own.map(in_us)),
            None => self.word(column, &[&own.map(of)[..], &OTHER_UNITS].concat()),
        }
    }

    /// One of a list of words; capitals do not matter, nor blanks or strokes for `_`.
    pub(super) fn word<T: Copy>(&mut self, column: &str, words: &[(&str, T)]) -> Option<T> {
        let text = self.text(column)?;
        let plain = text.trim().to_lowercase().replace([' ', '-'], "_");
        let found = words.iter().find(|(word, _)| *word == plain).map(|(_, value)| *value);
        if found.is_none() {
            let names: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
            self.wrong(column, format!("is none of {}: give one of them", names.join(", ")));
        }
        found
    }

    /// What the cell says, or what is there where the file does not have the column; a fault where neither says anything.
    pub(super) fn needed<T>(
        &mut self,
        column: &str,
        read: impl Fn(&mut Self, &str) -> Option<T>,
        there: Option<T>,
    ) -> Option<T> {
        if self.grid.has(column) {
            return self.given(column, read);
        }
        if there.is_none() {
            let noun = self.noun;
            self.wrong(column, format!("is missing: a new {noun} needs this column"));
        }
        there
    }

    /// What the cell says; a fault where it is blank.
    pub(super) fn given<T>(&mut self, column: &str, read: impl Fn(&mut Self, &str) -> Option<T>) -> Option<T> {
        if self.is_blank(column) {
            self.wrong(column, "is missing: give it");
            return None;
        }
        read(self, column)
    }

    /// What the cell says, or what is there where the cell is blank or the file does not have the column; `usual` where
    /// neither says anything.
    pub(super) fn usually<T>(
        &mut self,
        column: &str,
        read: impl Fn(&mut Self, &str) -> Option<T>,
        there: Option<T>,
        usual: T,
    ) -> Option<T> {
        match (self.grid.has(column), self.is_blank(column)) {
            (true, false) => read(self, column),
            _ => Some(there.unwrap_or(usual)),
        }
    }

    /// What the cell says, nothing where it is blank, or what is there where the file does not have the column.
    pub(super) fn perhaps<T>(
        &mut self,
        column: &str,
        read: impl Fn(&mut Self, &str) -> Option<T>,
        there: Option<T>,
    ) -> Option<T> {
        if self.grid.has(column) { read(self, column) } else { there }
    }
}
