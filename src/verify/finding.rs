//! What a proof finds.

use super::place::{Coordinates, Shown};
use crate::diag::Severity;
use crate::geom::Point;
use serde::Serialize;
use std::collections::BTreeMap;

/// One thing that is wrong, or worth knowing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// A short stable name of the kind of thing, `too-deep`.
    pub code: &'static str,
    /// An error fails the proof; a warning or hint does not.
    pub severity: Severity,
    /// The file; filled in by whoever knows it.
    pub file: String,
    /// The line of the file, from 1.
    pub line: Option<u32>,
    /// Where: mm on the bed from its lower left corner, of a drawing from the sheet's.
    pub place: Option<Point>,
    /// The same place as the file counts; filled in by whoever knows it.
    pub shown: Option<Shown>,
    /// The piece and its copy, `board-base (copy 1)`.
    pub piece: Option<String>,
    /// What is wrong, with the numbers, no full stop.
    pub message: String,
    /// What to do about it.
    pub hint: Option<String>,
    /// What follows from it and was found besides: the kind of thing, and how often.
    pub besides: Vec<(&'static str, usize)>,
}

impl Finding {
    /// Something wrong with the whole.
    pub fn new(code: &'static str, message: impl Into<String>) -> Self {
        Self {
            code,
            severity: Severity::Error,
            file: String::new(),
            line: None,
            place: None,
            shown: None,
            piece: None,
            message: message.into(),
            hint: None,
            besides: Vec::new(),
        }
    }

    /// Counts another that follows from this one.
    pub(super) fn count(&mut self, other: &Self) {
        let all = std::iter::once((other.code, 1)).chain(other.besides.iter().copied());
        for (code, n) in all {
            match self.besides.iter_mut().find(|b| b.0 == code) {
                Some(b) => b.1 += n,
                None => self.besides.push((code, n)),
            }
        }
    }

    /// Its kind and those of what was found besides.
    pub fn codes(&self) -> impl Iterator<Item = &'static str> + '_ {
        std::iter::once(self.code).chain(self.besides.iter().map(|b| b.0))
    }

    /// Something wrong with a line.
    pub fn at(code: &'static str, line: u32, message: impl Into<String>) -> Self {
        Self { line: Some(line), ..Self::new(code, message) }
    }

    /// Something worth knowing that does not fail the proof.
    pub fn note(code: &'static str, message: impl Into<String>) -> Self {
        Self { severity: Severity::Hint, ..Self::new(code, message) }
    }

    /// With what to do about it.
    #[must_use]
    pub fn help(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    /// With its place on the bed.
    #[must_use]
    pub fn on(mut self, place: Point) -> Self {
        self.place = Some(place);
        self
    }

    /// With its piece.
    #[must_use]
    pub fn of(mut self, piece: impl Into<String>) -> Self {
        self.piece = Some(piece.into());
        self
    }

    /// With its place as a file counts.
    pub(super) fn counted(mut self, by: &Coordinates) -> Self {
        self.shown = self.place.and_then(|p| by.shown(p));
        self
    }

    /// The same, of a file.
    pub(super) fn of_file(file: &str, finding: Self) -> Self {
        Self { file: file.to_owned(), ..finding }
    }

    /// Whether it fails the proof.
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }
}

/// How many findings of one kind are kept for one file; the rest is counted.
const MOST_ALIKE: usize = 5;

/// Findings as they come, so many of a kind and no more: a program with its decimal point lost has
/// a million.
#[derive(Debug, Default)]
pub(crate) struct Many {
    kept: Vec<Finding>,
    counts: BTreeMap<&'static str, usize>,
}

impl Many {
    pub(crate) fn push(&mut self, finding: Finding) {
        let n = self.counts.entry(finding.code).or_default();
        *n += 1;
        if *n <= MOST_ALIKE {
            self.kept.push(finding);
        }
    }

    /// What was kept, the last of each kind saying how many more there were.
    pub(crate) fn into_vec(mut self) -> Vec<Finding> {
        for (code, n) in &self.counts {
            if *n > MOST_ALIKE
                && let Some(last) = self.kept.iter_mut().rfind(|f| f.code == *code)
            {
                last.message.push_str(&format!("; {} more like it", n - MOST_ALIKE));
            }
        }
        self.kept
    }
}
