//! mouldboard
