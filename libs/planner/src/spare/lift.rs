//! Limits, what is left once one of them is lifted, and how much of it is missing.

use super::levels::Spare;
use crate::problem::DayIx;

/// Beyond any need.
const PLENTY: i64 = 1 << 40;
/// Left over by adding up fractions.
const DUST: f64 = 1e-6;

/// Something that can hold a panel back.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Limit {
    /// A material.
    Material(usize),
    /// Days on which a mix may not be poured.
    Cold,
    /// Moulds of a group.
    Moulds(usize),
    /// Room in the tanks.
    Tanks,
    /// Room on the racks.
    Racks,
    /// Batches of the mixer.
    Mixer,
    /// Minutes of labour.
    Labour,
    /// A pour decided already rules out others of its make on its day.
    Pins,
}

/// How much of something is missing, by day.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Lack {
    /// Which tank or rack; 0 for all else.
    pub place: usize,
    /// Days, and how much more there would have to be on each.
    pub days: Vec<(DayIx, f64)>,
}

impl Lack {
    /// The most that is missing on a day.
    pub fn most(&self) -> f64 {
        self.days.iter().map(|day| day.1).fold(0.0, f64::max)
    }
}

impl Spare<'_> {
    /// Lifts a limit.
    pub fn lift(&mut self, limit: Limit) {
        let plenty = |room: &mut Vec<f64>| room.fill(PLENTY as f64);
        match limit {
            Limit::Material(material) => self.stores[material].lift(),
            Limit::Cold => self.warm = true,
            Limit::Moulds(group) => self.moulds[group].fill(PLENTY),
            Limit::Tanks => self.tanks.iter_mut().for_each(plenty),
            Limit::Racks => self.racks.iter_mut().for_each(plenty),
            Limit::Mixer => self.batches.fill(PLENTY),
            Limit::Labour => plenty(&mut self.labour),
            Limit::Pins => self.unpinned = true,
        }
    }

    /// With a few limits lifted.
    pub fn lifting(&self, limits: &[Limit]) -> Self {
        let mut lifted = self.clone();
        limits.iter().for_each(|limit| lifted.lift(*limit));
        lifted
    }

    /// Whether deliveries can be ordered for all that is drawn where a store is limited, those limits apart.
    pub fn orderable(&self, apart: &[Limit]) -> bool {
        let stores = self.stores.iter().zip(&self.problem.materials).enumerate();
        let mut asked = stores.filter(|(ix, _)| !apart.contains(&Limit::Material(*ix)));
        asked.all(|(_, (store, material))| store.orderable(material))
    }

    /// What is missing of a limit that was passed over since `before`; nothing of limits that are no quantity.
    pub fn lacks(&self, limit: Limit, before: &Self) -> Vec<Lack> {
        let whole = |levels: &[i64]| levels.iter().map(|level| *level as f64).collect::<Vec<_>>();
        let rooms = |now: &[Vec<f64>], then: &[Vec<f64>]| {
            let room = |(place, (now, then)): (usize, (&Vec<f64>, &Vec<f64>))| Lack { place, ..lack(now, then) };
            now.iter().zip(then).enumerate().map(room).collect::<Vec<_>>()
        };
        let mut lacks = match limit {
            Limit::Material(ix) => {
                let days = self.stores[ix].lacks(&self.problem.materials[ix]);
                vec![Lack { place: 0, days }]
            }
            Limit::Moulds(group) => {
                let mut lack = lack(&whole(&self.moulds[group]), &whole(&before.moulds[group]));
                let beyond = &self.problem.groups[group].out_beyond;
                lack.days.iter_mut().for_each(|(day, missing)| *missing += beyond[*day] as f64);
                vec![lack]
            }
            Limit::Tanks => rooms(&self.tanks, &before.tanks),
            Limit::Racks => rooms(&self.racks, &before.racks),
            Limit::Mixer => vec![lack(&whole(&self.batches), &whole(&before.batches))],
            Limit::Labour => vec![lack(&self.labour, &before.labour)],
            Limit::Cold | Limit::Pins => Vec::new(),
        };
        lacks.retain(|lack| !lack.days.is_empty());
        lacks
    }
}

fn lack(now: &[f64], before: &[f64]) -> Lack {
    let days = now.iter().zip(before).enumerate();
    let short = |(day, (now, before)): (DayIx, (&f64, &f64))| (*now < -DUST && now < before).then_some((day, -now));
    Lack { place: 0, days: days.filter_map(short).collect() }
}
