//! Why no mix satisfies a wish: the fewest limits that exclude each other, and how near each could be met.

use super::limit::{End, Limit, Measured};
use super::programme::Programme;
use crate::Faults;

/// Limits that cannot be met together; leaving out any one of them makes room for the rest of them.
#[derive(Clone, Debug, PartialEq)]
pub struct Conflict {
    /// The limits, the one a person would ask for first in front.
    pub limits: Vec<Reach>,
    /// All of this in one sentence.
    pub sentence: String,
}

/// A limit of a conflict, and how near it could be met.
#[derive(Clone, Debug, PartialEq)]
pub struct Reach {
    /// The limit.
    pub limit: Limit,
    /// The nearest number to it that a mix can have which keeps all other limits of the wish; none where there is no such
    /// mix either.
    pub nearest: Option<f64>,
}

/// Finds the conflict of a programme without a solution.
pub(super) fn explain(programme: &Programme) -> Result<Conflict, Faults> {
    let core = fewest(programme)?;
    let mut limits = Vec::new();
    for at in &core {
        let others: Vec<usize> = (0..programme.limits.len()).filter(|other| other != at).collect();
        let nearest = programme.nearest(*at, &others)?;
        limits.push(Reach { limit: programme.limits[*at].limit.clone(), nearest });
    }
    let sentence = sentence(programme, &core, &limits);
    Ok(Conflict { limits, sentence })
}

/// Limits that exclude each other, none of them needlessly: each in turn is left out, and stays out where the rest still
/// cannot be kept. What a person wishes first is left out last.
fn fewest(programme: &Programme) -> Result<Vec<usize>, Faults> {
    let mut core: Vec<usize> = (0..programme.limits.len()).collect();
    core.sort_by_key(|i| rank(&programme.limits[*i].limit.on));
    for limit in core.clone().into_iter().rev() {
        let without: Vec<usize> = core.iter().copied().filter(|other| *other != limit).collect();
        if !programme.can_keep(&without)? {
            core = without;
        }
    }
    Ok(core)
}

/// What a person wishes first.
fn rank(on: &Measured) -> u8 {
    match on {
        Measured::Cement => 0,
        Measured::Content(_) => 1,
        Measured::OfCementitious(_) | Measured::OfMix(_) | Measured::MlPer100Kg(_) => 2,
        Measured::WetDensity | Measured::OvenDryDensity => 3,
        Measured::WaterCement | Measured::WaterCementitious => 4,
        Measured::Foam => 5,
        Measured::Pigments => 6,
    }
}

fn sentence(programme: &Programme, core: &[usize], limits: &[Reach]) -> String {
    let said = |at: &usize| {
        let limit = &programme.limits[*at].limit;
        if programme.is_fixed(*at) { limit.bare(limit.value) } else { limit.to_string() }
    };
    let Some((first, rest)) = core.split_first() else {
        return "the materials cannot fill a cubic metre".to_owned();
    };
    let first = match &programme.limits[*first].limit {
        limit if limit.end == End::Least => format!("{} cannot be reached", limit.bare(limit.value)),
        limit => format!("{limit} cannot be kept"),
    };
    let link = if rest.first().is_some_and(|at| programme.is_fixed(*at)) { "at" } else { "with" };
    let against = match rest {
        [] => "by any mix of these materials".to_owned(),
        _ => format!("{link} {}", joined(&rest.iter().map(said).collect::<Vec<_>>(), "and")),
    };
    format!("{first} {against}; {}", instead(limits))
}

fn instead(limits: &[Reach]) -> String {
    let ways: Vec<String> = limits.iter().filter_map(way_out).collect();
    if ways.is_empty() {
        return "more than one limit has to give".to_owned();
    }
    format!("the other limits leave room for {}", joined(&ways, "or"))
}

/// The nearest a limit could be met, rounded so that it can still be.
fn way_out(reach: &Reach) -> Option<String> {
    let nearest = reach.nearest?;
    let scale = 10f64.powi(reach.limit.on.decimals_at(nearest) as i32);
    let (end, rounded) = match reach.limit.end {
        End::Least => (End::Most, (nearest * scale + 1.0e-6).floor() / scale),
        End::Most => (End::Least, (nearest * scale - 1.0e-6).ceil() / scale),
    };
    Some(reach.limit.at(end, rounded))
}

fn joined(items: &[String], word: &str) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} {word} {last}", most.join(", ")),
    }
}
