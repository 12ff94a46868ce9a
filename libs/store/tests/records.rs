//! Nouns that are kept as a whole: there and back, by version, and never half referred to.

#![allow(clippy::unwrap_used, reason = "only tests use it")]

mod common;

use std::fmt::Debug;

use common::*;
use store::{Record, Store, StoreError, Versioned, orders, site};
use testkit::databases::each_database;
use workshop::catalogue::{
    Finish, Material, MaterialKind, Mix, MixRevision, MouldGroup, Panel, PanelSet, Rack, RevisionState, StockUnit,
    Supply, Tank,
};
use workshop::ids::{FinishId, MouldGroupId, PanelId, SetId, TankId};
use workshop::orders::{Item, Order, OrderState};
use workshop::site::{CalendarDay, DayWork};

/// Written, read in each way, changed, refused at an old version, and taken away where nothing uses it.
async fn there_and_back<R>(store: &Store, id: R::Id, old: R, new: R)
where
    R: Record + PartialEq + Debug,
{
    let tx = store.write().await.unwrap();
    let found = R::find(&tx, &id).await.unwrap().expect("furnished");
    assert_eq!(found, Versioned { version: 1, value: old });
    assert!(matches!(R::insert(&tx, &new).await, Err(StoreError::Exists { .. })));
    let changed = R::replace(&tx, &new, 1).await.unwrap();
    assert_eq!(changed.version, 2);
    assert_eq!(R::find(&tx, &id).await.unwrap().unwrap(), changed);
    assert!(R::page(&tx, None, 100).await.unwrap().contains(&changed));
    assert!(R::page(&tx, Some(&id), 100).await.unwrap().iter().all(|v| v.value != new));
    assert!(R::all(&tx).await.unwrap().contains(&new));
    assert!(matches!(R::replace(&tx, &new, 1).await, Err(StoreError::Stale { current: 2, .. })));
    assert!(matches!(R::remove(&tx, &id, 1).await, Err(StoreError::Stale { current: 2, .. })));
    tx.commit().await.unwrap();
}

#[tokio::test]
async fn every_noun_comes_back_as_it_was_written() {
    each_database(async |store| {
        furnish(&store).await;
        let mut other = cement();
        other.price_breaks.remove(0);
        other.relative_density = None;
        other.store_max = None;
        other.kind = MaterialKind::BlendedCement;
        there_and_back(&store, cement().id, cement(), other).await;
        there_and_back(&store, finish().id, finish(), Finish { name: "Grey".to_owned(), ..finish() }).await;
        there_and_back(&store, mix().id, mix(), Mix { name: "Foam".to_owned(), ..mix() }).await;
        let in_use = MixRevision { state: RevisionState::InUse, reason: Some("trial 3".to_owned()), ..revision(1) };
        there_and_back(&store, revision_id(1), revision(1), in_use).await;
        let group = MouldGroup { moulds: 9, out_of_service: vec![], ..mould_group() };
        there_and_back(&store, mould_group().id, mould_group(), group).await;
        there_and_back(&store, tank().id, tank(), Tank { name: "N".to_owned(), ..tank() }).await;
        there_and_back(&store, rack().id, rack(), Rack { name: "L".to_owned(), ..rack() }).await;
        let bare = Panel { suits: vec![], tanks: vec![], per_panel: vec![], pass_rate: None, ..panel() };
        there_and_back(&store, panel().id, panel(), bare).await;
        there_and_back(&store, set().id, set(), PanelSet { hardware: vec![], ..set() }).await;
        let mut later = order("TH-1");
        later.lines.reverse();
        later.customer = None;
        later.promised_on = None;
        there_and_back(&store, later.id.clone(), order("TH-1"), later).await;
    })
    .await;
}

#[tokio::test]
async fn every_kind_unit_and_supply_can_be_written() {
    use MaterialKind::*;
    let kinds = [
        PortlandCement,
        BlendedCement,
        RapidCement,
        Water,
        Aggregate,
        LightweightAggregate,
        FoamingConcentrate,
        Fibre,
        Pigment,
        Admixture,
        Mesh,
        Hardware,
        ReleaseOil,
    ];
    let units = [StockUnit::Gram, StockUnit::Millilitre, StockUnit::SquareMillimetre, StockUnit::Piece];
    let supplies = [Supply::Bought, Supply::NotSold, Supply::Mains];
    each_database(async |store| {
        let tx = store.write().await.unwrap();
        for (index, kind) in kinds.into_iter().enumerate() {
            let id = format!("m{index}");
            let material = plain_material(&id, kind, units[index % units.len()], supplies[index % supplies.len()]);
            Material::insert(&tx, &material).await.unwrap();
            assert_eq!(Material::find(&tx, &material.id).await.unwrap().unwrap().value, material);
        }
    })
    .await;
}

#[tokio::test]
async fn the_calendar_and_the_workshop_come_back() {
    each_database(async |store| {
        let tx = store.write().await.unwrap();
        assert_eq!(site::get(&tx).await.unwrap(), None);
        assert!(matches!(site::put(&tx, &workshop(), Some(1)).await, Err(StoreError::NotFound { .. })));
        assert_eq!(site::put(&tx, &workshop(), None).await.unwrap().version, 1);
        assert!(matches!(site::put(&tx, &workshop(), None).await, Err(StoreError::Exists { .. })));
        let mut other = workshop();
        other.working_weekdays.reverse();
        other.policy.evaluations = None;
        assert_eq!(site::put(&tx, &other, Some(1)).await.unwrap().version, 2);
        assert!(matches!(site::put(&tx, &other, Some(1)).await, Err(StoreError::Stale { current: 2, .. })));
        assert_eq!(site::get(&tx).await.unwrap().unwrap().value, other);

        for (text, work) in
            [("2026-05-01", DayWork::Closed), ("2026-05-02", DayWork::Worked), ("2025-12-31", DayWork::Usual)]
        {
            let said = CalendarDay { day: day(text), work, labour_minutes: None, air_c: Some(-3.5), note: None };
            CalendarDay::insert(&tx, &said).await.unwrap();
            assert_eq!(CalendarDay::find(&tx, &said.day).await.unwrap().unwrap().value, said);
        }
        let days: Vec<_> = CalendarDay::all(&tx).await.unwrap().into_iter().map(|d| d.day).collect();
        assert_eq!(days, [day("2025-12-31"), day("2026-05-01"), day("2026-05-02")]);
        CalendarDay::remove(&tx, &day("2026-05-01"), 1).await.unwrap();
        assert_eq!(CalendarDay::find(&tx, &day("2026-05-01")).await.unwrap(), None);
    })
    .await;
}

#[tokio::test]
async fn all_that_is_missing_is_named_at_once() {
    each_database(async |store| {
        let tx = store.write().await.unwrap();
        let mut wanting = panel();
        wanting.tanks = vec![tank().id, TankId::parse("south-tank").unwrap()];
        let Err(StoreError::Missing(missing)) = Panel::insert(&tx, &wanting).await else { panic!("nothing is there") };
        let ids: Vec<_> = missing.iter().map(|(noun, id)| format!("{noun} {id}")).collect();
        assert_eq!(
            ids,
            [
                "material mesh",
                "mix revision foamed-grey@1",
                "mould group side-moulds",
                "tank north-tank",
                "tank south-tank"
            ]
        );
        let Err(StoreError::Missing(missing)) = Order::insert(&tx, &order("TH-9")).await else { panic!() };
        assert_eq!(missing.len(), 3, "the finish once, the set and the panel: {missing:?}");
        assert_eq!(Panel::find(&tx, &wanting.id).await.unwrap(), None, "nothing half done");
    })
    .await;
}

#[tokio::test]
async fn what_is_in_use_stays_and_its_users_are_named() {
    each_database(async |store| {
        furnish(&store).await;
        let tx = store.write().await.unwrap();
        let by = |error: Result<(), StoreError>| match error {
            Err(StoreError::InUse { by, .. }) => by,
            other => panic!("{other:?}"),
        };
        assert_eq!(by(Material::remove(&tx, &cement().id, 1).await), "mix revision foamed-grey@1");
        assert_eq!(by(Finish::remove(&tx, &finish().id, 1).await), "mix foamed-grey; order TH-1");
        assert_eq!(by(Mix::remove(&tx, &mix().id, 1).await), "mix revision foamed-grey@1");
        assert_eq!(by(MixRevision::remove(&tx, &revision_id(1), 1).await), "panel side-900");
        assert_eq!(by(MouldGroup::remove(&tx, &mould_group().id, 1).await), "panel side-900");
        assert_eq!(by(Tank::remove(&tx, &tank().id, 1).await), "panel side-900");
        assert_eq!(by(Panel::remove(&tx, &panel().id, 1).await), "set bed-900; order TH-1");
        assert_eq!(by(PanelSet::remove(&tx, &set().id, 1).await), "order TH-1");
        Order::remove(&tx, &order("TH-1").id, 1).await.unwrap();
        PanelSet::remove(&tx, &set().id, 1).await.unwrap();
        Panel::remove(&tx, &panel().id, 1).await.unwrap();
        Rack::remove(&tx, &rack().id, 1).await.unwrap();
        assert!(matches!(Rack::remove(&tx, &rack().id, 1).await, Err(StoreError::NotFound { .. })));
        tx.commit().await.unwrap();
    })
    .await;
}

#[tokio::test]
async fn a_revision_keeps_its_numbers_and_a_material_in_use_its_unit() {
    each_database(async |store| {
        furnish(&store).await;
        let tx = store.write().await.unwrap();
        let drier = MixRevision { soak_days: 4, ..revision(1) };
        assert!(matches!(MixRevision::replace(&tx, &drier, 1).await, Err(StoreError::Immutable { .. })));
        let mut richer = revision(1);
        richer.ingredients[1].kg_m3 = 401.0;
        assert!(matches!(MixRevision::replace(&tx, &richer, 1).await, Err(StoreError::Immutable { .. })));
        let by_volume = Material { unit: StockUnit::Millilitre, ..cement() };
        assert!(matches!(Material::replace(&tx, &by_volume, 1).await, Err(StoreError::Immutable { .. })));
    })
    .await;
}

#[tokio::test]
async fn pages_go_by_id_the_same_on_both_databases() {
    each_database(async |store| {
        furnish(&store).await;
        let tx = store.write().await.unwrap();
        for number in 2..=11 {
            MixRevision::insert(&tx, &revision(number)).await.unwrap();
        }
        let page = MixRevision::page(&tx, Some(&revision_id(2)), 9).await.unwrap();
        let numbers: Vec<_> = page.iter().map(|v| v.value.id.number).collect();
        assert_eq!(numbers, [3, 4, 5, 6, 7, 8, 9, 10, 11], "by number, not by its letters");

        for id in ["b", "B", "a-1", "A", "a_1", "a.1", "a1"] {
            Finish::insert(&tx, &Finish { id: FinishId::parse(id).unwrap(), name: id.to_owned(), darkness: 50 })
                .await
                .unwrap();
        }
        let mut seen = Vec::new();
        let mut after = None;
        loop {
            let page = Finish::page(&tx, after.as_ref(), 3).await.unwrap();
            let Some(last) = page.last() else { break };
            after = Some(last.value.id.clone());
            seen.extend(page.into_iter().map(|v| v.value.id.to_string()));
        }
        assert_eq!(seen, ["A", "B", "a-1", "a.1", "a1", "a_1", "b", "grey-smooth"]);
    })
    .await;
}

#[tokio::test]
async fn orders_are_found_by_state() {
    each_database(async |store| {
        furnish(&store).await;
        let tx = store.write().await.unwrap();
        let states =
            [(2, OrderState::Open), (3, OrderState::Dispatched), (4, OrderState::Withdrawn), (5, OrderState::Open)];
        for (number, state) in states {
            Order::insert(&tx, &Order { state, ..order(&format!("TH-{number}")) }).await.unwrap();
        }
        let ids = |orders: Vec<Order>| orders.into_iter().map(|o| o.id.to_string()).collect::<Vec<_>>();
        assert_eq!(ids(orders::open(&tx).await.unwrap()), ["TH-1", "TH-2", "TH-5"]);
        let page = orders::page_by_state(&tx, Some(OrderState::Open), Some(&order("TH-1").id), 1).await.unwrap();
        assert_eq!(ids(page.into_iter().map(|v| v.value).collect()), ["TH-2"]);
        assert_eq!(orders::page_by_state(&tx, None, None, 10).await.unwrap().len(), 5);
    })
    .await;
}

#[tokio::test]
async fn the_schema_refuses_what_no_row_may_hold() {
    each_database(async |store| {
        furnish(&store).await;
        let refused = async |what: &str, value: Order| {
            let tx = store.write().await.unwrap();
            let said = Order::insert(&tx, &value).await;
            assert!(matches!(said, Err(StoreError::Refused { rule: store::Rule::Range, .. })), "{what}: {said:?}");
        };
        let mut none = order("TH-2");
        none.lines[0].quantity = 0;
        refused("quantity 0", none).await;
        let mut many = order("TH-3");
        many.lines[0].quantity = 10_001;
        refused("quantity 10,001", many).await;
        let tx = store.write().await.unwrap();
        let group = MouldGroup { id: MouldGroupId::parse("x").unwrap(), moulds: -1, ..mould_group() };
        assert!(matches!(MouldGroup::insert(&tx, &group).await, Err(StoreError::Refused { .. })));
        tx.rollback().await.unwrap();
        let tx = store.read().await.unwrap();
        assert!(matches!(Finish::insert(&tx, &finish()).await, Err(StoreError::ReadOnly(_))));
        let unknown = SetId::parse("no-such").unwrap();
        assert_eq!(PanelSet::find(&tx, &unknown).await.unwrap(), None);
        assert_eq!(Panel::find(&tx, &PanelId::parse("no-such").unwrap()).await.unwrap(), None);
        assert!(matches!(order("x").lines[0].item, Item::Set(_)));
    })
    .await;
}
