//! The jobs of bench and office on the pages, by clicks alone.

use std::time::Duration;

use serde_json::{Value, json};
use stories::World;
use thirtyfour::prelude::*;

use crate::driving::{in_a_browser, picture, says};

#[tokio::test(flavor = "multi_thread")]
async fn the_documentation_and_the_links_are_there_without_the_internet() {
    in_a_browser(look).await;
}

async fn look(driver: &WebDriver, world: &World) -> WebDriverResult<()> {
    driver.goto(world.url("/docs/")).await?;
    let operation = driver.query(By::Css(".opblock-summary-path")).first().await?;
    operation.wait_until().displayed().await?;
    let operations = driver.find_all(By::Css(".opblock-summary-path")).await?.len();
    assert!(operations > 60, "only {operations} operations are shown");
    picture(driver, "docs.png").await?;

    driver.goto(world.url("/")).await?;
    let links = driver.find_all(By::Tag("a")).await?;
    assert!(links.len() >= 5);
    for link in links {
        let to = link.prop("href").await?.unwrap_or_default();
        assert!(to.starts_with(&world.url("/")), "a link leads away: {to}");
        let path = to.trim_start_matches(&world.url("")).to_owned();
        assert_eq!(world.send(reqwest::Method::GET, &path, None).await.status(), 200, "{path}");
    }
    Ok(())
}

/// The main job by clicks alone: a new order is quoted while it is typed, taken and planned for; on the next day of pours a
/// ticket is completed, and the stock is drawn.
#[tokio::test(flavor = "multi_thread")]
async fn an_order_is_quoted_taken_planned_and_poured_on_the_pages() {
    in_a_browser(async |driver, world| {
        driver.goto(world.url("/pages/orders/new")).await?;
        driver.find(By::Name("id")).await?.send_keys("WALK-IN-1").await?;
        driver.execute("document.querySelector('[name=due_on]').value = '2026-05-20';", vec![]).await?;
        let choose = By::Css("[data-part=item] option[value='set:planter-450']");
        driver.find(choose).await?.click().await?;
        let finish = driver.find(By::Css("[data-part=finish]")).await?;
        assert_eq!(finish.value().await?.unwrap(), "", "no finish is chosen for anybody");
        finish.find(By::Css("option[value=grey]")).await?.click().await?;
        says(driver, "[data-quote]", "it can be ready on").await?;
        let quoted = driver.find(By::Css("[data-quote]")).await?.text().await?;
        assert!(!quoted.contains("2026-"), "days are said, not written in figures: {quoted}");
        picture(driver, "quoted.png").await?;
        driver.find(By::Css("[data-quote] button")).await?.click().await?;
        let promised = driver.find(By::Name("promised_on")).await?.value().await?.unwrap();
        driver.find(By::Css("form[data-quotes] > button")).await?.click().await?;
        says(driver, "h1", "Orders").await?;
        says(driver, "table.orders", "WALK-IN-1").await?;
        let taken = world.get("/orders/WALK-IN-1").await;
        assert_eq!((&taken["promised_on"], &taken["parts_agreed"]), (&promised.into(), &false.into()), "{taken}");
        driver.goto(world.url("/pages/orders/WALK-IN-1")).await?;
        driver.find(By::Css("form[data-method=PUT]")).await?;
        driver
            .execute("document.querySelector('form[data-method=PUT]').closest('details').open = true;", vec![])
            .await?;
        driver.find(By::Css("[name=parts_agreed] option[value=true]")).await?.click().await?;
        driver.find(By::Css("form[data-method=PUT] button")).await?.click().await?;
        for _ in 0..50 {
            if world.get("/orders/WALK-IN-1").await["parts_agreed"] == true {
                break;
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        let agreed = world.get("/orders/WALK-IN-1").await;
        assert_eq!((&agreed["parts_agreed"], &agreed["lines"]), (&true.into(), &taken["lines"]), "{agreed}");
        driver.goto(world.url("/pages/plan")).await?;
        driver.find(By::Css("form[data-send='/planning-runs'] button")).await?.click().await?;
        says(driver, ".asking", "Planning").await?;
        world.work().await;
        says(driver, ".asking", "Plan anew").await?;
        driver.goto(world.url("/pages/orders/WALK-IN-1")).await?;
        says(driver, "dl.facts", "Whole").await?;
        let plan = world.get("/plan").await;
        let ready = plan["orders"].as_array().unwrap().iter().any(|o| o["order"] == "WALK-IN-1");
        assert!(ready, "the plan in force gives it its panels");

        let pours = plan["pours"].as_array().unwrap().iter().filter_map(|pour| pour["day"].as_str());
        let day = pours.filter(|day| *day > "2026-03-02").min().unwrap();
        world.it_is(&format!("{day}T06:00:00Z"));
        world.work().await;
        let ticket = world.get("/days/today/tickets").await[0].clone();
        let number = ticket["number"].as_str().unwrap();
        let cement =
            ticket["lines"].as_array().unwrap().iter().find(|l| l["material"].as_str().unwrap().ends_with("cement"));
        let (cement, target) =
            (cement.unwrap()["material"].as_str().unwrap(), cement.unwrap()["target"].as_i64().unwrap());
        let before = world.on_hand(cement).await;
        driver.goto(world.url("/")).await?;
        driver.find(By::Css(format!("#t-{number} form[data-send$='completion'] button"))).await?.click().await?;
        says(driver, &format!("#t-{number}"), "· mixed").await?;
        assert_eq!(world.on_hand(cement).await, before - target);
        driver.goto(world.url(&format!("/pages/stock/ledger?material={cement}"))).await?;
        says(driver, "tbody tr:first-child", &format!("drawn by ticket {number}")).await?;
        Ok(())
    })
    .await;
}

/// A run by the clock shows how it gets on, and stopped it leaves the best plan it had, long before its ten minutes are over.
#[tokio::test(flavor = "multi_thread")]
async fn a_run_is_watched_and_stopped_on_the_page() {
    in_a_browser(async |driver, world| {
        let mut site = world.get("/workshop").await;
        site["policy"]["evaluations"] = serde_json::Value::Null;
        site["policy"]["seconds"] = 600.into();
        let put = world.change("/workshop", &site.to_string()).await;
        assert_eq!(put.status(), 200);
        let before = world.get("/plan").await["run"].as_i64().unwrap();
        driver.goto(world.url("/pages/plan")).await?;
        driver.find(By::Css("form[data-send='/planning-runs'] button")).await?.click().await?;
        says(driver, ".asking", "Planning").await?;
        let clicks = async {
            says(driver, "[data-watch]", "in the best plan so far, no plan can have fewer than").await?;
            picture(driver, "planning.png").await?;
            let heard = "return document.querySelector('[data-heard]').textContent.includes('in the best plan so far') && !document.querySelector('[data-watch]').hasAttribute('role');";
            assert_eq!(driver.execute(heard, vec![]).await?.json(), true, "what is read out is not the line with the seconds");
            driver.find(By::Css("form[data-send$='/stop'] button")).await?.click().await
        };
        let (_, clicked) = tokio::join!(world.work(), clicks);
        clicked?;
        says(driver, ".asking", "Plan anew").await?;
        let now = world.get("/plan").await;
        assert!(now["run"].as_i64().unwrap() > before, "the best plan by then is in force: {}", now["run"]);
        Ok(())
    })
    .await;
}

/// What the bench enters beside its tickets: upkeep measured and done, a count, and an order sent out in two goes.
#[tokio::test(flavor = "multi_thread")]
async fn upkeep_a_count_and_what_goes_out_are_entered_on_the_pages() {
    in_a_browser(async |driver, world| {
        let task = || async {
            let day = world.get("/days/today/sheet").await;
            day["upkeep"].as_array().unwrap().iter().find(|t| t["task"] == "water-temperature").unwrap().clone()
        };
        assert_eq!(task().await["progress"], "to_do");
        driver.goto(world.url("/")).await?;
        let form = By::XPath("//form[input[@name='task' and @value='water-temperature']]");
        let form = driver.find(form).await?;
        form.find(By::Name("value")).await?.send_keys("9").await?;
        form.find(By::Tag("button")).await?.click().await?;
        says(driver, "#upkeep ~ .done", "done, 9 °C").await?;
        says(driver, "#upkeep ~ .done .warn", "below 10").await?;
        assert_eq!((&task().await["progress"], &task().await["value"]), (&"done".into(), &9.0.into()));

        driver.goto(world.url("/pages/stock/count")).await?;
        let row = driver.find(By::XPath("//form[input[@name='material' and @value='cement']]")).await?;
        row.find(By::Name("counted")).await?.send_keys("303.5").await?;
        row.find(By::Tag("button")).await?.click().await?;
        for _ in 0..100 {
            if world.on_hand("cement").await == 303_500 {
                break;
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        assert_eq!(world.on_hand("cement").await, 303_500, "to the gram, as counted");

        let whole = world.get("/plan").await["orders"]
            .as_array()
            .unwrap()
            .iter()
            .filter_map(|o| o["ready_on"].as_str())
            .min()
            .unwrap()
            .to_owned();
        world.it_is(&format!("{whole}T08:00:00Z"));
        let day = world.get("/days/today/sheet").await;
        let order = day["dispatches"][0]["order"].as_str().unwrap().to_owned();
        let wanted = stand_ready(world, &order).await;
        driver.goto(world.url("/")).await?;
        let form = format!("form[data-sends='{order}']");
        let first = driver.find(By::Css(format!("{form} [data-panel]"))).await?;
        let all: i64 = first.value().await?.unwrap().parse().unwrap();
        first.clear().await?;
        first.send_keys((all - 1).to_string()).await?;
        picture(driver, "sending.png").await?;
        driver.find(By::Css(format!("{form} button"))).await?.click().await?;
        says(driver, "#send ~ .task", "sent today").await?;
        let sent = |day: &Value| {
            day["dispatches"].as_array().unwrap().iter().find(|d| d["order"] == *order).unwrap()["panels_sent"].as_i64()
        };
        let many: i64 = wanted;
        assert_eq!(sent(&world.get("/days/today/sheet").await), Some(many - 1), "only so many");
        driver.find(By::Css(format!("{form} button"))).await?.click().await?;
        says(driver, "#send ~ .task.done", "all of it has gone").await?;
        assert_eq!(sent(&world.get("/days/today/sheet").await), Some(many));
        assert_eq!(world.get(&format!("/orders/{order}")).await["state"], "dispatched");
        Ok(())
    })
    .await;
}

/// Lets the customer of an order agree to parts, and all its panels stand ready; how many those are.
pub async fn stand_ready(world: &World, order: &str) -> i64 {
    let id = workshop::ids::OrderId::parse(order).unwrap();
    let tx = world.store.write().await.unwrap();
    let mut there = <workshop::orders::Order as store::Record>::find(&tx, &id).await.unwrap().unwrap();
    there.value.parts_agreed = true;
    <workshop::orders::Order as store::Record>::replace(&tx, &there.value, there.version).await.unwrap();
    tx.commit().await.unwrap();
    let tx = world.store.read().await.unwrap();
    let sets = <workshop::catalogue::PanelSet as store::Record>::all(&tx).await.unwrap();
    let sets = sets.into_iter().map(|set| (set.id.clone(), set)).collect();
    let wanted = <workshop::orders::Order as store::Record>::find(&tx, &id).await.unwrap().unwrap().value.panels(&sets);
    let mixes = <workshop::catalogue::MixRevision as store::Record>::all(&tx).await.unwrap();
    let finishes = <workshop::catalogue::Mix as store::Record>::all(&tx).await.unwrap();
    tx.rollback().await.unwrap();
    for ((panel, finish), count) in &wanted {
        let mix = finishes.iter().find(|mix| mix.finish == *finish).unwrap();
        let revision = mixes.iter().find(|r| r.id.mix == mix.id).unwrap();
        let lot = json!({ "panel": panel.to_string(), "revision": revision.id.to_string(), "poured_on": "2026-02-02", "stage": "ready", "since": "2026-03-01", "quantity": count });
        let made = world.send(reqwest::Method::POST, "/lots", Some(&lot.to_string())).await;
        assert_eq!(made.status(), 201, "{lot}");
    }
    wanted.values().sum()
}

/// Orders come from a file: what is wrong with it is said by line before anything is taken, and then it is taken whole.
#[tokio::test(flavor = "multi_thread")]
async fn orders_from_a_file_are_checked_and_taken_on_the_page() {
    in_a_browser(async |driver, world| {
        let csv = world.text("/orders.csv").await;
        let (head, first) = (csv.lines().next().unwrap(), csv.lines().nth(1).unwrap());
        let folder = std::env::temp_dir().join(format!("mouldboard-orders-{}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        let id = first.split(',').next().unwrap();
        let (good, bad) = (first.replacen(id, "FILE-1", 1), first.replacen(id, "FILE-2", 1));
        let finish = world.get("/orders").await[0]["lines"][0]["finish"].as_str().unwrap().to_owned();
        for (name, line) in [("good.csv", good), ("bad.csv", bad.replace(&finish, "tartan"))] {
            std::fs::write(folder.join(name), format!("{head}\n{line}\n")).unwrap();
        }
        driver.goto(world.url("/pages/orders/import")).await?;
        let file = driver.find(By::Name("file")).await?;
        file.send_keys(folder.join("bad.csv").to_str().unwrap()).await?;
        says(driver, "[data-report]", "Nothing can be taken before these are mended").await?;
        says(driver, "[data-report]", "line 2").await?;
        picture(driver, "import-refused.png").await?;
        assert!(driver.find(By::Css("form[data-file] button")).await?.attr("disabled").await?.is_some());
        driver.goto(world.url("/pages/orders/import")).await?;
        driver.find(By::Name("file")).await?.send_keys(folder.join("good.csv").to_str().unwrap()).await?;
        says(driver, "[data-report]", "Nothing is wrong with it").await?;
        assert_eq!(
            world.send(reqwest::Method::GET, "/orders/FILE-1", None).await.status(),
            404,
            "a check changes nothing"
        );
        driver.find(By::Css("form[data-file] button")).await?.click().await?;
        says(driver, "table.orders", "FILE-1").await?;
        std::fs::remove_dir_all(&folder).unwrap();
        Ok(())
    })
    .await;
}

/// The office changes the workshop by clicks alone: a day, a mould, a setting, a finish; then who may see it.
#[tokio::test(flavor = "multi_thread")]
async fn the_workshop_is_changed_on_its_pages() {
    in_a_browser(async |driver, world| {
        driver.goto(world.url("/pages/workshop/days/2026-03-06")).await?;
        driver.find(By::Css("[name=work] option[value=closed]")).await?.click().await?;
        let note = driver.find(By::Name("note")).await?;
        note.clear().await?;
        note.send_keys("the mixer is away").await?;
        driver.find(By::Css("form[data-method=PUT] button")).await?.click().await?;
        says(driver, "h1", "Workshop").await?;
        let day = world.get("/calendar/2026-03-06").await;
        assert_eq!((&day["work"], &day["note"]), (&"closed".into(), &"the mixer is away".into()), "{day}");

        let group = world.get("/mould-groups").await[0].clone();
        let id = group["id"].as_str().unwrap();
        driver.goto(world.url(&format!("/pages/workshop/moulds/{id}"))).await?;
        let row = group["out_of_service"].as_array().unwrap().len();
        let field = |member: &str| By::Name(format!("out_of_service.{row}.{member}"));
        driver.find(field("moulds")).await?.send_keys("1").await?;
        driver.find(field("which")).await?.send_keys("2").await?;
        driver.find(field("reason")).await?.send_keys("a seam leaks").await?;
        let days = format!("document.getElementsByName('out_of_service.{row}.from')[0].value = '2026-03-09'; document.getElementsByName('out_of_service.{row}.to')[0].value = '2026-03-13';");
        driver.execute(&days, vec![]).await?;
        driver.find(By::Css("form[data-method=PUT] button")).await?.click().await?;
        says(driver, "h1", "Workshop").await?;
        let mut wanted = group.clone();
        let gone = serde_json::json!({ "from": "2026-03-09", "to": "2026-03-13", "moulds": 1, "which": [2], "reason": "a seam leaks" });
        wanted["out_of_service"].as_array_mut().unwrap().push(gone);
        assert_eq!(world.get(&format!("/mould-groups/{id}")).await, wanted, "nothing else of the group changed");

        let before = world.get("/workshop").await;
        driver.find(By::Css("#settings + details summary")).await?.click().await?;
        let labour = driver.find(By::Name("labour_minutes")).await?;
        labour.clear().await?;
        labour.send_keys("310").await?;
        driver.find(By::Css("form.settings button")).await?.click().await?;
        for _ in 0..100 {
            if world.get("/workshop").await["labour_minutes"] == 310 { break; }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        let mut wanted = before;
        wanted["labour_minutes"] = 310.into();
        assert_eq!(world.get("/workshop").await, wanted, "nothing else of the settings changed");

        driver.goto(world.url("/pages/workshop/new/finish")).await?;
        driver.find(By::Name("id")).await?.send_keys("moss").await?;
        driver.find(By::Name("name")).await?.send_keys("Moss, brushed").await?;
        driver.find(By::Css("form[data-send] button")).await?.click().await?;
        says(driver, "h1", "Workshop").await?;
        assert_eq!(world.get("/finishes/moss").await["name"], "Moss, brushed");

        driver.goto(world.url("/pages/workshop/access")).await?;
        let feed = driver.find(By::Css("form[data-once='/feed-tokens']")).await?;
        feed.find(By::Name("name")).await?.send_keys("phone in the yard").await?;
        feed.find(By::Css("input[value='/plan/pours']")).await?.click().await?;
        feed.find(By::Tag("button")).await?.click().await?;
        says(driver, "form[data-once='/feed-tokens'] output", "shown this one time").await?;
        let address = feed.find(By::Css("output code:last-child")).await?.text().await?;
        let path = address.trim_start_matches(&world.url("")).to_owned();
        assert!(path.starts_with("/plan/pours."), "{address}");
        assert_eq!(world.send(reqwest::Method::GET, &path, None).await.status(), 200, "{path}");
        let kept = driver.execute("return JSON.stringify(localStorage);", vec![]).await?.json().to_string();
        assert!(!kept.contains("feed_token"), "nothing secret stays on the device: {kept}");
        driver.refresh().await?;
        says(driver, "#feeds ~ ul", "phone in the yard").await?;
        driver.find(By::Css("form[data-method=DELETE] button")).await?.click().await?;
        for _ in 0..100 {
            if world.get("/feed-tokens").await == serde_json::json!([]) { break; }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        assert_eq!(world.send(reqwest::Method::GET, &path, None).await.status(), 401, "it is revoked");

        let token = driver.find(By::Css("form[data-once='/tokens']")).await?;
        token.find(By::Name("name")).await?.send_keys("the office").await?;
        token.find(By::Tag("button")).await?.click().await?;
        says(driver, "form[data-once='/tokens'] output", "mb_").await?;
        assert_eq!(world.send(reqwest::Method::GET, "/tokens", None).await.status(), 401, "now everyone needs one");
        Ok(())
    })
    .await;
}

/// An entry whose answer is lost on the way is kept, sent again, and counts once; one that never left is sent later.
#[tokio::test(flavor = "multi_thread")]
async fn an_entry_outlives_a_lost_connection_and_counts_once() {
    in_a_browser(async |driver, world| {
        let tickets = world.get("/days/today/tickets").await;
        let [first, second] = [0, 1].map(|n| tickets[n]["number"].as_str().unwrap().to_owned());
        let before = world.get("/stock/entries?limit=500").await.as_array().unwrap().len();
        driver.goto(world.url("/")).await?;
        let lose_answers = "const real = window.fetch; window.fetch = async (...a) => { await real(...a); throw new TypeError('lost'); };";
        driver.execute(lose_answers, vec![]).await?;
        driver.find(By::Css(format!("#t-{first} form[data-send$='completion'] button"))).await?.click().await?;
        says(driver, "#kept", "1 entry is kept").await?;
        assert_eq!(world.get(&format!("/tickets/{first}")).await["state"], "mixed", "it arrived, only the answer did not");
        let drawn = world.get("/stock/entries?limit=500").await.as_array().unwrap().len();
        assert!(drawn > before);
        driver.refresh().await?;
        says(driver, &format!("#t-{first}"), "· mixed").await?;
        driver.execute("window.fetch = () => Promise.reject(new TypeError('no connection'));", vec![]).await?;
        driver.find(By::Css(format!("#t-{second} form[data-send$='completion'] button"))).await?.click().await?;
        says(driver, "#kept", "kept").await?;
        assert_eq!(world.get(&format!("/tickets/{second}")).await["state"], "issued");
        driver.refresh().await?;
        says(driver, &format!("#t-{second}"), "· mixed").await?;
        let kept = driver.execute("return localStorage.getItem('mouldboard-kept');", vec![]).await?.json().clone();
        assert_eq!(kept, "[]", "all of it was answered");
        let lines = |t: &serde_json::Value| t["lines"].as_array().unwrap().iter().filter(|l| l["drawn_from_stock"] == true).count();
        let after = world.get("/stock/entries?limit=500").await.as_array().unwrap().len();
        assert_eq!(after - before, lines(&tickets[0]) + lines(&tickets[1]), "each draw is in the ledger once");
        Ok(())
    })
    .await;
}
