//! One thing more on a sheet that seems full: what lies there is moved about until nothing overlaps.
//!
//! The one more is laid where it overlaps least. Then whatever overlaps moves, one thing after the other, to the best of
//! many places left to chance and of those near its own; the best is where it overlaps least, each pair by its weight.
//! Pairs that still overlap gain weight from round to round, so that no thing is stuck between two others for good
//! (guided local search: C. Voudouris and E. Tsang, 1999; for outlines: J. Egeblad and others, "Fast neighborhood search
//! for two- and three-dimensional nesting problems", 2007). By how much two overlap is how deep the one stands in the
//! other's forbidden places (penetration depth, as T. Imamichi and others, 2009); papers cited from memory.

use super::Watch;
use super::bed::{Bed, Pull, range};
use super::depth::{Forbidden, is_in};
use super::dice::Dice;
use super::kind::{Area, Put, Set};
use super::pattern::Share;
use crate::geom::{Bounds, Point, pt};
use std::cell::{Cell, OnceCell};

/// How many places left to chance are looked at for each way of a thing that moves.
const SOMEWHERE: usize = 24;
/// How many near its own.
const NEARBY: usize = 6;
/// From how many of the best of them it is moved on to the best place near.
const REFINED: usize = 3;
/// So many steps at the most: a way down may have no end.
const STEPS: usize = 120;
/// No pair weighs more than this.
const HEAVIEST: f64 = 1e6;
/// Steps shorter than this are no longer tried, as a share of the thing's narrower side.
const SHORTEST: f64 = 1e-4;
/// A pair that still overlaps gains from the first to the second of these, by how deep; any other keeps the third.
const GAINS: (f64, f64, f64) = (1.2, 2.0, 0.95);
/// Fuller than this no sheet of irregular outlines gets, gaps counted (our choice).
const FULLEST: f64 = 0.94;

/// After so many rounds in which the overlap did not become less than by the second share, some things are thrown anywhere.
const STALE: usize = 60;
const LESS: f64 = 0.98;
/// So many.
const THROWN: usize = 3;

/// What one thing more is given of the looks that are left: one in so many.
const SHARE: u64 = 4;
/// So many kinds are tried for the place of one thing more.
const TRIED: usize = 3;

/// Whether so much area may fit on a sheet, mm2, each thing with half of the gap around it.
fn may_hold(set: &Set, room: Area, things: impl Iterator<Item = (usize, u32)>) -> bool {
    things.map(|(kind, n)| grown(set, kind) * f64::from(n)).sum::<f64>() <= holds(set, room)
}

/// How much a sheet holds of things with half of the gap around each, mm2.
pub(super) fn holds(set: &Set, room: Area) -> f64 {
    // At the rim of the room things lie flush: half a gap lies outside.
    FULLEST * (room.width + set.gap) * (room.height + set.gap)
}

/// A thing with half of the gap around it, mm2, or less.
pub(super) fn grown(set: &Set, kind: usize) -> f64 {
    let Some(shape) = set.kinds[kind].ways.first() else { return 0.0 };
    // The way round it is at least that from end to end and back.
    shape.area + shape.width.hypot(shape.height) * set.gap
}

/// A sheet with as many things more, of those that are left, as room is found for in so many looks at forbidden places,
/// which are taken off. Small things, which go where the others leave room, are laid anew among them.
pub(super) fn fuller(
    set: &Set,
    room: Area,
    puts: Vec<Put>,
    left: &[u32],
    looks: &Cell<u64>,
    watch: &Watch<'_>,
) -> Vec<Put> {
    let share = Share::of(set, left);
    let largest_first = |is_asked: &dyn Fn(usize) -> bool| {
        let mut kinds: Vec<usize> = (0..left.len()).filter(|k| is_asked(*k)).collect();
        kinds.sort_by(|a, b| set.kinds[*b].area().total_cmp(&set.kinds[*a].area()).then(a.cmp(b)));
        kinds
    };
    let more = |puts: &[Put], is_asked: &dyn Fn(usize, &[u32]) -> bool| {
        let used = set.counts(puts);
        let mut more = largest_first(&|k| {
            let things = used.iter().enumerate().map(|(u, n)| (u, n + u32::from(u == k)));
            used[k] < left[k] && is_asked(k, &used) && may_hold(set, room, things)
        });
        // The largest are worth most, and the smallest goes in first.
        if more.len() > TRIED {
            more.drain(TRIED - 1..more.len() - 1);
        }
        more.iter().find_map(|k| with(set, room, puts, *k, looks, watch))
    };
    let mut large: Vec<Put> = puts.iter().filter(|p| !share.is_small[p.kind]).copied().collect();
    let before = large.len();
    while let Some(fuller) = more(&large, &|k, _| !share.is_small[k]) {
        large = fuller;
    }
    if large.len() == before {
        large = puts;
    }
    let mains = large.iter().filter(|p| p.kind == share.main).count() as u32;
    let mut bed = Bed::holding(set, room, large);
    for kind in largest_first(&|k| share.is_small[k] && left[k] > 0) {
        let mut wanted = share.most(kind, mains).saturating_sub(bed.count(kind));
        bed.open(kind);
        while wanted > 0 && bed.place(None, Pull { down: 1.0, left: 1.0 }) {
            wanted -= 1;
        }
    }
    let mut all = bed.into_puts();
    while let Some(fuller) = more(&all, &|k, used| share.is_small[k] && used[k] < share.most(k, mains)) {
        all = fuller;
    }
    all
}

/// The same sheet with one thing more, of the kind given; `None` where a share of the looks finds no room
/// for it.
fn with(set: &Set, room: Area, puts: &[Put], kind: usize, looks: &Cell<u64>, watch: &Watch<'_>) -> Option<Vec<Put>> {
    let way = set.kinds[kind].ways.iter().position(|s| room.holds(s.size()))?;
    let mut puts = puts.to_vec();
    puts.push(Put { kind, way, x: 0.0, y: 0.0 });
    // Whoever comes after is left something.
    let mine = looks.get() / SHARE;
    let mut crowd = Crowd::new(set, room, puts, mine);
    crowd.settle(crowd.puts.len() - 1);
    let mut is_found = crowd.overlapping().is_empty();
    let (mut least, mut stale) = ((f64::INFINITY, crowd.puts.clone()), 0);
    while !is_found && crowd.looks.get() > 0 && !watch.is_stopped() {
        let mut pressed = crowd.overlapping();
        crowd.shuffle(&mut pressed);
        for i in pressed {
            if crowd.looks.get() > 0 && crowd.cost_of(i) > 0.0 {
                crowd.settle(i);
            }
        }
        let overlap = crowd.weigh();
        is_found = crowd.overlapping().is_empty();
        stale = if overlap < least.0 * LESS { 0 } else { stale + 1 };
        if overlap < least.0 {
            least = (overlap, crowd.puts.clone());
        }
        if !is_found && stale >= STALE {
            crowd.puts.clone_from(&least.1);
            crowd.disturb();
            stale = 0;
        }
    }
    looks.set(looks.get() - (mine - crowd.looks.get()));
    (is_found && crowd.is_free()).then_some(crowd.puts)
}

struct Crowd<'a> {
    set: &'a Set,
    room: Area,
    puts: Vec<Put>,
    /// Of each pair, both ways round.
    weights: Vec<f64>,
    /// Of each kind that is here the number of its first way among the ways of all of them.
    starts: Vec<usize>,
    ways: usize,
    /// Where the second may not stand beside the first, by the ways of both.
    forbidden: Vec<OnceCell<Forbidden>>,
    dice: Dice,
    /// How many parts of forbidden places may still be looked at.
    looks: Cell<u64>,
}

/// A place for a thing: the way it lies and where its lower left corner stands.
#[derive(Clone, Copy, Debug)]
struct Place {
    way: usize,
    at: Point,
    cost: f64,
}

impl<'a> Crowd<'a> {
    fn new(set: &'a Set, room: Area, puts: Vec<Put>, looks: u64) -> Self {
        let (mut starts, mut ways) = (vec![usize::MAX; set.kinds.len()], 0);
        for p in &puts {
            if starts[p.kind] == usize::MAX {
                starts[p.kind] = ways;
                ways += set.kinds[p.kind].ways.len();
            }
        }
        let forbidden = (0..ways * ways).map(|_| OnceCell::new()).collect();
        let (n, dice, looks) = (puts.len(), Dice::new(), Cell::new(looks));
        Self { set, room, puts, weights: vec![1.0; n * n], starts, ways, forbidden, dice, looks }
    }

    /// How deep the thing `i` overlaps the thing `j` where it lies thus; `enough` or more is as good.
    fn depth(&self, i: usize, way: usize, at: Point, j: usize, enough: f64) -> Option<f64> {
        self.asked(i, way, at, j, |forbidden, place| forbidden.depth(place, enough))
    }

    /// The way out of the part of the forbidden places in which it lies deepest there, and how far that is.
    fn way_out(&self, i: usize, way: usize, at: Point, j: usize) -> Option<(f64, Point)> {
        self.asked(i, way, at, j, |forbidden, place| forbidden.out_of_part(place, f64::INFINITY))
    }

    fn asked<T>(
        &self,
        i: usize,
        way: usize,
        at: Point,
        j: usize,
        ask: impl Fn(&Forbidden, Point) -> (Option<T>, usize),
    ) -> Option<T> {
        let (of, other) = (&self.puts[i], &self.puts[j]);
        let n = (self.starts[other.kind] + other.way) * self.ways + self.starts[of.kind] + way;
        let no = || Forbidden::of(self.set.no_fit((other.kind, other.way), (of.kind, way)));
        let forbidden = self.forbidden[n].get_or_init(no);
        let place = at - pt(other.x, other.y);
        if !is_in(&forbidden.bounds, place) {
            return None;
        }
        let (found, looks) = ask(forbidden, place);
        self.looks.set(self.looks.get().saturating_sub(looks as u64));
        found
    }

    /// What the thing `i` costs there; more than `most` is told as infinite.
    fn cost(&self, i: usize, way: usize, at: Point, most: f64) -> f64 {
        let n = self.puts.len();
        let mut cost = 0.0;
        for j in (0..n).filter(|j| *j != i) {
            let weight = self.weights[i * n + j];
            if let Some(depth) = self.depth(i, way, at, j, (most - cost) / weight) {
                cost += depth * weight;
                if cost >= most {
                    return f64::INFINITY;
                }
            }
        }
        cost
    }

    fn cost_of(&self, i: usize) -> f64 {
        let p = &self.puts[i];
        self.cost(i, p.way, pt(p.x, p.y), f64::INFINITY)
    }

    fn overlapping(&self) -> Vec<usize> {
        (0..self.puts.len()).filter(|i| self.cost_of(*i) > 0.0).collect()
    }

    /// Whether all lies free by the question that every layout is asked.
    fn is_free(&self) -> bool {
        let all = |i: usize, p: &Put| {
            self.puts[..i].iter().all(|o| {
                let no = self.set.no_fit((o.kind, o.way), (p.kind, p.way));
                !no.forbids(pt(p.x - o.x, p.y - o.y))
            })
        };
        self.puts.iter().enumerate().all(|(i, p)| all(i, p))
    }

    /// Where the lower left corner of the thing may stand.
    fn range(&self, i: usize, way: usize) -> Option<Bounds> {
        let size = self.set.kinds[self.puts[i].kind].ways[way].size();
        self.room.holds(size).then(|| range(self.room, size))
    }

    /// Moves a thing to the best place that is found for it.
    fn settle(&mut self, i: usize) {
        let here = self.puts[i];
        let ways = self.set.kinds[here.kind].ways.len();
        let mut best: Vec<Place> = Vec::with_capacity(REFINED + 1);
        let from = Place { way: here.way, at: pt(here.x, here.y), cost: self.cost_of(i) };
        best.push(from);
        for way in 0..ways {
            let Some(range) = self.range(i, way) else { continue };
            let near = if way == here.way { NEARBY } else { 1 };
            for k in 0..SOMEWHERE + near {
                let (s, t) = (self.dice.share(), self.dice.share());
                let at = if k < SOMEWHERE {
                    pt(range.max.x * s, range.max.y * t)
                } else {
                    let size = self.set.kinds[here.kind].ways[way].size();
                    within(range, pt(here.x + (s - 0.5) * size.width / 2.0, here.y + (t - 0.5) * size.height / 2.0))
                };
                let most = if best.len() < REFINED { f64::INFINITY } else { best[best.len() - 1].cost };
                let cost = self.cost(i, way, at, most);
                if cost < most {
                    let rank = best.partition_point(|b| b.cost <= cost);
                    best.insert(rank, Place { way, at, cost });
                    best.truncate(REFINED);
                }
            }
        }
        let refined = best.into_iter().map(|p| self.refined(i, p)).min_by(|a, b| a.cost.total_cmp(&b.cost));
        if let Some(Place { way, at, .. }) = refined {
            self.puts[i] = Put { kind: here.kind, way, x: at.x, y: at.y };
        }
    }

    /// The best place near: by steps along the axes and aslant that grow where they help and shrink where they do not,
    /// and by the ways out of what it overlaps, which end exactly on a rim.
    fn refined(&mut self, i: usize, from: Place) -> Place {
        let mut best = from;
        let Some(range) = self.range(i, best.way) else { return best };
        let size = self.set.kinds[self.puts[i].kind].ways[best.way].size();
        let narrow = size.width.min(size.height);
        let mut step = narrow / 8.0;
        let mut steps = 0;
        while best.cost > 0.0 && step > SHORTEST * narrow && steps < STEPS {
            steps += 1;
            let turn = (self.dice.share() * 4.0) as usize;
            let (dx, dy) = [(1.0, 0.0), (0.0, 1.0), (1.0, 1.0), (1.0, -1.0)][turn.min(3)];
            let mut is_better = false;
            for sign in [1.0, -1.0] {
                let at = within(range, best.at + pt(dx, dy) * (step * sign));
                let cost = self.cost(i, best.way, at, best.cost);
                if cost < best.cost {
                    best = Place { at, cost, ..best };
                    is_better = true;
                    break;
                }
            }
            step *= if is_better { 1.2 } else { 0.6 };
        }
        let mut is_better = true;
        while best.cost > 0.0 && is_better && steps < 2 * STEPS {
            (is_better, steps) = (false, steps + 1);
            for j in (0..self.puts.len()).filter(|j| *j != i) {
                let Some((depth, out)) = self.way_out(i, best.way, best.at, j) else { continue };
                let at = within(range, best.at + out * depth);
                let cost = self.cost(i, best.way, at, best.cost);
                if cost < best.cost - 1e-9 {
                    best = Place { at, cost, ..best };
                    is_better = true;
                }
            }
        }
        best
    }

    /// A few things thrown anywhere, and all pairs of one weight again: another way down from there.
    fn disturb(&mut self) {
        self.weights.fill(1.0);
        for _ in 0..THROWN {
            let i = ((self.dice.share() * self.puts.len() as f64) as usize).min(self.puts.len() - 1);
            let kind = self.puts[i].kind;
            let ways = self.set.kinds[kind].ways.len();
            let way = ((self.dice.share() * ways as f64) as usize).min(ways - 1);
            let Some(range) = self.range(i, way) else { continue };
            let (s, t) = (self.dice.share(), self.dice.share());
            self.puts[i] = Put { kind, way, x: range.max.x * s, y: range.max.y * t };
        }
    }

    /// Pairs that still overlap gain weight; by how deep all of them do, in all, mm.
    fn weigh(&mut self) -> f64 {
        let n = self.puts.len();
        let mut deep = vec![0.0; n * n];
        for i in 0..n {
            let p = self.puts[i];
            for j in (0..n).filter(|j| *j != i) {
                deep[i * n + j] = self.depth(i, p.way, pt(p.x, p.y), j, f64::INFINITY).unwrap_or_default();
            }
        }
        let deepest = deep.iter().copied().fold(0.0, f64::max);
        for (w, d) in self.weights.iter_mut().zip(&deep) {
            *w = if *d > 0.0 {
                (*w * (GAINS.0 + (GAINS.1 - GAINS.0) * d / deepest)).min(HEAVIEST)
            } else {
                (*w * GAINS.2).max(1.0)
            };
        }
        deep.iter().sum::<f64>() / 2.0
    }

    fn shuffle(&mut self, all: &mut [usize]) {
        for i in (1..all.len()).rev() {
            let j = (self.dice.share() * (i + 1) as f64) as usize;
            all.swap(i, j.min(i));
        }
    }
}

fn within(range: Bounds, p: Point) -> Point {
    pt(p.x.clamp(range.min.x, range.max.x), p.y.clamp(range.min.y, range.max.y))
}

#[cfg(test)]
mod tests {
    use super::super::Search;
    use super::super::kind::Kind;
    use super::super::shape::Shape;
    use super::*;
    use crate::geom::Contour;
    use crate::job::StockKind;
    use std::sync::atomic::AtomicBool;

    fn set(outlines: &[&[(f64, f64)]], counts: &[u32], gap: f64) -> Set {
        let kind = |(points, n): (&&[(f64, f64)], &u32)| {
            let outline = Contour::polygon(points.iter().map(|&(x, y)| pt(x, y)));
            let turned = |deg| {
                let turn = crate::geom::Transform { rotation_deg: deg, ..crate::geom::Transform::IDENTITY };
                Shape::of(&outline.transformed(&turn), 0.0)
            };
            Kind { count: *n, of_a_box: 1, ways: [0.0, 90.0, 180.0, 270.0].map(turned).to_vec() }
        };
        Set::new(outlines.iter().zip(counts).map(kind).collect(), gap, false)
    }

    fn fuller_sheet(set: &Set, room: Area, puts: Vec<Put>, looks: u64) -> Vec<Put> {
        let stop = AtomicBool::new(false);
        let search = Search { apart: Default::default(), stop: &stop, progress: &|_, _, _| {} };
        let watch = Watch { kind: StockKind::Board, search: &search };
        let left: Vec<u32> = set.kinds.iter().map(|k| k.count).collect();
        fuller(set, room, puts, &left, &Cell::new(looks), &watch)
    }

    const SQUARE: &[(f64, f64)] = &[(0.0, 0.0), (46.0, 0.0), (46.0, 46.0), (0.0, 46.0)];
    const ELL: &[(f64, f64)] = &[(0.0, 0.0), (58.0, 0.0), (58.0, 28.0), (28.0, 28.0), (28.0, 58.0), (0.0, 58.0)];

    #[test]
    fn what_stands_in_the_middle_is_moved_aside_for_more() {
        let room = Area { width: 100.0, height: 100.0 };
        let set = set(&[SQUARE], &[9], 4.0);
        // Beside one in the middle there is room for none; four go there, and by their areas no fifth.
        let middle = Put { kind: 0, way: 0, x: 27.0, y: 27.0 };
        let puts = fuller_sheet(&set, room, vec![middle], 1_000_000);
        assert_eq!(puts.len(), 4, "{puts:?}");
        for (i, p) in puts.iter().enumerate() {
            assert!(p.x >= 0.0 && p.y >= 0.0 && p.x <= 54.0 && p.y <= 54.0, "{p:?}");
            for o in &puts[..i] {
                assert!((p.x - o.x).abs() > 50.0 - 1e-3 || (p.y - o.y).abs() > 50.0 - 1e-3, "{p:?} {o:?}");
            }
        }
        assert!(may_hold(&set, room, [(0, 4)].into_iter()) && !may_hold(&set, room, [(0, 5)].into_iter()));
        assert_eq!(puts, fuller_sheet(&set, room, vec![middle], 1_000_000), "chance is the same every time");
        // No looks, nothing more.
        assert_eq!(fuller_sheet(&set, room, vec![middle], 0), vec![middle]);
    }

    /// Two angles that hold each other take 58 + 30 by 58 mm; laid the same way round they take 116.
    #[test]
    fn two_angles_are_turned_into_each_other() {
        let set = set(&[ELL], &[2], 1.0);
        let room = Area { width: 90.0, height: 60.0 };
        let puts = fuller_sheet(&set, room, vec![Put { kind: 0, way: 0, x: 15.0, y: 1.0 }], 4_000_000);
        assert_eq!(puts.len(), 2);
        assert_ne!(puts[0].way, puts[1].way);
    }

    #[test]
    fn no_layout_holds_more_than_its_area() {
        // Four squares with their gaps fill a sheet to the last: 0.25 of a grown one is no more than a quarter of it.
        let set = set(&[SQUARE], &[4], 4.0);
        let room = Area { width: 96.0, height: 96.0 };
        assert!(4.0 * grown(&set, 0) <= holds(&set, room) / FULLEST);
    }
}
