//! What stands under each key of a document, as a person would type it into a field.

use super::keys;
use crate::doc::{Key, Need, Shape, Table};
use crate::units::Unit;
use serde::Serialize;
use std::collections::BTreeMap;
use toml::de::{DeTable, DeValue};

/// What a field shows.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Shown {
    /// As a person types it, without quotes.
    pub text: String,
    /// Whether it stands in the document; otherwise it is what is taken where nothing is said.
    pub given: bool,
}

/// Every key that has a value, also where the text is wrong in part.
pub(super) fn values(text: &str, table: &'static Table, unit: Unit) -> BTreeMap<String, Shown> {
    let mut all = BTreeMap::new();
    if text.len() as u64 <= crate::limits::TEXT_BYTES {
        let (parsed, _) = DeTable::parse_recoverable(text);
        let mut walk = Walk { text, unit, all: &mut all };
        walk.table(Some(parsed.get_ref()), table, "");
    }
    all
}

struct Walk<'a> {
    text: &'a str,
    unit: Unit,
    all: &'a mut BTreeMap<String, Shown>,
}

impl Walk<'_> {
    fn put(&mut self, key: &str, text: String, given: bool) {
        self.all.insert(key.to_owned(), Shown { text, given });
    }

    fn table(&mut self, found: Option<&DeTable<'_>>, table: &'static Table, path: &str) {
        for key in table.keys {
            let dotted = if path.is_empty() { key.name.to_owned() } else { format!("{path}.{}", key.name) };
            match found.and_then(|t| t.get(key.name)) {
                Some(value) => self.value(value, &key.shape, &dotted),
                None => self.absent(key, &dotted),
            }
        }
    }

    /// What is taken where nothing is said.
    fn absent(&mut self, key: &'static Key, dotted: &str) {
        let Need::Default(written) = key.need else { return };
        match &key.shape {
            Shape::Table(inner) => self.table(None, inner, dotted),
            Shape::Named(..) | Shape::Tables(_) => {}
            shape => {
                let line = format!("x = {written}");
                let (parsed, _) = DeTable::parse_recoverable(&line);
                if let Some(value) = parsed.get_ref().get("x") {
                    let text = shown(value, &line, shape, Unit::Mm);
                    self.put(dotted, text, false);
                }
            }
        }
    }

    fn value(&mut self, value: &toml::Spanned<DeValue<'_>>, shape: &'static Shape, dotted: &str) {
        match (shape, value.get_ref()) {
            (Shape::Table(inner), DeValue::Table(found)) => {
                self.put(dotted, String::new(), true);
                self.table(Some(found), inner, dotted);
            }
            (Shape::Named(names, inner), DeValue::Table(found)) => {
                for name in *names {
                    if let Some(DeValue::Table(entry)) = found.get(*name).map(toml::Spanned::get_ref) {
                        let dotted = format!("{dotted}.{name}");
                        self.put(&dotted, String::new(), true);
                        self.table(Some(entry), inner, &dotted);
                    }
                }
            }
            (Shape::Tables(inner), DeValue::Array(list)) => {
                self.put(dotted, list.len().to_string(), true);
                for (i, entry) in list.iter().enumerate().take(crate::limits::LIST_ENTRIES) {
                    if let DeValue::Table(entry) = entry.get_ref() {
                        let dotted = format!("{dotted}.{i}");
                        self.put(&dotted, String::new(), true);
                        self.table(Some(entry), inner, &dotted);
                    }
                }
            }
            (shape, _) => {
                let text = shown(value, self.text, shape, self.unit);
                self.put(dotted, text, true);
            }
        }
    }
}

/// A value as it is typed; a bare length with the unit that it is in.
fn shown(value: &toml::Spanned<DeValue<'_>>, source: &str, shape: &Shape, unit: Unit) -> String {
    match value.get_ref() {
        DeValue::String(text) => text.to_string(),
        DeValue::Boolean(flag) => flag.to_string(),
        DeValue::Array(list) => {
            let inner = if let Shape::List(inner) = shape { inner } else { shape };
            let between = if matches!(inner, Shape::Text) { "\n" } else { "; " };
            list.iter().map(|e| shown(e, source, inner, unit)).collect::<Vec<_>>().join(between)
        }
        DeValue::Integer(_) | DeValue::Float(_) => {
            let number = source.get(value.span()).unwrap_or_default().trim();
            let is_length = keys::holds_lengths(shape);
            if is_length { format!("{number} {}", keys::suffix(unit)) } else { number.to_owned() }
        }
        DeValue::Datetime(_) | DeValue::Table(_) => source.get(value.span()).unwrap_or_default().to_owned(),
    }
}

/// What a key that a document lacks would be read as: the default's text.
pub(crate) fn default_text(key: &Key) -> Option<String> {
    let Need::Default(written) = key.need else { return None };
    let line = format!("x = {written}");
    let (parsed, _) = DeTable::parse_recoverable(&line);
    let value = parsed.get_ref().get("x")?;
    Some(shown(value, &line, &key.shape, Unit::Mm))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::JOB;

    #[test]
    fn fields_show_what_a_person_typed() {
        let text = "title = \"A\"\n[contents]\nwidth = [214.50, 215]\ndepth = \"x\"\n[flap.left]\ntier = 1\nreach = \"97 %\"\n";
        let all = values(text, &JOB, Unit::Mm);
        let get = |key: &str| all.get(key).map(|s| (s.text.as_str(), s.given));
        assert_eq!(get("contents.width"), Some(("214.50 mm; 215 mm", true)));
        assert_eq!(get("contents.depth"), Some(("x", true)));
        assert_eq!(get("contents.clearance.width"), Some(("2 mm", false)));
        assert_eq!(get("box.joint"), Some(("auto", false)));
        assert_eq!(get("flap.left"), Some(("", true)));
        assert_eq!((get("flap.right"), get("strap"), get("board.thickness")), (None, None, None));
        assert_eq!(values("title = \"A\n[contents]\nwidth = 12", &JOB, Unit::Mm)["contents.width"].text, "12 mm");
    }
}
