//! A beam: a laser or the like. It burns wherever it is on, so it is on along the cut and nowhere
//! else, begins and ends in waste, and its head stays at its focus: depth is a matter of power,
//! speed and passes.

use super::broken::stretches;
use super::lead::{Leads, leads};
use super::router::corners;
use super::track::Track;
use super::{Step, Task, Worked, bridges, fill};
use crate::diag::Diagnostic;
use crate::geom::{Segment, Stroke};
use crate::profile::OperationKind;
use crate::units::decimal;

/// The height of the head over the stock while it works: as set up, whatever is cut.
const FOCUS: f64 = 0.0;

/// Cuts the line in the rule's passes: a closed cut from a lead in waste round and past its start
/// by the rule's overrun to a lead out; in stretches where bridges stay; a pocket as its outline
/// and lines that fill it, along the grain; creases and marks in their pattern.
///
/// Fails where bridges do not fit or a crease cannot be doubled.
pub(super) fn follow(task: &Task<'_>) -> Result<Worked, Diagnostic> {
    let passes = task.rule.passes.max(1);
    let mut worked = Worked { passes, ..Worked::default() };
    if let (OperationKind::ThroughCut, Stroke::Closed(line)) = (task.op.kind, task.line) {
        worked.notes.extend(corners::too_narrow(task, line));
    }
    for line in stretches(task)? {
        let gaps = bridges::gaps(task, &line)?;
        if gaps.is_empty() {
            whole(task, &line, passes, &mut worked);
        } else {
            bridged(task, &line, &gaps, passes, &mut worked.steps);
        }
    }
    if let (OperationKind::HalfDepthPocket, Stroke::Closed(outline)) = (task.op.kind, task.line) {
        let (angle, hatch) = (task.op.grain_deg.unwrap_or(0.0).to_radians(), task.rule.hatch.to_mm());
        cleared(task, fill::apart(outline, angle, hatch))?;
        for _ in 0..passes {
            for line in fill::rows(outline, angle, hatch).into_iter().flatten() {
                burn(task, &[line], &mut worked.steps);
            }
        }
    }
    Ok(worked)
}

/// Of what the proof lets stand between two lines of a pocket this much is left to them, and the rest to rounding.
const RIDGE: f64 = 0.9;

/// Whether lines so far apart clear a pocket's floor: a ridge between two that is wider than the machine's tolerance is
/// board that stands where none is to be, and the proof says so.
fn cleared(task: &Task<'_>, apart: f64) -> Result<(), Diagnostic> {
    let kerf = task.tool.kerf.to_mm();
    let most = kerf + RIDGE * task.machine.tolerance.to_mm();
    if apart <= most + 1e-9 {
        return Ok(());
    }
    let message = format!(
        "the pocket in {} keeps ridges {} mm wide: its lines are {} mm apart, and the beam is {} mm wide",
        task.name(),
        decimal(apart - kerf, 2),
        decimal(apart, 2),
        decimal(kerf, 2)
    );
    let hint = format!(
        "set `hatch` in the machine's rule to {} mm or less (about the beam's width leaves no ridge), or measure the \
         tool's `kerf` at the power that burns pockets",
        // Down to a hundredth, so that the number told is one that passes.
        decimal((most * 100.0 + 1e-6).floor() / 100.0, 2)
    );
    Err(Diagnostic::error("ridges-stand", message).help(hint))
}

/// A line without bridges: closed, round and round without switching off.
fn whole(task: &Task<'_>, line: &Track, passes: u32, worked: &mut Worked) {
    let Some((first, last)) = line.segments().first().zip(line.segments().last()) else { return };
    if !line.is_closed() {
        for pass in 0..passes {
            let way: Vec<Segment> = if pass % 2 == 1 {
                line.segments().iter().rev().map(Segment::reversed).collect()
            } else {
                line.segments().to_vec()
            };
            burn(task, &way, &mut worked.steps);
        }
        return;
    }
    let past = task.rule.overrun.to_mm().clamp(0.0, line.length());
    let mut way: Vec<Segment> = (0..passes).flat_map(|_| line.segments().iter().copied()).collect();
    way.extend(line.stretch(0.0, past));
    let wanted = task.op.kind == OperationKind::ThroughCut && task.rule.lead.to_mm() > 0.0;
    if wanted {
        match leads(task, first, way.last().unwrap_or(last)) {
            Some(Leads { into, out }) => {
                way.insert(0, into);
                way.push(out);
            }
            None => worked.notes.push(
                Diagnostic::warning(
                    "no-room-for-lead",
                    format!("the cut of {} starts on its own line: no lead stays clear there", task.name()),
                )
                .help("shorten `lead` in the machine's rule, or leave more room between the pieces")
                .weighing(0.0),
            ),
        }
    }
    burn(task, &way, &mut worked.steps);
}

/// The stretches between bridges, each in all its passes before the next.
fn bridged(task: &Task<'_>, line: &Track, gaps: &[(f64, f64)], passes: u32, steps: &mut Vec<Step>) {
    for (i, gap) in gaps.iter().enumerate() {
        let next = gaps.get(i + 1).map_or(gaps[0].0 + line.length(), |g| g.0);
        let forth = line.stretch(gap.1, next);
        let back: Vec<Segment> = forth.iter().rev().map(Segment::reversed).collect();
        for pass in 0..passes {
            burn(task, if pass % 2 == 1 { &back } else { &forth }, steps);
        }
    }
}

/// On at the start of a way, off at its end.
fn burn(task: &Task<'_>, way: &[Segment], steps: &mut Vec<Step>) {
    let Some(first) = way.first() else { return };
    steps.push(Step::Travel { to: first.start });
    task.lower(FOCUS, steps);
    let feed = task.rule.feed;
    steps.extend(way.iter().map(|s| Step::Cut { to: s.end, bulge: s.bulge, depth: FOCUS, heading: None, feed }));
    task.raise(steps);
}

#[cfg(test)]
mod tests;
