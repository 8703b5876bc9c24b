//! Reading a document against its table of keys.

use super::nearest::nearest;
use super::over::{Lines, Override};
use super::syntax::syntax_errors;
use super::{Document, Entry, Key, Need, RawLength, Shape, Table, defaults, parse_length};
use crate::diag::{Diagnostic, Places};
use crate::limits::{LIST_ENTRIES, PROBLEMS, TEXT_BYTES, TEXT_LENGTH, quoted};
use crate::units::Unit;
use std::collections::BTreeMap;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Reads `text` against `table`. With `unit_key`, the root's word under that key (`mm` or `in`)
/// says what bare lengths are in; otherwise millimetres.
///
/// A value that is wrong is reported and left out, so that the reading goes on and every error is
/// found at once; the document is to be used only where none of the diagnostics is an error.
pub fn read(text: &str, table: &'static Table, unit_key: Option<&str>) -> (Document, Vec<Diagnostic>) {
    let (document, diagnostics, _) = read_over(text, table, unit_key, &[]);
    (document, diagnostics)
}

/// The same with keys that are given from outside and stand for those in the text: each is read
/// exactly as if it stood there. The text that comes back has a line for each of them after the
/// document's own, and the places of their values and errors are in those lines.
pub fn read_over(
    text: &str,
    table: &'static Table,
    unit_key: Option<&str>,
    overrides: &[Override],
) -> (Document, Vec<Diagnostic>, String) {
    let lines = Lines::new(text, overrides, table);
    let mut reader = Reader::new(&lines.whole);
    let mut root = BTreeMap::new();
    if text.len() as u64 > TEXT_BYTES {
        let message = format!("the file is {} bytes long; at most {TEXT_BYTES} are read", text.len());
        reader.push(Diagnostic::error("too-large", message).at_span(0..0).help("is it the right file?"));
    } else {
        let (mut parsed, errors) = DeTable::parse_recoverable(text);
        lines.put(parsed.get_mut(), overrides);
        if let Some(key) = unit_key
            && parsed.get_ref().get(key).and_then(|v| v.get_ref().as_str()) == Some("in")
        {
            reader.unit = Unit::Inch;
        }
        root = reader.table(parsed.get_ref(), table, "");
        if !errors.is_empty() {
            let broken = syntax_errors(text, &errors);
            broken.keep_what_stands(&lines.whole, &mut reader.diagnostics);
            reader.diagnostics.splice(0..0, broken.diagnostics);
        }
        reader.tell_more();
    }
    let document = Document { root: Entry::Table(root), places: reader.places, unit: reader.unit };
    (document, reader.diagnostics, lines.whole)
}

struct Reader<'t> {
    text: &'t str,
    places: Places,
    diagnostics: Vec<Diagnostic>,
    /// How many were left out because there are too many.
    left_out: usize,
    unit: Unit,
}

impl<'t> Reader<'t> {
    fn new(text: &'t str) -> Self {
        Self { text, places: Places::default(), diagnostics: Vec::new(), left_out: 0, unit: Unit::Mm }
    }

    fn push(&mut self, d: Diagnostic) {
        if self.diagnostics.len() < PROBLEMS { self.diagnostics.push(d) } else { self.left_out += 1 }
    }

    /// Says how many were left out, with the last that is told.
    fn tell_more(&mut self) {
        if self.left_out > 0
            && let Some(last) = self.diagnostics.last_mut()
        {
            let hint = last.hint.take().map_or(String::new(), |h| format!("{h}; "));
            last.hint = Some(format!("{hint}{} more problems are not shown: is this the right file?", self.left_out));
        }
    }

    fn table(&mut self, found: &DeTable<'_>, table: &'static Table, path: &str) -> BTreeMap<String, Entry> {
        let mut read = BTreeMap::new();
        for (name, value) in found {
            let key_span = name.span();
            let name = name.get_ref().as_ref();
            let dotted = join(path, name);
            match table.keys.iter().find(|k| k.name == name) {
                Some(key) => {
                    // A header `[contents]` is the place of the table; a value is the place of a key.
                    let place = if matches!(value.get_ref(), DeValue::Table(_)) { key_span } else { value.span() };
                    self.places.tell(dotted.clone(), place);
                    if let Some(item) = self.value(value, &key.shape, &dotted) {
                        read.insert(name.to_owned(), item);
                    }
                }
                None => self.unknown(name, key_span, path, table.keys.iter().map(|k| k.name)),
            }
        }
        for key in table.keys.iter().filter(|k| !found.contains_key(k.name)) {
            self.absent(key, path, &mut read);
        }
        read
    }

    fn absent(&mut self, key: &'static Key, path: &str, read: &mut BTreeMap<String, Entry>) {
        let dotted = join(path, key.name);
        match key.need {
            Need::Optional => {}
            Need::Required => {
                // Placed at the header of the table that lacks it, or at the top of the file.
                let d = Diagnostic::error("missing-key", format!("`{dotted}` is missing"));
                let about = key.about;
                let hint = match &key.shape {
                    Shape::Named(names, _) => {
                        format!("add a table such as `[{dotted}.{}]`: {about}", names.first().unwrap_or(&"name"))
                    }
                    Shape::Table(inner) if !path.is_empty() => {
                        let needed: Vec<String> = inner
                            .keys
                            .iter()
                            .filter(|k| matches!(k.need, Need::Required))
                            .map(|k| format!("{} = ...", k.name))
                            .collect();
                        format!("add `{} = {{ {} }}`: {about}", key.name, needed.join(", "))
                    }
                    _ => match key.example() {
                        Some(value) => format!("add `{} = {value}`: {about}", key.name),
                        None => format!("add a table `[{dotted}]`: {about}"),
                    },
                };
                let place = self.places.find(path).unwrap_or(0..0);
                self.push(d.at_span(place).help(hint));
            }
            Need::Default(written) => {
                if let Some(known) = defaults::known(key) {
                    read.insert(key.name.to_owned(), known);
                    return;
                }
                // Defaults are read as a document of one line, so that they obey the same rules;
                // the house test reads every table once, so a wrong one cannot ship.
                let line = format!("x = {written}");
                let (parsed, _) = DeTable::parse_recoverable(&line);
                let mut inner = Reader::new(&line);
                if let Some(value) = parsed.get_ref().get("x")
                    && let Some(item) = inner.value(value, &key.shape, &dotted)
                {
                    if inner.diagnostics.is_empty() {
                        defaults::keep(key, &item);
                    }
                    read.insert(key.name.to_owned(), item);
                }
                self.diagnostics.extend(inner.diagnostics.into_iter().map(|mut d| {
                    d.place = None;
                    d
                }));
            }
        }
    }

    fn value(&mut self, value: &Spanned<DeValue<'_>>, shape: &'static Shape, path: &str) -> Option<Entry> {
        let span = value.span();
        let v = value.get_ref();
        match shape {
            Shape::Length => self.length(v, span, path, false).map(Entry::Length),
            Shape::LengthOrShare => self.length(v, span, path, true).map(Entry::Length),
            Shape::LengthOrWord(words) => match v.as_str() {
                Some(w) if words.contains(&w) => Some(Entry::Word(w.to_owned())),
                Some(w) if w.trim_start().starts_with(char::is_alphabetic) => self.wrong_word(w, words, span, path),
                Some(_) => self.length(v, span, path, false).map(Entry::Length),
                None => {
                    let what = format!("a length or {}", one_of(words));
                    self.finite(v, span, path, &what).map(|n| Entry::Length(RawLength::Fixed(self.unit.length(n))))
                }
            },
            Shape::Share => self.share(v, span, path).map(Entry::Number),
            Shape::Number => self.finite(v, span, path, "a number").map(Entry::Number),
            Shape::Count => self.whole(v, span, path).map(Entry::Count),
            Shape::Flag => match v.as_bool() {
                Some(b) => Some(Entry::Flag(b)),
                None => self.wrong(v, span, path, "true or false"),
            },
            Shape::Text => match v.as_str() {
                Some(t) if t.len() > TEXT_LENGTH && t.chars().count() > TEXT_LENGTH => {
                    let message = format!("the text of `{path}` has {} characters", t.chars().count());
                    let hint = format!("it has {TEXT_LENGTH} at most; is a quote left open?");
                    self.push(Diagnostic::error("text-too-long", message).at_span(span).help(hint));
                    None
                }
                Some(t) => Some(Entry::Text(t.to_owned())),
                None => self.wrong(v, span, path, "text in quotes"),
            },
            Shape::Word(words) => match v.as_str() {
                Some(w) if words.contains(&w) => Some(Entry::Word(w.to_owned())),
                Some(w) => self.wrong_word(w, words, span, path),
                None => self.wrong(v, span, path, &one_of(words)),
            },
            Shape::List(inner) => match v.as_array() {
                Some(list) if list.len() > LIST_ENTRIES => self.too_many(list.len(), value.span(), path),
                Some(list) => {
                    let mut items = Vec::new();
                    for (i, entry) in list.iter().enumerate() {
                        let at = join(path, &i.to_string());
                        self.places.tell(at.clone(), entry.span());
                        items.extend(self.value(entry, inner, &at));
                    }
                    Some(Entry::List(items))
                }
                None if matches!(inner, Shape::Length) && v.as_table().is_none() => {
                    self.value(value, inner, path).map(|i| Entry::List(vec![i]))
                }
                None => self.wrong(v, span, path, "a list in [ ]"),
            },
            Shape::Table(table) => match v.as_table() {
                Some(t) => Some(Entry::Table(self.table(t, table, path))),
                None => self.wrong(v, span, path, &format!("a table, `[{path}]` on a line of its own")),
            },
            Shape::Named(names, table) => match v.as_table() {
                Some(t) => {
                    let mut read = BTreeMap::new();
                    for (name, entry) in t {
                        let word = name.get_ref().as_ref();
                        if !names.contains(&word) {
                            self.unknown(word, name.span(), path, names.iter().copied());
                            continue;
                        }
                        let at = join(path, word);
                        self.places.tell(at.clone(), name.span());
                        if let Some(item) = self.value_table(entry, table, &at) {
                            read.insert(word.to_owned(), item);
                        }
                    }
                    Some(Entry::Table(read))
                }
                None => self.wrong(v, span, path, &format!("tables `[{path}.{}]`", names.first().unwrap_or(&"name"))),
            },
            Shape::Tables(table) => match v.as_array() {
                Some(list) if list.len() > LIST_ENTRIES => self.too_many(list.len(), value.span(), path),
                Some(list) => {
                    let mut items = Vec::new();
                    for (i, entry) in list.iter().enumerate() {
                        let at = join(path, &i.to_string());
                        self.places.tell(at.clone(), first_line(self.text, entry.span()));
                        items.extend(self.value_table(entry, table, &at));
                    }
                    Some(Entry::List(items))
                }
                None => self.wrong(v, span, path, &format!("one or more tables, each under `[[{path}]]`")),
            },
        }
    }

    fn value_table(&mut self, entry: &Spanned<DeValue<'_>>, table: &'static Table, path: &str) -> Option<Entry> {
        let span = first_line(self.text, entry.span());
        match entry.get_ref().as_table() {
            Some(t) => Some(Entry::Table(self.table(t, table, path))),
            None => self.wrong(entry.get_ref(), span, path, &format!("a table, `[{path}]` on a line of its own")),
        }
    }

    fn length(&mut self, v: &DeValue<'_>, span: Range<usize>, path: &str, share: bool) -> Option<RawLength> {
        if let Some(text) = v.as_str() {
            return match parse_length(text, self.unit) {
                Ok(RawLength::Share(_)) if !share => {
                    self.push(
                        Diagnostic::error("not-a-share", format!("`{path}` is a length; a share makes no sense here"))
                            .at_span(span)
                            .help("write a number, or a string with mm, in, pt or t"),
                    );
                    None
                }
                Ok(length) => Some(length),
                Err(why) => {
                    self.push(
                        Diagnostic::error("bad-length", format!("`{}` is not a length: {why}", quoted(text)))
                            .at_span(span)
                            .help("write a number, or a string such as \"2.5 mm\", \"3/32 in\", \"80 pt\" (thousandths of an inch), \"1.5 t\" (t is the board)"),
                    );
                    None
                }
            };
        }
        let what = if share { "a length or a share" } else { "a length" };
        self.finite(v, span, path, what).map(|n| RawLength::Fixed(self.unit.length(n)))
    }

    fn share(&mut self, v: &DeValue<'_>, span: Range<usize>, path: &str) -> Option<f64> {
        let Some(text) = v.as_str() else { return self.finite(v, span, path, "a share such as \"6 %\"") };
        match parse_length(text, self.unit) {
            Ok(RawLength::Share(s)) => Some(s),
            _ => self.wrong(v, span, path, "a share such as \"6 %\""),
        }
    }

    fn finite(&mut self, v: &DeValue<'_>, span: Range<usize>, path: &str, what: &str) -> Option<f64> {
        let number = match v {
            DeValue::Integer(i) => i64::from_str_radix(i.as_str(), i.radix()).ok().map(|n| n as f64),
            DeValue::Float(f) => f.as_str().parse::<f64>().ok(),
            _ => return self.wrong(v, span, path, what),
        };
        match number {
            Some(n) if n.is_finite() => Some(n),
            _ => {
                self.push(
                    Diagnostic::error("not-finite", format!("`{path}` must be a finite number"))
                        .at_span(span)
                        .help("infinities, nan and numbers beyond all measure cannot be cut"),
                );
                None
            }
        }
    }

    fn whole(&mut self, v: &DeValue<'_>, span: Range<usize>, path: &str) -> Option<u64> {
        match v {
            DeValue::Integer(i) => match u64::from_str_radix(i.as_str(), i.radix()) {
                Ok(n) => Some(n),
                Err(_) => self.wrong(v, span, path, "a whole number, not below 0"),
            },
            _ => self.wrong(v, span, path, "a whole number, not below 0"),
        }
    }

    fn too_many<T>(&mut self, entries: usize, span: Range<usize>, path: &str) -> Option<T> {
        let message = format!("`{path}` has {entries} entries; at most {LIST_ENTRIES} are read");
        let d = Diagnostic::error("too-many-entries", message).at_span(first_line(self.text, span));
        self.push(d.help("leave out what is not needed; is this the right file?"));
        None
    }

    fn wrong<T>(&mut self, v: &DeValue<'_>, span: Range<usize>, path: &str, what: &str) -> Option<T> {
        let found = match v {
            DeValue::String(_) => "text",
            DeValue::Integer(_) => "a whole number",
            DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        let message = format!("`{path}` must be {what}, and this is {found}");
        self.push(Diagnostic::error("wrong-kind", message).at_span(span));
        None
    }

    fn wrong_word<T>(
        &mut self,
        word: &str,
        words: &'static [&'static str],
        span: Range<usize>,
        path: &str,
    ) -> Option<T> {
        let d = Diagnostic::error("unknown-word", format!("`{}` is not something `{path}` can be", quoted(word)));
        let hint = match nearest(word, words.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("it can be {}", one_of(words)),
        };
        self.push(d.at_span(span).help(hint));
        None
    }

    fn unknown(
        &mut self,
        name: &str,
        span: Range<usize>,
        path: &str,
        known: impl Iterator<Item = &'static str> + Clone,
    ) {
        let whole = if path.is_empty() { "this file".to_owned() } else { format!("`{path}`") };
        let d = Diagnostic::error("unknown-key", format!("{whole} has no key `{}`", quoted(name)));
        let hint = match nearest(name, known.clone()) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("it has {}", known.collect::<Vec<_>>().join(", ")),
        };
        self.push(d.at_span(span).help(hint));
    }
}

fn one_of(words: &[&str]) -> String {
    let quoted: Vec<String> = words.iter().map(|w| format!("\"{w}\"")).collect();
    match quoted.as_slice() {
        [all @ .., last] if !all.is_empty() => format!("{} or {last}", all.join(", ")),
        _ => quoted.concat(),
    }
}

fn join(path: &str, name: &str) -> String {
    if path.is_empty() { name.to_owned() } else { format!("{path}.{name}") }
}

fn first_line(text: &str, span: Range<usize>) -> Range<usize> {
    let end = text.get(span.clone()).and_then(|t| t.find('\n')).map_or(span.end, |i| span.start + i);
    span.start..end
}
