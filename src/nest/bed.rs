//! One sheet filled by true outlines: each thing goes to the best of the places where it touches
//! what lies there already.
//!
//! Such places are the corners of the room and of the forbidden places (see `shape.rs`), and the
//! crossings of their rims. They are kept for every way of every kind and only ever lost as the
//! sheet fills, so that a thing more costs one look at each.

use super::kind::{Area, Put, SLACK, Set};
use super::shape::surely_forbidden;
use crate::geom::{Bounds, Point, pt};

/// Places nearer than this are one, mm.
const SAME: f64 = 1e-6;

/// What makes a place good: the lower the sum of the reach upwards and to the right, each with its
/// weight, the better.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pull {
    pub(super) down: f64,
    pub(super) left: f64,
}

/// How one sheet is to be filled.
#[derive(Clone, Debug)]
pub(super) struct Recipe {
    pub(super) pull: Pull,
    /// For the first things placed, the way in which each lies; the others take the best.
    pub(super) ways: Vec<Option<usize>>,
}

/// A sheet being filled, one kind after another.
pub(super) struct Bed<'a> {
    set: &'a Set,
    room: Area,
    puts: Vec<Put>,
    /// The kind whose turn it is.
    open: usize,
    /// For each way of that kind, where it may stand and touch; `None` where it surely may nowhere.
    places: Vec<Option<Vec<Point>>>,
}

impl<'a> Bed<'a> {
    pub(super) fn new(set: &'a Set, room: Area) -> Self {
        Self { set, room, puts: Vec::new(), open: 0, places: Vec::new() }
    }

    /// A sheet on which something lies already.
    pub(super) fn holding(set: &'a Set, room: Area, puts: Vec<Put>) -> Self {
        Self { puts, ..Self::new(set, room) }
    }

    pub(super) fn into_puts(self) -> Vec<Put> {
        self.puts
    }

    /// How many of a kind lie here.
    pub(super) fn count(&self, kind: usize) -> u32 {
        self.puts.iter().filter(|p| p.kind == kind).count() as u32
    }

    /// From now on this kind is placed.
    pub(super) fn open(&mut self, kind: usize) {
        self.open = kind;
        self.places.clear();
        for way in 0..self.set.kinds[kind].ways.len() {
            let size = self.set.kinds[kind].ways[way].size();
            let may = self.room.holds(size) && !self.is_surely_full(way);
            let places = may.then(|| {
                let mut places = corners(range(self.room, size));
                for n in 0..self.puts.len() {
                    self.renew(&mut places, n, way);
                }
                places
            });
            self.places.push(places);
        }
    }

    /// Places one of the open kind, if there is room for it: in the way given if that can be.
    pub(super) fn place(&mut self, way: Option<usize>, pull: Pull) -> bool {
        let Some(put) = self.best(way, pull).or_else(|| way.and_then(|_| self.best(None, pull))) else { return false };
        self.puts.push(put);
        for way in 0..self.places.len() {
            if let Some(mut places) = self.places[way].take().filter(|_| !self.is_surely_full(way)) {
                self.renew(&mut places, self.puts.len() - 1, way);
                self.places[way] = Some(places);
            }
        }
        true
    }

    /// Whether the rectangles in what lies here leave no place for a way of the open kind: asked first, for the
    /// forbidden places of true outlines take a hundred times as long. Of all places left the lowest, of these the
    /// leftmost, would lie on the upper side of a forbidden rectangle or at the bottom, and on the right side of
    /// one or at the left.
    fn is_surely_full(&self, way: usize) -> bool {
        let shape = &self.set.kinds[self.open].ways[way];
        let range = range(self.room, shape.size());
        let of = |p: &Put| {
            let all = surely_forbidden(self.set.shape(p), shape, self.set.gap);
            all.map(|b| moved(b, pt(p.x, p.y))).collect::<Vec<_>>()
        };
        let mut taken: Vec<Bounds> = self.puts.iter().flat_map(of).collect();
        taken.sort_by(|a, b| a.min.x.total_cmp(&b.min.x));
        let is_taken = |y: f64| {
            // The leftmost place that is free at this height, as far as the rectangles were asked.
            let mut free = range.min.x;
            for b in taken.iter().filter(|b| y > b.min.y && y < b.max.y) {
                if b.min.x >= free {
                    break;
                }
                free = free.max(b.max.x);
            }
            free > range.max.x
        };
        let beyond = taken.iter().map(|b| b.max.y).filter(|y| *y > range.min.y && *y <= range.max.y);
        std::iter::once(range.min.y).chain(beyond).all(is_taken)
    }

    fn best(&self, way: Option<usize>, pull: Pull) -> Option<Put> {
        let mut best: Option<([f64; 3], Put)> = None;
        for (w, places) in self.places.iter().enumerate() {
            let shape = &self.set.kinds[self.open].ways[w];
            if way.is_some_and(|only| only != w) {
                continue;
            }
            for p in places.iter().flatten() {
                let score = [pull.down * (p.y + shape.height) + pull.left * (p.x + shape.width), p.y, p.x];
                // In whole nanometres, so that rounding decides nothing.
                let less = |a: f64, b: f64| a < b - SAME;
                let is_better = best.as_ref().is_none_or(|(s, _)| {
                    score.iter().zip(s).find(|(a, b)| less(**a, **b) || less(**b, **a)).is_some_and(|(a, b)| a < b)
                });
                if is_better {
                    best = Some((score, Put { kind: self.open, way: w, x: p.x, y: p.y }));
                }
            }
        }
        best.map(|(_, put)| put)
    }

    /// Takes out the places that the thing `n` spoils for a way of the open kind, and adds those that
    /// it makes with the things before it.
    fn renew(&self, places: &mut Vec<Point>, n: usize, way: usize) {
        let (put, of) = (self.puts[n], (self.open, way));
        let at = |p: &Put| pt(p.x, p.y);
        let no = self.set.no_fit((put.kind, put.way), of);
        let origin = at(&put);
        places.retain(|p| !no.forbids(*p - origin));
        let range = range(self.room, self.set.kinds[of.0].ways[of.1].size());
        let others = &self.puts[..n];
        let near: Vec<_> = others
            .iter()
            .map(|o| (at(o), self.set.no_fit((o.kind, o.way), of)))
            .filter(|(p, other)| moved(other.bounds(), *p).overlaps(moved(no.bounds(), origin), -SAME))
            .collect();
        let mut fresh: Vec<Point> = Vec::new();
        let mut add = |p: Point| {
            let inside = p.x >= range.min.x - SLACK
                && p.x <= range.max.x + SLACK
                && p.y >= range.min.y - SLACK
                && p.y <= range.max.y + SLACK;
            if inside {
                let p = pt(p.x.clamp(range.min.x, range.max.x), p.y.clamp(range.min.y, range.max.y));
                if !near.iter().any(|(o, other)| other.forbids(p - *o)) {
                    fresh.push(p);
                }
            }
        };
        let around = Bounds { min: range.min, max: range.max }.grown(SLACK);
        for (p, q) in &no.edges {
            let (p, q) = (*p + origin, *q + origin);
            let reach = Bounds::of([p, q]);
            if !around.overlaps(reach, -SAME) {
                continue;
            }
            add(p);
            for (x, y) in [
                (Some(range.min.x), None),
                (Some(range.max.x), None),
                (None, Some(range.min.y)),
                (None, Some(range.max.y)),
            ] {
                if let Some(c) = at_line((p, q), x, y) {
                    add(c);
                }
            }
            for (o, other) in &near {
                if !moved(other.bounds(), *o).overlaps(reach, -SAME) {
                    continue;
                }
                for (a, b) in &other.edges {
                    if let Some(c) = crossing((p, q), (*a + *o, *b + *o)) {
                        add(c);
                    }
                }
            }
        }
        places.extend(fresh);
        let micro = |v: f64| (v / SAME).round() as i64;
        places.sort_by_key(|p| (micro(p.y), micro(p.x)));
        places.dedup_by_key(|p| (micro(p.y), micro(p.x)));
    }
}

/// Where the lower left corner of something may stand in a room.
pub(super) fn range(room: Area, size: Area) -> Bounds {
    Bounds { min: pt(0.0, 0.0), max: pt((room.width - size.width).max(0.0), (room.height - size.height).max(0.0)) }
}

fn corners(b: Bounds) -> Vec<Point> {
    vec![b.min, pt(b.max.x, b.min.y), pt(b.min.x, b.max.y), b.max]
}

fn moved(b: Bounds, by: Point) -> Bounds {
    Bounds { min: b.min + by, max: b.max + by }
}

/// Where an edge meets an upright (`x`) or level (`y`) line.
fn at_line((p, q): (Point, Point), x: Option<f64>, y: Option<f64>) -> Option<Point> {
    let share = match (x, y) {
        (Some(x), _) => (x - p.x) / (q.x - p.x),
        (_, Some(y)) => (y - p.y) / (q.y - p.y),
        _ => return None,
    };
    if !(0.0..=1.0).contains(&share) {
        return None;
    }
    let c = p.lerp(q, share);
    Some(pt(x.unwrap_or(c.x), y.unwrap_or(c.y)))
}

/// Where two edges cross or touch; parallel ones do not.
fn crossing((p, q): (Point, Point), (a, b): (Point, Point)) -> Option<Point> {
    let (e, f) = (q - p, b - a);
    let turn = e.cross(f);
    if turn.abs() < 1e-12 * e.length() * f.length() {
        return None;
    }
    let (s, t) = ((a - p).cross(f) / turn, (a - p).cross(e) / turn);
    let on = -1e-9..=1.0 + 1e-9;
    (on.contains(&s) && on.contains(&t)).then(|| p + e * s)
}
