//! Creases and marks: single or double, whole or in a pattern of lengths on and off.

use super::Task;
use super::track::Track;
use crate::diag::Diagnostic;
use crate::geom::{Contour, Join, Point, Segment, Stroke, offset};
use crate::profile::OperationKind;
use lyon_algorithms::length::approximate_length;
use lyon_algorithms::math::point;
use lyon_algorithms::path::Path;
use lyon_algorithms::walk::{RepeatedPattern, WalkerEvent, walk_along_path};

/// How far the chords that are walked stray from an arc, mm; it only places the marks.
const CHORD: f64 = 0.005;

/// The stretches of the task's line that the tool goes over, in order. A crease may be doubled,
/// half the rule's distance to either side; a crease or mark may be broken by the rule's pattern.
/// Other operations give the line as it is.
///
/// Fails where a crease cannot be doubled.
pub(super) fn stretches(task: &Task<'_>) -> Result<Vec<Track>, Diagnostic> {
    let crease = task.op.kind == OperationKind::CreaseScore;
    let apart = task.rule.double.to_mm();
    let lines = if crease && apart > 0.0 {
        vec![beside(task, apart / 2.0)?, beside(task, -apart / 2.0)?]
    } else {
        vec![Track::new(task.line.segments(), task.line.is_closed())]
    };
    let pattern: Vec<f64> = task.rule.pattern.iter().map(|l| l.to_mm()).collect();
    let may_break = crease || task.op.kind == OperationKind::Mark;
    if !may_break || pattern.len() < 2 || pattern.iter().any(|l| *l <= 0.0) {
        return Ok(lines);
    }
    Ok(lines.iter().flat_map(|line| broken(line, &pattern)).collect())
}

/// The dashes of a line. The pattern (on, off, on, off, ...) is stretched or shrunk by the one
/// factor that lets an open line begin and end with its first length whole, a closed line meet its
/// own start with the last gap. A line too short for two dashes stays whole.
fn broken(line: &Track, pattern: &[f64]) -> Vec<Track> {
    // A pattern of an odd count turns itself inside out at its end, so it is taken twice.
    let mut pattern = pattern.to_vec();
    if pattern.len() % 2 == 1 {
        pattern.extend_from_within(..);
    }
    let period: f64 = pattern.iter().sum();
    let tail = if line.is_closed() { 0.0 } else { pattern[0] };
    let repeats = ((line.length() - tail) / period).round();
    if repeats < 1.0 {
        return vec![Track::new(line.segments().to_vec(), line.is_closed())];
    }
    let factor = line.length() / (repeats * period + tail);
    // The walk is done near the origin, for its numbers have seven digits.
    let Some(origin) = line.segments().first().map(|s| s.start) else { return Vec::new() };
    let local = |p: Point| point((p.x - origin.x) as f32, (p.y - origin.y) as f32);
    let mut path = Path::builder();
    path.begin(local(origin));
    for s in line.segments() {
        for p in s.flatten(CHORD) {
            path.line_to(local(p));
        }
    }
    path.end(false);
    let path = path.build();
    let walked = f64::from(approximate_length(path.iter(), CHORD as f32));
    let to_true = if walked > 0.0 { line.length() / walked } else { 1.0 };
    let intervals: Vec<f32> = pattern.iter().map(|l| (l * factor / to_true) as f32).collect();
    let count = repeats as usize * pattern.len();
    let mut marks: Vec<f64> = Vec::with_capacity(count + 1);
    let mut callback = |event: WalkerEvent<'_>| {
        marks.push(f64::from(event.distance) * to_true);
        marks.len() <= count
    };
    let mut repeated = RepeatedPattern { callback: &mut callback, index: 0, intervals: &intervals };
    walk_along_path(path.iter(), 0.0, CHORD as f32, &mut repeated);
    // Marks alternate: dash begins, dash ends. The last end is the line's own.
    marks.truncate(count + usize::from(!line.is_closed()));
    if !line.is_closed() && marks.len() % 2 == 1 {
        marks.push(line.length());
    }
    let dash = |m: &[f64]| Track::new(line.stretch(m[0].max(0.0), m[1].min(line.length())), false);
    marks.chunks_exact(2).map(dash).collect()
}

/// The task's line moved to its left by `by` mm.
fn beside(task: &Task<'_>, by: f64) -> Result<Track, Diagnostic> {
    let refused = || {
        let message = format!("the crease in {} is too tightly bent to be doubled", task.name());
        Diagnostic::error("double-crease-bent", message).help("set `double = 0` in the machine's crease rule")
    };
    match task.line {
        Stroke::Closed(c) => {
            let outward = if c.is_ccw() { -by } else { by };
            let moved: Contour = offset(c, outward, Join::Mitre).map_err(|_| refused())?;
            Ok(Track::new(moved.segments().collect(), true))
        }
        Stroke::Open(p) => {
            let mut moved: Vec<Segment> = Vec::new();
            for s in p.segments() {
                let side = |heading: f64| Point::unit(heading).left() * by;
                // To the left of a left-hand arc is nearer its centre.
                if s.radius() - by * s.bulge.signum() <= by.abs() {
                    return Err(refused());
                }
                let start = s.start + side(s.start_heading());
                let mut next = Segment { start, end: s.end + side(s.end_heading()), bulge: s.bulge };
                if let Some(last) = moved.last_mut().filter(|l| !l.end.is_near(start)) {
                    let (a, b) = (last.end - last.start, next.end - next.start);
                    let cross = a.cross(b);
                    if !last.is_line() || !next.is_line() || cross.abs() < 1e-9 {
                        return Err(refused());
                    }
                    let meet = last.start + a * ((next.start - last.start).cross(b) / cross);
                    // Both keep their direction, or the bend has eaten one of them.
                    if (meet - last.start).dot(a) <= 0.0 || (next.end - meet).dot(b) <= 0.0 {
                        return Err(refused());
                    }
                    last.end = meet;
                    next.start = meet;
                }
                moved.push(next);
            }
            Ok(Track::new(moved, false))
        }
    }
}
