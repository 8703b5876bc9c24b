//! The hard order of a sheet's operations, and the ways a nominal line may be worked.

use super::Way;
use crate::geom::Stroke;
use crate::job::StockKind;
use crate::ops::{Keep, Operation, Shared};
use crate::profile::{Hold, OperationKind, Profile};

/// The class of each operation, from 0, for [`super::Stop::class`]: marks, creases, half-depth
/// pockets, inner through-cuts (holes, slots, slits), outlines; within each kind tool by tool; and
/// on a vacuum bed outlines in the order of their area, because a small part keeps its grip only
/// while the sheet round it is whole. Outlines of the same area to 1 mm2 share a class;
/// an open stretch of one counts as the whole, which `shared` holds.
pub fn classes(operations: &[&Operation], shared: &[Shared], stock: StockKind, profile: &Profile) -> Vec<u32> {
    let whole = |o: &Operation| shared.iter().find(|s| s.copy == o.copy && s.piece == o.piece).map(|s| &s.outline);
    let key = |o: &Operation| {
        let outline = o.kind == OperationKind::ThroughCut && o.keep == Keep::Inside;
        let tool = profile.rule(o.kind, stock).map_or(usize::MAX, |r| r.1);
        let by_size = outline && profile.machine.hold == Hold::Vacuum;
        let size = match &o.stroke {
            Stroke::Closed(c) if by_size => c.area().abs().round() as u64,
            Stroke::Open(_) if by_size => whole(o).map_or(0, |c| c.area().abs().round() as u64),
            _ => 0,
        };
        (o.kind, outline, tool, size)
    };
    let keys: Vec<_> = operations.iter().copied().map(key).collect();
    let mut distinct = keys.clone();
    distinct.sort_unstable();
    distinct.dedup();
    keys.iter().map(|k| distinct.partition_point(|d| d < k) as u32).collect()
}

/// The ways of a nominal line: an open one from either end; a closed one from the middle of each
/// segment at least `least` mm long, or of its longest where none is. The middle of an edge shows
/// the mark of a start less than a corner does, and an overrun there stays on the line.
/// The order of the ways is the order of the segments (open: forwards, backwards).
pub fn ways_of(stroke: &Stroke, least: f64) -> Vec<Way> {
    let segments = stroke.segments();
    match stroke {
        Stroke::Open(_) => match (segments.first(), segments.last()) {
            (Some(a), Some(b)) => {
                vec![Way { entry: a.start, exit: b.end }, Way { entry: b.end, exit: a.start }]
            }
            _ => Vec::new(),
        },
        Stroke::Closed(_) => {
            let longest = segments.iter().map(|s| s.length()).fold(0.0, f64::max);
            let least = least.min(longest);
            let long = segments.iter().filter(|s| s.length() >= least);
            long.map(|s| s.point_at(0.5)).map(|p| Way { entry: p, exit: p }).collect()
        }
    }
}
