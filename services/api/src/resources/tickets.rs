//! Batch tickets: read, completed, voided. Issuing them is the worker's.

use actix_web::web::{Data, Path, Query};
use actix_web::{get, post};
use chrono::NaiveDate as Day;
use feeds::table::Table;
use store::fail_points::reached;
use store::{Record, Tx, lots, stock, tickets};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::Fault;
use workshop::catalogue::Material;
use workshop::completion::{Completion, Mixed, Voided, Voiding, complete, void};
use workshop::ids::TicketNumber;
use workshop::lots::{LossKind, Lot as DomainLot, LotLoss};
use workshop::projection::unit_sign;
use workshop::said::Said;
use workshop::stock::{EntryKind, StockEntry};

use super::day_sheet::day_named;
use super::off_plan;
use crate::http::body::Body;
use crate::http::paging::PageOfAll;
use crate::http::problem::{Kind, Problem};
use crate::http::pull::feed;
use crate::http::reply::{Answer, IfNoneMatch, Reply, Shown, once};
use crate::state::State;
use crate::wire::Id;
use crate::wire::lots::Lot;
use crate::wire::tickets::{Completed, GivenCompletion, GivenVoid, Ticket, Units};

async fn units(tx: &Tx) -> Result<Units, Problem> {
    Ok(Material::all(tx).await?.into_iter().map(|m| (m.id, m.unit)).collect())
}

pub(super) fn number(text: &str) -> Result<TicketNumber, Problem> {
    let detail = format!("'{text}' is no ticket number: give it as 2026-05-04-01");
    TicketNumber::parse(text).ok_or_else(|| Problem::bad_request(vec![Fault::at("/path/number", detail)]))
}

#[utoipa::path(
    tag = "tickets", summary = "A day's tickets", description = "In mixing order; none where they are not issued yet. As CSV with Accept: text/csv.",
    params(("day" = inline(Id), Path, description = "The day, or today", example = "today"), PageOfAll),
    responses((status = 200, description = "A page of the tickets; all of them as CSV", content((Vec<Ticket> = "application/json"), (String = "text/csv", example = "ticket,day,state,mix,revision\r\n2026-05-04-01,2026-05-04,issued,foamed-grey,2\r\n")), headers(("Link" = String, description = "first and next page"))))
)]
#[get("/days/{day}/tickets")]
async fn of_day(state: Data<State>, day: Path<String>, page: Query<PageOfAll>) -> Answer {
    let tx = state.store.read().await?;
    let day = day_named(&state, &tx, &day).await?;
    let (found, units) = (tickets::of_day(&tx, day).await?, units(&tx).await?);
    tx.rollback().await?;
    let path = format!("/days/{day}/tickets");
    page.into_inner().reply(&path, &[], found, |t| t.value.number.to_string(), |t| Ticket::of(t.value, &units))
}

async fn tables(state: &State, tx: &Tx, day: &Path<String>) -> Result<Vec<Table>, Problem> {
    let day = day_named(state, tx, day).await?;
    let (found, units) = (tickets::of_day(tx, day).await?, units(tx).await?);
    let found: Vec<_> = found.into_iter().map(|t| t.value).collect();
    Ok(vec![feeds::tickets::table(&found, &units)])
}

feed!(
    /// A day's tickets as a table.
    files, tag: "tickets", csv: "/days/{day}/tickets.csv", xlsx: "/days/{day}/tickets.xlsx", summary: "A day's tickets",
    about: "One row for each line of a ticket; the header alone where they are not issued yet.",
    example: "ticket,day,state,mix,revision\r\n2026-05-04-01,2026-05-04,issued,foamed-grey,2\r\n",
    params: [("day" = inline(Id), Path, description = "The day, or today", example = "today"),], args: (day: Path<String>), tables: tables,
);

#[utoipa::path(
    tag = "tickets", summary = "Read a ticket", description = "All that whoever mixes it has to know.",
    params(("number" = inline(Id), Path, description = "Its number", example = "2026-05-04-01")),
    responses((status = 200, description = "The one named", body = Ticket, headers(("ETag" = String, description = "its version"))))
)]
#[get("/tickets/{number}")]
async fn read(state: Data<State>, text: Path<String>, known: IfNoneMatch) -> Answer {
    let number = number(&text)?;
    let tx = state.store.read().await?;
    let (found, units) = (tickets::find(&tx, number).await?, units(&tx).await?);
    tx.rollback().await?;
    let found = found.ok_or_else(|| Problem::not_found("ticket", number))?;
    Ok(Shown::new(found.version, &Ticket::of(found.value, &units))?.reply_unless_known(&known))
}

#[utoipa::path(
    tag = "tickets", summary = "Say that a ticket was mixed",
    description = "Draws what was used from stock and puts the panels it finished into their moulds. The same content again is the same completion; other content is refused. What was used is drawn even where the ledger did not know it to be there: the answer warns of it.",
    security(("token" = ["bench"])),
    params(("number" = inline(Id), Path, description = "Its number", example = "2026-05-04-01")), request_body = GivenCompletion,
    responses((status = 200, description = "It is mixed", body = Completed))
)]
#[post("/tickets/{number}/completion")]
async fn completion(state: Data<State>, text: Path<String>, body: Body<GivenCompletion>) -> Answer {
    let number = number(&text)?;
    once(&state, &body.asked, async |tx| {
        let found = tickets::find(tx, number).await?.ok_or_else(|| Problem::not_found("ticket", number))?;
        let today = state.today(tx).await?;
        let others = of_its_day(tx, number).await?;
        match complete(&found.value, &others, &body.value, state.now(), today).map_err(Problem::faulty)? {
            Completion::New(mixed) => completed(&state, tx, *mixed, found.version, today).await,
            Completion::SameAgain(warnings) => again(tx, found.value, warnings).await,
            Completion::NotNow(why) => Err(not_now(number, &why)),
        }
    })
    .await
}

pub(super) fn not_now(number: TicketNumber, why: &str) -> Problem {
    Problem::new(Kind::NotNow, format!("The ticket {number} {why}."))
}

/// Writes a completion: the ticket, its draws, its lots.
async fn completed(state: &State, tx: &Tx, mixed: Mixed, version: i64, today: Day) -> Answer {
    let mut warnings = mixed.warnings.clone();
    let units = units(tx).await?;
    reached("complete.decided");
    for draw in &mixed.draws {
        let entry = stock::append(tx, state.now(), draw).await?;
        reached("complete.first-draw");
        warnings.extend(below_nothing(&entry, &units));
    }
    reached("complete.draws");
    let mut made = Vec::new();
    for lot in &mixed.lots {
        made.push(Lot::from(lots::insert(tx, lot).await?));
    }
    reached("complete.lots");
    let ticket = tickets::close(tx, &mixed.ticket, version).await?;
    reached("complete.closed");
    off_plan::mixed(tx, today, &mixed).await?;
    Reply::json(&Completed { ticket: Ticket::of(ticket.value, &units), lots: made, warnings })
}

/// That a draw left less than nothing in the ledger.
fn below_nothing(entry: &StockEntry, units: &Units) -> Option<String> {
    let (material, below) = (&entry.entry.material, -entry.balance.get());
    let unit = units.get(material).map_or("", |unit| unit_sign(*unit));
    (entry.entry.kind == EntryKind::Drawn && below > 0).then(|| {
        format!(
            "{material} is now {below} {unit} below nothing in the ledger: it has been used, so count what is there"
        )
    })
}

/// The answer to a completion that came before, its warnings too.
async fn again(tx: &Tx, ticket: workshop::tickets::Ticket, mut warnings: Vec<String>) -> Answer {
    let (units, lots) = (units(tx).await?, of_ticket(tx, ticket.number).await?);
    let drawn = stock::of_ticket(tx, ticket.number).await?;
    warnings.extend(drawn.iter().filter_map(|entry| below_nothing(entry, &units)));
    let lots = lots.into_iter().map(Lot::from).collect();
    Reply::json(&Completed { ticket: Ticket::of(ticket, &units), lots, warnings })
}

/// All tickets of the day of one.
async fn of_its_day(tx: &Tx, number: TicketNumber) -> Result<Vec<workshop::tickets::Ticket>, Problem> {
    Ok(tickets::of_day(tx, number.day).await?.into_iter().map(|t| t.value).collect())
}

async fn of_ticket(tx: &Tx, number: TicketNumber) -> Result<Vec<DomainLot>, Problem> {
    let present = lots::all_present(tx).await?;
    Ok(present.into_iter().filter(|l| l.ticket == Some(number)).collect())
}

#[utoipa::path(
    tag = "tickets", summary = "Void a ticket",
    description = "It is not to be mixed, or did not count: what it drew is countered, its panels are taken back. A mixed ticket only as long as all its panels are untouched in their moulds.",
    security(("token" = ["bench"])),
    params(("number" = inline(Id), Path, description = "Its number", example = "2026-05-04-01")), request_body = GivenVoid,
    responses((status = 200, description = "It is void", body = Ticket))
)]
#[post("/tickets/{number}/void")]
async fn voiding(state: Data<State>, text: Path<String>, body: Body<GivenVoid>) -> Answer {
    let number = number(&text)?;
    once(&state, &body.asked, async |tx| {
        let found = tickets::find(tx, number).await?.ok_or_else(|| Problem::not_found("ticket", number))?;
        let (others, entries) = (of_its_day(tx, number).await?, stock::of_ticket(tx, number).await?);
        let (lots, today) = (lots::all_present(tx).await?, state.today(tx).await?);
        match void(&found.value, &others, &entries, &lots, &body.value, state.now(), today) {
            Voiding::New(voided) => voided_ticket(&state, tx, *voided, found.version, today).await,
            Voiding::SameAgain => Reply::json(&Ticket::of(found.value, &units(tx).await?)),
            Voiding::NotNow(why) => Err(not_now(number, &why)),
        }
    })
    .await
}

/// Writes a voiding: the counters, the lots taken back, the panels of others that it was to begin, the ticket.
async fn voided_ticket(state: &State, tx: &Tx, voided: Voided, version: i64, today: Day) -> Answer {
    for counter in &voided.counters {
        stock::append(tx, state.now(), counter).await?;
    }
    for lot in &voided.lots {
        if let Some(there) = lots::find(tx, lot.id).await? {
            lots::take_back(tx, lot.id, today, there.version).await?;
        }
    }
    for lot in &voided.not_whole {
        if let Some(there) = lots::find(tx, lot.id).await? {
            let (kind, note) =
                (LossKind::NotWhole, Some(format!("its first batch, {}, is void", voided.ticket.number)));
            let loss = LotLoss { lot: lot.id, day: today, quantity: 1, kind, cause: None, note, said: Said::default() };
            lots::lose(tx, &loss, there.version).await?;
        }
    }
    let ticket = tickets::close(tx, &voided.ticket, version).await?;
    Reply::json(&Ticket::of(ticket.value, &units(tx).await?))
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    files::configure(service);
    service.service(of_day).service(completion).service(voiding).service(read);
}
