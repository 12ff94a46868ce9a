//! A wish as rows of a linear programme, and the questions asked of it.

use super::columns::Columns;
use super::limit::{End, Limit};
use super::wish::Wish;
use super::{Linear, NOISE, Row, SOME_CEMENT, Sense, Solved, Unsolved};
use crate::{Fault, Faults};

/// A measure of the mix: `above`·x, over `below`·x where it is a ratio of two sums. Numbers in the limit's unit.
#[derive(Clone, Debug)]
pub(super) struct Measure {
    pub above: Vec<f64>,
    pub below: Option<Vec<f64>>,
}

impl Measure {
    /// What a limit's number is multiplied by: the sum below, or one.
    pub fn base(&self, x: &[f64]) -> f64 {
        self.below.as_ref().map_or(1.0, |below| dot(below, x))
    }

    /// Its value; nothing over nothing is nothing.
    pub fn value(&self, x: &[f64]) -> f64 {
        let base = self.base(x);
        if base > 0.0 { dot(&self.above, x) / base } else { 0.0 }
    }
}

/// A limit with its measure.
#[derive(Clone, Debug)]
pub(super) struct LimitRow {
    pub limit: Limit,
    pub measure: Measure,
}

impl LimitRow {
    /// The row at a number: above·x - number · below·x against nothing, or above·x against the number.
    pub fn row(&self, number: f64) -> Row {
        let sense = if self.limit.end == End::Least { Sense::AtLeast } else { Sense::AtMost };
        match &self.measure.below {
            None => Row { of: self.measure.above.clone(), sense, right: number },
            Some(below) => {
                let of = self.measure.above.iter().zip(below).map(|(above, below)| above - number * below);
                Row { of: of.collect(), sense, right: 0.0 }
            }
        }
    }

    /// The row as the wish has it.
    fn as_wished(&self) -> Row {
        self.row(self.limit.value)
    }

    /// How far from the limit, in its unit, a mix is still on it. Rounding is in kilograms: over a sum below one it is more.
    pub fn noise(&self, x: &[f64]) -> f64 {
        NOISE.max(self.limit.value.abs() * 1.0e-9) / self.measure.base(x).min(1.0)
    }

    /// By how much a mix misses the limit, in its unit; below nothing where it keeps it.
    pub fn misses(&self, x: &[f64]) -> f64 {
        let value = self.measure.value(x);
        match self.limit.end {
            End::Least if self.measure.base(x) > 0.0 => self.limit.value - value,
            End::Most if self.measure.base(x) > 0.0 => value - self.limit.value,
            _ => 0.0,
        }
    }
}

/// A wish, indexed.
#[derive(Clone, Debug)]
pub(super) struct Programme {
    /// Minor units to the kilogram, and to the litre of foam.
    pub cost: Vec<f64>,
    /// Litres to the kilogram, and to the litre of foam.
    pub litres: Vec<f64>,
    /// Litres the parts have to fill.
    pub to_fill: f64,
    /// One for each cement.
    pub cement: Vec<f64>,
    /// Every limit of the wish.
    pub limits: Vec<LimitRow>,
}

impl Programme {
    /// The programme of a wish, or everything that is wrong with the wish.
    pub fn of(wish: &Wish) -> Result<Self, Faults> {
        Faults::none_of(wish.faults())?;
        let columns = Columns::of(wish);
        Ok(Self {
            cost: columns.cost()?,
            litres: columns.litres(),
            to_fill: wish.air.rest().number() * 1000.0,
            cement: columns.cement(),
            limits: columns.limits(),
        })
    }

    /// The cheapest mix.
    pub fn cheapest(&self) -> Result<Solved, Unsolved> {
        self.least(self.cost.clone(), self.limits.iter().map(LimitRow::as_wished))
    }

    /// The cheapest mix with one limit moved to another number.
    pub fn cheapest_with(&self, moved: usize, to: f64) -> Result<Solved, Unsolved> {
        let row = |(i, row): (usize, &LimitRow)| row.row(if i == moved { to } else { row.limit.value });
        self.least(self.cost.clone(), self.limits.iter().enumerate().map(row))
    }

    /// Whether some concrete keeps the limits at `kept`.
    pub fn can_keep(&self, kept: &[usize]) -> Result<bool, Fault> {
        let free = vec![0.0; self.cost.len()];
        match self.least(free, self.concrete(kept)) {
            Ok(_) => Ok(true),
            Err(Unsolved::Infeasible) => Ok(false),
            Err(other) => Err(other.fault()),
        }
    }

    /// How near to the limit at `at` concrete can come that keeps the limits at `kept`: the most of the measure for a least,
    /// the least of it for a most. Nothing where none keeps them.
    ///
    /// A ratio is made linear by scaling the whole mix until the sum below is one (A. Charnes and W. W. Cooper, 1962): the
    /// last column is the scale, and every right-hand side is multiplied by it.
    pub fn nearest(&self, at: usize, kept: &[usize]) -> Result<Option<f64>, Fault> {
        let LimitRow { limit, measure } = &self.limits[at];
        let sign = if limit.end == End::Least { -1.0 } else { 1.0 };
        let mut rows: Vec<Row> = self.concrete(kept).chain([self.volume()]).map(Row::scaled).collect();
        let one = match &measure.below {
            Some(below) => below.iter().copied().chain([0.0]).collect(),
            None => self.litres.iter().map(|_| 0.0).chain([1.0]).collect(),
        };
        rows.push(Row { of: one, sense: Sense::Equal, right: 1.0 });
        let cost = measure.above.iter().map(|above| above * sign).chain([0.0]).collect();
        match (Linear { cost, rows }).solve() {
            Ok(solved) => Ok(Some(solved.cost * sign)),
            Err(Unsolved::Infeasible | Unsolved::Unbounded) => Ok(None),
            Err(other) => Err(other.fault()),
        }
    }

    /// Whether the other end of the same measure has the same number.
    pub fn is_fixed(&self, at: usize) -> bool {
        let limit = &self.limits[at].limit;
        let other_end = |other: &Limit| other.on == limit.on && other.end != limit.end && other.value == limit.value;
        self.limits.iter().any(|row| other_end(&row.limit))
    }

    /// Cement of all kinds in an answer, kg/m³.
    pub fn cement_in(&self, x: &[f64]) -> f64 {
        dot(&self.cement, x)
    }

    /// An answer against every limit, by our own arithmetic.
    pub fn holds(&self, x: &[f64]) -> Result<(), Fault> {
        let volume = dot(&self.litres, x);
        if (volume - self.to_fill).abs() > NOISE * 1000.0 {
            return Err(
                Unsolved::Other(format!("the parts fill {volume:.3} L instead of {:.3} L", self.to_fill)).fault()
            );
        }
        match self.limits.iter().find(|row| row.misses(x) > row.noise(x)) {
            Some(row) => Err(Unsolved::Other(format!("{} is missed", row.limit)).fault()),
            None => Ok(()),
        }
    }

    fn least(&self, cost: Vec<f64>, rows: impl Iterator<Item = Row>) -> Result<Solved, Unsolved> {
        Linear { cost, rows: rows.chain([self.volume()]).collect() }.solve()
    }

    /// The rows of some limits, and of some cement.
    fn concrete(&self, kept: &[usize]) -> impl Iterator<Item = Row> {
        let some_cement = Row { of: self.cement.clone(), sense: Sense::AtLeast, right: SOME_CEMENT };
        kept.iter().map(|i| self.limits[*i].as_wished()).chain([some_cement])
    }

    /// The row that fills the cubic metre.
    fn volume(&self) -> Row {
        Row { of: self.litres.clone(), sense: Sense::Equal, right: self.to_fill }
    }
}

/// Σ aᵢ bᵢ.
pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}
