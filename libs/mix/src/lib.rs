//! mix
