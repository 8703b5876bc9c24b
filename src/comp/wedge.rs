//! What a slanted edge does at corners, slot ends and bends, and what must be said about it.

use super::task::turn_between;
use super::{Task, Wedge};
use crate::diag::Diagnostic;
use crate::geom::{Point, Segment, Stroke};
use crate::ops::Keep;
use crate::profile::{Finish, OperationKind};
use crate::units::decimal;

/// The slanted edge along one line: it says where to stop, and keeps count.
pub(super) struct Edge<'a> {
    task: &'a Task<'a>,
    /// tan of the edge's angle.
    slant: f64,
    wedge: Wedge,
    /// Corners and ends at which the top face of the piece itself is overcut.
    into_piece: usize,
    /// The pieces that an overcut reaches.
    into: Vec<String>,
}

impl<'a> Edge<'a> {
    pub(super) fn new(task: &'a Task<'a>) -> Self {
        let wedge = Wedge {
            piece: task.op.piece.clone(),
            copy: task.op.copy,
            top_overcut: 0.0,
            bottom_uncut: 0.0,
            arc_stray: 0.0,
        };
        let slant = task.tool.edge_angle.to_rad().tan();
        Self { task, slant, wedge, into_piece: 0, into: Vec::new() }
    }

    /// How far before a corner the tip stops at this depth, mm, by the rule's finish.
    pub(super) fn back(&self, depth: f64) -> f64 {
        match self.task.rule.finish {
            Finish::Bottom => (depth - self.floor()).max(0.0) * self.slant,
            Finish::Top => depth * self.slant,
        }
    }

    /// The stretch stopped as far before its last corner as the rule's finish wants at this depth.
    /// `next` is the heading after the corner, `None` at the end of an open line.
    ///
    /// Fails where the stretch is too short for that.
    pub(super) fn stopped_short(
        &mut self,
        run: Vec<Segment>,
        depth: f64,
        next: Option<f64>,
        is_last: bool,
    ) -> Result<Vec<Segment>, Diagnostic> {
        let floor = self.floor();
        let reach = depth * self.slant;
        let back = self.back(depth);
        if back <= 1e-9 && reach <= 1e-9 {
            return Ok(run);
        }
        let length: f64 = run.iter().map(Segment::length).sum();
        if length <= back + 1e-6 {
            return Err(self.too_short(length, back));
        }
        if let (true, Some(end)) = (is_last, run.last()) {
            self.count(end.end, end.end_heading(), next, reach - back, floor.min(depth) * self.slant);
        }
        Ok(without_end(run, back))
    }

    /// Counts the arcs and the corners turned on the spot within a stretch: there the
    /// edge, straight ahead of the tip, leaves the line in the top face.
    pub(super) fn see_bends(&mut self, run: &[Segment], depth: f64) {
        let reach = depth * self.slant;
        for s in run.iter().filter(|s| !s.is_line()) {
            let r = s.radius();
            self.wedge.arc_stray = self.wedge.arc_stray.max(r.hypot(reach) - r);
        }
        for w in run.windows(2) {
            let turn = turn_between(w[0].end_heading(), w[1].start_heading());
            self.wedge.top_overcut = self.wedge.top_overcut.max(reach * turn.abs().sin());
        }
    }

    /// What was counted, where there is a slant, and what must be said.
    pub(super) fn into_parts(self) -> (Option<Wedge>, Vec<Diagnostic>) {
        if self.slant <= 1e-9 {
            return (None, Vec::new());
        }
        let (piece, over) = (&self.wedge.piece, decimal(self.wedge.top_overcut, 2));
        let steeper = "set finish = \"top\" in the rule to spare the top face (the bottom then stays uncut by as \
                       much), or use a blade with a steeper edge";
        let kind = self.task.op.kind.word();
        let mut notes = Vec::new();
        if self.into_piece > 0 {
            // How many corners is left out: lines that differ in nothing else are then told once.
            let message = format!(
                "the slanted blade cuts the top face of {piece} up to {over} mm past the corners and ends of a {kind}"
            );
            notes.push(Diagnostic::warning("wedge-overcut", message).help(steeper));
        }
        if self.wedge.bottom_uncut > self.task.machine.tolerance.to_mm() {
            let left = decimal(self.wedge.bottom_uncut, 2);
            let message = format!("the bottom of {piece} stays uncut for up to {left} mm at its corners and slot ends");
            notes.push(Diagnostic::hint("wedge-uncut", message).help("part it there by hand with a thin blade"));
        }
        if self.wedge.arc_stray > self.task.machine.tolerance.to_mm() {
            let stray = decimal(self.wedge.arc_stray, 2);
            let message = format!(
                "on its tightest arc the slanted blade strays {stray} mm out of the line in the top face of {piece}"
            );
            let hint = "round the corner wider, use a blade with a steeper edge, or cut it with the clean face down";
            notes.push(Diagnostic::hint("wedge-arc-stray", message).help(hint));
        }
        for other in &self.into {
            let message = format!("the slanted blade overcuts a corner of {piece} by {over} mm, into {other}");
            let hint = format!("leave more than {over} mm between the pieces, or {steeper}");
            notes.push(Diagnostic::warning("wedge-into-neighbour", message).help(hint));
        }
        (Some(self.wedge), notes)
    }

    /// How deep the face lies that a corner is finished on, mm below the top: the stock's bottom,
    /// or the floor of a pocket or score.
    fn floor(&self) -> f64 {
        match self.task.op.kind {
            OperationKind::ThroughCut => self.task.thickness,
            _ => self.task.depth(),
        }
    }

    /// `over` is how far the top is cut past the corner, `whole` what would be left of the bottom
    /// if it were spared.
    fn count(&mut self, corner: Point, heading: f64, next: Option<f64>, over: f64, whole: f64) {
        self.wedge.top_overcut = self.wedge.top_overcut.max(over);
        self.wedge.bottom_uncut = self.wedge.bottom_uncut.max(whole - over);
        if over <= self.task.machine.tolerance.to_mm() {
            return;
        }
        let into_piece = match next {
            None => true,
            Some(next) => self.piece_is_ahead(turn_between(heading, next)),
        };
        if into_piece {
            self.into_piece += 1;
        }
        let tip = corner + Point::unit(heading) * over;
        if let Some((piece, copy)) = self.task.ground.neighbour(self.task.op, tip, 0.0) {
            let other = format!("{piece} (copy {copy})");
            let is_own_sheet = self.task.op.keep == Keep::Inside;
            if is_own_sheet && !self.into.contains(&other) {
                self.into.push(other);
            }
        }
    }

    /// Whether straight on at a corner with this turn lies the piece: with the piece on the left it
    /// does where the line turns right.
    fn piece_is_ahead(&self, turn: f64) -> bool {
        let (Stroke::Closed(c), keep) = (self.task.line, self.task.op.keep) else { return true };
        match keep {
            Keep::Line => true,
            Keep::Inside => (turn < 0.0) == c.is_ccw(),
            Keep::Outside => (turn > 0.0) == c.is_ccw(),
        }
    }

    fn too_short(&self, length: f64, back: f64) -> Diagnostic {
        let message = format!(
            "{} has a {} with an edge or slot of {} mm; the shortest that the blade can make there is {} mm",
            self.task.name(),
            self.task.op.kind.word(),
            decimal(length, 2),
            decimal((back * 100.0).ceil() / 100.0 + 0.01, 2)
        );
        let hint = match self.task.rule.finish {
            Finish::Top => {
                "set finish = \"bottom\" in the rule, use a blade with a steeper edge, or make the edge longer"
            }
            Finish::Bottom => "use a blade with a steeper edge, take less extra depth, or make the edge longer",
        };
        Diagnostic::error("edge-too-short", message).help(hint)
    }
}

/// The stretch without its last `back` mm.
fn without_end(mut run: Vec<Segment>, back: f64) -> Vec<Segment> {
    let mut left = back;
    while let Some(last) = run.last().copied() {
        if left <= 1e-9 {
            break;
        }
        run.pop();
        let length = last.length();
        if length > left + 1e-9 {
            run.push(last.between(0.0, 1.0 - left / length));
            break;
        }
        left -= length;
    }
    run
}
