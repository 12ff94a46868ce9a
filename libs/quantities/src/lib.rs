//! Quantities of the workshop: newtypes, units, the products that mean something, and named roundings.
//!
//! Two families. [`ledger`] holds whole numbers of a small unit (grams, millilitres, millimetres, minutes, minor currency
//! units): what is counted, stored and planned. The proportioning families hold `f64` in SI: what is calculated.
//!
//! A proportioning quantity is made from a number by a constructor that names the unit (`Mass::from_pounds`), gives it
//! back by a getter that names the unit (`.kg()`), and refuses what lies outside its stated range. No quantity is ever
//! NaN, infinite or (temperatures apart) negative. Only the products in [`products`] exist, and one density is compared
//! with another only in the same [`state`].

mod bounded;
pub mod error;
pub mod ledger;
mod length;
mod mass;
pub mod products;
mod ratio;
pub mod rounding;
pub mod state;
mod strength;
mod temperature;
mod time;
mod volume;
pub mod written;

pub use error::{OutOfRange, StatesDiffer, Unclear};
pub use ledger::{Grams, Millilitres, Millimetres, MinorUnits, Minutes, Pieces, SquareMillimetres};
pub use length::{Area, Length};
pub use mass::{Content, Mass};
pub use ratio::{Ratio, RelativeDensity};
pub use state::{AirDry, ConcreteMass, ConcreteState, Density, Fresh, FromTheTank, OfMaterial, OvenDry, StatedDensity};
pub use strength::Pressure;
pub use temperature::Celsius;
pub use time::Hours;
pub use volume::Volume;
