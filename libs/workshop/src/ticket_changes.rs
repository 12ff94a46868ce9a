//! What became of a ticket after it was issued, thing by thing: as it was, and as it is. Nothing of it is ever lost.

use crate::said::Said;
use crate::tickets::{Mixing, Ticket, TicketState};

/// One thing of a ticket that is otherwise than before.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Changed {
    /// Which thing, by its name in the contract; of a line, `lines/POSITION/actual`.
    pub what: String,
    /// As it was; none where nothing was said of it. Of a line that was not mixed yet, its target.
    pub before: Option<String>,
    /// As it is.
    pub after: Option<String>,
}

/// The same as it was written down.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TicketChange {
    /// Its number; later changes have greater ones.
    pub id: i64,
    /// What was changed.
    pub changed: Changed,
    /// What was noted with it: why it was voided, for one.
    pub note: Option<String>,
    /// Who said so, and when.
    pub said: Said,
}

/// Everything of a ticket that is otherwise than before, its state first.
pub fn changes(old: &Ticket, new: &Ticket) -> Vec<Changed> {
    let mut pairs = vec![("state".to_owned(), Some(state(old.state).to_owned()), Some(state(new.state).to_owned()))];
    let densities = (old.measured_wet_density_kg_m3, new.measured_wet_density_kg_m3);
    pairs.push(("measured_wet_density_kg_m3".to_owned(), text(densities.0), text(densities.1)));
    pairs.extend(old.lines.iter().zip(&new.lines).map(|(was, is)| {
        let amount = |line: &crate::tickets::TicketLine| Some(line.actual.unwrap_or(line.target).get().to_string());
        (format!("lines/{}/actual", was.position), amount(was), amount(is))
    }));
    let (was, is) = (noted(&old.mixing), noted(&new.mixing));
    pairs.extend(was.into_iter().zip(is).map(|((what, was), (_, is))| (what.to_owned(), was, is)));
    pairs.push(("note".to_owned(), old.note.clone(), new.note.clone()));
    let otherwise = pairs.into_iter().filter(|(_, before, after)| before != after);
    otherwise.map(|(what, before, after)| Changed { what, before, after }).collect()
}

/// What was noted at the mixer, in words; whose name stands beside it is told with each change.
fn noted(mixing: &Mixing) -> [(&'static str, Option<String>); 7] {
    let moment =
        |at: Option<chrono::DateTime<chrono::Utc>>| at.map(|at| at.format("%Y-%m-%dT%H:%M:%S%.fZ").to_string());
    [
        ("air_c", text(mixing.air_c)),
        ("mix_c", text(mixing.mix_c)),
        ("water_added_ml", text(mixing.water_added.map(|ml| ml.get()))),
        ("left_over_ml", text(mixing.left_over.map(|ml| ml.get()))),
        ("left_over_to", mixing.left_over_to.clone()),
        ("began_at", moment(mixing.began_at)),
        ("ended_at", moment(mixing.ended_at)),
    ]
}

fn text(value: Option<impl ToString>) -> Option<String> {
    value.map(|value| value.to_string())
}

const fn state(state: TicketState) -> &'static str {
    match state {
        TicketState::Issued => "issued",
        TicketState::Mixed => "mixed",
        TicketState::Void => "void",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Amount;
    use crate::ids::MaterialId;

    fn of(old: &Ticket, new: &Ticket) -> Vec<(String, Option<String>, Option<String>)> {
        changes(old, new).into_iter().map(|c| (c.what, c.before, c.after)).collect()
    }

    fn row(what: &str, before: Option<&str>, after: Option<&str>) -> (String, Option<String>, Option<String>) {
        (what.to_owned(), before.map(str::to_owned), after.map(str::to_owned))
    }

    #[test]
    fn what_became_of_a_ticket_is_told_thing_by_thing() {
        let (cement, sand) = (MaterialId::parse("cement").unwrap(), MaterialId::parse("sand").unwrap());
        let issued = crate::planning::example::ticket("2026-05-04", &[(&cement, 9_920), (&sand, 12_000)]);
        assert_eq!(of(&issued, &issued), []);
        let mut mixed = Ticket { state: TicketState::Mixed, note: Some("stirred twice".into()), ..issued.clone() };
        mixed.measured_wet_density_kg_m3 = Some(955.5);
        mixed.mixing.mix_c = Some(17.5);
        mixed.lines.iter_mut().for_each(|line| line.actual = Some(line.target));
        mixed.lines[0].actual = Some(Amount::new(10_000));
        let position = mixed.lines[0].position;
        let expected = [
            row("state", Some("issued"), Some("mixed")),
            row("measured_wet_density_kg_m3", None, Some("955.5")),
            row(&format!("lines/{position}/actual"), Some("9920"), Some("10000")),
            row("mix_c", None, Some("17.5")),
            row("note", None, Some("stirred twice")),
        ];
        assert_eq!(of(&issued, &mixed), expected, "a line that used its target is as it was to be");
        let void = Ticket { state: TicketState::Void, note: Some("rain".into()), ..mixed.clone() };
        let lost = [row("state", Some("mixed"), Some("void")), row("note", Some("stirred twice"), Some("rain"))];
        assert_eq!(of(&mixed, &void), lost, "the note it had is kept here");
    }
}
