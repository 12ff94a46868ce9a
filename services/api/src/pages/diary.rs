//! The month as a diary: days run down the page, each says in words what is done on it and how full the workshop is.

use std::collections::BTreeMap;

use actix_web::get;
use chrono::{Datelike, Days, NaiveDate as Day};
use maud::{Markup, html};
use planner::Comparison;
use store::progress::Progress;
use store::{Tx, progress, runs};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::documents::{Explanation, Facts, Plan};
use workshop::lots::Pin;
use workshop::month::{DayLevels, Level, Way, leaves_rack_on, levels, ways};
use workshop::runs::{PlanningRun, RunState};

use super::frame::{Frame, Place};
use super::said;
use super::visit::Visit;
use super::words::diary as words;
use crate::http::problem::Problem;
use crate::http::reply::{Answer, Shown};
use crate::resources::changes::since_before;
use crate::resources::plan::{InForce, facts_of, plan_of};

#[utoipa::path(
    tag = "pages", summary = "The plan's page", description = "For the office: late orders and why, then the days with what is poured, stripped, lifted, ready and whole, and how full the workshop is.",
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/plan")]
async fn the_plan(state: Visit) -> Answer {
    let tx = state.store.read().await?;
    let frame = Frame::read(&state, &tx).await?;
    let (month, newest) = (Month::read(&tx, frame.today).await?, runs::page(&tx, None, 1).await?);
    let newest = newest.into_iter().next().map(|run| run.value);
    let known = match &newest {
        Some(run) => progress::of(&tx, run.id).await?,
        None => Progress::default(),
    };
    let seen = match &newest {
        Some(run) if run.state == RunState::Planned => InForce::read(&tx).await?.map(InForce::shown).transpose()?,
        _ => None,
    };
    let changed = match &month {
        Some(month) => since_before(tx, month.run.id).await?.map(|(_, compared)| compared),
        None => {
            tx.rollback().await?;
            None
        }
    };
    let main = html! {
        (asking(&frame, month.as_ref(), newest.as_ref(), &known, seen.as_ref().map_or(NONE_SEEN, Shown::tag)))
        @match &month {
            Some(month) => { (month.in_brief(&frame)) (month.late(&frame)) (month.cures(&frame)) (month.short(&frame)) (what_changed(&frame, changed.as_ref())) (month.days(&frame)) },
            None => p { (words::NO_PLAN) },
        }
    };
    Ok(frame.page(Place::Plan, words::TITLE, main))
}

/// The plan in force with all it was told.
struct Month {
    run: PlanningRun,
    facts: Facts,
    plan: Plan,
    why: Explanation,
    pins: Vec<Pin>,
}

impl Month {
    async fn read(tx: &Tx, today: Day) -> Result<Option<Self>, Problem> {
        let Some((id, _, run)) = runs::in_force(tx).await? else { return Ok(None) };
        let documents = runs::documents(tx, id).await?;
        let why = documents.explanation.as_deref().map(feeds::explanation::read).transpose();
        Ok(Some(Self {
            run: run.value,
            facts: facts_of(id, documents.facts.as_deref())?,
            plan: plan_of(id, documents.plan.as_deref())?,
            why: why.map_err(|e| Problem::internal(format!("explanation of run {id}: {e}")))?.unwrap_or_default(),
            pins: store::pins::from(tx, today).await?,
        }))
    }

    /// The finish a mix gives.
    fn finish_of(&self, mix: &str) -> Option<&str> {
        self.facts.mixes.iter().find(|one| one.id == mix).map(|one| one.finish.as_str())
    }

    /// The moulds a panel is poured in.
    fn moulds_of(&self, panel: &str) -> Option<&str> {
        self.facts.panels.iter().find(|one| one.id == panel).map(|one| one.mould_group.as_str())
    }

    /// The plan in a few sentences.
    fn in_brief(&self, frame: &Frame) -> Markup {
        let (orders, late) = (self.facts.orders.len(), self.why.late.len());
        let poured: i64 = self.plan.pours.iter().map(|p| p.quantity).sum();
        html! {
            p.brief {
                (words::orders_in_time(orders, orders - late.min(orders), late)) " "
                (words::poured(poured, &frame.said.day(self.facts.first_day), &frame.said.day(self.facts.last_day))) " "
                (words::material_cost(&frame.said.money(self.plan.figures.material_cost))) " "
                @if let Some(proof) = &self.plan.proof {
                    @if proof.gap < 1e-9 { (words::NONE_BETTER) }
                    @else { (words::late_at_least(self.plan.figures.order_days_late, proof.bound.round())) }
                }
            }
        }
    }

    fn late(&self, frame: &Frame) -> Markup {
        html! {
            @if !self.why.late.is_empty() {
                section aria-labelledby="late" {
                    h2 #late { (words::LATE) }
                    ul.late {
                        @for order in &self.why.late {
                            @let whole = order.ready_on.map(|day| (frame.said.day(day), said::against_due(day, order.due_on)));
                            @let whole = whole.as_ref().map(|(day, against)| (day.as_str(), against.as_str()));
                            @let link = html! { a href={ "/pages/orders/" (order.order) } { (order.order) } };
                            li {
                                p { (words::late_order(&link, &frame.said.day(order.due_on), whole)) }
                                p.why { (frame.spoken(&order.sentence)) }
                            }
                        }
                    }
                }
            }
        }
    }

    fn cures(&self, frame: &Frame) -> Markup {
        html! {
            @if !self.why.cures.is_empty() {
                section aria-labelledby="cures" {
                    h2 #cures { (words::CURES) }
                    p.quiet { (words::CURES_TRIED) }
                    ul { @for cure in &self.why.cures { li { (frame.spoken(&cure.sentence)) } } }
                }
            }
        }
    }

    fn short(&self, frame: &Frame) -> Markup {
        html! {
            @if !self.why.shorts.is_empty() || !self.why.overfull.is_empty() {
                section aria-labelledby="short" {
                    h2 #short { (words::SHORT) }
                    ul { @for short in &self.why.shorts { li { (frame.spoken(&short.sentence)) } } @for place in &self.why.overfull { li { (frame.spoken(&place.sentence)) } } }
                }
            }
        }
    }

    fn days(&self, frame: &Frame) -> Markup {
        let (work, ways) = (Work::by_day(self), ways(&self.facts, &self.plan));
        let levels = levels(&self.facts, &self.plan);
        let last = work.keys().next_back().copied().unwrap_or(self.facts.first_day);
        let shown: Vec<&DayLevels> = levels.iter().filter(|l| l.day >= frame.today && l.day <= last).collect();
        let weeks = shown.chunk_by(|a, b| a.day.iso_week() == b.day.iso_week());
        html! {
            section aria-labelledby="days" {
                h2 #days { (words::DAY_BY_DAY) }
                p.key { (words::MARKS_KEY)
                    @for (mark, what) in words::MARKS { span.mark { (mark) } " " (what) " " }
                }
                @for week in weeks { (self.week(frame, week, &work, &ways)) }
            }
        }
    }

    fn week(&self, frame: &Frame, week: &[&DayLevels], work: &BTreeMap<Day, Work>, ways: &[Way]) -> Markup {
        let Some(first) = week.first().map(|l| l.day) else { return html! {} };
        let last = week.last().map_or(first, |l| l.day);
        let poured: Vec<&Way> = ways.iter().filter(|w| (first..=last).contains(&w.poured)).collect();
        let monday = first - Days::new(u64::from(first.weekday().num_days_from_monday()));
        html! {
            section.week aria-labelledby={ "w-" (first) } {
                h3 #{ "w-" (first) } { (words::week_of(&frame.said.day(monday))) }
                @if !poured.is_empty() { (follow(frame, &poured)) }
                @for level in week {
                    @let worked = self.facts.working_days.contains(&level.day);
                    article.date.closed[!worked] #{ "d-" (level.day) } {
                        h4 { a href={ "/pages/days/" (level.day) } { (frame.said.day(level.day)) } }
                        @if worked {
                            (marks(frame, level))
                            @match work.get(&level.day) { Some(work) => (work.said(frame, self, level.day)), None => p.quiet { (words::NOTHING_PLANNED) } }
                        } @else {
                            p.quiet { (words::CLOSED) }
                        }
                    }
                }
            }
        }
    }
}

/// What the plan has otherwise than the one before it.
fn what_changed(frame: &Frame, changed: Option<&Comparison>) -> Markup {
    html! {
        @if let Some(Comparison { facts, lines, .. }) = changed {
            @if !facts.is_empty() || !lines.is_empty() {
                section aria-labelledby="changed" {
                    h2 #changed { (words::CHANGED) }
                    details {
                        summary { (words::changes(lines.len())) }
                        @if !facts.is_empty() { p { (words::recorded_since(&facts.iter().map(|fact| frame.spoken(&fact.sentence)).collect::<Vec<_>>().join(" "))) } }
                        ul { @for line in lines { li { (frame.spoken(&line.sentence)) } } }
                    }
                }
            }
        }
    }
}

/// How full each is at a day's end.
fn marks(frame: &Frame, level: &DayLevels) -> Markup {
    let row = |l: Level| (frame.said.row(l.used), frame.said.row(l.of));
    let (tanks, racks) = (row(level.tanks), row(level.racks));
    let said = [
        words::moulds_taken(level.moulds.used, level.moulds.of),
        words::water_taken(&tanks.0, &tanks.1),
        words::rack_taken(&racks.0, &racks.1),
        words::work(&said::minutes(level.labour.used), &said::minutes(level.labour.of)),
    ];
    let levels = [level.moulds, level.tanks, level.racks, level.labour];
    html! {
        ul.marks {
            @for (((mark, _), level), full) in words::MARKS.into_iter().zip(levels).zip(said) {
                li title=(full) { (gauge(level.share())) span.mark aria-hidden="true" { (mark) } span.unseen { (full) } }
            }
        }
    }
}

/// A small upright gauge, filled from the bottom by `share`.
fn gauge(share: f64) -> Markup {
    const HEIGHT: f64 = 28.0;
    let filled = (share * HEIGHT * 10.0).round() / 10.0;
    html! {
        svg.gauge.full[share > 0.95] width="12" height="30" viewBox="0 0 12 30" aria-hidden="true" focusable="false" {
            rect.glass x="0.5" y="0.5" width="11" height="29" rx="2" {}
            rect.fill x="1" y=(29.0 - filled) width="10" height=(filled) {}
        }
    }
}

/// What is done on a day.
#[derive(Default)]
struct Work {
    arrive: Vec<String>,
    lift: Vec<(String, String, i64, Option<String>)>,
    strip: Vec<(String, String, i64, Option<String>)>,
    pour: BTreeMap<String, Vec<(String, i64)>>,
    batches: BTreeMap<String, Vec<f64>>,
    ready: BTreeMap<String, i64>,
    whole: Vec<String>,
}

impl Work {
    fn by_day(month: &Month) -> BTreeMap<Day, Self> {
        let (facts, plan) = (&month.facts, &month.plan);
        let mut days: BTreeMap<Day, Self> = BTreeMap::new();
        let expected = |day: Day| facts.working_days.range(day.max(facts.first_day)..).next().copied().unwrap_or(day);
        for material in &facts.materials {
            for one in &material.expected {
                days.entry(expected(one.day)).or_default().arrive.push(material.id.clone());
            }
        }
        for one in &plan.deliveries {
            days.entry(one.arrives).or_default().arrive.push(one.material.clone());
        }
        for one in &plan.lifts {
            let row = (one.panel.clone(), one.mix.clone(), one.quantity, one.rack.clone());
            days.entry(one.day).or_default().lift.push(row);
        }
        let drying = facts.lots.iter().filter(|lot| lot.stage == workshop::documents::facts::Stage::Drying);
        let drying = drying.map(|lot| (&lot.panel, &lot.mix, lot.since, lot.quantity));
        for (panel, mix, since, count) in plan.lifts.iter().map(|l| (&l.panel, &l.mix, l.day, l.quantity)).chain(drying)
        {
            if let Some(day) = leaves_rack_on(facts, mix, since) {
                *days.entry(day).or_default().ready.entry(panel.clone()).or_default() += count;
            }
        }
        for one in &plan.strips {
            let row = (one.panel.clone(), one.mix.clone(), one.quantity, one.tank.clone());
            days.entry(one.day).or_default().strip.push(row);
        }
        for one in &plan.pours {
            let pours = &mut days.entry(one.day).or_default().pour;
            pours.entry(one.mix.clone()).or_default().push((one.panel.clone(), one.quantity));
        }
        for one in &plan.batches {
            days.entry(one.day).or_default().batches.entry(one.mix.clone()).or_default().extend(&one.litres);
        }
        for one in &plan.orders {
            if let Some(day) = one.ready_on {
                days.entry(day).or_default().whole.push(one.id.clone());
            }
        }
        days
    }

    fn said(&self, frame: &Frame, month: &Month, day: Day) -> Markup {
        let names = &frame.names;
        let moved = |rows: &[(String, String, i64, Option<String>)], placed: fn(i64, &str, &str) -> String| {
            let one = |(panel, _, n, place): &(String, String, i64, Option<String>)| match place {
                Some(place) => placed(*n, names.panel(panel), names.place(place)),
                None => format!("{n} × {}", names.panel(panel)),
            };
            rows.iter().map(one).collect::<Vec<_>>().join(", ")
        };
        html! {
            dl.work {
                @if !self.arrive.is_empty() {
                    dt { (words::ARRIVES) } dd { (self.arrive.iter().map(|m| names.material(m)).collect::<Vec<_>>().join(", ")) }
                }
                @if !self.lift.is_empty() { dt { (words::LIFT) } dd { (moved(&self.lift, words::lifted)) } }
                @if !self.strip.is_empty() { dt { (words::STRIP) } dd { (moved(&self.strip, words::stripped)) } }
                @for (mix, pours) in &self.pour {
                    dt { (words::POUR) }
                    dd {
                        (names.revision(mix)) @if let Some(finish) = month.finish_of(mix) { ", " (names.other(finish)) } ": "
                        @if let Some(batches) = self.batches.get(mix) { (in_batches(frame, batches)) }
                        ul.pours { @for (panel, n) in pours { li { (words::poured_in(*n, names.panel(panel), month.moulds_of(panel).map(|group| names.other(group)))) " " (pinning(frame, month, day, panel, mix, *n)) } } }
                    }
                }
                @if !self.ready.is_empty() {
                    dt { (words::READY) }
                    dd { (self.ready.iter().map(|(panel, n)| format!("{n} × {}", names.panel(panel))).collect::<Vec<_>>().join(", ")) }
                }
                @if !self.whole.is_empty() {
                    dt { (words::CAN_GO) }
                    dd { @for (n, order) in self.whole.iter().enumerate() { @if n > 0 { ", " } a href={ "/pages/orders/" (order) } { (order) } } }
                }
            }
        }
    }
}

fn in_batches(frame: &Frame, litres: &[f64]) -> String {
    words::batches(litres.len(), &frame.said.litres(litres.iter().sum()))
}

/// The way to pin a pour, or to let it go again.
fn pinning(frame: &Frame, month: &Month, day: Day, panel: &str, mix: &str, quantity: i64) -> Markup {
    let same = |pin: &&Pin| pin.day == day && pin.panel.as_str() == panel && pin.revision.to_string() == mix;
    html! {
        @match month.pins.iter().find(same) {
            Some(pin) => {
                span.pinned { (words::pinned(&pin.reason)) } " "
                form.entry.line.small data-send={ "/pins/" (pin.id) } data-method="DELETE" data-named=(words::UNPIN_NAMED) data-then="reload" {
                    button.slight aria-label=(words::unpin_this(quantity, frame.names.panel(panel), &frame.said.day(day))) { (words::UNPIN) } output {}
                }
            }
            None => details.pin {
                summary { (words::PIN) }
                form.entry.line data-send="/pins" data-named=(words::PIN_NAMED) data-then="reload" {
                    input type="hidden" name="day" value=(day);
                    input type="hidden" name="panel" value=(panel);
                    input type="hidden" name="revision" value=(mix);
                    input type="hidden" name="quantity" data-kind="number" value=(quantity);
                    label { (words::PIN_WHY) input name="reason" required maxlength="500"; }
                    button { (words::PIN) } output {}
                }
            },
        }
    }
}

/// A week's pours followed down the month.
fn follow(frame: &Frame, poured: &[&Way]) -> Markup {
    let step = |day: Option<Day>| day.map_or_else(|| words::AFTER_THE_PLAN.to_owned(), |day| frame.said.day(day));
    html! {
        details.follow {
            summary { (words::FOLLOW) }
            div.wide {
                table {
                    thead { tr { @for head in words::FOLLOW_HEAD { th { (head) } } } }
                    tbody {
                        @for way in poured {
                            tr {
                                th scope="row" { (way.quantity) " × " (frame.names.panel(&way.panel)) }
                                td { (frame.said.day(way.poured)) } td { (step(way.stripped)) } td { (step(way.lifted)) } td { (step(way.ready)) }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// The tag of no plan: where one is in force by the time this comes, it is refused.
const NONE_SEEN: &str = "\"none\"";

/// The way to a new plan, and how the newest run stands. `seen` is the tag of the plan in force.
fn asking(frame: &Frame, month: Option<&Month>, newest: Option<&PlanningRun>, known: &Progress, seen: &str) -> Markup {
    let in_force = month.map(|m| m.run.id);
    html! {
        div.asking.no-print {
            @match newest {
                Some(run) if matches!(run.state, RunState::Waiting | RunState::Running) => {
                    (under_way(frame, run, known))
                }
                Some(run) if run.state == RunState::Failed => p.warn { (words::failed(run.remark.as_deref())) },
                Some(run) if Some(run.id) != in_force && run.state == RunState::Planned => {
                    p { (words::waits(run.remark.as_deref())) }
                    form.entry.line data-send="/plan" data-method="PUT" data-match=(seen) data-named=(words::TAKE_OVER_NAMED) data-then="reload" {
                        input type="hidden" name="run" data-kind="number" value=(run.id);
                        button { (words::TAKE_OVER) } output {}
                    }
                }
                _ => {}
            }
            form.entry.line data-send="/planning-runs" data-named=(words::ASK_NAMED) data-then="reload" {
                label { (words::ASK_WHY) input name="reason" maxlength="500"; }
                button { (words::ASK) } output {}
            }
        }
    }
}

/// A run at work: the best plan so far, the bound no plan can be below, the gap between them, and a way to stop it.
fn under_way(frame: &Frame, run: &PlanningRun, known: &Progress) -> Markup {
    let counts = frame.workshop.as_ref().is_some_and(|w| w.policy.evaluations.is_some());
    html! {
        p.unseen role="status" data-heard {}
        p data-watch={ "/planning-runs/" (run.id) "/progress" } {
            @match &known.news {
                _ if run.state == RunState::Waiting => (words::RUN_WAITS),
                None => (words::RUN_BEGINS),
                Some((_, news)) => (words::run_so_far(news.seconds, news.figures.order_days_late, &frame.said.number(news.bound, 1), 100.0 * news.gap())),
            }
            @if known.stop_asked_at.is_some() { (words::ASKED_TO_STOP) }
        }
        @if counts { p.quiet { (words::COUNTS_STEPS) } }
        @if known.stop_asked_at.is_none() {
            form.entry.line data-send={ "/planning-runs/" (run.id) "/stop" } data-empty data-named=(words::STOP_NAMED) data-then="reload" {
                button.slight { (words::STOP) } output {}
            }
        }
    }
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(the_plan);
}
