//! Arcs about corners, the other way round: not how near the nearest cut comes to the line, but how far
//! from the line a cut strays that goes round one of its corners. Moved aslant, such an arc leaves a
//! corner standing out by more than either of the edges beside it.

use super::{Bench, CELL, Worst};
use crate::geom::{Point, Segment};
use crate::verify::grid::Grid;
use crate::verify::nominal::Wanted;

/// The arc that strays farthest beyond what is let pass, of the runs that worked the line; its ends lie
/// where they belong.
pub(super) fn strays(bench: &Bench<'_>, line: &Wanted, offset: f64, served: &[u32]) -> Option<Worst> {
    let (from, to) = (*served.iter().min()? as usize, *served.iter().max()? as usize);
    let traces = &bench.traces[from..=to];
    let tolerance = bench.tolerance();
    if offset <= 0.0 || traces.iter().all(|t| t.way.is_line()) {
        return None;
    }
    let mut runs: Vec<u32> = served.iter().map(|i| bench.traces[*i as usize].run).collect();
    runs.sort_unstable();
    runs.dedup();
    let edges: Vec<Segment> = line.stroke.segments();
    let grid = Grid::new(&edges, CELL);
    let off = |p: Point| grid.nearest(&edges, p, offset + 1.0).map(|n| n.1 - offset);
    let is_close = |p: Point| off(p).is_some_and(|d| d.abs() <= tolerance);
    let mut worst = None;
    for t in traces.iter().filter(|t| !t.way.is_line() && !t.is_edge && runs.binary_search(&t.run).is_ok()) {
        let middle = t.way.point_at(0.5);
        // A way onto the cut is rounder; or it ends in the waste.
        if (t.way.radius() - offset).abs() > tolerance {
            continue;
        }
        if let Some(d) = off(middle).filter(|d| *d > tolerance)
            && is_close(t.way.start)
            && is_close(t.way.end)
        {
            Worst::keep(&mut worst, d, middle, &line.name);
        }
    }
    worst
}
