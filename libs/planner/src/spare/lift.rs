//! Limits, and what is left once one of them is lifted.

use super::levels::Spare;

/// Beyond any need.
const PLENTY: i64 = 1 << 40;

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
}
