//! The soonest way for panels of a make, or a kind, through what is left.

use super::levels::Spare;
use super::trails::Trail;
use crate::problem::{DayIx, KindIx, MakeIx};

/// Most working days a panel is let wait in its mould, or in its tank, beyond what it must.
const MOST_WAIT: usize = 15;

/// Where panels start from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Start {
    /// Poured on that day.
    Pour(DayIx),
    /// In a mould that is theirs already, to be stripped from that day.
    InMould(DayIx),
    /// In that tank already, to be lifted from that day.
    InTank(usize, DayIx),
}

/// When what is to be placed may be poured, and by when it must be ready.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Window {
    /// No pour, strip or lift before that day.
    pub from: DayIx,
    /// Ready before that day.
    pub before: DayIx,
}

impl Spare<'_> {
    /// Places so many panels of a kind, each lot of them as soon as can be; none where not all can be.
    pub fn place(&mut self, kind: KindIx, quantity: i64, window: Window) -> Option<Vec<Trail>> {
        let (trails, left) = self.place_most(kind, quantity, window);
        if left == 0 {
            return Some(trails);
        }
        trails.iter().for_each(|trail| self.apply(trail, -1));
        None
    }

    /// Places as many panels of a kind as can be, up to so many, and says how many cannot.
    pub fn place_most(&mut self, kind: KindIx, quantity: i64, window: Window) -> (Vec<Trail>, i64) {
        let (mut trails, mut left) = (Vec::new(), quantity);
        while left > 0 {
            let Some(trail) = self.soonest(kind, left, window) else { break };
            self.apply(&trail, 1);
            left -= trail.quantity;
            trails.push(trail);
        }
        (trails, left)
    }

    /// The way by which some of so many panels of a kind are ready soonest; of ways ready alike, the one that opens no batch,
    /// then the one that takes most.
    pub fn soonest(&self, kind: KindIx, most: i64, window: Window) -> Option<Trail> {
        let mut best: Option<((DayIx, bool, i64), Trail)> = None;
        for &make in &self.problem.kinds[kind].makes {
            for day in window.from..self.problem.len() {
                let before = best.as_ref().map_or(window.before, |(key, _)| window.before.min(key.0 + 1));
                if self.problem.makes[make].ready_soonest[day] >= before || !self.may_pour(make, day) {
                    continue;
                }
                let window = Window { before, ..window };
                let Some(trail) = self.way(make, most, Start::Pour(day), window) else { continue };
                let (had, has) = self.batching(make, day, trail.quantity);
                let key = (trail.ready(self.problem), has.count > had.count, -trail.quantity);
                if best.as_ref().is_none_or(|(known, _)| key < *known) {
                    best = Some((key, trail));
                }
            }
        }
        best.map(|(_, trail)| trail)
    }

    fn may_pour(&self, make: MakeIx, day: DayIx) -> bool {
        let pinned = || self.problem.pins[day].iter().any(|pin| pin.0 == make);
        (self.warm || self.problem.makes[make].may_pour[day])
            && self.moulds[self.problem.panel_of(make).group][day] > 0
            && self.may_mix(make, day, 1)
            && (self.unpinned || !pinned())
    }

    /// The soonest way from a start, for as many of `most` panels as it takes.
    pub fn way(&self, make: MakeIx, most: i64, start: Start, window: Window) -> Option<Trail> {
        let poured = if let Start::Pour(day) = start { Some(day) } else { None };
        let ripe = match start {
            Start::Pour(day) => self.problem.makes[make].strip_from[day],
            Start::InMould(day) => day,
            Start::InTank(tank, soaked) => return self.lift_out(make, most, tank, soaked.max(window.from), window),
        };
        let (days, mix) = (self.problem.len(), self.problem.mix_of(make));
        let moulds = &self.moulds[self.problem.panel_of(make).group];
        let turnaround = self.turnaround(make);
        let mut before = window.before;
        let mut best: Option<Trail> = None;
        // A mould is taken from the pour to the evening before the strip, or to that of the strip itself.
        let mut free = most;
        let mut looked = poured.unwrap_or(ripe);
        for stripped in ripe.max(window.from)..days.min(ripe.max(window.from) + MOST_WAIT) {
            let soaked = mix.lift_from[stripped];
            if soaked >= days || mix.ready_from[soaked] >= before {
                break;
            }
            while poured.is_some() && looked < (stripped + turnaround).min(days) {
                free = free.min(moulds[looked]);
                looked += 1;
            }
            if free <= 0 {
                break;
            }
            let Some(found) = self.strip_on(make, free, stripped, Window { before, ..window }) else { continue };
            let quantity = poured.map_or(found.quantity, |day| self.mixable(make, day, found.quantity));
            if quantity > 0 {
                before = found.ready(self.problem);
                best = Some(Trail { poured, ripe, quantity, ..found });
            }
        }
        best
    }

    /// Most of so many panels that the day's labour, mixer and materials allow.
    fn mixable(&self, make: MakeIx, day: DayIx, most: i64) -> i64 {
        if self.may_mix(make, day, most) {
            return most;
        }
        let (mut can, mut cannot) = (0, most);
        while cannot - can > 1 {
            let half = (can + cannot) / 2;
            if self.may_mix(make, day, half) { can = half } else { cannot = half }
        }
        can
    }

    /// Stripped on a day, then the soonest way on: straight through where no soak is needed, else by any tank.
    fn strip_on(&self, make: MakeIx, most: i64, stripped: DayIx, window: Window) -> Option<Trail> {
        let (panel, mix) = (self.problem.panel_of(make), self.problem.mix_of(make));
        let by_labour = fit(self.labour[stripped], panel.strip_minutes, most);
        if by_labour == 0 {
            return None;
        }
        if mix.soak_free
            && let Some(trail) = self.straight_through(make, most, stripped, window)
        {
            return Some(trail);
        }
        let soaked = mix.lift_from[stripped].max(stripped + 1);
        let mut best: Option<Trail> = None;
        for &tank in &panel.tanks {
            let before = best.as_ref().map_or(window.before, |trail| trail.ready(self.problem));
            let room = |day: DayIx, most: i64| fit(self.tanks[tank][day], panel.tank_mm, most);
            let mut free = (stripped..soaked.min(self.problem.len())).fold(by_labour, |free, day| room(day, free));
            for lifted in soaked..self.problem.len().min(soaked + MOST_WAIT) {
                if free == 0 || mix.ready_from[lifted] >= before {
                    break;
                }
                if let Some(trail) = self.onto_rack(make, free, lifted, 0.0) {
                    best = Some(Trail { stripped: Some(stripped), soaked, tank: Some(tank), ..trail });
                    break;
                }
                free = room(lifted, free);
            }
        }
        best
    }

    /// With one tank, that is the tank a strip names even if nothing stays in it.
    fn straight_through(&self, make: MakeIx, most: i64, stripped: DayIx, window: Window) -> Option<Trail> {
        let panel = self.problem.panel_of(make);
        let tank = if self.problem.tanks.len() == 1 { panel.tanks.first().copied() } else { None };
        if tank.is_some_and(|tank| self.tanks[tank][stripped] < 0.0)
            || self.problem.mix_of(make).ready_from[stripped] >= window.before
        {
            return None;
        }
        let trail = self.onto_rack(make, most, stripped, panel.strip_minutes)?;
        Some(Trail { stripped: Some(stripped), soaked: stripped, tank, ..trail })
    }

    /// Out of a tank they are in already.
    fn lift_out(&self, make: MakeIx, most: i64, tank: usize, soaked: DayIx, window: Window) -> Option<Trail> {
        let mix = self.problem.mix_of(make);
        let days = soaked..self.problem.len().min(soaked + MOST_WAIT);
        let lifted = days.take_while(|day| mix.ready_from[*day] < window.before);
        let mut found = lifted.filter_map(|day| self.onto_rack(make, most, day, 0.0));
        found.next().map(|trail| Trail { soaked, tank: Some(tank), ..trail })
    }

    /// Lifted on a day onto the first rack with room for some; `beside` are minutes that each takes besides the lift.
    fn onto_rack(&self, make: MakeIx, most: i64, lifted: DayIx, beside: f64) -> Option<Trail> {
        let (panel, mix) = (self.problem.panel_of(make), self.problem.mix_of(make));
        let ready = mix.ready_from[lifted];
        let most = fit(self.labour[lifted], panel.lift_minutes + beside, most);
        let trail = |rack, quantity| Trail {
            make,
            quantity,
            poured: None,
            ripe: 0,
            stripped: None,
            soaked: lifted,
            tank: None,
            lifted,
            rack,
        };
        if ready >= self.problem.len() || most == 0 {
            return None;
        }
        if mix.dry_free {
            return Some(trail(None, most));
        }
        let room = |rack: &Vec<f64>| (lifted..ready).fold(most, |free, day| fit(rack[day], panel.rack_mm, free));
        let rooms = self.racks.iter().map(room).enumerate();
        // The first rack that takes all, else the one that takes most.
        let (rack, quantity) = rooms.max_by_key(|(ix, room)| (*room, std::cmp::Reverse(*ix)))?;
        (quantity > 0).then(|| trail(Some(rack), quantity))
    }
}

/// Most of `most` that fit into `room` at `each`; none where the room is overdrawn.
fn fit(room: f64, each: f64, most: i64) -> i64 {
    if room < -1e-7 { 0 } else { crate::foreman::fit(room, each, most) }
}
