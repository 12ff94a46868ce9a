//! Trials: one panel mix against another, and the workshop's own line from density to strength.

use quantities::{Density, OvenDry, Pressure};

use crate::{Fault, Source, Worked};

/// By how many per cent of the second strength the first is the greater; both of one age, which is for whoever asks to see to.
pub fn stronger(mine: Pressure, its: Pressure) -> Option<f64> {
    less(mine.mpa(), its.mpa()).map(|less| -less)
}

/// By how many per cent of the second the first is less; nothing where there is nothing to be less than.
pub fn less(mine: f64, its: f64) -> Option<f64> {
    let per_cent = (its - mine) / its * 100.0;
    per_cent.is_finite().then_some(per_cent)
}

/// The fewest trials a line is drawn through.
pub const FEWEST_TRIALS: usize = 5;

/// The workshop's own line from oven-dry density to strength at one age: ln f = a + b d, by least squares. Strength grows
/// about as a power of density, which over a workshop's narrow range is a straight line in ln f.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DensityStrength {
    intercept: f64,
    slope: f64,
    /// Standard deviation of ln f about the line.
    spread: f64,
    trials: usize,
    mean_density: f64,
    /// Σ (d - mean)².
    density_squares: f64,
    range: (f64, f64),
}

/// A strength read off the line, with the interval in which nine new trials of ten fall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expected {
    /// Lower end.
    pub low: Pressure,
    /// Middle (the median, not the mean).
    pub middle: Pressure,
    /// Upper end.
    pub high: Pressure,
}

impl DensityStrength {
    /// The line through trials of one age; at least five, of more than one density and with some strength each.
    pub fn fit(trials: &[(Density<OvenDry>, Pressure)]) -> Result<Self, Fault> {
        let n = trials.len();
        if n < FEWEST_TRIALS {
            let what = format!("trials so far: {n}, too few for a line");
            return Err(Fault::new("/trials", what, format!("record {FEWEST_TRIALS} or more of one age")));
        }
        if trials.iter().any(|(_, strength)| strength.mpa() <= 0.0) {
            return Err(Fault::new("/trials", "a trial without strength is not on any line", "leave it out"));
        }
        let densities: Vec<f64> = trials.iter().map(|(density, _)| density.kg_m3()).collect();
        let logs: Vec<f64> = trials.iter().map(|(_, strength)| strength.mpa().ln()).collect();
        let mean = |values: &[f64]| values.iter().sum::<f64>() / n as f64;
        let (mean_density, mean_log) = (mean(&densities), mean(&logs));
        let density_squares: f64 = densities.iter().map(|d| (d - mean_density).powi(2)).sum();
        if density_squares < 1.0 {
            let what = "all trials have one density, so there is no line";
            return Err(Fault::new("/trials", what, "add trials of other densities"));
        }
        let products: f64 = densities.iter().zip(&logs).map(|(d, f)| (d - mean_density) * (f - mean_log)).sum();
        let slope = products / density_squares;
        let intercept = mean_log - slope * mean_density;
        let misses: f64 = densities.iter().zip(&logs).map(|(d, f)| (f - intercept - slope * d).powi(2)).sum();
        let ends = |pick: fn(f64, f64) -> f64, from: f64| densities.iter().copied().fold(from, pick);
        Ok(Self {
            intercept,
            slope,
            spread: (misses / (n - 2) as f64).sqrt(),
            trials: n,
            mean_density,
            density_squares,
            range: (ends(f64::min, f64::INFINITY), ends(f64::max, 0.0)),
        })
    }

    /// Least and most density tried, kg/m³.
    pub fn range(&self) -> (f64, f64) {
        self.range
    }

    /// Mean density of the trials, kg/m³: where the interval is narrowest.
    pub fn mean_density(&self) -> f64 {
        self.mean_density
    }

    /// How the line came about.
    pub fn worked(&self) -> Vec<Worked> {
        let line = |what: &str, formula, numbers, result, unit| Worked {
            what: what.to_owned(),
            formula,
            numbers,
            result,
            unit,
            source: Source::LEAST_SQUARES,
        };
        let (n, mean) = (self.trials, self.mean_density);
        vec![
            line(
                "slope of the line",
                "b = Σ (d - d̄)(ln f - mean ln f) / Σ (d - d̄)²",
                format!("{n} trials, d̄ = {mean:.1} kg/m³, Σ (d - d̄)² = {:.0}", self.density_squares),
                self.slope,
                "1/(kg/m³)",
            ),
            line(
                "where it begins",
                "a = mean ln f - b d̄",
                format!("{:.4} - {:.6} · {mean:.1}", self.intercept + self.slope * mean, self.slope),
                self.intercept,
                "ln MPa",
            ),
            line(
                "spread about the line",
                "s = √(Σ (ln f - a - b d)² / (n - 2))",
                format!("n - 2 = {}", n - 2),
                self.spread,
                "ln MPa",
            ),
        ]
    }

    /// How a strength read off the line at a density came about.
    pub fn worked_at(&self, density: Density<OvenDry>, expected: &Expected) -> Vec<Worked> {
        let (d, n) = (density.kg_m3(), self.trials);
        let Interval { t, off, .. } = self.interval(d);
        let line = |what: String, formula, numbers, result| Worked {
            what,
            formula,
            numbers,
            result,
            unit: "MPa",
            source: Source::LEAST_SQUARES,
        };
        let middle = format!("{:.4} + {:.6} · {d:.1}", self.intercept, self.slope);
        let half = |sign| format!("f · exp({sign}{t} · {:.4} · √(1 + 1/{n} + {off:.3}))", self.spread);
        vec![
            line(format!("strength at {density}"), "ln f = a + b d", middle, expected.middle.mpa()),
            line(
                "lower end of nine in ten".into(),
                "f exp(-t s √(1 + 1/n + (d - d̄)²/Σ))",
                half('-'),
                expected.low.mpa(),
            ),
            line(
                "upper end of nine in ten".into(),
                "f exp(t s √(1 + 1/n + (d - d̄)²/Σ))",
                half('+'),
                expected.high.mpa(),
            ),
        ]
    }

    /// t s √(1 + 1/n + (d - d̄)² / Σ (d - d̄)²)
    fn interval(&self, d: f64) -> Interval {
        let t = student_95(self.trials - 2);
        let off = (d - self.mean_density).powi(2) / self.density_squares;
        Interval { t, off, half: t * self.spread * (1.0 + 1.0 / self.trials as f64 + off).sqrt() }
    }

    /// Strength at a density within the trials' own range; outside it the line says nothing.
    pub fn at(&self, density: Density<OvenDry>) -> Result<Expected, Fault> {
        let (d, (least, most)) = (density.kg_m3(), self.range);
        if !(least..=most).contains(&d) {
            let what = format!("{density} is outside the {least:.0} to {most:.0} kg/m³ that was tried");
            return Err(Fault::new("/density", what, "make a trial at this density"));
        }
        let half = self.interval(d).half;
        let middle = self.intercept + self.slope * d;
        let strength = |log: f64| Pressure::from_mpa(log.exp()).map_err(|error| Fault::out_of_range("/trials", error));
        Ok(Expected { low: strength(middle - half)?, middle: strength(middle)?, high: strength(middle + half)? })
    }
}

/// The interval in which nine new trials of ten fall about the line at a density, in ln f.
struct Interval {
    /// Student's t.
    t: f64,
    /// How far off the mean density the place is: (d - d̄)² over Σ (d - d̄)².
    off: f64,
    /// Half its width.
    half: f64,
}

/// Student's t at 95 % one-sided (so 90 % two-sided) for 3 degrees of freedom and more (tables of the distribution);
/// between rows the row of fewer degrees, which is on the safe side.
fn student_95(degrees: usize) -> f64 {
    const TABLE: [(usize, f64); 13] = [
        (3, 2.353),
        (4, 2.132),
        (5, 2.015),
        (6, 1.943),
        (7, 1.895),
        (8, 1.860),
        (9, 1.833),
        (10, 1.812),
        (12, 1.782),
        (15, 1.753),
        (20, 1.725),
        (30, 1.697),
        (60, 1.671),
    ];
    TABLE.iter().rev().find(|(row, _)| *row <= degrees).map_or(TABLE[0].1, |(_, t)| *t)
}
