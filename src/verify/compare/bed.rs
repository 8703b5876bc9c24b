//! A tool works on the sheet and nowhere else.

use super::Bench;
use crate::units::decimal;
use crate::verify::{Finding, Many};

pub(super) fn on_the_sheet(bench: &Bench<'_>, out: &mut Many) {
    let sheet = bench.nominal.sheet;
    if sheet.is_empty() {
        return;
    }
    for t in bench.traces.iter().filter(|t| !t.is_edge) {
        let b = t.way.bounds();
        if let Some(edge) = &bench.nominal.edge {
            let past = edge.past(&t.way);
            if past > bench.tolerance() {
                let message = format!("a cut leaves the sheet by {} mm", decimal(past, 1));
                let hint = "measure the sheet's marks again, and export anew";
                out.push(Finding::at("off-the-sheet", t.line, message).on(t.way.end).help(hint));
            }
            continue;
        }
        if !sheet.contains(b, bench.tolerance()) {
            let past = (sheet.min.x - b.min.x)
                .max(sheet.min.y - b.min.y)
                .max(b.max.x - sheet.max.x)
                .max(b.max.y - sheet.max.y);
            let message = format!("a cut leaves the sheet by {} mm", decimal(past, 1));
            let hint = "check the machine's origin and the sheet's size";
            out.push(Finding::at("off-the-sheet", t.line, message).on(t.way.end).help(hint));
        }
    }
}
