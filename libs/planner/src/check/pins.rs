//! Rule of the pours: the panel takes the mix, the mix may be poured that day, and what is pinned is poured exactly.

use std::collections::BTreeMap;

use super::sheet::{Count, Sheet};
use super::{Broken, Rule, tell};

pub(super) fn check(sheet: &Sheet, broken: &mut Vec<Broken>) {
    for (day, pour) in &sheet.pours {
        let place = format!("{} in {} on {}", pour.panel, pour.mix, sheet.days[*day]);
        if !sheet.panels[pour.panel.as_str()].mixes.contains(&pour.mix) {
            tell(broken, Rule::Pours, &place, "this panel does not take this mix");
        }
        if sheet.mixes[pour.mix.as_str()].not_on.contains(&sheet.days[*day]) {
            tell(broken, Rule::Pours, &place, "this mix may not be poured on that day");
        }
    }
    let poured = sheet.poured();
    let mut pins = BTreeMap::new();
    for pin in &sheet.facts.pinned {
        *pins.entry((pin.day, pin.panel.as_str(), pin.mix.as_str())).or_insert(0) += Count::from(pin.quantity);
    }
    for ((day, panel, mix), wanted) in pins {
        let found = sheet.index(day).and_then(|at| poured.get(&(panel, mix)).map(|counts| counts[at])).unwrap_or(0);
        if found != wanted {
            let sentence = format!("{wanted} are pinned, {found} are poured");
            tell(broken, Rule::Pours, format!("{panel} in {mix} on {day}"), sentence);
        }
    }
}
