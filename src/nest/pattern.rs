//! One sheet with as much on it as can be found.

use super::Watch;
use super::bed::{Bed, Pull, Recipe};
use super::boxes::{Order, Rule, fill, pack};
use super::columns::columns;
use super::dice::Dice;
use super::kind::{Area, Put, Set};

/// Where outlines leave less than this of their rectangles, the rectangles are laid alone.
const HARDLY_ANY: f64 = 0.015;
/// A kind below this share of the largest one's area goes where the others leave room.
const SMALL: f64 = 0.1;
/// Differences of worth and offcut below this share are none.
const SHARE: f64 = 1e-9;

/// A sheet with the most `value` of what is left; among equals, that with the largest offcut.
pub(super) fn pattern(set: &Set, room: Area, left: &[u32], value: &[f64], effort: u32, watch: &Watch<'_>) -> Vec<Put> {
    let mut best = Best { puts: Vec::new(), worth: 0.0, offcut: 0.0 };
    let share = Share::of(set, left);
    let worth = |puts: &[Put]| share.worth(&set.counts(puts), value);
    for upright in [true, false] {
        best.offer(columns(set, room, left, value, upright), worth, set, room);
    }
    let density: Vec<f64> = value.iter().zip(&set.kinds).map(|(v, k)| v / k.area().max(1.0)).collect();
    for rule in Rule::ALL {
        for value in [value, &density] {
            let mut puts = Vec::new();
            fill(set, room, left, value, rule, &mut puts);
            best.offer(puts, worth, set, room);
        }
        if left.iter().sum::<u32>() <= 60 {
            for order in [Order::Tall, Order::Large] {
                let sheets = pack(set, room, &order.of(set, left), rule);
                best.offer(sheets.into_iter().next().unwrap_or_default(), worth, set, room);
            }
        }
    }
    if !set.is_straight && true_outlines_matter(set, left) {
        let mut search = Search::new(set, room, left, value);
        for trial in 0..effort.max(1) {
            if watch.is_stopped() && !best.puts.is_empty() || search.is_perfect(&best) {
                break;
            }
            let puts = search.trial(trial);
            search.judge(best.offer(puts, worth, set, room));
        }
    }
    best.puts
}

/// Whether what is left takes notably less than its rectangles.
pub(super) fn true_outlines_matter(set: &Set, left: &[u32]) -> bool {
    let (mut area, mut boxes) = (0.0, 0.0);
    for (kind, n) in set.kinds.iter().zip(left) {
        area += kind.area() * f64::from(*n);
        boxes += kind.ways.first().map_or(0.0, |s| s.size().mm2()) * f64::from(*n);
    }
    boxes - area > HARDLY_ANY * boxes
}

/// Whether what things are worth decides nothing: beside small ones only one kind is left.
pub(super) fn has_one_main(set: &Set, left: &[u32]) -> bool {
    let share = Share::of(set, left);
    (0..left.len()).all(|k| left[k] == 0 || k == share.main || share.is_small[k])
}

/// The kind that a sheet is there for, the largest, and the small ones that go with it.
pub(super) struct Share<'a> {
    left: &'a [u32],
    pub(super) main: usize,
    pub(super) is_small: Vec<bool>,
}

impl<'a> Share<'a> {
    pub(super) fn of(set: &Set, left: &'a [u32]) -> Self {
        let area = |k: &usize| set.kinds[*k].area();
        let there = (0..left.len()).filter(|k| left[*k] > 0);
        let main = there.max_by(|a, b| area(a).total_cmp(&area(b)).then(b.cmp(a))).unwrap_or(0);
        let is_small = (0..left.len()).map(|k| area(&k) < SMALL * area(&main)).collect();
        Self { left, main, is_small }
    }

    /// How many of a kind belong on a sheet with so many of the main one, so that sheets repeat and
    /// the first one is not crowded with the small pieces of all.
    pub(super) fn most(&self, kind: usize, mains: u32) -> u32 {
        let (left, of) = (u64::from(self.left[kind]), u64::from(self.left[self.main]));
        if !self.is_small[kind] || u64::from(mains) >= of {
            return self.left[kind];
        }
        (left * u64::from(mains)).div_ceil(of) as u32
    }

    /// What a sheet with so many of each kind is worth; more small pieces than belong on it count nothing.
    fn worth(&self, counts: &[u32], value: &[f64]) -> f64 {
        let of = |(k, n): (usize, &u32)| f64::from((*n).min(self.most(k, counts[self.main]))) * value[k];
        counts.iter().enumerate().map(of).sum()
    }
}

struct Best {
    puts: Vec<Put>,
    worth: f64,
    offcut: f64,
}

impl Best {
    /// Whether the sheet is no worse than the best one; then it is the best one now.
    fn offer(&mut self, puts: Vec<Put>, worth: impl Fn(&[Put]) -> f64, set: &Set, room: Area) -> bool {
        let (worth, offcut) = (worth(&puts), set.offcut(&puts, room));
        let more = SHARE * self.worth.max(1.0);
        let is_better =
            worth > self.worth + more || (worth > self.worth - more && offcut >= self.offcut - SHARE * room.mm2());
        if is_better && !puts.is_empty() {
            *self = Self { puts, worth, offcut };
        }
        is_better
    }
}

/// A search over recipes: the best one so far, changed a little at a time.
struct Search<'a> {
    set: &'a Set,
    room: Area,
    left: &'a [u32],
    /// Kinds in the order in which they are placed, with what decides the order.
    order: Vec<(usize, f64)>,
    recipe: Recipe,
    tried: (Vec<(usize, f64)>, Recipe),
    dice: Dice,
    share: Share<'a>,
}

impl<'a> Search<'a> {
    fn new(set: &'a Set, room: Area, left: &'a [u32], value: &[f64]) -> Self {
        let mut order: Vec<(usize, f64)> = (0..left.len()).filter(|k| left[*k] > 0).map(|k| (k, value[k])).collect();
        order.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        let share = Share::of(set, left);
        let things = (room.mm2() / set.kinds[share.main].area().max(1.0)) as usize;
        let recipe = Recipe { pull: Pull { down: 1.0, left: 0.0 }, ways: vec![None; things.min(64)] };
        let tried = (order.clone(), recipe.clone());
        Self { set, room, left, order, recipe, tried, dice: Dice::new(), share }
    }

    fn trial(&mut self, trial: u32) -> Vec<Put> {
        let (mut order, mut recipe) = (self.order.clone(), self.recipe.clone());
        match trial {
            0 => {}
            1 => recipe.pull = Pull { down: 0.0, left: 1.0 },
            2 => recipe.pull = Pull { down: 1.0, left: 1.0 },
            _ => {
                if self.dice.share() < 0.3 {
                    let down = self.dice.share();
                    recipe.pull = Pull { down, left: 1.0 - down };
                }
                let ways = self.set.kinds[self.share.main].ways.len();
                for way in &mut recipe.ways {
                    if self.dice.share() < 0.25 {
                        let n = (self.dice.share() * (ways + 1) as f64) as usize;
                        *way = (n < ways).then_some(n);
                    }
                }
                for (_, weight) in &mut order {
                    if self.dice.share() < 0.2 {
                        *weight *= 0.5 + self.dice.share();
                    }
                }
                order.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
            }
        }
        self.tried = (order, recipe);
        self.lay()
    }

    /// Keeps the recipe just tried when it was no worse.
    fn judge(&mut self, is_better: bool) {
        if is_better {
            (self.order, self.recipe) = self.tried.clone();
        }
    }

    fn lay(&self) -> Vec<Put> {
        let (order, recipe) = &self.tried;
        let mut bed = Bed::new(self.set, self.room);
        let mut nth = 0;
        let mut mains = 0;
        // The small ones last, where the others leave room.
        let (small, others): (Vec<usize>, Vec<usize>) =
            order.iter().map(|(k, _)| *k).partition(|k| self.share.is_small[*k]);
        for &kind in others.iter().chain(&small) {
            let most = self.share.most(kind, mains);
            let mut placed = 0;
            bed.open(kind);
            while placed < most {
                let way = recipe.ways.get(nth).copied().flatten().filter(|w| *w < self.set.kinds[kind].ways.len());
                if !bed.place(way, recipe.pull) {
                    break;
                }
                nth += 1;
                placed += 1;
            }
            if kind == self.share.main {
                mains = placed;
            }
        }
        bed.into_puts()
    }

    /// Whether nothing is left over and nothing could leave a larger offcut.
    fn is_perfect(&self, best: &Best) -> bool {
        let all: u32 = self.left.iter().sum();
        if best.puts.len() as u32 != all {
            return false;
        }
        let (mut high, mut wide, mut area) = (0.0_f64, 0.0_f64, 0.0);
        for (k, n) in self.left.iter().enumerate().filter(|(_, n)| **n > 0) {
            let ways = &self.set.kinds[k].ways;
            high = high.max(ways.iter().map(|s| s.height).fold(f64::INFINITY, f64::min));
            wide = wide.max(ways.iter().map(|s| s.width).fold(f64::INFINITY, f64::min));
            area += self.set.kinds[k].area() * f64::from(*n);
        }
        let (high, wide) = (high.max(area / self.room.width), wide.max(area / self.room.height));
        let most = ((self.room.height - high) * self.room.width).max((self.room.width - wide) * self.room.height);
        best.offcut >= most - SHARE * self.room.mm2()
    }
}
