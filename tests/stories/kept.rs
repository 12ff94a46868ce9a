//! What is typed and entered is not lost, whatever comes between: a night without connection, a refusal, a page shown anew.

use thirtyfour::prelude::*;

use crate::driving::{in_a_browser, picture, says};

const AWAY: &str = "window.fetch = () => Promise.reject(new TypeError('no connection'));";

#[tokio::test(flavor = "multi_thread")]
async fn an_entry_sent_a_day_late_is_of_the_day_it_was_made() {
    in_a_browser(async |driver, world| {
        driver.goto(world.url("/")).await?;
        driver.execute(AWAY, vec![]).await?;
        let form = driver.find(By::Css("form[data-moves]")).await?;
        let moves = form.attr("data-moves").await?.unwrap();
        let (to, lot) = (form.attr("data-to").await?.unwrap(), moves.split(':').next().unwrap().to_owned());
        let panel = world.get(&format!("/lots/{lot}")).await["panel"].clone();
        form.find(By::Tag("button")).await?.click().await?;
        says(driver, "#kept", "1 entry is kept").await?;
        world.it_is("2026-03-03T07:00:00Z");
        driver.refresh().await?;
        for _ in 0..100 {
            let kept = driver.execute("return localStorage.getItem('mouldboard-kept');", vec![]).await?.json().clone();
            if kept == "[]" {
                break;
            }
            tokio::time::sleep(std::time::Duration::from_millis(100)).await;
        }
        let lots = world.get("/lots?limit=500").await;
        let moved = lots
            .as_array()
            .unwrap()
            .iter()
            .any(|l| l["panel"] == panel && l["stage"] == to.as_str() && l["since"] == "2026-03-02");
        assert!(moved, "moved on the day before: {lots:#}");
        Ok(())
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_kept_entry_that_is_refused_stays_whole_until_a_person_decides() {
    in_a_browser(async |driver, world| {
        let number = world.get("/days/today/tickets").await[0]["number"].as_str().unwrap().to_owned();
        driver.goto(world.url("/")).await?;
        driver.execute(AWAY, vec![]).await?;
        let form = driver.find(By::Css(format!("#t-{number} form[data-send$='completion']"))).await?;
        form.find(By::Name("measured_wet_density_kg_m3")).await?.send_keys("961").await?;
        form.find(By::Tag("button")).await?.click().await?;
        says(driver, "#kept", "1 entry is kept").await?;
        let void = r#"{"reason":"the mixer stands still"}"#;
        let voided = world.send(reqwest::Method::POST, &format!("/tickets/{number}/void"), Some(void)).await;
        assert!(voided.status().is_success(), "{}", voided.status());
        driver.refresh().await?;
        says(driver, "#kept", &format!("Completion of {number} was not taken")).await?;
        says(driver, "#kept", "Wet density measured, kg/m³: 961").await?;
        picture(driver, "refused.png").await?;
        driver.find(By::XPath("//*[@id='kept']//button[.='Send it again']")).await?.click().await?;
        says(driver, "#kept", "was not taken").await?;
        driver.refresh().await?;
        says(driver, "#kept", "961").await?;
        driver.find(By::XPath("//*[@id='kept']//button[.='Throw it away']")).await?.click().await?;
        let hidden = driver.execute("return document.getElementById('kept').hidden;", vec![]).await?.json().clone();
        assert_eq!(hidden, true);
        Ok(())
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_typed_beside_an_entry_is_still_there_after_it_and_the_density_is_carried_over() {
    in_a_browser(async |driver, world| {
        let ticket = world.get("/days/today/tickets").await[0].clone();
        let number = ticket["number"].as_str().unwrap();
        let density = ticket["wet_density_kg_m3"].as_f64().unwrap().to_string();
        driver.goto(world.url("/")).await?;
        let completion = format!("#t-{number} form[data-send$='completion']");
        let script = format!("document.querySelector(\"{completion} details\").open = true;");
        driver.execute(script, vec![]).await?;
        let actual = By::Css(format!("{completion} [name=actual]"));
        let field = driver.find(actual.clone()).await?;
        let written = field.value().await?.unwrap();
        let kg: f64 = written.parse().unwrap();
        field.clear().await?;
        field.send_keys(format!("{}", kg + 0.5)).await?;
        let weighing = driver.find(By::Css(format!("#t-{number} form[data-send$='corrections']"))).await?;
        weighing.find(By::Name("measured_wet_density_kg_m3")).await?.send_keys(&density).await?;
        let foamed = weighing.find(By::Name("minutes_since_foaming")).await;
        if let Ok(minutes) = foamed {
            minutes.send_keys("2").await?;
        }
        weighing.find(By::Name("by")).await?.send_keys("the bench").await?;
        weighing.find(By::Tag("button")).await?.click().await?;
        says(driver, &format!("#t-{number}"), "by the bench at").await?;
        let field = driver.find(actual).await?;
        assert_eq!(field.value().await?.unwrap(), format!("{}", kg + 0.5), "as it was typed");
        let carried = driver.find(By::Css(format!("{completion} [name=measured_wet_density_kg_m3]"))).await?;
        assert_eq!(carried.value().await?.unwrap(), density);
        driver.find(By::Css(format!("{completion} > button"))).await?.click().await?;
        says(driver, &format!("#t-{number}"), "· mixed").await?;
        let mixed = world.get(&format!("/tickets/{number}")).await;
        let first = &mixed["lines"][0];
        let target = first["target"].as_i64().unwrap();
        assert_eq!(first["actual"].as_i64().unwrap(), target + 500, "typed in kilograms, kept in grams: {first}");
        assert!(
            mixed["lines"].as_array().unwrap().iter().skip(1).all(|l| l["actual"] == l["target"]),
            "others as written"
        );
        Ok(())
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn an_entry_of_another_person_waits_until_somebody_decides_under_whose_name_it_goes() {
    in_a_browser(async |driver, world| {
        let number = world.get("/days/today/tickets").await[0]["number"].as_str().unwrap().to_owned();
        driver.goto(world.url("/")).await?;
        driver
            .execute(
                "document.body.dataset.by = 'Ida'; localStorage.setItem('mouldboard-signed-in', '\"Ida\"');",
                vec![],
            )
            .await?;
        driver.execute(AWAY, vec![]).await?;
        driver.find(By::Css(format!("#t-{number} form[data-send$='completion'] > button"))).await?.click().await?;
        says(driver, "#kept", "1 entry is kept").await?;
        driver.refresh().await?;
        says(driver, "#kept", "1 entry is kept on this device that Ida made").await?;
        assert_eq!(world.get(&format!("/tickets/{number}")).await["state"], "issued", "not sent under another name");
        driver.find(By::XPath("//*[@id='kept']//button[.='Send without a name']")).await?.click().await?;
        says(driver, &format!("#t-{number}"), "· mixed").await?;
        Ok(())
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_change_that_was_made_and_whose_answer_was_lost_is_told_as_made() {
    in_a_browser(async |driver, world| {
        let id = world.get("/orders").await[0]["id"].as_str().unwrap().to_owned();
        driver.goto(world.url(&format!("/pages/orders/{id}"))).await?;
        driver.execute("const real = window.fetch; window.fetch = async (...a) => { await real(...a); throw new TypeError('lost'); }; document.querySelector('form[data-method=PUT]').closest('details').open = true;", vec![]).await?;
        driver.find(By::Css("form[data-method=PUT] [name=priority] option[value=low]")).await?.click().await?;
        driver.find(By::Css("form[data-method=PUT] button")).await?.click().await?;
        says(driver, "#kept", "1 entry is kept").await?;
        assert_eq!(world.get(&format!("/orders/{id}")).await["priority"], "low", "it arrived, only the answer did not");
        driver.refresh().await?;
        for _ in 0..100 {
            if driver.execute("return localStorage.getItem('mouldboard-kept');", vec![]).await?.json() == "[]" {
                break;
            }
            tokio::time::sleep(std::time::Duration::from_millis(100)).await;
        }
        let hidden = driver.execute("return document.getElementById('kept').hidden;", vec![]).await?.json().clone();
        assert_eq!(hidden, true, "nothing is told as refused");
        Ok(())
    })
    .await;
}
