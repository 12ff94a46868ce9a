//! Small changes to a diary, each with the way back and what it touches.

mod thrift;

use super::diary::{ANY, Diary, Entry, Lines, Page};
use super::rng::Rng;
use super::walk::{Step, Walker};
use crate::problem::{DayIx, KindIx, MakeIx, Problem};

/// What a change touches, and so where it may make a difference.
#[derive(Clone, Debug, Default)]
pub(super) struct Touched {
    /// First day on which anything may be otherwise.
    pub from: DayIx,
    /// Last page changed.
    pub pages_to: DayIx,
    /// Kinds whose keys changed, each with the panels of it up to and with the last line concerned: once so many are poured, the change
    /// has had all its effect on what is poured.
    pub keys: Vec<(KindIx, i64)>,
}

impl Touched {
    /// Everything.
    pub fn all() -> Self {
        Touched { from: 0, pages_to: DayIx::MAX, keys: Vec::new() }
    }

    fn clear(&mut self) {
        *self = Touched { from: DayIx::MAX, pages_to: 0, keys: std::mem::take(&mut self.keys) };
        self.keys.clear();
    }
}

/// Share of moves that trade panels of two days.
const TRADES: f64 = 0.15;

/// What a move changed, to change it back.
#[derive(Debug, Default)]
pub(super) struct Undo {
    pages: Vec<(DayIx, Page)>,
    keys: Vec<(usize, f64)>,
}

impl Undo {
    fn clear(&mut self) {
        self.pages.clear();
        self.keys.clear();
    }
}

/// Makes changes to a diary.
pub(super) struct Hand<'p> {
    problem: &'p Problem,
    lines: &'p Lines,
    pub rng: Rng,
    undo: Undo,
    /// Share of moves that change what a day pours by a few panels: they find the last in a small workshop and are lost in a large one.
    fine: f64,
    /// Whether it is the price that counts: then half of the moves are for it.
    pub thrifty: bool,
    /// What the last change touched.
    pub touched: Touched,
}

impl<'p> Hand<'p> {
    pub fn new(problem: &'p Problem, lines: &'p Lines, rng: Rng) -> Self {
        // Where keeping costs, how much is poured at a time is what it is all about.
        let fine = if problem.keeps() { 0.3 } else { 0.1 * (10.0 / problem.orders.len().max(1) as f64).min(1.0) };
        Hand { problem, lines, rng, fine, thrifty: false, undo: Undo::default(), touched: Touched::default() }
    }

    /// Changes the diary a little; false where it came to no change.
    pub fn change(&mut self, diary: &mut Diary, walker: &Walker) -> bool {
        self.undo.clear();
        self.touched.clear();
        if self.thrifty && self.rng.share() < 0.5 {
            self.save(diary, walker);
            return self.changed();
        }
        if self.rng.share() < TRADES {
            self.trade(diary, walker);
            return self.changed();
        }
        let share = self.rng.share();
        match share {
            s if s < self.fine => self.tinker(diary, walker),
            s if s < 0.36 && !self.lines.all.is_empty() => self.keys(diary, walker),
            s if s < 0.48 => self.cap(diary),
            s if s < 0.56 => self.open(diary),
            s if s < 0.62 => self.shut(diary),
            s if s < 0.72 => self.replace(diary),
            s if s < 0.76 => self.reorder(diary),
            s if s < 0.82 => self.swap_days(diary),
            s if s < 0.90 => self.carry(diary),
            s if s < 0.94 => self.exchange(diary),
            s if s < 0.955 => self.wait(diary),
            s if s < 0.97 => self.release(diary),
            _ => self.redraw(diary, walker),
        }
        self.changed()
    }

    fn changed(&self) -> bool {
        !self.undo.pages.is_empty() || !self.undo.keys.is_empty()
    }

    /// Changes the diary back.
    pub fn undo(&mut self, diary: &mut Diary) {
        while let Some((line, key)) = self.undo.keys.pop() {
            diary.set_key(self.lines, line, key);
        }
        while let Some((day, page)) = self.undo.pages.pop() {
            diary.pages[day] = page;
        }
    }

    fn page<'d>(&mut self, diary: &'d mut Diary, day: DayIx) -> &'d mut Page {
        self.undo.pages.push((day, diary.pages[day].clone()));
        self.touched.from = self.touched.from.min(day);
        self.touched.pages_to = self.touched.pages_to.max(day);
        let page = &mut diary.pages[day];
        page.only_fixed = false;
        page
    }

    fn any_day(&mut self) -> DayIx {
        self.rng.below(self.problem.len())
    }

    /// A day on whose list there is something.
    fn busy_day(&mut self, diary: &Diary) -> Option<DayIx> {
        (0..8).map(|_| self.any_day()).find(|day| !diary.pages[*day].entries.is_empty())
    }

    fn shift(&mut self, diary: &mut Diary, walker: &Walker, line: usize, key: f64) {
        let old = diary.keys[line];
        let kind = self.lines.all[line].kind;
        let (from, to) = diary.set_key(self.lines, line, key);
        self.undo.keys.push((line, old));
        // Nothing changes before the day on which panels for the first of the lines concerned come up.
        let low = from.min(to);
        let before = if low == 0 { 0 } else { diary.turns[kind].upto[low - 1] };
        let (mut least, mut beyond) = (0, self.problem.len());
        while least < beyond {
            let middle = (least + beyond) / 2;
            if walker.covered_by(middle, kind) >= before { beyond = middle } else { least = middle + 1 }
        }
        self.touched.from = self.touched.from.min(least);
        self.touched.keys.push((kind, diary.turns[kind].upto[from.max(to)]));
    }

    /// Shifts the key of a line or of all lines of an order.
    fn keys(&mut self, diary: &mut Diary, walker: &Walker) {
        let line = self.rng.below(self.lines.all.len());
        let order = self.lines.all[line].order;
        let reach = self.rng.one_of(&[1.0, 3.0, 10.0, 30.0]);
        let by = (self.rng.share() * 2.0 - 1.0) * reach;
        let of_order = self.lines.first[order]..self.lines.first[order + 1];
        match self.rng.share() {
            s if s < 0.45 => self.shift(diary, walker, line, diary.keys[line] + by),
            s if s < 0.75 => of_order.for_each(|line| self.shift(diary, walker, line, diary.keys[line] + by)),
            s if s < 0.85 => {
                // All lines of an order together, near one of them.
                let key = diary.keys[line] + by.clamp(-1.0, 1.0);
                of_order.for_each(|line| self.shift(diary, walker, line, key));
            }
            _ => {
                // Two lines of a kind change places.
                let turn = &diary.turns[self.lines.all[line].kind].lines;
                let other = turn[self.rng.below(turn.len())] as usize;
                let (a, b) = (diary.keys[line], diary.keys[other]);
                if a != b {
                    self.shift(diary, walker, line, b);
                    self.shift(diary, walker, other, a);
                }
            }
        }
    }

    fn cap(&mut self, diary: &mut Diary) {
        let Some(day) = self.busy_day(diary) else { return };
        let at = self.rng.below(diary.pages[day].entries.len());
        let now = diary.pages[day].entries[at].most;
        let most = match self.rng.below(3) {
            0 if now != ANY => ANY,
            1 if now != ANY && now > 1 => now - 1,
            _ if now == ANY => 1 + self.rng.below(4) as i64,
            _ => now + 1,
        };
        self.page(diary, day).entries[at].most = most;
    }

    fn open(&mut self, diary: &mut Diary) {
        let (day, mix) = (self.any_day(), self.rng.below(self.problem.mixes.len()));
        if diary.pages[day].entries.iter().any(|entry| entry.mix == mix) {
            return;
        }
        let at = self.rng.below(diary.pages[day].entries.len() + 1);
        let most = self.rng.one_of(&[ANY, 1, 2, ANY]);
        self.page(diary, day).entries.insert(at, Entry { mix, most });
    }

    fn shut(&mut self, diary: &mut Diary) {
        let Some(day) = self.busy_day(diary) else { return };
        let at = self.rng.below(diary.pages[day].entries.len());
        self.page(diary, day).entries.remove(at);
    }

    fn replace(&mut self, diary: &mut Diary) {
        let Some(day) = self.busy_day(diary) else { return };
        let at = self.rng.below(diary.pages[day].entries.len());
        let old = diary.pages[day].entries[at].mix;
        let finish = self.problem.mixes[old].finish;
        let mut mix = self.rng.below(self.problem.mixes.len());
        if self.rng.share() < 0.4 {
            let same = |mix: &usize| *mix != old && self.problem.mixes[*mix].finish == finish;
            let others: Vec<usize> = (0..self.problem.mixes.len()).filter(same).collect();
            if others.is_empty() {
                return;
            }
            mix = others[self.rng.below(others.len())];
        }
        if diary.pages[day].entries.iter().any(|entry| entry.mix == mix) {
            return;
        }
        self.page(diary, day).entries[at].mix = mix;
    }

    fn reorder(&mut self, diary: &mut Diary) {
        let Some(day) = self.busy_day(diary) else { return };
        let count = diary.pages[day].entries.len();
        let (a, b) = (self.rng.below(count), self.rng.below(count));
        if a != b {
            self.page(diary, day).entries.swap(a, b);
        }
    }

    fn near(&mut self, day: DayIx, reach: usize) -> DayIx {
        let by = 1 + self.rng.below(reach);
        if self.rng.share() < 0.5 { day.saturating_sub(by) } else { (day + by).min(self.problem.len() - 1) }
    }

    fn swap_days(&mut self, diary: &mut Diary) {
        let day = self.any_day();
        let other = self.near(day, 10);
        if day == other || diary.pages[day] == diary.pages[other] {
            return;
        }
        let page = diary.pages[day].clone();
        let theirs = std::mem::replace(self.page(diary, other), page);
        *self.page(diary, day) = theirs;
    }

    /// Moves a mix, or one batch of it, to a near day.
    fn carry(&mut self, diary: &mut Diary) {
        let Some(day) = self.busy_day(diary) else { return };
        let other = self.near(day, 6);
        if day == other {
            return;
        }
        let at = self.rng.below(diary.pages[day].entries.len());
        let entry = diary.pages[day].entries[at];
        let one = entry.most != ANY && entry.most > 1 && self.rng.share() < 0.5;
        let page = self.page(diary, day);
        if one {
            page.entries[at].most -= 1
        } else {
            page.entries.retain(|e| e.mix != entry.mix)
        }
        let most = if one { 1 } else { entry.most };
        let place = self.rng.below(diary.pages[other].entries.len() + 1);
        let page = self.page(diary, other);
        match page.entries.iter_mut().find(|e| e.mix == entry.mix) {
            Some(there) => there.most = there.most.saturating_add(most),
            None => page.entries.insert(place, Entry { mix: entry.mix, most }),
        }
    }

    /// Two days exchange a mix each.
    fn exchange(&mut self, diary: &mut Diary) {
        let Some(day) = self.busy_day(diary) else { return };
        let other = self.near(day, 10);
        if day == other || diary.pages[other].entries.is_empty() {
            return;
        }
        let (a, b) = (self.rng.below(diary.pages[day].entries.len()), self.rng.below(diary.pages[other].entries.len()));
        let (mine, theirs) = (diary.pages[day].entries[a], diary.pages[other].entries[b]);
        let has = |page: &Page, mix: usize| page.entries.iter().any(|entry| entry.mix == mix);
        if has(&diary.pages[day], theirs.mix) || has(&diary.pages[other], mine.mix) {
            return;
        }
        self.page(diary, day).entries[a] = theirs;
        self.page(diary, other).entries[b] = mine;
    }

    /// Keeps other minutes for pouring before panels go on.
    fn wait(&mut self, diary: &mut Diary) {
        let day = self.any_day();
        let all = self.problem.labour[day];
        let kept = self.rng.one_of(&[0.0, 0.0, 0.1, 0.2, 0.4]) * all;
        if kept != diary.pages[day].kept {
            self.page(diary, day).kept = kept;
        }
    }

    /// Lets keys fill a day's batches up, or decide what it pours of one panel or of all.
    fn release(&mut self, diary: &mut Diary) {
        let day = self.any_day();
        let count = diary.pages[day].fixed.len();
        if count == 0 {
            return;
        }
        let (one, what) = (self.rng.below(count), self.rng.share());
        let filled = diary.pages[day].only_fixed;
        let page = self.page(diary, day);
        match what {
            _ if filled && what < 0.6 => {}
            _ if what < 0.75 => _ = page.fixed.swap_remove(one),
            _ => page.fixed.clear(),
        }
    }

    /// Has panels that an order waits for poured sooner, in the place of others of the same moulds, which are poured when they were.
    fn trade(&mut self, diary: &mut Diary, walker: &Walker) {
        let problem = self.problem;
        let Some((line, later)) = (0..8).find_map(|_| self.awaited(diary)) else { return };
        let line = self.lines.all[line];
        let group = problem.panels[problem.kinds[line.kind].panel].group;
        let sooner = later - 1 - self.rng.below(later.min(8));
        let of_group =
            |step: &&Step| problem.panel_of(step.make).group == group && problem.makes[step.make].kind != line.kind;
        let others: Vec<Step> = walker.days[sooner].pours.iter().filter(of_group).copied().collect();
        let own = walker.days[later].pours.iter().find(|step| problem.makes[step.make].kind == line.kind).copied();
        let Some(own) = own.filter(|_| !others.is_empty()) else { return };
        let other = others[self.rng.below(others.len())];
        let few = line.quantity.min(own.quantity).min(other.quantity);
        let (in_its_place, back) = (self.like(own.make, other.make), self.like(other.make, own.make));
        self.fix(diary, walker, sooner, &[(other.make, -few), (in_its_place, few)]);
        self.fix(diary, walker, later, &[(own.make, -few), (back, few)]);
    }

    /// A line of an order by lot, and the day it is poured by its key: the last of the order, and not on the first day.
    fn awaited(&mut self, diary: &Diary) -> Option<(usize, DayIx)> {
        let order = self.lines.all[self.rng.below(self.lines.all.len())].order;
        let of_order = self.lines.first[order]..self.lines.first[order + 1];
        let last = of_order.max_by(|a, b| diary.keys[*a].total_cmp(&diary.keys[*b]))?;
        let offsets = self.problem.calendar.offsets();
        let day = offsets.partition_point(|offset| (*offset as f64) < diary.keys[last].floor());
        (day > 0 && day < offsets.len()).then_some((last, day))
    }

    /// What gives the kind of a make from the mix of another, if there is such a make; else the make itself.
    fn like(&self, make: MakeIx, other: MakeIx) -> MakeIx {
        let (makes, mix) = (&self.problem.makes, self.problem.makes[other].mix);
        let of_kind = &self.problem.kinds[makes[make].kind].makes;
        of_kind.iter().copied().find(|make| makes[*make].mix == mix).unwrap_or(make)
    }

    /// Fixes what a day pours, but for a few panels more or less of a make, or others instead, or moved to a near day.
    fn tinker(&mut self, diary: &mut Diary, walker: &Walker) {
        let found = (0..8).map(|_| self.any_day()).find(|day| !walker.days[*day].pours.is_empty());
        let Some(day) = found else { return };
        let pours = &walker.days[day].pours;
        let step = pours[self.rng.below(pours.len())];
        let few = match self.rng.below(4) {
            0 => step.quantity,
            1 if self.problem.keeps() => self.for_last_line(diary, walker, day, step),
            _ => 1 + self.rng.below(3) as i64,
        };
        match self.rng.below(4) {
            0 => self.fix(diary, walker, day, &[(step.make, few)]),
            1 => self.fix(diary, walker, day, &[(step.make, -few)]),
            2 => {
                let makes = &self.problem.mixes[self.problem.makes[step.make].mix].makes;
                let other = match self.rng.below(3) {
                    0 => self.rng.below(self.problem.makes.len()),
                    _ => makes[self.rng.below(makes.len())],
                };
                self.fix(diary, walker, day, &[(step.make, -few), (other, few)]);
            }
            _ => {
                let other = self.near(day, 6);
                if other != day {
                    self.fix(diary, walker, day, &[(step.make, -few)]);
                    self.fix(diary, walker, other, &[(step.make, few)]);
                }
            }
        }
    }

    /// Panels poured in a step for the last line that it is for.
    fn for_last_line(&self, diary: &Diary, walker: &Walker, day: DayIx, step: Step) -> i64 {
        let kind = self.problem.makes[step.make].kind;
        let (turn, covered) = (&diary.turns[kind], walker.covered_by(day, kind));
        let before = turn.place(covered - 1).checked_sub(1).map_or(0, |place| turn.upto[place]);
        (covered - before).clamp(1, step.quantity.max(1))
    }

    /// Fixes what a day pours, with so many panels more.
    fn fix(&mut self, diary: &mut Diary, walker: &Walker, day: DayIx, more: &[(MakeIx, i64)]) {
        let problem = self.problem;
        let page = self.page(diary, day);
        page.fixed.clear();
        page.fixed.extend(walker.days[day].pours.iter().map(|step| (step.make, step.quantity)));
        for (make, more) in more {
            let mix = problem.makes[*make].mix;
            match page.fixed.iter_mut().find(|fixed| fixed.0 == *make) {
                Some(fixed) => fixed.1 += more,
                None => page.fixed.push((*make, *more)),
            }
            match page.entries.iter_mut().find(|entry| entry.mix == mix) {
                Some(entry) => entry.most = ANY,
                None => page.entries.push(Entry { mix, most: ANY }),
            }
        }
        page.fixed.retain(|fixed| fixed.1 > 0);
        page.only_fixed = true;
    }

    /// Fills the lists of some days in a row anew: the mixes whose next lines press most, here and there another.
    fn redraw(&mut self, diary: &mut Diary, walker: &Walker) {
        let first = self.any_day();
        let count = 1 + self.rng.below(6);
        for day in first..(first + count).min(self.problem.len()) {
            let mut mixes: Vec<(f64, usize)> = Vec::new();
            for (mix, m) in self.problem.mixes.iter().enumerate() {
                let mut sum = 0.0;
                for make in &m.makes {
                    let kind = self.problem.makes[*make].kind;
                    let turn = &diary.turns[kind];
                    let there = walker.days[day].morning.covered[kind];
                    let place = turn.place(there);
                    if let Some(line) = turn.lines.get(place) {
                        let behind = self.problem.calendar.offsets()[day] as f64 - diary.keys[*line as usize];
                        sum += (behind / 6.0).clamp(-6.0, 6.0).exp();
                    }
                }
                if sum > 0.0 {
                    mixes.push((sum * (0.3 + self.rng.share()), mix));
                }
            }
            mixes.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
            let most_mixes = 1 + self.rng.below(3);
            let most = self.rng.one_of(&[ANY, ANY, 2, 3]);
            let page = self.page(diary, day);
            page.fixed.clear();
            page.entries = mixes.iter().take(most_mixes).map(|(_, mix)| Entry { mix: *mix, most }).collect();
        }
    }
}
