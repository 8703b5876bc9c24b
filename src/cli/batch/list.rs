//! The list of items: rows of a CSV file (RFC 4180; commas, semicolons or tabs), read one after
//! another.

use super::problem::{Problem, severity_word};
use crate::cli::Failure;
use crate::cli::input::{self, RowByRow, Rows};
use crate::cli::load::unreadable;
use crate::diag::Severity;
use crate::doc::{Override, Shape, nearest, shape_of};
use crate::job::JOB;
use csv::{ByteRecord, Reader, ReaderBuilder, Terminator};
use std::collections::BTreeMap;
use std::io::{BufRead, BufReader};
use std::path::Path;

/// Columns that stand for a key of another name.
const SHORT: [(&str, &str); 3] =
    [("width", "contents.width"), ("height", "contents.height"), ("depth", "contents.depth")];
/// A cell longer than this swallowed what follows an open quote.
const LONGEST: usize = 2000;
/// An id longer than this is no label.
const LONGEST_ID: usize = 60;
/// What is looked at to find the divider: the header, up to this many bytes.
const HEADER: usize = 1 << 16;

/// A list that is being read.
pub(super) struct List {
    name: String,
    reader: Reader<BufReader<RowByRow>>,
    rows: Rows,
    /// What divides its cells.
    divider: u8,
    pub(super) columns: Vec<Column>,
    /// Every id with its row.
    ids: BTreeMap<String, u64>,
}

/// One column.
pub(super) struct Column {
    /// As the header has it.
    pub(super) name: String,
    /// The key that it gives; `None` for the id.
    key: Option<String>,
    /// Whether its cells hold numbers.
    is_number: bool,
}

/// One row, its cells not yet read as values.
#[derive(Clone, Debug)]
pub(super) struct Row {
    /// The line of the list that it starts on, the header being 1.
    pub(super) row: u64,
    pub(super) id: String,
    /// What the cells that are not empty give.
    pub(super) cells: Vec<Override>,
    /// The column of each of them.
    pub(super) columns: Vec<String>,
    /// What is wrong with the row itself.
    pub(super) wrong: Vec<Problem>,
    /// Why it is worked though it stands in a lot that is cut.
    pub(super) again: Option<Again>,
    /// The number of the first of its copies; those before it are cut.
    pub(super) first_copy: u32,
}

/// Why a row that stands in a lot that is cut is worked again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Again {
    /// It has become another box since.
    Changed { lot: u64 },
    /// It wants more copies than were cut.
    More { lot: u64, cut: u32 },
}

impl List {
    /// Opens a list and reads its header. Inside the error everything that is wrong with the header.
    pub(super) fn open(path: &Path) -> Result<Result<Self, Vec<Problem>>, Failure> {
        let name = path.display().to_string();
        let cannot = |e: std::io::Error| unreadable(path, &e);
        let (file, rows) = RowByRow::new(input::open(path).map_err(cannot)?);
        let mut file = BufReader::with_capacity(HEADER, file);
        let divider = divider(file.fill_buf().map_err(cannot)?);
        let mut reader = ReaderBuilder::new()
            .flexible(true)
            // With the usual one a line that ends in CR LF has the number of the line before it.
            .terminator(Terminator::Any(b'\n'))
            .has_headers(true)
            .delimiter(divider)
            .from_reader(file);
        let header = reader.byte_headers().map_err(|e| csv_failure(&name, &e))?.clone();
        let mut columns: Vec<Column> = Vec::new();
        let mut wrong = Vec::new();
        for field in &header {
            match column(field, &columns) {
                Ok(column) => columns.push(column),
                Err(problem) => wrong.push(*problem),
            }
        }
        if !columns.iter().any(|c| c.key.is_none()) {
            let message = "the list has no column `id`";
            let hint = "its first line names the columns: id,title,width,height,depth,copies, and any key of the job";
            wrong.insert(0, Problem::new(1, "", None, "no-id-column", message).help(hint));
        }
        let list = Self { name, reader, rows, divider, columns, ids: BTreeMap::new() };
        Ok(if wrong.is_empty() { Ok(list) } else { Err(wrong) })
    }

    /// The column that names a stock of a shop, if there is one.
    pub(super) fn names_a_stock(&self) -> Option<&str> {
        let is_stock = |c: &&Column| c.key.as_ref().is_some_and(|key| key.ends_with(".stock"));
        self.columns.iter().find(is_stock).map(|c| c.name.as_str())
    }

    /// How the list was read, where that is not by commas.
    pub(super) fn note(&self) -> Option<Problem> {
        let by = match self.divider {
            b';' => "semicolons",
            b'\t' => "tabs",
            _ => return None,
        };
        let message = format!("its cells are divided by {by}, so a comma in a number is read as its decimal mark");
        let mut note = Problem::new(1, "", None, "list-divider", message);
        note.severity = severity_word(Severity::Hint).into();
        Some(note)
    }

    /// The next row; `None` after the last.
    pub(super) fn next_row(&mut self) -> Result<Option<Row>, Failure> {
        let mut record = ByteRecord::new();
        loop {
            self.rows.next();
            if !self.reader.read_byte_record(&mut record).map_err(|e| csv_failure(&self.name, &e))? {
                return Ok(None);
            }
            // A line with nothing on it is no row.
            if record.len() != 1 || record.iter().any(|f| !f.trim_ascii().is_empty()) {
                break;
            }
        }
        let number = record.position().map_or(0, csv::Position::line);
        let mut row = Row {
            row: number,
            id: String::new(),
            cells: Vec::new(),
            columns: Vec::new(),
            wrong: Vec::new(),
            again: None,
            first_copy: 1,
        };
        let id_at = self.columns.iter().position(|c| c.key.is_none()).unwrap_or(0);
        row.id = record.get(id_at).map(|f| String::from_utf8_lossy(f).trim().to_owned()).unwrap_or_default();
        row.id.truncate(row.id.char_indices().nth(LONGEST_ID + 1).map_or(row.id.len(), |(i, _)| i));
        let mut wrong = |column: Option<&str>, code: &'static str, message: String, hint: &str| {
            row.wrong.push(Problem::new(number, &row.id, column, code, message).help(hint));
        };
        if record.len() != self.columns.len() {
            let message = format!("the row has {} cells and the header {}", record.len(), self.columns.len());
            wrong(None, "cells", message, "a cell with a comma in it stands in \"quotes\"; is a quote left open?");
            return Ok(Some(row));
        }
        for (field, column) in record.iter().zip(&self.columns) {
            let Ok(text) = std::str::from_utf8(field) else {
                let message = "the cell is not text in UTF-8".to_owned();
                wrong(Some(&column.name), "not-text", message, "save the list again as CSV in UTF-8");
                continue;
            };
            let text = text.trim();
            if text.len() > LONGEST {
                let message = format!("the cell is {} characters long", text.chars().count());
                wrong(Some(&column.name), "long-cell", message, "is a quote left open?");
            } else if let (Some(key), false) = (&column.key, text.is_empty()) {
                let has_commas = self.divider != b',' && column.is_number;
                let cell = if has_commas { with_points(text) } else { text.to_owned() };
                row.cells.push(Override { key: key.clone(), cell });
                row.columns.push(column.name.clone());
            }
        }
        let id_column = self.columns.get(id_at).map(|c| c.name.as_str());
        if row.id.is_empty() {
            let hint = "every item needs an id of its own: it stands on its pieces";
            wrong(id_column, "no-id", "the row has no id".into(), hint);
        } else if row.id.chars().count() > LONGEST_ID || row.id.contains(char::is_control) {
            let hint = "an id stands on labels and in file names: a few letters, figures and dashes";
            wrong(id_column, "bad-id", format!("an id has at most {LONGEST_ID} characters and one line"), hint);
        } else if let Some(before) = self.ids.get(&row.id) {
            let message = format!("the id {} is that of row {before} too", row.id);
            wrong(id_column, "id-twice", message, "give one of them another id; for several boxes alike use copies");
        } else {
            self.ids.insert(row.id.clone(), number);
        }
        Ok(Some(row))
    }
}

fn column(field: &[u8], before: &[Column]) -> Result<Column, Box<Problem>> {
    let name = String::from_utf8_lossy(field).trim().to_owned();
    let wrong =
        |code, message: String, hint: &str| Box::new(Problem::new(1, "", Some(&name), code, message).help(hint));
    if before.iter().any(|c| c.name == name) {
        return Err(wrong("column-twice", format!("the column `{name}` is there twice"), "take one of them out"));
    }
    if name == "id" {
        return Ok(Column { name, key: None, is_number: false });
    }
    let key = SHORT.iter().find(|(short, _)| *short == name).map_or(name.as_str(), |(_, key)| key).to_owned();
    match shape_of(&JOB, &key) {
        Ok(shape) if key != "format" => Ok(Column { name, key: Some(key), is_number: is_number(shape) }),
        found => {
            let short = ["id", "title", "width", "height", "depth", "copies"];
            let near = nearest(&name, short.into_iter()).map(str::to_owned).or(found.err().flatten());
            let hint = near.map_or_else(
                || "a column is id, title, width, height, depth, copies or a key of the job: board.thickness".into(),
                |near| format!("did you mean `{near}`?"),
            );
            Err(wrong("unknown-column", format!("a job has no value `{name}`"), &hint))
        }
    }
}

/// Whether a value of this shape is a number or several, with or without a unit.
fn is_number(shape: &Shape) -> bool {
    match shape {
        Shape::Length | Shape::LengthOrShare | Shape::LengthOrWord(_) | Shape::Share | Shape::Number => true,
        Shape::List(inner) => is_number(inner),
        _ => false,
    }
}

/// Readings whose decimal mark is a comma, with a point instead. What has a point already, or several commas, may
/// hold thousands and is left to be told as it stands.
fn with_points(cell: &str) -> String {
    let reading = |text: &str| {
        let is_decimal = text.split_once(',').is_some_and(|(whole, part)| {
            whole.ends_with(|c: char| c.is_ascii_digit())
                && part.starts_with(|c: char| c.is_ascii_digit())
                && !text.contains('.')
                && !part.contains(',')
        });
        if is_decimal { text.replace(',', ".") } else { text.to_owned() }
    };
    if cell.starts_with('[') {
        return cell.to_owned();
    }
    cell.split(';').map(reading).collect::<Vec<_>>().join(";")
}

/// What divides the header's cells: whichever of the three is there most.
fn divider(start: &[u8]) -> u8 {
    let header = start.split(|b| matches!(b, b'\n' | b'\r')).next().unwrap_or_default();
    let count = |d: u8| header.iter().filter(|b| **b == d).count();
    // Of equals the last wins.
    b";\t,".iter().copied().max_by_key(|d| count(*d)).unwrap_or(b',')
}

fn csv_failure(name: &str, e: &csv::Error) -> Failure {
    Failure::usage(format!("cannot read {name}: {e}"), "is it a CSV file?".into())
}

impl Problem {
    pub(super) fn is_error(&self) -> bool {
        self.severity == severity_word(Severity::Error)
    }
}

#[cfg(test)]
mod tests {
    use super::with_points;

    #[test]
    fn a_decimal_comma_is_a_point_and_nothing_else_is_changed() {
        for (cell, read) in [
            ("31,5", "31.5"),
            ("10,5; 11;11,25 mm", "10.5; 11;11.25 mm"),
            ("3 1/2 in", "3 1/2 in"),
            ("1.250,5", "1.250,5"),
            ("1,250,5", "1,250,5"),
            ("10, 11", "10, 11"),
            ("[10, 11]", "[10, 11]"),
            ("1.5", "1.5"),
        ] {
            assert_eq!(with_points(cell), read);
        }
    }
}
