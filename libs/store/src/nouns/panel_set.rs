//! Sets: the panels and the hardware in one.

use quantities::Pieces;
use sea_orm::Value;
use workshop::catalogue::PanelSet;
use workshop::ids::SetId;

use crate::error::Result;
use crate::parts;
use crate::record::{Noun, Versioned};
use crate::references::{Needs, Thing, Use};
use crate::table::table;
use crate::tx::Tx;
use crate::words::{material_id, panel_id, set_id};

table!(panel_set, "panel_set", {
    #[sea_orm(primary_key, auto_increment = false)]
    id: String,
    version: i64,
    name: String,
});

table!(set_panel, "set_panel", {
    #[sea_orm(primary_key, auto_increment = false)]
    set_id: String,
    #[sea_orm(primary_key, auto_increment = false)]
    position: i64,
    panel: String,
    quantity: i64,
});

table!(set_hardware, "set_hardware", {
    #[sea_orm(primary_key, auto_increment = false)]
    set_id: String,
    #[sea_orm(primary_key, auto_increment = false)]
    position: i64,
    material: String,
    quantity: i64,
});

impl Noun for PanelSet {
    type Id = SetId;
    type Table = panel_set::Entity;
    type Row = panel_set::Model;
    const NOUN: &'static str = "set";
    const KEY: panel_set::Column = panel_set::Column::Id;
    const USES: &'static [Use] = &[Use::by("order", "order_line", "set_id", "order_id")];

    fn id(&self) -> &SetId {
        &self.id
    }

    fn key(id: &SetId) -> Value {
        id.as_str().into()
    }

    fn row(&self, version: i64) -> panel_set::Model {
        panel_set::Model { id: self.id.to_string(), version, name: self.name.clone() }
    }

    fn needs(&self, needs: &mut Needs) {
        for (panel, _) in &self.panels {
            needs.on(Thing::Panel, panel);
        }
        for (material, _) in &self.hardware {
            needs.on(Thing::Material, material);
        }
    }

    async fn whole(tx: &Tx, rows: Vec<panel_set::Model>) -> Result<Vec<Versioned<Self>>> {
        use {set_hardware::Column as Hardware, set_panel::Column as Panels};
        let ids: Vec<String> = rows.iter().map(|row| row.id.clone()).collect();
        let mut panels = parts::of_parents::<set_panel::Entity, _>(tx, Panels::SetId, Panels::Position, &ids, |row| {
            row.set_id.clone()
        })
        .await?;
        let mut hardware =
            parts::of_parents::<set_hardware::Entity, _>(tx, Hardware::SetId, Hardware::Position, &ids, |row| {
                row.set_id.clone()
            })
            .await?;
        rows.into_iter()
            .map(|row| {
                let panels = panels.remove(&row.id).unwrap_or_default();
                let hardware = hardware.remove(&row.id).unwrap_or_default();
                Ok(Versioned { version: row.version, value: value(row, &panels, &hardware)? })
            })
            .collect()
    }

    async fn put_parts(&self, tx: &Tx) -> Result<()> {
        let panels = self.panels.iter().enumerate().map(|(index, (panel, quantity))| set_panel::Model {
            set_id: self.id.to_string(),
            position: parts::place(index),
            panel: panel.to_string(),
            quantity: *quantity,
        });
        parts::put(tx, panels.collect()).await?;
        let hardware = self.hardware.iter().enumerate().map(|(index, (material, pieces))| set_hardware::Model {
            set_id: self.id.to_string(),
            position: parts::place(index),
            material: material.to_string(),
            quantity: pieces.get(),
        });
        parts::put(tx, hardware.collect()).await
    }

    async fn take_parts(tx: &Tx, id: &SetId) -> Result<()> {
        parts::take::<set_panel::Entity>(tx, set_panel::Column::SetId, id.as_str()).await?;
        parts::take::<set_hardware::Entity>(tx, set_hardware::Column::SetId, id.as_str()).await
    }
}

fn value(row: panel_set::Model, panels: &[set_panel::Model], hardware: &[set_hardware::Model]) -> Result<PanelSet> {
    let panel = |p: &set_panel::Model| Ok((panel_id(&p.panel)?, p.quantity));
    let piece = |h: &set_hardware::Model| Ok((material_id(&h.material)?, Pieces::new(h.quantity)));
    Ok(PanelSet {
        id: set_id(&row.id)?,
        name: row.name,
        panels: panels.iter().map(panel).collect::<Result<_>>()?,
        hardware: hardware.iter().map(piece).collect::<Result<_>>()?,
    })
}
