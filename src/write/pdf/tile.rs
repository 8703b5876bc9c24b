//! Pieces at full size on pages: what is larger than a page is cut into tiles that overlap, what is
//! smaller shares one.

use super::parts::is_mirrored;
use crate::design::Piece;
use crate::geom::{Bounds, Contour, Path, Point, Segment, Stroke, Transform, intersections, pt, rings_shared};
use crate::job::Job;
use crate::profile::OperationKind;

/// By how much neighbouring tiles show the same, mm.
pub(super) const OVERLAP: f64 = 10.0;

/// A piece as its template shows it: turned and mirrored as it lies on the stock, its rectangle's
/// lower left corner at the origin.
pub(super) struct Template<'a> {
    pub(super) piece: &'a Piece,
    /// The lines by kind, marks first.
    pub(super) lines: Vec<(OperationKind, Stroke)>,
    /// What is cut into the face that lies down.
    pub(super) behind: Vec<Stroke>,
    pub(super) width: f64,
    pub(super) height: f64,
    /// Whether it was turned by a quarter to save pages.
    pub(super) is_turned: bool,
}

/// A tile that would show less of a piece than this is left out by moving the others, mm (our choice).
const SLIVER: f64 = 10.0;
/// In so many steps tiles are moved, each way.
const STEPS: i32 = 4;

/// The tiles of one template: `columns` times `rows` windows of the page, the lower left first.
#[derive(Clone)]
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

    /// A tile up to the middle of what it shares with its neighbours.
    pub(super) fn own(&self, column: usize, row: usize) -> Bounds {
        let tile = self.tile(column, row);
        let inset = |is_outer: bool| if is_outer { 0.0 } else { OVERLAP / 2.0 };
        Bounds {
            min: tile.min + pt(inset(column == 0), inset(row == 0)),
            max: tile.max - pt(inset(column + 1 == self.columns), inset(row + 1 == self.rows)),
        }
    }

    /// The fewest tiles that hold `width` x `height`, the template in their middle.
    pub(super) fn over(width: f64, height: f64, window: (f64, f64)) -> Self {
        let count = |size: f64, room: f64| {
            if size <= room { 1 } else { ((size - OVERLAP) / (room - OVERLAP) - 1e-9).ceil().max(1.0) as usize }
        };
        let (columns, rows) = (count(width, window.0), count(height, window.1));
        Self { columns, rows, window, origin: pt(0.0, 0.0) }.moved(width, height, pt(0.5, 0.5))
    }

    /// The same with this share of what the tiles have to spare at their left and lower edges.
    fn moved(&self, width: f64, height: f64, share: Point) -> Self {
        let span = |n: usize, room: f64| n as f64 * (room - OVERLAP) + OVERLAP;
        let spare = pt(span(self.columns, self.window.0) - width, span(self.rows, self.window.1) - height);
        Self { origin: -pt(spare.x * share.x, spare.y * share.y), ..self.clone() }
    }

    /// As many tiles, each no larger than it must be.
    pub(super) fn even(width: f64, height: f64, window: (f64, f64)) -> Self {
        let all = Self::over(width, height, window);
        let each = |size: f64, n: usize| (size + (n - 1) as f64 * OVERLAP) / n as f64;
        let window = (each(width, all.columns), each(height, all.rows));
        Self { window, origin: pt(0.0, 0.0), ..all }
    }
}

impl<'a> Template<'a> {
    /// The template of a piece turned so that its tiles of `window` mm are the fewest, and turned by a quarter from that.
    pub(super) fn both_ways(piece: &'a Piece, job: &Job, window: (f64, f64)) -> [Self; 2] {
        let b = piece.outline.bounds();
        let tiles = |w: f64, h: f64| {
            let g = Grid::over(w, h, window);
            g.columns * g.rows
        };
        let is_turned = tiles(b.height(), b.width()) < tiles(b.width(), b.height());
        [is_turned, !is_turned].map(|turned| Self::of(piece, job, turned))
    }

    /// The template of a piece as it lies, or turned by a quarter.
    fn of(piece: &'a Piece, job: &Job, is_turned: bool) -> Self {
        let b = piece.outline.bounds();
        // The letters on a tall piece run up it, and down one that lies mirrored: turned the other way they would
        // stand on their heads.
        let quarter = if b.height() > b.width() && !piece.has_mirrored_letters() { -90.0 } else { 90.0 };
        let rotation_deg = if is_turned { quarter } else { 0.0 };
        let turn = Transform { mirrored: is_mirrored(job, piece), rotation_deg, shift: pt(0.0, 0.0) };
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
        let behind = piece.back_pockets.iter().map(|p| closed(&p.outline)).collect();
        Self { piece, lines, behind, width: at.width(), height: at.height(), is_turned }
    }

    /// The outline as it lies on the template: the last line.
    pub(super) fn outline(&self) -> Contour {
        match self.lines.last() {
            Some((_, Stroke::Closed(c))) => c.clone(),
            _ => Contour::default(),
        }
    }

    /// Whether a tile shows a line that none beside it shows.
    pub(super) fn is_used(&self, grid: &Grid, column: usize, row: usize) -> bool {
        self.lines.iter().any(|(_, s)| !within(s, grid.own(column, row)).is_empty())
    }

    /// The tiles of pages with windows of `window` mm: the fewest that show nothing but slivers nowhere, the template
    /// as near to their middle as that allows.
    pub(super) fn tiles(&self, window: (f64, f64)) -> Grid {
        let middle = Grid::over(self.width, self.height, window);
        let outline = self.outline().flatten(0.5);
        let shares = |n: usize| {
            let moves = if n > 1 { STEPS } else { 0 };
            // The middle first, then ever farther from it.
            (0..=2 * moves)
                .map(|k| if k % 2 == 0 { k / 2 } else { -(k + 1) / 2 })
                .map(|k| 0.5 + 0.5 * f64::from(k) / f64::from(STEPS))
        };
        let mut best: Option<((bool, usize, f64), Grid)> = None;
        for y in shares(middle.rows) {
            for x in shares(middle.columns) {
                let grid = middle.moved(self.width, self.height, pt(x, y));
                let (mut count, mut least) = (0, SLIVER);
                for (c, r) in (0..grid.rows).flat_map(|r| (0..grid.columns).map(move |c| (c, r))) {
                    if self.is_used(&grid, c, r) {
                        count += 1;
                        least = least.min(shown(&outline, grid.tile(c, r)));
                    }
                }
                let score = (least < SLIVER, count, SLIVER - least);
                if best.as_ref().is_none_or(|(b, _)| score < *b) {
                    best = Some((score, grid));
                }
            }
        }
        best.map_or(middle, |(_, grid)| grid)
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

impl Template<'_> {
    /// What a window shows of what is cut into the other face, moved likewise.
    pub(super) fn seen_behind(&self, window: Bounds, to: Point) -> Vec<Stroke> {
        let shift = Transform::shift(to - window.min);
        self.behind.iter().flat_map(|s| within(s, window)).map(|s| s.transformed(&shift)).collect()
    }
}

/// How wide, at its narrower, what a window shows of a piece is, mm.
fn shown(outline: &[Point], window: Bounds) -> f64 {
    let frame = Contour::rectangle(window.min, window.max).flatten(0.5);
    let parts = rings_shared(&frame, outline);
    let all = parts.iter().flatten().fold(Bounds::EMPTY, |b, p| b.with(*p));
    all.width().min(all.height())
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
            // An edge of the piece may run along the window's.
            if !window.grown(1e-9).holds(middle) {
                continue;
            }
            match runs.last_mut() {
                Some(run) if run.last().is_some_and(|l| l.end.is_near(part.start)) => run.push(part),
                _ => runs.push(vec![part]),
            }
        }
    }
    runs.into_iter().map(|run| Stroke::Open(Path::along(&run))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::Role;
    use crate::job::StockKind;

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

    fn template(piece: &Piece) -> Template<'_> {
        let b = piece.outline.bounds();
        let lines = vec![(OperationKind::ThroughCut, Stroke::Closed(piece.outline.clone()))];
        Template { piece, lines, behind: Vec::new(), width: b.width(), height: b.height(), is_turned: false }
    }

    #[test]
    fn tiles_give_way_so_that_none_shows_a_sliver() {
        // An L whose upright begins 7 mm before the end of the left tiles, were they in the middle.
        let ell = [(0.0, 0.0), (300.0, 0.0), (300.0, 400.0), (148.0, 400.0), (148.0, 100.0), (0.0, 100.0)];
        let outline = Contour::polygon(ell.map(|(x, y)| pt(x, y)));
        let piece = Piece::plain("l".into(), StockKind::Cloth, Role::Cover, outline);
        let t = template(&piece);
        let window = (194.0, 254.0);
        let used = |grid: &Grid| -> Vec<f64> {
            let all = (0..grid.rows).flat_map(|r| (0..grid.columns).map(move |c| (c, r)));
            let outline = t.outline().flatten(0.5);
            all.filter(|(c, r)| t.is_used(grid, *c, *r)).map(|(c, r)| shown(&outline, grid.tile(c, r))).collect()
        };
        let (before, after) = (used(&Grid::over(t.width, t.height, window)), used(&t.tiles(window)));
        assert!(before.len() == 4 && before.iter().any(|s| *s < SLIVER), "{before:?}");
        assert!(after.len() == 3 && after.iter().all(|s| *s >= SLIVER), "{after:?}");
    }

    #[test]
    fn even_parts_are_alike_and_hold_the_whole() {
        for (w, h) in [(210.0, 302.0), (120.0, 300.0), (350.0, 20.0)] {
            let g = Grid::even(w, h, (187.0, 247.0));
            let all = g.tile(0, 0).union(g.tile(g.columns - 1, g.rows - 1));
            assert!((all.width() - w).abs() < 1e-9 && (all.height() - h).abs() < 1e-9 && all.min.length() < 1e-9);
            assert!(g.window.0 <= 187.0 && g.window.1 <= 247.0);
        }
    }
}
