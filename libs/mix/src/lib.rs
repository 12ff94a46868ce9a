//! Proportioning: from a recipe as written down to what goes into the mixer, and when the panel may come out.
//!
//! Pure functions over `quantities`: no I/O, no clock, no ids. The order of thought is the order of the modules:
//!
//! 1. [`ingredient`] and [`foam`]: what a mix is made of; [`stated`] reads amounts in any usual form. [`recipe`] brings amounts in any one making to the mix's own
//!    yield, kg/m³, and knows its densities, water ratios and air.
//! 2. [`batch`] cuts litres into equal mixer loads, [`sheet`] gives the masses to weigh for one load, [`pail`] the fill
//!    mark, [`bags`] the loads of whole bags.
//! 3. [`moisture`], [`pigment`], [`fibre`] and [`admixture`]: ingredients that are not inert volume.
//! 4. [`weighing`], [`unit_weight`] and [`correction`]: what a scale can tell apart, what it says about a load, and what to do about it.
//! 5. [`maturity`], [`curing`], [`cold`] and [`strength`]: hours, days and estimates; [`trials`]: what the workshop found itself.
//! 6. [`cheapest`]: the least cost within limits, by a linear programme.
//! 7. [`mesh`]: steel. [`caution`]: what can hurt.
//!
//! Faults are collected, each with the field, what is wrong and what to do. Results come first; [`Worked`] lines show how
//! they came about.
//!
//! A foamed mix from contents on record to the sheet of the day's last load:
//!
//! ```
//! use mix::{Cement, FoamAmount, FoamDraft, Ingredient, Recipe, RecipeDraft, Role, Target, batch_sheet};
//! use quantities::{Density, Grams, Mass, Ratio, RelativeDensity, Volume};
//!
//! let cement = Mass::from_kg(533.3)?;
//! let draft = RecipeDraft {
//!     ingredients: vec![
//!         Ingredient::new("cement", Role::Cement(Cement::Portland), cement, RelativeDensity::PORTLAND),
//!         Ingredient::water("water", Mass::from_kg(266.7)?),
//!     ],
//!     air: Ratio::ZERO,
//!     foam: Some(FoamDraft {
//!         density: Density::from_kg_m3(50.0)?,
//!         water_counted: true,
//!         amount: FoamAmount::ToTarget,
//!         dilution: None,
//!     }),
//!     target: Some(Target {
//!         wet: Density::from_kg_m3(800.0)?,
//!         lower: Density::from_kg_m3(760.0)?,
//!         upper: Density::from_kg_m3(840.0)?,
//!     }),
//!     claimed_yield: None,
//! };
//! let recipe = Recipe::new(&draft)?;
//! assert_eq!(recipe.oven_dry_density()?.kg_m3().round(), 640.0);
//!
//! // The day's last load is weighed up by what the washout loses.
//! let load = Volume::from_litres(18.0)? + Volume::from_litres(1.5)?;
//! let sheet = batch_sheet(&recipe, load, Grams::new(10))?;
//! assert_eq!(sheet.lines[0].weighed, Grams::new(10_400));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub mod admixture;
pub mod bags;
pub mod batch;
pub mod caution;
pub mod cheapest;
pub mod cold;
pub mod correction;
pub mod curing;
mod fault;
pub mod fibre;
pub mod fill;
pub mod foam;
pub mod ingredient;
pub mod maturity;
pub mod mesh;
pub mod moisture;
pub mod pail;
pub mod pigment;
pub mod recipe;
pub mod sheet;
pub mod source;
pub mod stated;
pub mod strength;
pub mod trials;
pub mod unit_weight;
pub mod weighing;
mod worked;

pub use batch::{Batches, MixerLimits, equal_batches};
pub use caution::{Caution, CautionFacts, cautions};
pub use fault::{Collecting, Fault, Faults};
pub use foam::{Dilution, FoamAmount, FoamDraft, FoamShare, FoamSolution};
pub use ingredient::{Cement, Ingredient, Role};
pub use maturity::{HoldClock, HoldKind, hold_days};
pub use pail::Pail;
pub use recipe::{Proportion, Recipe, RecipeDraft, Target, WaterRatios, YieldClaim};
pub use sheet::{BatchSheet, Today, batch_sheet, batch_sheet_today};
pub use source::Source;
pub use worked::Worked;
