//! Moulds, tanks and racks while the decoder walks the days: what is where, and what may go on.

use crate::Short;
use crate::plan::{Lifted, Schedule, Stripped};
use crate::problem::{At, DayIx, MakeIx, Problem};

/// Panels that wait, oldest first.
type Queue<P> = Vec<(P, i64)>;

#[derive(Clone, Debug)]
pub(super) struct Yard<'p> {
    problem: &'p Problem,
    /// By day: panels that may be stripped from then on.
    ripe: Vec<Queue<MakeIx>>,
    /// By day: panels that may be lifted from then on.
    soaked: Vec<Queue<(MakeIx, Option<usize>)>>,
    to_strip: Queue<MakeIx>,
    to_lift: Queue<(MakeIx, Option<usize>)>,
    /// By group: panels in moulds, of them lots, and this morning's two.
    in_moulds: Vec<i64>,
    lots_in_moulds: Vec<i64>,
    morning: Vec<(i64, i64)>,
    /// By make: lots still in moulds.
    lots_of: Vec<i64>,
    /// Length taken, mm.
    in_tank: Vec<f64>,
    on_rack: Vec<f64>,
    /// By rack and day: length that leaves.
    leaves: Vec<Vec<f64>>,
}

/// Most of `most` that fit into `room` at `each`.
pub(crate) fn fit(room: f64, each: f64, most: i64) -> i64 {
    // A cast rounds towards zero, which is down for all that counts here, and is no call.
    if each <= 0.0 { most } else { (((room + 1e-7) / each) as i64).max(0).min(most) }
}

impl<'p> Yard<'p> {
    pub fn new(problem: &'p Problem) -> Self {
        let (days, groups) = (problem.len(), problem.groups.len());
        let mut yard = Yard {
            problem,
            ripe: vec![Vec::new(); days],
            soaked: vec![Vec::new(); days],
            to_strip: Vec::new(),
            to_lift: Vec::new(),
            in_moulds: vec![0; groups],
            lots_in_moulds: vec![0; groups],
            morning: vec![(0, 0); groups],
            lots_of: vec![0; problem.makes.len()],
            in_tank: vec![0.0; problem.tanks.len()],
            on_rack: vec![0.0; problem.racks.len()],
            leaves: vec![vec![0.0; days]; problem.racks.len()],
        };
        yard.restart();
        yard
    }

    /// Back to the first morning.
    pub fn restart(&mut self) {
        self.ripe.iter_mut().for_each(Vec::clear);
        self.soaked.iter_mut().for_each(Vec::clear);
        self.to_strip.clear();
        self.to_lift.clear();
        self.in_moulds.fill(0);
        self.lots_of.fill(0);
        self.in_tank.fill(0.0);
        self.on_rack.fill(0.0);
        self.leaves.iter_mut().for_each(|rack| rack.fill(0.0));
        for lot in &self.problem.lots {
            let (panel, count) = (self.problem.panel_of(lot.make), lot.quantity as f64);
            match lot.at {
                At::Mould(day) => {
                    self.in_moulds[panel.group] += lot.quantity;
                    self.lots_of[lot.make] += lot.quantity;
                    if let Some(ripe) = self.ripe.get_mut(day) {
                        ripe.push((lot.make, lot.quantity));
                    }
                }
                At::Tank(tank, day) => {
                    self.in_tank[tank] += count * panel.tank_mm;
                    if let Some(soaked) = self.soaked.get_mut(day) {
                        soaked.push(((lot.make, Some(tank)), lot.quantity));
                    }
                }
                At::Rack(rack, day) => {
                    self.on_rack[rack] += count * panel.rack_mm;
                    if let Some(leaves) = self.leaves[rack].get_mut(day) {
                        *leaves += count * panel.rack_mm;
                    }
                }
            }
        }
        self.lots_in_moulds.clone_from(&self.in_moulds);
    }

    /// Racks are cleared, then panels lifted and moulds stripped as far as labour and room allow.
    pub fn out(&mut self, day: DayIx, labour: &mut f64, to: &mut Schedule) {
        for (level, leaves) in self.on_rack.iter_mut().zip(&self.leaves) {
            *level -= leaves[day];
        }
        for group in 0..self.in_moulds.len() {
            self.morning[group] = (self.in_moulds[group], self.lots_in_moulds[group]);
        }
        let soaked = std::mem::take(&mut self.soaked[day]);
        self.to_lift.extend(soaked);
        self.lift(day, labour, to);
        let ripe = std::mem::take(&mut self.ripe[day]);
        self.to_strip.extend(ripe);
        self.strip(day, labour, to);
    }

    fn lift(&mut self, day: DayIx, labour: &mut f64, to: &mut Schedule) {
        let mut queue = std::mem::take(&mut self.to_lift);
        for ((make, tank), left) in &mut queue {
            let panel = self.problem.panel_of(*make);
            let mut can = fit(*labour, panel.lift_minutes, *left);
            while can > 0 {
                let Some((rack, quantity)) = self.rack_for(*make, can) else { break };
                self.lay_on_rack(day, *make, *tank, rack, quantity, to);
                *labour -= quantity as f64 * panel.lift_minutes;
                if let Some(tank) = tank {
                    self.in_tank[*tank] -= quantity as f64 * panel.tank_mm;
                }
                *left -= quantity;
                can -= quantity;
            }
        }
        queue.retain(|(_, left)| *left > 0);
        self.to_lift = queue;
    }

    /// A rack with room for some of `most`, and for how many; no rack where the mix needs none.
    fn rack_for(&self, make: MakeIx, most: i64) -> Option<(Option<usize>, i64)> {
        if self.problem.mix_of(make).dry_free {
            return Some((None, most));
        }
        let each = self.problem.panel_of(make).rack_mm;
        let room = |rack: usize| fit(self.problem.racks[rack].mm - self.on_rack[rack], each, most);
        (0..self.on_rack.len()).map(|rack| (Some(rack), room(rack))).find(|(_, room)| *room > 0)
    }

    fn lay_on_rack(
        &mut self,
        day: DayIx,
        make: MakeIx,
        tank: Option<usize>,
        rack: Option<usize>,
        quantity: i64,
        to: &mut Schedule,
    ) {
        to.lifts[day].push(Lifted { make, tank, rack, quantity });
        let Some(rack) = rack else { return };
        let mm = quantity as f64 * self.problem.panel_of(make).rack_mm;
        self.on_rack[rack] += mm;
        if let Some(leaves) = self.leaves[rack].get_mut(self.problem.mix_of(make).ready_from[day]) {
            *leaves += mm;
        }
    }

    fn strip(&mut self, day: DayIx, labour: &mut f64, to: &mut Schedule) {
        let mut queue = std::mem::take(&mut self.to_strip);
        for (make, left) in &mut queue {
            if self.problem.mix_of(*make).soak_free {
                self.strip_through(day, *make, left, labour, to);
            }
            self.strip_into_tanks(day, *make, left, labour, to);
        }
        queue.retain(|(_, left)| *left > 0);
        self.to_strip = queue;
    }

    /// Panels that need no soaking go straight on to a rack, or are ready.
    fn strip_through(&mut self, day: DayIx, make: MakeIx, left: &mut i64, labour: &mut f64, to: &mut Schedule) {
        // With one tank, that is the tank a strip names even if nothing stays in it.
        let panel = self.problem.panel_of(make);
        let tank = if self.problem.tanks.len() == 1 { panel.tanks.first().copied() } else { None };
        if tank.is_some_and(|tank| self.in_tank[tank] > self.problem.tanks[tank].mm) {
            // Lots alone overfill the tank, and those lifted out of it count as the oldest there: nothing passes through.
            return;
        }
        let minutes = panel.strip_minutes + panel.lift_minutes;
        while *left > 0 {
            let can = fit(*labour, minutes, *left);
            let Some((rack, quantity)) = self.rack_for(make, can).filter(|(_, quantity)| *quantity > 0) else { break };
            to.strips[day].push(Stripped { make, tank, quantity });
            self.lay_on_rack(day, make, tank, rack, quantity, to);
            self.leave_mould(make, quantity);
            *labour -= quantity as f64 * minutes;
            *left -= quantity;
        }
    }

    fn strip_into_tanks(&mut self, day: DayIx, make: MakeIx, left: &mut i64, labour: &mut f64, to: &mut Schedule) {
        let panel = self.problem.panel_of(make);
        for tank in &panel.tanks {
            let can = fit(*labour, panel.strip_minutes, *left);
            let quantity = fit(self.problem.tanks[*tank].mm - self.in_tank[*tank], panel.tank_mm, can);
            if quantity == 0 {
                continue;
            }
            to.strips[day].push(Stripped { make, tank: Some(*tank), quantity });
            self.in_tank[*tank] += quantity as f64 * panel.tank_mm;
            *labour -= quantity as f64 * panel.strip_minutes;
            *left -= quantity;
            self.leave_mould(make, quantity);
            let free_from = self.problem.mix_of(make).lift_from[day];
            // A panel that need not soak and still went into a tank is lifted tomorrow at the soonest: lifts are over today.
            if let Some(soaked) = self.soaked.get_mut(free_from.max(day + 1)) {
                soaked.push(((make, Some(*tank)), quantity));
            }
        }
    }

    fn leave_mould(&mut self, make: MakeIx, quantity: i64) {
        let group = self.problem.panel_of(make).group;
        self.in_moulds[group] -= quantity;
        let lots = quantity.min(self.lots_of[make]);
        self.lots_of[make] -= lots;
        self.lots_in_moulds[group] -= lots;
    }

    /// Moulds of a group that may be filled today when at most `cap` may be taken tonight and so many were poured today.
    pub fn free_moulds(&self, group: usize, cap: i64, poured: i64) -> i64 {
        let turnaround = self.problem.groups[group].turnaround;
        let taken = if turnaround { self.morning[group].0 + poured } else { self.in_moulds[group] };
        (cap - taken).max(0)
    }

    /// Pours into moulds.
    pub fn pour(&mut self, day: DayIx, make: MakeIx, quantity: i64) {
        self.in_moulds[self.problem.panel_of(make).group] += quantity;
        if let Some(ripe) = self.ripe.get_mut(self.problem.makes[make].strip_from[day]) {
            ripe.push((make, quantity));
        }
    }

    /// Whether tonight more moulds are taken than are in service (lots alone excepted), and how many more.
    pub fn evening(&self, day: DayIx, poured: &[i64]) -> Result<(), Short> {
        for (ix, group) in self.problem.groups.iter().enumerate() {
            let (taken, lots) = match group.turnaround {
                true => (self.morning[ix].0 + poured[ix], self.morning[ix].1),
                false => (self.in_moulds[ix], self.lots_in_moulds[ix]),
            };
            let most = group.in_service[day].max(lots);
            if taken > most {
                return Err(Short::Moulds { group: ix, day, missing: taken - most });
            }
        }
        Ok(())
    }
}
