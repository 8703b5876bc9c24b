//! `check`: whether the box fits and what it takes; nothing is written.

use super::args::{LayoutArgs, ReportFormat};
use super::filled::Supply;
use super::said::Said;
use super::{Exit, Failure, Terminal, laying, load, report};
use crate::diag::{Diagnostic, Level, Places, Severity, any_error};
use crate::estimate::Estimate;
use crate::job::{Job, StockKind, assumed};
use crate::nest::{Look, Saving, fewest_sheets};
use crate::pipeline::{Layout, Worked};
use crate::units::Length;
use crate::write::cost::takes;
use crate::write::work::{WorkFigures, WorkTakes};
use serde_json::json;
use std::path::Path;

/// How many layouts are tried for each sheet unless the command line does: a report is wanted at once.
const QUICK: u32 = 1;

pub(super) fn run(
    path: &Path,
    layout: LayoutArgs,
    shop: &dyn Supply,
    format: ReportFormat,
    terminal: &mut Terminal<'_>,
) -> Result<Exit, Failure> {
    let mut loaded = load::job(path, shop)?;
    let is_quick = layout.effort.is_none();
    let exported = layout.effort.or_else(|| Some(loaded.job.as_ref()?.layout_effort)).unwrap_or(QUICK);
    if let Some(job) = &mut loaded.job {
        job.layout_effort = layout.effort.unwrap_or(QUICK.min(job.layout_effort));
    }
    let mut diagnostics = loaded.diagnostics;
    let worked = loaded.job.as_ref().map(|job| {
        let (worked, said) = laying::worked(job, &Layout::default(), terminal);
        diagnostics.extend(said);
        worked
    });
    // Nobody reads them where only errors are told; where they are only counted none is looked for that takes long to find.
    let is_told = format == ReportFormat::Json || !terminal.is_quiet();
    let is_shown = format == ReportFormat::Json || terminal.level == Level::All;
    let look = if is_shown { Look::Whole(exported) } else { Look::Wasteful(exported) };
    let savings = match (&loaded.job, &worked) {
        (Some(job), Some(worked)) if is_told && !any_error(&diagnostics) => {
            laying::savings(job, worked, look, terminal)
        }
        _ => Vec::new(),
    };
    diagnostics.extend(savings.iter().map(Saving::note));
    crate::job::without_what_follows(&mut diagnostics);
    let none = Places::default();
    let places = loaded.job.as_ref().map_or(&none, |j| &j.places);
    let exit = if any_error(&diagnostics) { Exit::Errors } else { Exit::Good };
    let mut said = Said::new(format, loaded.unit);
    said.add(&loaded.source, places, diagnostics.clone());
    match format {
        ReportFormat::Json => {
            let report = json!({
                "format": 1,
                "job": loaded.source.name,
                "title": loaded.job.as_ref().map(|j| j.title.clone()),
                "fits": exit == Exit::Good,
                "is_quick_layout": is_quick,
                "fit": loaded.job.as_ref().zip(worked.as_ref()).map(|(j, w)| figures(j, w, &w.estimate(j, &[]))),
                "savings": savings,
                "diagnostics": said.as_json(),
            });
            writeln!(terminal.out, "{report:#}")?;
        }
        ReportFormat::Text => {
            // Of a box that cannot be laid out there are no figures.
            let laid_out = worked.as_ref().filter(|w| !w.design.pieces.is_empty());
            if terminal.is_quiet() {
                // The errors alone.
            } else if let (Some(job), Some(worked)) = (&loaded.job, laid_out) {
                writeln!(terminal.out, "{}: {}\n", job.title, verdict(&diagnostics, terminal.level))?;
                terminal.out.write_all(loaded.filled.text().as_bytes())?;
                terminal.out.write_all(report::bench(job, worked, &worked.estimate(job, &[])).as_bytes())?;
                if is_quick {
                    terminal.out.write_all(may_be_fewer(job, worked).as_bytes())?;
                }
                writeln!(terminal.out)?;
            } else {
                let n = diagnostics.iter().filter(|d| d.is_error()).count();
                let problems = if n == 1 { "1 error".to_owned() } else { format!("{n} errors") };
                writeln!(terminal.out, "{}: {problems}\n", loaded.source.name)?;
            }
            let text = said.text(terminal);
            terminal.out.write_all(text.as_bytes())?;
        }
    }
    Ok(exit)
}

/// What is said where a longer search could do with fewer sheets.
fn may_be_fewer(job: &Job, worked: &Worked) -> String {
    let pieces = &worked.design.pieces;
    let least = |kind| fewest_sheets(&worked.sheets, pieces, job, kind);
    let count = |kind| worked.sheets.iter().filter(|s| s.stock == kind).map(|s| s.count()).sum::<u32>();
    let several: Vec<&str> =
        StockKind::ALL.into_iter().filter(|k| count(*k) > least(*k)).map(StockKind::word).collect();
    if several.is_empty() {
        return String::new();
    }
    format!("\nLaid out quickly: export looks longer and may need fewer sheets of {}.\n", several.join(" and "))
}

fn verdict(diagnostics: &[Diagnostic], level: Level) -> String {
    let count = |n: usize, one: &str| if n == 1 { format!("1 {one}") } else { format!("{n} {one}s") };
    let errors = diagnostics.iter().filter(|d| d.is_error()).count();
    let warnings = diagnostics.iter().filter(|d| d.severity == Severity::Warning).count();
    // What is only counted is not to be looked for below.
    let rest = if level == Level::All { diagnostics.len() - errors - warnings } else { 0 };
    match (errors, warnings, rest) {
        (0, 0, 0) => "the box fits and can be cut".into(),
        (0, 0, n) => format!("the box fits and can be cut; {} below to look at", count(n, "note")),
        (0, w, 0) => format!("the box fits and can be cut, with {} below", count(w, "warning")),
        (0, w, n) => {
            format!("the box fits and can be cut, with {} and {} below", count(w, "warning"), count(n, "note"))
        }
        (n, _, _) => format!("not ready to cut; {} below", count(n, "error")),
    }
}

/// The figures of a fit for programs, in mm.
pub(super) fn figures(job: &Job, worked: &Worked, estimate: &Estimate) -> serde_json::Value {
    let m = &worked.design.measures;
    let by_side = |map: &std::collections::BTreeMap<crate::job::Side, Length>| {
        map.iter().map(|(side, l)| (side.word().to_owned(), json!(l))).collect::<serde_json::Map<_, _>>()
    };
    json!({
        "interior": worked.fit.interior,
        "exterior": worked.fit.exterior,
        "joint": m.joint,
        "step": m.step,
        "tiers": job.flaps.iter().map(|(s, f)| (s.word().to_owned(), json!(f.tier))).collect::<serde_json::Map<_, _>>(),
        "walls": by_side(&m.walls),
        "reach": by_side(&m.reach),
        "ease": m.ease,
        "play": by_side(&worked.fit.play),
        "depths": { "flat": worked.fit.depths.flat, "pressed": worked.fit.depths.pressed, "slides": worked.fit.depths.slides },
        "closing": worked.fit.closing,
        "assumed": assumed(job),
        "strap_length": worked.fit.strap_length,
        "bill": worked.bill,
        "takes": takes(job.copies, &worked.design.pieces, &worked.sheets, &[]).with(WorkTakes::of(estimate)),
        "work": WorkFigures::of(estimate),
        "cost": report::cost(worked),
        "straps": worked.fit.strap.as_ref().map(|s| json!({
            "count": s.count, "path": s.path, "length": s.length, "snug": [s.snug.0, s.snug.1],
        })),
        "ties": worked.fit.ties,
        "magnets": worked.fit.magnets,
        "inside": worked.fit.inside,
        "sheets": worked.sheets.iter().map(|s| json!({"id": s.id, "stock": s.stock, "count": s.count(), "pieces": s.placed.len(), "width": s.width, "height": s.height, "leftover": s.is_leftover, "offcut": s.offcut})).collect::<Vec<_>>(),
    })
}
