//! How numbers, days and units are said on a page, by the workshop's own settings.

use chrono::NaiveDate as Day;
use quantities::{Density, Fresh, Grams, Length, Mass, Millilitres, Volume};
use workshop::catalogue::{Amount, StockUnit};
use workshop::site::{DisplayUnits, Workshop};

/// A workshop's ways of saying things.
#[derive(Clone, Debug)]
pub struct Said {
    units: DisplayUnits,
    currency: String,
    /// Decimals of a kilogram the scale can show.
    kg_decimals: usize,
}

/// How many days apart two days are, in words: `on the day`, `2 days late`, `1 day early`.
pub fn against_due(ready: Day, due: Day) -> String {
    let days = |n: i64| if n == 1 { "1 day".to_owned() } else { format!("{n} days") };
    match (ready - due).num_days() {
        0 => "on the day".to_owned(),
        late if late > 0 => format!("{} late", days(late)),
        early => format!("{} early", days(-early)),
    }
}

/// A day with its weekday: `Mon 2 March`.
pub fn day(day: Day) -> String {
    day.format("%a %-d %B").to_string()
}

/// A day in full: `Monday 2 March 2026`.
pub fn day_in_full(day: Day) -> String {
    day.format("%A %-d %B %Y").to_string()
}

/// So many panels.
pub fn panels(count: i64) -> String {
    if count == 1 { "1 panel".to_owned() } else { format!("{count} panels") }
}

/// Minutes as hours and minutes: `5 h 10 min`, `40 min`.
pub fn minutes(minutes: f64) -> String {
    let whole = minutes.round() as i64;
    match (whole / 60, whole % 60) {
        (0, minutes) => format!("{minutes} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes} min"),
    }
}

impl Said {
    /// By a workshop's settings; metric where none is recorded yet.
    pub fn of(workshop: Option<&Workshop>) -> Self {
        let resolution = workshop.map_or(1, |w| w.scale_resolution.get());
        Self {
            units: workshop.map_or(DisplayUnits::Metric, |w| w.display_units),
            currency: workshop.map_or_else(String::new, |w| w.currency.clone()),
            kg_decimals: match resolution {
                ..10 => 3,
                10..100 => 2,
                100..1000 => 1,
                _ => 0,
            },
        }
    }

    fn metric(&self) -> bool {
        self.units == DisplayUnits::Metric
    }

    /// A mass to be weighed, to what the scale shows: `10.150 kg`, `22.38 lb`.
    pub fn mass(&self, mass: Grams) -> String {
        let sign = if mass.get() < 0 { "-" } else { "" };
        let size = Mass::from_grams(mass.get().unsigned_abs() as f64);
        match size {
            Ok(size) if self.metric() => format!("{sign}{:.*} kg", self.kg_decimals, size.kg()),
            Ok(size) => format!("{sign}{:.2} lb", size.pounds()),
            Err(_) => format!("{} g", mass.get()),
        }
    }

    /// A volume: `31.5 L`, `8.3 US gal`, small ones in ml or fluid ounces.
    pub fn volume(&self, volume: Millilitres) -> String {
        let sign = if volume.get() < 0 { "-" } else { "" };
        let size = Volume::from_millilitres(volume.get().unsigned_abs() as f64);
        match size {
            Ok(size) if self.metric() && size.litres() >= 1.0 => format!("{sign}{:.1} L", size.litres()),
            Ok(size) if self.metric() => format!("{sign}{:.0} ml", size.millilitres()),
            Ok(size) if size.us_gallons() >= 1.0 => format!("{sign}{:.2} US gal", size.us_gallons()),
            Ok(size) => format!("{sign}{:.1} US fl oz", size.us_fluid_ounces()),
            Err(_) => format!("{} ml", volume.get()),
        }
    }

    /// Litres of a plan.
    pub fn litres(&self, litres: f64) -> String {
        self.volume(Millilitres::new((litres * 1000.0).round() as i64))
    }

    /// A wet (fresh) density: `960 kg/m³`, `59.9 lb/ft³`.
    pub fn wet_density(&self, kg_m3: f64) -> String {
        format!("{} {}", self.wet_density_number(kg_m3), self.density_unit())
    }

    /// The same without its unit.
    pub fn wet_density_number(&self, kg_m3: f64) -> String {
        match Density::<Fresh>::from_kg_m3(kg_m3) {
            Ok(density) if !self.metric() => format!("{:.1}", density.lb_ft3()),
            _ => format!("{kg_m3:.0}"),
        }
    }

    /// The unit densities are said in.
    pub fn density_unit(&self) -> &'static str {
        if self.metric() { "kg/m³" } else { "lb/ft³" }
    }

    /// What a density typed in that unit is multiplied by to be kg/m³.
    pub fn density_factor(&self) -> f64 {
        if self.metric() {
            return 1.0;
        }
        Density::<Fresh>::from_lb_ft3(100.0).map_or(1.0, |hundred| hundred.kg_m3() / 100.0)
    }

    /// Length of row in a tank or on a rack: `1.42 m`, `4.7 ft`.
    pub fn row(&self, mm: f64) -> String {
        match Length::from_mm(mm.max(0.0)) {
            Ok(length) if !self.metric() => format!("{:.1} ft", length.inches() / 12.0),
            _ => format!("{:.2} m", mm / 1000.0),
        }
    }

    /// An amount of a material in the unit people use for it.
    pub fn amount(&self, amount: Amount, unit: StockUnit) -> String {
        match unit {
            StockUnit::Gram if self.metric() => format!("{:.1} kg", amount.get() as f64 / 1000.0),
            StockUnit::Gram => self.mass(Grams::new(amount.get())),
            StockUnit::Millilitre => self.volume(Millilitres::new(amount.get())),
            StockUnit::SquareMillimetre if self.metric() => format!("{:.2} m²", amount.get() as f64 / 1e6),
            // A foot is 304.8 mm exactly.
            StockUnit::SquareMillimetre => format!("{:.1} ft²", amount.get() as f64 / (304.8 * 304.8)),
            StockUnit::Piece => format!("{}", amount.get()),
        }
    }

    /// Money: `EUR 1832.50`.
    pub fn money(&self, minor: i64) -> String {
        let sign = if minor < 0 { "-" } else { "" };
        let size = minor.unsigned_abs();
        format!("{} {sign}{}.{:02}", self.currency, size / 100, size % 100)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(units: DisplayUnits, kg_decimals: usize) -> Said {
        Said { units, currency: "EUR".into(), kg_decimals }
    }

    #[test]
    fn masses_are_said_as_the_scale_shows_them() {
        let gram = Grams::new(10_150);
        assert_eq!(said(DisplayUnits::Metric, 3).mass(gram), "10.150 kg");
        assert_eq!(said(DisplayUnits::Metric, 2).mass(gram), "10.15 kg");
        // 10.15 kg / 0.45359237 kg
        assert_eq!(said(DisplayUnits::UsCustomary, 3).mass(gram), "22.38 lb");
        assert_eq!(said(DisplayUnits::Metric, 3).mass(Grams::new(-5)), "-0.005 kg");
    }

    #[test]
    fn volumes_and_densities_in_both_units() {
        let (si, us) = (said(DisplayUnits::Metric, 3), said(DisplayUnits::UsCustomary, 3));
        assert_eq!(si.volume(Millilitres::new(31_500)), "31.5 L");
        assert_eq!(us.volume(Millilitres::new(31_500)), "8.32 US gal");
        assert_eq!(si.volume(Millilitres::new(320)), "320 ml");
        assert_eq!(us.volume(Millilitres::new(320)), "10.8 US fl oz");
        assert_eq!(si.wet_density(960.0), "960 kg/m³");
        assert_eq!(us.wet_density(960.0), "59.9 lb/ft³");
        // 0.45359237 kg / 0.028316846592 m³
        assert!((us.density_factor() - 16.018_463_374).abs() < 1e-6);
        assert_eq!((si.row(1420.0), us.row(1420.0)), ("1.42 m".to_owned(), "4.7 ft".to_owned()));
    }

    #[test]
    fn days_against_the_day_wanted() {
        let on = |text: &str| text.parse::<Day>().unwrap();
        let due = on("2026-03-10");
        assert_eq!(against_due(on("2026-03-10"), due), "on the day");
        assert_eq!(against_due(on("2026-03-11"), due), "1 day late");
        assert_eq!(against_due(on("2026-03-07"), due), "3 days early");
        assert_eq!(day(due), "Tue 10 March");
        assert_eq!(
            (minutes(310.0), minutes(40.0), minutes(120.0)),
            ("5 h 10 min".into(), "40 min".into(), "2 h".into())
        );
    }

    #[test]
    fn money_below_nothing_keeps_its_cents() {
        assert_eq!(said(DisplayUnits::Metric, 3).money(-5), "EUR -0.05");
        assert_eq!(said(DisplayUnits::Metric, 3).money(183_250), "EUR 1832.50");
    }
}
