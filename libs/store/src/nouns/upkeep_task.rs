//! Upkeep tasks.

use quantities::Minutes;
use sea_orm::Value;
use workshop::ids::UpkeepTaskId;
use workshop::upkeep::{Measure, Place, UpkeepTask};

use crate::error::{Result, StoreError};
use crate::record::{Noun, Versioned};
use crate::references::{Needs, Thing, Use, used_by};
use crate::table::table;
use crate::tx::Tx;
use crate::words::{rack_id, strange, tank_id, upkeep_task_id};

table!(upkeep_task, "upkeep_task", {
    #[sea_orm(primary_key, auto_increment = false)]
    id: String,
    version: i64,
    name: String,
    tank: Option<String>,
    rack: Option<String>,
    every_days: i64,
    first_on: Date,
    last_on: Option<Date>,
    labour_minutes: i64,
    measured_what: Option<String>,
    measured_unit: Option<String>,
    #[sea_orm(column_type = "Double", nullable)]
    measured_low: Option<f64>,
    #[sea_orm(column_type = "Double", nullable)]
    measured_high: Option<f64>,
    note: Option<String>,
});

impl Noun for UpkeepTask {
    type Id = UpkeepTaskId;
    type Table = upkeep_task::Entity;
    type Row = upkeep_task::Model;
    const NOUN: &'static str = "upkeep task";
    const KEY: upkeep_task::Column = upkeep_task::Column::Id;
    const USES: &'static [Use] = &[Use::by("report of", "upkeep_report", "task", "day")];

    fn id(&self) -> &UpkeepTaskId {
        &self.id
    }

    fn key(id: &UpkeepTaskId) -> Value {
        id.as_str().into()
    }

    fn row(&self, version: i64) -> upkeep_task::Model {
        let (tank, rack) = match &self.place {
            Place::Tank(tank) => (Some(tank.to_string()), None),
            Place::Rack(rack) => (None, Some(rack.to_string())),
            Place::Workshop => (None, None),
        };
        upkeep_task::Model {
            id: self.id.to_string(),
            version,
            name: self.name.clone(),
            tank,
            rack,
            every_days: self.every_days,
            first_on: self.first_on,
            last_on: self.last_on,
            labour_minutes: self.minutes.get(),
            measured_what: self.measures.as_ref().map(|m| m.what.clone()),
            measured_unit: self.measures.as_ref().map(|m| m.unit.clone()),
            measured_low: self.measures.as_ref().and_then(|m| m.low),
            measured_high: self.measures.as_ref().and_then(|m| m.high),
            note: self.note.clone(),
        }
    }

    fn needs(&self, needs: &mut Needs) {
        match &self.place {
            Place::Tank(tank) => needs.on(Thing::Tank, tank),
            Place::Rack(rack) => needs.on(Thing::Rack, rack),
            Place::Workshop => needs,
        };
    }

    async fn whole(_tx: &Tx, rows: Vec<upkeep_task::Model>) -> Result<Vec<Versioned<Self>>> {
        rows.into_iter().map(|row| Ok(Versioned { version: row.version, value: value(row)? })).collect()
    }

    async fn put_parts(&self, _tx: &Tx) -> Result<()> {
        Ok(())
    }

    async fn take_parts(_tx: &Tx, _id: &UpkeepTaskId) -> Result<()> {
        Ok(())
    }

    /// What is measured, and in which unit, is what every value on record is of, so it stays once there is a report.
    async fn may_replace(tx: &Tx, old: &Versioned<Self>, value: &Self) -> Result<()> {
        let measured = |task: &Self| task.measures.as_ref().map(|m| (m.what.clone(), m.unit.clone()));
        let before = measured(&old.value);
        if before.is_none() || before == measured(value) {
            return Ok(());
        }
        let Some(by) = used_by(tx, Self::USES, &Self::key(&value.id)).await? else { return Ok(()) };
        let what = format!("measure, of which there are values already ({by}): add a task with the other measure");
        Err(StoreError::Immutable { noun: <Self as Noun>::NOUN, id: value.id.to_string(), what })
    }
}

fn value(row: upkeep_task::Model) -> Result<UpkeepTask> {
    let place = match (&row.tank, &row.rack) {
        (Some(tank), None) => Place::Tank(tank_id(tank)?),
        (None, Some(rack)) => Place::Rack(rack_id(rack)?),
        (None, None) => Place::Workshop,
        (Some(_), Some(_)) => return Err(strange("place of one tank or one rack", &row.id)),
    };
    let measures = row.measured_what.zip(row.measured_unit).map(|(what, unit)| Measure {
        what,
        unit,
        low: row.measured_low,
        high: row.measured_high,
    });
    Ok(UpkeepTask {
        id: upkeep_task_id(&row.id)?,
        name: row.name,
        place,
        every_days: row.every_days,
        first_on: row.first_on,
        last_on: row.last_on,
        minutes: Minutes::new(row.labour_minutes),
        measures,
        note: row.note,
    })
}
