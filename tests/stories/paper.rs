//! Pages on paper: printed by the browser on A4 and Letter, their text read back out of the PDF.

use std::io::Write;
use std::process::{Command, Stdio};

use base64::Engine;
use serde_json::{Value, json};
use stories::World;
use thirtyfour::prelude::*;

use crate::driving::{devtools, in_a_browser};

/// Width and height in inches: A4 (ISO 216: 210 × 297 mm) and Letter (8.5 × 11 in).
const PAPERS: [(&str, f64, f64); 2] = [("A4", 210.0 / 25.4, 297.0 / 25.4), ("Letter", 8.5, 11.0)];

#[tokio::test(flavor = "multi_thread")]
async fn what_is_needed_on_paper_is_all_there_in_a4_and_letter_with_its_pages_numbered() {
    if Command::new("pdftotext").arg("-v").stderr(Stdio::null()).status().is_err() {
        assert!(std::env::var_os("CI").is_none(), "pdftotext is not there: the printed pages were not read");
        eprintln!("not run: pdftotext is not there (of poppler-utils)");
        return;
    }
    in_a_browser(async |driver, world| {
        let tickets = world.get("/days/today/tickets").await;
        let ticket = tickets[0].clone();
        let number = ticket["number"].as_str().unwrap();
        let order = world.get("/orders").await[0].clone();
        let id = order["id"].as_str().unwrap();
        let cautions: Vec<&str> = ticket["cautions"].as_array().unwrap().iter().filter_map(Value::as_str).collect();
        let plan = world.get("/plan").await;
        let materials = world.get("/stock").await;
        let days = plan["pours"].as_array().unwrap().len();
        assert!(days > 10 && !cautions.is_empty(), "the story has something to print");
        let mut tags: Vec<String> = numbers(&tickets).iter().map(|number| format!("Ticket {number}")).collect();
        tags.push(format!("Finish: {}", finish_of(world, &ticket).await));
        let mut lists: Vec<(&str, String, Vec<String>)> = vec![
            ("ticket", format!("/pages/tickets/{number}"), vec![number.to_owned(), "Wet density measured".to_owned()]),
            ("day", "/pages/days/today".to_owned(), numbers(&tickets)),
            ("tags", "/pages/days/today/tags".to_owned(), tags),
            (
                "pack-list",
                format!("/pages/orders/{id}/pack-list"),
                vec![format!("Pack list of {id}"), "Packed by".to_owned()],
            ),
            ("count", "/pages/stock/count".to_owned(), names(&materials)),
            ("plan", "/pages/plan".to_owned(), vec!["Late, and why".to_owned(), "Day by day".to_owned()]),
        ];
        lists[0].2.extend(cautions.iter().map(|caution| (*caution).to_owned()));
        lists[0].2.extend(masses(&ticket));
        for (name, path, wanted) in lists {
            driver.goto(world.url(&path)).await?;
            for (paper, width, height) in PAPERS {
                let text = printed(driver, &format!("{name}-{paper}.pdf"), width, height).await?;
                let whole: String = text.split_whitespace().collect::<Vec<_>>().join(" ");
                for part in &wanted {
                    let part: String = part.split_whitespace().collect::<Vec<_>>().join(" ");
                    assert!(whole.contains(&part), "{path} on {paper} lacks '{part}':\n{text}");
                }
                if name == "day" {
                    for caution in &cautions {
                        let caution: String = caution.split_whitespace().collect::<Vec<_>>().join(" ");
                        assert_eq!(whole.matches(&caution).count(), 1, "{path} on {paper} says once: {caution}");
                    }
                }
                let pages: Vec<&str> = text.split('\u{c}').filter(|page| !page.trim().is_empty()).collect();
                for (n, page) in pages.iter().enumerate() {
                    let (wanted, last) = (format!("{}/{}", n + 1, pages.len()), page.trim_end().lines().next_back());
                    let foot: String = last.unwrap_or_default().split_whitespace().collect();
                    assert!(foot.ends_with(&wanted), "{path} on {paper}: no '{wanted}' at the foot of:\n{page}");
                }
                for screen in ["For programs", "Sign in", "Plan anew", "Weigh the load"] {
                    assert!(!whole.contains(screen), "{path} on {paper} has '{screen}', which is for the screen");
                }
                assert!(name != "ticket" || pages.len() == 1, "a ticket is one sheet, not {}", pages.len());
            }
        }
        Ok(())
    })
    .await;
}

/// The name of the finish a ticket's mix gives.
async fn finish_of(world: &World, ticket: &Value) -> String {
    let (mix, _) = ticket["revision"].as_str().unwrap().split_once('@').unwrap();
    let mix = world.get(&format!("/mixes/{mix}")).await;
    let finish = world.get(&format!("/finishes/{}", mix["finish"].as_str().unwrap())).await;
    finish["name"].as_str().unwrap().to_owned()
}

fn numbers(tickets: &Value) -> Vec<String> {
    tickets.as_array().unwrap().iter().map(|t| t["number"].as_str().unwrap().to_owned()).collect()
}

fn names(materials: &Value) -> Vec<String> {
    let some = materials.as_array().unwrap().iter().filter(|m| m["material"] != "water");
    some.map(|m| m["name"].as_str().unwrap().to_owned()).collect()
}

/// The masses on a ticket as the bench reads them, to the gram its scale shows.
fn masses(ticket: &Value) -> Vec<String> {
    let lines = ticket["lines"].as_array().unwrap().iter().filter(|line| line["kind"] == "ingredient");
    let grams = lines.filter_map(|line| line["mass_g"].as_i64());
    grams.map(|g| format!("{}.{:03} kg", g / 1000, g % 1000)).collect()
}

/// The page as a PDF on paper of a size, as text. A browser that has not painted the page yet prints an empty sheet.
async fn printed(driver: &WebDriver, name: &str, width: f64, height: f64) -> WebDriverResult<String> {
    for _ in 0..50 {
        let text = printed_now(driver, name, width, height).await?;
        if !text.trim().is_empty() {
            return Ok(text);
        }
        tokio::time::sleep(std::time::Duration::from_millis(100)).await;
    }
    Ok(String::new())
}

/// The page as a PDF as it stands, as text; kept beside the pictures where those are wanted.
async fn printed_now(driver: &WebDriver, name: &str, width: f64, height: f64) -> WebDriverResult<String> {
    let paper =
        json!({ "paperWidth": width, "paperHeight": height, "preferCSSPageSize": false, "printBackground": false });
    let made = devtools(driver, "Page.printToPDF", paper).await;
    let pdf = base64::engine::general_purpose::STANDARD.decode(made["data"].as_str().unwrap()).unwrap();
    if let Ok(folder) = std::env::var("MOULDBOARD_TEST_PICTURES") {
        std::fs::write(std::path::Path::new(&folder).join(name), &pdf).unwrap();
    }
    let mut reader = Command::new("pdftotext");
    reader.args(["-enc", "UTF-8", "-", "-"]).stdin(Stdio::piped()).stdout(Stdio::piped());
    let mut reading = reader.spawn().unwrap();
    let mut into = reading.stdin.take().unwrap();
    let writing = std::thread::spawn(move || into.write_all(&pdf).unwrap());
    let read = reading.wait_with_output().unwrap();
    writing.join().unwrap();
    assert!(read.status.success());
    Ok(String::from_utf8(read.stdout).unwrap())
}
