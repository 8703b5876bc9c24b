//! The formulas that turn materials and contents into joints, steps and walls.
//!
//! With t, c, l the thicknesses of board, cloth and liner, e the ease, and D the interior depth,
//! for hinged boards:
//!
//! - a joint passes the board that stands in it and the layers on both faces: where turn-in and liner lie
//!   on both, `te = t + 2 l + 2 c`; its width is `g = te + e` (derived: every layer between the
//!   two edges of a wall that folds up beside the base). Where two walls meet at a corner, each
//!   end's turn-in and patch come to lie against the other's: `g >= t + 4 c` (derived);
//! - on the base a liner pressed into the joint lies double between the base's edge and the cloth:
//!   `te = t + 2 c + 4 l` (derived);
//! - a patch adds a cloth where it lies, and layers on two boards add up only where they meet: once a box is
//!   laid out, both are counted place by place ([`super::lying`]), and the box is laid out anew;
//! - a wall grows from tier to tier by what one lid adds, `s = t + 2 c + l`: turn-in, liner, board,
//!   cloth (common practice, no source: one board thickness where cloth and liner count as nothing);
//! - a wall is `D + n s + x` high, n the number of distinct lower tiers, and x what brings its top
//!   where the lid wants it: `2 t + 2 l + c` beside the base (flush with the lid's upper face). On
//!   the base it stands on layers of thickness f, and under others of thickness p between its top and the lid:
//!   `x = 2 l + c - f - p` (derived);
//! - where more or less than a turn-in and a liner lies under a lid, over the stack or over the lids beneath, the
//!   wall is higher or lower by it (derived);
//! - walls on the base leave the interior free of their liner and of turn-in and patch at their ends: the
//!   base is `t + l + 2 c` larger on each side (derived);
//! - where hinge strips line the joints, a strip's cloth stands for the liner in them: `te = t + 4 c`, on the base
//!   `t + 6 c`. Their laps lie under the linings: a wall beside the base keeps its thickest lining out of the
//!   interior, `te >= t + w`, w all that lies on its face; on the base it is `t + l + 3 c` in. Under the stack the laps
//!   raise the floor by c (derived);
//! - edges of a lining that are folded under lie double: a liner's thickness more in the joints' ends, on the faces of
//!   walls, and under the rim of the stack (derived).
//!
//! For folding board there is no joint: panels are measured from crease to crease on the board's
//! middle surface. The base is `t + 2 l` larger than the interior, half of that on each side, and a
//! wall is `D + t + 2 l + n (t + l)` high (derived: half a board below and half a board above the
//! interior, a liner on both). A fold of two creases cuts the corner between base and wall; the base
//! is wider by what it takes: [`super::crease::corner_loss`]. Crossed strips are that without a liner; the
//! strip beneath passes the other's base too.

use super::meeting::Under;
use super::tolerance::{auto_ease, cut_clearance};
use crate::job::{Job, Seat, Side, SideOn};
use crate::units::{Length, mm};
use serde::Serialize;
use std::collections::BTreeMap;

/// What the formulas gave for one job.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Measures {
    /// The gap between two hinged boards; zero where creases stand for joints.
    pub joint: Length,
    /// By how much walls grow from tier to tier.
    pub step: Length,
    /// What a wall has beyond the stack and the steps, where the job says; else by the formula.
    pub wall_extra: Length,
    /// How far a flap's sides stay in from the interior.
    pub flap_inset: Length,
    /// Room in a joint beyond what it must pass.
    pub ease: Length,
    /// What a joint must pass: the board and every layer that lies in it.
    pub joint_thickness: Length,
    /// The base, across.
    pub base_width: Length,
    /// The base, up.
    pub base_height: Length,
    /// Wall heights by side.
    pub walls: BTreeMap<Side, Length>,
    /// How high each wall must be, without rising, for its lid to lie on what is beneath.
    pub needed: BTreeMap<Side, Length>,
    /// How many distinct lower tiers lie under each side's flap.
    pub lower_tiers: BTreeMap<Side, u32>,
    /// How thick what lies under the foot of each wall is, where walls stand on the base.
    pub feet: BTreeMap<Side, Length>,
    /// How thick what lies between each wall and its lid is.
    pub tops: BTreeMap<Side, Length>,
    /// How far each lid reaches: as the job says, or a little less where it would meet the wall across.
    pub reach: BTreeMap<Side, Length>,
}

impl Measures {
    /// As these, but no joint narrower, no wall lower and no lid wider than in any of the others; and no lid lies
    /// higher over what it needs than those above it do.
    pub(super) fn at_least<'a>(mut self, others: impl Iterator<Item = &'a Self> + Clone) -> Self {
        for other in others.clone() {
            self.joint = self.joint.max(other.joint);
            self.flap_inset = self.flap_inset.max(other.flap_inset);
            for (side, reach) in &mut self.reach {
                *reach = reach.min(other.reach.get(side).copied().unwrap_or(*reach));
            }
        }
        let own = self.walls.clone();
        let mut sides: Vec<(u32, Side)> = self.lower_tiers.iter().map(|(side, n)| (*n, *side)).collect();
        sides.sort_unstable();
        let mut beyond: Vec<(u32, Length)> = Vec::new();
        for (n, side) in sides {
            let of = |m: &Self| m.walls.get(&side).copied();
            let all = || others.clone().filter_map(of).chain(own.get(&side).copied());
            let (Some(least), Some(most)) = (all().reduce(Length::min), all().reduce(Length::max)) else { continue };
            let below = beyond.iter().filter(|(m, _)| *m < n).map(|b| b.1).reduce(Length::max).unwrap_or_default();
            beyond.push((n, most + below - least));
            self.walls.insert(side, most + below);
        }
        self
    }

    /// By how much each wall is higher than its lid needs; below zero it is too low by that.
    pub fn play(&self) -> BTreeMap<Side, Length> {
        let needed = |side: &Side| self.needed.get(side).copied().unwrap_or_default();
        self.walls.iter().map(|(side, wall)| (*side, *wall - needed(side))).collect()
    }

    /// What these need, made as wide and as high as the other.
    pub(super) fn made_as(self, other: &Self) -> Self {
        let (walls, reach) = (other.walls.clone(), other.reach.clone());
        Self { joint: other.joint, flap_inset: other.flap_inset, walls, reach, ..self }
    }
}

/// Room at each side of a flap beyond its cloth, so that it clears its neighbours' walls (our choice:
/// a millimetre in all is what a hand's cut may be out).
const FLAP_CLEARANCE: Length = mm(0.5);

/// The thicknesses of a job: board, cloth and liner on the boards, zero for a stock it does without.
pub fn thicknesses(job: &Job) -> (Length, Length, Length) {
    let of = |stock: &Option<crate::job::Stock>| stock.as_ref().map_or(Length::ZERO, |s| s.thickness);
    // The case of a box of trays is not lined: the trays stand on it.
    let liner = if job.within().is_some() { Length::ZERO } else { of(&job.liner) };
    (job.board.thickness, of(&job.cloth), liner)
}

/// Whether boards of the body that is worked are covered by part: of a case its covers, else lids.
pub(super) fn are_sides(job: &Job) -> bool {
    let is_case = job.within().is_some();
    job.sides.keys().any(|on| matches!(on, SideOn::Lid(_)) != is_case)
}

/// How thick the paper of its sides is; zero where it has none.
pub fn paper(job: &Job) -> Length {
    job.paper.as_ref().filter(|_| are_sides(job)).map_or(Length::ZERO, |p| p.thickness)
}

/// How thick what is turned in onto a cover is where most of it lies: the cloth, and where the paper laps over it both.
pub(super) fn turned_onto(job: &Job, on: SideOn) -> Length {
    thicknesses(job).1 + if job.sides.contains_key(&on) { paper(job) } else { Length::ZERO }
}

/// How far the lining of a portfolio's spine lies on either cover, mm (from memory: an inch or so).
pub(super) const ON_COVER: f64 = 20.0;

/// What a construction gives for a job, before what the job gives outright.
pub(super) struct Auto {
    /// What a joint must pass; zero for creases.
    pub(super) joint_thickness: Length,
    /// The joint by the formulas.
    pub(super) joint: Length,
    /// The ease in it.
    pub(super) ease: Length,
    /// By how much walls grow from tier to tier.
    pub(super) step: Length,
    /// What each side's wall has beyond the interior depth and the steps.
    pub(super) extra: BTreeMap<Side, Length>,
    /// What the base has beyond the interior, across and up.
    pub(super) beyond: (Length, Length),
    /// How thick what lies under the foot of each wall is, where walls stand on the base.
    pub(super) feet: BTreeMap<Side, Length>,
    /// How thick what lies between each wall and its lid is, likewise.
    pub(super) tops: BTreeMap<Side, Length>,
    /// What lies under each lid's board, where that is known.
    pub(super) lids: BTreeMap<Side, Under>,
    /// Whether a patch goes round the side of a lid.
    pub(super) is_at_lid: bool,
}

impl Auto {
    /// Of a box whose layout is one board alone, from which nothing is hinged: `base` across and up, where that is known.
    pub(super) fn unhinged(job: &Job, base: Option<[Length; 2]>) -> Self {
        let interior = [job.contents.interior_width(), job.contents.interior_height()];
        let base = base.unwrap_or(interior);
        Self {
            joint_thickness: Length::ZERO,
            joint: Length::ZERO,
            ease: Length::ZERO,
            step: Length::ZERO,
            extra: BTreeMap::new(),
            beyond: (base[0] - interior[0], base[1] - interior[1]),
            feet: BTreeMap::new(),
            tops: BTreeMap::new(),
            lids: BTreeMap::new(),
            is_at_lid: false,
        }
    }
}

/// The flap inset that a job asks for or that follows from its cloth. Beside walls that stand on the base
/// there is no joint whose width would give a lid more room: there the inset takes the errors of cutting.
pub(super) fn flap_inset(job: &Job, is_at_lid: bool) -> Length {
    // At its sides a lid that is covered by part has the lap of paper over cloth.
    let cloth = thicknesses(job).1 + if job.within().is_some() { Length::ZERO } else { paper(job) };
    let clearance = if job.build.construction.terms().is_hinged && job.build.seat == Seat::OnBase {
        // A patch that goes round a lid's side lies double there.
        FLAP_CLEARANCE.max(cut_clearance(job)) + if is_at_lid { thicknesses(job).1 } else { Length::ZERO }
    } else {
        FLAP_CLEARANCE
    };
    job.build.flap_inset.unwrap_or(cloth + clearance)
}

/// How far beyond the interior a lid's hinge lies, over its wall.
pub fn over_wall(job: &Job) -> Length {
    let (t, c, l) = thicknesses(job);
    if job.build.construction.terms().is_hinged && job.build.seat == Seat::OnBase {
        t + l + c * 2.0 + job.strip() + job.folded()
    } else {
        Length::ZERO
    }
}

/// The measures of a job for which its construction gives these.
pub(super) fn measured(job: &Job, auto: Auto) -> Measures {
    let terms = job.build.construction.terms();
    // What the construction has no use for is not taken from the job.
    let own = |key: &str, written: Option<Length>| written.filter(|_| !terms.unused.contains(&key));
    let joint = own("joint", job.build.joint).unwrap_or(auto.joint);
    let step = own("step", job.build.step).unwrap_or(auto.step);
    let given_extra = own("wall_extra", job.build.wall_extra);
    let lower_tiers: BTreeMap<Side, u32> =
        job.flaps.iter().map(|(side, f)| (*side, lower_tiers(job, f.tier))).collect();
    let depth = job.contents.interior_depth();
    let rests = rests(job, &auto.lids, &lower_tiers);
    let (mut walls, mut needed) = (BTreeMap::new(), BTreeMap::new());
    for (side, n) in &lower_tiers {
        let auto_extra = auto.extra.get(side).copied().unwrap_or_default();
        let extra = given_extra.unwrap_or(auto_extra);
        let own_extra = job.strips.as_ref().and_then(|s| s.at(*side).wall_extra(*side));
        // What truly lies beneath, whatever step the job gives, and by how much that is not what the tiers alone give.
        let plain = depth + auto_extra + auto.step * f64::from(*n);
        let more = rests.get(side).copied().unwrap_or_default();
        needed.insert(*side, plain + more);
        let more = if given_extra.is_none() { more } else { Length::ZERO };
        walls.insert(*side, depth + own_extra.unwrap_or(extra + step * f64::from(*n) + more));
    }
    let flap_inset = flap_inset(job, auto.is_at_lid);
    let reach = job.flaps.keys().map(|side| (*side, reach(job, *side, flap_inset, &lower_tiers))).collect();
    let first = auto.extra.values().next().copied().unwrap_or_default();
    Measures {
        joint,
        step,
        wall_extra: given_extra.unwrap_or(first),
        flap_inset,
        ease: auto.ease,
        joint_thickness: auto.joint_thickness,
        base_width: job.contents.interior_width() + auto.beyond.0,
        base_height: job.contents.interior_height() + auto.beyond.1,
        walls,
        needed,
        lower_tiers,
        feet: auto.feet,
        tops: auto.tops,
        reach,
    }
}

/// How far a lid reaches: as the job says, but no nearer to a wall that stands higher across from it
/// than its sides are to the walls beside it.
fn reach(job: &Job, side: Side, inset: Length, lower_tiers: &BTreeMap<Side, u32>) -> Length {
    let Some(flap) = job.flaps.get(&side) else { return Length::ZERO };
    let tier = |side: Side| lower_tiers.get(&side).copied();
    let is_drawn = matches!(flap.shape, crate::job::FlapShape::Outline(_));
    if is_drawn || !job.build.construction.terms().is_hinged || tier(side.opposite()) <= tier(side) {
        return flap.reach;
    }
    flap.reach.min(job.contents.along(side) + over_wall(job) - inset)
}

/// The joint that the formulas give where it must pass `joint_thickness`, and the ease in it. Walls that
/// meet at a corner want four layers of cloth there.
pub(super) fn joint(job: &Job, joint_thickness: Length) -> (Length, Length) {
    let (t, c, _) = thicknesses(job);
    let ease = job.build.ease.unwrap_or_else(|| auto_ease(job));
    let meets = |side: &Side| Side::ALL.iter().any(|s| s != side && *s != side.opposite() && job.flaps.contains_key(s));
    let corner = if job.flaps.keys().any(meets) { t + c * 4.0 } else { Length::ZERO };
    ((joint_thickness + ease).max(corner), ease)
}

/// The same extra for every wall.
pub(super) fn alike(job: &Job, extra: Length) -> BTreeMap<Side, Length> {
    job.flaps.keys().map(|side| (*side, extra)).collect()
}

/// By how much each lid rests higher than its tier alone would bring it, from what is glued under it and under
/// those beneath: below the first of all a cloth and a liner are looked for, below each other the same.
fn rests(job: &Job, lids: &BTreeMap<Side, Under>, lower_tiers: &BTreeMap<Side, u32>) -> BTreeMap<Side, Length> {
    let (t, c, l) = thicknesses(job);
    let (plain, step) = (c + l, t + c * 2.0 + l);
    let mut sides: Vec<(u32, Side)> = lower_tiers.iter().map(|(side, n)| (*n, *side)).collect();
    sides.sort_unstable();
    let mut found: BTreeMap<Side, Length> = BTreeMap::new();
    for (n, side) in &sides {
        let Some(under) = lids.get(side) else { continue };
        // From where it would lie on the stack with a cloth and a liner under it.
        let on_stack = under.stack.map(|thick| thick - plain);
        let beneath = sides.iter().filter(|(m, _)| m < n);
        let on_lids = beneath
            .filter_map(|(m, other)| Some(*found.get(other)? + step * f64::from(*m) + step + under.most - plain));
        let rests = on_lids.chain(on_stack).reduce(Length::max).unwrap_or_default();
        let beyond = if on_stack.is_none() && *n == 0 { Length::ZERO } else { rests - step * f64::from(*n) };
        found.insert(*side, beyond);
    }
    found
}

/// How many distinct tiers lie below this one.
fn lower_tiers(job: &Job, tier: u32) -> u32 {
    let mut below: Vec<u32> = job.flaps.values().map(|f| f.tier).filter(|t| *t < tier).collect();
    below.sort_unstable();
    below.dedup();
    below.len() as u32
}
