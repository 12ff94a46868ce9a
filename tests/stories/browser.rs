//! The pages in a real browser, with nothing but this machine to load from.

use std::process::Stdio;
use std::time::Duration;

use stories::World;
use testkit::databases::TestDatabase;
use thirtyfour::prelude::*;

/// Names the driver's program; set by the test script.
const DRIVER: &str = "MOULDBOARD_TEST_BROWSER";

struct Browser {
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
}

#[tokio::test(flavor = "multi_thread")]
async fn the_documentation_and_the_links_are_there_without_the_internet() {
    let Some(browser) = Browser::start().await else { return };
    let database = TestDatabase::sqlite();
    let world = World::new(database.migrated().await).await;
    world.plan().await;
    world.it_is("2026-03-02T06:00:00Z");
    world.work().await;
    let shown = look(&browser.driver, &world).await;
    let closed = browser.driver.quit().await;
    shown.unwrap();
    closed.unwrap();
}

async fn look(driver: &WebDriver, world: &World) -> WebDriverResult<()> {
    driver.goto(world.url("/docs/")).await?;
    let operation = driver.query(By::Css(".opblock-summary-path")).first().await?;
    operation.wait_until().displayed().await?;
    let operations = driver.find_all(By::Css(".opblock-summary-path")).await?.len();
    assert!(operations > 60, "only {operations} operations are shown");
    if let Ok(folder) = std::env::var("MOULDBOARD_TEST_PICTURES") {
        driver.screenshot(&std::path::Path::new(&folder).join("docs.png")).await?;
    }

    driver.goto(world.url("/")).await?;
    if let Ok(folder) = std::env::var("MOULDBOARD_TEST_PICTURES") {
        driver.screenshot(&std::path::Path::new(&folder).join("links.png")).await?;
    }
    let links = driver.find_all(By::Tag("a")).await?;
    assert!(links.len() >= 3);
    for link in links {
        let to = link.prop("href").await?.unwrap_or_default();
        assert!(to.starts_with(&world.url("/")), "a link leads away: {to}");
        let path = to.trim_start_matches(&world.url("")).to_owned();
        assert_eq!(world.send(reqwest::Method::GET, &path, None).await.status(), 200, "{path}");
    }
    Ok(())
}
