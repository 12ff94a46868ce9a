//! What tests share: databases that come fresh and go away.

pub mod databases;
