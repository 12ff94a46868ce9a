//! Panels go into moulds and batches, as far as moulds, mixer, labour, material and demand go.

use super::super::diary::{ANY, Diary};
use super::{Mixed, Step, Walker};
use crate::foreman::fit;
use crate::problem::{DayIx, MakeIx};

impl Walker<'_> {
    pub(super) fn put(&mut self, day: DayIx, make: MakeIx, quantity: i64) {
        let group = self.problem.panel_of(make).group;
        let m = &self.problem.makes[make];
        self.poured[group] += quantity;
        self.now.in_moulds[group] += quantity;
        self.now.covered[m.kind] += quantity;
        self.trial[day].price += quantity as f64 * self.problem.keep_from_pour(make, day);
        let pours = &mut self.trial[day].pours;
        // A place from an earlier day holds another make, or happens to be right.
        match pours.get_mut(self.slots[make]).filter(|step| step.make == make) {
            Some(step) => step.quantity += quantity,
            None => {
                self.slots[make] = pours.len();
                pours.push(Step { make, quantity, next: m.strip_from[day], tank: None, rack: None });
            }
        }
    }

    /// Moulds of a group that may be filled today.
    fn free_moulds(&self, group: usize, day: DayIx) -> i64 {
        let turnaround = self.problem.groups[group].turnaround;
        let taken = if turnaround { self.morning[group].0 + self.poured[group] } else { self.now.in_moulds[group] };
        (self.statics.caps[group][day] - taken).max(0)
    }

    /// Pours what a page fixes of a make, as far as moulds, mixer, labour, material and demand go.
    pub(super) fn pour_fixed(&mut self, diary: &Diary, day: DayIx, make: MakeIx, quantity: i64) {
        let made = &self.problem.makes[make];
        let Some(entry) = diary.pages[day].entries.iter().find(|entry| entry.mix == made.mix) else { return };
        if !self.pourable(day, make) {
            return;
        }
        let wanted = diary.turns[made.kind].upto.last().copied().unwrap_or(0) - self.now.covered[made.kind];
        let free = self.free_moulds(self.problem.panels[made.panel].group, day);
        let most = entry.most.max(self.mixed[made.mix].batches);
        self.fill(day, make, made.mix, most, quantity.min(wanted).min(free));
    }

    /// Pours a mix: the makes by the keys of the lines they are for, until batches, moulds, labour, material or demand end.
    pub(super) fn pour(&mut self, diary: &Diary, day: DayIx, mix: usize, most: i64) {
        let problem = self.problem;
        let m = &problem.mixes[mix];
        let already = self.mixed[mix].batches;
        let most = if most == ANY { i64::MAX } else { most.max(already) };
        if self.spent(mix, most) {
            return;
        }
        let mut heads = std::mem::take(&mut self.heads);
        heads.clear();
        for &make in &m.makes {
            let made = &problem.makes[make];
            if !self.pourable(day, make) || self.free_moulds(problem.panels[made.panel].group, day) == 0 {
                continue;
            }
            let (turn, covered) = (&diary.turns[made.kind], self.now.covered[made.kind]);
            let place = &mut self.places[made.kind];
            while turn.upto.get(*place).is_some_and(|upto| *upto <= covered) {
                *place += 1;
            }
            if let Some(line) = turn.lines.get(*place) {
                heads.push((diary.keys[*line as usize], make, *place));
            }
        }
        heads.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let mut at = 0;
        while at < heads.len() && !self.spent(mix, most) {
            let (_, make, place) = heads[at];
            let made = &problem.makes[make];
            let turn = &diary.turns[made.kind];
            let wanted = turn.upto[place] - self.now.covered[made.kind];
            let free = self.free_moulds(problem.panels[made.panel].group, day);
            let quantity = self.fill(day, make, mix, most, wanted.min(free));
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

    /// Whether batches or hours are at their end for even the smallest panel of a mix.
    fn spent(&self, mix: usize, most: i64) -> bool {
        let (m, mixed, least) = (&self.problem.mixes[mix], self.mixed[mix], self.statics.least[mix]);
        let room = mixed.batches > 0 && mixed.batches as f64 * m.batch_max - mixed.litres + 1e-6 >= least.litres;
        if room && self.labour + 1e-6 >= least.minutes {
            return false;
        }
        let washout = if mixed.batches == 0 { m.washout_minutes } else { 0.0 };
        let hours = self.labour + 1e-6 >= m.batch_minutes + washout + least.minutes;
        self.batches_left <= 0 || mixed.batches >= most || !hours
    }

    /// Pours up to so many panels into the mix's batches of the day, opening batches as needed; how many it were.
    fn fill(&mut self, day: DayIx, make: MakeIx, mix: usize, most: i64, wanted: i64) -> i64 {
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
            if self.limited {
                quantity = self.fit_materials(mix, make, quantity);
            }
            if quantity <= 0 || minutes > self.labour {
                return done;
            }
            if self.limited {
                self.take_materials(mix, make, quantity);
            }
            self.trial[day].price += panel.panel_price * quantity as f64;
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

    /// What the mixes of a day draw beyond its pins, minor units.
    pub(super) fn price_of_mixes(&self, day: DayIx) -> f64 {
        let pinned = |mix: usize| self.statics.pins[day].mixed.iter().find(|pin| pin.0 == mix).map_or(0.0, |pin| pin.1);
        let price = |(mix, mixed): (usize, &Mixed)| {
            let beyond = self.litres_drawn(mix, mixed.litres) - self.litres_drawn(mix, pinned(mix));
            let washed_out = if pinned(mix) > 0.0 { 0.0 } else { self.problem.mixes[mix].washout_price[day] };
            self.problem.mixes[mix].litre_price * beyond + washed_out
        };
        self.mixed.iter().enumerate().filter(|(_, mixed)| mixed.batches > 0).map(price).sum()
    }

    fn take_materials(&mut self, mix: usize, make: MakeIx, quantity: i64) {
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
    }
}
