//! Patches: the cloth that covers the board which a slit leaves bare, at the ends of walls, where walls
//! are low along the sides of lids, at a lid's re-entrant corners, and round a tight notch, where the
//! turn-in's tabs open as they are folded. They are glued on before the cloth is turned in over them.

use super::flat::Flat;
use super::turn_in::{self, GRIP};
use super::{Piece, Role, liner, thicknesses};
use crate::assembly::Part;
use crate::geom::{Bounds, Contour, Point, Segment, Vertex, intersections, turn_between};
use crate::job::{Job, Side, StockKind};
use crate::units::{Length, mm};

/// What a patch covers beyond the bare board along the edge, and beyond the liner's edge (our choice).
pub(super) const SPARE: Length = mm(4.0);
/// How far it goes out onto the cloth beside the edge, so that no board shows between them: turned up
/// with that cloth it lies double on the edge, and must not reach round it (our choice).
const OUT: Length = mm(2.0);
/// A turn-in covers an edge when it reaches over the board's thickness and this much farther
/// (our choice: what holds by its glue).
const REACH_IN: Length = mm(GRIP);
/// How far a patch round a notch stays back from the board's edge, mm: less than shows (our choice, as the next two).
const BACK: f64 = 0.5;
/// How far such a patch ends before the notch does, mm, so that it does not stand out of the corner.
const SHORT: f64 = 1.0;
/// How far a patch may go into a joint, as a share of its width.
const INTO_JOINT: f64 = 0.8;
/// A patch that would go less than this past a board's end is cut at it, mm: nobody places it so exactly (our choice).
const HAIR: f64 = 0.5;
/// How finely an edge is tried for bare places, mm.
const STEP: f64 = 0.1;
/// What the trial may miss of a bare stretch at its ends, mm: a few steps.
const MISSED: f64 = 0.3;
/// A re-entrant corner that turns by less is not slit, radians (our choice).
const SLIGHT: f64 = 0.05;
/// Patches that differ by less than this are cut alike, in the larger size, mm (our choice).
const ALIKE: f64 = 1.5;

/// Where a patch goes.
#[derive(Clone, Debug, PartialEq)]
pub struct PatchPlace {
    /// The patch piece.
    pub id: String,
    /// In words: `left wall, head end`.
    pub place: String,
    /// The part whose board it covers.
    pub part: Part,
    /// Where it lies before the cloth is turned in: flat, in the layout of the open box.
    pub outline: Contour,
    /// What of that lies on the board's inside.
    pub inside: Contour,
    /// The stretch of the board's edge that it goes round; none where it lies on the face alone.
    pub edge: Option<Segment>,
    /// The stretch of that which the slit leaves bare.
    pub bare: Option<Segment>,
    /// Its size along the edge and across it, mm.
    pub along_across: (f64, f64),
    /// Whether it is at the corner of a window.
    pub is_of_window: bool,
    /// Whether it is of paper, as what is turned in over it.
    pub is_paper: bool,
    /// Whether it is glued on when that side is covered, and not before the cloth is turned in.
    pub is_of_side: bool,
}

/// How far a patch lies in on the inside: it holds, and lies under the liner's edge.
pub(super) fn inside(job: &Job) -> Length {
    let reveal = if job.liner.is_some() { job.covering.reveal } else { Length::ZERO };
    REACH_IN.max(reveal + SPARE)
}

/// How far it goes out onto the cloth.
pub(super) fn out(job: &Job) -> Length {
    OUT.min(job.board.thickness)
}

/// The patches of a box and where each goes, equal ones counted together. One is a rectangle: along
/// the edge the bare stretch and its spare at both ends; across it a little of the cloth beside the
/// board, the board's thickness, and the inner face in under the liner's edge and its spare.
pub(super) fn patches(job: &Job, flat: &Flat, cloth: &Piece) -> (Vec<Piece>, Vec<PatchPlace>) {
    let t = thicknesses(job).0;
    let reveal = if job.liner.is_some() { job.covering.reveal } else { Length::ZERO };
    let inside = inside(job);
    // Enough cloth to lie under the liner's edge, once it is folded over the board and its own thickness.
    let enough = (t + mm(liner::under_liner(job))).min(job.covering.turn_in).to_mm();
    let slits: Vec<Segment> = cloth
        .slits
        .iter()
        .flat_map(|s| s.segments())
        .map(|s| to_the_board(&s, job.covering.slit_stop.to_mm()))
        .collect();
    let mut pieces: Vec<Piece> = Vec::new();
    let mut places = Vec::new();
    let out = out(job);
    for (edge, part, place) in edges(flat) {
        let Some((from, to)) = bare(&edge, &cloth.outline, &slits, enough) else { continue };
        // Past the edge's end it goes into the joint, and must not climb the next board there.
        let (spare, past) = (SPARE.to_mm() + MISSED, INTO_JOINT * flat.joint());
        let (low, high) = ((from - spare).max(-past), (to + spare).min(edge.length() + past));
        let (low, high) = (-to_the_end(-low), edge.length() + to_the_end(high - edge.length()));
        // Flat, it lies on the cloth outside the edge, goes up the board's thickness, and over its inside.
        let outline = patch(&edge, low, high, out.to_mm(), (t + inside).to_mm());
        let shares =
            |a: f64, b: f64| edge.between((a / edge.length()).clamp(0.0, 1.0), (b / edge.length()).clamp(0.0, 1.0));
        let here = PatchPlace {
            id: String::new(),
            place,
            part,
            outline: patch(&edge, low, high, out.to_mm(), inside.to_mm()),
            inside: patch(&edge, low, high, 0.0, inside.to_mm()),
            edge: Some(shares(low, high)),
            bare: Some(shares(from, to)),
            along_across: (high - low, (out + t + inside).to_mm()),
            is_of_window: false,
            is_paper: false,
            is_of_side: false,
        };
        let size = sides(&outline);
        let is_same = |p: &&mut Piece| {
            let other = sides(&p.outline);
            (size.0 - other.0).abs() < ALIKE && (size.1 - other.1).abs() < ALIKE
        };
        if let Some(piece) = pieces.iter_mut().find(is_same) {
            piece.count += 1;
            if size.1 > sides(&piece.outline).1 {
                piece.outline = outline;
            }
            places.push(PatchPlace { id: piece.id.clone(), ..here });
            continue;
        }
        let id: String = match pieces.len() {
            0 => "cloth-patch".into(),
            n => format!("cloth-patch-{}", n + 1),
        };
        places.push(PatchPlace { id: id.clone(), ..here });
        pieces.push(piece(id, None, outline));
    }
    for (side, arm) in &flat.arms {
        let notches = arm
            .flap()
            .segments()
            .filter(|s| turn_in::shows_between_tabs(s, job.covering.turn_in.to_mm()))
            .filter_map(|s| ring(&s, reveal.to_mm()))
            .collect::<Vec<_>>();
        for (k, outline) in notches.into_iter().enumerate() {
            let more = if k == 0 { String::new() } else { format!("-{}", k + 1) };
            let id = format!("cloth-patch-notch-{}{more}", side.word());
            let place = format!("round the notch of the {} lid, inside, under the turn-in", side.word());
            let b = outline.bounds();
            places.push(PatchPlace {
                id: id.clone(),
                place,
                part: Part::Lid(*side),
                outline: outline.clone(),
                inside: outline.clone(),
                edge: None,
                bare: None,
                along_across: (b.width().max(b.height()), b.width().min(b.height())),
                is_of_window: false,
                is_paper: false,
                is_of_side: false,
            });
            pieces.push(piece(id, Some(*side), outline));
        }
    }
    (pieces, places)
}

/// How far past a board's end a patch goes that would go so far: not a hair, for it neither goes round the end then nor
/// ends at it.
fn to_the_end(past: f64) -> f64 {
    if (0.0..HAIR).contains(&past) { 0.0 } else { past }
}

fn piece(id: String, side: Option<Side>, outline: Contour) -> Piece {
    Piece { side, ..Piece::plain(id, StockKind::Cloth, Role::Patch, outline) }
}

/// The patch under the tabs of a concave arc that would let the board show between them: a strip of
/// a ring on the board's inner face, in as far as the tabs and the liner's edge and its spare.
fn ring(s: &Segment, reveal: f64) -> Option<Contour> {
    let (center, radius, sweep) = (s.center()?, s.radius(), s.sweep());
    let (near, far) = (radius + BACK, radius + GRIP.max(reveal) + SPARE.to_mm());
    let short = (SHORT / radius).min(sweep.abs() / 4.0) * sweep.signum();
    let from = (s.start - center).heading() + short;
    let turn = sweep - 2.0 * short;
    let at = |r: f64, angle: f64| center + Point::unit(angle) * r;
    let bulge = (turn / 4.0).tan();
    // The arc runs clockwise round the notch: out along the far side, back along the near one.
    Some(
        Contour::new([
            Vertex::new(at(far, from), bulge),
            Vertex::new(at(far, from + turn), 0.0),
            Vertex::new(at(near, from + turn), -bulge),
            Vertex::new(at(near, from), 0.0),
        ])
        .ccw(),
    )
}

/// The edges that slits may lie beside, each with its place in words: the ends of the
/// walls, and the straight sides of the lids beyond them. Outside is to their right.
fn edges(flat: &Flat) -> Vec<(Segment, Part, String)> {
    let mut found = Vec::new();
    for (side, arm) in &flat.arms {
        let (flap, wall) = (arm.flap(), arm.wall());
        let sides: Vec<Segment> = flap.segments().collect();
        let of_wall: Vec<Segment> = wall.segments().collect();
        // A wall runs hinge edge, right end, top, left end; a lid hinge edge, side, ..., side.
        let pairs = [(of_wall.get(1), sides.get(1)), (of_wall.get(3), sides.last())];
        for (i, (end, lid)) in pairs.into_iter().enumerate() {
            let at = at_end(*side, i == 0);
            let mut tell = |s: Option<&Segment>, part: Part| {
                if let Some(s) = s.filter(|s| s.is_line()) {
                    found.push((*s, part, format!("{}, {} end", part.name(), at.word())));
                }
            };
            tell(end, Part::Wall(*side));
            tell(lid, Part::Lid(*side));
        }
        // A drawn lid may have corners of its own that the cloth must be slit at.
        let n = sides.len();
        for i in 1..n {
            let (before, after) = (&sides[i - 1], &sides[i]);
            if turn_between(before.end_heading(), after.start_heading()) < -SLIGHT {
                let lines = [before, after].into_iter().filter(|s| s.is_line());
                found.extend(lines.map(|s| (*s, Part::Lid(*side), format!("{} lid, inner corner", side.word()))));
            }
        }
    }
    found
}

/// The side at which an arm's end lies, its first or its second as a counter-clockwise walk meets
/// them.
fn at_end(side: Side, first: bool) -> Side {
    let first_of = match side {
        Side::Right => Side::Tail,
        Side::Head => Side::Right,
        Side::Left => Side::Head,
        Side::Tail => Side::Left,
    };
    if first { first_of } else { first_of.opposite() }
}

/// The shorter and the longer side of a rectangle.
fn sides(rectangle: &Contour) -> (f64, f64) {
    let side = |i: usize| rectangle.segments().nth(i).map_or(0.0, |s| s.chord());
    (side(0).min(side(1)), side(0).max(side(1)))
}

/// The stretch of `edge`, in mm from its start, that a slit leaves with less than `enough` cloth
/// outside it; `None` where all of it is covered.
pub(super) fn bare(edge: &Segment, outline: &Contour, slits: &[Segment], enough: f64) -> Option<(f64, f64)> {
    let length = edge.length();
    let out = -(edge.end - edge.start).normalized()?.left();
    let steps = (length / STEP).ceil().max(1.0) as usize;
    let along = out.left();
    // Of all lines few are as near as cloth is asked for.
    let asked = Bounds::of([edge.start, edge.end, edge.start + out * enough, edge.end + out * enough]);
    let is_near = |s: &Segment| s.bounds().grown(STEP).overlaps(asked, 0.0);
    let slits: Vec<Segment> = slits.iter().copied().filter(is_near).collect();
    if slits.is_empty() {
        return None;
    }
    let outline: Vec<Segment> = outline.segments().filter(is_near).collect();
    // A slit takes cloth only from the stretch that it lies beside.
    let beside: Vec<(f64, f64)> = slits
        .iter()
        .map(|s| {
            let b = s.bounds();
            let corners = b.corners().map(|p| (p - edge.start).dot(along));
            (
                corners.into_iter().fold(f64::INFINITY, f64::min) - STEP,
                corners.into_iter().fold(f64::NEG_INFINITY, f64::max) + STEP,
            )
        })
        .collect();
    let mut stretch: Option<(f64, f64)> = None;
    for k in 0..=steps {
        let at = length * k as f64 / steps as f64;
        if !beside.iter().any(|(from, to)| (*from..=*to).contains(&at)) {
            continue;
        }
        let p = edge.point_at(at / length);
        if is_slit(p, out, &outline, &slits, enough) {
            stretch = Some(stretch.map_or((at, at), |(from, _)| (from, at)));
        }
    }
    stretch
}

/// A slit carried on to the board: the short stretch that holds the cloth together there tears or
/// folds either way.
pub(super) fn to_the_board(s: &Segment, stop: f64) -> Segment {
    let inwards = (s.end - s.start).normalized().unwrap_or_default();
    Segment::line(s.start, s.end + inwards * (stop - 1e-3).max(0.0))
}

/// Whether less than `enough` cloth lies outside an edge at `p` because a slit takes it. Where a
/// wedge does, the turn-in beside it is folded over the place.
fn is_slit(p: Point, out: Point, outline: &[Segment], slits: &[Segment], enough: f64) -> bool {
    let ray = Segment::line(p + out * 1e-3, p + out * (enough - 1e-6));
    let first = |all: &[Segment]| {
        all.iter().flat_map(|s| intersections(&ray, s)).map(|q| q.distance(p)).fold(f64::INFINITY, f64::min)
    };
    let slit = first(slits);
    slit.is_finite() && slit < first(outline) + 1e-6
}

/// A rectangle beside `edge`: from `from` to `to` along it, from `inside` mm on its inner side to
/// `outside` mm on its outer side.
fn patch(edge: &Segment, from: f64, to: f64, outside: f64, inside: f64) -> Contour {
    let Some(along) = (edge.end - edge.start).normalized() else { return Contour::default() };
    let left = along.left();
    let at = |u: f64, v: f64| edge.start + along * u + left * v;
    Contour::polygon([at(from, -outside), at(to, -outside), at(to, inside), at(from, inside)])
}
