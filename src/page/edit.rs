//! Edits of a document's text, key by key; comments, order and layout of all the rest stay.

use super::keys::{self, Named};
use crate::doc::{Shape, Table};
use crate::units::Unit;
use serde::Deserialize;
use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, TableLike, Value};

/// One edit, as the page sends it.
#[derive(Clone, Debug, Default, Deserialize)]
pub struct Edit {
    /// The dotted key; entries of lists of tables are counted from 0.
    pub key: String,
    /// What was typed; none takes the key away.
    #[serde(default)]
    pub value: Option<String>,
    /// Whether the table of that key is to be added with what it needs.
    #[serde(default)]
    pub add: bool,
    /// Whether the table of that key is to be taken away.
    #[serde(default)]
    pub remove: bool,
}

/// What an editor has to know of a document.
#[derive(Clone, Copy)]
pub struct Format {
    /// Its keys.
    pub table: &'static Table,
    /// The key that says the unit of its bare numbers.
    pub unit_key: Option<&'static str>,
    /// What a key that must be there says at first, as TOML, lengths in mm.
    pub first: fn(&str) -> Option<&'static str>,
    /// What changes with a key or table that is taken away.
    pub before_removal: fn(&mut DocumentMut, &[&str]),
}

/// The job file.
pub(super) const JOB: Format = Format {
    table: &crate::job::JOB,
    unit_key: Some("units"),
    first: crate::job::first_value,
    before_removal: close_up,
};
/// A machine profile.
pub(super) const PROFILE: Format =
    Format { table: &crate::profile::TABLE, unit_key: None, first: |_| None, before_removal: |_, _| {} };
/// The form of a coupon.
pub(super) const MEASURED: Format =
    Format { table: &crate::coupon::form::TABLE, unit_key: None, first: |_| None, before_removal: |_, _| {} };

/// The most edits that are made at once.
const MOST: usize = 500;
/// The most entries of a list of tables that are made here.
const ENTRIES: usize = 200;

impl Format {
    /// The unit of a document's bare numbers.
    pub(crate) fn unit(&self, doc: &DocumentMut) -> Unit {
        match self.unit_key.and_then(|k| doc.get(k)).and_then(Item::as_str) {
            Some("in") => Unit::Inch,
            _ => Unit::Mm,
        }
    }

    /// The text with the edits in it, one after another. Fails, with a sentence, where the text is no TOML
    /// or a key is none of the format.
    pub fn edited(&self, text: &str, edits: &[Edit]) -> Result<String, String> {
        if edits.len() > MOST {
            return Err(format!("{} edits at once; at most {MOST} are made", edits.len()));
        }
        let mut text = text.to_owned();
        for edit in edits {
            let mut doc = parsed(&text)?;
            let unit = self.unit(&doc);
            let what = keys::named(self.table, &edit.key)
                .ok_or_else(|| format!("`{}` is no key of this format", crate::limits::quoted(&edit.key)))?;
            let parts: Vec<&str> = edit.key.split('.').collect();
            if edit.add {
                self.add(&mut doc, &parts, what, unit)?;
            } else if let (Some(value), false) = (&edit.value, edit.remove) {
                match what {
                    Named::Value(shape) => self.set(&mut doc, &parts, value, shape, unit)?,
                    Named::Tables(_) => {
                        let shape = keys::declared(self.table, &edit.key).map(|k| &k.shape);
                        let shape = shape.filter(|s| matches!(s, Shape::Tables(_)));
                        let shape = shape.ok_or_else(|| format!("`{}` holds tables", edit.key))?;
                        self.set(&mut doc, &parts, value, shape, unit)?;
                    }
                    Named::Table(_) => return Err(format!("`{}` is a table and takes no value", edit.key)),
                }
            } else {
                if let Some(less) = without_line(&text, &parts) {
                    text = less;
                    continue;
                }
                (self.before_removal)(&mut doc, &parts);
                remove(&mut doc, &parts);
            }
            text = doc.to_string();
            parsed(&text)?;
        }
        Ok(text)
    }

    fn set(&self, doc: &mut DocumentMut, parts: &[&str], typed: &str, shape: &Shape, unit: Unit) -> Result<(), String> {
        let Some((last, above)) = parts.split_last() else { return Ok(()) };
        self.make(doc, above, Some(last), unit)?;
        let table = within(doc.as_table_mut(), above).ok_or_else(|| no_place(parts))?;
        let old = table.get(last).and_then(Item::as_value).cloned();
        let mut value = keys::typed(typed, shape, unit, old.as_ref().is_some_and(is_bare));
        if let Some(old) = &old {
            *value.decor_mut() = old.decor().clone();
        }
        match table.get_mut(last) {
            Some(item @ Item::Value(_)) => *item = Item::Value(value),
            _ => {
                table.remove(last);
                table.insert(last, Item::Value(value));
            }
        }
        Ok(())
    }

    /// Adds a table, or an entry to a list of them, with what must be in it.
    fn add(&self, doc: &mut DocumentMut, parts: &[&str], what: Named, unit: Unit) -> Result<(), String> {
        match what {
            Named::Table(_) => self.make(doc, parts, None, unit),
            Named::Tables(_) => {
                let many = within_list(doc.as_table_mut(), parts).map_or(0, |l| l.len());
                let next = many.to_string();
                let entry: Vec<&str> = parts.iter().copied().chain([next.as_str()]).collect();
                match keys::declared(self.table, &parts.join(".")).map(|k| &k.shape) {
                    Some(Shape::Tables(_)) => self.make(doc, &entry, None, unit),
                    _ => Err(format!("name one of `{}`", parts.join("."))),
                }
            }
            Named::Value(_) => Err(format!("`{}` is no table", parts.join("."))),
        }
    }

    /// Makes the tables of a path that are not there, the last of them with all that it must have but
    /// `without`.
    fn make(&self, doc: &mut DocumentMut, parts: &[&str], without: Option<&str>, unit: Unit) -> Result<(), String> {
        for n in 1..=parts.len() {
            let (path, is_last) = (&parts[..n], n == parts.len());
            if within(doc.as_table_mut(), path).is_some() {
                continue;
            }
            let dotted = path.join(".");
            match keys::named(self.table, &dotted) {
                Some(Named::Table(table)) => {
                    let tier = next_tier(doc);
                    insert(doc, path, !is_last)?;
                    let new = within(doc.as_table_mut(), path).ok_or_else(|| no_place(path))?;
                    for key in table.keys {
                        let at = format!("{dotted}.{}", key.name);
                        let is_lid = path.len() == 2 && path[0] == "flap";
                        let is_needed = matches!(key.need, crate::doc::Need::Required);
                        if !(is_needed || is_lid && key.name == "reach") || without == Some(key.name) {
                            continue;
                        }
                        let written = match (is_lid, key.name) {
                            (true, "tier") => tier.to_string(),
                            _ => match (self.first)(&at).map(str::to_owned).or_else(|| key.example()) {
                                Some(written) => written,
                                None => continue,
                            },
                        };
                        if let Some(value) = first(&written, &key.shape, unit) {
                            new.insert(key.name, Item::Value(value));
                        }
                    }
                }
                // The names and the entries of one stand in it.
                Some(Named::Tables(_)) => {}
                _ => return Err(no_place(path)),
            }
        }
        Ok(())
    }
}

/// A value as TOML, a bare length of mm with its unit where bare numbers are inches.
fn first(written: &str, shape: &Shape, unit: Unit) -> Option<Value> {
    let value: Value = written.parse().ok()?;
    let is_bare = value.is_integer() || value.is_float();
    Some(match shape {
        Shape::List(_) if value.is_array() && keys::holds_lengths(shape) && unit == Unit::Inch => {
            let all = value.as_array().into_iter().flatten();
            Value::Array(all.map(|v| format!("{} mm", v.to_string().trim())).collect::<Array>())
        }
        _ if is_bare && keys::holds_lengths(shape) && unit == Unit::Inch => Value::from(format!("{written} mm")),
        _ => value,
    })
}

/// The tier above all that lids have.
fn next_tier(doc: &DocumentMut) -> i64 {
    let lids = doc.get("flap").and_then(Item::as_table_like);
    let tiers = lids.into_iter().flat_map(|t| t.iter()).filter_map(|(_, lid)| lid.get("tier")?.as_integer());
    tiers.max().unwrap_or(0).clamp(0, 1000) + 1
}

fn no_place(parts: &[&str]) -> String {
    format!("`{}` has no place in this text: mend it there", parts.join("."))
}

/// The document of a text, or a sentence on why there is none.
pub(crate) fn parsed(text: &str) -> Result<DocumentMut, String> {
    if text.len() as u64 > crate::limits::TEXT_BYTES {
        return Err(format!("the text is longer than {} KiB", crate::limits::TEXT_BYTES >> 10));
    }
    text.parse().map_err(|e: toml_edit::TomlError| {
        let line = e.span().and_then(|s| text.get(..s.start)).map_or(1, |t| t.matches('\n').count() + 1);
        format!("line {line} of the text cannot be read: mend it there first ({})", e.message().replace('\n', ", "))
    })
}

/// Whether a value is a number, or a list of numbers.
fn is_bare(value: &Value) -> bool {
    match value {
        Value::Integer(_) | Value::Float(_) => true,
        Value::Array(list) => !list.is_empty() && list.iter().all(is_bare),
        _ => false,
    }
}

/// The table of a path, if it is there.
fn within<'a>(table: &'a mut dyn TableLike, parts: &[&str]) -> Option<&'a mut dyn TableLike> {
    let Some((first, rest)) = parts.split_first() else { return Some(table) };
    match table.get_mut(first)? {
        Item::Table(inner) => within(inner, rest),
        Item::Value(Value::InlineTable(inner)) => within(inner, rest),
        list => {
            // A list of tables is no table itself; its entries are.
            let (at, rest) = rest.split_first()?;
            let at: usize = at.parse().ok()?;
            match list {
                Item::ArrayOfTables(list) => within(list.get_mut(at)?, rest),
                Item::Value(Value::Array(list)) => within(list.get_mut(at)?.as_inline_table_mut()?, rest),
                _ => None,
            }
        }
    }
}

/// A list of tables, in either of its ways.
enum List<'a> {
    Tables(&'a mut ArrayOfTables),
    Inline(&'a mut Array),
}

impl List<'_> {
    fn len(&self) -> usize {
        match self {
            Self::Tables(list) => list.len(),
            Self::Inline(list) => list.len(),
        }
    }
}

fn within_list<'a>(table: &'a mut dyn TableLike, parts: &[&str]) -> Option<List<'a>> {
    let (last, above) = parts.split_last()?;
    match within(table, above)?.get_mut(last)? {
        Item::ArrayOfTables(list) => Some(List::Tables(list)),
        Item::Value(Value::Array(list)) => Some(List::Inline(list)),
        _ => None,
    }
}

/// Puts an empty table in, in the way of the table that it stands in.
fn insert(doc: &mut DocumentMut, parts: &[&str], is_implicit: bool) -> Result<(), String> {
    let Some((last, above)) = parts.split_last() else { return Ok(()) };
    let new = || {
        let mut table = toml_edit::Table::new();
        table.set_implicit(is_implicit);
        table.decor_mut().set_prefix("\n");
        table
    };
    if let Ok(at) = last.parse::<usize>() {
        let Some((list, above)) = above.split_last() else { return Err(no_place(parts)) };
        let holder = within(doc.as_table_mut(), above).ok_or_else(|| no_place(parts))?;
        if !holder.contains_key(list) {
            holder.insert(list, Item::ArrayOfTables(ArrayOfTables::new()));
        }
        let whole = within_list(doc.as_table_mut(), &parts[..parts.len() - 1]).ok_or_else(|| no_place(parts))?;
        if at != whole.len() || at >= ENTRIES {
            return Err(format!("`{}` is not the next entry", parts.join(".")));
        }
        match whole {
            List::Tables(list) => list.push(new()),
            List::Inline(list) => list.push(Value::InlineTable(InlineTable::new())),
        }
        return Ok(());
    }
    put(doc, above, last, new())
}

/// A table put into another; names of a choice stand in a table that may not be there yet.
fn put(doc: &mut DocumentMut, above: &[&str], last: &str, new: toml_edit::Table) -> Result<(), String> {
    for n in 1..=above.len() {
        let (name, before) = match above[..n].split_last() {
            Some((name, before)) => (*name, before),
            None => continue,
        };
        if within(doc.as_table_mut(), &above[..n]).is_none() {
            let holder = within(doc.as_table_mut(), before).ok_or_else(|| no_place(&above[..n]))?;
            if holder.contains_key(name) {
                return Err(no_place(&above[..n]));
            }
            let mut table = toml_edit::Table::new();
            table.set_implicit(true);
            holder.insert(name, Item::Table(table));
        }
    }
    let is_inline = is_inline(doc, above);
    let holder = within(doc.as_table_mut(), above).ok_or_else(|| no_place(above))?;
    if holder.contains_key(last) {
        return Err(format!("`{last}` is there and is no table: mend it in the text"));
    }
    let item = if is_inline { Item::Value(Value::InlineTable(InlineTable::new())) } else { Item::Table(new) };
    holder.insert(last, item);
    Ok(())
}

/// Whether a path leads into a table written in one line.
fn is_inline(doc: &DocumentMut, parts: &[&str]) -> bool {
    let mut item: &Item = doc.as_item();
    for part in parts {
        let next = match part.parse::<usize>() {
            Ok(at) => item.get(at),
            Err(_) => item.get(*part),
        };
        match next {
            Some(next) if next.is_value() => return true,
            Some(next) => item = next,
            None => return false,
        }
    }
    false
}

/// The lids that are left close one after another: those after one that goes alone in its tier move up by one.
fn close_up(doc: &mut DocumentMut, parts: &[&str]) {
    let ["flap", gone] = parts else { return };
    let Some(lids) = doc.get_mut("flap").and_then(Item::as_table_like_mut) else { return };
    let tier = |lid: &Item| lid.as_table_like().and_then(|t| t.get("tier")).and_then(Item::as_integer);
    let Some(left) = lids.get(gone).and_then(tier) else { return };
    if lids.iter().any(|(side, lid)| side != *gone && tier(lid) == Some(left)) {
        return;
    }
    for (_, lid) in lids.iter_mut() {
        let after = tier(lid).filter(|t| *t > left);
        let value = lid.as_table_like_mut().and_then(|t| t.get_mut("tier")).and_then(Item::as_value_mut);
        if let (Some(after), Some(value)) = (after, value) {
            let mut new = Value::from(after - 1);
            *new.decor_mut() = value.decor().clone();
            *value = new;
        }
    }
}

fn remove(doc: &mut DocumentMut, parts: &[&str]) {
    let Some((last, above)) = parts.split_last() else { return };
    if let Ok(at) = last.parse::<usize>() {
        let is_empty = match within_list(doc.as_table_mut(), above) {
            Some(List::Tables(list)) if at < list.len() => {
                list.remove(at);
                list.is_empty()
            }
            Some(List::Inline(list)) if at < list.len() => {
                list.remove(at);
                list.is_empty()
            }
            _ => false,
        };
        if is_empty {
            remove(doc, above);
        }
    } else if let Some(table) = within(doc.as_table_mut(), above) {
        table.remove(last);
    }
}

/// The text without the line of a key, where it has lines of its own: what is said above it stays.
fn without_line(text: &str, parts: &[&str]) -> Option<String> {
    let doc = toml_edit::Document::parse(text.to_owned()).ok()?;
    let (last, above) = parts.split_last()?;
    let mut table = doc.as_table();
    for part in above {
        table = table.get(part)?.as_table()?;
    }
    let (key, item) = table.get_key_value(last)?;
    let (key, value) = (key.span()?, item.as_value()?.span()?);
    let start = text.get(..key.start)?.rfind('\n').map_or(0, |i| i + 1);
    // A dotted key's first parts may stand before it.
    if text.get(start..key.start)?.contains(['=', '{', ',', '[', '#']) {
        return None;
    }
    let end = text.get(value.end..)?.find('\n').map_or(text.len(), |i| value.end + i + 1);
    Some(format!("{}{}", text.get(..start)?, text.get(end..)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "# A folder.\nformat = 1\nunits = \"mm\" # millimetres\n\n# The stack.\n[contents]\n# Measured twice.\nwidth = [214.5, 215] # in May\nheight =  302   # once\nclearance = { width = 2, depth = 1 } # room\n\n# Lids.\n[flap.left] # the last\ntier = 3\nreach = \"97 %\"\n";

    fn set(key: &str, value: &str) -> Edit {
        Edit { key: key.into(), value: Some(value.into()), ..Edit::default() }
    }

    fn made(edits: &[Edit]) -> String {
        JOB.edited(TEXT, edits).unwrap()
    }

    #[test]
    fn an_edit_changes_one_line() {
        let one = |key: &str, value: &str, from: &str, to: &str| {
            assert!(TEXT.contains(from));
            assert_eq!(made(&[set(key, value)]), TEXT.replacen(from, to, 1));
        };
        one("contents.height", "305", "=  302   #", "=  305   #");
        one("contents.height", "305 mm", "=  302   #", "=  305   #");
        one("contents.height", "12 in", "=  302   #", "=  \"12 in\"   #");
        one("contents.width", "216; 217", "[214.5, 215]", "[216, 217]");
        one("contents.clearance.width", "3", "{ width = 2,", "{ width = 3,");
        one("units", "in", "\"mm\"", "\"in\"");
        one("flap.left.reach", "60 %", "97 %", "60 %");
        one("flap.left.reach", "x\"y\\", "\"97 %\"", "'x\"y\\'");
    }

    #[test]
    fn a_key_that_is_taken_away_leaves_what_is_said_above_it() {
        let gone = Edit { key: "contents.width".into(), ..Edit::default() };
        assert_eq!(made(&[gone]), TEXT.replace("width = [214.5, 215] # in May\n", ""));
        let gone = Edit { key: "contents.clearance.width".into(), ..Edit::default() };
        assert!(made(&[gone]).contains("# room") && TEXT.contains("depth = 1"));
    }

    #[test]
    fn tables_come_with_what_they_need_and_go_whole() {
        let add = |key: &str| Edit { key: key.into(), add: true, ..Edit::default() };
        let text = made(&[add("flap.head")]);
        assert!(text.starts_with(TEXT) && text.ends_with("\n[flap.head]\ntier = 4\nreach = \"45 %\"\n"), "{text}");
        let tiers = "[flap.left]\ntier = 3 # last\n[flap.right]\ntier = 2\n[flap.head]\ntier = 1\n";
        let without = Edit { key: "flap.head".into(), remove: true, ..Edit::default() };
        let left = JOB.edited(tiers, &[without]).unwrap_or_default();
        assert_eq!(left, "[flap.left]\ntier = 2 # last\n[flap.right]\ntier = 1\n");
        let back = Edit { key: "flap.head".into(), remove: true, ..Edit::default() };
        assert_eq!(JOB.edited(&text, &[back]).unwrap(), TEXT);
        assert!(made(&[add("flap.left.notch")]).contains("[flap.left.notch]\nwidth = 28\ndepth = 9\n"));
        assert!(made(&[set("marks.gauges", "true")]).ends_with("[marks]\ngauges = true\n"));
        assert!(made(&[set("cloth.thickness", "0.4")]).contains("[cloth]\nthickness = 0.4\n"));
        let text = made(&[set("cloth.thickness", "0.4"), add("cloth.leftover"), set("cloth.leftover.0.count", "2")]);
        assert!(text.contains("[[cloth.leftover]]\nwidth = "), "{text}");
        assert!(text.contains("count = 2\n"), "{text}");
        let none = Edit { key: "cloth.leftover.0".into(), remove: true, ..Edit::default() };
        assert!(!JOB.edited(&text, &[none]).unwrap().contains("leftover"));
        assert!(made(&[set("contents.clearance.height", "2")]).contains("height = 2"));
    }

    #[test]
    fn what_is_no_key_is_refused_and_nothing_panics() {
        for key in [
            "",
            ".",
            "flap",
            "flap.left.reach.x",
            "boord",
            "contents.width.0",
            "board.leftover.7.width",
            "flap.up.tier",
        ] {
            let _ = JOB.edited(TEXT, &[set(key, "1")]);
            let _ = JOB.edited(TEXT, &[Edit { key: key.into(), add: true, ..Edit::default() }]);
            let _ = JOB.edited(TEXT, &[Edit { key: key.into(), remove: true, ..Edit::default() }]);
        }
        assert!(JOB.edited(TEXT, &[set("boord", "1")]).is_err());
        assert!(JOB.edited("x = [", &[set("title", "1")]).unwrap_err().contains("line 1"));
        assert!(JOB.edited("contents = 3\n", &[set("contents.width", "1")]).is_err());
    }
}
