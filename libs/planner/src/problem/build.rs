//! From sound facts to the indexed problem.

use std::collections::{BTreeMap, BTreeSet};

use workshop::documents::Facts;
use workshop::documents::facts as doc;

use super::*;

/// Indices by id.
type Names<'a> = BTreeMap<&'a str, usize>;

struct Index<'a> {
    calendar: Calendar,
    finishes: Names<'a>,
    materials: Names<'a>,
    mixes: Names<'a>,
    groups: Names<'a>,
    panels: Names<'a>,
    tanks: Names<'a>,
    racks: Names<'a>,
}

fn names<'a>(ids: impl Iterator<Item = &'a String>) -> Names<'a> {
    let sorted: BTreeSet<&str> = ids.map(String::as_str).collect();
    sorted.into_iter().enumerate().map(|(n, id)| (id, n)).collect()
}

fn sorted<T: Clone>(rows: &[T], id: impl Fn(&T) -> &String) -> Vec<T> {
    let mut rows = rows.to_vec();
    rows.sort_by(|a, b| id(a).cmp(id(b)));
    rows
}

/// Indexes facts that hold no contradiction.
pub(super) fn build(facts: &Facts) -> Problem {
    let finishes_named = facts.mixes.iter().map(|m| &m.finish);
    let finishes_ordered = facts.orders.iter().flat_map(|o| &o.lines).map(|l| &l.finish);
    let finishes_in_stock = facts.ready_stock.iter().map(|s| &s.finish);
    let index = Index {
        calendar: Calendar::new(facts.first_day, facts.last_day, facts.working_days.iter().copied()),
        finishes: names(finishes_named.chain(finishes_ordered).chain(finishes_in_stock)),
        materials: names(facts.materials.iter().map(|m| &m.id)),
        mixes: names(facts.mixes.iter().map(|m| &m.id)),
        groups: names(facts.mould_groups.iter().map(|g| &g.id)),
        panels: names(facts.panels.iter().map(|p| &p.id)),
        tanks: names(facts.tanks.iter().map(|t| &t.id)),
        racks: names(facts.racks.iter().map(|r| &r.id)),
    };
    let mixes = sorted(&facts.mixes, |m| &m.id);
    let panels = sorted(&facts.panels, |p| &p.id);
    let (mut makes, mut kinds) = (index.makes(facts, &panels, &mixes), BTreeMap::new());
    let orders = index.orders(facts, &mut kinds);
    index.stock(facts, &mut kinds);
    let kinds = index.kinds(&mut makes, kinds, &mixes);
    let mut problem = Problem {
        labour: index.calendar.days().iter().map(|day| facts.labour_minutes.on(*day)).collect(),
        mixer_batches: facts.mixer_batches,
        materials: sorted(&facts.materials, |m| &m.id).iter().map(|m| index.material(m)).collect(),
        mixes: mixes.iter().map(|m| index.mix(facts, m)).collect(),
        groups: sorted(&facts.mould_groups, |g| &g.id).iter().map(|g| index.group(g)).collect(),
        panels: panels.iter().map(|p| index.panel(facts, p, &panels)).collect(),
        tanks: rooms(&facts.tanks),
        racks: rooms(&facts.racks),
        kinds,
        orders,
        lots: index.lots(facts, &makes, &mixes),
        pins: index.pins(facts, &makes),
        published: index.published(facts),
        steady_days: facts.policy.steady_days as usize,
        unmet_days: facts.policy.unmet_days,
        nights: index.calendar.days().iter().map(|day| (facts.last_day - *day).num_days()).collect(),
        makes,
        calendar: index.calendar,
    };
    finish(&mut problem);
    problem
}

fn rooms(rooms: &[doc::Room]) -> Vec<Room> {
    sorted(rooms, |r| &r.id).iter().map(|r| Room { id: r.id.clone(), mm: r.mm }).collect()
}

/// Fills in what needs the whole problem: makes by mix, soonest ready days, makes by price.
fn finish(problem: &mut Problem) {
    for ix in 0..problem.makes.len() {
        let make = &problem.makes[ix];
        let mix = &problem.mixes[make.mix];
        let then = |from: &[DayIx], day: DayIx| from.get(day).copied().unwrap_or(problem.calendar.len());
        let soonest = |stripped: &DayIx| then(&mix.ready_from, then(&mix.lift_from, *stripped));
        let ready_soonest = make.strip_from.iter().map(soonest).collect();
        let (suits, mix) = (make.suits, make.mix);
        problem.makes[ix].ready_soonest = ready_soonest;
        if suits {
            problem.mixes[mix].makes.push(ix);
        }
    }
    for ix in 0..problem.kinds.len() {
        let mut makes = std::mem::take(&mut problem.kinds[ix].makes);
        makes.sort_by(|a, b| problem.make_price(*a).total_cmp(&problem.make_price(*b)).then(a.cmp(b)));
        problem.kinds[ix].makes = makes;
    }
}

impl Index<'_> {
    fn material(&self, m: &doc::Material) -> Material {
        let mut arrived = vec![m.on_hand; self.calendar.len()];
        for coming in &m.expected {
            let from = self.calendar.on_or_after(self.calendar.offset(coming.day).max(0));
            arrived[from.min(self.calendar.len())..].iter_mut().for_each(|level| *level += coming.quantity);
        }
        let mut price_breaks: Vec<_> = m.price_breaks.iter().map(|b| (b.from_packs, b.pack_price)).collect();
        price_breaks.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        Material {
            id: m.id.clone(),
            floor: m.floor,
            pack: m.pack,
            pack_price: m.pack_price,
            delivery_charge: m.delivery_charge,
            store_max: m.store_max,
            price_breaks,
            lead: self.calendar.on_or_after(m.lead_days),
            arrived,
            unit: m.unit.clone(),
        }
    }

    fn quantities(&self, of: &BTreeMap<String, f64>) -> Vec<(usize, f64)> {
        of.iter().map(|(id, quantity)| (self.materials[id.as_str()], *quantity)).collect()
    }

    fn price(&self, facts: &Facts, of: &BTreeMap<String, f64>) -> f64 {
        let price = |id: &String| facts.materials.iter().find(|m| m.id == *id).map_or(0.0, |m| m.pack_price / m.pack);
        of.iter().map(|(id, quantity)| quantity * price(id)).sum()
    }

    fn after(&self, days: i64) -> Vec<DayIx> {
        self.calendar.offsets().iter().map(|offset| self.calendar.on_or_after(offset + days)).collect()
    }

    fn mix(&self, facts: &Facts, m: &doc::Mix) -> Mix {
        Mix {
            id: m.id.clone(),
            finish: self.finishes[m.finish.as_str()],
            per_litre: self.quantities(&m.per_litre),
            litre_price: self.price(facts, &m.per_litre),
            batch_min: m.batch_litres_min,
            batch_max: m.batch_litres_max,
            batch_minutes: m.batch_minutes,
            washout_litres: m.washout_litres,
            washout_minutes: m.washout_minutes,
            washout_price: self.calendar.days().iter().map(|day| m.washout_price_on(*day)).collect(),
            lift_from: self.after(m.soak_days),
            ready_from: self.after(m.dry_days),
            soak_free: m.soak_days == 0,
            dry_free: m.dry_days == 0,
            makes: Vec::new(),
        }
    }

    fn group(&self, g: &doc::MouldGroup) -> Group {
        let named: Vec<i64> = self.calendar.days().iter().map(|day| g.in_service(*day)).collect();
        Group {
            id: g.id.clone(),
            turnaround: g.turnaround_days == 1,
            in_service: named.iter().map(|moulds| (*moulds).max(0)).collect(),
            moulds: g.moulds,
            out_beyond: named.iter().map(|moulds| (-moulds).max(0)).collect(),
        }
    }

    fn panel(&self, facts: &Facts, p: &doc::Panel, all: &[doc::Panel]) -> Panel {
        let fits = |p: &doc::Panel, tank: usize| {
            let named = p.tanks.iter().flatten().map(|id| self.tanks[id.as_str()]);
            let mut named = named.peekable();
            named.peek().is_none() || named.any(|t| t == tank)
        };
        let mut tanks: Vec<usize> = (0..self.tanks.len()).filter(|tank| fits(p, *tank)).collect();
        // A tank that few panels fit is filled first, so that the others stay free for the rest.
        tanks.sort_by_key(|tank| (all.iter().filter(|p| fits(p, *tank)).count(), *tank));
        Panel {
            id: p.id.clone(),
            group: self.groups[p.mould_group.as_str()],
            litres: p.litres,
            tank_mm: p.tank_mm,
            rack_mm: p.rack_mm,
            pour_minutes: p.pour_minutes,
            strip_minutes: p.strip_minutes,
            lift_minutes: p.lift_minutes,
            tanks,
            per_panel: self.quantities(&p.per_panel),
            panel_price: self.price(facts, &p.per_panel),
            keep_price: p.keep_price,
        }
    }

    fn makes(&self, facts: &Facts, panels: &[doc::Panel], mixes: &[doc::Mix]) -> Vec<Make> {
        let suiting = panels.iter().flat_map(|p| p.mixes.iter().map(move |mix| (p.id.as_str(), mix.as_str())));
        let under_way = facts.lots.iter().map(|lot| (lot.panel.as_str(), lot.mix.as_str()));
        let pairs: BTreeSet<_> =
            suiting.chain(under_way).map(|(panel, mix)| (self.panels[panel], self.mixes[mix])).collect();
        let make = |(panel, mix): (usize, usize)| {
            let m = &mixes[mix];
            let days = self.calendar.days();
            let hold = |day: &Day| self.calendar.offset(*day) + m.hold_when_poured_on(*day);
            Make {
                panel,
                mix,
                kind: 0,
                suits: panels[panel].mixes.contains(&m.id),
                may_pour: days.iter().map(|day| !m.not_on.contains(day)).collect(),
                strip_from: days.iter().map(|day| self.calendar.on_or_after(hold(day))).collect(),
                ready_soonest: Vec::new(),
            }
        };
        pairs.into_iter().map(make).collect()
    }

    fn orders(&self, facts: &Facts, kinds: &mut BTreeMap<(usize, usize), (i64, i64)>) -> Vec<Order> {
        let orders = sorted(&facts.orders, |o| &o.id);
        let wanted = |o: &doc::Order| {
            let mut lines: BTreeMap<(usize, usize), i64> = BTreeMap::new();
            for line in &o.lines {
                let kind = (self.panels[line.panel.as_str()], self.finishes[line.finish.as_str()]);
                *lines.entry(kind).or_default() += line.quantity;
            }
            lines
        };
        let lines: Vec<_> = orders.iter().map(wanted).collect();
        for (kind, quantity) in lines.iter().flatten() {
            kinds.entry(*kind).or_default().1 += quantity;
        }
        // Kinds get their final index in `kinds()`; until then a line keeps panel and finish in one number.
        let order = |(o, lines): (&doc::Order, &BTreeMap<(usize, usize), i64>)| Order {
            id: o.id.clone(),
            due_on: o.due_on,
            due: self.calendar.offset(o.due_on),
            due_ix: self.calendar.on_or_after(self.calendar.offset(o.due_on) + 1).saturating_sub(1),
            weight: o.weight,
            lines: lines.iter().map(|((p, f), quantity)| (p * self.finishes.len() + f, *quantity)).collect(),
            unmet_late: ((facts.last_day - o.due_on).num_days() + facts.policy.unmet_days).max(0),
        };
        let mut orders: Vec<Order> = orders.iter().zip(&lines).map(order).collect();
        self.renumber(&mut orders, facts);
        orders
    }

    /// The kinds there are, sorted: ordered, in stock, or made by a make.
    fn kind_numbers(&self, facts: &Facts) -> BTreeMap<(usize, usize), KindIx> {
        let finish_of: BTreeMap<&str, usize> =
            facts.mixes.iter().map(|m| (m.id.as_str(), self.finishes[m.finish.as_str()])).collect();
        let panel = |id: &String| self.panels[id.as_str()];
        let ordered =
            facts.orders.iter().flat_map(|o| &o.lines).map(|l| (panel(&l.panel), self.finishes[l.finish.as_str()]));
        let stocked = facts.ready_stock.iter().map(|s| (panel(&s.panel), self.finishes[s.finish.as_str()]));
        let made = facts.panels.iter().flat_map(|p| p.mixes.iter().map(|m| (panel(&p.id), finish_of[m.as_str()])));
        let coming = facts.lots.iter().map(|l| (panel(&l.panel), finish_of[l.mix.as_str()]));
        let all: BTreeSet<_> = ordered.chain(stocked).chain(made).chain(coming).collect();
        all.into_iter().enumerate().map(|(n, kind)| (kind, n)).collect()
    }

    fn renumber(&self, orders: &mut [Order], facts: &Facts) {
        let numbers = self.kind_numbers(facts);
        let finishes = self.finishes.len();
        for line in orders.iter_mut().flat_map(|o| &mut o.lines) {
            line.0 = numbers[&(line.0 / finishes, line.0 % finishes)];
        }
    }

    fn stock(&self, facts: &Facts, kinds: &mut BTreeMap<(usize, usize), (i64, i64)>) {
        for stock in &facts.ready_stock {
            let kind = (self.panels[stock.panel.as_str()], self.finishes[stock.finish.as_str()]);
            kinds.entry(kind).or_default().0 += stock.quantity;
        }
        for (kind, _) in self.kind_numbers(facts) {
            kinds.entry(kind).or_default();
        }
    }

    fn kinds(&self, makes: &mut [Make], counts: BTreeMap<(usize, usize), (i64, i64)>, mixes: &[doc::Mix]) -> Vec<Kind> {
        let finish_names: Vec<&str> = self.finishes.keys().copied().collect();
        let mut kinds = Vec::with_capacity(counts.len());
        for (n, ((panel, finish), (stock, ordered))) in counts.into_iter().enumerate() {
            let mut of_kind = Vec::new();
            for (ix, make) in makes.iter_mut().enumerate() {
                if make.panel == panel && self.finishes[mixes[make.mix].finish.as_str()] == finish {
                    make.kind = n;
                    if make.suits {
                        of_kind.push(ix);
                    }
                }
            }
            let finish_name = finish_names[finish].to_owned();
            kinds.push(Kind { panel, finish, finish_name, makes: of_kind, stock, ordered });
        }
        kinds
    }

    fn make_ix(&self, makes: &[Make], panel: &str, mix: &str) -> MakeIx {
        let pair = (self.panels[panel], self.mixes[mix]);
        makes.partition_point(|make| (make.panel, make.mix) < pair)
    }

    fn lots(&self, facts: &Facts, makes: &[Make], mixes: &[doc::Mix]) -> Vec<Lot> {
        let mut together: BTreeMap<(MakeIx, At), i64> = BTreeMap::new();
        for lot in &facts.lots {
            let mix = &mixes[self.mixes[lot.mix.as_str()]];
            let free = |days: i64| self.calendar.on_or_after((self.calendar.offset(lot.since) + days).max(0));
            let place = |named: &Option<String>, names: &Names| named.as_ref().map_or(0, |id| names[id.as_str()]);
            let at = match lot.stage {
                doc::Stage::InMould => At::Mould(free(mix.hold_when_poured_on(lot.since))),
                doc::Stage::Soaking => At::Tank(place(&lot.tank, &self.tanks), free(lot.soak_days(mix))),
                doc::Stage::Drying => At::Rack(place(&lot.rack, &self.racks), free(mix.dry_days)),
            };
            *together.entry((self.make_ix(makes, &lot.panel, &lot.mix), at)).or_default() += lot.quantity;
        }
        together.into_iter().map(|((make, at), quantity)| Lot { make, at, quantity }).collect()
    }

    fn pins(&self, facts: &Facts, makes: &[Make]) -> Vec<Vec<(MakeIx, i64)>> {
        let mut pins = vec![BTreeMap::new(); self.calendar.len()];
        for pin in &facts.pinned {
            if let Some(day) = self.calendar.index(pin.day) {
                *pins[day].entry(self.make_ix(makes, &pin.panel, &pin.mix)).or_insert(0) += pin.quantity;
            }
        }
        pins.into_iter().map(|of_day| of_day.into_iter().collect()).collect()
    }

    fn published(&self, facts: &Facts) -> Option<Vec<(Day, usize, usize, i64)>> {
        if facts.published.is_empty() {
            return None;
        }
        let near = self.calendar.days().iter().take(facts.policy.steady_days as usize);
        let near: BTreeSet<Day> = near.copied().collect();
        let mut together = BTreeMap::new();
        for pour in facts.published.iter().filter(|pour| near.contains(&pour.day)) {
            let key = (pour.day, self.panels[pour.panel.as_str()], self.mixes[pour.mix.as_str()]);
            *together.entry(key).or_insert(0) += pour.quantity;
        }
        Some(together.into_iter().map(|((day, panel, mix), quantity)| (day, panel, mix, quantity)).collect())
    }
}
