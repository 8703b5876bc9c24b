//! The covering cloth: the boards and joints, moved out by the turn-in, corners cut so that the
//! turn-ins meet, slits where the base's corners let two turn-ins collide.

use super::flat::Flat;
use super::{Lay, Piece, Role};
use crate::diag::Diagnostic;
use crate::geom::{Contour, Join, OffsetError, Path, Point, Segment, Stroke, cut_corner, intersections, offset};
use crate::job::{Covering, Grain, StockKind};
use crate::units::Length;

/// Free corners sharper or blunter than this are not cut: a sharp one has no cloth to spare, and
/// at a blunt one the turn-in folds over without a lump. Degrees between the two board edges.
const CUT_CORNERS: std::ops::RangeInclusive<f64> = 60.0..=150.0;

/// The cloth with its slits and strap slots, and, when asked, the outline of every board as a mark
/// and every joint's fold as a crease.
///
/// Fails when the turn-in closes a bay of the layout or crosses itself.
pub(super) fn cover(
    flat: &Flat,
    covering: &Covering,
    boards: &[Piece],
    slots: &[Contour],
    placement: bool,
) -> Result<Piece, Diagnostic> {
    let region = flat.region();
    let turn_in = covering.turn_in.to_mm();
    let mut outline = offset(&region, turn_in, Join::Mitre).map_err(|e| no_outline(&e, covering.turn_in))?;
    for (corner, out, sin_half) in free_corners(&region) {
        let tip = corner + out * (turn_in / sin_half);
        outline = corner_cut(outline, corner, out, tip, covering.corner.to_mm());
    }
    let slits = flat
        .re_entrant_corners()
        .into_iter()
        .filter_map(|(corner, out)| slit(&outline, corner, out, covering.slit_stop.to_mm(), turn_in))
        .collect();
    let (marks, creases) = if placement {
        let marks = boards.iter().map(|b| Stroke::Closed(b.outline.clone())).collect();
        (marks, flat.arms.values().flat_map(|arm| arm.hinges()).collect())
    } else {
        (Vec::new(), Vec::new())
    };
    Ok(Piece {
        id: "cloth-cover".into(),
        stock: StockKind::Cloth,
        role: Role::Cover,
        side: None,
        count: 1,
        outline,
        holes: slots.iter().map(|s| s.clone().cw()).collect(),
        pockets: Vec::new(),
        slits,
        creases,
        marks,
        grain: Grain::Height,
        lay: Lay::AsComputed,
    })
}

fn no_outline(e: &OffsetError, turn_in: Length) -> Diagnostic {
    let why = match e {
        OffsetError::Split(_) => "it closes a bay between two lids",
        _ => "the cloth's outline crosses itself",
    };
    Diagnostic::error("turn-in-collides", format!("a turn-in of {turn_in} cannot be cut: {why}"))
        .at("covering.turn_in")
        .help("make the turn-in smaller")
}

/// The convex corners of the region that are cut, each with its outward bisector and the sine of
/// half the angle between its edges.
fn free_corners(region: &Contour) -> Vec<(Point, Point, f64)> {
    let segments: Vec<Segment> = region.segments().collect();
    let n = segments.len();
    (0..n)
        .filter_map(|i| {
            let (before, after) = (&segments[(i + n - 1) % n], &segments[i]);
            let (into, out_of) = (Point::unit(before.end_heading()), Point::unit(after.start_heading()));
            let turn = into.cross(out_of).atan2(into.dot(out_of));
            let inside = std::f64::consts::PI - turn;
            let is_cut = turn > 0.0 && CUT_CORNERS.contains(&(inside.to_degrees() + 1e-9 * turn.signum()));
            let bisector = (into - out_of).normalized()?;
            is_cut.then_some((after.start, bisector, (inside / 2.0).sin()))
        })
        .collect()
}

/// The outline with everything beyond the line square to the bisector, `allowance` outside the
/// board's corner, cut away.
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

/// The slit from where the bisector of a base corner leaves the cloth to `stop` short of the
/// corner; `None` where the bisector meets no edge of the cloth.
fn slit(outline: &Contour, corner: Point, out: Point, stop: f64, turn_in: f64) -> Option<Path> {
    let ray = Segment::line(corner + out * stop, corner + out * (4.0 * turn_in + stop));
    let leaves = outline
        .segments()
        .flat_map(|s| intersections(&ray, &s))
        .min_by(|a, b| a.distance(corner).total_cmp(&b.distance(corner)))?;
    (leaves.distance(ray.start) > 0.1).then(|| Path::line(leaves, ray.start))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::pt;

    #[test]
    fn a_square_corner_is_cut_1_5_t_off_at_45_degrees() {
        // Source: University of Brighton, "Make Your Own Corner Cutter": 3 mm off the corner of a 2 mm board.
        let board = Contour::rectangle(pt(0.0, 0.0), pt(200.0, 100.0));
        let mut cloth = offset(&board, 16.0, Join::Mitre).expect("sound");
        for (corner, out, sin_half) in free_corners(&board) {
            cloth = corner_cut(cloth, corner, out, corner + out * (16.0 / sin_half), 3.0);
        }
        assert_eq!(cloth.vertices().len(), 8);
        for corner in board.vertices() {
            assert!((cloth.distance_to(corner.point()) - 3.0).abs() < 1e-9);
        }
    }

    #[test]
    fn cuts_that_meet_on_a_narrow_tongue_both_count() {
        let board = Contour::rectangle(pt(0.0, 0.0), pt(20.0, 100.0));
        let mut cloth = offset(&board, 16.0, Join::Mitre).expect("sound");
        for (corner, out, sin_half) in free_corners(&board) {
            cloth = corner_cut(cloth, corner, out, corner + out * (16.0 / sin_half), 3.0);
        }
        for corner in board.vertices() {
            assert!((cloth.distance_to(corner.point()) - 3.0).abs() < 1e-9, "{cloth:?}");
        }
        // The two 45 degree lines meet above the middle of the short edge, 10 + 3 sqrt 2 out.
        assert!((cloth.bounds().max.y - (100.0 + 10.0 + 3.0 * 2f64.sqrt())).abs() < 1e-9);
    }
}
