//! What the columns are about.

use workshop::documents::plan::LateFigure;

use crate::problem::{At, DayIx, KindIx, MakeIx, Problem};

/// Panels of a make stripped into a tank, or through none.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct StripKey {
    pub make: MakeIx,
    pub tank: Option<usize>,
}

/// Panels of a make lifted out of a tank onto a rack.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct LiftKey {
    pub make: MakeIx,
    pub tank: Option<usize>,
    pub rack: Option<usize>,
}

/// Lift keys out of one place.
pub(crate) type Lifts = Vec<LiftKey>;

/// Something of an order that is late as long as it is not met: the whole order, or one line of it by panels.
#[derive(Clone, Debug)]
pub(crate) struct Claim {
    /// Which order.
    pub order: usize,
    /// Kinds and panels it takes when it is met.
    pub takes: Vec<(KindIx, i64)>,
    /// What a day late weighs.
    pub weight: f64,
    /// First day on which it may be met: the last one that is not late.
    pub from: DayIx,
    /// Whether it is met whole or not at all.
    pub whole: bool,
}

/// The claims of a figure. An order of no weight claims nothing: it is given what is left.
pub(crate) fn claims(problem: &Problem, figure: LateFigure) -> Vec<Claim> {
    let mut claims = Vec::new();
    for (ix, order) in problem.orders.iter().enumerate().filter(|(_, order)| order.weight > 0.0) {
        match figure {
            LateFigure::OrderDaysLate => {
                let takes = order.lines.clone();
                claims.push(Claim { order: ix, takes, weight: order.weight, from: order.due_ix, whole: true });
            }
            LateFigure::PanelDaysLate => claims.extend(order.lines.iter().map(|line| Claim {
                order: ix,
                takes: vec![*line],
                weight: order.weight * line.1 as f64,
                from: order.due_ix,
                whole: false,
            })),
        }
    }
    claims
}

/// Makes that can have panels: poured for an order, or on the way.
pub(crate) fn live(problem: &Problem, make: MakeIx) -> bool {
    pours(problem, make) || problem.lots.iter().any(|lot| lot.make == make && !matches!(lot.at, At::Rack(..)))
}

/// Makes that may be poured: they suit and somebody wants what they become, or they are pinned.
pub(crate) fn pours(problem: &Problem, make: MakeIx) -> bool {
    let m = &problem.makes[make];
    let pinned = problem.pins.iter().flatten().any(|pin| pin.0 == make);
    pinned || (m.suits && problem.kinds[m.kind].ordered > 0)
}

/// Where panels of a make can be stripped to.
pub(crate) fn strip_keys(problem: &Problem, make: MakeIx) -> Vec<StripKey> {
    let tanks = problem.panel_of(make).tanks.iter().map(|tank| Some(*tank));
    let through = problem.mix_of(make).soak_free && problem.tanks.len() != 1;
    tanks.chain(through.then_some(None)).map(|tank| StripKey { make, tank }).collect()
}

/// Where panels of a make can be lifted from, and where to.
pub(crate) fn lift_keys(problem: &Problem, make: MakeIx) -> Vec<Lifts> {
    let mut tanks: Vec<Option<usize>> = strip_keys(problem, make).into_iter().map(|key| key.tank).collect();
    for lot in problem.lots.iter().filter(|lot| lot.make == make) {
        if let At::Tank(tank, _) = lot.at
            && !tanks.contains(&Some(tank))
        {
            tanks.push(Some(tank));
        }
    }
    let racks: Vec<Option<usize>> = match problem.mix_of(make).dry_free {
        true => vec![None],
        false => (0..problem.racks.len()).map(Some).collect(),
    };
    let from = |tank: Option<usize>| racks.iter().map(|rack| LiftKey { make, tank, rack: *rack }).collect();
    tanks.into_iter().map(from).collect()
}

/// About how many columns the model of a problem has.
pub(crate) fn columns(problem: &Problem) -> usize {
    let of_make = |make: MakeIx| {
        let (strips, lifts) = (strip_keys(problem, make), lift_keys(problem, make));
        2 + strips.len() + lifts.len() + lifts.iter().map(Vec::len).sum::<usize>()
    };
    let makes: usize = (0..problem.makes.len()).filter(|make| live(problem, *make)).map(of_make).sum();
    let days = problem.len();
    let claims: usize = problem.orders.iter().map(|order| days - order.due_ix.min(days)).sum();
    days * (makes + 3 * problem.mixes.len() + problem.groups.len()) + claims
}
