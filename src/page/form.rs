//! The fields of a document, made from its table of keys.

use super::values::default_text;
use crate::diag::capital;
use crate::doc::{Key, Need, Shape, Table};
use serde::Serialize;

/// A form.
#[derive(Clone, Debug, Serialize)]
pub struct Form {
    /// Its sections.
    pub sections: Vec<Section>,
}

/// A table of keys with what stands in it.
#[derive(Clone, Debug, Serialize)]
pub struct Section {
    /// The table's dotted key; empty for what stands in no table. Of a list of tables `N` stands for an
    /// entry's number.
    pub key: String,
    /// Its heading.
    pub title: String,
    /// What it is about.
    pub about: String,
    /// The side of a lid.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub side: Option<&'static str>,
    /// Whether the table may be absent.
    pub optional: bool,
    /// Whether there may be several of it: entries are counted from 0 where the key says `N`.
    pub list: bool,
    /// Its fields.
    pub fields: Vec<Field>,
}

/// One key.
#[derive(Clone, Debug, Serialize)]
pub struct Field {
    /// The dotted key.
    pub key: String,
    /// What it is called.
    pub label: String,
    /// What it means.
    pub about: &'static str,
    /// What it holds.
    pub kind: &'static str,
    /// The words that it may be.
    pub words: Option<&'static [&'static str]>,
    /// Whether it must be there.
    pub required: bool,
    /// What is taken where it is left out.
    pub default: Option<String>,
    /// Whether it is shown from the start.
    pub plain: bool,
    /// Whether its entries stand on lines of their own.
    pub lines: bool,
}

/// Headings of tables, by key.
const TITLES: &[(&str, &str)] = &[
    ("", "The box"),
    ("contents", "The stack"),
    ("board", "Board"),
    ("cloth", "Cloth"),
    ("paper", "Paper of the sides"),
    ("liner", "Liner"),
    ("elastic", "Elastic"),
    ("box", "How it is built"),
    ("strips", "Crossed strips"),
    ("slipcase", "Slipcase"),
    ("portfolio", "Portfolio"),
    ("covering", "Covering"),
    ("making", "The hand that makes it"),
    ("strap", "Strap"),
    ("turning", "Sheets worked from both faces"),
    ("marks", "Marks on the pieces"),
    ("glue", "Glue"),
    ("work", "Hours and prices"),
    ("machine", "The machine"),
    ("output", "Its programs"),
];

/// What is asked first; the rest can be opened.
const PLAIN: &[&str] = &[
    "title",
    "units",
    "copies",
    "contents.width",
    "contents.height",
    "contents.depth",
    "board.thickness",
    "board.sheet.width",
    "board.sheet.height",
    "cloth.thickness",
    "paper.thickness",
    "liner.thickness",
    "box.construction",
    "flap.N.tier",
    "flap.N.reach",
    "flap.N.shape",
    "strips.height.first",
    "strips.height.last",
    "strips.width.first",
    "strips.width.last",
    "making.by",
    "strap.along",
    "name",
    "machine.width",
    "machine.height",
    "tool.N.id",
    "tool.N.kind",
    "tool.N.kerf",
    "tool.N.max_depth",
    "rule.N.operation",
    "rule.N.stock",
    "rule.N.tool",
    "rule.N.feed",
];

/// The form of a job.
pub(super) fn job() -> Form {
    form(&crate::job::JOB, &["format"])
}

/// The form of a machine profile.
pub(super) fn profile() -> Form {
    form(&crate::profile::TABLE, &["format"])
}

fn form(table: &'static Table, hidden: &[&str]) -> Form {
    let mut form = Form { sections: Vec::new() };
    section(&mut form, table, "", Kind { about: table.about, optional: false, list: false, side: None });
    if let Some(head) = form.sections.first_mut() {
        head.fields.retain(|f| !hidden.contains(&f.key.as_str()));
    }
    form.sections.retain(|s| !s.fields.is_empty() || s.optional);
    form
}

/// What is known of a section before its keys are walked.
#[derive(Clone, Copy)]
struct Kind {
    about: &'static str,
    optional: bool,
    list: bool,
    side: Option<&'static str>,
}

fn section(form: &mut Form, table: &'static Table, path: &str, kind: Kind) {
    let at = form.sections.len();
    form.sections.push(Section {
        key: path.to_owned(),
        title: title(path, kind.side),
        about: kind.about.to_owned(),
        side: kind.side,
        optional: kind.optional,
        list: kind.list,
        fields: Vec::new(),
    });
    keys(form, at, table, path, "");
}

/// The keys of a table into a section; small tables that are always there come into the same one.
fn keys(form: &mut Form, at: usize, table: &'static Table, path: &str, within: &str) {
    for key in table.keys {
        let dotted = if path.is_empty() { key.name.to_owned() } else { format!("{path}.{}", key.name) };
        let side = form.sections.get(at).and_then(|s| s.side);
        let kind = Kind { about: key.about, optional: matches!(key.need, Need::Optional), list: false, side };
        match &key.shape {
            Shape::Table(inner) if path.is_empty() || kind.optional => section(form, inner, &dotted, kind),
            Shape::Table(inner) => {
                let within = format!("{within}{}, ", words(key.name));
                keys(form, at, inner, &dotted, &within);
            }
            Shape::Named(names, inner) => {
                for name in *names {
                    let about = inner.about;
                    section(form, inner, &format!("{dotted}.{name}"), Kind { about, side: Some(name), ..kind });
                }
            }
            Shape::Tables(inner) => section(form, inner, &format!("{dotted}.N"), Kind { list: true, ..kind }),
            shape => {
                let field = field(key, shape, dotted, within);
                if let Some(section) = form.sections.get_mut(at) {
                    section.fields.push(field);
                }
            }
        }
    }
}

fn field(key: &'static Key, shape: &'static Shape, dotted: String, within: &str) -> Field {
    let (kind, words_of) = kind(shape);
    Field {
        label: format!("{within}{}", words(key.name)),
        about: key.about,
        kind,
        words: words_of,
        required: matches!(key.need, Need::Required),
        default: default_text(key),
        plain: PLAIN.contains(&any_entry(&dotted).as_str()),
        lines: matches!(shape, Shape::List(Shape::Text)),
        key: dotted,
    }
}

fn kind(shape: &'static Shape) -> (&'static str, Option<&'static [&'static str]>) {
    match shape {
        Shape::Length => ("length", None),
        Shape::LengthOrShare => ("length-or-share", None),
        Shape::LengthOrWord(words) => ("length-or-word", Some(words)),
        Shape::Share => ("share", None),
        Shape::Number => ("number", None),
        Shape::Count => ("count", None),
        Shape::Flag => ("flag", None),
        Shape::Text => ("text", None),
        Shape::Word(words) => ("word", Some(words)),
        Shape::List(_) => ("list", None),
        Shape::Table(_) | Shape::Named(..) | Shape::Tables(_) => ("table-list", None),
    }
}

/// A key with what stands for any side or entry in place of it.
fn any_entry(dotted: &str) -> String {
    match dotted.strip_prefix("flap.").and_then(|rest| rest.split_once('.')) {
        Some((_, rest)) => format!("flap.N.{rest}"),
        None => dotted.to_owned(),
    }
}

fn title(path: &str, side: Option<&str>) -> String {
    if let Some((_, title)) = TITLES.iter().find(|(key, _)| *key == path) {
        return (*title).to_owned();
    }
    match (side, path.split('.').collect::<Vec<_>>().as_slice()) {
        (Some(side), [closing @ ("ties" | "magnets" | "window"), _]) => capital(&format!("{side} lid: {closing}")),
        (Some(side @ ("front" | "back")), ["sides", _]) => capital(&format!("{side} cover: covered by part")),
        (Some(side), ["sides", _]) => capital(&format!("{side} lid: covered by part")),
        (Some(side), [_, _]) => capital(&format!("{side} lid")),
        (Some(side), [.., last]) => capital(&format!("{side} lid: {}", words(last))),
        (None, [one, "N"]) => capital(&words(one)),
        (None, [first, rest @ ..]) => {
            let rest: Vec<String> = rest.iter().filter(|w| **w != "N").map(|w| words(w)).collect();
            capital(&if rest.is_empty() { words(first) } else { format!("{}: {}", words(first), rest.join(", ")) })
        }
        (_, []) => String::new(),
    }
}

fn words(name: &str) -> String {
    name.replace('_', " ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_has_a_field_and_a_section() {
        let form = job();
        let has = |key: &str| form.sections.iter().flat_map(|s| &s.fields).any(|f| f.key == key);
        for key in [
            "title",
            "contents.clearance.width",
            "board.sheet.width",
            "board.leftover.N.count",
            "flap.tail.notch.depth",
            "cloth.sheet.height",
            "strips.width.last",
        ] {
            assert!(has(key), "{key}");
        }
        let lid = form.sections.iter().find(|s| s.key == "flap.head").unwrap();
        assert_eq!((lid.title.as_str(), lid.side, lid.optional), ("Head lid", Some("head"), true));
        assert!(profile().sections.iter().any(|s| s.key == "tool.N" && s.list));
    }
}
