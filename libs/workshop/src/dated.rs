//! Dated stock: which delivery each gram came with. Materials are used oldest first; a count or an adjustment that adds has
//! no delivery, and still its day.

use std::collections::{BTreeMap, VecDeque};

use chrono::NaiveDate as Day;

use crate::catalogue::Material;
use crate::ids::{DeliveryId, MaterialId, StockEntryId};
use crate::stock::{EntryKind, StockEntry};

/// What came in with one entry, and what is left of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Portion {
    /// The entry it came in with.
    pub entry: StockEntryId,
    /// Of which material.
    pub material: MaterialId,
    /// The day it came.
    pub since: Day,
    /// The delivery, where it came with one.
    pub delivery: Option<DeliveryId>,
    /// What is left, in the material's own unit, above 0.
    pub left: i64,
}

/// The whole ledger, shared out.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Dated {
    /// For each entry that took something out and was not countered: from which entries, and how much of each.
    pub taken: BTreeMap<StockEntryId, Vec<(StockEntryId, i64)>>,
    /// What is left, by material, oldest first.
    pub left: Vec<Portion>,
}

impl Portion {
    /// Days it has been here on a day.
    pub fn age_days(&self, today: Day) -> i64 {
        (today - self.since).num_days()
    }

    /// What to look at where it is older than its material keeps, or will be within a week.
    pub fn age_warning(&self, material: &Material, today: Day) -> Option<String> {
        let keep = material.keep_days?;
        let (age, name) = (self.age_days(today), material.name.split(',').next().unwrap_or_default());
        match keep - age {
            left @ 0..=7 => Some(format!("{name} of {}: {age} days old, to be used up within {left} days", self.since)),
            left if left < 0 => Some(format!(
                "{name} of {}: {age} days old, older than {keep} days: test it or write it off",
                self.since
            )),
            _ => None,
        }
    }
}

/// Shares every entry out over what had come in, oldest first. `entries` are in the order they were written. What was taken
/// before the ledger knew of it is taken from what comes next.
pub fn dated(entries: &[StockEntry]) -> Dated {
    let mut stores: BTreeMap<&MaterialId, Shelf> = BTreeMap::new();
    let by_id: BTreeMap<StockEntryId, &StockEntry> = entries.iter().map(|e| (e.id, e)).collect();
    for entry in entries {
        let shelf = stores.entry(&entry.entry.material).or_default();
        match entry.entry.counters.and_then(|id| by_id.get(&id)) {
            Some(countered) if entry.entry.kind == EntryKind::Countered => shelf.undo(countered),
            _ if entry.entry.amount.get() > 0 => shelf.put(entry),
            // What is written off of one delivery is not taken from another, as long as that has so much.
            _ => shelf.take_from(entry.entry.delivery, entry.id, -entry.entry.amount.get()),
        }
    }
    let mut all = Dated::default();
    for shelf in stores.into_values() {
        all.taken.extend(shelf.taken);
        all.left.extend(shelf.there.into_iter().filter(|p| p.left > 0));
    }
    all
}

/// One material's portions.
#[derive(Default)]
struct Shelf {
    there: VecDeque<Portion>,
    taken: BTreeMap<StockEntryId, Vec<(StockEntryId, i64)>>,
    /// Taken, and not yet known where from, earliest first.
    owed: VecDeque<(StockEntryId, i64)>,
}

impl Shelf {
    fn put(&mut self, entry: &StockEntry) {
        let portion = Portion {
            entry: entry.id,
            material: entry.entry.material.clone(),
            since: entry.entry.day,
            delivery: entry.entry.delivery,
            left: entry.entry.amount.get(),
        };
        let at = self.there.partition_point(|p| (p.since, p.entry) <= (portion.since, portion.entry));
        self.there.insert(at, portion);
        self.settle();
    }

    /// Gives what is there to those who are owed, the earliest first.
    fn settle(&mut self) {
        for (taker, amount) in std::mem::take(&mut self.owed) {
            self.take(taker, amount);
        }
    }

    fn take_from(&mut self, delivery: Option<DeliveryId>, taker: StockEntryId, mut amount: i64) {
        let uses = self.taken.entry(taker).or_default();
        let of_it = self.there.iter_mut().filter(|p| p.left > 0 && delivery.is_some() && p.delivery == delivery);
        for portion in of_it {
            let part = portion.left.min(amount);
            portion.left -= part;
            amount -= part;
            uses.extend((part > 0).then_some((portion.entry, part)));
        }
        if amount > 0 || delivery.is_none() {
            self.take(taker, amount);
        }
    }

    fn take(&mut self, taker: StockEntryId, mut amount: i64) {
        let uses = self.taken.entry(taker).or_default();
        for portion in self.there.iter_mut().filter(|p| p.left > 0) {
            let part = portion.left.min(amount);
            if part == 0 {
                break;
            }
            portion.left -= part;
            amount -= part;
            uses.push((portion.entry, part));
        }
        if amount > 0 {
            self.owed.push_back((taker, amount));
        }
    }

    /// Takes an entry back: what it took is where it was, what it brought is gone.
    fn undo(&mut self, countered: &StockEntry) {
        self.owed.retain(|(taker, _)| *taker != countered.id);
        for (from, amount) in self.taken.remove(&countered.id).unwrap_or_default() {
            if let Some(portion) = self.there.iter_mut().find(|p| p.entry == from) {
                portion.left += amount;
            }
        }
        if let Some(at) = self.there.iter().position(|p| p.entry == countered.id) {
            self.there.remove(at);
            self.take_elsewhere(countered.id);
        }
        self.settle();
    }

    /// Whoever had taken of an entry that is gone took of something else.
    fn take_elsewhere(&mut self, gone_entry: StockEntryId) {
        let mut moved = Vec::new();
        for (taker, uses) in &mut self.taken {
            let gone: i64 = uses.iter().filter(|(from, _)| *from == gone_entry).map(|(_, amount)| amount).sum();
            uses.retain(|(from, _)| *from != gone_entry);
            moved.extend((gone > 0).then_some((*taker, gone)));
        }
        for (taker, amount) in moved {
            self.take(taker, amount);
        }
    }
}

#[cfg(test)]
mod tests {
    use chrono::DateTime;

    use super::*;
    use crate::catalogue::Amount;
    use crate::stock::NewStockEntry;

    /// Amount, day of May, delivery, the entry countered.
    type Row = (i64, u32, Option<i64>, Option<i64>);

    /// Entries of cement.
    fn ledger(rows: &[Row]) -> Vec<StockEntry> {
        let entry = |(id, (amount, day, delivery, counters)): (i64, &Row)| {
            let kind = match (amount, counters) {
                (_, Some(_)) => EntryKind::Countered,
                (1.., None) => EntryKind::Received,
                _ => EntryKind::Drawn,
            };
            let entry = NewStockEntry {
                material: MaterialId::parse("cement").unwrap(),
                day: Day::from_ymd_opt(2026, 5, *day).unwrap(),
                kind,
                amount: Amount::new(*amount),
                counted: None,
                ticket: None,
                delivery: delivery.map(DeliveryId::new),
                counters: counters.map(StockEntryId::new),
                note: None,
            };
            StockEntry { id: StockEntryId::new(id), at: DateTime::UNIX_EPOCH, entry, balance: Amount::ZERO, by: None }
        };
        (1..).zip(rows).map(entry).collect()
    }

    fn taken(dated: &Dated, entry: i64) -> Vec<(i64, i64)> {
        let uses = dated.taken.get(&StockEntryId::new(entry)).cloned().unwrap_or_default();
        uses.into_iter().map(|(from, amount)| (from.get(), amount)).collect()
    }

    fn left(dated: &Dated) -> Vec<(i64, i64)> {
        dated.left.iter().map(|p| (p.entry.get(), p.left)).collect()
    }

    #[test]
    fn the_oldest_is_used_first_and_a_draw_may_span_two() {
        let rows = [(100, 2, Some(1), None), (100, 1, Some(2), None), (-150, 3, None, None)];
        let shared = dated(&ledger(&rows));
        assert_eq!(taken(&shared, 3), [(2, 100), (1, 50)], "by the day it came, not by the day it was written down");
        assert_eq!(left(&shared), [(1, 50)]);
    }

    #[test]
    fn a_countered_draw_gives_back_what_it_took() {
        let rows = [(100, 1, Some(1), None), (-60, 2, None, None), (60, 2, None, Some(2)), (-30, 3, None, None)];
        let shared = dated(&ledger(&rows));
        assert_eq!((taken(&shared, 2), taken(&shared, 4)), (vec![], vec![(1, 30)]));
        assert_eq!(left(&shared), [(1, 70)]);
    }

    #[test]
    fn what_was_used_before_it_was_known_is_taken_from_what_comes_next() {
        let shared = dated(&ledger(&[(-40, 1, None, None), (100, 2, Some(1), None)]));
        assert_eq!((taken(&shared, 1), left(&shared)), (vec![(2, 40)], vec![(2, 60)]));
    }

    #[test]
    fn what_is_written_off_of_a_delivery_is_taken_from_it() {
        let rows = [(100, 1, Some(1), None), (100, 2, Some(2), None), (-30, 3, Some(2), None), (-120, 4, None, None)];
        let shared = dated(&ledger(&rows));
        assert_eq!((taken(&shared, 3), taken(&shared, 4)), (vec![(2, 30)], vec![(1, 100), (2, 20)]));
        // More than that delivery has left goes on with the oldest.
        let rows = [(100, 1, Some(1), None), (10, 2, Some(2), None), (-30, 3, Some(2), None)];
        assert_eq!(taken(&dated(&ledger(&rows)), 3), [(2, 10), (1, 20)]);
    }

    #[test]
    fn what_a_countered_draw_gives_back_goes_to_those_who_are_owed() {
        let rows = [(100, 1, Some(1), None), (-100, 2, None, None), (-40, 3, None, None), (100, 4, None, Some(2))];
        let shared = dated(&ledger(&rows));
        assert_eq!((taken(&shared, 2), taken(&shared, 3)), (vec![], vec![(1, 40)]));
        assert_eq!(left(&shared), [(1, 60)]);
    }

    /// Numbers below `most`, the same for the same seed.
    fn drawn_by_lot(seed: u64) -> impl FnMut(i64) -> i64 {
        let mut state = seed;
        move |most| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            i64::try_from(state >> 33).unwrap() % most
        }
    }

    /// Up to forty lines: additions of deliveries and counts, draws, write-offs of a delivery, and counters of any of them.
    fn any_history(seed: u64) -> Vec<Row> {
        let (mut lot, mut rows, mut open) = (drawn_by_lot(seed), Vec::<Row>::new(), Vec::new());
        for id in 1..=lot(40) + 1 {
            let (amount, day) = (lot(100) + 1, u32::try_from(lot(28) + 1).unwrap());
            let delivery = (lot(2) == 0).then(|| lot(5) + 1);
            let countered = usize::try_from(lot(open.len().max(1) as i64)).unwrap();
            let row = match lot(5) {
                0 if !open.is_empty() => {
                    let old: i64 = open.swap_remove(countered);
                    let (amount, _, delivery, _) = rows[usize::try_from(old - 1).unwrap()];
                    rows.push((-amount, day, delivery, Some(old)));
                    continue;
                }
                0..=2 => (-amount, day, delivery, None),
                _ => (amount, day, delivery, None),
            };
            rows.push(row);
            open.push(id);
        }
        rows
    }

    #[test]
    fn whatever_happened_portions_are_what_is_on_hand_at_any_time() {
        for seed in 0..300 {
            let rows = any_history(seed);
            for upto in 1..=rows.len() {
                let entries = ledger(&rows[..upto]);
                let shared = dated(&entries);
                let on_hand: i64 = rows[..upto].iter().map(|row| row.0).sum();
                let there: i64 = shared.left.iter().map(|p| p.left).sum();
                assert_eq!(there, on_hand.max(0), "history {seed}, {upto} lines: {rows:?}");
                let used: i64 = shared.taken.values().flatten().map(|(_, amount)| amount).sum();
                let drawn: i64 = shared
                    .taken
                    .keys()
                    .map(|id| -entries[usize::try_from(id.get() - 1).unwrap()].entry.amount.get())
                    .sum();
                assert_eq!(drawn - used, (-on_hand).max(0), "history {seed}, {upto} lines: {rows:?}");
            }
        }
    }

    #[test]
    fn what_is_older_than_it_keeps_is_warned_of() {
        let cement = Material { keep_days: Some(90), ..crate::planning::example::snapshot().materials[0].clone() };
        let shared = dated(&ledger(&[(100, 1, Some(1), None)]));
        let warned = |days: u64| shared.left[0].age_warning(&cement, shared.left[0].since + chrono::Days::new(days));
        assert_eq!(warned(82), None);
        assert_eq!(warned(83).as_deref(), Some("Cement of 2026-05-01: 83 days old, to be used up within 7 days"));
        assert!(warned(91).is_some_and(|said| said.ends_with("older than 90 days: test it or write it off")));
        assert_eq!(shared.left[0].age_warning(&Material { keep_days: None, ..cement }, day_of_may(30)), None);
    }

    fn day_of_may(day: u32) -> Day {
        Day::from_ymd_opt(2026, 5, day).unwrap()
    }

    #[test]
    fn a_delivery_that_never_came_leaves_its_draws_to_the_others() {
        let rows = [(100, 1, Some(1), None), (100, 2, Some(2), None), (-50, 3, None, None), (-100, 3, None, Some(1))];
        let shared = dated(&ledger(&rows));
        assert_eq!((taken(&shared, 3), left(&shared)), (vec![(2, 50)], vec![(2, 50)]));
    }
}
