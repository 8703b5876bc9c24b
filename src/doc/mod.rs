//! A TOML document read against a table of the keys it may hold.
//!
//! One declaration of a file format ([`Table`], [`Key`], [`Shape`]) serves four ends: reading with
//! every error at once, defaults filled in, the JSON Schema for editors, and the list of keys in
//! the documentation. What a value *means* (a strap wider than the base) is checked by the module
//! that owns the format; what it *is* (a length, one of these words) is checked here.

mod defaults;
mod document;
mod length;
mod nearest;
mod over;
mod read;
mod schema;
mod syntax;

pub use document::{Document, Entry};
pub use length::{RawLength, parse_length};
pub use nearest::nearest;
pub use over::{Override, shape_of};
pub use read::{read, read_over};
pub use schema::schema;
pub use syntax::is_syntax;

/// The keys of a table.
#[derive(Debug)]
pub struct Table {
    /// What the table is about, one sentence.
    pub about: &'static str,
    /// Its keys, in the order a person would write them.
    pub keys: &'static [Key],
}

/// One key of a table.
#[derive(Debug)]
pub struct Key {
    /// The key.
    pub name: &'static str,
    /// What its value may be.
    pub shape: Shape,
    /// Whether it must be there, and what is taken when it is not.
    pub need: Need,
    /// What it means, one sentence.
    pub about: &'static str,
    /// A likely value, written as TOML, where its shape's example would mislead.
    pub likely: Option<&'static str>,
}

impl Key {
    /// The same key with a value that is likely for it, written as TOML: hints show it where the key is missing.
    pub(crate) const fn like(self, likely: &'static str) -> Self {
        Self { likely: Some(likely), ..self }
    }

    /// A value to show, written as TOML; `None` for tables.
    pub fn example(&self) -> Option<String> {
        self.likely.map(str::to_owned).or_else(|| self.shape.example())
    }
}

/// A row of a table of keys.
pub(crate) const fn key(name: &'static str, shape: Shape, need: Need, about: &'static str) -> Key {
    Key { name, shape, need, about, likely: None }
}

/// Whether a key must be there.
#[derive(Debug)]
pub enum Need {
    /// The document is wrong without it.
    Required,
    /// It may be left out, and then nothing stands for it.
    Optional,
    /// It may be left out, and then this stands for it, written as TOML.
    Default(&'static str),
}

/// What a value may be.
#[derive(Debug)]
pub enum Shape {
    /// A number in the document's unit, or a string with a unit (`"3/32 in"`, `"1.5 t"`).
    Length,
    /// A length, or a share (`"45 %"`) of something the owner of the format knows.
    LengthOrShare,
    /// A length, or one of these words.
    LengthOrWord(&'static [&'static str]),
    /// A share, `"6 %"` or the bare number 0.06.
    Share,
    /// A number.
    Number,
    /// A whole number from 0.
    Count,
    /// true or false.
    Flag,
    /// Any text.
    Text,
    /// One of these words.
    Word(&'static [&'static str]),
    /// A list, each of this shape. A list shape of lengths also takes one bare length.
    List(&'static Shape),
    /// A table.
    Table(&'static Table),
    /// A table of tables, one under each of these names.
    Named(&'static [&'static str], &'static Table),
    /// A list of tables, `[[name]]`.
    Tables(&'static Table),
}

impl Shape {
    /// A value of this shape to show, written as TOML; `None` for tables.
    pub fn example(&self) -> Option<String> {
        Some(match self {
            Self::Length => "\"2.5 mm\"".into(),
            Self::LengthOrShare => "\"45 %\"".into(),
            Self::LengthOrWord(words) | Self::Word(words) => format!("\"{}\"", words.first()?),
            Self::Share => "\"6 %\"".into(),
            Self::Number => "1.0".into(),
            Self::Count => "1".into(),
            Self::Flag => "true".into(),
            Self::Text => "\"a name\"".into(),
            Self::List(inner) => format!("[{}]", inner.example()?),
            Self::Table(_) | Self::Named(..) | Self::Tables(_) => return None,
        })
    }
}
