//! One line or arc.

use super::{Bounds, Point};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// A line (bulge 0) or an arc from `start` to `end`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Segment {
    /// Where it starts.
    pub start: Point,
    /// Where it ends.
    pub end: Point,
    /// `tan(sweep / 4)`, positive counter-clockwise; 0 for a line; at most 1 in size.
    pub bulge: f64,
}

/// A bulge below this is a line: over a chord of 1 m the arc would rise 0.5 nm.
pub(crate) const FLAT_BULGE: f64 = 1e-12;

impl Segment {
    /// A straight segment.
    pub fn line(start: Point, end: Point) -> Self {
        Self { start, end, bulge: 0.0 }
    }

    /// Whether it is straight.
    pub fn is_line(&self) -> bool {
        self.bulge.abs() < FLAT_BULGE
    }

    /// The straight distance between its ends, mm.
    pub fn chord(&self) -> f64 {
        self.start.distance(self.end)
    }

    /// The angle it turns through, radians, positive counter-clockwise; 0 for a line.
    pub fn sweep(&self) -> f64 {
        4.0 * self.bulge.atan()
    }

    /// The radius in mm, infinite for a line: `chord (1 + b^2) / (4 |b|)`.
    pub fn radius(&self) -> f64 {
        if self.is_line() {
            f64::INFINITY
        } else {
            self.chord() * (1.0 + self.bulge * self.bulge) / (4.0 * self.bulge.abs())
        }
    }

    /// The centre of an arc; `None` for a line.
    pub fn center(&self) -> Option<Point> {
        if self.is_line() {
            return None;
        }
        // The centre lies on the chord's perpendicular bisector, (1 - b^2)/(4b) chords to the left.
        let b = self.bulge;
        let chord = self.end - self.start;
        Some(self.start.lerp(self.end, 0.5) + chord.left() * ((1.0 - b * b) / (4.0 * b)))
    }

    /// Its length along the curve, mm.
    pub fn length(&self) -> f64 {
        if self.is_line() { self.chord() } else { self.radius() * self.sweep().abs() }
    }

    /// The point a share `t` (0 to 1) of the length along it.
    pub fn point_at(&self, t: f64) -> Point {
        match self.center() {
            None => self.start.lerp(self.end, t),
            Some(c) => c + (self.start - c).rotated(self.sweep() * t),
        }
    }

    /// The heading a share `t` of the length along it, radians counter-clockwise from +x. Not
    /// brought into any range: along one arc it changes continuously.
    pub fn heading_at(&self, t: f64) -> f64 {
        let chord = (self.end - self.start).heading();
        chord + self.sweep() * (t - 0.5)
    }

    /// The heading at its start, radians.
    pub fn start_heading(&self) -> f64 {
        self.heading_at(0.0)
    }

    /// The heading at its end, radians.
    pub fn end_heading(&self) -> f64 {
        self.heading_at(1.0)
    }

    /// Run the other way.
    #[must_use]
    pub fn reversed(&self) -> Self {
        Self { start: self.end, end: self.start, bulge: -self.bulge }
    }

    /// The part between the shares `t0` and `t1` of its length.
    #[must_use]
    pub fn between(&self, t0: f64, t1: f64) -> Self {
        let end_of = |t: f64| {
            if t <= 0.0 {
                self.start
            } else if t >= 1.0 {
                self.end
            } else {
                self.point_at(t)
            }
        };
        Self {
            start: end_of(t0),
            end: end_of(t1),
            bulge: if self.is_line() { 0.0 } else { (self.sweep() * (t1 - t0) / 4.0).tan() },
        }
    }

    /// The share of the length at which the segment passes nearest to `p`, in 0..=1.
    pub fn nearest_share(&self, p: Point) -> f64 {
        match self.center() {
            None => {
                let d = self.end - self.start;
                let l2 = d.dot(d);
                if l2 == 0.0 { 0.0 } else { ((p - self.start).dot(d) / l2).clamp(0.0, 1.0) }
            }
            Some(c) => {
                let sweep = self.sweep();
                let from = (self.start - c).heading();
                // Angle from the start in the direction of travel, in [0, 2 pi).
                let along = ((p - c).heading() - from) * sweep.signum();
                let along = along.rem_euclid(TAU);
                if along <= sweep.abs() {
                    along / sweep.abs()
                } else if p.distance(self.start) <= p.distance(self.end) {
                    0.0
                } else {
                    1.0
                }
            }
        }
    }

    /// The distance from `p` to the nearest point of the segment, mm.
    pub fn distance_to(&self, p: Point) -> f64 {
        self.point_at(self.nearest_share(p)).distance(p)
    }

    /// The upright rectangle around it, arcs' extremes included.
    pub fn bounds(&self) -> Bounds {
        let ends = Bounds::of([self.start, self.end]);
        let Some(c) = self.center() else { return ends };
        let (r, sweep) = (self.radius(), self.sweep());
        let from = (self.start - c).heading();
        let (lo, hi) = if sweep > 0.0 { (from, from + sweep) } else { (from + sweep, from) };
        // Quarter points of the circle that the arc passes.
        let first = (lo / FRAC_PI_2).ceil() as i64;
        (first..first + 4)
            .map(|k| k as f64 * FRAC_PI_2)
            .take_while(|a| *a <= hi)
            .fold(ends, |b, a| b.with(c + Point::unit(a) * r))
    }

    /// The area between the segment and the origin, signed, `1/2 integral of x dy - y dx`.
    pub(crate) fn swept_area(&self) -> f64 {
        let triangle = self.start.cross(self.end) / 2.0;
        if self.is_line() {
            return triangle;
        }
        let (r, a) = (self.radius(), self.sweep());
        triangle + r * r * (a - a.sin()) / 2.0
    }

    /// Points along it after the start, its end included, such that the chords between them stray
    /// from the arc by at most `tolerance` mm. 0.01 suits a cutter; the count grows with
    /// `1 / sqrt(tolerance)`. A line gives its end alone.
    pub fn flatten(&self, tolerance: f64) -> Vec<Point> {
        if self.is_line() {
            return vec![self.end];
        }
        let n = chords(self.radius(), self.sweep().abs(), tolerance);
        (1..=n).map(|i| if i == n { self.end } else { self.point_at(i as f64 / n as f64) }).collect()
    }
}

/// How many chords follow an arc of `radius` through `sweep` within `tolerance`: the sagitta of a
/// chord over the angle a is `r (1 - cos(a/2))`. At most 100 000.
fn chords(radius: f64, sweep: f64, tolerance: f64) -> usize {
    let widest = if tolerance >= radius { PI } else { 2.0 * (1.0 - tolerance / radius).acos() };
    ((sweep / widest).ceil().clamp(1.0, 100_000.0)) as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::pt;

    fn quarter() -> Segment {
        Segment { start: pt(10.0, 0.0), end: pt(0.0, 10.0), bulge: (PI / 8.0).tan() }
    }

    #[test]
    fn a_quarter_circle_has_its_radius_centre_and_length() {
        let s = quarter();
        assert!((s.radius() - 10.0).abs() < 1e-12);
        assert!(s.center().expect("an arc").length() < 1e-12);
        assert!((s.length() - 5.0 * PI).abs() < 1e-12);
        assert!((s.start_heading() - FRAC_PI_2).abs() < 1e-12);
        assert!((s.end_heading() - PI).abs() < 1e-12);
        assert!((s.swept_area() - 25.0 * PI).abs() < 1e-9);
    }

    #[test]
    fn splitting_keeps_the_circle_and_reversal_the_length() {
        let s = quarter();
        let part = s.between(0.25, 0.75);
        assert!((part.radius() - 10.0).abs() < 1e-9);
        assert!((part.length() - s.length() / 2.0).abs() < 1e-9);
        assert!((s.reversed().length() - s.length()).abs() < 1e-12);
        assert!(s.reversed().center().expect("an arc").length() < 1e-12);
    }

    #[test]
    fn bounds_take_in_the_extremes() {
        let half = Segment { start: pt(5.0, 0.0), end: pt(-5.0, 0.0), bulge: 1.0 };
        assert!((half.bounds().max.y - 5.0).abs() < 1e-12);
        assert!(half.bounds().min.y.abs() < 1e-12);
        let cw = Segment { bulge: -1.0, ..half };
        assert!((cw.bounds().min.y + 5.0).abs() < 1e-12);
    }

    #[test]
    fn flattening_stays_within_its_tolerance() {
        for tolerance in [0.5, 0.01, 1e-4] {
            let s = quarter();
            let mut last = s.start;
            for p in s.flatten(tolerance) {
                assert!(10.0 - last.lerp(p, 0.5).length() <= tolerance * (1.0 + 1e-9));
                last = p;
            }
            assert_eq!(last, s.end);
        }
    }

    #[test]
    fn the_nearest_point_of_an_arc_is_on_its_radius_or_an_end() {
        let s = quarter();
        assert!((s.distance_to(pt(20.0, 20.0)) - (800f64.sqrt() - 10.0)).abs() < 1e-9);
        assert!((s.distance_to(pt(10.0, -3.0)) - 3.0).abs() < 1e-9);
    }
}
