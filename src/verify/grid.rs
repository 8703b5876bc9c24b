//! A grid over many segments, so that what lies near a point is found without asking all.

use crate::geom::{Bounds, Point, Segment, pt};

/// Segments by the cells that they pass.
#[derive(Clone, Debug, Default)]
pub struct Grid {
    min: Point,
    cell: f64,
    columns: usize,
    rows: usize,
    /// Where the entries of each cell start; one more than there are cells.
    starts: Vec<u32>,
    entries: Vec<u32>,
}

/// The most cells, and the most entries, of a grid: what bounds its memory, whatever the program.
const MOST_CELLS: f64 = 4_000_000.0;
/// Cells are never made smaller than this for the sake of short segments, mm.
const FINEST: f64 = 0.25;
const MOST_ENTRIES: f64 = 40_000_000.0;
/// Cells for each segment at the most, and so many besides: to lay out more takes longer than to ask a few segments
/// more at a place, of which a sheet of short lines has few.
const CELLS_EACH: f64 = 16.0;
const CELLS_BESIDES: f64 = 16_384.0;

impl Grid {
    /// A grid over the segments in cells of `cell` mm or, where that would be too many, larger.
    /// A few times the distance that is asked for suits. Segments that are not finite are left out.
    pub fn new(segments: &[Segment], cell: f64) -> Self {
        let finite = |s: &Segment| [s.start.x, s.start.y, s.end.x, s.end.y, s.bulge].iter().all(|v| v.is_finite());
        let bounds = segments.iter().filter(|s| finite(s)).fold(Bounds::EMPTY, |b, s| b.union(s.bounds()));
        if bounds.is_empty() {
            return Self::default();
        }
        let length: f64 = segments.iter().filter(|s| finite(s)).map(Segment::length).sum();
        // Many short segments want small cells.
        let mean = length / segments.len() as f64;
        let mut cell = cell.min((8.0 * mean).max(FINEST)).max(1e-3);
        let most_cells = MOST_CELLS.min(CELLS_EACH * segments.len() as f64 + CELLS_BESIDES);
        while (bounds.width() / cell + 1.0) * (bounds.height() / cell + 1.0) > most_cells
            || 2.0 * length / cell + 2.0 * segments.len() as f64 > MOST_ENTRIES
                && cell < bounds.width() + bounds.height()
        {
            cell *= 2.0;
        }
        let (columns, rows) = ((bounds.width() / cell) as usize + 1, (bounds.height() / cell) as usize + 1);
        let mut grid = Self { min: bounds.min, cell, columns, rows, starts: Vec::new(), entries: Vec::new() };
        let mut counts = vec![0u32; columns * rows + 1];
        let all = || (0u32..).zip(segments).filter(|(_, s)| finite(s));
        for (_, s) in all() {
            grid.passed(s, |c| counts[c + 1] += 1);
        }
        for i in 1..counts.len() {
            counts[i] += counts[i - 1];
        }
        let mut next = counts.clone();
        let mut entries = vec![0u32; counts.last().copied().unwrap_or(0) as usize];
        for (i, s) in all() {
            grid.passed(s, |c| {
                entries[next[c] as usize] = i;
                next[c] += 1;
            });
        }
        (grid.starts, grid.entries) = (counts, entries);
        grid
    }

    fn column(&self, x: f64) -> usize {
        (((x - self.min.x) / self.cell).max(0.0) as usize).min(self.columns - 1)
    }

    fn row(&self, y: f64) -> usize {
        (((y - self.min.y) / self.cell).max(0.0) as usize).min(self.rows - 1)
    }

    /// The cells round each stretch of a segment no longer than a cell; none twice in a row.
    fn passed(&self, s: &Segment, mut visit: impl FnMut(usize)) {
        let n = (s.length() / self.cell).ceil().clamp(1.0, 4.0 * MOST_CELLS.sqrt()) as usize;
        let mut last = [usize::MAX; 4];
        for i in 0..n {
            let part = if n == 1 { *s } else { s.between(i as f64 / n as f64, (i + 1) as f64 / n as f64) };
            let b = part.bounds();
            let mut now = [usize::MAX; 4];
            let (x0, x1, y0, y1) = (self.column(b.min.x), self.column(b.max.x), self.row(b.min.y), self.row(b.max.y));
            let mut k = 0;
            for row in y0..=y1 {
                for column in x0..=x1 {
                    let c = row * self.columns + column;
                    if !last.contains(&c) {
                        visit(c);
                    }
                    if k < 4 {
                        now[k] = c;
                        k += 1;
                    }
                }
            }
            last = now;
        }
    }

    /// Whatever may lie within `reach` mm of `p`: each at least once, some twice.
    pub fn near(&self, p: Point, reach: f64, visit: impl FnMut(u32)) {
        self.within(Bounds { min: p, max: p }.grown(reach), visit);
    }

    /// Whatever may touch a rectangle: each at least once, some more often.
    pub fn within(&self, b: Bounds, mut visit: impl FnMut(u32)) {
        let is_finite = [b.min.x, b.min.y, b.max.x, b.max.y].iter().all(|v| v.is_finite());
        if self.starts.is_empty() || !is_finite {
            return;
        }
        let far = self.min + pt(self.columns as f64, self.rows as f64) * self.cell;
        if b.max.x < self.min.x || b.max.y < self.min.y || b.min.x > far.x || b.min.y > far.y {
            return;
        }
        for row in self.row(b.min.y)..=self.row(b.max.y) {
            for column in self.column(b.min.x)..=self.column(b.max.x) {
                let c = row * self.columns + column;
                for &i in &self.entries[self.starts[c] as usize..self.starts[c + 1] as usize] {
                    visit(i);
                }
            }
        }
    }

    /// The nearest segment within `reach` mm of `p`, with the distance. Of equals the first.
    pub fn nearest(&self, segments: &[Segment], p: Point, reach: f64) -> Option<(u32, f64)> {
        let mut best: Option<(u32, f64)> = None;
        self.near(p, reach, |i| {
            let d = segments[i as usize].distance_to(p);
            if d <= reach && best.is_none_or(|(j, b)| d < b || d <= b && i < j) {
                best = Some((i, d));
            }
        });
        best
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn the_nearest_is_what_asking_all_gives(
            points in prop::collection::vec((0.0..300.0f64, 0.0..200.0f64, -1.0..1.0f64), 2..40),
            at in (-20.0..320.0f64, -20.0..220.0f64), cell in 0.5..50.0f64, reach in 0.5..60.0f64,
        ) {
            let segments: Vec<Segment> = points
                .windows(2)
                .map(|w| Segment { start: pt(w[0].0, w[0].1), end: pt(w[1].0, w[1].1), bulge: w[0].2 })
                .collect();
            let p = pt(at.0, at.1);
            let found = Grid::new(&segments, cell).nearest(&segments, p, reach).map(|f| f.1);
            let all = segments.iter().map(|s| s.distance_to(p)).fold(f64::INFINITY, f64::min);
            match found {
                Some(d) => prop_assert!((d - all).abs() < 1e-9),
                None => prop_assert!(all > reach),
            }
        }
    }

    #[test]
    fn a_segment_across_the_world_costs_no_more_than_the_grid_allows() {
        let far = Segment::line(pt(-1e7, -1e7), pt(1e7, 1e7));
        let grid = Grid::new(&[far, Segment::line(pt(0.0, 1.0), pt(1.0, 1.0))], 1.0);
        assert!(grid.entries.len() < 20_000);
        let nan = Segment::line(pt(f64::NAN, 0.0), pt(1.0, 1.0));
        assert!(Grid::new(&[nan], 1.0).nearest(&[nan], pt(0.0, 0.0), 5.0).is_none());
    }
}
