//! Sheets that are worked from both faces: whether they can be laid down again, whether both runs are there, and whether
//! what is cut into a board from either face leaves some of it.

use super::wrong;
use crate::geom::{Contour, intersections, pt};
use crate::profile::OperationKind;
use crate::units::decimal;
use crate::verify::Many;
use crate::verify::read::manifest::{ListedPiece, ListedSheet, Manifest, Pocket, RunKind, Turned, vertex};

/// How far a place may be off for its rounding, mm.
const ROUNDING: f64 = 2e-6;

pub(super) fn check(manifest: &Manifest, out: &mut Many) {
    for piece in manifest.pieces.iter().filter(|p| !p.back_pockets.is_empty()) {
        let sheet = manifest.sheets.iter().find(|s| s.placed.iter().any(|p| p.piece == piece.id));
        if let Some(sheet) = sheet {
            leaves(piece, sheet.thickness, out);
        }
    }
    for sheet in &manifest.sheets {
        let mut pieces = sheet.placed.iter().filter_map(|p| manifest.pieces.iter().find(|q| q.id == p.piece));
        match (&sheet.turned, pieces.any(|p| !p.back_pockets.is_empty())) {
            (None, false) => {}
            (None, true) => {
                out.push(wrong(format!(
                    "{} has recesses in its other face, and nothing says how it is turned over",
                    sheet.id
                )));
            }
            (Some(_), false) => {
                out.push(wrong(format!(
                    "{} is said to be turned over, and nothing is cut into its other face",
                    sheet.id
                )));
            }
            (Some(turned), true) => {
                laid_again(manifest, sheet, turned, out);
                both_runs(manifest, sheet, out);
            }
        }
    }
}

/// Between recesses of both faces that lie over each other some of the board is left.
fn leaves(piece: &ListedPiece, thickness: f64, out: &mut Many) {
    let outline = |p: &Pocket| Contour::new(p.outline.iter().map(vertex));
    for below in &piece.back_pockets {
        for above in &piece.pockets {
            let (a, b) = (outline(above), outline(below));
            let left = thickness - above.depth - below.depth;
            if left < ROUNDING && is_over(&a, &b) {
                let (up, down) = (decimal(above.depth, 2), decimal(below.depth, 2));
                out.push(wrong(format!(
                    "a pocket of {} is {up} mm deep and a recess beneath it {down} mm: they meet in a board of {} mm",
                    piece.id,
                    decimal(thickness, 2)
                )));
            }
        }
    }
}

/// Whether two outlines share any area: they cross, or one holds the other.
fn is_over(a: &Contour, b: &Contour) -> bool {
    let holds = |c: &Contour, d: &Contour| d.vertices().first().is_some_and(|v| c.contains(v.point()));
    holds(a, b) || holds(b, a) || a.segments().any(|s| b.segments().any(|t| !intersections(&s, &t).is_empty()))
}

/// Two holes lie where the other was once the sheet is turned over, and in its waste.
fn laid_again(manifest: &Manifest, sheet: &ListedSheet, turned: &Turned, out: &mut Many) {
    match (turned.by.as_str(), turned.pins.as_slice()) {
        ("corner", []) => {}
        ("pins", [a, b]) => {
            let off = (a.x + b.x - sheet.width).abs().max((a.y - b.y).abs()).max((a.diameter - b.diameter).abs());
            if off > ROUNDING {
                let message = format!(
                    "turned over, the holes of {} do not lie over the same pins: they are {} mm off",
                    sheet.id,
                    decimal(off, 3)
                );
                out.push(wrong(message));
            }
            for placed in &sheet.placed {
                let Some(piece) = manifest.pieces.iter().find(|p| p.id == placed.piece) else { continue };
                let outline = super::sheets::outline(piece).transformed(&placed.laid());
                for pin in &turned.pins {
                    let at = pt(pin.x, pin.y);
                    if outline.contains(at) || outline.distance_to(at) < pin.diameter / 2.0 {
                        out.push(wrong(format!("a pin's hole of {} lies in {}", sheet.id, piece.id)));
                    }
                }
            }
        }
        (by, pins) => {
            let message = format!("{} is said to be laid down again by its {by}, with {} holes", sheet.id, pins.len());
            out.push(wrong(message));
        }
    }
}

/// A machine that cuts pockets into one face of a sheet cuts those of the other too.
fn both_runs(manifest: &Manifest, sheet: &ListedSheet, out: &mut Many) {
    let word = OperationKind::HalfDepthPocket.word();
    let has_own =
        sheet.placed.iter().any(|placed| manifest.pieces.iter().any(|p| p.id == placed.piece && !p.pockets.is_empty()));
    let mut machines: Vec<&str> = manifest.programs.iter().map(|p| p.machine.as_str()).collect();
    machines.sort_unstable();
    machines.dedup();
    for id in machines {
        let does = |is_first_side| {
            let mut of =
                manifest.programs.iter().filter(|p| p.sheet == sheet.id && p.machine == id && p.kind == RunKind::Work);
            of.any(|p| p.first_side == is_first_side && p.operations.iter().any(|o| o == word))
        };
        if has_own && does(true) != does(false) {
            let which = if does(true) { "first" } else { "second" };
            out.push(wrong(format!(
                "{id} cuts the pockets of the {which} run of {} and not those of the other",
                sheet.id
            )));
        }
    }
}
