//! Placeholders in the lines that a profile's owner writes: `S{power}`, `(fit {tool})`.

use std::ops::Range;

/// What a name in braces stands for. Where each may stand:
///
/// | lines | placeholders |
/// |---|---|
/// | `output.start`, `output.end` | {title} {sheet} {safe_z} |
/// | `output.change` | {tool} {number} {title} {sheet} {safe_z} |
/// | `tool.on` | {power} {speed} {tool} {number} |
/// | `tool.off` | {tool} {number} |
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Placeholder {
    /// The tool's id.
    Tool,
    /// The tool's number.
    Number,
    /// The rule's power.
    Power,
    /// The rule's speed.
    Speed,
    /// The sheet's id, `board-1`.
    Sheet,
    /// The job's title.
    Title,
    /// The Z of safe height in the machine's coordinates.
    SafeZ,
}

use Placeholder::{Number, Power, SafeZ, Sheet, Speed, Title, Tool};

/// In the first and last lines of a program.
pub(super) const IN_FRAME: &[Placeholder] = &[Title, Sheet, SafeZ];
/// In the lines of a tool change.
pub(super) const IN_CHANGE: &[Placeholder] = &[Tool, Number, Title, Sheet, SafeZ];
/// In the lines that start a tool.
pub(super) const IN_ON: &[Placeholder] = &[Power, Speed, Tool, Number];
/// In the lines that stop a tool.
pub(super) const IN_OFF: &[Placeholder] = &[Tool, Number];

impl Placeholder {
    const ALL: [Self; 7] = [Tool, Number, Power, Speed, Sheet, Title, SafeZ];

    /// Its name, without the braces.
    pub const fn word(self) -> &'static str {
        match self {
            Tool => "tool",
            Number => "number",
            Power => "power",
            Speed => "speed",
            Sheet => "sheet",
            Title => "title",
            SafeZ => "safe_z",
        }
    }

    fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|p| p.word() == name)
    }
}

/// A stretch of a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Part<'l> {
    /// Text as it stands.
    Text(&'l str),
    /// A name in braces, and whether it is known.
    Named(&'l str, Option<Placeholder>),
    /// A brace that nothing closes or opens, with the text after it.
    Stray(&'l str),
}

/// Takes a line apart, in order.
pub(super) fn parts(line: &str) -> Vec<Part<'_>> {
    let mut all = Vec::new();
    let mut rest = line;
    while let Some(at) = rest.find(['{', '}']) {
        if at > 0 {
            all.push(Part::Text(&rest[..at]));
        }
        let inner: Range<usize> = at + 1..rest[at + 1..].find(['{', '}']).map_or(rest.len(), |n| at + 1 + n);
        if rest[at..].starts_with('{') && rest[inner.end..].starts_with('}') {
            let name = &rest[inner.clone()];
            all.push(Part::Named(name, Placeholder::named(name)));
            rest = &rest[inner.end + 1..];
        } else {
            all.push(Part::Stray(&rest[at..inner.end]));
            rest = &rest[inner.end..];
        }
    }
    if !rest.is_empty() {
        all.push(Part::Text(rest));
    }
    all
}

/// The line with every placeholder replaced by what `value` says; where it says nothing, and where
/// a name is not a placeholder, the line keeps the braces (a checked profile has neither).
pub fn fill(line: &str, value: impl Fn(Placeholder) -> Option<String>) -> String {
    parts(line)
        .into_iter()
        .map(|part| match part {
            Part::Text(text) | Part::Stray(text) => text.to_owned(),
            Part::Named(name, known) => known.and_then(&value).unwrap_or_else(|| format!("{{{name}}}")),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn placeholders_are_filled_and_the_rest_stands() {
        let value = |p| match p {
            Power => Some("300".to_owned()),
            Tool => Some("beam".to_owned()),
            _ => None,
        };
        assert_eq!(fill("M4 S{power} ({tool})", value), "M4 S300 (beam)");
        assert_eq!(fill("{speed}{power}", value), "{speed}300");
        assert_eq!(fill("no braces, \u{e9}", value), "no braces, \u{e9}");
    }

    #[test]
    fn broken_braces_are_told_apart_and_kept() {
        assert_eq!(parts("S{power"), [Part::Text("S"), Part::Stray("{power")]);
        assert_eq!(parts("S}x"), [Part::Text("S"), Part::Stray("}x")]);
        assert_eq!(parts("{{tool}"), [Part::Stray("{"), Part::Named("tool", Some(Tool))]);
        assert_eq!(parts("{powr}"), [Part::Named("powr", None)]);
        for line in ["S{power", "S}x", "{{tool}}", "{}", "{\u{e9}}{"] {
            assert_eq!(fill(line, |_| None), line);
        }
    }
}
