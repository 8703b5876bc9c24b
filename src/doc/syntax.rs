//! Text that is not TOML, said in plain words.
//!
//! The parser goes on after an error, and one slip can bring a dozen errors after it. Only what
//! helps is kept: one error a line, a few in all, and no complaint that is a consequence.

use crate::diag::{Diagnostic, Place};
use crate::limits::quoted;
use std::collections::BTreeSet;
use std::ops::Range;
use toml::de::Error;

/// More lines than this that are not TOML, and the file is something else.
const MOST_SHOWN: usize = 8;

/// What is wrong with a text that is not TOML.
pub(super) struct Broken {
    pub(super) diagnostics: Vec<Diagnostic>,
    lines: BTreeSet<usize>,
    /// Where a list or a table that is never closed makes the rest unreadable.
    unreadable_from: usize,
}

/// Whether a diagnostic of this code says that the text could not be read as a whole.
pub fn is_syntax(code: &str) -> bool {
    matches!(code, "not-toml" | "too-large")
}

/// The errors in words, at most one a line.
pub(super) fn syntax_errors(text: &str, errors: &[Error]) -> Broken {
    let mut all: Vec<(Range<usize>, &str)> = errors.iter().map(|e| (e.span().unwrap_or(0..0), e.message())).collect();
    all.sort_by_key(|(span, _)| span.start);
    let is_open = |m: &str| m.starts_with("unclosed") && !m.starts_with("unclosed table,");
    let mut broken = Broken { diagnostics: Vec::new(), lines: BTreeSet::new(), unreadable_from: text.len() + 1 };
    if all.iter().any(|(_, m)| is_open(m))
        && let Some((span, _)) = all.first()
    {
        broken.unreadable_from = line_start(text, span.start);
        broken.lines.insert(broken.unreadable_from);
        broken.diagnostics.push(
            Diagnostic::error("not-toml", "a list or table that starts on this line or above is never closed")
                .at_span(span.clone())
                .help("a list ends with `]`, a table in one line with `}`; what follows could not be read"),
        );
        return broken;
    }
    // Found once, so that a million errors in one long line do not each look for its start.
    let starts: Vec<usize> = std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect();
    for (span, message) in all {
        let line = starts.partition_point(|start| *start <= span.start).saturating_sub(1);
        if broken.lines.insert(starts[line]) && broken.diagnostics.len() < MOST_SHOWN {
            broken.diagnostics.push(in_words(text, message, span));
        }
    }
    let more = broken.lines.len().saturating_sub(MOST_SHOWN);
    if more > 0
        && let Some(last) = broken.diagnostics.last_mut()
    {
        last.hint = Some(format!("{more} more lines below are not TOML either: is this the right file?"));
    }
    broken
}

impl Broken {
    /// Drops the diagnostics that are, or may be, consequences of the broken lines: on the same
    /// line, in what could not be read, or about something missing.
    pub(super) fn keep_what_stands(&self, text: &str, diagnostics: &mut Vec<Diagnostic>) {
        let is_unread = self.diagnostics.iter().any(|d| is_syntax(d.code));
        diagnostics.retain(|d| match &d.place {
            Some(Place::Span(s)) => {
                let line = line_start(text, s.start);
                !(is_unread && d.code == "missing-key") && line < self.unreadable_from && !self.lines.contains(&line)
            }
            _ => true,
        });
    }
}

/// The value of a line as written, without a comment.
fn after_equals(line: &str) -> &str {
    line.split_once('=').map_or("", |(_, v)| v).split('#').next().unwrap_or("").trim()
}

fn line_start(text: &str, byte: usize) -> usize {
    text.get(..byte).and_then(|t| t.rfind('\n')).map_or(0, |i| i + 1)
}

/// The parser's message in the words of a maker, where it has better ones.
fn in_words(text: &str, message: &str, span: Range<usize>) -> Diagnostic {
    let here = text.get(span.clone()).unwrap_or("");
    let after = text.get(span.start..).unwrap_or("");
    let short: String = here.chars().take(40).collect();
    let from = line_start(text, span.start);
    let line = text.get(from..).and_then(|t| t.lines().next()).unwrap_or("");
    let (code, message, hint) = if message.starts_with("duplicate key") {
        ("twice", format!("`{short}` is given twice"), "keep one of the two")
    } else if message.starts_with("string values must be quoted") && here.is_empty() {
        ("not-toml", "there is no value after `=`".into(), "write a value, or take the line out")
    } else if line.contains(['/', '%']) && after_equals(line).starts_with(|c: char| c.is_ascii_digit()) {
        (
            "not-toml",
            format!("`{}` stands without quotes", quoted(after_equals(line))),
            "a fraction or a share stands in quotes: \"1/16 in\"",
        )
    } else if after_equals(line).starts_with('.') {
        (
            "not-toml",
            format!("`{}` begins with a point", quoted(after_equals(line))),
            "write a zero before the point: 0.08",
        )
    } else if message.starts_with("string values must be quoted") {
        ("not-toml", format!("`{short}` is not a value"), "text, and a number with a unit, stand in \"quotes\"")
    } else if message.starts_with("unexpected key or value") && after.starts_with(',') {
        ("not-toml", "a comma after the value".into(), "write decimals with a point: 1.5")
    } else if message.starts_with("unexpected key or value") {
        (
            "not-toml",
            "something is left over after the value".into(),
            "one `key = value` a line; a comment starts with #",
        )
    } else if message.starts_with("key with no value") {
        ("not-toml", "there is no `=` after the key".into(), "a line is `key = value`")
    } else if message.starts_with("unclosed table") {
        ("not-toml", "the table's name is not closed".into(), "end it with `]`")
    } else if message.starts_with("invalid") && message.contains("string") {
        (
            "not-toml",
            "the text has no closing quote, or holds what text cannot".into(),
            "end it with \"; write a \\ as \\\\",
        )
    } else if message.starts_with("unexpected leading zero") {
        ("not-toml", "the number starts with a zero too many".into(), "write 8, not 08")
    } else {
        let hint = "a line is `key = value`, text stands in \"quotes\", a table starts with [its name]";
        ("not-toml", format!("this is not TOML: {}", message.trim_end_matches('.')), hint)
    };
    Diagnostic::error(code, message).at_span(span).help(hint)
}
