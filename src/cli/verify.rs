//! `verify`: a folder, or one program, read back and proved.

use super::args::{ReportFormat, VerifyArgs};
use super::folder::{BATCH, folders_within, is_batch, lots_in, replace_file};
use super::marks::{self, Marks};
use super::said::Said;
use super::threads::Threads;
use super::{Exit, Failure, Terminal, input, load};
use crate::diag::{Places, Severity};
use crate::doc::{RawLength, parse_length};
use crate::geom::pt;
use crate::job::StockKind;
use crate::limits;
use crate::profile::{OperationKind, Profile};
use crate::units::{Unit, mm};
use crate::verify::nominal::Nominal;
use crate::verify::read::dxf;
use crate::verify::{Finding, Folder, ProgramProof, Subject, picture, report, verify_folder, verify_program};
use crate::write::manifest;
use serde::Deserialize;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::Read;
use std::path::Path;

/// Of a picture that is there so many bytes are looked at: the mark is in its second line.
const START: u64 = 1000;

pub(super) fn run(args: &VerifyArgs, terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
    if let Some(path) = args.picture.as_deref().filter(|_| !args.force) {
        may_be_drawn(path)?;
    }
    let (folder, tolerance) = match (&args.folder, &args.program) {
        (Some(dir), None) => (of_folder(dir, &Threads::new(args.threads)?)?, 0.1),
        (None, Some(program)) => of_program(program, args)?,
        _ => {
            let hint = "flapwright verify DIR, or flapwright verify --program FILE --machine NAME-OR-FILE";
            return Err(Failure::usage("name a folder or a program".into(), hint.into()));
        }
    };
    if let Some(path) = &args.picture {
        let drawn = picture::svg(&folder.programs, tolerance);
        replace_file(path, drawn.as_bytes())
            .map_err(|e| Failure::usage(e.to_string(), e.hint("no picture was drawn")))?;
    }
    match args.report.format {
        ReportFormat::Json => writeln!(terminal.out, "{:#}", report::to_json(&folder))?,
        ReportFormat::Text => terminal.out.write_all(report::text(&folder, terminal.level).as_bytes())?,
    }
    Ok(if folder.is_good() { Exit::Good } else { Exit::Errors })
}

/// A picture is drawn over one of ours, into nothing or into a device, and over no other file.
fn may_be_drawn(path: &Path) -> Result<(), Failure> {
    let Ok(found) = fs::metadata(path) else { return Ok(()) };
    let is_ours = || {
        let mut start = String::new();
        let read = input::open(path).and_then(|f| f.take(START).read_to_string(&mut start));
        read.is_ok() && start.contains(picture::MARK)
    };
    if !found.is_file() || found.len() == 0 || is_ours() {
        return Ok(());
    }
    Err(Failure::usage(
        format!("{} is left as it is: it is no picture that `verify` drew", path.display()),
        "nothing was proved; name another file, or add --force to write over it".into(),
    ))
}

fn of_folder(dir: &Path, threads: &Threads) -> Result<Folder, Failure> {
    if is_batch(&dir.join(BATCH)) {
        return of_list(dir, threads);
    }
    of_export(dir, threads)
}

/// As much of `batch.json` as says which lots there are.
#[derive(Default, Deserialize)]
#[serde(default)]
struct ListOfLots {
    batch: String,
    lots: Vec<ListedLot>,
}

#[derive(Default, Deserialize)]
#[serde(default)]
struct ListedLot {
    folder: Option<String>,
}

/// Every lot of a list, their files under the lots' names.
fn of_list(dir: &Path, threads: &Threads) -> Result<Folder, Failure> {
    let summary = input::bytes(&dir.join(BATCH), limits::FOLDER_BYTES).map_err(|e| load::unreadable(dir, &e))?;
    let list: ListOfLots = serde_json::from_slice(&summary).unwrap_or_default();
    drop(summary);
    let mut whole = Folder { title: list.batch, ..Folder::default() };
    // A lot with nothing to cut has none.
    let listed: BTreeSet<&str> = list.lots.iter().filter_map(|l| l.folder.as_deref()).collect();
    let mut there = lots_in(dir).map_err(|e| load::unreadable(dir, &e))?;
    // What a link leads to is not part of the folder.
    there.retain(|(_, lot)| dir.join(lot).symlink_metadata().is_ok_and(|m| m.is_dir()));
    let not_there = listed.iter().filter(|l| !there.iter().any(|(_, lot)| lot == *l));
    whole.findings.extend(not_there.map(|lot| {
        let finding = Finding::new("lot-missing", format!("{lot} is listed and not there"));
        Finding { file: BATCH.into(), ..finding.help("run `batch` again: it makes what is missing") }
    }));
    for (_, lot) in &there {
        if !listed.contains(lot.as_str()) {
            let finding = Finding::new("lot-extra", format!("{lot} is a lot that the list does not have"));
            let hint = "it may be of an earlier run: move it elsewhere, so that nobody cuts from it";
            whole.findings.push(Finding { file: lot.clone(), ..finding.help(hint) });
        }
        let found = of_export(&dir.join(lot), threads)?;
        let under = |f: Finding| Finding { file: format!("{lot}/{}", f.file), ..f };
        whole.unit = found.unit;
        whole.drawings += found.drawings;
        for (all, more) in [(&mut whole.left_out, found.left_out), (&mut whole.unproved, found.unproved)] {
            more.into_iter().for_each(|(word, folders)| *all.entry(word).or_default() += folders);
        }
        whole.findings.extend(found.findings.into_iter().map(under));
        whole.programs.extend(found.programs.into_iter().map(|mut p| {
            p.file = format!("{lot}/{}", p.file);
            p.findings = p.findings.into_iter().map(under).collect();
            p
        }));
    }
    Ok(whole)
}

/// What lies in an exported folder: what lies in the folder of a stock by its place, `board/board-1.svg`; any other folder as
/// one thing.
fn entries(dir: &Path) -> std::io::Result<Vec<(String, fs::DirEntry)>> {
    let within = folders_within(dir);
    let name = |entry: &fs::DirEntry| entry.file_name().to_string_lossy().into_owned();
    let mut all = Vec::new();
    let mut add = |name: String, entry: fs::DirEntry| {
        all.push((name, entry));
        let is_full = all.len() > limits::FOLDER_FILES;
        let error = || std::io::Error::other(format!("it holds more than {} files", limits::FOLDER_FILES));
        if is_full { Err(error()) } else { Ok(()) }
    };
    for entry in fs::read_dir(dir)? {
        let entry = entry?;
        let folder = name(&entry);
        if entry.file_type()?.is_dir() && within.contains(&folder) {
            for entry in fs::read_dir(entry.path())? {
                let entry = entry?;
                add(format!("{folder}/{}", name(&entry)), entry)?;
            }
        } else {
            add(folder, entry)?;
        }
    }
    Ok(all)
}

fn of_export(dir: &Path, threads: &Threads) -> Result<Folder, Failure> {
    let cannot = |e: std::io::Error| load::unreadable(dir, &e);
    let mut files = BTreeMap::new();
    let mut others = Vec::new();
    let mut left = limits::FOLDER_BYTES;
    for (name, entry) in entries(dir).map_err(cannot)? {
        // What a maker has cut is no part of what is proved; it is looked at below.
        if marks::is_name(&name) {
            continue;
        }
        // What a link leads to is not part of the folder.
        if entry.file_type().map_err(cannot)?.is_file() {
            let read = input::bytes(&entry.path(), left).map_err(|e| match e.kind() {
                std::io::ErrorKind::FileTooLarge => cannot(input::too_large("what is in it", limits::FOLDER_BYTES)),
                _ => cannot(e),
            })?;
            left -= read.len() as u64;
            files.insert(name, read);
        } else {
            others.push(name);
        }
    }
    others.sort();
    let mut folder = threads.run(|| verify_folder(&files));
    folder.findings.extend(about_marks(dir, files.get(manifest::FILE_NAME)));
    folder.findings.extend(others.into_iter().map(|name| {
        let message = format!("{name} is no plain file, and was not written by `export`");
        let finding = Finding::new("file-extra", message).help("move it elsewhere");
        Finding { file: name, ..finding }
    }));
    Ok(folder)
}

/// What is wrong with the file that says what is cut.
fn about_marks(dir: &Path, manifest: Option<&Vec<u8>>) -> Option<Finding> {
    let hint = "mark again what is cut: flapwright cut";
    let of_file = |f: Finding| Finding { file: marks::FILE_NAME.into(), ..f.help(hint) };
    let marks = match Marks::read(dir) {
        Ok(marks) => marks,
        Err(e) => return Some(of_file(Finding::new("marks-wrong", e.to_string()))),
    };
    let list: Value = manifest.and_then(|bytes| serde_json::from_slice(bytes).ok())?;
    let count = |id: &str| list["sheets"].as_array()?.iter().find(|s| s["id"] == id)?["count"].as_u64();
    let wrong = marks.cut.iter().find(|c| count(&c.sheet).is_none_or(|n| n < u64::from(c.count)))?;
    let (sheet, n) = (&wrong.sheet, wrong.count);
    let message = match count(sheet) {
        None => format!("{sheet} is marked as cut, and the folder has no such sheet"),
        Some(of) => format!("{n} of {sheet} are marked as cut, and there are {of}"),
    };
    Some(of_file(Finding::new("marks-wrong", message)))
}

fn of_program(path: &Path, args: &VerifyArgs) -> Result<(Folder, f64), Failure> {
    let name = args.machine.as_deref().ok_or_else(|| {
        Failure::usage("--program needs the machine that is to run it".into(), "add --machine NAME-OR-FILE".into())
    })?;
    let loaded = load::profile(name)?;
    let Some(profile) = &loaded.profile else {
        let mut said = Said::new(args.report.format, Unit::Mm);
        said.add(&loaded.source, &Places::default(), loaded.diagnostics);
        return Err(Failure::Faulty(Box::new(said)));
    };
    let stock = args.stock.map_or(StockKind::Board, StockKind::from);
    let thickness = thickness(args, stock, profile)?;
    let file = path.display().to_string();
    let program = load::bytes(path, limits::PROGRAM_BYTES)?;
    let mut folder = Folder { title: file.clone(), ..Folder::default() };
    let nominal = match &args.sheet {
        None => None,
        Some(sheet) => {
            let (drawn, mut found) = dxf::read(&load::bytes(sheet, limits::DRAWING_BYTES)?);
            found.iter_mut().for_each(|f| f.file = sheet.display().to_string());
            folder.drawings += usize::from(found.is_empty());
            folder.findings.extend(found);
            let [x, y] = profile.machine.origin;
            Some(Nominal::of_drawing(&drawn, pt(x.to_mm(), y.to_mm()), stock, thickness))
        }
    };
    let operations: Vec<OperationKind> = OperationKind::ALL
        .into_iter()
        .filter(|k| nominal.as_ref().is_some_and(|n| n.lines.iter().any(|l| l.class.kind() == *k)))
        .collect();
    let named = match &args.tool {
        Some(tool) => Some(profile.tools.iter().position(|t| t.id == *tool).ok_or_else(|| {
            let known: Vec<&str> = profile.tools.iter().map(|t| t.id.as_str()).collect();
            Failure::usage(format!("the machine has no tool `{tool}`"), format!("it has {}", known.join(", ")))
        })?),
        None => None,
    };
    let proved = |first_tool: usize| {
        verify_program(&Subject {
            file: &file,
            bytes: &program,
            profile,
            first_tool: first_tool as u16,
            title: "",
            sheet: "",
            stock,
            thickness,
            nominal: nominal.as_ref(),
            operations: &operations,
            entry: None,
            stays_up: false,
            is_ours: false,
        })
    };
    // No word of a program says what is fitted when it begins: the tool of whose words it makes most sense.
    let errors = |proof: &ProgramProof| proof.findings.iter().filter(|f| f.is_error()).count();
    let candidates = named.map_or(0..profile.tools.len().max(1), |tool| tool..tool + 1);
    let mut best: Option<(usize, ProgramProof)> = None;
    for tool in candidates {
        let proof = proved(tool);
        if best.as_ref().is_none_or(|(_, before)| errors(&proof) < errors(before)) {
            best = Some((tool, proof));
        }
        // Better than proved there is none.
        if best.as_ref().is_some_and(|(_, proof)| errors(proof) == 0) {
            break;
        }
    }
    if let Some((tool, proof)) = best {
        if named.is_none() && profile.tools.len() > 1 {
            let id = &profile.tools[tool].id;
            let message = format!("taken as beginning with the tool `{id}` fitted: make sure that it is");
            let first = Finding::new("first-tool", message);
            let told = Finding { severity: Severity::Warning, file: file.clone(), ..first };
            folder.findings.push(told.help(format!("name what is fitted with --tool {id}")));
        }
        folder.programs.push(proof);
    }
    Ok((folder, profile.machine.tolerance.to_mm()))
}

fn thickness(args: &VerifyArgs, stock: StockKind, profile: &Profile) -> Result<f64, Failure> {
    let hint = || "write the stock's thickness such as \"2.5 mm\"".to_owned();
    match args.thickness.as_deref().map(|t| (t, parse_length(t, Unit::Mm))) {
        None if profile.machine.z_axis => Err(Failure::usage(
            "--program on a machine with a Z axis needs the stock's thickness".into(),
            "add --thickness".into(),
        )),
        None => Ok(mm(1.0).to_mm()),
        Some((_, Ok(RawLength::Fixed(t)))) if stock.takes(t) => Ok(t.to_mm()),
        Some((text, _)) => Err(Failure::usage(
            format!("--thickness {text} is no thickness of {}", stock.told_thicknesses(Unit::Mm)),
            hint(),
        )),
    }
}
