//! One planning run: foreman, search, exact; the best plan wins, is checked and explained.

use workshop::documents::plan::{Figures, LateFigure, Proof};
use workshop::documents::{Facts, Plan};

use crate::bound;
use crate::check::{Broken, check};
use crate::exact::{self, Ended};
use crate::explain::{Explanation, explain, stands};
use crate::foreman::{Bench, Found, Guide, foreman};
use crate::model::Detail;
use crate::plan::Schedule;
use crate::problem::{Fault, Problem, validate};
use crate::search::{Budget, News, Searched, search_telling};
use crate::stop::is_to_stop;
use crate::ways::{Way, Ways};

/// How long and how a run may go on.
#[derive(Clone, Debug)]
pub struct Limits {
    /// Seconds by the stopwatch. Without them the run ends by `evaluations` and `nodes` alone, reads no clock, and with one
    /// thread gives the same plan to the byte every time.
    pub seconds: Option<f64>,
    /// Threads, 1 or more.
    pub threads: usize,
    /// Seed of whatever is drawn by lot.
    pub seed: u64,
    /// Most nodes of the exact way; 0 leaves it out.
    pub nodes: Option<u64>,
    /// Most schedules the search decodes; 0 leaves it out.
    pub evaluations: Option<u64>,
    /// The lateness that leads.
    pub figure: LateFigure,
    /// The ways the run may go. The foreman's first plan is there whatever is named: it is the floor.
    pub ways: Ways,
}

impl Limits {
    /// By the clock.
    pub fn seconds(seconds: f64, threads: usize, seed: u64) -> Self {
        let (figure, ways) = (LateFigure::OrderDaysLate, Ways::ALL);
        Limits { seconds: Some(seconds), threads, seed, nodes: None, evaluations: None, figure, ways }
    }

    /// Without a clock, one thread: the same every time.
    pub fn counted(evaluations: u64, nodes: u64, seed: u64) -> Self {
        let (nodes, evaluations) = (Some(nodes), Some(evaluations));
        let (figure, ways) = (LateFigure::OrderDaysLate, Ways::ALL);
        Limits { seconds: None, threads: 1, seed, nodes, evaluations, figure, ways }
    }
}

/// How a run is getting on.
#[derive(Clone, Debug)]
pub struct Progress {
    /// Since the run began; 0 in a run without a clock.
    pub seconds: f64,
    /// Which way is at work.
    pub way: Way,
    /// The best plan so far.
    pub figures: Figures,
    /// The bound so far.
    pub bound: f64,
    /// In words.
    pub sentence: String,
}

/// A plan that passed the checker.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// The plan, with its proof.
    pub plan: Plan,
    /// Why orders are late, and what ran short.
    pub explanation: Explanation,
    /// Which way found it.
    pub way: Way,
    /// No plan with as little of the lateness that leads costs less, minor units; nothing where that is not known.
    pub cost_bound: Option<i64>,
}

/// Why there is no plan.
#[derive(Clone, Debug, thiserror::Error)]
pub enum PlanFailure {
    /// The facts contradict themselves.
    #[error("the facts contradict themselves in {} places", .0.len())]
    Facts(Vec<Fault>),
    /// The pins cannot be kept.
    #[error("{0}")]
    Short(String),
    /// The checker refused the plan: a fault of the planner.
    #[error("the plan broke {} rules and was thrown away; please report it", .0.len())]
    Refused(Vec<Broken>),
}

/// Late orders looked into at the end of a run without a clock.
const MOST_LOOKED_INTO: usize = 200;

/// A stopwatch: seconds since the run began, or what [`Stoppable`](crate::Stoppable) shows.
pub type Stopwatch<'a> = &'a (dyn Fn() -> f64 + Sync);

/// Plans.
///
/// # Errors
/// Contradictions in the facts, pins that cannot be kept, or a plan the checker refuses.
pub fn run(
    facts: &Facts,
    limits: &Limits,
    stopwatch: Stopwatch,
    progress: &mut dyn FnMut(Progress),
) -> Result<Outcome, PlanFailure> {
    let problem = validate(facts).map_err(PlanFailure::Facts)?;
    // What is no number of seconds is none; what is beyond all patience ends there.
    let seconds = limits.seconds.map(|seconds| if seconds.is_nan() { 0.0 } else { seconds.clamp(0.0, 1e9) });
    let limits = &Limits { seconds, threads: limits.threads.max(1), ..limits.clone() };
    let mut run = Run {
        facts,
        problem: &problem,
        limits,
        stopwatch,
        progress,
        best: None,
        early: None,
        bound: 0.0,
        cost_bound: None,
    };
    run.bound = bound::each_alone(&problem, limits.figure);
    let ended = run.plan()?;
    run.finish(ended)
}

/// What is said when the search turns from lateness to cost: the figures told with it are those before.
const NOW_THE_PRICE: &str = "lateness has been searched; now for the price of the materials, with no more of it";

struct Best {
    plan: Plan,
    schedule: Schedule,
    ready: Vec<usize>,
    way: Way,
}

impl Best {
    fn dated(&self) -> exact::Dated {
        (self.schedule.clone(), self.ready.clone())
    }
}

struct Run<'a> {
    facts: &'a Facts,
    problem: &'a Problem,
    limits: &'a Limits,
    stopwatch: Stopwatch<'a>,
    progress: &'a mut dyn FnMut(Progress),
    best: Option<Best>,
    /// The best before the search turned to the price: nothing in it is poured that is ready after the horizon.
    early: Option<exact::Dated>,
    bound: f64,
    /// For the least lateness, where that is known.
    cost_bound: Option<i64>,
}

impl Run<'_> {
    fn now(&self) -> f64 {
        if self.limits.seconds.is_some() { (self.stopwatch)() } else { 0.0 }
    }

    /// Goes the ways one after another; says why it ended.
    fn plan(&mut self) -> Result<String, PlanFailure> {
        let mut bench = Bench::new(self.problem, self.limits.figure);
        let found = self.foreman(&mut bench)?;
        let size = exact::size(self.problem);
        let budget = self.search_budget(size);
        if self.limits.ways.contains(Way::Search) {
            self.search(&mut bench, &found, &budget);
        }
        let mut ended = if self.limits.seconds.is_some() { "time" } else { "evaluations" }.to_owned();
        if self.limits.ways.contains(Way::Exact) {
            if !self.proven() {
                self.joint(size);
            }
            if !self.proven() {
                self.windows(size);
            }
            ended = self.exact(size);
        }
        Ok(if self.proven() { "optimal".to_owned() } else { ended })
    }

    /// Whether less is left than is worth while, or the run is to stop.
    fn is_over(&self, left: Option<f64>, least: f64) -> bool {
        left.is_some_and(|left| left < least) || is_to_stop(self.stopwatch)
    }

    /// Raises the bound by the relaxation of all orders together.
    fn joint(&mut self, size: exact::Size) {
        let share = match (size, self.limits.figure) {
            (exact::Size::Tiny, LateFigure::OrderDaysLate) => 0.3,
            (exact::Size::Small, LateFigure::OrderDaysLate) => 0.6,
            (exact::Size::Tiny | exact::Size::Small, LateFigure::PanelDaysLate) => 0.1,
            // The window model's own relaxation says more of panels one by one, and less of whole orders.
            (exact::Size::Fits, LateFigure::PanelDaysLate) => return,
            (exact::Size::Fits, LateFigure::OrderDaysLate) => 0.8,
            (exact::Size::TooLarge, _) => 1.0,
        };
        let seconds = self.limits.seconds.map(|seconds| (seconds - self.now()) * share);
        let too_large = !matches!(size, exact::Size::Tiny | exact::Size::Small) && seconds.is_none();
        if too_large || self.is_over(seconds, 0.1) || self.limits.nodes == Some(0) {
            return;
        }
        match exact::joint_bound(self.problem, &self.bound_limits(seconds), self.stopwatch) {
            Ok(bound) if bound > self.bound => {
                self.bound = bound;
                self.tell(Way::Exact, "a higher bound, from what all orders ask of each resource together");
            }
            Ok(_) => {}
            Err(reason) => self.tell(Way::Exact, &reason),
        }
    }

    /// Raises the bound of panels one by one by the relaxation that looks at every day.
    fn windows(&mut self, size: exact::Size) {
        let large = size == exact::Size::TooLarge;
        let seconds = self.limits.seconds.map(|seconds| (seconds - self.now()) * if large { 1.0 } else { 0.5 });
        let too_large = seconds.is_none() && (large || size == exact::Size::Fits);
        let none = too_large || self.is_over(seconds, 0.1) || self.limits.nodes == Some(0);
        if none || self.limits.figure == LateFigure::OrderDaysLate {
            return;
        }
        let detail = Detail { lifts: matches!(size, exact::Size::Tiny | exact::Size::Small) };
        match exact::windows_bound(self.problem, &self.bound_limits(seconds), detail, self.stopwatch) {
            Ok(bound) if bound > self.bound => {
                self.bound = bound;
                self.tell(Way::Exact, "a higher bound, from the room there is by night");
            }
            Ok(_) => {}
            Err(reason) => self.tell(Way::Exact, &reason),
        }
    }

    fn bound_limits(&self, seconds: Option<f64>) -> exact::Limits {
        exact::Limits {
            seconds,
            nodes: self.limits.nodes.map(|nodes| nodes.div_ceil(10)),
            threads: self.limits.threads.max(1),
            seed: self.limits.seed,
            figure: self.limits.figure,
            least_late: false,
        }
    }

    /// Searches from the foreman's best schedule.
    fn search(&mut self, bench: &mut Bench, found: &Found, budget: &Budget) {
        // Decoded anew for the restraint that pins ask for.
        if bench.lateness(&found.guide).is_err() {
            return;
        }
        let (restraint, ready) = (bench.decoder.restraint(), bench.ready().to_vec());
        let (problem, stopwatch) = (self.problem, self.stopwatch);
        let from = (&bench.decoder.schedule, &*ready);
        search_telling(problem, from, restraint, budget, stopwatch, &mut |news| self.searched(news));
    }

    /// Takes what the search has found, if it is better.
    fn searched(&mut self, news: News) {
        let Searched { schedule, ready } = match news {
            News::Better(searched) => searched,
            News::NowThePrice => {
                self.early = self.best.as_ref().map(Best::dated);
                return self.tell(Way::Search, NOW_THE_PRICE);
            }
        };
        match crate::plan::write_plan(self.problem, &schedule, &ready, self.limits.figure) {
            Ok(plan) => self.offer(Best { plan, schedule, ready, way: Way::Search }),
            // The search draws only what can be there: a fault of ours, not of the facts.
            Err(_) => self.tell(
                Way::Search,
                "a plan of the search was thrown away: its materials could not be ordered; please report it",
            ),
        }
    }

    /// The floor: a plan at once, then the best of the foreman's settings.
    fn foreman(&mut self, bench: &mut Bench) -> Result<Found, PlanFailure> {
        let (limits, stopwatch) = (self.limits, self.stopwatch);
        // A fifth of the time is enough for settings; the search goes on from the best of them.
        let go_on = || limits.seconds.map_or_else(|| !is_to_stop(stopwatch), |seconds| stopwatch() < 0.2 * seconds);
        let mut written: Vec<Result<(), PlanFailure>> = Vec::new();
        let found = foreman(bench, |bench, guide| written.push(self.write(bench, guide)), go_on);
        let problem = self.problem;
        let found = found.map_err(|short| PlanFailure::Short(short.sentence(problem)))?;
        let again = self.write(bench, &found.guide);
        if self.best.is_none() {
            written.into_iter().collect::<Result<(), _>>().and(again)?;
            return Err(PlanFailure::Refused(Vec::new()));
        }
        Ok(found)
    }

    /// Writes the foreman's plan of a guide and takes it if it is the first or better.
    fn write(&mut self, bench: &mut Bench, guide: &Guide) -> Result<(), PlanFailure> {
        let plan = bench.plan(guide).map_err(|short| PlanFailure::Short(short.sentence(self.problem)))?;
        let verdict = check(self.facts, &plan);
        if !verdict.holds() {
            return Err(PlanFailure::Refused(verdict.broken));
        }
        let (schedule, ready) = (bench.decoder.schedule.clone(), bench.ready().to_vec());
        if self.best.as_ref().is_none_or(|best| self.better(&plan.figures, &best.plan.figures)) {
            self.take(Best { plan, schedule, ready, way: Way::Foreman });
        }
        Ok(())
    }

    /// How much of the run the search may have: most of it where the exact way can do little.
    fn search_budget(&self, size: exact::Size) -> Budget {
        let share = match size {
            exact::Size::Tiny => 0.35,
            exact::Size::Small if self.limits.figure == LateFigure::OrderDaysLate => 0.6,
            exact::Size::Small => 0.35,
            // Whole orders hold together too loosely in the model's relaxation for it to catch up with the search.
            exact::Size::Fits if self.limits.figure == LateFigure::OrderDaysLate => 0.9,
            exact::Size::Fits => 0.6,
            exact::Size::TooLarge => 0.9,
        };
        let left = self.limits.seconds.map(|seconds| (seconds - self.now()).max(0.0));
        let nodes_off = self.limits.nodes == Some(0) || !self.limits.ways.contains(Way::Exact);
        let share = if nodes_off { 0.97 } else { share };
        Budget {
            seconds: left.map(|left| (self.now(), left * share)),
            evaluations: self.limits.evaluations,
            threads: self.limits.threads.max(1),
            seed: self.limits.seed,
            figure: self.limits.figure,
            bound: self.bound,
        }
    }

    fn exact(&mut self, size: exact::Size) -> String {
        if size == exact::Size::TooLarge {
            self.tell(Way::Exact, "the exact way is left out: the model is too large for it");
            return if self.limits.seconds.is_some() { "time" } else { "evaluations" }.to_owned();
        }
        if size == exact::Size::Fits && self.limits.seconds.is_none() {
            self.tell(Way::Exact, "the exact way is left out: the model is too large for it without a clock");
            return "evaluations".to_owned();
        }
        if self.limits.nodes == Some(0) {
            return "evaluations".to_owned();
        }
        let Some(best) = &self.best else { return "time".to_owned() };
        let seconds = self.limits.seconds.map(|seconds| seconds - self.now());
        if self.is_over(seconds, 0.2) {
            return "time".to_owned();
        }
        let limits = exact::Limits {
            seconds,
            nodes: self.limits.nodes,
            threads: self.limits.threads.max(1),
            seed: self.limits.seed,
            figure: self.limits.figure,
            least_late: self.proven(),
        };
        let cheap = best.dated();
        let solved = exact::solve(self.problem, self.early.as_ref().unwrap_or(&cheap), &cheap, &limits, self.stopwatch);
        match solved {
            Ok(solved) => {
                self.bound = self.bound.max(solved.bound);
                if let Some((schedule, ready)) = solved.found
                    && let Ok(plan) = crate::plan::write_plan(self.problem, &schedule, &ready, self.limits.figure)
                {
                    self.offer(Best { plan, schedule, ready, way: Way::Exact });
                }
                if self.proven()
                    && let Some(bound) = solved.price_bound
                {
                    self.raise_cost(bound);
                }
                match solved.ended {
                    // The model's best gave no plan that is as good: no proof of this one.
                    Ended::Optimal => "unproven".to_owned(),
                    ended => ended.word().to_owned(),
                }
            }
            Err(reason) => {
                self.tell(Way::Exact, &reason);
                "error".to_owned()
            }
        }
    }

    /// Takes the bound of the model's price for what plans cost, where it is one.
    fn raise_cost(&mut self, bound: f64) {
        let Some(best) = &self.best else { return };
        // The model knows no price breaks, and sees panels of an order that is late, or weighs nothing, as kept for longer than they are.
        let breaks = self.problem.materials.iter().any(|material| material.lowest_price() < material.pack_price);
        let idle = self.problem.orders.iter().any(|order| order.weight == 0.0);
        let late = best.plan.figures.late(self.limits.figure) > 0.0;
        if breaks || (self.problem.keeps() && (idle || late)) || !bound.is_finite() {
            return;
        }
        let cost = best.plan.figures.material_cost;
        let bound = ((bound - 1e-6 * bound.abs().max(1.0)).round() as i64).min(cost);
        self.cost_bound = Some(bound);
        let sentence = match bound == cost {
            true => "no plan that is as little late costs less".to_owned(),
            false => format!("a plan that is as little late costs {bound} at least"),
        };
        self.tell(Way::Exact, &sentence);
    }

    fn better(&self, a: &Figures, b: &Figures) -> bool {
        match self.limits.figure {
            LateFigure::OrderDaysLate => a.better_than(b),
            LateFigure::PanelDaysLate => (a.panel_days_late, a.material_cost) < (b.panel_days_late, b.material_cost),
        }
    }

    fn proven(&self) -> bool {
        let best = self.best.as_ref();
        best.is_some_and(|best| best.plan.figures.late(self.limits.figure) <= self.bound + 1e-6)
    }

    /// Takes a plan if it is better and the checker finds nothing.
    fn offer(&mut self, other: Best) {
        let better = match &self.best {
            Some(best) => self.better(&other.plan.figures, &best.plan.figures),
            None => true,
        };
        if !better {
            return;
        }
        match check(self.facts, &other.plan).broken.len() {
            0 => self.take(other),
            rules => self.tell(other.way, &format!("a plan broke {rules} rules and was thrown away; please report it")),
        }
    }

    fn take(&mut self, best: Best) {
        let way = best.way;
        self.best = Some(best);
        self.tell(way, "a better plan");
    }

    fn tell(&mut self, way: Way, sentence: &str) {
        let figures = self.best.as_ref().map(|best| best.plan.figures).unwrap_or_default();
        let (seconds, bound) = (self.now(), self.bound);
        (self.progress)(Progress { seconds, way, figures, bound, sentence: sentence.to_owned() });
    }

    /// How long late orders are looked into: for a small share of the run by the clock, else for so many orders.
    fn patience(&self) -> impl FnMut() -> bool {
        let (until, stopwatch) =
            (self.limits.seconds.map(|seconds| self.now() + (0.04 * seconds).max(0.1)), self.stopwatch);
        let mut looked_into = 0;
        move || {
            looked_into += 1;
            match until {
                Some(until) => stopwatch() < until,
                None => looked_into <= MOST_LOOKED_INTO && !is_to_stop(stopwatch),
            }
        }
    }

    fn finish(mut self, ended: String) -> Result<Outcome, PlanFailure> {
        let Some(best) = self.best.take() else { return Err(PlanFailure::Refused(Vec::new())) };
        let (mut plan, way) = (best.plan, best.way);
        let value = plan.figures.late(self.limits.figure);
        debug_assert!(self.bound <= value + 1e-6 * value.max(1.0), "a bound of {} above a plan of {value}", self.bound);
        let bound = self.bound.min(value);
        plan.proof = Some(Proof {
            figure: self.limits.figure,
            bound,
            gap: (value - bound) / value.max(1.0),
            seconds: (self.now() * 1000.0).round() / 1000.0,
            ended,
            way: way.word().to_owned(),
        });
        let verdict = check(self.facts, &plan);
        if !verdict.holds() {
            return Err(PlanFailure::Refused(verdict.broken));
        }
        let stands = stands(self.problem, best.schedule, &best.ready, self.limits.figure);
        let explanation = explain(&stands, self.patience());
        Ok(Outcome { plan, explanation, way, cost_bound: self.cost_bound })
    }
}
