//! How deep a place lies within the forbidden ones of two shapes: by how much they overlap when the one stands there beside
//! the other, as the least way that takes them apart (penetration depth).
//!
//! It is asked for millions of places. So the distance to the rim is known beforehand on the nodes of a grid, less than
//! zero where a place is allowed, and between nodes it is read as bilinear. A distance changes by no more than the way gone:
//! farther from the rim than a cell is long across, the sign that is read is right. Nearer, the parts are asked.

use super::rim;
use super::shape::NoFit;
use crate::geom::{Bounds, Point, pt};

/// Forbidden places, to be asked how deep one is in them.
pub(super) struct Forbidden {
    pub(super) bounds: Bounds,
    parts: Vec<(Bounds, Vec<Side>)>,
    rim: f64,
    field: Field,
}

/// A side of a convex part: the way out of it, of length 1, and how far out along that way it lies, mm.
type Side = (Point, f64);

impl Forbidden {
    pub(super) fn of(no: &NoFit) -> Self {
        let side = |(a, b): (Point, Point)| {
            let out = (b - a).left() * (-1.0 / (b - a).length());
            (out, out.dot(a))
        };
        let sides = |corners: &[Point]| rim::edges(corners).filter(|(a, b)| !a.is_near(*b)).map(side).collect();
        let mut parts: Vec<(Bounds, Vec<Side>)> =
            no.parts().iter().map(|(bounds, corners)| (*bounds, sides(corners))).collect();
        // The largest first: most places are deepest in one of them.
        let size = |b: &Bounds| b.width().min(b.height());
        parts.sort_by(|a, b| size(&b.0).total_cmp(&size(&a.0)));
        // Half of what counts as a rim: what is out by this is out by the question that every layout is asked.
        Self { bounds: no.bounds(), parts, rim: no.rim() / 2.0, field: Field::of(no) }
    }

    /// How far a place lies from the nearest allowed one, mm, read off the field; near the rim, where that is not sure, it
    /// is `None` exactly where the place is allowed. From `enough` on no more is asked. With it, how much was looked at.
    pub(super) fn depth(&self, place: Point, enough: f64) -> (Option<f64>, usize) {
        let depth = self.field.at(place);
        if depth.abs() > self.field.sure {
            return (Some(depth).filter(|d| *d > 0.0), 1);
        }
        let (found, looks) = self.out_of_part(place, enough);
        (found.map(|(d, _)| d.max(depth)), looks + 1)
    }

    /// How deep a place lies in the part in which it lies deepest, mm, and the way out of that part; `None` where it
    /// is allowed. From `enough` on no deeper part is looked for. With it, at how many parts was looked.
    pub(super) fn out_of_part(&self, place: Point, enough: f64) -> (Option<(f64, Point)>, usize) {
        let mut deepest: Option<(f64, Point)> = None;
        for (n, (bounds, sides)) in self.parts.iter().enumerate() {
            let found = if is_in(bounds, place) { self.depth_in(sides, place) } else { None };
            if let Some((depth, out)) = found.filter(|f| deepest.is_none_or(|d| f.0 > d.0)) {
                deepest = Some((depth, out));
                if depth >= enough {
                    return (deepest, n + 1);
                }
            }
        }
        (deepest, self.parts.len())
    }

    fn depth_in(&self, sides: &[Side], place: Point) -> Option<(f64, Point)> {
        let mut nearest = (f64::INFINITY, pt(0.0, 0.0));
        for (out, far) in sides {
            let depth = far - out.dot(place);
            if depth <= self.rim {
                return None;
            }
            if depth < nearest.0 {
                nearest = (depth, *out);
            }
        }
        Some(nearest)
    }
}

/// Whether a place lies within some bounds.
pub(super) fn is_in(b: &Bounds, p: Point) -> bool {
    p.x > b.min.x && p.x < b.max.x && p.y > b.min.y && p.y < b.max.y
}

/// So many cells along the longer side of the bounds.
const CELLS: usize = 48;

/// The distance to the rim on the nodes of a grid.
struct Field {
    from: Point,
    cell: f64,
    across: usize,
    up: usize,
    nodes: Vec<f64>,
    /// Farther from the rim than this its sign is right.
    sure: f64,
}

impl Field {
    fn of(no: &NoFit) -> Self {
        let b = no.bounds();
        let cell = (b.width().max(b.height()) / CELLS as f64).max(1e-6);
        let count = |long: f64| (long / cell).ceil() as usize + 2;
        let (across, up) = (count(b.width()), count(b.height()));
        let at = |i: usize| b.min + pt((i % across) as f64, (i / across) as f64) * cell;
        let edges = &no.edges;
        let far = |i: usize, e: usize| segment_distance(at(i), edges[e]);
        // Of every node the edge that is nearest: known beside the edges, and passed on from neighbour to neighbour.
        let mut nearest: Vec<Option<(f64, usize)>> = vec![None; across * up];
        let offer = |nearest: &mut Vec<Option<(f64, usize)>>, i: usize, e: usize| {
            let d = far(i, e);
            if nearest[i].is_none_or(|(known, _)| d < known) {
                nearest[i] = Some((d, e));
            }
        };
        for (e, (p, q)) in edges.iter().enumerate() {
            let around = Bounds::of([*p, *q]).grown(cell);
            let index = |v: f64, from: f64, most: usize| ((v - from) / cell).clamp(0.0, (most - 1) as f64);
            let (low, high) = (around.min, around.max);
            let columns =
                index(low.x, b.min.x, across).floor() as usize..=index(high.x, b.min.x, across).ceil() as usize;
            let rows = index(low.y, b.min.y, up).floor() as usize..=index(high.y, b.min.y, up).ceil() as usize;
            for row in rows {
                for column in columns.clone() {
                    let i = row * across + column;
                    if far(i, e) < cell * 1.5 {
                        offer(&mut nearest, i, e);
                    }
                }
            }
        }
        // Forth and back, twice: what is left of the error is less than a cell (P.-E. Danielsson, 1980, from memory).
        for _ in 0..2 {
            for i in 0..across * up {
                pass_on(&mut nearest, i, [across, up], [(-1, 0), (0, -1), (-1, -1), (1, -1)], &offer);
            }
            for i in (0..across * up).rev() {
                pass_on(&mut nearest, i, [across, up], [(1, 0), (0, 1), (1, 1), (-1, 1)], &offer);
            }
        }
        let signed = |(i, known): (usize, Option<(f64, usize)>)| {
            let d = known.map_or(0.0, |(d, _)| d);
            if no.forbids(at(i)) { d } else { -d }
        };
        let nodes = nearest.into_iter().enumerate().map(signed).collect();
        Self { from: b.min, cell, across, up, nodes, sure: cell * std::f64::consts::SQRT_2 * 1.1 }
    }

    /// The distance at a place, as it lies between four nodes.
    fn at(&self, p: Point) -> f64 {
        let (u, v) = ((p - self.from).x / self.cell, (p - self.from).y / self.cell);
        let (u, v) = (u.clamp(0.0, (self.across - 1) as f64), v.clamp(0.0, (self.up - 1) as f64));
        let (i, j) = ((u as usize).min(self.across - 2), (v as usize).min(self.up - 2));
        let (s, t) = (u - i as f64, v - j as f64);
        let node = |i: usize, j: usize| self.nodes[j * self.across + i];
        let low = node(i, j) * (1.0 - s) + node(i + 1, j) * s;
        let high = node(i, j + 1) * (1.0 - s) + node(i + 1, j + 1) * s;
        low * (1.0 - t) + high * t
    }
}

/// Offers a node the edges that are nearest to some of its neighbours.
fn pass_on(
    nearest: &mut Vec<Option<(f64, usize)>>,
    i: usize,
    [across, up]: [usize; 2],
    neighbours: [(isize, isize); 4],
    offer: &impl Fn(&mut Vec<Option<(f64, usize)>>, usize, usize),
) {
    let (column, row) = ((i % across) as isize, (i / across) as isize);
    for (dx, dy) in neighbours {
        let (x, y) = (column + dx, row + dy);
        if x < 0 || y < 0 || x >= across as isize || y >= up as isize {
            continue;
        }
        if let Some((_, e)) = nearest[y as usize * across + x as usize] {
            offer(nearest, i, e);
        }
    }
}

fn segment_distance(p: Point, (a, b): (Point, Point)) -> f64 {
    let along = b - a;
    let share = ((p - a).dot(along) / along.dot(along).max(1e-300)).clamp(0.0, 1.0);
    p.distance(a + along * share)
}

#[cfg(test)]
mod tests {
    use super::super::dice::Dice;
    use super::super::kind::{Kind, Set};
    use super::super::shape::Shape;
    use super::*;
    use crate::geom::Contour;

    fn set(outlines: &[&[(f64, f64)]], gap: f64) -> Set {
        let kind = |points: &&[(f64, f64)]| {
            let outline = Contour::polygon(points.iter().map(|&(x, y)| pt(x, y)));
            let turned = |deg| {
                let turn = crate::geom::Transform { rotation_deg: deg, ..crate::geom::Transform::IDENTITY };
                Shape::of(&outline.transformed(&turn), 0.0)
            };
            Kind { count: 1, of_a_box: 1, ways: [0.0, 90.0, 180.0, 270.0].map(turned).to_vec() }
        };
        Set::new(outlines.iter().map(kind).collect(), gap, false)
    }

    const SQUARE: &[(f64, f64)] = &[(0.0, 0.0), (46.0, 0.0), (46.0, 46.0), (0.0, 46.0)];
    const ELL: &[(f64, f64)] = &[(0.0, 0.0), (58.0, 0.0), (58.0, 28.0), (28.0, 28.0), (28.0, 58.0), (0.0, 58.0)];

    #[test]
    fn how_deep_agrees_with_whether() {
        let set = set(&[SQUARE, ELL], 3.0);
        let mut dice = Dice::new();
        let (mut inside, mut outside) = (0, 0);
        for (a, b) in [((0, 0), (0, 1)), ((0, 0), (1, 1)), ((1, 0), (1, 2)), ((1, 3), (0, 0))] {
            let no = set.no_fit(a, b);
            let deep = Forbidden::of(no);
            for _ in 0..2000 {
                let at = pt(dice.share() * 160.0 - 80.0, dice.share() * 160.0 - 80.0);
                let rim = no.edges.iter().map(|e| segment_distance(at, *e)).fold(f64::INFINITY, f64::min);
                let read = if is_in(&deep.bounds, at) { deep.depth(at, f64::INFINITY).0 } else { None };
                match deep.out_of_part(at, f64::INFINITY).0 {
                    Some((depth, out)) => {
                        assert!(no.forbids(at) || depth <= no.rim(), "{at:?} {depth}");
                        // As deep as the rim is far, by less than a cell; and no less than out of one part.
                        let read = read.unwrap();
                        assert!(
                            (read - rim).abs() < deep.field.cell && read > depth - deep.field.cell,
                            "{at:?} {read} {rim}"
                        );
                        // Of one part the way out leads out.
                        let is_out = || deep.out_of_part(at + out * (depth + 1e-6), 0.0).0.is_none();
                        assert!(deep.parts.len() > 1 || is_out(), "{at:?}: {depth}");
                        inside += 1;
                    }
                    None => {
                        assert!(!no.forbids(at) && read.is_none(), "{at:?}");
                        outside += 1;
                    }
                }
            }
        }
        assert!(inside > 1000 && outside > 1000, "{inside} {outside}");
    }
}
