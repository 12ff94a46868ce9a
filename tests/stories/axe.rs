//! Every page held against the rules of accessibility that a program can check (WCAG 2.2 AA), by axe-core, which the test
//! script fetches.

use serde_json::Value;
use thirtyfour::prelude::*;

use crate::browser::{devtools, in_a_browser, pages};

/// Names the file of axe-core; set by the test script.
const AXE: &str = "MOULDBOARD_TEST_AXE";

#[tokio::test(flavor = "multi_thread")]
async fn no_page_keeps_anybody_out() {
    let Ok(file) = std::env::var(AXE) else {
        assert!(std::env::var_os("CI").is_none(), "{AXE} is not set: the pages were not held against the rules");
        eprintln!("not run: {AXE} is not set (it names axe.min.js of axe-core)");
        return;
    };
    let axe = std::fs::read_to_string(&file).unwrap_or_else(|error| panic!("{file}: {error}"));
    in_a_browser(async |driver, world| {
        let mut found = Vec::new();
        for (_, path) in pages(world).await {
            driver.goto(world.url(&path)).await?;
            driver.execute("for (const fold of document.querySelectorAll('details')) fold.open = true; for (const box of document.querySelectorAll('.weigh input')) box.checked = true;", vec![]).await?;
            for dark in [false, true] {
                let scheme = serde_json::json!({ "features": [{ "name": "prefers-color-scheme", "value": if dark { "dark" } else { "light" } }] });
                devtools(driver, "Emulation.setEmulatedMedia", scheme).await;
                driver.execute(axe.as_str(), vec![]).await?;
                let light = if dark { "dark" } else { "light" };
                found.extend(serious(driver).await?.into_iter().map(|what| format!("{path} ({light}): {what}")));
            }
        }
        driver.execute("document.querySelector('main').append(document.createElement('img'));", vec![]).await?;
        assert!(serious(driver).await?.iter().any(|what| what.starts_with("image-alt")), "what is wrong would be found");
        assert!(found.is_empty(), "{} findings:\n{}", found.len(), found.join("\n"));
        Ok(())
    })
    .await;
}

/// Serious and critical findings of the page that is shown, each with the first places it was found at.
async fn serious(driver: &WebDriver) -> WebDriverResult<Vec<String>> {
    let rules = "const done = arguments[0]; axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] }).then((found) => done(found.violations)).catch((error) => done([{ id: String(error), impact: 'critical', nodes: [] }]));";
    let found = driver.execute_async(rules, vec![]).await?.json().clone();
    let serious = |one: &&Value| one["impact"] == "serious" || one["impact"] == "critical";
    let said = |one: &Value| {
        let nodes = one["nodes"].as_array().cloned().unwrap_or_default();
        let places: Vec<String> = nodes
            .iter()
            .take(3)
            .map(|node| node["html"].as_str().unwrap_or_default().chars().take(160).collect())
            .collect();
        format!("{} ({}): {}", one["id"].as_str().unwrap_or_default(), nodes.len(), places.join(" | "))
    };
    Ok(found.as_array().into_iter().flatten().filter(serious).map(said).collect())
}
