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

/// Tells a shop what is cut, all of it or nothing: for each sheet the shop's numbers, and what there is to say.
pub(super) fn tell(file: &Path, cut: &[CutSheet<'_>]) -> Result<(Vec<Vec<i64>>, Vec<String>), Failure> {
    Store::open(file)?.write(|of| {
        let (mut numbers, mut said) = (Vec::new(), Vec::new());
        for sheet in cut {
            match used::tell(of, sheet)? {
                Ok((ids, more)) => {
                    numbers.push(ids);
                    said.extend(more);
                }
                Err(wrong) => return Ok(Err(wrong)),
            }
        }
        said.sort();
        said.dedup();
        Ok(Ok((numbers, said)))
    })
}
