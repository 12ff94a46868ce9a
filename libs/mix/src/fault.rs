//! What is wrong with an input: where, what, and what to do. All faults are reported together.

use core::fmt;

use quantities::OutOfRange;

/// One fault of an input.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{field}: {what}; {remedy}")]
pub struct Fault {
    /// The part of the input, as an RFC 6901 pointer: `/foam/density`, `/ingredients/2/mass`.
    pub field: String,
    /// What is wrong, with the value.
    pub what: String,
    /// What to do about it.
    pub remedy: String,
}

impl Fault {
    /// A fault at a field.
    pub fn new(field: impl Into<String>, what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self { field: field.into(), what: what.into(), remedy: remedy.into() }
    }

    /// A number outside the range of its quantity, at a field.
    pub fn out_of_range(field: impl Into<String>, error: OutOfRange) -> Self {
        let remedy = format!("give {} to {} {}", error.least, error.most, error.unit);
        Self::new(field, error.to_string(), remedy.trim_end())
    }
}

/// One or more faults.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Faults(Vec<Fault>);

impl Faults {
    /// The faults, never none, in the order of the input.
    pub fn all(&self) -> &[Fault] {
        &self.0
    }

    /// Good where nothing was found.
    pub(crate) fn none_of(found: Vec<Fault>) -> Result<(), Self> {
        if found.is_empty() { Ok(()) } else { Err(Self(found)) }
    }
}

/// Collects faults while an input is read, so that a reader is told all of them and not the first.
///
/// ```
/// use mix::Collecting;
/// use quantities::{Mass, Volume};
///
/// let mut input = Collecting::default();
/// let mass = input.take("/mass_kg", Mass::from_kg(-3.0));
/// let volume = input.take("/volume_l", Volume::from_litres(f64::NAN));
/// assert!(mass.is_none() && volume.is_none());
/// assert_eq!(input.done().unwrap_err().all().len(), 2);
/// ```
#[derive(Clone, Debug, Default)]
pub struct Collecting(Vec<Fault>);

impl Collecting {
    /// The value, or nothing and a fault noted.
    pub fn take<T>(&mut self, field: &str, read: Result<T, OutOfRange>) -> Option<T> {
        read.map_err(|error| self.0.push(Fault::out_of_range(field, error))).ok()
    }

    /// Notes a fault.
    pub fn push(&mut self, fault: Fault) {
        self.0.push(fault);
    }

    /// Good where nothing was noted.
    pub fn done(self) -> Result<(), Faults> {
        Faults::none_of(self.0)
    }
}

impl From<Fault> for Faults {
    fn from(fault: Fault) -> Self {
        Self(vec![fault])
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, fault) in self.0.iter().enumerate() {
            let separator = if i == 0 { "" } else { "\n" };
            write!(f, "{separator}{fault}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Faults {}
