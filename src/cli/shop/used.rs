//! What cutting does to the shop: each sheet is taken off, and what is left of it given back; and all of that undone.

use super::stocks::{named, unknown};
use crate::cli::Failure;
use crate::job::StockKind;
use rusqlite::{Connection, OptionalExtension, params};

/// Two sizes within this are one, mm: what a rule shows (our choice).
const SAME: f64 = 0.5;

/// A sheet of a folder, as it was cut.
pub(in crate::cli) struct CutSheet {
    /// The folder's whole path.
    pub(in crate::cli) folder: String,
    /// The sheet in it, `board-1`.
    pub(in crate::cli) name: String,
    /// What the folder is of.
    pub(in crate::cli) title: String,
    /// The name of its stock in the shop.
    pub(in crate::cli) stock: String,
    pub(in crate::cli) kind: StockKind,
    /// Its width and height, mm.
    pub(in crate::cli) size: [f64; 2],
    pub(in crate::cli) is_leftover: bool,
    /// What of it can be kept, whole mm.
    pub(in crate::cli) offcut: Option<[f64; 2]>,
    /// How many such sheets are cut, in all.
    pub(in crate::cli) count: u32,
    /// The shop that was told of it before.
    pub(in crate::cli) shop: Option<String>,
    /// That shop's numbers of them.
    pub(in crate::cli) numbers: Vec<i64>,
}

/// Begins to tell of a sheet, before its folder is marked: what was not cut after all is given back, and what was cut more
/// gets numbers. The numbers of all that is cut, or why nothing may be changed.
///
/// The folder keeps the numbers; [`finish`] takes off what they are of. Whatever is killed in between is done by the
/// same command: a number that the folder has and the shop does not know is taken off then, once.
pub(super) fn begin(of: &Connection, cut: &CutSheet) -> rusqlite::Result<Result<Vec<i64>, Failure>> {
    let Some((_, kind)) = named(of, &cut.stock)? else { return Ok(Err(unknown(of, &cut.stock)?)) };
    if kind != cut.kind {
        let message =
            format!("\"{}\" is {} in the shop, and {} is {}", cut.stock, kind.word(), cut.name, cut.kind.word());
        return Ok(Err(Failure::usage(message, "nothing was changed; name the right stock".into())));
    }
    let (own, next): (String, i64) =
        of.query_row("SELECT id, next FROM shop", [], |row| Ok((row.get(0)?, row.get(1)?)))?;
    if cut.shop.as_ref().is_some_and(|other| *other != own) {
        let message = format!("{} of {} was told to another shop", cut.name, cut.folder);
        return Ok(Err(Failure::usage(message, "nothing was changed; name that one with --shop".into())));
    }
    let mut numbers = cut.numbers.clone();
    while numbers.len() > cut.count as usize {
        let Some(last) = numbers.pop() else { break };
        if let Some(wrong) = give_back(of, last, cut)? {
            return Ok(Err(wrong));
        }
    }
    let more = i64::from(cut.count) - numbers.len() as i64;
    if more > 0 {
        numbers.extend(next..next + more);
        of.execute("UPDATE shop SET next = next + ?1", [more])?;
    }
    Ok(Ok(numbers))
}

/// Takes off what is cut by these numbers, each once; what there is to tell.
pub(super) fn finish(
    of: &Connection,
    cut: &CutSheet,
    numbers: &[i64],
) -> rusqlite::Result<Result<Vec<String>, Failure>> {
    let Some((stock, _)) = named(of, &cut.stock)? else { return Ok(Err(unknown(of, &cut.stock)?)) };
    let mut said = Vec::new();
    for number in numbers {
        let is_done: bool =
            of.query_row("SELECT EXISTS (SELECT 1 FROM cut WHERE id = ?1)", [number], |row| row.get(0))?;
        if !is_done {
            take(of, *number, stock, cut, &mut said)?;
        }
    }
    said.dedup();
    Ok(Ok(said))
}

/// One sheet more is cut.
fn take(of: &Connection, id: i64, stock: i64, cut: &CutSheet, said: &mut Vec<String>) -> rusqlite::Result<()> {
    let [width, height] = cut.size;
    let near = "stock = ?1 AND abs(width - ?2) < ?4 AND abs(height - ?3) < ?4";
    let at = params![stock, width, height, SAME];
    let (mut sheet, mut leftover, mut was_counted) = (None, None, false);
    let what = format!("\"{}\", {width} x {height} mm", cut.stock);
    if cut.is_leftover {
        let oldest = format!("SELECT id FROM leftover WHERE {near} AND cut IS NULL ORDER BY id LIMIT 1");
        leftover = of.query_row(&oldest, at, |row| row.get::<_, i64>(0)).optional()?;
        was_counted = leftover.is_some();
        if leftover.is_none() {
            said.push(format!("the shop has no leftover of {what}: {} was cut from one all the same", cut.name));
        }
    } else {
        let question = format!("SELECT id, on_hand FROM sheet WHERE {near} LIMIT 1");
        let found: Option<(i64, u32)> = of.query_row(&question, at, |row| Ok((row.get(0)?, row.get(1)?))).optional()?;
        if let Some((id, on_hand)) = found {
            sheet = Some(id);
            was_counted = on_hand > 0;
        }
        if !was_counted {
            said.push(format!("by the shop's count there was no sheet of {what} any more: count what there is"));
        }
    }
    of.execute(
        "INSERT INTO cut (id, folder, name, title, stock, width, height, is_leftover, sheet, was_counted, at) \
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, strftime('%Y-%m-%dT%H:%M:%SZ', 'now'))",
        params![id, cut.folder, cut.name, cut.title, stock, width, height, cut.is_leftover, sheet, was_counted],
    )?;
    if let Some(leftover) = leftover {
        of.execute("UPDATE leftover SET cut = ?2 WHERE id = ?1", params![leftover, id])?;
    }
    if let Some(sheet) = sheet.filter(|_| was_counted) {
        of.execute("UPDATE sheet SET on_hand = on_hand - 1 WHERE id = ?1", [sheet])?;
    }
    if let Some([width, height]) = cut.offcut {
        of.execute(
            "INSERT INTO leftover (stock, width, height, source, from_cut, at) \
             VALUES (?1, ?2, ?3, ?4, ?5, strftime('%Y-%m-%dT%H:%M:%SZ', 'now'))",
            params![stock, width, height, format!("{}, {}", cut.title, cut.name), id],
        )?;
    }
    Ok(())
}

/// A sheet is not cut after all. Why that cannot be, where what is left of it was used since.
fn give_back(of: &Connection, id: i64, cut: &CutSheet) -> rusqlite::Result<Option<Failure>> {
    let since = "SELECT cut.name, cut.title FROM leftover JOIN cut ON cut.id = leftover.cut WHERE from_cut = ?1";
    let used: Option<(String, String)> = of.query_row(since, [id], |row| Ok((row.get(0)?, row.get(1)?))).optional()?;
    if let Some((name, title)) = used {
        let message = format!("what is left of {} was used since, for {name} of {title}", cut.name);
        return Ok(Some(Failure::usage(message, "nothing was changed; take that mark back first".into())));
    }
    of.execute("DELETE FROM leftover WHERE from_cut = ?1", [id])?;
    of.execute("UPDATE leftover SET cut = NULL WHERE cut = ?1", [id])?;
    of.execute(
        "UPDATE sheet SET on_hand = on_hand + 1 \
         WHERE id = (SELECT sheet FROM cut WHERE id = ?1 AND was_counted = 1)",
        [id],
    )?;
    of.execute("DELETE FROM cut WHERE id = ?1", [id])?;
    Ok(None)
}
