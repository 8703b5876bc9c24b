//! `batch`: a list of measured items and a job that all of them share, as boxes.
//!
//! Rows are worked in lots, so many at a time: a lot's rows share sheets, and its folder is made
//! whole or not at all, like any exported folder (`verify` proves it). Memory holds two
//! lots and every id of the list; nothing else grows with the list. A
//! later run leaves a lot alone that would be made from the same, and in a lot that changed takes
//! over every sheet that did not.

mod item;
mod kept;
mod list;
mod lot;
mod problem;
mod record;
mod shares;
mod summary;

use super::args::{BatchArgs, ReportFormat};
use super::folder::{FolderError, remove_ours, write_whole};
use super::load::{LoadedProfile, plain};
use super::threads::Threads;
use super::{Exit, Failure, Terminal, input, load, programs};
use crate::diag::{Places, Severity, Source, any_error, render};
use crate::doc::{self, is_syntax};
use crate::job::{JOB, Side};
use crate::limits;
use crate::nest::Apart;
use crate::pipeline::{Drawn, LeftOut};
use crate::profile::Profile;
use crate::write::manifest::sha256_hex;
use item::{Item, Template};
use kept::Kept;
use list::{List, Row};
use problem::Problem;
use rayon::prelude::*;
use std::fs;
use std::io::IsTerminal;
use std::path::{Path, PathBuf};
use summary::Summary;

/// Lots that are worked at the same time, at most; more threads divide the sheets of these. Each takes
/// some 150 MB at 40 rows.
const AT_ONCE: usize = 2;

/// What all lots have in common.
pub(super) struct Shop<'a> {
    template: Template<'a>,
    title: String,
    machines: &'a [LoadedProfile],
    left: &'a [LeftOut],
    /// How sheets are drawn for cutters.
    drawn: Drawn<'static>,
    /// The least distance between pieces that all the cuts ask for.
    apart: Apart,
    /// SHA-256 of what every lot is made from.
    made_from: String,
    out: &'a Path,
}

impl Shop<'_> {
    /// The machines, each with what is left to others and to the hand.
    fn asked(&self) -> impl Iterator<Item = (&Profile, Vec<LeftOut>)> {
        self.machines.iter().filter_map(|m| Some((m.profile.as_ref()?, [self.left, &m.left].concat())))
    }
}

/// The rows of a lot before they are worked.
struct Lot {
    number: u64,
    rows: Vec<Row>,
}

/// What became of a lot.
enum Ended {
    /// It was there already.
    Kept,
    Made,
    /// A row is wrong and the run is strict.
    Refused(Vec<Problem>),
}

pub(super) fn run(args: &BatchArgs, terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
    let kerf = args.drawn.kerf()?;
    let threads = Threads::new(args.threads)?;
    let mut source = load::text(&args.job)?;
    let machines = load::machines(&args.machine)?;
    let (template, said) = doc::read(&source.text, &JOB, Some("units"));
    let said: Vec<_> = said.into_iter().filter(|d| is_syntax(d.code)).collect();
    terminal.err.write_all(render(&said, &source, &template.places, terminal.color).as_bytes())?;
    for m in &machines {
        let none = Places::default();
        let places = m.profile.as_ref().map_or(&none, |p| &p.places);
        terminal.err.write_all(render(&m.diagnostics, &m.source, places, terminal.color).as_bytes())?;
    }
    if any_error(&said) || machines.iter().any(|m| m.profile.is_none()) {
        writeln!(terminal.err, "Nothing was written.")?;
        return Ok(Exit::Errors);
    }
    // Only the name: nothing that is written hangs on where the run was started.
    source.name = file_name(&args.job);
    let list_name = file_name(&args.list);
    let mut list = match List::open(&args.list)? {
        Ok(list) => list,
        Err(wrong) => {
            for problem in wrong {
                terminal.err.write_all(problem.show(&list_name, 0).as_bytes())?;
            }
            writeln!(terminal.err, "Nothing was written.")?;
            return Ok(Exit::Errors);
        }
    };
    let folder = args.job.parent().unwrap_or(Path::new("")).to_owned();
    let drawing = |name: &str| input::bytes(&folder.join(name), limits::DRAWING_BYTES).map_err(|e| plain(&e));
    let stem = args.list.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
    let title = template.text("title").map_or(stem, str::to_owned);
    let apart = load::apart(&machines, &args.leave, kerf);
    let drawn = Side::ALL.iter().filter_map(|s| template.text(&format!("flap.{}.outline", s.word())));
    let drawn: Vec<String> = drawn.map(|name| drawing_hash(&drawing, name)).collect();
    let shop = Shop {
        made_from: common_hash(args, &source, &machines, &title, &drawn),
        template: Template { source: &source, drawing: &drawing, effort: args.effort, apart },
        title,
        machines: &machines,
        left: &args.leave,
        drawn: args.drawn.drawn(kerf),
        apart,
        out: &args.out,
    };
    let mut summary = Summary::begin(&args.out, &shop.title, &list_name).map_err(failure)?;
    let is_seen = std::io::stderr().is_terminal();
    loop {
        let lots = read_lots(&mut list, summary.lots, threads.count().min(AT_ONCE), args.lot as usize)?;
        if lots.is_empty() {
            break;
        }
        let rows: usize = lots.iter().map(|l| l.rows.len()).sum();
        let ended: Vec<Result<Ended, FolderError>> =
            threads.run(|| lots.into_par_iter().map(|lot| work_lot(lot, &shop, args.strict)).collect());
        for ended in ended {
            match ended.map_err(failure)? {
                Ended::Refused(problems) => {
                    for problem in problems.iter().filter(|p| p.is_error()) {
                        terminal.err.write_all(problem.show(&list_name, 0).as_bytes())?;
                    }
                    writeln!(terminal.err, "Stopped; mend the list and run the same command again.")?;
                    return Ok(Exit::Errors);
                }
                Ended::Kept => summary.tell(true),
                Ended::Made => summary.tell(false),
            }
        }
        summary.rows += rows;
        if is_seen {
            write!(terminal.err, "\r{} rows, {} lots ", summary.rows, summary.lots)?;
            terminal.err.flush()?;
        }
    }
    if is_seen {
        writeln!(terminal.err)?;
    }
    remove_later_lots(&args.out, summary.lots, terminal)?;
    let whole = summary.finish().map_err(failure)?;
    match args.report.format {
        ReportFormat::Json => writeln!(terminal.out, "{:#}", whole.as_json(&args.out))?,
        ReportFormat::Text => {
            terminal.err.write_all(whole.problems_text().as_bytes())?;
            terminal.out.write_all(whole.text(&args.out).as_bytes())?;
            terminal.out.write_all(programs::cautions(&machines).as_bytes())?;
        }
    }
    Ok(if whole.has_errors() { Exit::Errors } else { Exit::Good })
}

/// The folder of a lot.
fn folder(out: &Path, lot: u64) -> PathBuf {
    out.join(format!("lot-{lot}"))
}

fn file_name(path: &Path) -> String {
    path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default()
}

fn failure(e: FolderError) -> Failure {
    Failure::usage(e.to_string(), "lots that are finished stay; the same command takes the run up again".into())
}

/// The next lots, at most `most` of `rows` rows each.
fn read_lots(list: &mut List, before: u64, most: usize, rows: usize) -> Result<Vec<Lot>, Failure> {
    let mut lots: Vec<Lot> = Vec::new();
    while lots.len() < most {
        let mut lot = Lot { number: before + lots.len() as u64 + 1, rows: Vec::new() };
        while lot.rows.len() < rows
            && let Some(row) = list.next_row()?
        {
            lot.rows.push(row);
        }
        if lot.rows.is_empty() {
            break;
        }
        lots.push(lot);
    }
    Ok(lots)
}

fn work_lot(lot: Lot, shop: &Shop<'_>, strict: bool) -> Result<Ended, FolderError> {
    let dir = folder(shop.out, lot.number);
    let made_from = lot_hash(&lot, shop);
    let kept = Kept::look(&dir);
    if kept.is_made_from(&made_from) && !(strict && kept.has_refused()) {
        return Ok(Ended::Kept);
    }
    let items: Vec<Item> = lot.rows.into_par_iter().map(|row| item::work(row, &shop.template)).collect();
    if strict && items.iter().any(|i| i.made.is_none()) {
        return Ok(Ended::Refused(items.into_iter().flat_map(|i| i.problems).collect()));
    }
    let files = lot::make(lot.number, made_from, &items, &kept, shop).map_err(|e| FolderError::Io {
        doing: "write the record of",
        path: dir.clone(),
        source: e.into(),
    })?;
    write_whole(&dir, &files)?;
    Ok(Ended::Made)
}

/// SHA-256 of what all lots are made from.
fn common_hash(args: &BatchArgs, source: &Source, machines: &[LoadedProfile], title: &str, drawn: &[String]) -> String {
    let of = |m: &LoadedProfile| (m.profile.as_ref().map(|p| p.id.clone()), m.source.text.clone(), m.left.clone());
    let profiles: Vec<_> = machines.iter().map(of).collect();
    let all = (
        (env!("CARGO_PKG_VERSION"), record::FORMAT, title, &source.name, &source.text),
        (profiles, &args.leave, &args.drawn, args.effort, drawn),
    );
    sha256_hex(format!("{all:?}").as_bytes())
}

/// SHA-256 of what one lot is made from.
fn lot_hash(lot: &Lot, shop: &Shop<'_>) -> String {
    let mut all = format!("{} lot {}\n", shop.made_from, lot.number);
    for row in &lot.rows {
        let drawn = row.cells.iter().filter(|c| c.key.ends_with(".outline"));
        let drawn: Vec<String> = drawn.map(|c| drawing_hash(shop.template.drawing, &c.cell)).collect();
        all.push_str(&format!("{row:?} {drawn:?}\n"));
    }
    sha256_hex(all.as_bytes())
}

fn drawing_hash(drawing: &dyn Fn(&str) -> Result<Vec<u8>, String>, name: &str) -> String {
    drawing(name).map_or_else(|why| why, |bytes| sha256_hex(&bytes))
}

/// Takes away the lots of an earlier run of a longer list.
fn remove_later_lots(out: &Path, lots: u64, terminal: &mut Terminal<'_>) -> Result<(), Failure> {
    let mut later = Vec::new();
    for entry in fs::read_dir(out).into_iter().flatten().flatten() {
        let name = entry.file_name();
        let number = name.to_str().and_then(|n| n.strip_prefix("lot-")).and_then(|n| n.parse::<u64>().ok());
        if number.is_some_and(|n| n > lots) {
            later.push(entry.path());
        }
    }
    later.sort();
    for path in later {
        if let Err(e) = remove_ours(&path) {
            writeln!(
                terminal.err,
                "{}: {} is of an earlier list and stays: {e}",
                problem::severity_word(Severity::Warning),
                path.display()
            )?;
        }
    }
    Ok(())
}
