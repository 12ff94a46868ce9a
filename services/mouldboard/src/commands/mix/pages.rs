//! What each calculation looks like to a person: a table, remarks, worked lines.

use std::fmt::Write as _;

use api::wire::calculations::cheapest::{CheapestFound, CheapestMix, LimitConflict};
use api::wire::calculations::loads::BatchSheets;
use api::wire::calculations::mixer::Correction;
use api::wire::proportions::{BatchSheet, Proportions, WorkedLine};

use super::figures::{Figures, remarks, table, worked};

/// Proportions: contents, then densities and ratios.
pub fn proportions(found: &Proportions, figures: Figures) -> String {
    let mut contents = vec![row("", &["in the concrete", "absolute volume"])];
    let share = |litres: f64| format!("{:.2} %", litres / 10.0);
    for part in &found.ingredients {
        contents.push(row(&part.material, &[&figures.content(part.content_kg_m3), &share(part.volume_l_m3)]));
    }
    if let Some(foam) = &found.foam {
        let name = format!("foam of {}", figures.density(foam.density_kg_m3));
        contents.push(row(&name, &[&figures.content(foam.content_kg_m3), &share(foam.volume_l_m3)]));
    }
    let mut text = format!("Proportions at the mix's own yield\n{}\n", table(&contents));
    text += &table(&measures(found, figures));
    text += &remarks(&found.remarks);
    text += &remarks(found.oven_dry_remark.as_slice());
    text + &worked(&found.worked)
}

fn measures(found: &Proportions, figures: Figures) -> Vec<Vec<String>> {
    let per_cent = |value: f64| format!("{value:.2} %");
    let ratio = |value: f64| format!("{value:.3}");
    let density = |kg_m3: f64| figures.density(kg_m3);
    let mut rows = vec![row("yield of the making", &[&figures.volume(found.yield_l)])];
    let mut add = |name: &str, value: Option<String>| rows.extend(value.map(|value| row(name, &[&value])));
    add("claimed yield", found.claimed_yield_l.map(|litres| figures.volume(litres)));
    add("yield against the claim", found.yield_difference_percent.map(|p| format!("{p:+.2} %")));
    add("wet density (fresh)", Some(density(found.wet_density_kg_m3)));
    add("slurry density (fresh)", found.slurry_density_kg_m3.filter(|_| found.foam.is_some()).map(density));
    add("oven-dry density", found.oven_dry_density_kg_m3.map(density));
    add("equilibrium density (air-dry)", found.equilibrium_density_kg_m3.map(density));
    add("air", Some(per_cent(found.air_percent)));
    add("water/cement, foam's water apart", found.water_cement.map(ratio));
    if found.foam.is_some() {
        add("water/cement with the foam's water", found.water_cement_with_foam.map(ratio));
        let meant = if found.foam_water_counted { "with the foam's water" } else { "without it" };
        add("  the mix means the one", Some(meant.to_owned()));
    }
    add("water/cementitious, foam's water apart", found.water_cementitious.map(ratio));
    if let Some(panel) = &found.panel {
        add(&format!("panel of {}, fresh", figures.volume(panel.volume_l)), Some(figures.mass(panel.fresh_kg)));
        add("  from the tank", panel.from_the_tank_kg.map(|kg| figures.mass(kg)));
        add("  air-dry", panel.air_dry_kg.map(|kg| figures.mass(kg)));
        add("  oven-dry", panel.oven_dry_kg.map(|kg| figures.mass(kg)));
    }
    add("lighter than the reference, both fresh", found.lighter_wet_percent.map(per_cent));
    add("lighter than the reference, both oven-dry", found.lighter_oven_dry_percent.map(per_cent));
    rows
}

/// Loads: how many, then the sheet of each and of the last.
pub fn batch(found: &BatchSheets, figures: Figures) -> String {
    let spare =
        if found.spare_l > 0.0 { format!(", {} to spare", figures.volume(found.spare_l)) } else { String::new() };
    let mut text = format!("{} of {}{spare}\n", loads(found.count), figures.volume(found.each_l));
    let mut lines: Vec<WorkedLine> = found.worked.clone();
    if let Some(first) = &found.sheet {
        text += &sheet(&format!("{} of {}", loads(found.count - 1), figures.volume(first.volume_l)), first, figures);
        lines.extend(first.worked.iter().cloned());
    }
    let last = &found.last_sheet;
    text += &sheet(&format!("The last load, {}", figures.volume(last.volume_l)), last, figures);
    lines.extend(last.worked.iter().cloned());
    text + &worked(&lines)
}

fn loads(count: i64) -> String {
    if count == 1 { "1 load".to_owned() } else { format!("{count} loads") }
}

fn sheet(title: &str, sheet: &BatchSheet, figures: Figures) -> String {
    let mut rows: Vec<Vec<String>> =
        sheet.lines.iter().map(|line| row(&line.material, &[&figures.grams(line.mass_g)])).collect();
    if let Some(foam) = &sheet.foam {
        let name = format!("foam of {}", figures.density(foam.density_kg_m3));
        rows.push(row(&name, &[&figures.grams(foam.mass_g), &figures.volume(foam.volume_l)]));
        if let Some(ml) = foam.concentrate_ml {
            rows.push(row("  its concentrate", &["", &figures.liquid(ml as f64)]));
        }
        rows.push(row("  its water", &[&figures.grams(foam.water_g)]));
    }
    rows.push(row("wet density", &["", &figures.density(sheet.wet_density_kg_m3)]));
    format!("\n{title}\n{}{}", table(&rows), remarks(&sheet.remarks))
}

/// What to do with a load, first of all in a sentence.
pub fn correction(found: &Correction, figures: Figures) -> String {
    let mut text = format!("{}\n\n", capital(&found.sentence));
    let mut rows = vec![row("measured wet density", &[&figures.density(found.measured_wet_density_kg_m3)])];
    if let (Some(litres), Some(kg)) = (found.add_l, found.add_kg) {
        rows.push(row("to add", &[&figures.volume(litres), &figures.mass(kg)]));
    }
    rows.extend(found.generator_seconds.map(|seconds| row("generator", &[&format!("{seconds:.0} s")])));
    rows.push(row("the load then", &[&figures.volume(found.volume_l)]));
    rows.extend(found.panels.map(|panels| row("whole panels it fills", &[&panels.to_string()])));
    text += &table(&rows);
    if let Some(at_mould) = &found.at_mould {
        let _ = writeln!(text, "  at the mould: {}", at_mould.sentence);
    }
    text + &worked(&found.worked)
}

/// The cheapest mix with what its limits cost, or why there is none.
pub fn cheapest(found: &CheapestFound, figures: Figures) -> String {
    let mut text = match (&found.mix, &found.conflict) {
        (Some(mix), _) => cheapest_mix(mix, figures),
        (None, Some(conflict)) => no_mix(conflict),
        (None, None) => String::new(),
    };
    if !found.worked.is_empty() {
        text += &worked(&found.worked);
    }
    text
}

fn cheapest_mix(mix: &CheapestMix, figures: Figures) -> String {
    let mut text = format!("The cheapest mix: {:.2} minor units of material to the cubic metre\n", mix.cost_minor_m3);
    let mut rows = vec![row("", &["in the concrete", "minor units/kg", "minor units/m³"])];
    for part in &mix.parts {
        let cells = [
            figures.content(part.content_kg_m3),
            format!("{:.2}", part.price_minor_kg),
            format!("{:.2}", part.cost_minor_m3),
        ];
        rows.push(row(&part.material, &cells.each_ref().map(String::as_str)));
    }
    text += &table(&rows);
    text += &table(&measures(&mix.proportions, figures));
    text += "\nLimits that hold the cost up\n";
    if mix.binding.is_empty() {
        text += "  none\n";
    }
    for one in &mix.binding {
        let _ = writeln!(text, "  {}", one.sentence);
    }
    text
}

fn no_mix(conflict: &LimitConflict) -> String {
    let mut text = format!("No mix keeps all limits: {}\n\n", conflict.sentence);
    let said = |nearest: Option<f64>, unit: &str| match nearest {
        Some(number) => format!("{number:.3} {unit}").trim_end().to_owned(),
        None => "none while the others stand".to_owned(),
    };
    let rows =
        conflict.limits.iter().map(|one| row(&one.limit, &["nearest with all others:", &said(one.nearest, &one.unit)]));
    text += &table(&rows.collect::<Vec<_>>());
    text
}

fn row(name: &str, cells: &[&str]) -> Vec<String> {
    std::iter::once(name).chain(cells.iter().copied()).map(ToOwned::to_owned).collect()
}

fn capital(sentence: &str) -> String {
    let mut letters = sentence.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}
