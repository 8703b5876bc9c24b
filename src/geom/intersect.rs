//! Where segments meet.

use super::{Contour, Point, SAME_POINT, Segment};
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

/// The points that two segments share, ends included. Segments that lie on one another share a
/// stretch: then its ends are given.
pub fn intersections(a: &Segment, b: &Segment) -> Vec<Point> {
    let are_lines = a.is_line() && b.is_line();
    if are_lines && (lies_beside(a, b) || lies_beside(b, a)) {
        return Vec::new();
    }
    if !a.bounds().grown(SAME_POINT).overlaps(b.bounds().grown(SAME_POINT), 0.0) {
        return Vec::new();
    }
    let candidates = match (a.center(), b.center()) {
        (None, None) => line_line(a, b),
        (None, Some(c)) => line_circle(a, c, b.radius()),
        (Some(c), None) => line_circle(b, c, a.radius()),
        (Some(ca), Some(cb)) => circle_circle(ca, a.radius(), cb, b.radius()),
    };
    let mut shared: Vec<Point> = Vec::new();
    for p in candidates.into_iter().chain([a.start, a.end, b.start, b.end]) {
        let on_both = a.distance_to(p) <= SAME_POINT && b.distance_to(p) <= SAME_POINT;
        // Shallow crossings spread over more than the tolerance; one point of them is enough.
        if on_both && shared.iter().all(|q| q.distance(p) > 10.0 * SAME_POINT) {
            shared.push(p);
        }
    }
    shared
}

/// Whether a line lies wholly on one side of another, endless both ways: most pairs that are asked about do.
fn lies_beside(line: &Segment, of: &Segment) -> bool {
    let along = of.end - of.start;
    let (from, to) = (along.cross(line.start - of.start), along.cross(line.end - of.start));
    let near = SAME_POINT * SAME_POINT * along.dot(along);
    from * to > 0.0 && from * from > near && to * to > near
}

/// The first place, in the order of its segments, where a contour touches or crosses itself;
/// `None` for a simple one. Neighbouring segments may share the corner between them and no more.
pub fn first_self_crossing(contour: &Contour) -> Option<Point> {
    let segments: Vec<Segment> = contour.segments().collect();
    let n = segments.len();
    let around = |s: &Segment| {
        let b = s.bounds().grown(SAME_POINT);
        AABB::from_corners([b.min.x, b.min.y], [b.max.x, b.max.y])
    };
    let boxes =
        segments.iter().enumerate().map(|(i, s)| GeomWithData::new(Rectangle::from_aabb(around(s)), i)).collect();
    let tree = RTree::bulk_load(boxes);
    for (i, segment) in segments.iter().enumerate() {
        let mut first: Option<(usize, Point)> = None;
        for j in tree.locate_in_envelope_intersecting(&around(segment)).map(|b| b.data).filter(|j| *j > i) {
            if first.is_some_and(|f| f.0 <= j) {
                continue;
            }
            let corner = |p: &Point| {
                (j == i + 1 && p.distance(segments[j].start) <= 10.0 * SAME_POINT)
                    || (i == 0 && j == n - 1 && p.distance(segments[0].start) <= 10.0 * SAME_POINT)
            };
            let shared = intersections(segment, &segments[j]);
            if let Some(p) = shared.into_iter().find(|p| !corner(p)) {
                first = Some((j, p));
            }
        }
        if let Some((_, p)) = first {
            return Some(p);
        }
    }
    None
}

/// Where two lines, endless both ways, cross.
fn line_line(a: &Segment, b: &Segment) -> Vec<Point> {
    let (da, db) = (a.end - a.start, b.end - b.start);
    let cross = da.cross(db);
    if cross.abs() <= 1e-12 * da.length() * db.length() {
        return Vec::new();
    }
    vec![a.start + da * ((b.start - a.start).cross(db) / cross)]
}

/// Where a line, endless both ways, meets a circle.
pub(crate) fn line_circle(line: &Segment, center: Point, radius: f64) -> Vec<Point> {
    let Some(u) = (line.end - line.start).normalized() else { return Vec::new() };
    let foot = line.start + u * (center - line.start).dot(u);
    let away = foot.distance(center);
    if away > radius + SAME_POINT {
        return Vec::new();
    }
    let half = (radius * radius - away * away).max(0.0).sqrt();
    vec![foot - u * half, foot + u * half]
}

/// Where two circles meet.
pub(crate) fn circle_circle(a: Point, ra: f64, b: Point, rb: f64) -> Vec<Point> {
    let d = a.distance(b);
    if d <= SAME_POINT || d > ra + rb + SAME_POINT || d < (ra - rb).abs() - SAME_POINT {
        return Vec::new();
    }
    let along = (d * d + ra * ra - rb * rb) / (2.0 * d);
    let half = (ra * ra - along * along).max(0.0).sqrt();
    let u = (b - a) / d;
    let mid = a + u * along;
    vec![mid + u.left() * half, mid - u.left() * half]
}

/// Where the curves of two segments meet when each is taken whole: its endless line or its full
/// circle.
pub(crate) fn carriers_meet(a: &Segment, b: &Segment) -> Vec<Point> {
    match (a.center(), b.center()) {
        (None, None) => line_line(a, b),
        (None, Some(c)) => line_circle(a, c, b.radius()),
        (Some(c), None) => line_circle(b, c, a.radius()),
        (Some(ca), Some(cb)) => circle_circle(ca, a.radius(), cb, b.radius()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Vertex, pt};

    #[test]
    fn lines_arcs_and_circles_meet_where_they_should() {
        let line = Segment::line(pt(-10.0, 3.0), pt(10.0, 3.0));
        let arc = Segment { start: pt(5.0, 0.0), end: pt(-5.0, 0.0), bulge: 1.0 };
        let hits = intersections(&line, &arc);
        assert_eq!(hits.len(), 2);
        assert!(hits.iter().all(|p| (p.x.abs() - 4.0).abs() < 1e-9 && (p.y - 3.0).abs() < 1e-12));
        let below = Segment { bulge: -1.0, ..arc };
        assert!(intersections(&line, &below).is_empty());
        let other = Segment { start: pt(11.0, 0.0), end: pt(1.0, 0.0), bulge: 1.0 };
        assert_eq!(intersections(&arc, &other).len(), 1);
    }

    #[test]
    fn a_bow_tie_crosses_itself_and_a_square_does_not() {
        let tie = Contour::polygon([pt(0.0, 0.0), pt(10.0, 10.0), pt(10.0, 0.0), pt(0.0, 10.0)]);
        assert!(first_self_crossing(&tie).is_some_and(|p| p.is_near(pt(5.0, 5.0))));
        assert_eq!(first_self_crossing(&Contour::rectangle(pt(0.0, 0.0), pt(5.0, 5.0))), None);
        assert_eq!(first_self_crossing(&Contour::circle(pt(0.0, 0.0), 5.0)), None);
    }

    #[test]
    fn an_arc_that_reaches_across_the_far_side_is_found() {
        let c = Contour::new([
            Vertex::new(pt(0.0, 0.0), 0.0),
            Vertex::new(pt(20.0, 0.0), 0.0),
            Vertex::new(pt(20.0, 5.0), 1.0),
            Vertex::new(pt(0.0, 5.0), 0.0),
        ]);
        // The half circle bulges outwards (up): simple. Turned inwards it dips below the base.
        assert_eq!(first_self_crossing(&c), None);
        let dipped = Contour::new(c.vertices().iter().map(|v| Vertex { bulge: -v.bulge, ..*v }));
        assert!(first_self_crossing(&dipped).is_some());
    }
}
