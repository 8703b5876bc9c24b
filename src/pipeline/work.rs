//! The stages from a job to the operations of its sheets, with all that they have to say.

use crate::design::{Design, Role, design};
use crate::diag::{Diagnostic, any_error, without_repeats};
use crate::estimate::{self, Asked, Estimate, Run};
use crate::fit::{Bill, Fit, bill, fit};
use crate::job::{Job, StockKind};
use crate::nest::{
    Apart, AskedSavings, Look, Saving, Search, Sheet, first_alone, mark_scrap, merge_alike, nest_with, number_copies,
    savings, without_first,
};
use crate::ops::{SheetOps, operations};
use std::borrow::Cow;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// A job worked as far as the operations.
#[derive(Clone, Debug)]
pub struct Worked {
    /// The pieces and the dressed box.
    pub design: Design,
    /// The closed box.
    pub fit: Fit,
    /// What it takes.
    pub bill: Bill,
    /// The sheets of all copies, those that are alike as one; none where the design has an error.
    pub sheets: Vec<Arc<Sheet>>,
    /// What is worked on each sheet, in the same order.
    pub operations: Vec<SheetOps>,
    /// The number of the first box that the sheets are for, from 1.
    pub first_copy: u32,
    /// Whether the first box lies alone, to be made before the others are cut.
    pub is_first_alone: bool,
}

impl Worked {
    /// The job with as many boxes as the sheets are for.
    pub fn job_of_sheets(&self, job: &Job) -> Job {
        Job { copies: job.copies.saturating_sub(self.first_copy - 1).max(1), ..job.clone() }
    }

    /// What the work takes, where machines run these programs; `job` has as many boxes as the sheets are for.
    pub fn estimate(&self, job: &Job, runs: &[Run]) -> Estimate {
        let mut job = Cow::Borrowed(job);
        if self.is_first_alone && !job.work.first_article {
            job.to_mut().work.first_article = true;
        }
        estimate::estimate(&Asked {
            job: &job,
            design: &self.design,
            strap: self.fit.strap.as_ref(),
            ties: &self.fit.ties,
            glue_m2: self.bill.glue_m2,
            boxes: job.copies,
            first: self.first_copy,
            sheets: &self.sheets,
            runs,
        })
    }
}

impl Worked {
    /// What would save stock, where all boxes are laid out together: `job` and `layout` as they were worked. None where the
    /// search was stopped.
    pub fn savings(&self, job: &Job, layout: &Layout, look: Look, watch: &Watch<'_>) -> Vec<Saving> {
        let search = Search { apart: layout.apart, stop: watch.stop, progress: watch.progress };
        let sheets: Vec<&Sheet> = self.sheets.iter().map(AsRef::as_ref).collect();
        let asked = AskedSavings {
            pieces: &self.design.pieces,
            job,
            sheets: &sheets,
            boxes: job.copies,
            look,
            search: &search,
            may_lie: &|_, _| true,
        };
        if layout.boxes == Boxes::All && !self.sheets.is_empty() { savings(&asked) } else { Vec::new() }
    }
}

/// Which boxes of an edition are laid out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Boxes {
    /// All of them.
    #[default]
    All,
    /// All of them, the first alone on sheets of its own.
    FirstAlone,
    /// All but the first, on the sheets that [`Boxes::FirstAlone`] gives them. A job of one box has none.
    Rest,
}

/// How the pieces are to be laid out.
#[derive(Clone, Copy, Debug, Default)]
pub struct Layout {
    /// The least distance between pieces that the cuts to come ask for.
    pub apart: Apart,
    /// Which boxes.
    pub boxes: Boxes,
}

/// What is told of the search for a layout while it goes on, and how it is ended early.
#[derive(Clone, Copy)]
pub struct Watch<'a> {
    /// Set: the search ends with the best that it has.
    pub stop: &'a AtomicBool,
    /// Called with a stock, how many layouts were tried, and of how many.
    pub progress: &'a (dyn Fn(StockKind, u32, u32) + Sync),
}

/// Works a job through the stages. Sheets are laid out only where the design has no error.
pub fn work(job: &Job, layout: &Layout, watch: &Watch<'_>) -> (Worked, Vec<Diagnostic>) {
    let (design, mut diagnostics) = design(job);
    let lay = || laid(job, &design, layout, watch);
    // Where there is a thread to spare the sheets are laid out while the box is judged: mostly it fits.
    let ((fit, said), ahead) = if any_error(&diagnostics) || rayon::current_num_threads() < 2 {
        (fit(job, &design), None)
    } else {
        rayon::join(|| fit(job, &design), || Some(lay()))
    };
    diagnostics.extend(said);
    let mut sheets = Vec::new();
    if !any_error(&diagnostics) {
        let (laid, said) = ahead.unwrap_or_else(lay);
        sheets = laid;
        if job.marks.scrap {
            mark_scrap(&mut sheets);
        }
        diagnostics.extend(said);
    }
    let sheets: Vec<Arc<Sheet>> = sheets.into_iter().map(Arc::new).collect();
    let operations = sheets.iter().map(|s| operations(s, &design.pieces)).collect();
    let bill = bill(job, &design);
    let first_copy = if layout.boxes == Boxes::Rest { 2 } else { 1 };
    let is_first_alone = layout.boxes == Boxes::FirstAlone;
    (Worked { design, fit, bill, sheets, operations, first_copy, is_first_alone }, diagnostics)
}

/// The sheets of all copies, those that are alike as one.
fn laid(job: &Job, design: &Design, layout: &Layout, watch: &Watch<'_>) -> (Vec<Sheet>, Vec<Diagnostic>) {
    let search = Search { apart: layout.apart, stop: watch.stop, progress: watch.progress };
    let lay = |job: &Job| nest_with(&design.pieces, job, &search);
    let per_box: Vec<u32> = design.pieces.iter().map(|p| p.count).collect();
    let (mut sheets, mut said) = match layout.boxes {
        Boxes::All => lay(job),
        Boxes::FirstAlone => first_alone(job, lay, &per_box),
        Boxes::Rest => {
            let is_gauge: Vec<bool> = design.pieces.iter().map(|p| p.role == Role::Gauge).collect();
            without_first(job, lay, &per_box, &is_gauge)
        }
    };
    // The first box alone and the others are laid one after the other.
    without_repeats(&mut said);
    if watch.stop.load(Ordering::Relaxed) {
        let message = "the layout was stopped: it is the best that was found until then, and another run may differ";
        said.push(
            Diagnostic::warning("layout-stopped", message)
                .at("layout_effort")
                .help("a smaller layout_effort ends by itself and gives the same layout every time"),
        );
    }
    if !job.marks.copy_numbers {
        return (merge_alike(sheets), said);
    }
    let alike = merge_alike(sheets.clone()).len();
    number_copies(&mut sheets, &design.pieces, job);
    // What lies with a face up that is seen in the finished box bears no number.
    let sheets = merge_alike(sheets);
    if alike < sheets.len() {
        let message = format!(
            "pieces bear the numbers of their copies, so {} programs are needed; without numbers {alike} would do",
            sheets.len()
        );
        said.push(Diagnostic::hint("sheets-differ", message).at("marks.copy_numbers"));
    }
    (sheets, said)
}
