//! A blade that swivels freely, its tip trailing the pivot.
//!
//! The machine moves the pivot; the tip T trails it by the offset d: T = P - d u(theta), and theta
//! turns towards the pivot's heading alpha at sin(alpha - theta)/d a mm (no side-slip). So the pivot
//! leads by d on a line; on an arc of radius R it runs concentric at sqrt(R^2 + d^2); at a corner it
//! runs an arc of radius d about the corner while the tip stands still. A corner of angle delta may
//! go along the chord of that arc while delta <= 2 acos(1 - e/d), for then the tip is pushed back
//! by e at most.

use super::task::turn_between;
use super::wrench::{Window, passable};
use super::{BladeState, Step, Task, Worked, depths, pocket};
use crate::diag::Diagnostic;
use crate::geom::{Point, Segment, Stroke};
use crate::ops::Keep;
use crate::profile::{Lift, OperationKind};

/// Within this of the line's heading the blade is aligned, radians: half a degree.
const ALIGNED: f64 = 0.5 / 180.0 * std::f64::consts::PI;
/// What a run-in keeps from other pieces and the sheet's edge, mm (our choice).
const CLEAR: f64 = 0.5;

/// The line of the task, or outline and strips of a pocket.
pub(super) fn follow(task: &Task<'_>, blade: &mut BladeState) -> Result<Worked, Diagnostic> {
    let mut work = Worked::default();
    if task.op.kind == OperationKind::HalfDepthPocket && task.line.is_closed() {
        for (op, line) in pocket::lines(task)? {
            line_of(&Task { op: &op, line: &line, ..*task }, blade, &mut work)?;
        }
    } else {
        line_of(task, blade, &mut work)?;
    }
    Ok(work)
}

/// The pivot on its way.
struct Pivot<'a> {
    task: &'a Task<'a>,
    d: f64,
    /// Where the blade points, radians, accumulated.
    heading: f64,
    /// How deep it is, mm.
    depth: f64,
    /// What it turned of late at the depth of its pass.
    window: Window,
    steps: &'a mut Vec<Step>,
}

fn line_of(task: &Task<'_>, blade: &mut BladeState, work: &mut Worked) -> Result<(), Diagnostic> {
    // A blade that may swivel at its full depth follows any arc.
    let segments = match shallow(task) {
        Some(_) => passable(task, task.line.segments())?,
        None => task.line.segments(),
    };
    let Some(first) = segments.first() else { return Ok(()) };
    let depths = depths(task);
    let mut pivot = Pivot {
        task,
        d: task.tool.pivot_offset.to_mm(),
        heading: blade.heading.to_radians(),
        depth: 0.0,
        window: Window::new(task),
        steps: &mut work.steps,
    };
    for (i, &depth) in depths.iter().enumerate() {
        if i > 0 && task.line.is_closed() {
            pivot.turn_into(first);
            task.deepen(depth, pivot.steps);
            pivot.depth = depth;
        } else {
            if i > 0 {
                task.raise(pivot.steps);
            }
            work.notes.extend(pivot.enter(first, depth));
        }
        segments.iter().for_each(|s| pivot.cut(s));
    }
    if task.line.is_closed() {
        pivot.run_over(&segments);
    }
    blade.heading = pivot.heading.to_degrees();
    task.raise(&mut work.steps);
    work.passes += depths.len() as u32;
    Ok(())
}

/// How deep the tip may stay while it swivels, mm, where the tool can be raised for it.
fn shallow(task: &Task<'_>) -> Option<f64> {
    task.tool.swivel_depth.filter(|_| task.tool.lift == Lift::Z).map(crate::units::Length::to_mm)
}

impl Pivot<'_> {
    /// Where the pivot is for the tip at `tip` and the blade at `heading`.
    fn lead(&self, tip: Point, heading: f64) -> Point {
        tip + Point::unit(heading) * self.d
    }

    fn go(&mut self, to: Point, bulge: f64) {
        let (depth, feed) = (self.depth, self.task.rule.feed);
        self.steps.push(Step::Cut { to, bulge, depth, heading: None, feed });
    }

    /// The tip along a line or arc, after turning the blade into it.
    fn cut(&mut self, s: &Segment) {
        self.turn_into(s);
        self.window.went(s);
        self.heading += s.sweep();
        self.go(self.lead(s.end, s.end_heading()), s.bulge);
    }

    /// The blade turned into the next line or arc, at whose start its tip is: at the shallow depth
    /// where it would turn too much within its width.
    fn turn_into(&mut self, s: &Segment) {
        let (corner, heading) = (s.start, s.start_heading());
        let turn = turn_between(self.heading, heading);
        let depth = self.depth;
        let is_turned = self.d * turn.abs() >= 1e-6;
        if let Some(shallow) = shallow(self.task).filter(|shallow| *shallow < depth && !self.window.fits(turn, s)) {
            self.deepen(shallow);
            if is_turned {
                self.swivel(corner, turn);
            }
            self.deepen(depth);
            self.window.clear();
            return;
        }
        if !is_turned {
            return;
        }
        self.window.turned(turn);
        let limit = self.task.rule.corner_limit.to_rad();
        let without = 2.0 * (1.0 - self.task.stray() / self.d).clamp(-1.0, 1.0).acos();
        if turn.abs() <= without.min(limit) {
            self.heading += turn;
            self.go(self.lead(corner, heading), 0.0);
            return;
        }
        self.swivel(corner, turn);
    }

    fn deepen(&mut self, depth: f64) {
        self.task.deepen(depth, self.steps);
        self.depth = depth;
    }

    fn swivel(&mut self, corner: Point, turn: f64) {
        self.heading += turn;
        self.go(self.lead(corner, self.heading), (turn / 4.0).tan());
    }

    /// The tool brought to the start of a line and down, its blade along it: as it is where it
    /// points that way; swivelled on the spot at the shallow depth; aligned by a run-in through
    /// waste; or, where there is no waste, swivelled on the spot at the depth of the pass.
    fn enter(&mut self, first: &Segment, depth: f64) -> Option<Diagnostic> {
        let (tip, heading) = (first.start, first.start_heading());
        let turn = turn_between(self.heading, heading);
        let sideways = 2.0 * self.d * (turn.abs() / 2.0).sin();
        if sideways <= self.task.stray() && (turn.abs() <= ALIGNED || self.d < 1e-6) {
            self.heading += turn;
            self.come_down(self.lead(tip, heading), depth);
            return None;
        }
        if let Some(shallow) = shallow(self.task) {
            self.come_down(self.lead(tip, self.heading), shallow.min(depth));
            self.swivel(tip, turn);
            if shallow < depth {
                self.deepen(depth);
            }
            return None;
        }
        if let Some((from, approach)) = self.run_in(tip, heading) {
            self.come_down(from, depth);
            self.heading += turn_between(self.heading, approach);
            self.go(self.lead(tip, approach), 0.0);
            return None;
        }
        self.come_down(self.lead(tip, self.heading), depth);
        self.swivel(tip, turn);
        let is_edge = self.task.op.keep != Keep::Line && self.task.op.kind == OperationKind::ThroughCut;
        is_edge.then(|| {
            let message = format!(
                "the blade is turned by {:.0} degrees on the edge of {} itself, there being no waste beside it to \
                 turn in",
                turn.abs().to_degrees(),
                self.task.name()
            );
            Diagnostic::hint("blade-turned-on-edge", message)
                .help("leave more room between the pieces")
                .weighing(turn.abs())
        })
    }

    fn come_down(&mut self, at: Point, depth: f64) {
        self.steps.push(Step::Travel { to: at });
        self.task.lower(depth, self.steps);
        self.depth = depth;
        self.window.clear();
    }

    /// Where the pivot starts, and the heading it runs in, so that the blade is aligned when its tip
    /// comes to `tip` from the waste side: a blade off by e0 is off by e1 after
    /// s = d ln(tan(e0/2) / tan(e1/2)). The shortest of the ways that stay in waste.
    fn run_in(&self, tip: Point, heading: f64) -> Option<(Point, f64)> {
        let Stroke::Closed(contour) = self.task.line else { return None };
        let side = match self.task.op.keep {
            Keep::Line => return None,
            Keep::Inside => 1.0,
            Keep::Outside => -1.0,
        };
        // A piece on the left is come at from the right, so in a heading turned to the left.
        let side = if contour.is_ccw() { side } else { -side };
        let way = |k: i32| {
            let approach = heading + side * f64::from(k) * 15f64.to_radians();
            let off = turn_between(approach, self.heading);
            let length = if off.abs() <= ALIGNED {
                0.0
            } else {
                self.d * ((off.abs() / 2.0).tan() / (ALIGNED / 2.0).tan()).ln()
            };
            (length, approach, off)
        };
        let mut ways: Vec<(f64, f64, f64)> = (1..=8).map(way).filter(|w| w.2.abs() < 170f64.to_radians()).collect();
        ways.sort_by(|a, b| a.0.total_cmp(&b.0));
        ways.into_iter().find(|w| self.is_clear(tip, w)).map(|(length, approach, _)| {
            let to = self.lead(tip, approach);
            (to - Point::unit(approach) * length, approach)
        })
    }

    /// Whether the tip's own way in the run-in lies in waste.
    fn is_clear(&self, tip: Point, &(length, approach, off): &(f64, f64, f64)) -> bool {
        let tip_after = |s: f64| {
            let left = 2.0 * ((off / 2.0).tan() * (-s / self.d).exp()).atan();
            let pivot = self.lead(tip, approach) - Point::unit(approach) * (length - s);
            pivot - Point::unit(approach + left) * self.d
        };
        let n = 24;
        // The last stretch leads to the edge itself, by as little as the blade may stray.
        let points: Vec<Point> = (0..n).map(|i| tip_after(length * f64::from(i) / f64::from(n))).collect();
        // What the blade takes beside its tip must miss the edge across a narrow opening too.
        let half = self.task.tool.kerf.to_mm() / 2.0;
        let Stroke::Closed(own) = &self.task.op.stroke else { return false };
        self.task.ground.is_way_waste(self.task.op, &points, CLEAR.max(half))
            && (half <= 0.0 || points.iter().all(|p| own.distance_to(*p) >= half - self.task.stray()))
    }

    /// On past the start of a closed contour by the rule's overrun, and by d at least: what a blade
    /// leaves between its tip's first touch and its full depth is cut then.
    fn run_over(&mut self, segments: &[Segment]) {
        let mut left = self.task.rule.overrun.to_mm().max(self.d);
        for s in segments {
            let length = s.length();
            if left <= 1e-9 {
                return;
            }
            self.cut(&s.between(0.0, (left / length).min(1.0)));
            left -= length;
        }
    }
}

#[cfg(test)]
mod tests;
