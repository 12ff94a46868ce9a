//! Racks.

use quantities::Millimetres;
use sea_orm::Value;
use workshop::catalogue::{Rack, Rows};
use workshop::ids::RackId;

use crate::error::Result;
use crate::record::{Noun, Versioned};
use crate::references::{Needs, Use};
use crate::table::table;
use crate::tx::Tx;
use crate::words::{lines_of, of_lines, rack_id};

table!(rack, "rack", {
    #[sea_orm(primary_key, auto_increment = false)]
    id: String,
    version: i64,
    name: String,
    row_count: i64,
    row_usable_mm: i64,
    row_names: Option<String>,
});

impl Noun for Rack {
    type Id = RackId;
    type Table = rack::Entity;
    type Row = rack::Model;
    const NOUN: &'static str = "rack";
    const KEY: rack::Column = rack::Column::Id;
    const USES: &'static [Use] = &[
        Use::by("lot", "lot", "rack", "id"),
        Use::by("lot move", "lot_move", "rack", "id"),
        Use::by("upkeep task", "upkeep_task", "rack", "id"),
    ];

    fn id(&self) -> &RackId {
        &self.id
    }

    fn key(id: &RackId) -> Value {
        id.as_str().into()
    }

    fn row(&self, version: i64) -> rack::Model {
        rack::Model {
            id: self.id.to_string(),
            version,
            name: self.name.clone(),
            row_count: self.rows.count,
            row_usable_mm: self.rows.usable.get(),
            row_names: lines_of(&self.row_names),
        }
    }

    fn needs(&self, _needs: &mut Needs) {}

    async fn whole(_tx: &Tx, rows: Vec<rack::Model>) -> Result<Vec<Versioned<Self>>> {
        rows.into_iter()
            .map(|row| {
                let value = Rack {
                    id: rack_id(&row.id)?,
                    name: row.name,
                    rows: Rows { count: row.row_count, usable: Millimetres::new(row.row_usable_mm) },
                    row_names: of_lines(row.row_names.as_deref()),
                };
                Ok(Versioned { version: row.version, value })
            })
            .collect()
    }

    async fn put_parts(&self, _tx: &Tx) -> Result<()> {
        Ok(())
    }

    async fn take_parts(_tx: &Tx, _id: &RackId) -> Result<()> {
        Ok(())
    }
}
