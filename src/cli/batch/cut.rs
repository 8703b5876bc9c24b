//! What of a list is cut already: the lots that no later run changes, and which rows they settle.
//!
//! A row is settled where a lot that is cut, or begun, holds boxes of the same pieces, as many as it wants. What it
//! wants beyond that, and a row that has become another box since, goes into a new lot after all the others, so
//! that those move no row.

use super::item::{self, Item, Made, drawn};
use super::leftovers::Leftovers;
use super::list::{Again, Row};
use super::problem::{Problem, severity_word};
use super::record::{FILE_NAME, Record};
use super::{Shop, folder};
use crate::cli::Failure;
use crate::cli::folder::{lot_name, lots_in};
use crate::cli::marks::Marks;
use crate::diag::Severity;
use crate::doc::Override;
use crate::write::manifest::sha256_hex;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// Columns of a row that no piece hangs on.
const NO_PIECE: [&str; 2] = ["title", "copies"];

/// The lots of which something is cut.
#[derive(Default)]
pub(super) struct CutLots {
    pub(super) lots: BTreeSet<u64>,
    /// What of each id is in them, in the order of the lots.
    rows: BTreeMap<String, Vec<CutRow>>,
    /// What is left of the sheets that are cut.
    pub(super) leftovers: Leftovers,
    /// Lots that were made from another job than there is now.
    of_another_job: Vec<u64>,
}

/// A row as it was cut.
struct CutRow {
    lot: u64,
    /// What it was read from, see [`row_hash`]; empty where it was refused.
    made_from: String,
    pieces: String,
    copies: u32,
}

/// What becomes of a row.
pub(super) enum Settled {
    /// It stands in no lot that is cut.
    New(Row),
    /// It goes into a new lot.
    Again(Row),
    /// It is cut; something may be told of it.
    Cut(Option<Problem>),
}

impl CutLots {
    /// Looks at every lot of a batch's folder. `job` is the hash of the job as it is now.
    pub(super) fn look(out: &Path, job: &str) -> Result<Self, Failure> {
        let mut found = Self::default();
        let mut sheets = Vec::new();
        for (number, name) in lots_in(out).unwrap_or_default() {
            let dir = folder(out, number);
            // lot-01 is no lot of ours.
            if name != lot_name(number) {
                continue;
            }
            let marks = Marks::read(&dir);
            let marks = marks.map_err(|e| Failure::usage(e.to_string(), e.hint("nothing was changed")))?;
            if marks.is_empty() {
                continue;
            }
            let record = std::fs::read(dir.join(FILE_NAME)).map_err(|e| e.to_string());
            let record = record.and_then(|b| serde_json::from_slice::<Record>(&b).map_err(|e| e.to_string()));
            let record = record.map_err(|why| {
                let message = format!(
                    "{} is marked as cut, and its {FILE_NAME}, which says what was cut, cannot be read: {why}",
                    dir.display()
                );
                let hint = "nothing was changed; put the file back as it was, or move the lot out of the folder";
                Failure::usage(message, hint.into())
            })?;
            if record.parts.job != job {
                found.of_another_job.push(number);
            }
            found.lots.insert(number);
            for sheet in record.sheets {
                // What a shop was told of it keeps itself, and gives it out through the job.
                let told = marks.told(&sheet.id);
                found.leftovers.cut(&sheet, &name, marks.count(&sheet.id).saturating_sub(told));
                sheets.push((sheet, told));
            }
            for item in record.items {
                let row = CutRow { lot: number, made_from: item.made_from, pieces: item.pieces, copies: item.copies };
                found.rows.entry(item.id).or_default().push(row);
            }
        }
        sheets.iter().for_each(|(sheet, told)| found.leftovers.used(sheet, *told));
        Ok(found)
    }

    /// Whether a row of this id stands in a lot that is cut.
    pub(super) fn has(&self, id: &str) -> bool {
        self.rows.contains_key(id)
    }

    /// Whether a box of this id is in one.
    pub(super) fn has_box(&self, id: &str) -> bool {
        self.rows.get(id).is_some_and(|cut| cut.iter().any(|c| !c.made_from.is_empty()))
    }

    /// What becomes of a row.
    pub(super) fn settle(&self, mut row: Row, shop: &Shop<'_>) -> Settled {
        let Some(cut) = self.rows.get(&row.id) else { return Settled::New(row) };
        let made: Vec<&CutRow> = cut.iter().filter(|c| !c.made_from.is_empty()).collect();
        let Some(last) = made.last().filter(|_| !row.wrong.iter().any(Problem::is_error)) else {
            // It was refused then, or is wrong now.
            return Settled::Again(row);
        };
        let now = row_hash(&row, shop);
        let mut same: Vec<&&CutRow> = made.iter().filter(|c| c.made_from == now).collect();
        if same.is_empty() {
            // Written otherwise, it may still be the same box.
            let Item { made: worked, row: back, .. } = item::work(row, &shop.template);
            row = back;
            if let Some(pieces) = worked.as_ref().map(pieces_hash) {
                same = made.iter().filter(|c| c.pieces == pieces).collect();
            }
        }
        let count: u32 = same.iter().map(|c| c.copies).sum();
        let Some(first) = same.first() else {
            if shop.is_as_cut {
                let message =
                    format!("it has changed since it was cut in {}, and stays as it was cut", lot_name(last.lot));
                return Settled::Cut(Some(told(&row, "stays-as-cut", Severity::Hint, message)));
            }
            row.again = Some(Again::Changed { lot: last.lot });
            return Settled::Again(row);
        };
        let wanted = wanted(&row, shop);
        if wanted.is_some_and(|wanted| wanted <= count) {
            return Settled::Cut(None);
        }
        // What is no number of copies is told when the row is worked.
        if let Some(wanted) = wanted {
            row.again = Some(Again::More { lot: first.lot, cut: count });
            row.first_copy = count + 1;
            let more = (wanted - count).to_string();
            match row.cells.iter_mut().find(|c| c.key == "copies") {
                Some(cell) => cell.cell = more,
                None => {
                    row.cells.push(Override { key: "copies".into(), cell: more });
                    row.columns.push("copies".into());
                }
            }
        }
        Settled::Again(row)
    }

    /// What is told of the list as a whole: rows that it no longer has, lots of another job. `seen` are its ids.
    pub(super) fn notes(&self, seen: &BTreeMap<String, u64>) -> Vec<Problem> {
        let mut notes = Vec::new();
        let gone = self.rows.iter().filter(|(id, _)| !seen.contains_key(*id) && self.has_box(id));
        for (id, cut) in gone {
            let lot = cut.last().map_or(0, |c| c.lot);
            let message = format!("{id} was cut in {} and is no longer in the list", lot_name(lot));
            notes.push(note("cut-row-gone", Severity::Warning, message, lot));
        }
        for lot in &self.of_another_job {
            let message = "the job has changed since this lot was cut; it stays as it was cut".to_owned();
            notes.push(note("cut-from-other-job", Severity::Hint, message, *lot));
        }
        notes
    }
}

/// What is told of a row that goes into a new lot.
pub(super) fn again_note(row: &Row, lot: u64) -> Option<Problem> {
    let new = lot_name(lot);
    match row.again.as_ref()? {
        Again::Changed { lot } => {
            let message = format!("it has changed since it was cut in {}, and is made again in {new}", lot_name(*lot));
            let hint = "if the box is right as it was cut, add --as-cut, or write the row as it was";
            Some(told(row, "made-again", Severity::Warning, message).help(hint))
        }
        Again::More { lot, cut } => {
            let message = format!("{cut} of its copies were cut in {}; the others are made in {new}", lot_name(*lot));
            Some(told(row, "more-copies", Severity::Hint, message))
        }
    }
}

fn told(row: &Row, code: &str, severity: Severity, message: String) -> Problem {
    Problem { severity: severity_word(severity).into(), ..Problem::new(row.row, &row.id, None, code, message) }
}

fn note(code: &str, severity: Severity, message: String, lot: u64) -> Problem {
    let new = Problem::new(0, "", None, code, message);
    Problem { row: None, place: Some(format!("lot {lot}")), severity: severity_word(severity).into(), ..new }
}

/// How many boxes a row wants; `None` where it does not say a number.
fn wanted(row: &Row, shop: &Shop<'_>) -> Option<u32> {
    match row.cells.iter().find(|c| c.key == "copies") {
        Some(cell) => cell.cell.trim().parse().ok(),
        None => Some(shop.copies),
    }
}

/// SHA-256 of what a row says of its pieces.
pub(super) fn row_hash(row: &Row, shop: &Shop<'_>) -> String {
    let cells: Vec<&Override> = row.cells.iter().filter(|c| !NO_PIECE.contains(&c.key.as_str())).collect();
    sha256_hex(format!("{cells:?} {:?}", drawn(row, &shop.template)).as_bytes())
}

/// SHA-256 of a box's pieces.
pub(super) fn pieces_hash(made: &Made) -> String {
    let thick = [Some(&made.job.board), made.job.cloth.as_ref(), made.job.liner.as_ref()];
    let mut thick: Vec<Option<f64>> = thick.iter().map(|s| s.map(|s| s.thickness.to_mm())).collect();
    // Boxes without paper keep the hash that they had.
    thick.extend(made.job.paper.as_ref().map(|s| Some(s.thickness.to_mm())));
    sha256_hex(format!("{:?} {thick:?}", made.design.pieces).as_bytes())
}
