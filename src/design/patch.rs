//! Patches: the cloth that covers the board edge which a slit leaves bare, at the ends of walls and,
//! where walls are low, along the sides of lids.

use super::flat::Flat;
use super::{Lay, Piece, Role, thicknesses};
use crate::geom::{Contour, Path, Point, Segment, intersections, pt};
use crate::job::{Grain, Job, Side, StockKind};
use crate::units::{Length, mm};

/// What a patch covers beyond the bare board on every side.
const SPARE: Length = mm(4.0);
/// A turn-in covers an edge when it reaches over the board's thickness and this much farther.
const GRIP: Length = mm(6.0);
/// How finely an edge is tried for bare places, mm.
const STEP: f64 = 0.1;
/// Patches that differ by less than this are cut alike, in the larger size, mm.
const ALIKE: f64 = 1.5;

/// Where a patch goes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PatchPlace {
    /// The patch piece.
    pub id: String,
    /// In words: `left wall, head end`.
    pub place: String,
}

/// The patches of a box and where each goes, equal ones counted together. One is a rectangle: along
/// the edge the bare stretch and its spare at both ends; across it the spare on the outer face, the
/// board's thickness, and the inner face in under the liner's edge and its spare.
pub(super) fn patches(job: &Job, flat: &Flat, cloth: &Piece) -> (Vec<Piece>, Vec<PatchPlace>) {
    let t = thicknesses(job).0;
    let reveal = if job.liner.is_some() { job.covering.reveal } else { Length::ZERO };
    let inside = GRIP.max(reveal + SPARE);
    let enough = (t + GRIP).min(job.covering.turn_in).to_mm();
    let mut pieces: Vec<Piece> = Vec::new();
    let mut places = Vec::new();
    for (edge, place) in edges(flat) {
        let Some((from, to)) = bare(&edge, &cloth.outline, &cloth.slits, enough) else { continue };
        let outline = patch(&edge, from - SPARE.to_mm(), to + SPARE.to_mm(), SPARE.to_mm(), (t + inside).to_mm());
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
            places.push(PatchPlace { id: piece.id.clone(), place });
            continue;
        }
        let id: String = match pieces.len() {
            0 => "cloth-patch".into(),
            n => format!("cloth-patch-{}", n + 1),
        };
        places.push(PatchPlace { id: id.clone(), place });
        pieces.push(Piece {
            id,
            stock: StockKind::Cloth,
            role: Role::Patch,
            side: None,
            count: 1,
            outline,
            holes: Vec::new(),
            pockets: Vec::new(),
            slits: Vec::new(),
            creases: Vec::new(),
            marks: Vec::new(),
            grain: Grain::None,
            lay: Lay::AsComputed,
        });
    }
    (pieces, places)
}

/// The edges beside the slits at the base's corners, each with its place in words: the ends of the
/// walls, and the straight sides of the lids beyond them. Outside is to their right.
fn edges(flat: &Flat) -> Vec<(Segment, String)> {
    let mut found = Vec::new();
    for (side, arm) in &flat.arms {
        let (flap, wall) = (arm.flap(), arm.wall());
        let sides: Vec<Segment> = flap.segments().collect();
        let of_wall: Vec<Segment> = wall.segments().collect();
        // A wall runs hinge edge, right end, top, left end; a lid hinge edge, side, ..., side.
        let pairs = [(of_wall.get(1), sides.get(1)), (of_wall.get(3), sides.last())];
        for (i, (end, lid)) in pairs.into_iter().enumerate() {
            let at = at_end(*side, i == 0);
            if !flat.arms.contains_key(&at) {
                continue;
            }
            let mut tell = |s: Option<&Segment>, what: &str| {
                if let Some(s) = s.filter(|s| s.is_line()) {
                    found.push((*s, format!("{} {what}, {} end", side.word(), at.word())));
                }
            };
            tell(end, "wall");
            tell(lid, "lid");
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
    let b = rectangle.bounds();
    (b.width().min(b.height()), b.width().max(b.height()))
}

/// The stretch of `edge`, in mm from its start, that a slit leaves with less than `enough` cloth
/// outside it; `None` where all of it is covered.
fn bare(edge: &Segment, outline: &Contour, slits: &[Path], enough: f64) -> Option<(f64, f64)> {
    let length = edge.length();
    let out = -(edge.end - edge.start).normalized()?.left();
    let steps = (length / STEP).ceil().max(1.0) as usize;
    let mut stretch: Option<(f64, f64)> = None;
    for k in 0..=steps {
        let at = length * k as f64 / steps as f64;
        let p = edge.point_at(at / length);
        if is_slit(p, out, outline, slits, enough) {
            stretch = Some(stretch.map_or((at, at), |(from, _)| (from, at)));
        }
    }
    stretch
}

/// Whether less than `enough` cloth lies outside an edge at `p` because a slit takes it. Where a
/// wedge does, the turn-in beside it is folded over the place.
fn is_slit(p: Point, out: Point, outline: &Contour, slits: &[Path], enough: f64) -> bool {
    let ray = Segment::line(p + out * 1e-3, p + out * (enough - 1e-6));
    let first = |all: &mut dyn Iterator<Item = Segment>| {
        all.flat_map(|s| intersections(&ray, &s)).map(|q| q.distance(p)).fold(f64::INFINITY, f64::min)
    };
    let slit = first(&mut slits.iter().flat_map(|s| s.segments().collect::<Vec<_>>()));
    slit.is_finite() && slit < first(&mut outline.segments()) + 1e-6
}

/// A rectangle beside `edge`: from `from` to `to` along it, from `inside` mm on its inner side to
/// `outside` mm on its outer side.
fn patch(edge: &Segment, from: f64, to: f64, outside: f64, inside: f64) -> Contour {
    let Some(along) = (edge.end - edge.start).normalized() else { return Contour::default() };
    let left = along.left();
    let at = |u: f64, v: f64| edge.start + along * u + left * v;
    let (a, b) = (at(from, -outside), at(to, inside));
    Contour::rectangle(pt(a.x.min(b.x), a.y.min(b.y)), pt(a.x.max(b.x), a.y.max(b.y)))
}
