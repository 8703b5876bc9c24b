//! Diagnostics as the page shows them: with the key and part that they are about, and an edit that mends
//! where the help names one.

use super::edit::Format;
use super::keys::{self, Named};
use crate::diag::{Diagnostic, Place, Places, Severity};
use crate::doc::parse_length;
use crate::job::Side;
use crate::units::Unit;
use serde::Serialize;

/// One thing that was found.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// `error`, `warning` or `hint`.
    pub severity: &'static str,
    /// The kind of thing.
    pub code: &'static str,
    /// What is wrong.
    pub message: String,
    /// What to do about it.
    pub help: Option<String>,
    /// The key that it is about.
    pub key: Option<String>,
    /// The line of the text, from 1.
    pub line: Option<usize>,
    /// The part of the box.
    pub part: Option<String>,
    /// An edit that does what the help says.
    pub mend: Option<Mend>,
}

/// An edit that mends.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Mend {
    /// What it does, in words.
    pub label: String,
    /// The edits.
    pub edits: Vec<Put>,
}

/// A key and what is written under it; none takes it away.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Put {
    /// The key.
    pub key: String,
    /// As a person would type it.
    pub value: Option<String>,
}

/// A text that findings are about.
#[derive(Clone, Copy)]
pub(super) struct About<'a> {
    /// The text.
    pub text: &'a str,
    /// Where its keys stand.
    pub places: &'a Places,
    /// Its format.
    pub format: Format,
}

/// The findings, gravest first, then in the order of the text.
pub(super) fn findings(said: &[Diagnostic], about: &About<'_>) -> Vec<Finding> {
    let mut all: Vec<(Severity, Finding)> = said.iter().map(|d| (d.severity, finding(d, about))).collect();
    all.sort_by_key(|(severity, f)| (std::cmp::Reverse(*severity), f.line.unwrap_or(usize::MAX)));
    all.into_iter().map(|(_, f)| f).collect()
}

/// A severity in a word.
pub(crate) const fn word(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Hint => "hint",
    }
}

fn finding(d: &Diagnostic, about: &About<'_>) -> Finding {
    let span = match &d.place {
        Some(Place::Span(span)) => Some(span.clone()),
        Some(Place::Key(key)) => about.places.find(key),
        None => None,
    };
    let key = key(d, about);
    let line = span.as_ref().and_then(|s| about.text.get(..s.start)).map(|t| t.matches('\n').count() + 1);
    Finding {
        severity: word(d.severity),
        code: d.code,
        message: d.message.clone(),
        help: d.hint.clone(),
        line: line.filter(|_| key.is_some() || span.is_some_and(|s| s.end > 0)),
        part: part(d, key.as_deref()),
        mend: mend(d, key.as_deref(), about),
        key,
    }
}

/// The key that a diagnostic is about: the one that stands where it is placed.
fn key(d: &Diagnostic, about: &About<'_>) -> Option<String> {
    if matches!(d.code, "missing-key") {
        return d.message.split('`').nth(1).map(str::to_owned);
    }
    match d.place.as_ref()? {
        Place::Key(key) => Some(key.clone()),
        Place::Span(span) if span.end == 0 => None,
        Place::Span(span) => {
            // Of those that begin there the one that ends nearest, then the deepest.
            let here = about.places.iter().filter(|(_, s)| s.start <= span.start && span.end <= s.end);
            let near = here.min_by_key(|(key, s)| (s.end - s.start, std::cmp::Reverse(key.len())))?;
            Some(entry_alone(near.0, about))
        }
    }
}

/// The key of a field: an entry of a plain list belongs to the list.
fn entry_alone(key: &str, about: &About<'_>) -> String {
    match key.rsplit_once('.') {
        Some((list, at)) if at.parse::<usize>().is_ok() && keys::named(about.format.table, key).is_none() => {
            list.to_owned()
        }
        _ => key.to_owned(),
    }
}

/// The part of the box that a diagnostic names, or its key does.
fn part(d: &Diagnostic, key: Option<&str>) -> Option<String> {
    let named = Side::ALL.into_iter().flat_map(|s| ["lid", "flap", "wall"].map(|of| (s, of)));
    let first = named
        .filter_map(|(s, of)| {
            let at = d.message.find(&format!("{} {of}", s.word()))?;
            Some((at, format!("{} {}", s.word(), if of == "wall" { "wall" } else { "lid" })))
        })
        .min();
    if let Some((_, part)) = first {
        return Some(part);
    }
    let mut parts = key?.split('.');
    match (parts.next()?, parts.next()) {
        ("sides", Some(side @ ("front" | "back"))) => Some(format!("{side} cover")),
        ("flap" | "ties" | "magnets" | "sides" | "window", Some(side)) => Some(format!("{side} lid")),
        ("strap", _) => Some("strap".into()),
        ("contents", _) => Some("contents".into()),
        _ => None,
    }
}

/// The one edit that a help names, found by how helps are worded: `KEY = VALUE`, `raise KEY to LENGTH`,
/// `did you mean`, `X is the most`.
fn mend(d: &Diagnostic, key: Option<&str>, about: &About<'_>) -> Option<Mend> {
    let help = d.hint.as_deref()?;
    if d.code == "missing-key" || d.code == "not-toml" {
        return None;
    }
    let near = help.strip_prefix("did you mean `").and_then(|rest| rest.split('`').next());
    if let Some(near) = near {
        return slip(d, key?, near, about);
    }
    let words: Vec<&str> = help.split_whitespace().collect();
    for (i, word) in words.iter().enumerate() {
        let before = i.checked_sub(1).and_then(|j| words.get(j)).copied().unwrap_or_default();
        let found = match *word {
            "=" => full_key(before, key, about).zip(value(help, &words, i + 1)),
            "to" | "joint" if ["raise", "lower", "widen", "make", "set"].contains(words.first()?) => {
                let of = if *word == "joint" || before == "joint" { "box.joint" } else { before };
                full_key(of, key, about).zip(length(&words, i + 1))
            }
            "is" if words.get(i + 1) == Some(&"the") && words.get(i + 2).is_some_and(|w| w.starts_with("most")) => {
                key.map(str::to_owned).zip(length(&words, 0))
            }
            _ => None,
        };
        if let Some((key, value)) = found
            && let Some(Named::Value(_)) = keys::named(about.format.table, &key)
        {
            let label = format!("Set {key} to {value}");
            return Some(Mend { label, edits: vec![Put { key, value: Some(value) }] });
        }
    }
    None
}

/// A slip of a word, or of a key's name.
fn slip(d: &Diagnostic, key: &str, near: &str, about: &About<'_>) -> Option<Mend> {
    let put = |key: &str, value: Option<&str>| Put { key: key.to_owned(), value: value.map(str::to_owned) };
    if d.code == "unknown-word" && !matches!(keys::named(about.format.table, key), None | Some(Named::Table(_))) {
        let label = format!("Set {key} to {near}");
        return Some(Mend { label, edits: vec![put(key, Some(near))] });
    }
    None
}

/// A word of a help as a key: whole, or beside the one that the finding is about.
fn full_key(word: &str, key: Option<&str>, about: &About<'_>) -> Option<String> {
    let word = word.trim_matches(['`', '(', ',']);
    let is_value = |key: &str| matches!(keys::named(about.format.table, key), Some(Named::Value(_)));
    if is_value(word) {
        return Some(word.to_owned());
    }
    let (above, _) = key?.rsplit_once('.')?;
    let beside = format!("{above}.{word}");
    if is_value(&beside) {
        return Some(beside);
    }
    let within = format!("{}.{word}", key?);
    is_value(&within).then_some(within)
}

/// The value that follows in a help: in quotes, a length, a word or a number.
fn value(help: &str, words: &[&str], at: usize) -> Option<String> {
    let first = words.get(at)?;
    if first.starts_with('"') {
        // With its spaces, from the text itself.
        let from = help.find(&format!("= {first}"))? + 3;
        return help.get(from..)?.split('"').next().map(str::to_owned);
    }
    length(words, at).or_else(|| {
        let word = first.trim_end_matches(['`', ',', ';', '.']);
        (word == "true" || word == "false" || word.parse::<f64>().is_ok()).then(|| word.to_owned())
    })
}

/// The length at a place among words: a number, perhaps a fraction after it, and a unit.
fn length(words: &[&str], at: usize) -> Option<String> {
    (1..=3).rev().find_map(|n| {
        let text = words.get(at..at + n)?.join(" ");
        let text = text.trim_end_matches(['`', ',', ';', '.', ')']);
        let has_unit = text.ends_with(|c: char| c.is_alphabetic() || c == '%');
        (has_unit && parse_length(text, Unit::Mm).is_ok()).then(|| text.to_owned())
    })
}

#[cfg(test)]
mod tests {
    use super::super::edit::JOB;
    use super::*;

    fn mended(code: &'static str, key: &str, help: &str) -> Option<(String, String)> {
        let places = Places::default();
        let about = About { text: "", places: &places, format: JOB };
        let d = Diagnostic::error(code, "x").at(key).help(help);
        let edits = finding(&d, &about).mend?.edits;
        Some((edits[0].key.clone(), edits[0].value.clone()?))
    }

    #[test]
    fn a_help_that_names_a_key_and_its_value_mends() {
        let some = |key: &str, value: &str| Some((key.to_owned(), value.to_owned()));
        assert_eq!(mended("a", "making", "box.joint = 3.6 mm makes it one in 1,000"), some("box.joint", "3.6 mm"));
        assert_eq!(
            mended("a", "box.wall_extra", "raise box.wall_extra to 1 3/32 in or more, or leave it \"auto\""),
            some("box.wall_extra", "1 3/32 in")
        );
        assert_eq!(
            mended("a", "box.joint", "make the joint 4 mm or more, or leave it \"auto\""),
            some("box.joint", "4 mm")
        );
        assert_eq!(
            mended("a", "box.joint", "widen the joint to 4 mm, or leave it \"auto\""),
            some("box.joint", "4 mm")
        );
        assert_eq!(mended("a", "flap.left.reach", "100 % is the most"), some("flap.left.reach", "100 %"));
        assert_eq!(
            mended("a", "strap", "write strap.pocket_depth = \"1.25 mm\" (50 % of the board)"),
            some("strap.pocket_depth", "1.25 mm")
        );
        assert_eq!(
            mended("a", "board", "set board.common_cuts = false, or name no kerf"),
            some("board.common_cuts", "false")
        );
        assert_eq!(
            mended("a", "flap.left.taper", "write `shape = \"taper\"`, or take `taper` out"),
            some("flap.left.shape", "taper")
        );
        assert_eq!(mended("unknown-word", "box.seat", "did you mean `on-base`?"), some("box.seat", "on-base"));
        assert_eq!(mended("a", "contents.depth", "is one of them a slip?"), None);
    }
}
