//! One row worked as far as its pieces.

use super::list::Row;
use super::problem::{At, Problem};
use crate::design::{Design, design};
use crate::diag::{Diagnostic, Source, any_error};
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
    let (job, said, text) = job::read_over(template.source, &|name| (template.drawing)(name), &row.cells);
    let none = crate::diag::Places::default();
    let mut tell = |said: &[Diagnostic], job: Option<&Job>| {
        let places = job.map_or(&none, |j| &j.places);
        let of_row = |d| {
            Problem::of_row(
                d,
                &At { row: row.row, id: &row.id, columns: &row.columns },
                &template.source.name,
                &text,
                template.own(),
                places,
            )
        };
        problems.extend(said.iter().map(of_row));
    };
    tell(&said, None);
    let made = job.and_then(|mut job| {
        job.item.clone_from(&row.id);
        job.layout_effort = template.effort;
        let (design, mut said) = design(&job);
        let (fit, more) = fit(&job, &design);
        said.extend(more);
        if !any_error(&said) {
            said.extend(refused(&design.pieces, &without_leftovers(&job), &template.apart));
        }
        tell(&said, Some(&job));
        let bill = bill(&job, &design);
        (!any_error(&said)).then_some(Made { job, design, fit, bill })
    });
    Item { row, made, problems }
}

/// Leftovers are for whoever comes first: a row has to do without.
pub(super) fn without_leftovers(job: &Job) -> Job {
    let mut job = job.clone();
    for stock in [Some(&mut job.board), job.cloth.as_mut(), job.liner.as_mut()].into_iter().flatten() {
        stock.leftovers.clear();
    }
    job
}
