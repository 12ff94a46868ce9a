//! The day's tickets, decided from the plan in force and the catalogue. No clock, no database: same input, same tickets.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate as Day, Utc};
use mix::{CautionFacts, cautions};
use quantities::rounding::to_millilitres_half_even;
use quantities::{Mass, Millilitres, Minutes, Volume};
use workshop::catalogue::{Finish, MIDDLING_DARKNESS, Material, MaterialKind, Mix, MixRevision, Panel, RevisionState};
use workshop::documents::Plan;
use workshop::fault::Fault;
use workshop::ids::{PanelId, RevisionId, RunId, TicketNumber};
use workshop::planning::draws::{Materials, has_kind, is_rapid};
use workshop::site::Workshop;
use workshop::tickets::{Fill, Ticket, TicketState};

use super::allot::{Part, Piece, allot};
use super::weigh::{Weighed, per_panel, weigh};

/// All that the day's tickets are decided from.
#[derive(Clone, Copy, Debug)]
pub struct Inputs<'a> {
    /// The day.
    pub day: Day,
    /// When they are issued.
    pub issued_at: DateTime<Utc>,
    /// The run whose plan is in force.
    pub run: RunId,
    /// That plan.
    pub plan: &'a Plan,
    /// The workshop: its scale and its lifting limit.
    pub workshop: &'a Workshop,
    /// All materials.
    pub materials: &'a [Material],
    /// All mix revisions.
    pub revisions: &'a [MixRevision],
    /// All mixes: each gives one finish.
    pub mixes: &'a [Mix],
    /// All finishes: how dark they are.
    pub finishes: &'a [Finish],
    /// All panels.
    pub panels: &'a [Panel],
}

/// One ticket for each batch of the day, in mixing order: mix by mix, so that each mix costs one washout; mixes of Portland cement
/// before those of rapid-setting cement, which set at once when they meet; among these pale finishes before dark ones, so that
/// no remains of a pigment show in a paler panel (common practice, no source).
///
/// # Errors
/// Everything the plan names that the catalogue does not have, and every mass that cannot be worked out.
pub fn decide_tickets(inputs: &Inputs) -> Result<Vec<Ticket>, Vec<Fault>> {
    let catalogue = Catalogue::of(inputs);
    let mut faults = Vec::new();
    let mut tickets: Vec<Ticket> = Vec::new();
    let loads = catalogue.loads(&mut faults);
    for (at, load) in loads.iter().enumerate() {
        match catalogue.tickets(load, tickets.len(), loads.get(at + 1)) {
            Ok(more) => tickets.extend(more),
            Err(found) => faults.extend(found),
        }
    }
    faults.sort();
    faults.dedup();
    if faults.is_empty() { Ok(tickets) } else { Err(faults) }
}

/// All batches of one mix on the day.
struct MixLoad<'a> {
    revision: &'a MixRevision,
    rapid: bool,
    batches: Vec<Millilitres>,
    pieces: Vec<Piece>,
}

struct Catalogue<'a> {
    inputs: &'a Inputs<'a>,
    materials: Materials<'a>,
    revisions: BTreeMap<String, &'a MixRevision>,
    panels: BTreeMap<&'a str, &'a Panel>,
    both_cements: bool,
}

impl<'a> Catalogue<'a> {
    fn of(inputs: &'a Inputs) -> Self {
        let materials: Materials = inputs.materials.iter().map(|m| (&m.id, m)).collect();
        let revisions: BTreeMap<String, &MixRevision> =
            inputs.revisions.iter().map(|r| (r.id.to_string(), r)).collect();
        let today = inputs.plan.batches.iter().filter(|b| b.day == inputs.day);
        let rapid: Vec<bool> = today.filter_map(|b| revisions.get(&b.mix)).map(|r| is_rapid(r, &materials)).collect();
        Self {
            inputs,
            both_cements: rapid.contains(&true) && rapid.contains(&false),
            panels: inputs.panels.iter().map(|p| (p.id.as_str(), p)).collect(),
            revisions,
            materials,
        }
    }

    /// What is mixed today, in mixing order; equal rows of the plan together.
    fn loads(&self, faults: &mut Vec<Fault>) -> Vec<MixLoad<'a>> {
        let mut batches: BTreeMap<RevisionId, Vec<Millilitres>> = BTreeMap::new();
        for planned in self.inputs.plan.batches.iter().filter(|b| b.day == self.inputs.day) {
            let Some(revision) = self.revisions.get(&planned.mix) else {
                faults.push(Fault::at(
                    format!("/batches/{}", planned.mix),
                    format!("the plan mixes '{}', which the catalogue does not have: plan again", planned.mix),
                ));
                continue;
            };
            if revision.state == RevisionState::Retired {
                faults.push(Fault::at(
                    format!("/batches/{}", planned.mix),
                    format!("the plan mixes '{}', which has been retired since: plan again", planned.mix),
                ));
                continue;
            }
            batches.entry(revision.id.clone()).or_default().extend(planned.litres.iter().map(|l| whole_ml(*l)));
        }
        let mut loads = Vec::new();
        for (id, batches) in batches {
            if let Some(revision) = self.revisions.get(&id.to_string()) {
                let pieces = self.pieces(&id, faults);
                loads.push(MixLoad { revision, rapid: is_rapid(revision, &self.materials), batches, pieces });
            }
        }
        loads.sort_by_key(|load| (load.rapid, self.darkness(load.revision)));
        loads
    }

    /// How dark the finish of a revision's mix is, 0 to 100.
    fn darkness(&self, revision: &MixRevision) -> i64 {
        let mix = self.inputs.mixes.iter().find(|mix| mix.id == revision.id.mix);
        let finish = mix.and_then(|mix| self.inputs.finishes.iter().find(|finish| finish.id == mix.finish));
        finish.map_or(MIDDLING_DARKNESS, |finish| finish.darkness)
    }

    /// The panels poured from a mix today, one by one, in the order of panel ids.
    fn pieces(&self, mix: &RevisionId, faults: &mut Vec<Fault>) -> Vec<Piece> {
        let mix = mix.to_string();
        let mut quantities: BTreeMap<&str, i64> = BTreeMap::new();
        for pour in self.inputs.plan.pours.iter().filter(|p| p.day == self.inputs.day && p.mix == mix) {
            *quantities.entry(&pour.panel).or_default() += pour.quantity;
        }
        let mut pieces = Vec::new();
        for (id, quantity) in quantities {
            let Some(panel) = self.panels.get(id) else {
                let detail = format!("the plan pours '{id}', which the catalogue does not have: plan again");
                faults.push(Fault::at(format!("/pours/{id}"), detail));
                continue;
            };
            let piece = Piece { panel: panel.id.clone(), volume: panel.concrete().get() };
            pieces.extend((0..quantity).map(|_| piece.clone()));
        }
        pieces
    }

    fn tickets(&self, load: &MixLoad, before: usize, next: Option<&MixLoad>) -> Result<Vec<Ticket>, Vec<Fault>> {
        let volumes: Vec<i64> = load.batches.iter().map(|b| b.get()).collect();
        let allotted = allot(&load.pieces, &volumes, load.rapid);
        let mut faults = Vec::new();
        let mut tickets = Vec::new();
        for (at, (batch, parts)) in load.batches.iter().zip(&allotted.batches).enumerate() {
            let is_last = at + 1 == load.batches.len();
            let washout = if is_last { load.revision.washout } else { Millilitres::ZERO };
            match self.ticket(load, *batch, washout, parts) {
                Ok(mut ticket) => {
                    let sequence = u32::try_from(before + at + 1).unwrap_or(u32::MAX);
                    ticket.number = TicketNumber { day: self.inputs.day, sequence };
                    if is_last {
                        ticket.labour += load.revision.washout_minutes;
                        ticket.cautions.extend(wash_before(load, next));
                    }
                    tickets.push(ticket);
                }
                Err(found) => faults.extend(found),
            }
        }
        if faults.is_empty() { Ok(tickets) } else { Err(faults) }
    }

    fn ticket(
        &self,
        load: &MixLoad,
        batch: Millilitres,
        washout: Millilitres,
        parts: &[Part],
    ) -> Result<Ticket, Vec<Fault>> {
        let revision = load.revision;
        let weighed = weigh(revision, batch + washout, self.inputs.workshop.scale_resolution, &self.materials)?;
        let fills = self.fills(parts);
        let pours: i64 = fills.iter().map(|f| f.finished * self.minutes_to_pour(&f.panel)).sum();
        let mut ticket = Ticket {
            number: TicketNumber { day: self.inputs.day, sequence: 1 },
            run: self.inputs.run,
            revision: revision.id.clone(),
            batch,
            washout,
            foam: weighed.foam,
            foam_mass: weighed.foam_mass,
            wet_density_kg_m3: revision.wet_density_kg_m3,
            wet_density_low_kg_m3: revision.wet_density_low_kg_m3,
            wet_density_high_kg_m3: revision.wet_density_high_kg_m3,
            labour: revision.batch_minutes + Minutes::new(pours),
            cautions: self.cautions(load, washout, &weighed, parts),
            lines: weighed.lines,
            fills,
            state: TicketState::Issued,
            issued_at: self.inputs.issued_at,
            closed_at: None,
            measured_wet_density_kg_m3: None,
            note: None,
            mixing: Default::default(),
        };
        ticket.lines.extend(self.per_panel(parts)?);
        ticket.lines.iter_mut().zip(1..).for_each(|(line, position)| line.position = position);
        Ok(ticket)
    }

    /// One fill for each panel, in the order of panel ids.
    fn fills(&self, parts: &[Part]) -> Vec<Fill> {
        let mut fills: BTreeMap<&PanelId, Fill> = BTreeMap::new();
        for part in parts {
            let Some(panel) = self.panels.get(part.panel.as_str()) else { continue };
            let fill = fills.entry(&part.panel).or_insert_with(|| Fill {
                panel: part.panel.clone(),
                mould_group: panel.mould_group.clone(),
                finished: 0,
                begun: Millilitres::ZERO,
                volume: Millilitres::ZERO,
                moulds: vec![],
            });
            fill.volume += Millilitres::new(part.volume);
            match part.finishes {
                true => fill.finished += 1,
                false => fill.begun += Millilitres::new(part.volume),
            }
        }
        fills.into_values().collect()
    }

    fn minutes_to_pour(&self, panel: &PanelId) -> i64 {
        self.panels.get(panel.as_str()).map_or(0, |p| p.pour_minutes.get())
    }

    /// Mesh, oil and the like: with the batch that begins a panel, since they are in the mould before the concrete.
    fn per_panel(&self, parts: &[Part]) -> Result<Vec<workshop::tickets::TicketLine>, Vec<Fault>> {
        let mut begun: BTreeMap<&PanelId, i64> = BTreeMap::new();
        parts.iter().filter(|p| p.begins).for_each(|p| *begun.entry(&p.panel).or_default() += 1);
        let mut lines: Vec<workshop::tickets::TicketLine> = Vec::new();
        for (id, quantity) in begun {
            let Some(panel) = self.panels.get(id.as_str()) else { continue };
            for line in per_panel(panel, quantity, &self.materials).map_err(|fault| vec![fault])? {
                match lines.iter_mut().find(|l| l.material == line.material) {
                    Some(same) => same.target = same.target + line.target,
                    None => lines.push(line),
                }
            }
        }
        Ok(lines)
    }

    /// What applies to this load, from the mix library, and what this day asks for besides.
    fn cautions(&self, load: &MixLoad, washout: Millilitres, weighed: &Weighed, parts: &[Part]) -> Vec<String> {
        use MaterialKind as Kind;
        let has = |wanted: fn(Kind) -> bool| has_kind(load.revision, &self.materials, wanted);
        let facts = CautionFacts {
            cement: has(|k| matches!(k, Kind::PortlandCement | Kind::BlendedCement | Kind::RapidCement)),
            silica: has(|k| matches!(k, Kind::Aggregate | Kind::LightweightAggregate)),
            rapid_cement: load.rapid || self.both_cements,
            foam: load.revision.foam.is_some(),
            pressure_generator: load.revision.foam.is_some(),
            powered_mixer: true,
            wet_panel_and_limit: self.heaviest(load, parts),
            tank: false,
            open_water: true,
            washout: washout > Millilitres::ZERO,
            holds_soil: false,
        };
        let mut said: Vec<String> =
            cautions(&facts).into_iter().map(|c| format!("{}: {}", c.title(), c.text())).collect();
        said.extend(weighed.remarks.iter().cloned());
        said.extend(parts.iter().filter(|p| load.rapid && !(p.begins && p.finishes)).map(split_rapid));
        said
    }

    /// Wet mass of the heaviest panel of the load, and the workshop's lifting limit.
    fn heaviest(&self, load: &MixLoad, parts: &[Part]) -> Option<(Mass, Mass)> {
        let of = |p: &Part| self.panels.get(p.panel.as_str()).map(|p| p.concrete().get());
        let volume = parts.iter().filter_map(of).max()?;
        let mass = Mass::from_kg(volume as f64 / 1.0e6 * load.revision.wet_density_kg_m3).ok()?;
        let limit = Mass::from_grams(self.inputs.workshop.lifting_limit.get() as f64).ok()?;
        Some((mass, limit))
    }
}

/// Batch litres of the plan as ledger millilitres, a half to the even neighbour.
fn whole_ml(litres: f64) -> Millilitres {
    Volume::from_litres(litres).map_or(Millilitres::ZERO, to_millilitres_half_even)
}

fn wash_before(load: &MixLoad, next: Option<&MixLoad>) -> Option<String> {
    let next = next.filter(|n| n.rapid != load.rapid)?;
    Some(format!(
        "Wash mixer and tools out before {}: its cement and this one set at once when they meet.",
        next.revision.id
    ))
}

fn split_rapid(part: &Part) -> String {
    format!(
        "A panel {} gets {:.1} L from this batch and the rest from another, although the cement sets rapidly: the planned batches leave no other way. Mix both without a pause, or leave this panel out.",
        part.panel,
        part.volume as f64 / 1000.0
    )
}
