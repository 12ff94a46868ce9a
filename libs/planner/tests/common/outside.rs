//! The judge: a checker written by somebody else, in another language.

use std::io::Write;
use std::process::{Command, Stdio};

use chrono::Duration;
use workshop::documents::facts::Stage;
use workshop::documents::{Facts, Plan};

/// What the judge says of one plan.
#[derive(Clone, Debug)]
pub struct Judged {
    pub holds: bool,
    pub broken: String,
    pub sentences: Vec<String>,
    pub figures: serde_json::Value,
}

/// Facts in words the judge knows: of a lot in cold water it takes the day that leads to the same day out of the tank.
fn told(facts: &Facts) -> Facts {
    let mut facts = facts.clone();
    for lot in facts.lots.iter_mut().filter(|lot| lot.stage == Stage::Soaking) {
        if let Some(mix) = facts.mixes.iter().find(|mix| mix.id == lot.mix) {
            lot.since += Duration::days(lot.soak_days(mix) - mix.soak_days);
            lot.soaked_on = None;
        }
    }
    facts
}

/// Judges plans. None where there is no python3, which is said, and is a failure where `CI` is set.
pub fn judge(pairs: &[(Facts, Plan)]) -> Option<Vec<Judged>> {
    if Command::new("python3").arg("--version").output().is_err() {
        assert!(std::env::var_os("CI").is_none(), "python3 is missing, so nobody from outside can judge the plans");
        eprintln!("python3 is missing: the judge was not asked");
        return None;
    }
    let folder = tempfile::tempdir().unwrap();
    let mut lines = String::new();
    for (n, (facts, plan)) in pairs.iter().enumerate() {
        let (f, p) = (folder.path().join(format!("f{n}.json")), folder.path().join(format!("p{n}.json")));
        std::fs::write(&f, feeds::documents::write_facts(&told(facts))).unwrap();
        std::fs::write(&p, feeds::documents::write_plan(plan)).unwrap();
        lines += &format!("{}\t{}\n", f.display(), p.display());
    }
    let script = super::outside_folder().join("judge/many.py");
    let mut python = Command::new("python3");
    let mut python = python.arg(script).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
    python.stdin.take().unwrap().write_all(lines.as_bytes()).unwrap();
    let output = python.wait_with_output().unwrap();
    assert!(output.status.success());
    let judged = |line: &str| {
        let said: serde_json::Value = serde_json::from_str(line).unwrap();
        let (holds, broken) = (said["holds"].as_bool().unwrap(), said["broken"].to_string());
        let sentences = said["broken"].as_array().unwrap().iter().map(|sentence| sentence.as_str().unwrap().to_owned());
        Judged { holds, broken, sentences: sentences.collect(), figures: said["figures"].clone() }
    };
    let judged: Vec<_> = String::from_utf8(output.stdout).unwrap().lines().map(judged).collect();
    assert_eq!(judged.len(), pairs.len());
    Some(judged)
}

/// Asserts that our checker and the judge say the same of every plan, figures and all.
pub fn agree(pairs: &[(Facts, Plan)]) {
    let Some(judged) = judge(pairs) else { return };
    for ((facts, plan), judged) in pairs.iter().zip(judged) {
        let ours = planner::check(facts, plan);
        assert_eq!(ours.holds(), judged.holds, "ours {:?}\njudge {}", ours.broken, judged.broken);
        let (is, said) = (&ours.figures, &judged.figures);
        let close = |name: &str, value: f64, slack: f64| {
            let theirs = said[name].as_f64().unwrap();
            assert!((theirs - value).abs() <= slack, "{name}: ours {value}, the judge's {theirs}");
        };
        close("order_days_late", is.order_days_late, 1e-6 * is.order_days_late.max(1.0));
        close("panel_days_late", is.panel_days_late, 1e-6 * is.panel_days_late.max(1.0));
        close("material_cost", is.material_cost as f64, 1.0);
        close("changes", is.changes as f64, 0.0);
    }
}
