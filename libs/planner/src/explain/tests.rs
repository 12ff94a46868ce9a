//! What holds an order back is true: with just what it is said to lack, the checker accepts a plan that has it ready on the
//! day said and no other order later than before.

use workshop::documents::plan::LateFigure;
use workshop::documents::{Facts, Plan};

use super::{Binding, Held, gone, held, is_late, stands};
use crate::Change;
use crate::check::check;
use crate::lot;
use crate::plan::write_plan;
use crate::problem::{Problem, validate};
use crate::spare::{Limit, Standing, read_plan};

/// The facts with as much more of what holds an order back as it lacks; none where that cannot be said in facts.
fn enough(facts: &Facts, standing: &Standing, binding: &Binding) -> Option<Facts> {
    let (problem, after) = (standing.problem, gone(standing, &binding.pulled));
    let day = |day: usize| problem.calendar.day(day);
    let mut facts = facts.clone();
    for limit in &binding.limits {
        for lack in after.lacks(*limit, &standing.spare) {
            let change = match limit {
                Limit::Moulds(group) => {
                    Change::Moulds { group: problem.groups[*group].id.clone(), more: lack.most().ceil() as i64 }
                }
                Limit::Tanks => Change::TankRow { tank: problem.tanks[lack.place].id.clone(), mm: lack.most() },
                Limit::Racks => Change::RackRow { rack: problem.racks[lack.place].id.clone(), mm: lack.most() },
                Limit::Mixer => Change::Batches { more: lack.most() as i64 },
                Limit::Labour => {
                    let minutes = |(at, minutes): &(usize, f64)| Change::Overtime { day: day(*at), minutes: *minutes };
                    lack.days.iter().for_each(|row| facts = minutes(row).applied(&facts));
                    continue;
                }
                Limit::Material(ix) => {
                    let m = facts.materials.iter_mut().find(|m| m.id == problem.materials[*ix].id)?;
                    m.expected
                        .push(workshop::documents::facts::Expected { day: day(lack.days[0].0), quantity: lack.most() });
                    continue;
                }
                Limit::Cold | Limit::Pins => continue,
            };
            facts = change.applied(&facts);
        }
        match limit {
            Limit::Material(ix) if problem.materials[*ix].store_max.is_some() => return None,
            Limit::Cold => facts.mixes.iter_mut().for_each(|mix| mix.not_on.clear()),
            Limit::Pins => facts.pinned.clear(),
            _ => {}
        }
    }
    Some(facts)
}

fn with(problem: &Problem, standing: &Standing, order: usize, binding: &Binding) -> Result<Plan, String> {
    let mut then = standing.clone();
    then.take(order, binding.freed, &binding.pulled);
    write_plan(problem, &then.schedule, &then.ready, LateFigure::OrderDaysLate).map_err(|short| short.sentence(problem))
}

#[test]
fn what_an_order_lacks_is_all_that_it_lacks() {
    let (mut looked_into, mut tried, mut kinds) = (0, 0, std::collections::BTreeMap::new());
    for seed in 0..900 {
        let facts = lot::facts(seed);
        let limits = crate::Limits::counted(20, 0, 1);
        let Ok(outcome) = crate::run(&facts, &limits, &|| 0.0, &mut |_| {}) else { continue };
        let problem = validate(&facts).unwrap();
        let read = read_plan(&problem, &outcome.plan);
        let standing = stands(&problem, read.schedule, &read.ready, LateFigure::OrderDaysLate);
        for order in (0..problem.orders.len()).filter(|order| is_late(&standing, *order)) {
            looked_into += 1;
            let Held::By(binding) = held(&standing, order) else { continue };
            assert!(binding.freed < standing.ready[order]);
            let Some(changed) = enough(&facts, &standing, &binding) else { continue };
            let problem = validate(&changed).unwrap();
            let id = &problem.orders[order].id;
            let plan = with(&problem, &standing, order, &binding)
                .unwrap_or_else(|short| panic!("{seed} {id} {:?}: {short}", binding.limits));
            let verdict = check(&changed, &plan);
            assert!(verdict.holds(), "{seed} {id} {:?}: {:?}", binding.limits, verdict.broken);
            for (ix, o) in problem.orders.iter().enumerate() {
                let now = plan.orders.iter().find(|result| result.id == o.id).unwrap().ready_on;
                let by = if ix == order { binding.freed } else { standing.ready[ix] };
                let kept = by >= problem.len() || now.is_some_and(|now| now <= problem.calendar.day(by.max(o.due_ix)));
                assert!(kept, "{seed} {id}: {} is ready on {now:?}", o.id);
            }
            tried += 1;
            binding.limits.iter().for_each(|limit| *kinds.entry(name(*limit)).or_insert(0) += 1);
        }
    }
    println!("{looked_into} late orders, {tried} tried: {kinds:?}");
    assert!(tried > 100 && kinds.len() == 8 && kinds.values().all(|count| *count >= 2), "{tried} {kinds:?}");
}

fn name(limit: Limit) -> &'static str {
    match limit {
        Limit::Material(_) => "material",
        Limit::Cold => "cold",
        Limit::Moulds(_) => "moulds",
        Limit::Tanks => "tanks",
        Limit::Racks => "racks",
        Limit::Mixer => "mixer",
        Limit::Labour => "labour",
        Limit::Pins => "pins",
    }
}
