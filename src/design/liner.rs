//! The lining: the boards and joints again, every joint longer by what the liner swallows when it
//! is pressed into it, in from the free edges by the reveal; between two walls it runs to the corner of
//! the base and to the ends of the joints. Between hinge strips each board has a lining of its own, in from all
//! of its edges by the reveal.

use super::flap::FlapError;
use super::flat::{Arm, Corners, Flat, InnerCorner};
use super::lining_fold::{self, Lining};
use super::measures::{Measures, over_wall};
use super::turn_in::GRIP;
use super::{Lay, Piece, Role};
use crate::diag::Diagnostic;
use crate::geom::{Contour, Join, Path, Point, Segment, Stroke, Vertex, beneath, offset, pt, runs};
use crate::job::{Grain, Job, LinerPieces, Side, StockKind};
use crate::units::{Length, mm};

/// By how much two neighbouring panels overlap in the middle of a joint, mm: enough that no cloth
/// shows between them, too little to feel (common practice, no source).
pub const OVERLAP: f64 = 2.0;

/// The liner in one cross, or a panel for each board; nothing where the job has none. A joint is
/// lengthened by `2 t` times how far the liner is pressed (derived: down one board edge and up the
/// other); folding board swallows nothing. With a trim length the lids are longer by it, and the
/// net edge is a mark.
///
/// Panels are that cross cut apart in the middle of every joint, each with half of an overlap of
/// 2 mm to spare; along a crease they butt.
///
/// Fails when the reveal leaves nothing of a wall or a lid.
pub(super) fn liner(job: &Job, m: &Measures, corners: &dyn Corners) -> Result<(Vec<Piece>, Vec<Lining>), Diagnostic> {
    pieces(job, m, corners)?.into_iter().map(|piece| lining_fold::folded(job, piece)).collect()
}

/// The liner's pieces, net.
fn pieces(job: &Job, m: &Measures, corners: &dyn Corners) -> Result<Vec<Piece>, Diagnostic> {
    let Some(stock) = job.liner.as_ref().filter(|_| job.within().is_none()) else { return Ok(Vec::new()) };
    if job.strip_lap().is_some() {
        return on_boards(job, m, corners);
    }
    let is_hinged = job.build.construction.terms().is_hinged;
    let joint = m.joint + take_up(job, m);
    let (flat, net) = inset(job, m, corners, joint, Length::ZERO)?;
    let trim = job.covering.liner_trim;
    let (outline, marks) = if trim > Length::ZERO {
        let (_, long) = inset(job, m, corners, joint, trim)?;
        let marks = inside_lines(&net, &long);
        (long, marks)
    } else {
        (net, Vec::new())
    };
    if stock.pieces == LinerPieces::One {
        return Ok(vec![piece("liner-cross".into(), None, outline, marks)]);
    }
    let overlap = if is_hinged { OVERLAP } else { 0.0 };
    let panels = panels(&flat, &outline, joint.to_mm(), overlap).ok_or_else(|| reveal_too_wide(job))?;
    Ok(panels
        .into_iter()
        .map(|(id, side, outline)| {
            // A net edge is drawn on the panel that it crosses.
            let is_on = |s: &Stroke| s.segments().first().is_some_and(|s| outline.contains(s.point_at(0.5)));
            let marks = marks.iter().filter(|s| is_on(s)).cloned().collect();
            piece(id, side, outline, marks)
        })
        .collect())
}

/// A lining on each board, in by the reveal from its edges, those at joints too: base, walls, lids. A wall that one
/// strip covers from joint to joint has none.
fn on_boards(job: &Job, m: &Measures, corners: &dyn Corners) -> Result<Vec<Piece>, Diagnostic> {
    let flat = Flat::new(job, m, corners, m.joint, Length::ZERO).map_err(|failed| lid_without_outline(&failed))?;
    let reveal = job.covering.reveal.to_mm();
    let spanned = spanned(job);
    let walls = flat.arms.iter().filter(|(side, _)| !spanned.contains(side));
    let walls = walls.map(|(side, arm)| (format!("liner-wall-{}", side.word()), Some(*side), arm.wall()));
    let lids = flat.arms.iter().map(|(side, arm)| (format!("liner-flap-{}", side.word()), Some(*side), arm.flap()));
    let all = [("liner-base".into(), None, flat.base.clone())].into_iter().chain(walls).chain(lids);
    let inset = |(id, side, board): (String, Option<Side>, Contour)| match offset(&board, -reveal, Join::Mitre) {
        Ok(outline) => Ok(piece(id, side, outline, Vec::new())),
        Err(_) => Err(reveal_too_wide(job)),
    };
    all.map(inset).collect()
}

/// The sides whose wall one hinge strip covers from joint to joint, because two would meet on it. The measures before it
/// is known what lies where decide it, so that the answer does not change with what follows from it.
pub(super) fn spanned(job: &Job) -> Vec<Side> {
    let Some(lap) = job.strip_lap() else { return Vec::new() };
    let walls = super::measure(job).walls;
    walls.into_iter().filter(|(_, wall)| *wall < lap * 2.0 + APART).map(|(side, _)| side).collect()
}

/// What two hinge strips keep between them on a board, at the least (our choice: less is one ridge to the eye).
pub(super) const APART: Length = mm(2.0);

/// By how much hinge strips and folded edges of the lining raise the floor under the stack: each where it reaches under it.
/// The works lie on both, for a strip ends under the folded edge.
pub fn under_stack(job: &Job) -> Length {
    let c = &job.contents;
    let beside = |side: Side| match side {
        Side::Left | Side::Right => (c.interior_width() - c.width) * 0.5,
        Side::Head | Side::Tail => (c.interior_height() - c.height) * 0.5,
    };
    let reaches = |side: Side, far: Length| far > over_wall(job) + beside(side);
    let has_wall = |side: &Side| job.flaps.contains_key(side);
    let lap = job.strip_lap();
    let is_on_strip = lap.is_some_and(|lap| Side::ALL.into_iter().any(|s| has_wall(&s) && reaches(s, lap)));
    let fold = job.lining_fold();
    // A liner in one ends on the base where there is no wall.
    let ends = |side: &Side| lap.is_some() || !has_wall(side);
    let is_on_fold =
        fold > Length::ZERO && Side::ALL.into_iter().any(|s| ends(&s) && reaches(s, job.covering.reveal + fold));
    let strip = if is_on_strip { job.strip() } else { Length::ZERO };
    strip + if is_on_fold { job.folded() } else { Length::ZERO }
}

/// By how much every joint of the liner's pieces, as they are drawn, is longer than on the boards: linings between hinge
/// strips are drawn where they lie.
pub(super) fn drawn_longer(job: &Job, m: &Measures) -> Length {
    if job.strip_lap().is_some() { Length::ZERO } else { take_up(job, m) }
}

/// By how much a joint is longer on what is pressed into it, liner or hinge strip, than on the boards.
pub fn take_up(job: &Job, m: &Measures) -> Length {
    if m.joint > Length::ZERO { job.board.thickness * (2.0 * job.covering.groove_press) } else { Length::ZERO }
}

fn piece(id: String, side: Option<Side>, outline: Contour, marks: Vec<Stroke>) -> Piece {
    let plain = Piece::plain(id, StockKind::Liner, Role::Liner, outline);
    Piece { side, marks, grain: Grain::Height, lay: Lay::Mirrored, ..plain }
}

/// The cross cut apart: the base, then the walls, then the lids.
fn panels(flat: &Flat, cross: &Contour, joint: f64, overlap: f64) -> Option<Vec<(String, Option<Side>, Contour)>> {
    let (mut base, mut walls, mut lids) = (cross.clone(), Vec::new(), Vec::new());
    for (side, arm) in &flat.arms {
        // The middles of the two joints, outwards from the base.
        let (near, far) = (joint / 2.0, joint * 1.5 + arm.wall_height());
        let up_to = |c: &Contour, y: f64| beneath(c, &arm.frame, y + overlap / 2.0);
        let from = |c: &Contour, y: f64| beneath(c, &arm.frame.half_turned(), overlap / 2.0 - y);
        base = up_to(&base, near)?;
        let rest = from(cross, near)?;
        walls.push((format!("liner-wall-{}", side.word()), Some(*side), up_to(&rest, far)?));
        lids.push((format!("liner-flap-{}", side.word()), Some(*side), from(&rest, far)?));
    }
    Some([("liner-base".into(), None, base)].into_iter().chain(walls).chain(lids).collect())
}

pub(super) fn inset(
    job: &Job,
    m: &Measures,
    corners: &dyn Corners,
    joint: Length,
    longer: Length,
) -> Result<(Flat, Contour), Diagnostic> {
    let flat = Flat::new(job, m, corners, joint, longer).map_err(|failed| lid_without_outline(&failed))?;
    let reveal = job.covering.reveal.to_mm();
    match offset(&flat.region(), -reveal, Join::Mitre) {
        Ok(outline) if m.joint > Length::ZERO => {
            let outline =
                flat.inner_corners().iter().try_fold(outline, |o, corner| into_corner(&o, &flat, corner, reveal));
            outline.map(|o| (flat, o)).ok_or_else(|| reveal_too_wide(job))
        }
        Ok(outline) => Ok((flat, outline)),
        Err(_) => Err(reveal_too_wide(job)),
    }
}

/// The outline run on into a corner of the base between two walls, and to the ends of the joints there:
/// neither is a free edge, and no cloth is turned in over them. From the walls' feet on it keeps the reveal.
fn into_corner(outline: &Contour, flat: &Flat, corner: &InnerCorner, reveal: f64) -> Option<Contour> {
    let [before, after] = corner.sides.map(|side| flat.arms.get(&side));
    let (before, after) = (before?, after?);
    let foot = |arm: &Arm, x: f64| arm.frame.apply(pt(x, arm.foot()));
    let (from, to) = (before.wall_ends().0, after.wall_ends().1);
    let (leaves, returns) = (foot(before, from + reveal), foot(after, to - reveal));
    let segments: Vec<Segment> = outline.segments().collect();
    let at = |p: Point| segments.iter().position(|s| s.distance_to(p) < NEAR);
    let (first, last) = (at(leaves)?, at(returns)?);
    let n = segments.len();
    // From the second foot round to the first, and then into the corner.
    let mut vertices =
        vec![Vertex::new(returns, segments[last].between(segments[last].nearest_share(returns), 1.0).bulge)];
    let mut i = (last + 1) % n;
    while i != (first + 1) % n {
        let bulge = if i == first {
            segments[i].between(0.0, segments[i].nearest_share(leaves)).bulge
        } else {
            segments[i].bulge
        };
        vertices.push(Vertex::new(segments[i].start, bulge));
        i = (i + 1) % n;
    }
    let straight = [leaves, foot(before, from), corner.corner, foot(after, to)];
    vertices.extend(straight.map(|p| Vertex::new(p, 0.0)));
    Some(Contour::new(vertices).without_straight_vertices())
}

/// A foot's place is looked for on the outline within this, mm: offsets are good to a thousandth of it.
const NEAR: f64 = 1e-4;

fn reveal_too_wide(job: &Job) -> Diagnostic {
    let message = format!("a reveal of {} leaves nothing of a wall or a lid", job.covering.reveal);
    Diagnostic::error("reveal-too-wide", message).at("covering.reveal").help("make the reveal smaller")
}

fn lid_without_outline(failed: &[(Side, FlapError)]) -> Diagnostic {
    let side = failed.first().map_or("", |f| f.0.word());
    Diagnostic::error("liner-too-long", format!("the lid at the {side}, longer by the liner's trim, has no outline"))
        .at("covering.liner_trim")
        .help("make the trim shorter")
}

/// The stretches of `net` that run inside `long`, as open lines to trim along.
fn inside_lines(net: &Contour, long: &Contour) -> Vec<Stroke> {
    let inside = net.segments().filter(|s| long.distance_to(s.point_at(0.5)) > 1e-4);
    runs(inside).iter().map(|run| Stroke::Open(Path::along(run))).collect()
}

/// How far in from an edge a patch or turn-in must reach so that the liner's edge lies on it, mm.
pub(super) fn under_liner(job: &Job) -> f64 {
    let reveal = if job.liner.is_some() { job.covering.reveal.to_mm() } else { 0.0 };
    (reveal + LAP).max(GRIP)
}

/// By how much the liner lies over the raw edge of cloth, at the least, mm (our choice).
pub(super) const LAP: f64 = 1.0;
