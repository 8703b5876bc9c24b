//! Arcs about corners, the other way round: not how near the nearest cut comes to the line, but how far
//! from the line a cut strays that goes round one of its corners. Moved aslant, such an arc leaves a
//! corner standing out by more than either of the edges beside it.

use super::edge::One;
use super::{CELL, Worst};
use crate::geom::Point;
use crate::verify::grid::Grid;
use crate::verify::physics::Trace;

impl One<'_> {
    /// The arc that strays farthest beyond what is let pass, of the runs that worked the line; its ends lie
    /// where they belong.
    pub(super) fn strays(&self, served: &[u32]) -> Option<Worst> {
        let (bench, offset) = (self.bench, self.offset);
        let (from, to) = (*served.iter().min()? as usize, *served.iter().max()? as usize);
        let tolerance = bench.tolerance();
        if offset <= 0.0 {
            return None;
        }
        let mut runs: Vec<u32> = served.iter().map(|i| bench.traces[*i as usize].run).collect();
        runs.sort_unstable();
        runs.dedup();
        // A way onto the cut is rounder; or it ends in the waste.
        let is_about_a_corner =
            |t: &Trace| !t.way.is_line() && !t.is_edge && (t.way.radius() - offset).abs() <= tolerance;
        let of_runs = runs.into_iter().flat_map(|run| bench.of_run(run));
        let within = of_runs.filter(|i| (from..=to).contains(i)).map(|i| &bench.traces[i]);
        let mut arcs = within.filter(|t| is_about_a_corner(t)).peekable();
        arcs.peek()?;
        let grid = Grid::new(&self.segments, CELL);
        let off = |p: Point| grid.nearest(&self.segments, p, offset + 1.0).map(|n| n.1 - offset);
        let is_close = |p: Point| off(p).is_some_and(|d| d.abs() <= tolerance);
        let mut worst = None;
        for t in arcs {
            let middle = t.way.point_at(0.5);
            if let Some(d) = off(middle).filter(|d| *d > tolerance)
                && is_close(t.way.start)
                && is_close(t.way.end)
            {
                Worst::keep(&mut worst, d, middle, &self.line.name);
            }
        }
        worst
    }
}
