//! Sheets as pictures: what is cut, pocketed, creased and marked, told apart by line style as well
//! as by colour, so that it reads when printed grey and to colour-blind eyes; and how a machine goes
//! about it.

mod frame;
mod numbers;
mod parts;
mod pieces;
mod preview;

pub use pieces::by_piece;
pub use preview::preview;

use crate::ops::SheetOps;
use crate::units::Unit;
use frame::Picture;

/// The sheet as an SVG of its own size in mm, with a margin for its title, dimensions and key.
pub fn svg(sheet: &SheetOps, title: &str, unit: Unit) -> Vec<u8> {
    let mut picture = Picture::new(sheet, &[Picture::heading(sheet, title, unit)], unit, 1);
    picture.offcut();
    picture.edge();
    picture.pieces();
    picture.lines(&|_| true);
    picture.names();
    picture.kinds();
    picture.finish()
}
