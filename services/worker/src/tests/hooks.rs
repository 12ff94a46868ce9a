//! Notices: written with what they tell of, sent signed, sent again, set aside.

use std::sync::Arc;
use std::sync::atomic::{AtomicU16, Ordering};

use store::web_hooks::NewWebHook;
use store::{jobs, notices, web_hooks};
use testkit::databases::each_database;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpListener;
use tokio::sync::Mutex;
use workshop::notices::Kind;

use super::world::World;
use crate::{Config, DidWork};

const SECRET: &str = "mw_secret";

/// Takes messages, and answers each with the status it is told to.
struct Listener {
    url: String,
    status: Arc<AtomicU16>,
    heard: Arc<Mutex<Vec<String>>>,
}

impl Listener {
    async fn start() -> Self {
        let socket = TcpListener::bind(("127.0.0.1", 0)).await.unwrap();
        let url = format!("http://{}/x", socket.local_addr().unwrap());
        let (status, heard) = (Arc::new(AtomicU16::new(204)), Arc::new(Mutex::new(Vec::new())));
        let (told, keeps) = (status.clone(), heard.clone());
        tokio::spawn(async move {
            while let Ok((mut stream, _)) = socket.accept().await {
                let mut bytes = Vec::new();
                let mut part = [0; 4096];
                while !whole(&bytes) {
                    match stream.read(&mut part).await.unwrap() {
                        0 => break,
                        read => bytes.extend_from_slice(&part[..read]),
                    }
                }
                keeps.lock().await.push(String::from_utf8(bytes).unwrap());
                let status = told.load(Ordering::SeqCst);
                let answer = format!(
                    "HTTP/1.1 {status} said\r\nLocation: /elsewhere\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"
                );
                stream.write_all(answer.as_bytes()).await.unwrap();
            }
        });
        Self { url, status, heard }
    }

    async fn heard(&self) -> Vec<String> {
        std::mem::take(&mut *self.heard.lock().await)
    }
}

fn whole(bytes: &[u8]) -> bool {
    let text = String::from_utf8_lossy(bytes);
    text.split_once("\r\n\r\n").is_some_and(|(_, body)| {
        header(&text, "content-length")
            .and_then(|length| length.parse().ok())
            .is_some_and(|length: usize| body.len() >= length)
    })
}

fn header<'m>(message: &'m str, name: &str) -> Option<&'m str> {
    let mut lines = message.lines().take_while(|line| !line.is_empty());
    lines.find_map(|line| {
        line.split_once(": ").filter(|(key, _)| key.eq_ignore_ascii_case(name)).map(|(_, value)| value)
    })
}

async fn hook(world: &World, url: &str, kinds: &[Kind]) -> i64 {
    let tx = world.store.write().await.unwrap();
    let new = NewWebHook { name: "yard", url, kinds, secret: SECRET };
    let made = web_hooks::insert(&tx, &new, world.now()).await.unwrap();
    tx.commit().await.unwrap();
    made.id
}

fn sender(world: &World) -> Config {
    Config { hooks_to_private: true, ..world.worker("one") }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_plan_and_a_days_tickets_are_told_once_and_signed() {
    each_database(async |store| {
        let world = World::new(store).await;
        let listener = Listener::start().await;
        hook(&world, &listener.url, &[Kind::PlanInForce, Kind::TicketsIssued]).await;
        let run = world.ask().await;
        world.work(&sender(&world)).await;
        world.set(super::world::ISSUE);
        world.work(&sender(&world)).await;
        let heard = listener.heard().await;
        assert_eq!(heard.len(), 2, "{heard:?}");
        let (first, second) = (&heard[0], &heard[1]);
        assert!(
            first.contains(&format!("\"subject\":\"{run}\",\"sentence\":\"The plan of run {run} is in force.\"")),
            "{first}"
        );
        assert!(
            second.contains("\"kind\":\"tickets_issued\"") && second.contains("\"subject\":\"2026-05-04\""),
            "{second}"
        );
        for message in &heard {
            let (_, body) = message.split_once("\r\n\r\n").unwrap();
            let seconds: i64 = header(message, "mouldboard-time").unwrap().parse().unwrap();
            assert_eq!(
                header(message, "mouldboard-signature"),
                Some(&*feeds::notices::signature(SECRET, seconds, body))
            );
            assert!(body.starts_with('{') && message.starts_with("POST /x HTTP/1.1"), "{message}");
        }
        assert_eq!(world.work(&sender(&world)).await, [], "nothing is sent twice");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_plan_that_is_asked_for_waits_behind_no_notice() {
    each_database(async |store| {
        let world = World::new(store).await;
        let listener = Listener::start().await;
        hook(&world, &listener.url, &[Kind::OrderLate]).await;
        let tx = world.store.write().await.unwrap();
        for order in 0..20 {
            let sentence = format!("Order {order} is late.");
            let said = workshop::notices::NewNotice { kind: Kind::OrderLate, subject: order.to_string(), sentence };
            notices::write(&tx, &said).await.unwrap();
        }
        tx.commit().await.unwrap();
        world.pass(60);
        world.ask().await;
        let first = crate::step(&world.store, &sender(&world)).await.unwrap();
        assert!(matches!(&first, DidWork::Done { kind, .. } if kind == crate::PLAN), "{first:?}");
        assert_eq!(listener.heard().await.len(), 0);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_not_taken_is_sent_again_and_set_aside_in_the_end() {
    each_database(async |store| {
        let world = World::new(store).await;
        let listener = Listener::start().await;
        // A redirection is followed nowhere: it is no answer of 2xx.
        listener.status.store(302, Ordering::SeqCst);
        let hook = hook(&world, &listener.url, &[Kind::PlanInForce]).await;
        world.ask().await;
        let config = sender(&world);
        world.work(&config).await;
        for attempt in 2..=8 {
            assert_eq!(world.work(&config).await, [], "it waits before attempt {attempt}");
            world.pass(4_000);
            let failed = |did: &DidWork| matches!(did, DidWork::Failed { kind, again_at, .. } if kind == notices::SEND && again_at.is_none() == (attempt == 8));
            let did = world.work(&config).await;
            assert!(did.iter().any(failed), "attempt {attempt}: {did:?}");
        }
        assert_eq!(listener.heard().await.len(), 8);
        let tx = world.store.read().await.unwrap();
        assert_eq!(notices::sending(&tx).await.unwrap().get(&hook), Some(&(0, 1)));
        let aside = jobs::page(&tx, Some(jobs::JobState::SetAside), None, 10).await.unwrap();
        assert!(aside[0].last_error.as_ref().is_some_and(|error| error.contains("302") && !error.contains("http")), "{aside:?}");
        tx.rollback().await.unwrap();
        listener.status.store(200, Ordering::SeqCst);
        let tx = world.store.write().await.unwrap();
        jobs::retry_set_aside(&tx, aside[0].id, world.now()).await.unwrap();
        tx.commit().await.unwrap();
        world.work(&config).await;
        assert_eq!(listener.heard().await.len(), 1, "a person had it tried again");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn nothing_is_sent_into_the_own_network_or_to_a_hook_that_was_ended() {
    each_database(async |store| {
        let world = World::new(store).await;
        let listener = Listener::start().await;
        let ended = hook(&world, &listener.url, &[Kind::PlanInForce]).await;
        world.ask().await;
        let careful = world.worker("careful");
        let did = world.work(&careful).await;
        let refused = |did: &DidWork| matches!(did, DidWork::Failed { error, .. } if error.contains("private network"));
        assert!(did.iter().any(refused), "{did:?}");
        let tx = world.store.write().await.unwrap();
        web_hooks::end(&tx, ended, world.now()).await.unwrap();
        tx.commit().await.unwrap();
        world.pass(10);
        world.work(&sender(&world)).await;
        assert_eq!(listener.heard().await, Vec::<String>::new());
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn late_orders_are_told_when_they_become_late_and_not_again() {
    each_database(async |store| {
        let world = World::new(store).await;
        let tell = async |late: &[&str]| {
            let tx = world.store.write().await.unwrap();
            let said: Vec<_> = late
                .iter()
                .map(|order| workshop::notices::NewNotice {
                    kind: Kind::OrderLate,
                    subject: (*order).to_owned(),
                    sentence: format!("{order} is late."),
                })
                .collect();
            notices::stand(&tx, &said).await.unwrap();
            tx.commit().await.unwrap();
        };
        for late in [&["A"][..], &["A", "B"], &["B"], &["B", "A"], &[]] {
            tell(late).await;
        }
        let tx = world.store.read().await.unwrap();
        let told = notices::page(&tx, Some(Kind::OrderLate), None, 10).await.unwrap();
        let told: Vec<String> = told.into_iter().map(|notice| notice.said.subject).collect();
        assert_eq!(told, ["A", "B", "A"]);
    })
    .await;
}
