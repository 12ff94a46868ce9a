//! Tanks.

use quantities::Millimetres;
use sea_orm::Value;
use workshop::catalogue::{Rows, Tank};
use workshop::ids::TankId;

use crate::error::Result;
use crate::record::{Noun, Versioned};
use crate::references::{Needs, Use};
use crate::table::table;
use crate::tx::Tx;
use crate::words::{lines_of, of_lines, tank_id};

table!(tank, "tank", {
    #[sea_orm(primary_key, auto_increment = false)]
    id: String,
    version: i64,
    name: String,
    row_count: i64,
    row_usable_mm: i64,
    row_names: Option<String>,
    depth_mm: i64,
    width_mm: i64,
});

impl Noun for Tank {
    type Id = TankId;
    type Table = tank::Entity;
    type Row = tank::Model;
    const NOUN: &'static str = "tank";
    const KEY: tank::Column = tank::Column::Id;
    const USES: &'static [Use] = &[
        Use::by("panel", "panel_tank", "tank", "panel"),
        Use::by("lot", "lot", "tank", "id"),
        Use::by("lot move", "lot_move", "tank", "id"),
        Use::by("upkeep task", "upkeep_task", "tank", "id"),
    ];

    fn id(&self) -> &TankId {
        &self.id
    }

    fn key(id: &TankId) -> Value {
        id.as_str().into()
    }

    fn row(&self, version: i64) -> tank::Model {
        tank::Model {
            id: self.id.to_string(),
            version,
            name: self.name.clone(),
            row_count: self.rows.count,
            row_usable_mm: self.rows.usable.get(),
            row_names: lines_of(&self.row_names),
            depth_mm: self.depth.get(),
            width_mm: self.width.get(),
        }
    }

    fn needs(&self, _needs: &mut Needs) {}

    async fn whole(_tx: &Tx, rows: Vec<tank::Model>) -> Result<Vec<Versioned<Self>>> {
        rows.into_iter()
            .map(|row| {
                let value = Tank {
                    id: tank_id(&row.id)?,
                    name: row.name,
                    rows: Rows { count: row.row_count, usable: Millimetres::new(row.row_usable_mm) },
                    row_names: of_lines(row.row_names.as_deref()),
                    depth: Millimetres::new(row.depth_mm),
                    width: Millimetres::new(row.width_mm),
                };
                Ok(Versioned { version: row.version, value })
            })
            .collect()
    }

    async fn put_parts(&self, _tx: &Tx) -> Result<()> {
        Ok(())
    }

    async fn take_parts(_tx: &Tx, _id: &TankId) -> Result<()> {
        Ok(())
    }
}
