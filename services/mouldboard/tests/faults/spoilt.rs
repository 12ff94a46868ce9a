//! The tables of a sound workshop spoilt by hand, one way after the other: the audit names each by its rule, and has nothing more
//! to say once it is mended.

use std::process::Stdio;

use serde_json::json;

use crate::disk::{post, serving};
use crate::on_every_database;
use crate::service::program;
use crate::workshop::{World, noon};

/// One way of spoiling the tables.
struct Way {
    /// The rule that is broken.
    rule: &'static str,
    /// What breaks it.
    spoil: &'static str,
    /// What mends it again.
    mend: &'static str,
}

const fn way(rule: &'static str, spoil: &'static str, mend: &'static str) -> Way {
    Way { rule, spoil, mend }
}

const WAYS: [Way; 11] = [
    // Four sides and two straps went with the order.
    way(
        "sent",
        "UPDATE set_panel SET quantity = 3 WHERE set_id = 'planter-450'",
        "UPDATE set_panel SET quantity = 4 WHERE set_id = 'planter-450'",
    ),
    way(
        "hardware",
        "UPDATE set_hardware SET quantity = 1 WHERE set_id = 'planter-450'",
        "UPDATE set_hardware SET quantity = 2 WHERE set_id = 'planter-450'",
    ),
    way(
        "lots",
        "UPDATE lot_dispatch SET quantity = quantity + 1",
        "UPDATE lot_dispatch SET quantity = quantity - 1",
    ),
    way(
        "pours",
        "UPDATE lot SET made = made + 1, quantity = quantity + 1 WHERE ticket IS NOT NULL",
        "UPDATE lot SET made = made - 1, quantity = quantity - 1 WHERE ticket IS NOT NULL",
    ),
    way("draws", "UPDATE ticket_line SET actual = actual + 1", "UPDATE ticket_line SET actual = actual - 1"),
    way("on-hand", "UPDATE stock_balance SET amount = amount + 1", "UPDATE stock_balance SET amount = amount - 1"),
    way("deliveries", "UPDATE delivery SET received = received + 1", "UPDATE delivery SET received = received - 1"),
    way(
        "moulds",
        "UPDATE mould_use SET state = 'given' WHERE state = 'filled'",
        "UPDATE mould_use SET state = 'filled' WHERE state = 'given' AND lot IS NOT NULL",
    ),
    way(
        "mould-days",
        "INSERT INTO mould_use (mould_group, number, day, ticket, panel, lot, state, over_on)
         SELECT mould_group, number, day, ticket, panel, lot, 'over', day FROM mould_use WHERE state = 'filled' LIMIT 1",
        "DELETE FROM mould_use WHERE state = 'over'",
    ),
    way(
        "jobs",
        "INSERT INTO job (kind, job_key, payload, state, run_at, attempts, worker, lease_until, asked_at)
         SELECT 'plan', '1', '1', 'running', at, 1, worker, at, at FROM issued_day
         CROSS JOIN (SELECT 'one' AS worker UNION ALL SELECT 'other' AS worker) AS workers",
        "DELETE FROM job WHERE state = 'running'",
    ),
    way(
        "plan-in-force",
        "UPDATE run_document SET plan = replace(plan, '2026-03', '1999-03')",
        "UPDATE run_document SET plan = replace(plan, '1999-03', '2026-03')",
    ),
];

/// Tickets issued and one of them mixed, cement received, an order sent out whole.
async fn after_a_morning(world: &World) {
    world.work_at(noon(mouldboard::demo::TODAY)).await;
    let ticket = world.tickets(mouldboard::demo::TODAY).await[0].number;
    world.planter_ready("SPOILT").await;
    let api = serving(world.store.clone()).await;
    let cement = json!({ "material": "cement", "packs": 2, "expected_on": mouldboard::demo::TODAY });
    let (status, delivery) = post(&api, "/deliveries", "ordered", &cement.to_string()).await;
    assert_eq!(status, 201, "{delivery}");
    let arrival = format!("/deliveries/{}/arrival", delivery["id"]);
    for path in [&format!("/tickets/{ticket}/completion"), &arrival, "/orders/SPOILT/dispatch"] {
        let (status, said) = post(&api, path, path, "{}").await;
        assert_eq!(status, 200, "{path}: {said}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn the_audit_names_each_way_of_spoiling_the_tables() {
    on_every_database(async |database| {
        let world = World::planned(database).await;
        after_a_morning(&world).await;
        world.audit("a morning").await;
        for Way { rule, spoil, mend } in WAYS {
            world.execute(spoil).await;
            let report = mouldboard::audit::audit(&world.store).await.unwrap();
            assert!(report.breaks.iter().any(|b| b.rule == rule), "{rule} is not named: {:#?}", report.breaks);
            world.execute(mend).await;
            world.audit(&format!("{rule} was mended")).await;
        }
        the_program_ends_with_what_it_found(&world).await;
    })
    .await;
}

/// `mouldboard audit` by itself: the way it ends tells a script what it found.
async fn the_program_ends_with_what_it_found(world: &World) {
    let ends = || {
        let mut command = program();
        command.arg("audit").env("MOULDBOARD_DATABASE_URL", &world.url).stdout(Stdio::piped());
        let out = command.output().unwrap();
        (out.status.code(), String::from_utf8_lossy(&out.stdout).into_owned())
    };
    world.execute("UPDATE stock_balance SET amount = amount + 1 WHERE material = 'cement'").await;
    let (code, said) = ends();
    assert_eq!(code, Some(1), "{said}");
    assert!(said.contains("cement (on-hand)") && said.contains("1 thing does not hold."), "{said}");
    world.execute("UPDATE stock_balance SET amount = amount - 1 WHERE material = 'cement'").await;
    let (code, said) = ends();
    assert!(code == Some(0) && said.contains("Everything holds."), "{code:?} {said}");
}
