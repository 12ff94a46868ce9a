//! What the decoder is told: which order comes first, and how to go about a day.

use crate::problem::Problem;

/// Which of a panel's mixes is poured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum MixChoice {
    /// The cheapest that may be poured.
    Cheapest,
    /// The cheapest with which the order is still on time, else the soonest ready.
    Timely,
    /// The soonest ready.
    Soonest,
}

/// How to go about a day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Habits {
    /// Which mix is poured.
    pub choice: MixChoice,
    /// Days within which an order's worth falls to a third when its key is later.
    pub patience: f64,
    /// Days: panels that would be ready sooner before their key than this are not worth a batch.
    pub look_ahead: f64,
    /// Least share of a batch that is worth mixing for panels that are not urgent.
    pub least_fill: f64,
    /// Most mixes on a day.
    pub most_mixes: usize,
}

/// Everything that steers one decoding.
#[derive(Clone, Debug, PartialEq)]
pub struct Guide {
    /// By order: the smaller, the sooner it is served. In days from the first day, at first near its due day.
    pub keys: Vec<f64>,
    /// How to go about a day.
    pub habits: Habits,
}

impl Guide {
    /// Orders by due day, sooner by up to a few days where much weight hangs on little work: the key is
    /// due − pull · ln(weight / share of work), which ranks like the apparent tardiness cost (Vepsalainen and Morton, Priority
    /// rules for job shops with weighted tardiness costs, 1987) while orders are not yet late.
    pub fn new(problem: &Problem, standing: &Standing, pull: f64, habits: Habits) -> Self {
        let key = |(ix, order): (usize, &crate::problem::Order)| {
            // An order that can never be whole stands behind all that can.
            let hopeless = if standing.can_be_whole[ix] { 0.0 } else { 2000.0 };
            order.due as f64 - pull * (order.weight.max(1e-3) / standing.share[ix]).ln() + hopeless
        };
        Guide { keys: problem.orders.iter().enumerate().map(key).collect(), habits }
    }

    /// The orders, smallest key first.
    pub fn sequence(&self, sequence: &mut Vec<usize>) {
        sequence.clear();
        sequence.extend(0..self.keys.len());
        sequence.sort_by(|a, b| self.keys[*a].total_cmp(&self.keys[*b]).then(a.cmp(b)));
    }
}

/// Litres an order asks for, plus a little for each panel's handling.
fn work(problem: &Problem, order: usize) -> f64 {
    let litres = |(kind, quantity): &(usize, i64)| {
        let panel = &problem.panels[problem.kinds[*kind].panel];
        *quantity as f64 * (panel.litres + panel.pour_minutes + panel.strip_minutes + panel.lift_minutes)
    };
    problem.orders[order].lines.iter().map(litres).sum()
}

/// What is known of the orders before anything is planned.
#[derive(Clone, Debug)]
pub struct Standing {
    /// By order: its work over the mean of all.
    share: Vec<f64>,
    /// By order: whether each line can be had at all within the horizon, were the order alone.
    can_be_whole: Vec<bool>,
}

impl Standing {
    /// Looks at a problem's orders.
    pub fn of(problem: &Problem) -> Self {
        let work: Vec<f64> = (0..problem.orders.len()).map(|order| work(problem, order)).collect();
        let mean = (work.iter().sum::<f64>() / work.len().max(1) as f64).max(1e-9);
        let mut there: Vec<i64> = problem.kinds.iter().map(|kind| kind.stock).collect();
        problem.lots.iter().for_each(|lot| there[problem.makes[lot.make].kind] += lot.quantity);
        let can_pour = |make: &usize| {
            let m = &problem.makes[*make];
            let moulds = problem.groups[problem.panel_of(*make).group].moulds;
            moulds > 0 && (0..problem.len()).any(|day| m.may_pour[day] && m.ready_soonest[day] < problem.len())
        };
        let poured: Vec<bool> = problem.kinds.iter().map(|kind| kind.makes.iter().any(can_pour)).collect();
        let can = |order: &crate::problem::Order| {
            order.lines.iter().all(|(kind, quantity)| there[*kind] >= *quantity || poured[*kind])
        };
        Standing {
            share: work.iter().map(|work| (work / mean).max(1e-3)).collect(),
            can_be_whole: problem.orders.iter().map(can).collect(),
        }
    }
}

/// The foreman's settings: each a way to rank the orders and a way to go about a day.
pub fn settings(problem: &Problem) -> Vec<Guide> {
    let habits = |choice, patience, look_ahead, least_fill, most_mixes| Habits {
        choice,
        patience,
        look_ahead,
        least_fill,
        most_mixes,
    };
    // Those that win most often come first: a run may have no time for all of them.
    let ways = [
        (4.0, 15.0, 0.7, 99),
        (8.0, 20.0, 0.5, 2),
        (8.0, 400.0, 0.5, 99),
        (15.0, 30.0, 0.9, 99),
        (6.0, 8.0, 0.3, 1),
        (2.5, 10.0, 0.8, 99),
        (8.0, 20.0, 0.8, 3),
        (5.0, 15.0, 0.7, 4),
        (4.0, 20.0, 0.85, 99),
        (6.0, 25.0, 0.7, 5),
    ];
    let pulls = [0.0, 4.0, 10.0, 25.0];
    let standing = Standing::of(problem);
    let mut guides = Vec::new();
    for (patience, look_ahead, least_fill, most_mixes) in ways {
        for choice in [MixChoice::Timely, MixChoice::Soonest] {
            for pull in pulls {
                guides.push(Guide::new(
                    problem,
                    &standing,
                    pull,
                    habits(choice, patience, look_ahead, least_fill, most_mixes),
                ));
            }
        }
    }
    for pull in pulls {
        guides.push(Guide::new(problem, &standing, pull, habits(MixChoice::Timely, 8.0, 5.0, 0.2, 99)));
        guides.push(Guide::new(problem, &standing, pull, habits(MixChoice::Cheapest, 8.0, 40.0, 0.6, 99)));
    }
    guides
}
