//! In which order the lines of a sheet are worked, where each closed line is begun and which way
//! each open one is run: the hard order kept, then as little travel as local search finds.
//!
//! The hard order is a sequence of classes (see [`classes`]); every line of a class comes before
//! every line of the next. Within a class the problem is a travelling salesman's with a choice of
//! gate at each stop. A handful of lines is solved exactly; exact methods end near 25 to 50 stops,
//! so beyond that it is the nearest line again and again, then 2-opt, Or-opt and a re-choice of
//! gates, restarted from small disturbances. The number of disturbances is fixed and their sequence comes from a fixed seed: same lines, same order.

mod classes;
mod exact;
mod search;

pub use classes::{classes, ways_of};

use crate::geom::Point;

/// One way of working a line: where the tool goes down and where it comes up, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Way {
    /// Where the tool goes down.
    pub entry: Point,
    /// Where it comes up.
    pub exit: Point,
}

/// A line to be worked once.
#[derive(Clone, Debug, PartialEq)]
pub struct Stop {
    /// Lines of a lower class all come first.
    pub class: u32,
    /// Lines, by their places in the list, that must come before this one.
    pub after: Vec<usize>,
    /// The ways it may be worked, at least one.
    pub ways: Vec<Way>,
}

/// A line in its turn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Visit {
    /// The line's place in the list.
    pub item: usize,
    /// The way chosen, its place in the line's ways.
    pub way: usize,
}

/// Why there is no order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OrderError {
    /// This line has no way of being worked.
    NoWay(usize),
    /// This line must come after one that can never come before it: one of a later class, one that
    /// waits for this line itself, or one that is not in the list.
    Impossible(usize),
}

/// The order in which to work the lines from `start` to `park` (`None`: the last line may end
/// anywhere). Every line is visited once; classes and `after` are never broken. Cost grows a
/// little faster than linearly up to some hundreds of lines and is bounded beyond.
pub fn order(items: &[Stop], start: Point, park: Option<Point>) -> Result<Vec<Visit>, OrderError> {
    if let Some(i) = items.iter().position(|i| i.ways.is_empty()) {
        return Err(OrderError::NoWay(i));
    }
    let misplaced = |i: &Stop| i.after.iter().any(|&b| items.get(b).is_none_or(|before: &Stop| before.class > i.class));
    if let Some(i) = items.iter().position(misplaced) {
        return Err(OrderError::Impossible(i));
    }
    exact::exact(items, start, park).unwrap_or_else(|| search::search(items, start, park))
}

/// The travel of an order, mm: from `start` to the first line, between lines, and to `park`.
pub fn travel(items: &[Stop], visits: &[Visit], start: Point, park: Option<Point>) -> f64 {
    let mut at = start;
    let mut total = 0.0;
    for v in visits {
        let way = items[v.item].ways[v.way];
        total += at.distance(way.entry);
        at = way.exit;
    }
    total + park.map_or(0.0, |p| at.distance(p))
}

#[cfg(test)]
mod tests;
