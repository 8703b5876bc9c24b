//! From the nominal line to what the machine must do so that its tool cuts that line: one file for
//! each kind of tool, one way in.
//!
//! [`follow`] takes a [`Task`], the operation with its line already moved for the kerf and already
//! started where the cut is to start, and gives [`Worked`], its steps from tool up to tool up. What
//! a tool carries from one line to the next (the heading of its blade) is in [`BladeState`].
//!
//! A new kind of tool is a file here with `pub(super) fn follow(task, blade)` and an arm in
//! [`follow`]. What every one of them needs lies in `task` (depths, passes, lowering and raising),
//! `ground` (where waste is) and `start` (where a closed contour may start).

mod beam;
mod bridges;
mod broken;
mod drag;
mod fill;
mod ground;
mod kerf;
mod lead;
mod pocket;
mod router;
mod start;
mod step;
mod tangent;
mod task;
#[cfg(test)]
pub(crate) mod testbed;
mod track;
mod wedge;
mod wheel;
mod wrench;

pub use ground::Ground;
pub use kerf::{Kerfs, kerf_moved, kerf_moved_for};
pub use start::{Start, candidates, started};
pub use step::Step;
pub use task::{BladeState, Task, Wedge, Worked, depths, is_switched};

use crate::diag::Diagnostic;
use crate::profile::ToolKind;

/// The steps that make the task's tool do its line, from tool up to tool up: a travel to where the
/// tool comes down, the cut in all its passes, the lift. `blade` is where the blade points before,
/// and afterwards where it points then.
///
/// Fails, with the reason, where the tool cannot do the line.
pub fn follow(task: &Task<'_>, blade: &mut BladeState) -> Result<Worked, Diagnostic> {
    match task.tool.kind {
        ToolKind::DragKnife => drag::follow(task, blade),
        ToolKind::TangentialKnife => tangent::follow(task, blade),
        ToolKind::CreaseWheel | ToolKind::Pen => wheel::follow(task, blade),
        ToolKind::Beam => beam::follow(task),
        ToolKind::Router => router::follow(task),
    }
}
