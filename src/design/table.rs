//! The constructions, each one value: what it gives for measures, pieces, the dressed assembly and the
//! steps of work. Adding one is a file that implements [`Build`], a line here and one in
//! `job/construction.rs`; the compiler names what is missing.

use super::flat::Flat;
use super::lying::Lying;
use super::measures::{Auto, Measures};
use super::work::Step;
use super::{Design, PatchPlace, Piece};
use crate::assembly::Assembly;
use crate::diag::Diagnostic;
use crate::job::{Construction, Job, Side};

/// What a construction makes of a flat layout.
#[derive(Default)]
pub(super) struct Made {
    /// The pieces, boards first.
    pub(super) pieces: Vec<Piece>,
    /// Where each patch goes.
    pub(super) patches: Vec<PatchPlace>,
    /// What keeps them from being made, and what the maker should know.
    pub(super) said: Vec<Diagnostic>,
}

/// How one construction is built.
pub(super) trait Build: Sync {
    /// The measures that follow from the materials, and from what lies where: before that is known, as where
    /// most lies.
    fn measures(&self, job: &Job, lying: Option<&Lying>) -> Auto;
    /// What lies where in a design; `None` where nothing hangs on it.
    fn lying(&self, _: &Job, _: &Design) -> Option<Lying> {
        None
    }
    /// How much a wall is shorter than the base edge at its two ends, mm, where its lid is `lid` shorter at
    /// each.
    fn short_ends(&self, job: &Job, side: Side, lid: f64) -> (f64, f64);
    /// Whether the corners of the base between two walls are cut off from wall to wall.
    fn is_relieved(&self) -> bool {
        false
    }
    /// The flat pieces.
    fn pieces(&self, job: &Job, measures: &Measures, flat: &Flat) -> Made;
    /// The boards with all that is glued on them, and their hinges.
    fn assembly(&self, job: &Job, measures: &Measures, flat: &Flat, made: &Made) -> Assembly;
    /// The work in order.
    fn steps(&self, job: &Job, design: &Design) -> Vec<Step>;
}

/// The construction of a job.
pub(super) fn of(job: &Job) -> &'static dyn Build {
    match job.build.construction {
        Construction::HingedBoards => &super::hinged::HingedBoards,
        Construction::CreasedBoard => &super::creased::CreasedBoard,
        Construction::CrossedStrips => &super::strips::CrossedStrips,
    }
}
