//! A plan seen over its whole month: how full the workshop is at each day's end, and how the panels of each pour go on.

#[cfg(test)]
mod tests;

use std::collections::{BTreeMap, VecDeque};

use chrono::{Days, NaiveDate as Day};

use crate::documents::{Facts, Plan, facts};

/// How much of something is taken, in one unit of both.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Level {
    /// Taken.
    pub used: f64,
    /// There is.
    pub of: f64,
}

impl Level {
    /// The share taken, 0 to 1; 0 where there is nothing to take.
    pub fn share(self) -> f64 {
        if self.of > 0.0 { (self.used / self.of).clamp(0.0, 1.0) } else { 0.0 }
    }
}

/// How full the workshop is on one day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayLevels {
    /// Which day.
    pub day: Day,
    /// Moulds with a panel in them at the day's end, of those in service.
    pub moulds: Level,
    /// Tank row taken at the day's end, mm, all tanks together.
    pub tanks: Level,
    /// Rack row taken at the day's end, mm, all racks together.
    pub racks: Level,
    /// Labour of the day, minutes; there is none on a day not worked.
    pub labour: Level,
}

/// The way of some panels of one pour through the workshop. A step that lies behind the plan's last day is none.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Way {
    /// Day of the pour.
    pub poured: Day,
    /// Which panel.
    pub panel: String,
    /// From which mix revision.
    pub mix: String,
    /// Out of the mould.
    pub stripped: Option<Day>,
    /// Out of the tank.
    pub lifted: Option<Day>,
    /// Off the rack, ready.
    pub ready: Option<Day>,
    /// How many panels.
    pub quantity: i64,
}

/// The day panels that came onto a rack on `since` leave it, ready: the first working day not before the end of drying.
/// None where that lies behind the last working day told.
pub fn leaves_rack_on(facts: &Facts, mix: &str, since: Day) -> Option<Day> {
    let dry = facts.mixes.iter().find(|m| m.id == mix).map_or(0, |m| m.dry_days.max(0).unsigned_abs());
    facts.working_days.range((since + Days::new(dry)).max(facts.first_day)..).next().copied()
}

/// How full the workshop is on every day of the plan, from the first to the last.
pub fn levels(facts: &Facts, plan: &Plan) -> Vec<DayLevels> {
    let changes = Changes::of(facts, plan);
    let (mut moulds, mut tanks, mut racks) = changes.at_start;
    let days = facts.first_day.iter_days().take_while(|day| *day <= facts.last_day);
    days.map(|day| {
        let change = changes.on.get(&day).copied().unwrap_or_default();
        moulds += change.moulds;
        tanks += change.tank_mm;
        racks += change.rack_mm;
        let in_service: i64 = facts.mould_groups.iter().map(|g| g.in_service(day).max(0)).sum();
        let row = |rooms: &[facts::Room]| rooms.iter().map(|r| r.mm).sum::<f64>();
        let worked = facts.working_days.contains(&day);
        DayLevels {
            day,
            moulds: Level { used: moulds, of: in_service as f64 },
            tanks: Level { used: tanks, of: row(&facts.tanks) },
            racks: Level { used: racks, of: row(&facts.racks) },
            labour: Level { used: change.minutes, of: if worked { facts.labour_minutes.on(day) } else { 0.0 } },
        }
    })
    .collect()
}

/// What a day adds and takes away.
#[derive(Clone, Copy, Debug, Default)]
struct Change {
    moulds: f64,
    tank_mm: f64,
    rack_mm: f64,
    minutes: f64,
}

/// What every day changes, and how full moulds, tanks and racks are before the first.
struct Changes {
    on: BTreeMap<Day, Change>,
    at_start: (f64, f64, f64),
}

impl Changes {
    fn of(facts: &Facts, plan: &Plan) -> Self {
        let mut changes = Self { on: BTreeMap::new(), at_start: (0.0, 0.0, 0.0) };
        let panels: BTreeMap<&str, &facts::Panel> = facts.panels.iter().map(|p| (p.id.as_str(), p)).collect();
        for lot in &facts.lots {
            let Some(panel) = panels.get(lot.panel.as_str()) else { continue };
            let n = lot.quantity as f64;
            match lot.stage {
                facts::Stage::InMould => changes.at_start.0 += n,
                facts::Stage::Soaking => changes.at_start.1 += n * panel.tank_mm,
                facts::Stage::Drying => {
                    changes.at_start.2 += n * panel.rack_mm;
                    changes.off_the_rack(facts, &lot.mix, lot.since, n * panel.rack_mm);
                }
            }
        }
        for pour in &plan.pours {
            let Some(panel) = panels.get(pour.panel.as_str()) else { continue };
            let n = pour.quantity as f64;
            changes.add(pour.day, Change { moulds: n, minutes: n * panel.pour_minutes, ..Change::default() });
        }
        for strip in &plan.strips {
            let Some(panel) = panels.get(strip.panel.as_str()) else { continue };
            let n = strip.quantity as f64;
            let (tank_mm, minutes) = (n * panel.tank_mm, n * panel.strip_minutes);
            changes.add(strip.day, Change { moulds: -n, tank_mm, minutes, ..Change::default() });
        }
        for lift in &plan.lifts {
            let Some(panel) = panels.get(lift.panel.as_str()) else { continue };
            let n = lift.quantity as f64;
            let (rack_mm, minutes) = (n * panel.rack_mm, n * panel.lift_minutes);
            changes.add(lift.day, Change { tank_mm: -n * panel.tank_mm, rack_mm, minutes, ..Change::default() });
            changes.off_the_rack(facts, &lift.mix, lift.day, rack_mm);
        }
        changes.mixing(facts, plan);
        changes
    }

    fn add(&mut self, day: Day, change: Change) {
        let sum = self.on.entry(day).or_default();
        sum.moulds += change.moulds;
        sum.tank_mm += change.tank_mm;
        sum.rack_mm += change.rack_mm;
        sum.minutes += change.minutes;
    }

    fn off_the_rack(&mut self, facts: &Facts, mix: &str, since: Day, mm: f64) {
        if let Some(day) = leaves_rack_on(facts, mix, since) {
            self.add(day, Change { rack_mm: -mm, ..Change::default() });
        }
    }

    /// Minutes at the mixer: the batches, and one washout for each mix of a day.
    fn mixing(&mut self, facts: &Facts, plan: &Plan) {
        let mut batches: BTreeMap<(Day, &str), usize> = BTreeMap::new();
        for b in &plan.batches {
            *batches.entry((b.day, &b.mix)).or_default() += b.litres.len();
        }
        for ((day, mix), count) in batches {
            for mix in facts.mixes.iter().filter(|m| m.id == mix) {
                let minutes = count as f64 * mix.batch_minutes + mix.washout_minutes;
                self.add(day, Change { minutes, ..Change::default() });
            }
        }
    }
}

/// Panels between two steps: how many, and the way behind them; none for panels that were on their way before the plan.
struct Piece {
    quantity: i64,
    way: Option<Way>,
}

/// Panels waiting at one place, the oldest in front.
type Waiting<'a> = BTreeMap<(&'a str, &'a str, &'a str), VecDeque<Piece>>;

/// How the panels of every planned pour go on, in the order of the pours. The oldest leave a place first, as the plan says.
pub fn ways(facts: &Facts, plan: &Plan) -> Vec<Way> {
    let (mut moulds, mut tanks) = (Waiting::new(), Waiting::new());
    let mut done = Vec::new();
    for lot in oldest_first(&facts.lots) {
        let piece = Piece { quantity: lot.quantity, way: None };
        match lot.stage {
            facts::Stage::InMould => moulds.entry((&lot.panel, &lot.mix, "")).or_default().push_back(piece),
            facts::Stage::Soaking => {
                tanks.entry((&lot.panel, &lot.mix, room(facts, &lot.tank))).or_default().push_back(piece);
            }
            facts::Stage::Drying => {}
        }
    }
    let mut pours: Vec<&facts::Pour> = plan.pours.iter().collect();
    pours.sort();
    for pour in pours {
        let (panel, mix) = (pour.panel.clone(), pour.mix.clone());
        let way =
            Way { poured: pour.day, panel, mix, stripped: None, lifted: None, ready: None, quantity: pour.quantity };
        let piece = Piece { quantity: pour.quantity, way: Some(way) };
        moulds.entry((&pour.panel, &pour.mix, "")).or_default().push_back(piece);
    }
    let mut strips: Vec<_> = plan.strips.iter().collect();
    strips.sort();
    for strip in strips {
        let waiting = moulds.entry((&strip.panel, &strip.mix, "")).or_default();
        for mut piece in take(waiting, strip.quantity) {
            piece.way.iter_mut().for_each(|way| way.stripped = Some(strip.day));
            tanks.entry((&strip.panel, &strip.mix, room(facts, &strip.tank))).or_default().push_back(piece);
        }
    }
    let mut lifts: Vec<_> = plan.lifts.iter().collect();
    lifts.sort();
    for lift in lifts {
        let waiting = tanks.entry((&lift.panel, &lift.mix, room(facts, &lift.tank))).or_default();
        let ready = leaves_rack_on(facts, &lift.mix, lift.day);
        let lifted = take(waiting, lift.quantity).into_iter().filter_map(|piece| piece.way);
        done.extend(lifted.map(|way| Way { lifted: Some(lift.day), ready, ..way }));
    }
    let left = moulds.into_values().chain(tanks.into_values()).flatten();
    done.extend(left.filter_map(|piece| piece.way));
    together(done)
}

fn oldest_first(lots: &[facts::Lot]) -> Vec<&facts::Lot> {
    let mut lots: Vec<_> = lots.iter().collect();
    lots.sort_by_key(|lot| lot.since);
    lots
}

/// The tank a step names; where it names none, the only one there is.
fn room<'a>(facts: &'a Facts, named: &'a Option<String>) -> &'a str {
    match (named, &facts.tanks[..]) {
        (Some(named), _) => named,
        (None, [only]) => &only.id,
        (None, _) => "",
    }
}

/// Takes the oldest `quantity` out of a place.
fn take(waiting: &mut VecDeque<Piece>, mut quantity: i64) -> Vec<Piece> {
    let mut taken = Vec::new();
    while quantity > 0 {
        let Some(mut first) = waiting.pop_front() else { break };
        let count = first.quantity.min(quantity);
        quantity -= count;
        let part = |way: &Way| Way { quantity: count, ..way.clone() };
        taken.push(Piece { quantity: count, way: first.way.as_ref().map(part) });
        first.quantity -= count;
        if first.quantity > 0 {
            first.way.iter_mut().for_each(|way| way.quantity = first.quantity);
            waiting.push_front(first);
        }
    }
    taken
}

/// Ways alike add up; sorted.
fn together(ways: Vec<Way>) -> Vec<Way> {
    let mut sums: BTreeMap<Way, i64> = BTreeMap::new();
    for way in ways {
        *sums.entry(Way { quantity: 0, ..way.clone() }).or_default() += way.quantity;
    }
    sums.into_iter().map(|(way, quantity)| Way { quantity, ..way }).collect()
}
