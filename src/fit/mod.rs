//! Does it close, does the stack go in.
//!
//! A wall in a joint wider than the layers it must pass can rise: beside the base by
//! `r = sqrt(g^2 - te^2)` (derived: the cloth across the joint, of length g, then runs aslant over
//! te), on the base by `g - te`. A lid rises twice, at its wall's foot and at its own hinge; the
//! play of a lid is what that leaves beyond what the stack and the lids beneath need. A crease does
//! not give: folding board has no rise, and its play is what its walls have beyond that need.

mod bill;
mod closed;
mod folded;
mod strap;

pub use bill::{Bill, Material, bill};
pub use closed::{Solid, solids};
pub use strap::StrapFigures;

use crate::design::{Design, Flat, Measures, thicknesses};
use crate::diag::{Diagnostic, any_error};
use crate::job::{Construction, Job, Seat, Side};
use crate::units::{Length, mm};
use std::collections::BTreeMap;

/// The figures of a closed box.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// Width, height and depth for the contents.
    pub interior: [Length; 3],
    /// Width, height and depth outside, cloth included.
    pub exterior: [Length; 3],
    /// By how much a joint lets a wall or a lid rise.
    pub rise: Length,
    /// The shallowest and the deepest stack, as measured, that the box closes round: with less it
    /// is loose, with more it does not close even where no clearance is left. `None` where no stack fits.
    pub depths: Option<(Length, Length)>,
    /// The play of each side's lid.
    pub play: BTreeMap<Side, Length>,
    /// The length to cut the elastic to.
    pub strap_length: Option<Length>,
    /// All of the straps' figures.
    pub strap: Option<StrapFigures>,
}

/// The figures of the closed box, and whatever keeps it from closing.
pub fn fit(job: &Job, design: &Design) -> (Fit, Vec<Diagnostic>) {
    let m = &design.measures;
    let (t, c, l) = thicknesses(job);
    let contents = &job.contents;
    let interior = [contents.interior_width(), contents.interior_height(), contents.interior_depth()];
    let mut diagnostics = Vec::new();
    let rise = rise(job, m);
    if m.joint < m.joint_thickness {
        diagnostics.push(joint_clash(job, m));
    }
    let mut play = BTreeMap::new();
    for (side, wall) in &m.walls {
        let spare = *wall + rise * 2.0 - m.needed.get(side).copied().unwrap_or_default();
        if m.joint >= m.joint_thickness {
            diagnostics.extend(judge_play(job, m, *side, spare, t));
        }
        play.insert(*side, spare);
    }
    let roomy = t * 2.0 + m.step;
    let least = play.values().copied().fold(None, |a: Option<Length>, p| Some(a.map_or(p, |a| a.min(p))));
    let most = play.values().copied().fold(Length::ZERO, Length::max);
    // Every lid's play falls by what the stack grows; the deepest that goes in has used up the
    // clearance as well.
    let depths = least.filter(|_| m.joint >= m.joint_thickness).and_then(|least| {
        let (from, to) = ((contents.depth + most - roomy).max(Length::ZERO), interior[2] + least);
        (to > Length::ZERO && from <= to).then_some((from, to))
    });
    if let Some(flat) = &design.flat {
        let all = solids(job, m, flat, rise);
        // A joint that clashes or a stack that does not fit is told once, above.
        if !any_error(&diagnostics) {
            diagnostics.extend(closed::collisions(job, &all));
        }
        diagnostics.extend(closed::remarks(job, &all));
        diagnostics.extend(strap::remarks(job, m, &all));
    }
    let exterior = match (&design.flat, job.build.construction) {
        (Some(flat), Construction::CreasedBoard | Construction::CrossedStrips) => folded_exterior(job, m, flat),
        _ => exterior(job, m, t, c, l),
    };
    let strap = strap::figures(job, m, exterior);
    let strap_length = strap.as_ref().map(|s| s.length);
    (Fit { interior, exterior, rise, play, depths, strap_length, strap }, diagnostics)
}

fn rise(job: &Job, m: &Measures) -> Length {
    let (g, te) = (m.joint.to_mm(), m.joint_thickness.to_mm());
    if job.build.construction != Construction::HingedBoards {
        return Length::ZERO;
    }
    match job.build.seat {
        Seat::Beside => mm((g * g - te * te).max(0.0).sqrt()),
        Seat::OnBase => mm((g - te).max(0.0)),
    }
}

/// The outside of the closed box: beside the base a wall stands off by the joint; over the base
/// lie the stack, the lids and their linings, and cloth below, between and above.
fn exterior(job: &Job, m: &Measures, t: Length, c: Length, l: Length) -> [Length; 3] {
    let beyond = |side| match job.build.seat {
        Seat::Beside if job.flaps.contains_key(&side) => m.joint + c,
        _ => c,
    };
    let lids = f64::from(m.lower_tiers.values().copied().max().unwrap_or_default());
    [
        m.base_width + beyond(Side::Left) + beyond(Side::Right),
        m.base_height + beyond(Side::Head) + beyond(Side::Tail),
        job.contents.interior_depth() + m.step * lids + t * 2.0 + l * 2.0 + c * 3.0,
    ]
}

/// The outside of a closed box of folding board: what all its panels span.
fn folded_exterior(job: &Job, m: &Measures, flat: &Flat) -> [Length; 3] {
    let all = solids(job, m, flat, Length::ZERO);
    let mut boards = all.iter().filter(|s| s.name != "stack");
    let Some(first) = boards.next() else { return [Length::ZERO; 3] };
    let (mut plan, mut bottom, mut top) = (first.footprint.bounds(), first.bottom, first.top);
    for s in boards {
        plan = plan.union(s.footprint.bounds());
        (bottom, top) = (bottom.min(s.bottom), top.max(s.top));
    }
    [mm(plan.width()), mm(plan.height()), mm(top - bottom)]
}

fn joint_clash(job: &Job, m: &Measures) -> Diagnostic {
    let show = |length| job.units.show(length);
    Diagnostic::error(
        "joint-clash",
        format!(
            "the boards clash: a joint of {} must pass {} (the board and the liner pressed into it)",
            show(m.joint),
            show(m.joint_thickness)
        ),
    )
    .at("box.joint")
    .help(format!("make the joint at least {}, or leave it \"auto\"", show(m.joint_thickness + job.build.ease)))
}

fn judge_play(job: &Job, m: &Measures, side: Side, play: Length, t: Length) -> Option<Diagnostic> {
    let show = |length| job.units.show(length);
    let roomy = t * 2.0 + m.step;
    let is_hinged = job.build.construction == Construction::HingedBoards;
    let key = match job.build.wall_extra {
        None if is_hinged => "box.joint".to_owned(),
        _ => job.wall_key(side),
    };
    // What the wall has now, by the key that the maker would change.
    let wall_key = job.wall_key(side);
    let extra = match job.strips {
        None => m.wall_extra,
        Some(_) => m.walls.get(&side).copied().unwrap_or_default() - job.contents.interior_depth(),
    };
    // Rounding must not turn a play of exactly nothing into a failure.
    if play < mm(-1e-9) {
        let message = format!("the stack does not fit under the {} lid: {} short", side.word(), show(-play));
        let d = Diagnostic::error("stack-too-deep", message).at(key);
        return Some(d.help(format!("raise {wall_key} to {} or more", show(extra - play))));
    }
    (play > roomy).then(|| {
        let message = format!("the {} lid is loose: {} of play, over {}", side.word(), show(play), show(roomy));
        Diagnostic::warning("loose-lid", message).at(key).help(format!(
            "lower {wall_key} to {}{}",
            show(extra - (play - roomy)),
            if is_hinged { ", or narrow the joint" } else { "" }
        ))
    })
}
