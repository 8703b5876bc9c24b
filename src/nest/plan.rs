//! Which sheets are filled with what: patterns of one sheet, each cut as often as the pieces that are
//! left allow, until none is left.
//!
//! A pattern is worth what its pieces are worth, at first their area. Kinds that only ever end up on
//! ill-used sheets gain worth from run to run, so that a later run places them while it still has
//! the choice (sequential value correction: E. Mukhacheva and others, 2000). The run with the least
//! cost is kept.

use super::boxes::{Order, Rule, pack};
use super::crowd::{fuller, grown, holds};
use super::dice::Dice;
use super::kind::{Area, Put, Run, Set};
use super::pattern::{has_one_main, pattern, true_outlines_matter};
use super::whole::{Whole, torn, whole_boxes};
use super::{Search, Watch};
use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;

/// With more things than this, whole layouts are no longer tried thing by thing.
const FEW: u32 = 400;
/// Up to so many are also laid in orders left to chance.
const SHAKEN: usize = 40;
/// How much of a kind's old worth a pattern leaves.
const KEPT: f64 = 0.7;
/// How much the worth of large pieces outgrows their area.
const BIAS: f64 = 1.02;

/// With less effort than this sheets are not crowded.
const CROWDED: u32 = 8;
/// At how many parts of forbidden places is looked in all to find room for more, for each layout that is tried for a
/// pattern: a look takes some five nanoseconds.
const LOOKS: u64 = 2_000_000;

/// A size of sheet that may be used.
#[derive(Clone, Copy, Debug)]
pub(super) struct Offer {
    /// Inside its margin.
    pub(super) room: Area,
    /// What one costs; a leftover costs nothing.
    pub(super) cost: f64,
    /// How many there are, where they are counted: leftovers.
    pub(super) most: Option<u32>,
}

/// A whole layout and how good it is; the lesser is the better.
struct Layout {
    runs: Vec<Run>,
    cost: f64,
    leftovers: u32,
    /// How many boxes have their things on more than one sheet.
    torn: u32,
    /// How many sheets are cut until the first box is whole.
    until_first: u32,
    offcut: f64,
}

impl Layout {
    fn is_better(&self, other: &Self) -> bool {
        let slack = 1e-9 * other.cost.max(1.0);
        if (self.cost - other.cost).abs() > slack {
            return self.cost < other.cost;
        }
        // Of as many sheets those with the fewest programs, which are the sheets that differ; then those that
        // keep boxes whole.
        let rank = |l: &Self| (l.leftovers, l.runs.len(), l.torn, l.until_first, -l.offcut);
        rank(self) < rank(other)
    }
}

/// The sheets for everything in the set that fits an offer. `effort` is how many layouts are tried
/// for each pattern, and an eighth of it how many runs.
pub(super) fn plan(set: &Set, offers: &[Offer], effort: u32, watch: &Watch<'_>) -> Vec<Run> {
    let planner = Planner { set, offers, effort, watch, known: RefCell::default(), looks: Cell::new(0) };
    let fits = |of: &[usize], kind: usize| of.iter().any(|o| set.kinds[kind].fits(offers[*o].room));
    let all: Vec<usize> = (0..offers.len()).collect();
    let left: Vec<u32> =
        set.kinds.iter().enumerate().map(|(k, kind)| if fits(&all, k) { kind.count } else { 0 }).collect();
    let (fresh, counted): (Vec<usize>, Vec<usize>) = all.iter().partition(|o| offers[**o].most.is_none());
    let mut choices: Vec<Vec<usize>> = fresh.iter().map(|o| vec![*o]).collect();
    if fresh.len() > 1 {
        choices.push(fresh);
    }
    if !counted.is_empty() {
        let with: Vec<Vec<usize>> = choices.iter().map(|c| counted.iter().chain(c).copied().collect()).collect();
        choices.extend(with);
    }
    choices.retain(|c| (0..left.len()).all(|k| left[k] == 0 || fits(c, k)));
    let runs = (effort / 8).max(1);
    let steps = choices.len() as u32 * runs;
    let best: RefCell<Option<Layout>> = RefCell::new(None);
    let mut keep = |layout: Layout| {
        let mut best = best.borrow_mut();
        if best.as_ref().is_none_or(|b| layout.is_better(b)) {
            *best = Some(layout);
        }
    };
    let worth = || -> Vec<f64> { set.kinds.iter().map(|k| k.area().powf(BIAS)).collect() };
    for (c, choice) in choices.iter().enumerate() {
        if let [one] = choice[..] {
            planner.whole(one, &left, Vec::new(), &mut keep);
        }
        let mut value = worth();
        for run in 0..runs {
            watch.tell(c as u32 * runs + run, steps);
            if watch.is_stopped() && (c, run) != (0, 0) {
                break;
            }
            let share = [1.0, 0.5, 0.34, 0.2][run as usize % 4];
            planner.serial(choice, left.clone(), &mut value, share, u32::MAX, &mut keep);
        }
    }
    // The same with a leftover less, as long as that costs nothing.
    let used = || best.borrow().as_ref().map_or(0, |b| b.leftovers);
    let mut spare = used();
    while spare > 0 && spare == used() && !watch.is_stopped() {
        spare -= 1;
        for choice in choices.iter().filter(|c| c.iter().any(|o| offers[*o].most.is_some())) {
            planner.serial(choice, left.clone(), &mut worth(), 1.0, spare, &mut keep);
        }
    }
    // Denser sheets by moving about what lies on them: it takes long, and only where fewer sheets might do.
    let cost = best.borrow().as_ref().map_or(0.0, |b| b.cost);
    if !set.is_straight && effort >= CROWDED && cost > planner.least_cost(&left) * (1.0 + 1e-9) {
        planner.looks.set(u64::from(effort) * LOOKS);
        for choice in choices.iter().filter(|_| !watch.is_stopped()) {
            planner.serial(choice, left.clone(), &mut worth(), 1.0, u32::MAX, &mut keep);
        }
        planner.looks.set(0);
    }
    // Every box whole on a sheet, where that takes no sheet more.
    let torn = best.borrow().as_ref().filter(|b| b.torn > 0).map(|b| b.cost);
    if let Some(cost) = torn.filter(|_| !watch.is_stopped()) {
        for (o, offer) in offers.iter().enumerate().filter(|(_, o)| o.most.is_none() && o.cost > 0.0) {
            let sheets = (cost / offer.cost + 1e-9) as u32;
            if let Some(whole) = whole_boxes(set, offer.room, sheets, effort) {
                planner.full_and_rest(o, whole).into_iter().for_each(&mut keep);
            }
        }
    }
    watch.tell(steps, steps);
    best.into_inner().map(|b| b.runs).unwrap_or_default()
}

type Known = BTreeMap<(usize, Vec<u32>, bool), Vec<Put>>;

struct Planner<'a> {
    set: &'a Set,
    offers: &'a [Offer],
    effort: u32,
    watch: &'a Watch<'a>,
    /// Patterns that every run would find alike, by offer and what was left.
    known: RefCell<Known>,
    /// How many looks are left while what lies on a sheet is moved about for one thing more.
    looks: Cell<u64>,
}

impl Planner<'_> {
    /// What is left, thing by thing on sheets of one size, after the runs before.
    fn whole(&self, offer: usize, left: &[u32], before: Vec<Run>, keep: &mut impl FnMut(Layout)) {
        if left.iter().sum::<u32>() > FEW {
            return;
        }
        let mut lay = |order: &[usize], rule| {
            let mut runs = before.clone();
            for puts in pack(self.set, self.offers[offer].room, order, rule) {
                match runs.last_mut() {
                    Some(last) if last.puts == puts && last.offer == offer => last.times += 1,
                    _ => runs.push(Run { offer, puts, times: 1 }),
                }
            }
            keep(self.layout(runs));
        };
        for order in Order::ALL {
            for rule in Rule::ALL {
                lay(&order.of(self.set, left), rule);
            }
        }
        // Few enough for chance to find what no rule does: the order by size, shaken.
        let mut order = Order::Large.of(self.set, left);
        if order.len() <= SHAKEN {
            let mut dice = Dice::new();
            for trial in 0..self.effort {
                if self.watch.is_stopped() {
                    break;
                }
                for i in 1..order.len() {
                    if dice.share() < 0.3 {
                        order.swap(i - 1, i);
                    }
                }
                lay(&order, Rule::ALL[trial as usize % Rule::ALL.len()]);
            }
        }
    }

    /// Pattern by pattern. `value` learns which kinds end up on ill-used sheets; `share` is how much
    /// of what a pattern could be repeated it is; of leftovers it takes `spare` at most.
    fn serial(
        &self,
        choice: &[usize],
        mut left: Vec<u32>,
        value: &mut [f64],
        share: f64,
        mut spare: u32,
        keep: &mut impl FnMut(Layout),
    ) {
        let mut runs: Vec<Run> = Vec::new();
        let mut stock: Vec<Option<u32>> = self.offers.iter().map(|o| o.most.map(|n| n.min(spare))).collect();
        while left.iter().any(|n| *n > 0) {
            if let (false, [one]) = (runs.is_empty(), choice)
                && left.iter().sum::<u32>() <= 60
            {
                self.whole(*one, &left, runs.clone(), keep);
            }
            let Some((offer, puts)) = self.next(choice, &stock, &left, value) else { return };
            let room = self.offers[offer].room;
            let filled = (self.set.area(&puts) / room.mm2()).max(0.01);
            let used = self.set.counts(&puts);
            let possible = used.iter().zip(&left).filter(|(u, _)| **u > 0).map(|(u, n)| n / u).min().unwrap_or(1);
            let mut times = ((f64::from(possible) * share).ceil() as u32).clamp(1, possible.max(1));
            if let Some(there) = &mut stock[offer] {
                times = times.min(*there).min(spare);
                *there -= times;
                spare -= times;
                if spare == 0 {
                    stock.iter_mut().flatten().for_each(|n| *n = 0);
                }
            }
            for (k, n) in used.iter().enumerate().filter(|(_, n)| **n > 0) {
                left[k] -= (n * times).min(left[k]);
                value[k] = KEPT * value[k] + (1.0 - KEPT) * self.set.kinds[k].area().powf(BIAS) / filled;
            }
            match runs.iter_mut().find(|r| r.offer == offer && r.puts == puts) {
                Some(same) => same.times += times,
                None => runs.push(Run { offer, puts, times }),
            }
        }
        keep(self.layout(runs));
    }

    /// The next pattern and what it is cut from: a leftover as long as there is one that holds
    /// something, else the size that gives most for its cost.
    fn next(&self, choice: &[usize], stock: &[Option<u32>], left: &[u32], value: &[f64]) -> Option<(usize, Vec<Put>)> {
        let of = |o: usize| {
            let (room, is_crowding) = (self.offers[o].room, self.looks.get() > 0);
            let find = || {
                let puts = pattern(self.set, room, left, value, self.effort, self.watch);
                match is_crowding && true_outlines_matter(self.set, left) {
                    true => fuller(self.set, room, puts, left, &self.looks, self.watch),
                    false => puts,
                }
            };
            if !has_one_main(self.set, left) {
                return find();
            }
            let key = (o, left.to_vec(), is_crowding);
            if let Some(known) = self.known.borrow().get(&key) {
                return known.clone();
            }
            let puts = find();
            self.known.borrow_mut().insert(key, puts.clone());
            puts
        };
        for &o in choice.iter().filter(|o| stock[**o].is_some_and(|n| n > 0)) {
            let puts = of(o);
            if !puts.is_empty() {
                return Some((o, puts));
            }
        }
        let fresh = choice.iter().filter(|o| stock[**o].is_none());
        let worth = |puts: &[Put]| puts.iter().map(|p| value[p.kind]).sum::<f64>();
        fresh
            .map(|&o| (o, of(o)))
            .filter(|(_, puts)| !puts.is_empty())
            .map(|(o, puts)| (worth(&puts) / self.offers[o].cost.max(1e-9), o, puts))
            .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)))
            .map(|(_, o, puts)| (o, puts))
    }

    /// No layout costs less, by the areas of what is left and by whole sheets where there is one size.
    fn least_cost(&self, left: &[u32]) -> f64 {
        let taken: f64 = left.iter().enumerate().map(|(k, n)| grown(self.set, k) * f64::from(*n)).sum();
        let of = |o: &Offer| {
            let sheets = taken / holds(self.set, o.room);
            if self.offers.len() == 1 { sheets.ceil() * o.cost } else { sheets * o.cost }
        };
        self.offers.iter().map(of).fold(f64::INFINITY, f64::min)
    }

    /// Whole boxes on sheets of one size: the full ones, and after them those that fill no sheet, laid as a job of
    /// so many boxes would be, so that the most is left of the last one.
    fn full_and_rest(&self, offer: usize, whole: Whole) -> Vec<Layout> {
        let Whole { puts, full, rest } = whole;
        let before = Run { offer, puts, times: full };
        if rest == 0 {
            return vec![self.layout(vec![before])];
        }
        let left = self.set.of_boxes(rest);
        let search = Search { progress: &|_, _, _| {}, ..*self.watch.search };
        let anew = plan(&left, self.offers, self.effort, &Watch { search: &search, ..*self.watch });
        // Where that took more sheets: their places on the full one are known to do.
        let as_before = vec![Run { offer, puts: left.first_of(&before.puts), times: 1 }];
        let after = |rest: Vec<Run>| self.layout(std::iter::once(before.clone()).chain(rest).collect());
        vec![after(anew), after(as_before)]
    }

    fn layout(&self, runs: Vec<Run>) -> Layout {
        let of = |r: &Run| self.offers[r.offer];
        let offcut = runs.iter().map(|r| f64::from(r.times) * self.set.offcut(&r.puts, of(r).room)).fold(0.0, f64::max);
        Layout {
            cost: runs.iter().map(|r| f64::from(r.times) * of(r).cost).sum(),
            leftovers: runs.iter().filter(|r| of(r).most.is_some()).map(|r| r.times).sum(),
            torn: torn(self.set, &runs),
            until_first: self.until_first(&runs),
            offcut,
            runs,
        }
    }

    /// How many sheets are cut until the first box is whole; 0 where there is only one.
    fn until_first(&self, runs: &[Run]) -> u32 {
        if self.set.kinds.iter().all(|k| k.count <= k.of_a_box) {
            return 0;
        }
        let mut wanted: Vec<u32> = self.set.kinds.iter().map(|k| k.of_a_box.min(k.count)).collect();
        let mut sheets = 0;
        for run in runs {
            for _ in 0..run.times {
                if wanted.iter().all(|n| *n == 0) {
                    return sheets;
                }
                sheets += 1;
                run.puts.iter().for_each(|p| wanted[p.kind] = wanted[p.kind].saturating_sub(1));
            }
        }
        sheets
    }
}
