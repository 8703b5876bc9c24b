//! The local search behind [`super::order`].

mod disturb;

use super::{OrderError, Stop, Visit, Way};
use crate::geom::Point;

/// How many lines near a line are tried as its neighbours.
const NEAR: usize = 10;
/// A gain below this, mm, is rounding.
const GAIN: f64 = 1e-9;

pub(super) fn search(items: &[Stop], start: Point, park: Option<Point>) -> Result<Vec<Visit>, OrderError> {
    let mut tour = Tour::greedy(items, start, park)?;
    let all: Vec<u32> = tour.sequence.clone();
    tour.choose_ways(0, all.len());
    tour.improve(&all);
    tour.choose_ways(0, all.len());
    tour.improve(&all);
    tour.disturb();
    tour.choose_ways(0, all.len());
    Ok(tour.visits())
}

/// A change that can be taken back.
enum Change {
    /// The stretch from one place to another was turned round.
    Turned(usize, usize),
    /// A line was given another way; this was its former one.
    Way(u32, u32),
}

struct Tour<'a> {
    items: &'a [Stop],
    start: Point,
    park: Option<Point>,
    /// All ways of all lines.
    ways: Vec<Way>,
    /// Where each line's ways begin in `ways`; one entry more than there are lines.
    first_way: Vec<u32>,
    /// The way that runs the other way round; itself where there is none.
    reverse: Vec<u32>,
    /// Whether turning a stretch round never changes the travel inside it.
    symmetric: bool,
    /// The lines that must follow each line, of the same class.
    before: Vec<Vec<u32>>,
    /// Whether any line of the same class must come before it or after it.
    bound: Vec<bool>,
    /// Lines near each line, of the same class, with the least distance between their gates;
    /// nearest first.
    near: Vec<Vec<(f64, u32)>>,
    /// The lines in their order.
    sequence: Vec<u32>,
    /// Where each line stands in the order.
    place: Vec<u32>,
    /// The way of each line, its place in `ways`.
    way: Vec<u32>,
    /// First place and end of each class's stretch, by line.
    stretch: Vec<(u32, u32)>,
    changes: Vec<Change>,
}

impl<'a> Tour<'a> {
    /// The nearest line allowed, again and again.
    fn greedy(items: &'a [Stop], start: Point, park: Option<Point>) -> Result<Self, OrderError> {
        let n = items.len();
        let mut first_way = vec![0u32];
        let mut ways = Vec::new();
        for i in items {
            ways.extend_from_slice(&i.ways);
            first_way.push(ways.len() as u32);
        }
        let (reverse, symmetric) = reverses(items, &first_way);
        let mut before: Vec<Vec<u32>> = vec![Vec::new(); n];
        let mut bound = vec![false; n];
        let mut waits: Vec<u32> = vec![0; n];
        for (i, item) in items.iter().enumerate() {
            for &b in item.after.iter().filter(|b| items[**b].class == item.class) {
                before[b].push(i as u32);
                waits[i] += 1;
                bound[i] = true;
                bound[b] = true;
            }
        }
        let mut by_class: Vec<u32> = (0..n as u32).collect();
        by_class.sort_by_key(|i| items[*i as usize].class);
        let mut tour = Self {
            items,
            start,
            park,
            ways,
            first_way,
            reverse,
            symmetric,
            before,
            bound,
            near: vec![Vec::new(); n],
            sequence: Vec::with_capacity(n),
            place: vec![0; n],
            way: vec![0; n],
            stretch: vec![(0, 0); n],
            changes: Vec::new(),
        };
        let mut at = start;
        for class in by_class.chunk_by(|a, b| items[*a as usize].class == items[*b as usize].class) {
            let from = tour.sequence.len() as u32;
            let span = (from, from + class.len() as u32);
            let mut left: Vec<u32> = class.to_vec();
            while !left.is_empty() {
                let ready = left.iter().enumerate().filter(|(_, i)| waits[**i as usize] == 0);
                let candidates = ready.flat_map(|(k, &i)| tour.ways_of(i).map(move |w| (k, w)));
                let reach = |w: u32| far(at, tour.ways[w as usize].entry);
                let nearest = candidates.min_by(|a, b| reach(a.1).total_cmp(&reach(b.1)));
                let Some((k, w)) = nearest else { return Err(OrderError::Impossible(left[0] as usize)) };
                let i = left.remove(k);
                tour.place[i as usize] = tour.sequence.len() as u32;
                tour.sequence.push(i);
                tour.way[i as usize] = w;
                tour.stretch[i as usize] = span;
                at = tour.ways[w as usize].exit;
                for &later in &tour.before[i as usize] {
                    waits[later as usize] -= 1;
                }
            }
            tour.find_neighbours(class);
        }
        Ok(tour)
    }

    fn find_neighbours(&mut self, class: &[u32]) {
        // The gap between the circles round two lines' gates: cheap, and right for large lines too.
        let circles: Vec<(Point, f64)> = class
            .iter()
            .map(|&i| {
                let ends = || self.items[i as usize].ways.iter().flat_map(|w| [w.entry, w.exit]);
                let c = crate::geom::Bounds::of(ends()).center();
                (c, ends().map(|p| far(p, c)).fold(0.0, f64::max))
            })
            .collect();
        for (a, &i) in class.iter().enumerate() {
            let gap = |b: usize| far(circles[a].0, circles[b].0) - circles[a].1 - circles[b].1;
            let mut others: Vec<(f64, u32)> =
                (0..class.len()).filter(|b| *b != a).map(|b| (gap(b), class[b])).collect();
            let order = |x: &(f64, u32), y: &(f64, u32)| x.0.total_cmp(&y.0).then(x.1.cmp(&y.1));
            if others.len() > 3 * NEAR {
                others.select_nth_unstable_by(3 * NEAR, order);
                others.truncate(3 * NEAR);
            }
            // Among these, by the true least distance between gates.
            for o in &mut others {
                let pairs = self.ways_of(i).flat_map(|v| self.ways_of(o.1).map(move |w| (v, w)));
                let apart = |(v, w): (u32, u32)| {
                    let (v, w) = (self.ways[v as usize], self.ways[w as usize]);
                    far(v.exit, w.entry).min(far(w.exit, v.entry))
                };
                o.0 = pairs.map(apart).fold(f64::INFINITY, f64::min);
            }
            others.sort_by(order);
            others.truncate(NEAR);
            self.near[i as usize] = others;
        }
    }

    fn ways_of(&self, item: u32) -> std::ops::Range<u32> {
        self.first_way[item as usize]..self.first_way[item as usize + 1]
    }

    fn visits(&self) -> Vec<Visit> {
        let visit =
            |&i: &u32| Visit { item: i as usize, way: (self.way[i as usize] - self.first_way[i as usize]) as usize };
        self.sequence.iter().map(visit).collect()
    }

    fn at(&self, place: usize) -> Way {
        self.ways[self.way[self.sequence[place] as usize] as usize]
    }

    /// The way at a place when its line is run the other way round.
    fn turned(&self, place: usize) -> Way {
        self.ways[self.reverse[self.way[self.sequence[place] as usize] as usize] as usize]
    }

    /// Where the tool comes from before a place.
    fn exit_before(&self, place: usize) -> Point {
        if place == 0 { self.start } else { self.at(place - 1).exit }
    }

    /// The travel from `from` to the line at a place, or to the park position after the last.
    fn to_place(&self, from: Point, place: usize) -> f64 {
        if place < self.sequence.len() {
            far(from, self.at(place).entry)
        } else {
            self.park.map_or(0.0, |p| far(from, p))
        }
    }

    /// What turning the stretch i..=j round adds to the travel.
    fn turning(&self, i: usize, j: usize) -> f64 {
        let from = self.exit_before(i);
        let old = far(from, self.at(i).entry) + self.to_place(self.at(j).exit, j + 1);
        let new = far(from, self.turned(j).entry) + self.to_place(self.turned(i).exit, j + 1);
        new - old + self.inside(i, j)
    }

    /// What turning the stretch i..=j round adds to the travel within it.
    fn inside(&self, i: usize, j: usize) -> f64 {
        if self.symmetric {
            return 0.0;
        }
        let link =
            |k: usize| far(self.turned(k + 1).exit, self.turned(k).entry) - far(self.at(k).exit, self.at(k + 1).entry);
        (i..j).map(link).sum()
    }

    /// Whether the stretch i..=j may be turned round.
    fn may_turn(&self, i: usize, j: usize) -> bool {
        (i..=j).all(|k| {
            let a = self.sequence[k] as usize;
            !self.bound[a] || self.before[a].iter().all(|b| !(i..=j).contains(&(self.place[*b as usize] as usize)))
        })
    }

    /// Whether the stretches i..=j and j+1..=k, neighbours, may change places.
    fn may_swap(&self, i: usize, j: usize, k: usize) -> bool {
        (i..=j).all(|a| {
            let a = self.sequence[a] as usize;
            !self.bound[a] || self.before[a].iter().all(|b| !(j + 1..=k).contains(&(self.place[*b as usize] as usize)))
        })
    }

    fn turn(&mut self, i: usize, j: usize) {
        self.changes.push(Change::Turned(i, j));
        self.turn_unrecorded(i, j);
    }

    fn turn_unrecorded(&mut self, i: usize, j: usize) {
        self.sequence[i..=j].reverse();
        for k in i..=j {
            let a = self.sequence[k] as usize;
            self.place[a] = k as u32;
            self.way[a] = self.reverse[self.way[a] as usize];
        }
    }

    /// The stretches i..=j and j+1..=k change places, each run as before.
    fn swap(&mut self, i: usize, j: usize, k: usize) {
        self.turn(i, j);
        self.turn(j + 1, k);
        self.turn(i, k);
    }

    fn set_way(&mut self, item: u32, way: u32) {
        let old = std::mem::replace(&mut self.way[item as usize], way);
        self.changes.push(Change::Way(item, old));
    }

    fn take_back(&mut self) {
        while let Some(change) = self.changes.pop() {
            match change {
                Change::Turned(i, j) => self.turn_unrecorded(i, j),
                Change::Way(item, way) => self.way[item as usize] = way,
            }
        }
    }

    /// Lines whose surroundings changed are looked at until none can be bettered. Returns the
    /// travel gained, mm.
    fn improve(&mut self, lines: &[u32]) -> f64 {
        let mut waiting: std::collections::VecDeque<u32> = lines.iter().copied().collect();
        let mut is_waiting = vec![false; self.items.len()];
        for &i in lines {
            is_waiting[i as usize] = true;
        }
        let mut gained = 0.0;
        while let Some(i) = waiting.pop_front() {
            is_waiting[i as usize] = false;
            while let Some((gain, places)) = self.better(i) {
                gained += gain;
                for p in places {
                    for q in p.saturating_sub(1)..=(p + 1).min(self.sequence.len() - 1) {
                        let a = self.sequence[q];
                        if !std::mem::replace(&mut is_waiting[a as usize], true) {
                            waiting.push_back(a);
                        }
                    }
                }
            }
        }
        gained
    }

    /// Makes the first change found about a line that shortens the travel; gives the gain and the
    /// places whose links changed.
    fn better(&mut self, line: u32) -> Option<(f64, [usize; 3])> {
        let p = self.place[line as usize] as usize;
        if let Some(gain) = self.better_way(p) {
            return Some((gain, [p, p, p]));
        }
        let (low, end) = self.stretch[line as usize];
        let (low, end) = (low as usize, end as usize);
        // A new link must be shorter than one that it replaces: farther lines cannot be bettered to.
        let links = far(self.exit_before(p), self.at(p).entry).max(self.to_place(self.at(p).exit, p + 1));
        for n in 0..self.near[line as usize].len() {
            let (gap, other) = self.near[line as usize][n];
            if gap >= links {
                break;
            }
            let q = self.place[other as usize] as usize;
            let (a, b) = (p.min(q), p.max(q));
            // 2-opt: the two become neighbours by turning what lies between.
            for (i, j) in [(a + 1, b), (a, b - 1)] {
                if i < j && self.turning(i, j) < -GAIN && self.may_turn(i, j) {
                    let gain = -self.turning(i, j);
                    self.turn(i, j);
                    return Some((gain, [i, j, j]));
                }
            }
            if let Some(found) = self.better_insertion(p, q, low, end) {
                return Some(found);
            }
        }
        None
    }

    /// Or-opt: a stretch of one to three lines that begins or ends at place `p` moves to stand
    /// before or after place `q`, either way round.
    fn better_insertion(&mut self, p: usize, q: usize, low: usize, end: usize) -> Option<(f64, [usize; 3])> {
        for (i, j) in [(p, p), (p, p + 1), (p.wrapping_sub(1), p), (p, p + 2), (p.wrapping_sub(2), p)] {
            if i < low || i > p || j >= end || (i..=j).contains(&q) {
                continue;
            }
            let out = self.exit_before(i);
            let taken = self.to_place(out, j + 1) - far(out, self.at(i).entry) - self.to_place(self.at(j).exit, j + 1);
            if taken > -GAIN {
                continue;
            }
            // The gap is before place `g`.
            for g in [q, q + 1] {
                if (i..=j + 1).contains(&g) {
                    continue;
                }
                let from = self.exit_before(g);
                let open = self.to_place(from, g);
                let straight = far(from, self.at(i).entry) + self.to_place(self.at(j).exit, g) - open;
                let round = far(from, self.turned(j).entry) + self.to_place(self.turned(i).exit, g) - open;
                let inside = self.inside(i, j);
                let mut best = straight.min(round + inside);
                let mut other_way = None;
                if i == j {
                    for w in self.ways_of(self.sequence[i]) {
                        let way = self.ways[w as usize];
                        let add = far(from, way.entry) + self.to_place(way.exit, g) - open;
                        if add < best {
                            best = add;
                            other_way = Some(w);
                        }
                    }
                }
                if taken + best > -GAIN {
                    continue;
                }
                let turn = other_way.is_none() && round + inside < straight;
                let allowed = if g < i { self.may_swap(g, i - 1, j) } else { self.may_swap(i, j, g - 1) }
                    && (!turn || self.may_turn(i, j));
                if !allowed {
                    continue;
                }
                if let Some(w) = other_way {
                    self.set_way(self.sequence[i], w);
                }
                if turn {
                    self.turn(i, j);
                }
                let places = if g < i {
                    self.swap(g, i - 1, j);
                    [g, g + j - i + 1, j]
                } else {
                    self.swap(i, j, g - 1);
                    [i, g - 1 - (j - i), g - 1]
                };
                return Some((-(taken + best), places));
            }
        }
        None
    }

    /// The best way of the line at a place between its neighbours.
    fn better_way(&mut self, p: usize) -> Option<f64> {
        let from = self.exit_before(p);
        let cost = |w: Way| far(from, w.entry) + self.to_place(w.exit, p + 1);
        let now = cost(self.at(p));
        let item = self.sequence[p];
        let best = self.ways_of(item).map(|w| (w, cost(self.ways[w as usize]))).min_by(|a, b| a.1.total_cmp(&b.1))?;
        (best.1 < now - GAIN).then(|| {
            self.set_way(item, best.0);
            now - best.1
        })
    }

    /// The best ways of the lines at places from..to together, the order kept: a shortest path
    /// through their gates. Returns the travel gained.
    fn choose_ways(&mut self, from: usize, to: usize) -> f64 {
        if from >= to {
            return 0.0;
        }
        let old = self.travel(from, to);
        let origin = self.exit_before(from);
        let mut layers: Vec<Vec<(f64, u32)>> = Vec::with_capacity(to - from);
        for p in from..to {
            let costs = self.ways_of(self.sequence[p]).map(|w| {
                let entry = self.ways[w as usize].entry;
                let Some(last) = layers.last() else { return (far(origin, entry), 0) };
                let previous = self.ways_of(self.sequence[p - 1]);
                let reach = |(k, v): (usize, u32)| (last[k].0 + far(self.ways[v as usize].exit, entry), k as u32);
                previous.enumerate().map(reach).fold((f64::INFINITY, 0), |a, b| if b.0 < a.0 { b } else { a })
            });
            layers.push(costs.collect());
        }
        let last = self.ways_of(self.sequence[to - 1]);
        let ends = last
            .enumerate()
            .map(|(k, w)| (layers[to - 1 - from][k].0 + self.to_place(self.ways[w as usize].exit, to), k as u32));
        let (new, mut k) = ends.fold((f64::INFINITY, 0), |a, b| if b.0 < a.0 { b } else { a });
        if new >= old - GAIN {
            return 0.0;
        }
        for p in (from..to).rev() {
            let item = self.sequence[p];
            let way = self.first_way[item as usize] + k;
            k = layers[p - from][k as usize].1;
            if self.way[item as usize] != way {
                self.set_way(item, way);
            }
        }
        old - new
    }

    /// The travel from before place `from` to the line at place `to`.
    fn travel(&self, from: usize, to: usize) -> f64 {
        let links = (from..to).map(|p| far(self.exit_before(p), self.at(p).entry));
        links.sum::<f64>() + self.to_place(self.exit_before(to), to)
    }
}

/// For each way the one of the same line that runs from its exit to its entry, itself where there
/// is none; and whether all have one.
fn reverses(items: &[Stop], first_way: &[u32]) -> (Vec<u32>, bool) {
    let mut reverse = Vec::new();
    let mut symmetric = true;
    for (i, item) in items.iter().enumerate() {
        for (k, w) in item.ways.iter().enumerate() {
            let mirror = |v: &Way| v.entry == w.exit && v.exit == w.entry;
            // Itself if it can be; otherwise pairs must name each other, so the first match for both.
            let found = if mirror(w) {
                Some(k)
            } else {
                let first = item.ways.iter().position(mirror);
                first.filter(|_| item.ways.iter().position(|v| v == w) == Some(k))
            };
            symmetric &= found.is_some();
            reverse.push(first_way[i] + found.unwrap_or(k) as u32);
        }
    }
    (reverse, symmetric)
}

/// The distance between two points, without the care of `hypot` for sizes that no table has.
fn far(a: Point, b: Point) -> f64 {
    (b - a).dot(b - a).sqrt()
}
