//! Where the numbers of a picture go: beside what they number, never over one another, and off the
//! lines where there is room.

use crate::geom::{Bounds, Point, pt};

/// Rings of places tried round a point, in heights of the text.
const RINGS: [f64; 9] = [0.9, 1.3, 1.8, 2.5, 3.5, 5.0, 7.0, 10.0, 14.0];
/// Places tried on a ring.
const AROUND: usize = 16;

/// What is taken on a sheet: boxes that nothing may overlap, and lines that are better kept clear.
pub(super) struct Taken {
    boxes: Vec<Bounds>,
    /// How many line samples lie below and left of each cell's corner.
    sums: Vec<u32>,
    cell: f64,
    columns: usize,
    rows: usize,
}

impl Taken {
    /// For a sheet of this size with these samples of its lines, no two neighbours farther apart
    /// than `cell`, the side of the cells in which they are counted.
    pub(super) fn new(width: f64, height: f64, cell: f64, samples: impl Iterator<Item = Point>) -> Self {
        let count = |length: f64| ((length / cell).ceil().clamp(1.0, 2000.0)) as usize + 1;
        let (columns, rows) = (count(width), count(height));
        let mut sums = vec![0u32; (columns + 1) * (rows + 1)];
        for p in samples {
            let (c, r) = ((p.x / cell).floor(), (p.y / cell).floor());
            if c >= 0.0 && r >= 0.0 && (c as usize) < columns && (r as usize) < rows {
                sums[(r as usize + 1) * (columns + 1) + c as usize + 1] += 1;
            }
        }
        for r in 1..=rows {
            for c in 1..=columns {
                let at = r * (columns + 1) + c;
                sums[at] += sums[at - 1];
            }
            for c in 1..=columns {
                let at = r * (columns + 1) + c;
                sums[at] += sums[at - columns - 1];
            }
        }
        Self { boxes: Vec::new(), sums, cell, columns, rows }
    }

    pub(super) fn take(&mut self, b: Bounds) {
        self.boxes.push(b);
    }

    fn is_free(&self, b: Bounds) -> bool {
        let sheet =
            Bounds { min: pt(0.0, 0.0), max: pt(self.columns as f64 * self.cell, self.rows as f64 * self.cell) };
        sheet.contains(b, 0.0) && !self.boxes.iter().any(|t| t.overlaps(b, 0.0))
    }

    /// Samples of lines in the cells that the box meets.
    fn lines_in(&self, b: Bounds) -> u32 {
        let index = |v: f64, most: usize| ((v / self.cell).floor().max(0.0) as usize).min(most);
        let (c0, c1) = (index(b.min.x, self.columns), index(b.max.x + self.cell, self.columns));
        let (r0, r1) = (index(b.min.y, self.rows), index(b.max.y + self.cell, self.rows));
        let at = |r: usize, c: usize| self.sums[r * (self.columns + 1) + c];
        (at(r1, c1) + at(r0, c0)).saturating_sub(at(r0, c1) + at(r1, c0))
    }

    /// A place of this size near `p` that overlaps nothing taken, and takes it: the nearest ring on
    /// which one crosses no line; else the one that crosses fewest. `None` where all are taken.
    pub(super) fn place(&mut self, p: Point, size: Point) -> Option<Bounds> {
        let mut best: Option<(u32, Bounds)> = None;
        for ring in RINGS {
            for k in 0..AROUND {
                // From the upper right, where a number is looked for first.
                let angle = std::f64::consts::TAU * (k as f64 / AROUND as f64) + std::f64::consts::FRAC_PI_4;
                let out = Point::unit(angle);
                let center = p + pt(out.x * (size.x / 2.0 + (ring - 0.5) * size.y), out.y * ring * size.y);
                let b = Bounds { min: center - size / 2.0, max: center + size / 2.0 };
                let crossed = self.lines_in(b);
                if best.is_none_or(|(least, _)| crossed < least) && self.is_free(b) {
                    best = Some((crossed, b));
                }
            }
            if best.is_some_and(|(crossed, _)| crossed == 0) {
                break;
            }
        }
        let (_, b) = best?;
        self.take(b);
        Some(b)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hundred_numbers_round_one_point_do_not_overlap_and_keep_off_the_line() {
        let line = (0..200).map(|i| pt(f64::from(i), 100.0));
        let mut taken = Taken::new(200.0, 200.0, 1.0, line);
        let size = pt(6.0, 4.0);
        let placed: Vec<Bounds> = (0..100).filter_map(|_| taken.place(pt(100.0, 100.0), size)).collect();
        assert!(placed.len() > 50, "only {} found a place", placed.len());
        for (i, a) in placed.iter().enumerate() {
            assert!(placed[i + 1..].iter().all(|b| !a.overlaps(*b, 0.0)), "{i}");
        }
        for b in &placed[..6] {
            assert!(b.min.y > 100.0 || b.max.y < 100.0, "{b:?} lies on the line");
        }
        assert!(taken.place(pt(-50.0, -50.0), size).is_none(), "off the sheet");
    }
}
