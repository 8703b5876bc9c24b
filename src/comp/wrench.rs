//! How far a blade may be turned while it stands in the stock, that it is not wrenched.
//!
//! A blade that is w long along its edge stands in w mm of its own way. The rule's corner limit
//! delta says by how much it may be turned on the spot, so by how much the two ends of those w mm
//! may differ in heading. On an arc of radius R they differ by w / R: an arc asks no more of the
//! blade while `R >= w / delta` (delta in radians). Corners and arcs that follow one another within
//! w add up alike. Where more would be asked the blade is taken out and turned.
//!
//! A tighter arc is cut as straight edges that touch it, the blade being turned in the air from one
//! to the next. Set down straight on an arc, a blade w long stands off it at its ends by
//! `sqrt(R^2 + (w/2)^2) - R`; where that is more than the machine lets pass, no turning helps.

use super::Task;
use super::task::turn_between;
use crate::diag::Diagnostic;
use crate::geom::{Point, Segment};
use crate::units::decimal;

/// Rounding of a turn, radians, and of a way, mm.
const SLACK: f64 = 1e-7;
const SAME_WAY: f64 = 1e-6;

/// The line with the arcs that are too tight for the blade made of straight edges that touch them,
/// no further off than the task may stray. One that is no further than that from the point where
/// its ends' tangents meet becomes that corner.
///
/// Fails at an arc too tight for a blade of this width however it is turned.
pub(super) fn passable(task: &Task<'_>, segments: Vec<Segment>) -> Result<Vec<Segment>, Diagnostic> {
    let least = least_radius(task) * (1.0 - SLACK);
    let mut line = Vec::with_capacity(segments.len());
    for s in segments {
        let radius = s.radius();
        if s.is_line() || radius >= least {
            line.push(s);
            continue;
        }
        let each = 2.0 * (radius / (radius + task.stray())).acos();
        let n = (s.sweep().abs() / each - SLACK).ceil().clamp(1.0, 1000.0);
        if n > 1.0 && stands_off(radius, task.tool.blade_width.to_mm()) > task.machine.tolerance.to_mm() {
            return Err(too_tight(task, radius));
        }
        let half = s.sweep() / (2.0 * n);
        let mut at = s.start;
        let mut go = |to: Point| {
            if !at.is_near(to) {
                line.push(Segment::line(at, to));
                at = to;
            }
        };
        for i in 0..n as usize {
            // Where the tangents at both ends of the share meet.
            let from = s.point_at(i as f64 / n);
            go(from + Point::unit(s.heading_at(i as f64 / n)) * (radius * half.abs().tan()));
        }
        go(s.end);
    }
    Ok(line)
}

/// The least radius on which the blade may be turned in the stock, mm: see the head of this file.
fn least_radius(task: &Task<'_>) -> f64 {
    task.tool.blade_width.to_mm() / task.rule.corner_limit.to_rad()
}

/// How far the ends of a straight blade stand off an arc that its middle is set on, mm.
fn stands_off(radius: f64, width: f64) -> f64 {
    radius.hypot(width / 2.0) - radius
}

fn too_tight(task: &Task<'_>, radius: f64) -> Diagnostic {
    let (width, most) = (task.tool.blade_width.to_mm(), task.machine.tolerance.to_mm());
    let least = ((width * width / 4.0 - most * most) / (2.0 * most)).min(least_radius(task));
    let message = format!(
        "the {} of {} has an arc of radius {} mm; a blade {} mm wide is wrenched on one of less than {} mm",
        task.op.kind.word(),
        task.name(),
        decimal(radius, 2),
        decimal(width, 2),
        decimal((least * 100.0).ceil() / 100.0, 2)
    );
    Diagnostic::error("arc-too-tight", message).help(
        "round it wider or leave it square in the job, or fit a narrower blade and say so in the tool's `blade_width`",
    )
}

/// What the blade has turned on the last w mm of its way since it was set down.
#[derive(Clone, Debug)]
pub(super) struct Window {
    width: f64,
    limit: f64,
    /// The way at which the heading's change begins or ends to be another, mm, and the heading
    /// there, radians. Two at one place are a turn on the spot.
    places: Vec<(f64, f64)>,
}

impl Window {
    pub(super) fn new(task: &Task<'_>) -> Self {
        let (width, limit) = (task.tool.blade_width.to_mm(), task.rule.corner_limit.to_rad());
        Self { width, limit, places: vec![(0.0, 0.0)] }
    }

    /// The blade is taken out: what it turned before does not count.
    pub(super) fn clear(&mut self) {
        self.places.clear();
        self.places.push((0.0, 0.0));
    }

    /// Whether the blade may be turned by `turn` radians where it is and then go along `s`.
    pub(super) fn fits(&self, turn: f64, s: &Segment) -> bool {
        if turn.abs() > self.limit + SLACK {
            return false;
        }
        let mut tried = self.clone();
        tried.turned(turn);
        tried.went(s) <= self.limit + SLACK
    }

    /// The blade is turned where it is.
    pub(super) fn turned(&mut self, turn: f64) {
        let (way, heading) = self.last();
        if turn.abs() > 0.0 {
            self.places.push((way, heading + turn));
        }
    }

    /// The blade goes along `s`; the most that it turns within its width on the way, radians.
    pub(super) fn went(&mut self, s: &Segment) -> f64 {
        let (from, heading) = self.last();
        let (length, sweep) = (s.length(), s.sweep());
        let to = from + length;
        // The most turned is found where the stretch ends or begins at a place, with what was turned
        // there; between places the heading changes evenly.
        let begun = self.places.iter().map(|p| p.0 + self.width - 2.0 * SAME_WAY).filter(|e| *e > from && *e < to);
        let ends: Vec<f64> = begun.chain([from, to]).collect();
        self.places.push((to, heading + sweep));
        let at = |e: f64| if length > 0.0 { heading + sweep * (e - from) / length } else { heading };
        let most = ends.iter().map(|e| self.most_before(*e, at(*e))).fold(0.0, f64::max);
        let old = self.places.partition_point(|p| p.0 <= to - self.width - SAME_WAY).saturating_sub(1);
        self.places.drain(..old);
        most
    }

    fn last(&self) -> (f64, f64) {
        self.places.last().copied().unwrap_or_default()
    }

    /// The largest difference of `heading` at `way` from those on the width before it.
    fn most_before(&self, way: f64, heading: f64) -> f64 {
        let begin = way - self.width + SAME_WAY;
        let first = self.places.partition_point(|p| p.0 <= begin);
        let mut most = 0.0f64;
        if let (Some(a), Some(b)) = (first.checked_sub(1).and_then(|i| self.places.get(i)), self.places.get(first)) {
            let share = ((begin - a.0) / (b.0 - a.0).max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
            most = (heading - (a.1 + (b.1 - a.1) * share)).abs();
        }
        let within = self.places.iter().skip(first).take_while(|p| p.0 <= way + SAME_WAY);
        within.map(|p| (heading - p.1).abs()).fold(most, f64::max)
    }
}

/// The turn from the end of one segment to the start of the next, radians.
pub(super) fn turn_into(last: &Segment, next: &Segment) -> f64 {
    turn_between(last.end_heading(), next.start_heading())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::comp::{Ground, testbed};
    use crate::geom::{Contour, Stroke, fillet, pt};
    use crate::ops::Keep;
    use crate::profile::ToolKind;
    use crate::units::{deg, mm};

    /// The line that a blade this wide is led along for a square with one corner rounded.
    fn led(radius: f64, width: f64) -> Result<Vec<Segment>, Diagnostic> {
        let square = Contour::rectangle(pt(0.0, 0.0), pt(40.0, 40.0));
        let op = testbed::cut_of(fillet(&square, 2, radius).expect("room"), Keep::Inside);
        let mut profile = testbed::profile(ToolKind::TangentialKnife);
        profile.tools[0].blade_width = mm(width);
        profile.rules.iter_mut().for_each(|r| r.corner_limit = deg(15.0));
        let ground = Ground::new(&testbed::sheet(vec![op.clone()]));
        let Stroke::Closed(c) = &op.stroke else { return Ok(Vec::new()) };
        passable(&testbed::task(&op, &profile, &ground), c.segments().collect())
    }

    #[test]
    fn an_arc_of_the_least_radius_is_left_and_a_tighter_one_is_parted() {
        // Derived: w / delta = 0.5 / (15 degrees) = 1.9099 mm.
        let arcs = |line: &[Segment]| line.iter().filter(|s| !s.is_line()).count();
        assert_eq!(arcs(&led(1.91, 0.5).expect("passable")), 1);
        let parted = led(1.90, 0.5).expect("passable");
        assert_eq!(arcs(&parted), 0);
        // Tangents stay outside by r (1 / cos(sweep / 2n) - 1), 0.02 mm at most; they touch the arc.
        let off = |p: Point| (p - pt(38.1, 38.1)).length() - 1.9;
        let tips = parted.iter().map(|s| s.end).filter(|p| p.x > 38.1 + 1e-6 && p.y > 38.1 + 1e-6);
        assert!(tips.clone().count() > 2 && tips.clone().all(|p| off(p) > 0.0 && off(p) <= 0.02 + 1e-9));
        assert!(parted.windows(2).all(|w| w[0].end.is_near(w[1].start)));
    }

    #[test]
    fn a_rounding_nobody_sees_becomes_a_corner_and_one_too_tight_for_the_blade_is_refused() {
        // Derived: the tangents of a square corner meet 0.4142 r outside the arc.
        let corner = led(0.04, 6.0).expect("a corner");
        assert!(corner.iter().any(|s| s.end.distance(pt(40.0, 40.0)) < 1e-9));
        // A blade of 6 mm stands off an arc of 5 by sqrt(25 + 9) - 5 = 0.83; of (9 - 0.01) / 0.2 by 0.1;
        // 6 / (15 degrees) = 22.92.
        let error = led(5.0, 6.0).expect_err("too tight");
        assert_eq!(error.code, "arc-too-tight");
        assert!(error.message.contains("radius 5 mm") && error.message.contains("22.92 mm"), "{}", error.message);
    }

    #[test]
    fn turns_add_up_within_the_width_and_no_further() {
        let op = testbed::cut_of(Contour::rectangle(pt(0.0, 0.0), pt(9.0, 9.0)), Keep::Inside);
        let mut profile = testbed::profile(ToolKind::TangentialKnife);
        profile.tools[0].blade_width = mm(2.0);
        let ground = Ground::new(&testbed::sheet(vec![op.clone()]));
        let task = testbed::task(&op, &profile, &ground);
        let along = |length: f64| Segment::line(pt(0.0, 0.0), pt(length, 0.0));
        let ten = 10f64.to_radians();
        for (between, fits) in [(1.0, false), (1.99, false), (2.0, true), (3.0, true)] {
            let mut window = Window::new(&task);
            assert!(window.fits(ten, &along(between)));
            window.turned(ten);
            window.went(&along(between));
            assert_eq!(window.fits(ten, &along(5.0)), fits, "{between}");
            assert!(window.fits(-ten, &along(5.0)), "back again is no more than before");
        }
        // A turn of 8 degrees onto an arc that turns by 7.2 within the width.
        let bend = Segment { start: pt(16.0, 0.0), end: pt(-16.0, 0.0), bulge: 1.0 };
        let mut window = Window::new(&task);
        window.went(&along(5.0));
        assert!(window.fits(7f64.to_radians(), &bend) && !window.fits(8f64.to_radians(), &bend));
        // On an arc of 8 mm 2 mm of way turn it by 14.3 degrees, however long the arc.
        let arc = |r: f64| Segment { start: pt(r, 0.0), end: pt(-r, 0.0), bulge: 1.0 };
        let mut window = Window::new(&task);
        assert!((window.went(&arc(8.0)) - 0.25).abs() < 1e-5);
        assert!(!window.fits(2f64.to_radians(), &along(3.0)) && window.fits(0.5f64.to_radians(), &along(3.0)));
    }
}
