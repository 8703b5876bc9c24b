//! Where a turn-in is relieved so that it folds flat: wedges and slits.
//!
//! Two turn-ins that meet at a convex corner which turns by a must each give way by a to lie side
//! by side once folded (each then ends on the corner's bisector): together a wedge of 2 a about the
//! bisector, its apex the corner allowance outside the board. At a square corner that wedge is the
//! whole half plane, the usual corner cut square to the bisector; at a blunt one a V, at a sharp one
//! more than the half plane. A convex arc is folded as chords, a V between each two; a re-entrant
//! corner or arc is slit, so that the turn-in can open.

use crate::geom::{Contour, Path, Point, Segment, half_of, intersections, turn_between, without};
use std::f64::consts::PI;

/// A turn-in covers an edge when it reaches over the board's thickness and this much farther, mm (our choice:
/// what holds by its glue).
pub(super) const GRIP: f64 = 6.0;
/// Pleats, gaps and flats of less than this are left alone, mm (our choice: cloth gives so much).
const PLEAT: f64 = 1.0;
/// A corner rounded to this many times the allowance or less is cut like a sharp one: tabs about it
/// would be slivers (our choice).
const SHARP: f64 = 2.0;
/// A tab about an arc turns by at most this, radians: more would not fold over evenly
/// (our choice).
const WIDEST_TAB: f64 = PI / 3.0;
/// A tab about a concave arc is at least this wide, mm (common practice, no source).
const NARROWEST_TAB: f64 = 3.0;
/// The ends of a jog turn by less than this, radians (80 degrees; our choice).
const JOG: f64 = 80.0 / 180.0 * PI;
/// A corner that turns by more than this, radians (140 degrees), is a spike: cloth is not carried
/// round it (our choice).
const SPIKE: f64 = 140.0 / 180.0 * PI;

/// Edges of the cloth shorter than this, mm, are nothing that a blade or a hand could cut (common
/// practice, no source: the tip of a blade is wider).
pub(super) const SLIVER: f64 = 0.4;

/// How far a wedge reaches beyond the turn-in's edge, mm.
const BEYOND: f64 = PLEAT + 0.2;

/// How a turn-in is relieved at one place. Distances are mm.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Relief {
    /// A wedge is cut away.
    Wedge {
        /// The place on the board's edge.
        edge: Point,
        /// The outward direction.
        out: Point,
        /// Radians to each side.
        half_angle: f64,
        /// By how much the board is rounded off here, from the sharp corner along the bisector.
        rounded: f64,
        /// By how much the board's edge steps aside here, so much farther the wedge reaches.
        aside: f64,
        /// Lines, each a point and a direction to its kept side, beyond which the wedge leaves the
        /// cloth alone: there it belongs to another tab.
        within: Vec<(Point, Point)>,
    },
    /// A cut towards the board.
    Slit {
        /// The place on the board's edge.
        edge: Point,
        /// The outward direction.
        out: Point,
        /// Where the slit must end at the latest, mm from the edge.
        most: f64,
        /// Whether it ends where it meets another slit.
        yields: bool,
    },
}

/// The reliefs that a turn-in of `turn_in` round `region` needs, in the order of the walk, where a
/// corner is cut `allowance` from the board.
pub(super) fn reliefs(region: &Contour, turn_in: f64, allowance: f64) -> Vec<Relief> {
    let segments: Vec<Segment> = region.segments().collect();
    let n = segments.len();
    let around = |i: usize| (&segments[(i + n - 1) % n], &segments[i], &segments[(i + 1) % n]);
    let jogs: Vec<bool> = (0..n).map(|i| is_jog(around(i).0, around(i).1, around(i).2, turn_in)).collect();
    let mut found = Vec::new();
    for i in 0..n {
        let (before, s, after) = around(i);
        if jogs[i] {
            found.extend(at_jog(before, s, after, turn_in));
        } else if !jogs[(i + n - 1) % n] {
            found.extend(at_corner(before, s.start, s, turn_in));
            found.extend(at_smooth(before, s, turn_in));
        }
        found.extend(along_arc(before, s, after, turn_in, allowance));
    }
    found
}

/// Whether a segment is a jog: a short step sideways, as where a lid is a little narrower than its
/// wall, a slanted joint end in a re-entrant corner, or one that bends by next to nothing. Reliefs at both of its ends would only
/// leave a sliver between them: a jog counts as one corner in its middle.
fn is_jog(before: &Segment, s: &Segment, after: &Segment, turn_in: f64) -> bool {
    let (into, out_of) = turns_about(before, s, after);
    let bends = |turn: f64| (1e-3..JOG).contains(&turn.abs());
    let is_step = into.min(out_of) < 0.0 && s.chord() < turn_in * 0.75;
    // Of several short lines in a row the shortest: the others are edges with a turn-in of their own.
    let is_short = s.chord() < before.length().min(after.length());
    s.is_line() && is_short && bends(into) && bends(out_of) && (is_step || sideways(before, s, after) < PLEAT)
}

fn turns_about(before: &Segment, s: &Segment, after: &Segment) -> (f64, f64) {
    (turn_between(before.end_heading(), s.start_heading()), turn_between(s.end_heading(), after.start_heading()))
}

/// By how much a short line steps aside from its neighbours.
fn sideways(before: &Segment, s: &Segment, after: &Segment) -> f64 {
    let (into, out_of) = turns_about(before, s, after);
    s.chord() * into.sin().abs().min(out_of.sin().abs())
}

/// The relief at a jog. The cloth gives a step of less than a pleat; a wider one is slit, so that the
/// turn-ins on both sides of it fold on lines of their own.
fn at_jog(before: &Segment, s: &Segment, after: &Segment, turn_in: f64) -> Option<Relief> {
    let middle = s.point_at(0.5);
    let step = sideways(before, s, after);
    match at_corner(before, middle, after, turn_in) {
        Some(Relief::Wedge { edge, out, half_angle, rounded, within, .. }) => {
            Some(Relief::Wedge { edge, out, half_angle, rounded, aside: step, within })
        }
        Some(slit) => Some(slit),
        None => {
            let out = -(Point::unit(before.end_heading()) + Point::unit(after.start_heading())).normalized()?.left();
            (step >= PLEAT).then_some(Relief::Slit { edge: middle, out, most: f64::INFINITY, yields: true })
        }
    }
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
    let (turn, out) = folds(before, after)?;
    if turn < 0.0 {
        return Some(Relief::Slit { edge: corner, out, most: f64::INFINITY, yields: false });
    }
    (turn <= SPIKE).then(|| Relief::Wedge {
        edge: corner,
        out,
        half_angle: turn,
        rounded: 0.0,
        aside: 0.0,
        within: [first_slit(&before.reversed(), corner, before.bulge), first_slit(after, corner, after.bulge)]
            .into_iter()
            .flatten()
            .collect(),
    })
}

/// By how much the folds on both sides of a place turn, and their outward bisector. About an arc the
/// fold is the chord of its first or last tab.
fn folds(before: &Segment, after: &Segment) -> Option<(f64, Point)> {
    let half_tab = |s: &Segment| if s.is_line() { 0.0 } else { s.sweep() / tabs(s, s.bulge) as f64 / 2.0 };
    let into = before.end_heading() - half_tab(before);
    let out_of = after.start_heading() + half_tab(after);
    let turn = turn_between(into, out_of);
    Some((turn, (Point::unit(into) - Point::unit(out_of)).normalized()? * turn.signum()))
}

/// Where a concave arc (of that bulge as the walk meets it) begins at a corner: the line of its
/// first slit, and the side on which the corner lies.
fn first_slit(s: &Segment, corner: Point, bulge: f64) -> Option<(Point, Point)> {
    let center = s.center().filter(|_| bulge < 0.0)?;
    let tabs = tabs(s, bulge);
    let edge = s.point_at(1.0 / tabs as f64);
    let aside = (center - edge).normalized()?.left();
    let side = if aside.dot(corner - edge) > 0.0 { aside } else { -aside };
    (tabs > 1).then_some((edge, side))
}

/// How many tabs the turn-in of an arc (of that bulge as the walk meets it) is folded in. A tab of
/// radius R over the angle a is flat where the board is round, by the sagitta `R (1 - cos(a/2))`.
/// About a concave arc the tabs open by a as they are folded: slits are set so close that what shows
/// between them stays under a pleat, but no tab is narrower than 3 mm.
fn tabs(s: &Segment, bulge: f64) -> usize {
    let radius = s.radius();
    let flat = if radius <= PLEAT { WIDEST_TAB } else { (2.0 * (1.0 - PLEAT / radius).acos()).min(WIDEST_TAB) };
    let widest = if bulge < 0.0 { flat.min((PLEAT / GRIP).max(NARROWEST_TAB / radius)) } else { flat };
    (s.sweep().abs() / widest - 1e-9).ceil().max(1.0) as usize
}

/// Whether an arc rounds a corner by less than the turn-in's width. Its middle then lies under both
/// turn-ins beside it, which are cut as at a sharp corner; what is left about the arc is nicked.
fn is_corner(s: &Segment, turn_in: f64) -> bool {
    s.bulge > 0.0 && s.radius() < turn_in && (PI / 6.0..=SPIKE).contains(&s.sweep())
}

/// The wedge where an arc begins or ends smoothly, between its first or last tab and what is beside it.
fn at_smooth(before: &Segment, after: &Segment, turn_in: f64) -> Option<Relief> {
    let is_plain = before.is_line() && after.is_line();
    if is_plain || !is_smooth(before, after) || is_corner(before, turn_in) || is_corner(after, turn_in) {
        return None;
    }
    let (turn, _) = folds(before, after)?;
    let out = -Point::unit(after.start_heading()).left();
    (turn > 0.0 && 2.0 * turn_in * (turn / 2.0).tan() >= PLEAT).then(|| Relief::Wedge {
        edge: after.start,
        out,
        half_angle: turn,
        rounded: 0.0,
        aside: 0.0,
        within: Vec::new(),
    })
}

/// The wedges of a convex arc, or the slits of a concave one, between its tabs.
fn along_arc(before: &Segment, s: &Segment, after: &Segment, turn_in: f64, allowance: f64) -> Vec<Relief> {
    let Some(center) = s.center() else { return Vec::new() };
    let (radius, sweep) = (s.radius(), s.sweep().abs());
    let mut found = Vec::new();
    if is_corner(s, turn_in) && is_smooth(before, s) && is_smooth(s, after) {
        let edge = s.point_at(0.5);
        let within = [first_slit(&before.reversed(), s.start, before.bulge), first_slit(after, s.end, after.bulge)]
            .into_iter()
            .flatten()
            .collect();
        let rounded = radius * (1.0 / (sweep / 2.0).cos() - 1.0);
        let (half_angle, out) = folds(before, after).filter(|f| f.0 > 0.0).unwrap_or((sweep, (edge - center) / radius));
        found.push(Relief::Wedge { edge, out, half_angle, rounded, aside: 0.0, within });
    }
    // About so small a round nicks would leave slivers.
    if s.bulge > 0.0 && radius <= SHARP * allowance {
        return found;
    }
    let tabs = tabs(s, s.bulge);
    let half_angle = sweep / tabs as f64;
    found.extend((1..tabs).map(|k| {
        let edge = s.point_at(k as f64 / tabs as f64);
        let out = (edge - center) / radius * s.bulge.signum();
        if s.bulge > 0.0 {
            Relief::Wedge { edge, out, half_angle, rounded: 0.0, aside: 0.0, within: Vec::new() }
        } else {
            Relief::Slit { edge, out, most: radius, yields: false }
        }
    }));
    found
}

/// The cloth's outline without the wedges, each with its apex `allowance` outside the board along
/// the bisector; farther where the board is rounded off so much that the turn-ins, gone round its
/// `thickness`, would not meet.
pub(super) fn relieved(outline: Contour, reliefs: &[Relief], turn_in: f64, allowance: f64, thickness: f64) -> Contour {
    let mut cloth = outline;
    let mut wedges: Vec<Contour> =
        reliefs.iter().filter_map(|relief| wedge(relief, turn_in, allowance, thickness)).collect();
    // Beside a base corner a wedge may lie within the cloth until the wedge next to it opens the
    // way: whatever took nothing away is tried again, so that the order of the walk does not show.
    for _ in 0..2 {
        wedges.retain(|wedge| {
            let before = cloth.area();
            cloth = without(&cloth, wedge);
            cloth.area() > before - 1e-9
        });
    }
    // Where two wedges all but meet, or one all but runs along the edge, they leave a sliver that no
    // blade can cut out.
    cloth.without_jogs(SLIVER).without_needles(SLIVER)
}

/// A wedge as far as the turn-in reaches.
fn wedge(relief: &Relief, turn_in: f64, allowance: f64, thickness: f64) -> Option<Contour> {
    let Relief::Wedge { edge, out, half_angle, rounded, aside, within } = relief else { return None };
    let (edge, out, half_angle) = (*edge, *out, *half_angle);
    // An apex v outside the sharp corner lets each turn-in, folded over the thickness t, pass the
    // bisector by cos h (2 v sin h - t), h half the angle between the board's edges (derived).
    let met = if *rounded > 0.0 { rounded + thickness / (2.0 * (half_angle / 2.0).cos()) } else { 0.0 };
    let allowance = allowance.max(met);
    let tip = turn_in / (half_angle / 2.0).cos() + rounded + aside;
    if allowance >= tip {
        return None;
    }
    // From the apex a side runs to the turn-in's edge: at a corner as far as to the mitre's tip, at
    // the end of an arc, where the edge goes straight on, T - a aslant. Longer by more
    // than a jog, so that the wedge always opens outwards and no edge of it lies on the cloth's own.
    let aslant = if half_angle < 1.2 { (turn_in + aside - allowance) / half_angle.cos() } else { 0.0 };
    let side = (tip - allowance).max(aslant) * 1.02 + BEYOND;
    let apex = edge + out * allowance;
    let far = (tip * 1.02 + BEYOND).max(allowance + side);
    let mut shape =
        vec![apex, apex + out.rotated(-half_angle) * side, edge + out * far, apex + out.rotated(half_angle) * side];
    for (on, kept) in within {
        shape = half_of(&shape, *on, *kept);
    }
    let shape = Contour::polygon(shape);
    (shape.vertices().len() > 2 && shape.area() > 1e-3).then_some(shape)
}

/// Whether the board shows between the tabs about an arc: where they open by more than a pleat, and
/// about an arc so tight that each is a point before it reaches in far enough.
pub(super) fn shows_between_tabs(s: &Segment, turn_in: f64) -> bool {
    let gap = s.sweep().abs() / tabs(s, s.bulge) as f64 * GRIP;
    !s.is_line() && s.bulge < 0.0 && (gap > PLEAT + 1e-9 || s.radius() < 2.0 * turn_in)
}

/// The slits, each from the cloth's edge to `stop` short of the board.
pub(super) fn slits(outline: &Contour, reliefs: &[Relief], stop: f64, turn_in: f64) -> Vec<Path> {
    let mut found: Vec<Path> = Vec::new();
    for pass in [false, true] {
        for relief in reliefs {
            if let Relief::Slit { edge, out, most, yields } = *relief
                && yields == pass
            {
                let others: &[Path] = if yields { &found } else { &[] };
                found.extend(slit(outline, others, edge, out, stop, most.min(4.0 * turn_in + stop)));
            }
        }
    }
    found
}

fn slit(outline: &Contour, others: &[Path], edge: Point, out: Point, stop: f64, most: f64) -> Option<Path> {
    if most <= stop {
        return None;
    }
    let ray = Segment::line(edge + out * stop, edge + out * most);
    let leaves = outline
        .segments()
        .chain(others.iter().flat_map(|o| o.segments()))
        .flat_map(|s| intersections(&ray, &s))
        .min_by(|a, b| a.distance(edge).total_cmp(&b.distance(edge)));
    // About a tight arc the slits meet in its middle before they reach the edge.
    let leaves = leaves.unwrap_or(ray.end);
    (leaves.distance(ray.start) > 0.1).then(|| Path::line(leaves, ray.start))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Join, fillet, first_self_crossing, offset, pt};

    fn cloth(board: &Contour, turn_in: f64, allowance: f64) -> Contour {
        let mitred = offset(board, turn_in, Join::Mitre).expect("sound");
        relieved(mitred, &reliefs(board, turn_in, allowance), turn_in, allowance, 2.0)
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
            let mut notches: Vec<Point> = reliefs(&board, 16.0, 3.0)
                .into_iter()
                .filter_map(|r| match r {
                    Relief::Wedge { edge, rounded, .. } if rounded < 1e-9 => Some(edge),
                    _ => None,
                })
                .filter(|p| p.distance(pt(500.0, 400.0)) < radius + 1.0)
                .collect();
            let arc = board.segments().find(|s| !s.is_line()).expect("an arc");
            let cut = notches.clone();
            notches.extend([arc.start, arc.end]);
            notches.sort_by(|a, b| arc.nearest_share(*a).total_cmp(&arc.nearest_share(*b)));
            notches.dedup_by(|a, b| a.distance(*b) < 1e-6);
            assert!(notches.len() >= 3);
            for pair in notches.windows(2) {
                let half_chord = pair[0].distance(pair[1]) / 2.0;
                let sagitta = radius - (radius * radius - half_chord * half_chord).sqrt();
                assert!(sagitta <= 1.0 + 1e-9, "radius {radius}: {sagitta}");
            }
            let cloth = cloth(&board, 16.0, 3.0);
            assert_eq!(first_self_crossing(&cloth), None);
            // Every notch stops at the allowance, and none comes nearer.
            for notch in &cut {
                assert!((cloth.distance_to(*notch) - 3.0).abs() < 1e-6, "radius {radius}");
            }
        }
    }
}
