//! The rim of what convex parts cover together: of every edge the stretches that lie in no other part.
//!
//! A line's stretch within a convex part lies between two shares of it, found edge by edge (Cyrus and Beck, 1978). With
//! the few corners that parts have here that takes a tenth of the time of a union.

use crate::geom::{Bounds, Point};

/// Lines nearer to one another than this, all along, are one, mm.
const ONE_LINE: f64 = 1e-9;
/// A stretch shorter than this is rounding, mm.
const NOTHING: f64 = 1e-7;

/// A convex part, counter-clockwise, with the lines of its edges: how far to the left of one a point lies is its product
/// with the unit vector, less the number, mm.
struct Part<'a> {
    bounds: Bounds,
    corners: &'a [Point],
    lines: Vec<(Point, f64)>,
}

impl<'a> Part<'a> {
    fn of((bounds, corners): &'a (Bounds, Vec<Point>)) -> Self {
        let line = |(a, b): (Point, Point)| {
            let left = (b - a).left() / (b - a).length();
            (left, left.dot(a))
        };
        Self { bounds: *bounds, corners, lines: edges(corners).map(line).collect() }
    }

    /// From which to which share of a line this part holds it. What lies on its rim is held where the line runs the
    /// other way, and, `with_rim`, where it runs the same way.
    fn holds(&self, (p, q): (Point, Point), with_rim: bool) -> Option<(f64, f64)> {
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        for (left, at) in &self.lines {
            let (d, e) = (left.dot(p) - at, left.dot(q) - at);
            if d.abs() <= ONE_LINE && e.abs() <= ONE_LINE {
                let is_same_way = left.cross(q - p) < 0.0;
                if is_same_way && !with_rim {
                    return None;
                }
                continue;
            }
            if d <= 0.0 && e <= 0.0 {
                return None;
            }
            if d < 0.0 {
                from = from.max(d / (d - e));
            } else if e < 0.0 {
                to = to.min(d / (d - e));
            }
        }
        (from < to).then_some((from, to))
    }
}

/// The edges of a ring.
pub(super) fn edges(corners: &[Point]) -> impl Iterator<Item = (Point, Point)> {
    (0..corners.len()).map(|i| (corners[i], corners[(i + 1) % corners.len()]))
}

/// The rim of some convex parts, each counter-clockwise and with its bounds: edges that have what is covered on their
/// left, in the order of the parts.
pub(super) fn of(parts: &[(Bounds, Vec<Point>)]) -> Vec<(Point, Point)> {
    let parts: Vec<Part> = parts.iter().map(Part::of).collect();
    // The largest is asked first: most of what is held lies in it as a whole.
    let mut order: Vec<usize> = (0..parts.len()).collect();
    let size = |i: usize| parts[i].bounds.width() * parts[i].bounds.height();
    order.sort_by(|a, b| size(*b).total_cmp(&size(*a)));
    let mut rim = Vec::new();
    let mut held: Vec<(f64, f64)> = Vec::new();
    for (i, part) in parts.iter().enumerate() {
        'edges: for (p, q) in edges(part.corners) {
            let around = Bounds::of([p, q]).grown(ONE_LINE);
            held.clear();
            for &j in order.iter().filter(|&&j| j != i && parts[j].bounds.overlaps(around, 0.0)) {
                // Of two parts with the same edge the first keeps it.
                match parts[j].holds((p, q), j < i) {
                    Some((from, to)) if from <= 0.0 && to >= 1.0 => continue 'edges,
                    held_here => held.extend(held_here),
                }
            }
            held.sort_by(|a, b| a.0.total_cmp(&b.0));
            let length = p.distance(q);
            let mut free = 0.0;
            for (from, to) in held.iter().copied().chain([(1.0, 1.0)]) {
                if (from - free) * length > NOTHING {
                    rim.push((p.lerp(q, free), p.lerp(q, from)));
                }
                free = f64::max(free, to);
            }
        }
    }
    rim
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::pt;
    use geo::{Coord, Distance, Euclidean, Intersects, LineString, Point as GeoPoint, Polygon, unary_union};

    fn part(corners: &[(f64, f64)]) -> (Bounds, Vec<Point>) {
        let corners: Vec<Point> = corners.iter().map(|&(x, y)| pt(x, y)).collect();
        (Bounds::of(corners.iter().copied()), corners)
    }

    fn square(x: f64, y: f64, side: f64) -> (Bounds, Vec<Point>) {
        part(&[(x, y), (x + side, y), (x + side, y + side), (x, y + side)])
    }

    fn length(rim: &[(Point, Point)]) -> f64 {
        rim.iter().map(|(p, q)| p.distance(*q)).sum()
    }

    #[test]
    fn the_rim_of_two_squares_leaves_out_what_is_inside() {
        // Two squares of 4 that share one of 2: round them it is twice 6 + 6.
        let crossed = of(&[square(0.0, 0.0, 4.0), square(2.0, 2.0, 4.0)]);
        assert!((length(&crossed) - 24.0).abs() < 1e-12, "{crossed:?}");
        // Edges on one line, and the same square twice.
        let beside = of(&[square(0.0, 0.0, 4.0), square(2.0, 0.0, 4.0)]);
        assert!((length(&beside) - 20.0).abs() < 1e-12, "{beside:?}");
        assert!((length(&of(&[square(0.0, 0.0, 4.0), square(0.0, 0.0, 4.0)])) - 16.0).abs() < 1e-12);
        // They touch: the seam is no rim.
        assert!((length(&of(&[square(0.0, 0.0, 4.0), square(4.0, 0.0, 4.0)])) - 24.0).abs() < 1e-12);
    }

    /// The rim is that of the union by a general library: as long, and every edge on it.
    #[test]
    fn the_rim_is_that_of_the_union() {
        let mut state = 7_u64;
        let mut dice = |most: f64| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 33) as f64 / f64::from(1_u32 << 31) * most
        };
        for _ in 0..200 {
            let all: Vec<_> = (0..2 + dice(7.0) as usize)
                .map(|_| {
                    let (x, y, r, turn) = (dice(60.0), dice(60.0), 5.0 + dice(20.0), dice(1.0));
                    let n = 3 + dice(6.0) as u32;
                    let at = |k: u32| {
                        let angle = turn + f64::from(k) * std::f64::consts::TAU / f64::from(n);
                        (x + r * angle.cos(), y + r * angle.sin())
                    };
                    part(&(0..n).map(at).collect::<Vec<_>>())
                })
                .collect();
            let polygons: Vec<Polygon> = all
                .iter()
                .map(|(_, c)| Polygon::new(LineString::from_iter(c.iter().map(|p| Coord { x: p.x, y: p.y })), vec![]))
                .collect();
            let union = unary_union(&polygons);
            let rings: Vec<LineString> =
                union.iter().flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors())).cloned().collect();
            let around: f64 = rings
                .iter()
                .flat_map(|r| r.lines().map(|l| l.delta()).collect::<Vec<_>>())
                .map(|d| d.x.hypot(d.y))
                .sum();
            let rim = of(&all);
            assert!((length(&rim) - around).abs() < 1e-3, "{} {around}", length(&rim));
            for (p, q) in &rim {
                let m = p.lerp(*q, 0.5);
                let off =
                    rings.iter().map(|r| Euclidean.distance(&GeoPoint::new(m.x, m.y), r)).fold(f64::INFINITY, f64::min);
                assert!(off < 1e-4, "{m:?} is {off} from the rim");
                let inwards = m + (*q - *p).left() / (*q - *p).length() * 1e-3;
                assert!(union.intersects(&Coord { x: inwards.x, y: inwards.y }), "{m:?} has it on the other side");
            }
        }
    }
}
