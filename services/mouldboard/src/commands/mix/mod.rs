//! `mix`: the mix library's calculations on files, for people without the service. The files are the bodies of the API's
//! `POST /calculations/…`, and `--json` prints what the API would answer.

mod figures;
mod pages;

use std::fs;
use std::io::Read as _;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use api::calculations::{Calculation, Known};
use api::http::body::read_text;
use api::wire::calculations::cheapest::AskedCheapest;
use api::wire::calculations::loads::AskedBatch;
use api::wire::calculations::mixer::{AskedCorrection, LoadAnswer};
use api::wire::calculations::mixture::AskedProportions;

use super::plan::refuse;
use figures::{Figures, Units};

const PROPORTIONS_HELP: &str = r#"Example, rapid.json, a pail by the bag and the pound:

  { "recipe": {
      "ingredients": [
        { "material": "water", "kind": "water", "amount": "25 lb" },
        { "material": "cement", "kind": "portland_cement", "amount": "1 x 50 lb" } ],
      "foam": { "density": "3 lb/ft³", "water_counted": true },
      "wet_density": "60 lb/ft³" } }

  mouldboard mix proportions rapid.json --units us"#;

const BATCH_HELP: &str = r#"Example, monday.json:

  { "recipe": {
      "ingredients": [
        { "material": "water", "kind": "water", "amount": "310.5 kg/m³" },
        { "material": "cement", "kind": "portland_cement", "amount": "621 kg/m³" } ],
      "foam": { "density": "50 g/L", "amount": "rest", "water_counted": false, "dilution": 25 } },
    "load": "64.8 L", "mixer_most": "36 L", "washout": "1.2 L", "scale_step_g": 10, "foam_density": "52 g/L" }

  mouldboard mix batch monday.json"#;

const CORRECT_HELP: &str = r#"Example, load.json:

  { "wet_density": "960 kg/m³", "wet_density_low": "920 kg/m³", "wet_density_high": "1000 kg/m³",
    "slurry_density": "1838 kg/m³", "foam_density": "50 g/L",
    "weighed": { "full": "1.542 kg", "empty": "0.5 kg", "holds": "1 L" },
    "volume": "29 L", "minutes_since_foaming": 4, "mixer_most": "36 L", "generator_l_per_minute": 45, "panel": "10.8 L" }

  mouldboard mix correct load.json

Exit code 0: pour it, or correct it as said. 1: do not pour it. 2: the file cannot be used."#;

const CHEAPEST_HELP: &str = r#"Example, wish.json, prices by the pack in minor units:

  { "materials": [
      { "material": "water", "kind": "water" },
      { "material": "cement", "kind": "portland_cement", "price": { "minor": 749, "pack": "25 kg" } },
      { "material": "sand", "kind": "aggregate", "relative_density": 2.65, "price": { "minor": 320, "pack": "25 kg" }, "most": "600 kg/m³" } ],
    "foam": { "density": "50 g/L", "water_counted": false, "dilution": 25, "price": { "minor": 6900, "pack": "20 L" } },
    "wet_density": { "exactly": "960 kg/m³" }, "water_cement": { "least": 0.45, "most": 0.55 }, "cement": { "least": "300 kg/m³" } }

  mouldboard mix cheapest wish.json

Exit code 0: there is such a mix. 1: no mix keeps all limits, and which exclude each other is said. 2: the file cannot be used."#;

/// What `mix` is told.
#[derive(Debug, clap::Args)]
pub struct MixArgs {
    #[command(subcommand)]
    command: MixCommand,
}

#[derive(Debug, clap::Subcommand)]
enum MixCommand {
    /// A recipe in any usual form to kg/m³, densities, water ratios and air
    #[command(after_long_help = PROPORTIONS_HELP)]
    Proportions(FileArgs),
    /// Litres wanted to equal loads and what to weigh for each
    #[command(after_long_help = BATCH_HELP)]
    Batch(FileArgs),
    /// A load weighed at the mixer: pour it, add foam or slurry, or do not pour it
    #[command(after_long_help = CORRECT_HELP)]
    Correct(FileArgs),
    /// The cheapest proportions within limits, what each limit costs, or why there are none
    #[command(after_long_help = CHEAPEST_HELP)]
    Cheapest(FileArgs),
}

/// A file, and how to show what comes of it.
#[derive(Debug, clap::Args)]
struct FileArgs {
    /// JSON file as the API takes it; - reads standard input
    file: PathBuf,
    /// Print what the API would answer, for machines
    #[arg(long)]
    json: bool,
    /// Units of what is printed for people; JSON is always in SI
    #[arg(long, value_enum, default_value_t = Units::Metric)]
    units: Units,
}

/// Works out a file and prints it. Exit code 0 with an answer, 1 where the answer is no, 2 where the file cannot be used.
///
/// # Errors
/// Where the answer cannot be written.
pub fn mix(args: &MixArgs) -> anyhow::Result<ExitCode> {
    match &args.command {
        MixCommand::Proportions(file) => answer::<AskedProportions>(file, pages::proportions, |_| true),
        MixCommand::Batch(file) => answer::<AskedBatch>(file, pages::batch, |_| true),
        MixCommand::Correct(file) => answer::<AskedCorrection>(file, pages::correction, |found| {
            let at_mould = found.at_mould.as_ref().is_none_or(|at| at.answer != LoadAnswer::Reject);
            found.answer != LoadAnswer::Reject && at_mould
        }),
        MixCommand::Cheapest(file) => answer::<AskedCheapest>(file, pages::cheapest, |found| found.mix.is_some()),
    }
}

fn answer<C: Calculation>(
    args: &FileArgs,
    page: impl FnOnce(&C::Found, Figures) -> String,
    good: impl FnOnce(&C::Found) -> bool,
) -> anyhow::Result<ExitCode> {
    let text = match read(&args.file) {
        Ok(text) => text,
        Err(error) => {
            eprintln!("{} cannot be read: {error}", args.file.display());
            return Ok(ExitCode::from(2));
        }
    };
    let found = match read_text::<C>(&text).and_then(|asked| asked.work_out(&Known::default())) {
        Ok(found) => found,
        Err(faults) => return Ok(refuse(&args.file, &faults)),
    };
    if args.json {
        println!("{}", serde_json::to_string_pretty(&found)?);
    } else {
        print!("{}", page(&found, Figures::of(args.units)));
    }
    Ok(if good(&found) { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}

fn read(path: &Path) -> std::io::Result<String> {
    if path == Path::new("-") {
        let mut text = String::new();
        std::io::stdin().read_to_string(&mut text)?;
        return Ok(text);
    }
    fs::read_to_string(path)
}
