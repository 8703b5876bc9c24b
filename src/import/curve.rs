//! Curves that are neither lines nor arcs, followed by chords.

use super::CHORD;
use crate::geom::{Point, pt};
use std::f64::consts::TAU;

/// A B-spline, rational where it has weights.
pub(super) struct Spline<'a> {
    pub(super) degree: usize,
    pub(super) knots: &'a [f64],
    pub(super) points: &'a [Point],
    /// Empty where all are 1.
    pub(super) weights: &'a [f64],
}

impl Spline<'_> {
    /// Whether its lists belong together, so that it can be evaluated.
    pub(super) fn is_sound(&self) -> bool {
        let n = self.points.len();
        (1..=10).contains(&self.degree)
            && n > self.degree
            && self.knots.len() == n + self.degree + 1
            && self.knots.windows(2).all(|k| k[0] <= k[1])
            && self.knots[self.degree] < self.knots[n]
            && (self.weights.is_empty() || self.weights.len() == n)
            && self.weights.iter().all(|w| *w > 0.0)
    }

    /// The point at a parameter. Source: C. de Boor's algorithm, "On calculating with B-splines",
    /// in homogeneous coordinates for the rational case.
    fn at(&self, u: f64) -> Point {
        let (p, n) = (self.degree, self.points.len());
        // The knot span that holds u; the last one for its end.
        let span = self.knots.partition_point(|k| *k <= u).clamp(p + 1, n) - 1;
        let weight = |i: usize| self.weights.get(i).copied().unwrap_or(1.0);
        let mut d: Vec<[f64; 3]> = (span - p..=span)
            .map(|i| {
                let (q, w) = (self.points[i], weight(i));
                [q.x * w, q.y * w, w]
            })
            .collect();
        for r in 1..=p {
            for j in (r..=p).rev() {
                let i = span - p + j;
                let (low, high) = (self.knots[i], self.knots[i + p + 1 - r]);
                let a = if high > low { (u - low) / (high - low) } else { 0.0 };
                d[j] = std::array::from_fn(|k| d[j - 1][k] * (1.0 - a) + d[j][k] * a);
            }
        }
        pt(d[p][0] / d[p][2], d[p][1] / d[p][2])
    }

    /// Points along it, both ends included, the chords within [`CHORD`] of it.
    pub(super) fn flatten(&self) -> Vec<Point> {
        let mut ends: Vec<f64> = self.knots[self.degree..=self.points.len()].to_vec();
        ends.dedup();
        follow(&ends, &|u| self.at(u))
    }
}

/// An elliptic arc's points, both ends included. `major` and `minor` are its half axes; parameters
/// are radians counter-clockwise from the major axis.
pub(super) fn ellipse(center: Point, major: Point, minor: Point, from: f64, to: f64) -> Vec<Point> {
    let sweep = if to > from { to - from } else { to - from + TAU };
    let ends: Vec<f64> = (0..=8).map(|k| from + sweep * f64::from(k) / 8.0).collect();
    follow(&ends, &|u: f64| center + major * u.cos() + minor * u.sin())
}

/// Points of a curve at all of `ends` and, between, wherever a chord would stray.
fn follow(ends: &[f64], at: &dyn Fn(f64) -> Point) -> Vec<Point> {
    let mut points = Vec::new();
    for pair in ends.windows(2) {
        if points.is_empty() {
            points.push(at(pair[0]));
        }
        halve(pair[0], pair[1], at, 14, &mut points);
    }
    points
}

/// The points after `from` up to `to`. Three points between are tried, so that a curve that swings
/// to both sides of its chord is not taken for straight.
fn halve(from: f64, to: f64, at: &dyn Fn(f64) -> Point, depth: u32, points: &mut Vec<Point>) {
    let (a, b) = (at(from), at(to));
    let chord = crate::geom::Segment::line(a, b);
    let strays = [0.25, 0.5, 0.75].iter().any(|t| chord.distance_to(at(from + (to - from) * t)) > CHORD * 0.75);
    if strays && depth > 0 {
        let middle = (from + to) / 2.0;
        halve(from, middle, at, depth - 1, points);
        halve(middle, to, at, depth - 1, points);
    } else {
        points.push(b);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rational_spline_is_the_circle_that_it_stands_for() {
        // Source: L. Piegl and W. Tiller, The NURBS Book, example of a quarter circle: weights 1, 1/sqrt 2, 1.
        let points = [pt(40.0, 0.0), pt(40.0, 40.0), pt(0.0, 40.0)];
        let weights = [1.0, 0.5f64.sqrt(), 1.0];
        let knots = [0.0, 0.0, 0.0, 1.0, 1.0, 1.0];
        let spline = Spline { degree: 2, knots: &knots, points: &points, weights: &weights };
        assert!(spline.is_sound());
        let flat = spline.flatten();
        assert!(flat.iter().all(|p| (p.length() - 40.0).abs() < 1e-9));
        for pair in flat.windows(2) {
            assert!(40.0 - pair[0].lerp(pair[1], 0.5).length() <= CHORD, "a chord strays");
        }
        assert!(flat.len() < 60, "{}", flat.len());
    }

    #[test]
    fn a_cubic_without_inner_knots_is_its_bezier() {
        let points = [pt(0.0, 0.0), pt(10.0, 30.0), pt(50.0, 30.0), pt(60.0, 0.0)];
        let knots = [0.0, 0.0, 0.0, 0.0, 2.0, 2.0, 2.0, 2.0];
        let spline = Spline { degree: 3, knots: &knots, points: &points, weights: &[] };
        // Bernstein: at the middle (p0 + 3 p1 + 3 p2 + p3) / 8.
        assert!(spline.at(1.0).distance(pt(30.0, 22.5)) < 1e-12);
        assert_eq!((spline.at(0.0), spline.at(2.0)), (points[0], points[3]));
    }

    #[test]
    fn an_ellipse_keeps_its_axes() {
        let flat = ellipse(pt(5.0, 5.0), pt(30.0, 0.0), pt(0.0, 10.0), 0.0, TAU);
        assert!(flat.iter().all(|p| (((p.x - 5.0) / 30.0).powi(2) + ((p.y - 5.0) / 10.0).powi(2) - 1.0).abs() < 1e-9));
        assert!(flat[0].distance(flat[flat.len() - 1]) < 1e-9);
    }
}
