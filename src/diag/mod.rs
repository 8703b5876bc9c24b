//! Diagnostics: what is wrong, where, and what to do about it. A stage returns its value together
//! with all of its diagnostics; nothing here prints.

mod render;

#[cfg(feature = "cli")]
pub(crate) use render::line_column;
pub use render::{render, to_json};

use serde::Serialize;
use std::collections::BTreeMap;
use std::ops::Range;

/// Words as a person lists them: `head, tail and left`.
pub fn listed(words: &[&str]) -> String {
    match words {
        [all @ .., last] if !all.is_empty() => format!("{} and {last}", all.join(", ")),
        _ => words.concat(),
    }
}

/// How grave a diagnostic is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum Severity {
    /// Worth knowing; nothing is wrong.
    Hint,
    /// The box can be made, but the maker should look.
    Warning,
    /// Nothing is written until it is mended.
    Error,
}

/// Where a diagnostic belongs.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub enum Place {
    /// Bytes of the source text.
    Span(Range<usize>),
    /// A dotted key of the document, `flap.left.reach`; found in the text by [`Places`].
    Key(String),
}

/// One thing to tell the maker.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Diagnostic {
    /// A short stable name of the kind of thing, `reach-too-long`.
    pub code: &'static str,
    /// How grave it is.
    pub severity: Severity,
    /// What is wrong, in a sentence with the numbers, no full stop.
    pub message: String,
    /// Where; `None` when it is about the whole.
    pub place: Option<Place>,
    /// What to do about it.
    pub hint: Option<String>,
}

impl Diagnostic {
    /// A new error.
    pub fn error(code: &'static str, message: impl Into<String>) -> Self {
        Self { code, severity: Severity::Error, message: message.into(), place: None, hint: None }
    }

    /// A new warning.
    pub fn warning(code: &'static str, message: impl Into<String>) -> Self {
        Self { severity: Severity::Warning, ..Self::error(code, message) }
    }

    /// A new hint.
    pub fn hint(code: &'static str, message: impl Into<String>) -> Self {
        Self { severity: Severity::Hint, ..Self::error(code, message) }
    }

    /// Placed at a dotted key of the document.
    #[must_use]
    pub fn at(mut self, key: impl Into<String>) -> Self {
        self.place = Some(Place::Key(key.into()));
        self
    }

    /// With its key looked up among the places of a document.
    #[must_use]
    pub fn placed(mut self, places: &Places) -> Self {
        if let Some(Place::Key(key)) = &self.place {
            self.place = Some(Place::Span(places.find(key).unwrap_or(0..0)));
        }
        self
    }

    /// Placed at bytes of the source.
    #[must_use]
    pub fn at_span(mut self, span: Range<usize>) -> Self {
        self.place = Some(Place::Span(span));
        self
    }

    /// With what to do about it.
    #[must_use]
    pub fn help(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    /// Whether it stops the work.
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }
}

/// Whether any of them stops the work.
pub fn any_error(diagnostics: &[Diagnostic]) -> bool {
    diagnostics.iter().any(Diagnostic::is_error)
}

/// The first error in one sentence, with its hint; `None` where nothing stops the work.
pub fn first_error(diagnostics: &[Diagnostic]) -> Option<String> {
    let error = diagnostics.iter().find(|d| d.is_error())?;
    Some(error.hint.as_ref().map_or_else(|| error.message.clone(), |hint| format!("{}: {hint}", error.message)))
}

/// Leaves so many as [`PROBLEMS`](crate::limits::PROBLEMS) says, the errors before the rest, each
/// in their order; the last says how many are left out.
pub fn shorten(diagnostics: &mut Vec<Diagnostic>) {
    let more = diagnostics.len().saturating_sub(crate::limits::PROBLEMS);
    if more == 0 {
        return;
    }
    diagnostics.sort_by_key(|d| !d.is_error());
    diagnostics.truncate(crate::limits::PROBLEMS);
    if let Some(last) = diagnostics.last_mut() {
        let hint = last.hint.take().map_or(String::new(), |h| format!("{h}; "));
        last.hint = Some(format!("{hint}{more} more problems are not shown"));
    }
}

/// A text that diagnostics point into.
#[derive(Clone, Debug)]
pub struct Source {
    /// The name to show, usually the path as the user gave it.
    pub name: String,
    /// The whole text.
    pub text: String,
}

/// Where each dotted key of a document stands in its text.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Places(BTreeMap<String, Range<usize>>);

impl Places {
    /// Remembers where a key stands. The first place told is kept.
    pub fn tell(&mut self, key: impl Into<String>, span: Range<usize>) {
        self.0.entry(key.into()).or_insert(span);
    }

    /// Whether the document has the key itself.
    pub fn has(&self, key: &str) -> bool {
        self.0.contains_key(key)
    }

    /// Every key with where it stands, in alphabetical order.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &Range<usize>)> {
        self.0.iter().map(|(key, span)| (key.as_str(), span))
    }

    /// Where a key stands, or the nearest table above it that the document has.
    pub fn find(&self, key: &str) -> Option<Range<usize>> {
        let mut key = key;
        loop {
            if let Some(span) = self.0.get(key) {
                return Some(span.clone());
            }
            key = &key[..key.rfind('.')?];
        }
    }
}

/// Each diagnostic once, where it was said first: several sheets have much in common.
pub fn without_repeats(said: &mut Vec<Diagnostic>) {
    let mut kept: Vec<Diagnostic> = Vec::new();
    for d in said.drain(..) {
        if !kept.contains(&d) {
            kept.push(d);
        }
    }
    *said = kept;
}
