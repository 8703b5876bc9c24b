//! What a tool is given, what it gives back, and what all tools share: depths, passes, coming down
//! and going up.

use super::{Ground, Step};
use crate::diag::Diagnostic;
use crate::geom::Stroke;
use crate::ops::Operation;
use crate::profile::{Lift, Machine, OperationKind, Rule, Tool, ToolKind};

/// One line for one tool.
#[derive(Clone, Copy, Debug)]
pub struct Task<'a> {
    /// The operation, nominal.
    pub op: &'a Operation,
    /// Its line moved for the tool's kerf and started where the cut is to start: the first vertex
    /// of a closed contour, the first point of an open line.
    pub line: &'a Stroke,
    /// How the profile wants it.
    pub rule: &'a Rule,
    /// The tool.
    pub tool: &'a Tool,
    /// The machine.
    pub machine: &'a Machine,
    /// The stock's thickness, mm.
    pub thickness: f64,
    /// What lies round it.
    pub ground: &'a Ground,
    /// Whether the machine turns its blades and wheels.
    pub rotary: bool,
}

/// What a tool does for one task.
#[derive(Clone, Debug, Default)]
pub struct Worked {
    /// From tool up to tool up.
    pub steps: Vec<Step>,
    /// How often the line is gone over.
    pub passes: u32,
    /// Warnings and hints.
    pub notes: Vec<Diagnostic>,
    /// What a slanted edge leaves at the corners.
    pub wedge: Option<Wedge>,
}

/// What the slanted edge of a blade leaves at the corners and ends of one line.
#[derive(Clone, Debug, PartialEq)]
pub struct Wedge {
    /// The piece.
    pub piece: String,
    /// Which copy.
    pub copy: u32,
    /// How far the top face is cut past a corner or end, at most, mm.
    pub top_overcut: f64,
    /// How far the bottom stays uncut before a corner or end, at most, mm.
    pub bottom_uncut: f64,
    /// How far the top face's cut strays outwards on the tightest arc, mm: the edge stands
    /// straight ahead of its tip while the line curves away.
    pub arc_stray: f64,
}

/// What is carried from one line to the next by a tool.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BladeState {
    /// Where the blade points, degrees counter-clockwise from +x, accumulated: 370 is not 10.
    pub heading: f64,
}

/// Whether the tool is switched by its words for every line: a beam, and whatever a servo or
/// solenoid lowers. The others are started once and stopped once for all their lines.
pub fn is_switched(tool: &Tool) -> bool {
    tool.kind == ToolKind::Beam || tool.lift == Lift::Words
}

impl Task<'_> {
    /// How deep the last pass goes below the stock's top, mm: through the stock and the rule's extra
    /// for a through-cut, the operation's own depth for a pocket, the rule's for a line on it.
    pub fn depth(&self) -> f64 {
        match self.op.kind {
            OperationKind::ThroughCut => self.thickness + self.rule.extra_depth.to_mm(),
            OperationKind::HalfDepthPocket => self.op.depth.to_mm(),
            OperationKind::CreaseScore | OperationKind::Mark => self.rule.depth.to_mm(),
        }
    }

    /// How far the cut may stray from its line by the tool's own kinematics, mm: a quarter of what
    /// the proof accepts, so that rounding and chords have the rest, and 0.02 at most.
    pub fn stray(&self) -> f64 {
        (self.machine.tolerance.to_mm() / 4.0).min(0.02)
    }

    /// The piece and copy for messages.
    pub fn name(&self) -> String {
        format!("{} (copy {})", self.op.piece, self.op.copy)
    }

    /// The tool brought down to `depth` where it is.
    pub(super) fn lower(&self, depth: f64, steps: &mut Vec<Step>) {
        if self.tool.lift == Lift::Z {
            steps.push(Step::Plunge { depth, feed: self.rule.plunge });
        }
        if is_switched(self.tool) {
            steps.push(Step::On);
            wait(self.tool.on_dwell, steps);
        }
    }

    /// The tool at work brought to another depth where it is; nothing for one without Z.
    pub(super) fn deepen(&self, depth: f64, steps: &mut Vec<Step>) {
        if self.tool.lift == Lift::Z {
            steps.push(Step::Plunge { depth, feed: self.rule.plunge });
        }
    }

    /// The tool taken up to safe height.
    pub(super) fn raise(&self, steps: &mut Vec<Step>) {
        if is_switched(self.tool) {
            steps.push(Step::Off);
            wait(self.tool.off_dwell, steps);
        }
        if self.tool.lift == Lift::Z {
            steps.push(Step::Lift);
        }
    }
}

fn wait(seconds: f64, steps: &mut Vec<Step>) {
    if seconds > 0.0 {
        steps.push(Step::Dwell(seconds));
    }
}

/// The depths of the passes, mm, the deepest last: as few as keep what one pass takes of the stock
/// within the rule's pass depth, all alike; the last goes `task.depth()` deep and none deeper. A tool
/// lifted by its words has one depth and goes over it as often as the rule says.
pub fn depths(task: &Task<'_>) -> Vec<f64> {
    let last = task.depth();
    if task.tool.lift == Lift::Words {
        return vec![last; task.rule.passes.max(1) as usize];
    }
    let stock = last.min(task.thickness);
    let each = task.rule.pass_depth.to_mm();
    let n = if each > 0.0 { (stock / each - 1e-9).ceil().clamp(1.0, 10_000.0) } else { 1.0 };
    let n = n as usize;
    (1..=n).map(|i| if i == n { last } else { stock * i as f64 / n as f64 }).collect()
}

/// The turn from one heading to another, radians in (-pi, pi].
pub(super) fn turn_between(from: f64, to: f64) -> f64 {
    use std::f64::consts::{PI, TAU};
    let turn = (to - from).rem_euclid(TAU);
    if turn > PI { turn - TAU } else { turn }
}
