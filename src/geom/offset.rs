//! Moving a contour outwards or inwards, arcs kept. The only caller of the offset library, whose
//! traps are guarded here: its equality tolerance, slivers and rings that touch themselves, and
//! an empty answer that may mean "vanished" or "failed".

use super::corner::turn_between;
use super::{Contour, Point, Segment, Vertex, first_self_crossing};
use cavalier_contours::polyline::{PlineOffsetOptions, PlineSource, PlineSourceMut, PlineVertex, Polyline};

/// What becomes of a convex corner that is moved outwards (or a re-entrant one moved inwards).
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Join {
    /// An arc about the corner: every point of the result is exactly at the distance.
    Round,
    /// Both sides are carried on until they meet: corners stay sharp.
    Mitre,
    /// Straight edges that touch that arc: both sides carried on until they meet, where they do within
    /// `most` mm of the corner or within twice the distance; otherwise a third edge across.
    Straight {
        /// mm.
        most: f64,
    },
}

/// Why a contour has no offset.
#[derive(Clone, Debug, PartialEq)]
pub enum OffsetError {
    /// Nothing is left of it.
    Vanished,
    /// It falls apart into this many.
    Split(usize),
    /// The contour given, or the result, touches or crosses itself here.
    Crossing(Point),
    /// The library's answer fails the check of its distance or area: a defect, not a property of
    /// the contour.
    Unsound,
}

/// The library's equality tolerance. Its default of 1e-5 gives wrong answers on contours of
/// thousands of vertices; 1e-7 does not.
const EQUAL: f64 = 1e-7;
/// A loop of less area than this, mm2, is left over from rounding and no part of the answer.
const SLIVER: f64 = 1e-4;

/// `contour` moved away from its inside by `distance` mm, or into it when negative. The result
/// runs the way `contour` runs.
///
/// Fails when the contour vanishes, falls apart or crosses itself; the answer of the library is
/// checked against the distance it should keep before it is returned.
pub fn offset(contour: &Contour, distance: f64, join: Join) -> Result<Contour, OffsetError> {
    if let Some(p) = first_self_crossing(contour) {
        return Err(OffsetError::Crossing(p));
    }
    if distance == 0.0 {
        return Ok(contour.clone());
    }
    let ccw = contour.is_ccw();
    let source = if ccw { contour.clone() } else { contour.reversed() };
    let mut pline = Polyline::new_closed();
    for v in source.vertices() {
        pline.add_vertex(PlineVertex::new(v.x, v.y, v.bulge));
    }
    let options = PlineOffsetOptions { pos_equal_eps: EQUAL, ..PlineOffsetOptions::default() };
    // The library moves to the left when positive: into a counter-clockwise contour.
    let loops: Vec<Contour> = pline
        .parallel_offset_opt(-distance, &options)
        .iter()
        .map(|p| Contour::new(p.iter_vertexes().map(|v| Vertex { x: v.x, y: v.y, bulge: v.bulge })))
        .filter(|c| c.area().abs() > SLIVER)
        .collect();
    // Moved outwards, a bay that closes leaves a clockwise loop inside: the piece has no hole
    // there, the bay is merely unreachable, so the outer loop alone would be wrong in silence.
    let moved = match loops.len() {
        0 => return Err(OffsetError::Vanished),
        1 => loops.into_iter().next().unwrap_or_default(),
        n => return Err(OffsetError::Split(n)),
    };
    if let Some(p) = first_self_crossing(&moved) {
        return Err(OffsetError::Crossing(p));
    }
    if !is_sound(&source, &moved, distance) {
        return Err(OffsetError::Unsound);
    }
    let moved = match join {
        Join::Round => moved,
        Join::Mitre => mitred(&source, &moved, distance.abs(), |sweep| usize::from(sweep < MITRE_LIMIT))?,
        Join::Straight { most } => {
            let far = most.max(2.0 * distance.abs());
            // Over a turn a the tangents meet d / cos(a/2) from the corner.
            let corners = |sweep: f64| if distance.abs() <= far * (sweep / 2.0).cos() { 1 } else { 2 };
            mitred(&source, &moved, distance.abs(), corners)?
        }
    };
    Ok(if ccw { moved } else { moved.reversed() })
}

/// Whether the round offset has an area that it can have and, for contours small enough to try
/// every pair, lies at the distance from the source all along.
fn is_sound(source: &Contour, moved: &Contour, distance: f64) -> bool {
    let (a, b) = (source.area(), moved.area());
    let corners = source.vertices().len() as f64;
    // Steiner: a contour moved out by d gains at most d x length + pi d^2; moved in it loses at
    // most d x length plus a sector at each re-entrant corner.
    let most = distance.abs() * source.length() + std::f64::consts::PI * distance * distance * corners.max(1.0);
    if (b - a) * distance.signum() <= 0.0 || (b - a).abs() > most * (1.0 + 1e-9) {
        return false;
    }
    let (n, m) = (source.vertices().len(), moved.vertices().len());
    if n * m > 400_000 {
        return true;
    }
    moved
        .segments()
        .all(|s| [0.0, 0.5].iter().all(|t| (source.distance_to(s.point_at(*t)) - distance.abs()).abs() < 1e-4))
}

/// The round joins of `moved` carried on to sharp corners. A join is an arc of the offset's
/// radius about a corner of the source at which its neighbours pass smoothly; it is replaced by
/// as many corners as `corners` says for its sweep, on tangents that share it evenly, so that an arc
/// beside it keeps its radius and length; for none it stays.
fn mitred(
    source: &Contour,
    moved: &Contour,
    distance: f64,
    corners_of: impl Fn(f64) -> usize,
) -> Result<Contour, OffsetError> {
    let segments: Vec<Segment> = moved.segments().collect();
    let n = segments.len();
    let corners = sharp_corners(source);
    let join_center = |i: usize| {
        let s = &segments[i];
        let (before, after) = (&segments[(i + n - 1) % n], &segments[(i + 1) % n]);
        let is_join = (s.radius() - distance).abs() < 1e-6
            && turn_between(before.end_heading(), s.start_heading()).abs() < 1e-6
            && turn_between(s.end_heading(), after.start_heading()).abs() < 1e-6
            && corners_of(s.sweep().abs()) > 0;
        s.center().filter(|c| is_join && corners.iter().any(|q| q.distance(*c) < 1e-6))
    };
    let mut vertices = Vec::with_capacity(n + 8);
    for (i, s) in segments.iter().enumerate() {
        match join_center(i) {
            None => vertices.push(Vertex::new(s.start, s.bulge)),
            Some(c) => {
                let n = corners_of(s.sweep().abs()) as f64;
                let tip = |i: usize| c + (s.point_at((i as f64 + 0.5) / n) - c) / (s.sweep() / (2.0 * n)).cos();
                vertices.push(Vertex::new(s.start, 0.0));
                vertices.extend((0..n as usize).map(|i| Vertex::new(tip(i), 0.0)));
            }
        }
    }
    let result = Contour::new(vertices).without_straight_vertices();
    match first_self_crossing(&result) {
        Some(p) => Err(OffsetError::Crossing(p)),
        None => Ok(result),
    }
}

/// Corners that turn by more than this are not carried on to a point, radians (150 degrees).
const MITRE_LIMIT: f64 = 150.0 / 180.0 * std::f64::consts::PI;

/// The vertices at which a contour changes its heading.
fn sharp_corners(contour: &Contour) -> Vec<Point> {
    let segments: Vec<Segment> = contour.segments().collect();
    let n = segments.len();
    (0..n)
        .filter(|&i| turn_between(segments[(i + n - 1) % n].end_heading(), segments[i].start_heading()).abs() > 1e-9)
        .map(|i| segments[i].start)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{fillet, pt};
    use std::f64::consts::PI;

    fn cross() -> Contour {
        Contour::polygon(
            [
                (0, 0),
                (30, 0),
                (30, -20),
                (60, -20),
                (60, 0),
                (90, 0),
                (90, 30),
                (60, 30),
                (60, 50),
                (30, 50),
                (30, 30),
                (0, 30),
            ]
            .map(|(x, y)| pt(f64::from(x), f64::from(y))),
        )
    }

    #[test]
    fn every_start_vertex_and_both_directions_give_one_answer() {
        for i in 0..12 {
            for c in [cross().started_at(i), cross().started_at(i).reversed()] {
                let out = offset(&c, 5.0, Join::Mitre).expect("sound");
                // Mitred rectilinear: each of the 8 convex corners gains d^2, each of the 4 re-entrant loses it.
                assert!((out.area().abs() - (cross().area() + 5.0 * cross().length() + 4.0 * 25.0)).abs() < 1e-6);
                assert_eq!(out.is_ccw(), c.is_ccw());
                let round = offset(&c, 5.0, Join::Round).expect("sound");
                let gain = 5.0 * cross().length() + 2.0 * PI * 25.0 - 4.0 * 25.0;
                assert!((round.area().abs() - cross().area() - gain).abs() < 1e-6);
            }
        }
    }

    #[test]
    fn straight_joins_touch_the_round_one_and_stay_near_the_corner() {
        // A needle of 4 degrees: its mitre would be d / sin(2 degrees) = 28.7 d long.
        let needle = Contour::polygon([pt(0.0, 0.0), pt(100.0, -3.492), pt(100.0, 3.492)]);
        for (d, most) in [(0.04, 1.0), (0.04, 2.0), (0.5, 1.0)] {
            let out = offset(&needle, d, Join::Straight { most }).expect("sound");
            assert!(out.segments().all(|s| s.is_line()));
            let off: Vec<f64> = out.segments().map(|s| needle.distance_to(s.point_at(0.5))).collect();
            assert!(off.iter().all(|o| (o - d).abs() < 1e-6), "{off:?}");
            let far = out.vertices().iter().map(|v| needle.distance_to(v.point())).fold(0.0, f64::max);
            assert!(far <= most.max(2.0 * d) + 1e-9, "{far}");
            assert_eq!(out.vertices().len(), if 28.7 * d < most { 3 } else { 4 });
        }
    }

    #[test]
    fn arcs_stay_arcs_of_the_moved_radius() {
        let mut c = Contour::rectangle(pt(0.0, 0.0), pt(40.0, 30.0));
        c = fillet(&c, 2, 6.0).expect("fits");
        let out = offset(&c, 0.1, Join::Mitre).expect("sound");
        let arcs: Vec<f64> = out.segments().filter(|s| !s.is_line()).map(|s| s.radius()).collect();
        assert_eq!(arcs.len(), 1);
        assert!((arcs[0] - 6.1).abs() < 1e-9);
        assert_eq!(out.vertices().len(), 5);
    }

    #[test]
    fn a_vanished_a_split_and_a_crossing_contour_are_told_apart() {
        let c = Contour::rectangle(pt(0.0, 0.0), pt(40.0, 1.0));
        assert_eq!(offset(&c, -0.6, Join::Round), Err(OffsetError::Vanished));
        let waist = Contour::polygon(
            [
                (0, 0),
                (20, 0),
                (20, 9),
                (30, 9),
                (30, 0),
                (50, 0),
                (50, 20),
                (30, 20),
                (30, 11),
                (20, 11),
                (20, 20),
                (0, 20),
            ]
            .map(|(x, y)| pt(f64::from(x), f64::from(y))),
        );
        assert_eq!(offset(&waist, -1.5, Join::Round), Err(OffsetError::Split(2)));
        let tie = Contour::polygon([pt(0.0, 0.0), pt(10.0, 10.0), pt(10.0, 0.0), pt(0.0, 10.0)]);
        assert!(matches!(offset(&tie, 1.0, Join::Round), Err(OffsetError::Crossing(_))));
    }
}
