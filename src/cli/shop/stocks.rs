//! The shop as it is: stocks with their sheets, leftovers and measured thicknesses, machines, and what was cut.

use crate::cli::Failure;
use crate::cli::marks::some;
use crate::doc::nearest;
use crate::job::StockKind;
use rusqlite::{Connection, OptionalExtension, Row, params};
use serde::Serialize;

/// A stock with all that is known of it. Lengths are mm.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Stock {
    #[serde(skip)]
    pub(super) id: i64,
    pub(super) name: String,
    pub(super) kind: StockKind,
    /// As it is sold.
    pub(super) thickness: Option<f64>,
    /// What was measured, the last first.
    pub(super) measured: Vec<Measure>,
    pub(super) grain: Option<String>,
    pub(super) coating: Option<String>,
    pub(super) grammage: Option<f64>,
    /// In the order in which they were added.
    pub(super) sheets: Vec<Sheet>,
    /// Those that are there.
    pub(super) leftovers: Vec<Leftover>,
}

/// A thickness that was measured.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Measure {
    pub(super) thickness: f64,
    pub(super) at: String,
}

/// Whole sheets of a size.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Sheet {
    pub(super) width: f64,
    pub(super) height: f64,
    pub(super) on_hand: u32,
    pub(super) price: Option<f64>,
}

/// A leftover.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Leftover {
    pub(super) number: i64,
    pub(super) width: f64,
    pub(super) height: f64,
    /// Where it comes from.
    pub(super) source: String,
    pub(super) at: String,
}

/// A sheet that was cut.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Cut {
    pub(super) at: String,
    pub(super) folder: String,
    pub(super) sheet: String,
    pub(super) title: String,
    pub(super) stock: String,
    pub(super) width: f64,
    pub(super) height: f64,
    /// Whether it was a leftover.
    pub(super) leftover: bool,
}

impl Stock {
    /// How thick it is: as it was measured last, or else as it is sold.
    pub(super) fn counts(&self) -> Option<f64> {
        self.measured.first().map(|m| m.thickness).or(self.thickness)
    }
}

/// Every stock, by name.
pub(super) fn all(of: &Connection) -> rusqlite::Result<Vec<Stock>> {
    let mut stocks = list(
        of,
        "SELECT id, name, kind, thickness, grain, coating, grammage FROM stock ORDER BY kind, name",
        [],
        |row| {
            Ok(Stock {
                id: row.get(0)?,
                name: row.get(1)?,
                kind: kind(&row.get::<_, String>(2)?),
                thickness: row.get(3)?,
                measured: Vec::new(),
                grain: row.get(4)?,
                coating: row.get(5)?,
                grammage: row.get(6)?,
                sheets: Vec::new(),
                leftovers: Vec::new(),
            })
        },
    )?;
    for stock in &mut stocks {
        let measure = |row: &Row<'_>| Ok(Measure { thickness: row.get(0)?, at: row.get(1)? });
        let sheet = |row: &Row<'_>| {
            Ok(Sheet { width: row.get(0)?, height: row.get(1)?, on_hand: row.get(2)?, price: row.get(3)? })
        };
        let leftover = |row: &Row<'_>| {
            Ok(Leftover {
                number: row.get(0)?,
                width: row.get(1)?,
                height: row.get(2)?,
                source: row.get(3)?,
                at: row.get(4)?,
            })
        };
        stock.measured =
            list(of, "SELECT thickness, at FROM measure WHERE stock = ?1 ORDER BY id DESC", [stock.id], measure)?;
        let sheets = "SELECT width, height, on_hand, price FROM sheet WHERE stock = ?1 ORDER BY id";
        stock.sheets = list(of, sheets, [stock.id], sheet)?;
        let leftovers =
            "SELECT id, width, height, source, at FROM leftover WHERE stock = ?1 AND cut IS NULL ORDER BY id";
        stock.leftovers = list(of, leftovers, [stock.id], leftover)?;
    }
    Ok(stocks)
}

/// The names of the machines.
pub(super) fn machines(of: &Connection) -> rusqlite::Result<Vec<String>> {
    list(of, "SELECT name FROM machine ORDER BY name", [], |row| row.get(0))
}

/// A machine's profile.
pub(super) fn machine(of: &Connection, name: &str) -> rusqlite::Result<Option<String>> {
    of.query_row("SELECT profile FROM machine WHERE name = ?1", [name], |row| row.get(0)).optional()
}

/// What was cut, the last first.
pub(super) fn history(of: &Connection) -> rusqlite::Result<Vec<Cut>> {
    let cuts = "SELECT cut.at, folder, cut.name, title, stock.name, width, height, is_leftover \
                FROM cut JOIN stock ON stock.id = cut.stock ORDER BY cut.id DESC";
    list(of, cuts, [], |row| {
        Ok(Cut {
            at: row.get(0)?,
            folder: row.get(1)?,
            sheet: row.get(2)?,
            title: row.get(3)?,
            stock: row.get(4)?,
            width: row.get(5)?,
            height: row.get(6)?,
            leftover: row.get(7)?,
        })
    })
}

/// A stock's number and kind by its name.
pub(super) fn named(of: &Connection, name: &str) -> rusqlite::Result<Option<(i64, StockKind)>> {
    let found = of.query_row("SELECT id, kind FROM stock WHERE name = ?1", params![name], |row| {
        Ok((row.get(0)?, kind(&row.get::<_, String>(1)?)))
    });
    found.optional()
}

/// What is told of a name that no stock has.
pub(super) fn unknown(of: &Connection, name: &str) -> rusqlite::Result<Failure> {
    let names: Vec<String> = list(of, "SELECT name FROM stock ORDER BY kind, name", [], |row| row.get(0))?;
    let hint = match nearest(name, names.iter().map(String::as_str)) {
        Some(near) => format!("did you mean \"{near}\"?"),
        None if names.is_empty() => "it has none yet: flapwright shop FILE stock NAME --kind board".into(),
        None => format!("it has {}", some(names.iter().map(String::as_str), names.len())),
    };
    Ok(Failure::usage(format!("the shop has no stock \"{}\"", crate::limits::quoted(name)), hint))
}

/// All rows of a question.
pub(super) fn list<T>(
    of: &Connection,
    question: &str,
    with: impl rusqlite::Params,
    read: impl FnMut(&Row<'_>) -> rusqlite::Result<T>,
) -> rusqlite::Result<Vec<T>> {
    of.prepare(question)?.query_map(with, read)?.collect()
}

/// A kind by its word; the tables let no other in.
fn kind(word: &str) -> StockKind {
    StockKind::of_word(word).unwrap_or(StockKind::Board)
}
