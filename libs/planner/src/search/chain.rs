//! One chain of the search: simulated annealing over diaries.

use std::sync::Arc;

use workshop::documents::plan::LateFigure;

use super::diary::{Diary, Lines};
use super::moves::{Hand, Touched};
use super::rng::Rng;
use super::statics::Statics;
use super::value::{Giver, Late};
use super::walk::{Course, Walker};
use crate::problem::{DayIx, Problem};

/// A diary and what it comes to.
#[derive(Clone, Debug)]
pub(super) struct Kept {
    pub diary: Arc<Diary>,
    pub late: Late,
    pub price: f64,
}

/// What a round of a chain is about.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Aim {
    /// Fewer days late, until there are few enough.
    Lateness {
        /// No plan is less late than that, or hardly.
        enough: f64,
    },
    /// A lower price at no more lateness than that.
    Price(f64),
}

pub(super) struct Chain<'p> {
    problem: &'p Problem,
    statics: &'p Statics,
    figure: LateFigure,
    walker: Walker<'p>,
    giver: Giver<'p>,
    hand: Hand<'p>,
    diary: Diary,
    late: Late,
    price: f64,
    pub best: Kept,
    pub evaluations: u64,
}

impl<'p> Chain<'p> {
    /// A chain that stands at a diary; nothing where the diary cannot keep the pins. It pours nothing that is ready after the horizon.
    pub fn new(
        problem: &'p Problem,
        statics: &'p Statics,
        lines: &'p Lines,
        figure: LateFigure,
        diary: Diary,
        seed: u64,
    ) -> Option<Self> {
        let mut walker = Walker::new(problem, statics);
        let mut giver = Giver::new(problem, lines, figure);
        if walker.walk(&diary, &Touched::all()) == Course::Broken {
            return None;
        }
        let late = giver.by_keys(&walker, &statics.ready, &diary, 0..problem.kinds.len());
        walker.accept();
        let price = price(problem, &walker, late);
        let best = Kept { diary: Arc::new(diary.clone()), late, price };
        let hand = Hand::new(problem, lines, Rng::new(seed));
        Some(Chain { problem, statics, figure, walker, giver, hand, diary, late, price, best, evaluations: 0 })
    }

    /// Pours panels that are ready after the horizon as well, from now on.
    pub fn beyond(&mut self) {
        self.walker.beyond = true;
    }

    /// A diary and what it comes to here; nothing where it cannot keep the pins. Other diaries have to be gone to afterwards.
    pub fn walked(&mut self, diary: Diary) -> Option<Kept> {
        if self.walker.walk(&diary, &Touched::all()) == Course::Broken {
            self.walker.refuse();
            return None;
        }
        let late = self.giver.by_keys(&self.walker, &self.statics.ready, &diary, 0..self.problem.kinds.len());
        self.walker.accept();
        self.giver.accept();
        Some(Kept { price: price(self.problem, &self.walker, late), diary: Arc::new(diary), late })
    }

    /// Goes on from another diary.
    pub fn go_to(&mut self, kept: &Kept) {
        self.diary = (*kept.diary).clone();
        // It was walked before, so it can be walked.
        if self.walker.walk(&self.diary, &Touched::all()) != Course::Broken {
            let kinds = 0..self.problem.kinds.len();
            self.late = self.giver.by_keys(&self.walker, &self.statics.ready, &self.diary, kinds);
            self.walker.accept();
            self.price = kept.price;
            self.best = kept.clone();
        }
    }

    /// What leads, and a share of the other lateness to smooth it.
    fn value(&self, late: Late) -> f64 {
        match self.figure {
            LateFigure::OrderDaysLate => late.orders + SMOOTHING * late.panels,
            LateFigure::PanelDaysLate => late.panels,
        }
    }

    pub fn leading(&self, late: Late) -> f64 {
        leading(self.figure, late)
    }

    /// Anneals from one heat to another, shares of the lateness or of what a panel costs, while `over` says a share below 1; shows `tell` the best so
    /// far now and then. Says whether there is nothing left to gain.
    pub fn anneal(
        &mut self,
        aim: Aim,
        heats: (f64, f64),
        mut over: impl FnMut(u64) -> f64,
        mut tell: impl FnMut(&Kept),
    ) -> bool {
        let base = match aim {
            Aim::Lateness { .. } => self.value(self.late).max(1.0),
            Aim::Price(_) => self.price.max(1.0) / self.ordered(),
        };
        self.hand.thrifty = matches!(aim, Aim::Price(_));
        let begun = self.evaluations;
        let mut heat = heats.0 * base;
        loop {
            if (self.evaluations - begun).is_multiple_of(16) {
                let over = over(self.evaluations - begun);
                let enough = matches!(aim, Aim::Lateness { enough } if self.leading(self.best.late) <= enough);
                if over >= 1.0 || enough {
                    return enough;
                }
                heat = base * heats.0 * (heats.1 / heats.0).powf(over.max(0.0));
                tell(&self.best);
            }
            self.evaluations += 1;
            if self.hand.change(&mut self.diary, &self.walker) && !self.attempt(aim, heat) {
                self.hand.undo(&mut self.diary);
            }
        }
    }

    /// Panels ordered, 1 at the least.
    fn ordered(&self) -> f64 {
        self.problem.kinds.iter().map(|kind| kind.ordered).sum::<i64>().max(1) as f64
    }

    /// Walks a change and says whether it was kept.
    fn attempt(&mut self, aim: Aim, heat: f64) -> bool {
        let course = self.walker.walk(&self.diary, &self.hand.touched);
        if course == Course::Same && self.hand.touched.keys.is_empty() {
            // Neither better nor worse, and another place to go on from.
            return true;
        }
        let kept = course != Course::Broken && self.weigh(aim, heat);
        if kept {
            self.walker.accept();
            self.giver.accept();
        } else {
            self.walker.refuse();
        }
        kept
    }

    /// Says whether to keep what was walked.
    fn weigh(&mut self, aim: Aim, heat: f64) -> bool {
        let rekeyed = self.hand.touched.keys.iter().map(|(kind, _)| *kind);
        let late = self.giver.by_keys(&self.walker, &self.statics.ready, &self.diary, rekeyed);
        let kept = self.is_kept(aim, heat, late);
        if !kept {
            self.giver.refuse();
        }
        kept
    }

    fn is_kept(&mut self, aim: Aim, heat: f64, late: Late) -> bool {
        let (worse, price) = match aim {
            Aim::Lateness { .. } => (self.value(late) - self.value(self.late), None),
            // A hard cap: punished lateness would be traded for money.
            Aim::Price(most) if self.leading(late) > most => return false,
            Aim::Price(_) => {
                let price = price(self.problem, &self.walker, late);
                (price - self.price, Some(price))
            }
        };
        if worse > 0.0 && self.hand.rng.share() >= (-worse / heat).exp() {
            return false;
        }
        self.late = late;
        let may_lead = self.leading(late) <= self.leading(self.best.late);
        if may_lead || price.is_some() {
            let price = price.unwrap_or_else(|| self::price(self.problem, &self.walker, late));
            self.price = price;
            if (self.leading(late), price) < (self.leading(self.best.late), self.best.price) {
                self.best = Kept { diary: Arc::new(self.diary.clone()), late, price };
            }
        }
        true
    }

    pub fn walker(&self) -> &Walker<'p> {
        &self.walker
    }

    pub fn whole(&self) -> &[DayIx] {
        &self.giver.whole
    }
}

const SMOOTHING: f64 = 0.01;

/// The lateness that leads.
pub(super) fn leading(figure: LateFigure, late: Late) -> f64 {
    match figure {
        LateFigure::OrderDaysLate => late.orders,
        LateFigure::PanelDaysLate => late.panels,
    }
}

/// Materials drawn and put off in the days walked last, washouts and what it costs to keep panels, minor units; deliveries left out.
fn price(problem: &Problem, walker: &Walker, late: Late) -> f64 {
    let poured: f64 = (0..problem.len()).map(|day| walker.day(day).price).sum();
    poured + walker.put_off() - late.kept_no_longer
}
