//! The guide and the templates of each item, in its lot's folder.

use super::item::Made;
use super::kept::Files;
use super::shares::Owner;
use crate::job::Job;
use crate::nest::{Placed, Sheet};
use crate::ops::{SheetOps, operations};
use crate::write::pdf::{Paper, Told, guide, templates};
use std::sync::Arc;

/// The papers of one item: its pieces alone on the sheets that it shares, under the names that these have in the
/// lot. Files begin with `stem`. An error only where the PDF library cannot write.
pub(super) fn papers(
    made: &Made,
    item: usize,
    stem: &str,
    owners: &[Owner],
    sheets: &[Arc<Sheet>],
) -> Result<Files, String> {
    // Of many guides on one bench each says whose it is.
    let title = format!("{} · {}", made.job.item, made.job.title);
    let (job, design) = (&Job { title, ..made.job.clone() }, &made.design);
    let own: Vec<Arc<Sheet>> =
        sheets.iter().map(|s| of_item(s, item, owners)).filter(|s| !s.placed.is_empty()).map(Arc::new).collect();
    let operations: Vec<SheetOps> = own.iter().map(|s| operations(s, &design.pieces)).collect();
    let told = Told {
        first_copy: 1,
        job,
        design,
        fit: &made.fit,
        bill: &made.bill,
        sheets: &own,
        operations: &operations,
        // What they take is told for whole sheets, which several items share.
        programs: &[],
        // Its sheets and its place in the press it shares with others.
        estimate: None,
    };
    let paper = Paper::usual(job.units);
    Ok(vec![
        (format!("{stem}.guide.pdf"), guide(&told, paper)?),
        (format!("{stem}.templates.pdf"), templates(job, design, paper, false)?),
    ])
}

/// A sheet with an item's own pieces alone, as places in its design.
fn of_item(sheet: &Sheet, item: usize, owners: &[Owner]) -> Sheet {
    let is_own: Vec<bool> = sheet.placed.iter().map(|p| owners[p.piece].item == item).collect();
    let own = |p: &Placed| Placed { piece: owners[p.piece].piece, ..p.clone() };
    let kept = |copies: &Vec<u32>| copies.iter().zip(&is_own).filter(|(_, own)| **own).map(|(c, _)| *c).collect();
    Sheet {
        placed: sheet.placed.iter().zip(&is_own).filter(|(_, own)| **own).map(|(p, _)| own(p)).collect(),
        repeats: sheet.repeats.iter().map(kept).collect(),
        // It is bought for the whole lot.
        price: None,
        ..sheet.clone()
    }
}
