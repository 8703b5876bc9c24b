//! What is wrong with a row, by row and column.

use crate::diag::{Diagnostic, Place, Places, Severity, line_column};
use serde::{Deserialize, Serialize};

/// One thing to tell of a list.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(super) struct Problem {
    /// The row, the header being 1; `None` for a sheet that several rows share.
    pub(super) row: Option<u64>,
    /// The item's id.
    pub(super) id: String,
    /// The column that it lies in; `None` where it lies in the job or in several.
    pub(super) column: Option<String>,
    /// Where else: a line of the job, a sheet of a lot.
    pub(super) place: Option<String>,
    /// `error`, `warning` or `hint`.
    pub(super) severity: String,
    /// Its short name.
    pub(super) code: String,
    /// What is wrong.
    pub(super) message: String,
    /// What to do.
    pub(super) hint: Option<String>,
}

/// Which row a problem is of, and the columns of its cells.
pub(super) struct At<'a> {
    pub(super) row: u64,
    pub(super) id: &'a str,
    pub(super) columns: &'a [String],
}

/// What problems of several rows have in common: code, message, place, column.
pub(super) type Kind = (String, String, Option<String>, Option<String>);

impl Problem {
    pub(super) fn new(row: u64, id: &str, column: Option<&str>, code: &str, message: impl Into<String>) -> Self {
        Self {
            row: Some(row),
            id: id.to_owned(),
            column: column.map(str::to_owned),
            place: None,
            severity: severity_word(Severity::Error).into(),
            code: code.into(),
            message: message.into(),
            hint: None,
        }
    }

    pub(super) fn help(mut self, hint: &str) -> Self {
        self.hint = Some(hint.to_owned());
        self
    }

    /// A diagnostic of a row's job. `text` is the job's text with the row's lines after its first
    /// `own` bytes; `file` is the job's name.
    pub(super) fn of_row(d: &Diagnostic, row: &At<'_>, file: &str, text: &str, own: usize, places: &Places) -> Self {
        let span = match &d.place {
            Some(Place::Span(span)) => Some(span.clone()),
            Some(Place::Key(key)) => places.find(key),
            None => None,
        };
        let mut problem = Self::new(row.row, row.id, None, d.code, d.message.clone());
        problem.severity = severity_word(d.severity).into();
        problem.hint.clone_from(&d.hint);
        if let Some(span) = span.filter(|s| *s != (0..0)) {
            let line = line_column(text, span.start).0;
            if span.start >= own {
                let first = line_column(text, own).0;
                problem.column = row.columns.get(line - first).cloned();
            } else {
                problem.place = Some(format!("{file} line {line}"));
            }
        }
        problem
    }

    /// A diagnostic of a sheet that rows share.
    pub(super) fn of_sheet(d: &Diagnostic, place: String) -> Self {
        Self {
            row: None,
            place: Some(place),
            severity: severity_word(d.severity).into(),
            hint: d.hint.clone(),
            ..Self::new(0, "", None, d.code, d.message.clone())
        }
    }

    /// What several rows have in common.
    pub(super) fn kind(&self) -> Kind {
        (
            self.code.clone(),
            if self.row.is_some() { self.message.clone() } else { without_items(&self.message) },
            self.place.clone().filter(|_| self.row.is_some()),
            self.column.clone(),
        )
    }

    /// As a person reads it; `others` are further rows of which the same is to be said.
    pub(super) fn show(&self, list: &str, others: usize) -> String {
        let mut at = match self.row {
            Some(row) => format!("{list} row {row}"),
            None => list.to_owned(),
        };
        if !self.id.is_empty() {
            at.push_str(&format!(" ({})", self.id));
        }
        if let Some(column) = &self.column {
            at.push_str(&format!(", column {column}"));
        }
        if let Some(place) = &self.place {
            at.push_str(&format!(", {place}"));
        }
        let (one, several) = if self.row.is_some() { ("row", "rows") } else { ("place", "places") };
        let more = match others {
            0 => String::new(),
            1 => format!(" (and in one more {one})"),
            n => format!(" (and in {n} more {several})"),
        };
        let help = self.hint.as_ref().map_or(String::new(), |h| format!("  help: {h}\n"));
        format!("{}: {at}: {}{more}\n{help}", self.severity, self.message)
    }
}

/// A message of a sheet without the items that its pieces are named after: `TH-003/board-base` is any
/// item's base.
fn without_items(message: &str) -> String {
    let words = message.split(' ').map(|word| word.rsplit_once('/').map_or(word, |(_, piece)| piece));
    words.collect::<Vec<_>>().join(" ")
}

pub(super) const fn severity_word(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Hint => "hint",
    }
}
