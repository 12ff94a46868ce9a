//! Every page in every state held against the rules of accessibility that a program can check (WCAG 2.2 AA), by axe-core, which the test
//! script fetches.

use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

use serde_json::Value;
use thirtyfour::prelude::*;

use crate::every_page::{fold_out, in_the_dark, on_every_page};

/// Names the file of axe-core; set by the test script.
const AXE: &str = "MOULDBOARD_TEST_AXE";

/// Every rule of WCAG 2.2 A and AA that a program can check.
const ALL: &str = "['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']";
/// What alone the dark can make worse.
const COLOURS: &str = "['color-contrast']";

#[tokio::test(flavor = "multi_thread")]
async fn no_page_keeps_anybody_out() {
    let Ok(file) = std::env::var(AXE) else {
        assert!(std::env::var_os("CI").is_none(), "{AXE} is not set: the pages were not held against the rules");
        eprintln!("not run: {AXE} is not set (it names axe.min.js of axe-core)");
        return;
    };
    let axe = std::fs::read_to_string(&file).unwrap_or_else(|error| panic!("{file}: {error}"));
    let (found, proven) = (Mutex::new(Vec::new()), AtomicBool::new(false));
    on_every_page(async |driver, met| {
        fold_out(driver).await?;
        driver.execute(axe.as_str(), vec![]).await?;
        for (dark, rules) in [(false, ALL), (true, COLOURS)] {
            in_the_dark(driver, dark).await;
            let light = if dark { "dark" } else { "light" };
            let said = serious(driver, rules).await?.into_iter().map(|what| format!("{} ({light}): {what}", met.name));
            found.lock().unwrap().extend(said);
        }
        if !proven.swap(true, Ordering::SeqCst) {
            driver.execute("document.querySelector('main').append(document.createElement('img'));", vec![]).await?;
            let planted = serious(driver, ALL).await?.iter().any(|what| what.starts_with("image-alt"));
            assert!(planted, "what is wrong would be found");
        }
        Ok(())
    })
    .await;
    let found = found.into_inner().unwrap();
    assert!(found.is_empty(), "{} findings:\n{}", found.len(), found.join("\n"));
}

/// Serious and critical findings of the page that is shown, each with the first places it was found at.
async fn serious(driver: &WebDriver, rules: &str) -> WebDriverResult<Vec<String>> {
    let run = format!(
        "const done = arguments[0]; axe.run(document, {{ runOnly: {rules} }}).then((found) => done(found.violations)).catch((error) => done([{{ id: String(error), impact: 'critical', nodes: [] }}]));"
    );
    let found = driver.execute_async(&run, vec![]).await?.json().clone();
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
