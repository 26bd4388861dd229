//! Emptying sheets in part and filling them again, towards a goal a little cheaper than the best plan.
//!
//! After Gardeyn and Wauters (2022), itself after Schrimpf et al. (2000): the sheets may cost less
//! than the best plan; what does not fit stays out; a change is kept when the area left out is no more
//! than it was some rounds ago (late acceptance, Burke and Bykov 2017). When nothing is left out the
//! goal is lowered. The random numbers are fixed by the seed, so the same input gives the same plan.

use super::abreast::{self, Asked};
use super::strips::{How, Strips};
use super::{Aim, Filled, Job, dense};
use crate::cut::seeded::Seeded;
use crate::cut::work::Work;

/// Rounds that late acceptance looks back.
const HISTORY: usize = 200;
/// Every so many rounds, pieces that are left out come to count more (guided local search, Voudouris
/// and Tsang 1999).
const WEIGHED: usize = 1000;
/// What a piece counts at first.
const LIGHT: i64 = 16;
/// With more sheets than this, a round looks at some of them only.
const MANY_SHEETS: usize = 40;
/// So many beside those it has emptied.
const NEAR: usize = 14;
/// With more pieces waiting than this, they count as work though none finds a place.
const MANY_WAITING: usize = 100;
/// With so many lines or more, sheets are chosen by how well they can be filled.
const MANY_LINES: usize = 8;
/// One place in so many is passed over.
const BLINK: u64 = 40;

/// How the pieces left out are sorted before they are laid in again.
const ORDERS: u64 = 5;

/// The best place so far: score, sheet, how, and the piece as it lies.
type Best = (i64, usize, How, (i64, i64, bool));

struct State<'a> {
    job: &'a Job,
    sheets: Vec<Strips>,
    out: Vec<usize>,
    cost: i64,
    /// Sheets open of each line.
    open: Vec<u32>,
    /// The least side of any piece.
    sliver: i64,
    random: Seeded,
    work: u64,
    /// Sheets as they were before this round, by place; only those it changed.
    saved: Vec<(usize, Strips)>,
    /// Where there are many sheets: those a round may fill. Empty for all.
    near: Vec<usize>,
    /// How much a piece counts while it is left out, in sixteenths: more if it often is.
    heavy: Vec<i64>,
}

/// The best plan found before `limit`; stops at `lower`, which no plan costs less than. Begins with
/// `start`, or with a plan at once if there is none.
pub(in crate::cut) fn search(job: &Job, start: Vec<Strips>, lower: i64, limit: u64, work: &mut Work<'_>) -> Filled {
    let mut state = State::new(job);
    let mut best = if start.is_empty() { state.at_once() } else { state.begin(start) };
    work.add(state.work);
    if job.aim == Aim::All && job.stages == u32::MAX && job.lines.len() >= MANY_LINES && best.cost > lower {
        // A third of the work goes into other beginnings.
        let until = work.done() + limit.saturating_sub(work.done()) / 3;
        let mut seed = 1;
        while !work.past(until) {
            let large = [10, 30, 60, 0][usize::try_from(seed % 4).unwrap_or(0)];
            let other = dense::plan(job, (seed, large), until, work);
            let other = state.begin(other);
            if (state.lacking(&other.out), other.cost) < (state.lacking(&best.out), best.cost) {
                best = other;
            }
            seed += 1;
        }
    }
    let short = state.lacking(&best.out) > 0;
    if (job.aim == Aim::Value && short) || (job.aim == Aim::All && (short || best.cost > lower)) {
        best = abreast::improved(&Asked { job, lower, limit }, &best, work);
    }
    best
}

/// The best plan that one search comes to from `begin`, and whether it can go no further: it came down to
/// `asked.lower`, or was told to stop by `enough`, which is asked with the steps done.
pub(super) fn improve(
    asked: &Asked<'_>,
    seed: u64,
    begin: &Filled,
    work: &mut Work<'_>,
    enough: &dyn Fn(u64) -> bool,
) -> Filled {
    let mut state = State::new(asked.job);
    state.random = Seeded::new(seed);
    let mut best = begin.clone();
    state.improve(&mut best, asked, work, enough);
    best
}

impl<'a> State<'a> {
    fn new(job: &'a Job) -> Self {
        let sliver = job.items.iter().map(|item| item.width.min(item.height)).min().unwrap_or(0);
        let (sheets, out) = (Vec::new(), (0..job.items.len()).collect());
        let open = vec![0; job.lines.len()];
        Self {
            job,
            sheets,
            out,
            cost: 0,
            open,
            sliver,
            random: Seeded::new(1),
            work: 0,
            saved: Vec::new(),
            near: Vec::new(),
            heavy: vec![LIGHT; job.items.len()],
        }
    }

    /// A plan at once: the best of a few orders.
    fn at_once(&mut self) -> Filled {
        let mut best: Option<Filled> = None;
        for order in 0..ORDERS - 1 {
            self.sheets.clear();
            self.out = (0..self.job.items.len()).collect();
            self.cost = 0;
            self.open.iter_mut().for_each(|open| *open = 0);
            self.fill(i64::MAX, order, 0);
            if best.as_ref().is_none_or(|b| (self.lacking(&self.out), self.cost) < (self.lacking(&b.out), b.cost)) {
                best = Some(self.plan());
            }
        }
        best.unwrap_or_default()
    }

    /// The plan at hand.
    fn begin(&mut self, start: Vec<Strips>) -> Filled {
        let inside: std::collections::BTreeSet<usize> = start.iter().flat_map(Strips::items).collect();
        self.out = (0..self.job.items.len()).filter(|item| !inside.contains(item)).collect();
        self.cost = start.iter().map(|sheet| self.job.lines[sheet.line].cost).sum();
        self.sheets = start;
        self.plan()
    }

    fn plan(&self) -> Filled {
        Filled { sheets: self.sheets.clone(), out: self.out.clone(), cost: self.cost }
    }

    fn improve(&mut self, best: &mut Filled, asked: &Asked<'_>, work: &mut Work<'_>, enough: &dyn Fn(u64) -> bool) {
        self.sheets = best.sheets.clone();
        self.out = best.out.clone();
        self.cost = best.cost;
        self.count_open();
        let mut history = vec![i64::MAX; HISTORY];
        let mut now = self.lacking(&self.out);
        let mut least = now;
        let mut round = 0usize;
        while !work.past(asked.limit) && !enough(work.done()) && (least > 0 || best.cost > asked.lower) {
            let before_work = self.work;
            // As long as something is left out, any cost will do; then a little less than the best.
            let goal = if least == 0 { best.cost - 1 } else { i64::MAX };
            while self.cost > goal {
                self.close_one();
                now = self.lacking(&self.out);
                history.iter_mut().for_each(|h| *h = now);
            }
            let before_out = self.out.clone();
            let (before_cost, before_count) = (self.cost, self.sheets.len());
            self.saved.clear();
            self.ruin();
            self.recreate(goal);
            let left = self.lacking(&self.out);
            let slot = round % HISTORY;
            if left <= now || left <= history[slot] {
                now = left;
                self.drop_empty();
            } else {
                self.sheets.truncate(before_count);
                self.undo(before_out, before_cost);
            }
            history[slot] = now;
            if round % WEIGHED == 1 && self.job.aim == Aim::All {
                for index in &self.out {
                    self.heavy[*index] = (self.heavy[*index] + 1).min(LIGHT * 8);
                }
                now = self.lacking(&self.out);
            }
            round += 1;
            if now < least || now == 0 {
                least = now;
                *best = self.plan();
                if now == 0 && self.job.aim == Aim::Value {
                    work.add(self.work - before_work);
                    return;
                }
            }
            work.add(self.work - before_work + 1);
        }
    }

    /// How much the pieces left out count.
    fn lacking(&self, out: &[usize]) -> i64 {
        let of = |index: &usize| {
            let item = &self.job.items[*index];
            if self.job.aim == Aim::Value { item.weight } else { item.area().saturating_mul(self.heavy[*index]) }
        };
        out.iter().map(of).fold(0, i64::saturating_add)
    }

    fn count_open(&mut self) {
        self.open.iter_mut().for_each(|open| *open = 0);
        for sheet in &self.sheets {
            self.open[sheet.line] += 1;
        }
    }

    /// Closes the sheet whose pieces are least for its cost.
    fn close_one(&mut self) {
        let worth =
            |sheet: &Strips| i128::from(sheet.used) * 1_000_000 / i128::from(self.job.lines[sheet.line].cost.max(1));
        let Some(least) = (0..self.sheets.len()).min_by_key(|i| worth(&self.sheets[*i])) else { return };
        let sheet = self.sheets.swap_remove(least);
        self.out.extend(sheet.items());
        self.open[sheet.line] -= 1;
        self.cost -= self.job.lines[sheet.line].cost;
    }

    /// Remembers a sheet before it is changed.
    fn save(&mut self, index: usize) {
        if self.saved.iter().all(|(saved, _)| *saved != index) {
            self.saved.push((index, self.sheets[index].clone()));
        }
    }

    /// Takes pieces out of one to three sheets.
    fn ruin(&mut self) {
        if self.sheets.is_empty() {
            return;
        }
        let times = 1 + self.random.below(3);
        let count = self.sheets.len() as u64;
        for _ in 0..times {
            let index = usize::try_from(self.random.below(count)).unwrap_or(0);
            if self.sheets[index].nodes.is_empty() {
                continue;
            }
            self.save(index);
            let nodes = self.sheets[index].nodes.len() as u64;
            let whole = self.random.below(8) == 0;
            let (mut from, mut to) = (0, usize::MAX);
            if !whole {
                from = usize::try_from(self.random.below(nodes)).unwrap_or(0);
                to = from + self.sheets[index].nodes[from].len as usize;
            }
            let gone: Vec<usize> = {
                let range = &self.sheets[index].nodes[from..to.min(self.sheets[index].nodes.len())];
                let part = Strips { nodes: range.to_vec(), ..Strips::empty(0, 0, 0) };
                part.items().collect()
            };
            self.sheets[index].take_out(|item| gone.contains(&item));
            self.work += 4 * nodes;
            self.out.extend(gone);
        }
    }

    fn recreate(&mut self, goal: i64) {
        // Sheets that are empty now are closed, so that others may be opened for their cost.
        for (index, _) in &self.saved {
            let sheet = &self.sheets[*index];
            if sheet.nodes.is_empty() {
                self.cost -= self.job.lines[sheet.line].cost;
                self.open[sheet.line] -= 1;
            }
        }
        let order = self.random.below(ORDERS);
        self.near.clear();
        if self.sheets.len() > MANY_SHEETS {
            self.near.extend(self.saved.iter().map(|(index, _)| *index));
            for _ in 0..NEAR {
                let index = usize::try_from(self.random.below(self.sheets.len() as u64)).unwrap_or(0);
                if !self.near.contains(&index) {
                    self.near.push(index);
                }
            }
        }
        self.fill(goal, order, BLINK);
        self.near.clear();
    }

    fn undo(&mut self, out: Vec<usize>, cost: i64) {
        for (index, sheet) in self.saved.drain(..) {
            if let Some(place) = self.sheets.get_mut(index) {
                *place = sheet;
            }
        }
        self.out = out;
        self.cost = cost;
        self.count_open();
    }

    fn drop_empty(&mut self) {
        self.sheets.retain(|sheet| !sheet.nodes.is_empty());
    }

    /// Lays in what is out, as long as the sheets cost no more than `goal`.
    fn fill(&mut self, goal: i64, order: u64, blink: u64) {
        let job = self.job;
        let mut waiting = std::mem::take(&mut self.out);
        if waiting.len() > MANY_WAITING {
            // Sorting and passing over them is work, too.
            self.work += 4 * waiting.len() as u64;
        }
        let key = |item: usize| {
            let i = &job.items[item];
            match order {
                0 => i.area(),
                4 if job.aim == Aim::Value => i.weight,
                4 => i.area().saturating_mul(self.heavy[item]),
                1 => i.width.max(i.height),
                2 => i.height,
                _ => i.width,
            }
        };
        waiting.sort_by_key(|item| (std::cmp::Reverse(key(*item)), *item));
        if blink > 0 {
            for i in 1..waiting.len() {
                if self.random.below(5) == 0 {
                    waiting.swap(i - 1, i);
                }
            }
        }
        for item in waiting {
            if !self.lay(item, goal, blink) {
                self.out.push(item);
            }
        }
    }

    /// Lays one piece where it fits best, on a new sheet if on no other; no if nowhere.
    fn lay(&mut self, item: usize, goal: i64, blink: u64) -> bool {
        let job = self.job;
        let it = &job.items[item];
        let allowed = &job.allowed[it.row];
        let mut best: Option<Best> = None;
        let whole: Vec<usize>;
        let looked: &[usize] = if self.near.is_empty() {
            whole = (0..self.sheets.len()).collect();
            &whole
        } else {
            &self.near
        };
        for &s in looked {
            let sheet = &self.sheets[s];
            if sheet.nodes.is_empty() || !allowed[sheet.line] || sheet.free() < it.area() {
                continue;
            }
            self.work += sheet.nodes.len() as u64;
            for way in it.ways() {
                let random = &mut self.random;
                sheet.places(way.0, way.1, self.sliver, |place| {
                    if best.is_none_or(|(score, ..)| place.score < score) && (blink == 0 || random.below(blink) > 0) {
                        best = Some((place.score, s, place.how, way));
                    }
                });
            }
        }
        if let Some((_, sheet, how, way)) = best {
            self.save(sheet);
            if job.stages == u32::MAX {
                self.sheets[sheet].lay(item, way, how);
                return true;
            }
            let before = self.sheets[sheet].clone();
            self.sheets[sheet].lay(item, way, how);
            if self.sheets[sheet].stages() <= job.stages {
                return true;
            }
            self.sheets[sheet] = before;
        }
        self.lay_on_new(item, goal, blink)
    }

    fn lay_on_new(&mut self, item: usize, goal: i64, blink: u64) -> bool {
        let job = self.job;
        let it = &job.items[item];
        let mut best: Option<(i128, usize, (i64, i64, bool))> = None;
        for (l, line) in job.lines.iter().enumerate() {
            let affordable = self.cost.saturating_add(line.cost) <= goal;
            if !job.allowed[it.row][l] || self.open[l] >= line.count || !affordable {
                continue;
            }
            let ways = it.ways().filter(|(w, h, _)| *w <= line.width && *h <= line.height);
            for way in ways {
                let area = i128::from(line.width) * i128::from(line.height);
                let mut dear = i128::from(line.cost) * 1_000_000 / area.max(1);
                if blink > 0 {
                    // Any line now and then: the mix is part of the question.
                    dear = dear * i128::from(50 + self.random.below(100)) + i128::from(self.random.below(100));
                }
                if best.is_none_or(|(score, ..)| dear < score) {
                    best = Some((dear, l, way));
                }
            }
        }
        let Some((_, l, way)) = best else { return false };
        let line = &job.lines[l];
        let mut sheet = Strips::empty(l, line.width, line.height);
        sheet.lay(item, way, How::First);
        self.cost += line.cost;
        self.open[l] += 1;
        if !self.near.is_empty() {
            self.near.push(self.sheets.len());
        }
        self.sheets.push(sheet);
        true
    }
}
