//! Finds places for rectangles, as few sheets as it can.
//!
//! Each sheet keeps the list of the largest free rectangles that are left on it (they overlap each
//! other); a piece goes into the corner of the one that it fits best, and every free rectangle
//! that it touches is cut back. Source of the method: J. Jylänki, "A Thousand Ways to Pack the
//! Bin", 2010 (maximal rectangles). Several orders and rules of "best" are there for the caller to
//! try, so that the answer does not hang on one rule's bad day.

use super::kind::{Area, Put, SLACK, Set};
use super::straight::{beside, free_parts};
use crate::geom::{Bounds, pt};
use std::cmp::Reverse;

/// In which order things are placed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Order {
    /// Box by box, large before small in each.
    Boxes,
    /// The longest side first.
    Tall,
    /// The largest area first.
    Large,
}

impl Order {
    pub(super) const ALL: [Self; 3] = [Self::Boxes, Self::Tall, Self::Large];

    /// The kinds of all things, in this order.
    pub(super) fn of(self, set: &Set, left: &[u32]) -> Vec<usize> {
        // In whole micrometres, so that equal things are equal whatever their rounding.
        let micro = |v: f64| Reverse((v * 1e3).round() as i64);
        let things = left.iter().enumerate().flat_map(|(kind, n)| (0..*n).map(move |k| (kind, k)));
        let mut order: Vec<(usize, u32)> = things.collect();
        order.sort_by_key(|&(kind, k)| {
            let of = &set.kinds[kind];
            let size = of.ways.first().map_or(Area::default(), |s| s.size());
            let (area, side) = (micro(size.mm2()), micro(size.width.max(size.height)));
            match self {
                Self::Boxes => (Reverse(-i64::from(k / of.of_a_box.max(1))), area, side, kind, k),
                Self::Tall => (side, area, Reverse(0), kind, k),
                Self::Large => (area, side, Reverse(0), kind, k),
            }
        });
        order.into_iter().map(|(kind, _)| kind).collect()
    }
}

/// What makes one place better than another; the lower wins.
#[derive(Clone, Copy, Debug)]
pub(super) enum Rule {
    /// The least left over beside the shorter side.
    ShortSide,
    /// The lowest top edge.
    Low,
    /// The smallest free rectangle.
    Tight,
}

impl Rule {
    pub(super) const ALL: [Self; 3] = [Self::ShortSide, Self::Low, Self::Tight];

    fn score(self, free: Free, size: Area) -> f64 {
        match self {
            Self::ShortSide => (free.width() - size.width).min(free.height() - size.height),
            Self::Low => free.y0 + size.height,
            Self::Tight => free.width() * free.height(),
        }
    }
}

/// What is left free of one sheet.
pub(super) struct Rest {
    free: Vec<Free>,
    gap: f64,
    /// Whether the free rectangles overlap nowhere and each thing lies in one of them.
    is_straight: bool,
}

impl Rest {
    pub(super) fn of(set: &Set, room: Area, puts: &[Put]) -> Self {
        // Everything is grown by the gap to the right and upwards, and the sheet with it.
        let whole = Free { x0: 0.0, y0: 0.0, x1: room.width + set.gap, y1: room.height + set.gap };
        let mut rest = Self { free: vec![whole], gap: set.gap, is_straight: set.is_straight };
        if set.is_straight {
            let taken: Vec<Bounds> = puts.iter().map(|p| rest.reach(p, set).bounds()).collect();
            rest.free = free_parts(whole.bounds(), &taken).unwrap_or_default().into_iter().map(Free::of).collect();
            return rest;
        }
        for p in puts {
            rest.take(p, set);
        }
        rest
    }

    fn grown(&self, a: Area) -> Area {
        Area { width: a.width + self.gap, height: a.height + self.gap }
    }

    /// Places one of a kind; `None` where there is no room for it.
    pub(super) fn place(&mut self, set: &Set, kind: usize, rule: Rule) -> Option<Put> {
        let sizes = set.kinds[kind].ways.iter().map(|s| self.grown(s.size())).enumerate();
        // Ties go to the lower, then to the one further left, then to the first way.
        let put = sizes
            .flat_map(|(way, size)| {
                let fits = self.free.iter().filter(move |f| f.area().holds(size));
                fits.map(move |f| (rule.score(*f, size), Put { kind, way, x: f.x0, y: f.y0 }))
            })
            .min_by(|(a, p), (b, q)| {
                a.total_cmp(b).then(p.y.total_cmp(&q.y)).then(p.x.total_cmp(&q.x)).then(p.way.cmp(&q.way))
            })
            .map(|(_, put)| put)?;
        self.take(&put, set);
        Some(put)
    }

    fn reach(&self, put: &Put, set: &Set) -> Free {
        let size = self.grown(set.shape(put).size());
        Free { x0: put.x, y0: put.y, x1: put.x + size.width, y1: put.y + size.height }
    }

    fn take(&mut self, put: &Put, set: &Set) {
        let taken = self.reach(put, set);
        if !self.is_straight {
            take(&mut self.free, taken);
        } else if let Some(part) = self.free.iter().position(|f| f.covers(taken)) {
            let part = self.free.remove(part);
            self.free.extend(beside(part.bounds(), taken.bounds()).into_iter().map(Free::of));
        }
    }
}

/// Things of the kinds in `order`, one after another, on as many sheets of `room` as they take. Those
/// that fit no sheet are left out.
pub(super) fn pack(set: &Set, room: Area, order: &[usize], rule: Rule) -> Vec<Vec<Put>> {
    let mut sheets: Vec<(Rest, Vec<Put>)> = Vec::new();
    // A sheet that refused a thing refuses its equals ever after: it only fills up.
    let mut first_open = vec![0; set.kinds.len()];
    for &kind in order {
        if !set.kinds[kind].fits(room) {
            continue;
        }
        for s in first_open[kind]..=sheets.len() {
            if s == sheets.len() {
                sheets.push((Rest::of(set, room, &[]), Vec::new()));
            }
            let (rest, puts) = &mut sheets[s];
            if let Some(put) = rest.place(set, kind, rule) {
                puts.push(put);
                first_open[kind] = s;
                break;
            }
        }
    }
    sheets.into_iter().map(|(_, puts)| puts).collect()
}

/// Fills what is left free of one sheet with what is left to place, the most valuable first.
pub(super) fn fill(set: &Set, room: Area, left: &[u32], value: &[f64], rule: Rule, puts: &mut Vec<Put>) {
    let mut rest = Rest::of(set, room, puts);
    let mut order: Vec<usize> = (0..left.len()).filter(|k| left[*k] > 0).collect();
    order.sort_by(|a, b| value[*b].total_cmp(&value[*a]).then(a.cmp(b)));
    for kind in order {
        let placed = puts.iter().filter(|p| p.kind == kind).count() as u32;
        for _ in placed..left[kind] {
            let Some(put) = rest.place(set, kind, rule) else { break };
            puts.push(put);
        }
    }
}

/// A free rectangle on a sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Free {
    x0: f64,
    y0: f64,
    x1: f64,
    y1: f64,
}

impl Free {
    fn of(b: Bounds) -> Self {
        Self { x0: b.min.x, y0: b.min.y, x1: b.max.x, y1: b.max.y }
    }

    fn bounds(self) -> Bounds {
        Bounds { min: pt(self.x0, self.y0), max: pt(self.x1, self.y1) }
    }

    fn width(self) -> f64 {
        self.x1 - self.x0
    }

    fn height(self) -> f64 {
        self.y1 - self.y0
    }

    fn area(self) -> Area {
        Area { width: self.width(), height: self.height() }
    }

    fn meets(self, o: Self) -> bool {
        self.x0 < o.x1 - SLACK && o.x0 < self.x1 - SLACK && self.y0 < o.y1 - SLACK && o.y0 < self.y1 - SLACK
    }

    fn covers(self, o: Self) -> bool {
        self.x0 <= o.x0 + SLACK && self.y0 <= o.y0 + SLACK && self.x1 >= o.x1 - SLACK && self.y1 >= o.y1 - SLACK
    }
}

/// Cuts what was taken out of the free rectangles: each that meets it leaves the up to four
/// largest rectangles round it, and those that lie inside another are dropped.
fn take(free: &mut Vec<Free>, taken: Free) {
    let mut kept: Vec<Free> = Vec::with_capacity(free.len() + 4);
    let mut fresh: Vec<Free> = Vec::new();
    for f in free.drain(..) {
        if !f.meets(taken) {
            kept.push(f);
            continue;
        }
        let parts = [
            Free { x1: taken.x0, ..f },
            Free { x0: taken.x1, ..f },
            Free { y1: taken.y0, ..f },
            Free { y0: taken.y1, ..f },
        ];
        fresh.extend(parts.into_iter().filter(|p| p.width() > SLACK && p.height() > SLACK));
    }
    // Only a fresh one can lie inside another: the old ones were already the largest.
    for (i, f) in fresh.iter().enumerate() {
        let twin_before = fresh[..i].iter().any(|g| g.covers(*f));
        let inside_later = fresh[i + 1..].iter().any(|g| g.covers(*f) && !f.covers(*g));
        if !twin_before && !inside_later && !kept.iter().any(|g| g.covers(*f)) {
            kept.push(*f);
        }
    }
    *free = kept;
}
