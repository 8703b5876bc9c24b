//! `shop`: a shop's stock in a file of its own, from which jobs may draw and to which cutting gives back.
//!
//! It is one SQLite database. Nothing else needs it: a job that names no stock is worked without. Only here and there
//! a time is kept, and no file of a folder hangs on it.

mod change;
mod fill;
mod show;
mod stocks;
mod store;
mod used;

pub(super) use used::CutSheet;

use super::args::ReportFormat;
use super::filled::Filled;
use super::shop_args::{ShopArgs, ShopCommand};
use super::{Exit, Failure, Terminal};
use crate::diag::Source;
use std::path::Path;
use store::Store;

pub(super) fn run(args: &ShopArgs, terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
    let makes = matches!(args.what, Some(ShopCommand::Stock { .. } | ShopCommand::Machine { .. }));
    let mut store = if makes { Store::open_or_make(&args.file)? } else { Store::open(&args.file)? };
    let said = args.what.as_ref().map(|what| change::change(&mut store, what)).transpose()?.unwrap_or_default();
    let of_all = |of: &rusqlite::Connection| Ok((stocks::all(of)?, stocks::machines(of)?, stocks::history(of)?));
    let (all, machines, cuts) = store.read(of_all)?;
    match args.report.format {
        ReportFormat::Json => {
            writeln!(terminal.out, "{:#}", show::as_json(&args.file, &said, &all, &machines, &cuts))?;
        }
        ReportFormat::Text if terminal.is_quiet() => {}
        ReportFormat::Text => match &args.what {
            None | Some(ShopCommand::List) => terminal.out.write_all(show::text(&all, &machines).as_bytes())?,
            Some(ShopCommand::History) => terminal.out.write_all(show::history(&cuts).as_bytes())?,
            Some(_) => writeln!(terminal.out, "{said}")?,
        },
    }
    Ok(Exit::Good)
}

/// Fills a job's text from a shop.
pub(super) fn fill(file: &Path, source: &mut Source) -> Result<Filled, Failure> {
    fill::fill(&Store::open(file)?, source)
}

/// The profile of a machine that a shop keeps.
pub(super) fn machine(file: &Path, name: &str) -> Result<Option<String>, Failure> {
    Store::open(file)?.read(|of| stocks::machine(of, name))
}

/// Begins to tell a shop what is cut, all of it or nothing: which shop it is, and its numbers of each sheet.
pub(super) fn begin(file: &Path, cut: &[CutSheet]) -> Result<(String, Vec<Vec<i64>>), Failure> {
    Store::open(file)?.write(|of| {
        let mut all = Vec::new();
        for sheet in cut {
            match used::begin(of, sheet)? {
                Ok(numbers) => all.push(numbers),
                Err(wrong) => return Ok(Err(wrong)),
            }
        }
        Ok(Ok((of.query_row("SELECT id FROM shop", [], |row| row.get(0))?, all)))
    })
}

/// Takes off what is cut by these numbers, all of it or nothing; what there is to tell.
pub(super) fn finish(file: &Path, cut: &[CutSheet], numbers: &[Vec<i64>]) -> Result<Vec<String>, Failure> {
    Store::open(file)?.write(|of| {
        let mut said = Vec::new();
        for (sheet, numbers) in cut.iter().zip(numbers) {
            match used::finish(of, sheet, numbers)? {
                Ok(more) => said.extend(more),
                Err(wrong) => return Ok(Err(wrong)),
            }
        }
        said.sort();
        said.dedup();
        Ok(Ok(said))
    })
}
