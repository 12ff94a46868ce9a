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

use std::sync::atomic::{AtomicBool, Ordering::Relaxed};
use std::sync::mpsc;

use workshop::documents::plan::LateFigure;

use crate::plan::{Schedule, Served, hand_out, serve, whole_by};
use crate::problem::{DayIx, Problem};
use crate::run::Stopwatch;
use crate::stop::is_to_stop;

use chain::{Aim, Chain, Kept, leading};
use diary::{Diary, Lines};
use statics::{Statics, covered};

/// Rounds for lateness, and for the price after them; the share of the whole that is the price's.
const LATE_ROUNDS: usize = 12;
const PRICE_ROUNDS: usize = 3;
const PRICE_SHARE: f64 = 0.25;
/// First and last heat of a round for lateness, as shares of it, and of one for the price, as shares of what a panel costs.
const HEATS: (f64, f64) = (0.002, 0.000_04);
const PRICE_HEATS: (f64, f64) = (0.6, 0.01);

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
    /// No plan is less late: what is left once that is reached goes to the price.
    pub bound: f64,
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
    let start = starts.reduce(|a, b| better(budget.figure, a, &b))?;
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
    let enough = |best: &Kept| leading(budget.figure, best.late) <= budget.bound + 1e-6;
    let mut told_of_price = false;
    for round in 0..LATE_ROUNDS + PRICE_ROUNDS {
        let for_price = round >= LATE_ROUNDS;
        if !for_price && enough(&best) {
            continue;
        }
        if round > 0 && is_to_stop(stopwatch) {
            break;
        }
        if for_price && !told_of_price {
            found(News::NowThePrice);
            told_of_price = true;
        }
        // Reheated less from round to round.
        let heats = match for_price {
            true => (PRICE_HEATS.0 / (1 + round - LATE_ROUNDS) as f64, PRICE_HEATS.1),
            false => (gentle * HEATS.0 / (1 + round) as f64, gentle * HEATS.1),
        };
        if round > 0 {
            teller.go_to(&best);
            let again = taken_again(problem, &lines, &teller, &best.diary);
            let late = |kept: &Kept| leading(budget.figure, kept.late);
            if let Some(again) = teller.walked(again).filter(|again| late(again) <= late(&best)) {
                best = again;
                if round == LATE_ROUNDS {
                    // It pours what is fixed and nothing else, so no order is later by that.
                    chains.iter_mut().chain([&mut teller]).for_each(Chain::beyond);
                }
            }
        }
        let aim = match for_price {
            true => Aim::Price(leading(budget.figure, best.late)),
            false => Aim::Lateness { enough: budget.bound + 1e-6 },
        };
        // Where there is not the time to be done with lateness, the price has to wait.
        let slice = Slice::of(budget, round, gentle * PRICE_SHARE, chains[0].evaluations, stopwatch);
        let reached = AtomicBool::new(false);
        let (send, better_ones) = mpsc::channel();
        std::thread::scope(|scope| {
            for chain in &mut chains {
                let (best, send, slice, reached) = (&best, send.clone(), &slice, &reached);
                scope.spawn(move || {
                    chain.go_to(best);
                    let over = |done| if reached.load(Relaxed) { 1.0 } else { slice.over(done, stopwatch) };
                    if chain.anneal(aim, heats, over, messenger(budget, best, stopwatch, send)) {
                        reached.store(true, Relaxed);
                    }
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
    }
    Some(())
}

/// A diary that comes to the same schedule, with what it pours fixed and keys by the days on which orders are whole when they are
/// served once more: no order is later by them, and most changes to it make a difference to a few days only.
fn taken_again(problem: &Problem, lines: &Lines, chain: &Chain, before: &Diary) -> Diary {
    let Searched { schedule, ready } = written(problem, chain);
    let mut diary = Diary::take_over(problem, lines, &schedule, &ready, &covered(problem), true);
    diary.pages.iter_mut().zip(&before.pages).for_each(|(page, before)| page.kept = before.kept);
    diary
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

/// How long a round is: what is left for its aim, in equal parts.
struct Slice {
    seconds: Option<(f64, f64)>,
    evaluations: Option<f64>,
}

impl Slice {
    fn of(budget: &Budget, round: usize, for_price: f64, done: u64, stopwatch: Stopwatch) -> Self {
        let (share, rounds) = match round < LATE_ROUNDS {
            true => (1.0 - for_price, LATE_ROUNDS - round),
            false => (1.0, LATE_ROUNDS + PRICE_ROUNDS - round),
        };
        let seconds = budget.seconds.map(|(start, length)| {
            let now = stopwatch();
            (now, (start + share * length - now) / rounds as f64)
        });
        let evaluations = budget.evaluations.map(|all| {
            let each = share * all as f64 / budget.threads.max(1) as f64;
            (each - done as f64) / rounds as f64
        });
        Slice { seconds, evaluations }
    }

    /// The share that is over, by the clock or by count, whichever is further; all of it where the run is to stop.
    fn over(&self, done: u64, stopwatch: Stopwatch) -> f64 {
        if is_to_stop(stopwatch) {
            return 1.0;
        }
        let by_clock = self.seconds.map_or(0.0, |(start, length)| (stopwatch() - start) / length.max(1e-9));
        let by_count = self.evaluations.map_or(0.0, |all| done as f64 / all.max(1.0));
        by_clock.max(by_count)
    }
}

/// The schedule of a chain, orders served once more with panels kept back for them as late as does no harm.
fn written(problem: &Problem, chain: &Chain) -> Searched {
    let schedule = chain.walker().schedule();
    let mut turns: Vec<usize> = (0..problem.orders.len()).collect();
    turns.sort_by_key(|order| (chain.whole()[*order], problem.orders[*order].due, *order));
    let mut served = Served::default();
    serve(problem, &turns, &mut schedule.supply(problem), &mut served);
    let mut ready = served.ready;
    // Once all are served, some of what was kept back for one is free for another after all.
    let late = |ready: &[DayIx]| -> f64 {
        problem.orders.iter().zip(ready).map(|(order, day)| order.weight * problem.days_late(order, *day) as f64).sum()
    };
    for _ in 0..4 {
        let rows = hand_out(problem, schedule.supply(problem), &ready, LateFigure::OrderDaysLate);
        let mut sooner = whole_by(problem, &rows);
        sooner.iter_mut().zip(&problem.orders).for_each(|(day, order)| *day = (*day).max(order.due_ix));
        if late(&sooner) >= late(&ready) {
            break;
        }
        ready = sooner;
    }
    Searched { schedule, ready }
}
