//! Rounding a corner.

use super::intersect::carriers_meet;
use super::{Contour, Segment, Vertex};

/// Why a corner could not be rounded.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FilletError {
    /// The two segments go straight on, or back on themselves: there is no corner.
    NoCorner,
    /// The round would reach past the far end of one of the two segments.
    TooLarge,
}

/// `contour` with the corner at vertex `index` rounded to `radius` mm by a true arc tangent to
/// the segments on both sides, which may themselves be arcs.
pub fn fillet(contour: &Contour, index: usize, radius: f64) -> Result<Contour, FilletError> {
    let v = contour.vertices();
    let n = v.len();
    let segments: Vec<Segment> = contour.segments().collect();
    let (before, after) = (segments[(index + n - 1) % n], segments[index]);
    let turn = turn_between(before.end_heading(), after.start_heading());
    if turn.abs() < 1e-9 || turn.abs() > std::f64::consts::PI - 1e-9 {
        return Err(FilletError::NoCorner);
    }
    // The centre lies at `radius` from both, on the side the contour turns to.
    let side = radius * turn.signum();
    let (Some(a), Some(b)) = (beside(&before, side), beside(&after, side)) else {
        return Err(FilletError::TooLarge);
    };
    let corner = v[index].point();
    let fitting = carriers_meet(&a, &b)
        .into_iter()
        .filter_map(|c| {
            let (from, to) = (before.nearest_share(c), after.nearest_share(c));
            let (p, q) = (before.point_at(from), after.point_at(to));
            let tangent = (p.distance(c) - radius).abs() < 1e-6 && (q.distance(c) - radius).abs() < 1e-6;
            tangent.then_some((c, from, to, p, q))
        })
        .min_by(|x, y| x.0.distance(corner).total_cmp(&y.0.distance(corner)));
    let Some((_, from, to, p, q)) = fitting else { return Err(FilletError::TooLarge) };
    let bulge = (turn_between(before.heading_at(from), after.heading_at(to)) / 4.0).tan();
    let rest = after.between(to, 1.0);
    let shortened = before.between(0.0, from);
    let mut vertices: Vec<Vertex> = v.to_vec();
    vertices[(index + n - 1) % n].bulge = shortened.bulge;
    vertices.splice(index..=index, [Vertex::new(p, bulge), Vertex::new(q, rest.bulge)]);
    Ok(Contour::new(vertices))
}

/// The turn from one heading to another, radians in (-pi, pi].
pub fn turn_between(from: f64, to: f64) -> f64 {
    use std::f64::consts::{PI, TAU};
    let turn = (to - from).rem_euclid(TAU);
    if turn > PI { turn - TAU } else { turn }
}

/// The segment moved `distance` to its left, arcs concentric; `None` when an arc vanishes.
fn beside(s: &Segment, distance: f64) -> Option<Segment> {
    match s.center() {
        None => {
            let shift = (s.end - s.start).normalized()?.left() * distance;
            Some(Segment::line(s.start + shift, s.end + shift))
        }
        Some(c) => {
            let radius = s.radius();
            let scale = (radius - distance * s.bulge.signum()) / radius;
            (scale > 1e-9).then(|| Segment {
                start: c + (s.start - c) * scale,
                end: c + (s.end - c) * scale,
                bulge: s.bulge,
            })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{first_self_crossing, pt};
    use std::f64::consts::PI;

    #[test]
    fn a_square_with_all_corners_rounded_has_the_closed_form_area() {
        let mut c = Contour::rectangle(pt(0.0, 0.0), pt(40.0, 30.0));
        for i in [0, 2, 4, 6] {
            c = fillet(&c, i, 5.0).expect("fits");
        }
        assert!((c.area() - (1200.0 - (4.0 - PI) * 25.0)).abs() < 1e-9);
        assert_eq!(first_self_crossing(&c), None);
    }

    #[test]
    fn a_corner_between_a_line_and_an_arc_is_rounded_tangentially() {
        // The free edge of a bowed flap: chord 100, rise 10.
        let c = Contour::new([
            Vertex::new(pt(0.0, 0.0), 0.0),
            Vertex::new(pt(100.0, 0.0), 0.0),
            Vertex::new(pt(100.0, 50.0), 0.2),
            Vertex::new(pt(0.0, 50.0), 0.0),
        ]);
        let r = fillet(&c, 2, 6.0).expect("fits");
        let segments: Vec<Segment> = r.segments().collect();
        for (a, b) in [(1, 2), (2, 3)] {
            let kink = turn_between(segments[a].end_heading(), segments[b].start_heading());
            assert!(kink.abs() < 1e-7, "kink of {kink}");
        }
        assert!((segments[2].radius() - 6.0).abs() < 1e-9);
        assert!((segments[3].radius() - c.segments().nth(2).expect("arc").radius()).abs() < 1e-6);
    }

    #[test]
    fn a_round_too_large_is_refused() {
        let c = Contour::rectangle(pt(0.0, 0.0), pt(40.0, 4.0));
        assert_eq!(fillet(&c, 0, 5.0), Err(FilletError::TooLarge));
        assert!(fillet(&c, 0, 4.0).is_ok());
    }
}
