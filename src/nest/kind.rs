//! What is to be placed, as the engines see it: kinds of equal things, the ways in which each may
//! lie, and the room for them. Nothing here knows stock, grain or boxes.

use super::shape::{NoFit, Shape};
use std::cell::OnceCell;
use std::rc::Rc;

/// Rounding that still counts as fitting, mm.
pub(super) const SLACK: f64 = 1e-9;

/// Width and height in mm.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Area {
    pub(super) width: f64,
    pub(super) height: f64,
}

impl Area {
    pub(super) fn holds(self, other: Self) -> bool {
        other.width <= self.width + SLACK && other.height <= self.height + SLACK
    }

    pub(super) fn turned(self) -> Self {
        Self { width: self.height, height: self.width }
    }

    pub(super) fn mm2(self) -> f64 {
        self.width * self.height
    }
}

/// Equal things and how many of them there are.
#[derive(Clone, Debug)]
pub(super) struct Kind {
    pub(super) count: u32,
    /// How many of them belong together, to one box.
    pub(super) of_a_box: u32,
    /// One of them, in each way that it may lie.
    pub(super) ways: Vec<Shape>,
}

impl Kind {
    pub(super) fn area(&self) -> f64 {
        self.ways.first().map_or(0.0, |s| s.area)
    }

    pub(super) fn fits(&self, room: Area) -> bool {
        self.ways.iter().any(|s| room.holds(s.size()))
    }
}

impl Shape {
    pub(super) fn size(&self) -> Area {
        Area { width: self.width, height: self.height }
    }
}

/// One thing placed: its kind, the way it lies, its lower left corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Put {
    pub(super) kind: usize,
    pub(super) way: usize,
    pub(super) x: f64,
    pub(super) y: f64,
}

/// Sheets that are alike.
#[derive(Clone, Debug)]
pub(super) struct Run {
    pub(super) offer: usize,
    pub(super) puts: Vec<Put>,
    pub(super) times: u32,
}

/// The kinds of one stock with the gap between them, and what is found out about them on the way.
pub(super) struct Set {
    pub(super) kinds: Vec<Kind>,
    pub(super) gap: f64,
    /// Whether cuts from edge to edge must take the things apart; then each is a rectangle.
    pub(super) is_straight: bool,
    /// Where each way's number begins in a list of all of them.
    starts: Vec<usize>,
    no_fits: Rc<[Row]>,
}

/// What is known of where ways may not stand beside one of them. A list that all differ has thousands of ways, of
/// which few ever lie side by side: a row takes room when the first of it is asked for.
type Row = OnceCell<Box<[OnceCell<Box<NoFit>>]>>;

impl Set {
    pub(super) fn new(kinds: Vec<Kind>, gap: f64, is_straight: bool) -> Self {
        let mut starts = Vec::with_capacity(kinds.len());
        let mut ways = 0;
        for kind in &kinds {
            starts.push(ways);
            ways += kind.ways.len();
        }
        let no_fits = (0..ways).map(|_| OnceCell::new()).collect();
        Self { kinds, gap, is_straight, starts, no_fits }
    }

    /// The same kinds, as many of each as so many boxes need.
    pub(super) fn of_boxes(&self, boxes: u32) -> Self {
        let of = |k: &Kind| Kind { count: k.count.min(k.of_a_box.max(1) * boxes), ..k.clone() };
        let kinds = self.kinds.iter().map(of).collect();
        Self { kinds, starts: self.starts.clone(), no_fits: Rc::clone(&self.no_fits), ..*self }
    }

    /// Of these things no more of each kind than there are.
    pub(super) fn first_of(&self, puts: &[Put]) -> Vec<Put> {
        let mut left: Vec<u32> = self.kinds.iter().map(|k| k.count).collect();
        let is_wanted = |p: &&Put| {
            let n = &mut left[p.kind];
            let is_left = *n > 0;
            *n = n.saturating_sub(1);
            is_left
        };
        puts.iter().filter(is_wanted).copied().collect()
    }

    /// How many ways all kinds have together.
    pub(super) fn ways(&self) -> usize {
        self.starts.last().map_or(0, |s| s + self.kinds.last().map_or(0, |k| k.ways.len()))
    }

    /// The number of a way among all.
    pub(super) fn number(&self, kind: usize, way: usize) -> usize {
        self.starts[kind] + way
    }

    pub(super) fn shape(&self, put: &Put) -> &Shape {
        &self.kinds[put.kind].ways[put.way]
    }

    /// Where `b` may not stand when `a` stands at the origin.
    pub(super) fn no_fit(&self, a: (usize, usize), b: (usize, usize)) -> &NoFit {
        let (i, j, n) = (self.number(a.0, a.1), self.number(b.0, b.1), self.ways());
        let row = self.no_fits[i].get_or_init(|| (0..n).map(|_| OnceCell::new()).collect());
        row[j].get_or_init(|| {
            let known = self.no_fits[j].get().and_then(|r| r[i].get()).filter(|_| i != j);
            Box::new(match known {
                Some(known) => known.reversed(),
                None => NoFit::between(&self.kinds[a.0].ways[a.1], &self.kinds[b.0].ways[b.1], self.gap),
            })
        })
    }

    /// How many of each kind there are among things.
    pub(super) fn counts(&self, puts: &[Put]) -> Vec<u32> {
        let mut counts = vec![0; self.kinds.len()];
        puts.iter().for_each(|p| counts[p.kind] += 1);
        counts
    }

    /// How high things reach.
    pub(super) fn top(&self, puts: &[Put]) -> f64 {
        puts.iter().map(|p| p.y + self.shape(p).height).fold(0.0, f64::max)
    }

    /// How far to the right things reach.
    pub(super) fn right(&self, puts: &[Put]) -> f64 {
        puts.iter().map(|p| p.x + self.shape(p).width).fold(0.0, f64::max)
    }

    /// The true area of things, mm2.
    pub(super) fn area(&self, puts: &[Put]) -> f64 {
        puts.iter().map(|p| self.shape(p).area).sum()
    }

    /// The larger rectangle that is left above or beside all things, mm2.
    pub(super) fn offcut(&self, puts: &[Put], room: Area) -> f64 {
        let above = (room.height - self.top(puts)) * room.width;
        above.max((room.width - self.right(puts)) * room.height)
    }
}
