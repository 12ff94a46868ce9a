//! Finishes.

use sea_orm::Value;
use workshop::catalogue::Finish;
use workshop::ids::FinishId;

use crate::error::Result;
use crate::record::{Noun, Versioned};
use crate::references::{Needs, Use};
use crate::table::table;
use crate::tx::Tx;
use crate::words::finish_id;

table!(finish, "finish", {
    #[sea_orm(primary_key, auto_increment = false)]
    id: String,
    version: i64,
    name: String,
    darkness: i64,
});

impl Noun for Finish {
    type Id = FinishId;
    type Table = finish::Entity;
    type Row = finish::Model;
    const NOUN: &'static str = "finish";
    const KEY: finish::Column = finish::Column::Id;
    const USES: &'static [Use] = &[
        Use::by("mix", "mix", "finish", "id"),
        Use::by("order", "order_line", "finish", "order_id"),
        Use::by("lot", "lot", "finish", "id"),
    ];
    const MATTERS: bool = false;

    fn id(&self) -> &FinishId {
        &self.id
    }

    fn key(id: &FinishId) -> Value {
        id.as_str().into()
    }

    fn row(&self, version: i64) -> finish::Model {
        finish::Model { id: self.id.to_string(), version, name: self.name.clone(), darkness: self.darkness }
    }

    fn needs(&self, _needs: &mut Needs) {}

    async fn whole(_tx: &Tx, rows: Vec<finish::Model>) -> Result<Vec<Versioned<Self>>> {
        rows.into_iter()
            .map(|row| {
                let value = Finish { id: finish_id(&row.id)?, name: row.name, darkness: row.darkness };
                Ok(Versioned { version: row.version, value })
            })
            .collect()
    }

    async fn put_parts(&self, _tx: &Tx) -> Result<()> {
        Ok(())
    }

    async fn take_parts(_tx: &Tx, _id: &FinishId) -> Result<()> {
        Ok(())
    }
}
