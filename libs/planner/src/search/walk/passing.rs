//! Racks are cleared, then panels lifted and moulds stripped as far as labour and room allow.

use super::{Step, Walker};
use crate::foreman::fit;
use crate::problem::{DayIx, MakeIx};

impl Walker<'_> {
    pub(super) fn clear_racks(&mut self, day: DayIx) {
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

    pub(super) fn lift(&mut self, day: DayIx) {
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

    pub(super) fn strip(&mut self, day: DayIx) {
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
}
