//! What a construction gives, each in a file of its own: measures, pieces, the dressed assembly and the
//! steps of work.

use super::flat::{Corners, Flat};
use super::hinge_strips::StripPlace;
use super::lining_fold::Lining;
use super::measures::{Auto, Measures};
use super::meeting::Lying;
use super::tabs::Turned;
use super::work::Step;
use super::{Case, Design, PatchPlace, Piece};
use crate::assembly::Assembly;
use crate::diag::Diagnostic;
use crate::job::Job;

/// What a construction makes of a flat layout.
#[derive(Default)]
pub(super) struct Made {
    /// The pieces, boards first.
    pub(super) pieces: Vec<Piece>,
    /// Where each patch goes.
    pub(super) patches: Vec<PatchPlace>,
    /// The linings as they are glued in.
    pub(super) linings: Vec<Lining>,
    /// Where each hinge strip goes.
    pub(super) strips: Vec<StripPlace>,
    /// Where the covering cloth lies once it is turned in.
    pub(super) turned: Vec<Turned>,
    /// The case that all of it is glued into; its pieces are among these.
    pub(super) case: Option<Box<Case>>,
    /// What keeps them from being made, and what the maker should know.
    pub(super) said: Vec<Diagnostic>,
}

/// How one construction is built.
pub(super) trait Build: Corners + Sync {
    /// The measures that follow from the materials, and from what lies where: before that is known, as where
    /// most lies.
    fn measures(&self, job: &Job, lying: Option<&Lying>) -> Auto;
    /// What lies where in a design; `None` where nothing hangs on it.
    fn lying(&self, _: &Job, _: &Design) -> Option<Lying> {
        None
    }
    /// The flat pieces.
    fn pieces(&self, job: &Job, measures: &Measures, flat: &Flat) -> Made;
    /// The boards with all that is glued on them, and their hinges.
    fn assembly(&self, job: &Job, measures: &Measures, flat: &Flat, made: &Made) -> Assembly;
    /// The work in order.
    fn steps(&self, job: &Job, design: &Design) -> Vec<Step>;
}
