//! Radii and diameters, written beside one of the arcs that have them.

use super::bands::{LINE, arrow};
use super::figures::{FIGURE, Figures};
use super::ordinates::circle;
use crate::drawing::{Drawing as Page, Faces, Pen};
use crate::geom::{Bounds, Contour, Path, Point, Segment, Stroke, Vertex, pt};
use crate::units::{Unit, mm};

/// How far from its arc a note is tried, mm, and in which directions beside the arc's own, radians.
const REACHES: [f64; 6] = [4.0, 6.0, 9.0, 12.0, 16.0, 22.0];
const TURNS: [f64; 5] = [0.0, 0.5, -0.5, 1.0, -1.0];
/// What a note keeps from lines and from others, mm.
const APART: f64 = 0.6;

/// All arcs of one radius.
pub(super) struct Radius {
    pub(super) figures: Figures,
    /// The middle of each arc, and the way from its centre.
    arcs: Vec<(Point, Point)>,
}

/// The radii of a piece's contours, the largest number of arcs first.
pub(super) fn radii<'c>(contours: impl Iterator<Item = &'c Contour>, unit: Unit) -> Vec<Radius> {
    let mut found: Vec<(String, Radius)> = Vec::new();
    let mut note = |sign: &str, length: f64, arc: (Point, Point)| {
        let figures = Figures::of(mm(length), unit).after(sign);
        let key = figures.in_words();
        match found.iter_mut().find(|(k, _)| *k == key) {
            Some((_, radius)) => radius.arcs.push(arc),
            None => found.push((key, Radius { figures, arcs: vec![arc] })),
        }
    };
    for contour in contours {
        if let (Some(center), Some(first)) = (circle(contour), contour.segments().next()) {
            let out = Point::unit(0.7);
            note("\u{2300}", 2.0 * first.radius(), (center + out * first.radius(), out));
            continue;
        }
        for s in contour.segments().filter(|s| !s.is_line()) {
            let middle = s.point_at(0.5);
            let Some(out) = s.center().and_then(|c| (middle - c).normalized()) else { continue };
            note("R", s.radius(), (middle, out));
        }
    }
    found.sort_by_key(|(_, r)| std::cmp::Reverse(r.arcs.len()));
    let many = |(_, r): (String, Radius)| {
        let n = r.arcs.len();
        let figures = if n > 1 { r.figures.after(&format!("{n} \u{d7}")) } else { r.figures };
        Radius { figures, ..r }
    };
    found.into_iter().map(many).collect()
}

/// A note that found its place.
pub(super) struct Note {
    tip: Point,
    elbow: Point,
    figures: Figures,
    start: Point,
    end: Point,
    is_over_lines: bool,
}

/// What a note must keep clear of, in mm on the page.
pub(super) struct Obstacles {
    /// Lines of the piece.
    pub(super) thick: Vec<Segment>,
    /// Extension lines, crossed if need be.
    pub(super) thin: Vec<(Point, Point)>,
    /// Other texts.
    pub(super) taken: Vec<Bounds>,
}

impl Radius {
    /// The note beside one of its arcs, in a piece drawn at `scale` with its origin at `origin`; `None` where no place
    /// in `room` is free.
    pub(super) fn place(
        &self,
        faces: &Faces,
        room: Bounds,
        origin: Point,
        scale: f64,
        all: &mut Obstacles,
    ) -> Option<Note> {
        let width = self.figures.width(faces);
        let tries = [false, true].into_iter().flat_map(|over| {
            REACHES.into_iter().flat_map(move |reach| {
                TURNS.into_iter().flat_map(move |turn| [(over, reach, turn, 1.0), (over, reach, turn, -1.0)])
            })
        });
        for (over, reach, turn, side) in tries {
            for (middle, out) in &self.arcs {
                let tip = origin + *middle * scale;
                let way = (*out * side).rotated(turn);
                let elbow = tip + way * reach;
                let is_right = way.x >= 0.0;
                let start = elbow + if is_right { pt(0.4, 0.5) } else { pt(-0.4 - width, 0.5) };
                let end = elbow + pt(if is_right { width + 0.8 } else { -width - 0.8 }, 0.0);
                let box_of =
                    Bounds { min: start - pt(0.0, 0.25 * FIGURE.size), max: start + pt(width, 0.8 * FIGURE.size) };
                let grown = box_of.grown(APART);
                let is_free = room.contains(grown, 0.0)
                    && all.taken.iter().all(|t| !t.overlaps(grown, 0.0))
                    && all.thick.iter().all(|s| !grown.is_crossed(s.start, s.end))
                    && !all.thick.iter().any(|s| meet(tip + way * 0.5, elbow, s.start, s.end))
                    && (over || all.thin.iter().all(|(a, b)| !box_of.is_crossed(*a, *b)));
                if is_free {
                    all.taken.push(box_of);
                    all.thin.push((tip, elbow));
                    return Some(Note { tip, elbow, figures: self.figures.clone(), start, end, is_over_lines: over });
                }
            }
        }
        None
    }
}

impl Note {
    pub(super) fn draw(&self, page: &mut Page, faces: &Faces, moved: Point) {
        let vertices = [self.tip, self.elbow, self.end].map(|p| Vertex::new(p + moved, 0.0));
        if self.is_over_lines {
            let width = self.figures.width(faces);
            let low = self.start + moved - pt(0.2, 0.2);
            let ground = Contour::rectangle(low, low + pt(width + 0.4, FIGURE.size));
            page.shape(vec![ground], Some([255, 255, 255]), None);
        }
        page.lines(vec![Stroke::Open(Path::new(vertices))], Pen { ..LINE });
        arrow(page, self.elbow + moved, self.tip + moved);
        self.figures.put(page, faces, self.start + moved, false);
    }
}

/// Whether two straight lines cross.
fn meet(a: Point, b: Point, c: Point, d: Point) -> bool {
    let side = |p: Point, q: Point, r: Point| (q - p).cross(r - p);
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}
