//! Keys of a document as the page names them, and what a person types into a field as the TOML that it
//! stands for.

use crate::doc::{Key, RawLength, Shape, Table, parse_length};
use crate::units::{Unit, decimal};
use toml_edit::{Array, Value};

/// What a dotted key names in a table of keys.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Named {
    /// A value of this shape.
    Value(&'static Shape),
    /// A table.
    Table(&'static Table),
    /// The tables of a choice of names, or of a list.
    Tables(&'static Table),
}

/// What a dotted key names; entries of lists of tables are counted from 0: `tool.0.kerf`.
pub(crate) fn named(table: &'static Table, key: &str) -> Option<Named> {
    let mut at = Named::Table(table);
    for part in key.split('.') {
        at = match at {
            Named::Table(table) => of_shape(&table.keys.iter().find(|k| k.name == part)?.shape),
            Named::Tables(table) => Named::Table(table),
            Named::Value(_) => return None,
        };
    }
    Some(at)
}

fn of_shape(shape: &'static Shape) -> Named {
    match shape {
        Shape::Table(table) => Named::Table(table),
        Shape::Named(_, table) | Shape::Tables(table) => Named::Tables(table),
        shape => Named::Value(shape),
    }
}

/// A key's declaration.
pub(crate) fn declared(table: &'static Table, key: &str) -> Option<&'static Key> {
    let (above, last) = key.rsplit_once('.').unwrap_or(("", key));
    let table = if above.is_empty() {
        table
    } else {
        match named(table, above)? {
            Named::Table(table) => table,
            _ => return None,
        }
    };
    table.keys.iter().find(|k| k.name == last)
}

/// Whether a shape holds lengths, whose bare numbers are in the document's unit.
pub(crate) fn holds_lengths(shape: &Shape) -> bool {
    match shape {
        Shape::Length | Shape::LengthOrShare | Shape::LengthOrWord(_) => true,
        Shape::List(inner) => holds_lengths(inner),
        _ => false,
    }
}

/// What was typed, as TOML. What does not fit the shape is text, so that the reader of the document tells
/// of it at its key. A length typed with the document's own unit is a bare number where the value before
/// it was one.
pub(crate) fn typed(text: &str, shape: &Shape, unit: Unit, was_bare: bool) -> Value {
    let text = text.trim();
    match shape {
        Shape::List(inner) => list(text, inner, unit, was_bare),
        Shape::Tables(_) => plain(text).filter(Value::is_array).unwrap_or_else(|| Value::from(text)),
        Shape::Text | Shape::Word(_) => Value::from(text),
        Shape::Length | Shape::LengthOrShare | Shape::LengthOrWord(_) if was_bare => {
            number(text).or_else(|| number(bare(text, unit)?)).unwrap_or_else(|| Value::from(text))
        }
        Shape::Length | Shape::LengthOrShare | Shape::LengthOrWord(_) | Shape::Share | Shape::Number | Shape::Count => {
            number(text).unwrap_or_else(|| Value::from(text))
        }
        Shape::Flag => match text {
            "true" | "yes" => Value::from(true),
            "false" | "no" => Value::from(false),
            other => Value::from(other),
        },
        Shape::Table(_) | Shape::Named(..) => Value::from(text),
    }
}

/// The number of a length in the document's own unit.
fn bare(text: &str, unit: Unit) -> Option<&str> {
    Some(text.strip_suffix(suffix(unit))?.trim())
}

/// The unit as it is written.
pub(crate) const fn suffix(unit: Unit) -> &'static str {
    match unit {
        Unit::Mm => "mm",
        Unit::Inch => "in",
    }
}

/// A text that is one whole value in TOML.
fn plain(text: &str) -> Option<Value> {
    if text.contains(['\n', '\r', '#']) {
        return None;
    }
    text.parse().ok()
}

/// A text that is a number in TOML, kept as it is written.
fn number(text: &str) -> Option<Value> {
    plain(text).filter(|v| v.is_integer() || v.as_float().is_some_and(f64::is_finite))
}

/// Entries stand between semicolons, or between commas that a space follows; lines of text on lines of
/// their own. One length alone stands for a list of them.
fn list(text: &str, inner: &Shape, unit: Unit, was_bare: bool) -> Value {
    if let Some(array) = plain(text).filter(Value::is_array) {
        return array;
    }
    let entries: Vec<&str> = if matches!(inner, Shape::Text) {
        text.lines().collect()
    } else if text.contains(';') {
        text.split(';').collect()
    } else if text.contains(", ") {
        text.split(", ").collect()
    } else {
        text.split('\n').collect()
    };
    let entries: Vec<&str> = entries.into_iter().map(str::trim).filter(|e| !e.is_empty()).collect();
    match entries[..] {
        [one] if matches!(inner, Shape::Length) => typed(one, inner, unit, was_bare),
        _ => Value::Array(entries.into_iter().map(|e| typed(e, inner, unit, was_bare)).collect::<Array>()),
    }
}

/// A length as it is typed into a field, with at most six decimals, if it is a plain length.
pub(crate) fn as_bare(text: &str, from: Unit) -> Option<f64> {
    match parse_length(text, from) {
        Ok(RawLength::Fixed(length)) => Some(length.to_mm()),
        _ => None,
    }
}

/// A number as a person writes it.
pub(crate) fn written(value: f64, places: usize) -> Value {
    let text = decimal(value, places);
    number(&text).unwrap_or_else(|| Value::from(value))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::JOB;

    #[test]
    fn a_key_names_a_value_or_a_table() {
        assert!(matches!(named(&JOB, "flap.left.reach"), Some(Named::Value(Shape::LengthOrShare))));
        assert!(matches!(named(&JOB, "flap.left"), Some(Named::Table(_))));
        assert!(matches!(named(&JOB, "board.leftover"), Some(Named::Tables(_))));
        assert!(matches!(named(&JOB, "board.leftover.0.width"), Some(Named::Value(Shape::Length))));
        assert!(named(&JOB, "flap.left.reach.x").is_none() && named(&JOB, "boord").is_none());
    }

    #[test]
    fn what_is_typed_becomes_the_right_kind_of_value() {
        let show = |text: &str, shape: &Shape| typed(text, shape, Unit::Mm, false).to_string();
        assert_eq!(show("8 1/2 in", &Shape::Length), "\"8 1/2 in\"");
        assert_eq!(show(" 2.50 ", &Shape::Length), "2.50");
        assert_eq!(show("2,5", &Shape::Length), "\"2,5\"");
        assert_eq!(show("nan", &Shape::Length), "\"nan\"");
        assert_eq!(show("1 # 2", &Shape::Length), "\"1 # 2\"");
        assert_eq!(show("yes", &Shape::Flag), "true");
        assert_eq!(show("maybe", &Shape::Flag), "\"maybe\"");
        assert_eq!(show("11.5; 12", &Shape::List(&Shape::Length)), "[11.5, 12]");
        assert_eq!(show("12 mm", &Shape::List(&Shape::Length)), "\"12 mm\"");
        assert_eq!(show("G21\nM3 S1", &Shape::List(&Shape::Text)), "[\"G21\", \"M3 S1\"]");
        assert_eq!(typed("12 mm", &Shape::Length, Unit::Mm, true).to_string(), "12");
        assert_eq!(typed("12 mm", &Shape::Length, Unit::Inch, true).to_string(), "\"12 mm\"");
    }
}
