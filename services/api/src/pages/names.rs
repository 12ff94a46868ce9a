//! What things are called on a page: the names people gave, found by the ids that plans and tickets hold.

use std::collections::BTreeMap;

use store::{Record, Tx};
use workshop::catalogue::{Finish, Material, Mix, MouldGroup, Panel, Rack, StockUnit, Tank};

use super::words::shared as words;
use super::writing::Written;

use crate::http::problem::Problem;

/// Names by id.
#[derive(Clone, Debug, Default)]
pub struct Names {
    panels: BTreeMap<String, String>,
    mixes: BTreeMap<String, String>,
    finishes_of_mixes: BTreeMap<String, String>,
    materials: BTreeMap<String, (String, StockUnit)>,
    places: BTreeMap<String, String>,
    others: BTreeMap<String, String>,
}

impl Names {
    /// Reads all names.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn read(tx: &Tx) -> Result<Self, Problem> {
        let mut names = Self::default();
        names.panels.extend(Panel::all(tx).await?.into_iter().map(|p| (p.id.to_string(), p.name)));
        for mix in Mix::all(tx).await? {
            names.finishes_of_mixes.insert(mix.id.to_string(), mix.finish.to_string());
            names.mixes.insert(mix.id.to_string(), mix.name);
        }
        let materials = Material::all(tx).await?;
        names.materials.extend(materials.into_iter().map(|m| (m.id.to_string(), (m.name, m.unit))));
        names.places.extend(Tank::all(tx).await?.into_iter().map(|t| (t.id.to_string(), t.name)));
        names.places.extend(Rack::all(tx).await?.into_iter().map(|r| (r.id.to_string(), r.name)));
        names.others.extend(MouldGroup::all(tx).await?.into_iter().map(|g| (g.id.to_string(), g.name)));
        names.others.extend(Finish::all(tx).await?.into_iter().map(|f| (f.id.to_string(), f.name)));
        Ok(names)
    }

    /// A sentence of the planner as people say it: ids in quotation marks by the names people gave, days by their weekdays.
    pub fn spoken(&self, written: Written, sentence: &str) -> String {
        let mut said = String::new();
        for (n, part) in sentence.split('"').enumerate() {
            said.push_str(&if n % 2 == 1 { self.called(part) } else { written.sentence(part) });
        }
        let mut letters = said.chars();
        let first: String = letters.next().into_iter().flat_map(char::to_uppercase).collect();
        let end = if said.ends_with(['.', '!', '?']) { "" } else { "." };
        format!("{first}{}{end}", letters.as_str())
    }

    /// Whatever has this id; the id itself where nothing has a name (orders go by theirs).
    fn called(&self, id: &str) -> String {
        let known = [&self.panels, &self.places, &self.others].into_iter().find_map(|names| names.get(id).cloned());
        match known {
            Some(name) => name,
            None if self.materials.contains_key(id) => self.material(id).to_owned(),
            None => self.revision(id),
        }
    }

    /// Of a panel; its id where nobody knows it any more.
    pub fn panel<'a>(&'a self, id: &'a str) -> &'a str {
        self.panels.get(id).map_or(id, String::as_str)
    }

    /// Of a mix revision, given as `grey@2`: `Foamed grey, revision 2`.
    pub fn revision(&self, id: &str) -> String {
        match id.split_once('@') {
            Some((mix, number)) => words::revision(self.mixes.get(mix).map_or(mix, String::as_str), number),
            None => id.to_owned(),
        }
    }

    /// Of the finish that a mix revision, given as `grey@2`, comes out in.
    pub fn finish_of<'a>(&'a self, revision: &'a str) -> &'a str {
        let mix = revision.split_once('@').map_or(revision, |(mix, _)| mix);
        self.finishes_of_mixes.get(mix).map_or("", |finish| self.other(finish))
    }

    /// Of a material, without what follows the first comma (how it is packed).
    pub fn material<'a>(&'a self, id: &'a str) -> &'a str {
        let name = self.materials.get(id).map_or(id, |(name, _)| name.as_str());
        name.split(',').next().unwrap_or(name)
    }

    /// All materials, by id and name.
    pub fn bought(&self) -> impl Iterator<Item = (&str, &str)> {
        self.materials.keys().map(|id| (id.as_str(), self.material(id)))
    }

    /// What a material is counted in.
    pub fn unit(&self, id: &str) -> Option<StockUnit> {
        self.materials.get(id).map(|(_, unit)| *unit)
    }

    /// Of a finish or a group of moulds.
    pub fn other<'a>(&'a self, id: &'a str) -> &'a str {
        self.others.get(id).map_or(id, String::as_str)
    }

    /// Of a tank or a rack.
    pub fn place<'a>(&'a self, id: &'a str) -> &'a str {
        self.places.get(id).map_or(id, String::as_str)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sentence_says_names_and_weekdays() {
        let one = |id: &str, name: &str| BTreeMap::from([(id.to_owned(), name.to_owned())]);
        let names = Names {
            panels: one("side-900", "Bed side 900"),
            mixes: one("grey", "Foamed grey"),
            finishes_of_mixes: one("grey", "smooth"),
            materials: BTreeMap::from([("fibre".to_owned(), ("Glass fibre, 10 kg boxes".to_owned(), StockUnit::Gram))]),
            places: one("north", "North tank"),
            others: one("long", "Long moulds"),
        };
        let rows = [
            (
                "order \"TH-1\" is 2 days late: panel \"side-900\" comes last, on 2026-03-18",
                "Order TH-1 is 2 days late: panel Bed side 900 comes last, on Wed 18 March.",
            ),
            ("mix \"grey@2\" waits for \"fibre\"", "Mix Foamed grey, revision 2 waits for Glass fibre."),
            (
                "2 moulds more of group \"long\", \"north\" is full: 12026-03-1",
                "2 moulds more of group Long moulds, North tank is full: 12026-03-1.",
            ),
            ("für 5 m³ ab 2026-13-40.", "Für 5 m³ ab 2026-13-40."),
            ("", "."),
        ];
        for (written, spoken) in rows {
            assert_eq!(names.spoken(Written::of(None), written), spoken);
        }
        assert_eq!((names.finish_of("grey@2"), names.finish_of("gone@1")), ("smooth", ""));
    }
}
