//! A turning bit: round, as wide as its kerf, and slow to plunge. Its path is the line moved by its
//! radius; what its roundness leaves in inner corners is said.

mod clear;
pub(super) mod corners;
mod descent;
#[cfg(test)]
mod tests;

use super::broken::stretches;
use super::track::Track;
use super::{Step, Task, Worked, bridges, depths};
use crate::diag::Diagnostic;
use crate::geom::{Contour, Segment, Stroke};
use crate::ops::Keep;
use crate::profile::{CutDirection, OperationKind};
use descent::Descent;

/// Mills the line in depth passes, each entered down the rule's ramp and then gone round whole; a
/// pocket is cleared within. The spindle turns clockwise: conventional milling runs
/// counter-clockwise outside a part and clockwise inside (machining practice); climb the other way.
///
/// Fails where bridges do not fit or nothing of a pocket is as wide as the bit.
pub(super) fn follow(task: &Task<'_>) -> Result<Worked, Diagnostic> {
    let depths = depths(task);
    let mut worked = Worked { passes: depths.len() as u32, ..Worked::default() };
    if let Stroke::Closed(line) = task.line
        && task.op.keep != Keep::Line
        && matches!(task.op.kind, OperationKind::ThroughCut | OperationKind::HalfDepthPocket)
    {
        let turned = directed(line, task.op.keep, task.rule.direction);
        let (path, note) = corners::opened(task, &turned);
        worked.notes.extend(note);
        if task.op.kind == OperationKind::HalfDepthPocket {
            clear::clear(task, line, &depths, &mut worked.steps);
        }
        let track = Track::new(path, true);
        let gaps = bridges::gaps(task, &track)?;
        Descent::new(task, &track, &gaps).down(&depths, &mut worked.steps);
        return Ok(worked);
    }
    for track in stretches(task)? {
        Descent::new(task, &track, &[]).down(&depths, &mut worked.steps);
    }
    Ok(worked)
}

/// The line run the way that the rule asks, from the same start.
fn directed(line: &Contour, keep: Keep, direction: CutDirection) -> Contour {
    let outside = keep == Keep::Inside;
    let ccw = outside == (direction == CutDirection::Conventional);
    if line.is_ccw() == ccw { line.clone() } else { line.reversed() }
}

/// A cut along a segment at one depth.
fn level(task: &Task<'_>, s: &Segment, depth: f64) -> Step {
    Step::Cut { to: s.end, bulge: s.bulge, depth, heading: None, feed: task.rule.feed }
}
