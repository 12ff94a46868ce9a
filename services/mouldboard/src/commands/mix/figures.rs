//! Figures as people read them, in the units they asked for.

use std::fmt::Write as _;

use api::wire::proportions::WorkedLine;
use quantities::{Content, Density, Mass, OfMaterial, Volume};

/// Units of what is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Units {
    /// kg, L, kg/m³
    Metric,
    /// lb, ft³, lb/ft³, lb/yd³, US fl oz
    Us,
}

/// Writes figures in one system. A figure that no quantity can hold is written as it is, in SI.
#[derive(Clone, Copy, Debug)]
pub struct Figures {
    us: bool,
}

impl Figures {
    /// In these units.
    pub fn of(units: Units) -> Self {
        Self { us: units == Units::Us }
    }

    /// A density.
    pub fn density(self, kg_m3: f64) -> String {
        match Density::<OfMaterial>::from_kg_m3(kg_m3) {
            Ok(density) if self.us => format!("{:.1} lb/ft³", density.lb_ft3()),
            _ => format!("{kg_m3:.1} kg/m³"),
        }
    }

    /// What a unit volume of concrete has of a material.
    pub fn content(self, kg_m3: f64) -> String {
        match Content::from_kg_m3(kg_m3) {
            Ok(content) if self.us => format!("{:.1} lb/yd³", content.lb_yd3()),
            _ => format!("{kg_m3:.1} kg/m³"),
        }
    }

    /// A mass to weigh, in whole grams or the same in pounds to a thousandth.
    pub fn grams(self, grams: i64) -> String {
        match Mass::from_grams(grams as f64) {
            Ok(mass) if self.us => format!("{:.3} lb", mass.pounds()),
            _ => format!("{grams} g"),
        }
    }

    /// A mass.
    pub fn mass(self, kg: f64) -> String {
        match Mass::from_kg(kg) {
            Ok(mass) if self.us => format!("{:.2} lb", mass.pounds()),
            _ => format!("{kg:.2} kg"),
        }
    }

    /// A volume of concrete or foam.
    pub fn volume(self, litres: f64) -> String {
        match Volume::from_litres(litres) {
            Ok(volume) if self.us => format!("{:.3} ft³", volume.cubic_feet()),
            _ => format!("{litres:.2} L"),
        }
    }

    /// A volume of liquid.
    pub fn liquid(self, millilitres: f64) -> String {
        match Volume::from_millilitres(millilitres) {
            Ok(volume) if self.us => format!("{:.2} US fl oz", volume.us_fluid_ounces()),
            _ => format!("{millilitres:.0} ml"),
        }
    }
}

/// A table: columns as wide as what is in them, the first to the left, the others to the right.
pub fn table(rows: &[Vec<String>]) -> String {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let wide = |column: usize| rows.iter().filter_map(|row| row.get(column)).map(|cell| cell.chars().count()).max();
    let widths: Vec<usize> = (0..columns).map(|column| wide(column).unwrap_or(0)).collect();
    let mut text = String::new();
    for row in rows {
        let cells = row.iter().zip(&widths).enumerate().map(|(at, (cell, width))| {
            let gap = " ".repeat(width - cell.chars().count());
            if at == 0 { format!("{cell}{gap}") } else { format!("{gap}{cell}") }
        });
        let line = cells.collect::<Vec<_>>().join("   ");
        let _ = writeln!(text, "  {}", line.trim_end());
    }
    text
}

/// Worked lines, each with its formula, numbers, result and source; always in SI, as they were reckoned.
pub fn worked(lines: &[WorkedLine]) -> String {
    let mut text = String::from("\nWorked (in SI)\n");
    for line in lines {
        let unit = if line.unit.is_empty() { String::new() } else { format!(" {}", line.unit) };
        let _ = writeln!(text, "  {}: {}", line.what, line.formula);
        let _ = writeln!(text, "      {} = {}{unit}   [{}]", line.numbers, plain(line.result), line.source);
    }
    text
}

/// A number without a tail of noughts, to four decimals.
fn plain(number: f64) -> String {
    let text = format!("{number:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Remarks, one a line.
pub fn remarks(said: &[String]) -> String {
    said.iter().map(|remark| format!("  note: {remark}\n")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_exact_in_both_systems() {
        let (si, us) = (Figures::of(Units::Metric), Figures::of(Units::Us));
        assert_eq!((si.density(961.108), us.density(961.108)), ("961.1 kg/m³".into(), "60.0 lb/ft³".into()));
        assert_eq!((si.content(350.0), us.content(350.0)), ("350.0 kg/m³".into(), "589.9 lb/yd³".into()));
        assert_eq!((si.grams(4536), us.grams(4536)), ("4536 g".into(), "10.000 lb".into()));
        assert_eq!((si.volume(28.316_846_592), us.volume(28.316_846_592)), ("28.32 L".into(), "1.000 ft³".into()));
        assert_eq!((si.liquid(29.57), us.liquid(29.573_529_562_5)), ("30 ml".into(), "1.00 US fl oz".into()));
    }

    #[test]
    fn columns_line_up_whatever_stands_in_them() {
        let row = |a: &str, b: &str| vec![a.to_owned(), b.to_owned()];
        assert_eq!(table(&[row("water", "10 g"), row("ρ", "1 kg/m³")]), "  water      10 g\n  ρ       1 kg/m³\n");
        assert_eq!(plain(2.0), "2");
        assert_eq!(plain(0.12345), "0.1235");
    }
}
