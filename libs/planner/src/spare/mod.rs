//! What a plan leaves free of every resource, and ways for one panel more through it: moulds, tank, rack, labour, mixer and
//! materials by day.
//!
//! Panels of one make are alike, and the rules speak of sums: so many may be stripped by a day, so many are in a tank by
//! night. A sum that keeps the rules, and the way of one more panel that keeps them in what is left, keep them together. So a
//! plan can be added to panel by panel, and taken from in the same way.

mod levels;
mod lift;
mod path;
mod pull;
mod reading;
mod stores;
mod trails;

pub(crate) use levels::Spare;
pub(crate) use lift::{Lack, Limit};
pub(crate) use path::Window;
pub(crate) use pull::{Pulled, Standing};
pub(crate) use reading::{Read, read_plan};
pub(crate) use trails::{Trail, add_trail, settle, trails};
