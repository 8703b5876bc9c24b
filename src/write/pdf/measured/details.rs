//! Corners whose steps a drawing shows too small to be told apart, drawn larger beside it.

use super::{Scaled, WORDS};
use crate::drawing::{Anchor, Drawing as Page, Faces, Pen};
use crate::geom::{Bounds, Contour, Point, Stroke, pt};
use crate::write::pdf::tile::within;
use crate::write::style::{FAINT, INK, QUIET};

/// A side of a larger drawing, mm.
const SIDE: f64 = 30.0;
/// Between two of them, and between the piece and them, mm.
const GAP: f64 = 4.0;
/// Above them all and below each, for words, mm.
const LINE: f64 = 4.2;
/// What they take beside the piece, mm.
pub(super) const WIDTH: f64 = 2.0 * (SIDE + GAP);
pub(super) const HEIGHT: f64 = 2.0 * (SIDE + LINE) + LINE;
/// A side of the outline drawn shorter than this is not seen as one, mm.
const SHORT: f64 = 1.2;
/// Such sides belong to one corner where they are drawn nearer to each other than this, mm.
const NEAR: f64 = 6.0;
/// At least so many times as large as in the drawing, or nothing is gained.
const LARGER: f64 = 2.0;
/// What is shown round a corner, as a part of its size.
const AROUND: f64 = 0.12;

/// One corner of a piece.
pub(super) struct Detail {
    /// What it shows, on the piece, a square, mm.
    window: Bounds,
    is_right: bool,
    is_upper: bool,
}

/// The corners that are drawn larger where the piece is drawn at `scale`: none where there is more than one in a quarter of it,
/// for then words do not tell which is which.
pub(super) fn details(outline: &Contour, scale: f64) -> Vec<Detail> {
    let is_short = |s: &crate::geom::Segment| s.is_line() && s.start.distance(s.end) * scale < SHORT;
    let short = outline.segments().filter(is_short);
    let mut corners: Vec<Bounds> = Vec::new();
    for side in short {
        let mut all = Bounds { min: side.start, max: side.start }.with(side.end);
        // Whatever is near becomes a part of it, and may bring others near.
        while let Some(k) = corners.iter().position(|c| c.grown(NEAR / scale).overlaps(all, 0.0)) {
            all = all.union(corners.swap_remove(k));
        }
        corners.push(all);
    }
    let center = outline.bounds().center();
    let detail = |corner: Bounds| {
        let c = corner.center();
        let half = (0.5 + AROUND) * corner.width().max(corner.height());
        let window = Bounds { min: c - pt(half, half), max: c + pt(half, half) };
        Detail { window, is_right: c.x > center.x, is_upper: c.y > center.y }
    };
    let found: Vec<Detail> = corners.into_iter().map(detail).collect();
    let is_alone =
        |d: &Detail| found.iter().filter(|o| (o.is_right, o.is_upper) == (d.is_right, d.is_upper)).count() == 1;
    let is_larger = |d: &Detail| d.window.width() * scale * LARGER <= SIDE;
    if found.iter().all(|d| is_alone(d) && is_larger(d)) { found } else { Vec::new() }
}

impl Detail {
    const fn words(&self) -> &'static str {
        match (self.is_upper, self.is_right) {
            (true, false) => "upper left",
            (true, true) => "upper right",
            (false, false) => "lower left",
            (false, true) => "lower right",
        }
    }

    /// Draws these lines of the piece as far as they are in its corner; `corner` is where all of these drawings begin.
    fn draw(&self, page: &mut Page, faces: &Faces, lines: &[(Stroke, Pen)], corner: Point) {
        let step = |is_far: bool, by: f64| if is_far { by } else { 0.0 };
        let at = corner + pt(step(self.is_right, SIDE + GAP), LINE + step(self.is_upper, SIDE + LINE));
        let scale = SIDE / self.window.width();
        let placed = Scaled { scale, origin: at - self.window.min * scale };
        for (stroke, pen) in lines {
            for part in within(stroke, self.window) {
                let part = match &part {
                    Stroke::Closed(c) => Stroke::Closed(placed.closed(c)),
                    Stroke::Open(p) => placed.open(p),
                };
                page.lines(vec![part], *pen);
            }
        }
        let frame = Contour::rectangle(at, at + pt(SIDE, SIDE));
        page.shape(vec![frame], None, Some(Pen::solid(FAINT, 0.25)));
        let under = at + pt(SIDE / 2.0, -0.75 * LINE);
        page.text(faces, under, Anchor::Middle, WORDS.color(QUIET), self.words());
    }
}

/// The lines of larger drawings are no outline to measure on.
pub(super) const EDGE: Pen = Pen::solid(INK, 0.28);

/// Draws corners with their lower left one at `corner`.
pub(super) fn draw(all: &[Detail], page: &mut Page, faces: &Faces, lines: &[(Stroke, Pen)], corner: Point) {
    let rows = if all.iter().any(|d| d.is_upper) { 2.0 } else { 1.0 };
    let above = corner + pt(0.0, rows * (SIDE + LINE) + 1.2);
    page.text(faces, above, Anchor::Left, WORDS, "corners, larger:");
    for detail in all {
        detail.draw(page, faces, lines, corner);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A cross of 600 mm whose four inner corners have a step of 1 mm each.
    fn cross() -> Contour {
        let quarter = [
            (300.0, 100.0),
            (140.0, 100.0),
            (140.0, 101.0),
            (101.0, 101.0),
            (101.0, 140.0),
            (100.0, 140.0),
            (100.0, 300.0),
        ];
        let turned = (0..4).flat_map(|k| quarter.map(|(x, y)| (0..k).fold(pt(x, y), |p, _| pt(-p.y, p.x))));
        Contour::polygon(turned.collect::<Vec<_>>())
    }

    #[test]
    fn steps_at_each_inner_corner_are_one_detail() {
        let found = details(&cross(), 0.12);
        assert_eq!(found.len(), 4);
        let upper_right = found.iter().find(|d| d.words() == "upper right").map(|d| d.window);
        let window = upper_right.unwrap_or(Bounds::EMPTY);
        assert!(window.holds(pt(140.0, 100.0)) && window.holds(pt(100.0, 140.0)) && window.width() < 60.0);
        // Where every step is seen nothing is drawn twice, and where nothing is stepped neither.
        assert!(details(&cross(), 1.5).is_empty());
        assert!(details(&Contour::rectangle(pt(0.0, 0.0), pt(300.0, 200.0)), 0.2).is_empty());
    }
}
