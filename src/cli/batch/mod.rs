//! `batch`: a list of measured items and a job that all of them share, as boxes.
//!
//! Rows are worked in lots, so many at a time: a lot's rows share sheets, and its folder is made
//! whole or not at all, like any exported folder (`verify` proves it); a lot of which every row is refused has none.
//! Memory holds two lots, every id of the list and a few figures of each sheet; nothing else grows with the list. A
//! later run leaves a lot alone that would be made from the same, and in a lot that changed takes
//! over every sheet that did not.

mod beside;
mod causes;
mod changes;
mod cut;
mod guides;
mod item;
mod kept;
mod leftovers;
mod list;
mod lot;
mod lots;
mod packed;
mod plan;
mod problem;
mod record;
mod refused;
mod shard;
mod shares;
mod summary;
mod table;
mod work;

use super::args::{BatchArgs, ReportFormat};
use super::filled::Supply;
use super::folder::{FolderError, lot_name, remove_ours, write_whole};
use super::keep::Keep;
use super::load::{LoadedProfile, plain};
use super::said::Said;
use super::threads::Threads;
use super::{Exit, Failure, Terminal, input, load, programs};
use crate::diag::{Level, Places, Severity, Source};
use crate::doc::{self, is_syntax};
use crate::job::{JOB, drawings_named};
use crate::limits;
use crate::nest::Apart;
use crate::pipeline::{Drawn, LeftOut};
use crate::profile::Profile;
use crate::write::manifest::sha256_hex;
use causes::Causes;
use changes::Changes;
use cut::CutLots;
use item::{Item, Template};
use kept::Kept;
use leftovers::Leftovers;
use list::{List, Row};
use lots::Lots;
use plan::{Plan, lot_hash, other_lots, parts};
use problem::Problem;
use rayon::prelude::*;
use record::{Part, Parts};
use refused::{Refused, Writing, as_line};
use serde_json::json;
use std::collections::{BTreeMap, BTreeSet};
use std::io::IsTerminal;
use std::path::{Path, PathBuf};
use summary::{Before, Summary};

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
    /// The same part by part, without rows.
    parts: Parts,
    /// Whether each item has its guide and its templates.
    has_guides: bool,
    /// Which kinds of files lots keep.
    keep: Keep,
    /// Whether each stock's files have a folder of their own, also where they are few.
    by_stock: bool,
    /// Whether the first wrong row ends the run.
    is_strict: bool,
    /// Whether rows that changed since they were cut stay as they were.
    is_as_cut: bool,
    /// How many boxes a row wants that does not say it.
    copies: u32,
    /// Whether files that somebody changed are written over.
    is_forced: bool,
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
    /// What it may take that is left of others.
    leftovers: Leftovers,
}

/// What became of a lot.
enum Ended {
    /// It was there already.
    Kept,
    Made,
    /// Every row is refused, now or in the run before; its record as a line.
    Refused(Vec<u8>),
    /// A row is wrong and the run is strict.
    Stopped(Vec<Problem>),
}

pub(super) fn run(args: &BatchArgs, terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
    let kerf = args.drawn.kerf()?;
    let keep = Keep::new(&args.keep, &args.drawn, args.pack)?;
    let threads = Threads::new(args.threads)?;
    let mut source = load::text(&args.job)?;
    let filled = args.shop.fill(&mut source)?;
    let machines = load::machines(&args.machine, &args.shop)?;
    let (template, said) = doc::read(&source.text, &JOB, Some("units"));
    let mut before = Said::new(args.report.format, template.unit);
    for m in &machines {
        let none = Places::default();
        before.add_machine(&m.source, m.profile.as_ref().map_or(&none, |p| &p.places), m.diagnostics.clone());
    }
    before.add(&source, &template.places, said.into_iter().filter(|d| is_syntax(d.code)).collect());
    let from_shop = filled.said.iter().map(|d| d.clone().placed(&template.places)).collect();
    before.add(&source, &template.places, from_shop);
    if before.has_errors() {
        return match args.report.format {
            ReportFormat::Json => Err(Failure::Faulty(Box::new(before))),
            ReportFormat::Text => before.refuse(terminal),
        };
    }
    // Only the name: nothing that is written hangs on where the run was started.
    source.name = file_name(&args.job);
    let list_name = file_name(&args.list);
    let list = match List::open(&args.list)? {
        Ok(list) => list,
        Err(wrong) => return refused(args, &wrong, "Nothing was written.", terminal),
    };
    if let Some(column) = list.names_a_stock().filter(|_| args.shop.is_some()) {
        let message =
            format!("the column `{column}` names a stock for each row, and --shop fills the job that all rows share");
        let hint = "name the stock in the job; make a list of its own, into a folder of its own, for each stock";
        return Err(Failure::usage(message, hint.into()));
    }
    let folder = args.job.parent().unwrap_or(Path::new("")).to_owned();
    let drawing = |name: &str| input::bytes(&folder.join(name), limits::DRAWING_BYTES).map_err(|e| plain(&e));
    let stem = args.list.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
    let title = template.text("title").map_or(stem, str::to_owned);
    let apart = load::apart(&machines, &args.leave, kerf);
    let drawn: Vec<String> = drawings_named(&template).iter().map(|(_, name)| drawing_hash(&drawing, name)).collect();
    let shop = Shop {
        made_from: common_hash((args, keep), &source, &machines, &title, &drawn),
        template: Template { source: &source, drawing: &drawing, effort: args.effort, apart },
        title: title.clone(),
        machines: &machines,
        left: &args.leave,
        drawn: Drawn { has_svg: keep.svg, no_dxf: !keep.dxf, no_picture: !keep.pictures, ..args.drawn.drawn(kerf) },
        keep,
        apart,
        parts: common_parts((args, keep), &source, &machines, &title, &drawn),
        has_guides: args.guides,
        by_stock: args.by_stock,
        is_strict: args.strict,
        is_as_cut: args.as_cut,
        copies: template.count("copies").and_then(|n| n.try_into().ok()).unwrap_or(1),
        is_forced: args.force,
        out: &args.out,
    };
    let rows_of_a_lot = args.lot as usize;
    let cut = CutLots::look(&args.out, &shop.parts.job)?;
    let lots_of = |list| Lots::new(list, &cut, &shop, rows_of_a_lot);
    let found = Refused::look(&args.out);
    let plan = threads.run(|| Plan::look(lots_of(list), &cut.lots, &found, &shop))?;
    if plan.is_empty {
        let wrong = Problem::new(1, "", None, "no-rows", "the list has a header and no row under it");
        let wrong = wrong.help("write a row for each box under the header, with its id and measures");
        return refused(args, &[wrong], "Nothing was written.", terminal);
    }
    let is_alone = args.shard.is_none();
    let mut summary = Summary::hold(&args.out, &shop.title, &list_name, template.unit, is_alone).map_err(failure)?;
    let stop = match args.shard {
        Some(shard) => shard.stops(&plan, summary.before, &args.out),
        None if args.gather => shard::not_gathered(&plan, &args.out),
        None => None,
    };
    if let Some(stop) = stop.or_else(|| plan.stops(&args.out).filter(|_| !args.force)) {
        return Err(stop);
    }
    if is_alone || summary.before == Before::Nothing {
        summary.begin().map_err(failure)?;
    }
    let changes =
        if is_alone { changes(plan, &shop, summary.before).map_err(failure)? } else { Changes::none(&args.out) };
    // What it was read through for was told above.
    let Ok(list) = List::open(&args.list)? else { return Err(changed_meanwhile(&args.list)) };
    let mut refused = Writing::begin(&args.out, args.shard).map_err(failure)?;
    let at_once = threads.count().min(AT_ONCE);
    let mut list = lots_of(list);
    let is_seen = std::io::stderr().is_terminal() && !terminal.is_quiet();
    list.list_note().iter().for_each(|note| summary.note(note));
    loop {
        let lots = list.next_of(at_once, |lot| args.shard.is_none_or(|share| share.has(lot)))?;
        if lots.is_empty() {
            break;
        }
        let numbers: Vec<u64> = lots.iter().map(|l| l.number).collect();
        let ended: Vec<Result<Ended, FolderError>> =
            threads.run(|| lots.into_par_iter().map(|lot| work_lot(lot, &found, &shop, &changes)).collect());
        for (number, ended) in numbers.into_iter().zip(ended) {
            match ended.map_err(failure)? {
                Ended::Stopped(problems) => return stopped(args, problems, terminal),
                Ended::Refused(line) => refused.add(number, &line).map_err(failure)?,
                Ended::Kept => summary.tell(number, true),
                Ended::Made => summary.tell(number, false),
            }
        }
        if is_seen {
            write!(terminal.err, "\r{} rows, {} lots ", list.rows, list.numbers.len())?;
            terminal.err.flush()?;
        }
    }
    if is_seen {
        writeln!(terminal.err)?;
    }
    let refused = refused.end(is_alone).map_err(failure)?;
    if let Some(shard) = args.shard {
        let (kept, made) = (summary.kept, summary.lots.len() as u64 - summary.kept);
        match args.report.format {
            ReportFormat::Json => writeln!(terminal.out, "{:#}", shard.as_json(made, kept, &args.out))?,
            ReportFormat::Text if terminal.is_quiet() => {}
            ReportFormat::Text => terminal.out.write_all(shard.text(made, kept, &args.out).as_bytes())?,
        }
        return Ok(Exit::Good);
    }
    summary.cut(&cut.lots, &list);
    remove_other_lots(&args.out, &summary.lots, terminal)?;
    let whole = summary.finish(changes.done().map_err(failure)?, &refused).map_err(failure)?;
    let short = filled.shortages(whole.to_cut.iter().copied(), template.unit);
    before.add(&source, &template.places, short.into_iter().map(|d| d.placed(&template.places)).collect());
    match args.report.format {
        ReportFormat::Json => writeln!(terminal.out, "{:#}", whole.as_json(&args.out, &before.as_json()))?,
        ReportFormat::Text => {
            if !terminal.is_quiet() {
                terminal.out.write_all(whole.text(&args.out).as_bytes())?;
                terminal.out.write_all(filled.text().as_bytes())?;
                if whole.has_made() {
                    terminal.out.write_all(programs::cautions(&machines).as_bytes())?;
                }
                writeln!(terminal.out)?;
            }
            before.show(terminal)?;
            terminal.err.write_all(whole.problems_text(terminal.level).as_bytes())?;
        }
    }
    Ok(if whole.has_errors() { Exit::Errors } else { Exit::Good })
}

/// What is wrong with a list that is not worked, or not on.
fn refused(args: &BatchArgs, wrong: &[Problem], then: &str, terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
    match args.report.format {
        ReportFormat::Json => {
            let each: Vec<_> = wrong.iter().map(|p| json!({"first": p, "worst": p, "others": 0})).collect();
            writeln!(terminal.out, "{:#}", json!({"format": 1, "folder": null, "problems": each}))?;
        }
        ReportFormat::Text => {
            let list = file_name(&args.list);
            let text: String = wrong.iter().map(|problem| problem.show(&list)).collect();
            writeln!(terminal.err, "{text}{then}")?;
        }
    }
    Ok(Exit::Errors)
}

/// What is wrong with a list that is not worked on, because a row is wrong and the run is strict.
fn stopped(args: &BatchArgs, problems: Vec<Problem>, terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
    let wrong: Vec<Problem> = problems.into_iter().filter(Problem::is_error).collect();
    let then = "Stopped; mend the list and run the same command again.";
    if args.report.format == ReportFormat::Text && terminal.level == Level::All {
        return refused(args, &wrong, then, terminal);
    }
    let mut causes = Causes::default();
    wrong.iter().for_each(|problem| causes.add(problem));
    match args.report.format {
        ReportFormat::Json => {
            let report = json!({"format": 1, "folder": null, "problems": causes.as_json()});
            writeln!(terminal.out, "{report:#}")?;
        }
        ReportFormat::Text => {
            writeln!(terminal.err, "{}{then}", causes.text(&file_name(&args.list), Level::Errors))?;
        }
    }
    Ok(Exit::Errors)
}

/// The folder of a lot.
fn folder(out: &Path, lot: u64) -> PathBuf {
    out.join(lot_name(lot))
}

fn file_name(path: &Path) -> String {
    path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default()
}

fn failure(e: FolderError) -> Failure {
    let hint = match e {
        FolderError::OtherCommand { .. } | FolderError::NotOurs(_) | FolderError::NotAFolder(_) => {
            "nothing was changed"
        }
        _ => "lots that are finished stay; the same command takes the run up again",
    };
    Failure::usage(e.to_string(), e.hint(hint))
}

fn work_lot(lot: Lot, found: &Refused, shop: &Shop<'_>, changes: &Changes) -> Result<Ended, FolderError> {
    let dir = folder(shop.out, lot.number);
    let made_from = lot_hash(&lot, shop);
    let kept = Kept::look_for(&dir, || found.record(lot.number, &made_from));
    if kept.stays(&made_from, shop) {
        let line = if kept.has_folder() { None } else { found.line(lot.number, &made_from) };
        return Ok(line.map_or(Ended::Kept, Ended::Refused));
    }
    let parts = parts(&lot, shop);
    let may = lot.leftovers;
    let items: Vec<Item> = lot.rows.into_par_iter().map(|row| item::work(row, &shop.template)).collect();
    if shop.is_strict && items.iter().any(|i| i.made.is_none()) {
        return Ok(Ended::Stopped(items.into_iter().flat_map(|i| i.problems).collect()));
    }
    if items.iter().all(|i| i.made.is_none()) {
        changes.tell(lot.number, &kept, &Vec::new())?;
        if kept.has_folder() {
            remove_ours(&dir)?;
        }
        let record = lot::refused(lot.number, made_from, parts, items, shop);
        return Ok(Ended::Refused(as_line(&record).map_err(|e| cannot_record(&dir, e))?));
    }
    let made = lot::make((lot.number, may), (made_from, parts), &items, &kept, shop);
    let files = made.map_err(|e| cannot_record(&dir, e))?;
    changes.tell(lot.number, &kept, &files)?;
    write_whole(&dir, &files)?;
    Ok(Ended::Made)
}

fn cannot_record(dir: &Path, e: serde_json::Error) -> FolderError {
    FolderError::Io { doing: "write the record of", path: dir.into(), source: e.into() }
}

/// SHA-256 of what all lots are made from.
fn common_hash(
    (args, keep): (&BatchArgs, Keep),
    source: &Source,
    machines: &[LoadedProfile],
    title: &str,
    drawn: &[String],
) -> String {
    let of = |m: &LoadedProfile| (m.profile.as_ref().map(|p| p.id.clone()), m.source.text.clone(), m.left.clone());
    let profiles: Vec<_> = machines.iter().map(of).collect();
    let all = (
        (env!("CARGO_PKG_VERSION"), record::FORMAT, args.guides, args.by_stock, title, &source.name, &source.text),
        (profiles, &args.leave, &args.drawn, args.effort, drawn, keep),
    );
    sha256_hex(format!("{all:?}").as_bytes())
}

/// The same part by part.
fn common_parts(
    (args, keep): (&BatchArgs, Keep),
    source: &Source,
    machines: &[LoadedProfile],
    title: &str,
    drawn: &[String],
) -> Parts {
    let sha = |text: String| sha256_hex(text.as_bytes());
    let of = |m: &LoadedProfile| {
        Some(Part { id: m.profile.as_ref()?.id.clone(), sha256: sha(format!("{:?} {:?}", m.source.text, m.left)) })
    };
    let how = (&args.leave, args.drawn.dxf, keep, args.drawn.no_stock, args.effort, args.guides, args.by_stock);
    Parts {
        program: env!("CARGO_PKG_VERSION").into(),
        job: sha(format!("{:?}", (title, &source.name, &source.text, drawn))),
        machines: machines.iter().filter_map(of).collect(),
        kerf: args.drawn.kerf.join(", "),
        options: sha(format!("{how:?}")),
        leftovers: String::new(),
        rows: Vec::new(),
    }
}

/// What is told of what differs from the run before.
fn changes(plan: Plan, shop: &Shop<'_>, before: Before) -> Result<Changes, FolderError> {
    let added = if before == Before::Finished { plan.added } else { BTreeMap::new() };
    Changes::begin(shop.out, plan.reasons, added, plan.gone, before == Before::Stopped)
}

fn changed_meanwhile(list: &Path) -> Failure {
    let message = format!("{} was changed while it was read", list.display());
    Failure::usage(message, "run the same command again".into())
}

fn drawing_hash(drawing: &dyn Fn(&str) -> Result<Vec<u8>, String>, name: &str) -> String {
    drawing(name).map_or_else(|why| why, |bytes| sha256_hex(&bytes))
}

/// Takes away the lots of an earlier run of a longer list.
fn remove_other_lots(out: &Path, lots: &BTreeSet<u64>, terminal: &mut Terminal<'_>) -> Result<(), Failure> {
    for path in other_lots(out, lots).into_iter().map(|lot| folder(out, lot)) {
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
