//! Whole bags: the loads near a wanted one that open no bag for a part of it.

use quantities::{Mass, Pieces, Volume};

use crate::{Fault, Faults, Recipe};

/// A load of whole bags.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WholeBags {
    /// Bags of it.
    pub bags: Pieces,
    /// Litres they make.
    pub litres: Volume,
    /// Litres beyond the wanted load, for more panels or small pieces; nothing where it is not above it.
    pub spare: Volume,
}

/// What whole bags mean for a wanted load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BagChoices {
    /// The load as wanted, by its own mass.
    pub needed: Mass,
    /// What is left in the last opened bag when the load is weighed as wanted; it keeps dry and closed for the next.
    pub left_over: Mass,
    /// The largest load of whole bags that is not above the wanted one; none where one bag already is.
    pub below: Option<WholeBags>,
    /// The smallest that is not below it.
    pub above: WholeBags,
}

/// Less than this of a bag is not worth a word, kg: it is the dust on its walls.
const DUST_KG: f64 = 0.05;

impl BagChoices {
    /// Where what is left in the last opened bag can go, in a sentence: into the next load, or into this one made larger.
    /// Nothing where nothing is left. (Cement keeps in a closed bag off the ground: common practice, no source.)
    pub fn left_over_goes(&self, material: &str) -> Option<String> {
        let left = self.left_over.kg();
        (left > DUST_KG).then(|| {
            format!(
                "{left:.2} kg of {material} stay in the opened bag: close it airtight, keep it dry and off the ground, and use it first in the next load of it; or make {:.1} L more now, for small pieces, and use the bag up",
                self.above.spare.litres()
            )
        })
    }
}

/// The nearest loads of whole bags of one ingredient around a wanted load.
pub fn whole_bags(recipe: &Recipe, ingredient: &str, bag: Mass, wanted: Volume) -> Result<BagChoices, Faults> {
    let Some(part) = recipe.proportions().iter().find(|part| part.written.name == ingredient) else {
        let what = format!("{ingredient} is not in this mix");
        return Err(Fault::new("/ingredient", what, "name an ingredient as the recipe does").into());
    };
    let needed = part.content * wanted;
    let up = quantities::rounding::packs_up(needed, bag).filter(|bags| *bags > Pieces::ZERO);
    let Some(up) = up.filter(|_| needed > Mass::ZERO) else {
        return Err(Fault::new("/bag", "there is nothing to fill bags with", "give the bag's mass and a load").into());
    };
    let load = |bags: Pieces| {
        let litres = bags.get() as f64 * bag.kg() / part.content.kg_m3() * 1000.0;
        let litres = Volume::from_litres(litres).map_err(|error| Fault::out_of_range("/bag", error))?;
        // Beyond the wanted load by rounding noise is not beyond it.
        let spare = litres.checked_sub(wanted).filter(|spare| spare.litres() > 1.0e-9 * wanted.litres());
        Ok::<_, Faults>(WholeBags { bags, litres, spare: spare.unwrap_or(Volume::ZERO) })
    };
    let above = load(up)?;
    let opened = Mass::from_kg(up.get() as f64 * bag.kg()).map_err(|error| Fault::out_of_range("/bag", error))?;
    let left_over = opened.checked_sub(needed).unwrap_or(Mass::ZERO);
    let exact = left_over.kg() <= 1.0e-9 * needed.kg();
    let fewer = if exact { up } else { up - Pieces::new(1) };
    let below = if fewer > Pieces::ZERO { Some(load(fewer)?) } else { None };
    Ok(BagChoices { needed, left_over, below, above })
}
