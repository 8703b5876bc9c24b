//! Finds places for rectangles on as few equal sheets as it can. It knows nothing of stock, grain
//! or boxes; a denser engine can stand in its place.
//!
//! Each sheet keeps the list of the largest free rectangles that are left on it (they overlap each
//! other); a piece goes into the corner of the one that it fits best, and every free rectangle
//! that it touches is cut back. Source of the method: J. Jylänki, "A Thousand Ways to Pack the
//! Bin", 2010 (maximal rectangles). Several orders and rules of "best" are tried and the one with
//! the fewest sheets is kept, so the answer does not hang on one rule's bad day.

use std::cmp::Reverse;

/// Rounding that still counts as fitting, mm.
const SLACK: f64 = 1e-9;
/// With more pieces than this only the first plan is tried, so that a large edition stays quick.
const MANY: usize = 20_000;

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
}

/// One thing to place.
pub(super) struct Item {
    /// Whose shape it has: equal for equal things.
    pub(super) piece: usize,
    /// Which of them it is.
    pub(super) copy: u32,
    /// Things of one set should lie near each other; lower sets come first.
    pub(super) set: u32,
    /// The size in each way that it may lie.
    pub(super) sizes: Vec<Area>,
}

/// Where a thing lies: its place in the list given, the way it lies, its lower left corner.
#[derive(Clone, Debug)]
pub(super) struct Spot {
    pub(super) item: usize,
    pub(super) turn: usize,
    pub(super) x: f64,
    pub(super) y: f64,
}

/// The spots on each sheet of `room`, at least `gap` mm between any two things. Things that fit
/// no sheet are left out: ask [`Area::holds`] first.
pub(super) fn pack(items: &[Item], room: Area, gap: f64) -> Vec<Vec<Spot>> {
    let plans = [Order::Sets, Order::Tall, Order::Large].into_iter().flat_map(|o| Rule::ALL.map(|r| (o, r)));
    let plans = plans.take(if items.len() > MANY { 1 } else { usize::MAX });
    plans
        .map(|(order, rule)| (order, run(items, &order.of(items), rule, room, gap)))
        .min_by(|(a, x), (b, y)| {
            // Fewest sheets; then boxes kept together; then the largest offcut on the last sheet.
            let height = |s: &[Vec<Spot>]| s.last().map_or(0.0, |last| top(last, items));
            (x.len(), *a != Order::Sets).cmp(&(y.len(), *b != Order::Sets)).then(height(x).total_cmp(&height(y)))
        })
        .map(|(_, sheets)| sheets)
        .unwrap_or_default()
}

/// How high the things on a sheet reach.
fn top(spots: &[Spot], items: &[Item]) -> f64 {
    spots.iter().map(|s| s.y + items[s.item].sizes[s.turn].height).fold(0.0, f64::max)
}

/// In which order things are placed.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Order {
    /// Set by set, large before small in each.
    Sets,
    /// The longest side first.
    Tall,
    /// The largest area first.
    Large,
}

impl Order {
    fn of(self, items: &[Item]) -> Vec<usize> {
        // In whole micrometres, so that equal things are equal whatever their rounding.
        let micro = |v: f64| Reverse((v * 1e3).round() as i64);
        let mut order: Vec<usize> = (0..items.len()).collect();
        order.sort_by_key(|&i| {
            let item = &items[i];
            let size = item.sizes.first().copied().unwrap_or_default();
            let (area, side) = (micro(size.width * size.height), micro(size.width.max(size.height)));
            let (first, second, third) = match self {
                Self::Sets => (Reverse(-i64::from(item.set)), area, side),
                Self::Tall => (side, area, Reverse(0)),
                Self::Large => (area, side, Reverse(0)),
            };
            (first, second, third, item.piece, item.copy)
        });
        order
    }
}

/// What makes one place better than another; the lower wins.
#[derive(Clone, Copy)]
enum Rule {
    /// The least left over beside the shorter side.
    ShortSide,
    /// The lowest top edge.
    Low,
    /// The smallest free rectangle.
    Tight,
}

impl Rule {
    const ALL: [Self; 3] = [Self::ShortSide, Self::Low, Self::Tight];

    fn score(self, free: Free, size: Area) -> f64 {
        match self {
            Self::ShortSide => (free.width() - size.width).min(free.height() - size.height),
            Self::Low => free.y0 + size.height,
            Self::Tight => free.width() * free.height(),
        }
    }
}

fn run(items: &[Item], order: &[usize], rule: Rule, room: Area, gap: f64) -> Vec<Vec<Spot>> {
    // Everything is grown by the gap to the right and upwards, and the sheet with it.
    let grown = |a: Area| Area { width: a.width + gap, height: a.height + gap };
    let whole = Free { x0: 0.0, y0: 0.0, x1: room.width + gap, y1: room.height + gap };
    let mut sheets: Vec<(Vec<Free>, Vec<Spot>)> = Vec::new();
    // A sheet that refused a piece refuses its equals ever after: it only fills up.
    let mut first_open = vec![0; items.iter().map(|i| i.piece + 1).max().unwrap_or(0)];
    for &i in order {
        let item = &items[i];
        if !item.sizes.iter().any(|s| room.holds(*s)) {
            continue;
        }
        let start = first_open[item.piece];
        let found = (start..=sheets.len()).find_map(|s| {
            let blank = [whole];
            let free = sheets.get(s).map_or(&blank[..], |(free, _)| free);
            best(free, item, rule, grown).map(|(turn, at)| (s, turn, at))
        });
        let Some((s, turn, at)) = found else { continue };
        first_open[item.piece] = s;
        if s == sheets.len() {
            sheets.push((vec![whole], Vec::new()));
        }
        let size = grown(item.sizes[turn]);
        let (free, spots) = &mut sheets[s];
        spots.push(Spot { item: i, turn, x: at.x0, y: at.y0 });
        take(free, Free { x0: at.x0, y0: at.y0, x1: at.x0 + size.width, y1: at.y0 + size.height });
    }
    sheets.into_iter().map(|(_, spots)| spots).collect()
}

/// The best free rectangle for an item with the way it then lies; ties go to the lower, then to
/// the one further left, then to the first way.
fn best(free: &[Free], item: &Item, rule: Rule, grown: impl Fn(Area) -> Area) -> Option<(usize, Free)> {
    let choices = item.sizes.iter().enumerate().flat_map(|(turn, size)| {
        let size = grown(*size);
        free.iter().filter(move |f| f.area().holds(size)).map(move |f| (rule.score(*f, size), turn, *f))
    });
    choices
        .min_by(|(a, i, f), (b, j, g)| {
            a.total_cmp(b).then(f.y0.total_cmp(&g.y0)).then(f.x0.total_cmp(&g.x0)).then(i.cmp(j))
        })
        .map(|(_, turn, f)| (turn, f))
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
