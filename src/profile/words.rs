//! The words that a profile chooses from.

use crate::units::{Length, inch, mm};
use serde::{Deserialize, Serialize};

/// Where Z0 is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ZZero {
    /// On the bed, under the stock.
    Bed,
    /// On the stock's top face.
    StockTop,
}

/// A place on the bed, as one stands before it: where X0 Y0 lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum BedPlace {
    /// Near and to the left.
    LowerLeft,
    /// Near and to the right.
    LowerRight,
    /// Far and to the left.
    UpperLeft,
    /// Far and to the right.
    UpperRight,
    /// In the middle of the travel.
    Centre,
}

/// Which way an axis counts up, as one stands before the bed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Way {
    /// To the right.
    Right,
    /// To the left.
    Left,
    /// Away from one.
    Up,
    /// Towards one.
    Down,
}

impl Way {
    /// Its word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Right => "right",
            Self::Left => "left",
            Self::Up => "up",
            Self::Down => "down",
        }
    }
}

/// The unit of a program's numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ProgramUnit {
    /// Millimetres, speeds in millimetres a minute.
    Mm,
    /// Inches, speeds in inches a minute.
    Inch,
}

impl ProgramUnit {
    /// One of it.
    pub const fn length(self) -> Length {
        match self {
            Self::Mm => mm(1.0),
            Self::Inch => inch(1.0),
        }
    }
}

/// What I and J are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ArcCentres {
    /// The way from the arc's start to its centre.
    FromStart,
    /// The centre's place.
    Places,
}

/// How the stock is held: with a vacuum a small part must be cut before the large one round it loses grip.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Hold {
    /// Sucked onto the bed.
    Vacuum,
    /// Taped, pinned or clamped at the rim, or lying by its weight.
    Rim,
    /// On a tacky carrier mat.
    Mat,
}

/// How comments are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Comments {
    /// (like this)
    Parentheses,
    /// ; like this
    Semicolon,
    /// Not at all.
    None,
}

/// How lines end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LineEnding {
    /// Line feed.
    Lf,
    /// Carriage return and line feed.
    Crlf,
}

/// The unit of a dwell.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DwellUnit {
    /// Seconds.
    Seconds,
    /// Milliseconds.
    Milliseconds,
}

/// What happens between tools.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ToolChange {
    /// The program stops and says which tool to fit.
    Pause,
    /// The machine changes it.
    Automatic,
    /// Each tool has a program of its own.
    SeparateFiles,
}

/// What a tool is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ToolKind {
    /// A blade that swivels freely.
    DragKnife,
    /// A blade turned by the machine, driven or not.
    TangentialKnife,
    /// A wheel that presses a crease.
    CreaseWheel,
    /// A pen.
    Pen,
    /// A laser or another beam.
    Beam,
    /// A turning bit.
    Router,
}

impl ToolKind {
    /// Its name in a sentence.
    pub const fn name(self) -> &'static str {
        match self {
            Self::DragKnife => "drag knife",
            Self::TangentialKnife => "tangential knife",
            Self::CreaseWheel => "crease wheel",
            Self::Pen => "pen",
            Self::Beam => "beam",
            Self::Router => "router bit",
        }
    }

    /// Whether it takes stock away or parts it, rather than pressing or drawing on it.
    pub const fn cuts(self) -> bool {
        !matches!(self, Self::CreaseWheel | Self::Pen)
    }
}

/// How a tool is lifted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Lift {
    /// By the Z axis.
    Z,
    /// By its `on` and `off` words.
    Words,
}

/// Which face a wedge-shaped blade finishes at corners.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Finish {
    /// The bottom face is cut to the corner, the top is overcut.
    Bottom,
    /// The top face is spared, the bottom stays uncut at the corner.
    Top,
}

/// Which way round a turning bit goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CutDirection {
    /// Against the feed: counter-clockwise outside a part with a clockwise spindle.
    Conventional,
    /// With the feed.
    Climb,
}

/// The four operations, in their hard order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum OperationKind {
    /// A line drawn.
    Mark,
    /// A line pressed or scored, to fold at.
    CreaseScore,
    /// A recess half the board deep.
    HalfDepthPocket,
    /// A cut through.
    ThroughCut,
}

impl OperationKind {
    /// All four, in their hard order.
    pub const ALL: [Self; 4] = [Self::Mark, Self::CreaseScore, Self::HalfDepthPocket, Self::ThroughCut];

    /// Its word in files and reports.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Mark => "mark",
            Self::CreaseScore => "crease-score",
            Self::HalfDepthPocket => "half-depth-pocket",
            Self::ThroughCut => "through-cut",
        }
    }
}
