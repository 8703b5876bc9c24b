//! `cut`: a maker says what of a folder is cut, and later runs leave that as it is.

mod parts;
#[cfg_attr(not(feature = "shop"), path = "untold.rs")]
mod told;

use super::args::{CutArgs, ReportFormat};
use super::folder::{BATCH, FolderError, Held, is_batch};
use super::marks::Marks;
use super::{Exit, Failure, Terminal};
use parts::{Part, Pick};
use serde_json::json;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use told::Telling;

pub(super) fn run(args: &CutArgs, terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
    let is_list = is_batch(&args.folder.join(BATCH));
    let look = || -> Result<(Vec<Part>, Vec<Pick>), Failure> {
        let parts = parts::read(&args.folder, is_list)?;
        let picks = if args.all { Pick::all(&parts) } else { parts::picks(args, &parts)? };
        Ok((parts, picks))
    };
    let (mut parts, mut picks) = look()?;
    let (mut changed, mut said) = (Vec::new(), Vec::new());
    if !picks.is_empty() {
        // What another run is about to write is not marked meanwhile, and the other way round.
        let _above = held_above(&args.folder, is_list).map_err(|e| refused(&e))?;
        let touched = |picks: &[Pick]| -> BTreeSet<usize> { picks.iter().map(|p| p.part).collect() };
        let held = touched(&picks);
        let _held: Vec<Held> = held
            .iter()
            .map(|i| Held::new(&parts[*i].dir, &parts[*i].dir))
            .collect::<Result<_, _>>()
            .map_err(|e| refused(&e))?;
        let before: Vec<String> = parts.iter().map(|p| p.name.clone()).collect();
        // Read again now that nobody writes them.
        (parts, picks) = look()?;
        if !parts.iter().map(|p| &p.name).eq(&before) || touched(&picks) != held {
            return Err(refused(&FolderError::Busy(args.folder.clone())));
        }
        let count = |p: &Pick| if args.undo { 0 } else { args.count.unwrap_or(parts[p.part].sheets[p.sheet].count) };
        let wanted: Vec<(Pick, u32)> = picks.iter().map(|p| (*p, count(p))).collect();
        let telling = Telling::begin(args, &parts, &wanted)?;
        if telling.is_none() {
            untold(&parts, &wanted)?;
        }
        let before: Vec<Marks> = parts.iter().map(|p| p.marks.clone()).collect();
        for (pick, count) in &wanted {
            let part = &mut parts[pick.part];
            let sheet = &part.sheets[pick.sheet];
            if part.marks.count(&sheet.id) != *count {
                part.marks.set(&sheet.id, *count);
                changed.push(part.named(&sheet.id));
            }
        }
        for (at, (pick, _)) in wanted.iter().enumerate() {
            if let Some(in_shop) = telling.as_ref().and_then(|t| t.of(at)) {
                let part = &mut parts[pick.part];
                part.marks.tell(&part.sheets[pick.sheet].id, in_shop);
            }
        }
        for i in &held {
            let part = &mut parts[*i];
            part.marks.sort_as(part.sheets.iter().map(|s| s.id.as_str()));
            part.marks.write(&part.dir).map_err(|e| refused(&e))?;
        }
        if let Some(done) = telling.map(Telling::finish) {
            said = done.inspect_err(|_| {
                // Back to what the shop knows; where that cannot be, the same command does the rest.
                held.iter().for_each(|i| drop(before[*i].write(&parts[*i].dir)));
            })?;
        }
    }
    match args.report.format {
        ReportFormat::Json => writeln!(terminal.out, "{:#}", as_json(&args.folder, &parts, &changed, &said))?,
        ReportFormat::Text if terminal.is_quiet() => {}
        ReportFormat::Text => {
            if !picks.is_empty() {
                terminal.out.write_all(told(args, &changed, picks.len()).as_bytes())?;
            }
            terminal.out.write_all(parts::table(&parts).as_bytes())?;
            for note in &said {
                writeln!(terminal.err, "warning: {note}")?;
            }
        }
    }
    Ok(Exit::Good)
}

/// Whoever told a shop has to tell it of a change, too.
fn untold(parts: &[Part], wanted: &[(Pick, u32)]) -> Result<(), Failure> {
    let less = wanted.iter().map(|(pick, count)| (&parts[pick.part], &parts[pick.part].sheets[pick.sheet], count));
    for (part, sheet, count) in less {
        if part.marks.told(&sheet.id) > *count {
            let message = format!("a shop was told that {} is cut", part.named(&sheet.id));
            return Err(Failure::usage(message, "nothing was changed; tell it of this too: --shop FILE".into()));
        }
    }
    Ok(())
}

fn refused(e: &FolderError) -> Failure {
    Failure::usage(e.to_string(), e.hint("no further mark was set or taken back; the same command does the rest"))
}

/// The list's folder, held: the one that was named, or the one that a named lot lies in.
fn held_above(folder: &Path, is_list: bool) -> Result<Option<Held>, FolderError> {
    let above = if is_list { Some(folder.to_owned()) } else { list_of(folder) };
    above.map(|dir| Held::new(&dir, &dir)).transpose()
}

/// The folder of the list that a lot lies in.
fn list_of(lot: &Path) -> Option<PathBuf> {
    let real = lot.canonicalize().ok()?;
    let above = real.parent()?;
    is_batch(&above.join(BATCH)).then(|| above.to_owned())
}

/// A sentence of what was done.
fn told(args: &CutArgs, changed: &[String], picked: usize) -> String {
    let folder = args.folder.display();
    let already = picked - changed.len();
    let (done, was) =
        if args.undo { ("no longer marked as cut", "not marked") } else { ("marked as cut", "so marked") };
    let sheets = |n: usize| if n == 1 { "1 sheet".to_owned() } else { format!("{n} sheets") };
    let already = match already {
        0 => String::new(),
        1 => format!("; 1 was {was} already"),
        n => format!("; {n} were {was} already"),
    };
    format!("{folder}: {} {done}{already}\n\n", sheets(changed.len()))
}

fn as_json(folder: &Path, parts: &[Part], changed: &[String], said: &[String]) -> serde_json::Value {
    let sheet = |part: &Part, s: &parts::Sheet| json!({"sheet": s.id, "stock": s.stock, "count": s.count, "cut": part.marks.count(&s.id)});
    let part = |p: &Part| {
        let sheets: Vec<_> = p.sheets.iter().map(|s| sheet(p, s)).collect();
        json!({"folder": p.name, "state": p.state(), "sheets": sheets})
    };
    json!({
        "format": 1,
        "folder": folder.display().to_string(),
        "changed": changed,
        "said": said,
        "parts": parts.iter().map(part).collect::<Vec<_>>(),
    })
}
