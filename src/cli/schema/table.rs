//! What a JSON of ours may hold, as tables, and a JSON Schema made of them.

use serde_json::{Map, Value, json};

/// What a value may be.
pub(super) enum Kind {
    /// Any text.
    Text,
    /// A number.
    Number,
    /// A whole number from 0.
    Count,
    /// true or false.
    Flag,
    /// This whole number and no other: the version of a form.
    Just(u32),
    /// One of these words.
    Word(&'static [&'static str]),
    /// The same or null.
    Maybe(&'static Kind),
    /// A list of any length.
    List(&'static Kind),
    /// A list of just so many.
    Row(usize, &'static Kind),
    /// An object with these keys.
    Table(&'static Table),
    /// An object with any of these keys, each of one kind.
    Keyed(&'static [&'static str], &'static Kind),
    /// What is told elsewhere.
    Same(&'static Kind),
    /// A machine profile with every default filled in.
    Profile,
}

/// An object: nothing else may be in it.
pub(super) struct Table {
    /// What it is, one sentence.
    pub(super) about: &'static str,
    /// Its keys, in the order in which they are written.
    pub(super) fields: &'static [Field],
}

/// A key of an object.
pub(super) struct Field {
    name: &'static str,
    kind: Kind,
    is_always: bool,
    about: &'static str,
}

/// A key that is always there.
pub(super) const fn field(name: &'static str, kind: Kind, about: &'static str) -> Field {
    Field { name, kind, is_always: true, about }
}

/// A key that may be left out.
pub(super) const fn sometimes(name: &'static str, kind: Kind, about: &'static str) -> Field {
    Field { name, kind, is_always: false, about }
}

/// The JSON Schema (draft 2020-12) of a kind.
pub(super) fn schema(title: &str, kind: &Kind) -> Value {
    let mut root = Map::new();
    root.insert("$schema".into(), "https://json-schema.org/draft/2020-12/schema".into());
    root.insert("title".into(), title.into());
    if let Value::Object(of) = of_kind(kind) {
        root.extend(of);
    }
    Value::Object(root)
}

fn of_kind(kind: &Kind) -> Value {
    match kind {
        Kind::Text => json!({"type": "string"}),
        Kind::Number => json!({"type": "number"}),
        Kind::Count => json!({"type": "integer", "minimum": 0}),
        Kind::Flag => json!({"type": "boolean"}),
        Kind::Just(n) => json!({"const": n}),
        Kind::Word(words) => json!({"enum": words}),
        Kind::Maybe(kind) => json!({"anyOf": [of_kind(kind), {"type": "null"}]}),
        Kind::List(kind) => json!({"type": "array", "items": of_kind(kind)}),
        Kind::Row(n, kind) => json!({"type": "array", "items": of_kind(kind), "minItems": n, "maxItems": n}),
        Kind::Table(table) => of_table(table),
        Kind::Keyed(keys, kind) => {
            let properties: Map<String, Value> = keys.iter().map(|k| ((*k).to_owned(), of_kind(kind))).collect();
            json!({"type": "object", "properties": properties, "additionalProperties": false})
        }
        Kind::Same(kind) => of_kind(kind),
        Kind::Profile => {
            let mut of = crate::doc::schema("Flapwright machine profile", &crate::profile::TABLE);
            if let Some(object) = of.as_object_mut() {
                object.remove("$schema");
            }
            of
        }
    }
}

fn of_table(table: &Table) -> Value {
    let with_about = |f: &Field| {
        let mut of = of_kind(&f.kind);
        if let Some(object) = of.as_object_mut() {
            object.insert("description".into(), f.about.into());
        }
        (f.name.to_owned(), of)
    };
    let properties: Map<String, Value> = table.fields.iter().map(with_about).collect();
    let required: Vec<&str> = table.fields.iter().filter(|f| f.is_always).map(|f| f.name).collect();
    json!({
        "type": "object",
        "description": table.about,
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    })
}
