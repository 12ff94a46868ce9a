//! Walks the days of a diary: out before in, then the day's list. A change is walked from the first day it touches; what was
//! walked before it stays as it is.

mod passing;
mod pouring;

use super::diary::Diary;
use super::moves::Touched;
use super::statics::{Pourable, Statics};
use crate::plan::{Lifted, Schedule, Stripped};
use crate::problem::{DayIx, MakeIx, Problem};

/// Panels that go somewhere on one day and may go on from another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Step {
    pub make: MakeIx,
    pub quantity: i64,
    /// Day from which they may go on.
    pub next: DayIx,
    pub tank: Option<usize>,
    pub rack: Option<usize>,
}

/// A queue of panels: make, tank they are in, how many.
type Queue = Vec<(MakeIx, Option<usize>, i64)>;

/// How things stand on a morning.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Standing {
    /// By group: panels in moulds; of them lots.
    pub in_moulds: Vec<i64>,
    pub lots_in_moulds: Vec<i64>,
    /// By make: lots still in moulds; empty where there are none at all.
    pub lots_of: Vec<i64>,
    /// By kind: panels poured so far, stock and lots among them.
    pub covered: Vec<i64>,
    /// mm.
    pub in_tank: Vec<f64>,
    pub on_rack: Vec<f64>,
    /// By material: drawn so far beyond pins, and the level kept where the store is limited.
    pub drawn: Vec<f64>,
    pub kept: Vec<f64>,
    /// Panels that wait, oldest first.
    pub to_strip: Queue,
    pub to_lift: Queue,
}

impl Standing {
    fn copy(&mut self, other: &Standing) {
        self.in_moulds.clone_from(&other.in_moulds);
        self.lots_in_moulds.clone_from(&other.lots_in_moulds);
        self.lots_of.clone_from(&other.lots_of);
        self.covered.clone_from(&other.covered);
        self.in_tank.clone_from(&other.in_tank);
        self.on_rack.clone_from(&other.on_rack);
        self.drawn.clone_from(&other.drawn);
        self.kept.clone_from(&other.kept);
        self.to_strip.clone_from(&other.to_strip);
        self.to_lift.clone_from(&other.to_lift);
    }
}

/// One day walked.
#[derive(Clone, Debug, Default)]
pub(super) struct Walked {
    /// How things stood in the morning.
    pub morning: Standing,
    pub pours: Vec<Step>,
    pub strips: Vec<Step>,
    pub lifts: Vec<Step>,
    /// Minor units of material drawn.
    pub price: f64,
}

impl Walked {
    /// Whether the same panels go the same ways. On equal mornings that makes for equal evenings.
    fn same_steps(&self, other: &Walked) -> bool {
        self.pours == other.pours && self.strips == other.strips && self.lifts == other.lifts
    }
}

/// What a diary walked comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Course {
    /// A pin cannot be kept.
    Broken,
    /// The days are as they were.
    Same,
    /// They are others.
    Other,
}

/// What is mixed of each mix on the day being walked.
#[derive(Clone, Copy, Debug, Default)]
struct Mixed {
    litres: f64,
    batches: i64,
}

/// The walker: the days as they are, and as they would be.
pub(super) struct Walker<'p> {
    pub problem: &'p Problem,
    statics: &'p Statics,
    /// Whether panels are poured that are ready after the horizon.
    pub beyond: bool,
    /// As they are.
    pub days: Vec<Walked>,
    /// As they would be, from the day walked from.
    trial: Vec<Walked>,
    from: DayIx,
    /// How things stand now.
    now: Standing,
    labour: f64,
    batches_left: i64,
    mixed: Vec<Mixed>,
    /// By group: panels in moulds and lots in moulds this morning, panels poured today.
    morning: Vec<(i64, i64)>,
    poured: Vec<i64>,
    /// By material: what may be drawn today.
    free: Vec<f64>,
    /// Makes of a mix that wait to be poured, the smallest key first.
    heads: Vec<(f64, MakeIx, usize)>,
    /// By kind: the place of the first line that is not covered yet, or one before it.
    places: Vec<usize>,
    /// By make: where its pour of the day is, if it is there at all.
    slots: Vec<usize>,
    /// Whether any material is limited today.
    limited: bool,
    evening: Standing,
}

impl<'p> Walker<'p> {
    pub fn new(problem: &'p Problem, statics: &'p Statics) -> Self {
        let mut days = vec![Walked::default(); problem.len()];
        if let Some(first) = days.first_mut() {
            first.morning = statics.first.clone();
        }
        Walker {
            problem,
            statics,
            beyond: false,
            trial: days.clone(),
            days,
            from: 0,
            now: Standing::default(),
            labour: 0.0,
            batches_left: 0,
            mixed: vec![Mixed::default(); problem.mixes.len()],
            morning: vec![(0, 0); problem.groups.len()],
            poured: vec![0; problem.groups.len()],
            free: vec![0.0; problem.materials.len()],
            heads: Vec::new(),
            places: vec![0; problem.kinds.len()],
            slots: vec![0; problem.makes.len()],
            limited: false,
            evening: Standing::default(),
        }
    }

    /// A day as it would be.
    pub fn day(&self, day: DayIx) -> &Walked {
        if day < self.from { &self.days[day] } else { &self.trial[day] }
    }

    /// The days walked last that may be otherwise than they are.
    pub fn walked(&self) -> std::ops::Range<DayIx> {
        self.from..self.problem.len()
    }

    /// Panels of a kind poured by the evening of a day, as things are.
    pub fn covered_by(&self, day: DayIx, kind: usize) -> i64 {
        self.days.get(day + 1).map_or(self.evening.covered[kind], |next| next.morning.covered[kind])
    }

    /// Walks a diary from the first day a change touches. Most changes come to nothing, because hours, moulds or demand end where they did
    /// before: as soon as all days touched are as they were, so are those after them.
    pub fn walk(&mut self, diary: &Diary, touched: &Touched) -> Course {
        let from = touched.from;
        self.from = from.min(self.problem.len());
        if from >= self.problem.len() {
            return Course::Same;
        }
        let mut same = true;
        self.now.copy(&self.days[from].morning);
        for (place, (turn, covered)) in self.places.iter_mut().zip(diary.turns.iter().zip(&self.now.covered)) {
            *place = turn.place(*covered);
        }
        for day in from..self.problem.len() {
            let walked = &mut self.trial[day];
            walked.morning.copy(&self.now);
            walked.pours.clear();
            walked.strips.clear();
            walked.lifts.clear();
            walked.price = 0.0;
            if !self.walk_day(diary, day) {
                return Course::Broken;
            }
            same = same && self.trial[day].same_steps(&self.days[day]);
            let spent = |(kind, upto): &(usize, i64)| self.now.covered[*kind] >= *upto;
            if same && day >= touched.pages_to && touched.keys.iter().all(spent) {
                self.refuse();
                return Course::Same;
            }
        }
        if same && touched.pages_to < self.problem.len() {
            self.refuse();
            return Course::Same;
        }
        Course::Other
    }

    /// Minor units of material in the panels put off in the days walked last: ordered beyond stock, lots and pours.
    pub fn put_off(&self) -> f64 {
        // Having just walked, `now` is the last evening; with nothing walked things stay as they are.
        let covered = if self.from < self.problem.len() { &self.now.covered } else { &self.evening.covered };
        let price = |(kind, covered): (usize, &i64)| {
            (self.problem.kinds[kind].ordered - covered - self.statics.stranded[kind]).max(0) as f64
                * self.statics.dearest[kind]
        };
        covered.iter().enumerate().map(price).sum()
    }

    /// What was walked last is how things are.
    pub fn accept(&mut self) {
        for day in self.from..self.problem.len() {
            std::mem::swap(&mut self.days[day], &mut self.trial[day]);
        }
        if self.from < self.problem.len() {
            std::mem::swap(&mut self.evening, &mut self.now);
        }
        self.from = self.problem.len();
    }

    /// What was walked last is forgotten.
    pub fn refuse(&mut self) {
        self.from = self.problem.len();
    }

    /// Whether keys and pages may have a make poured on a day.
    pub fn pourable(&self, day: DayIx, make: MakeIx) -> bool {
        match self.statics.pourable[day][make] {
            Pourable::Never => false,
            Pourable::InTime => true,
            Pourable::Beyond => self.beyond,
        }
    }

    fn walk_day(&mut self, diary: &Diary, day: DayIx) -> bool {
        let problem = self.problem;
        for group in 0..problem.groups.len() {
            self.morning[group] = (self.now.in_moulds[group], self.now.lots_in_moulds[group]);
            self.poured[group] = 0;
        }
        self.mixed.fill(Mixed::default());
        let pins = &self.statics.pins[day];
        self.labour = problem.labour[day] - pins.minutes;
        self.batches_left = problem.mixer_batches - pins.batches;
        for (mix, litres, batches) in &pins.mixed {
            self.mixed[*mix] = Mixed { litres: *litres, batches: *batches };
        }
        if !self.materials(day) {
            return false;
        }
        let kept = diary.pages[day].kept.min(self.labour).max(0.0);
        self.labour -= kept;
        self.clear_racks(day);
        self.lift(day);
        self.strip(day);
        self.labour += kept;
        if self.labour < -1e-7 {
            return false;
        }
        for (make, quantity) in &problem.pins[day] {
            self.put(day, *make, *quantity);
        }
        if day >= self.statics.quiet_until {
            for (make, quantity) in &diary.pages[day].fixed {
                self.pour_fixed(diary, day, *make, *quantity);
            }
            let by_keys = if diary.pages[day].only_fixed { &[][..] } else { &diary.pages[day].entries };
            for entry in by_keys {
                self.pour(diary, day, entry.mix, entry.most);
            }
        }
        self.close(day)
    }

    /// What is free of each material today; false where not even the pins can have theirs.
    fn materials(&mut self, day: DayIx) -> bool {
        self.limited = false;
        for (ix, material) in self.problem.materials.iter().enumerate() {
            let pinned = self.statics.pinned[ix][day];
            let free = if day < material.lead {
                self.statics.lowest[ix][day] - self.now.drawn[ix]
            } else if let Some(most) = material.store_max {
                let before = if day == 0 { 0.0 } else { material.arrived[day - 1] };
                let level = self.now.kept[ix] + material.arrived[day] - before;
                let packs = ((most - level) / material.pack + 1e-9).floor().max(0.0);
                self.now.kept[ix] = level + packs * material.pack;
                self.now.kept[ix] - material.floor - pinned
            } else {
                f64::INFINITY
            };
            if pinned > 0.0 && free < -5e-7 {
                return false;
            }
            self.limited |= free.is_finite();
            self.free[ix] = free;
        }
        true
    }

    fn draw(&mut self, material: usize, quantity: f64) {
        self.free[material] -= quantity;
        self.now.drawn[material] += quantity;
    }

    /// Ends a day; false where more moulds are taken than are in service (lots alone excepted).
    fn close(&mut self, day: DayIx) -> bool {
        let problem = self.problem;
        for (ix, group) in problem.groups.iter().enumerate() {
            let (taken, lots) = match group.turnaround {
                true => (self.morning[ix].0 + self.poured[ix], self.morning[ix].1),
                false => (self.now.in_moulds[ix], self.now.lots_in_moulds[ix]),
            };
            if taken > group.in_service[day].max(lots) {
                return false;
            }
        }
        for (ix, material) in problem.materials.iter().enumerate() {
            if day >= material.lead && material.store_max.is_some() {
                // What is free fell by all that was drawn today beyond the pins.
                self.now.kept[ix] = self.free[ix] + material.floor;
            } else if day + 1 == material.lead && material.store_max.is_some() {
                self.now.kept[ix] = material.arrived[day] - self.statics.pinned_by[ix][day] - self.now.drawn[ix];
            }
        }
        self.trial[day].price += self.statics.pins[day].price + self.price_of_mixes(day);
        true
    }

    /// The days as they are, as a schedule.
    pub fn schedule(&self) -> Schedule {
        let mut schedule = Schedule::empty(self.problem.len());
        for (day, walked) in self.days.iter().enumerate() {
            schedule.pours[day].extend(walked.pours.iter().map(|step| (step.make, step.quantity)));
            let strip = |step: &Step| Stripped { make: step.make, tank: step.tank, quantity: step.quantity };
            schedule.strips[day].extend(walked.strips.iter().map(strip));
            let lift =
                |step: &Step| Lifted { make: step.make, tank: step.tank, rack: step.rack, quantity: step.quantity };
            schedule.lifts[day].extend(walked.lifts.iter().map(lift));
        }
        schedule
    }
}
