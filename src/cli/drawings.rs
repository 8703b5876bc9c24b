//! Each sheet's drawings: DXF for cutters, SVG to look at.

use super::Failure;
use super::args::DxfChoice;
use crate::comp::kerf_moved;
use crate::diag::Diagnostic;
use crate::doc::{RawLength, parse_length};
use crate::geom::Stroke;
use crate::ops::SheetOps;
use crate::profile::OperationKind;
use crate::units::{Length, Unit, mm};
use crate::write::dxf::{DxfVersion, dxf_with_kerf};
use crate::write::svg::svg;

/// A beam takes tenths of a millimetre, a bit millimetres; more than this is a slip of the unit (our choice).
const WIDEST_KERF: Length = mm(10.0);

/// The kerf as typed.
pub(super) fn kerf(text: &str) -> Result<Length, Failure> {
    let hint =
        || "write the whole width that the cutter takes away, such as \"0.15 mm\"; measure it on scrap".to_owned();
    if text.trim().parse::<f64>().is_ok_and(|n| n > 0.0) {
        return Err(Failure::usage(format!("--kerf {text}: say the unit"), hint()));
    }
    match parse_length(text, Unit::Mm) {
        Ok(RawLength::Fixed(kerf)) if kerf >= Length::ZERO && kerf <= WIDEST_KERF => Ok(kerf),
        Ok(RawLength::Fixed(_)) => {
            Err(Failure::usage(format!("a kerf of {text} cannot be: it is 0 to {WIDEST_KERF}"), hint()))
        }
        Ok(_) => Err(Failure::usage(format!("--kerf {text}: a kerf is a length"), hint())),
        Err(why) => Err(Failure::usage(format!("--kerf {text}: {why}"), hint())),
    }
}

/// The drawings of a sheet, name and bytes, moved for a kerf where one is given.
pub(super) fn of_sheet(
    sheet: &SheetOps,
    choice: DxfChoice,
    kerf: Option<Length>,
    title: &str,
    unit: Unit,
) -> (Vec<(String, Vec<u8>)>, Vec<Diagnostic>) {
    let (mut files, mut said) = (Vec::new(), Vec::new());
    let lines = lines(sheet, kerf, &mut said);
    let mut add = |name: String, version| {
        let drawn = lines.iter().map(|(kind, stroke)| (*kind, stroke));
        files.push((name, dxf_with_kerf(sheet.width, sheet.height, drawn, version, kerf)));
    };
    if matches!(choice, DxfChoice::R2000 | DxfChoice::Both) {
        add(format!("{}.dxf", sheet.sheet), DxfVersion::R2000);
    }
    if matches!(choice, DxfChoice::R12 | DxfChoice::Both) {
        // R12 has no place for the unit: the name says it.
        add(format!("{}.r12-mm.dxf", sheet.sheet), DxfVersion::R12);
    }
    files.push((format!("{}.svg", sheet.sheet), svg(sheet, title, unit)));
    (files, said)
}

fn lines(sheet: &SheetOps, kerf: Option<Length>, said: &mut Vec<Diagnostic>) -> Vec<(OperationKind, Stroke)> {
    let mut lines = Vec::with_capacity(sheet.operations.len());
    for o in &sheet.operations {
        match kerf.map(|k| kerf_moved(o, k)) {
            None => lines.push((o.kind, o.stroke.clone())),
            Some(Ok(moved)) => lines.push((o.kind, moved)),
            Some(Err(d)) if said.contains(&d) => {}
            Some(Err(d)) => said.push(d),
        }
    }
    lines
}
