//! What a machine does, neutral of its language: operations in the best order allowed, each as
//! the steps of its tool, with the line it serves kept beside it, and the time it takes.

use crate::geom::{Bounds, Point};
use crate::profile::OperationKind;
use crate::units::{Feed, Length};

/// The work of one machine on one sheet.
#[derive(Clone, Debug)]
pub struct Program {
    /// The sheet's id.
    pub sheet: String,
    /// The sheet's thickness.
    pub thickness: Length,
    /// The rectangle that the work touches, sheet coordinates, mm.
    pub used: Bounds,
    /// One for each stretch of work with one tool.
    pub sections: Vec<Section>,
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

/// One step. Positions are sheet coordinates in mm, of the point that the machine moves (for a
/// drag knife its pivot); depths are mm below the stock's top, positive down; headings are degrees
/// counter-clockwise from +x, accumulated over the program so that 370 is not 10.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Step {
    /// A traverse at safe height, tool off where the tool is switched with its lift.
    Travel {
        /// Where to.
        to: Point,
    },
    /// The rotary axis alone.
    Turn {
        /// The heading afterwards.
        heading: f64,
        /// Degrees a minute.
        feed: f64,
    },
    /// Z alone, downwards or between depths.
    Plunge {
        /// The depth afterwards.
        depth: f64,
        /// Its speed.
        feed: Feed,
    },
    /// A line or arc from the current position with the tool at work.
    Cut {
        /// Where to.
        to: Point,
        /// `tan(sweep / 4)`; 0 for a line.
        bulge: f64,
        /// The depth at its end; it changes evenly along the way.
        depth: f64,
        /// The rotary heading at its end, where the tool has one; it changes evenly along the way.
        heading: Option<f64>,
        /// Its speed along the path.
        feed: Feed,
    },
    /// Z to safe height.
    Lift,
    /// The tool's `on` lines.
    On,
    /// The tool's `off` lines.
    Off,
    /// A wait in seconds.
    Dwell(f64),
}
