//! What is the same whatever the diary says: lots, pins, what materials allow, and on which days to look for what goes on.

use super::walk::Standing;
use crate::plan::{Schedule, drawn};
use crate::problem::{At, DayIx, MakeIx, Problem};

/// What a day's pins take.
#[derive(Clone, Debug, Default)]
pub(super) struct Pinned {
    pub minutes: f64,
    pub batches: i64,
    /// Mix, litres poured, batches.
    pub mixed: Vec<(usize, f64, i64)>,
    /// Minor units of material.
    pub price: f64,
}

/// The least litres and minutes of pouring of a mix's panels, each by itself.
#[derive(Clone, Copy, Debug)]
pub(super) struct Least {
    pub litres: f64,
    pub minutes: f64,
}

/// Whether a make may be poured on a day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Pourable {
    /// It may not.
    Never,
    /// It may, and can be ready within the horizon.
    InTime,
    /// It may, and is ready after the horizon: no order is sooner for it, but it is not put off.
    Beyond,
}

/// Lots that may go on from a day: make, tank, how many.
type Ripe = Vec<(MakeIx, Option<usize>, i64)>;

#[derive(Clone, Debug)]
pub(super) struct Statics {
    pub first: Standing,
    pub pins: Vec<Pinned>,
    /// By material and day: drawn by pins that day, and by its evening.
    pub pinned: Vec<Vec<f64>>,
    pub pinned_by: Vec<Vec<f64>>,
    /// By material and day before its lead time is over: most that may have been drawn by then, pins apart.
    pub lowest: Vec<Vec<f64>>,
    /// By day: lots that may be stripped, or lifted, from then on.
    pub ripe: Vec<Ripe>,
    pub soaked: Vec<Ripe>,
    /// By day: rack and length that lots leave.
    pub leaving: Vec<Vec<(usize, f64)>>,
    /// By day: the days of which pours may be stripped, strips lifted, lifts ready from then on.
    pub poured_on: Vec<Vec<DayIx>>,
    pub stripped_on: Vec<Vec<DayIx>>,
    pub lifted_on: Vec<Vec<DayIx>>,
    /// By group and day: most moulds to be taken by night.
    pub caps: Vec<Vec<i64>>,
    /// Only pins are poured before this day.
    pub quiet_until: DayIx,
    /// By kind: lots that never come within the horizon, and the dearest material of a panel.
    pub stranded: Vec<i64>,
    pub dearest: Vec<f64>,
    /// By day and make: whether keys may have it poured. Not where it is pinned.
    pub pourable: Vec<Vec<Pourable>>,
    /// By mix: the least that a panel of it takes.
    pub least: Vec<Least>,
    /// By kind and day: ready without any lift.
    pub ready: Vec<Vec<i64>>,
}

impl Statics {
    /// With the restraint that pins ask for.
    pub fn new(problem: &Problem, caps: Vec<Vec<i64>>, quiet_until: DayIx) -> Self {
        let days = problem.len();
        let mut only_pins = Schedule::empty(days);
        only_pins.pours.clone_from(&problem.pins);
        let pinned = drawn(problem, &only_pins);
        let pinned_by: Vec<Vec<f64>> = pinned.iter().map(|of_day| running(of_day)).collect();
        let lowest = problem.materials.iter().enumerate();
        let lowest = lowest.map(|(ix, material)| lowest_levels(material, &pinned[ix], &pinned_by[ix], days)).collect();
        let mut statics = Statics {
            first: first_morning(problem),
            pins: (0..days).map(|day| pins_of(problem, &only_pins, day)).collect(),
            pinned,
            pinned_by,
            lowest,
            ripe: vec![Vec::new(); days],
            soaked: vec![Vec::new(); days],
            leaving: vec![Vec::new(); days],
            poured_on: sources(days, problem.makes.iter().map(|make| make.strip_from.as_slice())),
            stripped_on: sources(days, problem.mixes.iter().map(|mix| mix.lift_from.as_slice())),
            lifted_on: sources(days, problem.mixes.iter().map(|mix| mix.ready_from.as_slice())),
            caps,
            quiet_until,
            stranded: stranded(problem),
            dearest: problem.kinds.iter().map(|kind| dearest(problem, kind)).collect(),
            pourable: (0..days).map(|day| pourable(problem, day)).collect(),
            least: problem.mixes.iter().map(|mix| least(problem, mix)).collect(),
            ready: ready_already(problem),
        };
        // A panel that need not soak waits in a tank until the day after, if it went into one.
        if problem.mixes.iter().any(|mix| mix.soak_free) {
            for day in 1..days {
                if !statics.stripped_on[day].contains(&(day - 1)) {
                    statics.stripped_on[day].push(day - 1);
                    statics.stripped_on[day].sort_unstable();
                }
            }
        }
        statics.place_lots(problem);
        statics
    }

    fn place_lots(&mut self, problem: &Problem) {
        for lot in &problem.lots {
            let rack_mm = lot.quantity as f64 * problem.panel_of(lot.make).rack_mm;
            match lot.at {
                At::Mould(day) if day < problem.len() => self.ripe[day].push((lot.make, None, lot.quantity)),
                At::Tank(tank, day) if day < problem.len() => {
                    self.soaked[day].push((lot.make, Some(tank), lot.quantity));
                }
                At::Rack(rack, day) if day < problem.len() => self.leaving[day].push((rack, rack_mm)),
                _ => {}
            }
        }
    }
}

fn running(of_day: &[f64]) -> Vec<f64> {
    let mut sum = 0.0;
    let add = |quantity: &f64| {
        sum += quantity;
        sum
    };
    of_day.iter().map(add).collect()
}

/// The least level of today and of later days with pins, above the floor: what may be drawn beyond the pins by then.
fn lowest_levels(material: &crate::problem::Material, pinned: &[f64], pinned_by: &[f64], days: usize) -> Vec<f64> {
    let lead = material.lead.min(days);
    let level = |day: usize| material.arrived[day] - pinned_by[day] - material.floor;
    let mut later = f64::INFINITY;
    let mut lowest = vec![f64::INFINITY; lead];
    for day in (0..lead).rev() {
        lowest[day] = later.min(level(day));
        if pinned[day] > 0.0 {
            later = later.min(level(day));
        }
    }
    lowest
}

/// By day: the days from which something goes on that day.
fn sources<'a>(days: usize, from: impl Iterator<Item = &'a [DayIx]>) -> Vec<Vec<DayIx>> {
    let mut sources = vec![Vec::new(); days];
    for next in from {
        for (source, day) in next.iter().enumerate() {
            if let Some(sources) = sources.get_mut(*day) {
                sources.push(source);
            }
        }
    }
    for of_day in &mut sources {
        of_day.sort_unstable();
        of_day.dedup();
    }
    sources
}

fn first_morning(problem: &Problem) -> Standing {
    let mut first = Standing {
        in_moulds: vec![0; problem.groups.len()],
        lots_in_moulds: vec![0; problem.groups.len()],
        lots_of: Vec::new(),
        covered: covered(problem),
        in_tank: vec![0.0; problem.tanks.len()],
        on_rack: vec![0.0; problem.racks.len()],
        drawn: vec![0.0; problem.materials.len()],
        kept: vec![0.0; problem.materials.len()],
        to_strip: Vec::new(),
        to_lift: Vec::new(),
    };
    for lot in &problem.lots {
        let (panel, count) = (problem.panel_of(lot.make), lot.quantity as f64);
        match lot.at {
            At::Mould(_) => {
                first.in_moulds[panel.group] += lot.quantity;
                first.lots_of.resize(problem.makes.len(), 0);
                first.lots_of[lot.make] += lot.quantity;
            }
            At::Tank(tank, _) => first.in_tank[tank] += count * panel.tank_mm,
            At::Rack(rack, _) => first.on_rack[rack] += count * panel.rack_mm,
        }
    }
    first.lots_in_moulds.clone_from(&first.in_moulds);
    first
}

/// By kind: panels that need not be poured any more.
pub(super) fn covered(problem: &Problem) -> Vec<i64> {
    let mut covered: Vec<i64> = problem.kinds.iter().map(|kind| kind.stock).collect();
    for lot in &problem.lots {
        let (At::Mould(day) | At::Tank(_, day) | At::Rack(_, day)) = lot.at;
        if day < problem.len() {
            covered[problem.makes[lot.make].kind] += lot.quantity;
        }
    }
    covered
}

fn stranded(problem: &Problem) -> Vec<i64> {
    let mut stranded = vec![0; problem.kinds.len()];
    for lot in &problem.lots {
        let (At::Mould(day) | At::Tank(_, day) | At::Rack(_, day)) = lot.at;
        if day >= problem.len() {
            stranded[problem.makes[lot.make].kind] += lot.quantity;
        }
    }
    stranded
}

fn pourable(problem: &Problem, day: DayIx) -> Vec<Pourable> {
    let pinned = |make: MakeIx| problem.pins[day].iter().any(|pin| pin.0 == make);
    let may = |(ix, make): (MakeIx, &crate::problem::Make)| match make.ready_soonest[day] < problem.len() {
        _ if !make.suits || !make.may_pour[day] || pinned(ix) => Pourable::Never,
        true => Pourable::InTime,
        false => Pourable::Beyond,
    };
    problem.makes.iter().enumerate().map(may).collect()
}

fn least(problem: &Problem, mix: &crate::problem::Mix) -> Least {
    let panels = || mix.makes.iter().map(|make| problem.panel_of(*make));
    Least {
        litres: panels().map(|panel| panel.litres).fold(f64::INFINITY, f64::min),
        minutes: panels().map(|panel| panel.pour_minutes).fold(f64::INFINITY, f64::min),
    }
}

fn dearest(problem: &Problem, kind: &crate::problem::Kind) -> f64 {
    kind.makes.iter().map(|make| problem.make_price(*make)).fold(0.0, f64::max)
}

/// By kind and day: stock and what leaves racks from before.
fn ready_already(problem: &Problem) -> Vec<Vec<i64>> {
    let mut ready = vec![vec![0; problem.len()]; problem.kinds.len()];
    for (of_kind, kind) in ready.iter_mut().zip(&problem.kinds) {
        if let Some(first) = of_kind.first_mut() {
            *first += kind.stock;
        }
    }
    for lot in &problem.lots {
        if let At::Rack(_, day) = lot.at
            && day < problem.len()
        {
            ready[problem.makes[lot.make].kind][day] += lot.quantity;
        }
    }
    ready
}

fn pins_of(problem: &Problem, only_pins: &Schedule, day: DayIx) -> Pinned {
    let mut pinned = Pinned::default();
    for (make, quantity) in &problem.pins[day] {
        let panel = problem.panel_of(*make);
        pinned.minutes += *quantity as f64 * panel.pour_minutes;
        pinned.price += *quantity as f64 * panel.panel_price;
    }
    for (mix, litres) in only_pins.litres(problem, day).into_iter().enumerate() {
        let batching = problem.mixes[mix].batching(litres);
        if batching.count > 0 {
            pinned.minutes += problem.mixes[mix].minutes(batching.count);
            pinned.batches += batching.count;
            pinned.mixed.push((mix, litres, batching.count));
            pinned.price += problem.mixes[mix].litre_price * (batching.litres() + problem.mixes[mix].washout_litres);
            pinned.price += problem.mixes[mix].washout_price[day];
        }
    }
    pinned
}
