//! A table in US customary units: what a column's name says it is measured in, and each of its numbers, by the quantities'
//! own conversions. Decimals are as many as bring every whole unit of record back when the table is imported, and never three,
//! which could be thousands in a column that says nothing else.

use quantities::{Area, Celsius, Density, Length, Mass, OfMaterial, OutOfRange, Pressure, Volume};
use workshop::catalogue::StockUnit;

use super::{Cell, Table};

/// How the numbers of a column change.
struct Way {
    /// End of the column's name, and what stands there then.
    ends: (&'static str, &'static str),
    /// From the one unit to the other.
    to_us: fn(f64) -> Result<f64, OutOfRange>,
    /// Decimals more than before.
    more_digits: isize,
}

/// The first whose end a name has is its way: longer ends stand before those they end in.
const WAYS: [Way; 8] = [
    Way { ends: ("_kg_m3", "_lb_ft3"), to_us: density, more_digits: 2 },
    Way { ends: ("_g", "_lb"), to_us: mass, more_digits: 4 },
    Way { ends: ("_ml", "_us_fl_oz"), to_us: small_volume, more_digits: 2 },
    Way { ends: ("_l", "_us_gal"), to_us: volume, more_digits: 1 },
    Way { ends: ("_mm", "_in"), to_us: length, more_digits: 2 },
    Way { ends: ("_mm2", "_ft2"), to_us: area, more_digits: 5 },
    Way { ends: ("_mpa", "_psi"), to_us: strength, more_digits: -2 },
    Way { ends: ("_c", "_f"), to_us: temperature, more_digits: 0 },
];

fn density(kg_m3: f64) -> Result<f64, OutOfRange> {
    Density::<OfMaterial>::from_kg_m3(kg_m3).map(|density| density.lb_ft3())
}

fn mass(grams: f64) -> Result<f64, OutOfRange> {
    Mass::from_grams(grams).map(|mass| mass.pounds())
}

fn small_volume(millilitres: f64) -> Result<f64, OutOfRange> {
    Volume::from_millilitres(millilitres).map(|volume| volume.us_fluid_ounces())
}

fn volume(litres: f64) -> Result<f64, OutOfRange> {
    Volume::from_litres(litres).map(|volume| volume.us_gallons())
}

fn length(mm: f64) -> Result<f64, OutOfRange> {
    Length::from_mm(mm).map(|length| length.inches())
}

fn area(mm2: f64) -> Result<f64, OutOfRange> {
    Area::from_mm2(mm2).map(|area| area.square_feet())
}

fn strength(mpa: f64) -> Result<f64, OutOfRange> {
    Pressure::from_mpa(mpa).map(|strength| strength.psi())
}

fn temperature(celsius: f64) -> Result<f64, OutOfRange> {
    Celsius::from_celsius(celsius).map(|temperature| temperature.fahrenheit())
}

/// The end of the names of columns in a material's own unit, and of those in the US unit that stands for it.
const OWN: (&str, &str) = ("_in_unit", "_in_us_unit");
/// The column that says a material's unit.
const UNIT: (&str, &str) = ("unit", "us_unit");

/// The US unit that stands for a unit of record in exports and imports: its word, and the way to it.
pub(crate) const fn unit(of: StockUnit) -> &'static str {
    match of {
        StockUnit::Gram => "lb",
        StockUnit::Millilitre => "us_fl_oz",
        StockUnit::SquareMillimetre => "ft2",
        StockUnit::Piece => "pieces",
    }
}

/// The table in US customary units.
pub(super) fn converted(table: Table) -> Table {
    let ways: Vec<Option<&Way>> = table.header.iter().map(|name| way(name)).collect();
    let header = table.header.iter().zip(&ways).map(|(name, way)| renamed(name, *way).into()).collect();
    let row = |row: Vec<Cell>| row.into_iter().zip(&ways).map(|(cell, way)| cell_in_us(cell, *way)).collect();
    Table { name: table.name, header, rows: table.rows.into_iter().map(row).collect() }
}

fn way(name: &str) -> Option<&'static Way> {
    WAYS.iter().find(|way| name.ends_with(way.ends.0))
}

fn renamed(name: &str, way: Option<&Way>) -> String {
    if name == UNIT.0 {
        return UNIT.1.to_owned();
    }
    let (from, to) = way.map_or(OWN, |way| way.ends);
    name.strip_suffix(from).map_or_else(|| name.to_owned(), |stem| format!("{stem}{to}"))
}

fn cell_in_us(cell: Cell, way: Option<&Way>) -> Cell {
    match (cell, way) {
        (Cell::Unit(own), _) => Cell::text(unit(own)),
        (Cell::Amount(amount, own), _) => match way_of(own) {
            Some(way) => way.number(amount as f64, 0),
            None => Cell::Whole(amount),
        },
        (Cell::Whole(number), Some(way)) => way.number(number as f64, 0),
        (Cell::Decimal(number, digits), Some(way)) => way.number(number, digits),
        (cell, _) => cell,
    }
}

fn way_of(own: StockUnit) -> Option<&'static Way> {
    let us = unit(own);
    WAYS.iter().find(|way| way.ends.1.strip_prefix('_') == Some(us))
}

impl Way {
    /// A number in the other unit. What is taken off a store is below zero, which no quantity is: its size is converted.
    fn number(&self, number: f64, digits: usize) -> Cell {
        let below = number < 0.0 && self.ends.0 != "_c";
        let size = if below { -number } else { number };
        let digits = digits.saturating_add_signed(self.more_digits);
        match (self.to_us)(size) {
            Ok(us) => Cell::Decimal(if below { -us } else { us }, digits),
            // Beyond what the quantities know: in steps they do.
            Err(_) => (self.to_us)(1.0).map_or(Cell::Empty, |one| Cell::Decimal(number * one, digits)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::Style;
    use super::*;

    #[test]
    fn every_measure_is_converted_and_named() {
        const HEADER: [&str; 12] = [
            "a_g",
            "b_ml",
            "c_l",
            "d_mm",
            "e_mm2",
            "f_kg_m3",
            "g_mpa",
            "h_c",
            "i_min",
            "unit",
            "j_in_unit",
            "k_in_unit",
        ];
        let mut table = Table::new("things", &HEADER);
        table.row(vec![
            Cell::Whole(10_000),
            Cell::Whole(1_000),
            Cell::Decimal(100.0, 3),
            Cell::Whole(914),
            Cell::Whole(1_000_000),
            Cell::Decimal(2_400.0, 1),
            Cell::Decimal(30.0, 2),
            Cell::Decimal(-5.0, 1),
            Cell::Whole(43),
            Cell::Unit(StockUnit::Gram),
            Cell::Amount(-25_000, StockUnit::Gram),
            Cell::Amount(12, StockUnit::Piece),
        ]);
        // Factors: NIST Special Publication 811 (2008), appendix B.8.
        let expected = "a_lb,b_us_fl_oz,c_us_gal,d_in,e_ft2,f_lb_ft3,g_psi,h_f,i_min,us_unit,j_in_us_unit,k_in_us_unit\r\n\
                        22.0462,33.81,26.4172,35.98,10.76391,149.827,4351,23.0,43,lb,-55.1156,12\r\n";
        assert_eq!(table.in_us_units().csv(Style::default()), expected);
    }

    #[test]
    fn what_is_beyond_the_quantities_is_converted_all_the_same() {
        let grams = i64::pow(10, 15);
        let mut table = Table::new("things", &["a_g"]);
        table.row(vec![Cell::Whole(grams)]);
        assert_eq!(table.in_us_units().csv(Style::default()), "a_lb\r\n2204622621848.7759\r\n");
    }
}
