//! What of a template stands at one place of a page: all of it, or one of its tiles.

use super::tile::{Grid, OVERLAP, Template};
use crate::drawing::{Anchor, Drawing as Page, Faces, Pen, Type};
use crate::geom::{Bounds, Contour, Point, Stroke, pt};
use crate::job::Grain;
use crate::profile::OperationKind;
use crate::write::style::{CUT_WEIGHT, FAINT, QUIET, STYLES, pen};

/// Room above a piece for its name, mm.
const LABEL: f64 = 7.0;
/// Half the length of a registration cross, mm.
const CROSS: f64 = 4.0;
const TEXT: Type = Type::new(3.0);

/// A window of a template, with the strip that its label takes: above it, or upright at its right where it is
/// narrow or nearly as high as the page.
#[derive(Clone)]
pub(super) struct Spot<'a> {
    t: &'a Template<'a>,
    window: Bounds,
    /// The tiles that it is one of, and its column and row.
    tile: Option<(Grid, usize, usize)>,
    label: Option<[String; 2]>,
    is_upright: bool,
    /// With its label, mm.
    pub(super) width: f64,
    pub(super) height: f64,
}

impl<'a> Spot<'a> {
    /// The whole piece under its label.
    pub(super) fn whole(t: &'a Template<'a>, label: &[String; 2], room: (f64, f64), faces: &Faces) -> Self {
        let window = Bounds { min: pt(0.0, 0.0), max: pt(t.width, t.height) };
        Self::labelled(t, window, None, label.clone(), room, faces)
    }

    /// The whole piece and no label.
    pub(super) fn bare(t: &'a Template<'a>) -> Self {
        let window = Bounds { min: pt(0.0, 0.0), max: pt(t.width, t.height) };
        Self { t, window, tile: None, label: None, is_upright: false, width: t.width, height: t.height }
    }

    /// One of the tiles of a page each.
    pub(super) fn tile(t: &'a Template<'a>, grid: &Grid, column: usize, row: usize) -> Self {
        let (window, tile) = (grid.tile(column, row), Some((grid.clone(), column, row)));
        let (width, height) = (window.width(), window.height());
        Self { t, window, tile, label: None, is_upright: false, width, height }
    }

    /// The piece in as few alike parts as pages with windows of `room` mm hold, each no larger than it must be.
    pub(super) fn parts(t: &'a Template<'a>, label: &[String; 2], room: (f64, f64), faces: &Faces) -> Vec<Self> {
        let grid = Grid::even(t.width, t.height, (room.0 - LABEL, room.1 - LABEL));
        let [name, rest] = label;
        let part = |row: usize, column: usize| {
            let name = format!("{name}: row {}, column {}", grid.rows - row, column + 1);
            let tile = Some((grid.clone(), column, row));
            Self::labelled(t, grid.tile(column, row), tile, [name, rest.clone()], room, faces)
        };
        (0..grid.rows).rev().flat_map(|r| (0..grid.columns).map(move |c| (r, c))).map(|(r, c)| part(r, c)).collect()
    }

    fn labelled(
        t: &'a Template<'a>,
        window: Bounds,
        tile: Option<(Grid, usize, usize)>,
        label: [String; 2],
        room: (f64, f64),
        faces: &Faces,
    ) -> Self {
        let long = label_length(&label, faces);
        let is_too_high = window.height() + LABEL > room.1 && window.width() + LABEL <= room.0;
        let is_upright = (window.width() < long || is_too_high) && window.height() >= long;
        let (width, height) = if is_upright {
            (window.width() + LABEL, window.height())
        } else {
            (window.width().max(long), window.height() + LABEL)
        };
        Self { t, window, tile, label: Some(label), is_upright, width, height }
    }

    /// The same with its label above it where that was upright beside it, or the other way round; `None` where it is
    /// longer than the side.
    pub(super) fn relabelled(&self, faces: &Faces) -> Option<Self> {
        let long = label_length(self.label.as_ref()?, faces);
        let (w, h) = (self.window.width(), self.window.height());
        let (width, height) = if self.is_upright { (w, h + LABEL) } else { (w + LABEL, h) };
        let side = if self.is_upright { w } else { h };
        (side >= long).then(|| Self { is_upright: !self.is_upright, width, height, ..self.clone() })
    }

    /// Whether it is a part of the piece alone.
    pub(super) fn is_part(&self) -> bool {
        self.tile.is_some()
    }

    /// Draws it with its lower left corner at `at`.
    pub(super) fn draw(&self, page: &mut Page, faces: &Faces, at: Point) {
        if let Some((grid, column, row)) = &self.tile {
            let frame = Contour::rectangle(at, at + pt(self.window.width(), self.window.height()));
            page.shape(vec![frame], None, Some(Pen { dashes: &[1.0, 2.0], ..Pen::solid(FAINT, 0.2) }));
            crosses(page, grid, *column, *row, at);
        }
        self.lines(page, at);
        let Some([name, rest]) = &self.label else { return };
        let end = faces.width(name, TEXT.size, TEXT.bold().weight) + 2.0;
        if self.is_upright {
            let start = at + pt(self.window.width() + 4.5, 0.0);
            page.upright(faces, start, Anchor::Left, TEXT.bold(), name);
            page.upright(faces, start + pt(0.0, end), Anchor::Left, TEXT, &turned(rest));
        } else {
            let start = at + pt(0.0, self.window.height() + 2.0);
            page.text(faces, start, Anchor::Left, TEXT.bold(), name);
            page.text(faces, start + pt(end, 0.0), Anchor::Left, TEXT, rest);
        }
    }

    fn lines(&self, page: &mut Page, at: Point) {
        let seen = self.t.seen(self.window, at);
        page.lines(self.t.seen_behind(self.window, at), Pen { dashes: &[2.0, 1.4], ..Pen::solid(QUIET, 0.25) });
        for style in STYLES.iter().rev() {
            let of = |s: &(OperationKind, Stroke)| (s.0 == style.kind).then(|| s.1.clone());
            let strokes: Vec<Stroke> = seen.iter().filter_map(of).collect();
            let closed: Vec<Contour> = strokes
                .iter()
                .filter_map(|s| if let Stroke::Closed(c) = s { Some(c.clone()) } else { None })
                .filter(|_| style.fill.is_some())
                .collect();
            page.shape(closed, style.fill, None);
            page.lines(strokes, pen(style.kind, CUT_WEIGHT * 1.0));
        }
    }
}

/// How long a label runs, mm.
fn label_length([name, rest]: &[String; 2], faces: &Faces) -> f64 {
    faces.width(name, TEXT.size, TEXT.bold().weight) + faces.width(rest, TEXT.size, TEXT.weight) + 3.0
}

/// A text with arrows as it is written upright: they turn with it, and are to lie on the page as they are meant.
fn turned(text: &str) -> String {
    let other = |c| match c {
        '\u{2194}' => '\u{2195}',
        '\u{2195}' => '\u{2194}',
        c => c,
    };
    text.chars().map(other).collect()
}

/// Which way the grain runs on the page, after a comma.
pub(super) fn grain(t: &Template<'_>) -> &'static str {
    match t.piece.grain {
        Grain::None => "",
        Grain::Height if t.is_turned => ", grain \u{2194}",
        Grain::Width if !t.is_turned => ", grain \u{2194}",
        Grain::Height | Grain::Width => ", grain \u{2195}",
    }
}

/// Registration crosses on the middle of each overlap: at its ends and, where it is long, at the quarters.
fn crosses(page: &mut Page, grid: &Grid, column: usize, row: usize, at: Point) {
    let (w, h) = grid.window;
    let middle = OVERLAP / 2.0;
    let mut places: Vec<Point> = Vec::new();
    // Fewer where they would run into each other, one in the middle where two would.
    let steps = |size: f64| {
        let n = if size < 3.0 * OVERLAP { 0 } else { ((size - OVERLAP) / 20.0).floor().clamp(1.0, 4.0) as usize };
        let (from, by) = if n == 0 { (size / 2.0, 0.0) } else { (middle, (size - OVERLAP) / n as f64) };
        (0..=n).map(move |k| from + by * k as f64)
    };
    if column > 0 {
        places.extend(steps(h).map(|y| pt(middle, y)));
    }
    if column + 1 < grid.columns {
        places.extend(steps(h).map(|y| pt(w - middle, y)));
    }
    if row > 0 {
        places.extend(steps(w).map(|x| pt(x, middle)));
    }
    if row + 1 < grid.rows {
        places.extend(steps(w).map(|x| pt(x, h - middle)));
    }
    let pen = Pen::solid(QUIET, 0.15);
    let mut drawn: Vec<Point> = Vec::new();
    for p in places {
        if drawn.iter().any(|q| q.distance(p) < 0.01) {
            continue;
        }
        drawn.push(p);
        let c = at + p;
        page.line(c - pt(CROSS, 0.0), c + pt(CROSS, 0.0), pen);
        page.line(c - pt(0.0, CROSS), c + pt(0.0, CROSS), pen);
        page.shape(vec![Contour::circle(c, CROSS / 2.0)], None, Some(pen));
    }
}
