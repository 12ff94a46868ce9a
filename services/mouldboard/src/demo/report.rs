//! What `mouldboard demo --once` prints: the plan's summary, today's tickets, how long the cement lasts. No seconds are printed, so that
//! the same workshop gives the same page every time.

use std::collections::BTreeMap;

use chrono::NaiveDate as Day;
use workshop::catalogue::Material;
use workshop::documents::{Explanation, Facts, Plan};
use workshop::ids::MaterialId;
use workshop::projection::{ProjectedDay, Projection};
use workshop::tickets::{Fill, LineKind, Ticket, TicketLine};

/// Everything on the page.
pub struct Page<'a> {
    /// The workshop's name.
    pub name: &'a str,
    /// Its currency.
    pub currency: &'a str,
    /// Its local day.
    pub today: Day,
    /// What the planner was told.
    pub facts: &'a Facts,
    /// The plan in force.
    pub plan: &'a Plan,
    /// Why orders are late.
    pub explanation: &'a Explanation,
    /// Today's tickets.
    pub tickets: &'a [Ticket],
    /// All materials.
    pub materials: &'a BTreeMap<MaterialId, Material>,
    /// Materials projected, with what came out.
    pub projections: &'a [(Material, Projection)],
}

impl Page<'_> {
    /// Writes it.
    pub fn write(&self) -> String {
        let mut page = String::new();
        let parts = [self.heading(), self.plan(), self.late(), self.tickets(), self.stock()];
        for part in parts.iter().filter(|part| !part.is_empty()) {
            page.push_str(part);
            page.push('\n');
        }
        page
    }

    fn heading(&self) -> String {
        format!("{} (an invented workshop), {}\n", self.name, spoken(self.today))
    }

    fn plan(&self) -> String {
        let (facts, plan) = (self.facts, self.plan);
        let late = self.explanation.late.len();
        let poured: i64 = plan.pours.iter().map(|p| p.quantity).sum();
        let batches: usize = plan.batches.iter().map(|b| b.litres.len()).sum();
        let days: std::collections::BTreeSet<Day> = plan.pours.iter().map(|p| p.day).collect();
        let mut said = format!("The plan, {} to {}\n", facts.first_day, facts.last_day);
        let mut line = |text: String| add(&mut said, format!("  {text}"));
        line(format!("{} orders: {} on time, {late} late", facts.orders.len(), facts.orders.len() - late));
        line(format!("{} order-days late, weighted; {}", plan.figures.order_days_late, self.proof()));
        line(format!("Material cost {}", self.money(plan.figures.material_cost)));
        line(format!(
            "{poured} panels poured in {batches} batches on {} days; {} deliveries to order",
            days.len(),
            plan.deliveries.len()
        ));
        said
    }

    fn proof(&self) -> String {
        match &self.plan.proof {
            Some(proof) => format!(
                "bound {:.0}, gap {:.0} %: {}; found by the {} way",
                proof.bound,
                proof.gap * 100.0,
                if proof.gap < 1e-9 { "no plan has fewer" } else { "not known to be the fewest" },
                proof.way
            ),
            None => "no bound".to_owned(),
        }
    }

    fn money(&self, minor: i64) -> String {
        format!("{} {}.{:02}", self.currency, minor / 100, minor % 100)
    }

    fn late(&self) -> String {
        let Explanation { late, shorts, overfull, cures } = self.explanation;
        if late.is_empty() {
            return "Every order is on time.\n".to_owned();
        }
        let mut said = "Late, and why\n".to_owned();
        late.iter().for_each(|order| add(&mut said, format!("  {}", order.sentence)));
        for short in shorts {
            add(&mut said, format!("  Short: {}", short.sentence));
        }
        overfull.iter().for_each(|place| add(&mut said, format!("  Overfull: {}", place.sentence)));
        cures.iter().for_each(|cure| add(&mut said, format!("  Cure: {}", cure.sentence)));
        said
    }

    fn tickets(&self) -> String {
        if self.tickets.is_empty() {
            return "No tickets today: nothing is poured.\n".to_owned();
        }
        let mut said = "Today's tickets\n".to_owned();
        for ticket in self.tickets {
            said.push_str(&self.ticket(ticket));
        }
        let cautions: std::collections::BTreeSet<&str> =
            self.tickets.iter().flat_map(|t| t.cautions.iter().map(String::as_str)).collect();
        said.push_str("  Take care\n");
        for caution in cautions {
            add(&mut said, format!("    - {caution}"));
        }
        said
    }

    fn ticket(&self, t: &Ticket) -> String {
        let washout =
            if t.washout.get() > 0 { format!(" + {} L washout", litres(t.washout.get())) } else { String::new() };
        let mut said = format!(
            "  {}  {}, {} L{washout}, {} to {} kg/m³ wet (aim {}), {} min\n",
            t.number,
            t.revision,
            litres(t.batch.get()),
            t.wet_density_low_kg_m3,
            t.wet_density_high_kg_m3,
            t.wet_density_kg_m3,
            t.labour.get()
        );
        for fill in &t.fills {
            add(&mut said, format!("      {}", filled(fill)));
        }
        for line in &t.lines {
            add(&mut said, format!("      {}", self.line(line)));
        }
        if t.foam.get() > 0 {
            add(&mut said, format!("      foam {} L, {} kg", litres(t.foam.get()), thousandths(t.foam_mass.get())));
        }
        said
    }

    fn line(&self, line: &TicketLine) -> String {
        let name = self
            .materials
            .get(&line.material)
            .map_or(line.material.as_str(), |m| m.name.split(',').next().unwrap_or(&m.name));
        let inside = match line.kind {
            LineKind::Ingredient => "",
            LineKind::FoamConcentrate | LineKind::FoamWater => " (in the foam)",
            LineKind::PerPanel => " (in or on the moulds)",
        };
        let amount = match line.mass {
            Some(mass) => format!("{} kg", thousandths(mass.get())),
            None => {
                let unit = self.materials.get(&line.material).map_or("", |m| workshop::projection::unit_sign(m.unit));
                format!("{} {unit}", line.target.get())
            }
        };
        format!("{amount:>14}  {name}{inside}")
    }

    fn stock(&self) -> String {
        let mut said = "Stock\n".to_owned();
        let mut used: Vec<_> =
            self.projections.iter().filter(|(_, p)| p.days.iter().any(|d| d.used.get() > 0)).collect();
        used.sort_by_key(|(material, _)| !material.kind.is_cement());
        for (material, projection) in used {
            add(&mut said, format!("  {}", projection.sentence));
            if projection.first_short_day.is_some() && material.kind.is_cement() {
                said.push_str(&days(projection));
            }
        }
        said
    }
}

/// The days on which something happens, up to and with the first short one and a week beyond.
fn days(projection: &Projection) -> String {
    let mut said = format!(
        "    {:<12}{:>12}{:>12}{:>12}{:>14}{:>18}\n",
        "day", "used kg", "arriving kg", "to order kg", "left kg", "left, no order kg"
    );
    let until = projection.first_short_day.map(|d| d + chrono::Days::new(7));
    let moves = |d: &&ProjectedDay| d.used.get() != 0 || d.expected.get() != 0 || d.to_order.get() != 0;
    for d in projection.days.iter().filter(moves).take_while(|d| until.is_none_or(|until| d.day <= until)) {
        let kg = |amount: workshop::catalogue::Amount| format!("{:.1}", amount.get() as f64 / 1000.0);
        let [used, arriving, to_order] = [d.used, d.expected, d.to_order].map(kg);
        let (day, left, unordered) = (d.day.to_string(), kg(d.on_hand), kg(d.unordered));
        add(&mut said, format!("    {day:<12}{used:>12}{arriving:>12}{to_order:>12}{left:>14}{unordered:>18}"));
    }
    said
}

fn add(page: &mut String, line: String) {
    page.push_str(&line);
    page.push('\n');
}

fn filled(fill: &Fill) -> String {
    let (panel, group) = (&fill.panel, &fill.mould_group);
    match (fill.finished, fill.begun.get()) {
        (0, begun) => format!("begins one {panel} in {group} with {} L", litres(begun)),
        (finished, 0) => format!("fills {finished} x {panel} in {group}"),
        (finished, begun) => {
            format!("fills {finished} x {panel} in {group}, and begins one more with {} L", litres(begun))
        }
    }
}

fn litres(ml: i64) -> String {
    if (1..100).contains(&ml) {
        return format!("{:.2}", ml as f64 / 1000.0);
    }
    format!("{:.1}", ml as f64 / 1000.0)
}

fn thousandths(g: i64) -> String {
    format!("{}.{:03}", g / 1000, g % 1000)
}

fn spoken(day: Day) -> String {
    day.format("%A %-d %B %Y").to_string()
}

#[cfg(test)]
mod tests {
    use quantities::Millilitres;
    use workshop::ids::{MouldGroupId, PanelId};

    use super::*;

    #[test]
    fn a_panel_only_begun_is_not_called_filled() {
        let said = |finished, begun| {
            filled(&Fill {
                panel: PanelId::parse("side").unwrap(),
                mould_group: MouldGroupId::parse("sides").unwrap(),
                finished,
                begun: Millilitres::new(begun),
                volume: Millilitres::new(30_000),
                moulds: vec![],
            })
        };
        assert_eq!(said(2, 0), "fills 2 x side in sides");
        assert_eq!(said(2, 4_200), "fills 2 x side in sides, and begins one more with 4.2 L");
        assert_eq!(said(0, 10_400), "begins one side in sides with 10.4 L");
    }
}
