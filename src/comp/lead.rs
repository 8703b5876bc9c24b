//! Leads: where a beam starts and stops, in waste, so that its first burn is not on the part.

use super::Task;
use crate::geom::{Point, Segment, Stroke};
use crate::ops::Keep;

/// The way onto a closed cut at its start and the way off at its end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Leads {
    /// Ends at the cut's start.
    pub(super) into: Segment,
    /// Starts at the cut's end.
    pub(super) out: Segment,
}

/// How far apart the points are at which the distance to the part is tried, mm.
const SAMPLE: f64 = 0.25;

/// The best leads for a closed cut that begins with `first` and ends with `last`, on the waste
/// side: tangential quarter circles as long as the rule's lead; where they would touch the part or
/// a neighbour, straight ones at 45 and at 90 degrees; where these do, shorter ones, down to a
/// fifth. `None` where nothing stays clear, or where no side is waste.
pub(super) fn leads(task: &Task<'_>, first: &Segment, last: &Segment) -> Option<Leads> {
    let Stroke::Closed(line) = task.line else { return None };
    let inside_is_waste = match task.op.keep {
        Keep::Line => return None,
        Keep::Inside => false,
        Keep::Outside => true,
    };
    // Waste lies to the left of a counter-clockwise line round an opening, to the right round a piece.
    let side = if line.is_ccw() == inside_is_waste { 1.0 } else { -1.0 };
    let full = task.rule.lead.to_mm();
    for length in [1.0, 0.7, 0.5, 0.35, 0.2].map(|f| f * full) {
        for shape in [Shape::Round, Shape::Straight(45.0), Shape::Straight(90.0)] {
            let out = away(last.end, last.end_heading(), side, length, shape);
            // The way on is the way off of the line run backwards: the waste is on its other side.
            let into = away(first.start, first.start_heading() + std::f64::consts::PI, -side, length, shape).reversed();
            if is_clear(task, &into) && is_clear(task, &out) {
                return Some(Leads { into, out });
            }
        }
    }
    None
}

#[derive(Clone, Copy)]
enum Shape {
    /// A quarter circle, tangential to the cut.
    Round,
    /// A line at this angle from the cut, degrees.
    Straight(f64),
}

/// The way of this length from `from`, at first along `heading` or at an angle to it, towards the
/// left where `side` is 1.
fn away(from: Point, heading: f64, side: f64, length: f64, shape: Shape) -> Segment {
    match shape {
        Shape::Straight(angle) => Segment::line(from, from + Point::unit(heading + side * angle.to_radians()) * length),
        Shape::Round => {
            let radius = length / std::f64::consts::FRAC_PI_2;
            let ahead = Point::unit(heading);
            let end = from + (ahead + ahead.left() * side) * radius;
            Segment { start: from, end, bulge: side * (std::f64::consts::PI / 8.0).tan() }
        }
    }
}

/// Whether the beam on this way touches neither the part nor, anywhere, a piece that is kept.
fn is_clear(task: &Task<'_>, way: &Segment) -> bool {
    let half = task.tool.kerf.to_mm() / 2.0;
    let Stroke::Closed(own) = &task.op.stroke else { return false };
    let steps = (way.length() / SAMPLE).ceil().clamp(4.0, 200.0) as usize;
    let points = (0..=steps).map(|i| way.point_at(i as f64 / steps as f64));
    task.ground.is_waste(task.op, way, half) && points.into_iter().all(|p| own.distance_to(p) >= half - 1e-3)
}
