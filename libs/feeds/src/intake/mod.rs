//! What people bring along: CSV and XLSX of our own exports' columns, or of their own with a stated mapping, read into drafts.
//!
//! A file becomes a [`sheet::Sheet`] of cells as they stand, within limits; a [`grid::Grid`] finds its columns and reads each as
//! a whole, because only a whole column tells a decimal comma from a comma between thousands, and a day before a month from one
//! behind it; what a column does not tell is refused with both readings. The nouns' own modules make drafts of the rows. Every
//! fault of every cell is listed ([`fault::CellFault`]); nothing here reads a clock or asks the records: what a file leaves out
//! comes from what it is given of them.

pub mod counts;
pub mod days;
pub mod deliveries;
pub mod draft;
pub mod exact;
pub mod fault;
pub mod form;
pub mod grid;
pub mod materials;
pub mod mould_groups;
pub mod numbers;
pub mod orders;
pub mod panels;
pub mod sheet;
pub mod units;
pub mod way;

mod csv;
mod row;
mod xlsx;

pub use draft::Draft;
pub use fault::CellFault;
pub use grid::Grid;
pub use way::{Format, Way};
