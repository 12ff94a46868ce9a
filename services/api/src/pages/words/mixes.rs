//! The mixes' pages.

use maud::{Markup, html};

use super::shared::counted;

pub const CHEAPEST_PROPORTIONS: &str = "Cheapest proportions";
pub const SIDE_BY_SIDE: &str = "Two revisions side by side";
pub const A_NEW_MIX: &str = "A new mix";
pub const A_NEW_REVISION: &str = "A new revision";
pub const NO_MIX: &str = "No mix is recorded yet.";
pub const NO_REVISION: &str = "No revision of it is recorded yet.";
pub const REVISION: &str = "Revision";
pub const WET_DENSITY: &str = "Wet density";
pub const IN_MOULD_AT_20C: &str = "In the mould at 20 °C";
pub const WATER: &str = "Water";
pub const RACK: &str = "Rack";
pub const MATERIAL_A_CUBIC_METRE: &str = "Material, a cubic metre";
pub const PRICE_MISSING: &str = "not every price is known";
pub const TRIALS: &str = "Trials";
pub const NO_TRIALS: &str = "No trial is recorded yet. Record one with POST /trials: densities each with its state, strengths with their age, wear.";
pub const REFERENCE_CONCRETE: &str = "Reference concrete";
pub const COMPARE_WITH_IT: &str = "Compare with it";
pub const SIGNS_KEY: &str =
    "● Portland cement with foam   ▲ rapid-setting cement   ✕ without foam   a ring: the reference";
pub const NUMBER: &str = "No.";
pub const TRIAL: &str = "Trial";
pub const MIXED: &str = "Mixed";
pub const WET: &str = "Wet";
pub const AIR_DRY: &str = "Air-dry";
pub const OVEN_DRY: &str = "Oven-dry";
pub const STRENGTH_28: &str = "Strength, 28 days";
pub const WEAR: &str = "Wear";
pub const LIGHTER_OVEN_DRY: &str = "Lighter, oven-dry";
pub const STRONGER: &str = "Stronger";
pub const LESS_WORN: &str = "Less worn";
pub const CHEAPER: &str = "Cheaper";
pub const CRACKS_SEEN: &str = "Cracks seen";
pub const ALL_MIXES: &str = "All mixes";
pub const IT_IS: &str = "It is";
pub const IN_THE_MOULD: &str = "In the mould";
pub const WATER_RACK: &str = "Water, rack";
pub const A_BATCH: &str = "A batch";
pub const BY_CALCULATION: &str = "By calculation";
pub const WATER_CEMENT: &str = "Water/cement";
pub const AIR: &str = "Air";
pub const MATERIAL: &str = "Material";
pub const BY_MASS: &str = "By mass";
pub const BY_VOLUME: &str = "By volume";
pub const WEIGH_OUT_A_BATCH: &str = "Weigh out a batch";
pub const SHOW_THE_SHEET: &str = "Show the sheet";
pub const ITS_TRIALS: &str = "Its trials";
pub const NONE_TRIED: &str =
    "None is recorded: what it weighs and bears is known by calculation only, and no calculation lets it suit a panel.";
pub const STRENGTHS: &str = "Strengths";
pub const WHAT: &str = "What";
pub const FORMULA: &str = "Formula";
pub const WITH_NUMBERS: &str = "With numbers";
pub const RESULT: &str = "Result";
pub const SOURCE: &str = "Source";
pub const STANDING: &str = "May it be poured?";
pub const ON_WHOSE_WORD: &str = "On whose word, where no trial says so";
pub const KEEP: &str = "Keep";
pub const CHOOSE: &str = "choose";
pub const LAY_SIDE_BY_SIDE: &str = "Lay side by side";
pub const THE_FIRST_HAS: &str = "The first has";
pub const OVEN_DRY_DENSITY: &str = "Oven-dry density";
pub const WET_LEAST: &str = "Wet density, least";
pub const WET_MOST: &str = "Wet density, most";
pub const WATER_LEAST: &str = "Water over cement, least";
pub const WATER_MOST: &str = "Water over cement, most";
pub const CEMENT_LEAST: &str = "Cement, least";
pub const ABOUT_CHEAPEST: &str = "The least material cost of a cubic metre from one revision's materials at today's prices. Cement, water and aggregates move within the limits; fibre, pigment and admixtures stay as they are. What comes out is a proposal for a trial: only a trial says what it bears.";
pub const MATERIALS_OF: &str = "The materials of";
pub const FIND_THE_CHEAPEST: &str = "Find the cheapest";
pub const BEGIN: &str = "Begin";
pub const LIMITS_REFUSED: &str = "These limits cannot be asked for";
pub const LIMITS_CONFLICT: &str = "No mix keeps all of these limits";
pub const NOW: &str = "Now";
pub const CHEAPEST: &str = "Cheapest";
pub const COSTS: &str = "Costs, in a cubic metre";
pub const BINDING: &str = "What holds the cost up";
pub const TITLE: &str = "Mixes";
pub const ON_TRIAL: &str = "on trial";
pub const IN_USE: &str = "in use";
pub const RETIRED: &str = "retired";
pub const NO_STRENGTHS: &str = "No trial has both a density and a strength.";
pub const NO_LOSSES: &str = "No trial has both a density and a loss.";
pub const DENSITY_STRENGTH: &str = "Oven-dry density against strength";
pub const DENSITY_WEAR: &str = "Oven-dry density against wear";
pub const WEAR_AXIS: &str = "lost in the wear test, g";
pub const NOT_KNOWN: &str = "not known";
pub const NOBODY_LOOKED: &str = "nobody looked";
pub const IS_REFERENCE: &str = " (reference)";
pub const NO_CEMENT_RATIO: &str = "none: there is no cement";
pub const HOW_MUCH: &str = "How much";
pub const HOW_WORKED: &str = "How these numbers came about";
pub const NOT_BY_CALCULATION: &str = "not by calculation";
pub const NO_CEMENT: &str = "no cement";
pub const NONE: &str = "none";
pub const THE_SAME: &str = "the same";
pub const THIS: &str = "This";
pub const AGAINST_THAT: &str = "against that";
pub const HOW_COST: &str = "How the cost came about";
pub const HOW_PROPORTIONS: &str = "How the proportions came about";
pub const NOTHING_FOUND: &str = "Nothing was found.";

/// The finish a mix gives.
pub fn gives(finish: &str) -> String {
    format!("Gives {finish}.")
}

/// A revision, by its number or id.
pub fn revision(number: impl std::fmt::Display) -> String {
    format!("Revision {number}")
}

/// The page is in metric units, and where it is in the others.
pub fn shown_metric(others: &str) -> Markup {
    html! { "Shown in kilograms and litres. " a href=(others) { "Show pounds and gallons" } }
}

/// The page is in US customary units, and where it is in the others.
pub fn shown_us(others: &str) -> Markup {
    html! { "Shown in pounds and gallons. " a href=(others) { "Show kilograms and litres" } }
}

/// Which trial the others are held against.
pub fn each_against(reference: &str) -> Markup {
    html! { "Each against the reference concrete, " strong { (reference) } ". Only figures of one state and one age are compared." }
}

/// What a chart of strengths shows upwards.
pub fn strength_axis(age_days: f64, unit: &str) -> String {
    format!("strength at {age_days} days, {unit}")
}

/// What the charts show across.
pub fn density_axis(unit: &str) -> String {
    format!("oven-dry density, {unit}")
}

/// The least and the most strength of so many trials, each with the number of its trial.
pub fn strengths_told(trials: usize, least: [&str; 2], most: [&str; 2]) -> String {
    let ([least, its], [most, whose], trials) = (least, most, counted(trials, "trial", "trials"));
    format!(
        "{trials}. The least strength, {least}, is that of number {its}, and the most, {most}, that of number {whose}; all figures are in the table below."
    )
}

/// The least and the most loss in the wear test of so many trials, each with the number of its trial.
pub fn losses_told(trials: usize, least: [&str; 2], most: [&str; 2]) -> String {
    let ([least, its], [most, whose], trials) = (least, most, counted(trials, "trial", "trials"));
    format!(
        "{trials}. The least loss, {least}, is that of number {its}, and the most, {most}, that of number {whose}; all figures are in the table below."
    )
}

/// A batch asked for that is none.
pub fn no_batch(text: &str, most: f64, unit: &str) -> String {
    format!("'{text}' is no batch: give a number above 0, at most {most:.0} {unit}")
}

/// A figure aimed at, and its limits.
pub fn from_to(aim: &str, low: &str, high: &str) -> String {
    format!("{aim}, from {low} to {high}")
}

/// So many hours at a temperature.
pub fn hours_at(hours: &str, temperature: &str) -> String {
    format!("{hours} h at {temperature}")
}

/// Days in water and days to dry.
pub fn tank_and_rack(soak: &str, dry: &str) -> String {
    format!("{soak} in the tank, {dry} on the rack")
}

/// The size of a batch and the work of one.
pub fn a_batch(least: &str, most: &str, work: &str) -> String {
    format!("from {least} to {most}, {work} of work")
}

/// Both densities by calculation.
pub fn wet_and_dry(wet: &str, dry: &str) -> String {
    format!("{wet} wet, {dry} oven-dry")
}

/// The wet density alone, and why there is no other where that is known.
pub fn wet_alone(wet: &str, why: Option<&str>) -> String {
    why.map_or_else(
        || format!("{wet} wet, no oven-dry density"),
        |why| format!("{wet} wet, no oven-dry density: {why}"),
    )
}

/// The water/cement ratio with the water of the foam, after the one without.
pub fn with_foam_water(ratio: &str) -> String {
    format!(", with the foam's water {ratio}")
}

/// What stands in a cubic metre or yard.
pub fn in_one(cube: &str) -> String {
    format!("In a {cube}")
}

/// What was recorded of a cubic metre or yard.
pub fn in_one_as_recorded(cube: &str) -> String {
    format!("In a {cube}, as recorded")
}

/// Why no proportions are shown.
pub fn not_worked_out(fault: &str) -> String {
    format!("Nothing is worked out of it: {fault}")
}

/// Foam of a density, and what it is made of.
pub fn foam_of(density: &str, concentrate: &str, water: &str) -> String {
    format!("Foam at {density}: {concentrate} of concentrate in {water} of water")
}

/// A batch of a revision.
pub fn so_much_of(volume: &str, revision: &str) -> String {
    format!("{volume} of {revision}")
}

/// The wet density a batch should have.
pub fn wet_density(density: &str) -> Markup {
    html! { "Wet density " strong { (density) } }
}

/// The water/cement ratio, after the wet density.
pub fn and_ratio(ratio: &str) -> String {
    format!(", water/cement {ratio}")
}

/// A strength at an age.
pub fn strength_at(strength: &str, age_days: f64) -> String {
    format!("{strength} at {}", counted(age_days, "day", "days"))
}

/// How much lighter the first is, per cent.
pub fn lighter(percent: f64) -> String {
    format!("{percent:.0} % lighter")
}

/// How much heavier the first is, per cent.
pub fn heavier(percent: f64) -> String {
    format!("{percent:.0} % heavier")
}

/// How much cheaper the first is, per cent.
pub fn cheaper(percent: f64) -> String {
    format!("{percent:.0} % cheaper")
}

/// How much dearer the first is, per cent.
pub fn dearer(percent: f64) -> String {
    format!("{percent:.0} % dearer")
}

/// So much less of a material.
pub fn less(content: &str) -> String {
    format!("{content} less")
}

/// So much more of a material.
pub fn more(content: &str) -> String {
    format!("{content} more")
}

/// A limit of the query that is no number.
pub fn no_number(text: &str) -> String {
    format!("'{text}' is no number: give one with a point before decimals")
}

/// How near a limit can be kept.
pub fn nearest(figure: &str, unit: &str) -> String {
    format!(": with all others kept, {figure} {unit} can be had")
}

/// A cost of a cubic metre.
pub fn a_cubic_metre(cost: &str) -> String {
    format!("{cost} a cubic metre")
}

/// What the cheapest proportions save against the revision.
pub fn saves(cost: &str, less: &str) -> String {
    format!("The revision itself costs {cost}: {less} less.")
}

/// The revision is as cheap as the limits allow.
pub fn saves_nothing(cost: &str) -> String {
    format!("The revision itself costs {cost}: these limits save nothing.")
}
