//! What customers want: the list by the day wanted, and one order with what it waits for.

use std::collections::BTreeMap;

use actix_web::get;
use actix_web::web::Path;
use chrono::NaiveDate as Day;
use maud::{Markup, html};
use store::{Record, Tx};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::{Finish, Panel, PanelSet};
use workshop::ids::{FinishId, OrderId, PanelId};
use workshop::lots::{Lot, Stage};
use workshop::orders::{Item, Order, OrderState, Priority};

use super::frame::{Frame, Place};
use super::visit::Visit;
use super::words::form as fields;
use super::words::orders as words;
use super::{order_change, said};
use crate::http::problem::Problem;
use crate::http::reply::{Answer, Shown};
use crate::resources::plan::InForce;
use crate::wire::Id;
use crate::wire::orders::Order as Form;

#[utoipa::path(
    tag = "pages", summary = "The orders' page", description = "Open orders by the day wanted, with the day each is whole by the plan in force.",
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/orders")]
async fn list(state: Visit) -> Answer {
    let tx = state.store.read().await?;
    let frame = Frame::read(&state, &tx).await?;
    let (mut open, planned) = (store::orders::open(&tx).await?, Planned::read(&tx).await?);
    tx.rollback().await?;
    open.sort_by(|a, b| (a.due_on, &a.id).cmp(&(b.due_on, &b.id)));
    let main = html! {
        p.no-print { a href="/pages/orders/new" { (words::NEW) } " · " a href="/pages/orders/import" { (words::FROM_A_FILE) } " · " a href="/orders.csv" { (words::AS_SPREADSHEET) } }
        p.brief { (words::open_orders(open.len())) @if !planned.any { (words::NO_PLAN) } }
        div.wide { table.orders {
            thead { tr { th { (words::ORDER) } th { (words::WANTED) } th { (words::PROMISED) } th { (words::WHOLE) } th { "" } th { (words::PRIORITY) } } }
            tbody { @for order in &open { (row(&frame, order, &planned)) } }
        } }
    };
    Ok(frame.page(Place::Orders, words::TITLE, main))
}

/// Lines a new order has room for on the page; a longer one comes by import.
const NEW_LINES: usize = 6;

#[utoipa::path(
    tag = "pages", summary = "The page for a new order", description = "What is wanted in which finish; while it is typed the script asks when it could be ready.",
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/orders/new")]
async fn new_order(state: Visit) -> Answer {
    let tx = state.store.read().await?;
    let frame = Frame::read(&state, &tx).await?;
    let (sets, finishes) = (PanelSet::all(&tx).await?, Finish::all(&tx).await?);
    let panels = Panel::all(&tx).await?;
    tx.rollback().await?;
    let main = html! {
        form.entry data-send="/orders" data-named=(words::NEW_NAMED) data-then="/pages/orders" data-quotes="/quotes" {
            label { (words::REFERENCE) input name="id" required maxlength="60" pattern="[A-Za-z0-9][A-Za-z0-9._@\\-]*" title=(fields::ID_PATTERN); }
            label { (words::FOR) input name="customer" maxlength="200" autocomplete="off"; }
            label { (words::WANTED_ON) input name="due_on" type="date" required min=(frame.today); }
            (order_change::agreed(None))
            div data-quote role="status" aria-live="polite" { p.quiet { (words::NO_QUOTE_YET) } }
            @for n in 1..=NEW_LINES {
                fieldset.line data-order-line {
                    legend { (words::line(n)) }
                    label { (words::WHAT) select data-part="item" {
                        option value="" { (words::NOTHING) }
                        optgroup label=(words::SETS) { @for set in &sets { option value={ "set:" (set.id) } { (set.name) } } }
                        optgroup label=(words::SINGLE_PANELS) { @for panel in &panels { option value={ "panel:" (panel.id) } { (panel.name) } } }
                    } }
                    label { (words::FINISH) select data-part="finish" { @if finishes.len() != 1 { option value="" { (fields::CHOOSE) } } @for finish in &finishes { option value=(finish.id) { (finish.name) } } } }
                    label { (words::HOW_MANY) input data-part="quantity" type="number" inputmode="numeric" min="1" max="10000" value="1"; }
                }
            }
            label { (words::NOTE) input name="note" maxlength="2000" autocomplete="off"; }
            button { (words::TAKE) }
            output {}
        }
    };
    Ok(frame.page(Place::Orders, words::NEW, main))
}

#[utoipa::path(
    tag = "pages", summary = "The page for orders from a file", description = "A CSV or XLSX file is checked as soon as it is chosen, every fault by line and column, and taken whole or not at all.",
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/orders/import")]
async fn import(state: Visit) -> Answer {
    let tx = state.store.read().await?;
    let frame = Frame::read(&state, &tx).await?;
    tx.rollback().await?;
    let main = html! {
        p.no-print { a href="/pages/orders" { (words::TITLE) } }
        p { (words::about_files("/orders.csv")) }
        form.entry data-file="/orders/import" data-named=(words::FROM_A_FILE) data-then="/pages/orders" {
            label { (words::THE_FILE) input name="file" type="file" accept=".csv,.xlsx,text/csv" required; }
            label { (words::ITS_DECIMALS) select name="decimal" data-query { option value="" { (words::AS_FOUND) } option value="." { (words::POINT) } option value="," { (words::COMMA) } } }
            label { (words::ITS_DAYS) select name="dates" data-query { option value="" { (words::AS_FOUND) } option value="dmy" { (words::DAY_FIRST) } option value="mdy" { (words::MONTH_FIRST) } } }
            div data-report role="status" aria-live="polite" {}
            button disabled { (words::TAKE_THEM) }
        }
        details { summary { (words::BY_A_PROGRAM) } pre tabindex="0" { (BY_CURL) } }
    };
    Ok(frame.page(Place::Orders, words::FROM_A_FILE, main))
}

/// How a program sends a file of orders to be checked.
const BY_CURL: &str = "curl -X POST -H 'Content-Type: text/csv' -H \"Authorization: Bearer $TOKEN\" --data-binary @orders.csv \"$MOULDBOARD/orders/import?check=1\"";

/// What the plan in force says of orders.
#[derive(Default)]
struct Planned {
    any: bool,
    ready_on: BTreeMap<String, Option<Day>>,
    why: BTreeMap<String, String>,
    given: BTreeMap<String, Vec<workshop::documents::plan::Met>>,
}

impl Planned {
    async fn read(tx: &Tx) -> Result<Self, Problem> {
        let Some(found) = InForce::read(tx).await? else { return Ok(Self::default()) };
        let mut planned = Self { any: true, ..Self::default() };
        for order in found.plan.orders {
            planned.ready_on.insert(order.id.clone(), order.ready_on);
            planned.given.insert(order.id, order.met);
        }
        planned.why.extend(found.explanation.late.into_iter().map(|late| (late.order, late.sentence)));
        Ok(planned)
    }

    fn ready_words(&self, frame: &Frame, order: &Order) -> (String, &'static str, String) {
        match self.ready_on.get(order.id.as_str()) {
            Some(Some(day)) => {
                let class = if *day > order.due_on { "late" } else { "fine" };
                (frame.said.day(*day), class, said::against_due(*day, order.due_on))
            }
            Some(None) => (words::AFTER_THE_PLAN.to_owned(), "late", words::LATE.to_owned()),
            None => (words::NOT_PLANNED.to_owned(), "", String::new()),
        }
    }
}

fn row(frame: &Frame, order: &Order, planned: &Planned) -> Markup {
    let (ready, class, against) = planned.ready_words(frame, order);
    html! {
        tr {
            th scope="row" { a href={ "/pages/orders/" (order.id) } { (order.id) } }
            td { (frame.said.day(order.due_on)) }
            td { @if let Some(day) = order.promised_on { (frame.said.day(day)) } @else { span.quiet { (words::NOT_YET) } } }
            td { (ready) }
            td class=(class) { (against) }
            td { (priority(order.priority)) }
        }
    }
}

const fn priority(priority: Priority) -> &'static str {
    match priority {
        Priority::Low => words::LOW,
        Priority::Usual => words::USUAL,
        Priority::High => words::HIGH,
    }
}

const fn state_words(state: OrderState) -> &'static str {
    match state {
        OrderState::Open => words::OPEN,
        OrderState::Dispatched => words::DISPATCHED,
        OrderState::Withdrawn => words::WITHDRAWN,
    }
}

#[utoipa::path(
    tag = "pages", summary = "An order's page", description = "What is wanted, when it is whole by the plan in force, and why late.",
    params(("id" = inline(Id), Path, description = "Its reference", example = "TH-1042")),
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/orders/{id}")]
async fn one_order(state: Visit, id: Path<String>) -> Answer {
    let missing = || Problem::not_found("order", id.as_str());
    let wanted = OrderId::parse(&id).map_err(|_| missing())?;
    let tx = state.store.read().await?;
    let frame = Frame::read(&state, &tx).await?;
    let found = Order::find(&tx, &wanted).await?.ok_or_else(missing)?;
    let order = found.value.clone();
    let seen = Shown::new(found.version, &Form::from(found.value))?;
    let sets: BTreeMap<_, _> = PanelSet::all(&tx).await?.into_iter().map(|set| (set.id.clone(), set)).collect();
    let finishes: BTreeMap<_, _> = Finish::all(&tx).await?.into_iter().map(|f| (f.id, f.name)).collect();
    let (planned, dispatched) = (Planned::read(&tx).await?, store::lots::dispatched_for(&tx, &wanted).await?);
    let present = store::lots::all_present(&tx).await?;
    tx.rollback().await?;
    let (ready, class, against) = planned.ready_words(&frame, &order);
    let finish = |id: &FinishId| finishes.get(id).map_or(id.as_str(), String::as_str).to_owned();
    let main = html! {
        dl.facts {
            dt { (words::STATE) } dd { (state_words(order.state)) }
            @if let Some(customer) = &order.customer { dt { (words::FOR) } dd { (customer) } }
            dt { (words::WANTED) } dd { (frame.said.day_in_full(order.due_on)) }
            dt { (words::PROMISED) } dd { @match order.promised_on { Some(day) => (frame.said.day_in_full(day)), None => (words::NOT_YET) } }
            @if order.state == OrderState::Open { dt { (words::WHOLE) } dd { (ready) " " span class=(class) { (against) } } }
            dt { (words::PRIORITY) } dd { (priority(order.priority)) }
            @if let Some(note) = &order.note { dt { (words::NOTE) } dd { (note) } }
        }
        @if let Some(why) = planned.why.get(order.id.as_str()) { p.why { (frame.spoken(why)) } }
        p.no-print { a href={ "/pages/orders/" (order.id) "/pack-list" } { (words::PACK_LIST) } }
        h2 { (words::ORDERED) }
        ul.plain { @for line in &order.lines {
            li { (line.quantity) " × " @match &line.item {
                Item::Set(set) => (sets.get(set).map_or(set.as_str(), |s| s.name.as_str())),
                Item::Panel(panel) => (frame.names.panel(panel.as_str())),
            } ", " (finish(&line.finish)) }
        } }
        h2 { (words::ITS_PANELS) }
        div.wide { table {
            thead { tr { th { (words::PANEL) } th { (words::FINISH) } th { (words::WANTED) } th { (words::SENT_OUT) } th { (words::PLAN_GIVES) } th { (words::FOR_ANY) } } }
            tbody { @for ((panel, given_finish), count) in &order.panels(&sets) {
                tr {
                    th scope="row" { (frame.names.panel(panel.as_str())) }
                    td { (finish(given_finish)) } td { (count) }
                    td { (dispatched.get(&(order.id.clone(), panel.clone(), given_finish.clone())).copied().unwrap_or(0)) }
                    td { (given(&frame, &planned, &order, panel, given_finish)) }
                    td { (whereabouts(&frame, &present, panel, given_finish)) }
                }
            } }
        } }
        (order_change::change(&order, seen.tag()))
    };
    Ok(frame.page(Place::Orders, &words::order(order.id.as_str()), main))
}

/// Where panels of a kind are: `2 in moulds since Mon 2 March, 4 in North tank since Tue 3 March`. Whose they will be, the plan
/// says.
fn whereabouts(frame: &Frame, present: &[Lot], panel: &PanelId, finish: &FinishId) -> String {
    let mut kinds: Vec<&Lot> = present.iter().filter(|l| l.panel == *panel && l.finish == *finish).collect();
    kinds.sort_by_key(|lot| (std::cmp::Reverse(lot.stage), lot.since, lot.id));
    let said = |lot: &&Lot| {
        let (count, since) = (lot.quantity, frame.said.day(lot.since));
        match (lot.stage, &lot.tank, &lot.rack) {
            (Stage::Soaking, Some(tank), _) => words::in_tank(count, frame.names.place(tank.as_str()), &since),
            (Stage::Drying, _, Some(rack)) => words::on_rack(count, frame.names.place(rack.as_str()), &since),
            (Stage::InMould, ..) => words::in_moulds(count, &since),
            (Stage::Soaking, ..) => words::in_water(count, &since),
            (Stage::Drying, ..) => words::drying(count, &since),
            (Stage::Ready, ..) => words::ready(count, &since),
        }
    };
    if kinds.is_empty() { words::NONE.to_owned() } else { kinds.iter().map(said).collect::<Vec<_>>().join(", ") }
}

/// On which days the plan gives an order panels of a kind: `3 on Mon 2 March, 1 on Tue 3 March`.
fn given(frame: &Frame, planned: &Planned, order: &Order, panel: &PanelId, finish: &FinishId) -> String {
    let met = planned.given.get(order.id.as_str()).into_iter().flatten();
    let mut days: BTreeMap<Day, i64> = BTreeMap::new();
    for one in met.filter(|m| m.panel == panel.as_str() && m.finish == finish.as_str()) {
        *days.entry(one.day).or_default() += one.quantity;
    }
    let parts: Vec<String> = days.into_iter().map(|(day, n)| words::given_on(n, &frame.said.day(day))).collect();
    parts.join(", ")
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(list).service(new_order).service(import).service(one_order);
}
