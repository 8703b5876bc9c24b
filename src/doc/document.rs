//! A document that has been read, and how its values are asked for.

use super::RawLength;
use crate::diag::Places;
use crate::units::Unit;
use std::collections::BTreeMap;

/// A value whose shape has been checked.
#[derive(Clone, Debug, PartialEq)]
pub enum Entry {
    /// A length or a share.
    Length(RawLength),
    /// A word where a length could have stood, or one of a choice.
    Word(String),
    /// A number, or a share as a fraction of 1.
    Number(f64),
    /// A whole number.
    Count(u64),
    /// true or false.
    Flag(bool),
    /// Text.
    Text(String),
    /// A list of values or of tables.
    List(Vec<Entry>),
    /// A table.
    Table(BTreeMap<String, Entry>),
}

/// A document that has been read: what is in it, defaults filled in, and where it stands. Values
/// are asked for by dotted key, an entry of a list by its number from 0: `tool.0.kerf`.
#[derive(Clone, Debug)]
pub struct Document {
    pub(super) root: Entry,
    /// Where each key stands. Defaults have no place.
    pub places: Places,
    /// What bare lengths are in.
    pub unit: Unit,
}

impl Document {
    /// The value under a dotted key.
    pub fn get(&self, key: &str) -> Option<&Entry> {
        key.split('.').try_fold(&self.root, |item, part| match item {
            Entry::Table(t) => t.get(part),
            Entry::List(l) => l.get(part.parse::<usize>().ok()?),
            _ => None,
        })
    }

    /// Whether the document (or a default) has the key.
    pub fn has(&self, key: &str) -> bool {
        self.get(key).is_some()
    }

    /// Whether the key stands in the text, rather than a default.
    pub fn is_written(&self, key: &str) -> bool {
        self.places.has(key)
    }

    /// The length under a key.
    pub fn length(&self, key: &str) -> Option<RawLength> {
        match self.get(key)? {
            Entry::Length(l) => Some(*l),
            _ => None,
        }
    }

    /// The lengths in a list under a key.
    pub fn lengths(&self, key: &str) -> Vec<RawLength> {
        self.list(key).iter().filter_map(|i| if let Entry::Length(l) = i { Some(*l) } else { None }).collect()
    }

    /// The number (or share) under a key.
    pub fn number(&self, key: &str) -> Option<f64> {
        match self.get(key)? {
            Entry::Number(n) => Some(*n),
            _ => None,
        }
    }

    /// The numbers in a list under a key.
    pub fn numbers(&self, key: &str) -> Vec<f64> {
        self.list(key).iter().filter_map(|i| if let Entry::Number(n) = i { Some(*n) } else { None }).collect()
    }

    /// The whole number under a key.
    pub fn count(&self, key: &str) -> Option<u64> {
        match self.get(key)? {
            Entry::Count(n) => Some(*n),
            _ => None,
        }
    }

    /// The flag under a key.
    pub fn flag(&self, key: &str) -> Option<bool> {
        match self.get(key)? {
            Entry::Flag(f) => Some(*f),
            _ => None,
        }
    }

    /// The text or word under a key.
    pub fn text(&self, key: &str) -> Option<&str> {
        match self.get(key)? {
            Entry::Text(t) | Entry::Word(t) => Some(t),
            _ => None,
        }
    }

    /// The texts in a list under a key.
    pub fn texts(&self, key: &str) -> Vec<String> {
        self.list(key)
            .iter()
            .filter_map(|i| if let Entry::Text(t) | Entry::Word(t) = i { Some(t.clone()) } else { None })
            .collect()
    }

    /// How many entries the list under a key has.
    pub fn len(&self, key: &str) -> usize {
        self.list(key).len()
    }

    /// The names of the tables under a key, in alphabetical order.
    pub fn names(&self, key: &str) -> Vec<&str> {
        match self.get(key) {
            Some(Entry::Table(t)) => t.keys().map(String::as_str).collect(),
            _ => Vec::new(),
        }
    }

    fn list(&self, key: &str) -> &[Entry] {
        match self.get(key) {
            Some(Entry::List(l)) => l,
            _ => &[],
        }
    }
}
