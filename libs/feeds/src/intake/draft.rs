//! Things read from a file, each with the lines it stands on.

use std::collections::BTreeMap;

use workshop::Fault;
use workshop::ids::IdFault;

use super::fault::CellFault;
use super::grid::{Grid, GridRow, Value};

/// A thing read from a file.
#[derive(Clone, Debug, PartialEq)]
pub struct Draft<T> {
    /// The thing.
    pub value: T,
    /// The first line it stands on.
    pub line: u64,
    /// For each of its lists, by the name in pointers, the line of each entry.
    pub lists: Vec<(&'static str, Vec<u64>)>,
    /// Which column a pointer speaks of; numbers in it are written `*`.
    pub(super) columns: &'static [(&'static str, &'static str)],
}

impl<T> Draft<T> {
    /// A fault of the thing as a fault of the file.
    pub fn fault(&self, grid: &Grid, found: &Fault) -> CellFault {
        let parts: Vec<&str> = found.pointer.split('/').skip(1).collect();
        let line_of = |list: &str, index: usize| {
            let lines = self.lists.iter().find(|(name, _)| *name == list).map(|(_, lines)| lines);
            lines.and_then(|lines| lines.get(index).or(lines.first())).copied()
        };
        let index = parts.get(1).and_then(|part| part.parse().ok()).unwrap_or(0);
        let line = parts.first().and_then(|list| line_of(list, index)).unwrap_or(self.line);
        let numbered = |part: &&str| if part.parse::<usize>().is_ok() { "*".to_owned() } else { (*part).to_owned() };
        let pattern: String = parts.iter().map(|part| format!("/{}", numbered(part))).collect();
        let column = self.columns.iter().find(|(pointer, _)| *pointer == pattern).map(|(_, column)| *column);
        match (column, grid.row(line)) {
            (Some(column), Some(row)) => grid.fault(row, column, found.detail.clone()),
            _ => CellFault::of_line(line, found.detail.clone()),
        }
    }
}

/// The rows of one thing.
pub(super) struct Thing<'g> {
    /// What it is known by, as the file says it.
    pub(super) id: &'g str,
    /// Its rows, in the order of the file; one at least.
    pub(super) rows: Vec<&'g GridRow>,
}

impl<'g> Thing<'g> {
    /// Its first row.
    pub(super) fn head(&self) -> &'g GridRow {
        self.rows[0]
    }

    /// Whether every cell of it could be read.
    pub(super) fn is_read(&self) -> bool {
        self.rows.iter().all(|row| row.values.iter().all(|value| *value != Value::Wrong))
    }
}

impl Grid {
    /// The row on a line.
    pub fn row(&self, line: u64) -> Option<&GridRow> {
        self.rows.binary_search_by_key(&line, |row| row.line).ok().map(|at| &self.rows[at])
    }

    /// A fault of a cell, by the name of our column.
    pub fn fault(&self, row: &GridRow, column: &str, detail: impl Into<String>) -> CellFault {
        let number = self.form.column(column);
        let header = number.and_then(|number| self.places[number].as_ref()).map_or(column, |place| &place.header);
        let said = number.map_or("", |number| row.said[number].as_str());
        CellFault::of_cell(row.line, header, said, detail)
    }

    /// Every id in the first column that is one.
    pub fn ids<T: Ord>(&self, parse: impl Fn(&str) -> Result<T, IdFault>) -> Vec<T> {
        let texts = self.rows.iter().filter_map(|row| match &row.values[0] {
            Value::Text(text) => parse(text).ok(),
            _ => None,
        });
        texts.collect::<std::collections::BTreeSet<T>>().into_iter().collect()
    }

    /// Rows by what they are of, in the order of the first of them. What belongs to the whole is alike on all rows of a thing
    /// that say it.
    pub(super) fn things(&self, faults: &mut Vec<CellFault>) -> Vec<Thing<'_>> {
        let key = self.form.columns[0].name;
        let mut places: BTreeMap<&str, usize> = BTreeMap::new();
        let mut things: Vec<Thing<'_>> = Vec::new();
        for row in &self.rows {
            let id = match &row.values[0] {
                Value::Text(id) => id.as_str(),
                Value::Blank => {
                    faults.push(self.fault(row, key, "is missing: say on every row which it is of"));
                    continue;
                }
                _ => continue,
            };
            match places.get(id) {
                None => {
                    places.insert(id, things.len());
                    things.push(Thing { id, rows: vec![row] });
                }
                Some(place) => {
                    self.alike(things[*place].head(), row, faults);
                    things[*place].rows.push(row);
                }
            }
        }
        things
    }

    fn alike(&self, first: &GridRow, row: &GridRow, faults: &mut Vec<CellFault>) {
        for (number, column) in self.form.columns.iter().enumerate().filter(|(_, column)| column.whole) {
            let (said, before) = (&row.values[number], &first.values[number]);
            if !matches!(said, Value::Blank | Value::Wrong) && said != before && *before != Value::Wrong {
                let detail = format!(
                    "differs from line {} of the same {}: give it alike on all its lines",
                    first.line, self.form.columns[0].name
                );
                faults.push(self.fault(row, column.name, detail));
            }
        }
    }
}
