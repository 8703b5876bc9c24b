//! What cutting does to the shop: each sheet is taken off, and what is left of it given back; and all of that undone.

use super::stocks::{list, named, unknown};
use crate::cli::Failure;
use crate::job::StockKind;
use rusqlite::{Connection, OptionalExtension, params};
use std::collections::BTreeSet;

/// Two sizes within this are one, mm: what a rule shows (our choice).
const SAME: f64 = 0.5;

/// A sheet of a folder, as it was cut.
pub(in crate::cli) struct CutSheet<'a> {
    /// The folder's whole path.
    pub(in crate::cli) folder: &'a str,
    /// The sheet in it, `board-1`.
    pub(in crate::cli) name: &'a str,
    /// What the folder is of.
    pub(in crate::cli) title: &'a str,
    /// The name of its stock in the shop.
    pub(in crate::cli) stock: &'a str,
    pub(in crate::cli) kind: StockKind,
    /// Its width and height, mm.
    pub(in crate::cli) size: [f64; 2],
    pub(in crate::cli) is_leftover: bool,
    /// What of it can be kept, whole mm.
    pub(in crate::cli) offcut: Option<[f64; 2]>,
    /// How many such sheets are cut, in all.
    pub(in crate::cli) count: u32,
    /// What the shop's numbers of them are, as far as they were told to one.
    pub(in crate::cli) told: &'a [i64],
}

/// Takes off what was cut more than the shop knows, or gives back what was not cut after all: the shop's numbers of
/// all that are cut now, and what there is to tell.
pub(super) fn tell(of: &Connection, cut: &CutSheet<'_>) -> rusqlite::Result<Result<(Vec<i64>, Vec<String>), Failure>> {
    let Some((stock, kind)) = named(of, cut.stock)? else { return Ok(Err(unknown(of, cut.stock)?)) };
    if kind != cut.kind {
        let message =
            format!("\"{}\" is {} in the shop, and {} is {}", cut.stock, kind.word(), cut.name, cut.kind.word());
        return Ok(Err(Failure::usage(message, "nothing was changed; name the right stock".into())));
    }
    // A run may have been killed between the shop and the folder: by its place the sheet is found again.
    let here = "SELECT id FROM cut WHERE folder = ?1 AND name = ?2";
    let mut ids: BTreeSet<i64> = list(of, here, params![cut.folder, cut.name], |row| row.get(0))?.into_iter().collect();
    for id in cut.told {
        let is_it = "SELECT id FROM cut WHERE id = ?1 AND name = ?2 AND title = ?3";
        ids.extend(of.query_row(is_it, params![id, cut.name, cut.title], |row| row.get::<_, i64>(0)).optional()?);
    }
    if ids.is_empty() && !cut.told.is_empty() {
        let message = format!("{} of {} was told to another shop", cut.name, cut.folder);
        return Ok(Err(Failure::usage(message, "nothing was changed; name that one with --shop".into())));
    }
    let mut said = Vec::new();
    while ids.len() < cut.count as usize {
        ids.insert(take(of, stock, cut, &mut said)?);
    }
    while ids.len() > cut.count as usize {
        let Some(last) = ids.pop_last() else { break };
        if let Some(wrong) = give_back(of, last, cut)? {
            return Ok(Err(wrong));
        }
    }
    said.dedup();
    Ok(Ok((ids.into_iter().collect(), said)))
}

/// One sheet more is cut.
fn take(of: &Connection, stock: i64, cut: &CutSheet<'_>, said: &mut Vec<String>) -> rusqlite::Result<i64> {
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
        "INSERT INTO cut (folder, name, title, stock, width, height, is_leftover, sheet, was_counted, at) \
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, strftime('%Y-%m-%dT%H:%M:%SZ', 'now'))",
        params![cut.folder, cut.name, cut.title, stock, width, height, cut.is_leftover, sheet, was_counted],
    )?;
    let id = of.last_insert_rowid();
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
    Ok(id)
}

/// A sheet is not cut after all. Why that cannot be, where what is left of it was used since.
fn give_back(of: &Connection, id: i64, cut: &CutSheet<'_>) -> rusqlite::Result<Option<Failure>> {
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
