//! `mouldboard mix` as a person uses it: the example files, both systems of units, JSON for machines, faults and exit codes.

use std::io::Write as _;
use std::path::PathBuf;
use std::process::{Command, Output, Stdio};

use serde_json::{Value, json};

fn example(name: &str) -> String {
    let file: PathBuf = [env!("CARGO_MANIFEST_DIR"), "examples", name].iter().collect();
    file.to_str().expect("a path in UTF-8").to_owned()
}

fn mix(words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_mouldboard")).arg("mix").args(words).output().expect("the program was built")
}

/// The same with a text as its standard input.
fn mix_of(command: &str, text: &str) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_mouldboard"))
        .args(["mix", command, "-", "--json"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program was built");
    child.stdin.take().expect("its input").write_all(text.as_bytes()).expect("it reads");
    child.wait_with_output().expect("it ends")
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

fn complained(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

fn found(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout).unwrap_or_else(|e| panic!("{e}: {output:?}"))
}

#[test]
fn the_examples_are_worked_out_for_people_in_both_systems() {
    // Command, units, what must be said.
    let cases: [(&str, &str, &[&str]); 6] = [
        ("proportions", "metric", &["621.0 kg/m³", "960.0 kg/m³", "749.2 kg/m³", "49.92 L", "-0.16 %", "Worked"]),
        ("proportions", "us", &["1046.7 lb/yd³", "59.9 lb/ft³", "46.8 lb/ft³", "1.763 ft³"]),
        ("batch", "metric", &["2 loads of 32.40 L", "20100 g", "The last load, 33.60 L", "weigh it on a finer scale"]),
        ("batch", "us", &["2 loads of 1.144 ft³", "44.313 lb", "US fl oz"]),
        ("cheapest", "metric", &["The cheapest mix", "960.0 kg/m³", "would save", "binds", "Worked"]),
        ("correct", "metric", &["Add 2.6 L of foam", "1042.0 kg/m³", "x = V (D - T) / (T - ρf)", "3 s"]),
    ];
    for (command, units, parts) in cases {
        let out = mix(&[command, &example(&format!("{command}.json")), "--units", units]);
        assert_eq!(out.status.code(), Some(0), "{command}: {}", complained(&out));
        for part in parts {
            assert!(said(&out).contains(part), "{command} {units}: '{part}' is not in\n{}", said(&out));
        }
    }
}

#[test]
fn a_yard_of_concrete_in_pounds_gives_the_foam_that_a_pencil_gives() {
    // 400 kg of cement and 200 kg of water to 800 kg/m³ with foam of 50: V = 326.98 L; Vf = (600 - 0.8·326.98) / (0.8 - 0.05).
    let recipe = |water: &str, cement: &str, wet: &str, foam: &str| {
        json!({ "recipe": {
            "ingredients": [
                { "material": "water", "kind": "water", "amount": water },
                { "material": "cement", "kind": "portland_cement", "amount": cement },
            ],
            "foam": { "density": foam, "water_counted": false }, "wet_density": wet,
        } })
    };
    let litres = 200.0 + 400.0 / 3.15;
    let foam = (600.0 - 0.8 * litres) / 0.75;
    for asked in [
        recipe("200 kg", "400 kg", "800 kg/m³", "50 g/L"),
        recipe("440.92452436976 lb", "881.84904873951 lb", "49.94236848461 lb/ft³", "3.12139803 lb/ft³"),
    ] {
        let out = mix_of("proportions", &asked.to_string());
        assert_eq!(out.status.code(), Some(0), "{}", complained(&out));
        let found = found(&out);
        let near = |place: &Value, wanted: f64| {
            let number = place.as_f64().unwrap();
            assert!((number - wanted).abs() < 1e-4 * wanted, "{number} is not {wanted}");
        };
        near(&found["yield_l"], litres + foam);
        near(&found["foam"]["volume_l_m3"], foam / (litres + foam) * 1000.0);
    }
}

#[test]
fn json_is_what_the_service_answers_and_stays_in_si() {
    for command in ["proportions", "batch", "correct", "cheapest"] {
        let file = example(&format!("{command}.json"));
        let (si, us) = (mix(&[command, &file, "--json"]), mix(&[command, &file, "--json", "--units", "us"]));
        assert_eq!(si.stdout, us.stdout, "{command}");
        let text = std::fs::read_to_string(&file).unwrap();
        assert_eq!(found(&si), found(&mix_of(command, &text)), "{command}");
        assert!(said(&si).contains("\"worked\""), "{command}");
    }
}

#[test]
fn a_load_that_must_not_be_poured_ends_with_one() {
    let file = std::fs::read_to_string(example("correct.json")).unwrap();
    let mut asked: Value = serde_json::from_str(&file).unwrap();
    asked["minutes_since_foaming"] = json!(31);
    let late = mix_of("correct", &asked.to_string());
    assert_eq!(late.status.code(), Some(1), "{}", complained(&late));
    assert_eq!(found(&late)["answer"], "reject");
    asked["minutes_since_foaming"] = json!(4);
    asked["wet_density_at_mould"] = json!("1120 kg/m³");
    // 1042 kg/m³ at the mixer wants foam: there is nothing to hold the mould against yet.
    let early = mix_of("correct", &asked.to_string());
    assert_eq!(early.status.code(), Some(2));
    assert!(complained(&early).contains("/wet_density_at_mould"), "{}", complained(&early));
    asked["weighed"]["full"] = json!("1.46 kg");
    let risen = mix_of("correct", &asked.to_string());
    assert_eq!((risen.status.code(), &found(&risen)["at_mould"]["answer"]), (Some(1), &json!("reject")));
}

#[test]
fn files_that_cannot_be_used_are_told_whole_and_end_with_two() {
    let water = r#"{ "material": "water", "kind": "water", "amount": "3 gal" }"#;
    // Command, text, what must be said.
    let cases: [(&str, String, &[&str]); 6] = [
        ("proportions", "{".into(), &["breaks off", "line 1"]),
        ("proportions", "{}".into(), &["a revision on record or a recipe"]),
        ("proportions", r#"{ "recipe": { "ingredients": [] }, "what": 1 }"#.into(), &["/what", "/recipe/ingredients"]),
        ("proportions", r#"{ "revision": "foamed-grey@2" }"#.into(), &["/revision", "give a recipe instead"]),
        (
            "proportions",
            format!(r#"{{ "recipe": {{ "ingredients": [{water}, {{ "material": "sand", "amount": "2 bags" }}] }} }}"#),
            &[
                "/recipe/ingredients/0/amount",
                "US gal or imp gal",
                "/recipe/ingredients/1/kind",
                "/recipe/ingredients/1/amount",
                "the bag's mass",
            ],
        ),
        ("batch", r#"{ "revision": "x@1", "load": "none", "scale_step_g": 0 }"#.into(), &["/scale_step_g"]),
    ];
    for (command, text, parts) in cases {
        let out = mix_of(command, &text);
        assert_eq!(out.status.code(), Some(2), "{text}: {}", said(&out));
        assert!(out.stdout.is_empty(), "{text}");
        for part in parts {
            assert!(complained(&out).contains(part), "{text}: '{part}' is not in {}", complained(&out));
        }
    }
    let missing = mix(&["batch", "no-such-file.json"]);
    assert_eq!(missing.status.code(), Some(2));
    assert!(complained(&missing).contains("no-such-file.json"), "{}", complained(&missing));
}

#[test]
fn help_shows_an_example_that_works() {
    for command in ["proportions", "batch", "correct", "cheapest"] {
        let help = mix(&[command, "--help"]);
        let text = said(&help);
        let start = text.find("\n  { ").unwrap_or_else(|| panic!("no example in {text}"));
        let end = text[start..].find("\n\n").map_or(text.len(), |at| start + at);
        let out = mix_of(command, &text[start..end]);
        assert_eq!(out.status.code(), Some(0), "{command}: {}", complained(&out));
        assert!(text.contains(&format!("mouldboard mix {command}")), "{text}");
    }
}

#[test]
fn a_wish_that_cannot_be_met_is_explained_and_ends_with_one() {
    let file = example("cheapest-impossible.json");
    let out = mix(&["cheapest", &file]);
    assert_eq!(out.status.code(), Some(1), "{}", complained(&out));
    for part in ["550 kg/m³ of cement cannot be reached at 700 kg/m³ wet", "nearest with all others"] {
        assert!(said(&out).contains(part), "'{part}' is not in\n{}", said(&out));
    }
    // With at least 0.4 of water the cement of 700 kg/m³ wet is 700 less the foam, over 1.4: the nearest is what closes.
    let answer = found(&mix(&["cheapest", &file, "--json"]));
    let nearest = answer["conflict"]["limits"][0]["nearest"].as_f64().unwrap();
    let foam = |cement: f64| 1000.0 - cement / 3.15 - 0.4 * cement;
    assert!((nearest * 1.4 + 0.05 * foam(nearest) - 700.0).abs() < 0.01, "{answer}");
}
