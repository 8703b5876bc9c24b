//! The JSON Schema of a document format, for editors that check and complete while one types.

use super::{Key, Need, Shape, Table};
use serde_json::{Map, Value, json};
use toml::de::{DeTable, DeValue};

/// A length as text: a decimal number or a fraction, then perhaps a unit. The letters of the unit
/// are checked; what the number works out to is left to the reader.
const LENGTH: &str =
    r#"^\s*-?(\d+\s+\d+/\d+|\d+/\d+|(\d+[.,]?\d*|[.,]\d+)([eE][+-]?\d+)?)\s*(mm|cm|in|inch|inches|"|pt|t)?\s*$"#;
/// A share as text.
const SHARE: &str = r"^\s*(\d+\s+\d+/\d+|\d+/\d+|(\d+[.,]?\d*|[.,]\d+)([eE][+-]?\d+)?)\s*%\s*$";

/// The JSON Schema (draft 2020-12) of the documents that `table` describes.
pub fn schema(title: &str, table: &Table) -> Value {
    let mut root = Map::new();
    root.insert("$schema".into(), "https://json-schema.org/draft/2020-12/schema".into());
    root.insert("title".into(), title.into());
    root.extend(of_table(table));
    Value::Object(root)
}

fn of_table(table: &Table) -> Map<String, Value> {
    let properties: Map<String, Value> = table.keys.iter().map(|k| (k.name.into(), of_key(k))).collect();
    let required: Vec<&str> = table.keys.iter().filter(|k| matches!(k.need, Need::Required)).map(|k| k.name).collect();
    let mut object = Map::new();
    object.insert("type".into(), "object".into());
    object.insert("description".into(), table.about.into());
    object.insert("properties".into(), Value::Object(properties));
    if !required.is_empty() {
        object.insert("required".into(), json!(required));
    }
    object.insert("additionalProperties".into(), false.into());
    object
}

fn of_key(key: &Key) -> Value {
    let mut object = of_shape(&key.shape);
    object.insert("description".into(), key.about.into());
    if let Need::Default(written) = key.need
        && let Some(value) = as_json(written)
    {
        object.insert("default".into(), value);
    }
    Value::Object(object)
}

fn of_shape(shape: &Shape) -> Map<String, Value> {
    let value = match shape {
        Shape::Length => json!({ "anyOf": [number(), text(LENGTH)] }),
        Shape::LengthOrShare => json!({ "anyOf": [number(), text(LENGTH), text(SHARE)] }),
        Shape::LengthOrWord(words) => json!({ "anyOf": [{ "enum": words }, number(), text(LENGTH)] }),
        Shape::Share => json!({ "anyOf": [number(), text(SHARE)] }),
        Shape::Number => number(),
        Shape::Count => json!({ "type": "integer", "minimum": 0 }),
        Shape::Flag => json!({ "type": "boolean" }),
        Shape::Text => json!({ "type": "string" }),
        Shape::Word(words) => json!({ "enum": words }),
        Shape::List(inner) => {
            let list = json!({ "type": "array", "items": of_shape(inner) });
            match inner {
                Shape::Length => json!({ "anyOf": [number(), text(LENGTH), list] }),
                _ => list,
            }
        }
        Shape::Table(table) => Value::Object(of_table(table)),
        Shape::Named(names, table) => {
            let properties: Map<String, Value> =
                names.iter().map(|n| ((*n).into(), Value::Object(of_table(table)))).collect();
            json!({ "type": "object", "properties": properties, "additionalProperties": false })
        }
        Shape::Tables(table) => json!({ "type": "array", "items": of_table(table) }),
    };
    match value {
        Value::Object(object) => object,
        other => [("const".to_owned(), other)].into_iter().collect(),
    }
}

fn number() -> Value {
    json!({ "type": "number" })
}

fn text(pattern: &str) -> Value {
    json!({ "type": "string", "pattern": pattern })
}

/// A default, written as TOML, as JSON.
fn as_json(written: &str) -> Option<Value> {
    let line = format!("x = {written}");
    let (parsed, _) = DeTable::parse_recoverable(&line);
    parsed.get_ref().get("x").and_then(|v| to_json(v.get_ref()))
}

fn to_json(value: &DeValue<'_>) -> Option<Value> {
    Some(match value {
        DeValue::String(s) => json!(s),
        DeValue::Integer(i) => json!(i64::from_str_radix(i.as_str(), i.radix()).ok()?),
        DeValue::Float(f) => json!(f.as_str().parse::<f64>().ok()?),
        DeValue::Boolean(b) => json!(b),
        DeValue::Datetime(_) => return None,
        DeValue::Array(list) => Value::Array(list.iter().map(|v| to_json(v.get_ref())).collect::<Option<_>>()?),
        DeValue::Table(table) => {
            let mut object = Map::new();
            for (key, v) in table {
                object.insert(key.get_ref().to_string(), to_json(v.get_ref())?);
            }
            Value::Object(object)
        }
    })
}
