//! Units in the names of columns: `pack_kg`, `length_in`. What they are of the unit of record is exact.

use workshop::catalogue::StockUnit;

use crate::table::us;

/// What a column measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// An amount of a material; `_in_unit` is its own unit, `_in_us_unit` the US one our exports give for it.
    Stock,
    /// A length, recorded in mm.
    Length,
    /// A volume, recorded in ml.
    Volume,
    /// Labour, recorded in minutes.
    Time,
    /// Money, recorded in minor currency units.
    Money,
}

/// What kind of thing a unit measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Of {
    Own,
    OwnUs,
    Mass,
    Volume,
    Area,
    Count,
    Length,
    Time,
    Money,
}

/// A unit by its word, and how many units of record it is, as a fraction.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unit {
    /// As it stands behind the column's name.
    pub word: &'static str,
    of: Of,
    ratio: (i128, i128),
    /// Whether a fraction of the unit of record is what comes of converting, and not a slip.
    rounds: bool,
}

/// Whole units of record.
const fn whole(word: &'static str, of: Of, times: i128) -> Unit {
    Unit { word, of, ratio: (times, 1), rounds: false }
}

/// Units whose multiples are no whole units of record: rounded, a half to the even one.
const fn other(word: &'static str, of: Of, over: i128, under: i128) -> Unit {
    Unit { word, of, ratio: (over, under), rounds: true }
}

/// Every unit a column's name may end in. Pound, inch, US gallon and US fluid ounce: exact (NIST Handbook 44, appendix C,
/// "General tables of units of measurement", 2024); the imperial gallon of 4.54609 L: Units of Measurement Regulations 1995.
const UNITS: [Unit; 33] = [
    whole("in_unit", Of::Own, 1),
    // What it is in the unit of record is for the material to say: see [`Unit::of_material`].
    other("in_us_unit", Of::OwnUs, 1, 1),
    whole("g", Of::Mass, 1),
    whole("kg", Of::Mass, 1_000),
    whole("t", Of::Mass, 1_000_000),
    other("lb", Of::Mass, 45_359_237, 100_000),
    other("oz_av", Of::Mass, 45_359_237, 1_600_000),
    other("us_ton", Of::Mass, 90_718_474_000, 100_000),
    whole("ml", Of::Volume, 1),
    whole("l", Of::Volume, 1_000),
    whole("m3", Of::Volume, 1_000_000),
    other("us_gal", Of::Volume, 3_785_411_784, 1_000_000),
    other("us_fl_oz", Of::Volume, 295_735_295_625, 10_000_000_000),
    other("imp_gal", Of::Volume, 454_609, 100),
    other("imp_fl_oz", Of::Volume, 454_609, 16_000),
    other("in3", Of::Volume, 16_387_064, 1_000_000),
    whole("mm2", Of::Area, 1),
    whole("cm2", Of::Area, 100),
    whole("m2", Of::Area, 1_000_000),
    other("in2", Of::Area, 64_516, 100),
    other("ft2", Of::Area, 9_290_304, 100),
    other("yd2", Of::Area, 83_612_736, 100),
    whole("pieces", Of::Count, 1),
    whole("mm", Of::Length, 1),
    whole("cm", Of::Length, 10),
    whole("m", Of::Length, 1_000),
    other("in", Of::Length, 254, 10),
    other("ft", Of::Length, 3_048, 10),
    whole("min", Of::Time, 1),
    whole("h", Of::Time, 60),
    other("s", Of::Time, 1, 60),
    whole("minor", Of::Money, 1),
    // Of currencies with hundredths, which all pages take for granted.
    whole("major", Of::Money, 100),
];

/// Words that mean two units, with those to choose from.
const UNCLEAR: [(&str, &str); 5] = [
    ("gal", "us_gal or imp_gal"),
    ("fl_oz", "us_fl_oz or imp_fl_oz"),
    ("oz", "oz_av, us_fl_oz or imp_fl_oz"),
    ("ton", "t (1000 kg) or us_ton (2000 lb)"),
    ("bags", "the mass of all of them, in kg or lb"),
];

/// Why a value is no whole number of the unit of record.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lost {
    /// It has a fraction of it.
    Fraction,
    /// It is more than is counted.
    TooMuch,
}

impl Measure {
    /// The unit of the column in our own exports.
    pub const fn usual(self) -> &'static str {
        match self {
            Measure::Stock => "in_unit",
            Measure::Length => "mm",
            Measure::Volume => "ml",
            Measure::Time => "min",
            Measure::Money => "minor",
        }
    }

    fn takes(self, of: Of) -> bool {
        match self {
            Measure::Stock => matches!(of, Of::Own | Of::OwnUs | Of::Mass | Of::Volume | Of::Area | Of::Count),
            Measure::Length => of == Of::Length,
            Measure::Volume => of == Of::Volume,
            Measure::Time => of == Of::Time,
            Measure::Money => of == Of::Money,
        }
    }

    /// The units it may be given in, by their words.
    pub fn words(self) -> Vec<&'static str> {
        UNITS.iter().filter(|unit| self.takes(unit.of)).map(|unit| unit.word).collect()
    }

    /// The unit of that word, or what to choose from where it has two meanings or none.
    ///
    /// # Errors
    /// A few words that say what to give.
    pub fn unit(self, word: &str) -> Result<Unit, String> {
        if let Some(unit) = UNITS.iter().find(|unit| unit.word == word && self.takes(unit.of)) {
            return Ok(*unit);
        }
        match UNCLEAR.iter().find(|(unclear, _)| *unclear == word) {
            Some((_, choices)) => Err(format!("'{word}' is not clear: say {choices}")),
            None => Err(format!("there are {}", self.words().join(", "))),
        }
    }
}

impl Unit {
    /// The unit it is for a material counted so: another only where the column leaves that to the material.
    #[must_use]
    pub fn of_material(self, own: StockUnit) -> Unit {
        let word = us::unit(own);
        let stands_for = (self.of == Of::OwnUs).then(|| UNITS.iter().find(|unit| unit.word == word)).flatten();
        stands_for.copied().unwrap_or(self)
    }

    /// Whether an amount in it is one of a material counted so.
    pub fn suits(self, unit: StockUnit) -> bool {
        let of = match unit {
            StockUnit::Gram => Of::Mass,
            StockUnit::Millilitre => Of::Volume,
            StockUnit::SquareMillimetre => Of::Area,
            StockUnit::Piece => Of::Count,
        };
        matches!(self.of, Of::Own | Of::OwnUs) || self.of == of
    }

    /// So many of it in the unit of record.
    ///
    /// # Errors
    /// Where that is no whole number, or beyond counting.
    pub fn recorded(self, number: super::exact::Exact) -> Result<i64, Lost> {
        let (amount, rounded) = number.times(self.ratio).ok_or(Lost::TooMuch)?;
        if rounded && !self.rounds { Err(Lost::Fraction) } else { Ok(amount) }
    }
}

#[cfg(test)]
mod tests {
    use super::super::exact::Exact;
    use super::*;

    fn recorded(measure: Measure, number: &str, word: &str) -> Result<i64, Lost> {
        measure.unit(word).unwrap().recorded(Exact::parse(number).unwrap())
    }

    #[test]
    fn every_unit_is_what_the_quantities_say() {
        use quantities::written;
        let same = |word: &str, of_quantities: f64| {
            let ours = UNITS.iter().find(|unit| unit.word == word).unwrap();
            let ours = ours.ratio.0 as f64 / ours.ratio.1 as f64;
            assert!((ours / of_quantities - 1.0).abs() < 1e-12, "{word}: {ours} and {of_quantities}");
        };
        for (word, text) in [("kg", "1 kg"), ("t", "1 t"), ("lb", "1 lb"), ("oz_av", "1 oz av"), ("us_ton", "1 US ton")]
        {
            same(word, written::mass(text).unwrap().grams());
        }
        for (word, text) in [
            ("l", "1 L"),
            ("m3", "1 m3"),
            ("us_gal", "1 US gal"),
            ("us_fl_oz", "1 US fl oz"),
            ("imp_gal", "1 imp gal"),
            ("imp_fl_oz", "1 imp fl oz"),
        ] {
            same(word, written::volume(text).unwrap().millilitres());
        }
        for (word, text) in [("cm", "1 cm"), ("m", "1 m"), ("in", "1 in"), ("ft", "1 ft")] {
            same(word, written::length(text).unwrap().mm());
        }
        same("in2", 25.4 * 25.4);
        same("ft2", 304.8 * 304.8);
        same("yd2", 914.4 * 914.4);
        same("in3", 2.54 * 2.54 * 2.54);
    }

    #[test]
    fn amounts_become_the_unit_of_record() {
        assert_eq!(recorded(Measure::Stock, "25", "kg"), Ok(25_000));
        assert_eq!(recorded(Measure::Stock, "94", "lb"), Ok(42_638));
        assert_eq!(recorded(Measure::Stock, "0.0005", "kg"), Err(Lost::Fraction));
        assert_eq!(recorded(Measure::Stock, "2.5", "in_unit"), Err(Lost::Fraction));
        assert_eq!(recorded(Measure::Length, "36", "in"), Ok(914));
        assert_eq!(recorded(Measure::Money, "4.95", "major"), Ok(495));
        assert_eq!(recorded(Measure::Stock, "999999999999999999", "t"), Err(Lost::TooMuch));
    }

    #[test]
    fn a_us_unit_is_the_one_that_stands_for_the_materials_own() {
        let us = Measure::Stock.unit("in_us_unit").unwrap();
        let recorded = |own, number| us.of_material(own).recorded(Exact::parse(number).unwrap());
        assert_eq!(recorded(StockUnit::Gram, "55.116"), Ok(25_000));
        assert_eq!(recorded(StockUnit::Millilitre, "33.81"), Ok(1_000));
        assert_eq!(recorded(StockUnit::SquareMillimetre, "10.76391"), Ok(1_000_000));
        assert_eq!(recorded(StockUnit::Piece, "12"), Ok(12));
        assert_eq!(recorded(StockUnit::Piece, "12.5"), Err(Lost::Fraction));
        assert_eq!(Measure::Stock.unit("kg").unwrap().of_material(StockUnit::Gram).word, "kg");
    }

    #[test]
    fn what_means_two_things_is_asked_back() {
        assert!(Measure::Stock.unit("gal").unwrap_err().contains("us_gal or imp_gal"));
        assert!(Measure::Length.unit("kg").unwrap_err().contains("mm, cm, m, in, ft"));
        assert!(Measure::Stock.unit("kg").unwrap().suits(StockUnit::Gram));
        assert!(!Measure::Stock.unit("kg").unwrap().suits(StockUnit::Millilitre));
    }
}
