//! What is said of the programs for machines.

use super::columns::{minutes, table};
use super::load::LoadedProfile;
use crate::job::StockKind;
use crate::ops::SheetOps;
use crate::profile::OperationKind;
use crate::write::manifest::{ProgramFigures, RunKind};

/// The programs that were written, a line each.
pub(super) fn report(programs: &[ProgramFigures]) -> String {
    if programs.is_empty() {
        return String::new();
    }
    let mut rows = vec![["program", "tools", "cut", "time", "sheets"].map(String::from).to_vec()];
    rows.extend(programs.iter().filter(|p| !p.tool.is_empty()).map(|p| {
        vec![
            p.file.clone(),
            p.tool.clone(),
            format!("{:.1} m", p.cut_mm.to_mm() / 1000.0),
            minutes(p.seconds),
            if p.count > 1 { format!("x {}", p.count) } else { String::new() },
        ]
    }));
    let lifted = if programs.iter().any(|p| p.kind == RunKind::Lifted) {
        ", then the .lifted one: it goes the whole way above the work"
    } else {
        ""
    };
    format!(
        "\nPrograms (times without tool changes; run the .outline program first: it shows where the work lies{lifted})\n{}",
        table(&rows)
    )
}

/// What the machines leave to the hand or to others, stock by stock; nothing without programs.
pub(super) fn not_done(sheets: &[SheetOps], programs: &[ProgramFigures]) -> String {
    if programs.is_empty() {
        return String::new();
    }
    let is_done =
        |sheet: &SheetOps, kind| programs.iter().any(|p| p.sheet == sheet.sheet.id && p.operations.contains(&kind));
    let mut rows = Vec::new();
    for stock in StockKind::ALL {
        let of_stock = || sheets.iter().filter(move |s| s.sheet.stock == stock);
        let left = OperationKind::ALL
            .into_iter()
            .filter(|kind| of_stock().any(|s| s.operations.iter().any(|o| o.kind == *kind) && !is_done(s, *kind)));
        let left: Vec<&str> = left.map(OperationKind::word).collect();
        if !left.is_empty() {
            rows.push(vec![stock.word().to_owned(), left.join(", ")]);
        }
    }
    if rows.is_empty() {
        return String::new();
    }
    format!("\nLeft to the hand or another machine: no program does it\n{}", table(&rows))
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
