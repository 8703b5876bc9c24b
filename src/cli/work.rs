//! The stages from a job to the operations of its sheets, with all that they have to say.

use super::{Terminal, laying};
use crate::design::{Design, design};
use crate::diag::{Diagnostic, any_error};
use crate::fit::{Bill, Fit, bill, fit};
use crate::job::Job;
use crate::nest::Sheet;
use crate::ops::{SheetOps, operations};
use crate::units::Length;

/// A job worked as far as the operations.
pub(super) struct Worked {
    pub(super) design: Design,
    pub(super) fit: Fit,
    pub(super) bill: Bill,
    pub(super) sheets: Vec<Sheet>,
    pub(super) operations: Vec<SheetOps>,
}

/// Works a job through the stages. Sheets are laid out only where the design has no error, for cuts
/// that take `kerf` at the widest.
pub(super) fn work(job: &Job, kerf: Length, terminal: &mut Terminal<'_>) -> (Worked, Vec<Diagnostic>) {
    let (design, mut diagnostics) = design(job);
    let (fit, said) = fit(job, &design);
    diagnostics.extend(said);
    let mut sheets = Vec::new();
    if !any_error(&diagnostics) {
        let (laid, said) = laying::lay(&design.pieces, job, kerf, terminal);
        sheets = laid;
        diagnostics.extend(said);
    }
    let operations = sheets.iter().map(|s| operations(s, &design.pieces)).collect();
    let bill = bill(job, &design);
    (Worked { design, fit, bill, sheets, operations }, diagnostics)
}
