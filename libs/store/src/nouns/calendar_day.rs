//! Days that differ from their weekday.

use chrono::NaiveDate as Day;
use quantities::Minutes;
use sea_orm::Value;
use workshop::site::{CalendarDay, DayWork};

use crate::error::Result;
use crate::record::{Noun, Versioned};
use crate::references::{Needs, Use};
use crate::table::table;
use crate::tx::Tx;
use crate::words::Word as _;

table!(calendar_day, "calendar_day", {
    #[sea_orm(primary_key, auto_increment = false)]
    day: Date,
    version: i64,
    work: String,
    labour_minutes: Option<i64>,
    #[sea_orm(column_type = "Double", nullable)]
    air_c: Option<f64>,
    note: Option<String>,
});

impl Noun for CalendarDay {
    type Id = Day;
    type Table = calendar_day::Entity;
    type Row = calendar_day::Model;
    const NOUN: &'static str = "calendar day";
    const KEY: calendar_day::Column = calendar_day::Column::Day;
    const USES: &'static [Use] = &[];

    fn id(&self) -> &Day {
        &self.day
    }

    fn key(id: &Day) -> Value {
        (*id).into()
    }

    fn row(&self, version: i64) -> calendar_day::Model {
        calendar_day::Model {
            day: self.day,
            version,
            work: self.work.word(),
            labour_minutes: self.labour_minutes.map(Minutes::get),
            air_c: self.air_c,
            note: self.note.clone(),
        }
    }

    fn needs(&self, _needs: &mut Needs) {}

    async fn whole(_tx: &Tx, rows: Vec<calendar_day::Model>) -> Result<Vec<Versioned<Self>>> {
        rows.into_iter()
            .map(|row| {
                let value = CalendarDay {
                    day: row.day,
                    work: DayWork::of(&row.work)?,
                    labour_minutes: row.labour_minutes.map(Minutes::new),
                    air_c: row.air_c,
                    note: row.note,
                };
                Ok(Versioned { version: row.version, value })
            })
            .collect()
    }

    async fn put_parts(&self, _tx: &Tx) -> Result<()> {
        Ok(())
    }

    async fn take_parts(_tx: &Tx, _id: &Day) -> Result<()> {
        Ok(())
    }
}
