//! Three API processes and two worker processes on one database: everything happens once, whoever is asked.

use std::collections::BTreeMap;
use std::time::Duration;

use chrono::Days;
use reqwest::Client;
use serde_json::{Value, json};
use testkit::databases::databases;
use workshop::runs::RunState;
use workshop::tickets::TicketState;

use crate::service::{Service, Told, send};
use crate::workshop::{World, noon};

/// Everyone at work on one database.
struct Crowd {
    world: World,
    apis: Vec<Service>,
    workers: Vec<Service>,
}

impl Crowd {
    async fn gather(world: World) -> Self {
        let told = |command| Told { command, database: &world.url, today: mouldboard::demo::TODAY, die_at: None };
        let (mut apis, mut workers) = (Vec::new(), Vec::new());
        for _ in 0..3 {
            apis.push(Service::start(told("api")).await);
        }
        for _ in 0..2 {
            workers.push(Service::start(told("worker")).await);
        }
        Self { apis, workers, world }
    }

    /// The same thing sent to all three at once, each under a key of its own or all under one: how each answered.
    async fn all_at_once(&self, path: &str, key: Option<&str>, body: &Value) -> Vec<(u16, String)> {
        let text = body.to_string();
        let each = self.apis.iter().enumerate().map(|(index, api)| {
            let key = key.map_or_else(|| format!("{path}-{index}"), str::to_owned);
            let (path, text) = (path.to_owned(), text.clone());
            async move { api.send(&path, &key, &text).await.unwrap() }
        });
        let mut answers = Vec::new();
        let mut each: Vec<_> = each.map(Box::pin).collect();
        let (first, second, third) = (each.remove(0), each.remove(0), each.remove(0));
        let (first, second, third) = tokio::join!(first, second, third);
        answers.extend([first, second, third]);
        answers
    }

    /// Waits until the workers have issued today's tickets.
    async fn issued(&self) -> Vec<workshop::tickets::Ticket> {
        self.until("today's tickets were not issued", async || {
            let tickets = self.world.tickets(mouldboard::demo::TODAY).await;
            (!tickets.is_empty()).then_some(tickets)
        })
        .await
    }

    async fn until<T>(&self, otherwise: &str, look: impl AsyncFn() -> Option<T>) -> T {
        for _ in 0..600 {
            if let Some(found) = look().await {
                return found;
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        panic!("{otherwise}");
    }

    async fn leave(self) {
        for service in self.apis.into_iter().chain(self.workers) {
            service.kill().await;
        }
        self.world.work_at(noon(mouldboard::demo::TODAY)).await;
        self.world.audit("everyone has left").await;
    }
}

fn statuses(answers: &[(u16, String)]) -> BTreeMap<u16, usize> {
    let mut counts = BTreeMap::new();
    for (status, _) in answers {
        *counts.entry(*status).or_default() += 1;
    }
    counts
}

#[tokio::test(flavor = "multi_thread")]
async fn three_apis_and_two_workers_do_everything_once() {
    for database in databases().await {
        let crowd = Crowd::gather(World::planned(database).await).await;
        tickets_are_issued_once(&crowd).await;
        an_order_is_taken_once(&crowd).await;
        a_ticket_is_completed_once(&crowd).await;
        every_run_that_was_asked_for_ends(&crowd).await;
        crowd.leave().await;
    }
}

async fn tickets_are_issued_once(crowd: &Crowd) {
    let tickets = crowd.issued().await;
    assert_eq!(tickets.len(), crowd.world.batches(mouldboard::demo::TODAY).await);
}

async fn an_order_is_taken_once(crowd: &Crowd) {
    let order = |id: &str| {
        json!({ "id": id, "due_on": mouldboard::demo::TODAY + Days::new(60),
            "lines": [{ "set": "planter-450", "finish": "grey", "quantity": 1 }] })
    };
    let apart = crowd.all_at_once("/orders", None, &order("CROWD-1")).await;
    assert_eq!(statuses(&apart), BTreeMap::from([(201, 1), (409, 2)]));
    let together = crowd.all_at_once("/orders", Some("one key"), &order("CROWD-2")).await;
    assert_eq!(statuses(&together), BTreeMap::from([(201, 3)]), "one key, one answer");
    assert!(together.iter().all(|answer| *answer == together[0]));
}

/// Two people at two tablets, and a third who says something else.
async fn a_ticket_is_completed_once(crowd: &Crowd) {
    let tickets = crowd.issued().await;
    let (one, other) = (&tickets[0], &tickets[1]);
    let cement = one.lines.iter().find(|l| l.counted).unwrap();
    let before = crowd.world.on_hand(&cement.material).await;
    let path = format!("/tickets/{}/completion", one.number);
    let same = crowd.all_at_once(&path, None, &json!({ "note": "by the window" })).await;
    assert_eq!(statuses(&same), BTreeMap::from([(200, 3)]), "the same said three times is one completion");
    assert_eq!(crowd.world.on_hand(&cement.material).await, before - cement.target.get());

    let path = format!("/tickets/{}/completion", other.number);
    let said = |who: &str| json!({ "note": who }).to_string();
    let (first, second) = (said("first"), said("second"));
    let (a, b) =
        tokio::join!(crowd.apis[0].send(&path, "first", &first), crowd.apis[1].send(&path, "second", &second),);
    let mut both = [a.unwrap().0, b.unwrap().0];
    both.sort_unstable();
    assert_eq!(both, [200, 409], "two people said different things of one ticket");
    crowd.world.audit("two people completed one ticket").await;
}

async fn every_run_that_was_asked_for_ends(crowd: &Crowd) {
    let mut runs = Vec::new();
    for _ in 0..2 {
        for (status, body) in crowd.all_at_once("/planning-runs", None, &json!({ "reason": "to see" })).await {
            assert_eq!(status, 202, "{body}");
            let asked: Value = serde_json::from_str(&body).unwrap();
            runs.push(asked["id"].as_i64().unwrap());
        }
    }
    for run in runs {
        let run = workshop::ids::RunId::new(run);
        let ended = crowd.until("a planning run did not end", async || {
            let tx = crowd.world.store.read().await.unwrap();
            let run = store::runs::find(&tx, run).await.unwrap().unwrap().value;
            matches!(run.state, RunState::Planned | RunState::Failed).then_some(run)
        });
        let ended = ended.await;
        assert_eq!(ended.state, RunState::Planned, "{:?}", ended.remark);
    }
}

/// The database is held up; the bench gives up waiting and sends the same again, to another process.
#[tokio::test(flavor = "multi_thread")]
async fn a_request_sent_again_after_a_time_out_is_done_once() {
    for database in databases().await {
        let world = World::planned(database).await;
        world.work_at(noon(mouldboard::demo::TODAY)).await;
        let ticket = world.tickets(mouldboard::demo::TODAY).await.remove(0);
        let line = ticket.lines.iter().find(|l| l.counted).unwrap();
        let before = world.on_hand(&line.material).await;
        let told = Told { command: "api", database: &world.url, today: mouldboard::demo::TODAY, die_at: None };
        let (first, second) = (Service::start(told).await, Service::start(told).await);
        let path = format!("/tickets/{}/completion", ticket.number);
        let impatient = Client::builder().timeout(Duration::from_millis(200)).build().unwrap();

        let held = world.store.write().await.unwrap();
        let gave_up = send(&impatient, &first.url, &path, "once", "{}").await;
        assert!(gave_up.is_err_and(|e| e.is_timeout()), "it was answered while the database was held");
        held.rollback().await.unwrap();
        let answered = second.send(&path, "once", "{}").await.unwrap();
        assert_eq!(answered.0, 200, "{}", answered.1);
        assert_eq!(first.send(&path, "once", "{}").await.unwrap(), answered, "another answer to the same");

        assert_eq!(world.on_hand(&line.material).await, before - line.target.get());
        assert_eq!(world.tickets(mouldboard::demo::TODAY).await[0].state, TicketState::Mixed);
        first.kill().await;
        second.kill().await;
        world.audit("a request was sent again").await;
    }
}
