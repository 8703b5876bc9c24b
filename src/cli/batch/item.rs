//! One row worked as far as its pieces.

use super::list::Row;
use super::problem::{At, Problem};
use crate::design::{Design, design};
use crate::diag::{Diagnostic, Places, Source, any_error};
use crate::fit::{Bill, Fit, bill, fit};
use crate::job::{self, Job, StockKind};
use crate::nest::{Apart, refused};

/// The job that every row is put into.
pub(super) struct Template<'a> {
    pub(super) source: &'a Source,
    /// Gives the drawings that it names.
    pub(super) drawing: &'a (dyn Fn(&str) -> Result<Vec<u8>, String> + Sync),
    /// How many layouts are tried for a sheet, where that is said on the command line.
    pub(super) effort: u32,
    /// The least distance between pieces that the cuts to come ask for.
    pub(super) apart: Apart,
}

impl Template<'_> {
    /// Where the lines of a row begin in the text that it is read as.
    pub(super) fn own(&self) -> usize {
        self.source.text.len() + usize::from(!self.source.text.ends_with('\n'))
    }
}

/// A row that was worked.
pub(super) struct Item {
    pub(super) row: Row,
    /// What there is to make; `None` where the row is refused.
    pub(super) made: Option<Made>,
    /// What was said of it.
    pub(super) problems: Vec<Problem>,
}

/// The box of a row.
pub(super) struct Made {
    pub(super) job: Job,
    pub(super) design: Design,
    pub(super) fit: Fit,
    pub(super) bill: Bill,
}

impl Made {
    /// Whether the row says something of a stock itself.
    pub(super) fn has_own(row: &Row, stock: StockKind) -> bool {
        row.cells.iter().any(|c| c.key.strip_prefix(stock.word()).is_some_and(|rest| rest.starts_with('.')))
    }
}

/// Works a row.
pub(super) fn work(row: Row, template: &Template<'_>) -> Item {
    let mut problems = row.wrong.clone();
    if problems.iter().any(Problem::is_error) {
        return Item { row, made: None, problems };
    }
    let (job, mut said, text) = job::read_over(template.source, &|name| (template.drawing)(name), &row.cells);
    let mut places = Places::default();
    let made = job.and_then(|mut job| {
        job.item.clone_from(&row.id);
        job.layout_effort = template.effort;
        // A lot keeps no job that would read them again.
        job.drawings.clear();
        places.clone_from(&job.places);
        let (design, more) = design(&job);
        let (fit, further) = fit(&job, &design);
        let mut found: Vec<Diagnostic> = more.into_iter().chain(further).collect();
        if !any_error(&found) {
            found.extend(refused(&design.pieces, &without_leftovers(&job), &template.apart));
        }
        let is_good = !any_error(&found);
        said.append(&mut found);
        let bill = bill(&job, &design);
        is_good.then_some(Made { job, design, fit, bill })
    });
    job::without_what_follows(&mut said);
    let at = At { row: row.row, id: &row.id, columns: &row.columns };
    let of_row = |d| Problem::of_row(d, &at, &template.source.name, &text, template.own(), &places);
    problems.extend(said.iter().map(of_row));
    Item { row, made, problems }
}

/// The hashes of the drawings that a row names.
pub(super) fn drawn(row: &Row, template: &Template<'_>) -> Vec<String> {
    let named = row.cells.iter().filter(|c| c.key.ends_with(".outline"));
    named.map(|c| super::drawing_hash(template.drawing, &c.cell)).collect()
}

/// Leftovers are for whoever comes first: a row has to do without.
pub(super) fn without_leftovers(job: &Job) -> Job {
    let mut job = job.clone();
    let all = [Some(&mut job.board), job.cloth.as_mut(), job.paper.as_mut(), job.liner.as_mut()];
    for stock in all.into_iter().flatten() {
        stock.leftovers.clear();
    }
    job
}
