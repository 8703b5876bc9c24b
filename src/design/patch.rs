//! Patches: the cloth that covers the board edge which a slit leaves bare.

use super::flat::Flat;
use super::{Lay, Piece, Role, thicknesses};
use crate::geom::{Contour, Path, Point, Segment, intersections, pt};
use crate::job::{Grain, Job, StockKind};
use crate::units::{Length, mm};

/// What a patch covers beyond the bare board on every side.
const SPARE: Length = mm(4.0);
/// A turn-in covers an edge when it reaches over the board's thickness and this much farther.
const GRIP: Length = mm(6.0);
/// How finely an edge is tried for bare places, mm.
const STEP: f64 = 0.1;

/// The patches of a box, equal ones counted together. One is a rectangle: along the edge the bare
/// stretch and its spare at both ends; across it the spare on the outer face, the board's
/// thickness, and the inner face in under the liner's edge and its spare.
pub(super) fn patches(job: &Job, flat: &Flat, cloth: &Piece) -> Vec<Piece> {
    let t = thicknesses(job).0;
    let reveal = if job.liner.is_some() { job.covering.reveal } else { Length::ZERO };
    let inside = GRIP.max(reveal + SPARE);
    let enough = (t + GRIP).min(job.covering.turn_in).to_mm();
    let mut pieces: Vec<Piece> = Vec::new();
    for edge in flat.inner_corners().iter().flat_map(|c| &c.wall_ends) {
        let Some((from, to)) = bare(edge, &cloth.outline, &cloth.slits, enough) else { continue };
        let outline = patch(edge, from - SPARE.to_mm(), to + SPARE.to_mm(), SPARE.to_mm(), (t + inside).to_mm());
        let size = sides(&outline);
        let is_same = |p: &&mut Piece| {
            let other = sides(&p.outline);
            (size.0 - other.0).abs() < 2.0 * STEP && (size.1 - other.1).abs() < 2.0 * STEP
        };
        if let Some(piece) = pieces.iter_mut().find(is_same) {
            piece.count += 1;
            continue;
        }
        let id = match pieces.len() {
            0 => "cloth-patch".into(),
            n => format!("cloth-patch-{}", n + 1),
        };
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
    pieces
}

/// The shorter and the longer side of a rectangle.
fn sides(rectangle: &Contour) -> (f64, f64) {
    let b = rectangle.bounds();
    (b.width().min(b.height()), b.width().max(b.height()))
}

/// The stretch of `edge`, in mm from its start, over which less than `enough` cloth lies outside
/// it; `None` where all of it is covered.
fn bare(edge: &Segment, outline: &Contour, slits: &[Path], enough: f64) -> Option<(f64, f64)> {
    let length = edge.length();
    let out = -(edge.end - edge.start).normalized()?.left();
    let steps = (length / STEP).ceil().max(1.0) as usize;
    let mut stretch: Option<(f64, f64)> = None;
    for k in 0..=steps {
        let at = length * k as f64 / steps as f64;
        let p = edge.point_at(at / length);
        if depth(p, out, outline, slits, enough) < enough - 1e-6 {
            stretch = Some(stretch.map_or((at, at), |(from, _)| (from, at)));
        }
    }
    stretch
}

/// How much cloth lies outside an edge at `p`, up to `most`.
fn depth(p: Point, out: Point, outline: &Contour, slits: &[Path], most: f64) -> f64 {
    let ray = Segment::line(p + out * 1e-3, p + out * most);
    outline
        .segments()
        .chain(slits.iter().flat_map(|s| s.segments()))
        .flat_map(|s| intersections(&ray, &s))
        .map(|q| q.distance(p))
        .fold(most, f64::min)
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
