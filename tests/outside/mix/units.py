"""Every unit the quantities library takes, against pint's definitions, in exact fractions."""
import random
import re
from fractions import Fraction
from pathlib import Path

import pint

from asking import Tally

PINT = pint.UnitRegistry(non_int_type=Fraction)
SHARE = 1e-12
# Temperatures are shifted, so a share of the number says little near 0 °C: of the kelvins, then.
KELVINS = 273.15

# Constructor: pint's unit of the number given, pint's unit of the answer, largest number to try.
CONSTRUCTORS = {
    "Mass::from_kg": ("kilogram", "kilogram", 1e6),
    "Mass::from_grams": ("gram", "kilogram", 1e6),
    "Mass::from_pounds": ("pound", "kilogram", 1e6),
    "Mass::from_ounces": ("ounce", "kilogram", 1e6),
    "Mass::from_us_tons": ("short_ton", "kilogram", 1e5),
    "Mass::from_tonnes": ("metric_ton", "kilogram", 1e5),
    "Content::from_kg_m3": ("kilogram / meter ** 3", "kilogram / meter ** 3", 3000),
    "Content::from_lb_yd3": ("pound / yard ** 3", "kilogram / meter ** 3", 5000),
    "Volume::from_litres": ("liter", "liter", 1e6),
    "Volume::from_millilitres": ("milliliter", "liter", 1e6),
    "Volume::from_m3": ("meter ** 3", "liter", 1e5),
    "Volume::from_us_gallons": ("gallon", "liter", 1e6),
    "Volume::from_us_fluid_ounces": ("fluid_ounce", "liter", 1e6),
    "Volume::from_imperial_gallons": ("imperial_gallon", "liter", 1e6),
    "Volume::from_imperial_fluid_ounces": ("imperial_fluid_ounce", "liter", 1e6),
    "Volume::from_cubic_feet": ("foot ** 3", "liter", 1e5),
    "Volume::from_cubic_yards": ("yard ** 3", "liter", 1e5),
    "Length::from_mm": ("millimeter", "millimeter", 1e5),
    "Length::from_inches": ("inch", "millimeter", 3900),
    "Area::from_mm2": ("millimeter ** 2", "millimeter ** 2", 1e6),
    "Density::from_kg_m3": ("kilogram / meter ** 3", "kilogram / meter ** 3", 3000),
    "Density::from_lb_ft3": ("pound / foot ** 3", "kilogram / meter ** 3", 200),
    "Pressure::from_mpa": ("megapascal", "megapascal", 100),
    "Pressure::from_psi": ("psi", "megapascal", 1e4),
    "Celsius::from_celsius": ("degree_Celsius", "degree_Celsius", 100),
    "Celsius::from_fahrenheit": ("degree_Fahrenheit", "degree_Celsius", 200),
    "Hours::from_hours": ("hour", "hour", 1e5),
    "Hours::from_days": ("day", "hour", 1e4),
    "Ratio::from_number": ("dimensionless", "dimensionless", 100),
    "Ratio::from_per_cent": ("percent", "dimensionless", 100),
}
# Not a unit: whole ledger counts; a density relative to water; and the states of concrete, which take kg and kg/m³ only.
NO_UNITS = {"from_ledger"}
NO_QUANTITIES = {"RelativeDensity", "ConcreteMass", "StatedDensity"}

# What may stand behind a number, and pint's unit for it.
WRITTEN = {
    "mass": ("kilogram", {"g": "gram", "kg": "kilogram", "t": "metric_ton", "tonne": "metric_ton", "tonnes": "metric_ton", "lb": "pound",
                          "lbs": "pound", "LB": "pound", "oz av": "ounce", "oz. av.": "ounce", "US ton": "short_ton", "us tons": "short_ton"}),
    "volume": ("liter", {"ml": "milliliter", "mL": "milliliter", "L": "liter", "l": "liter", "litre": "liter", "litres": "liter",
                         "m3": "meter ** 3", "m³": "meter ** 3", "US gal": "gallon", "US gal.": "gallon", "US fl oz": "fluid_ounce",
                         "us fl. oz.": "fluid_ounce", "imp gal": "imperial_gallon", "imp. gal.": "imperial_gallon", "imp fl oz": "imperial_fluid_ounce",
                         "ft3": "foot ** 3", "ft³": "foot ** 3", "yd3": "yard ** 3", "yd³": "yard ** 3"}),
    "length": ("millimeter", {"mm": "millimeter", "cm": "centimeter", "m": "meter", "in": "inch", "ft": "foot"}),
    "density": ("kilogram / meter ** 3", {"kg/m³": "kilogram / meter ** 3", "kg/m3": "kilogram / meter ** 3", "KG/M3": "kilogram / meter ** 3",
                                          "kg / m³.": "kilogram / meter ** 3", "g/L": "gram / liter", "g/l": "gram / liter",
                                          "lb/ft³": "pound / foot ** 3", "lb/ft3": "pound / foot ** 3", "lb./ft3": "pound / foot ** 3"}),
    "temperature": ("degree_Celsius", {"°C": "degree_Celsius", "C": "degree_Celsius", "° c": "degree_Celsius", "°F": "degree_Fahrenheit",
                                       "f.": "degree_Fahrenheit"}),
}
UNCLEAR = {"mass": ("oz", "ton", "bag", "sack", "%", "gal", "", "stone"), "volume": ("gal", "fl oz", "oz", "pint", "", "bag", "kg"),
           "length": ("", "yd", "%", "kg"),
           "density": ("", "kg", "lb", "lb/yd³", "kg/m2", "%"), "temperature": ("", "°", "deg", "degrees", "K", "kg")}


def exactly(number, unit, into):
    """A number of a unit in another, by pint."""
    return PINT.Quantity(Fraction(number), unit).to(into).magnitude


def check(library, project):
    """Constructors and getters, written amounts, refusals."""
    return all([constructors(library, project), written(library), refusals(library)])


def constructors(library, project):
    """Each constructor at numbers small and large, and the getter that undoes it; none in the source is left out."""
    tally, rng, questions = Tally("units by constructor"), random.Random(1), []
    for by, (_, _, largest) in CONSTRUCTORS.items():
        shift = -40 if by.startswith("Celsius") else 0
        values = [1.0, largest / 3, *(rng.uniform(0, largest) for _ in range(30)), *(10 ** rng.uniform(-1, 1) for _ in range(10))]
        questions += [dict(ask="convert", by=by, value=value + shift if abs(shift) < largest else value) for value in values]
    for question, answer in zip(questions, library.ask(questions)):
        by, value = question["by"], question["value"]
        unit, own, _ = CONSTRUCTORS[by]
        floor = KELVINS if by.startswith("Celsius") else 0.0
        tally.same(f"{by}({value!r})", answer.get("value", answer), exactly(value, unit, own), SHARE, floor)
        if answer.get("back") is not None:
            tally.same(f"{by}({value!r}) and back", answer["back"], Fraction(value), SHARE, floor)
    for by in sorted(in_source(project)):
        tally.holds(f"{by} is in the source and not compared with pint", by in CONSTRUCTORS)
    return tally.close(1000)


def in_source(project):
    """The constructors there are, as `Mass::from_kg`."""
    found = set()
    for file in (project / "libs/quantities/src").glob("*.rs"):
        quantity = None
        for line in file.read_text().splitlines():
            if start := re.match(r"impl(?:<[^>]*>)? (\w+)", line):
                quantity = start[1]
            if made := re.match(r"\s+pub (?:const )?fn (from_\w+)\(", line):
                if made[1] not in NO_UNITS and quantity not in NO_QUANTITIES:
                    found.add(f"{quantity}::{made[1]}")
    return found


def written(library):
    """Amounts as people write them; the units a refusal offers are all among those compared."""
    tally, rng, questions, wanted = Tally("units in writing"), random.Random(2), [], []
    for quantity, (own, units) in WRITTEN.items():
        for unit, meant in units.items():
            for number in ["1", "2.5", "0.125", *(f"{rng.uniform(0, 90):.3f}" for _ in range(5))]:
                for text in (f"{number} {unit}", f"  {number}{unit} "):
                    questions.append(dict(ask="read", quantity=quantity, written=text))
                    wanted.append(exactly(number, meant, own))
    for question, answer, value in zip(questions, library.ask(questions), wanted):
        floor = KELVINS if question["quantity"] == "temperature" else 0.0
        tally.same(repr(question["written"]), answer.get("value", answer), value, SHARE, floor)
    for quantity, (_, units) in WRITTEN.items():
        offered = library.ask([dict(ask="read", quantity=quantity, written="1 furlong-ish")])[0]["refused"]
        choices = re.sub(r"\s*\([^)]*\)", "", offered.split("one of ", 1)[-1])
        for choice in choices.split(", "):
            tally.holds(f"a refusal offers {choice!r}, which is not compared ({offered})", choice in units)
    return tally.close(500)


def refusals(library):
    """What has two meanings or none is not guessed at, nor is what is no number."""
    tally = Tally("units refused")
    questions = [dict(ask="read", quantity=quantity, written=f"5 {unit}") for quantity, units in UNCLEAR.items() for unit in units]
    questions += [dict(ask="read", quantity=quantity, written=text) for quantity in WRITTEN for text in ("kg", "", "five kg", "1e400 kg", "-1 kg", "--2 kg")]
    for question, answer in zip(questions, library.ask(questions)):
        tally.holds(f"{question['written']!r} is read as a {question['quantity']}: {answer}", "refused" in answer)
    return tally.close(30)
