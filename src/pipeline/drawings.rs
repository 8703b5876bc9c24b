//! Each sheet's drawings: DXF and SVG for cutters, SVG to look at.

use super::File;
use crate::comp::{Kerfs, kerf_moved};
use crate::diag::Diagnostic;
use crate::geom::Stroke;
use crate::nest::no_room_for_pins;
use crate::ops::SheetOps;
use crate::profile::OperationKind;
use crate::units::{Length, Unit};
use crate::write::dxf::{DxfVersion, dxf_with_kerf};
use crate::write::names::drawing_stem;
use crate::write::svg::cutting::cutting;
use crate::write::svg::svg;

/// How a sheet is drawn for whoever cuts it.
#[derive(Clone, Copy, Debug, Default)]
pub struct Drawn<'a> {
    /// The forms of DXF; the usual one if none is named.
    pub forms: &'a [DxfVersion],
    /// Whether there is an SVG for cutters too.
    pub has_svg: bool,
    /// Whether there is no DXF at all.
    pub no_dxf: bool,
    /// Whether there is no picture to look at.
    pub no_picture: bool,
    /// Whether the sheet's own rectangle is left out.
    pub no_stock: bool,
    /// What the cutter takes in all; the lines are moved for it.
    pub kerf: Kerfs,
}

/// The drawings of a sheet for cutters, moved for a kerf where one is given, and its picture as SVG: of its other face
/// first, where that is worked too.
pub fn drawings(sheet: &SheetOps, drawn: &Drawn<'_>, title: &str, unit: Unit) -> (Vec<File>, Vec<Diagnostic>) {
    let (mut files, mut said) = (Vec::new(), Vec::new());
    if let Some(d) = no_room_for_pins(&sheet.sheet, unit) {
        return (files, vec![d]);
    }
    for side in sheet.sides() {
        files.extend(of_side(side, drawn, title, unit, &mut said));
    }
    (files, said)
}

fn of_side(sheet: &SheetOps, drawn: &Drawn<'_>, title: &str, unit: Unit, said: &mut Vec<Diagnostic>) -> Vec<File> {
    let mut files = Vec::new();
    let kerf = drawn.kerf.of(sheet.sheet.stock);
    let lines = lines(sheet, kerf, said);
    let stem = drawing_stem(title, &sheet.sheet, sheet.is_first_side, kerf.unwrap_or_default());
    let (size, has_edge) = ((sheet.sheet.width, sheet.sheet.height), !drawn.no_stock);
    let lines = || lines.iter().map(|(kind, stroke)| (*kind, stroke));
    let usual: &[DxfVersion] = &[DxfVersion::R2000];
    let forms = if drawn.forms.is_empty() { usual } else { drawn.forms };
    for form in forms.iter().filter(|_| !drawn.no_dxf) {
        let name = match form {
            DxfVersion::R2000 => format!("{stem}.dxf"),
            // R12 has no place for the unit: the name says it.
            DxfVersion::R12 => format!("{stem}.r12-mm.dxf"),
        };
        files.push((name, dxf_with_kerf(size, lines(), *form, has_edge, kerf)));
    }
    if drawn.has_svg {
        files.push((format!("{stem}.cut.svg"), cutting(size, lines(), has_edge, kerf)));
    }
    if !drawn.no_picture {
        files.push((format!("{}.svg", sheet.name()), svg(sheet, title, unit)));
    }
    files
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
