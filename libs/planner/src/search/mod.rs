//! Simulated annealing over diaries (Kirkpatrick, Gelatt and Vecchi, Optimization by simulated annealing, 1983): change a
//! diary a little, walk it from the first day touched, keep it if it is better or not much worse. First for lateness, then
//! for the price of the materials with lateness held. Every thread runs its own chain; after each round all go on from the
//! best. Better diaries are handed out as they come.

mod chain;
mod diary;
mod moves;
mod rng;
mod statics;
#[cfg(test)]
mod tests;
mod value;
mod walk;

use std::sync::mpsc;

use workshop::documents::plan::LateFigure;

use crate::plan::{Schedule, Served, serve};
use crate::problem::{DayIx, Problem};
use crate::run::Stopwatch;

use chain::{Aim, Chain, Kept, leading};
use diary::{Diary, Lines};
use statics::{Statics, covered};

/// Rounds for lateness, and for the price after them.
const LATE_ROUNDS: usize = 4;
const PRICE_ROUNDS: usize = 1;
const ROUNDS: usize = LATE_ROUNDS + PRICE_ROUNDS;
/// First and last heat of a round, as shares of what is looked at.
const HEATS: (f64, f64) = (0.002, 0.000_04);

/// Share of the time between two better schedules of one chain that are handed out while it is at work.
const TOLD_EVERY: f64 = 0.02;

/// Orders above which less heat is given.
const GENTLE_ABOVE: f64 = 500.0;

/// What the search may spend.
#[derive(Clone, Debug)]
pub struct Budget {
    /// Start and length, by the stopwatch.
    pub seconds: Option<(f64, f64)>,
    /// Schedules decoded, of all threads together.
    pub evaluations: Option<u64>,
    /// Chains at the same time.
    pub threads: usize,
    /// Seed.
    pub seed: u64,
    /// The lateness that leads.
    pub figure: LateFigure,
}

/// A schedule and the day each order is whole in it.
pub struct Searched {
    /// What happens to panels.
    pub schedule: Schedule,
    /// By order: the day it is whole; past the horizon where it is not.
    pub ready: Vec<DayIx>,
}

/// What the search has to say.
pub enum News {
    /// A better schedule.
    Better(Searched),
    /// The rounds for lateness are over; those for the price begin.
    NowThePrice,
}

/// Searches from a schedule, under the restraint that pins asked for in it; gives the best found, or nothing where the search may
/// not begin or the pins leave it no way.
pub fn search(
    problem: &Problem,
    schedule: &Schedule,
    ready: &[DayIx],
    restraint: (Vec<Vec<i64>>, DayIx),
    budget: &Budget,
    stopwatch: Stopwatch,
) -> Option<Searched> {
    let mut best = None;
    let mut found = |news| {
        if let News::Better(searched) = news {
            best = Some(searched);
        }
    };
    search_telling(problem, (schedule, ready), restraint, budget, stopwatch, &mut found);
    best
}

/// The same; better schedules go to `found` as they come by the clock, and after each round. The last is the best.
pub fn search_telling(
    problem: &Problem,
    from: (&Schedule, &[DayIx]),
    restraint: (Vec<Vec<i64>>, DayIx),
    budget: &Budget,
    stopwatch: Stopwatch,
    found: &mut dyn FnMut(News),
) {
    // Where it stops short it has nothing to tell.
    let _ = search_on(problem, from, restraint, budget, stopwatch, found);
}

/// None as soon as there is no way on.
fn search_on(
    problem: &Problem,
    (schedule, ready): (&Schedule, &[DayIx]),
    restraint: (Vec<Vec<i64>>, DayIx),
    budget: &Budget,
    stopwatch: Stopwatch,
    found: &mut dyn FnMut(News),
) -> Option<()> {
    let endless = budget.seconds.is_none() && budget.evaluations.is_none();
    if budget.evaluations == Some(0) || endless || problem.orders.is_empty() || problem.mixes.is_empty() {
        return None;
    }
    let statics = Statics::new(problem, restraint.0, restraint.1);
    let lines = Lines::of(problem);
    // Filling batches up is worth it here and takes hours from later days there.
    let taken = |only_fixed| {
        let diary = Diary::take_over(problem, &lines, schedule, ready, &covered(problem), only_fixed);
        Chain::new(problem, &statics, &lines, budget.figure, diary, 0).map(|chain| chain.best)
    };
    let starts = [taken(false), taken(true)].into_iter().flatten();
    let start = starts.min_by(|a, b| leading(budget.figure, a.late).total_cmp(&leading(budget.figure, b.late)))?;
    let diary = &*start.diary;
    let begin = |thread: usize| {
        let seed = budget.seed.wrapping_mul(1_000_003).wrapping_add(thread as u64);
        Chain::new(problem, &statics, &lines, budget.figure, diary.clone(), seed)
    };
    let mut chains: Vec<Chain> = (0..budget.threads.max(1)).map_while(begin).collect();
    let mut best = chains.first()?.best.clone();
    // Walks again what is to be handed out, beside the chains.
    let mut teller = begin(0)?;
    // With many orders a move is a smaller share of the whole, and there is no time to make good what heat spoils.
    let gentle = (GENTLE_ABOVE / problem.orders.len() as f64).min(1.0);
    for round in 0..ROUNDS {
        // Reheated less from round to round.
        let first = gentle * HEATS.0 / (1 + round.min(LATE_ROUNDS)) as f64;
        let aim = if round < LATE_ROUNDS { Aim::Lateness } else { Aim::Price(chains[0].leading(best.late)) };
        let (send, better_ones) = mpsc::channel();
        std::thread::scope(|scope| {
            for chain in &mut chains {
                let (best, send) = (&best, send.clone());
                scope.spawn(move || {
                    if round > 0 {
                        chain.go_to(best);
                    }
                    let over = |done| over(budget, round, done, stopwatch);
                    chain.anneal(aim, (first, gentle * HEATS.1), over, messenger(budget, best, stopwatch, send));
                });
            }
            drop(send);
            let mut told = best.clone();
            for other in better_ones {
                if rank(budget.figure, &other) < rank(budget.figure, &told) {
                    teller.go_to(&other);
                    found(News::Better(written(problem, &teller)));
                    told = other;
                }
            }
        });
        best = chains.iter().map(|chain| &chain.best).fold(best, |best, other| better(budget.figure, best, other));
        teller.go_to(&best);
        found(News::Better(written(problem, &teller)));
        if round + 1 == LATE_ROUNDS {
            found(News::NowThePrice);
        }
    }
    Some(())
}

/// What a chain calls now and then while it is at work: sends its best where it is better and some time has passed.
fn messenger(budget: &Budget, best: &Kept, stopwatch: Stopwatch, send: mpsc::Sender<Kept>) -> impl FnMut(&Kept) {
    let every = budget.seconds.map_or(f64::INFINITY, |(_, length)| TOLD_EVERY * length);
    let mut told = (rank(budget.figure, best), stopwatch_of(budget, stopwatch));
    move |kept| {
        if every.is_finite() && rank(budget.figure, kept) < told.0 && stopwatch() >= told.1 + every {
            told = (rank(budget.figure, kept), stopwatch());
            // Nobody listens any more: then nobody misses it.
            let _ = send.send(kept.clone());
        }
    }
}

/// Now; a run without a clock looks at none.
fn stopwatch_of(budget: &Budget, stopwatch: Stopwatch) -> f64 {
    if budget.seconds.is_some() { stopwatch() } else { 0.0 }
}

fn rank(figure: LateFigure, kept: &Kept) -> (f64, f64) {
    (leading(figure, kept.late), kept.price)
}

fn better(figure: LateFigure, best: Kept, other: &Kept) -> Kept {
    if rank(figure, other) < rank(figure, &best) { other.clone() } else { best }
}

/// Share of a round that is over, by the clock or by count, whichever is further.
fn over(budget: &Budget, round: usize, done: u64, stopwatch: Stopwatch) -> f64 {
    let by_clock = budget.seconds.map_or(0.0, |(start, length)| {
        let each = length / ROUNDS as f64;
        (stopwatch() - start - each * round as f64) / each.max(1e-9)
    });
    let by_count = budget.evaluations.map_or(0.0, |all| {
        let each = all as f64 / (ROUNDS * budget.threads.max(1)) as f64;
        done as f64 / each.max(1.0)
    });
    by_clock.max(by_count)
}

/// The schedule of a chain, orders served once more with panels kept back for them as late as does no harm.
fn written(problem: &Problem, chain: &Chain) -> Searched {
    let schedule = chain.walker().schedule();
    let mut turns: Vec<usize> = (0..problem.orders.len()).collect();
    turns.sort_by_key(|order| (chain.whole()[*order], problem.orders[*order].due, *order));
    let mut served = Served::default();
    serve(problem, &turns, &mut schedule.supply(problem), &mut served);
    let ready = served.ready;
    Searched { schedule, ready }
}
