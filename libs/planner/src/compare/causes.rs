//! Which change of the facts a line of the plan comes from.

use chrono::NaiveDate as Day;
use workshop::documents::Facts;

use super::because::Because;
use super::told::Told;
use super::{Line, PlanChange};

/// Finds causes.
pub(super) struct Causes<'a> {
    old: &'a Facts,
    new: &'a Facts,
    told: &'a [Told],
    better: bool,
}

/// What a line is about.
#[derive(Default)]
struct Touched<'a> {
    order: Option<&'a str>,
    material: Option<&'a str>,
    mix: Option<&'a str>,
    day: Option<Day>,
    kinds: Vec<(String, String)>,
}

impl<'a> Causes<'a> {
    /// `better` says whether the plan after has better figures.
    pub fn new(old: &'a Facts, new: &'a Facts, told: &'a [Told], better: bool) -> Self {
        Causes { old, new, told, better }
    }

    /// A line with its cause.
    pub fn explain(&self, line: Line) -> PlanChange {
        let what = self.words(&line);
        let (because, why) = match self.cause(&self.touched(&line)) {
            Some(told) => (told.change.because, format!("as {}", told.change.sentence)),
            None => match self.told.first() {
                Some(told) => (Because::Room, format!("to make room, as {}", told.change.sentence)),
                None if self.better => (Because::Better, "found to be better on the same facts".to_owned()),
                None => (Because::Anew, "planned anew on the same facts".to_owned()),
            },
        };
        PlanChange { line, because, sentence: format!("{what}, {why}") }
    }

    /// The nearest change: of the line's own order or material, of its day, of its mix, of its panels, then of what all share.
    fn cause(&self, touched: &Touched) -> Option<&'a Told> {
        let order = |told: &Told| {
            matches!(
                told.change.because,
                Because::OrderNew | Because::OrderGone | Because::DueMoved | Because::OrderChanged
            )
        };
        let own = |told: &&Told| match touched.order {
            Some(id) => order(told) && told.change.subject == id,
            None => touched.material.is_some_and(|id| told.change.subject == id && is_of_material(told)),
        };
        let of_day = |told: &&Told| {
            touched.day.is_some_and(|day| told.days.contains(&day))
                && (told.kinds.is_empty() || touched.kinds.iter().any(|kind| told.kinds.contains(kind)))
        };
        let of_mix = |told: &&Told| {
            touched.mix.is_some_and(|mix| told.change.subject == mix)
                && matches!(told.change.because, Because::Recipe | Because::Weather)
        };
        let of_kind = |told: &&Told| touched.kinds.iter().any(|kind| told.kinds.contains(kind));
        let find = |is: &dyn Fn(&&Told) -> bool| self.told.iter().find(|told| is(told));
        find(&own)
            .or_else(|| find(&of_day))
            .or_else(|| find(&of_mix))
            .or_else(|| find(&|told| of_kind(told) && !order(told) && !is_of_material(told)))
            .or_else(|| find(&|told| of_kind(told) && order(told)))
            .or_else(|| find(&of_kind))
            .or_else(|| find(&|told| told.kinds.is_empty() && !order(told) && !is_of_material(told)))
    }

    fn touched<'l>(&self, line: &'l Line) -> Touched<'l> {
        match line {
            Line::Ready { order, .. } => {
                let orders = self.old.orders.iter().chain(&self.new.orders).filter(|o| o.id == *order);
                let kinds = orders.flat_map(|o| &o.lines).map(|line| (line.panel.clone(), line.finish.clone()));
                Touched { order: Some(order), kinds: kinds.collect(), ..Touched::default() }
            }
            Line::Pour { day, panel, mix, .. } => {
                let mixes = self.new.mixes.iter().chain(&self.old.mixes).filter(|m| m.id == *mix);
                let kinds = mixes.map(|m| (panel.clone(), m.finish.clone())).collect();
                Touched { mix: Some(mix), day: Some(*day), kinds, ..Touched::default() }
            }
            Line::Delivery { day, material, .. } => {
                Touched { material: Some(material), day: Some(*day), ..Touched::default() }
            }
        }
    }

    fn words(&self, line: &Line) -> String {
        match line {
            Line::Ready { order, was, is } => self.ready(order, *was, *is),
            Line::Pour { day, panel, mix, was, is } => {
                let what = format!("of panel \"{panel}\" in mix \"{mix}\" are poured on {day}");
                match (was, is) {
                    (0, is) => format!("{is} {what} that were not"),
                    (was, 0) => format!("none {what} instead of {was}"),
                    (was, is) => format!("{is} {what} instead of {was}"),
                }
            }
            Line::Delivery { day, material, was, is } => {
                let of = format!("of material \"{material}\" to come on {day}");
                match (was, is) {
                    (0, is) => format!("{} {of} {} to be ordered", packs(*is), verb(*is)),
                    (was, 0) => format!("{} {of} {} no longer to be ordered", packs(*was), verb(*was)),
                    (was, is) => format!("{} {of} {} to be ordered instead of {was}", packs(*is), verb(*is)),
                }
            }
        }
    }

    fn ready(&self, order: &str, was: Option<Day>, is: Option<Day>) -> String {
        let known = |facts: &Facts| facts.orders.iter().any(|o| o.id == order);
        match (known(self.old), known(self.new), was, is) {
            (true, false, ..) => format!("order \"{order}\" is planned no more"),
            (false, _, _, Some(is)) => format!("order \"{order}\" is ready on {is}"),
            (false, _, _, None) => format!("order \"{order}\" is not ready by the last day"),
            (_, _, Some(was), Some(is)) => {
                let days = (is - was).num_days();
                let than = if days > 0 { "later" } else { "sooner" };
                let count = if days.abs() == 1 { "1 day".to_owned() } else { format!("{} days", days.abs()) };
                format!("order \"{order}\" is ready on {is}, {count} {than} than {was}")
            }
            (_, _, None, Some(is)) => format!("order \"{order}\" is ready on {is} and was not by the last day"),
            (_, _, Some(was), None) => format!("order \"{order}\" is not ready by the last day and was on {was}"),
            (_, _, None, None) => format!("order \"{order}\" is not ready by the last day"),
        }
    }
}

fn is_of_material(told: &Told) -> bool {
    matches!(told.change.because, Because::Stock | Because::Delivery | Because::Supply)
}

fn packs(count: i64) -> String {
    if count == 1 { "1 pack".to_owned() } else { format!("{count} packs") }
}

fn verb(count: i64) -> &'static str {
    if count == 1 { "is" } else { "are" }
}
