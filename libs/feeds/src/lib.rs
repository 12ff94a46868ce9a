//! feeds
