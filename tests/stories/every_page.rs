//! Every page there is, in every state it can be met in: at three widths, silent on the console, and by the rules of
//! accessibility.

use serde_json::{Value, json};
use stories::World;
use thirtyfour::prelude::*;

use crate::driving::{console, devtools, in_a_browser, in_an_empty_workshop, picture, says};

/// A page as somebody meets it.
pub struct Met {
    /// What its picture is called.
    pub name: String,
    /// Where it is.
    pub path: String,
    /// The status it is answered with.
    pub status: u16,
}

impl Met {
    fn new(name: &str, path: &str) -> Self {
        Self { name: name.to_owned(), path: path.to_owned(), status: 200 }
    }
}

/// What can be recorded by a form of its own.
const RECORDED: [&str; 9] = ["finish", "material", "moulds", "tank", "rack", "mix", "revision", "panel", "set"];

fn forms() -> impl Iterator<Item = Met> {
    RECORDED.iter().map(|what| Met::new(&format!("new-{what}"), &format!("/pages/workshop/new/{what}")))
}

/// Every page of the invented workshop.
async fn pages(world: &World) -> Vec<Met> {
    let order = world.get("/orders").await[0]["id"].as_str().unwrap().to_owned();
    let ticket = world.get("/days/today/tickets").await[0]["number"].as_str().unwrap().to_owned();
    let all = [
        ("today", "/"),
        ("tomorrow", "/pages/days/2026-03-03"),
        ("plan", "/pages/plan"),
        ("orders", "/pages/orders"),
        ("order", &format!("/pages/orders/{order}")),
        ("new-order", "/pages/orders/new"),
        ("stock", "/pages/stock"),
        ("mixes", "/pages/mixes"),
        ("revision", "/pages/mixes/foamed-grey@2?load=30"),
        ("compare", "/pages/mixes/compare?first=foamed-grey@2&second=foamed-grey@1"),
        ("cheapest", "/pages/mixes/cheapest?of=foamed-grey@2"),
        ("workshop", "/pages/workshop"),
        ("access", "/pages/workshop/access"),
        ("changes", "/pages/workshop/changes"),
        ("moulds", "/pages/workshop/moulds/short-moulds"),
        ("ticket", &format!("/pages/tickets/{ticket}")),
        ("tags", "/pages/days/today/tags"),
        ("pack-list", &format!("/pages/orders/{order}/pack-list")),
        ("import", "/pages/orders/import"),
        ("count", "/pages/stock/count"),
        ("ledger", "/pages/stock/ledger"),
        ("day", "/pages/workshop/days/2026-03-04"),
    ];
    let missing = Met { status: 404, ..Met::new("problem", "/pages/orders/NO-SUCH-ORDER") };
    all.into_iter().map(|(name, path)| Met::new(name, path)).chain(forms()).chain([missing]).collect()
}

/// The pages somebody meets who begins with nothing.
fn first_run() -> Vec<Met> {
    let all =
        ["/", "/pages/plan", "/pages/orders", "/pages/orders/new", "/pages/stock", "/pages/mixes", "/pages/workshop"];
    let name = |path: &str| format!("empty-{}", path.trim_start_matches('/').replace('/', "-"));
    all.into_iter().map(|path| Met::new(&name(path), path)).chain(forms()).collect()
}

/// Looks at every page as it is met: in the workshop at work, while a plan is made, before signing in, on the first run.
pub async fn on_every_page(look: impl AsyncFn(&WebDriver, &Met) -> WebDriverResult<()>) {
    in_a_browser(async |driver, world| {
        for met in pages(world).await {
            driver.goto(world.url(&met.path)).await?;
            look(driver, &met).await?;
        }
        under_way(driver, world, &look).await?;
        signed_out(driver, world, &look).await
    })
    .await;
    in_an_empty_workshop(async |driver, world| {
        for met in first_run() {
            driver.goto(world.url(&met.path)).await?;
            look(driver, &met).await?;
        }
        Ok(())
    })
    .await;
}

/// The plan's page while a plan is made.
async fn under_way(
    driver: &WebDriver,
    world: &World,
    look: &impl AsyncFn(&WebDriver, &Met) -> WebDriverResult<()>,
) -> WebDriverResult<()> {
    let mut site = world.get("/workshop").await;
    site["policy"]["evaluations"] = Value::Null;
    site["policy"]["seconds"] = 600.into();
    assert_eq!(world.change("/workshop", &site.to_string()).await.status(), 200);
    let asked = world.send(reqwest::Method::POST, "/planning-runs", Some("{}")).await;
    let run = asked.json::<Value>().await.unwrap()["id"].as_i64().unwrap();
    let looking = async {
        driver.goto(world.url("/pages/plan")).await?;
        says(driver, "[data-watch]", "in the best plan so far").await?;
        let looked = look(driver, &Met::new("plan-under-way", "/pages/plan")).await;
        says(driver, "[data-watch]", "in the best plan so far").await?;
        world.send(reqwest::Method::POST, &format!("/planning-runs/{run}/stop"), None).await;
        looked
    };
    let (_, looked) = tokio::join!(world.work(), looking);
    looked
}

/// What is shown to somebody who has to sign in first.
async fn signed_out(
    driver: &WebDriver,
    world: &World,
    look: &impl AsyncFn(&WebDriver, &Met) -> WebDriverResult<()>,
) -> WebDriverResult<()> {
    let token = r#"{"name": "the office", "role": "office"}"#;
    assert_eq!(world.send(reqwest::Method::POST, "/tokens", Some(token)).await.status(), 201);
    driver.goto(world.url("/pages/plan")).await?;
    look(driver, &Met { status: 401, ..Met::new("sign-in", "/pages/plan") }).await
}

/// Every page at the widths of a telephone, a tablet and a desk, folded and folded out, in pictures too where they are
/// wanted; and nothing is said on the browser's console but the status of a page that is a problem.
#[tokio::test(flavor = "multi_thread")]
async fn every_page_fits_every_window_and_says_nothing_on_the_console() {
    on_every_page(async |driver, met| {
        for width in [360, 768, 1440] {
            driver.set_window_rect(0, 0, width, 1000).await?;
            fits(driver, met, width).await?;
            picture(driver, &format!("{}-{width}.png", met.name)).await?;
        }
        fold_out(driver).await?;
        for width in [360, 768, 1440] {
            driver.set_window_rect(0, 0, width, 1000).await?;
            fits(driver, met, width).await?;
        }
        let status = format!("the server responded with a status of {}", met.status);
        let said: Vec<String> =
            console(driver).await.into_iter().filter(|line| met.status == 200 || !line.contains(&status)).collect();
        assert!(said.is_empty(), "{}: {said:#?}", met.name);
        Ok(())
    })
    .await;
}

async fn fits(driver: &WebDriver, met: &Met, width: u32) -> WebDriverResult<()> {
    let script = "const page = document.documentElement; return [page.scrollWidth, page.clientWidth];";
    let widths = driver.execute(script, vec![]).await?.json().clone();
    assert!(widths[0].as_i64() <= widths[1].as_i64(), "{} in a window of {width}: {widths}", met.name);
    Ok(())
}

/// Opens all that is folded, and ticks what can be ticked off.
pub async fn fold_out(driver: &WebDriver) -> WebDriverResult<()> {
    let script = "for (const fold of document.querySelectorAll('details')) fold.open = true; for (const box of document.querySelectorAll('.weigh input')) box.checked = true;";
    driver.execute(script, vec![]).await.map(|_| ())
}

/// Lets the page be shown as one who likes it dark, or light, sees it.
pub async fn in_the_dark(driver: &WebDriver, dark: bool) {
    let value = if dark { "dark" } else { "light" };
    devtools(
        driver,
        "Emulation.setEmulatedMedia",
        json!({ "features": [{ "name": "prefers-color-scheme", "value": value }] }),
    )
    .await;
}
