//! The mix library's calculations for whoever asks: nothing is kept of them.

use std::sync::LazyLock;
use std::thread::available_parallelism;

use actix_web::post;
use actix_web::web::Data;
use store::{Record, site};
use tokio::sync::Semaphore;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::Fault;
use workshop::catalogue::{Material, MixRevision};
use workshop::ids::RevisionId;

use crate::calculations::{Calculation, Known};
use crate::http::body::Body;
use crate::http::problem::Problem;
use crate::http::reply::{Answer, Reply};
use crate::state::State;
use crate::wire::calculations::additions::{
    AdmixtureOfLoad, AskedAdmixture, AskedFibre, AskedLooseSand, AskedPigments, FibreOfLoad, LooseSand, Pigments,
};
use crate::wire::calculations::ageing::{AskedFrost, AskedGain, AskedSoak, Frost, Gain, Soak};
use crate::wire::calculations::cheapest::{AskedCheapest, CheapestFound};
use crate::wire::calculations::curing::{AskedCuring, AskedStripping, Curing, Stripping};
use crate::wire::calculations::fill::{AggregatesFound, AskedFill};
use crate::wire::calculations::loads::{
    AskedBags, AskedBatch, AskedFillMark, AskedFoam, AskedMoisture, BagChoices, BatchSheets, FillMark, FoamOfLoad,
    Moistures,
};
use crate::wire::calculations::mesh::{AskedMesh, MeshSteel};
use crate::wire::calculations::mixer::{AskedCorrection, Correction};
use crate::wire::calculations::mixture::{
    AskedComparison, AskedProportions, AskedStrength, Comparison, StrengthEstimates,
};
use crate::wire::calculations::scales::{AskedScale, ScaleCheck};
use crate::wire::calculations::time::{AskedHold, AskedMaturity, Holds, Maturity};
use crate::wire::calculations::weighed::{AskedFoamCheck, AskedFreshTest, FoamCheck, FreshTest};
use crate::wire::proportions::Proportions;

/// Works it out and shows it.
async fn answer<C>(state: &State, asked: C) -> Answer
where
    C: Calculation + Send,
    C::Found: Send + 'static,
{
    Reply::json(&work_out(state, asked).await?.map_err(Problem::faulty)?)
}

/// Reads what the calculation speaks of and works it out: what comes of it, or every fault of what was asked.
///
/// # Errors
/// Those of the database.
pub async fn work_out<C>(state: &State, asked: C) -> Result<Result<C::Found, Vec<Fault>>, Problem>
where
    C: Calculation + Send,
    C::Found: Send + 'static,
{
    let tx = state.store.read().await?;
    let mut known = Known {
        materials: Material::all(&tx).await?,
        scale_step: site::get(&tx).await?.map(|site| site.value.scale_resolution),
        ..Known::default()
    };
    // A name that is no revision's is a fault of the form, which the calculation itself says with the others.
    for id in asked.revisions().into_iter().filter_map(|text| RevisionId::parse(&text.0).ok()) {
        if let Some(found) = MixRevision::find(&tx, &id).await? {
            known.revisions.insert(id, found.value);
        }
    }
    tx.rollback().await?;
    on_a_thread(move || asked.work_out(&known)).await
}

/// How many calculations run at once: as many as the machine has processors. The others wait their turn.
static TURNS: LazyLock<Semaphore> = LazyLock::new(|| Semaphore::new(available_parallelism().map_or(1, Into::into)));

/// Works on a thread of its own, so that the service goes on answering while a linear programme is solved. The turn is
/// given back when the work is done, also where nobody waits for it any more.
async fn on_a_thread<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Result<T, Problem> {
    let turn = TURNS.acquire().await.map_err(Problem::internal)?;
    let working = move || {
        let _turn = turn;
        work()
    };
    tokio::task::spawn_blocking(working).await.map_err(Problem::internal)
}

/// One operation for each calculation.
macro_rules! operations {
    ($($name:ident $path:literal: $form:ty => $found:ty, $summary:literal, $description:literal;)*) => {
        $(
            #[utoipa::path(
                tag = "calculations", summary = $summary, description = $description, security(("token" = ["reader"])),
                request_body = $form, responses((status = 200, description = "What was found, with its worked lines", body = $found))
            )]
            #[post($path)]
            async fn $name(state: Data<State>, body: Body<$form>) -> Answer {
                answer(&state, body.value).await
            }
        )*

        /// Adds the operations to the service and its document.
        pub fn configure(service: &mut ServiceConfig) {
            $(service.service($name);)*
        }

        /// What a calculation of this path answers to its own example, for the document.
        pub fn example(path: &str, asked: &serde_json::Value) -> Option<serde_json::Value> {
            match path {
                $($path => found::<$form>(asked),)*
                _ => None,
            }
        }
    };
}

fn found<C: Calculation>(asked: &serde_json::Value) -> Option<serde_json::Value> {
    let form: C = serde_json::from_value(asked.clone()).ok()?;
    serde_json::to_value(form.work_out(&Known::default()).ok()?).ok()
}

operations! {
    proportions "/calculations/proportions": AskedProportions => Proportions, "Work out proportions",
        "From a recipe in any usual form, or a revision: absolute volumes, foam, densities each with its state, water ratios, a claimed yield held against the volumes, the masses of a panel.";
    batch "/calculations/batch": AskedBatch => BatchSheets, "Weigh out loads",
        "Litres wanted into equal loads within the mixer's limits, each with its sheet; foam and moisture as measured today, washout on the last load.";
    cheapest "/calculations/cheapest": AskedCheapest => CheapestFound, "Find the cheapest proportions",
        "The least material cost of a cubic metre within the limits, at the prices given or the catalogue's; which limits bind and what relaxing each by a step would save. Where no mix keeps all limits, those that exclude each other and how near each could be met.";
    foam "/calculations/foam": AskedFoam => FoamOfLoad, "Work out foam",
        "For a target wet density, or from an amount of foam to the wet density; solution, concentrate, seconds of the generator, and the foam's density against its band.";
    foam_check "/calculations/foam-check": AskedFoamCheck => FoamCheck, "Check foam before use",
        "Foam weighed today against its band, and the generator's output from foam caught by the clock.";
    fresh_test "/calculations/fresh-test": AskedFreshTest => FreshTest, "Weigh fresh concrete",
        "Wet density by the scale held against the mix: yield, relative yield, air by weighing.";
    pigment "/calculations/pigment": AskedPigments => Pigments, "Weigh pigments",
        "By per cent of cementitious material, dry or liquid with its water; all together within 10 % and the lowest saturation among them.";
    fibre "/calculations/fibre": AskedFibre => FibreOfLoad, "Weigh fibre",
        "By per cent of the whole mix or by content; glass that cement eats is refused.";
    admixture "/calculations/admixture": AskedAdmixture => AdmixtureOfLoad, "Measure an admixture",
        "Millilitres to 100 kg of cementitious material.";
    loose_sand "/calculations/loose-sand": AskedLooseSand => LooseSand, "Weigh loose moist sand",
        "What a measure of moist sand really holds of dry sand, by its bulking.";
    fill "/calculations/sand-by-difference": AskedFill => AggregatesFound, "Find the sand by difference",
        "For ordinary concrete: coarse aggregate by its bulk volume, and the fine aggregate that fills what all other absolute volumes and the air leave.";
    mesh "/calculations/mesh": AskedMesh => MeshSteel, "Weigh steel mesh",
        "From wires and their spacing: steel across the width, and the mass of a sheet without overhang.";
    scale "/calculations/scale": AskedScale => ScaleCheck, "Hold a mass against the scale",
        "Accuracy asked of the scale, whether its steps are fine enough, the least it can weigh, and how far the mass may be out by each rule.";
    bags "/calculations/whole-bags": AskedBags => BagChoices, "Find loads of whole bags",
        "The nearest loads of whole bags around the one wanted, and what that leaves in the last bag.";
    fill_mark "/calculations/fill-mark": AskedFillMark => FillMark, "Find the fill mark in a pail",
        "From the pail's inside measures: the mark for a volume, or the volume up to a mark.";
    moisture "/calculations/moisture": AskedMoisture => Moistures, "Weigh moist aggregates",
        "What to weigh of aggregates as they lie, the free water they bring, and the mixing water left to add.";
    correction "/calculations/correction": AskedCorrection => Correction, "Correct a load at the mixer",
        "From the measured wet density: accept, so much foam or slurry to add with seconds, new volume and the panels it then fills, or reject; and whether it was right at the mould. Nothing is recorded: that is done by the ticket.";
    comparison "/calculations/comparison": AskedComparison => Comparison, "Compare two mixes",
        "Two revisions or recipes side by side: contents, densities in the same state, water ratios, material cost.";
    strength "/calculations/strength": AskedStrength => StrengthEstimates, "Estimate strength",
        "By published relations, each with its source, its range and its warnings. An estimate is never a promise, and never lets a mix suit a panel.";
    strength_gain "/calculations/strength-gain": AskedGain => Gain, "Estimate strength with age",
        "From a 28-day strength found by test; Portland cement only. An estimate is never a promise.";
    frost "/calculations/frost": AskedFrost => Frost, "See whether frost comes too early",
        "Whether frost is expected before the concrete reaches 3.5 MPa: then it is not poured.";
    soak "/calculations/soak": AskedSoak => Soak, "Find days under water",
        "Least days in the tank by the temperature of its water as measured.";
    curing "/calculations/moist-curing": AskedCuring => Curing, "Find days of moist curing",
        "A specification's least days by what binds the mix, as a floor for the workshop's own; rapid-setting cement is refused.";
    stripping "/calculations/stripping": AskedStripping => Stripping, "Count warm hours towards stripping",
        "For sides of ordinary concrete of which no strength is specified. Foamed panels go by their own hold.";
    hold "/calculations/hold": AskedHold => Holds, "Find days in the mould",
        "For each pour day from the hold at 20 °C and daily temperatures, with cold days and the least temperature of the concrete as placed.";
    maturity "/calculations/maturity": AskedMaturity => Maturity, "Find age by temperature",
        "Temperature-time factor by Nurse and Saul and equivalent age at 20 °C over a history. Portland cement only.";
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;
    use std::sync::atomic::{AtomicUsize, Ordering};

    use super::*;

    #[tokio::test]
    async fn calculations_run_beside_the_one_thread_that_answers_and_only_so_many_at_once() {
        let here = std::thread::current().id();
        let most = available_parallelism().map_or(1, usize::from);
        let (running, seen) = (Arc::new(AtomicUsize::new(0)), Arc::new(AtomicUsize::new(0)));
        let works: Vec<_> = (0..most * 8)
            .map(|_| {
                let (running, seen) = (Arc::clone(&running), Arc::clone(&seen));
                tokio::spawn(on_a_thread(move || {
                    seen.fetch_max(running.fetch_add(1, Ordering::SeqCst) + 1, Ordering::SeqCst);
                    std::thread::yield_now();
                    running.fetch_sub(1, Ordering::SeqCst);
                    std::thread::current().id()
                }))
            })
            .collect();
        for work in works {
            assert_ne!(work.await.unwrap().unwrap(), here);
        }
        assert!((1..=most).contains(&seen.load(Ordering::SeqCst)), "{seen:?} of at most {most}");
    }

    #[tokio::test]
    async fn a_turn_comes_back_from_work_that_breaks() {
        for _ in 0..available_parallelism().map_or(1, usize::from) + 1 {
            assert!(on_a_thread::<u8>(|| panic!("broken on purpose")).await.is_err());
        }
        assert_eq!(on_a_thread(|| 1).await.unwrap(), 1);
    }
}
