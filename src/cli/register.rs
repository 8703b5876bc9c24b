//! Files of marks: read, and what came of them.

use super::columns::table;
use super::{Failure, load};
use crate::diag::{Diagnostic, Places, Source};
use crate::register::Register;
use crate::register::form::{Marks, read};
use crate::units::{Unit, decimal, mm};
use std::path::PathBuf;

/// A file of marks that was read, and what was said of it.
pub(super) struct LoadedMarks {
    pub(super) source: Source,
    pub(super) places: Places,
    pub(super) marks: Option<Marks>,
    pub(super) said: Vec<Diagnostic>,
}

/// The files as they are named.
pub(super) fn marks(paths: &[PathBuf]) -> Result<Vec<LoadedMarks>, Failure> {
    let one = |path: &PathBuf| {
        let source = load::text(path)?;
        let (marks, places, said) = read(&source);
        Ok(LoadedMarks { source, places, marks, said })
    };
    paths.iter().map(one).collect()
}

/// Where each sheet was found, and how well its marks fit.
pub(super) fn report(registers: &[Register], unit: Unit) -> String {
    let mut text = String::new();
    for r in registers {
        let fine = |v: f64| match unit {
            Unit::Mm => format!("{} mm", decimal(v, 2)),
            Unit::Inch => format!("{} in", decimal(mm(v).to_inch(), 4)),
        };
        let (turn, shift) = (r.fit.map.turn_deg(), r.map.shift);
        let over = if r.is_turned_over { ", turned over" } else { "" };
        let [along, across] = r.fit.scales.map(|s| decimal(s * 100.0, 3));
        let scale = if along == across { format!("{along} %") } else { format!("{along} % across, {across} % up") };
        let left = if r.stretch.word() == "none" { "  (not made up)" } else { "" };
        let rows = vec![
            vec!["moved".into(), format!("{} across, {} up", fine(shift.x), fine(shift.y))],
            vec!["turned".into(), format!("{} degrees counter-clockwise", decimal(turn, 3))],
            vec!["scale".into(), format!("{scale}{left}")],
            vec!["leans".into(), format!("{} degrees", decimal(r.fit.map.shear_deg(), 3))],
            vec!["marks".into(), marks_told(r, &fine)],
        ];
        text.push_str(&format!("\n{} in register on {}{over}\n{}", r.sheet, r.machine, table(&rows)));
    }
    text
}

fn marks_told(r: &Register, fine: &dyn Fn(f64) -> String) -> String {
    let one = |((name, ..), off): (&(String, _, _), &f64)| format!("{name} off by {}", fine(*off));
    r.marks.iter().zip(&r.fit.residuals).map(one).collect::<Vec<_>>().join(", ")
}

/// The files of marks as the folder keeps them: what its programs were moved by.
pub(super) fn kept(loaded: &[LoadedMarks], registers: &[Register]) -> Vec<(String, Vec<u8>)> {
    let one = |(l, r): (&LoadedMarks, &Register)| {
        (format!("{}.{}.register.toml", r.sheet, r.machine), l.source.text.clone().into_bytes())
    };
    loaded.iter().zip(registers).map(one).collect()
}
