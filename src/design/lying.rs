//! What truly lies in each joint and under each lid of a laid-out box, counted place by place.
//!
//! Along a joint two boards come to lie against each other: the edge of the one against the inner face of the
//! other, as deep as the edge is thick. What is glued on that face and what runs round that edge into the joint
//! adds up where both lie at the same place; the joint must pass the most (derived). Lines along the joint, one
//! beside the edge on either side and some on the face, say from where to where each layer lies; turn-ins lie as
//! [`super::tabs`] folds them.

use super::flat::Arm;
use super::measures::{Measures, thicknesses};
use super::meeting::{Lying, Meeting, Under};
use super::patch::PatchPlace;
use super::tabs::Turned;
use super::{Design, liner};
use crate::assembly::{Assembly, Face, LayerIn, LayerKind, Panel, Part, Room};
use crate::geom::{Bounds, Contour, Point, areas_shared, covered, pt, stretches};
use crate::job::{Job, Seat, Side};
use crate::units::{Length, mm};
use rayon::prelude::*;

/// How far beside an edge it is asked what runs round it, mm.
const BESIDE: f64 = 0.1;
/// At which shares of the edge's thickness it is asked what lies on the face.
const DEEP: [f64; 5] = [0.05, 0.25, 0.5, 0.75, 0.95];
/// What lies along less than this of a joint is pressed flat there, mm (our choice).
const PRESSED: f64 = 0.5;
/// A joint shorter than this holds nothing, mm.
const SHORT: f64 = 1.0;
/// Layers that share less than this are pressed flat where they do, mm2 (our choice).
const LITTLE: f64 = 1.0;
/// Chords of curved outlines stray by so much, mm.
const CHORD: f64 = 0.05;

/// What lies where in a design; `None` where the cloth could not be laid out.
pub(super) fn counted(job: &Job, design: &Design) -> Option<Lying> {
    let flat = design.flat.as_ref()?;
    let cloths = Cloths::of(job, design);
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
    if job.build.seat == Seat::Beside && (job.strip_lap().is_some() || job.folded() > Length::ZERO) {
        // A liner in the joint keeps the wall as far off as it is thick; a strip may be thinner than what lies above it, and
        // at an edge that is folded under there is more than at its foot.
        let walls: Vec<(Side, &Panel)> =
            design.assembly.panels.iter().filter_map(|p| Some((p.part.wall()?, p))).collect();
        let thick = |(side, panel): &(Side, &Panel)| (*side, thickest(panel, [&[panel.outline.flatten(CHORD)]])[0]);
        all.walls = walls.par_iter().map(thick).collect();
    }
    Some(all)
}

fn is_round_a_lid(patch: &PatchPlace) -> bool {
    patch.edge.is_some() && patch.part.lid().is_some() && !patch.is_of_window
}

/// A joint in its arm's frame: the parent's edge, then the child's.
struct Joint<'a> {
    arm: &'a Arm,
    parts: [Part; 2],
    y: [f64; 2],
    ends: [[f64; 2]; 2],
}

/// The cloth of a box as it lies turned in, its patches, its liner with its folded edges, and its hinge strips.
struct Cloths<'a> {
    job: &'a Job,
    measures: &'a Measures,
    turned: &'a [Turned],
    /// Outlines, each with its rectangle: most are far from where is asked.
    patches: Vec<(Bounds, Vec<Point>)>,
    liners: Vec<(Bounds, Vec<Point>)>,
    strips: Vec<(Bounds, Vec<Point>)>,
    folds: Vec<(Bounds, Vec<Point>)>,
}

/// A line along a joint: which board it runs beside, how far in from its edge (below zero in the joint), and its ends.
#[derive(Clone, Copy)]
struct Line {
    board: usize,
    deep: f64,
    ends: [f64; 2],
}

/// From where to where some layers lie along a line, mm from the joint's end: turn-ins, patches, liners, hinge strips,
/// folded edges of the liner.
type Stretches = [Vec<(f64, f64)>; 5];

/// A stretch of a joint and what lies there: cloths turned in and patched, liners, hinge strips, and how many layers of
/// liner and of strips lie there besides because they are doubled.
struct Along {
    length: f64,
    layers: [u32; 5],
}

impl<'a> Cloths<'a> {
    fn of(job: &'a Job, design: &'a Design) -> Self {
        let ring = |outline: &Contour| (outline.bounds(), outline.flatten(CHORD));
        Self {
            job,
            measures: &design.measures,
            turned: &design.turned,
            patches: design.patches.iter().map(|p| ring(&p.outline)).collect(),
            liners: design.linings.iter().map(|l| ring(&l.outline)).collect(),
            folds: design.linings.iter().flat_map(|l| &l.folds).map(ring).collect(),
            strips: design.strips.iter().map(|s| ring(&s.outline)).collect(),
        }
    }

    /// What meets in a joint, where it is most.
    fn meeting(&self, joint: &Joint) -> Meeting {
        let (t, c, l) = thicknesses(self.job);
        let (c, l) = (c.to_mm(), l.to_mm());
        let all = self.along(joint);
        let settled = thickest_along(&all, |n| f64::from(n[0] + n[2]) * c + f64::from(n[1]) * l);
        let most = thickest_along(&all, |n| f64::from(n[0] + n[2] + n[4]) * c + f64::from(n[1] + n[3]) * l);
        let [cloths, liners, strips, doubled, doubled_strips] = most.1.map(f64::from);
        let mut parts = vec![
            (LayerIn::Board, t.to_mm()),
            (LayerIn::TurnIns, c * cloths),
            (LayerIn::Liners, l * liners),
            (LayerIn::DoubledLiner, l * doubled),
            (LayerIn::HingeStrips, c * strips),
            (LayerIn::DoubledStrip, c * doubled_strips),
        ];
        parts.retain(|p| p.1 > 0.0);
        Meeting { settled: mm(settled.0), room: Room { parts } }
    }

    /// What lies along a joint, from one end to the other.
    fn along(&self, joint: &Joint) -> Vec<Along> {
        let low = joint.ends[0][0].max(joint.ends[1][0]);
        let high = joint.ends[0][1].min(joint.ends[1][1]);
        if high - low < SHORT {
            return Vec::new();
        }
        let (t, c, l) = thicknesses(self.job);
        let is_on_base = self.job.build.seat == Seat::OnBase;
        // Beside the base a wall's face looks at the edges of base and lid; on the base they at its edges.
        let face = usize::from(joint.parts[1].wall().is_some() != is_on_base);
        let edge = 1 - face;
        let takes_up = is_on_base && liner::take_up(self.job, self.measures) > Length::ZERO;
        let beside = BESIDE.min((joint.y[1] - joint.y[0]) / 3.0);
        let line = |board, deep| self.lying_along(joint, Line { board, deep, ends: [low, high] });
        // A wall may be lower than that: then what runs round its edge is asked within it.
        let within = match joint.parts[edge] {
            Part::Wall(_) => BESIDE.min(joint.arm.wall_height() / 3.0),
            Part::Lid(_) | Part::Base | Part::OuterBase | Part::UpperFace | Part::Tray(..) | Part::Case(_) => BESIDE,
        };
        let (inside, outside) = (line(edge, within), line(edge, -beside));
        let on_face = DEEP.map(|share| line(face, share * t.to_mm()));
        let lists = [&inside, &outside].into_iter().chain(&on_face).flatten();
        let mut at: Vec<f64> = lists.flatten().flat_map(|(a, b)| [*a, *b]).chain([0.0, high - low]).collect();
        at.sort_by(f64::total_cmp);
        let thick = |n: [u32; 3]| f64::from(n[0] + n[2]) * c.to_mm() + f64::from(n[1]) * l.to_mm();
        let there = |of: &Stretches, m: f64| of.each_ref().map(|s| s.iter().any(|(a, b)| (*a..*b).contains(&m)));
        let between = at.windows(2).filter(|w| w[1] - w[0] > 1e-9).map(|w| {
            let m = (w[0] + w[1]) / 2.0;
            let (inside, outside) = (there(&inside, m), there(&outside, m));
            let of_kinds = |[t, p, l, s, f]: [u32; 5]| [t + p, l + f, s];
            let round = of_kinds([0, 1, 2, 3, 4].map(|k| u32::from(inside[k] && outside[k])));
            let laid = on_face.each_ref().map(|s| of_kinds(there(s, m).map(u32::from)));
            let most = laid.into_iter().fold([0; 3], |most, n| if thick(n) > thick(most) { n } else { most });
            let doubled = |k: usize| u32::from(takes_up && outside[k]) * 2;
            let [cloths, liners, strips] = [0, 1, 2].map(|k| round[k] + most[k]);
            Along { length: w[1] - w[0], layers: [cloths, liners, strips, doubled(2) + doubled(4), doubled(3)] }
        });
        between.collect()
    }

    /// From where to where each kind of layer lies along a line.
    fn lying_along(&self, joint: &Joint, line: Line) -> Stretches {
        let Line { board, deep, ends: [low, high] } = line;
        let y = |deep: f64| if board == 0 { joint.y[0] - deep } else { joint.y[1] + deep };
        let at = |y: f64| [low, high].map(|x| joint.arm.frame.apply(pt(x, y)));
        let [a, b] = at(y(deep));
        let bounds = Bounds::of([a, b]);
        let on = (deep > 0.0).then_some(joint.parts[board]);
        // No paper comes near a joint: `limits::sides` asks for cloth there.
        let is_there =
            |t: &&Turned| !t.is_paper && t.only.is_none_or(|part| Some(part) == on) && !(t.is_in_joint && on.is_some());
        let near = |b: &Bounds, line: Bounds| b.grown(BESIDE).overlaps(line.grown(BESIDE), 0.0);
        let turned = self.turned.iter().filter(is_there).filter(|t| near(&t.bounds, bounds));
        let turned = turned.flat_map(|t| stretches(&t.ring, a, b)).collect();
        let of = |rings: &[(Bounds, Vec<Point>)], [a, b]: [Point; 2]| {
            let bounds = Bounds::of([a, b]);
            let rings = rings.iter().filter(|r| near(&r.0, bounds));
            rings.flat_map(|r| stretches(&r.1, a, b)).collect::<Vec<(f64, f64)>>()
        };
        let swallowed = match joint.parts[board] {
            Part::UpperFace | Part::Tray(..) | Part::Case(_) => 0.0,
            Part::Wall(_) => 1.0,
            Part::Lid(_) => 2.0,
            Part::Base | Part::OuterBase => 0.0,
        };
        // A liner in one is drawn longer by what the joints before this board swallow.
        let more = liner::drawn_longer(self.job, self.measures).to_mm() * swallowed;
        let drawn = at(y(deep) + more);
        let [liners, folds] = [&self.liners, &self.folds].map(|rings| of(rings, drawn));
        [turned, of(&self.patches, [a, b]), liners, of(&self.strips, [a, b]), folds]
    }
}

/// The most that lies on a stretch that is not pressed flat, and what that is.
fn thickest_along(all: &[Along], thick: impl Fn([u32; 5]) -> f64) -> (f64, [u32; 5]) {
    let mut most = (0.0, [0; 5]);
    for one in all {
        let value = thick(one.layers);
        if value <= most.0 {
            continue;
        }
        let mut length = 0.0;
        for other in all {
            length = if thick(other.layers) > value - 1e-9 { length + other.length } else { 0.0 };
            if length >= PRESSED {
                most = (value, one.layers);
                break;
            }
        }
    }
    most
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
    let over: Vec<Vec<Point>> = areas_shared(&outline, &stack);
    let is_over = over.iter().map(|r| area(r)).sum::<f64>() > LITTLE;
    let [stack, most] = thickest(panel, [&over, &[outline]]);
    Under { stack: is_over.then_some(stack), most }
}

fn area(ring: &[Point]) -> f64 {
    Contour::polygon(ring.iter().copied()).area().abs()
}

/// The thickest that lies on a panel's inner face within each of some lists of rings.
fn thickest<const N: usize>(panel: &Panel, within: [&[Vec<Point>]; N]) -> [Length; N] {
    let thick = |kind: LayerKind| panel.thickest_on(Face::Inside, kind);
    let areas = |kind: LayerKind| -> Vec<Vec<Point>> {
        panel.areas_inside(kind).map(|(area, _)| area.flatten(CHORD)).collect()
    };
    let turned: Vec<Vec<Point>> = panel.turned.iter().map(|t| t.flatten(CHORD)).collect();
    let papers: Vec<Vec<Point>> = panel.turned_paper.iter().map(|t| t.flatten(CHORD)).collect();
    // The smallest first: what is shared with them is soon small.
    let kinds = [
        (areas(LayerKind::Patch), thick(LayerKind::Patch)),
        (areas(LayerKind::PaperPatch), thick(LayerKind::PaperPatch)),
        (turned, thick(LayerKind::TurnIn)),
        (papers, thick(LayerKind::PaperTurnIn)),
        (areas(LayerKind::Liner), thick(LayerKind::Liner)),
        (areas(LayerKind::HingeStrip), thick(LayerKind::HingeStrip)),
        (areas(LayerKind::LinerFold), thick(LayerKind::LinerFold)),
    ];
    let picked = |pick: u8| kinds.iter().enumerate().filter(move |(k, _)| pick >> k & 1 == 1).map(|(_, kind)| kind);
    // The thickest first: mostly that is it.
    let mut picks: Vec<(f64, u8)> = (1..128).map(|pick| (picked(pick).map(|k| k.1).sum(), pick)).collect();
    picks.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut found = [None; N];
    for (thick, pick) in picks {
        if found.iter().all(Option::is_some) {
            break;
        }
        let mut of_pick = picked(pick).map(|k| &k.0);
        let Some(first) = of_pick.next() else { continue };
        let rest: Vec<&Vec<Vec<Point>>> = of_pick.collect();
        // Mostly the first few areas decide: those after them are not asked.
        let mut little: [Vec<Vec<Point>>; N] = std::array::from_fn(|_| Vec::new());
        for area in first {
            let here = rest.iter().fold(vec![area.clone()], |here, areas| shared(&here, areas));
            for k in 0..N {
                if found[k].is_none() && is_much(&here, within[k], &mut little[k]) {
                    found[k] = Some(thick);
                }
            }
            if found.iter().all(Option::is_some) {
                break;
            }
        }
        for (found, little) in found.iter_mut().zip(&little).filter(|(found, _)| found.is_none()) {
            *found = is_much_together(little).then_some(thick);
        }
    }
    found.map(|thick| mm(thick.unwrap_or(0.0)))
}

/// What each of some rings shares with each of others.
fn shared(some: &[Vec<Point>], others: &[Vec<Point>]) -> Vec<Vec<Point>> {
    let bounds = |ring: &Vec<Point>| Bounds::of(ring.iter().copied());
    let others: Vec<(Bounds, &Vec<Point>)> = others.iter().map(|ring| (bounds(ring), ring)).collect();
    let of_one = |a: &Vec<Point>| -> Vec<Vec<Point>> {
        let own = bounds(a);
        let near = others.iter().filter(|(b, _)| b.overlaps(own, 0.0));
        near.flat_map(|(_, b)| areas_shared(a, b)).collect()
    };
    some.iter().flat_map(of_one).collect()
}

/// Whether one of some areas has more than a little within some rings; what little they have is added to `all`.
fn is_much(areas: &[Vec<Point>], within: &[Vec<Point>], all: &mut Vec<Vec<Point>>) -> bool {
    for a in areas {
        let rings = shared(std::slice::from_ref(a), within);
        if rings.iter().map(|r| area(r)).sum::<f64>() > LITTLE {
            return true;
        }
        all.extend(rings);
    }
    false
}

/// Whether what many areas have a little of is more together. Areas of one layer may overlap: then they count once.
fn is_much_together(all: &[Vec<Point>]) -> bool {
    all.iter().map(|r| area(r)).sum::<f64>() > LITTLE && covered(all) > LITTLE
}
