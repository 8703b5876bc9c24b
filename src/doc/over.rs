//! Keys of a document given from outside it: a row of a list over a template.
//!
//! Each is put into the parsed document before it is read, so that it is read and checked exactly
//! as if it stood in the file. It gets a line of its own in a text after the document's, and its
//! place is there.

use super::nearest::nearest;
use super::{Shape, Table};
use std::borrow::Cow;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A key and what it is to be, as a person types it into a cell: `12.5`, `3/32 in`, `true`; of a
/// list the entries divided by semicolons, or as TOML in brackets.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Override {
    /// The dotted key, `board.thickness`.
    pub key: String,
    /// What the cell says.
    pub cell: String,
}

/// What a dotted key can be in `table`; for a key that it has not, the nearest that it has.
pub fn shape_of(table: &'static Table, key: &str) -> Result<&'static Shape, Option<String>> {
    let mut found = table;
    let mut named: Option<&'static [&'static str]> = None;
    let mut path = String::new();
    let mut parts = key.split('.').peekable();
    while let Some(part) = parts.next() {
        let near = |known: Option<&str>| known.map(|k| format!("{path}{k}"));
        if let Some(names) = named.take() {
            if !names.contains(&part) {
                return Err(near(nearest(part, names.iter().copied())));
            }
        } else {
            let Some(key) = found.keys.iter().find(|k| k.name == part) else {
                return Err(near(nearest(part, found.keys.iter().map(|k| k.name))));
            };
            match &key.shape {
                Shape::Table(inner) => found = inner,
                Shape::Named(names, inner) => {
                    found = inner;
                    named = Some(names);
                }
                Shape::Tables(_) => return Err(None),
                shape if parts.peek().is_none() => return Ok(shape),
                _ => return Err(None),
            }
        }
        path.push_str(part);
        path.push('.');
    }
    // A table is no value; one of its keys is meant.
    Err(None)
}

/// Overrides written as lines of TOML after the document's text.
pub(super) struct Lines {
    /// The document's text, then a line for each override.
    pub(super) whole: String,
    /// Where each value stands in it.
    spans: Vec<Range<usize>>,
    /// Each line alone.
    alone: Vec<String>,
}

/// What stands before a value in [`Lines::alone`].
const BEFORE: &str = "x = ";

impl Lines {
    /// Lines for these overrides. A key that the table has not is left as text and is told when the
    /// document is read.
    pub(super) fn new(text: &str, overrides: &[Override], table: &'static Table) -> Self {
        let mut whole = String::with_capacity(text.len() + 64 * overrides.len() + 1);
        whole.push_str(text);
        if !text.ends_with('\n') && !overrides.is_empty() {
            whole.push('\n');
        }
        let (mut spans, mut alone) = (Vec::new(), Vec::new());
        for o in overrides {
            let value = match shape_of(table, &o.key) {
                Ok(shape) => as_toml(&o.cell, shape),
                Err(_) => quoted(&o.cell),
            };
            whole.push_str(&o.key);
            whole.push_str(" = ");
            spans.push(whole.len()..whole.len() + value.len());
            whole.push_str(&value);
            whole.push('\n');
            alone.push(format!("{BEFORE}{value}"));
        }
        Self { whole, spans, alone }
    }

    /// Puts the overrides into the parsed document.
    pub(super) fn put<'t>(&'t self, root: &mut DeTable<'t>, overrides: &'t [Override]) {
        for ((o, span), line) in overrides.iter().zip(&self.spans).zip(&self.alone) {
            let (table, _) = DeTable::parse_recoverable(line);
            if let Some(value) = table.get_ref().get("x") {
                insert(root, &o.key, moved(value, span.start), span);
            }
        }
    }
}

/// A cell as the TOML that a person would have written for it.
fn as_toml(cell: &str, shape: &Shape) -> String {
    let cell = cell.trim();
    match shape {
        Shape::List(_) if kind_of(cell) == Some(Kind::List) => cell.to_owned(),
        Shape::List(inner) => {
            let entries: Vec<String> =
                cell.split(';').map(str::trim).filter(|e| !e.is_empty()).map(|e| as_toml(e, inner)).collect();
            format!("[{}]", entries.join(", "))
        }
        Shape::Text | Shape::Word(_) => quoted(cell),
        _ if kind_of(cell) == Some(Kind::Plain) => cell.to_owned(),
        _ => quoted(cell),
    }
}

/// Whether a text is one whole value in TOML, and which. One that would need a second line or a
/// comment is none.
fn kind_of(cell: &str) -> Option<Kind> {
    if cell.contains(['\n', '\r', '#']) {
        return None;
    }
    let line = format!("{BEFORE}{cell}");
    let (table, errors) = DeTable::parse_recoverable(&line);
    let kind = match table.get_ref().get("x")?.get_ref() {
        DeValue::Integer(_) | DeValue::Float(_) | DeValue::Boolean(_) => Kind::Plain,
        DeValue::Array(_) => Kind::List,
        _ => return None,
    };
    errors.is_empty().then_some(kind)
}

/// A value that is written without quotes.
#[derive(PartialEq, Eq)]
enum Kind {
    Plain,
    List,
}

/// Text as a basic string of TOML.
fn quoted(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 2);
    out.push('"');
    for c in text.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            c if c.is_control() => out.push_str(&format!("\\u{:04X}", c as u32)),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

fn insert<'t>(root: &mut DeTable<'t>, key: &'t str, value: Spanned<DeValue<'t>>, span: &Range<usize>) {
    let (tables, last) = key.rsplit_once('.').unwrap_or(("", key));
    let name = |part: &'t str| Spanned::new(span.clone(), Cow::Borrowed(part));
    let mut at = root;
    for part in tables.split('.').filter(|p| !p.is_empty()) {
        let empty = || Spanned::new(span.clone(), DeValue::Table(DeTable::new()));
        match at.entry(name(part)).or_insert_with(empty).get_mut() {
            DeValue::Table(inner) => at = inner,
            // Wrong in the document itself, and told there.
            _ => return,
        }
    }
    at.insert(name(last), value);
}

/// The same value where it stands in the whole text: `start` is the place of its first byte.
fn moved<'t>(value: &Spanned<DeValue<'t>>, start: usize) -> Spanned<DeValue<'t>> {
    let to = |i: usize| (i + start).saturating_sub(BEFORE.len());
    let inner = match value.get_ref() {
        DeValue::Array(list) => DeValue::Array(list.iter().map(|e| moved(e, start)).collect()),
        other => other.clone(),
    };
    Spanned::new(to(value.span().start)..to(value.span().end), inner)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::{Diagnostic, Place};
    use crate::doc::{Document, Entry, Key, Need, RawLength, read_over};
    use crate::units::mm;

    static INNER: Table = Table {
        about: "",
        keys: &[
            Key { name: "thickness", shape: Shape::Length, need: Need::Required, about: "", likely: None },
            Key { name: "depth", shape: Shape::List(&Shape::Length), need: Need::Optional, about: "", likely: None },
        ],
    };
    static SIDE: Table = Table {
        about: "",
        keys: &[Key { name: "tier", shape: Shape::Count, need: Need::Required, about: "", likely: None }],
    };
    static TABLE: Table = Table {
        about: "",
        keys: &[
            Key { name: "title", shape: Shape::Text, need: Need::Required, about: "", likely: None },
            Key { name: "count", shape: Shape::Count, need: Need::Optional, about: "", likely: None },
            Key { name: "flag", shape: Shape::Flag, need: Need::Optional, about: "", likely: None },
            Key { name: "board", shape: Shape::Table(&INNER), need: Need::Required, about: "", likely: None },
            Key {
                name: "flap",
                shape: Shape::Named(&["left", "right"], &SIDE),
                need: Need::Optional,
                about: "",
                likely: None,
            },
        ],
    };
    const TEXT: &str = "title = \"template\"\n[board]\nthickness = 2";

    fn with(cells: &[(&str, &str)]) -> (Document, Vec<Diagnostic>, String) {
        let overrides: Vec<Override> =
            cells.iter().map(|(k, c)| Override { key: (*k).into(), cell: (*c).into() }).collect();
        read_over(TEXT, &TABLE, None, &overrides)
    }

    #[test]
    fn cells_are_read_as_if_they_stood_in_the_file() {
        let cells = [
            ("title", "Dulse; \"No. 7\""),
            ("count", " 12 "),
            ("flag", "true"),
            ("board.thickness", "98 pt"),
            ("board.depth", "7; 3/8 in ;8.5"),
            ("flap.left.tier", "2"),
        ];
        let (doc, said, _) = with(&cells);
        assert_eq!(said, []);
        assert_eq!(doc.text("title"), Some("Dulse; \"No. 7\""));
        assert_eq!(
            (doc.count("count"), doc.flag("flag"), doc.count("flap.left.tier")),
            (Some(12), Some(true), Some(2))
        );
        // 98 thousandths of an inch are 2.4892 mm.
        assert!(
            matches!(doc.length("board.thickness"), Some(RawLength::Fixed(l)) if (l - mm(2.4892)).abs() < mm(1e-9))
        );
        let depths: Vec<RawLength> = doc.lengths("board.depth");
        assert!(
            matches!(depths[..], [RawLength::Fixed(a), RawLength::Fixed(b), RawLength::Fixed(c)]
            if a == mm(7.0) && (b - mm(9.525)).abs() < mm(1e-9) && c == mm(8.5)),
            "{depths:?}"
        );
        assert!(doc.is_written("board.thickness") && doc.is_written("flap.left.tier"));
        assert!(
            matches!(with(&[("board.depth", "[1, 2]")]).0.get("board.depth"), Some(Entry::List(l)) if l.len() == 2)
        );
    }

    #[test]
    fn what_is_wrong_in_a_cell_is_placed_on_its_own_line_after_the_file() {
        for (key, cell, code) in [
            ("board.thickness", "2,500", "bad-length"),
            ("board.thickness", "2 # thick", "bad-length"),
            ("board.thickness", "2\ncount = 3", "bad-length"),
            ("count", "three", "wrong-kind"),
            ("flag", "yes", "wrong-kind"),
            ("board.depth", "7; wet; 8", "bad-length"),
            ("boord.thickness", "2", "unknown-key"),
        ] {
            let (_, said, whole) = with(&[("title", "a"), (key, cell)]);
            assert_eq!(said.iter().map(|d| d.code).collect::<Vec<_>>(), [code], "{key} = {cell:?}: {said:?}");
            let Some(Place::Span(span)) = said[0].place.clone() else { panic!("{said:?}") };
            let last_line = whole.trim_end().rfind('\n').unwrap();
            assert!(span.start > last_line, "{key}: {span:?} of {whole:?}");
            assert!(whole.get(span.clone()).is_some_and(|t| !t.is_empty()), "{span:?}");
            if cell.contains("wet") {
                assert_eq!(&whole[span], "\"wet\"");
            }
        }
    }

    #[test]
    fn a_column_is_a_key_that_holds_a_value() {
        assert!(shape_of(&TABLE, "flap.left.tier").is_ok());
        assert!(matches!(shape_of(&TABLE, "board.thicknes"), Err(Some(near)) if near == "board.thickness"));
        assert!(matches!(shape_of(&TABLE, "flap.lefd.tier"), Err(Some(near)) if near == "flap.left"));
        for key in ["", "board", "flap", "flap.left", "title.x", "board.thickness.mm", "x.y"] {
            assert!(shape_of(&TABLE, key).is_err(), "{key}");
        }
    }
}
