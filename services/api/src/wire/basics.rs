//! What many forms are made of: ids, days, and lists of words.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use workshop::Fault;
use workshop::ids::{IdFault, RevisionId};

/// An id: 1 to 60 letters, digits, `-`, `_`, `.` and `@`, beginning with a letter or digit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(transparent)]
#[schema(min_length = 1, max_length = 60, pattern = "^[A-Za-z0-9][A-Za-z0-9._@-]*$", example = "cement")]
pub struct Id(pub String);

impl Id {
    /// From any of the workshop's ids.
    pub fn of(id: &impl ToString) -> Self {
        Self(id.to_string())
    }
}

/// A mix revision: the mix, `@`, and the revision's number.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(transparent)]
#[schema(min_length = 3, max_length = 60, pattern = "^[A-Za-z0-9][A-Za-z0-9._@-]*$", example = "foamed-grey@2")]
pub struct RevisionText(pub String);

impl RevisionText {
    /// From the workshop's own.
    pub fn of(id: &RevisionId) -> Self {
        Self(id.to_string())
    }
}

/// Reads an id; a fault at `pointer` where it is none.
///
/// # Errors
/// The one fault.
pub fn id<T>(pointer: &str, parse: impl FnOnce(&str) -> Result<T, IdFault>, text: &Id) -> Result<T, Vec<Fault>> {
    parse(&text.0).map_err(|fault| vec![Fault::at(pointer, fault.to_string())])
}

/// Reads a mix revision; a fault at `pointer` where it is none.
///
/// # Errors
/// The one fault.
pub fn revision(pointer: &str, text: &RevisionText) -> Result<RevisionId, Vec<Fault>> {
    RevisionId::parse(&text.0).map_err(|_| {
        let detail = format!("'{}' is no mix revision: give mix@number, as foamed-grey@2", text.0);
        vec![Fault::at(pointer, detail)]
    })
}

/// Reads every entry of a list, or gives the faults of all.
///
/// # Errors
/// The faults of all entries.
pub fn each<T, U>(items: Vec<T>, read: impl Fn(usize, T) -> Result<U, Vec<Fault>>) -> Result<Vec<U>, Vec<Fault>> {
    let mut good = Vec::with_capacity(items.len());
    let mut faults = Vec::new();
    for (index, item) in items.into_iter().enumerate() {
        match read(index, item) {
            Ok(one) => good.push(one),
            Err(more) => faults.extend(more),
        }
    }
    if faults.is_empty() { Ok(good) } else { Err(faults) }
}

/// The value where it has no faults.
///
/// # Errors
/// The faults.
pub fn sound<T>(value: T, faults: Vec<Fault>) -> Result<T, Vec<Fault>> {
    if faults.is_empty() { Ok(value) } else { Err(faults) }
}

/// A closed list of words on the wire for one of the workshop's own: the same names, in snake case.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident for $domain:path { $($(#[$word_doc:meta])* $word:ident),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize, utoipa::ToSchema)]
        #[serde(rename_all = "snake_case")]
        #[allow(missing_docs, reason = "most words explain themselves")]
        pub enum $name { $($(#[$word_doc])* $word),+ }

        impl From<$name> for $domain {
            fn from(word: $name) -> Self {
                match word { $($name::$word => <$domain>::$word),+ }
            }
        }

        impl From<$domain> for $name {
            fn from(word: $domain) -> Self {
                match word { $(<$domain>::$word => $name::$word),+ }
            }
        }
    };
}
pub(crate) use words;
