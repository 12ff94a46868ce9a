//! What is wrong with something given: where it is, and what to do about it.

/// One fault of an input. Inputs are checked whole, so faults come in lists.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fault {
    /// Where, as an RFC 6901 pointer into what was given (`/lines/0/quantity`); empty for the whole of it.
    pub pointer: String,
    /// What is wrong and what to do, in one sentence.
    pub detail: String,
}

impl Fault {
    /// A fault at a place.
    pub fn at(pointer: impl Into<String>, detail: impl Into<String>) -> Self {
        Self { pointer: pointer.into(), detail: detail.into() }
    }
}

impl core::fmt::Display for Fault {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self.pointer.as_str() {
            "" => f.write_str(&self.detail),
            pointer => write!(f, "{pointer}: {}", self.detail),
        }
    }
}
