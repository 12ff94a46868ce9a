//! The program as a person starts it: arguments in, sentences and exit codes out.

use std::path::Path;
use std::process::{Command, Output};

fn mouldboard(folder: &Path, words: &[&str]) -> Output {
    run(folder, words, &[])
}

fn run(folder: &Path, words: &[&str], environment: &[(&str, &str)]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_mouldboard"));
    command.current_dir(folder).args(words);
    for (name, _) in std::env::vars().filter(|(name, _)| name.starts_with("MOULDBOARD_")) {
        command.env_remove(name);
    }
    command.envs(environment.iter().copied()).output().expect("the program was built beside this test")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

fn folder() -> tempfile::TempDir {
    tempfile::tempdir().expect("a temporary folder can be made")
}

#[test]
fn settings_are_listed_with_their_sources() {
    let place = folder();
    std::fs::write(place.path().join("mouldboard.toml"), "listen = \"127.0.0.1:9123\"\n").unwrap();
    let out = run(place.path(), &["settings"], &[("MOULDBOARD_LOG", "debug")]);
    assert!(out.status.success());
    let listed = text(&out.stdout);
    let line = |name: &str| listed.lines().find(|l| l.starts_with(name)).unwrap_or_default().to_owned();
    assert!(line("listen").contains("127.0.0.1:9123") && line("listen").contains("mouldboard.toml"), "{listed}");
    assert!(line("log ").contains("debug") && line("log ").contains("environment MOULDBOARD_LOG"), "{listed}");
    assert!(line("database_url").contains("default"), "{listed}");
}

/// Variables of the environment.
type Environment = &'static [(&'static str, &'static str)];

#[test]
fn a_bad_setting_stops_the_start_with_a_sentence() {
    // What is set, and what the sentences must name.
    let cases: [(Environment, &[&str]); 4] = [
        (&[("MOULDBOARD_LISTEN", "nowhere")], &["listen", "environment"]),
        (&[("MOULDBOARD_LISTNE", "127.0.0.1:1")], &["MOULDBOARD_LISTNE", "no such setting"]),
        (&[("MOULDBOARD_WORKER_POLL_SECONDS", "0"), ("MOULDBOARD_TODAY", "soon")], &["today"]),
        (&[("MOULDBOARD_DATABASE_URL", "file.db")], &["database_url", "sqlite:FILE"]),
    ];
    for (environment, parts) in cases {
        let place = folder();
        let out = run(place.path(), &["serve"], environment);
        assert!(!out.status.success(), "{environment:?} was accepted");
        let said = text(&out.stderr);
        for part in parts {
            assert!(said.contains(part), "{environment:?}: '{part}' is not in: {said}");
        }
        assert_eq!(std::fs::read_dir(place.path()).unwrap().count(), 0, "a refused start left something behind");
    }
}

#[test]
fn a_start_that_cannot_be_is_refused_with_a_sentence() {
    // Environment, what the sentence must name.
    let cases: [(Environment, &str); 3] = [
        (&[("MOULDBOARD_DATABASE_URL", "sqlite:not-there/m.db")], "not-there"),
        (&[("MOULDBOARD_DATABASE_URL", "postgres://me@127.0.0.1:1/none")], "127.0.0.1:1"),
        (&[], "mouldboard migrate"),
    ];
    for (environment, part) in cases {
        let place = folder();
        let out = run(place.path(), &["serve"], environment);
        assert!(!out.status.success(), "{environment:?} started");
        let said = text(&out.stderr);
        assert!(said.contains(part), "{environment:?}: '{part}' is not in: {said}");
        assert!(!said.contains("panicked"), "{said}");
    }
}

#[test]
fn the_network_is_not_served_without_a_token() {
    let place = folder();
    assert!(mouldboard(place.path(), &["migrate"]).status.success());
    let out = run(place.path(), &["api"], &[("MOULDBOARD_LISTEN", "0.0.0.0:0")]);
    assert!(!out.status.success());
    assert!(text(&out.stderr).contains("token"), "{}", text(&out.stderr));
}

#[test]
fn tokens_are_made_once_listed_without_their_text_and_revoked() {
    let place = folder();
    assert!(mouldboard(place.path(), &["migrate"]).status.success());
    let made = mouldboard(place.path(), &["token", "make", "--role", "bench", "bench tablet"]);
    assert!(made.status.success(), "{}", text(&made.stderr));
    let token = text(&made.stdout).trim().to_owned();
    assert!(token.len() >= 32, "{token}");
    let listed = text(&mouldboard(place.path(), &["token", "list"]).stdout);
    assert!(listed.contains("bench tablet") && !listed.contains(&token), "{listed}");
    let number =
        listed.lines().find(|l| l.contains("bench tablet")).unwrap().split_whitespace().next().unwrap().to_owned();
    assert!(mouldboard(place.path(), &["token", "revoke", &number]).status.success());
    assert!(!mouldboard(place.path(), &["token", "revoke", "999"]).status.success());
}

#[test]
fn migrating_twice_changes_nothing_and_a_backup_comes_back_whole() {
    let place = folder();
    let database = |file: &str| format!("sqlite:{file}");
    let first = database("first.db");
    let with = |words: &[&str], url: &str| run(place.path(), words, &[("MOULDBOARD_DATABASE_URL", url)]);
    assert!(text(&with(&["migrate"], &first).stdout).contains("applied"));
    assert!(text(&with(&["migrate"], &first).stdout).contains("already"));
    assert!(with(&["token", "make", "--role", "reader", "sheet"], &first).status.success());
    assert!(with(&["backup", "kept.backup"], &first).status.success());
    assert!(!with(&["backup", "kept.backup"], &first).status.success(), "a backup was written over");
    let second = database("second.db");
    let restored = with(&["restore", "kept.backup"], &second);
    assert!(restored.status.success(), "{}", text(&restored.stderr));
    assert!(text(&with(&["token", "list"], &second).stdout).contains("sheet"));
    let again = with(&["restore", "kept.backup"], &second);
    assert!(!again.status.success(), "a backup was read into a place that is not empty");
}

#[test]
fn the_demonstration_says_the_same_every_time_and_shows_what_it_promises() {
    let place = folder();
    let out = mouldboard(place.path(), &["demo", "--once"]);
    assert!(out.status.success(), "{}", text(&out.stderr));
    let said = text(&out.stdout);
    assert_eq!(said, text(&mouldboard(place.path(), &["demo", "--once"]).stdout));
    for part in
        ["on time", "late", "TH-10", "Material cost", "bound", "2026-03-02-01", "Portland cement", "Tern Hollow"]
    {
        assert!(said.contains(part), "'{part}' is not in: {said}");
    }
    assert_eq!(std::fs::read_dir(place.path()).unwrap().count(), 0, "--once left something behind");
}

#[test]
fn plan_and_check_work_on_files_and_tell_faults_apart() {
    let place = folder();
    let write = |name: &str, text: &str| std::fs::write(place.path().join(name), text).unwrap();
    write("facts.json", FACTS);
    let planned =
        mouldboard(place.path(), &["plan", "facts.json", "--out", "plan.json", "--seconds", "2", "--threads", "1"]);
    assert_eq!(planned.status.code(), Some(0), "{}", text(&planned.stderr));
    assert_eq!(mouldboard(place.path(), &["check", "facts.json", "plan.json"]).status.code(), Some(0));

    let plan = std::fs::read_to_string(place.path().join("plan.json")).unwrap();
    let spoiled = plan
        .replace("\"order_days_late\":0", "\"order_days_late\":7")
        .replace("\"order_days_late\": 0", "\"order_days_late\": 7");
    assert_ne!(plan, spoiled);
    write("spoiled.json", &spoiled);
    let refused = mouldboard(place.path(), &["check", "facts.json", "spoiled.json"]);
    assert_eq!(refused.status.code(), Some(1));
    assert!(text(&refused.stdout).contains("order_days_late"), "{}", text(&refused.stdout));

    write("broken.json", "{\"format\": \"mouldboard-facts/1\"");
    let unread = mouldboard(place.path(), &["plan", "broken.json", "--out", "none.json"]);
    assert_eq!(unread.status.code(), Some(2));
    assert!(!place.path().join("none.json").exists());
}

#[test]
fn plan_takes_the_figure_that_leads_and_the_ways_to_go_and_tells_programs_how_it_gets_on() {
    let place = folder();
    std::fs::write(place.path().join("facts.json"), TIGHT).unwrap();
    let plan = |words: &[&str]| {
        let out = mouldboard(place.path(), &[&["plan", "facts.json", "--out", "plan.json"], words].concat());
        assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
        let plan = std::fs::read_to_string(place.path().join("plan.json")).unwrap();
        let plan: serde_json::Value = serde_json::from_str(&plan).unwrap();
        let read = |line: &str| serde_json::from_str::<serde_json::Value>(line).unwrap();
        (plan, text(&out.stderr).lines().map(read).collect::<Vec<_>>())
    };
    for figure in ["order_days_late", "panel_days_late"] {
        let (plan, lines) = plan(&["--evaluations", "300", "--threads", "1", "--figure", figure]);
        assert_eq!(plan["proof"]["figure"], figure);
        assert!(lines.iter().all(|line| line["figure"] == figure && line["best"] == line[figure]), "{lines:?}");
        assert!(lines.iter().all(|line| line["gap"].is_number() && line["bound"].is_number()), "{lines:?}");
        let best = lines.last().unwrap()["best"].as_f64();
        assert_eq!(best, plan["figures"][figure].as_f64(), "the best told last is not the plan's");
    }
    let ways = |lines: &[serde_json::Value]| -> Vec<String> {
        lines.iter().map(|line| line["way"].as_str().unwrap().to_owned()).collect()
    };
    let (_, lines) = plan(&["--seconds", "2", "--ways", "foreman"]);
    assert!(ways(&lines).iter().all(|way| way == "foreman"), "{lines:?}");
    let (proven, lines) = plan(&["--seconds", "20", "--ways", "foreman,exact"]);
    assert!(ways(&lines).iter().all(|way| way != "search"), "{lines:?}");
    assert_eq!(proven["proof"]["ended"], "optimal");
}

#[test]
fn plan_refuses_words_it_does_not_know_and_names_those_it_does() {
    let place = folder();
    std::fs::write(place.path().join("facts.json"), FACTS).unwrap();
    for (word, wrong, known) in [("--figure", "cost", "panel_days_late"), ("--ways", "foreman,luck", "exact")] {
        let out = mouldboard(place.path(), &["plan", "facts.json", "--out", "plan.json", word, wrong]);
        assert_eq!(out.status.code(), Some(2));
        assert!(text(&out.stderr).contains(known), "{}", text(&out.stderr));
    }
    assert!(!place.path().join("plan.json").exists());
}

/// One panel, one mix, one order that is easily met.
const FACTS: &str = r#"{
  "format": "mouldboard-facts/1", "first_day": "2026-05-04", "last_day": "2026-05-31",
  "working_days": ["2026-05-04", "2026-05-05", "2026-05-06", "2026-05-07", "2026-05-08", "2026-05-11", "2026-05-12", "2026-05-13"],
  "labour_minutes": {"usual": 480}, "mixer_batches": 3,
  "materials": [{"id": "cement", "on_hand": 100000, "floor": 0, "pack": 25000, "pack_price": 700, "lead_days": 2, "delivery_charge": 0}],
  "mixes": [{"id": "grey@1", "finish": "grey", "per_litre": {"cement": 500}, "batch_litres_min": 1, "batch_litres_max": 40,
    "batch_minutes": 10, "washout_litres": 1, "washout_minutes": 10, "hold_days": 1, "soak_days": 2, "dry_days": 2}],
  "mould_groups": [{"id": "sides", "moulds": 4, "turnaround_days": 0}],
  "panels": [{"id": "side", "mould_group": "sides", "litres": 10, "tank_mm": 50, "rack_mm": 70, "pour_minutes": 5,
    "strip_minutes": 5, "lift_minutes": 5, "mixes": ["grey@1"]}],
  "tanks": [{"id": "tank", "mm": 1000}], "racks": [{"id": "rack", "mm": 1000}],
  "ready_stock": [], "lots": [], "pinned": [],
  "orders": [{"id": "first", "due_on": "2026-05-13", "weight": 1, "lines": [{"panel": "side", "finish": "grey", "quantity": 2}]}],
  "published": [], "policy": {"unmet_days": 30, "steady_days": 0, "late_price": 100, "seconds": 2, "threads": 1, "seed": 1}
}"#;

/// One mould, two finishes and four orders due at once: some must be late, and by how much depends on whose turn is first.
const TIGHT: &str = r#"{
  "format": "mouldboard-facts/1", "first_day": "2026-05-04", "last_day": "2026-05-17",
  "working_days": ["2026-05-04", "2026-05-05", "2026-05-06", "2026-05-07", "2026-05-08", "2026-05-11", "2026-05-12",
    "2026-05-13", "2026-05-14", "2026-05-15"],
  "labour_minutes": {"usual": 60}, "mixer_batches": 2,
  "materials": [{"id": "cement", "on_hand": 100000, "floor": 0, "pack": 25000, "pack_price": 700, "lead_days": 2, "delivery_charge": 0}],
  "mixes": [
    {"id": "grey@1", "finish": "grey", "per_litre": {"cement": 500}, "batch_litres_min": 1, "batch_litres_max": 40,
      "batch_minutes": 10, "washout_litres": 1, "washout_minutes": 10, "hold_days": 1, "soak_days": 1, "dry_days": 1},
    {"id": "red@1", "finish": "red", "per_litre": {"cement": 500}, "batch_litres_min": 1, "batch_litres_max": 40,
      "batch_minutes": 10, "washout_litres": 1, "washout_minutes": 10, "hold_days": 2, "soak_days": 1, "dry_days": 1}],
  "mould_groups": [{"id": "sides", "moulds": 1, "turnaround_days": 0}],
  "panels": [{"id": "side", "mould_group": "sides", "litres": 10, "tank_mm": 50, "rack_mm": 70, "pour_minutes": 5,
    "strip_minutes": 5, "lift_minutes": 5, "mixes": ["grey@1", "red@1"]}],
  "tanks": [{"id": "tank", "mm": 1000}], "racks": [{"id": "rack", "mm": 1000}],
  "ready_stock": [], "lots": [], "pinned": [],
  "orders": [
    {"id": "large", "due_on": "2026-05-07", "weight": 1, "lines": [{"panel": "side", "finish": "red", "quantity": 2}]},
    {"id": "small", "due_on": "2026-05-07", "weight": 1, "lines": [{"panel": "side", "finish": "grey", "quantity": 1}]},
    {"id": "mixed", "due_on": "2026-05-08", "weight": 2, "lines": [{"panel": "side", "finish": "grey", "quantity": 1},
      {"panel": "side", "finish": "red", "quantity": 1}]},
    {"id": "last", "due_on": "2026-05-08", "weight": 1, "lines": [{"panel": "side", "finish": "grey", "quantity": 1}]}],
  "published": [], "policy": {"unmet_days": 30, "steady_days": 0, "late_price": 100, "seconds": 2, "threads": 1, "seed": 1}
}"#;
