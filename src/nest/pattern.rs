//! One sheet with as much on it as can be found.

use super::Watch;
use super::bed::{Bed, Pull, Recipe};
use super::boxes::{Order, Rule, fill, pack};
use super::columns::columns;
use super::kind::{Area, Put, Set};

/// An outline that takes more of its rectangle than this is laid by the rectangle alone.
const NEARLY_A_BOX: f64 = 0.985;
/// A kind below this share of the largest one's area goes where the others leave room.
const SMALL: f64 = 0.1;
/// Differences of worth and offcut below this share are none.
const SHARE: f64 = 1e-9;

/// A sheet with the most `value` of what is left; among equals, that with the largest offcut.
pub(super) fn pattern(set: &Set, room: Area, left: &[u32], value: &[f64], effort: u32, watch: &Watch<'_>) -> Vec<Put> {
    let mut best = Best { puts: Vec::new(), worth: 0.0, offcut: 0.0 };
    let worth = |puts: &[Put]| puts.iter().map(|p| value[p.kind]).sum::<f64>();
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
                let sheets = pack(set, room, left, order, rule);
                best.offer(sheets.into_iter().next().unwrap_or_default(), worth, set, room);
            }
        }
    }
    let is_odd = |k: &usize| {
        let shape = set.kinds[*k].ways.first();
        left[*k] > 0 && shape.is_some_and(|s| !s.is_box && s.area < NEARLY_A_BOX * s.width * s.height)
    };
    if (0..left.len()).any(|k| is_odd(&k)) {
        let mut search = Search::new(set, room, left, value);
        for trial in 0..effort.max(1) {
            if watch.is_stopped() && !best.puts.is_empty() || search.is_perfect(&best) {
                break;
            }
            let puts = search.trial(trial);
            search.judge(best.offer(puts, worth, set, room), trial);
        }
    }
    best.puts
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
    main: usize,
}

impl<'a> Search<'a> {
    fn new(set: &'a Set, room: Area, left: &'a [u32], value: &[f64]) -> Self {
        let mut order: Vec<(usize, f64)> = (0..left.len()).filter(|k| left[*k] > 0).map(|k| (k, value[k])).collect();
        order.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        let area = |k: usize| set.kinds[k].area();
        let main = order.iter().map(|(k, _)| *k).max_by(|a, b| area(*a).total_cmp(&area(*b)).then(b.cmp(a)));
        let things = (room.mm2() / main.map_or(1.0, area).max(1.0)) as usize;
        let recipe = Recipe { pull: Pull { down: 1.0, left: 0.0 }, ways: vec![None; things.min(64)] };
        let tried = (order.clone(), recipe.clone());
        Self { set, room, left, order, recipe, tried, dice: Dice(0x9e37_79b9_7f4a_7c15), main: main.unwrap_or(0) }
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
                let ways = self.set.kinds[self.main].ways.len();
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

    /// Keeps the recipe just tried when it was no worse, or when it is one of the first.
    fn judge(&mut self, is_better: bool, _trial: u32) {
        if is_better {
            (self.order, self.recipe) = self.tried.clone();
        }
    }

    fn lay(&self) -> Vec<Put> {
        let (order, recipe) = &self.tried;
        let mut bed = Bed::new(self.set, self.room, self.left);
        let mut nth = 0;
        let mut mains = 0;
        let large = self.set.kinds[self.main].area();
        // The small ones last, and no more of them than belong to the large ones on this sheet, so
        // that sheets repeat.
        let is_small = |k: usize| self.set.kinds[k].area() < SMALL * large;
        let (small, others): (Vec<usize>, Vec<usize>) = order.iter().map(|(k, _)| *k).partition(|k| is_small(*k));
        for &kind in others.iter().chain(&small) {
            let most = match (is_small(kind), self.left[self.main]) {
                (true, of) if of > mains => {
                    (u64::from(self.left[kind]) * u64::from(mains)).div_ceil(u64::from(of)) as u32
                }
                _ => self.left[kind],
            };
            let mut placed = 0;
            while placed < most {
                let way = recipe.ways.get(nth).copied().flatten().filter(|w| *w < self.set.kinds[kind].ways.len());
                if !bed.place(kind, way, recipe.pull) {
                    break;
                }
                nth += 1;
                placed += 1;
            }
            if kind == self.main {
                mains = placed;
            }
            bed.done(kind);
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

/// Numbers without pattern, the same on every run (xorshift64*: S. Vigna, 2016).
struct Dice(u64);

impl Dice {
    /// From 0 up to 1.
    fn share(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 11) as f64 / (1u64 << 53) as f64
    }
}
