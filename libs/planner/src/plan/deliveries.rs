//! What to order of one material, and when: the cheapest whole packs that keep the floor and the room in store.
//!
//! Keeping stock costs nothing, so without a limit of the store one delivery is as good as any number: it comes on the first
//! day that needs it, and how large it is best made is tried at every price break. With a limit of the store, packs arrived
//! so far are the state of a dynamic programme over days (Wagner and Whitin, Dynamic version of the economic lot size
//! model, 1958, widened to packs, price breaks and a store); it is exact except that the cap on savings is applied at the end,
//! with savings counted and not.

use crate::problem::{DayIx, Material};

/// Most (day, packs so far) states of the dynamic programme; beyond it a plain top-up rule orders.
const MOST_STATES: usize = 400_000;

/// Packs by working day, and the money of charges less savings.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Orders {
    /// Day and packs, in order.
    pub packs: Vec<(DayIx, i64)>,
    /// Charges less savings, minor units.
    pub cost: f64,
}

/// The cheapest deliveries for what is drawn by day, or by how much which day falls short at the least.
pub(crate) fn order_packs(material: &Material, drawn: &[f64]) -> Result<Orders, (DayIx, f64)> {
    let need = needs(material, drawn)?;
    let total = need.last().copied().unwrap_or(0);
    let cap = savings_cap(material, drawn);
    match material.store_max {
        None => Ok(one_delivery(material, &need, total, cap)),
        Some(most) => with_store(material, drawn, &need, most, cap),
    }
}

/// Most that price breaks may save: packs nobody uses save nothing.
fn savings_cap(material: &Material, drawn: &[f64]) -> f64 {
    drawn.iter().sum::<f64>() / material.pack * (material.pack_price - material.lowest_price())
}

/// Packs that have to be here by each day.
fn needs(material: &Material, drawn: &[f64]) -> Result<Vec<i64>, (DayIx, f64)> {
    let (mut need, mut gone, mut most) = (Vec::with_capacity(drawn.len()), 0.0, 0);
    for (day, draw) in drawn.iter().enumerate() {
        gone += draw;
        let missing = material.floor - (material.arrived[day] - gone);
        if *draw > 0.0 && missing > 5e-7 {
            if day < material.lead {
                return Err((day, missing));
            }
            most = most.max(((missing - 5e-7) / material.pack).ceil() as i64);
        }
        need.push(most);
    }
    Ok(need)
}

fn saved(material: &Material, packs: i64) -> f64 {
    packs as f64 * (material.pack_price - material.price_of(packs))
}

fn money(material: &Material, packs: &[(DayIx, i64)], cap: f64) -> f64 {
    let saving: f64 = packs.iter().map(|(_, packs)| saved(material, *packs)).sum();
    packs.len() as f64 * material.delivery_charge - saving.min(cap)
}

fn one_delivery(material: &Material, need: &[i64], total: i64, cap: f64) -> Orders {
    let first = need.iter().position(|packs| *packs > 0).unwrap_or(material.lead);
    let mut sizes = vec![total];
    for (from, price) in &material.price_breaks {
        sizes.push(total.max(*from));
        let saving = material.pack_price - price;
        if saving > 0.0 {
            sizes.push(total.max(*from).max((cap / saving - 1e-9).ceil() as i64));
        }
    }
    sizes.sort_unstable();
    let orders = sizes.into_iter().map(|packs| {
        let row = if packs > 0 && first < need.len() { vec![(first, packs)] } else { Vec::new() };
        Orders { cost: money(material, &row, cap), packs: row }
    });
    orders.reduce(cheaper).unwrap_or(Orders { packs: Vec::new(), cost: 0.0 })
}

/// The cheaper of two; the first where they cost the same.
fn cheaper(a: Orders, b: Orders) -> Orders {
    if b.cost < a.cost - 1e-9 { b } else { a }
}

fn with_store(material: &Material, drawn: &[f64], need: &[i64], most: f64, cap: f64) -> Result<Orders, (DayIx, f64)> {
    // Packs that may be here after a delivery on each day.
    let mut gone = 0.0;
    let room: Vec<i64> = (0..drawn.len())
        .map(|day| {
            let before = material.arrived[day] - gone;
            gone += drawn[day];
            (((most - before) / material.pack + 1e-9).floor() as i64).max(-1)
        })
        .collect();
    let total = need.last().copied().unwrap_or(0).max(0);
    if total == 0 {
        return Ok(Orders { packs: Vec::new(), cost: 0.0 });
    }
    let topped = top_up(material, need, &room)?;
    let topped = Orders { cost: money(material, &topped, cap), packs: topped };
    if drawn.len() * (total as usize + 1) > MOST_STATES {
        return Ok(topped);
    }
    let tried = [true, false].map(|savings| {
        let packs = programme(material, need, &room, total, savings);
        Orders { cost: money(material, &packs, cap), packs }
    });
    Ok(tried.into_iter().fold(topped, cheaper))
}

/// As late as may be, each time as much as fits and is ever needed.
fn top_up(material: &Material, need: &[i64], room: &[i64]) -> Result<Vec<(DayIx, i64)>, (DayIx, f64)> {
    let (mut here, mut packs) = (0, Vec::new());
    let total = need.last().copied().unwrap_or(0);
    for day in material.lead..need.len() {
        // Is it needed today, or will the store have no room again before it is?
        let wanted = (day + 1..need.len()).take_while(|later| room[*later] <= here).map(|later| need[later]).max();
        let wanted = wanted.unwrap_or(0).max(need[day]);
        if wanted > here {
            let upto = total.min(room[day]);
            if upto > here {
                packs.push((day, upto - here));
                here = upto;
            }
        }
        if need[day] > here {
            return Err((day, (need[day] - here) as f64 * material.pack));
        }
    }
    Ok(packs)
}

/// The dynamic programme: least (charges − savings) with so many packs here after so many days.
fn programme(material: &Material, need: &[i64], room: &[i64], total: i64, savings: bool) -> Vec<(DayIx, i64)> {
    let (days, width) = (need.len(), total as usize + 1);
    let price = |packs: i64| material.delivery_charge - if savings { saved(material, packs) } else { 0.0 };
    let mut least = vec![f64::INFINITY; width];
    least[0] = 0.0;
    let mut came = vec![0u32; days * width];
    for day in 0..days {
        let before = least.clone();
        for here in 0..width {
            if day >= material.lead && here as i64 <= room[day] {
                for (from, before) in before.iter().enumerate().take(here) {
                    let cost = before + price((here - from) as i64);
                    if cost < least[here] - 1e-9 {
                        least[here] = cost;
                        came[day * width + here] = (here - from) as u32;
                    }
                }
            }
            if (here as i64) < need[day] {
                least[here] = f64::INFINITY;
            }
        }
    }
    let (mut here, mut packs) = (width - 1, Vec::new());
    for day in (0..days).rev() {
        let came = came[day * width + here] as usize;
        if came > 0 {
            packs.push((day, came as i64));
            here -= came;
        }
    }
    packs.reverse();
    packs
}
