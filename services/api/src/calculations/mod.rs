//! What the mix library works out for whoever asks: from a form in writing to a form with worked lines. Pure: what has to be
//! read first (materials, revisions, the scale) comes in [`Known`], so that the same calculation serves a request and a
//! file on a disk.

mod additions;
mod ageing;
mod batch;
mod cheapest;
mod correction;
mod curing;
mod fill;
mod loads;
mod mesh;
mod mixture;
pub mod on_record;
pub mod proportions;
pub mod recipe;
mod scales;
mod strength;
pub mod ticket_load;
mod time;
pub mod trials;
mod weighed;
pub mod written;

use std::collections::BTreeMap;

use mix::{Faults, Recipe, Source, Worked};
use quantities::Grams;
use serde::Serialize;
use utoipa::ToSchema;
use workshop::Fault;
use workshop::catalogue::{Material, MixRevision};
use workshop::ids::RevisionId;
use workshop::planning::draws::Materials;

pub use correction::{Load, decide};
pub use mixture::{price_per_kg, revision_cost};
pub use on_record::role_of;
pub use time::held;

use crate::http::body::Incoming;
use crate::wire::basics::{RevisionText, revision};
use crate::wire::calculations::WrittenRecipe;
use crate::wire::proportions::WorkedLine;

/// A calculation: a form that can be worked out.
pub trait Calculation: Incoming<Domain = Self> {
    /// What comes of it.
    type Found: Serialize + ToSchema;

    /// The revisions it speaks of, to be read before it is worked out: none, where it does not say otherwise.
    fn revisions(&self) -> Vec<&RevisionText> {
        Vec::new()
    }

    /// Works it out.
    ///
    /// # Errors
    /// Every fault of what was asked, each at its place in the form.
    fn work_out(&self, known: &Known) -> Result<Self::Found, Vec<Fault>>;
}

/// What is known beside the form itself. Nothing, for a file on a disk.
#[derive(Clone, Debug, Default)]
pub struct Known {
    /// The catalogue's materials.
    pub materials: Vec<Material>,
    /// The revisions the form names.
    pub revisions: BTreeMap<RevisionId, MixRevision>,
    /// The step of the workshop's scale.
    pub scale_step: Option<Grams>,
}

impl Known {
    /// The materials by id.
    pub fn by_id(&self) -> Materials<'_> {
        self.materials.iter().map(|m| (&m.id, m)).collect()
    }

    /// The mix a form speaks of at `place`: its revision on record, or its recipe written out.
    ///
    /// # Errors
    /// Neither or both given; everything that keeps it from being a mix.
    pub fn mix(&self, place: &str, asked: Asked) -> Result<Recipe, Vec<Fault>> {
        match (asked.revision, asked.recipe) {
            (Some(text), None) => self.on_record(&format!("{place}/revision"), text),
            (None, Some(written)) => recipe::read(written, &self.by_id(), &format!("{place}/recipe")),
            (None, None) => Err(vec![Fault::at(place, "says no mix: give a revision on record or a recipe")]),
            (Some(_), Some(_)) => {
                let detail = "a revision and a recipe are given: leave out one of them";
                Err(vec![Fault::at(format!("{place}/recipe"), detail)])
            }
        }
    }

    /// The revision on record that a form names at `place`.
    ///
    /// # Errors
    /// A name that is none, a revision that is not there.
    pub fn revision(&self, place: &str, text: &RevisionText) -> Result<&MixRevision, Vec<Fault>> {
        let id = revision(place, text)?;
        self.revisions.get(&id).ok_or_else(|| {
            let detail = format!("there is no mix revision '{id}' on record here: give a recipe instead");
            vec![Fault::at(place, detail)]
        })
    }

    fn on_record(&self, place: &str, text: &RevisionText) -> Result<Recipe, Vec<Fault>> {
        let revision = self.revision(place, text)?;
        let of_revision = |fault: Fault| Fault::at(place, format!("{text}: {}", fault.detail, text = text.0));
        on_record::recipe(revision, &self.by_id()).map_err(|faults| faults.into_iter().map(of_revision).collect())
    }
}

/// The two ways in which a form can name a mix.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    /// By its revision on record.
    pub revision: Option<&'a RevisionText>,
    /// By its recipe.
    pub recipe: Option<&'a WrittenRecipe>,
}

/// The mix that a form names by its two members.
macro_rules! asked {
    ($form:expr) => {
        $crate::calculations::Asked { revision: $form.revision.as_ref(), recipe: $form.recipe.as_ref() }
    };
}
pub(crate) use asked;

/// A form is taken as it is: its sense is checked where it is worked out.
macro_rules! as_it_is {
    ($($form:ty),* $(,)?) => { $(
        impl $crate::http::body::Incoming for $form {
            type Domain = Self;

            fn into_domain(self) -> Result<Self, Vec<workshop::Fault>> {
                Ok(self)
            }
        }
    )* };
}
pub(crate) use as_it_is;

/// Faults of the mix library as ours.
pub fn faults_of(faults: &Faults) -> Vec<Fault> {
    faults.all().iter().map(fault_of).collect()
}

/// A fault of the mix library as ours.
pub fn fault_of(fault: &mix::Fault) -> Fault {
    Fault::at(fault.field.clone(), said(fault))
}

/// What is wrong and what to do about it, in a sentence without its place.
fn said(fault: &mix::Fault) -> String {
    format!("{}; {}", fault.what, fault.remedy)
}

/// The same faults with the library's places as those of the form: of the pairs of theirs and ours, the first whose whole
/// segments are in the pointer.
fn renamed(faults: Vec<Fault>, names: &[(&str, &str)]) -> Vec<Fault> {
    let place = |pointer: String| {
        let ended = format!("{pointer}/");
        let found = names.iter().find_map(|(theirs, ours)| {
            let at = ended.find(&format!("{theirs}/"))?;
            Some(format!("{}{ours}{}", &ended[..at], &pointer[at + theirs.len()..]))
        });
        found.unwrap_or(pointer)
    };
    faults.into_iter().map(|fault| Fault { pointer: place(fault.pointer), ..fault }).collect()
}

/// The same faults, all at one place of a form.
fn all_at(place: &str, faults: &Faults) -> Vec<Fault> {
    faults_of(faults).into_iter().map(|fault| Fault { pointer: place.to_owned(), ..fault }).collect()
}

/// A worked line of our own.
fn line(
    what: impl Into<String>,
    formula: &'static str,
    numbers: String,
    result: f64,
    unit: &'static str,
) -> WorkedLine {
    line_from(what, formula, numbers, result, unit, Source::DEFINITION)
}

fn line_from(
    what: impl Into<String>,
    formula: &'static str,
    numbers: String,
    result: f64,
    unit: &'static str,
    source: Source,
) -> WorkedLine {
    WorkedLine::from(Worked { what: what.into(), formula, numbers, result, unit, source })
}

fn lines(worked: Vec<Worked>) -> Vec<WorkedLine> {
    worked.into_iter().map(WorkedLine::from).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_renamed_by_whole_segments_and_once() {
        let names =
            [("/target/wet", "/wet_density"), ("/target", "/wet_density"), ("/mass", "/amount"), ("/top", "/top_mm")];
        let rows = [
            ("/target/wet", "/wet_density"),
            ("/target", "/wet_density"),
            ("/ingredients/3/mass", "/ingredients/3/amount"),
            ("/mass/0", "/amount/0"),
            ("/masses", "/masses"),
            ("/top_diameter", "/top_diameter"),
            ("/top/mass", "/top/amount"),
            ("", ""),
        ];
        for (theirs, ours) in rows {
            let found = renamed(vec![Fault::at(theirs, "is wrong")], &names);
            assert_eq!(found, [Fault::at(ours, "is wrong")], "{theirs}");
        }
    }
}
