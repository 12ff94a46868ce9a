//! The planning documents, version 1, as plain data: [`facts`] go into the planner, a [`plan`] comes out.
//!
//! They carry plain numbers whose unit stands in the field's name, and text ids: a facts document is whole in itself, may
//! come from a file that no database has ever seen, and a material's quantities are in that material's own small unit.

pub mod explanation;
pub mod facts;
pub mod plan;

pub use explanation::Explanation;
pub use facts::Facts;
pub use plan::Plan;
