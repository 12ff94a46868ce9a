//! What things are called on a page: the names people gave, found by the ids that plans and tickets hold.

use std::collections::BTreeMap;

use store::{Record, Tx};
use workshop::catalogue::{Material, Mix, Panel, Rack, StockUnit, Tank};

use crate::http::problem::Problem;

/// Names by id.
#[derive(Clone, Debug, Default)]
pub struct Names {
    panels: BTreeMap<String, String>,
    mixes: BTreeMap<String, String>,
    materials: BTreeMap<String, (String, StockUnit)>,
    places: BTreeMap<String, String>,
}

impl Names {
    /// Reads all names.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn read(tx: &Tx) -> Result<Self, Problem> {
        let mut names = Self::default();
        names.panels.extend(Panel::all(tx).await?.into_iter().map(|p| (p.id.to_string(), p.name)));
        names.mixes.extend(Mix::all(tx).await?.into_iter().map(|m| (m.id.to_string(), m.name)));
        let materials = Material::all(tx).await?;
        names.materials.extend(materials.into_iter().map(|m| (m.id.to_string(), (m.name, m.unit))));
        names.places.extend(Tank::all(tx).await?.into_iter().map(|t| (t.id.to_string(), t.name)));
        names.places.extend(Rack::all(tx).await?.into_iter().map(|r| (r.id.to_string(), r.name)));
        Ok(names)
    }

    /// Of a panel; its id where nobody knows it any more.
    pub fn panel<'a>(&'a self, id: &'a str) -> &'a str {
        self.panels.get(id).map_or(id, String::as_str)
    }

    /// Of a mix revision, given as `grey@2`: `Foamed grey, revision 2`.
    pub fn revision(&self, id: &str) -> String {
        match id.split_once('@') {
            Some((mix, number)) => {
                format!("{}, revision {number}", self.mixes.get(mix).map_or(mix, String::as_str))
            }
            None => id.to_owned(),
        }
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

    /// Of a tank or a rack.
    pub fn place<'a>(&'a self, id: &'a str) -> &'a str {
        self.places.get(id).map_or(id, String::as_str)
    }
}
