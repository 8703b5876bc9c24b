//! Programs for machines: which sheets a machine serves, their programs, and what is said of them.

use super::Failure;
use super::load::LoadedProfile;
use super::report::table;
use super::work::Worked;
use crate::diag::Diagnostic;
use crate::job::{Job, StockKind};
use crate::profile::{OperationKind, Profile};
use crate::write::manifest::ProgramFigures;

/// A program as it will be written.
pub(super) struct Program {
    pub(super) figures: ProgramFigures,
    pub(super) bytes: Vec<u8>,
}

/// The programs of every sheet that the machine serves, without the operations that are `left` to
/// a hand or another machine. It serves a stock that it can cut through (or, where that is left,
/// does anything to); other stocks are another machine's. An operation that it lacks on a stock
/// that it serves is an error.
pub(super) fn programs(
    job: &Job,
    worked: &Worked,
    profile: &Profile,
    left: &[OperationKind],
) -> (Vec<Program>, Vec<Diagnostic>) {
    let mut programs = Vec::new();
    let mut said = Vec::new();
    let mut passed_over: Vec<StockKind> = Vec::new();
    for sheet in &worked.operations {
        let mut sheet = sheet.clone();
        sheet.operations.retain(|o| !left.contains(&o.kind));
        if sheet.operations.is_empty() {
            continue;
        }
        if !serves(profile, sheet.stock, left) {
            passed_over.push(sheet.stock);
            continue;
        }
        let _ = (&mut programs, &job.title);
    }
    passed_over.dedup();
    let none = programs.is_empty() && said.is_empty();
    said.extend(passed_over.into_iter().map(|stock| not_served(profile, stock, none)));
    (programs, said)
}

fn serves(profile: &Profile, stock: StockKind, left: &[OperationKind]) -> bool {
    profile.rules.iter().any(|r| {
        r.stock == stock && (r.operation == OperationKind::ThroughCut || left.contains(&OperationKind::ThroughCut))
    })
}

fn not_served(profile: &Profile, stock: StockKind, is_error: bool) -> Diagnostic {
    let message = format!("{} does not cut {}: those sheets have no program of it", profile.name, stock.word());
    let make = if is_error { Diagnostic::error } else { Diagnostic::hint };
    make("stock-not-served", message).help(if profile.rules.iter().any(|r| r.stock == stock) {
        "cut them on another machine or by hand; for what else it does to them, give --leave through-cut"
    } else {
        "cut them on another machine, or by hand"
    })
}

/// Two profiles of one name would write the same files.
pub(super) fn refuse_equal_names(machines: &[LoadedProfile]) -> Result<(), Failure> {
    let mut seen: Vec<&str> = Vec::new();
    for id in machines.iter().filter_map(|m| m.profile.as_ref()).map(|p| p.id.as_str()) {
        if seen.contains(&id) {
            return Err(Failure::usage(
                format!("two machines are both called `{id}`"),
                "give one profile's file another name: programs are named after it".into(),
            ));
        }
        seen.push(id);
    }
    Ok(())
}

/// The programs that were written, a line each.
pub(super) fn report(programs: &[ProgramFigures]) -> String {
    if programs.is_empty() {
        return String::new();
    }
    let mut rows = vec![["program", "tools", "cut", "time"].map(String::from).to_vec()];
    rows.extend(programs.iter().map(|p| {
        vec![p.file.clone(), p.tool.clone(), format!("{:.1} m", p.cut_mm.to_mm() / 1000.0), minutes(p.seconds)]
    }));
    format!("\nPrograms\n{}", table(&rows))
}

/// A time as a person says it.
fn minutes(seconds: f64) -> String {
    let whole = seconds.round() as u64;
    match (whole / 60, whole % 60) {
        (0, s) => format!("{s} s"),
        (m, s) if m < 60 => format!("{m} min {s:02} s"),
        (m, _) => format!("{} h {:02} min", m / 60, m % 60),
    }
}

/// The cautions of the machines, each once.
pub(super) fn cautions(machines: &[LoadedProfile]) -> String {
    let mut said: Vec<&str> = Vec::new();
    for caution in machines.iter().filter_map(|m| m.profile.as_ref()).flat_map(|p| &p.cautions) {
        if !said.contains(&caution.as_str()) {
            said.push(caution);
        }
    }
    if said.is_empty() {
        return String::new();
    }
    let lines: Vec<String> = said.iter().map(|c| format!("  - {c}\n")).collect();
    format!("\nTake care\n{}", lines.concat())
}
