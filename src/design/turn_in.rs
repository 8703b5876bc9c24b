//! Where a turn-in is relieved so that it folds flat: corner cuts, notches and slits.
//!
//! Two turn-ins that meet at a convex corner which turns by a must each give way by a to lie side
//! by side once folded (each then ends on the corner's bisector): together a wedge of 2 a about the
//! bisector. At a square corner that wedge is the whole half plane, the corner cut. A convex arc is
//! folded as chords, a notch between each two; a re-entrant corner or arc is slit, so that the
//! turn-in can open.

use crate::geom::{Contour, Path, Point, Segment, cut_corner, cut_notch, intersections, turn_between};
use std::f64::consts::PI;

/// Corners between these, in degrees between the two board edges, are cut square to their bisector.
const CUT_CORNERS: std::ops::RangeInclusive<f64> = 60.0..=150.0;
/// Pleats, gaps and flats of less than this are left alone, mm.
const PLEAT: f64 = 1.0;
/// A corner rounded to this many times the allowance or less is cut like a sharp one: tabs about it
/// would be slivers.
const SHARP: f64 = 2.0;
/// A tab about an arc turns by at most this, radians: more would not fold over evenly.
const WIDEST_TAB: f64 = PI / 3.0;

/// How a turn-in is relieved at one place. Distances are mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Relief {
    /// Everything beyond the line square to `out` is cut away; `tip` is where the mitre ends.
    CornerCut {
        /// The board's corner.
        corner: Point,
        /// The outward bisector.
        out: Point,
        /// The mitre's tip.
        tip: Point,
    },
    /// A V towards the board.
    Notch {
        /// The place on the board's edge.
        edge: Point,
        /// The outward direction.
        out: Point,
        /// Radians to each side.
        half_angle: f64,
    },
    /// A cut towards the board.
    Slit {
        /// The place on the board's edge.
        edge: Point,
        /// The outward direction.
        out: Point,
    },
}

/// The reliefs that a turn-in of `turn_in` round `region` needs, in the order of the walk, where a
/// corner is cut `allowance` from the board.
pub(super) fn reliefs(region: &Contour, turn_in: f64, allowance: f64) -> Vec<Relief> {
    let segments: Vec<Segment> = region.segments().collect();
    let n = segments.len();
    let around = |i: usize| (&segments[(i + n - 1) % n], &segments[i], &segments[(i + 1) % n]);
    let jogs: Vec<bool> = (0..n).map(|i| is_jog(around(i).0, around(i).1, around(i).2)).collect();
    let mut found = Vec::new();
    for i in 0..n {
        let (before, s, after) = around(i);
        if jogs[i] {
            found.extend(at_corner(before, s.point_at(0.5), after, turn_in));
        } else if !jogs[(i + n - 1) % n] {
            found.extend(at_corner(before, s.start, s, turn_in));
        }
        found.extend(along_arc(s, is_smooth(before, s), is_smooth(s, after), turn_in, allowance));
    }
    found
}

/// Whether a segment is a jog: a short step sideways by less than a pleat, as where a lid is a
/// little narrower than its wall. The cloth gives that much; a notch and a slit beside each other
/// there would only leave a sliver. A jog counts as one corner in its middle.
fn is_jog(before: &Segment, s: &Segment, after: &Segment) -> bool {
    let into = turn_between(before.end_heading(), s.start_heading());
    let out_of = turn_between(s.end_heading(), after.start_heading());
    let sideways = s.chord() * into.sin().abs().min(out_of.sin().abs());
    let slight = |turn: f64| (1e-3..PI / 4.0).contains(&turn.abs());
    s.is_line() && slight(into) && slight(out_of) && into * out_of < 0.0 && sideways < PLEAT
}

fn is_smooth(a: &Segment, b: &Segment) -> bool {
    turn_between(a.end_heading(), b.start_heading()).abs() < 1e-6
}

fn at_corner(before: &Segment, corner: Point, after: &Segment, turn_in: f64) -> Option<Relief> {
    let turn = turn_between(before.end_heading(), after.start_heading());
    let pleat = 2.0 * turn_in * (turn.abs() / 2.0).tan();
    if pleat < PLEAT {
        return None;
    }
    let out = (Point::unit(before.end_heading()) - Point::unit(after.start_heading())).normalized()? * turn.signum();
    let between_edges = PI - turn;
    // Arithmetic must not decide about a corner of exactly 150 degrees.
    let degrees = (between_edges.to_degrees() * 1e6).round() / 1e6;
    if turn < 0.0 {
        Some(Relief::Slit { edge: corner, out })
    } else if CUT_CORNERS.contains(&degrees) {
        Some(Relief::CornerCut { corner, out, tip: corner + out * (turn_in / (between_edges / 2.0).sin()) })
    } else if degrees > *CUT_CORNERS.end() {
        Some(Relief::Notch { edge: corner, out, half_angle: turn })
    } else {
        None
    }
}

/// The notches of a convex arc, or the slits of a concave one, at the ends of its tabs. A tab of
/// radius R over the angle a is flat where the board is round, by the sagitta `R (1 - cos(a/2))`.
fn along_arc(s: &Segment, smooth_in: bool, smooth_out: bool, turn_in: f64, allowance: f64) -> Vec<Relief> {
    let Some(center) = s.center() else { return Vec::new() };
    let (radius, sweep) = (s.radius(), s.sweep().abs());
    let convex = s.bulge > 0.0;
    if convex
        && radius <= SHARP * allowance
        && smooth_in
        && smooth_out
        && CUT_CORNERS.contains(&(180.0 - sweep.to_degrees()))
    {
        let corner = s.point_at(0.5);
        let out = (corner - center) / radius;
        return vec![Relief::CornerCut { corner, out, tip: corner + out * turn_in }];
    }
    let widest = if radius <= PLEAT { WIDEST_TAB } else { (2.0 * (1.0 - PLEAT / radius).acos()).min(WIDEST_TAB) };
    let tabs = (sweep / widest - 1e-9).ceil().max(1.0) as usize;
    let each = sweep / tabs as f64;
    if 2.0 * turn_in * (each / 2.0).tan() < PLEAT && tabs == 1 {
        return Vec::new();
    }
    (0..=tabs)
        .filter_map(|k| {
            let at_end = k == 0 || k == tabs;
            let smooth = if k == 0 { smooth_in } else { smooth_out };
            // At an end that is a corner the corner's own relief serves.
            if at_end && (!smooth || !convex) {
                return None;
            }
            let edge = s.point_at(k as f64 / tabs as f64);
            let out = (edge - center) / radius * if convex { 1.0 } else { -1.0 };
            let half_angle = if at_end { each / 2.0 } else { each };
            Some(if convex { Relief::Notch { edge, out, half_angle } } else { Relief::Slit { edge, out } })
        })
        .collect()
}

/// The cloth's outline with its corner cuts and notches, `allowance` outside the board along the
/// bisector.
pub(super) fn relieved(outline: Contour, reliefs: &[Relief], allowance: f64) -> Contour {
    let cut = reliefs.iter().fold(outline, |o, relief| match *relief {
        Relief::CornerCut { corner, out, tip } => corner_cut(o, corner, out, tip, allowance),
        _ => o,
    });
    reliefs.iter().fold(cut, |o, relief| match *relief {
        Relief::Notch { edge, out, half_angle } => {
            let apex = edge + out * allowance;
            if o.contains(apex) { cut_notch(&o, apex, out, half_angle).unwrap_or(o) } else { o }
        }
        _ => o,
    })
}

/// The slits, each from the cloth's edge to `stop` short of the board.
pub(super) fn slits(outline: &Contour, reliefs: &[Relief], stop: f64, turn_in: f64) -> Vec<Path> {
    reliefs
        .iter()
        .filter_map(|relief| match *relief {
            Relief::Slit { edge, out } => slit(outline, edge, out, stop, turn_in),
            _ => None,
        })
        .collect()
}

fn corner_cut(outline: Contour, corner: Point, out: Point, tip: Point, allowance: f64) -> Contour {
    let through = corner + out * allowance;
    let reach = tip.distance(corner);
    if allowance >= reach {
        return outline;
    }
    // The mitre's tip, or, where a neighbouring cut took it, what that cut left beyond this one.
    let beyond = |p: Point| (p - through).dot(out);
    let start = outline
        .vertices()
        .iter()
        .enumerate()
        .filter(|(_, v)| beyond(v.point()) > 1e-6 && v.point().distance(tip) < 3.0 * reach)
        .min_by(|a, b| a.1.point().distance(tip).total_cmp(&b.1.point().distance(tip)))
        .map(|(i, _)| i);
    match start {
        Some(i) => cut_corner(&outline, i, through, out.left()).unwrap_or(outline),
        None => outline,
    }
}

fn slit(outline: &Contour, edge: Point, out: Point, stop: f64, turn_in: f64) -> Option<Path> {
    let ray = Segment::line(edge + out * stop, edge + out * (4.0 * turn_in + stop));
    let leaves = outline
        .segments()
        .flat_map(|s| intersections(&ray, &s))
        .min_by(|a, b| a.distance(edge).total_cmp(&b.distance(edge)))?;
    (leaves.distance(ray.start) > 0.1).then(|| Path::line(leaves, ray.start))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Join, fillet, first_self_crossing, offset, pt};

    fn cloth(board: &Contour, turn_in: f64, allowance: f64) -> Contour {
        let mitred = offset(board, turn_in, Join::Mitre).expect("sound");
        relieved(mitred, &reliefs(board, turn_in, allowance), allowance)
    }

    #[test]
    fn a_square_corner_is_cut_1_5_t_off_at_45_degrees() {
        // Source: University of Brighton, "Make Your Own Corner Cutter": 3 mm off the corner of a 2 mm board.
        let board = Contour::rectangle(pt(0.0, 0.0), pt(200.0, 100.0));
        let cloth = cloth(&board, 16.0, 3.0);
        assert_eq!(cloth.vertices().len(), 8);
        for corner in board.vertices() {
            assert!((cloth.distance_to(corner.point()) - 3.0).abs() < 1e-9);
        }
    }

    #[test]
    fn cuts_that_meet_on_a_narrow_tongue_both_count() {
        let board = Contour::rectangle(pt(0.0, 0.0), pt(20.0, 100.0));
        let cloth = cloth(&board, 16.0, 3.0);
        for corner in board.vertices() {
            assert!((cloth.distance_to(corner.point()) - 3.0).abs() < 1e-9, "{cloth:?}");
        }
        // The two 45 degree lines meet above the middle of the short edge, 10 + 3 sqrt 2 out.
        assert!((cloth.bounds().max.y - (100.0 + 10.0 + 3.0 * 2f64.sqrt())).abs() < 1e-9);
    }

    #[test]
    fn a_round_corner_is_notched_so_that_no_tab_strays_a_millimetre() {
        for radius in [7.0, 12.0, 30.0, 200.0] {
            let mut board = Contour::rectangle(pt(0.0, 0.0), pt(500.0, 400.0));
            board = fillet(&board, 2, radius).expect("fits");
            let notches: Vec<Point> = reliefs(&board, 16.0, 3.0)
                .into_iter()
                .filter_map(|r| if let Relief::Notch { edge, .. } = r { Some(edge) } else { None })
                .collect();
            assert!(notches.len() >= 3);
            for pair in notches.windows(2) {
                let half_chord = pair[0].distance(pair[1]) / 2.0;
                let sagitta = radius - (radius * radius - half_chord * half_chord).sqrt();
                assert!(sagitta <= 1.0 + 1e-9, "radius {radius}: {sagitta}");
            }
            let cloth = cloth(&board, 16.0, 3.0);
            assert_eq!(first_self_crossing(&cloth), None);
            // Every notch stops at the allowance, and none comes nearer.
            for notch in &notches {
                assert!((cloth.distance_to(*notch) - 3.0).abs() < 1e-6, "radius {radius}");
            }
        }
    }
}
