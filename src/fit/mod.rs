//! Does it close, how surely, and what is seen inside.
//!
//! Everything is asked of the assembly: the boards with all that is glued on them, closed, open and on
//! the way. Three depths are told apart. A lid *lies flat*, no joint strained, where its wall is as high
//! as what is beneath wants. A wall in a joint wider than what it must pass can rise besides, at its foot
//! and at its lid: by so much a strap may *press shut* a fuller box. Under a stack much thinner than the
//! box was made for, the works *slide about*. A crease does not give.

mod bill;
mod closed;
mod inside;
mod magnets;
mod mend;
mod open;
mod portfolio;
mod share;
mod slipcase;
mod strap;
mod ties;
mod trays;
mod window;

pub use bill::{Bill, Material, bill};
pub use closed::{Solid, solids};
pub use inside::{InsideFigures, PaddingFigures, RibbonFigures, ThingFigures, told as told_inside};
pub use magnets::{GapLayer, MagnetFigures};
pub use open::bare;
pub use portfolio::case_in_words;
pub use share::{Closing, Failing, Mend, Risk, closing, closing_by_marks, odds, told_failing};
pub use slipcase::mouth_in_words;
pub use strap::{StrapFigures, path as strap_path};
pub use ties::{PegFigures, TieFigures, TieWay, tie_ways, tied_lid};

use crate::assembly::Assembly;
use crate::design::{Design, Measures, elastic_proud, outer, span, told_of_case};
use crate::diag::{Diagnostic, any_error, listed, untold};
use crate::job::{Job, Seat, Side};
use crate::units::{Length, mm};
use serde::Serialize;
use std::collections::BTreeMap;

/// The figures of a closed box.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Fit {
    /// Width, height and depth for the contents.
    pub interior: [Length; 3],
    /// Width, height and depth outside, everything that is glued on counted.
    pub exterior: [Length; 3],
    /// By how much a joint lets a wall or a lid rise.
    pub rise: Length,
    /// The depths of stack, as measured, that the box holds.
    pub depths: Depths,
    /// What each side's wall has beyond what lies beneath its lid, no joint strained; below zero it is too
    /// low by that, and its joints must make it up.
    pub play: BTreeMap<Side, Length>,
    /// The length to cut the elastic to.
    pub strap_length: Option<Length>,
    /// All of the straps' figures.
    pub strap: Option<StrapFigures>,
    /// The ribbon ties, lid by lid.
    pub ties: Vec<TieFigures>,
    /// The magnets, lid by lid.
    pub magnets: Vec<MagnetFigures>,
    /// What lies inside besides one stack.
    pub inside: Option<InsideFigures>,
    /// How surely it closes.
    pub closing: Closing,
    /// The inner faces on which board is bare in the open box, each with its area in mm2.
    pub bare: Vec<(String, f64)>,
}

/// Which stacks a box holds, by their depth.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Depths {
    /// Up to this every lid lies flat and no joint is strained.
    pub flat: Length,
    /// Up to this a strap or a hand can press the lids shut, by what the joints give.
    pub pressed: Length,
    /// With less than this the works have a board's thickness more room than their clearance (our choice)
    /// and slide about.
    pub slides: Length,
}

impl Depths {
    /// The depths in words, each with its name and what it means: up to which lids lie flat, how much
    /// more can be pressed shut, below which works slide about.
    pub fn in_words(&self, job: &Job) -> Vec<(&'static str, String, &'static str)> {
        let unit = job.units;
        let (what, means) = match job.slipcase {
            Some(_) => ("holds", "it slides in past the cloth at the mouth"),
            None if job.is_for_loose_sheets() => ("lies flat", "the front cover level, no joint strained"),
            None => ("lies flat", "every lid level, no joint strained"),
        };
        let mut all = vec![(what, format!("up to a stack {} deep", unit.show(self.flat)), means)];
        let more = self.pressed - self.flat;
        if more > mm(0.05) {
            all.push(("presses shut", format!("up to {} more", unit.show(more)), "by what the joints give"));
        }
        if self.slides > Length::ZERO {
            let value = format!("a stack less than {} deep", unit.show(self.slides));
            all.push(("slides about", value, "the works have too much room"));
        }
        all
    }
}

/// The figures of the closed box, and whatever keeps it from closing.
pub fn fit(job: &Job, design: &Design) -> (Fit, Vec<Diagnostic>) {
    let job = &*outer(job);
    let m = &design.measures;
    let contents = &job.contents;
    let interior = [contents.interior_width(), contents.interior_height(), contents.interior_depth()];
    let mut said = Vec::new();
    let rise = rise(job, m);
    let is_clashing = m.joint < m.joint_thickness - mm(1e-9);
    if is_clashing {
        said.push(joint_clash(job, m));
    }
    let play = m.play();
    if !is_clashing {
        said.extend(judge_walls(job, m, &play, rise * 2.0));
    }
    let least = play.values().copied().reduce(Length::min).unwrap_or_default();
    // The stack lies on the strap's glued ends where they stand up.
    let flat = (interior[2] + least - elastic_proud(job)).max(Length::ZERO);
    let depths = Depths {
        flat,
        pressed: (flat + rise * 2.0).max(Length::ZERO),
        slides: (flat - contents.clearance.depth - job.board.thickness).max(Length::ZERO),
    };
    let assembly = &design.assembly;
    let (mut bare, mut surely) = (Vec::new(), None);
    if design.flat.is_some() {
        let all = solids(job, assembly);
        // A joint that clashes or a stack that does not fit is told once, above.
        if !any_error(&said) {
            let boards = closed::dressed(job, assembly);
            said.extend(closed::collisions(job, design, &boards));
            said.extend(closed::scrapes(job, design, &boards));
        }
        // What cannot be divided goes first.
        (surely, bare) = rayon::join(|| Some(closing(job, design)), || open::bare(job, assembly));
        said.extend(open::judge(job, &bare));
        if job.build.construction.terms().has_lids() {
            said.extend(closed::remarks(job, &all));
        }
        said.extend(strap::remarks(job, design, &all));
        said.extend(ties::remarks(job, design, &all));
        said.extend(window::remarks(job, design, &all));
    }
    let exterior = exterior(job, assembly);
    let strap = strap::figures(job, design);
    let strap_length = strap.as_ref().map(|s| s.length);
    let (ties, magnets) = (ties::figures(job, design), magnets::figures(job, design));
    let closing = surely.unwrap_or_else(|| closing(job, design));
    let inside = inside::figures(job, design);
    let mut fit =
        Fit { interior, exterior, rise, depths, play, strap_length, strap, ties, magnets, inside, closing, bare };
    if job.within().is_some() && !any_error(&said) {
        said.extend(trays::within(&mut fit, job, design));
    }
    let of_case = portfolio::of_case(&mut fit, job, design);
    // What is said of a wrapper and of its case alike is told once.
    let of_case = untold(&said, of_case);
    said.extend(of_case);
    if let Some(inside) = &job.inside {
        // Depths are told of the stack alone, where several stand of that of the highest column.
        let stack = |depth: Length| (depth - inside.besides()).max(Length::ZERO);
        let Depths { flat, pressed, slides } = fit.depths;
        fit.depths = Depths { flat: stack(flat), pressed: stack(pressed), slides: stack(slides) };
    }
    if !any_error(&said) {
        said.extend(unsure(job, &fit.closing));
    }
    let said = said.into_iter().map(|d| told_of_case(job, d)).collect();
    (fit, said)
}

fn rise(job: &Job, m: &Measures) -> Length {
    let (g, te) = (m.joint.to_mm(), m.joint_thickness.to_mm());
    match job.build.seat {
        _ if !job.build.construction.terms().is_hinged => Length::ZERO,
        Seat::Beside => mm((g * g - te * te).max(0.0).sqrt()),
        Seat::OnBase => mm((g - te).max(0.0)),
    }
}

/// What the closed box spans.
fn exterior(job: &Job, assembly: &Assembly) -> [Length; 3] {
    let Some([low, high]) = span(job, assembly) else { return [Length::ZERO; 3] };
    [0, 1, 2].map(|i| mm(high[i] - low[i]))
}

fn joint_clash(job: &Job, m: &Measures) -> Diagnostic {
    let show = |length| job.units.show(length);
    Diagnostic::error(
        "joint-clash",
        format!(
            "the joint binds: {} wide, it must pass {} (the board, turn-ins and liner on both sides of it)",
            show(m.joint),
            show(m.joint_thickness)
        ),
    )
    .at("box.joint")
    .help(format!("make the joint {} or more, or leave it \"auto\"", show(m.joint_thickness + m.ease)))
}

/// Walls that are too low, so that their joints must make it up or cannot, and walls that are too high.
fn judge_walls(job: &Job, m: &Measures, play: &BTreeMap<Side, Length>, gives: Length) -> Vec<Diagnostic> {
    let show = |length| job.units.show(length);
    let mut said = Vec::new();
    let lower = |side: &Side| m.lower_tiers.get(side).copied().unwrap_or_default();
    // What the wall has now, by the key that the maker would change.
    let extra = |side: &Side| {
        let wall = m.walls.get(side).copied().unwrap_or_default() - job.wall_from();
        if job.strips.is_some() { wall } else { wall - m.step * f64::from(lower(side)) }
    };
    let mut made_up: Vec<(Side, Length)> = Vec::new();
    for (side, play) in play {
        let lid = side.word();
        let key = job.wall_key(*side);
        // Rounding must not turn a play of exactly nothing into a failure.
        if *play + gives < mm(-1e-9) {
            let short = -(*play + gives);
            let message = format!("the stack does not fit under the {lid} lid: {} short", show(short));
            let d = Diagnostic::error("stack-too-deep", message).at(key.clone()).weighing(short.to_mm());
            said.push(d.help(format!("raise {key} to {} or more, or leave it \"auto\"", show(extra(side) - *play))));
        } else if *play < mm(-0.005) {
            made_up.push((*side, -*play));
        } else if *play > job.board.thickness + mm(1e-9) {
            let message =
                format!("the {lid} lid is loose: its wall is {} higher than what lies beneath wants", show(*play));
            let hint = format!("lower {key} to {}, or leave it \"auto\"", show(extra(side) - *play));
            said.push(Diagnostic::warning("loose-lid", message).at(key).help(hint).weighing(play.to_mm()));
        }
    }
    if let Some((worst, short)) = made_up.iter().copied().reduce(|a, b| if b.1 > a.1 { b } else { a }) {
        let names: Vec<&str> = made_up.iter().map(|(side, _)| side.word()).collect();
        let (walls, are) = if names.len() == 1 { ("wall", "is") } else { ("walls", "are") };
        let message = format!(
            "the {walls} at {} {are} too low by {}{}: the joints make it up by standing aslant, and could by {} at most",
            listed(&names),
            if names.len() == 1 { "" } else { "up to " },
            show(short),
            show(gives)
        );
        let key = job.wall_key(worst);
        let hint = format!(
            "recipes with wide joints do so; for lids that lie flat raise {key} to {}, or leave it \"auto\"",
            show(extra(&worst) + short)
        );
        said.push(Diagnostic::warning("low-walls", message).at(key).help(hint).weighing(short.to_mm()));
    }
    said
}

/// A box of which more than one in fifty would not close as it is dressed (our choice).
fn unsure(job: &Job, closing: &Closing) -> Option<Diagnostic> {
    let risk = closing.first.as_ref().filter(|_| closing.share < 0.98)?;
    let fails = told_failing(1.0 - closing.share);
    let message = format!("{fails} as dressed: first {}", risk.what.tell(risk.side));
    let d = Diagnostic::warning("closes-unsurely", message).weighing(1.0 - closing.share);
    Some(match &risk.mend {
        Some(mend) => {
            let value = job.units.show(mend.value);
            let then = odds(1.0 - mend.share);
            d.at(mend.key.clone()).help(format!("{} = {value} makes it {then}", mend.key))
        }
        None => d.at("making").help("work to smaller tolerances, by machine or with a gauge, and say so in [making]"),
    })
}
