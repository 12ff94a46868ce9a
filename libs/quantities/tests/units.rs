//! Factors against published tables, and the behaviour of the newtypes at their edges.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use quantities::products::WATER_KG_M3;
use quantities::rounding::{days_up, packs_up, to_graduation_half_up, to_grams_half_even, to_resolution_half_up};
use quantities::{
    Celsius, ConcreteState, Content, Density, Fresh, Grams, Hours, Length, Mass, Millilitres, OfMaterial, Pieces,
    Pressure, Ratio, RelativeDensity, StatedDensity, Unclear, Volume, written,
};

fn near(got: f64, expected: f64, tolerance: f64) {
    assert!((got - expected).abs() <= tolerance, "got {got}, expected {expected} ± {tolerance}");
}

/// NIST Handbook 44, Appendix C, General tables of units of measurement: 1 US gallon = 231 cubic inches, exact.
#[test]
fn us_gallon_is_231_cubic_inches() {
    let gallon = Volume::from_us_gallons(1.0).unwrap();
    near(gallon.litres(), 3.785411784, 0.0);
    let inch = Length::from_inches(1.0).unwrap();
    near(gallon.litres(), 231.0 * (inch * inch * inch).litres(), 1e-12);
}

/// NIST Handbook 44, Appendix C, exact values; the imperial ounce from the Units of Measurement Regulations 1995 (UK).
#[test]
fn fluid_ounces_us_and_imperial_differ() {
    near(Volume::from_us_fluid_ounces(1.0).unwrap().millilitres(), 29.5735295625, 1e-12);
    near(Volume::from_imperial_fluid_ounces(1.0).unwrap().millilitres(), 28.4130625, 1e-12);
    near(Volume::from_us_fluid_ounces(128.0).unwrap().us_gallons(), 1.0, 1e-12);
    let imperial_gallon = Volume::from_imperial_gallons(1.0).unwrap().litres();
    near(Volume::from_imperial_fluid_ounces(160.0).unwrap().litres(), imperial_gallon, 1e-12);
}

/// NIST Handbook 44, Appendix C: 1 lb = 0.45359237 kg, exact.
#[test]
fn pound() {
    near(Mass::from_pounds(1.0).unwrap().kg(), 0.45359237, 0.0);
    near(Mass::from_ounces(16.0).unwrap().pounds(), 1.0, 1e-15);
    near(Mass::from_us_tons(1.0).unwrap().pounds(), 2000.0, 1e-9);
}

/// NIST Handbook 44, Appendix C: cubic foot and cubic yard exact; 7.48052 gal to the cubic foot.
#[test]
fn cubic_foot_and_yard() {
    let foot = Volume::from_cubic_feet(1.0).unwrap();
    near(foot.litres(), 28.316846592, 0.0);
    near(foot.us_gallons(), 7.48052, 1e-5);
    near(Volume::from_cubic_yards(1.0).unwrap().litres(), 764.554857984, 0.0);
    near(Volume::from_cubic_yards(1.0).unwrap().cubic_feet(), 27.0, 1e-12);
}

/// US Navy, naval facilities conversion table: 1 lb/ft³ = 16.0185 kg/m³; lb/yd³ by 27 ft³ to the yd³.
#[test]
fn pounds_per_volume() {
    near(Density::<Fresh>::from_lb_ft3(1.0).unwrap().kg_m3(), 16.01846, 1e-5);
    near(Content::from_lb_yd3(1.0).unwrap().kg_m3(), 0.593276, 1e-5);
    near(Content::from_lb_yd3(27.0).unwrap().kg_m3(), 16.01846, 1e-5);
}

/// From memory: 1 psi = 6.894757 kPa, 1 MPa = 145.038 psi; consistent with the pair 200 psi = 1.4 MPa of
/// ASTM C869-91(1999), Table 1.
#[test]
fn pounds_force_per_square_inch() {
    near(Pressure::from_psi(1.0).unwrap().mpa() * 1000.0, 6.894757, 1e-5);
    near(Pressure::from_mpa(1.0).unwrap().psi(), 145.038, 1e-3);
    near(Pressure::from_psi(200.0).unwrap().mpa(), 1.4, 0.05);
}

/// Arithmetic on the factors above: 25 kg = 55.116 lb, 80 lb = 36.287 kg, 5 US gal = 18.927 L = 41.7 lb of water.
#[test]
fn bags_and_pails() {
    near(Mass::from_kg(25.0).unwrap().pounds(), 55.116, 1e-3);
    near(Mass::from_pounds(80.0).unwrap().kg(), 36.287, 1e-3);
    let pail = Volume::from_us_gallons(5.0).unwrap();
    near(pail.litres(), 18.927, 1e-3);
    near((RelativeDensity::WATER.density() * pail).pounds(), 41.7, 0.05);
    near(Density::<OfMaterial>::from_kg_m3(WATER_KG_M3).unwrap().lb_ft3(), 62.4, 0.03);
}

/// City standard specification for cement: a 94 lb bag is 42.6 kg, good within 3 %.
#[test]
fn bag_of_cement() {
    let bag = Mass::from_pounds(94.0).unwrap();
    near(bag.kg(), 42.638, 1e-3);
    let metric = Mass::from_kg(42.6).unwrap();
    assert!((metric.over(bag).unwrap().number() - 1.0).abs() < 0.03);
}

/// SI conversion table: water of 62.4 lb/ft³ is 8.342 lb to the US gallon (8.338 at 60 °F); ours of 1000 kg/m³ is 8.345.
#[test]
fn a_gallon_of_water() {
    let gallon = Volume::from_us_gallons(1.0).unwrap();
    near((Density::<OfMaterial>::from_lb_ft3(62.4).unwrap() * gallon).pounds(), 8.342, 5e-4);
    near((RelativeDensity::WATER.density() * gallon).pounds(), 8.345, 5e-4);
    near((RelativeDensity::WATER.density() * gallon).pounds() / 8.338, 1.0, 0.001);
}

/// Whatever goes in by a unit comes out by it, and a getter in another unit agrees with the constructor of that unit.
#[test]
fn every_unit_goes_there_and_back() {
    type Getter<Q> = fn(Q) -> f64;
    let volumes: [(Volume, Getter<Volume>); 7] = [
        (Volume::from_litres(3.0).unwrap(), Volume::litres),
        (Volume::from_millilitres(3.0).unwrap(), Volume::millilitres),
        (Volume::from_m3(3.0).unwrap(), Volume::m3),
        (Volume::from_us_gallons(3.0).unwrap(), Volume::us_gallons),
        (Volume::from_us_fluid_ounces(3.0).unwrap(), Volume::us_fluid_ounces),
        (Volume::from_cubic_feet(3.0).unwrap(), Volume::cubic_feet),
        (Volume::from_cubic_yards(3.0).unwrap(), Volume::cubic_yards),
    ];
    volumes.iter().for_each(|(volume, get)| near(get(*volume), 3.0, 1e-12));
    let masses: [(Mass, Getter<Mass>); 4] = [
        (Mass::from_kg(3.0).unwrap(), Mass::kg),
        (Mass::from_grams(3.0).unwrap(), Mass::grams),
        (Mass::from_pounds(3.0).unwrap(), Mass::pounds),
        (Mass::from_us_tons(3.0).unwrap(), Mass::us_tons),
    ];
    masses.iter().for_each(|(mass, get)| near(get(*mass), 3.0, 1e-12));
    near(Mass::from_tonnes(3.0).unwrap().kg(), 3000.0, 0.0);
    near(Mass::from_ledger(Grams::new(2500)).unwrap().kg(), 2.5, 0.0);
    near(Volume::from_ledger(Millilitres::new(2500)).unwrap().litres(), 2.5, 0.0);
    near(Length::from_inches(3.0).unwrap().inches(), 3.0, 1e-12);
    near(Content::from_lb_yd3(3.0).unwrap().lb_yd3(), 3.0, 1e-12);
    near(Density::<Fresh>::from_lb_ft3(3.0).unwrap().lb_ft3(), 3.0, 1e-12);
    near(Hours::from_days(3.0).unwrap().days(), 3.0, 0.0);
    near(Celsius::from_fahrenheit(50.0).unwrap().celsius(), 10.0, 1e-12);
    near(Celsius::from_celsius(10.0).unwrap().fahrenheit(), 50.0, 1e-12);
    near(Celsius::from_celsius(20.0).unwrap().kelvin(), 293.15, 1e-12);
}

#[test]
fn products_that_mean_something() {
    let tenth = Volume::from_litres(100.0).unwrap();
    near((Density::<Fresh>::from_kg_m3(800.0).unwrap() * tenth).kg(), 80.0, 1e-12);
    near((Content::from_kg_m3(300.0).unwrap() * tenth).kg(), 30.0, 1e-12);
    near(Mass::from_kg(30.0).unwrap().content_in(tenth).unwrap().kg_m3(), 300.0, 1e-9);
    near(Mass::from_kg(80.0).unwrap().per::<Fresh>(tenth).unwrap().kg_m3(), 800.0, 1e-9);
    let kg = Mass::from_kg(1.0).unwrap();
    assert_eq!(kg.checked_sub(kg), Some(Mass::ZERO));
    near(tenth.over(Volume::CUBIC_METRE).unwrap().per_cent(), 10.0, 1e-12);
    near(Ratio::from_number(0.3).unwrap().rest().number(), 0.7, 1e-12);
    assert_eq!(Ratio::from_number(3.0).unwrap().rest(), Ratio::ZERO);
}

#[test]
fn nothing_outside_its_range_gets_in() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1.0, 1.0e30] {
        assert!(Mass::from_kg(bad).is_err(), "mass {bad}");
        assert!(Volume::from_litres(bad).is_err(), "volume {bad}");
        assert!(Density::<Fresh>::from_kg_m3(bad).is_err(), "density {bad}");
        assert!(RelativeDensity::from_number(bad).is_err(), "relative density {bad}");
        assert!(Ratio::from_number(bad).is_err(), "ratio {bad}");
        assert!(Length::from_mm(bad).is_err(), "length {bad}");
        assert!(Hours::from_hours(bad).is_err(), "hours {bad}");
    }
    assert!(Celsius::from_celsius(-1.0).is_ok() && Celsius::from_celsius(f64::NAN).is_err());
    let error = Density::<Fresh>::from_kg_m3(0.0).unwrap_err().to_string();
    assert_eq!(error, "density 0 kg/m³ is outside 0.1 to 25000 kg/m³");
}

#[test]
fn quotients_of_nothing_are_errors() {
    let kg = Mass::from_kg(1.0).unwrap();
    assert!(kg.per::<Fresh>(Volume::ZERO).is_err());
    assert!(kg.over(Mass::ZERO).is_err());
    assert!(Mass::ZERO.over(Mass::ZERO).is_err());
    assert_eq!(kg.checked_sub(Mass::from_kg(2.0).unwrap()), None);
}

#[test]
fn densities_in_two_states_are_not_compared() {
    let fresh = StatedDensity::from_kg_m3(ConcreteState::Fresh, 1000.0).unwrap();
    let dry = StatedDensity::from_kg_m3(ConcreteState::OvenDry, 800.0).unwrap();
    let gravel = StatedDensity::from_kg_m3(ConcreteState::OvenDry, 2000.0).unwrap();
    assert_eq!(dry.per_cent_lighter_than(gravel), Ok(60.0));
    let refused = fresh.difference_kg_m3(dry).unwrap_err();
    assert_eq!(refused.to_string(), "fresh and oven-dry concrete cannot be compared; weigh both in the same state");
}

#[test]
fn roundings_go_the_way_they_are_named() {
    let grams = |g: f64| Mass::from_grams(g).unwrap();
    assert_eq!(to_grams_half_even(grams(2.5)), Grams::new(2));
    assert_eq!(to_grams_half_even(grams(3.5)), Grams::new(4));
    assert_eq!(to_resolution_half_up(grams(12.5), Grams::new(5)), Grams::new(15));
    assert_eq!(to_resolution_half_up(grams(12.4), Grams::new(5)), Grams::new(10));
    assert_eq!(to_resolution_half_up(grams(1.0), Grams::new(0)), Grams::new(1));
    // 0.145 kg is 144.99999999999997 g in binary; on paper it is half of ten grams past 140.
    assert_eq!(to_resolution_half_up(Mass::from_kg(0.145).unwrap(), Grams::new(10)), Grams::new(150));
    let volume = Volume::from_millilitres(25.0).unwrap();
    assert_eq!(to_graduation_half_up(volume, Millilitres::new(10)), Millilitres::new(30));
    let pack = Mass::from_kg(25.0).unwrap();
    assert_eq!(packs_up(Mass::from_kg(75.0).unwrap(), pack), Some(Pieces::new(3)));
    assert_eq!(packs_up(Mass::from_kg(75.001).unwrap(), pack), Some(Pieces::new(4)));
    assert_eq!(packs_up(pack, Mass::ZERO), None);
    assert_eq!(days_up(Hours::from_hours(48.0).unwrap()), 2);
    assert_eq!(days_up(Hours::from_hours(48.1).unwrap()), 3);
}

/// The reason for the rule: a mass summed many times does not drift.
#[test]
fn half_even_does_not_drift() {
    let total: Grams = (0..1000).map(|i| to_grams_half_even(Mass::from_grams(f64::from(i) + 0.5).unwrap())).sum();
    assert_eq!(total, Grams::new((0..1000).sum::<i64>() + 500));
}

#[test]
fn amounts_in_writing_need_a_clear_unit() {
    near(written::mass("15 lb").unwrap().kg(), 6.80388555, 1e-12);
    near(written::volume("2.5 US gal").unwrap().litres(), 9.46352946, 1e-12);
    near(written::volume("15 US fl. oz.").unwrap().millilitres(), 443.6029434375, 1e-9);
    near(written::length("8in").unwrap().mm(), 203.2, 1e-12);
    for (unit, choice) in
        [("gal", "US gal or imp gal"), ("oz", "oz av (mass)"), ("ton", "US ton"), ("bag", "25 kg"), ("%", "% of mix")]
    {
        for read in [written::mass(&format!("3 {unit}")).err(), written::volume(&format!("3 {unit}")).err()] {
            let error = read.unwrap_or_else(|| panic!("3 {unit} was accepted"));
            assert!(matches!(error, Unclear::Ambiguous { .. }), "{error}");
            assert!(error.to_string().contains(choice), "{error}");
        }
    }
    assert!(matches!(written::mass("lb"), Err(Unclear::NoNumber { .. })));
    assert!(matches!(written::mass("1 stone"), Err(Unclear::UnknownUnit { .. })));
    assert!(matches!(written::mass("-1 kg"), Err(Unclear::OutOfRange(_))));
    assert!(written::mass("1-2 kg").is_err());
}

#[test]
fn densities_and_temperatures_in_writing_need_a_clear_unit() {
    let wet = |text: &str| written::density::<Fresh>(text).map(|density| density.kg_m3());
    for (text, kg_m3) in [
        ("960 kg/m³", 960.0),
        ("960KG/M3", 960.0),
        ("960 kg / m³.", 960.0),
        (" 50 g/L ", 50.0),
        ("50 g/l", 50.0),
        ("60 lb/ft³", 961.107_802),
        ("60 Lb./ft3", 961.107_802),
    ] {
        near(wet(text).unwrap_or_else(|error| panic!("{text}: {error}")), kg_m3, 1e-6);
    }
    for (text, celsius) in [("5 °C", 5.0), ("-2°c", -2.0), ("41 °F", 5.0), ("41 f.", 5.0), ("+5 ° C", 5.0)] {
        near(written::temperature(text).unwrap_or_else(|error| panic!("{text}: {error}")).celsius(), celsius, 1e-12);
    }
    for (text, said) in
        [("960", "a unit after the number"), ("960 pounds", "kg/m³, g/L, lb/ft³"), ("9 oz", "oz av (mass)")]
    {
        let error = wet(text).unwrap_err().to_string();
        assert!(error.contains(said), "{text}: {error}");
    }
    for (text, said) in
        [("8", "a unit after the number"), ("8 °", "°C or °F"), ("8 degrees", "°C or °F"), ("8 K", "°C, °F")]
    {
        let error = written::temperature(text).unwrap_err().to_string();
        assert!(error.contains(said), "{text}: {error}");
    }
    for wrong in ["kg/m³", "-5 kg/m³", "nan kg/m³", "0 kg/m³", "900-960 kg/m³"] {
        assert!(wet(wrong).is_err(), "{wrong}");
    }
    assert!(matches!(written::temperature("900 °C"), Err(Unclear::OutOfRange(_))));
    assert!(matches!(written::temperature("warm"), Err(Unclear::NoNumber { .. })));
}

#[test]
fn states_are_spelled_out() {
    use ConcreteState::{AirDry, Demoulded, Fresh, FromTheTank, OvenDry};
    let names: Vec<String> = [Fresh, Demoulded, FromTheTank, AirDry, OvenDry].iter().map(ToString::to_string).collect();
    assert_eq!(names, ["fresh", "demoulded", "from the tank", "air-dry", "oven-dry"]);
    assert_eq!(format!("{:.1}", Density::<quantities::Fresh>::from_kg_m3(800.0).unwrap()), "800.0 kg/m³");
    assert_eq!(format!("{}", Ratio::from_per_cent(5.0).unwrap()), "0.050");
}
