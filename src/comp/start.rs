//! Where a closed contour may start: in the middle of an edge, where an overrun does no harm.

use crate::geom::{Contour, Point, Segment, Vertex};

/// A place on a closed contour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Start {
    /// Which segment.
    pub segment: usize,
    /// The share of its length, 0 to 1.
    pub share: f64,
    /// Where that is.
    pub point: Point,
}

/// The most places offered for one contour.
const MOST: usize = 32;

/// The places where a cut of this contour may start, best first: the middles of its lines, the
/// longest first, that are long enough for `overrun` mm before their end; where there are none,
/// the middle of the longest segment. Never a corner. Empty only for an empty contour. At most
/// 32: more choice saves no travel and costs time.
pub fn candidates(contour: &Contour, overrun: f64) -> Vec<Start> {
    let segments: Vec<Segment> = contour.segments().collect();
    let middle = |segment: usize| Start { segment, share: 0.5, point: segments[segment].point_at(0.5) };
    let mut by_length: Vec<(f64, usize)> = segments.iter().map(Segment::length).zip(0..).collect();
    by_length.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    let long = |&&(length, i): &&(f64, usize)| segments[i].is_line() && length > 2.0 * overrun;
    let lines: Vec<Start> = by_length.iter().filter(long).take(MOST).map(|&(_, i)| middle(i)).collect();
    if lines.is_empty() { by_length.first().map(|&(_, i)| middle(i)).into_iter().collect() } else { lines }
}

/// The same contour from another start: its first vertex is there.
#[must_use]
pub fn started(contour: &Contour, start: Start) -> Contour {
    let segments: Vec<Segment> = contour.segments().collect();
    let n = segments.len();
    if n == 0 || start.share <= 0.0 {
        return contour.started_at(start.segment);
    }
    let split = segments[start.segment % n];
    let (head, tail) = (split.between(0.0, start.share), split.between(start.share, 1.0));
    let rest = (1..n).map(|i| segments[(start.segment + i) % n]);
    let parts = std::iter::once(tail).chain(rest).chain([head]);
    Contour::new(parts.map(|s| Vertex::new(s.start, s.bulge)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::pt;

    #[test]
    fn a_contour_keeps_its_length_and_area_from_every_start() {
        let c = Contour::new([
            Vertex::new(pt(0.0, 0.0), 0.0),
            Vertex::new(pt(20.0, 0.0), 0.6),
            Vertex::new(pt(20.0, 10.0), -0.1),
            Vertex::new(pt(0.0, 10.0), 0.0),
        ]);
        let starts = candidates(&c, 1.0);
        assert_eq!(starts.len(), 2, "two lines, two arcs");
        for s in starts.into_iter().chain([Start { segment: 1, share: 0.3, point: pt(0.0, 0.0) }]) {
            let moved = started(&c, s);
            assert!((moved.area() - c.area()).abs() < 1e-9 && (moved.length() - c.length()).abs() < 1e-9);
            assert!(c.distance_to(moved.vertices()[0].point()) < 1e-9);
            assert_eq!(moved.vertices().len(), 5);
        }
        let circle = Contour::circle(pt(0.0, 0.0), 3.0);
        assert_eq!(candidates(&circle, 1.0).len(), 1);
    }
}
