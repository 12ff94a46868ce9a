//! feeds

pub mod documents;
