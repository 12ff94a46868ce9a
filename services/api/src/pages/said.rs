//! How numbers, days and units are said on a page, by the workshop's own settings.

use chrono::NaiveDate as Day;
use quantities::{Density, Fresh, Grams, Length, Mass, Millilitres, Volume};
use workshop::catalogue::{Amount, StockUnit};
use workshop::site::{DisplayUnits, Workshop};
use workshop::writing::DecimalSign;

use super::words::shared as words;
use super::writing::Written;

/// A workshop's ways of saying things.
#[derive(Clone, Debug)]
pub struct Said {
    units: DisplayUnits,
    currency: String,
    /// Decimals of a kilogram the scale can show.
    kg_decimals: usize,
    written: Written,
}

impl std::ops::Deref for Said {
    type Target = Written;

    fn deref(&self) -> &Written {
        &self.written
    }
}

/// A unit people type in, and how a number typed in it becomes the contract's own: times `factor`, plus `offset`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Typed {
    /// What the unit is called.
    pub sign: &'static str,
    /// Contract's units in one of it.
    pub factor: f64,
    /// The contract's number where 0 is typed.
    pub offset: f64,
    /// Whether the contract counts in whole numbers.
    pub whole: bool,
    /// What people here write before decimals.
    pub decimals: DecimalSign,
}

impl Typed {
    /// What a field takes: this sign before decimals, or the other where it cannot be taken for one that parts thousands.
    pub const fn pattern(self) -> &'static str {
        match self.decimals {
            DecimalSign::Point => "-?[0-9]*([.][0-9]+|,([0-9]{1,2}|[0-9]{4,}))?",
            DecimalSign::Comma => "-?[0-9]*(,[0-9]+|[.]([0-9]{1,2}|[0-9]{4,}))?",
        }
    }

    /// The contract's number as it would be typed: as many decimals as matter, no more.
    pub fn write(self, number: f64) -> String {
        let typed = (number - self.offset) / self.factor;
        let text = format!("{typed:.3}");
        text.trim_end_matches('0').trim_end_matches('.').replacen('.', self.decimals.sign().encode_utf8(&mut [0; 4]), 1)
    }
}

/// How many days apart two days are, in words: `on the day`, `2 days late`, `1 day early`.
pub fn against_due(ready: Day, due: Day) -> String {
    match (ready - due).num_days() {
        0 => words::ON_THE_DAY.to_owned(),
        late if late > 0 => words::days_late(late),
        early => words::days_early(-early),
    }
}

/// Minutes as hours and minutes: `5 h 10 min`, `40 min`.
pub fn minutes(minutes: f64) -> String {
    let whole = minutes.round() as i64;
    words::hours_and_minutes(whole / 60, whole % 60)
}

impl Said {
    /// By a workshop's settings; metric where none is recorded yet.
    pub fn of(workshop: Option<&Workshop>) -> Self {
        let resolution = workshop.map_or(1, |w| w.scale_resolution.get());
        Self {
            units: workshop.map_or(DisplayUnits::Metric, |w| w.display_units),
            written: Written::of(workshop),
            currency: workshop.map_or_else(String::new, |w| w.currency.clone()),
            kg_decimals: match resolution {
                ..10 => 3,
                10..100 => 2,
                100..1000 => 1,
                _ => 0,
            },
        }
    }

    /// A unit to type in.
    fn unit(&self, sign: &'static str, factor: f64, whole: bool) -> Typed {
        Typed { sign, factor, offset: 0.0, whole, decimals: self.decimals() }
    }

    /// A number that has no unit, or the contract's own.
    pub fn plain_typed(&self) -> Typed {
        self.unit("", 1.0, false)
    }

    fn metric(&self) -> bool {
        self.units == DisplayUnits::Metric
    }

    /// A mass to be weighed, to what the scale shows: `10.150 kg`, `22.38 lb`.
    pub fn mass(&self, mass: Grams) -> String {
        let sign = if mass.get() < 0 { "-" } else { "" };
        let size = Mass::from_grams(mass.get().unsigned_abs() as f64);
        match size {
            Ok(size) if self.metric() => format!("{sign}{} kg", self.number(size.kg(), self.kg_decimals)),
            Ok(size) => format!("{sign}{} lb", self.number(size.pounds(), 2)),
            Err(_) => format!("{} g", mass.get()),
        }
    }

    /// A volume: `31.5 L`, `8.3 US gal`, small ones in ml or fluid ounces.
    pub fn volume(&self, volume: Millilitres) -> String {
        let sign = if volume.get() < 0 { "-" } else { "" };
        let size = Volume::from_millilitres(volume.get().unsigned_abs() as f64);
        match size {
            Ok(size) if self.metric() && size.litres() >= 1.0 => format!("{sign}{} L", self.number(size.litres(), 1)),
            Ok(size) if self.metric() => format!("{sign}{:.0} ml", size.millilitres()),
            Ok(size) if size.us_gallons() >= 1.0 => {
                format!("{sign}{} {}", self.number(size.us_gallons(), 2), words::US_GALLON)
            }
            Ok(size) => format!("{sign}{} {}", self.number(size.us_fluid_ounces(), 1), words::US_FLUID_OUNCE),
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
            Ok(density) if !self.metric() => self.number(density.lb_ft3(), 1),
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
            Ok(length) if !self.metric() => format!("{} ft", self.number(length.inches() / 12.0, 1)),
            _ => format!("{} m", self.number(mm / 1000.0, 2)),
        }
    }

    /// The same in other units than the workshop's own.
    #[must_use]
    pub fn shown_in(self, units: DisplayUnits) -> Self {
        Self { units, ..self }
    }

    /// The units things are shown in.
    pub const fn units(&self) -> DisplayUnits {
        self.units
    }

    /// The volume contents are said of, and its share of a cubic metre.
    pub fn content_of(&self) -> (&'static str, f64) {
        // A yard is 0.9144 m exactly.
        if self.metric() { (words::CUBIC_METRE, 1.0) } else { (words::CUBIC_YARD, 0.9144 * 0.9144 * 0.9144) }
    }

    /// A content of a cubic metre: `420.0 kg/m³`, `707.9 lb/yd³`.
    pub fn content(&self, kg_m3: f64) -> String {
        match quantities::Content::from_kg_m3(kg_m3.max(0.0)) {
            Ok(content) if !self.metric() => format!("{} lb/yd³", self.number(content.lb_yd3(), 1)),
            _ => format!("{} kg/m³", self.number(kg_m3, 1)),
        }
    }

    /// A strength: `2.9 MPa`, `421 psi`.
    pub fn strength(&self, mpa: f64) -> String {
        format!("{} {}", self.strength_number(mpa), self.strength_unit())
    }

    /// The unit strengths are said in.
    pub fn strength_unit(&self) -> &'static str {
        if self.metric() { "MPa" } else { "psi" }
    }

    fn strength_number(&self, mpa: f64) -> String {
        if self.metric() { self.number(mpa, 1) } else { format!("{:.0}", self.strength_shown(mpa)) }
    }

    /// A strength as a number of that unit.
    pub fn strength_shown(&self, mpa: f64) -> f64 {
        match quantities::Pressure::from_mpa(mpa) {
            Ok(pressure) if !self.metric() => pressure.psi(),
            _ => mpa,
        }
    }

    /// A density in any state, as a number of its unit.
    pub fn density_shown(&self, kg_m3: f64) -> f64 {
        kg_m3 / self.density_factor()
    }

    /// A mass nobody weighs out, to the whole: `4320 kg`, `9524 lb`.
    pub fn heavy(&self, mass: Grams) -> String {
        let unit = self.mass_typed();
        format!("{:.0} {}", mass.get() as f64 / unit.factor, unit.sign)
    }

    /// A temperature: `12 °C`, `53.6 °F`.
    pub fn temperature(&self, celsius: f64) -> String {
        let unit = self.temperature_typed();
        format!("{} {}", self.number((celsius - unit.offset) / unit.factor, usize::from(!self.metric())), unit.sign)
    }

    /// The unit temperatures are typed in; the contract's is °C.
    pub fn temperature_typed(&self) -> Typed {
        // °F = °C · 9/5 + 32, exactly.
        if self.metric() {
            self.unit("°C", 1.0, false)
        } else {
            Typed { offset: -160.0 / 9.0, ..self.unit("°F", 5.0 / 9.0, false) }
        }
    }

    /// The unit lengths are typed in; the contract's is whole mm.
    pub fn length_typed(&self) -> Typed {
        if self.metric() { self.unit("mm", 1.0, true) } else { self.unit("in", 25.4, true) }
    }

    /// The unit masses are typed in; the contract's is whole grams.
    pub fn mass_typed(&self) -> Typed {
        if self.metric() { self.unit("kg", 1000.0, true) } else { self.unit("lb", 453.592_37, true) }
    }

    /// The unit volumes of concrete are typed in; the contract's is whole ml.
    pub fn volume_typed(&self) -> Typed {
        if self.metric() { self.unit("L", 1000.0, true) } else { self.unit(words::US_GALLON, 3_785.411_784, true) }
    }

    /// The unit wet densities and contents are typed in; the contract's is kg/m³.
    pub fn density_typed(&self) -> Typed {
        self.unit(self.density_unit(), self.density_factor(), false)
    }

    /// The unit contents of a cubic metre or yard are typed in; the contract's is kg/m³.
    pub fn content_typed(&self) -> Typed {
        // 0.45359237 kg over 0.9144³ m³, both exact.
        if self.metric() {
            self.unit("kg/m³", 1.0, false)
        } else {
            self.unit("lb/yd³", 0.453_592_37 / (0.9144 * 0.9144 * 0.9144), false)
        }
    }

    /// The unit an amount of a material is typed in; the contract's is the material's own whole unit.
    pub fn amount_typed(&self, unit: StockUnit) -> Typed {
        match unit {
            StockUnit::Gram => self.mass_typed(),
            StockUnit::Millilitre => self.volume_typed(),
            StockUnit::SquareMillimetre if self.metric() => self.unit("m²", 1e6, true),
            StockUnit::SquareMillimetre => self.unit("ft²", 304.8 * 304.8, true),
            StockUnit::Piece => self.unit(words::PIECES, 1.0, true),
        }
    }

    /// The unit money is typed in; the contract's is whole minor units.
    pub fn money_typed(&self) -> Typed {
        self.unit("", 100.0, true)
    }

    /// The currency's code.
    pub fn currency(&self) -> &str {
        &self.currency
    }

    /// An amount of a material in the unit people use for it.
    pub fn amount(&self, amount: Amount, unit: StockUnit) -> String {
        match unit {
            StockUnit::Gram if self.metric() => format!("{} kg", self.number(amount.get() as f64 / 1000.0, 1)),
            StockUnit::Gram => self.mass(Grams::new(amount.get())),
            StockUnit::Millilitre => self.volume(Millilitres::new(amount.get())),
            StockUnit::SquareMillimetre if self.metric() => format!("{} m²", self.number(amount.get() as f64 / 1e6, 2)),
            // A foot is 304.8 mm exactly.
            StockUnit::SquareMillimetre => format!("{} ft²", self.number(amount.get() as f64 / (304.8 * 304.8), 1)),
            StockUnit::Piece => format!("{}", amount.get()),
        }
    }

    /// Money: `EUR 1832.50`.
    pub fn money(&self, minor: i64) -> String {
        let sign = if minor < 0 { "-" } else { "" };
        let size = minor.unsigned_abs();
        format!("{} {sign}{}{}{:02}", self.currency, size / 100, self.decimal_sign(), size % 100)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(units: DisplayUnits, kg_decimals: usize) -> Said {
        Said { units, currency: "EUR".into(), kg_decimals, written: Written::of(None) }
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
    fn what_is_typed_comes_back_as_it_was() {
        for units in [DisplayUnits::Metric, DisplayUnits::UsCustomary] {
            let said = said(units, 3);
            let all = [said.temperature_typed(), said.length_typed(), said.mass_typed(), said.volume_typed()];
            for unit in all.into_iter().chain([said.density_typed(), said.content_typed(), said.money_typed()]) {
                let typed: f64 = unit.write(25_000.0).parse().unwrap();
                let back = typed * unit.factor + unit.offset;
                // Three decimals of the unit typed are finer than the contract's whole units of everything but volumes.
                assert!((back - 25_000.0).abs() <= 0.000_5 * unit.factor + 1e-9, "{unit:?}: {back}");
            }
        }
        let us = said(DisplayUnits::UsCustomary, 3);
        assert_eq!((us.temperature(12.0), us.temperature_typed().write(0.0)), ("53.6 °F".to_owned(), "32".to_owned()));
    }

    #[test]
    fn days_against_the_day_wanted() {
        let on = |text: &str| text.parse::<Day>().unwrap();
        let due = on("2026-03-10");
        assert_eq!(against_due(on("2026-03-10"), due), "on the day");
        assert_eq!(against_due(on("2026-03-11"), due), "1 day late");
        assert_eq!(against_due(on("2026-03-07"), due), "3 days early");
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
