//! What is worked on a sheet with its other face up, before it is turned over.

use super::{Class, Keep, Operation, PINS, Shared, SheetOps, worked};
use crate::design::{Piece, Pocket};
use crate::geom::Stroke;
use crate::nest::{Placed, Sheet};
use crate::profile::OperationKind;
use std::sync::Arc;

/// The pockets in the face that lies down on the sheet as it is laid out, and the holes that it is turned over by, small
/// before large; `None` where there are no such pockets.
pub(super) fn first_side(sheet: &Sheet, pieces: &[Piece]) -> Option<SheetOps> {
    let turn = sheet.turn?;
    let over = sheet.turned_over();
    let mut sorted: Vec<(Class, i64, Operation)> = over.placed.iter().flat_map(|p| pockets(pieces, p)).collect();
    if sorted.is_empty() {
        return None;
    }
    sorted.sort_by_key(|(_, size, _)| *size);
    let mut operations: Vec<Operation> = sorted.into_iter().map(|(_, _, o)| o).collect();
    // Each of the two is the mirror image of the other.
    let holes = turn.pins.iter().flat_map(|pins| pins.holes());
    operations.extend((0..).zip(holes).map(|(index, hole)| Operation {
        kind: OperationKind::ThroughCut,
        piece: PINS.into(),
        copy: 1,
        index,
        keep: Keep::Outside,
        stroke: Stroke::Closed(hole),
        depth: sheet.thickness,
        grain_deg: None,
    }));
    let outline = |p: &Placed| {
        let piece = pieces.get(p.piece)?;
        Some(Shared { piece: piece.id.clone(), copy: p.copy, outline: piece.outline.transformed(&p.transform) })
    };
    Some(SheetOps {
        later: over.placed.iter().filter_map(outline).collect(),
        sheet: Arc::new(over),
        operations,
        shared: Vec::new(),
        moved: None,
        first: None,
        is_first_side: true,
    })
}

/// The pockets in the face of a placed piece that lies up now.
fn pockets(pieces: &[Piece], placed: &Placed) -> Vec<(Class, i64, Operation)> {
    let Some(piece) = pieces.get(placed.piece) else { return Vec::new() };
    let line = |p: &Pocket| (Class::Pocket, Stroke::Closed(p.outline.transformed(&placed.transform)), p.depth);
    worked(piece, placed, piece.back_pockets.iter().map(line))
}
