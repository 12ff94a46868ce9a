//! A revision of a mix: its numbers with the lines they were worked out by, a batch of any size, its trials, its standing.

use actix_web::get;
use actix_web::web::{Path, Query};
use maud::{Markup, html};
use mix::{BatchSheet, CautionFacts, batch_sheet, cautions};
use quantities::{Grams, Millilitres, Volume};
use serde::Deserialize;
use store::Record;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::Fault;
use workshop::catalogue::{Amount, Material, MaterialKind, MixRevision, RevisionState, StockUnit};
use workshop::ids::RevisionId;
use workshop::planning::draws::Materials;
use workshop::trials::{HardState, Trial};

use super::super::form;
use super::super::frame::{Frame, Place};
use super::super::said::{self, Said};
use super::super::visit::Visit;
use super::super::words::form as form_words;
use super::super::words::mixes as words;
use super::super::words::shared::days;
use super::super::words::ticket as ticket_words;
use super::{in_units, standing, switch};
use crate::calculations::proportions::worked_out;
use crate::calculations::{faults_of, on_record};
use crate::http::problem::Problem;
use crate::http::reply::{Answer, Shown as Seen};
use crate::wire::Id;
use crate::wire::mixes::MixRevision as Form;
use crate::wire::proportions::{FoamContent, Proportions, WorkedLine};
use crate::wire::site::DisplayUnits as Units;

/// How a revision is shown, and a batch of it.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct ShownBatch {
    /// Units other than the workshop's own.
    #[param(inline)]
    pub units: Option<Units>,
    /// A batch of so much, in the litres or gallons shown.
    #[param(max_length = 12, example = "31.5")]
    pub load: Option<String>,
}

#[utoipa::path(
    tag = "pages", summary = "A revision's page", description = "Its proportions with worked lines, a batch sheet for any size, its trials.",
    params(("revision" = inline(Id), Path, description = "The revision", example = "foamed-grey@2"), ShownBatch),
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/mixes/{revision}")]
async fn shown(state: Visit, id: Path<String>, asked: Query<ShownBatch>) -> Answer {
    let missing = || Problem::not_found(MixRevision::NOUN, id.as_str());
    let wanted = RevisionId::parse(&id).map_err(|_| missing())?;
    let tx = state.store.read().await?;
    let frame = in_units(Frame::read(&state, &tx).await?, asked.units);
    let found = MixRevision::find(&tx, &wanted).await?.ok_or_else(missing)?;
    let trials = store::trials::page_of_revision(&tx, Some(&wanted), None, 100).await?;
    let materials = Material::all(&tx).await?;
    let scale = store::site::get(&tx).await?.map_or(Grams::new(1), |site| site.value.scale_resolution);
    tx.rollback().await?;
    let revision = found.value.clone();
    let seen = Seen::new(found.version, &Form::from(found.value))?;
    let by_id: Materials = materials.iter().map(|m| (&m.id, m)).collect();
    let recipe = on_record::recipe(&revision, &by_id);
    let load = asked.load.as_deref().filter(|text| !text.is_empty());
    let load = load.map(|text| load_of(&frame, text)).transpose()?;
    let sheet = match (&recipe, load) {
        (Ok(recipe), Some(load)) => {
            let made = batch_sheet(recipe, load, scale);
            Some(made.map_err(|faults| Problem::bad_request(faults_of(&faults)))?)
        }
        _ => None,
    };
    let worked = recipe.as_ref().map(|recipe| worked_out(None, recipe));
    let main = html! {
        p.no-print { a href="/pages/mixes" { (words::ALL_MIXES) } }
        (switch(&frame.said, &format!("/pages/mixes/{wanted}?"), None))
        (figures(&frame, &revision))
        @match &worked {
            Ok(found) => {
                (worked_figures(&frame, found)) (contents(&frame, found))
                (weigh(&frame, &wanted, asked.load.as_deref(), sheet.as_ref(), &care(&revision, &materials)))
            }
            Err(faults) => { (as_recorded(&frame, &revision, faults)) }
        }
        (tried(&frame, &trials.into_iter().map(|t| t.value).collect::<Vec<_>>()))
        @if let Ok(found) = &worked { (lines(&frame.said, words::HOW_WORKED, &found.worked)) }
        (change(&revision, seen.tag()))
    };
    Ok(frame.page(Place::Mixes, &frame.names.revision(&wanted.to_string()), main))
}

/// A batch as it was typed, in the units shown.
fn load_of(frame: &Frame, text: &str) -> Result<Volume, Problem> {
    let typed = frame.said.volume_typed();
    let most = 10_000.0 * 1000.0 / typed.factor;
    let fault = || {
        let detail = words::no_batch(text, most, typed.sign);
        Problem::bad_request(vec![Fault::at("/query/load", detail)])
    };
    let number = frame.said.typed(text).ok_or_else(fault)?;
    if !(number > 0.0 && number <= most) {
        return Err(fault());
    }
    Volume::from_millilitres(number * typed.factor).map_err(|_| fault())
}

fn figures(frame: &Frame, revision: &MixRevision) -> Markup {
    let said = &frame.said;
    html! {
        dl.facts {
            dt { (words::IT_IS) } dd { (standing(revision.state)) @if let Some(reason) = &revision.reason { ": " (reason) } }
            dt { (words::WET_DENSITY) } dd { (words::from_to(&said.wet_density(revision.wet_density_kg_m3), &said.wet_density_number(revision.wet_density_low_kg_m3), &said.wet_density(revision.wet_density_high_kg_m3))) }
            dt { (words::IN_THE_MOULD) } dd { (words::hours_at(&said.decimal(&revision.hold_hours_at_20c.to_string()), &said.temperature(20.0))) }
            dt { (words::WATER_RACK) } dd { (words::tank_and_rack(&days(revision.soak_days), &days(revision.dry_days))) }
            dt { (words::A_BATCH) } dd { (words::a_batch(&said.volume(revision.batch_min), &said.volume(revision.batch_max), &said::minutes(revision.batch_minutes.get() as f64))) }
        }
    }
}

fn worked_figures(frame: &Frame, found: &Proportions) -> Markup {
    let said = &frame.said;
    let ratio = |ratio: Option<f64>| ratio.map_or_else(|| words::NO_CEMENT_RATIO.to_owned(), |r| said.number(r, 2));
    html! {
        dl.facts {
            dt { (words::BY_CALCULATION) } dd { (calculated(said, found)) }
            dt { (words::WATER_CEMENT) } dd { (ratio(found.water_cement)) @if let Some(with) = found.water_cement_with_foam.filter(|_| found.foam.is_some()) { (words::with_foam_water(&said.number(with, 2))) } }
            dt { (words::AIR) } dd { (said.number(found.air_percent, 1)) " %" }
        }
        @for remark in &found.remarks { p.quiet { (remark) } }
    }
}

fn calculated(said: &Said, found: &Proportions) -> String {
    let wet = said.wet_density(found.wet_density_kg_m3);
    match (found.oven_dry_density_kg_m3, &found.oven_dry_remark) {
        (Some(dry), _) => words::wet_and_dry(&wet, &said.wet_density(dry)),
        (None, why) => words::wet_alone(&wet, why.as_deref()),
    }
}

/// A revision whose numbers do not hold together: what is recorded, and why nothing is worked out of it.
fn as_recorded(frame: &Frame, revision: &MixRevision, faults: &[Fault]) -> Markup {
    html! {
        h2 { (words::in_one_as_recorded(frame.said.content_of().0)) }
        @for fault in faults { p.warn { (words::not_worked_out(&fault.detail)) } }
        div.wide { table.amounts {
            thead { tr { th { (words::MATERIAL) } th { (words::BY_MASS) } } }
            tbody { @for part in &revision.ingredients { tr { th scope="row" { (frame.names.material(part.material.as_str())) } td { (frame.said.content(part.kg_m3)) } } } }
        } }
    }
}

fn contents(frame: &Frame, found: &Proportions) -> Markup {
    let said = &frame.said;
    let (whole, share) = said.content_of();
    let litres = |l: f64| said.litres(l * share);
    let foam_of = |foam: &FoamContent| {
        let concentrate = Millilitres::new((foam.concentrate_ml_m3 * share).round() as i64);
        let water = Amount::new((foam.water_kg_m3 * share * 1000.0).round() as i64);
        let (concentrate, water) = (said.volume(concentrate), said.amount(water, StockUnit::Gram));
        words::foam_of(&said.wet_density(foam.density_kg_m3), &concentrate, &water)
    };
    html! {
        section aria-labelledby="contents" {
            h2 #contents { (words::in_one(whole)) }
            div.wide { table.amounts {
                thead { tr { th { (words::MATERIAL) } th { (words::BY_MASS) } th { (words::BY_VOLUME) } } }
                tbody {
                    @for part in &found.ingredients { tr { th scope="row" { (frame.names.material(&part.material)) } td { (said.content(part.content_kg_m3)) } td { (litres(part.volume_l_m3)) } } }
                    @if let Some(foam) = &found.foam { tr { th scope="row" { (foam_of(foam)) } td { (said.content(foam.content_kg_m3)) } td { (litres(foam.volume_l_m3)) } } }
                }
            } }
        }
    }
}

/// The batch sheet of any size: asked for by a form, without script.
fn weigh(frame: &Frame, id: &RevisionId, load: Option<&str>, sheet: Option<&BatchSheet>, care: &[String]) -> Markup {
    let said = &frame.said;
    html! {
        section aria-labelledby="batch" {
            h2 #batch { (words::WEIGH_OUT_A_BATCH) }
            form.line.no-print method="get" action={ "/pages/mixes/" (id) "#batch" } {
                input type="hidden" name="units" value=(super::units_word(said));
                label { (form_words::measured(words::HOW_MUCH, said.volume_typed().sign)) input name="load" inputmode="decimal" required maxlength="12" pattern=(said.volume_typed().pattern()) title=(form::typed_so(said.decimals())) value=[load]; }
                button { (words::SHOW_THE_SHEET) }
            }
            @if let Some(sheet) = sheet {
                article.ticket {
                    h3 { (words::so_much_of(&said.volume(Millilitres::new(sheet.litres.millilitres().round() as i64)), &frame.names.revision(&id.to_string()))) }
                    ol.weigh {
                        @for line in &sheet.lines { li { label { span.mass { (said.mass(line.weighed)) } span.what { (frame.names.material(&line.name)) } } } }
                        @if let Some(foam) = &sheet.foam { li { label {
                            span.mass { (said.volume(foam.volume_ml)) }
                            span.what { (ticket_words::foam(&said.mass(foam.weighed), &foam.concentrate.map(|of| ticket_words::made_of(Some(&said.volume(of)), Some(&said.mass(foam.water)))).unwrap_or_default())) }
                        } } }
                    }
                    p.aim { (words::wet_density(&said.wet_density(sheet.wet_density.kg_m3()))) }
                    @for remark in &sheet.remarks { p { (remark) } }
                    div.cautions { p { strong { (ticket_words::TAKE_CARE) } } ul { @for one in care { li { (one) } } } }
                }
            }
        }
    }
}

/// The cautions that apply to a batch of a revision.
fn care(revision: &MixRevision, materials: &[Material]) -> Vec<String> {
    let kinds: Vec<MaterialKind> = revision
        .ingredients
        .iter()
        .filter_map(|part| materials.iter().find(|m| m.id == part.material).map(|m| m.kind))
        .collect();
    let facts = CautionFacts {
        cement: kinds.iter().any(|kind| kind.is_cement()),
        silica: kinds.iter().any(|kind| matches!(kind, MaterialKind::Aggregate | MaterialKind::LightweightAggregate)),
        rapid_cement: kinds.contains(&MaterialKind::RapidCement),
        foam: revision.foam.is_some(),
        pressure_generator: revision.foam.is_some(),
        powered_mixer: true,
        open_water: true,
        washout: true,
        ..CautionFacts::default()
    };
    cautions(&facts).into_iter().map(|one| format!("{}: {}", one.title(), one.text())).collect()
}

fn tried(frame: &Frame, trials: &[Trial]) -> Markup {
    let said = &frame.said;
    let density = |trial: &Trial, state| trial.density(state).map(|kg_m3| said.wet_density(kg_m3)).unwrap_or_default();
    html! {
        section aria-labelledby="found" {
            h2 #found { (words::ITS_TRIALS) }
            @if trials.is_empty() { p.quiet { (words::NONE_TRIED) } } @else {
                div.wide { table {
                    thead { tr { th { (words::TRIAL) } th { (words::MIXED) } th { (words::WET) } th { (words::AIR_DRY) } th { (words::OVEN_DRY) } th { (words::STRENGTHS) } th { (words::WEAR) } th { (words::CRACKS_SEEN) } } }
                    tbody { @for trial in trials { tr {
                        th scope="row" { (trial.id) } td { (said.day_and_year(trial.mixed_on)) }
                        td { (trial.wet_density_kg_m3.map(|kg_m3| said.wet_density(kg_m3)).unwrap_or_default()) } td { (density(trial, HardState::AirDry)) } td { (density(trial, HardState::OvenDry)) }
                        td { @for (n, found) in trial.strengths.iter().enumerate() { @if n > 0 { ", " } (words::strength_at(&said.strength(found.mpa), found.age_days)) } }
                        td { @if let Some(grams) = trial.wear_loss_g { (format!("{grams:.0} g")) } } td { (trial.cracks.as_deref().unwrap_or(words::NOBODY_LOOKED)) }
                    } } }
                } }
            }
        }
    }
}

/// Worked lines, each with its source.
pub fn lines(said: &Said, title: &str, worked: &[WorkedLine]) -> Markup {
    html! {
        details.worked {
            summary { (title) }
            div.wide { table {
                thead { tr { th { (words::WHAT) } th { (words::FORMULA) } th { (words::WITH_NUMBERS) } th { (words::RESULT) } th { (words::SOURCE) } } }
                tbody { @for line in worked { tr { th scope="row" { (line.what) } td { (line.formula) } td { (said.sentence(&line.numbers)) } td { (said.decimal(format!("{:.3}", line.result).trim_end_matches('0').trim_end_matches('.'))) " " (line.unit) } td { (line.source) } } } }
            } }
        }
    }
}

/// Putting it in use, on trial again, or away.
fn change(revision: &MixRevision, seen: &str) -> Markup {
    let state = match revision.state {
        RevisionState::OnTrial => "on_trial",
        RevisionState::InUse => "in_use",
        RevisionState::Retired => "retired",
    };
    html! {
        section.no-print aria-labelledby="standing" {
            h2 #standing { (words::STANDING) }
            form.entry data-send={ "/mixes/" (revision.id.mix) "/revisions/" (revision.id.number) } data-method="PUT" data-match=(seen) data-named=(words::revision(&revision.id)) data-then="reload" {
                (form::choice(words::IT_IS, "state", &[("on_trial", words::ON_TRIAL), ("in_use", words::IN_USE), ("retired", words::RETIRED)], state))
                (form::text(words::ON_WHOSE_WORD, "reason", "", false))
                button { (words::KEEP) } output {}
            }
        }
    }
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(shown);
}
