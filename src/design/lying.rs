//! What truly lies in each joint and under each lid of a laid-out box, counted place by place.
//!
//! Along a joint two boards come to lie against each other: the edge of the one against the inner face of the
//! other, as deep as the edge is thick. What is glued on that face and what runs round that edge into the joint
//! adds up where both lie at the same place; the joint must pass the most (derived). Turn-ins lie where the
//! flat cloth reaches to once it is folded about the board's edge, cuts and slits considered; at a joint's
//! ends there is no board to go round, and each half of the cloth there folds with the board beside it.

use super::edges::free_edges;
use super::flat::Arm;
use super::measures::{Measures, thicknesses};
use super::meeting::{Lying, Meeting, Under};
use super::patch::{PatchPlace, to_the_board};
use super::{Design, Role, liner};
use crate::assembly::{Assembly, Cover, Face, LayerIn, LayerKind, Panel, Part, Room};
use crate::geom::{Bounds, Contour, Point, SAME_POINT, Segment, intersections, pt, rings_shared};
use crate::job::{Job, Seat, Side, StockKind};
use crate::units::{Length, mm};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// How far beside an edge it is asked what runs round it, mm.
const BESIDE: f64 = 0.1;
/// Where along a joint it is asked what lies there: so far from both ends, mm, and on by a step as far as
/// patches and the liner's edges may lie.
const FIRST: [f64; 3] = [0.05, 0.3, 0.6];
const STEP: f64 = 0.5;
const FAR: f64 = 40.0;
/// At which shares of the edge's thickness it is asked what lies on the face.
const DEEP: [f64; 5] = [0.05, 0.25, 0.5, 0.75, 0.95];
/// From where on a fold a tab may reach aslant beside a cut, as shares of its length.
const ASLANT: [f64; 5] = [0.02, 0.25, 0.5, 0.75, 0.98];
/// Layers that share less than this are pressed flat where they do, mm2 (our choice).
const LITTLE: f64 = 1.0;
/// Cloth at a joint's end folds with the board beside it unless it would turn by more than this, radians.
const ALONG: f64 = 1.2;

/// What lies where in a design; `None` where the cloth could not be laid out.
pub(super) fn counted(job: &Job, design: &Design) -> Option<Lying> {
    let flat = design.flat.as_ref()?;
    let cloths = Cloths::of(job, design)?;
    let mut all = Lying { is_at_lid: design.patches.iter().any(is_round_a_lid), ..Lying::default() };
    let of_arm = |(side, arm): (&Side, &Arm)| {
        let (wall, lid) = (Part::Wall(*side), Part::Lid(*side));
        let half = arm.lid_width_at(0.0).1;
        let (from, to) = arm.wall_ends();
        let (foot, top) = (arm.foot(), arm.foot() + arm.wall_height());
        let base = arm.base_half();
        let foot = Joint { arm, parts: [Part::Base, wall], y: [0.0, foot], ends: [[-base, base], [from, to]] };
        let top = Joint { arm, parts: [wall, lid], y: [top, top + arm.foot()], ends: [[from, to], [-half, half]] };
        (*side, cloths.meeting(&foot), cloths.meeting(&top), under(job, &design.assembly, *side, arm))
    };
    let found: Vec<_> = flat.arms.par_iter().map(of_arm).collect();
    for (side, foot, top, under) in found {
        all.feet.insert(side, foot);
        all.tops.insert(side, top);
        all.lids.insert(side, under);
    }
    Some(all)
}

fn is_round_a_lid(patch: &PatchPlace) -> bool {
    patch.edge.is_some() && patch.part.lid().is_some()
}

/// A joint in its arm's frame: the parent's edge, then the child's.
struct Joint<'a> {
    arm: &'a Arm,
    parts: [Part; 2],
    y: [f64; 2],
    ends: [[f64; 2]; 2],
}

/// The cloth of a box, and its liner, as they lie flat.
struct Cloths<'a> {
    job: &'a Job,
    measures: &'a Measures,
    /// The edge of the cloth and its slits, each with its rectangle: most are far from where is asked.
    cuts: Vec<(Bounds, Segment)>,
    patches: Vec<(Bounds, &'a Contour)>,
    liners: Vec<(Bounds, &'a Contour)>,
    free: BTreeMap<Part, Vec<(Bounds, Segment)>>,
}

impl<'a> Cloths<'a> {
    fn of(job: &'a Job, design: &'a Design) -> Option<Self> {
        let flat = design.flat.as_ref()?;
        let cloth = design.pieces.iter().find(|p| p.role == Role::Cover)?;
        let stop = job.covering.slit_stop.to_mm();
        let slits = cloth.slits.iter().flat_map(|s| s.segments()).map(|s| to_the_board(&s, stop));
        let of_liner = design.pieces.iter().filter(|p| p.stock == StockKind::Liner);
        // Cloth reaches no farther beyond a fold than this.
        let reach = job.covering.turn_in.to_mm() * 4.0;
        let near = |s: Segment| (s.bounds().grown(reach), s);
        let free = |p: &Panel| free_edges(p, flat).into_iter().map(near).collect();
        Some(Self {
            job,
            measures: &design.measures,
            cuts: cloth.outline.segments().chain(slits).map(|s| (s.bounds().grown(SAME_POINT), s)).collect(),
            patches: design.patches.iter().map(|p| (p.outline.bounds(), &p.outline)).collect(),
            liners: of_liner.map(|p| (p.outline.bounds(), &p.outline)).collect(),
            free: design.assembly.panels.iter().map(|p| (p.part, free(p))).collect(),
        })
    }

    /// What meets in a joint, at the places where it is most.
    fn meeting(&self, joint: &Joint) -> Meeting {
        let (t, c, l) = thicknesses(self.job);
        let (c, l) = (c.to_mm(), l.to_mm());
        let low = joint.ends[0][0].max(joint.ends[1][0]);
        let high = joint.ends[0][1].min(joint.ends[1][1]);
        let is_on_base = self.job.build.seat == Seat::OnBase;
        // Beside the base a wall's face looks at the edges of base and lid; on the base they at its edges.
        let face = usize::from(joint.parts[1].wall().is_some() != is_on_base);
        let takes_up = is_on_base && liner::take_up(self.job, self.measures) > Length::ZERO;
        // Cloths, liners, and whether the liner is doubled there.
        let (mut settled, mut most) = ((0.0, [0, 0]), (0.0, [0, 0, 0]));
        let thick = |n: [u32; 2]| f64::from(n[0]) * c + f64::from(n[1]) * l;
        for half in places(low, high) {
            let here: Vec<Laid> = half.iter().map(|x| self.laid(joint, face, *x, t.to_mm(), takes_up)).collect();
            let mut known: Vec<Option<Turned>> = vec![None; half.len()];
            for (i, laid) in here.iter().enumerate() {
                let more = f64::from(laid.doubled) * l;
                // Following the cloth is dear: only where it could lie thicker than what was found so far.
                let at_most = thick(laid.round) + c + laid.face.iter().map(|n| thick(*n)).fold(0.0, f64::max) + c;
                if at_most <= settled.0 && at_most + more <= most.0 {
                    continue;
                }
                let turned = self.turned_at(joint, face, &half, i, t.to_mm(), &mut known);
                let (cloths, liners) = laid.with(turned, &thick);
                let found = thick([cloths, liners]);
                if found > settled.0 {
                    settled = (found, [cloths, liners]);
                }
                if found + more > most.0 {
                    most = (found + more, [cloths, liners, laid.doubled]);
                }
            }
        }
        let [cloths, liners, doubled] = most.1.map(f64::from);
        let mut parts = vec![
            (LayerIn::Board, t.to_mm()),
            (LayerIn::TurnIns, c * cloths),
            (LayerIn::Liners, l * liners),
            (LayerIn::DoubledLiner, l * doubled),
        ];
        parts.retain(|p| p.1 > 0.0);
        Meeting { settled: mm(settled.0), room: Room { parts } }
    }

    fn beside(&self, joint: &Joint) -> f64 {
        BESIDE.min((joint.y[1] - joint.y[0]) / 3.0)
    }

    /// A place `deep` mm in from the edge of one of the two boards; below zero in the joint.
    fn place(joint: &Joint, board: usize, x: f64, deep: f64) -> Point {
        let y = if board == 0 { joint.y[0] - deep } else { joint.y[1] + deep };
        joint.arm.frame.apply(pt(x, y))
    }

    /// The patches and liners at a place of a joint.
    fn laid(&self, joint: &Joint, face: usize, x: f64, t: f64, takes_up: bool) -> Laid {
        let (edge, beside) = (1 - face, self.beside(joint));
        let (inside, outside) = (Self::place(joint, edge, x, BESIDE), Self::place(joint, edge, x, -beside));
        let patched = self.is_patched(inside) && self.is_patched(outside);
        let lined = self.is_lined(joint, edge, x, BESIDE) && self.is_lined(joint, edge, x, -beside);
        let on_face = |share: f64| {
            let p = Self::place(joint, face, x, share * t);
            [u32::from(self.is_patched(p)), u32::from(self.is_lined(joint, face, x, share * t))]
        };
        Laid {
            round: [u32::from(patched), u32::from(lined)],
            face: DEEP.map(on_face),
            doubled: u32::from(takes_up && self.is_lined(joint, edge, x, -beside)) * 2,
        }
    }

    /// Where the turn-ins are at the `i`-th place of half a joint. Between two places of a few millimetres
    /// apart that have the same they have the same: where a turn-in begins or ends is looked for by halves.
    fn turned_at(
        &self,
        joint: &Joint,
        face: usize,
        half: &[f64],
        i: usize,
        t: f64,
        known: &mut [Option<Turned>],
    ) -> Turned {
        let mut ask = |i: usize| *known[i].get_or_insert_with(|| self.turned(joint, face, half[i], t));
        let (mut from, mut to) = stretch(i, half.len());
        loop {
            let (first, last) = (ask(from), ask(to));
            if first == last || i == from {
                return first;
            }
            if i == to {
                return last;
            }
            let middle = usize::midpoint(from, to);
            (from, to) = if i < middle { (from, middle) } else { (middle, to) };
        }
    }

    /// Where the turn-ins are at a place of a joint.
    fn turned(&self, joint: &Joint, face: usize, x: f64, t: f64) -> Turned {
        let on_face = |share: f64| self.is_turned(joint.parts[face], Self::place(joint, face, x, share * t));
        Turned { round: self.is_turned_round(joint, 1 - face, x), face: DEEP.map(on_face) }
    }

    /// Whether a turn-in runs round a board's edge into the joint at a place.
    fn is_turned_round(&self, joint: &Joint, board: usize, x: f64) -> bool {
        let beside = self.beside(joint);
        let (inside, outside) = (Self::place(joint, board, x, BESIDE), Self::place(joint, board, x, -beside));
        // Where a side runs aslant the board's own turn-in may reach into the joint.
        let part = joint.parts[board];
        let is_beyond = || self.is_turned_in_joint(joint, board, outside) || self.is_turned(part, outside);
        self.is_turned(part, inside) && is_beyond()
    }

    fn is_lined(&self, joint: &Joint, board: usize, x: f64, deep: f64) -> bool {
        let swallowed = match joint.parts[board] {
            Part::Wall(_) => 1.0,
            Part::Lid(_) => 2.0,
            Part::Base | Part::OuterBase => 0.0,
        };
        // The liner is drawn longer by what the joints before this board swallow.
        let more = liner::take_up(self.job, self.measures).to_mm() * swallowed;
        let p = Self::place(joint, board, x, if board == 0 { deep - more } else { deep + more });
        holds(&self.liners, p)
    }

    fn is_patched(&self, p: Point) -> bool {
        holds(&self.patches, p)
    }

    /// Whether cloth is folded over to a place on the inner face of a board.
    fn is_turned(&self, part: Part, p: Point) -> bool {
        let (t, c, _) = thicknesses(self.job);
        let round = (t + c).to_mm();
        self.free.get(&part).into_iter().flatten().filter(|e| e.0.holds(p)).any(|(_, edge)| {
            let share = edge.nearest_share(p);
            let (q, out) = (edge.point_at(share), -Point::unit(edge.heading_at(share)).left());
            let deep = (q - p).dot(out);
            let is_beside = deep >= 0.0 && (q - p).distance(out * deep) < 1e-6;
            is_beside && self.reaches(edge, q + out * 1e-4, q + out * (deep + round))
        })
    }

    /// Whether cloth lies unbroken to a place outside a fold: straight out from it, or aslant from elsewhere on it.
    fn reaches(&self, fold: &Segment, from: Point, to: Point) -> bool {
        if from.distance(to) > self.job.covering.turn_in.to_mm() * 4.0 {
            return false;
        }
        let is_whole = |from: Point| {
            let way = Segment::line(from, to);
            let about = way.bounds().grown(SAME_POINT);
            let mut near = self.cuts.iter().filter(|(b, _)| b.overlaps(about, 0.0));
            near.all(|(_, s)| intersections(&way, s).is_empty())
        };
        let aslant = |share: f64| fold.point_at(share).lerp(to, 1e-4);
        is_whole(from) || (fold.is_line() && ASLANT.into_iter().any(|share| is_whole(aslant(share))))
    }

    /// Whether cloth is folded over to a place in a joint, near to one of its boards.
    fn is_turned_in_joint(&self, joint: &Joint, board: usize, p: Point) -> bool {
        let frame = &joint.arm.frame;
        [0, 1].into_iter().any(|end| {
            let at = |board: usize| frame.apply(pt(joint.ends[board][end], joint.y[board]));
            let edge = Segment::line(at(0), at(1));
            let Some(along) = (edge.end - edge.start).normalized() else { return false };
            let ways =
                [0, 1].map(|b| self.way_beside(joint, b, end).filter(|w| w.dot(along).clamp(-1.0, 1.0).acos() < ALONG));
            let (through, way) = match (ways[board], ways[1 - board]) {
                (Some(way), _) => (at(board), way),
                (None, Some(way)) => (at(1 - board), way),
                (None, None) => (at(board), along),
            };
            let out = if end == 1 { -way.left() } else { way.left() };
            let deep = (through - p).dot(out);
            if deep <= 0.0 {
                return false;
            }
            let half = if board == 0 { edge.between(0.0, 0.5) } else { edge.between(0.5, 1.0) };
            let to = Segment::line(p, p + out * (2.0 * deep));
            intersections(&to, &half).first().is_some_and(|q| self.reaches(&half, *q, to.end))
        })
    }

    /// Which way the free edge of a board runs beside an end of a joint, outwards from the base; `None` where
    /// it has none there.
    fn way_beside(&self, joint: &Joint, board: usize, end: usize) -> Option<Point> {
        let frame = &joint.arm.frame;
        let up = frame.apply(pt(0.0, 1.0)) - frame.apply(pt(0.0, 0.0));
        let corner = frame.apply(pt(joint.ends[board][end], joint.y[board]));
        let edges = self.free.get(&joint.parts[board])?;
        let near = |s: &&Segment| s.start.distance(corner) < 1e-6 || s.end.distance(corner) < 1e-6;
        let s = edges.iter().map(|e| &e.1).find(near)?;
        let way = Point::unit(if s.start.distance(corner) < 1e-6 { s.start_heading() } else { s.end_heading() });
        Some(if way.dot(up) < 0.0 { -way } else { way })
    }
}

/// Whether any of these outlines, each with its rectangle, holds a point.
fn holds(outlines: &[(Bounds, &Contour)], p: Point) -> bool {
    outlines.iter().any(|(b, outline)| b.holds(p) && outline.contains(p))
}

/// The patches and liners at a place of a joint, and how often the liner is doubled there: those round the edge
/// that looks at a face, and those on the face at each depth within the thickness of that edge.
struct Laid {
    round: [u32; 2],
    face: [[u32; 2]; 5],
    doubled: u32,
}

impl Laid {
    /// With the turn-ins, how many cloths and liners lie there where they are thickest.
    fn with(&self, turned: Turned, thick: &impl Fn([u32; 2]) -> f64) -> (u32, u32) {
        let on_face = self.face.iter().zip(turned.face).map(|(laid, is)| [laid[0] + u32::from(is), laid[1]]);
        let most = on_face.fold([0, 0], |most, n| if thick(n) > thick(most) { n } else { most });
        (self.round[0] + u32::from(turned.round) + most[0], self.round[1] + most[1])
    }
}

/// Where turn-ins are at a place of a joint: round the edge, and on the face at each depth.
#[derive(Clone, Copy, PartialEq)]
struct Turned {
    round: bool,
    face: [bool; 5],
}

/// Where along a joint it is asked what lies there: from each end towards the middle.
fn places(low: f64, high: f64) -> [Vec<f64>; 2] {
    let steps = (0..).map(|k| 1.0 + STEP * f64::from(k)).take_while(|s| *s <= FAR);
    let near: Vec<f64> =
        FIRST.into_iter().chain(steps).filter(|s| *s < (high - low) / 2.0).chain([(high - low) / 2.0]).collect();
    [near.iter().map(|s| low + s).collect(), near.iter().map(|s| high - s).collect()]
}

/// Between which two places of half a joint a place is looked for by halves: near the end each stands alone.
fn stretch(i: usize, count: usize) -> (usize, usize) {
    const ALONE: usize = FIRST.len() + 4;
    const LONG: usize = 8;
    if i < ALONE || i + 1 == count {
        return (i, i);
    }
    let from = ALONE + (i - ALONE) / LONG * LONG;
    // The last place of all is the joint's middle, and far from the others.
    (from, (from + LONG - 1).min(count - 2))
}

/// How thick what is glued under a lid's board is, over the stack and anywhere.
fn under(job: &Job, assembly: &Assembly, side: Side, arm: &Arm) -> Under {
    let Some(panel) = assembly.panel(Part::Lid(side)) else { return Under::default() };
    let outline = panel.outline.flatten(CHORD);
    // Closed, the lid's hinge edge lies over the base's edge.
    let hinge = arm.foot() * 2.0 + arm.wall_height();
    let contents = &job.contents;
    let (along, across) = match side {
        Side::Left | Side::Right => (contents.width, contents.height),
        Side::Head | Side::Tail => (contents.height, contents.width),
    };
    let (along, across) = (along.to_mm() / 2.0, across.to_mm() / 2.0);
    let middle = hinge + arm.out();
    let corners =
        [(-across, middle - along), (across, middle - along), (across, middle + along), (-across, middle + along)];
    let stack: Vec<Point> = corners.iter().map(|(x, y)| arm.frame.apply(pt(*x, *y))).collect();
    let over: Vec<Vec<Point>> = rings_shared(&outline, &stack);
    let is_over = over.iter().map(|r| area(r)).sum::<f64>() > LITTLE;
    Under { stack: is_over.then(|| thickest(panel, &over)), most: thickest(panel, &[outline]) }
}

/// Chords of curved outlines stray by so much, mm.
const CHORD: f64 = 0.05;

fn area(ring: &[Point]) -> f64 {
    Contour::polygon(ring.iter().copied()).area().abs()
}

/// The thickest that lies on a panel's inner face within some rings.
fn thickest(panel: &Panel, within: &[Vec<Point>]) -> Length {
    let of = |kind: LayerKind| -> (Vec<Vec<Point>>, f64) {
        let own = panel.layers.iter().filter(|l| l.kind == kind && l.face == Face::Inside);
        let thick = own.clone().map(|l| l.thickness).fold(0.0, f64::max);
        let areas = own.filter_map(|l| match &l.cover {
            Cover::Area(area) => Some(area.flatten(CHORD)),
            Cover::Along(_) => None,
        });
        (areas.collect(), thick)
    };
    let shared = |a: &[Vec<Point>], b: &[Vec<Point>]| -> Vec<Vec<Point>> {
        a.iter().flat_map(|a| b.iter().flat_map(|b| rings_shared(a, b))).collect()
    };
    let much = |rings: &[Vec<Point>]| rings.iter().map(|r| area(r)).sum::<f64>() > LITTLE;
    let mut most = 0.0_f64;
    let kinds = [of(LayerKind::Patch), of(LayerKind::TurnIn), of(LayerKind::Liner)];
    for pick in 0..8_u8 {
        let mut left = within.to_vec();
        let mut thick = 0.0;
        for (k, (areas, own)) in kinds.iter().enumerate() {
            if pick >> k & 1 == 1 {
                left = shared(&left, areas);
                thick += own;
            }
        }
        if thick > most && much(&left) {
            most = thick;
        }
    }
    mm(most)
}
