//! What the shop holds, for people and for programs.

use super::stocks::{Cut, Stock};
use crate::cli::columns;
use serde_json::{Value, json};
use std::path::Path;

/// Cuts that are shown at once; the JSON has all of them.
const SHOWN: usize = 60;

/// Sheets and leftovers of every stock, then the machines.
pub(super) fn text(stocks: &[Stock], machines: &[String]) -> String {
    let mut text = String::new();
    if stocks.is_empty() {
        text.push_str("No stock yet: flapwright shop FILE stock NAME --kind board --thickness \"2.5 mm\"\n");
    }
    for stock in stocks {
        let thickness = match (stock.measured.first(), stock.thickness) {
            (Some(m), _) => format!("{} mm thick, measured {}", m.thickness, day(&m.at)),
            (None, Some(t)) => format!("{t} mm thick as it is sold"),
            (None, None) => "its thickness is not known".into(),
        };
        let mut of = vec![stock.kind.word().to_owned(), thickness];
        of.extend(
            stock.grain.as_ref().map(|g| if g == "none" { "no grain".into() } else { format!("grain along the {g}") }),
        );
        of.extend(stock.grammage.map(|g| format!("{g} g/m2")));
        of.extend(stock.coating.as_ref().map(|c| format!("coating {c}")));
        text.push_str(&format!("\"{}\": {}\n", stock.name, of.join(", ")));
        let sheet = |s: &super::stocks::Sheet| {
            let price = s.price.map_or(String::new(), |p| format!("{p:.2} each"));
            vec![format!("{} x {} mm", s.width, s.height), format!("{} whole", s.on_hand), price]
        };
        let leftover = |l: &super::stocks::Leftover| {
            let what = format!("leftover {}", l.number);
            vec![format!("{} x {} mm", l.width, l.height), what, format!("{} ({})", l.source, day(&l.at))]
        };
        let rows: Vec<_> = stock.sheets.iter().map(sheet).chain(stock.leftovers.iter().map(leftover)).collect();
        text.push_str(&columns::table(&rows));
    }
    if !machines.is_empty() {
        text.push_str(&format!("Machines: {}\n", machines.join(", ")));
    }
    text
}

/// What was cut, the last first.
pub(super) fn history(cuts: &[Cut]) -> String {
    let row = |c: &Cut| {
        let what = if c.leftover { " (a leftover)" } else { "" };
        vec![
            c.at.clone(),
            c.title.clone(),
            c.sheet.clone(),
            format!("\"{}\" {} x {} mm{what}", c.stock, c.width, c.height),
            c.folder.clone(),
        ]
    };
    let rows: Vec<_> = cuts.iter().take(SHOWN).map(row).collect();
    let more = match cuts.len().saturating_sub(SHOWN) {
        0 => String::new(),
        n => format!("and {n} before; --format json has all of them\n"),
    };
    if rows.is_empty() { "Nothing was cut yet.\n".into() } else { format!("{}{more}", columns::table(&rows)) }
}

/// The date of a time.
fn day(at: &str) -> &str {
    at.split('T').next().unwrap_or(at)
}

pub(super) fn as_json(file: &Path, said: &str, stocks: &[Stock], machines: &[String], cuts: &[Cut]) -> Value {
    json!({
        "format": 1,
        "shop": file.display().to_string(),
        "said": if said.is_empty() { Value::Null } else { said.into() },
        "stocks": stocks,
        "machines": machines,
        "cuts": cuts,
    })
}
