//! Rounding a corner and cutting one off.

use super::intersect::carriers_meet;
use super::{Contour, Point, Segment, Vertex};

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

/// `contour` with everything round vertex `index` that lies beyond the line through `through`
/// along `direction` cut away. Only the stretch about that vertex is touched: from it the contour
/// is followed both ways to where it first meets the line. `None` when it never does.
pub fn cut_corner(contour: &Contour, index: usize, through: Point, direction: Point) -> Option<Contour> {
    let turned = contour.started_at(index);
    let segments: Vec<Segment> = turned.segments().collect();
    let line = Segment::line(through, through + direction);
    let meets = |s: &Segment| -> Vec<f64> {
        let mut shares: Vec<f64> = carriers_meet(&line, s)
            .into_iter()
            .filter(|p| s.distance_to(*p) < super::SAME_POINT)
            .map(|p| s.nearest_share(p))
            .collect();
        shares.sort_by(f64::total_cmp);
        shares
    };
    let (ahead, ahead_share) =
        segments.iter().enumerate().find_map(|(i, s)| Some((i, meets(s).into_iter().next()?)))?;
    let (back, back_share) =
        segments.iter().enumerate().rev().find_map(|(i, s)| Some((i, meets(s).into_iter().next_back()?)))?;
    if back < ahead || (back == ahead && back_share <= ahead_share) {
        return None;
    }
    let mut kept = Vec::new();
    for (i, segment) in segments.iter().enumerate().take(back + 1).skip(ahead) {
        let from = if i == ahead { ahead_share } else { 0.0 };
        let to = if i == back { back_share } else { 1.0 };
        let part = segment.between(from, to);
        kept.push(Vertex::new(part.start, part.bulge));
        if i == back {
            kept.push(Vertex::new(part.end, 0.0));
        }
    }
    Some(Contour::new(kept))
}

/// `contour` with a notch cut in from its edge to `apex`, which lies inside it: a V about the
/// direction `out`, `half_angle` radians to each side. `None` when a side of the V leaves the
/// contour nowhere, or both leave it on the wrong sides of each other.
pub fn cut_notch(contour: &Contour, apex: Point, out: Point, half_angle: f64) -> Option<Contour> {
    let reach = 2.0 * contour.bounds().width().max(contour.bounds().height());
    // Counter-clockwise along the contour the clockwise side of the V is met first.
    let from = first_exit(contour, apex, out.rotated(-half_angle) * reach)?;
    let to = first_exit(contour, apex, out.rotated(half_angle) * reach)?;
    let segments: Vec<Segment> = contour.segments().collect();
    let n = segments.len();
    let mut kept = vec![Vertex::new(apex, 0.0)];
    // From the far lip of the notch all the way round to the near one.
    let steps = match (from.0 + n - to.0) % n {
        0 if from.1 > to.1 => 0,
        0 => n,
        k => k,
    };
    for k in 0..=steps {
        let i = (to.0 + k) % n;
        let start = if k == 0 { to.1 } else { 0.0 };
        let end = if k == steps { from.1 } else { 1.0 };
        let part = segments[i].between(start, end);
        kept.push(Vertex::new(part.start, part.bulge));
        if k == steps {
            kept.push(Vertex::new(part.end, 0.0));
        }
    }
    Some(Contour::new(kept))
}

/// Where a ray from inside a contour first leaves it: the segment and the share of its length.
fn first_exit(contour: &Contour, from: Point, ray: Point) -> Option<(usize, f64)> {
    let line = Segment::line(from, from + ray);
    contour
        .segments()
        .enumerate()
        .flat_map(|(i, s)| super::intersections(&line, &s).into_iter().map(move |p| (i, s.nearest_share(p), p)))
        .min_by(|a, b| a.2.distance(from).total_cmp(&b.2.distance(from)))
        .map(|(i, share, _)| (i, share))
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

    #[test]
    fn a_notch_takes_its_wedge_wherever_the_contour_starts() {
        let c = Contour::rectangle(pt(0.0, 0.0), pt(40.0, 30.0));
        for i in 0..4 {
            let cut = cut_notch(&c.started_at(i), pt(20.0, 20.0), pt(0.0, 1.0), PI / 8.0).expect("leaves");
            let wedge = 100.0 * (PI / 8.0).tan();
            assert!((cut.area() - (1200.0 - wedge)).abs() < 1e-9);
            // About a corner both of its sides give way.
            let at_corner =
                cut_notch(&c.started_at(i), pt(35.0, 25.0), pt(1.0, 1.0) / 2f64.sqrt(), PI / 8.0).expect("leaves");
            assert!(at_corner.area() < 1200.0 && first_self_crossing(&at_corner).is_none());
        }
    }

    #[test]
    fn a_corner_is_cut_square_to_its_bisector() {
        let c = Contour::rectangle(pt(0.0, 0.0), pt(40.0, 30.0));
        let cut = cut_corner(&c, 2, pt(35.0, 25.0), pt(1.0, -1.0)).expect("meets");
        assert!((cut.area() - (1200.0 - 50.0)).abs() < 1e-9);
        assert!(cut.is_ccw());
    }
}
