//! The real program as a process of its own.

use std::process::{Child, Command, ExitStatus, Stdio};
use std::time::{Duration, Instant};

use chrono::NaiveDate as Day;
use reqwest::{Client, Method};

/// Longest a process is waited for, to start or to end.
const PATIENCE: Duration = Duration::from_secs(60);

/// What a process is told.
#[derive(Clone, Copy, Debug)]
pub struct Told<'a> {
    /// Which command: `serve`, `api` or `worker`.
    pub command: &'a str,
    /// Where the records are.
    pub database: &'a str,
    /// The day it takes for today; its clock starts at seven in the workshop's morning.
    pub today: Day,
    /// The step at which it dies.
    pub die_at: Option<&'a str>,
}

/// One process of the program.
pub struct Service {
    child: Child,
    /// Where its API is, if it has one.
    pub url: String,
    client: Client,
}

impl Service {
    /// Starts it; an API is waited for until it answers.
    pub async fn start(told: Told<'_>) -> Self {
        loop {
            let mut service = Self::begin(told);
            if told.command == "worker" || service.answers().await {
                return service;
            }
            // Somebody else was given the port in between: take another.
        }
    }

    fn begin(told: Told<'_>) -> Self {
        let port = std::net::TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
        let mut command = program();
        command.arg(told.command);
        command
            .env("MOULDBOARD_DATABASE_URL", told.database)
            .env("MOULDBOARD_TODAY", told.today.to_string())
            .env("MOULDBOARD_LISTEN", format!("127.0.0.1:{port}"))
            .env("MOULDBOARD_WORKER_POLL_SECONDS", "1")
            .env("MOULDBOARD_LOG", "warn");
        if let Some(step) = told.die_at {
            command.env("MOULDBOARD_TEST_DIE_AT", step);
        }
        let child = command.spawn().expect("the program was built beside this test");
        let client = Client::builder().timeout(PATIENCE).build().unwrap();
        Self { child, url: format!("http://127.0.0.1:{port}"), client }
    }

    /// Waits until it answers; false where it ended instead.
    async fn answers(&mut self) -> bool {
        let until = Instant::now() + PATIENCE;
        while Instant::now() < until {
            if self.client.get(format!("{}/health/live", self.url)).send().await.is_ok() {
                return true;
            }
            if self.child.try_wait().unwrap().is_some() {
                return false;
            }
            tokio::time::sleep(Duration::from_millis(10)).await;
        }
        panic!("the program did not answer in time");
    }

    /// Kills it, as the system does when there is no more memory.
    pub async fn kill(mut self) {
        self.child.kill().unwrap();
        self.ended().await;
    }

    /// Waits until it has ended by itself: how.
    pub async fn ended(&mut self) -> ExitStatus {
        let until = Instant::now() + PATIENCE;
        while Instant::now() < until {
            if let Some(status) = self.child.try_wait().unwrap() {
                return status;
            }
            tokio::time::sleep(Duration::from_millis(10)).await;
        }
        panic!("the program did not end in time");
    }

    /// Sends JSON under a key that lets it be sent again; an error where the process died over it.
    pub async fn send(&self, path: &str, key: &str, body: &str) -> reqwest::Result<(u16, String)> {
        send(&self.client, &self.url, path, key, body).await
    }
}

impl Drop for Service {
    fn drop(&mut self) {
        // It may have ended long since.
        drop(self.child.kill());
        drop(self.child.wait());
    }
}

/// Sends JSON to an API under a key that lets it be sent again: status and body of the answer.
pub async fn send(client: &Client, at: &str, path: &str, key: &str, body: &str) -> reqwest::Result<(u16, String)> {
    let answer = client
        .request(Method::POST, format!("{at}{path}"))
        .header("Content-Type", "application/json")
        .header("Idempotency-Key", key)
        .body(body.to_owned())
        .send()
        .await?;
    Ok((answer.status().as_u16(), answer.text().await?))
}

/// The program, with nothing of this environment's settings.
pub fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_mouldboard"));
    for (name, _) in std::env::vars().filter(|(name, _)| name.starts_with("MOULDBOARD_")) {
        command.env_remove(name);
    }
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::inherit());
    command.current_dir(std::env::temp_dir());
    command
}
