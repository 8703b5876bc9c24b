//! Pieces placed on sheets of stock.

use crate::geom::{Bounds, Transform};
use crate::job::StockKind;
use crate::units::Length;

/// One sheet with the pieces on it. The origin is its lower left corner.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// `board-1`, counted from 1 for each stock.
    pub id: String,
    /// What it is of.
    pub stock: StockKind,
    /// Its width.
    pub width: Length,
    /// Its height.
    pub height: Length,
    /// Its thickness.
    pub thickness: Length,
    /// The pieces on it.
    pub placed: Vec<Placed>,
}

/// One piece on a sheet.
#[derive(Clone, Debug)]
pub struct Placed {
    /// Its place in the design's pieces.
    pub piece: usize,
    /// Which copy of the box it belongs to, from 1; a piece that a box needs twice has its copies
    /// counted on.
    pub copy: u32,
    /// Where it lies.
    pub transform: Transform,
    /// The rectangle around its outline on the sheet.
    pub bounds: Bounds,
}
