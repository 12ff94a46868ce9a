//! A claim once met stays met.
//!
//! met_{c,t−1} ≤ met_{c,t}                                                                       [whole orders, or shares of a line]

use good_lp::Expression;

use crate::model::{Builder, Variables};
use crate::problem::Problem;

pub(super) fn add(_: &Problem, variables: &Variables, to: &mut Builder) {
    for (_, days) in &variables.met {
        for pair in days.windows(2) {
            to.row("orders", (Expression::from(pair[0]) - pair[1]).leq(0.0));
        }
    }
}
