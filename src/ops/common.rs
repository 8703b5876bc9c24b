//! Cutting in common: where the outlines of two pieces run over each other, the line is cut once,
//! with the piece that comes first. The other's outline is then one or more open lines that begin
//! and end on it; each still says whose it is.

use super::{Keep, Operation, Shared};
use crate::geom::{Path, Point, SAME_POINT, Segment, Stroke, Vertex};
use crate::profile::OperationKind;

/// A stretch shorter than this is no line in common, mm.
const SHORTEST: f64 = 1e-3;

/// The operations in their order, the straight stretches of outlines that an earlier outline has
/// cut already taken out of later ones; and the whole outlines that are so broken up.
pub(super) fn share(operations: Vec<Operation>) -> (Vec<Operation>, Vec<Shared>) {
    let mut cut: Vec<Segment> = Vec::new();
    let mut kept = Vec::with_capacity(operations.len());
    let mut shared = Vec::new();
    for o in operations {
        let is_outline = o.kind == OperationKind::ThroughCut && o.keep == Keep::Inside;
        let segments = if is_outline { o.stroke.segments() } else { Vec::new() };
        match remaining(&segments, &cut) {
            Some(parts) => {
                let open = |(n, part): (usize, Path)| Operation {
                    index: o.index + n as u32,
                    stroke: Stroke::Open(part),
                    ..o.clone()
                };
                kept.extend(parts.into_iter().enumerate().map(open));
                if let Stroke::Closed(outline) = &o.stroke {
                    shared.push(Shared { piece: o.piece.clone(), copy: o.copy, outline: outline.clone() });
                }
            }
            None => kept.push(o),
        }
        cut.extend(segments.into_iter().filter(Segment::is_line));
    }
    (kept, shared)
}

/// What is left of a closed line as open ones; `None` where all of it is.
fn remaining(segments: &[Segment], cut: &[Segment]) -> Option<Vec<Path>> {
    let mut parts: Vec<Vec<Vertex>> = Vec::new();
    let mut is_whole = true;
    for s in segments {
        let free = free(s, cut);
        is_whole &= free == [(0.0, 1.0)];
        for (from, to) in free {
            let (start, end) = (at(s, from), at(s, to));
            let joins = parts.last().and_then(|p| p.last()).is_some_and(|v| v.point().is_near(start)) && from <= 0.0;
            match parts.last_mut() {
                Some(part) if joins => {
                    if let Some(last) = part.last_mut() {
                        last.bulge = s.bulge;
                    }
                    part.push(Vertex::new(end, 0.0));
                }
                _ => parts.push(vec![Vertex::new(start, s.bulge), Vertex::new(end, 0.0)]),
            }
        }
    }
    if is_whole {
        return None;
    }
    // The last part may run on into the first, through the outline's own start.
    if parts.len() > 1
        && let (Some(last), Some(first)) = (parts.last().and_then(|p| p.last()), parts.first().and_then(|p| p.first()))
        && last.point().is_near(first.point())
    {
        let mut joined = parts.pop().unwrap_or_default();
        joined.pop();
        joined.append(&mut parts[0]);
        parts[0] = joined;
    }
    Some(parts.into_iter().map(Path::new).collect())
}

fn at(s: &Segment, share: f64) -> Point {
    if share <= 0.0 {
        s.start
    } else if share >= 1.0 {
        s.end
    } else {
        s.start.lerp(s.end, share)
    }
}

/// The stretches of a segment that no cut lies over, as shares of it.
fn free(s: &Segment, cut: &[Segment]) -> Vec<(f64, f64)> {
    let along = s.end - s.start;
    let length = along.length();
    let mut free = vec![(0.0, 1.0)];
    if !s.is_line() || length < SHORTEST {
        return free;
    }
    let off = |p: Point| (along.cross(p - s.start) / length).abs();
    let share = |p: Point| along.dot(p - s.start) / (length * length);
    for c in cut.iter().filter(|c| off(c.start) <= SAME_POINT && off(c.end) <= SAME_POINT) {
        let (a, b) = (share(c.start), share(c.end));
        let (a, b) = (a.min(b), a.max(b));
        if (b.min(1.0) - a.max(0.0)) * length < SHORTEST {
            continue;
        }
        free = free
            .into_iter()
            .flat_map(|(from, to)| [(from, to.min(a)), (from.max(b), to)])
            .filter(|(from, to)| (to - from) * length >= SHORTEST)
            .collect();
    }
    free
}
