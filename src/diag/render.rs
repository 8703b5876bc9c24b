//! Diagnostics as a person reads them and as JSON.

use super::many::{Group, counts, grouped};
use super::{Diagnostic, Place, Places, Severity, Source};
use annotate_snippets::{AnnotationKind, Level as Rank, Renderer, Snippet};
use serde_json::json;
use std::ops::Range;

/// How much is told.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// Errors alone.
    Errors,
    /// Errors and warnings, those of a kind as one; hints are counted.
    #[default]
    Usual,
    /// Everything, one by one.
    All,
}

/// A text and what is said of it.
#[derive(Clone, Copy)]
pub struct Of<'a> {
    /// The text.
    pub source: &'a Source,
    /// Where its keys stand.
    pub places: &'a Places,
    /// What is said.
    pub said: &'a [Diagnostic],
}

/// All diagnostics as text, one by one, the gravest last, nearest to the prompt; each with the file, line
/// and column, the line itself underlined and the hint. `color` adds terminal colours.
pub fn render(diagnostics: &[Diagnostic], source: &Source, places: &Places, color: bool) -> String {
    tell(&[Of { source, places, said: diagnostics }], Level::All, color)
}

/// What stands for notes that are counted and not shown.
pub fn hidden_notes(n: usize) -> String {
    if n == 1 { "1 note: -v shows it".into() } else { format!("{n} notes: -v shows them") }
}

/// What is said of several texts, as much as the level asks for: the gravest last, whichever text it is of.
pub fn tell(all: &[Of<'_>], level: Level, color: bool) -> String {
    let renderer = if color { Renderer::styled() } else { Renderer::plain() };
    let mut text = String::new();
    let [hints, ..] = counts(all.iter().flat_map(|of| of.said));
    if level == Level::Usual && hints > 0 {
        text.push_str(&format!("{}\n\n", hidden_notes(hints)));
    }
    let least = match level {
        Level::Errors => Severity::Error,
        Level::Usual => Severity::Warning,
        Level::All => Severity::Hint,
    };
    for severity in [Severity::Hint, Severity::Warning, Severity::Error].into_iter().filter(|s| *s >= least) {
        for of in all {
            let said: Vec<&Diagnostic> =
                in_order(of.said, of.source, of.places).into_iter().filter(|d| d.severity == severity).collect();
            let groups = if level == Level::All {
                said.into_iter().map(|worst| Group { worst, count: 1 }).collect()
            } else {
                grouped(&said)
            };
            for group in groups {
                text.push_str(&one(&group, of, &renderer));
                text.push_str("\n\n");
            }
        }
    }
    text
}

fn one(group: &Group<'_>, of: &Of<'_>, renderer: &Renderer) -> String {
    let (d, source) = (group.worst, of.source);
    let rank = match d.severity {
        Severity::Error => Rank::ERROR,
        Severity::Warning => Rank::WARNING,
        Severity::Hint => Rank::NOTE,
    };
    let message = group.message();
    let title = rank.primary_title(message.as_str()).id(d.code);
    let mut shown = match span_of(d, source, of.places) {
        Some(span) => title.element(
            Snippet::source(&source.text).path(source.name.as_str()).annotation(AnnotationKind::Primary.span(span)),
        ),
        None => title.element(annotate_snippets::Origin::path(source.name.as_str())),
    };
    if let Some(hint) = &d.hint {
        shown = shown.element(Rank::HELP.message(hint.as_str()));
    }
    renderer.render(&[shown]).to_string()
}

/// All diagnostics as a JSON array of `{severity, code, message, hint, file, line, column}`, gravest first; line
/// and column count from 1, columns in characters, both null when there is no place.
pub fn to_json(diagnostics: &[Diagnostic], source: &Source, places: &Places) -> serde_json::Value {
    in_order(diagnostics, source, places)
        .into_iter()
        .map(|d| {
            let at = span_of(d, source, places).map(|s| line_column(&source.text, s.start));
            json!({
                "severity": match d.severity {
                    Severity::Error => "error",
                    Severity::Warning => "warning",
                    Severity::Hint => "hint",
                },
                "code": d.code,
                "message": d.message,
                "hint": d.hint,
                "file": source.name,
                "line": at.map(|a| a.0),
                "column": at.map(|a| a.1),
            })
        })
        .collect()
}

/// Line and column of a byte, both from 1.
pub(crate) fn line_column(text: &str, byte: usize) -> (usize, usize) {
    let mut byte = byte.min(text.len());
    while !text.is_char_boundary(byte) {
        byte -= 1;
    }
    let before = &text[..byte];
    let line_start = before.rfind('\n').map_or(0, |i| i + 1);
    (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1)
}

/// Gravest first, then in the order of the text.
fn in_order<'a>(all: &'a [Diagnostic], source: &Source, places: &Places) -> Vec<&'a Diagnostic> {
    let mut sorted: Vec<&Diagnostic> = all.iter().collect();
    sorted.sort_by_key(|d| {
        let at = span_of(d, source, places).map_or(usize::MAX, |s| s.start);
        (std::cmp::Reverse(d.severity), at)
    });
    sorted
}

/// The bytes a diagnostic points at, brought into the text and onto character boundaries.
fn span_of(d: &Diagnostic, source: &Source, places: &Places) -> Option<Range<usize>> {
    let span = match d.place.as_ref()? {
        Place::Span(span) => span.clone(),
        // A key that is nowhere in the text, nor any table above it, is missing from its top.
        Place::Key(key) => places.find(key).unwrap_or(0..0),
    };
    let text = &source.text;
    let onto = |mut i: usize| {
        i = i.min(text.len());
        while !text.is_char_boundary(i) {
            i -= 1;
        }
        i
    };
    let start = onto(span.start);
    // A span over several lines is shown by its first.
    let line_end = text[start..].find('\n').map_or(text.len(), |i| start + i);
    Some(start..onto(span.end).clamp(start, line_end.max(start)))
}
