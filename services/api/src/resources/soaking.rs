//! What is known of panels that soak: the lots there, and how warm the water was and is.

use chrono::NaiveDate as Day;
use store::{Record as _, Tx, lots, marks, site, upkeep};
use workshop::catalogue::{Material, MixRevision};
use workshop::ids::TankId;
use workshop::lots::Lot;
use workshop::site::Workshop;
use workshop::soaking::{Slow, Soaking, Water, in_tanks_since};

use crate::http::problem::Problem;

/// Panels in tanks, and what was measured in them.
pub struct InTanks {
    workshop: Workshop,
    revisions: Vec<MixRevision>,
    materials: Vec<Material>,
    lots: Vec<Lot>,
    water: Water,
}

impl InTanks {
    /// As the records say now; none where the workshop has not been described or nothing soaks.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn read(tx: &Tx) -> Result<Option<Self>, Problem> {
        let lots = lots::all_present(tx).await?;
        let (Some(since), Some(site)) = (in_tanks_since(&lots), site::get(tx).await?) else { return Ok(None) };
        Ok(Some(Self {
            workshop: site.value,
            revisions: MixRevision::all(tx).await?,
            materials: Material::all(tx).await?,
            lots,
            water: upkeep::water(tx, since).await?,
        }))
    }

    fn soaking<'a>(&'a self, water: &'a Water) -> Soaking<'a> {
        Soaking::new(&self.workshop, &self.revisions, &self.materials, water)
    }

    /// Panels that soak longer than usual, and still do on `day`.
    pub fn slow(&self, day: Day) -> Vec<Slow> {
        self.soaking(&self.water).slow(&self.lots, day)
    }

    /// The first day a lot may be lifted from its tank.
    pub fn lifted(&self, lot: &Lot) -> Day {
        self.soaking(&self.water).lifted(&lot.revision, lot.tank.as_ref(), lot.since).1
    }

    /// Marks the plan as out of date where what was now measured in a tank moves the day its panels may be lifted.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn mark_moved(&self, tx: &Tx, tank: &TankId, water_c: f64) -> Result<(), Problem> {
        let Some(since) = in_tanks_since(&self.lots) else { return Ok(()) };
        let now = upkeep::water(tx, since).await?;
        let moved = self.soaking(&now).moved(&self.soaking(&self.water), &self.lots, tank);
        let Some((panels, last)) = moved else { return Ok(()) };
        let what = if panels == 1 { "1 panel".to_owned() } else { format!("{panels} panels") };
        let detail =
            format!("the water of '{tank}' is {water_c} °C: {what} may be lifted on another day, the last on {last}");
        marks::mark(tx, "water temperature", &detail).await?;
        Ok(())
    }
}
