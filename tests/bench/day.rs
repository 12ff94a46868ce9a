//! What our layers cost on SQLite, as ratios of one run: a day's tickets pulled from the service and from a bare handler that
//! reads and writes out the same; orders taken one by one by the service and by bare SQL that commits the same rows; a day's
//! sheet beside five years of history and without any.
//!
//! Not part of any test: run it on a quiet machine. `cargo build --release -p stories --example day_ratios`, then
//! `day_ratios [--requests 300] [--orders 150] [--years 5]`. Built without `--release` most of what it measures is generic code
//! of the standard library that nobody has optimised.

use std::collections::BTreeMap;
use std::error::Error;
use std::time::{Duration, Instant};

use actix_web::web::Data;
use actix_web::{App, HttpResponse, HttpServer, web};
use chrono::{DateTime, Datelike as _, Days, NaiveDate as Day, Utc, Weekday};
use reqwest::{Client, Method};
use sea_orm::sea_query::Value;
use sea_orm::{ConnectOptions, ConnectionTrait as _, Database, DatabaseConnection, Statement, TransactionTrait as _};
use serde_json::json;
use store::{Record as _, Store, lots, tickets, upkeep};
use stories::World;
use testkit::databases::TestDatabase;
use workshop::catalogue::Material;
use workshop::ids::{MaterialId, TicketNumber};
use workshop::lots::{NewLot, Stage};
use workshop::said::Said;
use workshop::tickets::{Ticket, TicketState};
use workshop::upkeep::{UpkeepReport, UpkeepTask};

type Outcome<T = ()> = Result<T, Box<dyn Error>>;

/// The demonstration's first working morning, its tickets issued.
const MORNING: &str = "2026-03-02T06:00:00Z";

fn main() -> Outcome {
    let (mut requests, mut orders, mut years) = (300, 150, 5);
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        let number = words.next().ok_or(format!("{word} wants a number"));
        match word.as_str() {
            "--requests" => requests = number?.parse()?,
            "--orders" => orders = number?.parse()?,
            "--years" => years = number?.parse()?,
            other => return Err(format!("'{other}' is not known: there are --requests, --orders, --years").into()),
        }
    }
    let runtime = actix_web::rt::System::new();
    runtime.block_on(async {
        pulled_tickets(requests).await?;
        taken_orders(orders).await?;
        sheets(requests.div_ceil(3), years).await
    })
}

async fn issued() -> Outcome<(TestDatabase, World)> {
    let database = TestDatabase::sqlite();
    let world = World::new(database.migrated().await).await;
    world.plan().await;
    world.it_is(MORNING);
    world.work().await;
    Ok((database, world))
}

/// The median of so many requests of each of two addresses, asked in turn.
async fn in_turn(client: &Client, one: &str, other: &str, requests: usize) -> Outcome<(f64, f64)> {
    let (mut ones, mut others) = (Vec::new(), Vec::new());
    for _ in 0..requests {
        for (url, times) in [(one, &mut ones), (other, &mut others)] {
            let asked = Instant::now();
            let answer = client.request(Method::GET, url).send().await?;
            let status = answer.status();
            answer.bytes().await?;
            if !status.is_success() {
                return Err(format!("{url} was answered by {status}").into());
            }
            times.push(asked.elapsed());
        }
    }
    Ok((median(ones), median(others)))
}

fn median(mut times: Vec<Duration>) -> f64 {
    times.sort();
    times.get(times.len() / 2).copied().unwrap_or_default().as_secs_f64() * 1000.0
}

/// The same reads and the same JSON without gate, log, paths and problems.
async fn bare_tickets(store: Data<Store>) -> Result<HttpResponse, actix_web::Error> {
    let failed = actix_web::error::ErrorInternalServerError::<store::StoreError>;
    let tx = store.read().await.map_err(failed)?;
    let day = Day::from_ymd_opt(2026, 3, 2).unwrap_or_default();
    let found = tickets::of_day(&tx, day).await.map_err(failed)?;
    let materials = Material::all(&tx).await.map_err(failed)?;
    tx.rollback().await.map_err(failed)?;
    let units = materials.into_iter().map(|m| (m.id, m.unit)).collect::<BTreeMap<MaterialId, _>>();
    let forms: Vec<_> = found.into_iter().map(|t| api::wire::tickets::Ticket::of(t.value, &units)).collect();
    Ok(HttpResponse::Ok().json(forms))
}

async fn pulled_tickets(requests: usize) -> Outcome {
    let (_database, world) = issued().await?;
    let store = Data::new(world.store.clone());
    let bare = HttpServer::new(move || App::new().app_data(store.clone()).route("/", web::get().to(bare_tickets)));
    let bare = bare.workers(1).tcp_nodelay(true).bind(("127.0.0.1", 0))?;
    let address = bare.addrs().first().copied().ok_or("the bare handler has no address")?;
    let bare = bare.run();
    let handle = bare.handle();
    actix_web::rt::spawn(bare);
    let client = Client::new();
    let (ours, theirs) =
        in_turn(&client, &world.url("/days/2026-03-02/tickets"), &format!("http://{address}/"), requests).await?;
    handle.stop(false).await;
    world.api.stop().await;
    println!(
        "a day's tickets: {ours:.2} ms, bare handler {theirs:.2} ms: {:.2} of its requests a second",
        theirs / ours
    );
    Ok(())
}

/// The rows an order and its mark are, committed by themselves.
async fn bare_order(connection: &DatabaseConnection, number: usize) -> Outcome {
    let tx = connection.begin().await?;
    let run = async |sql: &str, values: Vec<Value>| {
        tx.execute_raw(Statement::from_sql_and_values(sea_orm::DatabaseBackend::Sqlite, sql, values)).await
    };
    let id = format!("BARE-{number}");
    let head = "INSERT INTO customer_order (id, version, due_on, priority, state, parts_agreed) VALUES (?, 1, '2026-05-20', 'usual', 'open', 0)";
    run(head, vec![id.clone().into()]).await?;
    let line =
        "INSERT INTO order_line (order_id, position, set_id, finish, quantity) VALUES (?, 1, 'planter-450', 'grey', 2)";
    run(line, vec![id.clone().into()]).await?;
    let mark = "INSERT INTO plan_mark (at, what, detail) VALUES ('2026-03-02T06:00:00+00:00', 'order', ?)";
    run(mark, vec![format!("order '{id}' is new").into()]).await?;
    tx.commit().await?;
    Ok(())
}

async fn taken_orders(orders: usize) -> Outcome {
    let (database, world) = issued().await?;
    let mut options = ConnectOptions::new(database.url.clone());
    options.max_connections(1).sqlx_logging(false).map_sqlx_sqlite_opts(|sqlite| {
        sqlite.pragma("journal_mode", "WAL").pragma("synchronous", "FULL").foreign_keys(true)
    });
    let connection = Database::connect(options).await?;
    let (mut ours, mut theirs) = (Vec::new(), Vec::new());
    for number in 0..orders {
        let order = json!({ "id": format!("OURS-{number}"), "due_on": "2026-05-20",
            "lines": [{ "set": "planter-450", "finish": "grey", "quantity": 2 }] });
        let asked = Instant::now();
        let answer = world.send(Method::POST, "/orders", Some(&order.to_string())).await;
        ours.push(asked.elapsed());
        if answer.status() != 201 {
            return Err(format!("an order was answered by {}: {}", answer.status(), answer.text().await?).into());
        }
        let asked = Instant::now();
        bare_order(&connection, number).await?;
        theirs.push(asked.elapsed());
    }
    connection.close().await?;
    world.api.stop().await;
    let (ours, theirs) = (median(ours), median(theirs));
    println!("an order taken: {ours:.2} ms, bare SQL {theirs:.2} ms: {:.2} of its orders a second", theirs / ours);
    Ok(())
}

async fn sheets(requests: usize, years: u64) -> Outcome {
    let (_empty, young) = issued().await?;
    let (_full, old) = issued().await?;
    remember(&old, years).await?;
    let client = Client::new();
    let path = "/days/2026-03-02/sheet";
    let (with, without) = in_turn(&client, &old.url(path), &young.url(path), requests).await?;
    young.api.stop().await;
    old.api.stop().await;
    println!(
        "a day's sheet beside {years} years: {with:.2} ms, without {without:.2} ms: {:.2} times as long",
        with / without
    );
    Ok(())
}

/// Years of working days as they were: tickets mixed, panels sent out, upkeep done.
async fn remember(world: &World, years: u64) -> Outcome {
    let today = Day::from_ymd_opt(2026, 3, 2).ok_or("no day")?;
    let tx = world.store.write().await?;
    let pattern: Vec<Ticket> = tickets::of_day(&tx, today).await?.into_iter().map(|t| t.value).collect();
    let first = pattern.first().ok_or("the demonstration issued no ticket")?.clone();
    let tasks = UpkeepTask::all(&tx).await?;
    let mut day = today - Days::new(365 * years);
    while day < today {
        if !matches!(day.weekday(), Weekday::Sat | Weekday::Sun) {
            let at: DateTime<Utc> = day.and_hms_opt(6, 0, 0).ok_or("no hour")?.and_utc();
            let mixed: Vec<Ticket> =
                (1..=4).map(|sequence| mixed(&first, TicketNumber { day, sequence }, at)).collect();
            tickets::insert_day(&tx, day, first.run, at, &mixed).await?;
            let fill = &first.fills[0];
            let (panel, revision) = (fill.panel.clone(), first.revision.clone());
            let (tank, rack, row) = (None, None, None);
            let lot = NewLot {
                panel,
                revision,
                poured_on: day,
                ticket: None,
                stage: Stage::Ready,
                since: day,
                quantity: 12,
                tank,
                rack,
                row,
            };
            let lot = lots::insert(&tx, &lot).await?;
            lots::dispatch(&tx, lot.id, 12, day, None).await?;
            for task in &tasks {
                let value = task.measures.as_ref().map(|_| 14.5);
                let (task, said) = (task.id.clone(), Said::default());
                upkeep::report(&tx, &UpkeepReport { task, day, done: true, value, note: None, said }).await?;
            }
        }
        day = day + Days::new(1);
    }
    tx.commit().await?;
    Ok(())
}

/// A ticket like this one of another day; closed where it is closed, its moulds nobody's.
fn mixed(like: &Ticket, number: TicketNumber, at: DateTime<Utc>) -> Ticket {
    let mut ticket = like.clone();
    ticket.number = number;
    (ticket.issued_at, ticket.closed_at, ticket.state) = (at, Some(at), TicketState::Mixed);
    ticket.fills.iter_mut().for_each(|fill| fill.moulds.clear());
    ticket.lines.iter_mut().for_each(|line| line.actual = Some(line.target));
    ticket
}
