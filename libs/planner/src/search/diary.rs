//! What the search changes: which mixes are poured on each day, in which sequence and in how many batches at most, and a key
//! for each line of an order. Panels go by key into the batches, and what is ready goes by key to the orders.

use crate::plan::Schedule;
use crate::problem::{DayIx, KindIx, MakeIx, Problem};

/// A line of an order.
#[derive(Clone, Copy, Debug)]
pub(super) struct Line {
    pub order: usize,
    pub kind: KindIx,
    pub quantity: i64,
}

/// All lines of all orders, an order's lines one after another.
#[derive(Debug)]
pub(super) struct Lines {
    pub all: Vec<Line>,
    /// By order: its first line; one more at the end.
    pub first: Vec<usize>,
}

impl Lines {
    pub fn of(problem: &Problem) -> Self {
        let mut lines = Lines { all: Vec::new(), first: Vec::with_capacity(problem.orders.len() + 1) };
        for (order, o) in problem.orders.iter().enumerate() {
            lines.first.push(lines.all.len());
            lines.all.extend(o.lines.iter().map(|(kind, quantity)| Line { order, kind: *kind, quantity: *quantity }));
        }
        lines.first.push(lines.all.len());
        lines
    }
}

/// A mix on a day's list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Entry {
    pub mix: usize,
    /// Most batches.
    pub most: i64,
}

/// No limit of batches but the mixer's.
pub(super) const ANY: i64 = i64::MAX;

/// A day's list.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Page {
    /// Mixes in the sequence in which they are poured, each once.
    pub entries: Vec<Entry>,
    /// Panels poured before keys decide about the rest of the batches: what was taken over from a schedule.
    pub fixed: Vec<(MakeIx, i64)>,
    /// Whether nothing but that is poured.
    pub only_fixed: bool,
    /// Minutes kept for pouring before panels are lifted and stripped: waiting on purpose.
    pub kept: f64,
}

/// The lines of a kind, smallest key first.
#[derive(Clone, Debug, Default)]
pub(super) struct Turn {
    pub lines: Vec<u32>,
    /// Panels of the lines up to and with each.
    pub upto: Vec<i64>,
}

impl Turn {
    /// The place of the first line for which more than `covered` panels are needed.
    pub fn place(&self, covered: i64) -> usize {
        self.upto.partition_point(|upto| *upto <= covered)
    }
}

/// What one schedule is decoded from.
#[derive(Clone, Debug)]
pub(super) struct Diary {
    pub pages: Vec<Page>,
    /// By line, in days from the first day.
    pub keys: Vec<f64>,
    /// By kind.
    pub turns: Vec<Turn>,
}

impl Diary {
    /// A diary of given pages and keys.
    pub fn new(problem: &Problem, lines: &Lines, pages: Vec<Page>, keys: Vec<f64>) -> Self {
        let mut turns = vec![Turn::default(); problem.kinds.len()];
        for (line, l) in lines.all.iter().enumerate() {
            turns[l.kind].lines.push(line as u32);
        }
        for turn in &mut turns {
            turn.lines.sort_by(|a, b| keys[*a as usize].total_cmp(&keys[*b as usize]).then(a.cmp(b)));
            let mut sum = 0;
            let count = |line: &u32| {
                sum += lines.all[*line as usize].quantity;
                sum
            };
            turn.upto = turn.lines.iter().map(count).collect();
        }
        Diary { pages, keys, turns }
    }

    /// Takes a schedule over: what it pours and its mixes and batches of each day, and as keys the days on which its lines are poured. With
    /// `only_fixed` it comes to that schedule again; without, batches that have room are filled up.
    pub fn take_over(
        problem: &Problem,
        lines: &Lines,
        schedule: &Schedule,
        ready: &[DayIx],
        covered: &[i64],
        only_fixed: bool,
    ) -> Self {
        let page = |day: DayIx| {
            let litres = schedule.litres(problem, day);
            let batches = problem.mixes.iter().zip(litres).map(|(mix, litres)| mix.batching(litres).count);
            let entries = batches.enumerate().filter(|(_, most)| *most > 0).map(|(mix, most)| Entry { mix, most });
            Page { entries: entries.collect(), fixed: schedule.pours[day].clone(), only_fixed, kept: 0.0 }
        };
        let pages = (0..problem.len()).map(page).collect();
        let mut poured = vec![vec![0; problem.len()]; problem.kinds.len()];
        for (day, pours) in schedule.pours.iter().enumerate() {
            pours.iter().for_each(|(make, quantity)| poured[problem.makes[*make].kind][day] += quantity);
        }
        let mut of_kind = vec![Vec::new(); problem.kinds.len()];
        lines.all.iter().enumerate().for_each(|(line, l)| of_kind[l.kind].push(line));
        let mut keys = vec![0.0; lines.all.len()];
        for (kind, mut turn) in of_kind.into_iter().enumerate() {
            turn.sort_by_key(|line| (ready[lines.all[*line].order], problem.orders[lines.all[*line].order].due, *line));
            let (mut day, mut there, mut wanted) = (0, covered[kind], 0);
            let beyond = problem.calendar.offsets().last().copied().unwrap_or(0) as f64 + 1.0;
            for (place, line) in turn.into_iter().enumerate() {
                wanted += lines.all[line].quantity;
                while there < wanted && day < problem.len() {
                    there += poured[kind][day];
                    day += 1;
                }
                let at = match there < wanted {
                    true => beyond,
                    false => day.checked_sub(1).map_or(-1.0, |day| problem.calendar.offsets()[day] as f64),
                };
                keys[line] = at + place as f64 * 1e-5;
            }
        }
        Diary::new(problem, lines, pages, keys)
    }

    /// Gives a line another key; returns its place before and after within its kind.
    pub fn set_key(&mut self, lines: &Lines, line: usize, key: f64) -> (usize, usize) {
        let keys = &mut self.keys;
        let turn = &mut self.turns[lines.all[line].kind];
        let place = |keys: &[f64], turn: &Turn| {
            let own = (keys[line], line as u32);
            turn.lines.partition_point(|other| {
                let k = keys[*other as usize];
                k < own.0 || (k == own.0 && *other < own.1)
            })
        };
        let from = place(keys, turn);
        turn.lines.remove(from);
        keys[line] = key;
        let to = place(keys, turn);
        turn.lines.insert(to, line as u32);
        let low = from.min(to);
        let mut sum = if low == 0 { 0 } else { turn.upto[low - 1] };
        for at in low..=from.max(to) {
            sum += lines.all[turn.lines[at] as usize].quantity;
            turn.upto[at] = sum;
        }
        (from, to)
    }
}
