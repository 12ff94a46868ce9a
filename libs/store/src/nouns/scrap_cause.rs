//! Causes of scrap.

use sea_orm::Value;
use workshop::catalogue::ScrapCause;
use workshop::ids::ScrapCauseId;

use crate::error::Result;
use crate::record::{Noun, Versioned};
use crate::references::{Needs, Use};
use crate::table::table;
use crate::tx::Tx;
use crate::words::scrap_cause_id;

table!(scrap_cause, "scrap_cause", {
    #[sea_orm(primary_key, auto_increment = false)]
    id: String,
    version: i64,
    name: String,
});

impl Noun for ScrapCause {
    type Id = ScrapCauseId;
    type Table = scrap_cause::Entity;
    type Row = scrap_cause::Model;
    const NOUN: &'static str = "scrap cause";
    const KEY: scrap_cause::Column = scrap_cause::Column::Id;
    const USES: &'static [Use] = &[Use::by("scrapped panels of lot", "lot_loss", "cause", "lot")];
    const MATTERS: bool = false;

    fn id(&self) -> &ScrapCauseId {
        &self.id
    }

    fn key(id: &ScrapCauseId) -> Value {
        id.as_str().into()
    }

    fn row(&self, version: i64) -> scrap_cause::Model {
        scrap_cause::Model { id: self.id.to_string(), version, name: self.name.clone() }
    }

    fn needs(&self, _needs: &mut Needs) {}

    async fn whole(_tx: &Tx, rows: Vec<scrap_cause::Model>) -> Result<Vec<Versioned<Self>>> {
        rows.into_iter()
            .map(|row| {
                let value = ScrapCause { id: scrap_cause_id(&row.id)?, name: row.name };
                Ok(Versioned { version: row.version, value })
            })
            .collect()
    }

    async fn put_parts(&self, _tx: &Tx) -> Result<()> {
        Ok(())
    }

    async fn take_parts(_tx: &Tx, _id: &ScrapCauseId) -> Result<()> {
        Ok(())
    }
}
