//! `export`: the folder from which the box is cut.

use super::args::{ExportArgs, ReportFormat};
use super::folder::{FolderError, write_whole};
use super::load::LoadedProfile;
use super::said::Said;
use super::threads::Threads;
use super::{Exit, Failure, Terminal, laying, load, marks, programs, register, report};
use crate::comp::Kerfs;
use crate::diag::Diagnostic;
use crate::job::without_what_follows;
#[cfg(feature = "page")]
use crate::page;
use crate::pipeline::{self, Boxes, Folder, Layout, Machine, Wish, Worked};
use crate::units::Length;
use crate::write::artwork::BLEED;
use crate::write::manifest;
use crate::write::pdf::Paper;
use serde_json::json;

pub(super) fn run(args: &ExportArgs, terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
    let boxes = match (args.first_article, args.rest) {
        (true, true) => {
            let hint = "run --first-article into one folder; when that box is right, run --rest into another";
            return Err(Failure::usage(
                "--rest leaves the first box out, and --first-article lays it alone".into(),
                hint.into(),
            ));
        }
        (true, false) => Boxes::FirstAlone,
        (false, true) => Boxes::Rest,
        (false, false) => Boxes::All,
    };
    let kerf = args.drawn.kerf()?;
    let artwork = args.artwork.then(|| args.bleed.as_deref().map_or(Ok(BLEED), super::kerf::bleed)).transpose()?;
    let threads = Threads::new(args.threads)?;
    let loaded = load::job(&args.job, &args.shop)?;
    let machines = load::machines(&args.machine, &args.shop)?;
    let register = register::marks(&args.register)?;

    let mut said = Said::new(args.report.format, loaded.unit);
    let mut about_job = loaded.diagnostics;
    let apart = load::apart(&machines, &args.leave, kerf);
    let mut job = loaded.job;
    if let (Some(job), Some(effort)) = (&mut job, args.layout.effort) {
        job.layout_effort = effort;
    }
    let places = job.as_ref().map(|j| j.places.clone()).unwrap_or_default();
    if boxes == Boxes::Rest && job.as_ref().is_some_and(|j| j.copies < 2) {
        let message = "the job is of one box, and --rest makes only those after the first";
        let hint = "set copies to how many boxes there are in all, or leave --rest out";
        about_job.push(Diagnostic::error("no-rest", message).at("copies").help(hint));
        job = None;
    }
    let worked = job.as_ref().map(|job| {
        let (worked, more) = laying::worked(job, &Layout { apart, boxes }, terminal);
        about_job.extend(more);
        let whole = worked.sheets.iter().filter(|s| !s.is_leftover);
        let sheets = whole.map(|s| (s.stock, [s.width, s.height].map(Length::to_mm), s.count()));
        about_job.extend(loaded.filled.shortages(sheets, job.units));
        worked
    });
    without_what_follows(&mut about_job);
    // From here on there are only the boxes that the sheets are for.
    let job = job.as_ref().zip(worked.as_ref()).map(|(job, worked)| worked.job_of_sheets(job));
    let (Some(job), Some(worked)) = (&job, &worked) else {
        said.add(&loaded.source, &places, about_job);
        for m in machines {
            said.add_machine(&m.source, &m.profile.map(|p| p.places).unwrap_or_default(), m.diagnostics);
        }
        register.into_iter().for_each(|m| said.add(&m.source, &m.places, m.said));
        return said.refuse(terminal);
    };

    let read: Vec<Machine> = machines.iter().filter_map(LoadedProfile::machine).collect();
    let files: Vec<_> = register.iter().filter_map(|m| m.marks.as_ref()).collect();
    // Sheets there are none of where the job has an error; that alone is then told.
    let is_laid = !worked.sheets.is_empty();
    let (in_register, about) =
        if is_laid { pipeline::registers(&files, job, worked, &read, &args.leave) } else { (Vec::new(), Vec::new()) };
    let mut about = about.into_iter();
    for m in &register {
        let more = m.marks.as_ref().and_then(|_| about.next()).unwrap_or_default();
        said.add(&m.source, &m.places, [m.said.clone(), more].concat());
    }
    let wish = Wish {
        machines: &read,
        left: &args.leave,
        drawn: args.drawn.drawn(kerf),
        is_lifted: args.lifted,
        paper: args.paper.map(Paper::from),
        is_cloth_tiled: args.tile_cloth,
        has_png: args.png,
        by_stock: args.by_stock,
        artwork,
        registers: &in_register,
        job_text: Some(&loaded.source.text),
    };
    let folder = Folder::new(job, worked, wish);
    let about_drawings = threads.run(|| folder.drawings().1.clone());
    about_job.extend(folder.artwork().err().map(|d| d.placed(&places)));
    about_job.extend(folder.about_prints().into_iter().map(|d| d.placed(&places)));
    about_job.extend(about_drawings.into_iter().map(|d| d.in_unit(job.units)));
    let made: Vec<_> = threads.run(|| folder.programs().map(|(_, (_, said))| said.clone()).collect());
    let mut made = made.into_iter();
    for machine in &machines {
        let mut about_machine = machine.diagnostics.clone();
        let places = machine.profile.as_ref().map(|p| p.places.clone()).unwrap_or_default();
        if machine.profile.is_some() {
            about_machine.extend(made.next().unwrap_or_default());
        }
        said.add_machine(&machine.source, &places, about_machine);
    }
    said.add(&loaded.source, &places, about_job.clone());
    if said.has_errors() {
        return said.refuse(terminal);
    }
    #[cfg(feature = "page")]
    let made = threads.run(|| {
        let played = page::Played::of(job, worked, &folder);
        let of = (job, worked);
        folder.files_with(|files| {
            let page = page::page(&loaded.source, of, about_job, &read, files, &played)?;
            Ok(std::iter::once(page).chain(register::kept(&register, &in_register)).collect())
        })
    });
    #[cfg(not(feature = "page"))]
    let made = threads.run(|| folder.files_with(|_| Ok(register::kept(&register, &in_register))));
    let mut files = made.map_err(|why| Failure::Output(std::io::Error::other(why)))?;
    marks::kept(&args.out, &mut files).map_err(|e| not_as_cut(args, &e))?;
    let (written, takes) = (folder.figures(), folder.takes());
    let replaces = args.out.join(manifest::FILE_NAME).exists();
    write_whole(&args.out, &files).map_err(|e| not_as_cut(args, &e))?;

    let out = args.out.display().to_string();
    match args.report.format {
        ReportFormat::Json => {
            let names: Vec<&String> = files.iter().map(|(name, _)| name).collect();
            let mut report = json!({
                "format": 1,
                "title": job.title,
                "folder": out,
                "files": names,
                "programs": written,
                "fit": super::check::figures(job, worked, folder.estimate()),
                "takes": takes,
                "diagnostics": said.as_json(),
            });
            if !in_register.is_empty() {
                report["registers"] = json!(in_register.iter().map(manifest::RegisterEntry::of).collect::<Vec<_>>());
            }
            writeln!(terminal.out, "{report:#}")?;
        }
        ReportFormat::Text if terminal.is_quiet() => {}
        ReportFormat::Text => {
            let again = if replaces { " (in place of the export that was there)" } else { "" };
            writeln!(terminal.out, "{}: written to {out}{again}", job.title)?;
            if worked.first_copy > 1 {
                let (first, last) = (worked.first_copy, worked.first_copy + job.copies - 1);
                let which =
                    if first == last { format!("Box {last} alone") } else { format!("Boxes {first} to {last}") };
                writeln!(terminal.out, "{which}: the first is left out.")?;
            }
            terminal.out.write_all(loaded.filled.text().as_bytes())?;
            writeln!(terminal.out, "{}\n", told_kerf(kerf, worked))?;
            terminal.out.write_all(report::sheets(job, worked).as_bytes())?;
            terminal.out.write_all(programs::report(&written).as_bytes())?;
            terminal.out.write_all(register::report(&in_register, job.units).as_bytes())?;
            terminal.out.write_all(programs::not_done(&worked.operations, &written).as_bytes())?;
            terminal.out.write_all(report::takes(&takes).as_bytes())?;
            terminal.out.write_all(programs::cautions(&machines).as_bytes())?;
            if !said.is_empty() {
                writeln!(terminal.out)?;
            }
            said.show(terminal)?;
        }
    }
    Ok(Exit::Good)
}

/// For what kerf the drawings are moved, stock by stock where it differs.
fn told_kerf(kerfs: Kerfs, worked: &Worked) -> String {
    let cut = kerfs.moved_each(worked.sheets.iter().map(|s| s.stock));
    let moved = |kerf: Length| match kerf {
        Length::ZERO => "is nominal: not moved for any kerf".to_owned(),
        kerf => format!("is moved for a kerf of {kerf} in all"),
    };
    match cut.first() {
        Some((_, first)) if cut.iter().any(|(_, kerf)| kerf != first) => {
            let each: Vec<String> =
                cut.iter().map(|(kind, kerf)| format!("of {} {}", kind.word(), moved(*kerf))).collect();
            format!("The DXF {}.", each.join("; "))
        }
        first => format!("The DXF {}.", moved(first.map_or(Length::ZERO, |f| f.1))),
    }
}

/// What is told where the folder is not replaced.
fn not_as_cut(args: &ExportArgs, e: &FolderError) -> Failure {
    let hint = match e {
        FolderError::Cut { .. } => format!(
            "nothing was changed: cut what is left from the folder as it is. For more boxes set copies to how many \
             more, and name a new folder. If a mark is wrong: flapwright cut {} SHEET --undo",
            args.out.display()
        ),
        _ => e.hint("nothing was changed; the folder before, if any, is as it was"),
    };
    Failure::usage(e.to_string(), hint)
}
