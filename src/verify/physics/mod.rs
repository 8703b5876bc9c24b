//! What each tool cuts as the machine moves: for a beam, a bit, a pen or a wheel the line of its
//! middle; for a drag knife the line of its tip; for a turned blade the line of its tip and, where
//! it stops, the edge that reaches on ahead.

mod drag;
mod drive;
pub mod sweep;
mod turning;
mod wedge;

pub use drive::{Driven, follow, ways};
pub use turning::Wrench;
pub use wedge::stray_on_arc;

use crate::geom::Segment;

/// A stretch that a tool works.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trace {
    /// Over the bed, machine coordinates. Its width is the tool's kerf.
    pub way: Segment,
    /// How deep at its start and end, mm below the top; it changes evenly.
    pub depth: (f64, f64),
    /// Whether the depth is not known from the program, because words lower the tool or its power
    /// sets it: the rule's is meant.
    pub by_words: bool,
    /// Half of what the tool takes, mm.
    pub radius: f64,
    /// The rules that it may follow, a bit each.
    pub rules: u64,
    /// The tool's place in the profile's tools.
    pub tool: u16,
    /// The line of the program.
    pub line: u32,
    /// From tool down to tool up, counted.
    pub run: u32,
    /// The edge of a blade ahead of its tip, rather than the way of the tip.
    pub is_edge: bool,
}

impl Trace {
    /// The part of it that is at least `depth` deep.
    pub fn reaching(&self, depth: f64) -> Option<Segment> {
        let (a, b) = self.depth;
        match (a >= depth, b >= depth) {
            _ if self.by_words => Some(self.way),
            (true, true) => Some(self.way),
            (false, false) => None,
            (true, false) => Some(self.way.between(0.0, ((a - depth) / (a - b)).clamp(0.0, 1.0))),
            (false, true) => Some(self.way.between(((depth - a) / (b - a)).clamp(0.0, 1.0), 1.0)),
        }
    }

    /// How deep a share of the way along it.
    pub fn depth_at(&self, share: f64) -> f64 {
        self.depth.0 + (self.depth.1 - self.depth.0) * share
    }
}
