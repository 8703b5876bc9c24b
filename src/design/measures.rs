//! The formulas that turn materials and contents into joints, steps and walls.
//!
//! With t, c, l the thicknesses of board, cloth and liner, e the ease, and D the interior depth:
//!
//! - a joint passes the board and the liner faces pressed into it, `te = t + 2 l`; its width is
//!   `g = te + e` (derived: a wall that folds up beside the base needs every layer between the two
//!   edges);
//! - a wall grows from tier to tier by what one lid adds, `s = t + 2 c + l`: turn-in, liner, board,
//!   cloth (common practice, no source: one board thickness where cloth and liner count as nothing);
//! - a wall is `D + n s + x` high, n the number of distinct lower tiers, and x what brings its top
//!   where the lid wants it: `2 t + 2 l + c` beside the base (flush with the lid's upper face),
//!   `c - 2 l` on the base.

use crate::job::{Job, Seat, Side};
use crate::units::{Length, mm};
use std::collections::BTreeMap;

/// What the formulas gave for one job.
#[derive(Clone, Debug, PartialEq)]
pub struct Measures {
    /// The gap between two hinged boards.
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

/// The measures of a job of hinged boards.
pub fn measure(job: &Job) -> Measures {
    let (t, c, l) = thicknesses(job);
    let (width, height) = (job.contents.interior_width(), job.contents.interior_height());
    let joint_thickness = t + l * 2.0;
    let joint = job.build.joint.unwrap_or(joint_thickness + job.build.ease);
    let step = job.build.step.unwrap_or(t + c * 2.0 + l);
    let (auto_wall_extra, beyond) = match job.build.seat {
        Seat::Beside => (t * 2.0 + l * 2.0 + c, Length::ZERO),
        Seat::OnBase => (c - l * 2.0, (t + l) * 2.0),
    };
    let wall_extra = job.build.wall_extra.unwrap_or(auto_wall_extra);
    let lower_tiers: BTreeMap<Side, u32> =
        job.flaps.iter().map(|(side, f)| (*side, lower_tiers(job, f.tier))).collect();
    let walls = lower_tiers
        .iter()
        .map(|(side, n)| (*side, job.contents.interior_depth() + step * f64::from(*n) + wall_extra))
        .collect();
    Measures {
        joint,
        step,
        wall_extra,
        auto_wall_extra,
        flap_inset: job.build.flap_inset.unwrap_or(c + FLAP_CLEARANCE),
        joint_thickness,
        base_width: width + beyond,
        base_height: height + beyond,
        walls,
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
