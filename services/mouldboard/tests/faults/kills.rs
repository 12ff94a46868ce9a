//! The service killed again and again while people work with it: whatever it had answered is so, whatever it had not can be
//! sent again, and what it leaves behind is whole.

use std::sync::{Arc, Mutex};
use std::time::Duration;

use chrono::{Days, NaiveDate as Day};
use reqwest::Client;
use serde_json::{Value, json};
use workshop::lots::Stage;
use workshop::tickets::{Ticket, TicketState};

use crate::on_every_database;
use crate::service::{Service, Told, send};
use crate::workshop::{World, noon};

/// Kills on every run, and where `MOULDBOARD_TEST_SLOW` is set.
const KILLS: u64 = 40;
const SLOW_KILLS: u64 = 400;
/// Most answers that people wait for before it is killed, and how much longer it lives then, milliseconds at the most: however
/// slow the machine is, it dies at work.
const ANSWERS: u64 = 24;
const LONGER_MS: u64 = 60;

#[tokio::test(flavor = "multi_thread")]
async fn killed_at_random_under_load_it_loses_and_doubles_nothing() {
    let kills = if std::env::var_os("MOULDBOARD_TEST_SLOW").is_some() { SLOW_KILLS } else { KILLS };
    on_every_database(async |database| {
        println!("{kills} kills on {:?}", database.kind);
        let world = World::planned(database).await;
        let people = People::default();
        let mut day = mouldboard::demo::TODAY;
        for kill in 0..kills {
            let service = Service::start(told(&world, day)).await;
            let (answers, longer) = (scattered(kill) % ANSWERS, scattered(kill + kills) % LONGER_MS);
            tokio::select! {
                () = people.work(&world, &service.url, day) => panic!("people never stop by themselves"),
                () = people.had(answers, Duration::from_millis(longer)) => {}
            }
            service.kill().await;
            world.audit(&format!("kill {kill}, {answers} answers and {longer} ms into {day}")).await;
            day = world.next_day(day);
        }
        people.end(&world, day).await;
    })
    .await;
}

fn told(world: &World, today: Day) -> Told<'_> {
    Told { command: "serve", database: &world.url, today, die_at: None }
}

/// A number that looks like any other (splitmix64): lives differ from kill to kill, and not from run to run.
fn scattered(seed: u64) -> u64 {
    let mut x = seed.wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    x ^ (x >> 31)
}

/// Something a person sent.
#[derive(Clone, Debug)]
struct Sent {
    path: String,
    key: String,
    body: String,
}

/// Everyone who works with the service, and what they remember of it.
#[derive(Default)]
struct People {
    client: Client,
    /// What was sent and never answered.
    unanswered: Arc<Mutex<Vec<Sent>>>,
    /// What was answered: it must be so ever after.
    answered: Arc<Mutex<Vec<(Sent, u16, String)>>>,
    sent: Arc<Mutex<u64>>,
}

impl People {
    /// First everything that had no answer is sent again; then the bench, the office, the yard and the lorry work side by side.
    async fn work(&self, world: &World, at: &str, day: Day) {
        let again = std::mem::take(&mut *self.unanswered.lock().unwrap());
        for sent in again {
            self.send(at, sent).await;
        }
        let (bench, office) = (self.bench(world, at, day), self.office(at, day));
        tokio::join!(bench, office, self.yard(world, at, day), self.lorry(at, day));
    }

    /// Waits until there are so many answers more, and then so much longer.
    async fn had(&self, answers: u64, longer: Duration) {
        let there = || self.answered.lock().unwrap().len() as u64;
        let enough = there() + answers;
        while there() < enough {
            pause().await;
        }
        tokio::time::sleep(longer).await;
    }

    /// Sends and remembers. Noted as unanswered first: a kill drops this future where it stands.
    async fn send(&self, at: &str, what: Sent) -> Option<Value> {
        self.unanswered.lock().unwrap().push(what.clone());
        let answer = send(&self.client, at, &what.path, &what.key, &what.body).await;
        let (status, body) = answer.ok()?;
        assert!(status < 500 || status == 503, "{what:?}: {status} {body}");
        if status == 503 {
            return None;
        }
        self.unanswered.lock().unwrap().retain(|sent| sent.key != what.key);
        self.answered.lock().unwrap().push((what, status, body.clone()));
        serde_json::from_str(&body).ok()
    }

    fn key(&self) -> u64 {
        let mut sent = self.sent.lock().unwrap();
        *sent += 1;
        *sent
    }

    /// Sends something new, under a key of its own.
    async fn make(&self, at: &str, path: &str, body: Value) -> Option<Value> {
        let key = format!("new-{}", self.key());
        self.send(at, Sent { path: path.to_owned(), key, body: body.to_string() }).await
    }

    /// Goes through the tickets of the day.
    async fn bench(&self, world: &World, at: &str, day: Day) {
        loop {
            let open = world.tickets(day).await.into_iter().filter(|t| t.state == TicketState::Issued);
            for ticket in open {
                self.mixes(at, &ticket).await;
            }
            pause().await;
        }
    }

    /// Weighs one ticket in three at the mixer and completes it, voids one in four instead, and one in five after all.
    async fn mixes(&self, at: &str, ticket: &Ticket) {
        let (path, sequence) = (format!("/tickets/{}", ticket.number), ticket.number.sequence);
        let density = ticket.wet_density_kg_m3;
        if sequence.is_multiple_of(3) {
            let weighed = json!({ "by": "the bench", "place": "mixer", "measured_wet_density_kg_m3": density + 5.0,
                "minutes_since_foaming": 4.0 });
            self.make(at, &format!("{path}/corrections"), weighed).await;
        }
        if !sequence.is_multiple_of(4) {
            self.make(at, &format!("{path}/completion"), json!({ "measured_wet_density_kg_m3": density })).await;
        }
        if sequence.is_multiple_of(4) || sequence.is_multiple_of(5) {
            self.make(at, &format!("{path}/void"), json!({ "reason": "dropped" })).await;
        }
    }

    /// Takes orders, asks for plans, orders cement, and receives it: all of it, or a part with the rest to come.
    async fn office(&self, at: &str, day: Day) {
        loop {
            let number = self.key();
            self.make(at, "/orders", one_planter(&format!("LOAD-{number}"), day + Days::new(30))).await;
            if number.is_multiple_of(3) {
                self.make(at, "/planning-runs", json!({})).await;
            }
            let cement = json!({ "material": "cement", "packs": 2, "expected_on": day + Days::new(3) });
            if let Some(made) = self.make(at, "/deliveries", cement).await.filter(|made| made["id"].is_i64()) {
                let arrival = match number.is_multiple_of(2) {
                    true => json!({ "received": made["pack"], "rest_expected_on": day + Days::new(5) }),
                    false => json!({}),
                };
                self.make(at, &format!("/deliveries/{}/arrival", made["id"]), arrival).await;
            }
            self.puts_right(at).await;
            pause().await;
        }
    }

    /// Writes a line into the ledger, and takes it back.
    async fn puts_right(&self, at: &str) {
        let line = json!({ "material": "cement", "kind": "adjusted", "amount": -750, "note": "spilt" });
        if let Some(line) = self.make(at, "/stock/entries", line).await.filter(|line| line["id"].is_i64()) {
            let path = format!("/stock/entries/{}/counter", line["id"]);
            self.make(at, &path, json!({ "note": "it was not spilt" })).await;
        }
    }

    /// Strips what stands in moulds, scraps some of it, and sends out what is ready, for nobody in particular.
    async fn yard(&self, world: &World, at: &str, day: Day) {
        loop {
            for lot in world.lots().await.into_iter().filter(|lot| lot.since < day) {
                let (verb, body) = match lot.stage {
                    _ if self.key().is_multiple_of(6) => ("scrap", json!({ "quantity": 1, "cause": "dropped" })),
                    Stage::InMould => ("moves", json!({ "to": "soaking", "quantity": 1, "tank": "big-tank" })),
                    Stage::Soaking => ("moves", json!({ "to": "drying", "quantity": 1, "rack": "drying-rack" })),
                    Stage::Drying => ("moves", json!({ "to": "ready", "quantity": 1 })),
                    Stage::Ready => ("dispatch", json!({ "quantity": 1 })),
                };
                self.make(at, &format!("/lots/{}/{verb}", lot.id), body).await;
            }
            pause().await;
        }
    }

    /// Finds panels that nobody wrote down, and sends a whole order out with them.
    async fn lorry(&self, at: &str, day: Day) {
        loop {
            let order = format!("WHOLE-{}", self.key());
            let panels = json!({ "panel": "planter-side-450", "revision": "foamed-grey@2", "poured_on": day - Days::new(20),
                "stage": "ready", "since": day, "quantity": 4 });
            self.make(at, "/lots", panels).await;
            self.make(at, "/orders", one_planter(&order, day)).await;
            self.make(at, &format!("/orders/{order}/dispatch"), json!({})).await;
            pause().await;
        }
    }

    /// The morning after: what is left over is done, what had no answer gets one, and what had one is so.
    async fn end(&self, world: &World, day: Day) {
        let service = Service::start(told(world, day)).await;
        let again = std::mem::take(&mut *self.unanswered.lock().unwrap());
        for sent in again {
            self.send(&service.url, sent).await;
        }
        assert!(self.unanswered.lock().unwrap().is_empty());
        let answered = self.answered.lock().unwrap().clone();
        let mut kept = 0;
        for (sent, status, body) in answered.iter().filter(|(_, status, _)| *status < 300) {
            kept += usize::from(self.is_so(&service.url, sent, *status, body).await);
        }
        let refused: Vec<_> = answered.iter().filter(|(_, status, _)| *status >= 300).collect();
        println!("{} answered, {kept} looked up, {} refused", answered.len(), refused.len());
        assert!(kept > answered.len() / 4, "nearly all was refused, so nothing was tried: {refused:#?}");
        service.kill().await;
        world.work_at(noon(day)).await;
        world.audit("the last kill").await;
    }

    /// What was answered with success is there: whether there was anything to look up.
    async fn is_so(&self, at: &str, sent: &Sent, status: u16, body: &str) -> bool {
        let said: Value = serde_json::from_str(body).unwrap_or_default();
        let (place, field, wanted) = match sent.path.as_str() {
            "/orders" => (format!("/orders/{}", said["id"].as_str().unwrap()), "id", said["id"].clone()),
            // It may have been voided since; then it still says what was measured.
            path if path.ends_with("/completion") => {
                let field = "measured_wet_density_kg_m3";
                (before(path), field, said["ticket"][field].clone())
            }
            path if path.ends_with("/arrival") => (before(path), "received", said["received"].clone()),
            path if path.starts_with("/orders/") => (before(path), "state", json!("dispatched")),
            path if path.ends_with("/counter") => {
                (format!("/stock/entries/{}", said["id"]), "counters", said["counters"].clone())
            }
            path if path.ends_with("/void") => (before(path), "state", json!("void")),
            path if path.ends_with("/moves") => {
                (format!("/lots/{}", said["id"]), "poured_on", said["poured_on"].clone())
            }
            _ => return false,
        };
        let there = self.client.get(format!("{at}{place}")).send().await.unwrap();
        assert_eq!(there.status(), 200, "{sent:?} was answered with {status}, and {place} is not there");
        let there: Value = there.json().await.unwrap();
        assert_eq!(there[field], wanted, "{sent:?} was answered with {status}: {there}");
        true
    }
}

fn one_planter(id: &str, due_on: Day) -> Value {
    json!({ "id": id, "due_on": due_on, "lines": [{ "set": "planter-450", "finish": "grey", "quantity": 1 }] })
}

/// A path without its last part.
fn before(path: &str) -> String {
    path.rsplit_once('/').map_or_else(String::new, |(before, _)| before.to_owned())
}

async fn pause() {
    tokio::time::sleep(Duration::from_millis(5)).await;
}
