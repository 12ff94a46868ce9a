//! `mouldboard demo`: the invented workshop, planned, its tickets issued; printed or served.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::{Context, anyhow};
use clap::Args;
use store::{Record, Store};
use worker::DidWork;
use workshop::catalogue::Material;

use super::serve;
use crate::clock::{self, Clock};
use crate::demo::{self, report::Page};
use crate::settings::{Loaded, Settings};
use crate::telemetry;

/// Arguments of `mouldboard demo`.
#[derive(Args)]
pub struct DemoArgs {
    /// Print the plan, today's tickets and the cement projection, and end; nothing is left behind
    #[arg(long)]
    once: bool,
    /// Where the demonstration's database lies while it is served; each start makes it anew
    #[arg(long, default_value = ".demo", value_name = "FOLDER")]
    folder: PathBuf,
}

/// Shows the invented workshop.
pub fn demo(args: &DemoArgs, load: impl FnOnce() -> anyhow::Result<Loaded>) -> anyhow::Result<ExitCode> {
    let mut settings = load()?.settings;
    settings.today = Some(demo::TODAY);
    let clock = clock::pinned(demo::TODAY, clock::MORNING, demo::ZONE);
    if args.once {
        let folder = std::env::temp_dir().join(format!("mouldboard-demo-{}", uuid::Uuid::now_v7().simple()));
        let done = in_folder(&folder, settings, |settings| super::block_on(print(settings, clock)));
        std::fs::remove_dir_all(&folder).with_context(|| format!("taking {} away", folder.display()))?;
        return done.map(|()| ExitCode::SUCCESS);
    }
    telemetry::start(&settings);
    make_anew(&args.folder)?;
    in_folder(&args.folder, settings, |settings| super::block_on(show(settings, clock)))?;
    Ok(ExitCode::SUCCESS)
}

/// Takes away the database of an earlier start: its clock would have gone further than this one's.
fn make_anew(folder: &Path) -> anyhow::Result<()> {
    for name in ["demo.db", "demo.db-wal", "demo.db-shm"] {
        let file = folder.join(name);
        if file.exists() {
            std::fs::remove_file(&file).with_context(|| format!("taking {} away", file.display()))?;
        }
    }
    Ok(())
}

fn in_folder(
    folder: &Path,
    mut settings: Settings,
    then: impl FnOnce(Settings) -> anyhow::Result<()>,
) -> anyhow::Result<()> {
    std::fs::create_dir_all(folder).with_context(|| format!("making the folder {}", folder.display()))?;
    settings.database_url = format!("sqlite:{}", folder.join("demo.db").display());
    then(settings)
}

async fn print(settings: Settings, clock: Clock) -> anyhow::Result<()> {
    let store = prepared(&settings, &clock).await?;
    print!("{}", page(&store).await?);
    Ok(())
}

async fn show(settings: Settings, clock: Clock) -> anyhow::Result<()> {
    eprintln!("Planning the demonstration workshop; this takes some seconds.");
    let store = prepared(&settings, &clock).await?;
    let at = format!("http://{}", settings.listen);
    println!(
        "Tern Hollow Garden Castings, an invented workshop, on {} (its clock stands on that day). Look at:",
        demo::TODAY
    );
    for (path, what) in [
        ("/", "the bench's day, in a browser"),
        ("/pages/plan", "the month, late orders with their reasons and what would help"),
        ("/days/today/tickets.csv", "today's tickets, as a spreadsheet takes them"),
        ("/days/today/sheet", "everything the day needs"),
        ("/plan", "the plan in force, for programs"),
        ("/stock/projection?material=cement", "how long the cement lasts"),
        ("/docs/", "the API's documentation"),
    ] {
        println!("  {:<60} {what}", format!("{at}{path}"));
    }
    println!("Ctrl-C ends it; the next start begins anew. The records are in {}.", settings.database_url);
    serve::serve(&settings, store, clock, true, true).await
}

/// A database with the invented workshop in it, planned, today's tickets issued.
async fn prepared(settings: &Settings, clock: &Clock) -> anyhow::Result<Store> {
    let store = super::open(settings).await?.told_time_by(clock.clone());
    store.migrate().await.context("making the demonstration's tables")?;
    let config = worker::Config::new("demonstration", clock.clone());
    if demo::seed(&store, clock()).await? {
        let tx = store.write().await?;
        let run = store::runs::ask(&tx, clock(), Some("the first plan")).await?;
        store::jobs::enqueue(&tx, clock(), worker::PLAN, &run.id.to_string(), &run.id.to_string(), clock()).await?;
        tx.commit().await?;
    }
    loop {
        match worker::step(&store, &config).await? {
            DidWork::Nothing => return Ok(store),
            DidWork::Done { .. } => {}
            DidWork::Failed { kind, key, error, .. } => {
                return Err(anyhow!("the job '{kind}' of {key} failed: {error}"));
            }
        }
    }
}

/// The page of `--once`, from what is in the database.
async fn page(store: &Store) -> anyhow::Result<String> {
    let tx = store.read().await?;
    let site = store::site::get(&tx).await?.context("the demonstration workshop is not there")?.value;
    let (run, ..) = store::runs::in_force(&tx).await?.context("no plan is in force")?;
    let kept = store::runs::documents(&tx, run).await?;
    let facts = feeds::documents::read_facts(&kept.facts.unwrap_or_default()).map_err(unreadable)?;
    let plan = feeds::documents::read_plan(&kept.plan.unwrap_or_default()).map_err(unreadable)?;
    let explanation =
        feeds::explanation::read(&kept.explanation.unwrap_or_default()).map_err(|e| anyhow!("the explanation: {e}"))?;
    let tickets: Vec<_> = store::tickets::of_day(&tx, demo::TODAY).await?.into_iter().map(|t| t.value).collect();
    let materials: BTreeMap<_, _> = Material::all(&tx).await?.into_iter().map(|m| (m.id.clone(), m)).collect();
    let projections = demo::stock::projected(&tx, &site, &materials, (run, &facts, &plan), &tickets).await?;
    tx.rollback().await?;
    let page = Page {
        name: &site.name,
        currency: &site.currency,
        today: demo::TODAY,
        facts: &facts,
        plan: &plan,
        explanation: &explanation,
        tickets: &tickets,
        materials: &materials,
        projections: &projections,
    };
    Ok(page.write())
}

fn unreadable(faults: Vec<feeds::documents::Fault>) -> anyhow::Error {
    let list: Vec<String> = faults.iter().map(ToString::to_string).collect();
    anyhow!("a document of the run cannot be read: {}", list.join("; "))
}
