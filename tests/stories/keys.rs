//! The bench's job by the keyboard alone, for wet hands and for those who use no pointer.

use serde_json::Value;
use thirtyfour::prelude::*;

use crate::driving::{by_keys_to, in_a_browser, picture, says};

/// From the first tick to the last answer nothing is clicked: every ingredient is ticked off, the load weighed, the answer
/// followed, the ticket completed; stock is drawn once.
#[tokio::test(flavor = "multi_thread")]
async fn a_ticket_is_ticked_off_weighed_and_completed_by_keys_alone() {
    in_a_browser(async |driver, world| {
        let ticket = world.get("/days/today/tickets").await[0].clone();
        let number = ticket["number"].as_str().unwrap();
        let cement = ticket["lines"].as_array().unwrap().iter().find(|l| l["material"] == "cement").unwrap();
        let before = world.on_hand("cement").await;
        let density = ticket["wet_density_kg_m3"].as_f64().unwrap().to_string();
        let keys = async |keys: &str| driver.action_chain().send_keys(keys).perform().await;
        driver.goto(world.url("/")).await?;
        let card = format!("#t-{number}");

        let boxes = driver.find_all(By::Css(format!("{card} .weigh input"))).await?.len();
        let ingredients = ticket["lines"].as_array().unwrap().iter().filter(|l| l["kind"] == "ingredient").count();
        assert!(boxes >= ingredients && ingredients > 2, "{boxes} boxes for {ingredients} ingredients");
        for n in 1..=boxes {
            by_keys_to(driver, &format!("{card} .weigh li:nth-child({n}) input")).await?;
            keys(" ").await?;
        }
        driver.refresh().await?;
        let ticked = format!("return document.querySelectorAll('{card} .weigh input:checked').length;");
        assert_eq!(driver.execute(ticked, vec![]).await?.json(), boxes, "ticks are still there");

        let weighing = format!("{card} form[data-send$='corrections']");
        by_keys_to(driver, &format!("{weighing} [name=measured_wet_density_kg_m3]")).await?;
        keys(&density).await?;
        if ticket["foam_volume_l"].as_f64().unwrap() > 0.0 {
            by_keys_to(driver, &format!("{weighing} [name=minutes_since_foaming]")).await?;
            keys("3").await?;
        }
        by_keys_to(driver, &format!("{weighing} [name=by]")).await?;
        keys("the bench").await?;
        by_keys_to(driver, &format!("{weighing} button")).await?;
        keys(" ").await?;
        says(driver, &card, "by the bench").await?;
        picture(driver, "weighed.png").await?;
        let kept = world.get(&format!("/tickets/{number}/corrections")).await;
        assert_eq!((&kept[0]["answer"], kept.as_array().unwrap().len()), (&"accept".into(), 1), "{kept}");

        by_keys_to(driver, &format!("{card} form[data-send$='done'] button")).await?;
        keys(" ").await?;
        says(driver, &card, "Done by the bench").await?;
        by_keys_to(driver, &format!("{card} form[data-send$='completion'] [name=measured_wet_density_kg_m3]")).await?;
        driver.action_chain().send_keys(Key::Enter + "").perform().await?;
        says(driver, &card, "· mixed").await?;
        let mixed = world.get(&format!("/tickets/{number}")).await;
        assert_eq!(mixed["measured_wet_density_kg_m3"].as_f64(), ticket["wet_density_kg_m3"].as_f64(), "as weighed");
        assert_eq!(world.on_hand("cement").await, before - cement["target"].as_i64().unwrap());
        assert_ne!(mixed["closed_at"], Value::Null);
        Ok(())
    })
    .await;
}
