//! Each sheet's drawings: DXF for cutters, SVG to look at.

use super::File;
use crate::comp::kerf_moved;
use crate::diag::Diagnostic;
use crate::geom::Stroke;
use crate::ops::SheetOps;
use crate::profile::OperationKind;
use crate::units::{Length, Unit};
use crate::write::dxf::{DxfVersion, dxf_with_kerf};
use crate::write::svg::svg;

/// The drawings of a sheet in each of these forms of DXF, and its picture as SVG; the DXF moved for a kerf
/// where one is given.
pub fn drawings(
    sheet: &SheetOps,
    forms: &[DxfVersion],
    kerf: Option<Length>,
    title: &str,
    unit: Unit,
) -> (Vec<File>, Vec<Diagnostic>) {
    let (mut files, mut said) = (Vec::new(), Vec::new());
    let lines = lines(sheet, kerf, &mut said);
    let mut add = |name: String, version| {
        let drawn = lines.iter().map(|(kind, stroke)| (*kind, stroke));
        files.push((name, dxf_with_kerf(sheet.sheet.width, sheet.sheet.height, drawn, version, kerf)));
    };
    for form in forms {
        match form {
            DxfVersion::R2000 => add(format!("{}.dxf", sheet.sheet.id), *form),
            // R12 has no place for the unit: the name says it.
            DxfVersion::R12 => add(format!("{}.r12-mm.dxf", sheet.sheet.id), *form),
        }
    }
    files.push((format!("{}.svg", sheet.sheet.id), svg(sheet, title, unit)));
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
