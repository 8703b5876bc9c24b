//! A blade that the machine turns.
//!
//! The blade's heading follows the line: evenly along an arc, on the spot at corners up to the
//! rule's limit, lifted, turned and set down again above it, or where turns that follow one another
//! would be more than that within the blade's own width. Turns are a step of their own. The
//! heading adds up over the program, always by the shortest turn, unless the axis has a limit; then
//! it is unwound while lifted.
//!
//! The edge stands forward by the angle beta from the vertical, so with the tip D = t + e deep it
//! reaches D tan(beta) ahead of the tip in the top face and e tan(beta) in the bottom face. Stopped
//! e tan(beta) before a corner it has finished the bottom and overcut the top by t tan(beta);
//! stopped D tan(beta) before it has spared the top and left t tan(beta) of the bottom uncut.

use super::task::turn_between;
use super::wedge::Edge;
use super::wrench::{Window, passable, turn_into};
use super::{BladeState, Step, Task, Worked, depths, pocket};
use crate::diag::Diagnostic;
use crate::geom::{Point, Segment};
use crate::profile::OperationKind;

/// A turn smaller than this is none, degrees.
const NO_TURN: f64 = 1e-7;

/// The line of the task, or outline and strips of a pocket.
pub(super) fn follow(task: &Task<'_>, blade: &mut BladeState) -> Result<Worked, Diagnostic> {
    let mut work = Worked::default();
    let mut edge = Edge::new(task);
    if task.op.kind == OperationKind::HalfDepthPocket && task.line.is_closed() {
        for (i, (op, line)) in pocket::lines(task)?.into_iter().enumerate() {
            let part = Task { op: &op, line: &line, ..*task };
            // A hatch line ends where the edge just reaches the outline.
            line_of(&part, blade, &mut work, if i == 0 { Some(&mut edge) } else { None })?;
        }
    } else {
        line_of(task, blade, &mut work, Some(&mut edge))?;
    }
    let (wedge, notes) = edge.into_parts();
    work.notes.extend(notes);
    work.wedge = wedge;
    Ok(work)
}

/// The blade on its way.
struct Knife<'a> {
    task: &'a Task<'a>,
    at: Option<Point>,
    /// Degrees, accumulated.
    heading: f64,
    depth: f64,
    is_down: bool,
    steps: &'a mut Vec<Step>,
}

fn line_of(
    task: &Task<'_>,
    blade: &mut BladeState,
    work: &mut Worked,
    mut edge: Option<&mut Edge<'_>>,
) -> Result<(), Diagnostic> {
    let segments = passable(task, task.line.segments())?;
    if segments.is_empty() {
        return Ok(());
    }
    let closed = task.line.is_closed();
    let (mut runs, goes_round) = runs_between_corners(task, &segments);
    let mut is_smooth_seam = closed && goes_round;
    let depths = depths(task);
    // Where the way from the start to the first corner is too short for the blade to be stopped
    // before it, the line starts at that corner instead.
    let back = edge.as_deref().map_or(0.0, |e| e.back(task.depth()));
    let to_first: f64 = runs.first().into_iter().flatten().map(Segment::length).sum();
    if is_smooth_seam && runs.len() > 1 && to_first <= back + 1e-3 {
        let first = runs.remove(0);
        runs.last_mut().into_iter().for_each(|last| last.extend(&first));
        is_smooth_seam = false;
    }
    let mut knife =
        Knife { task, at: None, heading: blade.heading, depth: 0.0, is_down: false, steps: &mut work.steps };
    for (pass, &depth) in depths.iter().enumerate() {
        let is_last = pass + 1 == depths.len();
        for (i, run) in runs.iter().enumerate() {
            let at_seam = i + 1 == runs.len();
            let to_corner = !(at_seam && is_smooth_seam);
            let mut run = run.clone();
            if let Some(edge) = edge.as_deref_mut().filter(|_| to_corner) {
                let next = runs[(i + 1) % runs.len()][0].start_heading();
                let is_end = at_seam && !closed;
                run = edge.stopped_short(run, depth, (!is_end).then_some(next), is_last)?;
            } else if is_last && at_seam && is_smooth_seam {
                run.extend(overrun(&runs[0], task.rule.overrun.to_mm()));
            }
            if let Some(edge) = edge.as_deref_mut().filter(|_| is_last) {
                edge.see_bends(&run, depth);
            }
            let goes_on = i == 0 && pass > 0 && is_smooth_seam && knife.is_down;
            knife.run(&run, depth, goes_on);
        }
    }
    knife.lift();
    blade.heading = knife.heading;
    work.passes += depths.len() as u32;
    Ok(())
}

/// The stretches between the places at which the blade is lifted: its corners, and where it would
/// turn too much within its width. Second, whether at the seam of a closed line it may go on into
/// the first of them.
fn runs_between_corners(task: &Task<'_>, segments: &[Segment]) -> (Vec<Vec<Segment>>, bool) {
    let mut window = Window::new(task);
    let mut runs: Vec<Vec<Segment>> = Vec::new();
    for s in segments {
        let last = runs.last().and_then(|r| r.last());
        let turn = last.map(|l| turn_into(l, s)).filter(|turn| window.fits(*turn, s));
        match (turn, runs.last_mut()) {
            (Some(turn), Some(run)) => {
                window.turned(turn);
                run.push(*s);
            }
            _ => {
                window.clear();
                runs.push(vec![*s]);
            }
        }
        window.went(s);
    }
    let mut last = segments.last();
    let mut way = 0.0;
    let goes_round = runs.first().into_iter().flatten().all(|s| {
        let turn = last.map_or(0.0, |l| turn_into(l, s));
        let fits = way > task.tool.blade_width.to_mm() || window.fits(turn, s);
        window.turned(turn);
        window.went(s);
        way += s.length();
        last = Some(s);
        fits
    });
    (runs, goes_round)
}

/// The first `length` mm of the segments, no further than once round.
fn overrun(segments: &[Segment], length: f64) -> Vec<Segment> {
    let mut left = length;
    let mut parts = Vec::new();
    for s in segments {
        if left <= 1e-9 {
            break;
        }
        parts.push(s.between(0.0, (left / s.length()).min(1.0)));
        left -= s.length();
    }
    parts
}

impl Knife<'_> {
    /// One stretch at one depth; `goes_on` where the blade is down at its start and along it.
    fn run(&mut self, run: &[Segment], depth: f64, goes_on: bool) {
        let Some(first) = run.first() else { return };
        if goes_on {
            self.task.deepen(depth, self.steps);
            self.depth = depth;
        } else {
            self.lift();
            self.come_down(run, first, depth);
        }
        for (i, s) in run.iter().enumerate() {
            self.cut(s, &run[i..]);
        }
    }

    fn lift(&mut self) {
        if self.is_down {
            self.task.raise(self.steps);
            self.is_down = false;
        }
    }

    fn come_down(&mut self, run: &[Segment], first: &Segment, depth: f64) {
        if self.at.is_none_or(|p| !p.is_near(first.start)) {
            self.steps.push(Step::Travel { to: first.start });
            self.at = Some(first.start);
        }
        let heading = self.best_heading(run, first.start_heading().to_degrees());
        self.turn(heading);
        self.task.lower(depth, self.steps);
        (self.depth, self.is_down) = (depth, true);
    }

    fn turn(&mut self, heading: f64) {
        if (heading - self.heading).abs() > NO_TURN {
            self.steps.push(Step::Turn { heading, feed: self.task.rule.turn_feed });
        }
        self.heading = heading;
    }

    /// One line or arc, the blade turned into it on the spot.
    fn cut(&mut self, s: &Segment, rest: &[Segment]) {
        let turn = turn_between(self.heading.to_radians(), s.start_heading()).to_degrees();
        if turn.abs() > NO_TURN {
            if self.is_within(self.heading + turn) {
                self.turn(self.heading + turn);
            } else {
                self.unwind(rest, s);
            }
        }
        let sweep = s.sweep().to_degrees();
        if self.is_within(self.heading + sweep) {
            self.go(s.end, s.bulge, sweep);
            return;
        }
        // As far as the axis turns, then unwound where it stands.
        let limit = self.task.machine.rotary_limit.to_deg() * sweep.signum();
        let share = ((limit + self.task.machine.x_heading().to_deg() - self.heading) / sweep).clamp(0.0, 1.0);
        let (before, after) = (s.between(0.0, share), s.between(share, 1.0));
        if before.length() > 1e-6 {
            self.go(before.end, before.bulge, before.sweep().to_degrees());
        }
        self.unwind(&[after], &after);
        self.go(after.end, after.bulge, after.sweep().to_degrees());
    }

    fn go(&mut self, to: Point, bulge: f64, sweep: f64) {
        self.heading += sweep;
        let (depth, feed) = (self.depth, self.task.rule.feed);
        self.steps.push(Step::Cut { to, bulge, depth, heading: Some(self.heading), feed });
        self.at = Some(to);
    }

    fn unwind(&mut self, rest: &[Segment], next: &Segment) {
        self.lift();
        self.come_down(rest, next, self.depth);
    }

    fn is_within(&self, heading: f64) -> bool {
        let limit = self.task.machine.rotary_limit.to_deg();
        // The axis counts from +x.
        limit <= 0.0 || (heading - self.task.machine.x_heading().to_deg()).abs() <= limit + 1e-6
    }

    /// The turn-equivalent of `heading` (degrees) to take up: the nearest to where the blade is
    /// now; with a limited axis the nearest from which the whole of `run` lies within the limit or,
    /// where none does, as much of it as can.
    fn best_heading(&self, run: &[Segment], heading: f64) -> f64 {
        let turn = turn_between(self.heading.to_radians(), heading.to_radians()).to_degrees();
        let nearest = self.heading + turn;
        let limit = self.task.machine.rotary_limit.to_deg();
        if limit <= 0.0 {
            return nearest;
        }
        let reach = |from: f64| {
            let mut at = from;
            let mut last = from;
            let mut done = 0usize;
            for s in run {
                at += turn_between(last.to_radians(), s.start_heading()).to_degrees();
                if !self.is_within(at) || !self.is_within(at + s.sweep().to_degrees()) {
                    break;
                }
                at += s.sweep().to_degrees();
                last = at;
                done += 1;
            }
            // Where the very first arc already passes the limit, the room that is left for it.
            let ahead = run.get(done).map_or(0.0, |s| limit - at * s.sweep().signum());
            (done, ahead)
        };
        let turns = (limit / 360.0).ceil() as i64 + 1;
        let around = (nearest / 360.0).round();
        let base = nearest - around * 360.0;
        let mut best = (nearest, (0usize, f64::NEG_INFINITY), f64::INFINITY);
        for k in -turns..=turns {
            let h = base + 360.0 * k as f64;
            if !self.is_within(h) {
                continue;
            }
            let (found, far) = (reach(h), (h - self.heading).abs());
            let whole = found.0 == run.len();
            let better = match found.0.cmp(&best.1.0) {
                std::cmp::Ordering::Greater => true,
                std::cmp::Ordering::Less => false,
                std::cmp::Ordering::Equal if whole => far < best.2,
                std::cmp::Ordering::Equal => found.1 > best.1.1,
            };
            if better {
                best = (h, found, far);
            }
        }
        best.0
    }
}

#[cfg(test)]
mod tests;
