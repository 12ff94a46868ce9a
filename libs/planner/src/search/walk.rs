//! Walks the days of a diary: out before in, then the day's list. A change is walked from the first day it touches; what was
//! walked before it stays as it is.

use super::diary::{ANY, Diary};
use super::statics::Statics;
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
            evening: Standing::default(),
        }
    }

    /// A day as it would be.
    pub fn day(&self, day: DayIx) -> &Walked {
        if day < self.from { &self.days[day] } else { &self.trial[day] }
    }

    /// Panels of a kind poured by the evening of a day, as things are.
    pub fn covered_by(&self, day: DayIx, kind: usize) -> i64 {
        self.days.get(day + 1).map_or(self.evening.covered[kind], |next| next.morning.covered[kind])
    }

    /// Walks a diary from the first day a change touches; false where a pin cannot be kept.
    pub fn walk(&mut self, diary: &Diary, from: DayIx) -> bool {
        self.from = from;
        if from >= self.problem.len() {
            return true;
        }
        self.now.copy(&self.days[from].morning);
        for day in from..self.problem.len() {
            let walked = &mut self.trial[day];
            walked.morning.copy(&self.now);
            walked.pours.clear();
            walked.strips.clear();
            walked.lifts.clear();
            walked.price = 0.0;
            if !self.walk_day(diary, day) {
                return false;
            }
        }
        true
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
            self.free[ix] = free;
        }
        true
    }

    fn draw(&mut self, material: usize, quantity: f64) {
        self.free[material] -= quantity;
        self.now.drawn[material] += quantity;
    }

    fn clear_racks(&mut self, day: DayIx) {
        for (rack, mm) in &self.statics.leaving[day] {
            self.now.on_rack[*rack] -= mm;
        }
        for source in &self.statics.lifted_on[day] {
            let lifts = if *source < self.from { &self.days[*source].lifts } else { &self.trial[*source].lifts };
            for step in lifts.iter().filter(|step| step.next == day) {
                if let Some(rack) = step.rack {
                    self.now.on_rack[rack] -= step.quantity as f64 * self.problem.panel_of(step.make).rack_mm;
                }
            }
        }
    }

    fn lift(&mut self, day: DayIx) {
        let mut queue = std::mem::take(&mut self.now.to_lift);
        queue.extend_from_slice(&self.statics.soaked[day]);
        for source in &self.statics.stripped_on[day] {
            let strips = if *source < self.from { &self.days[*source].strips } else { &self.trial[*source].strips };
            let ripe = strips.iter().filter(|step| step.next == day && step.rack.is_none());
            queue.extend(ripe.map(|step| (step.make, step.tank, step.quantity)));
        }
        for (make, tank, left) in &mut queue {
            let panel = self.problem.panel_of(*make);
            let mut can = fit(self.labour, panel.lift_minutes, *left);
            while can > 0 {
                let Some((rack, quantity)) = self.rack_for(*make, can) else { break };
                self.lay_on_rack(day, *make, *tank, rack, quantity);
                self.labour -= quantity as f64 * panel.lift_minutes;
                if let Some(tank) = tank {
                    self.now.in_tank[*tank] -= quantity as f64 * panel.tank_mm;
                }
                *left -= quantity;
                can -= quantity;
            }
        }
        queue.retain(|(_, _, left)| *left > 0);
        self.now.to_lift = queue;
    }

    /// A rack with room for some of `most`, and for how many; no rack where the mix needs none.
    fn rack_for(&self, make: MakeIx, most: i64) -> Option<(Option<usize>, i64)> {
        if self.problem.mix_of(make).dry_free {
            return Some((None, most));
        }
        let each = self.problem.panel_of(make).rack_mm;
        let room = |rack: usize| fit(self.problem.racks[rack].mm - self.now.on_rack[rack], each, most);
        (0..self.now.on_rack.len()).map(|rack| (Some(rack), room(rack))).find(|(_, room)| *room > 0)
    }

    fn lay_on_rack(&mut self, day: DayIx, make: MakeIx, tank: Option<usize>, rack: Option<usize>, quantity: i64) {
        let next = self.problem.mix_of(make).ready_from[day];
        self.trial[day].lifts.push(Step { make, quantity, next, tank, rack });
        if let Some(rack) = rack {
            self.now.on_rack[rack] += quantity as f64 * self.problem.panel_of(make).rack_mm;
        }
    }

    fn strip(&mut self, day: DayIx) {
        let mut queue = std::mem::take(&mut self.now.to_strip);
        queue.extend_from_slice(&self.statics.ripe[day]);
        for source in &self.statics.poured_on[day] {
            let pours = if *source < self.from { &self.days[*source].pours } else { &self.trial[*source].pours };
            let ripe = pours.iter().filter(|step| step.next == day);
            queue.extend(ripe.map(|step| (step.make, None, step.quantity)));
        }
        for (make, _, left) in &mut queue {
            if self.problem.mix_of(*make).soak_free {
                self.strip_through(day, *make, left);
            }
            self.strip_into_tanks(day, *make, left);
        }
        queue.retain(|(_, _, left)| *left > 0);
        self.now.to_strip = queue;
    }

    /// Panels that need no soaking go straight on to a rack, or are ready.
    fn strip_through(&mut self, day: DayIx, make: MakeIx, left: &mut i64) {
        // With one tank, that is the tank a strip names even if nothing stays in it.
        let panel = self.problem.panel_of(make);
        let tank = if self.problem.tanks.len() == 1 { panel.tanks.first().copied() } else { None };
        if tank.is_some_and(|tank| self.now.in_tank[tank] > self.problem.tanks[tank].mm) {
            // Lots alone overfill the tank, and those lifted out of it count as the oldest there: nothing passes through.
            return;
        }
        let minutes = panel.strip_minutes + panel.lift_minutes;
        while *left > 0 {
            let can = fit(self.labour, minutes, *left);
            let Some((rack, quantity)) = self.rack_for(make, can).filter(|(_, quantity)| *quantity > 0) else { break };
            // Marked with a rack, or with no day to go on from: it never waits in the tank.
            self.trial[day].strips.push(Step { make, quantity, next: DayIx::MAX, tank, rack });
            self.lay_on_rack(day, make, tank, rack, quantity);
            self.leave_mould(make, quantity);
            self.labour -= quantity as f64 * minutes;
            *left -= quantity;
        }
    }

    fn strip_into_tanks(&mut self, day: DayIx, make: MakeIx, left: &mut i64) {
        let panel = self.problem.panel_of(make);
        for tank in &panel.tanks {
            if *left == 0 {
                return;
            }
            let can = fit(self.labour, panel.strip_minutes, *left);
            let quantity = fit(self.problem.tanks[*tank].mm - self.now.in_tank[*tank], panel.tank_mm, can);
            if quantity == 0 {
                continue;
            }
            // A panel that need not soak and still went into a tank is lifted tomorrow at the soonest: lifts are over today.
            let next = self.problem.mix_of(make).lift_from[day].max(day + 1);
            self.trial[day].strips.push(Step { make, quantity, next, tank: Some(*tank), rack: None });
            self.now.in_tank[*tank] += quantity as f64 * panel.tank_mm;
            self.labour -= quantity as f64 * panel.strip_minutes;
            *left -= quantity;
            self.leave_mould(make, quantity);
        }
    }

    fn leave_mould(&mut self, make: MakeIx, quantity: i64) {
        let group = self.problem.panel_of(make).group;
        self.now.in_moulds[group] -= quantity;
        if let Some(lots_of) = self.now.lots_of.get_mut(make) {
            let lots = quantity.min(*lots_of);
            *lots_of -= lots;
            self.now.lots_in_moulds[group] -= lots;
        }
    }

    fn put(&mut self, day: DayIx, make: MakeIx, quantity: i64) {
        let group = self.problem.panel_of(make).group;
        let m = &self.problem.makes[make];
        self.poured[group] += quantity;
        self.now.in_moulds[group] += quantity;
        self.now.covered[m.kind] += quantity;
        let pours = &mut self.trial[day].pours;
        match pours.iter_mut().find(|step| step.make == make) {
            Some(step) => step.quantity += quantity,
            None => pours.push(Step { make, quantity, next: m.strip_from[day], tank: None, rack: None }),
        }
    }

    /// Moulds of a group that may be filled today.
    fn free_moulds(&self, group: usize, day: DayIx) -> i64 {
        let turnaround = self.problem.groups[group].turnaround;
        let taken = if turnaround { self.morning[group].0 + self.poured[group] } else { self.now.in_moulds[group] };
        (self.statics.caps[group][day] - taken).max(0)
    }

    /// Pours what a page fixes of a make, as far as moulds, mixer, labour, material and demand go.
    fn pour_fixed(&mut self, diary: &Diary, day: DayIx, make: MakeIx, quantity: i64) {
        let made = &self.problem.makes[make];
        let Some(entry) = diary.pages[day].entries.iter().find(|entry| entry.mix == made.mix) else { return };
        if made.ready_soonest[day] >= self.problem.len() || !made.may_pour[day] || self.pinned(day, make) {
            return;
        }
        let wanted = diary.turns[made.kind].upto.last().copied().unwrap_or(0) - self.now.covered[made.kind];
        let free = self.free_moulds(self.problem.panels[made.panel].group, day);
        let most = entry.most.max(self.mixed[made.mix].batches);
        let limited =
            self.problem.mixes[made.mix].per_litre.iter().any(|(material, _)| self.free[*material].is_finite());
        self.fill(day, make, made.mix, most, quantity.min(wanted).min(free), limited);
    }

    /// Pours a mix: the makes by the keys of the lines they are for, until batches, moulds, labour, material or demand end.
    fn pour(&mut self, diary: &Diary, day: DayIx, mix: usize, most: i64) {
        let problem = self.problem;
        let m = &problem.mixes[mix];
        let already = self.mixed[mix].batches;
        let most = if most == ANY { i64::MAX } else { most.max(already) };
        let mut heads = std::mem::take(&mut self.heads);
        heads.clear();
        for &make in &m.makes {
            let made = &problem.makes[make];
            if made.ready_soonest[day] >= problem.len() || !made.may_pour[day] || self.pinned(day, make) {
                continue;
            }
            let turn = &diary.turns[made.kind];
            let place = turn.upto.partition_point(|upto| *upto <= self.now.covered[made.kind]);
            if let Some(line) = turn.lines.get(place)
                && self.free_moulds(problem.panels[made.panel].group, day) > 0
            {
                heads.push((diary.keys[*line as usize], make, place));
            }
        }
        heads.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let limited = m.per_litre.iter().any(|(material, _)| self.free[*material].is_finite());
        let mut at = 0;
        while at < heads.len() {
            let (_, make, place) = heads[at];
            let made = &problem.makes[make];
            let turn = &diary.turns[made.kind];
            let wanted = turn.upto[place] - self.now.covered[made.kind];
            let free = self.free_moulds(problem.panels[made.panel].group, day);
            let quantity = self.fill(day, make, mix, most, wanted.min(free), limited);
            if quantity < wanted {
                // Moulds, batch or hours are at their end for this panel; a smaller one may still go in.
                at += 1;
                continue;
            }
            match turn.lines.get(place + 1) {
                Some(line) => {
                    let key = diary.keys[*line as usize];
                    heads[at] = (key, make, place + 1);
                    let mut to = at;
                    while to + 1 < heads.len() && heads[to + 1].0 < key {
                        heads.swap(to, to + 1);
                        to += 1;
                    }
                }
                None => at += 1,
            }
        }
        self.heads = heads;
    }

    /// Pours up to so many panels into the mix's batches of the day, opening batches as needed; how many it were.
    fn fill(&mut self, day: DayIx, make: MakeIx, mix: usize, most: i64, wanted: i64, limited: bool) -> i64 {
        let problem = self.problem;
        let (m, panel) = (&problem.mixes[mix], problem.panel_of(make));
        let mut done = 0;
        while done < wanted {
            let mixed = self.mixed[mix];
            let open = mixed.batches as f64 * m.batch_max - mixed.litres;
            let mut quantity = fit(open, panel.litres, wanted - done);
            let mut minutes = 0.0;
            let mut opened = 0;
            if quantity == 0 {
                // The panel may straddle the batches there are and the next.
                if self.batches_left <= 0 || mixed.batches >= most {
                    return done;
                }
                minutes = m.batch_minutes + if mixed.batches == 0 { m.washout_minutes } else { 0.0 };
                opened = 1;
                quantity = fit(open + m.batch_max, panel.litres, wanted - done);
                if quantity == 0 {
                    // Larger than a whole batch: as many batches as it takes.
                    opened = ((panel.litres - open) / m.batch_max - 1e-9).ceil() as i64;
                    if opened > self.batches_left || mixed.batches + opened > most {
                        return done;
                    }
                    minutes += (opened - 1) as f64 * m.batch_minutes;
                    quantity = 1;
                }
            }
            quantity = fit(self.labour - minutes, panel.pour_minutes, quantity);
            if limited || panel.per_panel.iter().any(|(material, _)| self.free[*material].is_finite()) {
                quantity = self.fit_materials(mix, make, quantity);
            }
            if quantity <= 0 || minutes > self.labour {
                return done;
            }
            self.take_materials(day, mix, make, quantity);
            let mixed = &mut self.mixed[mix];
            mixed.litres += quantity as f64 * panel.litres;
            mixed.batches += opened;
            self.batches_left -= opened;
            self.labour -= minutes + quantity as f64 * panel.pour_minutes;
            self.put(day, make, quantity);
            done += quantity;
        }
        done
    }

    /// Litres drawn for a mix's litres of the day, washout included.
    fn litres_drawn(&self, mix: usize, litres: f64) -> f64 {
        let m = &self.problem.mixes[mix];
        let batching = m.batching(litres);
        if batching.count == 0 { 0.0 } else { batching.litres() + m.washout_litres }
    }

    /// How many of `most` panels the materials of the day allow.
    fn fit_materials(&self, mix: usize, make: MakeIx, most: i64) -> i64 {
        let problem = self.problem;
        let (m, panel) = (&problem.mixes[mix], problem.panel_of(make));
        let before = self.litres_drawn(mix, self.mixed[mix].litres);
        let allowed = |quantity: i64| {
            let litres = self.litres_drawn(mix, self.mixed[mix].litres + quantity as f64 * panel.litres) - before;
            let own = |material: usize| {
                let each = panel.per_panel.iter().find(|(own, _)| *own == material).map_or(0.0, |own| own.1);
                each * quantity as f64
            };
            let of_mix = m
                .per_litre
                .iter()
                .all(|(material, each)| each * litres + own(*material) <= self.free[*material].max(0.0) + 1e-9);
            of_mix
                && panel
                    .per_panel
                    .iter()
                    .all(|(material, each)| each * quantity as f64 <= self.free[*material].max(0.0) + 1e-9)
        };
        let mut quantity = most;
        while quantity > 0 && !allowed(quantity) {
            quantity -= 1;
        }
        quantity
    }

    fn take_materials(&mut self, day: DayIx, mix: usize, make: MakeIx, quantity: i64) {
        let problem = self.problem;
        let (m, panel) = (&problem.mixes[mix], problem.panel_of(make));
        let before = self.litres_drawn(mix, self.mixed[mix].litres);
        let after = self.litres_drawn(mix, self.mixed[mix].litres + quantity as f64 * panel.litres);
        let litres = after - before;
        for (material, each) in &m.per_litre {
            self.draw(*material, each * litres);
        }
        for (material, each) in &panel.per_panel {
            self.draw(*material, each * quantity as f64);
        }
        self.trial[day].price += m.litre_price * litres + panel.panel_price * quantity as f64;
    }

    fn pinned(&self, day: DayIx, make: MakeIx) -> bool {
        self.problem.pins[day].iter().any(|pin| pin.0 == make)
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
        self.trial[day].price += self.statics.pins[day].price;
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

/// Most of `most` that fit into `room` at `each`.
fn fit(room: f64, each: f64, most: i64) -> i64 {
    if each <= 0.0 { most } else { (((room + 1e-7) / each).floor().max(0.0) as i64).min(most) }
}
