//! Tables of what is on record: stock, deliveries, lots, trials, and the catalogue as the imports take it.

use actix_web::web::Query;
use feeds::table::Table;
use feeds::{catalogue, ledger};
use store::{Record, Tx};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::{Material, MouldGroup, Panel, Supply};
use workshop::ids::MaterialId;
use workshop::lots::Stage;
use workshop::trials::Trial;

use super::lots::LotFilter;
use super::stock::EntryFilter;
use crate::http::problem::Problem;
use crate::http::pull::feed;
use crate::state::State;

/// All rows there are: none is left out unsaid. A workbook whose sheet cannot hold them is refused, with the way to take them.
pub(super) const MOST: u64 = i64::MAX as u64;

async fn units(tx: &Tx) -> Result<ledger::Units, Problem> {
    Ok(Material::all(tx).await?.into_iter().map(|m| (m.id, m.unit)).collect())
}

async fn on_hand(_: &State, tx: &Tx) -> Result<Vec<Table>, Problem> {
    let mut materials = Material::all(tx).await?;
    materials.retain(|m| m.supply != Supply::Mains);
    Ok(vec![ledger::on_hand(&materials, &store::stock::on_hand(tx).await?)])
}

async fn count_sheet(state: &State, tx: &Tx) -> Result<Vec<Table>, Problem> {
    let mut materials = Material::all(tx).await?;
    materials.retain(|m| m.supply != Supply::Mains);
    Ok(vec![ledger::count_sheet(&materials, &store::stock::on_hand(tx).await?, state.today(tx).await?)])
}

async fn entries(_: &State, tx: &Tx, filter: &Query<EntryFilter>) -> Result<Vec<Table>, Problem> {
    let material = filter.material.as_deref().and_then(|text| MaterialId::parse(text).ok());
    let entries = store::stock::page(tx, material.as_ref(), None, MOST).await?;
    Ok(vec![ledger::entries(&entries, &units(tx).await?)])
}

async fn deliveries(_: &State, tx: &Tx) -> Result<Vec<Table>, Problem> {
    let found = store::deliveries::page(tx, None, None, MOST).await?;
    let found: Vec<_> = found.into_iter().map(|v| v.value).collect();
    let referred = store::deliveries::referred(tx).await?.into_iter().map(|(reference, id)| (id, reference));
    Ok(vec![ledger::deliveries(&found, &units(tx).await?, &referred.collect())])
}

async fn lots(_: &State, tx: &Tx, filter: &Query<LotFilter>) -> Result<Vec<Table>, Problem> {
    let found = store::lots::page(tx, filter.stage.map(Stage::from), None, MOST).await?;
    Ok(vec![feeds::lots::table(found.iter().map(|v| &v.value))])
}

async fn trials(_: &State, tx: &Tx) -> Result<Vec<Table>, Problem> {
    Ok(vec![feeds::trials::table(&Trial::all(tx).await?)])
}

async fn materials(_: &State, tx: &Tx) -> Result<Vec<Table>, Problem> {
    Ok(vec![catalogue::materials(&Material::all(tx).await?)])
}

async fn mould_groups(_: &State, tx: &Tx) -> Result<Vec<Table>, Problem> {
    Ok(vec![catalogue::mould_groups(&MouldGroup::all(tx).await?)])
}

async fn panels(_: &State, tx: &Tx) -> Result<Vec<Table>, Problem> {
    Ok(vec![catalogue::panels(&Panel::all(tx).await?, &units(tx).await?)])
}

feed!(
    /// What is on hand.
    stock, tag: "stock", csv: "/stock.csv", xlsx: "/stock.xlsx", summary: "What is on hand", about: "One row for each counted material.",
    example: "material,name,unit,on_hand_in_unit,floor_in_unit,below_floor\r\ncement,Portland cement 42.5,g,412500,25000,no\r\n",
    params: [], args: (), tables: on_hand,
);
feed!(
    /// A sheet to count with.
    stock_counts, tag: "stock", csv: "/stock/counts.csv", xlsx: "/stock/counts.xlsx", summary: "A sheet to count stock with",
    about: "One row for each counted material, with room for what is found; the import takes the same columns.",
    example: "material,name,unit,on_hand_in_unit,counted_in_unit,day,note\r\ncement,Portland cement 42.5,g,412500,,2026-05-04,\r\n",
    params: [], args: (), tables: count_sheet,
);
feed!(
    /// The ledger.
    stock_entries, tag: "stock", csv: "/stock/entries.csv", xlsx: "/stock/entries.xlsx", summary: "The ledger",
    about: "One row for each line, in the order it was written.",
    example: "entry,material,unit,day,kind,amount_in_unit,counted_in_unit,balance_in_unit,ticket,delivery,counters_entry,note,written_at_utc\r\n1,cement,g,2026-05-04,received,500000,,500000,,4,,,2026-05-04T08:12:00Z\r\n",
    params: [EntryFilter,], args: (filter: Query<EntryFilter>), tables: entries,
);
feed!(
    /// Deliveries.
    all_deliveries, tag: "deliveries", csv: "/deliveries.csv", xlsx: "/deliveries.xlsx", summary: "All deliveries",
    about: "In the order they were made.",
    example: "delivery,material,unit,quantity_packs,expected_on,state,arrived_on,received_in_unit,reference\r\n4,cement,g,20,2026-05-04,here,2026-05-04,500000,\r\n",
    params: [], args: (), tables: deliveries,
);
feed!(
    /// Lots.
    all_lots, tag: "lots", csv: "/lots.csv", xlsx: "/lots.xlsx", summary: "Lots", about: "In the order they came to be; 0 panels where all have gone on.",
    example: "lot,panel,mix,finish,poured_on,ticket,stage,since,quantity_panels,tank,rack\r\n12,bed-side-900,foamed-grey@2,grey-smooth,2026-05-04,2026-05-04-01,soaking,2026-05-05,6,north-tank,\r\n",
    params: [LotFilter,], args: (filter: Query<LotFilter>), tables: lots,
);
feed!(
    /// Trials.
    all_trials, tag: "trials", csv: "/trials.csv", xlsx: "/trials.xlsx", summary: "All trials", about: "One row for each finding.",
    example: "trial,mix,mixed_on,by,batch_volume_l,wet_density_kg_m3,wear_loss_g,warp_mm,cracks,finding,material,panel,state,age_days,mass_g,density_kg_m3,strength_mpa,note,photos\r\n",
    params: [], args: (), tables: trials,
);
feed!(
    /// Materials.
    all_materials, tag: "materials", csv: "/materials.csv", xlsx: "/materials.xlsx", summary: "All materials",
    about: "One row for each, and one more for each further price break.",
    example: "material,name,kind,unit,relative_density,supply,floor_in_unit,pack_in_unit,pack_price_minor,lead_days,delivery_charge_minor,store_max_in_unit,break_from_packs,break_pack_price_minor\r\ncement,Portland cement 42.5,portland_cement,g,3.1500,bought,25000,25000,495,3,1500,1000000,20,455\r\n",
    params: [], args: (), tables: materials,
);
feed!(
    /// Mould groups.
    all_mould_groups, tag: "mould groups", csv: "/mould-groups.csv", xlsx: "/mould-groups.xlsx", summary: "All mould groups",
    about: "One row for each, and one more for each further time some are out of service.",
    example: "mould_group,name,moulds,turnaround_days,out_from,out_to,out_moulds,out_reason,life_uses,out_which\r\nside-moulds,Side moulds 900,8,1,,,,,,\r\n",
    params: [], args: (), tables: mould_groups,
);
feed!(
    /// Panels.
    all_panels, tag: "panels", csv: "/panels.csv", xlsx: "/panels.xlsx", summary: "All panels",
    about: "One row for each, and one more for each further mix that suits it, tank it fits or material drawn with it.",
    example: "panel,name,length_mm,height_mm,thickness_mm,voids_ml,mould_group,pour_min,strip_min,lift_min,suits_mix,suits_reason,tank,per_panel_material,per_panel_in_unit,pass_rate\r\n",
    params: [], args: (), tables: panels,
);

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    stock::configure(service);
    stock_counts::configure(service);
    stock_entries::configure(service);
    all_deliveries::configure(service);
    all_lots::configure(service);
    all_trials::configure(service);
    all_materials::configure(service);
    all_mould_groups::configure(service);
    all_panels::configure(service);
}
