//! A map that keeps straight lines straight: a matrix, then a move.

use crate::geom::{Contour, Path, Point, Segment, Stroke, Vertex, pt};

/// `p` goes to `matrix p + shift`; the matrix by rows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Affine {
    /// `[[xx, xy], [yx, yy]]`.
    pub matrix: [[f64; 2]; 2],
    /// The move, mm.
    pub shift: Point,
}

/// What is shorter than this, mm, is none.
const NOTHING: f64 = 1e-9;
/// How finely an arc is divided at the most; a stretch of 2 % wants a sixteenth of it.
const FINEST: usize = 256;

impl Affine {
    /// Nothing moves.
    pub const IDENTITY: Self = Self { matrix: [[1.0, 0.0], [0.0, 1.0]], shift: pt(0.0, 0.0) };

    /// A sheet of this width turned over about the line through its middle that runs up: `x` becomes `width - x`.
    pub const fn turned_over(width: f64) -> Self {
        Self { matrix: [[-1.0, 0.0], [0.0, 1.0]], shift: pt(width, 0.0) }
    }

    /// Where a point goes.
    pub fn apply(&self, p: Point) -> Point {
        self.along(p) + self.shift
    }

    /// Where a distance with its direction goes: without the move.
    pub fn along(&self, v: Point) -> Point {
        let [[xx, xy], [yx, yy]] = self.matrix;
        pt(xx * v.x + xy * v.y, yx * v.x + yy * v.y)
    }

    /// By how much areas grow; below zero where it turns over.
    pub fn determinant(&self) -> f64 {
        let [[xx, xy], [yx, yy]] = self.matrix;
        xx * yy - xy * yx
    }

    /// First `other`, then this.
    #[must_use]
    pub fn after(&self, other: &Self) -> Self {
        let (x, y) = (other.matrix, self.matrix);
        let cell = |r: usize, c: usize| y[r][0] * x[0][c] + y[r][1] * x[1][c];
        Self { matrix: [[cell(0, 0), cell(0, 1)], [cell(1, 0), cell(1, 1)]], shift: self.apply(other.shift) }
    }

    /// The way back; `None` where it flattens everything.
    pub fn inverse(&self) -> Option<Self> {
        let (d, [[xx, xy], [yx, yy]]) = (self.determinant(), self.matrix);
        if d.abs() < 1e-12 || !d.is_finite() {
            return None;
        }
        let back = Self { matrix: [[yy / d, -xy / d], [-yx / d, xx / d]], shift: pt(0.0, 0.0) };
        Some(Self { shift: pt(0.0, 0.0) - back.along(self.shift), ..back })
    }

    /// By how many degrees it turns what runs to the right, counter-clockwise.
    pub fn turn_deg(&self) -> f64 {
        self.along(pt(1.0, 0.0)).heading().to_degrees()
    }

    /// By how much it stretches what runs to the right, and what runs up.
    pub fn scales(&self) -> [f64; 2] {
        [self.along(pt(1.0, 0.0)).length(), self.along(pt(0.0, 1.0)).length()]
    }

    /// By how many degrees a right angle leans: what runs up leans to the right of it where above zero.
    pub fn shear_deg(&self) -> f64 {
        let (a, b) = (self.along(pt(1.0, 0.0)), self.along(pt(0.0, 1.0)));
        a.dot(b).atan2(a.cross(b).abs()).to_degrees()
    }

    /// Whether it keeps every angle, so that arcs stay arcs.
    pub fn is_similar(&self) -> bool {
        let [a, b] = self.scales();
        let lean = self.along(pt(1.0, 0.0)).dot(self.along(pt(0.0, 1.0)));
        (a - b).abs() < 1e-12 && lean.abs() < 1e-12
    }

    /// Where a line goes, the way round kept. What keeps angles keeps arcs; otherwise an arc becomes part of an
    /// ellipse, and arcs through three points of it stand for that, straying from it by `tolerance` mm at the most.
    pub fn stroke(&self, line: &Stroke, tolerance: f64) -> Stroke {
        let vertices = line.segments().iter().flat_map(|s| self.parts(s, tolerance)).collect::<Vec<Vertex>>();
        match line {
            Stroke::Closed(_) => {
                let moved = Contour::new(vertices);
                Stroke::Closed(if self.determinant() < 0.0 { moved.reversed() } else { moved })
            }
            Stroke::Open(path) => {
                let last = path.vertices().last().map(|v| Vertex::new(self.apply(v.point()), 0.0));
                Stroke::Open(Path::new(vertices.into_iter().chain(last)))
            }
        }
    }

    /// The vertices of what becomes of a segment, its end left out.
    fn parts(&self, s: &Segment, tolerance: f64) -> Vec<Vertex> {
        let sign = if self.determinant() < 0.0 { -1.0 } else { 1.0 };
        if s.is_line() || self.is_similar() {
            return vec![Vertex::new(self.apply(s.start), sign * s.bulge)];
        }
        let mut n = ((s.sweep().abs() / std::f64::consts::FRAC_PI_4).ceil() as usize).max(1);
        loop {
            let parts: Vec<Segment> =
                (0..n).map(|i| s.between(i as f64 / n as f64, (i + 1) as f64 / n as f64)).collect();
            let arcs: Vec<Segment> = parts.iter().map(|p| self.arc(p)).collect();
            let strays = |(part, arc): (&Segment, &Segment)| {
                [0.25, 0.75].iter().any(|t| arc.distance_to(self.apply(part.point_at(*t))) > tolerance)
            };
            if n >= FINEST || !parts.iter().zip(&arcs).any(strays) {
                return arcs.into_iter().map(|a| Vertex::new(a.start, a.bulge)).collect();
            }
            n *= 2;
        }
    }

    /// The arc through where the ends and the middle of a short one go. The way turns at that middle by half the
    /// arc's sweep (the angle at the circumference), and a bulge is the tangent of a quarter of it.
    fn arc(&self, s: &Segment) -> Segment {
        let (start, middle, end) = (self.apply(s.start), self.apply(s.point_at(0.5)), self.apply(s.end));
        let (a, b) = (middle - start, end - middle);
        let is_none = a.length() < NOTHING || b.length() < NOTHING;
        let bulge = if is_none { 0.0 } else { (a.cross(b).atan2(a.dot(b)) / 2.0).tan() };
        Segment { start, end, bulge }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn leaning() -> Affine {
        Affine { matrix: [[1.015, 0.012], [-0.008, 0.99]], shift: pt(31.0, -4.5) }
    }

    #[test]
    fn back_and_forth_is_nothing() {
        for map in [leaning(), leaning().after(&Affine::turned_over(700.0)), Affine::IDENTITY] {
            let back = map.inverse().unwrap();
            for p in [pt(0.0, 0.0), pt(700.0, 1000.0), pt(-3.0, 41.5)] {
                assert!(back.apply(map.apply(p)).distance(p) < 1e-9);
                assert!(back.after(&map).apply(p).distance(p) < 1e-9);
            }
        }
        assert!(Affine { matrix: [[1.0, 2.0], [2.0, 4.0]], shift: pt(0.0, 0.0) }.inverse().is_none());
    }

    #[test]
    fn arcs_of_a_leaning_map_stay_within_the_tolerance_and_few() {
        let disc = Stroke::Closed(Contour::circle(pt(50.0, 80.0), 40.0));
        for tolerance in [0.05, 0.005] {
            for map in [leaning(), leaning().after(&Affine::turned_over(300.0))] {
                let moved = map.stroke(&disc, tolerance);
                let n = moved.segments().len();
                assert!(n <= 64, "{n} arcs");
                // The ellipse itself, point by point.
                for k in 0..3600 {
                    let p = map.apply(pt(50.0, 80.0) + Point::unit(f64::from(k).to_radians() / 10.0) * 40.0);
                    let off = moved.segments().iter().map(|s| s.distance_to(p)).fold(f64::MAX, f64::min);
                    assert!(off <= tolerance * 1.05, "{off}");
                }
                let Stroke::Closed(c) = &moved else { panic!("open") };
                assert!(c.is_ccw(), "the way round is kept");
                // Source: areas grow by the determinant; the arcs differ by less than the tolerance along the edge.
                let area = std::f64::consts::PI * 1600.0 * map.determinant().abs();
                assert!((c.area() - area).abs() < tolerance * c.length());
            }
        }
    }

    #[test]
    fn a_map_that_keeps_angles_keeps_arcs() {
        let turn = Affine { matrix: [[0.8, -0.6], [0.6, 0.8]], shift: pt(10.0, 20.0) };
        assert!(turn.is_similar() && (turn.turn_deg() - 36.869_897_645_844_02).abs() < 1e-9);
        let over = turn.after(&Affine::turned_over(100.0));
        assert!(over.is_similar() && over.determinant() < 0.0);
        for map in [turn, over] {
            let moved = map.stroke(&Stroke::Closed(Contour::circle(pt(5.0, 5.0), 3.0)), 0.01);
            assert!(moved.segments().len() == 2 && moved.segments().iter().all(|s| (s.radius() - 3.0).abs() < 1e-9));
            let open = Stroke::Open(Path::new([Vertex::new(pt(0.0, 0.0), 0.5), Vertex::new(pt(10.0, 0.0), 0.0)]));
            let (before, after) = (open.segments()[0], map.stroke(&open, 0.01).segments()[0]);
            assert!(after.point_at(0.3).distance(map.apply(before.point_at(0.3))) < 1e-9);
        }
    }
}
