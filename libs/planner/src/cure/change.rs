//! What a workshop could change, as changed facts.

use std::collections::BTreeSet;

use chrono::NaiveDate as Day;
use workshop::documents::Facts;
use workshop::documents::explanation::Remedy;
use workshop::documents::facts::Expected;

use crate::short::{measure, tidy};

/// One thing more, or sooner, than the facts have it.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// Moulds of a group more.
    Moulds {
        /// Which group.
        group: String,
        /// How many.
        more: i64,
    },
    /// Length of row more in a tank.
    TankRow {
        /// Which tank.
        tank: String,
        /// Millimetres.
        mm: f64,
    },
    /// Length of row more on a rack.
    RackRow {
        /// Which rack.
        rack: String,
        /// Millimetres.
        mm: f64,
    },
    /// Minutes of labour more on every working day.
    Hours {
        /// Minutes.
        minutes: f64,
    },
    /// Minutes of labour more on one day.
    Overtime {
        /// Which day.
        day: Day,
        /// Minutes.
        minutes: f64,
    },
    /// Batches more on every day.
    Batches {
        /// How many.
        more: i64,
    },
    /// Packs of a material more, there by a day.
    Packs {
        /// Which material.
        material: String,
        /// The day.
        by: Day,
        /// How many.
        packs: i64,
    },
    /// A delivery on its way that comes on another day.
    Sooner {
        /// Which material.
        material: String,
        /// The day it is expected.
        from: Day,
        /// The day it would come.
        to: Day,
    },
    /// A mix poured on days on which it may not be: a warm shed, say.
    Warm {
        /// Which mix.
        mix: String,
        /// Which days.
        days: BTreeSet<Day>,
    },
    /// A pinned pour set free.
    Unpinned {
        /// Its day.
        day: Day,
        /// Which panel.
        panel: String,
        /// From which mix.
        mix: String,
    },
}

impl Change {
    /// The facts with the change in them. What names nothing in the facts changes nothing.
    #[must_use]
    pub fn applied(&self, facts: &Facts) -> Facts {
        let mut facts = facts.clone();
        match self {
            Change::Moulds { group, more } => {
                facts.mould_groups.iter_mut().filter(|g| g.id == *group).for_each(|g| g.moulds += more);
            }
            Change::TankRow { tank, mm } => lengthen(&mut facts.tanks, tank, *mm),
            Change::RackRow { rack, mm } => lengthen(&mut facts.racks, rack, *mm),
            Change::Hours { minutes } => {
                facts.labour_minutes.usual += minutes;
                facts.labour_minutes.on.values_mut().for_each(|on| *on += minutes);
            }
            Change::Overtime { day, minutes } => {
                let there = facts.labour_minutes.on(*day);
                facts.labour_minutes.on.insert(*day, there + minutes);
            }
            Change::Batches { more } => facts.mixer_batches += more,
            Change::Packs { material, by, packs } => {
                for m in facts.materials.iter_mut().filter(|m| m.id == *material) {
                    m.expected.push(Expected { day: *by, quantity: m.pack * *packs as f64 });
                }
            }
            Change::Sooner { material, from, to } => {
                let expected = facts.materials.iter_mut().filter(|m| m.id == *material).flat_map(|m| &mut m.expected);
                expected.filter(|expected| expected.day == *from).for_each(|expected| expected.day = *to);
            }
            Change::Warm { mix, days } => {
                let mixes = facts.mixes.iter_mut().filter(|m| m.id == *mix);
                mixes.for_each(|m| m.not_on.retain(|day| !days.contains(day)));
            }
            Change::Unpinned { day, panel, mix } => {
                facts.pinned.retain(|pin| (pin.day, &pin.panel, &pin.mix) != (*day, panel, mix));
            }
        }
        facts
    }

    /// What kind of thing it is.
    pub fn remedy(&self) -> Remedy {
        match self {
            Change::Moulds { .. } => Remedy::Moulds,
            Change::TankRow { .. } => Remedy::TankRow,
            Change::RackRow { .. } => Remedy::RackRow,
            Change::Hours { .. } => Remedy::Hours,
            Change::Overtime { .. } => Remedy::Overtime,
            Change::Batches { .. } => Remedy::Batches,
            Change::Packs { .. } => Remedy::Packs,
            Change::Sooner { .. } => Remedy::Delivery,
            Change::Warm { .. } => Remedy::Warmth,
            Change::Unpinned { .. } => Remedy::Pin,
        }
    }

    /// How much of it there is, to compare with another of the same remedy and subject; none where that is no quantity.
    pub fn size(&self) -> Option<f64> {
        match self {
            Change::Moulds { more, .. } | Change::Batches { more } | Change::Packs { packs: more, .. } => {
                Some(*more as f64)
            }
            Change::TankRow { mm, .. } | Change::RackRow { mm, .. } => Some(*mm),
            Change::Hours { minutes } | Change::Overtime { minutes, .. } => Some(*minutes),
            Change::Warm { days, .. } => Some(days.len() as f64),
            Change::Sooner { .. } | Change::Unpinned { .. } => None,
        }
    }

    /// In plain words, of facts that have it not yet.
    pub fn words(&self, facts: &Facts) -> String {
        match self {
            Change::Moulds { group, more: 1 } => format!("1 mould more of group \"{group}\""),
            Change::Moulds { group, more } => format!("{more} moulds more of group \"{group}\""),
            Change::TankRow { tank, mm } => format!("{} mm more row in tank \"{tank}\"", tidy(*mm)),
            Change::RackRow { rack, mm } => format!("{} mm more row on rack \"{rack}\"", tidy(*mm)),
            Change::Hours { minutes } => format!("{} minutes more work every working day", tidy(*minutes)),
            Change::Overtime { day, minutes } => format!("{} minutes of overtime on {day}", tidy(*minutes)),
            Change::Batches { more: 1 } => "1 batch more on every day".to_owned(),
            Change::Batches { more } => format!("{more} batches more on every day"),
            Change::Packs { material, by, packs } => {
                let m = facts.materials.iter().find(|m| m.id == *material);
                let of = m.map_or(String::new(), |m| format!(" of {}", measure(m.unit.as_deref(), m.pack)));
                let packs = if *packs == 1 { "1 pack".to_owned() } else { format!("{packs} packs") };
                format!("{packs}{of} more of material \"{material}\", there by {by}")
            }
            Change::Sooner { material, from, to } => {
                format!("the delivery of material \"{material}\" expected on {from} coming on {to}")
            }
            Change::Warm { mix, days } => match (days.first(), days.len()) {
                (Some(day), 1) => format!("pouring mix \"{mix}\" on {day} all the same"),
                (Some(first), count) => {
                    format!("pouring mix \"{mix}\" on the {count} days from {first} on which it may not be poured")
                }
                (None, _) => format!("pouring mix \"{mix}\" on every day"),
            },
            Change::Unpinned { day, panel, mix } => {
                format!("setting free the pinned pour of panel \"{panel}\" in mix \"{mix}\" on {day}")
            }
        }
    }

    /// What is changed: an id, or a day.
    pub fn subject(&self) -> String {
        match self {
            Change::Moulds { group, .. } => group.clone(),
            Change::TankRow { tank, .. } => tank.clone(),
            Change::RackRow { rack, .. } => rack.clone(),
            Change::Hours { .. } => "labour".to_owned(),
            Change::Batches { .. } => "mixer".to_owned(),
            Change::Overtime { day, .. } => day.to_string(),
            Change::Packs { material, .. } | Change::Sooner { material, .. } => material.clone(),
            Change::Warm { mix, .. } => mix.clone(),
            Change::Unpinned { panel, .. } => panel.clone(),
        }
    }
}

fn lengthen(rooms: &mut [workshop::documents::facts::Room], id: &str, mm: f64) {
    rooms.iter_mut().filter(|room| room.id == *id).for_each(|room| room.mm += mm);
}
