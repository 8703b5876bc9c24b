//! Sheets as pictures: what is cut, pocketed, creased and marked, told apart by line style as well
//! as by colour, so that it reads when printed grey and to colour-blind eyes; and how a machine goes
//! about it.

pub mod cutting;
mod frame;
mod numbers;
mod preview;
mod straight;

pub use preview::preview;

use crate::drawing;
use crate::ops::{Operation, SheetOps};
use crate::units::Unit;
use frame::Picture;

/// The sheet as an SVG of its own size in mm, with a margin for its title, dimensions and key.
pub fn svg(sheet: &SheetOps, title: &str, unit: Unit) -> Vec<u8> {
    let rows = 1 + usize::from(!sheet.sheet.cuts.is_empty());
    let list = straight::lines(sheet, unit);
    let mut picture = Picture::new(sheet, &[Picture::heading(sheet, title, unit)], unit, rows, &list);
    picture.offcut();
    picture.edge();
    picture.later();
    picture.pieces(&|_| true);
    picture.lines(&|_| true);
    picture.names(&|_| true);
    picture.later_names();
    picture.straight_cuts();
    picture.kinds();
    picture.straight_key();
    drawing::svg(&picture.drawing)
}

/// The sheet alone, mm for mm, as a page shows it that answers to being pointed at: all that belongs to a copy
/// of a piece is a group of its name. It is as large as whoever shows it makes it.
pub fn by_piece(sheet: &SheetOps, unit: Unit) -> String {
    let mut picture = Picture::bare(sheet, unit);
    picture.offcut();
    picture.edge();
    picture.later();
    let mut order: Vec<(&str, u32)> = Vec::new();
    for o in &sheet.operations {
        let of = (o.piece.as_str(), o.copy);
        if !order.contains(&of) {
            order.push(of);
        }
    }
    for (piece, copy) in order {
        let is_own = |o: &Operation| o.piece == piece && o.copy == copy;
        let from = picture.drawing.items.len();
        picture.pieces(&is_own);
        picture.lines(&is_own);
        picture.names(&is_own);
        picture.drawing.group(piece, from);
    }
    picture.later_names();
    picture.straight_cuts();
    String::from_utf8_lossy(&drawing::svg_to_fit(&picture.drawing)).into_owned()
}
