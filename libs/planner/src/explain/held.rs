//! What holds an order back: the limit that, lifted alone, makes it ready sooner beside all others, or the fewest that do so
//! together. What is said is tried: the order's panels are led through the plan anew without the limit.

use crate::problem::{DayIx, KindIx, Problem};
use crate::spare::{Limit, Pulled, Spare, Standing};

/// What holds an order back.
#[derive(Clone, Debug)]
pub(crate) enum Held {
    /// These limits, each of them needed.
    By(Binding),
    /// Nothing: it could be ready that day beside the others.
    Nothing(DayIx),
    /// Others, who are given what is ready before it.
    Turn(KindIx),
    /// Its own times: however much there were of everything, it would be no sooner.
    Times,
    /// Nothing that could be made sure of.
    Unclear,
}

/// Limits that hold an order back, and how it would go without them.
#[derive(Clone, Debug)]
pub(crate) struct Binding {
    /// One where one is enough.
    pub limits: Vec<Limit>,
    /// Day it would be whole without them.
    pub freed: DayIx,
    /// How it would go.
    pub pulled: Pulled,
}

/// What holds a late order, or one that is not ready, back. Nothing of it is changed.
pub(crate) fn held(standing: &Standing, order: usize) -> Held {
    let Some(by) = standing.ready[order].min(standing.problem.len()).checked_sub(1) else { return Held::Times };
    let kinds = standing.awaited(order, by);
    // What is left of a limited store is reckoned roughly: whether deliveries can be ordered is asked of the way found.
    let lifting = |limits: &[Limit]| {
        let found = freed(standing, &standing.spare.lifting(limits), order, by);
        found.filter(|(_, pulled)| gone(standing, pulled).orderable(limits))
    };
    if let Some((day, _)) = lifting(&[]) {
        return Held::Nothing(day);
    }
    let limits = limits(standing.problem, &kinds, by);
    let alone = |limit: &Limit| lifting(&[*limit]).map(|way| (*limit, way));
    let best = limits.iter().filter_map(alone).min_by_key(|(limit, way)| (way.0, *limit));
    if let Some((limit, (freed, pulled))) = best {
        return told(standing, Binding { limits: vec![limit], freed, pulled });
    }
    if !may_pull(standing, &limits, order, by) {
        return turn(standing.problem, &standing.schedule.supply(standing.problem), order, &kinds, by);
    }
    // One after another is put back; those without which it is no sooner stay.
    let mut needed = limits.clone();
    for limit in limits {
        let fewer: Vec<Limit> = needed.iter().copied().filter(|other| *other != limit).collect();
        if may_pull(standing, &fewer, order, by) {
            needed = fewer;
        }
    }
    match lifting(&needed) {
        Some((freed, pulled)) => told(standing, Binding { limits: needed, freed, pulled }),
        None => Held::Unclear,
    }
}

fn may_pull(standing: &Standing, limits: &[Limit], order: usize, by: DayIx) -> bool {
    standing.pull(standing.spare.lifting(limits), order, by).is_some()
}

/// The soonest day, on which it is in time or later, that leads through `spare`, by halving.
pub(crate) fn freed<'p>(
    standing: &Standing<'p>,
    spare: &Spare<'p>,
    order: usize,
    by: DayIx,
) -> Option<(DayIx, Pulled)> {
    let mut best = (by, standing.pull(spare.clone(), order, by)?);
    let mut low = standing.problem.orders[order].due_ix.min(by);
    while low < best.0 {
        let half = (low + best.0) / 2;
        match standing.pull(spare.clone(), order, half) {
            Some(pulled) => best = (half, pulled),
            None => low = half + 1,
        }
    }
    Some(best)
}

/// A way that was found without a limit, and needs no more of it than there is, needs nobody's leave.
fn told(standing: &Standing, binding: Binding) -> Held {
    let after = gone(standing, &binding.pulled);
    let missing = |limit: &Limit| match limit {
        Limit::Cold | Limit::Pins => true,
        // Beyond the lead time it is the room in the store that is short.
        Limit::Material(material) if standing.problem.materials[*material].store_max.is_some() => true,
        limit => !after.lacks(*limit, &standing.spare).is_empty(),
    };
    if binding.limits.iter().any(missing) { Held::By(binding) } else { Held::Nothing(binding.freed) }
}

/// What would be left, or missing, were those ways gone.
pub(crate) fn gone<'p>(standing: &Standing<'p>, pulled: &Pulled) -> Spare<'p> {
    let mut after = standing.spare.clone();
    pulled.removed.iter().for_each(|trail| after.apply(trail, -1));
    pulled.added.iter().for_each(|trail| after.apply(trail, 1));
    after
}

/// Every limit that could hold panels of these kinds back.
fn limits(problem: &Problem, kinds: &[KindIx], by: DayIx) -> Vec<Limit> {
    let mut limits = vec![Limit::Mixer, Limit::Labour];
    if !problem.tanks.is_empty() {
        limits.push(Limit::Tanks);
    }
    if !problem.racks.is_empty() {
        limits.push(Limit::Racks);
    }
    for kind in kinds {
        let kind = &problem.kinds[*kind];
        limits.push(Limit::Moulds(problem.panels[kind.panel].group));
        for make in &kind.makes {
            let (m, mix, panel) = (&problem.makes[*make], problem.mix_of(*make), problem.panel_of(*make));
            let drawn = mix.per_litre.iter().chain(&panel.per_panel).map(|(material, _)| *material);
            limits.extend(drawn.filter(|material| bounded(problem, *material)).map(Limit::Material));
            if m.may_pour[..by].contains(&false) {
                limits.push(Limit::Cold);
            }
            if problem.pins[..by].iter().flatten().any(|pin| pin.0 == *make) {
                limits.push(Limit::Pins);
            }
        }
    }
    limits.sort_unstable();
    limits.dedup();
    limits
}

/// Whether a material can be short at all.
fn bounded(problem: &Problem, material: usize) -> bool {
    let material = &problem.materials[material];
    material.lead > 0 || material.store_max.is_some()
}

/// Whether there would have been enough of a kind in time, had it not been given to others.
fn turn(problem: &Problem, supply: &[Vec<i64>], order: usize, kinds: &[KindIx], by: DayIx) -> Held {
    let there = |(kind, quantity): &&(KindIx, i64)| supply[*kind].get(by).is_some_and(|level| level >= quantity);
    let awaited = || problem.orders[order].lines.iter().filter(|line| kinds.contains(&line.0));
    match kinds.first() {
        Some(kind) if awaited().all(|line| there(&line)) => Held::Turn(*kind),
        _ => Held::Times,
    }
}
