//! Walks the days and decides: out before in, then the worthiest batch of any mix, again and again. Every schedule decoded
//! keeps all rules; a pour that cannot but break one (a pin) is told as a shortage.

use super::guide::{Guide, MixChoice};
use super::stores::{Stores, draws_of_batches};
use super::yard::{Yard, fit};
use crate::Short;
use crate::plan::Schedule;
use crate::problem::{At, Batching, DayIx, KindIx, MakeIx, Problem};

/// Some panels of one order's line, in the sequence in which they are poured.
#[derive(Clone, Copy, Debug)]
struct Share {
    order: usize,
    quantity: i64,
}

/// What is still to be poured of a kind.
#[derive(Clone, Debug, Default)]
struct Demand {
    shares: Vec<Share>,
    /// First share not wholly poured, and how much of it is.
    at: usize,
    done: i64,
}

impl Demand {
    fn head(&self) -> Option<Share> {
        let share = self.shares.get(self.at)?;
        Some(Share { order: share.order, quantity: share.quantity - self.done })
    }

    fn take(&mut self, quantity: i64) {
        self.done += quantity;
        while self.shares.get(self.at).is_some_and(|share| share.quantity <= self.done) {
            self.done -= self.shares[self.at].quantity;
            self.at += 1;
        }
    }
}

/// One mix's batches of the day.
#[derive(Clone, Copy, Debug, Default)]
struct Today {
    litres: f64,
    batching: Batching,
}

/// A batch that could be mixed next.
#[derive(Debug, Default)]
struct Offer {
    picks: Vec<(MakeIx, i64)>,
    litres: f64,
    worth: f64,
    minutes: f64,
    /// Days by which the most pressing panel would be ready before its key.
    slack: f64,
    /// Worth of a minute; 0 where no batch is worth it.
    rate: f64,
    /// Whether nothing was mixed since this was worked out.
    fresh: bool,
}

/// Decodes guides into schedules, one after another.
pub struct Decoder<'p> {
    problem: &'p Problem,
    /// The schedule decoded last.
    pub schedule: Schedule,
    yard: Yard<'p>,
    stores: Stores<'p>,
    demand: Vec<Demand>,
    worth: Vec<f64>,
    sequence: Vec<usize>,
    today: Vec<Today>,
    /// By group and day: most moulds to be taken by night.
    caps: Vec<Vec<i64>>,
    /// Only pins are poured before this day.
    quiet_until: DayIx,
    /// The two as they were when the guide decoded last came out.
    restraint: (Vec<Vec<i64>>, DayIx),
    poured: Vec<i64>,
    labour: f64,
    batches_left: i64,
    tried: Offer,
    /// By mix: the batch that could be mixed next.
    offers: Vec<Offer>,
    /// By group: moulds of the batch being tried.
    tried_in: Vec<i64>,
    /// Demands as they were before the batch being tried.
    before: Vec<(KindIx, usize, i64)>,
}

impl<'p> Decoder<'p> {
    /// A decoder for a problem.
    pub fn new(problem: &'p Problem) -> Self {
        Decoder {
            problem,
            schedule: Schedule::empty(problem.len()),
            yard: Yard::new(problem),
            stores: Stores::new(problem),
            demand: vec![Demand::default(); problem.kinds.len()],
            worth: Vec::new(),
            sequence: Vec::new(),
            today: vec![Today::default(); problem.mixes.len()],
            caps: caps(problem),
            quiet_until: 0,
            restraint: (caps(problem), 0),
            poured: vec![0; problem.groups.len()],
            labour: 0.0,
            batches_left: 0,
            tried: Offer::default(),
            offers: problem.mixes.iter().map(|_| Offer::default()).collect(),
            tried_in: vec![0; problem.groups.len()],
            before: Vec::new(),
        }
    }

    /// With what restraint the guide decoded last was poured: most moulds by group and night, and the day before which only
    /// pins were.
    pub fn restraint(&self) -> (Vec<Vec<i64>>, DayIx) {
        self.restraint.clone()
    }

    /// The orders in the sequence of the guide decoded last.
    pub fn sequence(&self) -> &[usize] {
        &self.sequence
    }

    /// Decodes a guide into `self.schedule`. Where a pin or an outage of moulds comes out short, days before it are poured
    /// with more and more restraint.
    ///
    /// # Errors
    /// What is short where a pin cannot be poured even if nothing else is poured before it.
    pub fn decode(&mut self, guide: &Guide) -> Result<(), Short> {
        let learned = (self.caps.clone(), self.quiet_until);
        let mut window = 2;
        let result = loop {
            let Err(short) = self.walk(guide) else { break Ok(()) };
            let day = short.day();
            match short {
                Short::Moulds { group, missing, .. } if window <= 2 * day + 2 => {
                    let keep =
                        (self.problem.groups[group].in_service[day] - pinned_into(self.problem, group, day)).max(0);
                    let from = day.saturating_sub(window);
                    let to = if self.pins_on(day) { day } else { day + 1 };
                    let caps = &mut self.caps[group][from..to];
                    caps.iter_mut().for_each(|cap| *cap = (*cap).min(keep.min((*cap - missing).max(0)).max(0)));
                    window *= 2;
                }
                _ if self.quiet_until < day => self.quiet_until = day,
                _ => break Err(short),
            }
        };
        self.restraint =
            (std::mem::replace(&mut self.caps, learned.0), std::mem::replace(&mut self.quiet_until, learned.1));
        result
    }

    fn pins_on(&self, day: DayIx) -> bool {
        !self.problem.pins[day].is_empty()
    }

    fn walk(&mut self, guide: &Guide) -> Result<(), Short> {
        self.schedule.clear();
        self.yard.restart();
        self.stores.restart();
        self.rank(guide);
        for day in 0..self.problem.len() {
            self.morning(day)?;
            self.yard.out(day, &mut self.labour, &mut self.schedule);
            if self.labour < -1e-7 {
                return Err(Short::Labour { day, missing: -self.labour });
            }
            self.pour_pins(day);
            if day >= self.quiet_until {
                self.pour_day(guide, day);
            }
            self.yard.evening(day, &self.poured)?;
            self.stores.evening(day);
        }
        Ok(())
    }

    /// Puts the orders into sequence, and what each kind still needs beyond stock and lots.
    fn rank(&mut self, guide: &Guide) {
        guide.sequence(&mut self.sequence);
        let least = guide.keys.iter().copied().fold(f64::INFINITY, f64::min);
        self.worth.clear();
        self.worth.extend(guide.keys.iter().map(|key| (-(key - least) / guide.habits.patience).exp().max(1e-300)));
        self.demand.iter_mut().for_each(|demand| {
            demand.shares.clear();
            (demand.at, demand.done) = (0, 0);
        });
        for &order in &self.sequence {
            for (kind, quantity) in &self.problem.orders[order].lines {
                self.demand[*kind].shares.push(Share { order, quantity: *quantity });
            }
        }
        for (demand, kind) in self.demand.iter_mut().zip(&self.problem.kinds) {
            demand.take(kind.stock);
        }
        for lot in &self.problem.lots {
            let reaches =
                !matches!(lot.at, At::Mould(day) | At::Tank(_, day) | At::Rack(_, day) if day >= self.problem.len());
            if reaches {
                self.demand[self.problem.makes[lot.make].kind].take(lot.quantity);
            }
        }
    }

    /// Sets aside what the day's pins take.
    fn morning(&mut self, day: DayIx) -> Result<(), Short> {
        self.poured.fill(0);
        self.labour = self.problem.labour[day];
        self.batches_left = self.problem.mixer_batches;
        self.stores.morning(day)?;
        self.today.fill(Today::default());
        for (make, quantity) in &self.problem.pins[day] {
            let panel = self.problem.panel_of(*make);
            self.today[self.problem.makes[*make].mix].litres += *quantity as f64 * panel.litres;
            self.labour -= *quantity as f64 * panel.pour_minutes;
        }
        if self.pins_on(day) {
            for (today, mix) in self.today.iter_mut().zip(&self.problem.mixes) {
                today.batching = mix.batching(today.litres);
                self.labour -= mix.minutes(today.batching.count);
                self.batches_left -= today.batching.count;
            }
            if self.batches_left < 0 {
                return Err(Short::Mixer { day, missing: -self.batches_left });
            }
        }
        Ok(())
    }

    fn pour_pins(&mut self, day: DayIx) {
        let problem = self.problem;
        for (make, quantity) in &problem.pins[day] {
            self.put(day, *make, *quantity);
        }
    }

    fn put(&mut self, day: DayIx, make: MakeIx, quantity: i64) {
        self.poured[self.problem.panel_of(make).group] += quantity;
        self.yard.pour(day, make, quantity);
        self.demand[self.problem.makes[make].kind].take(quantity);
        self.schedule.pours[day].push((make, quantity));
    }

    /// Mixes the worthiest batch again and again. What a batch of a mix is worth a minute only falls while others are mixed,
    /// so an old answer is as good as a bound: only the mix that leads is asked anew.
    fn pour_day(&mut self, guide: &Guide, day: DayIx) {
        let mut open = self.today.iter().filter(|today| today.batching.count > 0).count();
        let mixes = self.problem.mixes.len();
        self.offers.iter_mut().for_each(|offer| (offer.rate, offer.fresh) = (f64::INFINITY, false));
        loop {
            let mut lead = 0;
            for mix in 1..mixes {
                if self.offers[mix].rate > self.offers[lead].rate {
                    lead = mix;
                }
            }
            if mixes == 0 || self.offers[lead].rate <= 0.0 {
                return;
            }
            if self.offers[lead].fresh {
                open += usize::from(self.today[lead].batching.count == 0);
                self.accept(day, lead);
                self.offers.iter_mut().for_each(|offer| offer.fresh = false);
                self.offers[lead].rate = f64::INFINITY;
                continue;
            }
            let shut = self.today[lead].batching.count == 0 && open >= guide.habits.most_mixes;
            std::mem::swap(&mut self.tried, &mut self.offers[lead]);
            let worth_it = !shut && self.offer(guide, day, lead);
            self.tried.rate = if worth_it { self.tried.worth / self.tried.minutes.max(1e-9) } else { 0.0 };
            self.tried.fresh = true;
            std::mem::swap(&mut self.tried, &mut self.offers[lead]);
        }
    }

    /// Works out into `self.tried` what one more batch of a mix could hold; false where it is not worth it.
    fn offer(&mut self, guide: &Guide, day: DayIx, mix: usize) -> bool {
        let (problem, m, today) = (self.problem, &self.problem.mixes[mix], self.today[mix]);
        let more = self.batches_left > 0;
        let open_room = today.batching.count as f64 * m.batch_max - today.litres;
        let batch = if today.batching.count == 0 { m.minutes(1) } else { m.batch_minutes };
        let (room, minutes) = match more && self.labour > batch {
            true => (open_room + m.batch_max, self.labour - batch),
            false => (open_room, self.labour),
        };
        (self.tried.litres, self.tried.worth, self.tried.minutes, self.tried.slack) = (0.0, 0.0, 0.0, f64::INFINITY);
        self.tried.picks.clear();
        if room < 1e-9 {
            return false;
        }
        let mut own_choice = true;
        loop {
            let pick = self.next_pick(guide, day, mix, own_choice, room, minutes);
            let Some((make, quantity, worth, slack)) = pick else {
                if own_choice && !self.tried.picks.is_empty() {
                    own_choice = false;
                    continue;
                }
                break;
            };
            let panel = problem.panel_of(make);
            self.tried.litres += quantity as f64 * panel.litres;
            self.tried.minutes += quantity as f64 * panel.pour_minutes;
            self.tried.worth += quantity as f64 * worth;
            self.tried.slack = self.tried.slack.min(slack);
            self.tried.picks.push((make, quantity));
            self.tried_in[panel.group] += quantity;
            let kind = problem.makes[make].kind;
            let demand = &mut self.demand[kind];
            self.before.push((kind, demand.at, demand.done));
            demand.take(quantity);
        }
        self.undo_picks();
        self.fit_stores(mix) && self.worth_mixing(guide, mix)
    }

    /// The next panels for a batch: of all makes of the mix with free moulds the order that is worth most.
    fn next_pick(
        &self,
        guide: &Guide,
        day: DayIx,
        mix: usize,
        own_choice: bool,
        room: f64,
        minutes: f64,
    ) -> Option<(MakeIx, i64, f64, f64)> {
        let problem = self.problem;
        let mut best: Option<(MakeIx, i64, f64, f64)> = None;
        for &make in &problem.mixes[mix].makes {
            let m = &problem.makes[make];
            let Some(head) = self.demand[m.kind].head() else { continue };
            let worth = self.worth[head.order];
            if best.is_some_and(|best| best.2 >= worth) || m.ready_soonest[day] >= problem.len() || !m.may_pour[day] {
                continue;
            }
            let panel = &problem.panels[m.panel];
            let cap = self.caps[panel.group][day];
            let free = self.yard.free_moulds(panel.group, cap, self.poured[panel.group]) - self.tried_in[panel.group];
            let fits = fit(room - self.tried.litres, panel.litres, head.quantity.min(free));
            let quantity = fit(minutes - self.tried.minutes, panel.pour_minutes, fits);
            if quantity <= 0 || (own_choice && self.choose(guide, day, m.kind, head.order) != Some(make)) {
                continue;
            }
            let slack = guide.keys[head.order] - problem.calendar.offsets()[m.ready_soonest[day]] as f64;
            if slack > guide.habits.look_ahead || self.pinned(day, make) {
                continue;
            }
            best = Some((make, quantity, worth, slack));
        }
        best
    }

    fn pinned(&self, day: DayIx, make: MakeIx) -> bool {
        self.problem.pins[day].iter().any(|pin| pin.0 == make)
    }

    /// The make an order would have its panels from today.
    fn choose(&self, guide: &Guide, day: DayIx, kind: KindIx, order: usize) -> Option<MakeIx> {
        let problem = self.problem;
        let can = |make: &&MakeIx| problem.makes[**make].may_pour[day];
        let ready = |make: &MakeIx| problem.makes[*make].ready_soonest[day];
        let makes = || problem.kinds[kind].makes.iter().filter(can);
        let soonest = || makes().min_by_key(|make| ready(make)).copied();
        match guide.habits.choice {
            MixChoice::Cheapest => makes().next().copied(),
            MixChoice::Soonest => soonest(),
            MixChoice::Timely => {
                let due = problem.orders[order].due_ix;
                makes().find(|make| ready(make) <= due).copied().or_else(soonest)
            }
        }
    }

    fn undo_picks(&mut self) {
        while let Some((kind, at, done)) = self.before.pop() {
            (self.demand[kind].at, self.demand[kind].done) = (at, done);
        }
        for (make, _) in &self.tried.picks {
            self.tried_in[self.problem.panel_of(*make).group] = 0;
        }
    }

    /// Takes panels off the batch until its materials are there.
    fn fit_stores(&mut self, mix: usize) -> bool {
        let (problem, m, today) = (self.problem, &self.problem.mixes[mix], self.today[mix]);
        let limited = self.stores.limits(m) || self.tried.picks.iter().any(|pick| self.stores.limits_panel(pick.0));
        while limited && !self.tried.picks.is_empty() {
            let mut draws = draws_of_batches(m, today.batching, m.batching(today.litres + self.tried.litres));
            for (make, quantity) in &self.tried.picks {
                let own = problem.panel_of(*make).per_panel.iter();
                draws.extend(own.map(|(material, each)| (*material, each * *quantity as f64)));
            }
            draws.sort_unstable_by_key(|draw| draw.0);
            draws.dedup_by(|later, first| {
                later.0 == first.0 && {
                    first.1 += later.1;
                    true
                }
            });
            if self.stores.allow(&draws) {
                break;
            }
            let last = self.tried.picks.len() - 1;
            let (make, quantity) = &mut self.tried.picks[last];
            let panel = problem.panel_of(*make);
            self.tried.worth *= 1.0 - 1.0 / (last as f64 + *quantity as f64 + 1.0);
            self.tried.litres -= panel.litres;
            self.tried.minutes -= panel.pour_minutes;
            *quantity -= 1;
            if *quantity == 0 {
                self.tried.picks.pop();
            }
        }
        !self.tried.picks.is_empty()
    }

    /// Adds the batch's own minutes; false where they are not there, or the batch is too empty for how little it presses.
    fn worth_mixing(&mut self, guide: &Guide, mix: usize) -> bool {
        let (m, today) = (&self.problem.mixes[mix], self.today[mix]);
        let after = m.batching(today.litres + self.tried.litres);
        let batches = after.count - today.batching.count;
        self.tried.minutes += m.minutes(after.count) - m.minutes(today.batching.count);
        let opens = batches > 0 && today.batching.count == 0;
        let thin = self.tried.litres < guide.habits.least_fill * m.batch_max;
        let pressing = self.tried.slack <= 0.0;
        self.tried.minutes <= self.labour + 1e-7 && batches <= self.batches_left && !(thin && !pressing && opens)
    }

    /// Pours the batch offered of a mix.
    fn accept(&mut self, day: DayIx, mix: usize) {
        let (problem, m, today) = (self.problem, &self.problem.mixes[mix], self.today[mix]);
        let litres = today.litres + self.offers[mix].litres;
        let batching = m.batching(litres);
        self.stores.draw(&draws_of_batches(m, today.batching, batching));
        self.batches_left -= batching.count - today.batching.count;
        self.labour -= self.offers[mix].minutes;
        self.today[mix] = Today { litres, batching };
        let picks = std::mem::take(&mut self.offers[mix].picks);
        for (make, quantity) in &picks {
            let own = problem.panel_of(*make).per_panel.iter();
            let draws: Vec<_> = own.map(|(material, each)| (*material, each * *quantity as f64)).collect();
            self.stores.draw(&draws);
            self.put(day, *make, *quantity);
        }
        self.offers[mix].picks = picks;
    }
}

/// Panels pinned into moulds of a group on a day.
fn pinned_into(problem: &Problem, group: usize, day: DayIx) -> i64 {
    let of_group = |pin: &&(MakeIx, i64)| problem.panel_of(pin.0).group == group;
    problem.pins[day].iter().filter(of_group).map(|pin| pin.1).sum()
}

/// Most moulds of each group to be taken on each night: those in service for as long as a panel poured that day holds one.
fn caps(problem: &Problem) -> Vec<Vec<i64>> {
    let mut caps: Vec<Vec<i64>> = problem.groups.iter().map(|group| group.in_service.clone()).collect();
    for make in problem.makes.iter().filter(|make| make.suits) {
        let group = problem.panels[make.panel].group;
        let service = &problem.groups[group];
        for (day, cap) in caps[group].iter_mut().enumerate() {
            let until = (make.strip_from[day] + usize::from(service.turnaround)).min(problem.len());
            let least = service.in_service[day..until].iter().copied().min().unwrap_or(0);
            *cap = (*cap).min(least);
        }
    }
    caps
}
