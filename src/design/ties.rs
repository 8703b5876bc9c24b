//! Ribbon ties: a slot near a lid's free edge, its fellow in what the lid comes down to, and the pockets that
//! the ribbons' ends are glued into.
//!
//! A bow can be tied where both ribbons come out on the outside and nothing lies over them. A lid that reaches
//! to the wall across is tied to that wall, which stands in the open; where there is no wall, or too low a one,
//! the fellow comes out under the base and round its edge, as a strap does. A lid that stops short of the wall
//! is tied to the lid across, beyond its own free edge (common practice, no source).
//!
//! Instead of a bow a peg on the lid's ribbon may be pushed through a loop of the fellow: each ribbon is then laid
//! double, both ends through its slot, and the two are beside each other, for the peg lies in both.

use super::Pocket;
use super::flat::{Arm, Flat};
use super::measures::Measures;
use crate::assembly::Part;
use crate::geom::{Contour, Point, Segment, Transform, intersections, pt};
use crate::job::{Job, Side, TiedTo, Ties};
use crate::units::{Length, mm};

/// A pocket shorter than this holds no ribbon: 1 cm2 of one 10 mm wide (our choice).
pub(super) const LEAST_TAIL: Length = mm(10.0);
/// A lid that reaches less far across than this is tied to the lid that comes from the other side (our choice).
const REACHES_ACROSS: f64 = 0.75;

/// One tie: two ribbons.
#[derive(Clone, Debug)]
pub struct Tie {
    /// The lid that it ties down.
    pub side: Side,
    /// The lid's ribbon, and its fellow.
    pub ends: [TieEnd; 2],
}

/// Where one ribbon is held, in the flat layout.
#[derive(Clone, Debug)]
pub struct TieEnd {
    /// The board.
    pub part: Part,
    /// The middle of the slot.
    pub at: Point,
    /// The slot, counter-clockwise.
    pub slot: Contour,
    /// The pocket, which opens from the slot.
    pub pocket: Pocket,
    /// The pocket's length.
    pub tail: Length,
}

/// Where the fellows of a lid's ribbons come out.
pub fn tied_to(job: &Job, m: &Measures, flat: &Flat, side: Side, ties: &Ties) -> TiedTo {
    let reach = m.reach.get(&side).copied().unwrap_or_default();
    match (ties.to, flat.arms.get(&side.opposite())) {
        (Some(to), _) => to,
        (None, None) => TiedTo::Base,
        (None, Some(_)) if reach < job.contents.along(side) * REACHES_ACROSS => TiedTo::Lid,
        (None, Some(arm)) if wall_tail(job, ties, arm) >= LEAST_TAIL => TiedTo::Wall,
        (None, Some(_)) => TiedTo::Base,
    }
}

/// How far in the fellow's slot lies.
pub fn to_inset(job: &Job, ties: &Ties, to: TiedTo) -> Length {
    ties.to_inset.unwrap_or(if to == TiedTo::Wall { job.board.thickness * 2.0 } else { ties.inset })
}

/// What a wall leaves for a pocket: from the slot down to a board's thickness above its foot, and no more than
/// is asked.
pub(super) fn wall_tail(job: &Job, ties: &Ties, arm: &Arm) -> Length {
    let below = to_inset(job, ties, TiedTo::Wall) + (ties.in_slot() + ties.slot_ease) / 2.0 + job.board.thickness;
    (mm(arm.wall_height()) - below).min(ties.tail)
}

/// The ties of a job, lid by lid, each lid's along its free edge; none where what they are tied to is not there.
pub fn ties(job: &Job, m: &Measures, flat: &Flat) -> Vec<Tie> {
    let mut all = Vec::new();
    for (side, ties) in &job.ties {
        let Some(arm) = flat.arms.get(side) else { continue };
        let to = tied_to(job, m, flat, *side, ties);
        // A peg lies in its own ribbon and, beside it, in the loop of the fellow.
        let aside = pt(ties.aside().to_mm() / 2.0, 0.0);
        for at in along_free_edge(arm, ties.count, ties.inset.to_mm()) {
            let own = end(ties, &arm.frame, Part::Lid(*side), lid_to_arm(arm, at - aside), ties.tail);
            if let Some(fellow) = fellow(job, flat, *side, ties, to, at + aside) {
                all.push(Tie { side: *side, ends: [own, fellow] });
            }
        }
    }
    all
}

/// Places along a lid's free edge, so far in from it, in the lid's own frame: its hinge on y = 0.
pub(super) fn along_free_edge(arm: &Arm, count: u32, inset: f64) -> Vec<Point> {
    let (low, high) = arm.lid_width_at(arm.lid().bounds().max.y - inset);
    let n = f64::from(count.max(1));
    (0..count)
        .map(|k| {
            let x = low + (high - low) * (2.0 * f64::from(k) + 1.0) / (2.0 * n);
            pt(x, free_edge(arm, x) - inset)
        })
        .collect()
}

/// How far a lid's free edge is from its hinge at `x` of its frame.
fn free_edge(arm: &Arm, x: f64) -> f64 {
    let lid = arm.lid();
    let top = lid.bounds().max.y;
    let ray = Segment::line(pt(x, 0.0), pt(x, top + 1.0));
    let hits = lid.segments().skip(1).flat_map(|s| intersections(&ray, &s)).map(|p| p.y);
    hits.reduce(f64::max).unwrap_or(top)
}

/// A place of a lid in the frame of its arm.
pub(super) fn lid_to_arm(arm: &Arm, p: Point) -> Point {
    pt(p.x, p.y + 2.0 * arm.foot() + arm.wall_height())
}

/// Where the fellow of a ribbon that comes out of a lid at `at` is held. Across, what is to the right is to the
/// left.
fn fellow(job: &Job, flat: &Flat, side: Side, ties: &Ties, to: TiedTo, at: Point) -> Option<TieEnd> {
    let across = side.opposite();
    let inset = to_inset(job, ties, to).to_mm();
    let arm = flat.arms.get(&across);
    match to {
        TiedTo::Wall => {
            let arm = arm?;
            let top = arm.foot() + arm.wall_height();
            Some(end(ties, &arm.frame, Part::Wall(across), pt(-at.x, top - inset), wall_tail(job, ties, arm)))
        }
        TiedTo::Lid => {
            let arm = arm?;
            // Where its own free edge is, or where the lid that is tied ends over it, whichever comes first.
            let own_edge = flat.arms.get(&side).map_or(0.0, |own| free_edge(own, at.x));
            let ends = free_edge(arm, -at.x).min(job.contents.along(side).to_mm() - own_edge);
            let place = lid_to_arm(arm, pt(-at.x, ends - inset));
            Some(end(ties, &arm.frame, Part::Lid(across), place, ties.tail))
        }
        TiedTo::Base => {
            let b = flat.base.bounds();
            let half = match across {
                Side::Left | Side::Right => b.width() / 2.0,
                Side::Head | Side::Tail => b.height() / 2.0,
            };
            let shift = match across {
                Side::Right => pt(half, 0.0),
                Side::Left => pt(-half, 0.0),
                Side::Head => pt(0.0, half),
                Side::Tail => pt(0.0, -half),
            };
            let frame = Transform { mirrored: false, rotation_deg: across.outward_deg() - 90.0, shift };
            Some(end(ties, &frame, Part::Base, pt(-at.x, -inset), ties.tail))
        }
    }
}

/// A slot and its pocket about a place in a frame whose y runs outwards: the pocket lies inwards of the slot.
fn end(ties: &Ties, frame: &Transform, part: Part, at: Point, tail: Length) -> TieEnd {
    let half_across = (ties.width + ties.slot_ease).to_mm() / 2.0;
    let half_along = (ties.in_slot() + ties.slot_ease).to_mm() / 2.0;
    let rectangle = |from: f64, to: f64| {
        Contour::rectangle(pt(at.x - half_across, from), pt(at.x + half_across, to)).transformed(frame)
    };
    let inner = at.y - half_along;
    TieEnd {
        part,
        at: frame.apply(at),
        slot: rectangle(inner, at.y + half_along),
        pocket: Pocket { outline: rectangle(inner - tail.to_mm().max(0.1), inner), depth: ties.pocket_depth },
        tail,
    }
}
