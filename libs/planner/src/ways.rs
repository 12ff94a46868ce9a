//! The ways to a plan, and which of them a run may go.

/// A way to a plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Way {
    /// The foreman's settings.
    Foreman,
    /// The search from what is known.
    Search,
    /// The window model.
    Exact,
}

impl Way {
    /// Every way.
    pub const ALL: [Way; 3] = [Way::Foreman, Way::Search, Way::Exact];

    /// The word for it in a plan.
    pub fn word(self) -> &'static str {
        match self {
            Way::Foreman => "foreman",
            Way::Search => "search",
            Way::Exact => "exact",
        }
    }
}

/// Some of the ways.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ways(u8);

impl Ways {
    /// None of them.
    pub const NONE: Ways = Ways(0);
    /// All of them.
    pub const ALL: Ways = Ways(0b111);

    /// These and one more.
    #[must_use]
    pub const fn and(self, way: Way) -> Ways {
        Ways(self.0 | 1 << way as u8)
    }

    /// These without one.
    #[must_use]
    pub const fn without(self, way: Way) -> Ways {
        Ways(self.0 & !(1 << way as u8))
    }

    /// Whether a way is among them.
    pub const fn contains(self, way: Way) -> bool {
        self.0 & (1 << way as u8) != 0
    }
}

impl FromIterator<Way> for Ways {
    fn from_iter<I: IntoIterator<Item = Way>>(ways: I) -> Self {
        ways.into_iter().fold(Ways::NONE, Ways::and)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_set_holds_what_was_put_in() {
        assert_eq!(Way::ALL.into_iter().collect::<Ways>(), Ways::ALL);
        for way in Way::ALL {
            assert!(!Ways::NONE.contains(way) && Ways::NONE.and(way).contains(way));
            let rest = Ways::ALL.without(way);
            let held = Way::ALL.map(|other| rest.contains(other));
            assert_eq!(held, Way::ALL.map(|other| other != way));
        }
    }
}
