//! Tanks and racks: how long their rows are, how much of them is taken, by which panels since when.

use std::collections::BTreeMap;

use maud::{Markup, html};
use quantities::{Grams, Millimetres};
use store::{Record, Tx, lots};
use workshop::catalogue::{Panel, Rack, Rows, Tank};
use workshop::lots::{Lot, Stage};

use super::super::frame::Frame;
use super::super::words::workshop as words;
use crate::http::problem::Problem;

/// The rooms and what stands in them.
pub struct Rooms {
    tanks: Vec<Tank>,
    racks: Vec<Rack>,
    thickness: BTreeMap<String, Millimetres>,
    present: Vec<Lot>,
}

impl Rooms {
    /// Reads them.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn read(tx: &Tx) -> Result<Self, Problem> {
        let panels = Panel::all(tx).await?.into_iter();
        Ok(Self {
            tanks: Tank::all(tx).await?,
            racks: Rack::all(tx).await?,
            thickness: panels.map(|p| (p.id.to_string(), p.thickness)).collect(),
            present: lots::all_present(tx).await?,
        })
    }

    /// Both, and what is ready and stands nowhere in particular.
    pub fn section(&self, frame: &Frame) -> Markup {
        let in_tank = |tank: &Tank| self.of(|lot| lot.stage == Stage::Soaking && lot.tank.as_ref() == Some(&tank.id));
        let on_rack = |rack: &Rack| self.of(|lot| lot.stage == Stage::Drying && lot.rack.as_ref() == Some(&rack.id));
        let nowhere = self.of(|lot| {
            (lot.stage == Stage::Soaking && lot.tank.is_none()) || (lot.stage == Stage::Drying && lot.rack.is_none())
        });
        let ready = self.of(|lot| lot.stage == Stage::Ready);
        let gaps = frame.workshop.as_ref();
        let (tank_gap, rack_gap) =
            gaps.map_or((Millimetres::new(0), Millimetres::new(0)), |w| (w.tank_gap, w.rack_gap));
        html! {
            section aria-labelledby="rooms" {
                h2 #rooms { (words::TANKS_AND_RACKS) }
                @if self.tanks.is_empty() && self.racks.is_empty() { p.quiet { (words::NO_ROOMS) } }
                @if !self.tanks.is_empty() {
                    p.care { (words::TANK_CAUTION) }
                }
                @for tank in &self.tanks {
                    article.card {
                        h3 { (tank.name) }
                        p { (self.taken(frame, tank.rows, tank_gap, &in_tank(tank))) }
                        p.quiet { (words::full_weighs(&frame.said.heavy(water(tank)))) }
                        (self.standing(frame, &in_tank(tank)))
                    }
                }
                @for rack in &self.racks {
                    article.card {
                        h3 { (rack.name) }
                        p { (self.taken(frame, rack.rows, rack_gap, &on_rack(rack))) }
                        (self.standing(frame, &on_rack(rack)))
                    }
                }
                @if !nowhere.is_empty() { article.card { h3 { (words::NO_PLACE) } (self.standing(frame, &nowhere)) } }
                @if !ready.is_empty() { article.card { h3 { (words::READY) } (self.standing(frame, &ready)) } }
            }
        }
    }

    /// Lots alike, oldest first.
    fn of(&self, here: impl Fn(&Lot) -> bool) -> Vec<&Lot> {
        let mut found: Vec<&Lot> = self.present.iter().filter(|lot| here(lot)).collect();
        found.sort_by_key(|lot| (lot.since, lot.id));
        found
    }

    /// `4.10 m of 7.20 m of row taken, in 3 rows.`
    fn taken(&self, frame: &Frame, rows: Rows, gap: Millimetres, lots: &[&Lot]) -> String {
        let thick = |lot: &&Lot| self.thickness.get(lot.panel.as_str()).map_or(0, |t| t.get());
        let used: i64 = lots.iter().map(|lot| lot.quantity * (thick(lot) + gap.get())).sum();
        let row = |mm: i64| frame.said.row(mm as f64);
        words::taken(&row(used), &row(rows.total().get()), rows.count, &row(rows.usable.get()))
    }

    fn standing(&self, frame: &Frame, lots: &[&Lot]) -> Markup {
        html! {
            @if lots.is_empty() { p.quiet { (words::EMPTY_ROOM) } } @else {
                div.wide { table {
                    thead { tr { th { (words::PANELS) } th { (words::MIX) } th { (words::POURED) } th { (words::HERE_SINCE) } } }
                    tbody { @for lot in lots { tr {
                        th scope="row" { (lot.quantity) " × " (frame.names.panel(lot.panel.as_str())) }
                        td { (frame.names.revision(&lot.revision.to_string())) }
                        td { (frame.said.day(lot.poured_on)) } td { (frame.said.day(lot.since)) }
                    } } }
                } }
            }
        }
    }
}

/// Water in a full tank: a row's usable length is its inside length at most, so there is no less. A litre as a kilogram,
/// by definition of neither but near enough for a floor (998 kg/m³ at 20 °C: common handbook value, from memory).
fn water(tank: &Tank) -> Grams {
    let mm3 = tank.rows.usable.get().saturating_mul(tank.width.get()).saturating_mul(tank.depth.get());
    Grams::new(mm3 / 1000)
}
