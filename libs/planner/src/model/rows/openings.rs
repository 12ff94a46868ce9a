//! Nothing is poured of a mix that is not opened; follows from `batches` for whole numbers, and tightens the relaxation.
//!
//! pour_{k,t} ≤ min(in_service_{g,t}, ordered_κ) · open_{m,t}                                    [panels]

use good_lp::Expression;

use crate::model::{Builder, Variables};
use crate::problem::Problem;

pub(super) fn add(problem: &Problem, variables: &Variables, to: &mut Builder) {
    for (make, pours) in variables.pour.iter().enumerate() {
        let m = &problem.makes[make];
        let service = &problem.groups[problem.panel_of(make).group].in_service;
        for (day, pour) in pours.iter().enumerate() {
            let Some(pour) = pour else { continue };
            if problem.pins[day].iter().any(|pin| pin.0 == make) {
                continue;
            }
            let most = service[day].min(problem.kinds[m.kind].ordered) as f64;
            let open = variables.mix[m.mix][day].open;
            to.row("openings", (Expression::from(*pour) - most * open).leq(0.0));
        }
    }
}
