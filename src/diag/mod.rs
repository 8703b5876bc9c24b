//! Diagnostics: what is wrong, where, and what to do about it. A stage returns its value together
//! with all of its diagnostics; nothing here prints.

mod in_unit;
mod many;
mod render;

pub use in_unit::{in_unit, number, word};
pub use many::{Case, Kin, Words};
#[cfg(feature = "cli")]
pub(crate) use render::line_column;
pub use render::{Level, Of, hidden_notes, render, tell, to_json};

use crate::units::Unit;
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

/// Words with a large letter first, as a sentence begins.
pub fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
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
    /// What it has in common with others of its code.
    pub kin: Option<Box<Kin>>,
}

impl Diagnostic {
    /// A new error.
    pub fn error(code: &'static str, message: impl Into<String>) -> Self {
        Self { code, severity: Severity::Error, message: message.into(), place: None, hint: None, kin: None }
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
        let key = key.into();
        self.place = Some(Place::Key(key.clone()));
        self.kin_mut().key = Some(key);
        self
    }

    /// One of a kind of which there may be many, as bad as `weight` says: of those of one code and key
    /// the heaviest stands for all.
    #[must_use]
    pub fn weighing(mut self, weight: f64) -> Self {
        self.kin_mut().case = Some(Case { weight, words: None });
        self
    }

    /// The same with words for all of them: see [`Words`].
    #[must_use]
    pub fn weighing_as(mut self, weight: f64, common: impl Into<String>, worst: impl Into<String>) -> Self {
        let words = Words { common: common.into(), worst: worst.into() };
        self.kin_mut().case = Some(Case { weight, words: Some(words) });
        self
    }

    /// A warning about what the maker wrote; where none of these keys is written it is about what was
    /// taken for granted, and no more than a hint.
    #[must_use]
    pub fn unless_assumed(mut self, places: &Places, keys: &[&str]) -> Self {
        if self.severity == Severity::Warning && !keys.iter().any(|key| places.has(key)) {
            self.severity = Severity::Hint;
        }
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

    /// With the lengths of its words in the unit of the job: see [`in_unit`].
    #[must_use]
    pub fn in_unit(mut self, unit: Unit) -> Self {
        self.message = in_unit(&self.message, unit);
        self.hint = self.hint.map(|hint| in_unit(&hint, unit));
        if let Some(words) = self.kin.as_mut().and_then(|k| k.case.as_mut()).and_then(|c| c.words.as_mut()) {
            words.worst = in_unit(&words.worst, unit);
        }
        self
    }

    fn kin_mut(&mut self) -> &mut Kin {
        self.kin.get_or_insert_default()
    }

    /// The dotted key that it is about, where that is known, also when its place has become a span.
    pub fn key(&self) -> Option<&str> {
        self.kin.as_ref()?.key.as_deref()
    }

    /// How it is told where it is one of many.
    pub fn case(&self) -> Option<&Case> {
        self.kin.as_ref()?.case.as_ref()
    }

    /// All that is told of it alone.
    fn words(&self) -> (&str, Severity, &str, &Option<Place>, &Option<String>) {
        (self.code, self.severity, &self.message, &self.place, &self.hint)
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

/// What of `more` is not told yet: nothing of the same code stands at the same place in `told`.
pub fn untold(told: &[Diagnostic], mut more: Vec<Diagnostic>) -> Vec<Diagnostic> {
    more.retain(|d| !told.iter().any(|t| t.code == d.code && t.place == d.place));
    more
}

/// Each diagnostic once, where it was said first: several sheets have much in common.
pub fn without_repeats(said: &mut Vec<Diagnostic>) {
    let mut kept: Vec<Diagnostic> = Vec::new();
    for d in said.drain(..) {
        // Weights may differ by what the figures of the message round away.
        if !kept.iter().any(|k| k.words() == d.words()) {
            kept.push(d);
        }
    }
    *said = kept;
}
