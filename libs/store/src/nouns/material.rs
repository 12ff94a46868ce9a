//! Materials and their price breaks.

use quantities::MinorUnits;
use sea_orm::Value;
use workshop::catalogue::{Amount, Material, MaterialKind, PriceBreak, StockUnit, Supply};
use workshop::ids::MaterialId;

use crate::error::{Result, StoreError};
use crate::parts;
use crate::record::{Noun, Versioned};
use crate::references::{Needs, Use, used_by};
use crate::table::table;
use crate::tx::Tx;
use crate::words::{Word as _, material_id};

table!(material, "material", {
    #[sea_orm(primary_key, auto_increment = false)]
    id: String,
    version: i64,
    name: String,
    kind: String,
    unit: String,
    #[sea_orm(column_type = "Double", nullable)]
    relative_density: Option<f64>,
    supply: String,
    least_amount: i64,
    pack: i64,
    pack_price: i64,
    lead_days: i64,
    delivery_charge: i64,
    store_max: Option<i64>,
    keep_days: Option<i64>,
});

table!(price_break, "price_break", {
    #[sea_orm(primary_key, auto_increment = false)]
    material: String,
    #[sea_orm(primary_key, auto_increment = false)]
    position: i64,
    from_packs: i64,
    pack_price: i64,
});

impl Noun for Material {
    type Id = MaterialId;
    type Table = material::Entity;
    type Row = material::Model;
    const NOUN: &'static str = "material";
    const KEY: material::Column = material::Column::Id;
    const USES: &'static [Use] = &[
        Use::by("mix revision", "ingredient", "material", "revision"),
        Use::by("mix revision", "mix_revision", "foam_concentrate", "id"),
        Use::by("panel", "panel_material", "material", "panel"),
        Use::by("set", "set_hardware", "material", "set_id"),
        Use::by("stock entry", "stock_entry", "material", "id"),
        Use::by("delivery", "delivery", "material", "id"),
        Use::by("ticket", "ticket_line", "material", "ticket"),
        Use::by("trial", "trial_mass", "material", "trial"),
    ];

    fn id(&self) -> &MaterialId {
        &self.id
    }

    fn key(id: &MaterialId) -> Value {
        id.as_str().into()
    }

    fn row(&self, version: i64) -> material::Model {
        material::Model {
            id: self.id.to_string(),
            version,
            name: self.name.clone(),
            kind: self.kind.word(),
            unit: self.unit.word(),
            relative_density: self.relative_density,
            supply: self.supply.word(),
            least_amount: self.floor.get(),
            pack: self.pack.get(),
            pack_price: self.pack_price.get(),
            lead_days: self.lead_days,
            delivery_charge: self.delivery_charge.get(),
            store_max: self.store_max.map(Amount::get),
            keep_days: self.keep_days,
        }
    }

    fn needs(&self, _needs: &mut Needs) {}

    async fn whole(tx: &Tx, rows: Vec<material::Model>) -> Result<Vec<Versioned<Self>>> {
        let ids: Vec<String> = rows.iter().map(|row| row.id.clone()).collect();
        let mut breaks = parts::of_parents::<price_break::Entity, _>(
            tx,
            price_break::Column::Material,
            price_break::Column::Position,
            &ids,
            |row| row.material.clone(),
        )
        .await?;
        rows.into_iter()
            .map(|row| {
                let breaks = breaks.remove(&row.id).unwrap_or_default();
                Ok(Versioned { version: row.version, value: value(row, &breaks)? })
            })
            .collect()
    }

    async fn put_parts(&self, tx: &Tx) -> Result<()> {
        let breaks = self.price_breaks.iter().enumerate().map(|(index, price)| price_break::Model {
            material: self.id.to_string(),
            position: parts::place(index),
            from_packs: price.from_packs,
            pack_price: price.pack_price.get(),
        });
        parts::put(tx, breaks.collect()).await
    }

    async fn take_parts(tx: &Tx, id: &MaterialId) -> Result<()> {
        parts::take::<price_break::Entity>(tx, price_break::Column::Material, id.as_str()).await
    }

    /// The unit is what every amount in the ledger is counted in, so it stays once there is such an amount.
    async fn may_replace(tx: &Tx, old: &Versioned<Self>, value: &Self) -> Result<()> {
        if old.value.unit == value.unit {
            return Ok(());
        }
        let Some(by) = used_by(tx, Self::USES, &Self::key(&value.id)).await? else { return Ok(()) };
        let what = format!("unit, in which amounts are counted already ({by}): add a material with the other unit");
        Err(StoreError::Immutable { noun: <Self as Noun>::NOUN, id: value.id.to_string(), what })
    }
}

fn value(row: material::Model, breaks: &[price_break::Model]) -> Result<Material> {
    let price =
        |b: &price_break::Model| PriceBreak { from_packs: b.from_packs, pack_price: MinorUnits::new(b.pack_price) };
    Ok(Material {
        id: material_id(&row.id)?,
        kind: MaterialKind::of(&row.kind)?,
        unit: StockUnit::of(&row.unit)?,
        relative_density: row.relative_density,
        supply: Supply::of(&row.supply)?,
        floor: Amount::new(row.least_amount),
        pack: Amount::new(row.pack),
        pack_price: MinorUnits::new(row.pack_price),
        lead_days: row.lead_days,
        delivery_charge: MinorUnits::new(row.delivery_charge),
        store_max: row.store_max.map(Amount::new),
        price_breaks: breaks.iter().map(price).collect(),
        keep_days: row.keep_days,
        name: row.name,
    })
}
