//! The strips beside a drawing in which its measures stand.

use super::figures::{Figures, MIDDLE, PITCH};
use super::ordinates::{Axis, Ordinate};
use super::spread::spread;
use crate::drawing::{Drawing as Page, Faces, Pen};
use crate::geom::{Bounds, Contour, Path, Point, Stroke, pt};
use crate::write::style::INK;

/// Dimension and extension lines.
pub(super) const LINE: Pen = Pen::solid(INK, 0.13);
/// From the drawing to the dimension line, mm.
const OFF: f64 = 3.4;
/// The same where the figure stands between them.
const OFF_ABOVE: f64 = 4.8;
/// How far an extension line goes beyond the dimension line, mm.
const BEYOND: f64 = 1.2;
/// From the end of an extension line to its figure, and from a line to the figure above it, mm.
const CLEAR: f64 = 0.7;
/// An arrow's length and half its width, mm: 15 degrees between its barbs.
const ARROW: (f64, f64) = (2.0, 0.27);
/// The radius of the circle at the origin, mm.
const ORIGIN: f64 = 0.7;

/// At which edge of the drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Edge {
    Bottom,
    Top,
    Left,
    Right,
}

impl Edge {
    pub(super) const ALL: [Self; 4] = [Self::Bottom, Self::Top, Self::Left, Self::Right];

    pub(super) fn axis(self) -> Axis {
        match self {
            Self::Bottom | Self::Top => Axis::X,
            Self::Left | Self::Right => Axis::Y,
        }
    }

    /// The point of a page at `u` along the edge and `v` outwards from it.
    fn at(self, room: Bounds, u: f64, v: f64) -> Point {
        match self {
            Self::Bottom => pt(u, room.min.y - v),
            Self::Top => pt(u, room.max.y + v),
            Self::Left => pt(room.min.x - v, u),
            Self::Right => pt(room.max.x + v, u),
        }
    }

    /// How far outwards from the edge a place along the other axis is; inside it is below zero.
    fn out(self, room: Bounds, across: f64) -> f64 {
        match self {
            Self::Bottom => room.min.y - across,
            Self::Top => across - room.max.y,
            Self::Left => room.min.x - across,
            Self::Right => across - room.max.x,
        }
    }
}

/// One distance in a band.
struct Mark {
    at: f64,
    /// Where the piece is that it is the distance of, along the other axis.
    from: f64,
    figures: Figures,
    width: f64,
}

/// The measures at one edge: running dimensions from the origin, or one length alone.
pub(super) struct Band {
    edge: Edge,
    marks: Vec<Mark>,
    is_one_length: bool,
    /// In how many rows its figures stand, every other one in the farther where there are two.
    rows: usize,
}

/// What it costs to measure at a second edge too, in ways across the piece (our choice).
const SECOND: f64 = 0.6;

/// The bands that hold all distances of a piece of this size drawn at `scale`, their figures in so many rows.
pub(super) fn bands(
    (xs, ys): (&[Ordinate], &[Ordinate]),
    (width, height): (f64, f64),
    (scale, rows): (f64, usize),
    faces: &Faces,
) -> Vec<Band> {
    let mut all = along([Edge::Bottom, Edge::Top], xs, width, height, scale, faces);
    all.extend(along([Edge::Left, Edge::Right], ys, height, width, scale, faces));
    all.into_iter().map(|band| Band { rows, ..band }).collect()
}

/// The bands along one axis: at the first edge, at the second, or each distance at the one that it is nearer to,
/// whichever lets extension lines run the least across the piece.
fn along(edges: [Edge; 2], all: &[Ordinate], long: f64, across: f64, scale: f64, faces: &Faces) -> Vec<Band> {
    let across = across.max(1e-6);
    let far = |o: &Ordinate, edge: usize| if edge == 0 { o.least / across } else { (across - o.most) / across };
    let nearer = |o: &Ordinate| usize::from(far(o, 0) > far(o, 1) + 0.02);
    let [_, rest @ ..] = all else { return Vec::new() };
    let ways: [&dyn Fn(&Ordinate) -> usize; 3] = [&|_| 0, &|_| 1, &nearer];
    let cost = |way: usize| -> f64 {
        let crossed: f64 = rest.iter().map(|o| far(o, ways[way](o))).sum();
        let count = |edge| rest.iter().filter(|o| ways[way](o) == edge).count().min(all.len());
        // Figures that run out of their room bend their lines aside.
        let crowd = |edge| (count(edge) as f64 * PITCH / (long * scale).max(PITCH) - 1.0).max(0.0);
        crossed + crowd(0) + crowd(1) + [0.0, 0.05, SECOND][way]
    };
    let costs = [cost(0), cost(1), cost(2)];
    let best = (0..3).min_by(|a, b| costs[*a].total_cmp(&costs[*b])).unwrap_or_default();
    let band = |n: usize| {
        let mark = |o: &Ordinate| Mark {
            at: o.at,
            from: if n == 0 { o.least } else { o.most },
            figures: o.figures.clone(),
            width: o.figures.width(faces),
        };
        // The origin is in every band.
        let held = all.iter().enumerate().filter(|(k, o)| *k == 0 || ways[best](o) == n);
        let marks: Vec<Mark> = held.map(|(_, o)| mark(o)).collect();
        let [_, .., last] = marks.as_slice() else { return None };
        let is_long = long * scale >= last.width + 5.0;
        let is_one_length = n == 0 && all.len() == 2 && (last.at - long).abs() < 1e-6 && is_long;
        Some(Band { edge: edges[n], marks, is_one_length, rows: 1 })
    };
    [0, 1].into_iter().filter_map(band).collect()
}

impl Band {
    pub(super) fn edge(&self) -> Edge {
        self.edge
    }

    /// The room along the edge that its figures take, mm.
    pub(super) fn needs(&self) -> f64 {
        if self.is_one_length { 0.0 } else { (self.marks.len() - 1) as f64 * self.pitch() }
    }

    fn pitch(&self) -> f64 {
        PITCH / self.rows as f64
    }

    /// The longest figure, mm.
    fn longest(&self) -> f64 {
        self.marks.iter().map(|m| m.width).fold(0.0, f64::max)
    }

    /// Where the middles of the figures stand along the edge of a room from `low` to `high`, where the origin is at `origin`, and by how
    /// much the lines to them bend aside.
    fn places(&self, (low, high): (f64, f64), origin: f64, scale: f64) -> (Vec<f64>, f64) {
        let wanted: Vec<f64> = self.marks.iter().map(|m| origin + m.at * scale).collect();
        let places = spread(&wanted, self.pitch(), low, high);
        let most = places.iter().zip(&wanted).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        let bend = if most < 0.05 { 0.0 } else { (most * 0.5).clamp(1.5, 8.0) };
        (places, bend)
    }

    /// How far outwards it reaches, mm.
    pub(super) fn depth(&self, along: (f64, f64), origin: f64, scale: f64) -> f64 {
        let longest = self.rows as f64 * (self.longest() + 2.0 * CLEAR);
        match (self.is_one_length, self.edge) {
            (true, Edge::Bottom | Edge::Top) => OFF_ABOVE + BEYOND,
            (true, Edge::Left | Edge::Right) => OFF + CLEAR + PITCH,
            _ => OFF + BEYOND + self.places(along, origin, scale).1 + longest,
        }
    }

    /// The extension lines inside `room`, which nothing else should be written over.
    pub(super) fn inner_lines(&self, room: Bounds, origin: Point, scale: f64) -> Vec<(Point, Point)> {
        let line = |m: &Mark| {
            let u = self.edge.axis().of(origin) + m.at * scale;
            let v = self.edge.out(room, self.edge.axis().across(origin) + m.from * scale);
            (self.edge.at(room, u, v), self.edge.at(room, u, 0.0))
        };
        self.marks.iter().map(line).collect()
    }

    /// Draws it beside `room`, on which the piece's origin is at `origin`.
    pub(super) fn draw(&self, page: &mut Page, faces: &Faces, room: Bounds, origin: Point, scale: f64) {
        let (edge, axis) = (self.edge, self.edge.axis());
        let at = |u: f64, v: f64| edge.at(room, u, v);
        let places: Vec<f64> = self.marks.iter().map(|m| axis.of(origin) + m.at * scale).collect();
        let begun = |m: &Mark| edge.out(room, axis.across(origin) + m.from * scale);
        let (Some(first), Some(last)) = (places.first(), places.last()) else { return };
        let mut lines: Vec<Stroke> = Vec::new();
        let mut stroke = |points: &[Point]| {
            let vertices = points.iter().map(|p| crate::geom::Vertex::new(*p, 0.0));
            lines.push(Stroke::Open(Path::new(vertices)));
        };
        if self.is_one_length {
            let off = if axis == Axis::X { OFF_ABOVE } else { OFF };
            for (mark, u) in self.marks.iter().zip(&places) {
                stroke(&[at(*u, begun(mark)), at(*u, off + BEYOND)]);
            }
            stroke(&[at(*first, off), at(*last, off)]);
            page.lines(lines, LINE);
            arrow(page, at(*first, off), at(*last, off));
            arrow(page, at(*last, off), at(*first, off));
            let Some(mark) = self.marks.last() else { return };
            let start = first.midpoint(*last) - mark.width / 2.0;
            // Above its line, seen from below or from the right.
            if axis == Axis::X {
                mark.figures.put(page, faces, at(start, off - CLEAR), false);
            } else {
                mark.figures.put(page, faces, at(start, off + CLEAR), true);
            }
            return;
        }
        let along = match axis {
            Axis::X => (room.min.x, room.max.x),
            Axis::Y => (room.min.y, room.max.y),
        };
        let (stands, bend) = self.places(along, axis.of(origin), scale);
        let end = OFF + BEYOND + bend;
        for (k, ((mark, u), to)) in self.marks.iter().zip(&places).zip(&stands).enumerate() {
            let end = end + (k % self.rows) as f64 * (self.longest() + 2.0 * CLEAR);
            if bend > 0.0 {
                let bent = OFF + BEYOND / 2.0 + bend;
                stroke(&[at(*u, begun(mark)), at(*u, OFF + BEYOND / 2.0), at(*to, bent), at(*to, end)]);
            } else {
                stroke(&[at(*u, begun(mark)), at(*u, end)]);
            }
            let v = end + CLEAR;
            match edge {
                Edge::Bottom => mark.figures.put(page, faces, at(*to + MIDDLE, v + mark.width), true),
                Edge::Top => mark.figures.put(page, faces, at(*to + MIDDLE, v), true),
                Edge::Left => mark.figures.put(page, faces, at(*to - MIDDLE, v + mark.width), false),
                Edge::Right => mark.figures.put(page, faces, at(*to - MIDDLE, v), false),
            }
        }
        stroke(&[at(*first, OFF), at(*last, OFF)]);
        // Where there is no room for an arrow an oblique stroke ends the dimension.
        let tick = |p: Point| [p - pt(0.7, 0.7), p + pt(0.7, 0.7)];
        let mut arrows = Vec::new();
        for pair in places.windows(2) {
            if pair[1] - pair[0] >= ARROW.0 + 0.4 {
                arrows.push((at(pair[0], OFF), at(pair[1], OFF)));
            } else {
                stroke(&tick(at(pair[1], OFF)));
            }
        }
        page.lines(lines, LINE);
        for (from, to) in arrows {
            arrow(page, from, to);
        }
        page.shape(
            vec![Contour::circle(at(*first, OFF), ORIGIN)],
            Some([255, 255, 255]),
            Some(Pen { width: 0.2, ..LINE }),
        );
    }
}

/// An arrow that comes from `from` and points at `to`.
pub(super) fn arrow(page: &mut Page, from: Point, to: Point) {
    let Some(along) = (to - from).normalized() else { return };
    let (back, aside) = (to - along * ARROW.0, along.left() * ARROW.1);
    page.shape(vec![Contour::polygon([to, back + aside, back - aside])], Some(INK), None);
}
