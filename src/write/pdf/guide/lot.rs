//! What the guide of an item of a list tells of the sheets that it shares with other items: they are the lot's, and are
//! cut once for all that lies on them.

use super::Told;
use crate::job::StockKind;
use crate::nest::Sheet;
use crate::write::pdf::flow::Flow;
use crate::write::pdf::parts::short_name;

/// The lot that an item is worked in.
#[derive(Clone, Debug)]
pub struct Lot {
    /// Its folder: `lot-2`.
    pub folder: String,
    /// What there is to say of each of its sheets on which a piece of the item lies, in the order of these.
    pub sheets: Vec<SharedSheet>,
}

/// A sheet of a lot.
#[derive(Clone, Debug)]
pub struct SharedSheet {
    /// The files that it is cut by.
    pub files: Vec<String>,
    /// How many other items have a piece on it.
    pub others: usize,
}

impl Lot {
    /// Whether any of its sheets is shared at all.
    fn is_shared(&self) -> bool {
        self.sheets.iter().any(|s| s.others > 0)
    }
}

/// On the first page: whose sheets these are.
pub(super) fn front(flow: &mut Flow<'_>, told: &Told<'_>) {
    let Some(lot) = told.lot else { return };
    flow.text(&format!(
        "An item of a list. Its pieces {}: what is bought and cut there is bought and cut once for the whole lot.",
        lie_on(lot)
    ));
}

fn lie_on(lot: &Lot) -> String {
    let with = if lot.is_shared() { ", with those of other items" } else { "" };
    format!("lie on the sheets of {}{with}", lot.folder)
}

/// What is bought with the lot.
pub(super) fn bought_with_it(flow: &mut Flow<'_>, told: &Told<'_>, stocks: &[StockKind]) {
    let Some(lot) = told.lot else { return };
    let words: Vec<&str> = stocks.iter().map(|s| s.word()).collect();
    let are = if words.len() == 1 { "is" } else { "are" };
    flow.text(&format!(
        "No {} {are} bought for this item by itself: the sheets of {} are those in its folder. The list's cost.csv counts \
         what all lots take, and batch.csv has this row's share of what it costs.",
        crate::diag::listed(&words).replace(" and ", " or "),
        lot.folder
    ));
}

/// On which sheets its pieces lie, before the sheets are drawn.
pub(super) fn sheets(flow: &mut Flow<'_>, told: &Told<'_>) {
    let Some(lot) = told.lot else { return };
    let with = if lot.is_shared() { " They are shared with other items, whose pieces are not drawn here." } else { "" };
    flow.text(&format!(
        "These are sheets of {}.{with} Whoever cuts the lot cuts each of them once, for all that lies on it, by the files \
         named here, which are in the folder {}: do not cut them again for this item.",
        lot.folder, lot.folder
    ));
    let rows: Vec<Vec<String>> = told
        .sheets
        .iter()
        .zip(&lot.sheets)
        .map(|(sheet, shared)| {
            let with = match shared.others {
                0 => "nobody".to_owned(),
                1 => "1 other item".to_owned(),
                n => format!("{n} other items"),
            };
            vec![id(sheet), pieces_on(told, sheet), with, shared.files.join(" ")]
        })
        .collect();
    flow.table(&["sheet", "its pieces on it", "shared with", "cut by"], &[1.5, 3.6, 1.7, 5.2], &rows);
}

/// A sheet's name, with how many the lot has of it.
fn id(sheet: &Sheet) -> String {
    match sheet.count() {
        1 => sheet.id.clone(),
        n => format!("{} ({n} alike)", sheet.id),
    }
}

/// The pieces on a sheet by their names, those of all that are alike counted.
fn pieces_on(told: &Told<'_>, sheet: &Sheet) -> String {
    let mut named: Vec<(String, u32)> = Vec::new();
    for placed in &sheet.placed {
        let Some(piece) = told.design.pieces.get(placed.piece) else { continue };
        let name = short_name(piece);
        match named.iter_mut().find(|(known, _)| *known == name) {
            Some((_, count)) => *count += sheet.count(),
            None => named.push((name, sheet.count())),
        }
    }
    let told = |(name, count): &(String, u32)| if *count == 1 { name.clone() } else { format!("{count} x {name}") };
    named.iter().map(told).collect::<Vec<_>>().join(", ")
}

/// What there is to do where the others of a list cut.
pub(super) fn cut(told: &Told<'_>, lot: &Lot) -> Vec<String> {
    let ids: Vec<String> = told.sheets.iter().map(|s| id(s)).collect();
    let ids: Vec<&str> = ids.iter().map(String::as_str).collect();
    let job = told.job;
    let labels = match (job.marks.labels, job.item.is_empty()) {
        (true, false) => format!(
            ": each has a label that begins with {}, where there is room for one on it",
            job.item.to_uppercase()
        ),
        _ => String::new(),
    };
    let mut words = vec![
        format!(
            "The pieces {}: {}. Each of these sheets is cut once, for all items on it. Where the lot is cut already, or \
             somebody else cuts it, nothing is to be cut here.",
            lie_on(lot),
            crate::diag::listed(&ids)
        ),
        format!(
            "Take out the pieces of this item{labels}. Count them against the list of its pieces, and keep them together."
        ),
    ];
    if job.copies > 1 {
        words.push("Make one box whole before you glue the others, to see that it fits.".into());
    }
    words
}
