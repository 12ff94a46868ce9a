//! The workshop itself: one row, and the weekdays it works.

use chrono::Weekday;
use quantities::{Grams, Millimetres, Minutes};
use sea_orm::{
    ActiveModelTrait as _, ColumnTrait as _, EntityTrait as _, IntoActiveModel as _, QueryFilter as _, QueryOrder as _,
    QuerySelect as _,
};
use workshop::site::{DisplayUnits, Policy, TakingOver, Workshop};
use workshop::soaking::{COMMON_PRACTICE, SoakStep};
use workshop::writing::{Clock, DateOrder, DecimalSign, Writing};

use crate::classify::Attempted as _;
use crate::error::{Result, StoreError};
use crate::parts;
use crate::record::{Versioned, same_version};
use crate::table::table;
use crate::tx::Tx;
use crate::words::{Word as _, strange};

table!(site_row, "workshop", {
    #[sea_orm(primary_key, auto_increment = false)]
    id: i64,
    version: i64,
    name: String,
    time_zone: String,
    currency: String,
    display_units: String,
    labour_minutes: i64,
    mixer_batches: i64,
    issue_at: Time,
    pour_at: Time,
    strip_at: Time,
    #[sea_orm(column_type = "Double")]
    least_air_c: f64,
    #[sea_orm(column_type = "Double")]
    usual_air_c: f64,
    tank_gap_mm: i64,
    rack_gap_mm: i64,
    scale_resolution_g: i64,
    lifting_limit_g: i64,
    taking_over: String,
    horizon_days: i64,
    unmet_days: i64,
    steady_days: i64,
    late_price: i64,
    plan_seconds: i64,
    plan_evaluations: Option<i64>,
    plan_threads: i64,
    plan_seed: i64,
    calm_seconds: Option<i64>,
    night_at: Option<Time>,
    date_order: String,
    decimal_sign: String,
    clock: String,
});

table!(working_weekday, "working_weekday", {
    #[sea_orm(primary_key, auto_increment = false)]
    workshop: i64,
    #[sea_orm(primary_key, auto_increment = false)]
    position: i64,
    weekday: String,
});

table!(soaking_step, "soaking_step", {
    #[sea_orm(primary_key, auto_increment = false)]
    workshop: i64,
    #[sea_orm(primary_key, auto_increment = false)]
    position: i64,
    #[sea_orm(column_type = "Double")]
    water_c: f64,
    least_days: i64,
});

const NOUN: &str = "workshop";
/// The one row's key.
const ONE: i64 = 1;

/// The workshop, once it has been described.
pub async fn get(tx: &Tx) -> Result<Option<Versioned<Workshop>>> {
    let attempted = || "read the workshop".to_owned();
    let row = site_row::Entity::find_by_id(ONE).one(tx.reads()).await.attempted(attempted)?;
    let Some(row) = row else { return Ok(None) };
    let weekdays = working_weekday::Entity::find()
        .order_by_asc(working_weekday::Column::Position)
        .all(tx.reads())
        .await
        .attempted(attempted)?;
    let steps = soaking_step::Entity::find()
        .order_by_asc(soaking_step::Column::Position)
        .all(tx.reads())
        .await
        .attempted(attempted)?;
    Ok(Some(Versioned { version: row.version, value: value(row, &weekdays, &steps)? }))
}

/// The name of its time zone, once it has been described: alone, because most requests want no more of it.
pub async fn time_zone(tx: &Tx) -> Result<Option<String>> {
    let row = site_row::Entity::find_by_id(ONE).select_only().column(site_row::Column::TimeZone).into_tuple();
    row.one(tx.reads()).await.attempted(|| "read the workshop's time zone".to_owned())
}

/// Describes the workshop: the first time with no version ([`StoreError::Exists`] where it is described already), then
/// with the version read ([`StoreError::Stale`] at another, [`StoreError::NotFound`] where there is none yet).
pub async fn put(tx: &Tx, workshop: &Workshop, if_version: Option<i64>) -> Result<Versioned<Workshop>> {
    let current = get(tx).await?.map(|v| v.version);
    let version = match (current, if_version) {
        (None, None) => 1,
        (Some(_), None) => return Err(StoreError::Exists { noun: NOUN, id: workshop.name.clone() }),
        (None, Some(_)) => return Err(StoreError::not_found(NOUN, &workshop.name)),
        (Some(current), Some(wanted)) => {
            same_version(NOUN, &workshop.name, current, wanted)?;
            current + 1
        }
    };
    let row = row(workshop, version);
    if version == 1 {
        parts::put(tx, vec![row]).await?;
    } else {
        site_row::Entity::update_many()
            .set(row.into_active_model().reset_all())
            .filter(site_row::Column::Id.eq(ONE))
            .exec(tx.writes()?)
            .await
            .attempted(|| "change the workshop".to_owned())?;
    }
    parts::take::<working_weekday::Entity>(tx, working_weekday::Column::Workshop, ONE).await?;
    let weekdays = workshop.working_weekdays.iter().enumerate().map(|(index, day)| working_weekday::Model {
        workshop: ONE,
        position: parts::place(index),
        weekday: day.to_string(),
    });
    parts::put(tx, weekdays.collect()).await?;
    parts::take::<soaking_step::Entity>(tx, soaking_step::Column::Workshop, ONE).await?;
    let steps = workshop.soaking.iter().enumerate().map(|(index, step)| soaking_step::Model {
        workshop: ONE,
        position: parts::place(index),
        water_c: step.water_c,
        least_days: step.least_days,
    });
    parts::put(tx, steps.collect()).await?;
    crate::marks::mark(tx, NOUN, "the workshop's settings were changed").await?;
    Ok(Versioned { version, value: workshop.clone() })
}

fn row(workshop: &Workshop, version: i64) -> site_row::Model {
    let policy = &workshop.policy;
    site_row::Model {
        id: ONE,
        version,
        name: workshop.name.clone(),
        time_zone: workshop.time_zone.clone(),
        currency: workshop.currency.clone(),
        display_units: workshop.display_units.word(),
        labour_minutes: workshop.labour_minutes.get(),
        mixer_batches: workshop.mixer_batches,
        issue_at: workshop.issue_at,
        pour_at: workshop.pour_at,
        strip_at: workshop.strip_at,
        least_air_c: workshop.least_air_c,
        usual_air_c: workshop.usual_air_c,
        tank_gap_mm: workshop.tank_gap.get(),
        rack_gap_mm: workshop.rack_gap.get(),
        scale_resolution_g: workshop.scale_resolution.get(),
        lifting_limit_g: workshop.lifting_limit.get(),
        taking_over: workshop.taking_over.word(),
        horizon_days: policy.horizon_days,
        unmet_days: policy.unmet_days,
        steady_days: policy.steady_days,
        late_price: policy.late_price,
        plan_seconds: policy.seconds,
        plan_evaluations: policy.evaluations,
        plan_threads: policy.threads,
        plan_seed: policy.seed,
        calm_seconds: policy.calm_seconds,
        night_at: policy.night_at,
        date_order: workshop.writing.dates.word(),
        decimal_sign: workshop.writing.decimals.word(),
        clock: workshop.writing.clock.word(),
    }
}

/// The steps on record; those of common practice where there are none.
fn soaking(steps: &[soaking_step::Model]) -> Vec<SoakStep> {
    if steps.is_empty() {
        return COMMON_PRACTICE.to_vec();
    }
    steps.iter().map(|step| SoakStep { water_c: step.water_c, least_days: step.least_days }).collect()
}

fn value(row: site_row::Model, weekdays: &[working_weekday::Model], steps: &[soaking_step::Model]) -> Result<Workshop> {
    let weekday = |w: &working_weekday::Model| w.weekday.parse::<Weekday>().map_err(|_| strange("weekday", &w.weekday));
    let policy = Policy {
        horizon_days: row.horizon_days,
        unmet_days: row.unmet_days,
        steady_days: row.steady_days,
        late_price: row.late_price,
        seconds: row.plan_seconds,
        evaluations: row.plan_evaluations,
        threads: row.plan_threads,
        seed: row.plan_seed,
        calm_seconds: row.calm_seconds,
        night_at: row.night_at,
    };
    Ok(Workshop {
        name: row.name,
        time_zone: row.time_zone,
        currency: row.currency,
        display_units: DisplayUnits::of(&row.display_units)?,
        writing: Writing {
            dates: DateOrder::of(&row.date_order)?,
            decimals: DecimalSign::of(&row.decimal_sign)?,
            clock: Clock::of(&row.clock)?,
        },
        working_weekdays: weekdays.iter().map(weekday).collect::<Result<_>>()?,
        labour_minutes: Minutes::new(row.labour_minutes),
        mixer_batches: row.mixer_batches,
        issue_at: row.issue_at,
        pour_at: row.pour_at,
        strip_at: row.strip_at,
        least_air_c: row.least_air_c,
        usual_air_c: row.usual_air_c,
        tank_gap: Millimetres::new(row.tank_gap_mm),
        rack_gap: Millimetres::new(row.rack_gap_mm),
        scale_resolution: Grams::new(row.scale_resolution_g),
        lifting_limit: Grams::new(row.lifting_limit_g),
        soaking: soaking(steps),
        taking_over: TakingOver::of(&row.taking_over)?,
        policy,
    })
}
