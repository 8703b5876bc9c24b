//! A job that names stocks of the shop, filled from there: what it leaves out is written into its text, so that all that
//! follows reads one text, and the folder keeps it.

use super::stocks::{Stock, all, unknown};
use super::store::Store;
use crate::cli::Failure;
use crate::cli::filled::Filled;
use crate::diag::{Diagnostic, Source};
use crate::doc::{self, Document, RawLength, is_syntax};
use crate::job::{JOB, StockKind};
use crate::units::{Unit, mm};
use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Table, TableLike, Value};

/// A leftover narrower than this is not offered (our choice: as the layout's own offcuts).
const NARROWEST: f64 = 60.0;
/// What stands behind each value that is filled in.
const BESIDE: &str = " # from the shop";

/// Fills the text of a job. One that cannot be read as TOML is left as it is: that is told when it is read.
pub(super) fn fill(store: &Store, source: &mut Source) -> Result<Filled, Failure> {
    let (document, said) = doc::read(&source.text, &JOB, Some("units"));
    let mut filled = Filled::default();
    let text: Option<DocumentMut> = source.text.parse().ok();
    let (Some(mut text), false) = (text, said.iter().any(|d| is_syntax(d.code))) else { return Ok(filled) };
    let named: Vec<(StockKind, String)> = StockKind::ALL
        .into_iter()
        .filter_map(|kind| Some((kind, document.text(&format!("{}.stock", kind.word()))?.trim().to_owned())))
        .collect();
    if named.is_empty() {
        let hint =
            Diagnostic::warning("no-stock-named", "the job names no stock of the shop, and takes nothing from it");
        filled
            .said
            .push(hint.at("board").help("write its name as the shop has it: stock = \"grey board 2.5\" under [board]"));
        return Ok(filled);
    }
    let stocks = store.read(all)?;
    for (kind, name) in named {
        let Some(stock) = stocks.iter().find(|s| s.name == name) else {
            return Err(store.read(|of| unknown(of, &name))?);
        };
        if stock.kind != kind {
            let message =
                format!("\"{name}\" is {} in the shop, and the job has it as {}", stock.kind.word(), kind.word());
            return Err(Failure::usage(message, "name another stock, or move the line to the other table".into()));
        }
        let Some(item) = text.get_mut(kind.word()) else { continue };
        let is_inline = item.is_inline_table();
        let Some(table) = item.as_table_like_mut() else { continue };
        let taken = fill_one(&mut Place { table, is_inline }, stock, &document);
        let key = format!("{}.stock", kind.word());
        let line = format!(
            "{} \"{name}\": {}",
            kind.word(),
            if taken.is_empty() { "nothing that the job leaves out".into() } else { taken.join(", ") }
        );
        filled.said.push(Diagnostic::hint("from-the-shop", format!("from the shop, {line}")).at(key));
        filled.lines.push(line);
        filled.on_hand.extend(stock.sheets.iter().map(|s| (kind, name.clone(), [s.width, s.height], s.on_hand)));
    }
    let text = text.to_string();
    if text != source.text {
        source.text = text;
        source.name = format!("{}, filled from the shop", source.name);
    }
    Ok(filled)
}

/// Fills one table: what was taken, in words.
fn fill_one(place: &mut Place<'_>, stock: &Stock, document: &Document) -> Vec<String> {
    let (kind, unit) = (stock.kind.word(), document.unit);
    let has = |key: &str| document.is_written(&format!("{kind}.{key}"));
    let mut taken = Vec::new();
    if let Some(thickness) = stock.counts().filter(|_| !has("thickness")) {
        place.put("thickness", length(thickness, unit));
        let how = if stock.measured.is_empty() { "as it is sold" } else { "as measured" };
        taken.push(format!("thickness {} ({how})", unit.show(mm(thickness))));
    }
    let words = [("grain", stock.grain.as_deref()), ("coating", stock.coating.as_deref().filter(|_| kind == "cloth"))];
    for (key, word) in words {
        if let Some(word) = word.filter(|_| !has(key)) {
            place.put(key, word.into());
            taken.push(format!("{key} {word}"));
        }
    }
    if let Some(grammage) = stock.grammage.filter(|_| !has("grammage") && !has("density")) {
        place.put("grammage", number(grammage));
        taken.push(format!("{grammage} g/m2"));
    }
    // Of what is not there nothing is offered, unless none is there at all.
    let mut sheets: Vec<_> = stock.sheets.iter().filter(|s| s.on_hand > 0).collect();
    if sheets.is_empty() {
        sheets = stock.sheets.iter().collect();
    }
    let show = |width: f64, height: f64| format!("{} x {}", unit.show(mm(width)), unit.show(mm(height)));
    let mut main = None;
    if has("sheet") {
        let side = |key: &str| match document.length(&format!("{kind}.sheet.{key}")) {
            Some(RawLength::Fixed(l)) => l.to_mm(),
            _ => 0.0,
        };
        let same = |s: &&&super::stocks::Sheet| {
            (s.width - side("width")).abs() < 0.5 && (s.height - side("height")).abs() < 0.5
        };
        main = sheets.iter().find(same).copied();
    } else if !sheets.is_empty() {
        let first = sheets.remove(0);
        place.put("sheet", Value::InlineTable(sizes(first.width, first.height, unit)));
        taken.push(format!("sheets {} ({} there)", show(first.width, first.height), first.on_hand));
        main = Some(first);
        if !has("size") && !sheets.is_empty() {
            let further = sheets.iter().map(|s| {
                let mut size = sizes(s.width, s.height, unit);
                if let Some(price) = s.price {
                    size.insert("price", number(price));
                }
                taken.push(format!("or {} ({} there)", show(s.width, s.height), s.on_hand));
                size
            });
            place.put_list("size", further.collect());
        }
    }
    if let Some(price) = main.and_then(|s| s.price).filter(|_| !has("price")) {
        place.put("price", number(price));
        taken.push(format!("price {price:.2}"));
    }
    if !has("leftover") {
        let margin = match document.length(&format!("{kind}.margin")) {
            Some(RawLength::Fixed(l)) => l.to_mm(),
            _ => 0.0,
        };
        let fits = |l: &&super::stocks::Leftover| l.width.min(l.height) > NARROWEST.max(2.0 * margin);
        let mut counts: Vec<(f64, f64, i64)> = Vec::new();
        for left in stock.leftovers.iter().filter(fits) {
            // Written by us and read back: the same or not.
            let same = |c: &&mut (f64, f64, i64)| {
                c.0.to_bits() == left.width.to_bits() && c.1.to_bits() == left.height.to_bits()
            };
            match counts.iter_mut().find(same) {
                Some(found) => found.2 += 1,
                None => counts.push((left.width, left.height, 1)),
            }
        }
        if !counts.is_empty() {
            let all = counts.iter().map(|(width, height, n)| {
                let mut size = sizes(*width, *height, unit);
                size.insert("count", Value::from(*n));
                size
            });
            place.put_list("leftover", all.collect());
            let n: i64 = counts.iter().map(|c| c.2).sum();
            taken.push(if n == 1 { "1 leftover".into() } else { format!("{n} leftovers") });
        }
    }
    taken
}

/// A table of the job, in either of its ways.
struct Place<'a> {
    table: &'a mut dyn TableLike,
    is_inline: bool,
}

impl Place<'_> {
    fn put(&mut self, key: &str, mut value: Value) {
        value.decor_mut().set_prefix(" ");
        // In a table on one line nothing can stand behind a value.
        if !self.is_inline {
            value.decor_mut().set_suffix(BESIDE);
        }
        self.table.insert(key, Item::Value(value));
    }

    /// Tables of a list, in the way of the table that they stand in.
    fn put_list(&mut self, key: &str, all: Vec<InlineTable>) {
        if self.is_inline {
            let list: Array = all.into_iter().map(Value::InlineTable).collect();
            self.table.insert(key, Item::Value(Value::Array(list)));
            return;
        }
        let mut list = ArrayOfTables::new();
        for one in all {
            let mut entry = Table::new();
            for (key, value) in one {
                entry.insert(&key, Item::Value(value));
            }
            list.push(entry);
        }
        self.table.insert(key, Item::ArrayOfTables(list));
    }
}

/// A length as the job's unit has it: bare, or with its unit where bare numbers are inches.
fn length(millimetres: f64, unit: Unit) -> Value {
    match unit {
        Unit::Mm => number(millimetres),
        Unit::Inch => format!("{millimetres} mm").into(),
    }
}

fn number(n: f64) -> Value {
    match n.fract() == 0.0 && n.abs() < 1e9 {
        true => Value::from(n as i64),
        false => Value::from(n),
    }
}

fn sizes(width: f64, height: f64, unit: Unit) -> InlineTable {
    let mut size = InlineTable::new();
    size.insert("width", length(width, unit));
    size.insert("height", length(height, unit));
    size
}
