//! The cloth of a tray's walls: one strip that goes round them, under the base, up the outside, over the top
//! and down the inside onto the floor.
//!
//! Laid out it is as long as the walls' outer faces are round the tray, with a tab round each end of them, and
//! its rows are, from its lower edge: the turn under the base, the outside, the top (as wide as the board is
//! thick), the inside, the turn onto the floor. At a corner of the walls the inside is shorter than the outside by
//! a board on either hand:
//!
//! - under the base a quarter is cut out, so that the turns meet there on the corner's bisector;
//! - of the top the wall that comes first keeps its cloth to the corner's outer edge and covers the square of board
//!   there; the one that comes after is cut at 45 degrees and lies over it;
//! - on the inside the first keeps a tab that goes round the inner corner and under the cloth of the other, which
//!   begins at the corner (common practice, no source);
//! - on the floor both are cut at 45 degrees.
//!
//! Cloth bends about its inner face: every bend of a right angle takes `pi / 4 c` (derived).

use crate::geom::{Contour, Path, Point, Stroke, pt};
use std::f64::consts::FRAC_PI_4;

/// What a strip goes round, mm.
pub(super) struct Walls {
    /// The outer lengths of the walls, in the order of the strip.
    pub(super) lengths: Vec<f64>,
    /// Whether they go all round, so that the strip's ends meet at a corner, the first one glued under the last.
    pub(super) is_ring: bool,
    /// How high their outside is, from under the base to the top.
    pub(super) outside: f64,
    /// How high their inside is, from the base's board to the top.
    pub(super) inside: f64,
    /// The board's thickness.
    pub(super) board: f64,
    /// The cloth's.
    pub(super) cloth: f64,
    /// How far cloth is turned under the base, onto the floor, and round the ends of the walls.
    pub(super) turn_in: f64,
}

/// A strip as it is cut, and where it folds.
pub(super) struct Strip {
    /// Counter-clockwise, its lower left corner about the origin, seen from its wrong side: the walls stand on it
    /// with their outsides down, the first at the left.
    pub(super) outline: Contour,
    /// Where the walls' outer faces lie on it.
    pub(super) marks: Vec<Stroke>,
}

/// The strip of some walls.
pub(super) fn strip(walls: &Walls) -> Strip {
    let Walls { outside, inside, board: t, cloth, turn_in, .. } = *walls;
    let bend = FRAC_PI_4 * cloth;
    // Heights of the rows, each bend with the row that it leads to.
    let under = turn_in;
    let top = under + outside + bend;
    let over = top + t + bend;
    let floor = over + inside + bend;
    let high = floor + turn_in;
    // From the end of a wall: round its thickness, and onto its inside.
    let tab = if walls.is_ring { turn_in } else { t + 2.0 * bend + turn_in };
    let last = walls.lengths.len().saturating_sub(1);
    let mut at = vec![tab];
    for (i, length) in walls.lengths.iter().enumerate() {
        let from = at.last().copied().unwrap_or(tab);
        at.push(from + length + if i < last { bend } else { 0.0 });
    }
    let (begin, end) = (tab, at.last().copied().unwrap_or(tab));
    // As wide as the board and the cloth on it: from an outer corner to the inner one.
    let q = t + cloth;
    // The cloth of the tab's upper corner covers the corner of the board: an ear of a board's thickness.
    let first = if walls.is_ring { begin + turn_in } else { begin };
    let mut lower: Vec<Point> = vec![pt(0.0, under), pt(begin, under), pt(first, 0.0)];
    let mut upper: Vec<Point> = Vec::new();
    for &corner in at.iter().take(at.len() - 1).skip(1) {
        lower.extend([pt(corner - turn_in, 0.0), pt(corner, under), pt(corner + turn_in, 0.0)]);
        upper.extend([
            pt(corner - q - turn_in, high),
            pt(corner - q, floor),
            pt(corner + q / 2.0, floor),
            pt(corner + q / 2.0, over + q / 2.0),
            pt(corner - q, over),
            pt(corner, over),
            pt(corner, top),
            pt(corner + q, over),
            pt(corner + q, floor),
            pt(corner + q + turn_in, high),
        ]);
    }
    let mut all = lower;
    if walls.is_ring {
        // The last wall as one that comes first at a corner, the first as one that comes after.
        all.extend([pt(end - turn_in, 0.0), pt(end, under), pt(end, over), pt(end - q, over)]);
        all.extend([pt(end + q / 2.0, over + q / 2.0), pt(end + q / 2.0, floor), pt(end - q, floor)]);
        all.push(pt(end - q - turn_in, high));
    } else {
        all.extend([pt(end, 0.0), pt(end, under), pt(end + tab, under)]);
        all.extend([pt(end + tab, top), pt(end + t, top), pt(end, over), pt(end, high)]);
    }
    all.extend(upper.into_iter().rev());
    if walls.is_ring {
        all.extend([pt(begin + q + turn_in, high), pt(begin + q, floor), pt(begin + q, over), pt(begin, top)]);
        all.push(pt(0.0, top));
    } else {
        all.extend([pt(begin, high), pt(begin, over), pt(begin - t, top), pt(0.0, top)]);
    }
    let faces =
        walls.lengths.iter().zip(&at).map(|(length, from)| {
            Stroke::Closed(Contour::rectangle(pt(*from, under), pt(from + length, under + outside)))
        });
    let fold = |y: f64| Stroke::Open(Path::line(pt(begin + turn_in, y), pt(end - turn_in, y)));
    Strip { outline: Contour::polygon(all), marks: faces.chain([fold(over)]).collect() }
}
