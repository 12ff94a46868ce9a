//! Simulated annealing over guides (Kirkpatrick, Gelatt and Vecchi, Optimization by simulated annealing, 1983): change a
//! guide a little, decode it, keep it if it is better or not much worse. First for lateness, then for the price of the
//! materials with lateness held. Every thread runs its own chain; after each round all go on from the best.

mod moves;
mod rng;

use workshop::documents::plan::LateFigure;

use crate::foreman::{Bench, Found, Guide, Score};
use crate::problem::Problem;
use crate::run::Stopwatch;

use moves::{change, undo};
use rng::Rng;

/// Share of the other lateness in what a chain looks at: it falls while the one that leads does not yet.
const SMOOTHING: f64 = 0.01;
/// Rounds for lateness, and of all rounds (the others are for the price).
const LATE_ROUNDS: usize = 4;
const ROUNDS: usize = 5;

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

/// Searches from a guide; gives guides worth writing as plans, the best last.
pub fn search(problem: &Problem, start: Found, budget: &Budget, stopwatch: Stopwatch) -> Vec<Guide> {
    if budget.evaluations == Some(0) || (budget.seconds.is_none() && budget.evaluations.is_none()) {
        return Vec::new();
    }
    let mut best = start;
    for round in 0..ROUNDS {
        let chain = |thread: usize| {
            let mut chain = Chain::new(problem, budget, best.clone(), round, thread);
            chain.run(stopwatch);
            chain.best
        };
        let found: Vec<Found> = std::thread::scope(|scope| {
            let chain = &chain;
            let others: Vec<_> = (1..budget.threads).map(|thread| scope.spawn(move || chain(thread))).collect();
            let mut found = vec![chain(0)];
            found.extend(others.into_iter().filter_map(|other| other.join().ok()));
            found
        });
        for other in found {
            if other.score < best.score {
                best = other;
            }
        }
    }
    vec![best.guide]
}

struct Chain<'a> {
    problem: &'a Problem,
    budget: &'a Budget,
    bench: Bench<'a>,
    rng: Rng,
    round: usize,
    best: Found,
}

impl<'a> Chain<'a> {
    fn new(problem: &'a Problem, budget: &'a Budget, best: Found, round: usize, thread: usize) -> Self {
        let seed = budget.seed.wrapping_mul(1_000_003).wrapping_add((round * 64 + thread) as u64);
        let bench = Bench::new(problem, budget.figure);
        Chain { problem, budget, bench, rng: Rng::new(seed), round, best }
    }

    /// Share of this round that is over, by the clock or by count, whichever is further.
    fn over(&self, done: u64, stopwatch: Stopwatch) -> f64 {
        let by_clock = self.budget.seconds.map_or(0.0, |(start, length)| {
            let each = length / ROUNDS as f64;
            let begun = start + each * self.round as f64;
            (stopwatch() - begun) / each.max(1e-9)
        });
        let by_count = self.budget.evaluations.map_or(0.0, |all| {
            let each = all as f64 / (ROUNDS * self.budget.threads) as f64;
            done as f64 / each.max(1.0)
        });
        by_clock.max(by_count)
    }

    fn run(&mut self, stopwatch: Stopwatch) {
        let for_price = self.round >= LATE_ROUNDS;
        let mut guide = self.best.guide.clone();
        let Ok(score) = self.bench.score(&guide) else { return };
        let value = |score: &Score| score.late + SMOOTHING * score.other;
        let mut now = if for_price { score.price } else { value(&score) };
        let scale = if for_price { score.price * 0.001 } else { 0.004 * now / (1.0 + self.round as f64) + 0.3 };
        let mut done = 0;
        loop {
            let over = self.over(done, stopwatch);
            if over >= 1.0 {
                return;
            }
            let heat = scale * 0.02_f64.powf(over.max(0.0));
            let back = change(self.problem, &mut guide, &mut self.rng);
            done += 1;
            let Some((score, then)) = self.try_guide(&guide, for_price) else {
                undo(&mut guide, back);
                continue;
            };
            let worse = then - now;
            if worse <= 0.0 || self.rng.share() < (-worse / heat).exp() {
                now = then;
                if let Some(score) = score
                    && score < self.best.score
                {
                    self.best = Found { guide: guide.clone(), score };
                }
            } else {
                undo(&mut guide, back);
            }
        }
    }

    /// The value of a guide, and its score where it may be the best; nothing where it is not allowed.
    fn try_guide(&mut self, guide: &Guide, for_price: bool) -> Option<(Option<Score>, f64)> {
        let (late, other) = self.bench.lateness(guide).ok()?;
        if for_price {
            // A hard cap: punished lateness would be traded for money.
            if late > self.best.score.late {
                return None;
            }
            let score = Score { late, price: self.bench.price(), other };
            return Some((Some(score), score.price));
        }
        let may_be_best = late <= self.best.score.late;
        let score = may_be_best.then(|| Score { late, price: self.bench.price(), other });
        Some((score, late + SMOOTHING * other))
    }
}
