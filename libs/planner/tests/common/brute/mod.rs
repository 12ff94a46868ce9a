//! Brute force: every plan there is for facts of a thumb's size, from the rules of the planning documents alone. It knows
//! neither problem, decoder nor model; the days are walked one by one, and on each everything that can be done is done.
//!
//! What is left out cannot be missed: batches beyond the fewest that hold the day's pours (they cost minutes, mixer and
//! material and give nothing), panels poured beyond what is ordered or too late to be ready (whoever gets none of them would
//! not notice), deliveries below what the store takes (more on hand never stands in the way of a later day), and a second way
//! to a state already reached.

mod writing;

use std::collections::{BTreeMap, HashSet};

use chrono::{Duration, NaiveDate as Day};
use workshop::documents::facts::*;
use workshop::documents::plan::{LateFigure, Plan};

use super::handing::{self, Curves};

/// The least lateness of all plans, and a plan that has it.
pub struct Best {
    pub late: f64,
    pub plan: Plan,
}

/// What all plans come to.
pub enum Brute {
    /// The least lateness.
    Best(Box<Best>),
    /// No plan keeps the pins.
    NoPlan,
    /// More states than there is patience for.
    TooMany,
}

/// Most states of a day.
const PATIENCE: usize = 60_000;

/// Where and when panels are, and what has happened that the rest of the plan depends on.
#[derive(Clone, PartialEq, Eq, Hash)]
struct State {
    /// By make, by the day they may be stripped: panels in moulds.
    moulds: Vec<Vec<u8>>,
    /// By make: lots in moulds.
    mould_lots: Vec<u8>,
    /// By make and place, by the day they may be lifted: panels in tanks.
    tanks: Vec<Vec<Vec<u8>>>,
    /// By make and place: lots in tanks.
    tank_lots: Vec<Vec<u8>>,
    /// By rack and day of leaving: mm.
    racks: Vec<Vec<i64>>,
    /// By kind and day: panels ready.
    ready: Curves,
    /// By kind: panels poured that no pin asks for.
    poured: Vec<u8>,
    /// By material: on hand; `i64::MAX` where as much can be had as anybody wants.
    levels: Vec<i64>,
}

/// What is done on a day.
#[derive(Clone, Default)]
struct Deeds {
    pours: Vec<(usize, u8)>,
    strips: Vec<(usize, usize, u8)>,
    lifts: Vec<(usize, usize, Option<usize>, u8)>,
    minutes: f64,
    stripped: Vec<u8>,
}

struct Make<'a> {
    panel: &'a Panel,
    mix: &'a Mix,
    suits: bool,
    group: usize,
    kind: usize,
}

struct Yard<'a> {
    facts: &'a Facts,
    days: Vec<Day>,
    makes: Vec<Make<'a>>,
    kinds: Vec<(&'a str, &'a str)>,
    ordered: Vec<u8>,
    /// By rack and day: mm of lots still there at its end.
    rack_lots: Vec<Vec<i64>>,
}

/// The best of all plans by a figure.
pub fn best(facts: &Facts, figure: LateFigure) -> Brute {
    let yard = Yard::new(facts);
    let mut layers: Vec<Vec<(State, usize, Deeds)>> = vec![vec![(yard.start(), 0, Deeds::default())]];
    for day in 0..yard.days.len() {
        let (mut next, mut seen) = (Vec::new(), HashSet::new());
        for (parent, (state, _, _)) in layers[day].iter().enumerate() {
            for (state, deeds) in yard.day(day, state) {
                if seen.insert(state.clone()) {
                    next.push((state, parent, deeds));
                }
                if next.len() > PATIENCE {
                    return Brute::TooMany;
                }
            }
        }
        layers.push(next);
    }
    let last = &layers[yard.days.len()];
    let mut known: BTreeMap<&Curves, f64> = BTreeMap::new();
    let mut least: Option<(f64, usize)> = None;
    for (at, (state, _, _)) in last.iter().enumerate() {
        let late = *known.entry(&state.ready).or_insert_with(|| yard.hand_out(&state.ready, figure).0);
        if least.is_none_or(|(least, _)| late < least) {
            least = Some((late, at));
        }
    }
    let Some((late, mut at)) = least else { return Brute::NoPlan };
    let given = yard.hand_out(&last[at].0.ready, figure).1;
    let mut path = Vec::new();
    for layer in layers[1..].iter().rev() {
        path.push(&layer[at].2);
        at = layer[at].1;
    }
    path.reverse();
    Brute::Best(Box::new(Best { late, plan: yard.write(&path, given) }))
}

impl<'a> Yard<'a> {
    fn new(facts: &'a Facts) -> Self {
        let days: Vec<Day> = facts.working_days.range(facts.first_day..=facts.last_day).copied().collect();
        let mut kinds: Vec<(&str, &str)> = Vec::new();
        let mut kind = |panel: &'a str, finish: &'a str| {
            kinds.iter().position(|kind| *kind == (panel, finish)).unwrap_or_else(|| {
                kinds.push((panel, finish));
                kinds.len() - 1
            })
        };
        let mut makes = Vec::new();
        for panel in &facts.panels {
            let group = facts.mould_groups.iter().position(|g| g.id == panel.mould_group).unwrap();
            for mix in &facts.mixes {
                let suits = panel.mixes.contains(&mix.id);
                makes.push(Make { panel, mix, suits, group, kind: kind(&panel.id, &mix.finish) });
            }
        }
        let lines = facts.orders.iter().flat_map(|order| &order.lines);
        let lines: Vec<_> = lines.map(|line| (kind(&line.panel, &line.finish), line.quantity as u8)).collect();
        for stock in &facts.ready_stock {
            kind(&stock.panel, &stock.finish);
        }
        let mut ordered = vec![0; kinds.len()];
        lines.into_iter().for_each(|(kind, quantity)| ordered[kind] += quantity);
        let mut yard = Yard { facts, days, makes, kinds, ordered, rack_lots: Vec::new() };
        yard.rack_lots = yard.lots_on_racks();
        yard
    }

    fn after(&self, day: Day, days: i64) -> usize {
        self.days.partition_point(|d| *d < day + Duration::days(days))
    }

    fn make(&self, panel: &str, mix: &str) -> usize {
        self.makes.iter().position(|make| make.panel.id == panel && make.mix.id == mix).unwrap()
    }

    fn kind(&self, panel: &str, finish: &str) -> usize {
        self.kinds.iter().position(|kind| *kind == (panel, finish)).unwrap()
    }

    /// Places to strip into: every tank, and through none where that cannot be mistaken for the only one.
    fn places(&self) -> usize {
        self.facts.tanks.len() + 1
    }

    fn place_fits(&self, make: &Make, place: usize) -> bool {
        match self.facts.tanks.get(place) {
            None => make.mix.soak_days == 0 && self.facts.tanks.len() != 1,
            Some(tank) => make.panel.tanks.as_ref().is_none_or(|fits| fits.is_empty() || fits.contains(&tank.id)),
        }
    }

    fn room_of(rooms: &[Room], named: &Option<String>) -> usize {
        named.as_ref().map_or(0, |id| rooms.iter().position(|room| room.id == *id).unwrap())
    }

    fn lots_on_racks(&self) -> Vec<Vec<i64>> {
        let mut mm = vec![vec![0; self.days.len() + 1]; self.facts.racks.len()];
        for lot in self.facts.lots.iter().filter(|lot| lot.stage == Stage::Drying) {
            let make = &self.makes[self.make(&lot.panel, &lot.mix)];
            let leaves = self.after(lot.since, make.mix.dry_days);
            let rack = &mut mm[Self::room_of(&self.facts.racks, &lot.rack)];
            rack[..leaves].iter_mut().for_each(|mm| *mm += lot.quantity * make.panel.rack_mm as i64);
        }
        mm
    }

    fn start(&self) -> State {
        let (makes, places, days) = (self.makes.len(), self.places(), self.days.len() + 1);
        let mut state = State {
            moulds: vec![vec![0; days]; makes],
            mould_lots: vec![0; makes],
            tanks: vec![vec![vec![0; days]; places]; makes],
            tank_lots: vec![vec![0; places]; makes],
            racks: vec![vec![0; days]; self.facts.racks.len()],
            ready: vec![vec![0; days]; self.kinds.len()],
            poured: vec![0; self.kinds.len()],
            levels: self.facts.materials.iter().map(|m| m.on_hand as i64).collect(),
        };
        for stock in &self.facts.ready_stock {
            state.ready[self.kind(&stock.panel, &stock.finish)][0] += stock.quantity as u8;
        }
        for lot in &self.facts.lots {
            let ix = self.make(&lot.panel, &lot.mix);
            let (mix, quantity) = (self.makes[ix].mix, lot.quantity as u8);
            match lot.stage {
                Stage::InMould => {
                    state.moulds[ix][self.after(lot.since, mix.hold_when_poured_on(lot.since))] += quantity;
                    state.mould_lots[ix] += quantity;
                }
                Stage::Soaking => {
                    let place = Self::room_of(&self.facts.tanks, &lot.tank);
                    state.tanks[ix][place][self.after(lot.since, lot.soak_days(mix))] += quantity;
                    state.tank_lots[ix][place] += quantity;
                }
                Stage::Drying => state.ready[self.makes[ix].kind][self.after(lot.since, mix.dry_days)] += quantity,
            }
        }
        state
    }

    /// Everything that can be done on a day, and what comes of it.
    fn day(&self, day: usize, state: &State) -> Vec<(State, Deeds)> {
        let mut ways = vec![(state.clone(), Deeds { stripped: vec![0; self.makes.len()], ..Deeds::default() })];
        for ix in 0..self.makes.len() {
            for place in (0..self.places()).filter(|place| self.place_fits(&self.makes[ix], *place)) {
                ways = self.strips(day, ix, place, ways);
            }
            for place in 0..self.places() {
                for rack in self.racks(&self.makes[ix]) {
                    ways = self.lifts(day, ix, place, rack, ways);
                }
            }
        }
        ways.retain(|(state, _)| self.tanks_hold(state));
        for ix in 0..self.makes.len() {
            ways = self.pours(day, ix, ways);
        }
        ways.into_iter().filter_map(|way| self.evening(day, way)).collect()
    }

    fn labour(&self, day: usize) -> f64 {
        self.facts.labour_minutes.on(self.days[day])
    }

    fn racks(&self, make: &Make) -> Vec<Option<usize>> {
        if make.mix.dry_days == 0 { vec![None] } else { (0..self.facts.racks.len()).map(Some).collect() }
    }

    fn strips(&self, day: usize, ix: usize, place: usize, ways: Vec<(State, Deeds)>) -> Vec<(State, Deeds)> {
        let (make, mut more) = (&self.makes[ix], Vec::new());
        let lift_from = self.after(self.days[day], make.mix.soak_days);
        for (state, deeds) in ways {
            let ripe: u8 = state.moulds[ix][..=day].iter().sum();
            for count in 0..=ripe {
                let (mut state, mut deeds) = (state.clone(), deeds.clone());
                take_oldest(&mut state.moulds[ix], count);
                state.tanks[ix][place][lift_from] += count;
                deeds.stripped[ix] += count;
                deeds.minutes += f64::from(count) * make.panel.strip_minutes;
                if count > 0 {
                    deeds.strips.push((ix, place, count));
                }
                if deeds.minutes <= self.labour(day) {
                    more.push((state, deeds));
                }
            }
        }
        more
    }

    fn lifts(
        &self,
        day: usize,
        ix: usize,
        place: usize,
        rack: Option<usize>,
        ways: Vec<(State, Deeds)>,
    ) -> Vec<(State, Deeds)> {
        let (make, mut more) = (&self.makes[ix], Vec::new());
        let ready = self.after(self.days[day], make.mix.dry_days);
        for (state, deeds) in ways {
            let soaked: u8 = state.tanks[ix][place][..=day].iter().sum();
            for count in 0..=soaked {
                let (mut state, mut deeds) = (state.clone(), deeds.clone());
                take_oldest(&mut state.tanks[ix][place], count);
                state.tank_lots[ix][place] = state.tank_lots[ix][place].saturating_sub(count);
                state.ready[make.kind][ready] += count;
                if let Some(rack) = rack {
                    state.racks[rack][ready] += i64::from(count) * make.panel.rack_mm as i64;
                }
                deeds.minutes += f64::from(count) * make.panel.lift_minutes;
                if count > 0 {
                    deeds.lifts.push((ix, place, rack, count));
                }
                if deeds.minutes <= self.labour(day) && self.racks_hold(day, &state) {
                    more.push((state, deeds));
                }
            }
        }
        more
    }

    fn pours(&self, day: usize, ix: usize, ways: Vec<(State, Deeds)>) -> Vec<(State, Deeds)> {
        let (make, date, mut more) = (&self.makes[ix], self.days[day], Vec::new());
        let pins = self.facts.pinned.iter().filter(|pin| pin.day == date);
        let pinned: i64 = pins.filter(|pin| self.make(&pin.panel, &pin.mix) == ix).map(|pin| pin.quantity).sum();
        let strip_from = self.after(date, make.mix.hold_when_poured_on(date));
        let then = |from: usize, days: i64| self.days.get(from).map_or(self.days.len(), |date| self.after(*date, days));
        let in_time = then(then(strip_from, make.mix.soak_days), make.mix.dry_days) < self.days.len();
        let may = make.suits && !make.mix.not_on.contains(&date) && in_time;
        for (state, deeds) in ways {
            let wanted = if may { self.ordered[make.kind] - state.poured[make.kind] } else { 0 };
            let counts = if pinned > 0 { pinned as u8..=pinned as u8 } else { 0..=wanted };
            for count in counts {
                let (mut state, mut deeds) = (state.clone(), deeds.clone());
                state.moulds[ix][strip_from] += count;
                if pinned == 0 {
                    state.poured[make.kind] += count;
                }
                deeds.minutes += f64::from(count) * make.panel.pour_minutes;
                if count > 0 {
                    deeds.pours.push((ix, count));
                }
                if deeds.minutes <= self.labour(day) && self.moulds_hold(day, make.group, &state, &deeds) {
                    more.push((state, deeds));
                }
            }
        }
        more
    }

    /// Moulds at the end of the day; those stripped count as well where they need their turnaround.
    fn moulds_hold(&self, day: usize, group: usize, state: &State, deeds: &Deeds) -> bool {
        let rules = &self.facts.mould_groups[group];
        let (mut taken, mut lots) = (0, 0);
        for (ix, _) in self.makes.iter().enumerate().filter(|(_, make)| make.group == group) {
            let out = deeds.stripped[ix];
            taken += state.moulds[ix].iter().sum::<u8>();
            if rules.turnaround_days == 1 {
                taken += out;
                lots += state.mould_lots[ix];
            } else {
                lots += state.mould_lots[ix].saturating_sub(out);
            }
        }
        i64::from(taken) <= rules.in_service(self.days[day]).max(i64::from(lots))
    }

    fn tanks_hold(&self, state: &State) -> bool {
        let level = |place: usize, of: &dyn Fn(usize) -> u8| -> f64 {
            let each = |make: &Make| if place < self.facts.tanks.len() { make.panel.tank_mm } else { 1.0 };
            self.makes.iter().enumerate().map(|(ix, make)| each(make) * f64::from(of(ix))).sum()
        };
        (0..self.places()).all(|place| {
            let most = self.facts.tanks.get(place).map_or(0.0, |tank| tank.mm);
            let lots = level(place, &|ix| state.tank_lots[ix][place]);
            level(place, &|ix| state.tanks[ix][place].iter().sum()) <= most.max(lots)
        })
    }

    fn racks_hold(&self, day: usize, state: &State) -> bool {
        self.facts.racks.iter().enumerate().all(|(rack, room)| {
            let lots = self.rack_lots[rack][day];
            let mine: i64 = state.racks[rack][day + 1..].iter().sum();
            mine + lots <= (room.mm as i64).max(lots)
        })
    }

    /// Batches, washouts and materials of the day's pours; none where they are not to be had.
    fn evening(&self, day: usize, (mut state, deeds): (State, Deeds)) -> Option<(State, Deeds)> {
        let (mut minutes, mut batches) = (deeds.minutes, 0);
        let mixed = self.mixed(&deeds);
        for (mix, (count, _)) in &mixed {
            minutes +=
                f64::from(*count) * self.facts.mixes[*mix].batch_minutes + self.facts.mixes[*mix].washout_minutes;
            batches += i64::from(*count);
        }
        if minutes > self.labour(day) || batches > self.facts.mixer_batches {
            return None;
        }
        for (at, material) in self.facts.materials.iter().enumerate() {
            state.levels[at] = self.morning_level(day, material, state.levels[at]);
            let drawn = self.drawn(&mixed, &deeds, &material.id);
            if drawn > 0 && state.levels[at] < i64::MAX {
                state.levels[at] -= drawn;
                if state.levels[at] < material.floor as i64 {
                    return None;
                }
            }
        }
        for ix in 0..self.makes.len() {
            state.mould_lots[ix] = state.mould_lots[ix].saturating_sub(deeds.stripped[ix]);
        }
        // From tomorrow on it is all the same since when a panel may be stripped or lifted.
        state.moulds.iter_mut().for_each(|by_day| to_front(by_day, day));
        state.tanks.iter_mut().flatten().for_each(|by_day| to_front(by_day, day));
        state.racks.iter_mut().for_each(|by_day| by_day[..=day].fill(0));
        Some((state, deeds))
    }

    fn hand_out(&self, ready: &Curves, figure: LateFigure) -> (f64, handing::Given) {
        handing::best(self.facts, &self.days, &self.kinds, ready, figure)
    }
}

fn to_front(by_day: &mut [u8], day: usize) {
    let ripe = by_day[..=day].iter().sum();
    by_day[..=day].fill(0);
    by_day[0] = ripe;
}

fn take_oldest(by_day: &mut [u8], mut count: u8) {
    for of_day in by_day {
        let taken = count.min(*of_day);
        *of_day -= taken;
        count -= taken;
    }
}
