//! Ribbons that tie the closed box: bands drawn tight over it, and a bow or a peg where they meet.

use super::scene::{Board, Space, at};
use crate::design::{Design, outer};
use crate::fit::{TieWay, tie_ways};
use crate::geom::{Contour, Point, Segment, pt};
use crate::job::{Job, Peg, Ties};
use crate::write::style::Rgb;

pub(super) const RIBBON: Rgb = [0xb0, 0x5c, 0x5c];
const PEG: Rgb = [0xf3, 0xe9, 0xcf];
/// A loop of a bow, as shares of what is free of each ribbon: how far it reaches and how wide it is (our choice).
const LOOP: [f64; 2] = [0.14, 0.05];
/// How long its ends are, likewise, and to which side of their loop they hang, degrees.
const END: (f64, f64) = (0.16, 35.0);

/// The ties of a closed box.
pub(super) fn ribbons(job: &Job, design: &Design) -> Vec<Board> {
    let of_case = design.case.as_ref().map(|case| &case.job.ties);
    let worked = outer(job);
    let asked = of_case.unwrap_or(&worked.ties);
    tie_ways(job, design).iter().flat_map(|way| asked.get(&way.side).map_or_else(Vec::new, |t| tied(way, t))).collect()
}

fn tied(way: &TieWay, asked: &Ties) -> Vec<Board> {
    let half = asked.width.to_mm() / 2.0;
    let thick = asked.thickness.to_mm() * f64::from(asked.layers());
    let strip = |points: &[Point], line: f64| -> Vec<Board> {
        points.windows(2).filter_map(|w| band(way, [w[0], w[1]], line, [half, thick])).collect()
    };
    let (own, others) = way.divided();
    let mut all = strip(&own, way.lines[0]);
    all.extend(strip(&others, way.lines[1]));
    match asked.peg {
        None => all.extend(bow(way, &own, asked)),
        Some(peg) => all.extend(pushed_through(way, &own, &peg, thick)),
    }
    all
}

/// Places of a face that a way runs over: x along the way from a point of it, y to its left, z away from the box.
struct On<'w> {
    way: &'w TieWay,
    from: Point,
    along: Point,
    line: f64,
}

impl On<'_> {
    fn put(&self, p: Space) -> Space {
        let on = self.from + self.along * p.x + self.along.left() * p.z;
        let left = if self.way.is_right_handed() { p.y } else { -p.y };
        let q = self.way.put(on, self.line + left);
        at(q.x, q.y, q.z)
    }
}

/// A strip of ribbon along a stretch of the way.
fn band(way: &TieWay, [from, to]: [Point; 2], line: f64, [half, thick]: [f64; 2]) -> Option<Board> {
    let on = On { way, from, along: (to - from).normalized()?, line };
    let flat = Contour::rectangle(pt(0.0, -half), pt(from.distance(to), half));
    Some(Board::new(&flat, 0.0, thick, RIBBON, &|p| on.put(p)))
}

/// Two loops and two ends at the end of a way.
fn bow(way: &TieWay, own: &[Point], asked: &Ties) -> Vec<Board> {
    let [.., before, from] = own[..] else { return Vec::new() };
    let Some(along) = (from - before).normalized() else { return Vec::new() };
    let on = On { way, from, along, line: way.lines[0] };
    let (free, thick) = (asked.bow.to_mm(), asked.thickness.to_mm());
    let [long, wide] = LOOP.map(|share| share * free);
    let half = asked.width.to_mm() / 2.0;
    let mut all = Vec::new();
    for side in [-1.0, 1.0] {
        // Drawn as a lens: from the knot out and back.
        let tip = pt(0.0, side * long);
        let edge = |bulge: f64| Segment { start: pt(0.0, 0.0), end: tip, bulge }.flatten(0.3);
        let bulge = (2.0 * (wide / long).atan()).tan().min(0.8) / 1.6;
        let mut ring = edge(bulge);
        ring.extend(edge(-bulge).into_iter().rev().skip(1));
        ring.pop();
        all.push(Board::new(&Contour::polygon(ring).ccw(), thick, 2.0 * thick, RIBBON, &|p| on.put(p)));
        let (share, degrees) = END;
        let way_out = Point::unit((90.0 * side + degrees * side).to_radians());
        let (end, aside) = (way_out * (share * free), way_out.left() * half);
        let ring = [-aside, end - aside, end + aside, aside];
        all.push(Board::new(&Contour::polygon(ring).ccw(), 0.0, thick, RIBBON, &|p| on.put(p)));
    }
    let knot = Contour::rectangle(pt(-half, -half), pt(half, half));
    all.push(Board::new(&knot, 0.0, 4.0 * thick, RIBBON, &|p| on.put(p)));
    all
}

/// A peg across both ribbons at the end of a way.
fn pushed_through(way: &TieWay, own: &[Point], peg: &Peg, thick: f64) -> Option<Board> {
    let [.., before, from] = own[..] else { return None };
    let middle = f64::midpoint(way.lines[0], way.lines[1]);
    let on = On { way, from, along: (from - before).normalized()?, line: middle };
    let [round, half] = [peg.diameter.to_mm(), peg.length.to_mm() / 2.0];
    let flat = Contour::rectangle(pt(-round / 2.0, -half), pt(round / 2.0, half));
    Some(Board::new(&flat, thick, thick + round, PEG, &|p| on.put(p)))
}
