//! The stages from a job to the operations of its sheets, with all that they have to say.

use super::{Terminal, laying};
use crate::design::{Design, design};
use crate::diag::{Diagnostic, any_error};
use crate::fit::{Bill, Fit, bill, fit};
use crate::job::Job;
use crate::nest::{Apart, Sheet, first_alone, mark_scrap, merge_alike, number_copies};
use crate::ops::{SheetOps, operations};

/// A job worked as far as the operations.
pub(super) struct Worked {
    pub(super) design: Design,
    pub(super) fit: Fit,
    pub(super) bill: Bill,
    pub(super) sheets: Vec<Sheet>,
    pub(super) operations: Vec<SheetOps>,
}

/// How the pieces are to be laid out.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Layout {
    /// The least distance between pieces that the cuts to come ask for.
    pub(super) apart: Apart,
    /// Whether the first box lies alone.
    pub(super) first_article: bool,
}

/// Works a job through the stages. Sheets are laid out only where the design has no error.
pub(super) fn work(job: &Job, layout: &Layout, terminal: &mut Terminal<'_>) -> (Worked, Vec<Diagnostic>) {
    let (design, mut diagnostics) = design(job);
    let (fit, said) = fit(job, &design);
    diagnostics.extend(said);
    let mut sheets = Vec::new();
    if !any_error(&diagnostics) {
        let (laid, said) = laid(job, &design, layout, terminal);
        sheets = laid;
        if job.marks.scrap {
            mark_scrap(&mut sheets);
        }
        diagnostics.extend(said);
    }
    let operations = sheets.iter().map(|s| operations(s, &design.pieces)).collect();
    let bill = bill(job, &design);
    (Worked { design, fit, bill, sheets, operations }, diagnostics)
}

/// The sheets of all copies, those that are alike as one.
fn laid(job: &Job, design: &Design, layout: &Layout, terminal: &mut Terminal<'_>) -> (Vec<Sheet>, Vec<Diagnostic>) {
    let mut lay = |job: &Job| laying::lay(&design.pieces, job, layout.apart, terminal);
    let (mut sheets, mut said) = if layout.first_article {
        let per_box: Vec<u32> = design.pieces.iter().map(|p| p.count).collect();
        first_alone(job, lay, &per_box)
    } else {
        lay(job)
    };
    // The first box alone and the others are laid one after the other.
    super::programs::without_repeats(&mut said);
    if !job.marks.copy_numbers {
        return (merge_alike(sheets), said);
    }
    let alike = merge_alike(sheets.clone()).len();
    number_copies(&mut sheets, &design.pieces, job);
    if alike < sheets.len() {
        let message = format!(
            "every piece has the number of its copy, so {} sheets need as many programs; without numbers {alike} would do",
            sheets.len()
        );
        said.push(Diagnostic::hint("sheets-differ", message).at("marks.copy_numbers"));
    }
    (sheets, said)
}
