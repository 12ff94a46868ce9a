//! Whole-number quantities, as ledgers and plans hold them: one newtype a unit, so that grams never meet millimetres.
//!
//! All are signed 64-bit: a ledger entry may take away. The raw number goes in by `new` and comes out by `get`, both
//! named by the type, nowhere else.

use core::fmt;
use core::iter::Sum;
use core::ops::{Add, AddAssign, Mul, Neg, Sub, SubAssign};

macro_rules! whole {
    ($(#[$doc:meta])* $name:ident, $unit:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(i64);

        impl $name {
            /// Nothing of it.
            pub const ZERO: Self = Self(0);
            /// The unit's sign, as printed after a number.
            pub const UNIT: &'static str = $unit;

            /// From a count of the unit.
            pub const fn new(count: i64) -> Self {
                Self(count)
            }

            /// The count of the unit.
            pub const fn get(self) -> i64 {
                self.0
            }

            /// The sum, or nothing where it would leave the 64-bit range.
            pub fn checked_add(self, other: Self) -> Option<Self> {
                self.0.checked_add(other.0).map(Self)
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{} {}", self.0, $unit)
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl SubAssign for $name {
            fn sub_assign(&mut self, other: Self) {
                self.0 -= other.0;
            }
        }

        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl Mul<i64> for $name {
            type Output = Self;
            fn mul(self, times: i64) -> Self {
                Self(self.0 * times)
            }
        }

        impl Sum for $name {
            fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
                items.fold(Self::ZERO, Add::add)
            }
        }
    };
}

whole!(
    /// Mass in whole grams.
    Grams, "g"
);
whole!(
    /// Volume in whole millilitres.
    Millilitres, "ml"
);
whole!(
    /// Length in whole millimetres.
    Millimetres, "mm"
);
whole!(
    /// Area in whole square millimetres.
    SquareMillimetres, "mm²"
);
whole!(
    /// Countable things: panels, moulds, packs, corner pins.
    Pieces, "pcs"
);
whole!(
    /// Time in whole minutes.
    Minutes, "min"
);
whole!(
    /// Money in the currency's minor unit (cents, pence).
    MinorUnits, "minor units"
);
