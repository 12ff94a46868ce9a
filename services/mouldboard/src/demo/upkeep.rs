//! Upkeep of the invented workshop's tanks and rack: common practice, no source.

use chrono::NaiveDate as Day;
use quantities::Minutes;
use workshop::ids::{RackId, TankId, UpkeepTaskId};
use workshop::upkeep::{Measure, Place, UpkeepTask};

use super::{TODAY, day};

/// One row of the table: id, name, tank or rack, every so many days, the first day, minutes, how and why.
type Row = (&'static str, &'static str, &'static str, i64, Day, i64, &'static str);

const RACK: &str = "drying-rack";

#[rustfmt::skip]
const TASKS: [Row; 6] = [
    ("cover", "Panels held down and fully covered", "big-tank", 1, TODAY, 3, "light panels float; what stands out of the water dries and cracks (common practice, no source)"),
    ("water-level", "Water level", "big-tank", 1, TODAY, 2, "fill up to two fingers above the highest panel (common practice, no source)"),
    ("water-temperature", "Temperature of the water", "big-tank", 1, TODAY, 1, "panels soak slower in cold water (common practice, no source)"),
    ("change-of-water", "Change the water", "big-tank", 28, day(2026, 3, 13), 40, "tank water is strongly alkaline: gloves and eye protection; not into drains or soil (common practice, no source)"),
    ("turn", "Turn the panels", RACK, 3, TODAY, 10, "both faces dry alike, and panels warp less (common practice, no source)"),
    ("open-the-cover", "Open the cover a hand more", RACK, 1, TODAY, 2, "slow at first, so that the faces do not craze (common practice, no source)"),
];

/// Six tasks.
pub fn tasks() -> anyhow::Result<Vec<UpkeepTask>> {
    TASKS.iter().map(task).collect()
}

fn task((id, name, place, every_days, first_on, minutes, note): &Row) -> anyhow::Result<UpkeepTask> {
    let measures = (*id == "water-temperature").then(|| Measure {
        what: "temperature of the water".into(),
        unit: "°C".into(),
        low: Some(10.0),
        high: Some(25.0),
    });
    Ok(UpkeepTask {
        id: UpkeepTaskId::parse(id)?,
        name: (*name).into(),
        place: if *place == RACK { Place::Rack(RackId::parse(place)?) } else { Place::Tank(TankId::parse(place)?) },
        every_days: *every_days,
        first_on: *first_on,
        last_on: None,
        minutes: Minutes::new(*minutes),
        measures,
        note: Some((*note).into()),
    })
}
