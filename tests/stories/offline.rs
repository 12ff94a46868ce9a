//! Entries made without a connection, or whose answer is lost: kept, sent again, and done once.

use stories::World;
use thirtyfour::prelude::*;

use crate::browser::stand_ready;
use crate::driving::{in_a_browser, says};

/// Nothing leaves the browser.
const AWAY: &str = "window.fetch = () => Promise.reject(new TypeError('no connection'));";
/// All of it arrives, and no answer comes back.
const ANSWERS_LOST: &str =
    "const real = window.fetch; window.fetch = async (...a) => { await real(...a); throw new TypeError('lost'); };";

/// Waits until nothing is kept in the browser any more.
async fn all_sent(driver: &WebDriver) -> WebDriverResult<()> {
    for _ in 0..150 {
        let kept = driver.execute("return localStorage.getItem('mouldboard-kept');", vec![]).await?.json().clone();
        if kept == "[]" {
            return Ok(());
        }
        tokio::time::sleep(std::time::Duration::from_millis(100)).await;
    }
    panic!("something is kept still");
}

/// The lines of the ledger that a count of cement made.
async fn counts(world: &World) -> usize {
    let entries = world.get("/stock/entries?limit=500").await;
    entries.as_array().unwrap().iter().filter(|e| e["kind"] == "counted" && e["material"] == "cement").count()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_count_made_without_a_connection_is_sent_later_and_counts_once() {
    in_a_browser(async |driver, world| {
        let (before, lines) = (world.on_hand("cement").await, counts(world).await);
        for (lost, kg, grams) in [(AWAY, "303.5", 303_500), (ANSWERS_LOST, "301.25", 301_250)] {
            driver.goto(world.url("/pages/stock/count")).await?;
            driver.execute(lost, vec![]).await?;
            let row = driver.find(By::XPath("//form[input[@name='material' and @value='cement']]")).await?;
            row.find(By::Name("counted")).await?.send_keys(kg).await?;
            row.find(By::Tag("button")).await?.click().await?;
            says(driver, "#kept", "1 entry is kept").await?;
            if lost == AWAY {
                assert_eq!(world.on_hand("cement").await, before, "nothing has left the browser");
            }
            driver.refresh().await?;
            all_sent(driver).await?;
            assert_eq!(world.on_hand("cement").await, grams);
        }
        assert_eq!(counts(world).await, lines + 2, "each count is in the ledger once");
        world.audit().await;
        Ok(())
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_was_sent_out_without_a_connection_is_told_later_and_goes_once() {
    in_a_browser(async |driver, world| {
        let plan = world.get("/plan").await;
        let whole = plan["orders"].as_array().unwrap().iter().filter_map(|o| o["ready_on"].as_str()).min().unwrap();
        world.it_is(&format!("{whole}T08:00:00Z"));
        let order = world.get("/days/today/sheet").await["dispatches"][0]["order"].as_str().unwrap().to_owned();
        let all = stand_ready(world, &order).await;
        let gone = async || {
            let sheet = world.get("/days/today/sheet").await;
            sheet["dispatches"].as_array().unwrap().iter().find(|d| d["order"] == *order).unwrap()["panels_sent"]
                .as_i64()
        };
        let form = format!("form[data-sends='{order}']");
        driver.goto(world.url("/")).await?;
        let first = driver.find(By::Css(format!("{form} [data-panel]"))).await?;
        let of_these: i64 = first.value().await?.unwrap().parse().unwrap();
        first.clear().await?;
        first.send_keys((of_these - 1).to_string()).await?;
        driver.execute(AWAY, vec![]).await?;
        driver.find(By::Css(format!("{form} button"))).await?.click().await?;
        says(driver, "#kept", "1 entry is kept").await?;
        assert_eq!(gone().await, Some(0), "nothing has left the browser");
        driver.refresh().await?;
        all_sent(driver).await?;
        assert_eq!(gone().await, Some(all - 1));

        driver.refresh().await?;
        driver.execute(ANSWERS_LOST, vec![]).await?;
        driver.find(By::Css(format!("{form} button"))).await?.click().await?;
        says(driver, "#kept", "1 entry is kept").await?;
        assert_eq!(gone().await, Some(all), "it arrived, only the answer did not");
        driver.refresh().await?;
        all_sent(driver).await?;
        let refused =
            driver.execute("return localStorage.getItem('mouldboard-refused-entries');", vec![]).await?.json().clone();
        assert!(refused.is_null() || refused == "[]", "sent again it is the same dispatch: {refused}");
        assert_eq!(gone().await, Some(all));
        assert_eq!(world.get(&format!("/orders/{order}")).await["state"], "dispatched");
        world.audit().await;
        Ok(())
    })
    .await;
}
