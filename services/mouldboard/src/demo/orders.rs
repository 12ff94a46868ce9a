//! The invented workshop's open orders. Customers are invented too.

use chrono::Days;
use workshop::ids::{FinishId, OrderId, PanelId, SetId};
use workshop::orders::{Item, Order, OrderLine, OrderState, Priority};

use super::TODAY;

/// One order: reference, customer, days from today to the due day, priority, then lines of (item, finish, how many).
type Row = (&'static str, &'static str, u64, Priority, &'static [(&'static str, &'static str, i64)]);

#[rustfmt::skip]
const ROWS: [Row; 30] = {
    use Priority::*;
    [
        ("TH-1001", "Larkfield Allotments",        4, Usual, &[("bed-900x600", "grey", 2)]),
        ("TH-1002", "Brindle Lane School",         9, High,  &[("bed-1200x600", "grey", 3)]),
        ("TH-1003", "Quillstone Cottage",         14, Usual, &[("planter-450", "charcoal", 2)]),
        ("TH-1004", "Mossgate Nursery",          22, Usual, &[("bed-1200x600", "stone", 4)]),
        ("TH-1005", "The Old Ropewalk Cafe",      21, High,  &[("screen-900", "charcoal", 3)]),
        ("TH-1006", "Fennimore Terrace",          24, Low,   &[("bed-900x600", "grey", 1)]),
        ("TH-1007", "Copper Beech House",         28, Usual, &[("planter-450", "grey", 3), ("edging-run", "grey", 1)]),
        ("TH-1008", "Wrenbury Growers",           32, Usual, &[("bed-1200x600", "grey", 4)]),
        ("TH-1009", "Hollin Bank Surgery",        34, High,  &[("planter-450", "stone", 2)]),
        ("TH-1010", "Tansy Court Residents",      36, Usual, &[("bed-900x600", "charcoal", 3)]),
        ("TH-1011", "Ardle Vale Parish",          38, Usual, &[("edging-run", "stone", 4)]),
        ("TH-1012", "Sedgemere Community Garden", 40, High,  &[("bed-1200x600", "grey", 5)]),
        ("TH-1013", "Saltmarsh Pottery",          42, Low,   &[("screen-900", "grey", 4)]),
        ("TH-1014", "Juniper Yard",               44, Usual, &[("planter-450", "charcoal", 3)]),
        ("TH-1015", "Harrow Hill Allotments",     46, Usual, &[("bed-900x600", "grey", 4)]),
        ("TH-1016", "Peverell Lodge",             48, Usual, &[("bed-1200x600", "charcoal", 2), ("edging-run", "charcoal", 1)]),
        ("TH-1017", "Gorse Lane Infants",         49, High,  &[("planter-450", "grey", 4)]),
        ("TH-1018", "Marram Bay Hotel",           50, High,  &[("screen-900", "charcoal", 4)]),
        ("TH-1019", "Oxlip Close",                52, Low,   &[("edging-run", "grey", 3)]),
        ("TH-1020", "Dunnock Farm Shop",          54, Usual, &[("bed-900x600", "stone", 2)]),
        ("TH-1021", "Vetch Field Trust",          56, Usual, &[("bed-1200x600", "grey", 4)]),
        ("TH-1022", "Tollgate Mews",              58, Usual, &[("planter-450", "charcoal", 2), ("screen-900", "charcoal", 1)]),
        ("TH-1023", "Alder Row",                  60, Usual, &[("bed-900x600", "grey", 3)]),
        ("TH-1024", "Pipistrelle House",          63, Usual, &[("planter-450", "grey", 4), ("bed-900x600", "grey", 1)]),
        ("TH-1025", "Kestrel Point Care Home",    66, High,  &[("bed-1200x600", "stone", 3)]),
        ("TH-1026", "Bramble Patch Playgroup",    70, Usual, &[("edging-run", "grey", 3)]),
        ("TH-1027", "Lower Stile Smallholding",   74, Low,   &[("bed-1200x600", "grey", 5)]),
        ("TH-1028", "Candlewick Gallery",         78, Usual, &[("screen-900", "grey", 3)]),
        ("TH-1029", "Rookery Garden Society",     84, Usual, &[("bed-900x600", "grey", 5)]),
        ("TH-1030", "Skylark Crescent",           89, Usual, &[("planter-450", "grey", 5)]),
    ]
};

/// Thirty open orders.
pub fn orders() -> anyhow::Result<Vec<Order>> {
    ROWS.iter().map(order).collect()
}

fn order((id, customer, after, priority, lines): &Row) -> anyhow::Result<Order> {
    let lines = lines.iter().map(|(item, finish, quantity)| {
        let item = match *item {
            "screen-900" => Item::Panel(PanelId::parse(item)?),
            set => Item::Set(SetId::parse(set)?),
        };
        anyhow::Ok(OrderLine { item, finish: FinishId::parse(finish)?, quantity: *quantity })
    });
    Ok(Order {
        id: OrderId::parse(id)?,
        customer: Some((*customer).to_owned()),
        due_on: TODAY + Days::new(*after),
        promised_on: None,
        priority: *priority,
        state: OrderState::Open,
        lines: lines.collect::<anyhow::Result<_>>()?,
        note: None,
        parts_agreed: *id == "TH-1001",
    })
}
