//! Another unit for a job's bare numbers, every length staying what it is.

use super::edit::JOB;
use super::keys::{self, Named};
use crate::doc::Shape;
use crate::units::{Length, Unit, decimal, mm};
use toml_edit::{Item, TableLike, Value};

/// The most by which two ways to write a length differ, mm: rounding of the last bit.
const SAME: f64 = 1e-9;

/// The text with bare numbers in another unit. A number that has no short form in the new unit becomes
/// text with the old one.
pub(super) fn switched(text: &str, to: Unit) -> Result<String, String> {
    let mut doc = super::edit::parsed(text)?;
    let from = JOB.unit(&doc);
    if from == to {
        return Ok(text.to_owned());
    }
    walk(doc.as_table_mut(), "", from, to);
    let word = Value::from(keys::suffix(to));
    match doc.get_mut("units") {
        Some(Item::Value(old)) => {
            let decor = old.decor().clone();
            *old = word;
            *old.decor_mut() = decor;
        }
        _ => {
            doc.insert("units", Item::Value(word));
        }
    }
    Ok(doc.to_string())
}

fn walk(table: &mut dyn TableLike, path: &str, from: Unit, to: Unit) {
    for (name, item) in table.iter_mut() {
        let dotted = if path.is_empty() { name.get().to_owned() } else { format!("{path}.{}", name.get()) };
        match item {
            Item::Table(inner) => walk(inner, &dotted, from, to),
            Item::ArrayOfTables(list) => {
                for (i, inner) in list.iter_mut().enumerate() {
                    walk(inner, &format!("{dotted}.{i}"), from, to);
                }
            }
            Item::Value(value) => inside(value, &dotted, from, to),
            Item::None => {}
        }
    }
}

fn inside(value: &mut Value, dotted: &str, from: Unit, to: Unit) {
    match (keys::named(JOB.table, dotted), value) {
        (Some(Named::Value(shape)), value) => written(value, shape, from, to),
        (Some(_), Value::InlineTable(inner)) => walk(inner, dotted, from, to),
        (Some(Named::Tables(_)), Value::Array(list)) => {
            for (i, entry) in list.iter_mut().enumerate() {
                inside(entry, &format!("{dotted}.{i}"), from, to);
            }
        }
        _ => {}
    }
}

fn written(value: &mut Value, shape: &Shape, from: Unit, to: Unit) {
    if !keys::holds_lengths(shape) {
        return;
    }
    if let (Shape::List(inner), Value::Array(list)) = (shape, &mut *value) {
        for entry in list.iter_mut() {
            written(entry, inner, from, to);
        }
        return;
    }
    let new = match value {
        Value::Integer(n) => number(*n.value() as f64, from, to),
        Value::Float(n) => number(*n.value(), from, to),
        Value::String(text) => words(text.value(), from),
        _ => None,
    };
    if let Some(mut new) = new {
        *new.decor_mut() = value.decor().clone();
        *value = new;
    }
}

/// A bare number in the other unit, or as text with its own.
fn number(value: f64, from: Unit, to: Unit) -> Option<Value> {
    if !value.is_finite() {
        return None;
    }
    let length = from.length(value);
    Some(short(length, to).unwrap_or_else(|| Value::from(format!("{value} {}", keys::suffix(from)))))
}

/// A length as a number of at most four decimals, if it is one.
fn short(length: Length, to: Unit) -> Option<Value> {
    let value = match to {
        Unit::Mm => length.to_mm(),
        Unit::Inch => length.to_inch(),
    };
    let text = decimal(value, 4);
    let read: f64 = text.parse().ok()?;
    let is_same = (to.length(read) - length).abs() < mm(SAME);
    is_same.then(|| keys::written(read, 4))
}

/// Text that gets its unit said: a fraction, or a number in quotes.
fn words(text: &str, from: Unit) -> Option<Value> {
    let trimmed = text.trim();
    if trimmed.ends_with(|c: char| c.is_alphabetic() || c == '%' || c == '"') {
        return None;
    }
    keys::as_bare(trimmed, from)?;
    Some(Value::from(format!("{trimmed} {}", keys::suffix(from))))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_has_no_short_form_keeps_its_unit() {
        let inches = switched(&crate::job::starter(), Unit::Inch).unwrap();
        assert!(inches.contains("units = \"in\"") && inches.contains("width = \"215 mm\""), "{inches}");
        let text = "units = \"in\"\n[contents]\nwidth = 8.5\nheight = \"11 1/4\" # as read\n";
        let metric = switched(text, Unit::Mm).unwrap();
        assert_eq!(metric, "units = \"mm\"\n[contents]\nwidth = 215.9\nheight = \"11 1/4 in\" # as read\n");
    }
}
