//! Pieces at full size on pages: what is larger than a page is cut into tiles that overlap, what is
//! smaller shares one.

use crate::design::Piece;
use crate::geom::{Bounds, Contour, Path, Point, Segment, Stroke, Transform, Vertex, intersections, pt};
use crate::job::{CutFace, Job, StockKind};
use crate::profile::OperationKind;

/// By how much neighbouring tiles show the same, mm.
pub(super) const OVERLAP: f64 = 10.0;

/// A piece as its template shows it: turned and mirrored as it lies on the stock, its rectangle's
/// lower left corner at the origin.
pub(super) struct Template<'a> {
    pub(super) piece: &'a Piece,
    /// The lines by kind, marks first.
    pub(super) lines: Vec<(OperationKind, Stroke)>,
    pub(super) width: f64,
    pub(super) height: f64,
    /// Whether it was turned by a quarter to save pages.
    pub(super) is_turned: bool,
}

/// The tiles of one template: `columns` times `rows` windows of the page, the lower left first.
pub(super) struct Grid {
    pub(super) columns: usize,
    pub(super) rows: usize,
    /// The size of a window, mm.
    pub(super) window: (f64, f64),
    /// Where the first window's lower left corner is on the template, mm.
    pub(super) origin: Point,
}

impl Grid {
    /// The window of a tile on the template.
    pub(super) fn tile(&self, column: usize, row: usize) -> Bounds {
        let step = pt(self.window.0 - OVERLAP, self.window.1 - OVERLAP);
        let min = self.origin + pt(step.x * column as f64, step.y * row as f64);
        Bounds { min, max: min + pt(self.window.0, self.window.1) }
    }

    /// The fewest tiles that hold `width` x `height`, the template in their middle.
    pub(super) fn over(width: f64, height: f64, window: (f64, f64)) -> Self {
        let count = |size: f64, room: f64| {
            if size <= room { 1 } else { ((size - OVERLAP) / (room - OVERLAP) - 1e-9).ceil().max(1.0) as usize }
        };
        let (columns, rows) = (count(width, window.0), count(height, window.1));
        let span = |n: usize, room: f64| n as f64 * (room - OVERLAP) + OVERLAP;
        let origin = pt((width - span(columns, window.0)) / 2.0, (height - span(rows, window.1)) / 2.0);
        Self { columns, rows, window, origin }
    }
}

impl<'a> Template<'a> {
    /// The template of a piece for pages with windows of `window` mm, turned where that takes fewer.
    pub(super) fn of(piece: &'a Piece, job: &Job, window: (f64, f64)) -> Self {
        let stock = match piece.stock {
            StockKind::Board => Some(&job.board),
            StockKind::Cloth => job.cloth.as_ref(),
            StockKind::Liner => job.liner.as_ref(),
        };
        let mirrored = piece.is_mirrored(stock.map_or(CutFace::Back, |s| s.cut_face));
        let b = piece.outline.bounds();
        let tiles = |w: f64, h: f64| {
            let g = Grid::over(w, h, window);
            g.columns * g.rows
        };
        let is_turned = tiles(b.height(), b.width()) < tiles(b.width(), b.height());
        // The letters on a tall piece run up it: turned the other way they would stand on their heads.
        let quarter = if b.height() > b.width() { -90.0 } else { 90.0 };
        let turn = Transform { mirrored, rotation_deg: if is_turned { quarter } else { 0.0 }, shift: pt(0.0, 0.0) };
        let at = piece.outline.transformed(&turn).bounds();
        let put = Transform { shift: -at.min, ..turn };
        let mut lines: Vec<(OperationKind, Stroke)> = Vec::new();
        lines.extend(piece.marks.iter().map(|m| (OperationKind::Mark, m.transformed(&put))));
        let open = |p: &Path| Stroke::Open(p.transformed(&put));
        let closed = |c: &Contour| Stroke::Closed(c.transformed(&put));
        lines.extend(piece.creases.iter().map(|c| (OperationKind::CreaseScore, open(c))));
        lines.extend(piece.pockets.iter().map(|p| (OperationKind::HalfDepthPocket, closed(&p.outline))));
        lines.extend(piece.holes.iter().map(|h| (OperationKind::ThroughCut, closed(h))));
        lines.extend(piece.slits.iter().map(|s| (OperationKind::ThroughCut, open(s))));
        lines.push((OperationKind::ThroughCut, closed(&piece.outline)));
        Self { piece, lines, width: at.width(), height: at.height(), is_turned }
    }

    /// What a window shows, moved so that the window's lower left corner is at `to`. A line that
    /// lies wholly in the window stays whole.
    pub(super) fn seen(&self, window: Bounds, to: Point) -> Vec<(OperationKind, Stroke)> {
        let shift = Transform::shift(to - window.min);
        self.lines
            .iter()
            .flat_map(|(kind, s)| within(s, window).into_iter().map(|s| (*kind, s.transformed(&shift))))
            .collect()
    }
}

/// The parts of a line inside a rectangle.
pub(super) fn within(stroke: &Stroke, window: Bounds) -> Vec<Stroke> {
    if window.contains(stroke.bounds(), 1e-9) {
        return vec![stroke.clone()];
    }
    if !window.overlaps(stroke.bounds().grown(1e-9), 0.0) {
        return Vec::new();
    }
    let sides: Vec<Segment> = Contour::rectangle(window.min, window.max).segments().collect();
    let mut runs: Vec<Vec<Segment>> = Vec::new();
    for s in stroke.segments() {
        let mut cuts: Vec<f64> =
            sides.iter().flat_map(|side| intersections(&s, side)).map(|p| s.nearest_share(p)).collect();
        cuts.extend([0.0, 1.0]);
        cuts.sort_by(f64::total_cmp);
        for pair in cuts.windows(2).filter(|w| w[1] - w[0] > 1e-9) {
            let part = s.between(pair[0], pair[1]);
            let middle = part.point_at(0.5);
            if !window.holds(middle) {
                continue;
            }
            match runs.last_mut() {
                Some(run) if run.last().is_some_and(|l| l.end.is_near(part.start)) => run.push(part),
                _ => runs.push(vec![part]),
            }
        }
    }
    runs.into_iter().map(|run| Stroke::Open(chained(&run))).collect()
}

fn chained(run: &[Segment]) -> Path {
    let last = run.last().map(|s| Vertex::new(s.end, 0.0));
    Path::new(run.iter().map(|s| Vertex::new(s.start, s.bulge)).chain(last))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tiles_overlap_and_hold_the_whole() {
        for (w, h) in [(100.0, 50.0), (190.0, 259.0), (191.0, 259.0), (541.0, 603.0), (1400.0, 20.0)] {
            let g = Grid::over(w, h, (190.0, 259.0));
            let all = g.tile(0, 0).union(g.tile(g.columns - 1, g.rows - 1));
            assert!(all.contains(Bounds { min: pt(0.0, 0.0), max: pt(w, h) }, 1e-9));
            if g.columns > 1 {
                assert!((g.tile(0, 0).max.x - g.tile(1, 0).min.x - OVERLAP).abs() < 1e-9);
                assert!((g.columns - 1) as f64 * 180.0 + 10.0 < w, "no tile too many");
            }
        }
    }

    #[test]
    fn what_windows_show_adds_up_to_the_line() {
        let disc = Stroke::Closed(Contour::circle(pt(50.0, 50.0), 40.0));
        let quarter = |x: f64, y: f64| Bounds { min: pt(x, y), max: pt(x + 50.0, y + 50.0) };
        let mut total = 0.0;
        for (x, y) in [(0.0, 0.0), (50.0, 0.0), (0.0, 50.0), (50.0, 50.0)] {
            for part in within(&disc, quarter(x, y)) {
                for s in part.segments() {
                    assert!((s.radius() - 40.0).abs() < 1e-6, "an arc stays an arc");
                    total += s.length();
                }
            }
        }
        assert!((total - disc.length()).abs() < 1e-6);
    }
}
