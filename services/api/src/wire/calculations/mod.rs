//! Forms of the calculations: what is asked, in writing with its unit, and what is found, in SI with the unit in the name.
//!
//! A calculation speaks of a mix either by its revision on record or by a recipe written out; never both.

pub mod additions;
pub mod ageing;
pub mod cheapest;
pub mod curing;
pub mod fill;
pub mod loads;
pub mod mesh;
pub mod mixer;
pub mod mixture;
pub mod recipe;
pub mod scales;
pub mod time;
pub mod weighed;

pub use recipe::{IngredientKind, WrittenFoam, WrittenIngredient, WrittenRecipe};
