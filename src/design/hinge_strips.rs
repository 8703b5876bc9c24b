//! Hinge strips: strips of the covering cloth that line the joints, each over one joint or, where two would meet on a
//! low wall, over both joints of that wall. They are glued in before the linings, pressed into the groove, and lap
//! onto the boards under the linings' edges.
//!
//! With g the joint, r what its groove swallows (`2 t` times how far it is pressed) and p the lap a strip is
//! `g + r + 2 p` wide, over a wall of height h `2 (g + r) + h + 2 p` (derived). It ends where a liner in one would: in
//! from free edges by the reveal, between two walls at the corner of the base. There two strips meet on the base in a
//! mitre.

use super::flat::{Arm, Corners, Flat};
use super::liner::{APART, inset, spanned, take_up};
use super::measures::Measures;
use super::{Lay, Piece, Role};
use crate::diag::Diagnostic;
use crate::geom::{Contour, Point, Vertex, beneath, pt};
use crate::job::{Grain, Job, Side, StockKind};
use crate::units::Length;

/// By how much each of two mitred strips passes the line between them at its inner end, mm: from nothing at the corner
/// of the base, so that a hand's error leaves no board bare between them (our choice).
const FULL: f64 = 1.0;

/// Which joints of an arm a strip lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lines {
    /// That between base and wall.
    Foot,
    /// That between wall and lid.
    Top,
    /// Both, and the wall between them.
    Both,
}

/// Where a hinge strip goes.
#[derive(Clone, Debug, PartialEq)]
pub struct StripPlace {
    /// The piece.
    pub id: String,
    /// The wall's side.
    pub side: Side,
    /// The joints that it lines.
    pub lines: Lines,
    /// Where it lies in the open box laid flat; as cut it is wider by what each groove swallows.
    pub outline: Contour,
}

impl StripPlace {
    /// In words: `left wall and lid`.
    pub fn place(&self) -> String {
        let side = self.side.word();
        match self.lines {
            Lines::Foot => format!("base and {side} wall"),
            Lines::Top => format!("{side} wall and {side} lid"),
            Lines::Both => format!("base, {side} wall and {side} lid"),
        }
    }
}

/// The strips of a box, and where each goes; none where its joints are not lined with any.
///
/// Fails where a lap does not find its board.
pub(super) fn strips(
    job: &Job,
    m: &Measures,
    corners: &dyn Corners,
) -> Result<(Vec<Piece>, Vec<StripPlace>), Diagnostic> {
    let Some(lap) = job.strip_lap() else { return Ok((Vec::new(), Vec::new())) };
    let laid = inset(job, m, corners, m.joint, Length::ZERO)?;
    let cut = inset(job, m, corners, m.joint + take_up(job, m), Length::ZERO)?;
    let spanned = spanned(job);
    let mut all = (Vec::new(), Vec::new());
    for side in laid.0.arms.keys().copied() {
        let room = match side {
            Side::Left | Side::Right => m.base_width,
            Side::Head | Side::Tail => m.base_height,
        };
        let faces_another = job.flaps.contains_key(&side.opposite());
        if room < lap + if faces_another { lap + APART } else { job.covering.reveal } {
            return Err(no_lap(job, side));
        }
        let lines: &[Lines] = if spanned.contains(&side) { &[Lines::Both] } else { &[Lines::Foot, Lines::Top] };
        for lines in lines.iter().copied() {
            let of = |(flat, cross): &(Flat, Contour)| strip(job, flat, cross, side, lines, lap.to_mm());
            let (Some(outline), Some(as_cut)) = (of(&laid), of(&cut)) else { return Err(no_lap(job, side)) };
            let id = match lines {
                Lines::Foot => format!("cloth-hinge-wall-{}", side.word()),
                Lines::Top => format!("cloth-hinge-flap-{}", side.word()),
                Lines::Both => format!("cloth-hinge-both-{}", side.word()),
            };
            let plain = Piece::plain(id.clone(), StockKind::Cloth, Role::Hinge, as_cut);
            // Its right side shows inside, as the liner's does.
            all.0.push(Piece { side: Some(side), grain: Grain::Height, lay: Lay::Mirrored, ..plain });
            all.1.push(StripPlace { id, side, lines, outline });
        }
    }
    Ok(all)
}

/// The outline of one strip in a layout whose lining in one would be `cross`.
fn strip(job: &Job, flat: &Flat, cross: &Contour, side: Side, lines: Lines, lap: f64) -> Option<Contour> {
    let arm = flat.arms.get(&side)?;
    let top = arm.foot() + arm.wall_height();
    let up_to = match lines {
        Lines::Foot => arm.foot() + lap,
        Lines::Top | Lines::Both => top + arm.foot() + lap,
    };
    let from = match lines {
        Lines::Foot | Lines::Both => arm.foot() / 2.0,
        Lines::Top => top - lap,
    };
    let whole = beneath(&beneath(cross, &arm.frame, up_to)?, &arm.frame.half_turned(), -from)?;
    match lines {
        Lines::Top => Some(whole),
        Lines::Foot | Lines::Both => with_lap_on_base(job, flat, arm, &whole, lap),
    }
}

/// A strip that ends in the middle of the joint at the base, carried on over the joint and onto the base.
fn with_lap_on_base(job: &Job, flat: &Flat, arm: &Arm, upper: &Contour, lap: f64) -> Option<Contour> {
    let middle = arm.foot() / 2.0;
    let origin = arm.frame.apply(pt(0.0, 0.0));
    let [along, out] = [pt(1.0, 0.0), pt(0.0, 1.0)].map(|d| arm.frame.apply(d) - origin);
    let local = |p: Point| pt((p - origin).dot(along), (p - origin).dot(out));
    let vertices = upper.vertices();
    let n = vertices.len();
    let is_low = |i: usize| (local(vertices[i % n].point()).y - middle).abs() < NEAR;
    // Its lower edge runs from the arm's left to its right.
    let at = (0..n).find(|i| is_low(*i) && is_low(i + 1))?;
    let half = arm.base_half();
    let corners: Vec<Point> = flat.inner_corners().iter().map(|c| c.corner).collect();
    let end = |sign: f64| -> Vec<Point> {
        let corner = pt(sign * half, 0.0);
        if corners.iter().any(|c| local(*c).distance(corner) < NEAR) {
            vec![corner, pt(sign * (half - lap + FULL.min(lap / 2.0)), -lap)]
        } else {
            vec![pt(sign * (half - job.covering.reveal.to_mm()), -lap)]
        }
    };
    let (left, mut right) = (end(-1.0), end(1.0));
    right.reverse();
    let lower = left.into_iter().chain(right).map(|p| Vertex::new(arm.frame.apply(p), 0.0));
    let mut all: Vec<Vertex> = vertices.iter().cycle().skip(at + 1).take(n).copied().collect();
    if let Some(last) = all.last_mut() {
        last.bulge = 0.0;
    }
    all.extend(lower);
    Some(Contour::new(all).without_straight_vertices())
}

/// A vertex that lies on a cut is looked for within this, mm.
const NEAR: f64 = 1e-6;

fn no_lap(job: &Job, side: Side) -> Diagnostic {
    let lap = job.strip_lap().unwrap_or_default();
    let message =
        format!("the hinge strips at the {} do not find {} of board to lap onto", side.word(), job.units.show(lap));
    let d = Diagnostic::error("no-lap", message).at("liner.strip_lap");
    d.help("make liner.strip_lap smaller, or draw the lid with straight sides beside its hinge")
}
