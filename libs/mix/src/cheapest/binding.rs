//! What the limits that bind cost, found by relaxing each and solving again.

use super::limit::{End, Limit, Measured};
use super::programme::Programme;
use super::{NOISE, Solved, Unsolved};
use crate::Faults;

/// A limit that the cheapest mix just keeps.
#[derive(Clone, Debug, PartialEq)]
pub struct Binding {
    /// The limit.
    pub limit: Limit,
    /// The cheapest mix with the limit a step looser. None for the ceiling on pigments, which is not for the asking.
    pub relaxed: Option<Relaxed>,
    /// All of this in one sentence.
    pub sentence: String,
}

/// The cheapest mix with one limit looser by [`Limit::step`]; solved again, so it holds where a marginal price would not.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Relaxed {
    /// The number it was relaxed to.
    pub to: f64,
    /// What a cubic metre then costs, minor units.
    pub cost_per_m3: f64,
    /// How much less that is; nothing where another limit stops the mix at the same place.
    pub saves_per_m3: f64,
}

/// The limits that bind, those that save most first. A fixed value binds at both ends; the end is named that costs.
pub(super) fn all(programme: &Programme, solved: &Solved) -> Result<Vec<Binding>, Faults> {
    let mut found = Vec::new();
    for (i, row) in programme.limits.iter().enumerate() {
        if row.measure.base(&solved.x) <= 0.0 || row.misses(&solved.x).abs() > row.noise(&solved.x) {
            continue;
        }
        let relaxed = relaxed(programme, solved, i)?;
        let saves = relaxed.is_none_or(|relaxed| relaxed.saves_per_m3 > 0.0);
        if saves || !programme.is_fixed(i) {
            let limit = row.limit.clone();
            found.push(Binding { sentence: sentence(&limit, solved.cost, relaxed), limit, relaxed });
        }
    }
    let saves = |binding: &Binding| binding.relaxed.map_or(0.0, |relaxed| relaxed.saves_per_m3);
    found.sort_by(|a, b| saves(b).total_cmp(&saves(a)));
    Ok(found)
}

fn relaxed(programme: &Programme, solved: &Solved, at: usize) -> Result<Option<Relaxed>, Faults> {
    let limit = &programme.limits[at].limit;
    if limit.on == Measured::Pigments {
        return Ok(None);
    }
    let to = match limit.end {
        End::Least => limit.value - limit.step(),
        End::Most => limit.value + limit.step(),
    };
    let again = programme.cheapest_with(at, to).map_err(Unsolved::fault)?;
    // Below a millionth of the cost it is the solver's rounding.
    let saves = solved.cost - again.cost;
    let saves_per_m3 = if saves > NOISE * solved.cost.max(1.0) { saves } else { 0.0 };
    Ok(Some(Relaxed { to, cost_per_m3: again.cost, saves_per_m3 }))
}

fn sentence(limit: &Limit, cost: f64, relaxed: Option<Relaxed>) -> String {
    match relaxed {
        None => {
            format!("{limit} binds; it is the ceiling for pigments (ASTM C979, or the lowest of their own) and stays")
        }
        Some(Relaxed { to, cost_per_m3, saves_per_m3 }) if saves_per_m3 > 0.0 => {
            let looser = limit.at(limit.end, to);
            format!(
                "{limit} binds: {looser} would save {saves_per_m3:.2} minor units a cubic metre ({cost_per_m3:.2} instead of {cost:.2})"
            )
        }
        Some(Relaxed { to, .. }) => {
            format!("{limit} is just kept; {} would save nothing by itself", limit.at(limit.end, to))
        }
    }
}
