//! Runs that do no work: round the outline, and the whole way above it. What they show to whoever
//! watches them is the way of the programs that do the work.

use super::Finding;
use super::read::{Kind, Move};
use crate::geom::{Bounds, Point, Segment};
use crate::profile::Profile;
use crate::units::decimal;

/// How far two programs of the same way may lie apart, mm: the rounding of both, and where arcs are
/// written as chords how far these stay off their arcs.
fn rounding(profile: &Profile) -> f64 {
    let output = &profile.output;
    let chord = if output.writes_arcs() { 0.0 } else { output.chord.to_mm() };
    2.0 * output.resolution().to_mm() + 1e-3 + chord
}

/// The moves over the bed, in order. The first begins where the machine happens to stand, the last leads
/// to where it rests.
fn ways(moves: &[Move]) -> impl DoubleEndedIterator<Item = &Move> {
    let is_way = |m: &&Move| matches!(m.kind, Kind::Rapid | Kind::Line | Kind::Arc { .. }) && m.goes_to_a_place();
    moves.iter().filter(is_way)
}

/// The rectangle round all that a program works.
pub(super) fn worked(moves: &[Move]) -> Bounds {
    let all = ways(moves).filter(|m| m.kind != Kind::Rapid);
    all.map(|m| m.segment().bounds())
        .filter(|b| b.min.x.is_finite() && b.min.y.is_finite())
        .fold(Bounds::EMPTY, Bounds::union)
}

/// Whether a run goes once round this rectangle and nowhere else.
pub(super) fn outline(moves: &[Move], work: Bounds, profile: &Profile) -> Option<Finding> {
    let slack = rounding(profile);
    if work.is_empty() {
        let message = "it goes round the work of no program that the manifest has";
        return Some(Finding::new("outline", message).help("export the folder again"));
    }
    let mut points: Vec<(Point, u32)> =
        moves.iter().filter(|m| m.goes_to_a_place()).map(|m| (m.to.xy(), m.line)).collect();
    // The last way leads to where the machine rests.
    let corners = [work.min, Point { x: work.max.x, y: work.min.y }, work.max, Point { x: work.min.x, y: work.max.y }];
    if points.last().is_some_and(|p| corners.iter().all(|c| c.distance(p.0) > slack)) {
        points.pop();
    }
    let stray = points.iter().find(|p| corners.iter().all(|c| c.distance(p.0) > slack));
    let missed = corners.iter().find(|c| points.iter().all(|p| c.distance(p.0) > slack));
    let across = points.windows(2).find(|w| {
        let way = w[1].0 - w[0].0;
        way.x.abs() > slack && way.y.abs() > slack
    });
    let (line, place, message) = match (stray, missed, across) {
        (Some((p, line)), ..) => (*line, *p, "it goes to a place that is no corner of the work"),
        (_, Some(p), _) => (0, *p, "it leaves out a corner of the work"),
        (_, _, Some(w)) => (w[1].1, w[1].0, "it goes across the work instead of round it"),
        _ => return None,
    };
    let finding = Finding { line: Some(line).filter(|l| *l > 0), ..Finding::new("outline", message) };
    Some(finding.on(place).help("it would show the work where it is not: export the folder again"))
}

/// Whether a run goes the way that the programs of the work go, one after another.
pub(super) fn lifted(moves: &[Move], programs: &[&[Move]], profile: &Profile) -> Option<Finding> {
    let slack = rounding(profile) + profile.output.chord.to_mm();
    let lifted: Vec<(u32, Segment)> = ways(moves).map(|m| (m.line, m.segment())).collect();
    let work: Vec<Segment> = worked_ways(programs);
    let (mut i, mut j) = (0, 0);
    while let (Some((line, up)), Some(down)) = (lifted.get(i), work.get(j)) {
        let (a, b) = (up.end, down.end);
        // An arc of one may be chords in the other, where a line had no room for its words.
        match (a.distance(b) <= slack, i > 0 && up.distance_to(b) <= slack, j > 0 && down.distance_to(a) <= slack) {
            (true, ..) => (i, j) = (i + 1, j + 1),
            (false, true, _) => j += 1,
            (false, false, true) => i += 1,
            (false, false, false) => {
                let message =
                    format!("it goes elsewhere than the program of the work, by {} mm", decimal(a.distance(b), 2));
                return Some(Finding::at("lifted", *line, message).on(a).help("export the folder again"));
            }
        }
    }
    let ends = (lifted.len() - i, work.len() - j);
    (ends != (0, 0)).then(|| {
        let what = if ends.0 > 0 { "farther than" } else { "only a part of the way of" };
        Finding::new("lifted", format!("it goes {what} the program of the work")).help("export the folder again")
    })
}

/// The ways of programs that are run one after another: between two of them the machine rests.
fn worked_ways(programs: &[&[Move]]) -> Vec<Segment> {
    let mut all: Vec<Segment> = Vec::new();
    for (k, program) in programs.iter().enumerate() {
        let mut own = ways(program);
        if k + 1 < programs.len() {
            own.next_back();
        }
        all.extend(own.map(Move::segment));
    }
    all
}
