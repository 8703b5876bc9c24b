//! What a program would leave on the bed, where nothing says what it should: how far it works, how
//! much of it right through, and the parts that come free.

use super::physics::Trace;
use crate::geom::{Bounds, pt};
use crate::profile::{OperationKind, Profile};
use geo::{Area, BoundingRect, Buffer, Contains, Euclidean, Length, LineString, MultiPolygon, Polygon};

/// What would be left.
#[derive(Clone, Debug, PartialEq)]
pub struct Remains {
    /// The rectangle round everything worked, machine coordinates, mm; empty where nothing is.
    pub bounds: Bounds,
    /// Length cut right through, mm, passes counted each.
    pub through: f64,
    /// Length worked less deep, mm.
    pub partly: f64,
    /// The parts that come free, the largest first; those within others are their openings.
    pub parts: Vec<Part>,
    /// Whether there were too many stretches to look for parts.
    pub too_many: bool,
}

/// A part that comes free of what is round it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    /// Its rectangle.
    pub bounds: Bounds,
    /// Its area, openings in it included, mm2.
    pub area: f64,
    /// In how many other parts it lies: odd for an opening.
    pub within: usize,
}

/// Rounding of a depth in a program of two decimals, mm.
const DEPTH_SLACK: f64 = 6e-3;
/// Two cuts nearer than twice this are one, mm: the rounding of a program's places.
const JOIN: f64 = 0.02;
/// How far chords stray from arcs, mm.
const CHORD: f64 = 5e-3;
/// Beyond so many points the library takes too long.
const MOST: usize = 60_000;
/// A sliver is no part, mm2.
const LEAST: f64 = 1.0;

/// What these traces leave of a stock so thick, mm.
pub(super) fn left(traces: &[Trace], profile: &Profile, thickness: f64) -> Remains {
    let mut left = Remains { bounds: Bounds::EMPTY, through: 0.0, partly: 0.0, parts: Vec::new(), too_many: false };
    let mut lines: Vec<(f64, Vec<(f64, f64)>)> = Vec::new();
    let mut points = 0;
    let mut last: Option<(u32, u16)> = None;
    for t in traces.iter().filter(|t| !t.is_edge) {
        let b = t.way.bounds();
        if !(b.min.x.is_finite() && b.min.y.is_finite() && b.max.x.is_finite() && b.max.y.is_finite()) {
            continue;
        }
        left.bounds = left.bounds.union(b);
        let cuts = profile.rules.iter().take(64).enumerate();
        let may_cut =
            cuts.filter(|(i, _)| t.rules >> i & 1 == 1).any(|(_, r)| r.operation == OperationKind::ThroughCut);
        let through = t.reaching(thickness - DEPTH_SLACK).filter(|_| may_cut);
        let length = through.map_or(0.0, |w| w.length());
        left.through += length;
        left.partly += (t.way.length() - length).max(0.0);
        let Some(way) = through.filter(|_| length > 0.0) else {
            last = None;
            continue;
        };
        let key = (t.run, t.tool);
        let joins = last == Some(key)
            && lines.last().and_then(|l| l.1.last()).is_some_and(|p| pt(p.0, p.1).distance(way.start) < 1e-6);
        if !joins {
            lines.push((t.radius.max(JOIN), vec![(way.start.x, way.start.y)]));
        }
        last = Some(key);
        if points < MOST
            && let Some(line) = lines.last_mut()
        {
            let chords = way.flatten(CHORD);
            points += chords.len();
            line.1.extend(chords.into_iter().map(|p| (p.x, p.y)));
        }
    }
    left.too_many = points >= MOST;
    if !left.too_many {
        left.parts = parts(lines);
    }
    left
}

/// The holes in everything that the tools took away.
fn parts(lines: Vec<(f64, Vec<(f64, f64)>)>) -> Vec<Part> {
    let widths: Vec<MultiPolygon> = lines
        .into_iter()
        .filter(|(_, l)| l.len() > 1)
        .map(|(radius, line)| LineString::from(line).buffer(radius))
        .collect();
    let taken = geo::unary_union(widths.iter());
    let rings = taken.0.iter().flat_map(|p| p.interiors().iter());
    let mut free: Vec<(f64, Polygon, Bounds)> = rings
        .filter_map(|ring| {
            let b = ring.bounding_rect()?;
            let polygon = Polygon::new(ring.clone(), Vec::new());
            let area = polygon.unsigned_area();
            let bounds = Bounds { min: pt(b.min().x, b.min().y), max: pt(b.max().x, b.max().y) };
            (area > LEAST && area > JOIN * Euclidean.length(ring)).then_some((area, polygon, bounds))
        })
        .collect();
    free.sort_by(|a, b| b.0.total_cmp(&a.0));
    let within = |i: usize| {
        let inner = free[i].1.exterior().0.first().map(|c| geo::Point::from(*c));
        let larger = free[..i].iter().filter(|o| o.2.contains(free[i].2, 0.0));
        larger.filter(|o| inner.is_some_and(|p| o.1.contains(&p))).count()
    };
    (0..free.len()).map(|i| Part { bounds: free[i].2, area: free[i].0, within: within(i) }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::Source;
    use crate::geom::{Contour, Segment};

    #[test]
    fn a_frame_with_a_slot_frees_one_part_with_one_opening() {
        let text = include_str!("../../machine-profiles/small-router.toml");
        let profile = crate::profile::read(&Source { name: "router".into(), text: text.into() }, "router").0;
        let profile = profile.unwrap_or_else(|| panic!("it is sound"));
        let cut = profile.rules.iter().position(|r| r.operation == OperationKind::ThroughCut).unwrap_or_default();
        let trace = |way: Segment, run: u32, depth: f64| Trace {
            way,
            depth: (depth, depth),
            by_words: false,
            radius: 0.5,
            rules: 1 << cut,
            tool: 1,
            line: 1,
            run,
            is_edge: false,
        };
        let frame = Contour::rectangle(pt(-0.5, -0.5), pt(60.5, 40.5));
        let slot = Contour::rectangle(pt(20.5, 10.5), pt(39.5, 19.5));
        let mut traces: Vec<Trace> = frame.segments().map(|s| trace(s, 1, 2.2)).collect();
        traces.extend(slot.segments().map(|s| trace(s, 2, 2.2)));
        // A groove parts nothing.
        traces.push(trace(Segment::line(pt(5.0, 0.0), pt(5.0, 40.0)), 3, 1.0));
        let l = left(&traces, &profile, 2.0);
        assert_eq!(l.parts.len(), 2, "{l:?}");
        assert!((l.parts[0].area - 2400.0).abs() < 0.1 && l.parts[0].within == 0, "{l:?}");
        assert!((l.parts[1].area - 18.0 * 8.0).abs() < 0.1 && l.parts[1].within == 1, "{l:?}");
        assert!((l.through - 204.0 - 56.0).abs() < 1e-9 && (l.partly - 40.0).abs() < 1e-9, "{l:?}");
        // A bridge of half a millimetre holds it.
        let held: Vec<Trace> = frame.segments().map(|s| trace(s.between(0.0, 0.97), 1, 2.2)).collect();
        assert!(left(&held, &profile, 2.0).parts.is_empty());
    }
}
