//! Deliveries: ordered by a person, on their way, then here.

use std::collections::BTreeMap;

use chrono::NaiveDate as Day;
use sea_orm::sea_query::Expr;
use sea_orm::{
    ActiveModelTrait as _, ActiveValue, ColumnTrait as _, Condition, ConnectionTrait as _, EntityTrait as _,
    IntoActiveModel as _, QueryFilter as _, QueryOrder as _, QuerySelect as _, QueryTrait as _,
};
use workshop::catalogue::Amount;
use workshop::ids::{DeliveryId, MaterialId, RunId};
use workshop::said::Said;
use workshop::stock::{Delivery, DeliveryState};

use crate::classify::Attempted as _;
use crate::error::{Result, StoreError};
use crate::marks;
use crate::nouns::material::material;
use crate::parts;
use crate::record::{Versioned, same_version};
use crate::references::{Needs, Thing};
use crate::runs;
use crate::table::table;
use crate::tx::Tx;
use crate::words::{Word as _, material_id, moment};

table!(delivery, "delivery", {
    #[sea_orm(primary_key)]
    id: i64,
    version: i64,
    material: String,
    packs: i64,
    expected_on: Date,
    state: String,
    arrived_on: Option<Date>,
    received: Option<i64>,
    pack: Option<i64>,
    reference: Option<String>,
    said_by: Option<String>,
    said_at: Option<DateTimeUtc>,
    late_noted_on: Option<Date>,
});

table!(delivery_rest, "delivery_rest", {
    #[sea_orm(primary_key, auto_increment = false)]
    delivery: i64,
    rest_of: i64,
});

const NOUN: &str = "delivery";
/// Rows of one insert: both databases limit the values of a statement.
const ROWS_AT_ONCE: usize = 1000;

/// A delivery as it is ordered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewDelivery {
    /// Of which material.
    pub material: MaterialId,
    /// How many packs, 1 or more.
    pub packs: i64,
    /// Day it should come.
    pub expected_on: Day,
}

/// A new delivery, on its way.
pub async fn insert(tx: &Tx, new: &NewDelivery) -> Result<Versioned<Delivery>> {
    tx.writes()?;
    Needs::default().on(Thing::Material, &new.material).met(tx).await?;
    let row = delivery::Model {
        pack: Some(pack_of(tx, new.material.as_str()).await?),
        id: 0,
        version: 1,
        material: new.material.to_string(),
        packs: new.packs,
        expected_on: new.expected_on,
        state: DeliveryState::OnItsWay.word(),
        arrived_on: None,
        received: None,
        reference: None,
        said_by: None,
        said_at: None,
        late_noted_on: None,
    };
    let mut unnumbered = row.clone().into_active_model().reset_all();
    unnumbered.id = ActiveValue::NotSet;
    let written = delivery::Entity::insert(unnumbered)
        .exec(tx.writes()?)
        .await
        .attempted(|| format!("write a delivery of {}", new.material))?;
    marks::mark(tx, "delivery", &format!("{} packs of {} are on their way", new.packs, new.material)).await?;
    value(tx, delivery::Model { id: written.last_insert_id, ..row }).await
}

/// Many new deliveries, on their way, each with the sender's own reference, which no other delivery has.
pub async fn insert_all(tx: &Tx, news: &[(NewDelivery, String)]) -> Result<()> {
    tx.writes()?;
    let mut needs = Needs::default();
    for (new, _) in news {
        needs.on(Thing::Material, &new.material);
    }
    needs.met(tx).await?;
    let mut packs = BTreeMap::new();
    for (new, _) in news {
        if !packs.contains_key(new.material.as_str()) {
            packs.insert(new.material.as_str(), pack_of(tx, new.material.as_str()).await?);
        }
    }
    let row = |(new, reference): &(NewDelivery, String)| delivery::ActiveModel {
        late_noted_on: ActiveValue::Set(None),
        id: ActiveValue::NotSet,
        version: ActiveValue::Set(1),
        material: ActiveValue::Set(new.material.to_string()),
        packs: ActiveValue::Set(new.packs),
        expected_on: ActiveValue::Set(new.expected_on),
        state: ActiveValue::Set(DeliveryState::OnItsWay.word()),
        arrived_on: ActiveValue::Set(None),
        received: ActiveValue::Set(None),
        pack: ActiveValue::Set(packs.get(new.material.as_str()).copied()),
        reference: ActiveValue::Set(Some(reference.clone())),
        said_by: ActiveValue::Set(None),
        said_at: ActiveValue::Set(None),
    };
    for some in news.chunks(ROWS_AT_ONCE) {
        let statement = delivery::Entity::insert_many(some.iter().map(row)).into_query();
        tx.writes()?.execute(&statement).await.attempted(|| "write deliveries".to_owned())?;
    }
    if news.is_empty() {
        return Ok(());
    }
    marks::mark(tx, "delivery", &format!("{} more deliveries are on their way", news.len())).await
}

/// Says that one on its way comes with other packs, or on another day. [`StoreError::NotNow`] where it is here already.
pub async fn put_off(tx: &Tx, id: DeliveryId, if_version: i64, packs: i64, expected_on: Day) -> Result<()> {
    let mut row = on_its_way(tx, id, if_version).await?;
    let said = format!("delivery {id} of {} comes on {expected_on} with {packs} packs", row.material);
    row.version += 1;
    row.packs = packs;
    row.expected_on = expected_on;
    row.into_active_model().reset_all().update(tx.writes()?).await.attempted(|| format!("change delivery {id}"))?;
    marks::mark(tx, "delivery", &said).await
}

/// Gives a delivery that has none the sender's own reference, which no other delivery has.
pub async fn refer(tx: &Tx, id: DeliveryId, reference: &str) -> Result<()> {
    let row = delivery::ActiveModel {
        id: ActiveValue::Unchanged(id.get()),
        reference: ActiveValue::Set(Some(reference.to_owned())),
        ..Default::default()
    };
    row.update(tx.writes()?).await.attempted(|| format!("name delivery {id} by its sender's reference"))?;
    Ok(())
}

/// Every delivery that has a sender's reference, by that.
pub async fn referred(tx: &Tx) -> Result<BTreeMap<String, DeliveryId>> {
    let rows = delivery::Entity::find()
        .filter(delivery::Column::Reference.is_not_null())
        .all(tx.reads())
        .await
        .attempted(|| "read the references of deliveries".to_owned())?;
    Ok(rows.into_iter().filter_map(|row| Some((row.reference?, DeliveryId::new(row.id)))).collect())
}

/// The one with this number, if there is one.
pub async fn find(tx: &Tx, id: DeliveryId) -> Result<Option<Versioned<Delivery>>> {
    let row =
        delivery::Entity::find_by_id(id.get()).one(tx.reads()).await.attempted(|| format!("read delivery {id}"))?;
    match row {
        Some(row) => Ok(Some(value(tx, row).await?)),
        None => Ok(None),
    }
}

/// Up to `limit` of them in a state (in any, where none is given) after the one named, by number.
pub async fn page(
    tx: &Tx,
    state: Option<DeliveryState>,
    after: Option<DeliveryId>,
    limit: u64,
) -> Result<Vec<Versioned<Delivery>>> {
    let mut rows = delivery::Entity::find().order_by_asc(delivery::Column::Id).limit(limit);
    if let Some(state) = state {
        rows = rows.filter(delivery::Column::State.eq(state.word()));
    }
    if let Some(after) = after {
        rows = rows.filter(delivery::Column::Id.gt(after.get()));
    }
    let rows = rows.all(tx.reads()).await.attempted(|| "read deliveries".to_owned())?;
    values(tx, rows).await
}

/// Notes that a delivery is the rest of one of which only a part came: its packs are those of that one, whatever pack the
/// material has come in since.
pub async fn is_rest_of(tx: &Tx, rest: DeliveryId, of: DeliveryId) -> Result<()> {
    let attempted = || format!("make delivery {rest} the rest of {of}");
    let first = delivery::Entity::find_by_id(of.get()).one(tx.reads()).await.attempted(attempted)?;
    if let Some(pack) = first.and_then(|first| first.pack) {
        let row = delivery::ActiveModel {
            id: ActiveValue::Unchanged(rest.get()),
            pack: ActiveValue::Set(Some(pack)),
            ..Default::default()
        };
        row.update(tx.writes()?).await.attempted(attempted)?;
    }
    parts::put(tx, vec![delivery_rest::Model { delivery: rest.get(), rest_of: of.get() }]).await
}

/// Deliveries that should have come before `today` and of which that has not been noted today.
pub async fn late(tx: &Tx, today: Day) -> Result<Vec<Delivery>> {
    let rows = delivery::Entity::find()
        .filter(delivery::Column::State.eq(DeliveryState::OnItsWay.word()))
        .filter(delivery::Column::ExpectedOn.lt(today))
        .filter(
            Condition::any().add(delivery::Column::LateNotedOn.is_null()).add(delivery::Column::LateNotedOn.lt(today)),
        )
        .order_by_asc(delivery::Column::Id)
        .all(tx.reads())
        .await
        .attempted(|| "read which deliveries are late".to_owned())?;
    Ok(values(tx, rows).await?.into_iter().map(|v| v.value).collect())
}

/// Notes of each of them that it is late today: the plan counted on it, and is out of date.
pub async fn note_late(tx: &Tx, today: Day) -> Result<Vec<Delivery>> {
    let late = late(tx, today).await?;
    for delivery in &late {
        let Delivery { id, material, expected_on, .. } = delivery;
        delivery::Entity::update_many()
            .col_expr(delivery::Column::LateNotedOn, Expr::value(today))
            .filter(delivery::Column::Id.eq(id.get()))
            .exec(tx.writes()?)
            .await
            .attempted(|| format!("note that delivery {id} is late"))?;
        let detail = format!("delivery {id} of {material}, expected on {expected_on}, is late");
        marks::mark(tx, "delivery", &detail).await?;
    }
    Ok(late)
}

/// Every delivery that came on a day, by number.
pub async fn came_on(tx: &Tx, day: Day) -> Result<Vec<Delivery>> {
    let rows = delivery::Entity::find()
        .filter(delivery::Column::ArrivedOn.eq(day))
        .order_by_asc(delivery::Column::Id)
        .all(tx.reads())
        .await
        .attempted(|| format!("read what came on {day}"))?;
    Ok(values(tx, rows).await?.into_iter().map(|v| v.value).collect())
}

/// Every delivery on its way, by the day it should come.
pub async fn on_their_way(tx: &Tx) -> Result<Vec<Delivery>> {
    let rows = delivery::Entity::find()
        .filter(delivery::Column::State.eq(DeliveryState::OnItsWay.word()))
        .order_by_asc(delivery::Column::ExpectedOn)
        .order_by_asc(delivery::Column::Id)
        .all(tx.reads())
        .await
        .attempted(|| "read deliveries on their way".to_owned())?;
    Ok(values(tx, rows).await?.into_iter().map(|v| v.value).collect())
}

/// The number of the newest delivery, if there is any.
pub async fn last(tx: &Tx) -> Result<Option<DeliveryId>> {
    let newest = delivery::Entity::find().order_by_desc(delivery::Column::Id).one(tx.reads()).await;
    Ok(newest.attempted(|| "read which delivery is the newest".to_owned())?.map(|row| DeliveryId::new(row.id)))
}

/// Every delivery that came to be after a planning run's facts were read, by number: none where nobody noted what they knew.
pub async fn since(tx: &Tx, run: RunId) -> Result<Vec<Delivery>> {
    let Some(known) = runs::known_delivery(tx, run).await? else { return Ok(Vec::new()) };
    let rows = delivery::Entity::find()
        .filter(delivery::Column::Id.gt(known))
        .order_by_asc(delivery::Column::Id)
        .all(tx.reads())
        .await
        .attempted(|| format!("read what was ordered since planning run {run}"))?;
    Ok(values(tx, rows).await?.into_iter().map(|v| v.value).collect())
}

/// Every delivery there ever was, by number.
pub async fn all(tx: &Tx) -> Result<Vec<Delivery>> {
    let rows = delivery::Entity::find().order_by_asc(delivery::Column::Id).all(tx.reads()).await;
    let rows = rows.attempted(|| "read all deliveries".to_owned())?;
    Ok(values(tx, rows).await?.into_iter().map(|v| v.value).collect())
}

/// Says that it is here, and how much came. Only its state changes: the caller appends the stock entry in the same
/// transaction. [`StoreError::NotNow`] where it is here already.
pub async fn receive(
    tx: &Tx,
    id: DeliveryId,
    if_version: i64,
    arrived_on: Day,
    received: Amount,
) -> Result<Versioned<Delivery>> {
    let mut row = on_its_way(tx, id, if_version).await?;
    row.version += 1;
    row.state = DeliveryState::Here.word();
    row.arrived_on = Some(arrived_on);
    row.received = Some(received.get());
    row.said_by = tx.by();
    row.said_at = Some(moment(tx.now()));
    row.clone()
        .into_active_model()
        .reset_all()
        .update(tx.writes()?)
        .await
        .attempted(|| format!("receive delivery {id}"))?;
    let received = received.get();
    marks::mark(tx, "delivery", &format!("delivery {id} is here: {received} of {}", row.material)).await?;
    value(tx, row).await
}

/// Takes away a delivery that will not come. [`StoreError::NotNow`] where it is here already.
pub async fn cancel(tx: &Tx, id: DeliveryId, if_version: i64) -> Result<()> {
    let row = on_its_way(tx, id, if_version).await?;
    marks::mark(tx, "delivery", &format!("delivery {id} of {} was taken back", row.material)).await?;
    parts::take::<delivery_rest::Entity>(tx, delivery_rest::Column::Delivery, id.get()).await?;
    delivery::Entity::delete_by_id(id.get())
        .exec(tx.writes()?)
        .await
        .attempted(|| format!("take delivery {id} away"))?;
    Ok(())
}

async fn on_its_way(tx: &Tx, id: DeliveryId, if_version: i64) -> Result<delivery::Model> {
    let row = delivery::Entity::find_by_id(id.get())
        .one(tx.reads())
        .await
        .attempted(|| format!("read delivery {id}"))?
        .ok_or_else(|| StoreError::not_found(NOUN, id))?;
    same_version(NOUN, id, row.version, if_version)?;
    if row.state == DeliveryState::OnItsWay.word() {
        return Ok(row);
    }
    let why = "is here already: put its amount right with a stock entry".to_owned();
    Err(StoreError::NotNow { noun: NOUN, id: id.to_string(), why })
}

/// What a pack of the material holds today.
async fn pack_of(tx: &Tx, material: &str) -> Result<i64> {
    let attempted = || format!("read the pack of {material}");
    let row = material::Entity::find_by_id(material).one(tx.reads()).await.attempted(attempted)?;
    row.map(|row| row.pack).ok_or_else(|| StoreError::not_found("material", material))
}

async fn values(tx: &Tx, rows: Vec<delivery::Model>) -> Result<Vec<Versioned<Delivery>>> {
    let rests = delivery_rest::Entity::find().all(tx.reads()).await;
    let rests = rests.attempted(|| "read which deliveries are the rest of others".to_owned())?;
    let rests: BTreeMap<i64, i64> = rests.into_iter().map(|rest| (rest.delivery, rest.rest_of)).collect();
    let mut values = Vec::with_capacity(rows.len());
    for row in rows {
        let rest_of = rests.get(&row.id).copied();
        values.push(value_with(tx, row, rest_of).await?);
    }
    Ok(values)
}

async fn value(tx: &Tx, row: delivery::Model) -> Result<Versioned<Delivery>> {
    let attempted = || format!("read what delivery {} is the rest of", row.id);
    let rest = delivery_rest::Entity::find_by_id(row.id).one(tx.reads()).await.attempted(attempted)?;
    value_with(tx, row, rest.map(|rest| rest.rest_of)).await
}

/// A delivery that an earlier version of the program wrote does not say its pack: it is the material's.
async fn value_with(tx: &Tx, row: delivery::Model, rest_of: Option<i64>) -> Result<Versioned<Delivery>> {
    let pack = match row.pack {
        Some(pack) => pack,
        None => pack_of(tx, &row.material).await?,
    };
    let value = Delivery {
        id: DeliveryId::new(row.id),
        material: material_id(&row.material)?,
        packs: row.packs,
        pack: Amount::new(pack),
        expected_on: row.expected_on,
        state: DeliveryState::of(&row.state)?,
        arrived_on: row.arrived_on,
        received: row.received.map(Amount::new),
        rest_of: rest_of.map(DeliveryId::new),
        said: Said { by: row.said_by, at: row.said_at },
    };
    Ok(Versioned { version: row.version, value })
}
