//! How long the bench's page takes the service in a workshop with five years behind it: the demonstration workshop, its first
//! day's tickets written for every working day of the past.
//!
//! Not part of any test: run it on a quiet machine. `cargo build --release --workspace --example today_times`, then
//! `today_times [--years 5] [--times 50]`. The page is to take less than 50 ms.

use std::error::Error;
use std::time::Instant;

use chrono::{Datelike, NaiveDate as Day};
use quantities::Grams;
use stories::World;
use testkit::databases::TestDatabase;
use workshop::catalogue::Amount;
use workshop::ids::{MaterialId, TicketNumber};
use workshop::stock::{EntryKind, NewStockEntry};
use workshop::tickets::{Ticket, TicketState};

type Outcome<T = ()> = Result<T, Box<dyn Error>>;

fn main() -> Outcome {
    let (mut years, mut times) = (5, 50_usize);
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        let number = words.next().ok_or("--years and --times want a number")?;
        match word.as_str() {
            "--years" => years = number.parse()?,
            "--times" => times = number.parse()?,
            other => return Err(format!("today_times knows --years and --times, not '{other}'").into()),
        }
    }
    tokio::runtime::Runtime::new()?.block_on(measured(years, times.max(1)))
}

async fn measured(years: i32, times: usize) -> Outcome {
    let database = TestDatabase::sqlite();
    let world = World::new(database.migrated().await).await;
    world.plan().await;
    world.it_is("2026-03-02T06:00:00Z");
    world.work().await;
    let new = asked(&world, times).await?;
    let tickets = past(&world, years).await?;
    let old = asked(&world, times).await?;
    let (half, most) = (old[old.len() / 2], old[old.len() - 1]);
    println!("a new workshop: half of {times} within {:.1} ms", new[new.len() / 2]);
    println!("with {tickets} tickets of {years} years: half of {times} within {half:.1} ms, all within {most:.1} ms");
    Ok(())
}

/// Milliseconds of each time the page is asked for, in rising order.
async fn asked(world: &World, times: usize) -> Outcome<Vec<f64>> {
    let mut took = Vec::with_capacity(times);
    for _ in 0..times {
        let began = Instant::now();
        world.text("/").await;
        took.push(began.elapsed().as_secs_f64() * 1000.0);
    }
    took.sort_by(f64::total_cmp);
    Ok(took)
}

/// Writes the past: the first day's tickets, mixed, and what they drew, on every weekday of so many years. How many tickets.
async fn past(world: &World, years: i32) -> Outcome<usize> {
    let today: Day = "2026-03-02".parse()?;
    let first = today.with_year(today.year() - years).ok_or("no such year")?;
    let tx = world.store.read().await?;
    let pattern: Vec<Ticket> = store::tickets::of_day(&tx, today).await?.into_iter().map(|found| found.value).collect();
    tx.rollback().await?;
    let mut written = 0;
    for day in first.iter_days().take_while(|day| *day < today).filter(|day| day.weekday().num_days_from_monday() < 5) {
        let at = day.and_hms_opt(6, 0, 0).ok_or("no such time")?.and_utc();
        let tx = world.store.write().await?;
        let old = |ticket: &Ticket| Ticket {
            number: TicketNumber { day, ..ticket.number },
            state: TicketState::Mixed,
            closed_at: day.and_hms_opt(16, 0, 0).map(|at| at.and_utc()),
            ..ticket.clone()
        };
        let tickets: Vec<Ticket> = pattern.iter().map(old).collect();
        let run = pattern.first().ok_or("the first day has no tickets")?.run;
        store::tickets::insert_day(&tx, day, run, at, &tickets).await?;
        for ticket in &tickets {
            for line in ticket.lines.iter().filter(|line| line.mass.is_some_and(|mass| mass > Grams::new(0))) {
                let drawn = drawn(&line.material, day, line.target, ticket.number);
                if line.material.as_str() != "water" {
                    store::stock::append(&tx, at, &drawn).await?;
                }
            }
        }
        tx.commit().await?;
        written += tickets.len();
    }
    Ok(written)
}

fn drawn(material: &MaterialId, day: Day, target: Amount, ticket: TicketNumber) -> NewStockEntry {
    NewStockEntry {
        material: material.clone(),
        day,
        kind: EntryKind::Drawn,
        amount: -target,
        counted: None,
        ticket: Some(ticket),
        delivery: None,
        counters: None,
        note: None,
    }
}
