//! The formulas that turn materials and contents into joints, steps and walls.
//!
//! With t, c, l the thicknesses of board, cloth and liner, e the ease, and D the interior depth,
//! for hinged boards:
//!
//! - a joint passes the board and the liner faces pressed into it, `te = t + 2 l`; its width is
//!   `g = te + e` (derived: a wall that folds up beside the base needs every layer between the two
//!   edges);
//! - a wall grows from tier to tier by what one lid adds, `s = t + 2 c + l`: turn-in, liner, board,
//!   cloth (common practice, no source: one board thickness where cloth and liner count as nothing);
//! - a wall is `D + n s + x` high, n the number of distinct lower tiers, and x what brings its top
//!   where the lid wants it: `2 t + 2 l + c` beside the base (flush with the lid's upper face),
//!   `c - 2 l` on the base.
//!
//! For folding board there is no joint: panels are measured from crease to crease on the board's
//! middle surface. The base is `t + 2 l` larger than the interior, half of that on each side, and a
//! wall is `D + t + 2 l + n (t + l)` high (derived: half a board below and half a board above the
//! interior, a liner on both). Crossed strips are that without a liner; the strip beneath passes
//! the other's base too.

use crate::job::{Construction, Job, Seat, Side};
use crate::units::{Length, mm};
use std::collections::BTreeMap;

/// What the formulas gave for one job.
#[derive(Clone, Debug, PartialEq)]
pub struct Measures {
    /// The gap between two hinged boards; zero where creases stand for joints.
    pub joint: Length,
    /// By how much walls grow from tier to tier.
    pub step: Length,
    /// What a wall has beyond the stack and the steps.
    pub wall_extra: Length,
    /// What it would be by the formula; the fit is reckoned from it.
    pub auto_wall_extra: Length,
    /// How far a flap's sides stay in from the interior.
    pub flap_inset: Length,
    /// The thickness that a joint must pass: the board and the liner faces pressed into it.
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
}

/// Room at each side of a flap beyond its cloth, so that it clears its neighbours' walls.
const FLAP_CLEARANCE: Length = mm(0.5);

/// The thicknesses of a job: board, cloth and liner, zero for a stock it does without.
pub fn thicknesses(job: &Job) -> (Length, Length, Length) {
    let of = |stock: &Option<crate::job::Stock>| stock.as_ref().map_or(Length::ZERO, |s| s.thickness);
    (job.board.thickness, of(&job.cloth), of(&job.liner))
}

/// The measures of a job.
pub fn measure(job: &Job) -> Measures {
    let (t, c, l) = thicknesses(job);
    let creased = t + l * 2.0;
    let (joint_thickness, joint, auto_step, auto_wall_extra, beyond) = match (job.build.construction, job.build.seat) {
        (Construction::HingedBoards, seat) => {
            let joint_thickness = t + l * 2.0;
            let joint = job.build.joint.unwrap_or(joint_thickness + job.build.ease);
            let (extra, beyond) = match seat {
                Seat::Beside => (t * 2.0 + l * 2.0 + c, Length::ZERO),
                Seat::OnBase => (c - l * 2.0, (t + l) * 2.0),
            };
            (joint_thickness, joint, t + c * 2.0 + l, extra, (beyond, beyond))
        }
        (Construction::CreasedBoard, _) => (Length::ZERO, Length::ZERO, t + l, creased, (creased, creased)),
        (Construction::CrossedStrips, _) => {
            let of = |strip: fn(&crate::job::Strips) -> &crate::job::Strip| {
                job.strips.as_ref().and_then(|s| strip(s).base_extra).unwrap_or(creased)
            };
            (Length::ZERO, Length::ZERO, t, creased, (of(|s| &s.width), of(|s| &s.height)))
        }
    };
    // What the construction has no use for is not taken from the job.
    let own = |written: Option<Length>| written.filter(|_| job.build.construction != Construction::CrossedStrips);
    let step = own(job.build.step).unwrap_or(auto_step);
    let wall_extra = own(job.build.wall_extra).unwrap_or(auto_wall_extra);
    let lower_tiers: BTreeMap<Side, u32> =
        job.flaps.iter().map(|(side, f)| (*side, lower_tiers(job, f.tier))).collect();
    let depth = job.contents.interior_depth();
    let mut walls = BTreeMap::new();
    let mut needed = BTreeMap::new();
    for (side, n) in &lower_tiers {
        let lids = step * f64::from(*n);
        let between = match &job.strips {
            Some(strips) if strips.is_outer(*side) => t,
            _ => Length::ZERO,
        };
        let own_extra = job.strips.as_ref().and_then(|s| s.at(*side).wall_extra(*side));
        needed.insert(*side, depth + auto_wall_extra + lids + between);
        walls.insert(*side, depth + own_extra.unwrap_or(wall_extra + lids + between));
    }
    Measures {
        joint,
        step,
        wall_extra,
        auto_wall_extra,
        flap_inset: job.build.flap_inset.unwrap_or(c + FLAP_CLEARANCE),
        joint_thickness,
        base_width: job.contents.interior_width() + beyond.0,
        base_height: job.contents.interior_height() + beyond.1,
        walls,
        needed,
        lower_tiers,
    }
}

/// How many distinct tiers lie below this one.
fn lower_tiers(job: &Job, tier: u32) -> u32 {
    let mut below: Vec<u32> = job.flaps.values().map(|f| f.tier).filter(|t| *t < tier).collect();
    below.sort_unstable();
    below.dedup();
    below.len() as u32
}
