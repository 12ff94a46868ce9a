//! Reasons in plain words.

use workshop::documents::explanation::Cause;

use super::held::Binding;
use crate::problem::{DayIx, KindIx, Order, Problem};
use crate::short::{amount, tidy};
use crate::spare::{Lack, Limit, Spare, Standing};

/// Why an order is late.
pub(super) struct Reason {
    pub cause: Cause,
    /// The kind it waits for.
    pub kind: Option<KindIx>,
    pub words: String,
    /// Material, first day and quantity.
    pub short: Option<(usize, DayIx, f64)>,
    /// Day it would be whole without what holds it back.
    pub freed: Option<DayIx>,
}

impl Reason {
    pub fn new(cause: Cause, kind: Option<KindIx>, words: impl Into<String>) -> Self {
        Reason { cause, kind, words: words.into(), short: None, freed: None }
    }
}

/// An order, how late it is, and why.
pub(super) fn sentence(
    problem: &Problem,
    order: &Order,
    kind: KindIx,
    ready: DayIx,
    days_late: i64,
    words: &str,
) -> String {
    let (finish, panel) = (&problem.kinds[kind].finish_name, &problem.panels[problem.kinds[kind].panel].id);
    if ready < problem.len() {
        let (day, late) = (problem.calendar.day(ready), counted(days_late, "day", "days"));
        return format!(
            "order \"{}\" is {late} late: panel \"{panel}\" in \"{finish}\" comes last, on {day}; {words}",
            order.id
        );
    }
    format!(
        "order \"{}\" is not ready by the last day: panel \"{panel}\" in \"{finish}\" is missing; {words}",
        order.id
    )
}

/// What holds it back, and how much more of it would do: `after` is what would be left, or missing.
pub(super) fn held_by(standing: &Standing, binding: &Binding, after: &Spare) -> String {
    let told = Told { standing, binding, after };
    let heads: Vec<String> = binding.limits.iter().map(|limit| told.head(*limit)).collect();
    let needs: Vec<String> = binding.limits.iter().map(|limit| told.need(*limit)).collect();
    let one = matches!(binding.limits[..], [Limit::Material(_) | Limit::Mixer | Limit::Pins]);
    let hold = if one { "holds" } else { "hold" };
    let together = if binding.limits.len() > 1 { " together" } else { "" };
    let day = standing.problem.calendar.day(binding.freed);
    if let [Limit::Moulds(group)] = binding.limits[..]
        && standing.problem.groups[group].in_service.iter().all(|moulds| *moulds == 0)
    {
        let id = &standing.problem.groups[group].id;
        return format!("there is no mould of group \"{id}\": with {} it would be ready on {day}", and(&needs));
    }
    format!("{} {hold} it back{together}: with {} it would be ready on {day}", and(&heads), and(&needs))
}

struct Told<'a> {
    standing: &'a Standing<'a>,
    binding: &'a Binding,
    after: &'a Spare<'a>,
}

impl Told<'_> {
    fn problem(&self) -> &Problem {
        self.standing.problem
    }

    fn head(&self, limit: Limit) -> String {
        match limit {
            Limit::Material(ix) => format!("material \"{}\"", self.problem().materials[ix].id),
            Limit::Cold => "days on which its mix may not be poured".to_owned(),
            Limit::Moulds(group) => format!("the moulds of group \"{}\"", self.problem().groups[group].id),
            Limit::Tanks => "the tanks".to_owned(),
            Limit::Racks => "the racks".to_owned(),
            Limit::Mixer => "the mixer".to_owned(),
            Limit::Labour => "the hours".to_owned(),
            Limit::Pins => "a pinned pour".to_owned(),
        }
    }

    fn need(&self, limit: Limit) -> String {
        let lacks = self.after.lacks(limit, &self.standing.spare);
        match limit {
            Limit::Material(ix) => self.material(ix, lacks.first()),
            Limit::Cold => self.poured("poured", |trail| {
                trail.poured.is_some_and(|day| !self.problem().makes[trail.make].may_pour[day])
            }),
            Limit::Pins => self.poured("poured beside what is pinned", |trail| {
                trail.poured.is_some_and(|day| self.problem().pins[day].iter().any(|pin| pin.0 == trail.make))
            }),
            Limit::Moulds(group) => {
                let id = &self.problem().groups[group].id;
                format!("{} of group \"{id}\"", self.most(&lacks, "mould more", "moulds more"))
            }
            Limit::Tanks => self.rooms("tank", &lacks, &self.problem().tanks),
            Limit::Racks => self.rooms("rack", &lacks, &self.problem().racks),
            Limit::Mixer => self.by_day(&lacks, "batch more", "batches more"),
            Limit::Labour => self.by_day(&lacks, "minute more", "minutes more"),
        }
    }

    fn material(&self, ix: usize, lack: Option<&Lack>) -> String {
        let material = &self.problem().materials[ix];
        match lack {
            Some(lack) => {
                let (day, most) = (self.problem().calendar.day(lack.days[0].0), amount(material, lack.most()));
                format!("{most} more by {day}")
            }
            None => "more room for it in the store".to_owned(),
        }
    }

    fn most(&self, lacks: &[Lack], one: &str, more: &str) -> String {
        let most = lacks.iter().map(Lack::most).fold(0.0, f64::max);
        counted(most.ceil() as i64, one, more)
    }

    fn rooms(&self, noun: &str, lacks: &[Lack], rooms: &[crate::problem::Room]) -> String {
        let room = |lack: &Lack| format!("{} mm more row in {noun} \"{}\"", tidy(lack.most()), rooms[lack.place].id);
        if lacks.is_empty() { format!("more {noun} row") } else { and(&lacks.iter().map(room).collect::<Vec<_>>()) }
    }

    fn by_day(&self, lacks: &[Lack], one: &str, more: &str) -> String {
        let days: Vec<(DayIx, f64)> = lacks.iter().flat_map(|lack| lack.days.iter().copied()).collect();
        let sum: f64 = days.iter().map(|day| day.1).sum();
        let quantity = if (sum - 1.0).abs() < 1e-6 { format!("1 {one}") } else { format!("{} {more}", tidy(sum)) };
        match days[..] {
            [] => more.to_owned(),
            [(day, _)] => format!("{quantity} on {}", self.problem().calendar.day(day)),
            [(first, _), ..] => {
                format!("{quantity} over {} days from {}", days.len(), self.problem().calendar.day(first))
            }
        }
    }

    /// What would be poured on days on which it may not be.
    fn poured(&self, how: &str, is: impl Fn(&crate::spare::Trail) -> bool) -> String {
        let problem = self.problem();
        let mut poured: Vec<(DayIx, usize)> = self
            .binding
            .pulled
            .added
            .iter()
            .filter(|trail| is(trail))
            .filter_map(|trail| Some((trail.poured?, problem.makes[trail.make].mix)))
            .collect();
        poured.sort_unstable();
        poured.dedup();
        let one = |(day, mix): &(DayIx, usize)| {
            format!("mix \"{}\" {how} on {}", problem.mixes[*mix].id, problem.calendar.day(*day))
        };
        and(&poured.iter().map(one).collect::<Vec<_>>())
    }
}

fn counted(count: i64, one: &str, more: &str) -> String {
    if count == 1 { format!("1 {one}") } else { format!("{count} {more}") }
}

/// One, two and three.
pub(crate) fn and(parts: &[String]) -> String {
    match parts {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}
