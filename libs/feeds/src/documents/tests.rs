use workshop::documents::plan::{Figures, LateFigure, Proof};
use workshop::documents::{Facts, Plan};

use super::{read_facts, read_plan, write_facts, write_plan};

const SMALL: &str = r#"{
  "format": "mouldboard-facts/1", "name": "small", "x_note": "ours to ignore",
  "first_day": "2026-05-04", "last_day": "2026-05-31", "working_days": ["2026-05-04", "2026-05-05"],
  "labour_minutes": {"usual": 200, "on": {"2026-05-05": 60.5}}, "mixer_batches": 3,
  "materials": [{"id": "cement", "on_hand": 60000, "floor": 0, "pack": 25000, "pack_price": 650, "lead_days": 3,
    "delivery_charge": 600, "store_max": 90000, "price_breaks": [{"from_packs": 4, "pack_price": 600}],
    "expected": [{"day": "2026-05-09", "quantity": 5000}]}],
  "mixes": [{"id": "grey", "finish": "plain", "per_litre": {"cement": 400}, "batch_litres_min": 10,
    "batch_litres_max": 40, "batch_minutes": 10, "washout_litres": 1.5, "washout_minutes": 15, "hold_days": 1,
    "washout_price": 250, "washout_price_on": {"2026-05-05": 300.5},
    "soak_days": 3, "dry_days": 2, "hold_days_on": {"2026-05-05": 4}, "not_on": ["2026-05-04"]}],
  "mould_groups": [{"id": "long", "moulds": 3, "turnaround_days": 1,
    "out_of_service": [{"from": "2026-05-18", "to": "2026-05-19", "moulds": 1}]}],
  "panels": [{"id": "side", "mould_group": "long", "litres": 12, "tank_mm": 60, "rack_mm": 80, "pour_minutes": 4,
    "strip_minutes": 4, "lift_minutes": 2, "mixes": ["grey"], "tanks": ["deep"], "per_panel": {"cement": 1}, "pass_rate": 0.9,
    "keep_price": 2}],
  "tanks": [{"id": "deep", "mm": 500}], "racks": [{"id": "inside", "mm": 400}],
  "ready_stock": [{"panel": "side", "finish": "plain", "quantity": 2.0}],
  "lots": [{"panel": "side", "mix": "grey", "stage": "soaking", "since": "2026-05-01", "quantity": 1, "tank": "deep", "rack": null}],
  "pinned": [{"day": "2026-05-05", "panel": "side", "mix": "grey", "quantity": 1}],
  "published": [{"day": "2026-05-05", "panel": "side", "mix": "grey", "quantity": 2}],
  "orders": [{"id": "first", "due_on": "2026-05-06", "weight": 1.5, "lines": [{"panel": "side", "finish": "plain", "quantity": 4}]}],
  "policy": {"unmet_days": 30, "steady_days": 5, "late_price": 100, "seconds": 5, "threads": 1, "seed": 1}
}"#;

fn small() -> Facts {
    read_facts(SMALL).unwrap()
}

#[test]
fn facts_come_back_as_they_went() {
    let facts = small();
    let text = write_facts(&facts);
    assert_eq!(read_facts(&text).unwrap(), facts);
    assert_eq!(write_facts(&read_facts(&text).unwrap()), text);
}

#[test]
fn whole_numbers_have_no_point_and_optional_fields_may_be_missing() {
    let text = write_facts(&small());
    assert!(text.contains("\"usual\": 200,") && text.contains("60.5") && !text.contains("200.0"));
    let mut facts = small();
    facts.name = None;
    facts.panels[0].tanks = None;
    facts.materials[0].store_max = None;
    facts.mixes[0].not_on.clear();
    (facts.mixes[0].washout_price, facts.panels[0].keep_price) = (0.0, 0.0);
    facts.mixes[0].washout_price_on.clear();
    let text = write_facts(&facts);
    assert!(!text.contains("store_max") && !text.contains("not_on") && !text.contains("\"name\""));
    assert!(!text.contains("washout_price") && !text.contains("keep_price"));
    assert_eq!(read_facts(&text).unwrap(), facts);
}

#[test]
fn plans_come_back_as_they_went() {
    let day = "2026-05-05".parse().unwrap();
    let text = r#"{"format": "mouldboard-plan/1",
      "pours": [{"day": "2026-05-05", "panel": "side", "mix": "grey", "quantity": 1}],
      "strips": [{"day": "2026-05-05", "panel": "side", "mix": "grey", "quantity": 1, "tank": null}],
      "lifts": [{"day": "2026-05-05", "panel": "side", "mix": "grey", "quantity": 1, "tank": "deep", "rack": null}],
      "batches": [{"day": "2026-05-05", "mix": "grey", "litres": [12, 13.5]}],
      "deliveries": [{"arrives": "2026-05-05", "material": "cement", "packs": 2}],
      "orders": [{"id": "first", "ready_on": null, "met": [{"panel": "side", "finish": "plain", "day": "2026-05-05", "quantity": 1}]}],
      "figures": {"order_days_late": 1.5, "panel_days_late": 2, "material_cost": 7, "changes": 0},
      "proof": {"figure": "panel_days_late", "bound": 0.5, "gap": 0.75, "seconds": 1.25, "ended": "time"}}"#;
    let mut plan: Plan = read_plan(text).unwrap();
    assert_eq!(plan.pours[0].day, day);
    assert_eq!(plan.figures, Figures { order_days_late: 1.5, panel_days_late: 2.0, material_cost: 7, changes: 0 });
    let proof = plan.proof.clone().unwrap();
    assert_eq!((proof.figure, proof.way.as_str()), (LateFigure::PanelDaysLate, ""));
    assert_eq!(read_plan(&write_plan(&plan)).unwrap(), plan);
    plan.proof = Some(Proof { figure: LateFigure::OrderDaysLate, way: "exact".into(), ..proof });
    assert_eq!(read_plan(&write_plan(&plan)).unwrap(), plan);
    plan.proof = None;
    assert_eq!(read_plan(&write_plan(&plan)).unwrap(), plan);
}

/// A text of the small facts, what it is replaced by, the pointer and a word of the fault.
const FAULTS: &[(&str, &str, &str, &str)] = &[
    ("\"mouldboard-facts/1\"", "\"mouldboard-facts/2\"", "/format", "mouldboard-facts/1"),
    ("\"mixer_batches\": 3", "\"mixer_batches\": 2.5", "/mixer_batches", "2.5 where a whole number"),
    ("\"mixer_batches\": 3", "\"mixer_batch\": 3", "", "\"mixer_batches\" is missing"),
    ("\"mixer_batches\": 3", "\"mixer_batch\": 3", "/mixer_batch", "no field is called"),
    ("\"usual\": 200", "\"usual\": \"200\"", "/labour_minutes/usual", "where a number"),
    ("{\"2026-05-05\": 60.5}", "{\"05/05/2026\": 60.5}", "/labour_minutes/on/05~105~12026", "not a day"),
    ("\"first_day\": \"2026-05-04\"", "\"first_day\": \"2026-02-30\"", "/first_day", "where a day"),
    ("\"stage\": \"soaking\"", "\"stage\": \"bathing\"", "/lots/0/stage", "soaking"),
    ("\"mixes\": [\"grey\"]", "\"mixes\": \"grey\"", "/panels/0/mixes", "where a list"),
    ("\"quantity\": 4}", "\"quantity\": null}", "/orders/0/lines/0", "\"quantity\" is missing"),
    ("\"policy\": {", "\"policy\": 7, \"x_policy\": {", "/policy", "where an object"),
    ("\"id\": \"first\"", "\"id\": 1", "/orders/0/id", "where text"),
];

#[test]
fn every_fault_of_the_shape_has_its_place() {
    for (from, to, pointer, word) in FAULTS {
        assert!(SMALL.contains(from), "{from}");
        let faults = read_facts(&SMALL.replacen(from, to, 1)).unwrap_err();
        let told = faults.iter().any(|fault| fault.pointer == *pointer && fault.detail.contains(word));
        assert!(told, "{to}: {faults:?}");
    }
}

#[test]
fn faults_come_all_at_once_and_cut_off_documents_with_a_sentence() {
    let twice = SMALL.replacen("\"floor\": 0", "\"floor\": true", 1).replacen("\"packs\"", "\"bags\"", 1);
    let twice = twice.replacen("\"hold_days\": 1", "\"hold_days\": \"one\"", 1);
    assert_eq!(read_facts(&twice).unwrap_err().len(), 2);
    let cut = read_facts(&SMALL[..300]).unwrap_err();
    assert!(cut.len() == 1 && cut[0].detail.contains("not JSON") && cut[0].to_string().starts_with("(document)"));
    assert!(read_plan("[]").unwrap_err()[0].detail.contains("a list where an object belongs"));
}
