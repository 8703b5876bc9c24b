//! Diagnostics as a person reads them and as JSON.

use super::{Diagnostic, Place, Places, Severity, Source};
use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};
use serde_json::json;
use std::ops::Range;

/// All diagnostics as text, gravest first, each with the file, line and column, the line itself
/// underlined and the hint. `color` adds terminal colours.
pub fn render(diagnostics: &[Diagnostic], source: &Source, places: &Places, color: bool) -> String {
    let renderer = if color { Renderer::styled() } else { Renderer::plain() };
    let mut text = String::new();
    for d in in_order(diagnostics, source, places) {
        let level = match d.severity {
            Severity::Error => Level::ERROR,
            Severity::Warning => Level::WARNING,
            Severity::Hint => Level::NOTE,
        };
        let title = level.primary_title(d.message.as_str()).id(d.code);
        let mut group = match span_of(d, source, places) {
            Some(span) => title.element(
                Snippet::source(&source.text).path(source.name.as_str()).annotation(AnnotationKind::Primary.span(span)),
            ),
            None => title.element(annotate_snippets::Origin::path(source.name.as_str())),
        };
        if let Some(hint) = &d.hint {
            group = group.element(Level::HELP.message(hint.as_str()));
        }
        text.push_str(&renderer.render(&[group]));
        text.push_str("\n\n");
    }
    text
}

/// All diagnostics as a JSON array of `{severity, code, message, hint, file, line, column}`; line
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
