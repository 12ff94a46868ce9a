//! Panels: the revisions that suit them, the tanks they fit, the material each draws.

use quantities::{Millilitres, Millimetres, Minutes};
use sea_orm::Value;
use workshop::catalogue::{Amount, Panel, PerPanel, Suit};
use workshop::ids::PanelId;

use crate::error::Result;
use crate::parts;
use crate::record::{Noun, Versioned};
use crate::references::{Needs, Thing, Use};
use crate::table::table;
use crate::tx::Tx;
use crate::words::{material_id, mould_group_id, panel_id, revision_id, tank_id};

table!(panel, "panel", {
    #[sea_orm(primary_key, auto_increment = false)]
    id: String,
    version: i64,
    name: String,
    length_mm: i64,
    height_mm: i64,
    thickness_mm: i64,
    voids_ml: i64,
    mould_group: String,
    pour_minutes: i64,
    strip_minutes: i64,
    lift_minutes: i64,
    #[sea_orm(column_type = "Double", nullable)]
    pass_rate: Option<f64>,
});

table!(panel_suit, "panel_suit", {
    #[sea_orm(primary_key, auto_increment = false)]
    panel: String,
    #[sea_orm(primary_key, auto_increment = false)]
    position: i64,
    revision: String,
    reason: String,
});

table!(panel_tank, "panel_tank", {
    #[sea_orm(primary_key, auto_increment = false)]
    panel: String,
    #[sea_orm(primary_key, auto_increment = false)]
    position: i64,
    tank: String,
});

table!(panel_material, "panel_material", {
    #[sea_orm(primary_key, auto_increment = false)]
    panel: String,
    #[sea_orm(primary_key, auto_increment = false)]
    position: i64,
    material: String,
    amount: i64,
});

impl Noun for Panel {
    type Id = PanelId;
    type Table = panel::Entity;
    type Row = panel::Model;
    const NOUN: &'static str = "panel";
    const KEY: panel::Column = panel::Column::Id;
    const USES: &'static [Use] = &[
        Use::by("set", "set_panel", "panel", "set_id"),
        Use::by("order", "order_line", "panel", "order_id"),
        Use::by("lot", "lot", "panel", "id"),
        Use::by("pin", "pin", "panel", "id"),
        Use::by("ticket", "ticket_fill", "panel", "ticket"),
        Use::by("trial", "trial_panel", "panel", "trial"),
    ];

    fn id(&self) -> &PanelId {
        &self.id
    }

    fn key(id: &PanelId) -> Value {
        id.as_str().into()
    }

    fn row(&self, version: i64) -> panel::Model {
        panel::Model {
            id: self.id.to_string(),
            version,
            name: self.name.clone(),
            length_mm: self.length.get(),
            height_mm: self.height.get(),
            thickness_mm: self.thickness.get(),
            voids_ml: self.voids.get(),
            mould_group: self.mould_group.to_string(),
            pour_minutes: self.pour_minutes.get(),
            strip_minutes: self.strip_minutes.get(),
            lift_minutes: self.lift_minutes.get(),
            pass_rate: self.pass_rate,
        }
    }

    fn needs(&self, needs: &mut Needs) {
        needs.on(Thing::MouldGroup, &self.mould_group);
        for suit in &self.suits {
            needs.on(Thing::Revision, &suit.revision);
        }
        for tank in &self.tanks {
            needs.on(Thing::Tank, tank);
        }
        for drawn in &self.per_panel {
            needs.on(Thing::Material, &drawn.material);
        }
    }

    async fn whole(tx: &Tx, rows: Vec<panel::Model>) -> Result<Vec<Versioned<Self>>> {
        let mut parts = Parts::of(tx, &rows).await?;
        rows.into_iter()
            .map(|row| {
                let suits = parts.suits.remove(&row.id).unwrap_or_default();
                let tanks = parts.tanks.remove(&row.id).unwrap_or_default();
                let drawn = parts.drawn.remove(&row.id).unwrap_or_default();
                Ok(Versioned { version: row.version, value: value(row, &suits, &tanks, &drawn)? })
            })
            .collect()
    }

    async fn put_parts(&self, tx: &Tx) -> Result<()> {
        let panel = self.id.to_string();
        let suits = self.suits.iter().enumerate().map(|(index, suit)| panel_suit::Model {
            panel: panel.clone(),
            position: parts::place(index),
            revision: suit.revision.to_string(),
            reason: suit.reason.clone(),
        });
        parts::put(tx, suits.collect()).await?;
        let tanks = self.tanks.iter().enumerate().map(|(index, tank)| panel_tank::Model {
            panel: panel.clone(),
            position: parts::place(index),
            tank: tank.to_string(),
        });
        parts::put(tx, tanks.collect()).await?;
        let drawn = self.per_panel.iter().enumerate().map(|(index, drawn)| panel_material::Model {
            panel: panel.clone(),
            position: parts::place(index),
            material: drawn.material.to_string(),
            amount: drawn.amount.get(),
        });
        parts::put(tx, drawn.collect()).await
    }

    async fn take_parts(tx: &Tx, id: &PanelId) -> Result<()> {
        parts::take::<panel_suit::Entity>(tx, panel_suit::Column::Panel, id.as_str()).await?;
        parts::take::<panel_tank::Entity>(tx, panel_tank::Column::Panel, id.as_str()).await?;
        parts::take::<panel_material::Entity>(tx, panel_material::Column::Panel, id.as_str()).await
    }
}

type ByPanel<T> = std::collections::BTreeMap<String, Vec<T>>;

struct Parts {
    suits: ByPanel<panel_suit::Model>,
    tanks: ByPanel<panel_tank::Model>,
    drawn: ByPanel<panel_material::Model>,
}

impl Parts {
    async fn of(tx: &Tx, rows: &[panel::Model]) -> Result<Self> {
        use {panel_material::Column as Drawn, panel_suit::Column as Suits, panel_tank::Column as Tanks};
        let ids: Vec<String> = rows.iter().map(|row| row.id.clone()).collect();
        Ok(Self {
            suits: parts::of_parents::<panel_suit::Entity, _>(tx, Suits::Panel, Suits::Position, &ids, |row| {
                row.panel.clone()
            })
            .await?,
            tanks: parts::of_parents::<panel_tank::Entity, _>(tx, Tanks::Panel, Tanks::Position, &ids, |row| {
                row.panel.clone()
            })
            .await?,
            drawn: parts::of_parents::<panel_material::Entity, _>(tx, Drawn::Panel, Drawn::Position, &ids, |row| {
                row.panel.clone()
            })
            .await?,
        })
    }
}

fn value(
    row: panel::Model,
    suits: &[panel_suit::Model],
    tanks: &[panel_tank::Model],
    drawn: &[panel_material::Model],
) -> Result<Panel> {
    let suit = |s: &panel_suit::Model| Ok(Suit { revision: revision_id(&s.revision)?, reason: s.reason.clone() });
    let drawn_of =
        |d: &panel_material::Model| Ok(PerPanel { material: material_id(&d.material)?, amount: Amount::new(d.amount) });
    Ok(Panel {
        id: panel_id(&row.id)?,
        name: row.name,
        length: Millimetres::new(row.length_mm),
        height: Millimetres::new(row.height_mm),
        thickness: Millimetres::new(row.thickness_mm),
        voids: Millilitres::new(row.voids_ml),
        mould_group: mould_group_id(&row.mould_group)?,
        pour_minutes: Minutes::new(row.pour_minutes),
        strip_minutes: Minutes::new(row.strip_minutes),
        lift_minutes: Minutes::new(row.lift_minutes),
        suits: suits.iter().map(suit).collect::<Result<_>>()?,
        tanks: tanks.iter().map(|t| tank_id(&t.tank)).collect::<Result<_>>()?,
        per_panel: drawn.iter().map(drawn_of).collect::<Result<_>>()?,
        pass_rate: row.pass_rate,
    })
}
