//! The worked lines of a cheapest mix: what each part costs, and every limited measure against its limit.

use super::programme::{LimitRow, Programme, dot};
use super::{PartCost, Solved};
use crate::{Source, Worked};

pub(super) fn worked(programme: &Programme, solved: &Solved, parts: &[PartCost]) -> Vec<Worked> {
    let mut lines: Vec<Worked> = parts.iter().filter(|part| part.content_kg_m3 > 0.0).map(cost_line).collect();
    lines.push(total_line(parts));
    lines.extend(programme.limits.iter().map(|row| limit_line(row, &solved.x)));
    lines
}

fn cost_line(part: &PartCost) -> Worked {
    Worked {
        what: format!("cost of {}", part.name),
        formula: "k = content · price",
        numbers: format!("{:.2} kg/m³ · {:.2} minor units/kg", part.content_kg_m3, part.price_per_kg),
        result: part.cost_per_m3,
        unit: "minor units/m³",
        source: Source::DEFINITION,
    }
}

fn total_line(parts: &[PartCost]) -> Worked {
    let costs: Vec<String> = parts.iter().map(|part| format!("{:.1}", part.cost_per_m3)).collect();
    Worked {
        what: "cost of a cubic metre".into(),
        formula: "K = Σ k, least by linear programme",
        numbers: costs.join(" + "),
        result: parts.iter().map(|part| part.cost_per_m3).sum(),
        unit: "minor units/m³",
        source: Source::DEFINITION,
    }
}

fn limit_line(row: &LimitRow, x: &[f64]) -> Worked {
    let above = dot(&row.measure.above, x);
    let numbers = match &row.measure.below {
        None => format!("{above:.2}"),
        Some(_) => format!("{above:.2} / {:.2}", row.measure.base(x)),
    };
    Worked {
        what: format!("kept: {}", row.limit),
        formula: row.limit.on.formula(),
        numbers,
        result: row.measure.value(x),
        unit: row.limit.on.unit(),
        source: row.limit.on.source(),
    }
}
