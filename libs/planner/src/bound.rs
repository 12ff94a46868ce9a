//! A bound that needs no model: each order as if it were alone in the workshop.

use workshop::documents::plan::LateFigure;

use crate::problem::{DayIx, KindIx, Order, Problem};

/// Σ weight × days late of each order, had it all stock and lots to itself, no queue before it in moulds, tanks and racks, and
/// labour and mixer without end. No plan can have less, because every restriction dropped is one every plan keeps.
pub(crate) fn each_alone(problem: &Problem, figure: LateFigure) -> f64 {
    alone(problem, figure).into_iter().sum()
}

/// By order: weight × days late, had it everything to itself.
pub(crate) fn alone(problem: &Problem, figure: LateFigure) -> Vec<f64> {
    let soonest: Vec<Supply> = (0..problem.kinds.len()).map(|kind| Supply::of(problem, kind)).collect();
    let of_order = |order: &Order| {
        let late = |day: DayIx| problem.days_late(order, day) as f64;
        match figure {
            LateFigure::OrderDaysLate => {
                let line = |(kind, quantity): &(KindIx, i64)| soonest[*kind].by(*quantity);
                order.weight * late(order.lines.iter().map(line).max().unwrap_or(0))
            }
            LateFigure::PanelDaysLate => {
                let line = |(kind, quantity): &(KindIx, i64)| soonest[*kind].late(*quantity, late);
                order.weight * order.lines.iter().map(line).sum::<f64>()
            }
        }
    };
    problem.orders.iter().map(of_order).collect()
}

/// The soonest a kind can be had at all.
struct Supply {
    /// Day and panels, in order: stock and lots that never wait.
    coming: Vec<(DayIx, i64)>,
    /// First day a panel poured can be ready.
    poured: DayIx,
}

impl Supply {
    fn of(problem: &Problem, kind: KindIx) -> Self {
        let mut coming = vec![(0, problem.kinds[kind].stock)];
        for lot in problem.lots.iter().filter(|lot| problem.makes[lot.make].kind == kind) {
            coming.push((problem.soonest(lot), lot.quantity));
        }
        coming.sort_unstable();
        let of_make = |make: &usize| {
            let (m, group) = (&problem.makes[*make], problem.panel_of(*make).group);
            let can = |day: &usize| m.may_pour[*day] && problem.groups[group].in_service[*day] > 0;
            (0..problem.len()).filter(can).map(|day| m.ready_soonest[day]).min()
        };
        let poured = problem.kinds[kind].makes.iter().filter_map(of_make).min().unwrap_or(problem.len());
        Supply { coming, poured }
    }

    /// Day by which so many can be ready.
    fn by(&self, quantity: i64) -> DayIx {
        let mut left = quantity;
        for (day, panels) in &self.coming {
            if *day >= self.poured {
                break;
            }
            left -= panels;
            if left <= 0 {
                return *day;
            }
        }
        self.poured
    }

    /// Σ of `late` over so many panels, the soonest first.
    fn late(&self, quantity: i64, late: impl Fn(DayIx) -> f64) -> f64 {
        let (mut left, mut sum) = (quantity, 0.0);
        for (day, panels) in self.coming.iter().take_while(|(day, _)| *day < self.poured) {
            let taken = left.min(*panels);
            sum += taken as f64 * late(*day);
            left -= taken;
        }
        sum + left as f64 * late(self.poured)
    }
}
