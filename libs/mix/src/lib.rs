//! Proportioning: from a recipe as written down to what goes into the mixer, and when the panel may come out.
//!
//! Pure functions over `quantities`: no I/O, no clock, no ids. The order of thought is the order of the modules:
//!
//! 1. [`ingredient`] and [`foam`]: what a mix is made of. [`recipe`] brings amounts in any one making to the mix's own
//!    yield, kg/m³, and knows its densities, water ratios and air.
//! 2. [`batch`] cuts litres into equal mixer loads, [`sheet`] gives the masses to weigh for one load, [`pail`] the fill
//!    mark.
//! 3. [`moisture`], [`pigment`], [`fibre`] and [`admixture`]: ingredients that are not inert volume.
//! 4. [`unit_weight`]: what the scale says about a load.
//! 5. [`maturity`]: hours and days. [`caution`]: what can hurt.
//!
//! Faults are collected, each with the field, what is wrong and what to do. Results come first; [`Worked`] lines show how
//! they came about.

pub mod admixture;
pub mod batch;
pub mod caution;
mod fault;
pub mod fibre;
pub mod fill;
pub mod foam;
pub mod ingredient;
pub mod maturity;
pub mod moisture;
pub mod pail;
pub mod pigment;
pub mod recipe;
pub mod sheet;
pub mod source;
pub mod unit_weight;
mod worked;

pub use batch::{Batches, MixerLimits, equal_batches, with_washout};
pub use caution::{Caution, CautionFacts, cautions};
pub use fault::{Fault, Faults};
pub use foam::{Dilution, FoamAmount, FoamDraft, FoamShare, FoamSolution};
pub use ingredient::{Cement, Ingredient, Role};
pub use maturity::{HoldClock, HoldKind, hold_days};
pub use pail::Pail;
pub use recipe::{Proportion, Recipe, RecipeDraft, Target, WaterRatios, YieldClaim};
pub use sheet::{BatchSheet, batch_sheet};
pub use source::Source;
pub use worked::Worked;
