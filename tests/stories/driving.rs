//! A real browser to drive, with nothing but this machine to load from, and what stories ask of it.

use std::process::Stdio;
use std::time::Duration;

use serde_json::{Value, json};
use stories::World;
use testkit::databases::TestDatabase;
use thirtyfour::prelude::*;

/// Names the driver's program; set by the test script.
const DRIVER: &str = "MOULDBOARD_TEST_BROWSER";

/// A browser without a window.
pub struct Browser {
    driver: WebDriver,
    _process: tokio::process::Child,
}

impl Browser {
    /// A browser without a window, or nothing where none is named, which CI does not forgive.
    async fn start() -> Option<Self> {
        let Ok(program) = std::env::var(DRIVER) else {
            assert!(std::env::var_os("CI").is_none(), "{DRIVER} is not set: the browser tests did not run");
            eprintln!("not run: {DRIVER} is not set (it names the browser's driver, as chromedriver)");
            return None;
        };
        let port = std::net::TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
        let mut command = tokio::process::Command::new(program);
        command.arg(format!("--port={port}")).stdout(Stdio::null()).stderr(Stdio::null()).kill_on_drop(true);
        let process = command.spawn().expect("the browser's driver starts");
        let mut wanted = DesiredCapabilities::chrome();
        wanted.set("goog:loggingPrefs", serde_json::json!({ "browser": "ALL" })).unwrap();
        for argument in [
            "--headless=new",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-quic",
            "--no-first-run",
            "--disable-dev-shm-usage",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--window-size=1440,1000",
        ] {
            wanted.add_arg(argument).unwrap();
        }
        for _ in 0..100 {
            if let Ok(driver) = WebDriver::new(format!("http://127.0.0.1:{port}"), wanted.clone()).await {
                return Some(Self { driver, _process: process });
            }
            tokio::time::sleep(Duration::from_millis(200)).await;
        }
        panic!("the browser did not start within twenty seconds");
    }

    async fn tells(self, world: &World, story: impl AsyncFn(&WebDriver, &World) -> WebDriverResult<()>) {
        let told = story(&self.driver, world).await;
        let closed = self.driver.quit().await;
        told.unwrap();
        closed.unwrap();
    }
}

/// What was said on the browser's console since it was last asked.
pub async fn console(driver: &WebDriver) -> Vec<String> {
    let said = tell_driver(driver, "se/log", json!({ "type": "browser" })).await;
    let lines = said.as_array().unwrap_or_else(|| panic!("no log: {said}"));
    lines.iter().map(|line| line["message"].to_string()).collect()
}

/// A command of the browser's DevTools protocol, and what came of it.
pub async fn devtools(driver: &WebDriver, command: &str, parameters: Value) -> Value {
    tell_driver(driver, "goog/cdp/execute", json!({ "cmd": command, "params": parameters })).await
}

/// Asks the driver for what its library has no words for.
async fn tell_driver(driver: &WebDriver, path: &str, body: Value) -> Value {
    let handle = driver.handle();
    let address = handle.server_url().join(&format!("session/{}/{path}", handle.session_id())).unwrap();
    let answer = reqwest::Client::new().post(address.as_str()).json(&body).send().await.unwrap();
    let answer: Value = answer.json().await.unwrap();
    assert!(answer["value"]["error"].is_null(), "{path}: {answer}");
    answer["value"].clone()
}

/// Runs a story in a browser, in the invented workshop on the morning its first tickets are out.
pub async fn in_a_browser(story: impl AsyncFn(&WebDriver, &World) -> WebDriverResult<()>) {
    let Some(browser) = Browser::start().await else { return };
    let database = TestDatabase::sqlite();
    let world = World::new(database.migrated().await).await;
    world.plan().await;
    world.it_is("2026-03-02T06:00:00Z");
    world.work().await;
    browser.tells(&world, story).await;
}

/// Runs a story in a browser where nothing is recorded yet.
pub async fn in_an_empty_workshop(story: impl AsyncFn(&WebDriver, &World) -> WebDriverResult<()>) {
    let Some(browser) = Browser::start().await else { return };
    let database = TestDatabase::sqlite();
    let world = World::empty(database.migrated().await).await;
    browser.tells(&world, story).await;
}

/// Waits until a part of the page has `wanted` in its text, through any reloading.
pub async fn says(driver: &WebDriver, part: &str, wanted: &str) -> WebDriverResult<()> {
    let mut shown = String::new();
    for _ in 0..150 {
        // While the page is loaded anew its old parts are gone; then it is asked again.
        if let Ok(found) = driver.find(By::Css(part)).await {
            shown = found.text().await.unwrap_or_default();
        }
        if shown.contains(wanted) {
            return Ok(());
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    panic!("{part} does not say '{wanted}' but: {shown}");
}

/// Presses Tab until the element has the focus, which is then seen.
pub async fn by_keys_to(driver: &WebDriver, wanted: &str) -> WebDriverResult<()> {
    let here = format!("return document.activeElement === document.querySelector(\"{wanted}\");");
    for _ in 0..400 {
        driver.action_chain().send_keys(Key::Tab + "").perform().await?;
        if driver.execute(&here, vec![]).await?.json() == true {
            let seen = "return getComputedStyle(document.activeElement).outlineStyle !== 'none';";
            assert_eq!(
                driver.execute(seen, vec![]).await?.json(),
                true,
                "{wanted} does not show that it has the focus"
            );
            return Ok(());
        }
    }
    panic!("{wanted} cannot be reached with the Tab key");
}

pub async fn picture(driver: &WebDriver, name: &str) -> WebDriverResult<()> {
    if let Ok(folder) = std::env::var("MOULDBOARD_TEST_PICTURES") {
        driver.screenshot(&std::path::Path::new(&folder).join(name)).await?;
    }
    Ok(())
}
