//! What is done to a sheet, in the hard order: mark, crease score, half-depth pocket, inner
//! through-cut, outer through-cut; small before large.

use crate::geom::Stroke;
use crate::job::StockKind;
use crate::profile::OperationKind;
use crate::units::Length;

/// A sheet's operations, nominal: not moved for any tool.
#[derive(Clone, Debug)]
pub struct SheetOps {
    /// The sheet's id.
    pub sheet: String,
    /// What it is of.
    pub stock: StockKind,
    /// Its width.
    pub width: Length,
    /// Its height.
    pub height: Length,
    /// Its thickness.
    pub thickness: Length,
    /// What is done, in order.
    pub operations: Vec<Operation>,
}

/// One line worked on a sheet.
#[derive(Clone, Debug)]
pub struct Operation {
    /// What is done.
    pub kind: OperationKind,
    /// The piece's id.
    pub piece: String,
    /// Which copy of the box.
    pub copy: u32,
    /// Which of the piece's lines of this kind, from 0.
    pub index: u32,
    /// Which side of the line is the piece.
    pub keep: Keep,
    /// The line, in the sheet's coordinates, in mm.
    pub stroke: Stroke,
    /// How deep from the top of the sheet: its thickness for a through-cut, zero for lines on it.
    pub depth: Length,
    /// The direction of the sheet's grain there, degrees counter-clockwise from +x; `None` without.
    pub grain_deg: Option<f64>,
}

/// Which side of a line is the piece that is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Keep {
    /// The line itself: an open cut, a crease, a mark.
    Line,
    /// Outside it: a hole or a pocket.
    Outside,
    /// Inside it: the piece's outline.
    Inside,
}
