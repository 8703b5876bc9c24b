//! What is wrong with a row, by row and column.

use crate::diag::{Diagnostic, Place, Places, Severity, Words, line_column};
use crate::job::ANOTHER_UNIT;
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
    /// The key that it is about, where that is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) key: Option<String>,
    /// How bad it is among others of its code and key.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) weight: Option<f64>,
    /// What is said of many of them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) words: Option<Words>,
}

/// Which row a problem is of, and the columns of its cells.
pub(super) struct At<'a> {
    pub(super) row: u64,
    pub(super) id: &'a str,
    pub(super) columns: &'a [String],
}

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
            key: None,
            weight: None,
            words: None,
        }
    }

    /// With what a diagnostic says of itself among others of its kind.
    fn among_others(mut self, d: &Diagnostic) -> Self {
        self.key = d.key().map(str::to_owned);
        self.weight = d.case().map(|c| c.weight);
        self.words = d.case().and_then(|c| c.words.clone());
        self
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
        let mut problem = Self::new(row.row, row.id, None, d.code, d.message.clone()).among_others(d);
        problem.severity = severity_word(d.severity).into();
        problem.hint.clone_from(&d.hint);
        if d.code == ANOTHER_UNIT && d.key().is_some_and(|key| key.starts_with("contents.")) {
            // A list shares its job's unit, and whoever changes that changes what the job's own figures mean.
            problem.hint = Some(format!(
                "the list is read in the unit of {file}: write the unit in the cells (\"210 mm\", \"8 1/4 in\"), or \
                 give a job in the list's unit with --job"
            ));
        }
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
            ..Self::new(0, "", None, d.code, d.message.clone()).among_others(d)
        }
    }

    /// What is said of many.
    pub(super) fn words(&self) -> Option<&Words> {
        self.words.as_ref()
    }

    /// The cause among others of its code: the key, or else the message without what differs from row to row.
    pub(super) fn cause(&self) -> String {
        self.key.clone().unwrap_or_else(|| without_cases(&self.message))
    }

    /// As a person reads it, without the help; `more` says of what else it is true.
    pub(super) fn line(&self, list: &str, more: &str) -> String {
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
        format!("{}: {at}: {}{more}\n", self.word(), self.message)
    }

    /// How grave it is, in the word that a person reads everywhere.
    pub(super) fn word(&self) -> &str {
        if self.severity == "hint" { "note" } else { &self.severity }
    }

    /// The same with the help.
    pub(super) fn show(&self, list: &str) -> String {
        let help = self.hint.as_ref().map_or(String::new(), |h| format!("  help: {h}\n"));
        format!("{}{help}", self.line(list, ""))
    }
}

/// A message without what differs from row to row: figures, what was typed, and the item that a piece is
/// named after (`TH-003/board-base` is any item's base).
fn without_cases(message: &str) -> String {
    let typed = message.split('`').enumerate().map(|(i, part)| if i % 2 == 1 { "" } else { part });
    let words = typed.collect::<Vec<_>>().join("`");
    let bare = |word: &str| {
        let word = word.rsplit_once('/').map_or(word, |(_, piece)| piece);
        if word.contains(|c: char| c.is_ascii_digit()) { String::new() } else { word.to_owned() }
    };
    words.split(' ').map(bare).collect::<Vec<_>>().join(" ")
}

pub(super) const fn severity_word(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Hint => "hint",
    }
}
