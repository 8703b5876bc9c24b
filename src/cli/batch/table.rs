//! `batch.csv`: a line a row.

use super::record::Record;
use crate::units::{Unit, decimal, mm};
use crate::write::cell::harmless;
use std::io::{self, Write};

/// The names of its columns.
pub(super) fn header(w: &mut dyn Write, unit: Unit) -> io::Result<()> {
    let u = if unit == Unit::Inch { "in" } else { "mm" };
    write!(
        w,
        "row,id,title,copies,state,lot,interior_width_{u},interior_height_{u},interior_depth_{u},\
         exterior_width_{u},exterior_height_{u},exterior_depth_{u},joint_{u},strap_{u},weight_g,cost,minutes,hours_a_box,hours,cost_a_box,\
         cost_in_all,board_sheets,cloth_sheets,paper_sheets,liner_sheets,notes\r\n"
    )
}

/// A length of the table in the list's unit: by one decimal finer where it is `is_fine`, for what a spacer is cut to. Millimetres
/// have one decimal and inches two, which is what a rule shows (our choice).
fn length(v: Option<f64>, unit: Unit, is_fine: bool) -> String {
    let more = usize::from(is_fine);
    v.map_or(String::new(), |v| match unit {
        Unit::Mm => decimal(v, 1 + more),
        Unit::Inch => decimal(mm(v).to_inch(), 2 + more),
    })
}

/// The rows of a lot in `batch.csv`.
pub(super) fn rows(w: &mut dyn Write, record: &Record, is_cut: bool, unit: Unit) -> io::Result<()> {
    let lot = record.lot.to_string();
    let number = |v: Option<f64>, places| v.map_or(String::new(), |v| decimal(v, places));
    let mut csv = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(w);
    for item in &record.items {
        let errors = record.problems.iter().filter(|p| p.is_error() && p.row == Some(item.row));
        let notes: Vec<String> =
            errors.map(|p| p.column.as_ref().map_or(p.message.clone(), |c| format!("{c}: {}", p.message))).collect();
        let size = |s: Option<[f64; 3]>, i: usize| length(s.map(|s| s[i]), unit, false);
        let boxes = f64::from(item.copies.max(1));
        let sheets = |stock: &str| item.sheets.get(stock).map(|ids| ids.join(" ")).unwrap_or_default();
        csv.write_record([
            // A row that the list no longer has is nowhere in it.
            if item.row > 0 { item.row.to_string() } else { String::new() },
            harmless(&item.id).into_owned(),
            harmless(&item.title).into_owned(),
            item.copies.to_string(),
            match (item.made, is_cut) {
                (true, true) => "cut".into(),
                (true, false) => "made".into(),
                (false, _) => "refused".into(),
            },
            lot.clone(),
            size(item.interior, 0),
            size(item.interior, 1),
            size(item.interior, 2),
            size(item.exterior, 0),
            size(item.exterior, 1),
            size(item.exterior, 2),
            length(item.joint, unit, true),
            length(item.strap, unit, false),
            number(item.weight_g, 1),
            number(item.cost, 2),
            number(item.seconds.map(|s| s / 60.0), 1),
            number(item.minutes.map(|m| m / 60.0 / boxes), 2),
            number(item.minutes.map(|m| m / 60.0), 1),
            number(item.in_all.map(|c| c / boxes), 2),
            number(item.in_all, 2),
            sheets("board"),
            sheets("cloth"),
            sheets("paper"),
            sheets("liner"),
            harmless(&notes.join("; ")).into_owned(),
        ])?;
    }
    csv.flush()
}
