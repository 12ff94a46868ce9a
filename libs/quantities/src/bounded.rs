//! The one shape all proportioning quantities share: a private number, its range, and arithmetic that cannot leave it.

/// Declares a quantity over `f64` whose number is private to the module that declares it.
///
/// `checked` is the only way in from outside numbers. `computed` is for results that are in range by construction: sums
/// of quantities, and the products in `products.rs`; those may pass the upper end of the range, which guards typing
/// errors and not arithmetic, but are always finite.
macro_rules! bounded {
    ($(#[$doc:meta])* $name:ident, $quantity:literal, $unit:literal, $least:expr, $most:expr) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// The quantity's name, as errors and worked lines write it.
            pub const QUANTITY: &'static str = $quantity;
            /// The unit of [`Self::LEAST`] and [`Self::MOST`].
            pub const UNIT: &'static str = $unit;
            /// The least that is accepted.
            pub const LEAST: f64 = $least;
            /// The most that is accepted.
            pub const MOST: f64 = $most;

            fn checked(value: f64) -> Result<Self, $crate::OutOfRange> {
                // NaN is in no range, so it is refused too.
                if (Self::LEAST..=Self::MOST).contains(&value) {
                    Ok(Self(value))
                } else {
                    Err($crate::OutOfRange {
                        quantity: Self::QUANTITY,
                        value,
                        unit: Self::UNIT,
                        least: Self::LEAST,
                        most: Self::MOST,
                    })
                }
            }

            #[allow(dead_code, reason = "not every quantity is the result of a product")]
            pub(crate) fn computed(value: f64) -> Self {
                debug_assert!(value.is_finite(), concat!($quantity, " computed as {}"), value);
                Self(value)
            }
        }

        impl core::fmt::Display for $name {
            /// The number to the precision asked for (three decimals unless told), and the unit.
            fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
                let digits = f.precision().unwrap_or(3);
                if $unit.is_empty() {
                    write!(f, "{:.*}", digits, self.0)
                } else {
                    write!(f, "{:.*} {}", digits, self.0, $unit)
                }
            }
        }
    };
}

/// Adds what an amount of stuff can do: be nothing, be added up, and be taken from where there is enough.
macro_rules! amount {
    ($name:ident) => {
        impl $name {
            /// Nothing of it.
            pub const ZERO: Self = Self(0.0);

            /// What is left, or `None` where more is taken than there is.
            pub fn checked_sub(self, other: Self) -> Option<Self> {
                (other.0 <= self.0).then(|| Self(self.0 - other.0))
            }

            /// The larger of the two.
            pub fn max(self, other: Self) -> Self {
                if other.0 > self.0 { other } else { self }
            }

            /// The smaller of the two.
            pub fn min(self, other: Self) -> Self {
                if other.0 < self.0 { other } else { self }
            }
        }

        impl core::ops::Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl core::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
                items.fold(Self::ZERO, |sum, item| sum + item)
            }
        }
    };
}

pub(crate) use {amount, bounded};
