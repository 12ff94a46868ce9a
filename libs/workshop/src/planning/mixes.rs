//! Mix revisions as facts. New pours use the newest revision in use of each mix; others are told of only where panels
//! poured from them are still on the way.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate as Day;

use super::draws::{Materials, per_litre};
use super::horizon::Horizon;
use super::{Snapshot, WorkCalendar, days};
use crate::catalogue::{Mix, MixRevision, RevisionState};
use crate::documents::facts;
use crate::fault::Fault;
use crate::ids::{MixId, RevisionId};
use crate::lots::Stage;

/// The newest revision in use of each mix.
pub(super) fn pourable(snapshot: &Snapshot) -> BTreeSet<RevisionId> {
    let mut newest: BTreeMap<&MixId, &RevisionId> = BTreeMap::new();
    for revision in snapshot.revisions.iter().filter(|r| r.state == RevisionState::InUse) {
        let best = newest.entry(&revision.id.mix).or_insert(&revision.id);
        *best = (*best).max(&revision.id);
    }
    newest.into_values().cloned().collect()
}

/// Those that may be poured, and those of lots on their way.
pub(super) fn in_play(snapshot: &Snapshot) -> BTreeSet<RevisionId> {
    let on_the_way = snapshot.lots.iter().filter(|l| l.stage != Stage::Ready).map(|l| &l.revision);
    let mixed_today = snapshot.tickets.iter().map(|t| &t.revision);
    pourable(snapshot).into_iter().chain(on_the_way.chain(mixed_today).cloned()).collect()
}

pub(super) fn table(
    snapshot: &Snapshot,
    calendar: &WorkCalendar,
    horizon: Horizon,
    faults: &mut Vec<Fault>,
) -> Vec<facts::Mix> {
    let materials = snapshot.materials_by_id();
    let mixes: BTreeMap<&MixId, &Mix> = snapshot.mixes.iter().map(|m| (&m.id, m)).collect();
    let wanted = in_play(snapshot);
    let mut table = Vec::new();
    for revision in snapshot.revisions.iter().filter(|r| wanted.contains(&r.id)) {
        match one(revision, snapshot, &mixes, &materials, calendar, horizon) {
            Ok(mix) => table.push(mix),
            Err(found) => faults.extend(found),
        }
    }
    table.sort_by(|a, b| a.id.cmp(&b.id));
    table
}

fn one(
    revision: &MixRevision,
    snapshot: &Snapshot,
    mixes: &BTreeMap<&MixId, &Mix>,
    materials: &Materials,
    calendar: &WorkCalendar,
    horizon: Horizon,
) -> Result<facts::Mix, Vec<Fault>> {
    let place = format!("/revisions/{}", revision.id);
    let missing = |what: &str| vec![Fault::at(place.clone(), format!("{what} of {} is not there", revision.id))];
    let mix = mixes.get(&revision.id.mix).ok_or_else(|| missing("the mix"))?;
    let hold = snapshot.holds.get(&revision.id).ok_or_else(|| missing("the hold in the mould"))?;
    let cold = too_cold(revision, snapshot, calendar);
    let told = |day: Day| day < horizon.first || (horizon.contains(day) && calendar.works_on(day));
    Ok(facts::Mix {
        id: revision.id.to_string(),
        finish: mix.finish.to_string(),
        per_litre: per_litre(revision, materials)?.into_iter().map(|(id, amount)| (id.to_string(), amount)).collect(),
        batch_litres_min: litres(revision.batch_min),
        batch_litres_max: litres(revision.batch_max),
        batch_minutes: revision.batch_minutes.get() as f64,
        washout_litres: litres(revision.washout),
        washout_minutes: revision.washout_minutes.get() as f64,
        // A workshop keeps no price of them: its hours are paid anyway.
        washout_price: 0.0,
        washout_price_on: BTreeMap::new(),
        hold_days: hold.usual,
        hold_days_on: hold.on.iter().filter(|(d, n)| **n != hold.usual && told(**d)).map(|(d, n)| (*d, *n)).collect(),
        soak_days: revision.soak_days,
        dry_days: revision.dry_days,
        not_on: days(horizon.first, horizon.last).filter(|day| calendar.works_on(*day) && cold(*day)).collect(),
    })
}

/// Whether a day is expected colder than the revision may be poured at.
pub(super) fn too_cold<'a>(
    revision: &MixRevision,
    snapshot: &Snapshot,
    calendar: &'a WorkCalendar,
) -> impl Fn(Day) -> bool + 'a {
    let least = revision.least_air_c.unwrap_or(snapshot.workshop.least_air_c);
    move |day| calendar.air_c(day) < least
}

/// Ledger millilitres as litres.
pub(super) fn litres(volume: quantities::Millilitres) -> f64 {
    volume.get() as f64 / 1000.0
}
