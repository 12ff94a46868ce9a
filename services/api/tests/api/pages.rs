//! The pages: shown to those who may see them, changed from nowhere else, and nothing in them from elsewhere.

use serde_json::json;

use crate::world::{Answer, World};

const PAGES: [&str; 28] = [
    "/",
    "/pages/days/2026-05-05",
    "/pages/plan",
    "/pages/orders",
    "/pages/orders/new",
    "/pages/orders/import",
    "/pages/days/2026-05-05/tags",
    "/pages/stock",
    "/pages/stock/count",
    "/pages/stock/ledger",
    "/pages/stock/ledger?material=cement&before=7",
    "/pages/mixes",
    "/pages/mixes?units=us_customary",
    "/pages/mixes/compare",
    "/pages/mixes/cheapest",
    "/pages/workshop",
    "/pages/workshop/access",
    "/pages/workshop/changes",
    "/pages/workshop/days/2026-05-05",
    "/pages/workshop/new/finish",
    "/pages/workshop/new/material",
    "/pages/workshop/new/moulds",
    "/pages/workshop/new/tank",
    "/pages/workshop/new/rack",
    "/pages/workshop/new/mix",
    "/pages/workshop/new/revision",
    "/pages/workshop/new/panel",
    "/pages/workshop/new/set",
];

/// The page itself, which must be one.
fn page(answer: &Answer) -> &str {
    assert_eq!(answer.header("content-type"), Some("text/html; charset=utf-8"), "{answer:?}");
    let policy = answer.header("content-security-policy").unwrap_or_default();
    assert!(policy.starts_with("default-src 'none'") && !policy.contains("unsafe"), "{policy}");
    for outside in ["src=\"http", "href=\"http", "src=\"//", "href=\"//", "<style", "onclick", "style=\""] {
        assert!(!answer.text.contains(outside), "{outside} in {}", answer.text);
    }
    &answer.text
}

#[tokio::test(flavor = "multi_thread")]
async fn every_page_is_there_before_anything_is_recorded_and_after() {
    World::bare(async |world| {
        for path in PAGES {
            let answer = world.ask("GET", path).send().await;
            assert_eq!(answer.status, 200, "{path}: {answer:?}");
            page(&answer);
        }
    })
    .await;
    World::furnished(async |world| {
        for path in PAGES {
            let answer = world.ask("GET", path).send().await;
            assert_eq!(answer.status, 200, "{path}: {answer:?}");
            assert!(page(&answer).contains("Tern Hollow"), "{path}");
        }
        for path in ["/pages/look/pages.css", "/pages/look/pages.js"] {
            assert_eq!(world.ask("GET", path).send().await.status, 200, "{path}");
        }
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_people_wrote_is_shown_as_they_wrote_it() {
    World::furnished(async |world| {
        let order = json!({
            "id": "TH-<1>", "due_on": "2026-06-12", "customer": "<script>alert(1)</script>", "note": "a & b",
            "lines": [{ "panel": "side", "finish": "grey", "quantity": 2 }],
        });
        let refused = world.ask("POST", "/orders").json(&order).send().await;
        assert_eq!(refused.status, 422, "a reference with such signs is none: {refused:?}");
        let mut order = order;
        order["id"] = json!("TH-1");
        assert_eq!(world.ask("POST", "/orders").json(&order).send().await.status, 201);
        let answer = world.ask("GET", "/pages/orders/TH-1").send().await;
        let shown = page(&answer);
        assert!(shown.contains("&lt;script&gt;alert(1)&lt;/script&gt;") && !shown.contains("<script>alert"), "{shown}");
        assert!(shown.contains("a &amp; b"));
        let list = world.ask("GET", "/pages/orders").send().await;
        assert!(page(&list).contains("/pages/orders/TH-1"));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn figures_days_and_fields_are_written_by_the_workshops_setting() {
    World::furnished(async |world| {
        let shown = async |path: &str| page(&world.ask("GET", path).send().await).to_owned();
        let day = shown("/pages/days/2026-05-05").await;
        assert!(day.contains("<h1>Tuesday 5 May 2026</h1>"), "{day}");
        let mix = shown("/pages/mixes/plain@1?load=30.5").await;
        assert!(mix.contains("from 10.0 L to") && !mix.contains("10,0 L"), "{mix}");
        world
            .change("/workshop", |w| {
                w["writing"] = json!({ "dates": "month_first", "decimals": "comma", "clock": "hours_12" })
            })
            .await;
        let kept = world.ask("GET", "/workshop").send().await.json();
        assert_eq!(kept["writing"]["decimals"], "comma");
        for load in ["30,5", "30.5"] {
            let mix = shown(&format!("/pages/mixes/plain@1?load={load}")).await;
            assert!(mix.contains("from 10,0 L to") && !mix.contains("10.0 L"), "{mix}");
        }
        assert_eq!(
            world.ask("GET", "/pages/mixes/plain@1?load=1.500").send().await.status,
            400,
            "thousands or a half?"
        );
        let day = shown("/pages/workshop/days/2026-05-05").await;
        assert!(day.contains("<h1>Tuesday, May 5, 2026</h1>") && day.contains("data-decimals=\"comma\""), "{day}");
        let settings = shown("/pages/workshop").await;
        assert!(settings.contains("<option value=\"comma\" selected>"), "{settings}");
        let csv = world.ask("GET", "/stock.csv").send().await;
        assert!(!csv.text.contains(';'), "feeds are written one way: {}", csv.text);
        world.change("/workshop", |w| w.as_object_mut().unwrap().remove("writing").map_or((), |_| ())).await;
        let kept = world.ask("GET", "/workshop").send().await.json();
        assert_eq!(kept["writing"]["decimals"], "point", "left out: as usual");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_page_that_is_not_there_says_so_as_a_page() {
    World::furnished(async |world| {
        for (path, status) in [
            ("/pages/orders/TH-9", 404),
            ("/pages/days/yesterday", 400),
            ("/pages/nothing", 404),
            ("/pages/tickets/2026-05-05-01", 404),
            ("/pages/tickets/first", 404),
            ("/pages/orders/TH-9/pack-list", 404),
            ("/pages/mixes/plain@9", 404),
            ("/pages/mixes/plain", 404),
            ("/pages/mixes/plain@1?load=0", 400),
            ("/pages/mixes/plain@1?load=much", 400),
            ("/pages/mixes/cheapest?of=plain@9", 404),
            ("/pages/mixes/cheapest?of=plain@1&wet_least=light", 400),
            ("/pages/mixes/compare?first=plain@1&second=plain@9", 400),
            ("/pages/mixes?reference=none", 404),
            ("/pages/workshop/new/kiln", 404),
            ("/pages/workshop/moulds/none", 404),
            ("/pages/workshop/days/never", 400),
            ("/pages/plan?x=1", 400),
        ] {
            let answer = world.ask("GET", path).send().await;
            assert_eq!(answer.status, status, "{path}");
            assert!(page(&answer).contains("<h1>"), "{path}");
        }
    })
    .await;
}

/// Signs in with a token; the cookie to send, or the answer where that was refused.
async fn sign_in(world: &World, token: &str) -> Result<String, Answer> {
    let form = format!("token={token}");
    let answer = world.ask("POST", "/pages/session").body("application/x-www-form-urlencoded", form).send().await;
    if answer.status != 303 {
        return Err(answer);
    }
    assert_eq!(answer.header("location"), Some("/"));
    let cookie = answer.header("set-cookie").expect("a cookie").to_owned();
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict") && !cookie.contains(token), "{cookie}");
    Ok(cookie.split(';').next().expect("its value").to_owned())
}

#[tokio::test(flavor = "multi_thread")]
async fn a_browser_signs_in_with_a_token_and_changes_things_from_our_own_pages_only() {
    World::furnished(async |world| {
        let make = |name: &str, role: &str| json!({ "name": name, "role": role });
        let office = world.ask("POST", "/tokens").json(&make("office", "office")).send().await;
        let office = office.json()["token"].as_str().expect("a token").to_owned();
        let bench = world.ask("POST", "/tokens").token(&office).json(&make("bench", "bench")).send().await.json();
        let (bench, bench_id) = (bench["token"].as_str().expect("a token"), bench["id"].to_string());

        let shut = world.ask("GET", "/").send().await;
        assert_eq!(shut.status, 401);
        assert!(page(&shut).contains("action=\"/pages/session\""));
        let wrong = sign_in(world, "mb_wrong").await.expect_err("no such token");
        assert_eq!(wrong.status, 401);
        page(&wrong);

        let cookie = sign_in(world, bench).await.expect("the bench's token opens");
        assert_eq!(world.ask("GET", "/").header("Cookie", &cookie).send().await.status, 200);
        let ours = world.url("");
        let entry = json!({ "material": "cement", "kind": "received", "amount": 25000 });
        let finish = json!({ "id": "moss", "name": "Moss" });
        let table = [
            ("/stock/entries", &entry, None, 403),
            ("/stock/entries", &entry, Some("http://elsewhere.example"), 403),
            ("/stock/entries", &entry, Some("null"), 403),
            ("/stock/entries", &entry, Some(&*ours), 201),
            ("/finishes", &finish, Some(&*ours), 403),
        ];
        for (path, body, origin, status) in table {
            let mut ask = world.ask("POST", path).header("Cookie", &cookie).json(body);
            if let Some(origin) = origin {
                ask = ask.header("Origin", origin);
            }
            let answer = ask.send().await;
            assert_eq!(answer.status, status, "{path} from {origin:?}: {answer:?}");
        }

        let other = sign_in(world, bench).await.expect("another browser");
        let out = world.ask("POST", "/pages/session/end").header("Cookie", &other).send().await;
        assert_eq!(out.status, 303);
        assert_eq!(world.ask("GET", "/").header("Cookie", &other).send().await.status, 401, "signed out");
        assert_eq!(world.ask("GET", "/").header("Cookie", &cookie).send().await.status, 200, "the first still is in");
        let path = format!("/tokens/{bench_id}");
        assert_eq!(world.ask("DELETE", &path).token(&office).send().await.status, 204);
        assert_eq!(world.ask("GET", "/").header("Cookie", &cookie).send().await.status, 401, "its token is revoked");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn the_guide_knows_what_is_done_and_what_is_still_to_do() {
    World::bare(async |world| {
        let empty = world.get("/pages/workshop").await;
        let shown = page(&empty);
        assert!(shown.contains("0 of 11 steps") && shown.contains("Begin here"), "{shown}");
        assert!(shown.contains("$MOULDBOARD/finishes") && shown.contains("data-send=\"/workshop\""), "{shown}");
    })
    .await;
    World::furnished(async |world| {
        let furnished = world.get("/pages/workshop").await;
        let shown = page(&furnished);
        assert!(shown.contains("8 of 11 steps") && shown.contains("8 moulds, 0 taken"), "{shown}");
        world.make("/stock/entries", &json!({ "material": "cement", "kind": "received", "amount": 25000 })).await;
        world.make("/orders", &crate::world::order("TH-1")).await;
        let more = world.get("/pages/workshop").await;
        assert!(page(&more).contains("10 of 11 steps"), "{more:?}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn only_the_office_sees_who_has_tokens() {
    World::furnished(async |world| {
        let make = |name: &str, role: &str| json!({ "name": name, "role": role });
        let office = world.ask("POST", "/tokens").json(&make("front desk", "office")).send().await.json();
        let office = office["token"].as_str().expect("a token").to_owned();
        let bench = world.ask("POST", "/tokens").token(&office).json(&make("tablet", "bench")).send().await.json();
        let bench = bench["token"].as_str().expect("a token");
        let seen = world.ask("GET", "/pages/workshop/access").token(&office).send().await;
        assert!(page(&seen).contains("front desk") && seen.text.contains("tablet"));
        assert!(!seen.text.contains(bench) && !seen.text.contains(&office), "a token is shown once, not again");
        let refused = world.ask("GET", "/pages/workshop/access").token(bench).send().await;
        assert_eq!(refused.status, 403);
        assert!(!page(&refused).contains("front desk"));
        let changes = world.ask("GET", "/pages/workshop/changes").token(&office).send().await;
        assert!(page(&changes).contains("tokens") && changes.text.contains("by front desk"), "{changes:?}");
        assert!(!changes.text.contains(bench) && !changes.text.contains(&office));
        assert_eq!(world.ask("GET", "/pages/workshop/changes").token(bench).send().await.status, 403);
        let workshop = world.ask("GET", "/pages/workshop").token(bench).send().await;
        assert!(page(&workshop).contains("Side moulds") && !workshop.text.contains("front desk"));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_revision_is_weighed_out_in_both_units_and_laid_beside_another() {
    World::furnished(async |world| {
        let unsound = world.get("/pages/mixes/plain@1?load=20").await;
        assert!(page(&unsound).contains("Nothing is worked out of it: the ingredients give"), "{unsound:?}");
        let mut sound = crate::world::revision(2);
        sound["wet_density_kg_m3"] = json!(2350.0);
        sound["wet_density_high_kg_m3"] = json!(2400.0);
        for number in [2, 3] {
            sound["id"] = json!(format!("plain@{number}"));
            world.make("/mixes/plain/revisions", &sound).await;
        }
        let cement = async |litres: f64| {
            let sheet = world.get(&format!("/mixes/plain/revisions/2/batch?litres={litres}")).await.json();
            sheet["lines"][0]["mass_g"].as_f64().expect("the cement's mass")
        };
        let metric = world.get("/pages/mixes/plain@2?load=20").await;
        let mass = format!("{:.3} kg", cement(20.0).await / 1000.0);
        assert!(page(&metric).contains(&mass) && metric.text.contains("Take care"), "{mass}: {metric:?}");
        let us = world.get("/pages/mixes/plain@2?load=5&units=us_customary").await;
        // Five gallons of 3.785411784 L; a pound is 453.59237 g.
        let mass = format!("{:.2} lb", cement(18.927_058_92).await / 453.592_37);
        assert!(page(&us).contains(&mass) && us.text.contains("5.00 US gal"), "{mass}: {us:?}");
        assert!(us.text.contains("In a cubic yard") && metric.text.contains("In a cubic metre"));
        // Cement of a yard: its share of the metre's 0.764554857984.
        let made = world.get("/mixes/plain/revisions/2/proportions").await.json();
        let litres = made["ingredients"][0]["volume_l_m3"].as_f64().expect("litres of cement") * 0.764_554_857_984;
        let gallons = format!("{:.2} US gal", (litres * 1000.0).round() / 3_785.411_784);
        assert!(us.text.contains(&gallons), "{gallons}: {us:?}");
        let beside = world.get("/pages/mixes/compare?first=plain@2&second=plain@3").await;
        assert!(page(&beside).contains("the same") && beside.text.contains("0 % lighter"), "{beside:?}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn the_cheapest_proportions_follow_their_limits_and_say_which_exclude_each_other() {
    World::furnished(async |world| {
        let free = world.get("/pages/mixes/cheapest?of=plain@1").await;
        assert!(page(&free).contains("a cubic metre") && free.text.contains("What holds the cost up"), "{free:?}");
        let heavier = "/pages/mixes/cheapest?of=plain@1&wet_least=2900&wet_most=2950";
        let none = world.get(heavier).await;
        assert!(page(&none).contains("No mix keeps all of these limits"), "{none:?}");
        let pounds = world.get("/pages/mixes/cheapest?of=plain@1&units=us_customary").await;
        assert!(page(&pounds).contains("lb/ft³") && pounds.text.contains("a cubic metre"), "{pounds:?}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn trials_are_charted_with_the_reference_and_a_table() {
    World::furnished(async |world| {
        for (id, dry, mpa) in [("first", 2100.0, 30.0), ("second", 1900.0, 22.0)] {
            let trial = json!({
                "id": id, "revision": "plain@1", "mixed_on": "2026-04-01", "by": "the bench", "wear_loss_g": 12.0,
                "densities": [{ "state": "oven_dry", "density_kg_m3": dry }], "strengths": [{ "age_days": 28.0, "strength_mpa": mpa }],
            });
            world.make("/trials", &trial).await;
        }
        let shown = world.get("/pages/mixes").await;
        let text = page(&shown);
        assert_eq!(text.matches("role=\"img\"").count(), 2);
        assert!(text.contains("first (reference)") && text.contains("10 %"), "{text}");
        assert!(text.contains("The least strength, 22.0, is that of number 2"), "{text}");
        let other = world.get("/pages/mixes?reference=second").await;
        assert!(page(&other).contains("second (reference)"));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn the_ledger_is_shown_newest_first_and_its_lines_can_be_taken_back() {
    World::furnished(async |world| {
        for amount in [25_000, 50_000] {
            world.make("/stock/entries", &json!({ "material": "cement", "kind": "received", "amount": amount })).await;
        }
        let shown = world.get("/pages/stock/ledger?material=cement").await;
        let text = page(&shown);
        let (newer, older) = (text.find("+50.0 kg").expect("the second"), text.find("+25.0 kg").expect("the first"));
        assert!(newer < older && text.contains("75.0 kg") && text.contains("/counter"), "{text}");
        world.make("/stock/entries/1/counter", &json!({ "note": "never came" })).await;
        let after = world.get("/pages/stock/ledger").await;
        assert!(page(&after).contains("(taken back)") && after.text.contains("never came"), "{after:?}");
        let sheet = world.get("/pages/stock/count").await;
        assert!(page(&sheet).contains("50.0 kg") && !sheet.text.contains("Mains water"), "{sheet:?}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_run_at_work_is_shown_with_its_best_plan_and_can_be_stopped_once_it_is_there() {
    use workshop::documents::plan::Figures;
    use workshop::runs::RunProgress;

    World::furnished(async |world| {
        let run = world.make("/planning-runs", &json!({})).await.json()["id"].as_i64().expect("its number");
        let path = |what: &str| format!("/planning-runs/{run}/{what}");
        let waiting = world.get(&path("progress")).await.json();
        assert_eq!((&waiting["state"], &waiting["best"]), (&json!("waiting"), &json!(null)), "{waiting}");
        let figures = Figures { order_days_late: 14.0, panel_days_late: 61.0, material_cost: 183_250, changes: 2 };
        let news =
            RunProgress { seconds: 7.2, way: "search".into(), figures, bound: 9.0, sentence: "a better plan".into() };
        let tx = world.store.write().await.expect("a transaction");
        let id = workshop::ids::RunId::new(run);
        let now = crate::planned::now();
        store::runs::begin(&tx, id, now, crate::planned::day("2026-05-04"), None, "{}").await.expect("it begins");
        store::progress::tell(&tx, id, now, &news).await.expect("its news are kept");
        tx.commit().await.expect("kept");
        let known = world.get(&path("progress")).await.json();
        assert_eq!((&known["best"]["order_days_late"], &known["way"]), (&json!(14.0), &json!("search")), "{known}");
        assert!((known["gap"].as_f64().expect("a gap") - 5.0 / 14.0).abs() < 1e-9);
        let shown = world.get("/pages/plan").await;
        assert!(
            page(&shown).contains("14 order-days late in the best plan so far") && shown.text.contains("a gap of 36 %")
        );
        assert!(shown.text.contains("/stop\""), "{}", shown.text);
        let asked = world.ask("POST", &path("stop")).send().await;
        assert_eq!((asked.status, &asked.json()["stop_asked_at"]), (202, &json!("2026-05-04T08:00:00Z")), "{asked:?}");
        assert_eq!(asked.json()["best"]["order_days_late"], json!(14.0), "its news stay");
        assert_eq!(world.ask("POST", "/planning-runs/99/stop").send().await.status, 404);
        let counting = world.change("/workshop", |site| site["policy"]["evaluations"] = json!(300)).await;
        assert_eq!(counting.status, 200);
        assert_eq!(world.ask("POST", &path("stop")).send().await.status, 202, "one that counts its steps as well");
    })
    .await;
}
