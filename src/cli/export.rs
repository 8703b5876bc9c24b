//! `export`: the folder from which the box is cut.

use super::args::{ExportArgs, ReportFormat};
use super::drawings::{kerf, of_sheet};
use super::folder::write_whole;
use super::threads::Threads;
use super::work::{Layout, Worked, work};
use super::{Exit, Failure, Terminal, load, programs, report};
use crate::diag::{Diagnostic, Places, Source, any_error, render, to_json};
use crate::job::Job;
use crate::nest::Apart;
use crate::units::Length;
use crate::write::cost::takes;
use crate::write::cut_list::{Strap, cut_list, cut_list_json};
use crate::write::manifest::{self, FitFigures};
use crate::write::pdf::{Paper, Told, guide, templates};
use crate::write::png::png;
use rayon::prelude::*;
use serde_json::json;

pub(super) fn run(args: &ExportArgs, terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
    let kerf = args.kerf.as_deref().map(kerf).transpose()?;
    let threads = Threads::new(args.threads)?;
    let loaded = load::job(&args.job)?;
    let machines = args.machine.iter().map(|name| load::profile(name)).collect::<Result<Vec<_>, _>>()?;
    programs::refuse_equal_names(&machines)?;

    let mut said = Said { format: args.report.format, files: Vec::new() };
    let mut about_job = loaded.diagnostics;
    let cuts = machines.iter().filter_map(|m| m.profile.as_ref()).map(programs::apart);
    let apart = cuts.chain(kerf.map(programs::apart_for_kerf)).fold(Apart::default(), |all, of| all.and(&of));
    let mut job = loaded.job;
    if let (Some(job), Some(effort)) = (&mut job, args.layout.effort) {
        job.layout_effort = effort;
    }
    let worked = job.as_ref().map(|job| {
        let (worked, more) = work(job, &Layout { apart, first_article: args.first_article }, terminal);
        about_job.extend(more);
        worked
    });
    let places = job.as_ref().map(|j| j.places.clone()).unwrap_or_default();
    let (Some(job), Some(worked)) = (&job, &worked) else {
        said.add(&loaded.source, &places, about_job);
        for m in machines {
            said.add(&m.source, &m.profile.map(|p| p.places).unwrap_or_default(), m.diagnostics);
        }
        return said.refuse(terminal);
    };

    let mut files: Vec<(String, Vec<u8>)> = Vec::new();
    about_job.extend(threads.run(|| drawings(args, job, worked, kerf, &mut files)));
    let mut written = Vec::new();
    for machine in &machines {
        let mut about_machine = machine.diagnostics.clone();
        if let Some(profile) = &machine.profile {
            let (made, more) = threads.run(|| programs::programs(job, worked, profile, &args.leave, args.lifted));
            about_machine.extend(more);
            if !made.programs.is_empty() {
                // The folder proves itself: `verify` reads the machine from here.
                files.push((format!("{}.profile.toml", profile.id), machine.source.text.clone().into_bytes()));
            }
            files.extend(made.previews);
            for program in made.programs {
                files.push((program.figures.file.clone(), program.bytes));
                written.push(program.figures);
            }
        }
        let machine_places = machine.profile.as_ref().map(|p| p.places.clone()).unwrap_or_default();
        said.add(&machine.source, &machine_places, about_machine);
    }
    said.add(&loaded.source, &places, about_job);
    if said.has_errors() {
        return said.refuse(terminal);
    }
    if args.png {
        files.extend(threads.run(|| pixels(&files))?);
    }
    let paper = args.paper.map_or(Paper::usual(job.units), Paper::from);
    let pdf = |made: Result<Vec<u8>, String>| made.map_err(|why| Failure::Output(std::io::Error::other(why)));
    let told = Told {
        job,
        design: &worked.design,
        fit: &worked.fit,
        bill: &worked.bill,
        sheets: &worked.sheets,
        operations: &worked.operations,
        programs: &written,
    };
    files.push(("guide.pdf".into(), pdf(guide(&told, paper))?));
    files.push(("templates.pdf".into(), pdf(templates(job, &worked.design, paper))?));
    let (pieces, sheets) = (&worked.design.pieces, &worked.sheets);
    let strap = worked.fit.strap.as_ref().map(|figures| Strap { id: "strap", figures });
    files.push(("cut-list.csv".into(), cut_list(job, pieces, sheets, strap)));
    files.push(("cut-list.json".into(), cut_list_json(job, pieces, sheets, strap)));
    let takes = takes(job.copies, pieces, sheets, &written);
    files.push(("cost.csv".into(), takes.csv()));
    let moved = kerf.unwrap_or_default();
    let fit = FitFigures::of(job, &worked.design, &worked.fit);
    let list = manifest::manifest((&job.title, job.units), moved, Some(&fit), pieces, sheets, &written, &files)
        .map_err(|e| Failure::Output(e.into()))?;
    files.push((manifest::FILE_NAME.into(), list));
    let replaces = args.out.join(manifest::FILE_NAME).exists();
    write_whole(&args.out, &files).map_err(|e| {
        Failure::usage(e.to_string(), "nothing was changed; the folder before, if any, is as it was".into())
    })?;

    let out = args.out.display().to_string();
    match args.report.format {
        ReportFormat::Json => {
            let names: Vec<&String> = files.iter().map(|(name, _)| name).collect();
            let report = json!({
                "format": 1,
                "title": job.title,
                "folder": out,
                "files": names,
                "programs": written,
                "fit": super::check::figures(job, worked),
                "takes": takes,
                "diagnostics": said.as_json(),
            });
            writeln!(terminal.out, "{report:#}")?;
        }
        ReportFormat::Text => {
            said.show(terminal)?;
            let again = if replaces { " (in place of the export that was there)" } else { "" };
            writeln!(terminal.out, "{}: written to {out}{again}", job.title)?;
            match kerf {
                Some(kerf) => writeln!(terminal.out, "The DXF is moved for a kerf of {kerf} in all.\n")?,
                None => writeln!(terminal.out, "The DXF is nominal: not moved for any kerf.\n")?,
            }
            terminal.out.write_all(report::sheets(job, worked).as_bytes())?;
            terminal.out.write_all(programs::report(&written).as_bytes())?;
            terminal.out.write_all(programs::not_done(&worked.operations, &written).as_bytes())?;
            terminal.out.write_all(report::takes(&takes).as_bytes())?;
            terminal.out.write_all(programs::cautions(&machines).as_bytes())?;
        }
    }
    Ok(Exit::Good)
}

/// Every picture as PNG.
pub(super) fn pixels(files: &[(String, Vec<u8>)]) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    let pictures: Vec<_> = files.iter().filter_map(|(name, svg)| Some((name.strip_suffix(".svg")?, svg))).collect();
    pictures
        .par_iter()
        .map(|(name, svg)| match png(svg) {
            Ok(bytes) => Ok((format!("{name}.png"), bytes)),
            Err(why) => Err(Failure::Output(std::io::Error::other(why))),
        })
        .collect()
}

/// A DXF or two and a picture of every sheet.
fn drawings(
    args: &ExportArgs,
    job: &Job,
    worked: &Worked,
    kerf: Option<Length>,
    files: &mut Vec<(String, Vec<u8>)>,
) -> Vec<Diagnostic> {
    let mut said = Vec::new();
    if let (Some(kerf), Some(sheet)) = (kerf, worked.sheets.iter().find(|s| s.common_cuts))
        && kerf > Length::ZERO
    {
        let word = sheet.stock.word();
        let message = format!("pieces of {word} share their cuts, and --kerf takes {} from both", job.units.show(kerf));
        let hint = format!("set {word}.common_cuts = false, or leave --kerf out");
        said.push(Diagnostic::error("common-cuts-kerf", message).at(format!("{word}.common_cuts")).help(hint));
        return said;
    }
    let all: Vec<_> =
        worked.operations.par_iter().map(|sheet| of_sheet(sheet, args.dxf, kerf, &job.title, job.units)).collect();
    for (drawn, more) in all {
        files.extend(drawn);
        said.extend(more);
    }
    programs::without_repeats(&mut said);
    said
}

/// What was said of the job and of each profile, each against its own file.
pub(super) struct Said {
    pub(super) format: ReportFormat,
    pub(super) files: Vec<(Source, Places, Vec<Diagnostic>)>,
}

impl Said {
    pub(super) fn add(&mut self, source: &Source, places: &Places, diagnostics: Vec<Diagnostic>) {
        self.files.push((source.clone(), places.clone(), diagnostics));
    }

    pub(super) fn has_errors(&self) -> bool {
        self.files.iter().any(|(_, _, d)| any_error(d))
    }

    pub(super) fn show(&self, terminal: &mut Terminal<'_>) -> Result<(), Failure> {
        for (source, places, diagnostics) in &self.files {
            terminal.err.write_all(render(diagnostics, source, places, terminal.color).as_bytes())?;
        }
        Ok(())
    }

    pub(super) fn as_json(&self) -> serde_json::Value {
        self.files
            .iter()
            .flat_map(|(source, places, d)| match to_json(d, source, places) {
                serde_json::Value::Array(all) => all,
                other => vec![other],
            })
            .collect()
    }

    /// Says what is wrong, and that nothing was written.
    pub(super) fn refuse(&self, terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
        if self.format == ReportFormat::Json {
            writeln!(terminal.out, "{:#}", json!({"format": 1, "folder": null, "diagnostics": self.as_json()}))?;
        } else {
            self.show(terminal)?;
            writeln!(terminal.err, "Nothing was written.")?;
        }
        Ok(Exit::Errors)
    }
}
