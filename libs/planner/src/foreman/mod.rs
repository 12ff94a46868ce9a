//! The foreman: due day first, forward day by day, a few dozen settings, the best kept. No run returns a worse plan.

mod decoder;
mod guide;
mod stores;
mod yard;

pub use decoder::Decoder;
pub use guide::{Guide, Habits, MixChoice, Standing, settings};
pub(crate) use yard::fit;

use workshop::documents::Plan;
use workshop::documents::plan::LateFigure;

use crate::Short;
use crate::plan::{
    Served, Shelf, coming, drawn, hand_out, keep_price, put_off_price, serve, washout_price, write_plan,
};
use crate::problem::Problem;

/// How good a decoded schedule is: the lateness looked at, then a quick price of its materials.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Score {
    /// The figure that leads.
    pub late: f64,
    /// Materials drawn and put off, minor units; deliveries left out.
    pub price: f64,
    /// The other lateness, roughly.
    pub other: f64,
}

/// Decodes guides and scores them.
pub struct Bench<'p> {
    problem: &'p Problem,
    /// The decoder.
    pub decoder: Decoder<'p>,
    figure: LateFigure,
    served: Served,
    /// Where panels count one by one.
    shelf: Option<Shelf>,
}

/// A guide with what it came to.
#[derive(Clone, Debug)]
pub struct Found {
    /// What was decoded.
    pub guide: Guide,
    /// How good it is.
    pub score: Score,
}

impl<'p> Bench<'p> {
    /// A bench that looks at `figure` first.
    pub fn new(problem: &'p Problem, figure: LateFigure) -> Self {
        let shelf = (figure == LateFigure::PanelDaysLate).then(|| Shelf::of(problem));
        Bench { problem, decoder: Decoder::new(problem), figure, served: Served::default(), shelf }
    }

    /// Decodes a guide, serves the orders and gives (lateness that leads, the other).
    ///
    /// # Errors
    /// What is short where a pin cannot be poured.
    pub fn lateness(&mut self, guide: &Guide) -> Result<(f64, f64), Short> {
        self.decoder.decode(guide)?;
        let mut free = self.decoder.schedule.supply(self.problem);
        serve(self.problem, self.decoder.sequence(), &mut free, &mut self.served);
        let orders = self.served.order_days;
        Ok(match &self.shelf {
            None => (orders, self.served.line_days),
            Some(shelf) => {
                let supply = self.decoder.schedule.supply(self.problem);
                let late = |(kind, there_by): (usize, &Vec<i64>)| shelf.late(self.problem, kind, &coming(there_by));
                (supply.iter().enumerate().map(late).sum(), orders)
            }
        })
    }

    /// By order: the day it is whole in the schedule scored last.
    pub fn ready(&self) -> &[usize] {
        &self.served.ready
    }

    /// The quick price of the schedule decoded last.
    pub fn price(&self) -> f64 {
        let drawn = drawn(self.problem, &self.decoder.schedule);
        let of_material = |(material, drawn): (&crate::problem::Material, &Vec<f64>)| {
            drawn.iter().sum::<f64>() * material.pack_price / material.pack
        };
        let poured: f64 = self.problem.materials.iter().zip(&drawn).map(of_material).sum();
        let schedule = &self.decoder.schedule;
        poured + put_off_price(self.problem, schedule) + washout_price(self.problem, schedule) + self.keep_price()
    }

    fn keep_price(&self) -> f64 {
        if !self.problem.keeps() {
            return 0.0;
        }
        let schedule = &self.decoder.schedule;
        let rows = hand_out(self.problem, schedule.supply(self.problem), &self.served.ready, self.figure);
        keep_price(self.problem, schedule, &rows)
    }

    /// Decodes and scores a guide.
    ///
    /// # Errors
    /// What is short where a pin cannot be poured.
    pub fn score(&mut self, guide: &Guide) -> Result<Score, Short> {
        let (late, other) = self.lateness(guide)?;
        Ok(Score { late, price: self.price(), other })
    }

    /// Decodes a guide and writes it as a plan.
    ///
    /// # Errors
    /// What is short where a pin cannot be poured or a material not be there.
    pub fn plan(&mut self, guide: &Guide) -> Result<Plan, Short> {
        self.lateness(guide)?;
        write_plan(self.problem, &self.decoder.schedule, &self.served.ready, self.figure)
    }
}

/// The best of the foreman's settings. The first that can be decoded is handed to `first` at once; the others are tried as
/// long as `go_on` says so.
///
/// # Errors
/// What is short where a pin cannot be poured under any setting.
pub fn foreman(
    bench: &mut Bench,
    mut first: impl FnMut(&mut Bench, &Guide),
    go_on: impl Fn() -> bool,
) -> Result<Found, Short> {
    let mut best: Option<Found> = None;
    let mut failed = Short::Labour { day: 0, missing: 0.0 };
    for guide in settings(bench.problem) {
        if best.is_some() && !go_on() {
            break;
        }
        match bench.score(&guide) {
            Ok(score) => {
                if best.is_none() {
                    first(bench, &guide);
                }
                if best.as_ref().is_none_or(|best| score < best.score) {
                    best = Some(Found { guide, score });
                }
            }
            Err(short) => failed = short,
        }
    }
    best.ok_or(failed)
}
