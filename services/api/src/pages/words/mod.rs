//! All English text of the pages, a file for each page or topic: whole texts as constants, and functions for sentences with
//! values in them, which decide plural forms and the order of words. A translation is a copy of this folder. Nothing here
//! knows what a page looks like beyond a link or a bold figure inside a sentence.

pub mod diary;
pub mod form;
pub mod frame;
pub mod mixes;
pub mod orders;
pub mod paper;
pub mod record;
pub mod sending;
pub mod shared;
pub mod steps;
pub mod stock;
pub mod ticket;
pub mod today;
pub mod upkeep;
pub mod workshop;
