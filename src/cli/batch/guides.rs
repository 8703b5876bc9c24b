//! The guide and the templates of each item, in its lot's folder.

use super::item::Made;
use super::kept::Files;
use super::packed::ENDING;
use super::record::SheetRecord;
use super::shares::Owner;
use crate::cli::folder::lot_name;
use crate::job::Job;
use crate::nest::{Placed, Sheet};
use crate::ops::{SheetOps, operations};
use crate::write::manifest::RunKind;
use crate::write::pdf::{Lot, Paper, SharedSheet, Told, guide, templates};
use std::collections::BTreeSet;
use std::sync::Arc;

/// The papers of one item: its pieces alone on the sheets that it shares, under the names that these have in the
/// lot. Files begin with `stem`. An error only where the PDF library cannot write.
pub(super) fn papers(
    made: &Made,
    item: usize,
    stem: &str,
    owners: &[Owner],
    (lot, sheets): (u64, &[(Arc<Sheet>, SheetRecord)]),
) -> Result<Files, String> {
    // Of many guides on one bench each says whose it is.
    let title = format!("{} · {}", made.job.item, made.job.title);
    let (job, design) = (&Job { title, ..made.job.clone() }, &made.design);
    let is_own = |s: &Sheet| s.placed.iter().any(|p| owners[p.piece].item == item);
    let of_lot = || sheets.iter().filter(|(sheet, _)| is_own(sheet));
    let own: Vec<Arc<Sheet>> = of_lot().map(|(sheet, _)| Arc::new(of_item(sheet, item, owners))).collect();
    let shared = of_lot().map(|(sheet, record)| SharedSheet {
        files: cut_by(record),
        others: sheet.placed.iter().map(|p| owners[p.piece].item).collect::<BTreeSet<_>>().len().saturating_sub(1),
    });
    let lot = Lot { folder: lot_name(lot), sheets: shared.collect() };
    let operations: Vec<SheetOps> = own.iter().map(|s| operations(s, &design.pieces)).collect();
    let told = Told {
        first_copy: 1,
        job,
        design,
        fit: &made.fit,
        bill: &made.bill,
        sheets: &own,
        operations: &operations,
        lot: Some(&lot),
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

/// The files that a sheet is cut by: its drawings, and the programs that work.
fn cut_by(record: &SheetRecord) -> Vec<String> {
    let is_program = |name: &str| record.programs.iter().any(|p| p.file == name && p.kind == RunKind::Work);
    let is_drawing = |name: &str| {
        let name = name.strip_suffix(ENDING).unwrap_or(name);
        name.ends_with(".dxf") || name.ends_with(".cut.svg")
    };
    record.files.iter().filter(|name| is_drawing(name) || is_program(name)).cloned().collect()
}

/// A sheet with an item's own pieces alone, as places in its design.
fn of_item(sheet: &Sheet, item: usize, owners: &[Owner]) -> Sheet {
    let is_own: Vec<bool> = sheet.placed.iter().map(|p| owners[p.piece].item == item).collect();
    let own = |p: &Placed| Placed { piece: owners[p.piece].piece, ..p.clone() };
    let kept = |copies: &Vec<u32>| copies.iter().zip(&is_own).filter(|(_, own)| **own).map(|(c, _)| *c).collect();
    Sheet {
        placed: sheet.placed.iter().zip(&is_own).filter(|(_, own)| **own).map(|(p, _)| own(p)).collect(),
        repeats: sheet.repeats.iter().map(kept).collect(),
        // It is bought and parted for the whole lot.
        price: None,
        cuts: Vec::new(),
        marks: Vec::new(),
        ..sheet.clone()
    }
}
