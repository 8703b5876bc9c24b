//! The order of the work: on a piece marks, creases, pockets, openings, slits, then its outline;
//! and whatever lies inside a contour before the contour sets it free.

use super::Bench;
use super::edge::{Time, holds};
use crate::geom::{Bounds, Point, Segment, Stroke};
use crate::profile::{Hold, OperationKind};
use crate::verify::boxes::Boxes;
use crate::verify::nominal::{Class, Wanted};
use crate::verify::{Finding, Many};
use std::collections::BTreeMap;

/// Lines nearer than this lie on each other, mm.
const ON_LINE: f64 = 1e-6;

pub(super) fn order(bench: &Bench<'_>, times: &[Time], out: &mut Many) {
    let lines = &bench.nominal.lines;
    let at = |t: &Time| &lines[t.line];
    let mut by_piece: BTreeMap<usize, Vec<&Time>> = BTreeMap::new();
    times.iter().for_each(|t| by_piece.entry(at(t).piece).or_default().push(t));
    for of_piece in by_piece.values() {
        let mut sorted = of_piece.clone();
        sorted.sort_by_key(|t| t.at);
        // The latest class so far, and who had it.
        let mut latest: Option<&Time> = None;
        for t in sorted {
            match latest {
                Some(before) if rank(at(t)) < rank(at(before)) => tell(bench, at(t), at(before), t, out),
                _ => latest = Some(t),
            }
        }
    }
    inside_first(bench, times, out);
    on_vacuum(bench, times, out);
}

/// Slits and openings are both inner cuts.
fn rank(line: &Wanted) -> u8 {
    match line.class {
        Class::Mark => 0,
        Class::Crease => 1,
        Class::Pocket => 2,
        Class::Hole | Class::Slit => 3,
        Class::Outline => 4,
    }
}

fn tell(bench: &Bench<'_>, late: &Wanted, early: &Wanted, t: &Time, out: &mut Many) {
    let line = bench.traces.get(t.at as usize).map_or(0, |t| t.line);
    let message = format!("{} is worked after {}", late.name, early.name);
    let place = late.stroke.vertices().first().map(|v| v.point()).unwrap_or_default();
    let hint = "marks, creases, pockets, inner cuts, outlines: a piece must be held while its inside is worked";
    out.push(Finding::at("order", line, message).on(place).help(hint));
}

/// Whatever lies inside a contour, another piece too, comes before it.
fn inside_first(bench: &Bench<'_>, times: &[Time], out: &mut Many) {
    let lines = &bench.nominal.lines;
    let bounds: Vec<Bounds> = times.iter().map(|t| lines[t.line].stroke.bounds()).collect();
    let boxes = Boxes::new(bounds.clone());
    for (i, outer) in times.iter().enumerate() {
        let line = &lines[outer.line];
        let (true, Stroke::Closed(contour)) = (matches!(line.class, Class::Hole | Class::Outline), &line.stroke) else {
            continue;
        };
        for k in boxes.touching(bounds[i]) {
            let inner = &times[k];
            let other = &lines[inner.line];
            if i != k
                && other.piece != line.piece
                && inner.at > outer.at
                && bounds[i].contains(bounds[k], 1e-6)
                && holds(contour, &other.stroke)
            {
                tell(bench, other, line, inner, out);
            }
        }
    }
}

/// On a vacuum bed a small part keeps its grip only while the sheet round it is whole. An outline
/// that runs along another's is cut in common with it, and is done when its neighbours are: it has
/// no place of its own in that order.
fn on_vacuum(bench: &Bench<'_>, times: &[Time], out: &mut Many) {
    if bench.profile.machine.hold != Hold::Vacuum || !bench.operations.contains(&OperationKind::ThroughCut) {
        return;
    }
    let lines = &bench.nominal.lines;
    let area = |t: &Time| match &lines[t.line].stroke {
        Stroke::Closed(c) => c.area().abs(),
        Stroke::Open(_) => 0.0,
    };
    let mut outlines: Vec<&Time> = times.iter().filter(|t| lines[t.line].class == Class::Outline).collect();
    let all: Vec<&Wanted> = lines.iter().filter(|l| l.class == Class::Outline).collect();
    let boxes = Boxes::new(all.iter().map(|l| l.stroke.bounds()).collect());
    outlines.retain(|t| !outlines_meet(&all, &boxes, &lines[t.line]));
    outlines.sort_by_key(|t| t.at);
    for w in outlines.windows(2) {
        // Two that are alike to 1 mm2 may come either way.
        if area(w[1]) < area(w[0]) - 1.5 {
            tell(bench, &lines[w[1].line], &lines[w[0].line], w[1], out);
        }
    }
}

/// Whether an outline shares a straight stretch with another piece's.
fn outlines_meet(all: &[&Wanted], boxes: &Boxes, own: &Wanted) -> bool {
    let near = boxes.touching(own.stroke.bounds().grown(ON_LINE)).into_iter().map(|i| all[i]);
    let others = near.filter(|l| l.piece != own.piece);
    let segments = own.stroke.segments();
    others.flat_map(|l| l.stroke.segments()).any(|s| segments.iter().any(|o| runs_along(o, &s)))
}

/// Whether two lines lie on each other for a millimetre and more.
fn runs_along(a: &Segment, b: &Segment) -> bool {
    let Some(along) = (a.end - a.start).normalized() else { return false };
    let at = |p: Point| (along.dot(p - a.start), along.cross(p - a.start).abs());
    let ((s, off), (t, far)) = (at(b.start), at(b.end));
    a.is_line() && b.is_line() && off.max(far) < ON_LINE && s.max(t).min(a.length()) - s.min(t).max(0.0) > 1.0
}
