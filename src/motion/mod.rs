//! What a machine does, neutral of its language: operations in the best order allowed, each as
//! the steps of its tool, with the line it serves kept beside it, and the time it takes.

mod build;
pub mod order;
pub mod time;

pub use crate::comp::{Step, Wedge};
pub use build::{build, build_tuned};

use crate::geom::Bounds;
use crate::nest::Sheet;
use crate::ops::side_name;
use crate::profile::{Machine, OperationKind};
use crate::register::Affine;
use crate::units::{Length, mm};
use std::sync::Arc;

/// The work of one machine on one sheet.
#[derive(Clone, Debug)]
pub struct Program {
    /// The sheet.
    pub sheet: Arc<Sheet>,
    /// Whether it works the sheet with its other face up, before it is turned over.
    pub is_first_side: bool,
    /// The rectangle that the work touches, sheet coordinates, mm.
    pub used: Bounds,
    /// Where the sheet lies; `None` where it is laid by its corner.
    pub moved: Option<Affine>,
    /// One for each stretch of work with one tool.
    pub sections: Vec<Section>,
}

impl Program {
    /// What the sheet is called as it lies: that of its operations.
    pub fn sheet_name(&self) -> String {
        side_name(&self.sheet.id, self.is_first_side)
    }
}

/// A stretch of work with one tool.
#[derive(Clone, Debug)]
pub struct Section {
    /// The tool's place in the profile's tools.
    pub tool: usize,
    /// The lines worked, in order.
    pub runs: Vec<Run>,
}

/// One line worked: all of its passes.
#[derive(Clone, Debug)]
pub struct Run {
    /// Which line of which piece.
    pub line: LineId,
    /// The rule's place in the profile's rules.
    pub rule: usize,
    /// How many passes its steps make.
    pub passes: u32,
    /// What a slanted blade leaves at its corners and ends.
    pub wedge: Option<Wedge>,
    /// What the tool does, from tool up to tool up.
    pub steps: Vec<Step>,
}

/// Which line of which piece.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct LineId {
    /// The piece's id.
    pub piece: String,
    /// Which copy of the box.
    pub copy: u32,
    /// What is done.
    pub kind: OperationKind,
    /// Which of the piece's lines of this kind.
    pub index: u32,
}

/// How far above the stock's top Z comes down at the speed of an approach; the rest of the way a
/// plunge goes at its own feed. 1 mm, or the safe height where that is less.
pub fn approach_height(machine: &Machine) -> Length {
    machine.safe_height.min(mm(1.0)).max(Length::ZERO)
}
