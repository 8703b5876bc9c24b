//! Closed contours and open paths of lines and arcs.

use super::{Bounds, Point, SAME_POINT, Segment, Transform, pt};
use serde::{Serialize, Serializer};

/// A corner of a contour or path, with the bulge of the segment that starts there.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Vertex {
    /// x in mm.
    pub x: f64,
    /// y in mm.
    pub y: f64,
    /// `tan(sweep / 4)` of the segment that starts here, positive counter-clockwise; 0 a line.
    pub bulge: f64,
}

impl Vertex {
    /// A vertex at `p` whose segment has this bulge.
    pub const fn new(p: Point, bulge: f64) -> Self {
        Self { x: p.x, y: p.y, bulge }
    }

    /// Where it is.
    pub const fn point(&self) -> Point {
        pt(self.x, self.y)
    }

    fn moved(&self, t: &Transform) -> Self {
        let p = t.apply(self.point());
        Self { x: p.x, y: p.y, bulge: if t.mirrored { -self.bulge } else { self.bulge } }
    }
}

/// In JSON a vertex is `[x, y, bulge]`: mm to a tenth of a nanometre, so that a reader that
/// measures to 1e-6 mm meets no rounding of ours.
impl Serialize for Vertex {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        use crate::units::tidy;
        [tidy(self.x, 10), tidy(self.y, 10), tidy(self.bulge, 14)].serialize(serializer)
    }
}

/// A closed chain of segments: the last vertex's segment ends at the first vertex, which is not
/// repeated.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[serde(transparent)]
pub struct Contour {
    vertices: Vec<Vertex>,
}

/// An open chain of segments; the last vertex's bulge is unused and kept 0.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[serde(transparent)]
pub struct Path {
    vertices: Vec<Vertex>,
}

/// A line to draw or cut that may be open or closed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub enum Stroke {
    /// Open.
    Open(Path),
    /// Closed.
    Closed(Contour),
}

impl Contour {
    /// A closed contour through the vertices. Neighbours that are one point are joined.
    pub fn new(vertices: impl IntoIterator<Item = Vertex>) -> Self {
        let mut kept = joined(vertices);
        // The closing segment may be empty as well.
        while kept.len() > 1 && kept[0].point().distance(kept[kept.len() - 1].point()) <= SAME_POINT {
            kept.pop();
        }
        Self { vertices: kept }
    }

    /// A polygon.
    pub fn polygon(points: impl IntoIterator<Item = Point>) -> Self {
        Self::new(points.into_iter().map(|p| Vertex::new(p, 0.0)))
    }

    /// An upright rectangle, counter-clockwise from its lower left corner.
    pub fn rectangle(min: Point, max: Point) -> Self {
        Self::polygon([min, pt(max.x, min.y), max, pt(min.x, max.y)])
    }

    /// A circle as two half circles, counter-clockwise from its rightmost point.
    pub fn circle(center: Point, radius: f64) -> Self {
        Self::new([Vertex::new(center + pt(radius, 0.0), 1.0), Vertex::new(center - pt(radius, 0.0), 1.0)])
    }

    /// Its vertices.
    pub fn vertices(&self) -> &[Vertex] {
        &self.vertices
    }

    /// Its segments in order, the closing one last.
    pub fn segments(&self) -> impl DoubleEndedIterator<Item = Segment> + ExactSizeIterator + '_ {
        let n = self.vertices.len();
        (0..n).map(move |i| between(&self.vertices[i], &self.vertices[(i + 1) % n]))
    }

    /// Its length along the curve, mm.
    pub fn length(&self) -> f64 {
        self.segments().map(|s| s.length()).sum()
    }

    /// Its area in mm2, positive counter-clockwise, arcs exact.
    pub fn area(&self) -> f64 {
        // About the first vertex rather than the origin, so that a small contour far out keeps its digits.
        let Some(first) = self.vertices.first() else { return 0.0 };
        let shift = Transform::shift(-first.point());
        self.segments().map(|s| shift.segment(&s).swept_area()).sum()
    }

    /// Whether it runs counter-clockwise.
    pub fn is_ccw(&self) -> bool {
        self.area() > 0.0
    }

    /// The upright rectangle around it, arcs' extremes included.
    pub fn bounds(&self) -> Bounds {
        self.segments().fold(Bounds::EMPTY, |b, s| b.union(s.bounds()))
    }

    /// Run the other way, from the same first vertex.
    #[must_use]
    pub fn reversed(&self) -> Self {
        let n = self.vertices.len();
        let at = |i: usize| {
            let here = self.vertices[(n - i) % n];
            // The segment that now starts here is the one that ended here.
            let bulge = -self.vertices[(2 * n - i - 1) % n].bulge;
            Vertex { bulge, ..here }
        };
        Self { vertices: (0..n).map(at).collect() }
    }

    /// Turned to run counter-clockwise.
    #[must_use]
    pub fn ccw(self) -> Self {
        if self.is_ccw() { self } else { self.reversed() }
    }

    /// Turned to run clockwise.
    #[must_use]
    pub fn cw(self) -> Self {
        if self.is_ccw() { self.reversed() } else { self }
    }

    /// Moved; a mirrored contour is reversed as well, so that an outer contour stays
    /// counter-clockwise and a hole clockwise.
    #[must_use]
    pub fn transformed(&self, t: &Transform) -> Self {
        let moved = Self { vertices: self.vertices.iter().map(|v| v.moved(t)).collect() };
        if t.mirrored { moved.reversed() } else { moved }
    }

    /// The same contour started at vertex `index`.
    #[must_use]
    pub fn started_at(&self, index: usize) -> Self {
        let mut vertices = self.vertices.clone();
        if !vertices.is_empty() {
            let n = vertices.len();
            vertices.rotate_left(index % n);
        }
        Self { vertices }
    }

    /// The same contour opened at its first vertex: a path that returns to where it began.
    pub fn to_path(&self) -> Path {
        let mut vertices = self.vertices.clone();
        if let Some(first) = vertices.first().copied() {
            vertices.push(Vertex { bulge: 0.0, ..first });
        }
        Path { vertices }
    }

    /// The polygon within `tolerance` mm of it, first point not repeated; see
    /// [`Segment::flatten`] for the tolerance.
    pub fn flatten(&self, tolerance: f64) -> Vec<Point> {
        self.segments()
            .flat_map(|s| {
                let mut points = vec![s.start];
                points.extend(s.flatten(tolerance));
                points.pop();
                points
            })
            .collect()
    }

    /// Whether `p` lies inside, by the nonzero winding of the true arcs. On the edge: either.
    pub fn contains(&self, p: Point) -> bool {
        // How often the contour winds round p: a ray to the right is crossed by its chords so often, and an
        // arc winds once more round what lies between it and its chord.
        self.segments().map(|s| winds(&s, p)).sum::<i32>() != 0
    }

    /// The distance from `p` to the nearest point of the contour, mm.
    pub fn distance_to(&self, p: Point) -> f64 {
        self.segments().map(|s| s.distance_to(p)).fold(f64::INFINITY, f64::min)
    }
}

impl Path {
    /// An open path through the vertices. Neighbours that are one point are joined.
    pub fn new(vertices: impl IntoIterator<Item = Vertex>) -> Self {
        let mut vertices = joined(vertices);
        if let Some(last) = vertices.last_mut() {
            last.bulge = 0.0;
        }
        Self { vertices }
    }

    /// A path along segments of which each begins where the one before it ends.
    pub fn along(segments: &[Segment]) -> Self {
        let last = segments.last().map(|s| Vertex::new(s.end, 0.0));
        Self::new(segments.iter().map(|s| Vertex::new(s.start, s.bulge)).chain(last))
    }

    /// A straight path.
    pub fn line(start: Point, end: Point) -> Self {
        Self::new([Vertex::new(start, 0.0), Vertex::new(end, 0.0)])
    }

    /// Its vertices.
    pub fn vertices(&self) -> &[Vertex] {
        &self.vertices
    }

    /// Its segments in order.
    pub fn segments(&self) -> impl DoubleEndedIterator<Item = Segment> + ExactSizeIterator + '_ {
        let n = self.vertices.len().saturating_sub(1);
        (0..n).map(move |i| between(&self.vertices[i], &self.vertices[i + 1]))
    }

    /// Its length along the curve, mm.
    pub fn length(&self) -> f64 {
        self.segments().map(|s| s.length()).sum()
    }

    /// The upright rectangle around it, arcs' extremes included.
    pub fn bounds(&self) -> Bounds {
        let points = Bounds::of(self.vertices.iter().map(Vertex::point));
        self.segments().fold(points, |b, s| b.union(s.bounds()))
    }

    /// Moved.
    #[must_use]
    pub fn transformed(&self, t: &Transform) -> Self {
        Self { vertices: self.vertices.iter().map(|v| v.moved(t)).collect() }
    }

    /// Run the other way.
    #[must_use]
    pub fn reversed(&self) -> Self {
        let n = self.vertices.len();
        let at = |i: usize| {
            let here = self.vertices[n - 1 - i];
            let bulge = if i + 1 < n { -self.vertices[n - 2 - i].bulge } else { 0.0 };
            Vertex { bulge, ..here }
        };
        Self { vertices: (0..n).map(at).collect() }
    }
}

impl Stroke {
    /// Its vertices.
    pub fn vertices(&self) -> &[Vertex] {
        match self {
            Self::Open(p) => p.vertices(),
            Self::Closed(c) => c.vertices(),
        }
    }

    /// Whether it ends where it begins.
    pub fn is_closed(&self) -> bool {
        matches!(self, Self::Closed(_))
    }

    /// Its segments in order.
    pub fn segments(&self) -> Vec<Segment> {
        match self {
            Self::Open(p) => p.segments().collect(),
            Self::Closed(c) => c.segments().collect(),
        }
    }

    /// Its length along the curve, mm.
    pub fn length(&self) -> f64 {
        match self {
            Self::Open(p) => p.length(),
            Self::Closed(c) => c.length(),
        }
    }

    /// The upright rectangle around it.
    pub fn bounds(&self) -> Bounds {
        match self {
            Self::Open(p) => p.bounds(),
            Self::Closed(c) => c.bounds(),
        }
    }

    /// Moved.
    #[must_use]
    pub fn transformed(&self, t: &Transform) -> Self {
        match self {
            Self::Open(p) => Self::Open(p.transformed(t)),
            Self::Closed(c) => Self::Closed(c.transformed(t)),
        }
    }
}

/// The segment from one vertex to the next.
pub(super) fn between(a: &Vertex, b: &Vertex) -> Segment {
    Segment { start: a.point(), end: b.point(), bulge: a.bulge }
}

fn joined(vertices: impl IntoIterator<Item = Vertex>) -> Vec<Vertex> {
    let mut kept: Vec<Vertex> = Vec::new();
    for v in vertices {
        match kept.last_mut() {
            Some(last) if last.point().is_near(v.point()) => last.bulge = v.bulge,
            _ => kept.push(v),
        }
    }
    kept
}

/// What a segment adds to the winding about `p`.
fn winds(s: &Segment, p: Point) -> i32 {
    let (a, b) = (s.start, s.end);
    let up = a.y <= p.y && p.y < b.y;
    let down = b.y <= p.y && p.y < a.y;
    if s.is_line() && !up && !down {
        return 0;
    }
    let is_left = is_left(a, b, p);
    let crossed = i32::from(up && is_left) - i32::from(down && !is_left);
    let Some(c) = s.center() else { return crossed };
    // An arc that turns left lies on its chord's right.
    let turns_left = s.bulge > 0.0;
    let is_between = is_left != turns_left && p.distance(c) < s.radius();
    crossed + if is_between { s.bulge.signum() as i32 } else { 0 }
}

/// Whether `p` lies left of the line from `a` to `b`. One on it counts as if it lay a little higher, and
/// much less to the right; from whichever end two chords in one place are gone along, they say the same.
fn is_left(a: Point, b: Point, p: Point) -> bool {
    let is_turned = (b.x, b.y) < (a.x, a.y);
    let (from, to) = if is_turned { (b, a) } else { (a, b) };
    let way = to - from;
    let side = way.cross(p - from);
    let is_left = if side != 0.0 { side > 0.0 } else { way.x > 0.0 || (way.x >= 0.0 && way.y < 0.0) };
    is_left != is_turned
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    /// A 20 x 10 slab with a half round end at +x.
    fn slab() -> Contour {
        Contour::new([
            Vertex::new(pt(0.0, 0.0), 0.0),
            Vertex::new(pt(20.0, 0.0), 1.0),
            Vertex::new(pt(20.0, 10.0), 0.0),
            Vertex::new(pt(0.0, 10.0), 0.0),
        ])
    }

    /// Winding as the sum of the angles under which `p` sees the segments, a full turn counted where an arc
    /// passes round `p` on the far side of its chord.
    fn sees_round(c: &Contour, p: Point) -> bool {
        let angle = |s: Segment| {
            let (a, b) = (s.start - p, s.end - p);
            let seen = a.cross(b).atan2(a.dot(b));
            let turn = s.bulge.signum();
            let is_within = s.center().is_some_and(|c| p.distance(c) < s.radius());
            if is_within && seen * turn < 0.0 { seen + turn * 2.0 * PI } else { seen }
        };
        c.segments().map(angle).sum::<f64>().abs() > PI
    }

    #[test]
    fn winding_by_crossings_is_that_by_angles() {
        let mut seed = 7u64;
        let mut next = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 40) as f64 / f64::from(1u32 << 24)
        };
        let mut inside = 0;
        for _ in 0..300 {
            let n = 3 + (next() * 6.0) as usize;
            let star = |k: usize, r: f64, bulge: f64| {
                Vertex::new(Point::unit(k as f64 / n as f64 * 2.0 * PI) * (10.0 + r * 20.0), bulge)
            };
            let c = Contour::new((0..n).map(|k| star(k, next(), if k % 2 == 0 { 0.0 } else { next() * 3.0 - 1.5 })));
            for _ in 0..60 {
                let p = pt(next() * 70.0 - 35.0, next() * 70.0 - 35.0);
                assert_eq!(c.contains(p), sees_round(&c, p), "{c:?} {p:?}");
                inside += usize::from(c.contains(p));
            }
        }
        assert!(inside > 2000, "{inside}");
    }

    #[test]
    fn a_circle_contains_its_middle_and_all_of_its_diameter() {
        for circle in [Contour::circle(pt(80.0, 80.0), 13.0), Contour::circle(pt(80.0, 80.0), 13.0).reversed()] {
            for x in [67.5, 73.0, 80.0, 86.1, 92.5] {
                assert!(circle.contains(pt(x, 80.0)), "{x}");
            }
            assert!(!circle.contains(pt(66.9, 80.0)) && !circle.contains(pt(93.1, 80.0)));
        }
    }

    #[test]
    fn measures_hold_from_every_start_vertex_and_reversed() {
        let c = slab();
        let (area, length) = (200.0 + PI * 12.5, 50.0 + PI * 5.0);
        for i in 0..4 {
            let s = c.started_at(i);
            assert!((s.area() - area).abs() < 1e-9);
            assert!((s.reversed().area() + area).abs() < 1e-9);
            assert!((s.length() - length).abs() < 1e-9);
            assert!((s.reversed().length() - length).abs() < 1e-9);
            assert!((s.bounds().max.x - 25.0).abs() < 1e-12);
            assert_eq!(s.reversed().reversed(), s);
        }
    }

    #[test]
    fn points_are_inside_or_outside_of_true_arcs() {
        let c = slab();
        for inside in [pt(10.0, 5.0), pt(24.9, 5.0), pt(23.0, 8.5)] {
            assert!(c.contains(inside), "{inside:?}");
            assert!(c.reversed().contains(inside));
        }
        for outside in [pt(24.9, 9.0), pt(25.1, 5.0), pt(-0.1, 5.0), pt(10.0, 11.0)] {
            assert!(!c.contains(outside), "{outside:?}");
        }
        let concave = Contour::new([
            Vertex::new(pt(0.0, 0.0), 0.0),
            Vertex::new(pt(20.0, 0.0), -0.5),
            Vertex::new(pt(20.0, 10.0), 0.0),
            Vertex::new(pt(0.0, 10.0), 0.0),
        ]);
        assert!(!concave.contains(pt(19.0, 5.0)));
        assert!(concave.contains(pt(17.0, 5.0)));
    }

    #[test]
    fn mirroring_keeps_the_orientation() {
        let c = slab();
        let m = c.transformed(&Transform { mirrored: true, rotation_deg: 0.0, shift: pt(0.0, 0.0) });
        assert!((m.area() - c.area()).abs() < 1e-9);
        assert!((m.bounds().min.x + 25.0).abs() < 1e-12);
    }
}
