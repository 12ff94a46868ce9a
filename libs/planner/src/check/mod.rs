//! The independent checker: every rule and every figure again, from nothing but facts and plan. It has never met the
//! problem's indices, the decoder or the model, and it runs on every plan before the plan is handed out.

mod figures;
mod keeping;
mod mixing;
mod passage;
mod pins;
mod promises;
mod proof;
mod room;
mod sheet;
mod stores;

use workshop::documents::plan::Figures;
use workshop::documents::{Facts, Plan};

use sheet::Sheet;

/// Lengths, litres, minutes and quantities may be off by this much, which is what adding up fractions can bring.
const SLACK: f64 = 1e-6;

/// A rule of a planning document.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Rule {
    /// Rows name working days, known ids and whole numbers.
    Rows,
    /// A panel takes the mix, the mix may be poured that day, and pins are kept.
    Pours,
    /// Hold, soak and dry times; a tank that fits; a rack.
    Passage,
    /// Moulds, tanks and racks hold what is in them.
    Room,
    /// Batches within their limits hold what is poured; the mixer manages them.
    Batches,
    /// Minutes of labour.
    Labour,
    /// Floor, lead time and store of each material.
    Materials,
    /// Panels given are ready, ordered, and given once.
    Promises,
    /// Orders are ready on the day the plan says.
    Orders,
    /// The figures are what the plan says.
    Figures,
    /// The bound is not above the figure it speaks of.
    Proof,
}

/// A rule that does not hold.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Broken {
    /// Which rule.
    pub rule: Rule,
    /// Where: a row of the plan, or a thing and a day.
    pub place: String,
    /// What is wrong.
    pub sentence: String,
}

/// What the checker found.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// The four figures, as the checker computes them.
    pub figures: Figures,
    /// Every rule that does not hold, in the order of the rules.
    pub broken: Vec<Broken>,
}

impl Verdict {
    /// Whether every rule holds.
    pub fn holds(&self) -> bool {
        self.broken.is_empty()
    }
}

/// Checks a plan against facts that [`validate`](crate::validate) takes as sound.
pub fn check(facts: &Facts, plan: &Plan) -> Verdict {
    let mut broken = Vec::new();
    let sheet = Sheet::new(facts, plan, &mut broken);
    pins::check(&sheet, &mut broken);
    let arrivals = passage::check(&sheet, &mut broken);
    room::check(&sheet, &mut broken);
    let mixed = mixing::check(&sheet, &mut broken);
    let bought = stores::check(&sheet, &mixed, &mut broken);
    let late = promises::check(&sheet, &arrivals, &mut broken);
    let beside = mixed.washouts + keeping::price(&sheet);
    let figures = figures::check(&sheet, bought.cost + beside, &late, &mut broken);
    proof::check(plan, &figures, &mut broken);
    Verdict { figures, broken }
}

/// Writes down a broken rule.
fn tell(broken: &mut Vec<Broken>, rule: Rule, place: impl Into<String>, sentence: impl Into<String>) {
    broken.push(Broken { rule, place: place.into(), sentence: sentence.into() });
}
