//! Pieces drawn with their measures, to be marked out by a rule: no template is needed then.
//!
//! A piece lies as it is cut, the lower left corner of the rectangle round it at the origin. Each of its corners, slots,
//! pockets and slits is given from two edges of that rectangle, by running dimensions along both axes; a plain length
//! is a dimension of its own; round corners have their radius besides. Lines, arrows, the circle at the origin, and
//! figures that stand above their line or in line with an extension line, to be read from below and from the right, are as
//! ISO 129-1 has them (from memory). In brackets, smaller, stands the exact measure where the figure is what a hand can
//! mark.

mod bands;
mod details;
mod figures;
mod ordinates;
mod radii;
mod spread;

use super::parts::{face_up, is_mirrored, piece_name, wrapped};
use crate::design::Piece;
use crate::drawing::{Anchor, Drawing as Page, Faces, Pen, Type};
use crate::geom::{Bounds, Contour, Path, Point, Stroke, Transform, Vertex, pt};
use crate::job::{Grain, Job, StockKind};
use crate::profile::OperationKind;
use crate::units::mm;
use crate::write::style::{CUT_WEIGHT, QUIET, pen, style};
use bands::{Band, Edge, bands};
use details::{Detail, details};
use ordinates::{Axis, Ordinate, ends, ordinates, points};
use radii::{Note, Obstacles, Radius, radii};

/// The outline's weight, and that of everything inside it, mm.
const OUTLINE: f64 = CUT_WEIGHT;
const INSIDE: f64 = 0.2;
/// The least beside a drawing, mm.
const FREE: f64 = 1.5;
/// So many different distances along one axis find room on a page in two rows at each of two edges.
const MOST_FIGURES: usize = 150;
/// What a cell keeps free inside its rectangle, mm.
const RIM: f64 = 2.0;
/// What corners drawn larger take beside a piece, mm.
pub(super) const DETAILS: f64 = details::WIDTH;
/// A drawing is made smaller by so much at the most for the sake of corners drawn larger.
const KEPT: f64 = 0.6;
/// The narrowest that words are set, mm.
const NARROW: f64 = 33.0;
const NAME: Type = Type::new(3.1).bold();
const WORDS: Type = Type::new(2.6);
const LEAD: f64 = 1.35;

/// A piece with all that is to be measured on it.
pub(super) struct Measured<'a> {
    piece: &'a Piece,
    name: String,
    words: Vec<String>,
    outline: Contour,
    holes: Vec<Contour>,
    pockets: Vec<Contour>,
    /// What is cut into the face that lies down.
    behind: Vec<Contour>,
    slits: Vec<Path>,
    creases: Vec<Path>,
    /// What lies on it, by name.
    beside: Option<(Contour, &'static str)>,
    xs: Vec<Ordinate>,
    ys: Vec<Ordinate>,
    radii: Vec<Radius>,
}

/// Whether the measures of a piece tell all of it: an outline that is followed by chords wants a template, and so does
/// one with more corners than a page has room for.
pub(super) fn tells_all(piece: &Piece) -> bool {
    let closed: Vec<&Contour> = closed(piece).collect();
    given(&closed, &open(piece).collect::<Vec<_>>()).1
}

/// The closed lines of a piece, its outline first.
fn closed(piece: &Piece) -> impl Iterator<Item = &Contour> {
    std::iter::once(&piece.outline).chain(&piece.holes).chain(piece.all_pockets().map(|p| &p.outline))
}

/// The open lines of a piece. Nobody creases cloth or liner: there creases only show where folds come to lie.
fn open(piece: &Piece) -> impl Iterator<Item = &Path> {
    let is_creased = piece.stock == StockKind::Board;
    piece.slits.iter().chain(piece.creases.iter().filter(move |_| is_creased))
}

/// The points by which lines are given, an outline the first of them, and whether these are all that they have.
fn given(closed: &[&Contour], open: &[&Path]) -> (Vec<Point>, bool) {
    let mut found = Vec::new();
    let mut is_all = true;
    for (more, all) in closed.iter().map(|c| points(c)) {
        found.extend(more);
        is_all &= all;
    }
    found.extend(open.iter().flat_map(|p| ends(p)));
    let count = |axis: Axis| {
        let mut places: Vec<i64> = found.iter().map(|p| (axis.of(*p) * 10.0).round() as i64).collect();
        places.sort_unstable();
        places.dedup();
        places.len()
    };
    if count(Axis::X).max(count(Axis::Y)) <= MOST_FIGURES {
        return (found, is_all);
    }
    (closed.first().map(|c| ordinates::outermost_of(c)).unwrap_or_default(), false)
}

impl<'a> Measured<'a> {
    /// A piece of a job; `beside` is what lies on it, in the same coordinates, and its name.
    pub(super) fn of(piece: &'a Piece, job: &Job, beside: Option<(&Contour, &'static str)>) -> Self {
        let mirrored = Transform { mirrored: is_mirrored(job, piece), ..Transform::IDENTITY };
        let put = Transform { shift: -piece.outline.transformed(&mirrored).bounds().min, ..mirrored };
        let moved = |c: &Contour| c.transformed(&put);
        let outline = moved(&piece.outline);
        let holes: Vec<Contour> = piece.holes.iter().map(moved).collect();
        let pockets: Vec<Contour> = piece.pockets.iter().map(|p| moved(&p.outline)).collect();
        let behind: Vec<Contour> = piece.back_pockets.iter().map(|p| moved(&p.outline)).collect();
        let slits: Vec<Path> = piece.slits.iter().map(|s| s.transformed(&put)).collect();
        let creases: Vec<Path> = open(piece).skip(slits.len()).map(|s| s.transformed(&put)).collect();
        let beside = beside.map(|(c, name)| (moved(c), name));

        let closed: Vec<&Contour> = std::iter::once(&outline).chain(&holes).chain(&pockets).chain(&behind).collect();
        let (mut given, is_drawn_whole) = given(&closed, &slits.iter().chain(&creases).collect::<Vec<_>>());
        given.extend(beside.iter().flat_map(|b| points(&b.0).0));
        let sizes: Vec<Bounds> = holes
            .iter()
            .chain(&pockets)
            .chain(&behind)
            .filter(|c| ordinates::circle(c).is_none())
            .map(Contour::bounds)
            .collect();
        let along = |axis| ordinates(&given, &sizes, axis, job.units);
        let radii = if is_drawn_whole { radii(closed.into_iter(), job.units) } else { Vec::new() };
        let mut words = vec![format!("cut {}", piece.needed(job.copies)), face_up(job, piece)];
        match piece.grain {
            Grain::Width => words.push("grain \u{2194}".into()),
            Grain::Height => words.push("grain \u{2195}".into()),
            Grain::None => {}
        }
        if let Some(pocket) = piece.pockets.first() {
            words.push(format!("pockets {} deep", job.units.show(pocket.depth)));
        }
        if let Some(pocket) = piece.back_pockets.first() {
            words.push(format!("dashed: a recess in the other face, {} deep", job.units.show(pocket.depth)));
        }
        if !is_drawn_whole {
            words.push("the rest by the template".into());
        }
        Self {
            name: piece_name(piece),
            words,
            xs: along(Axis::X),
            ys: along(Axis::Y),
            radii,
            piece,
            outline,
            holes,
            pockets,
            behind,
            slits,
            creases,
            beside,
        }
    }

    /// Its width and height, mm.
    pub(super) fn size(&self) -> (f64, f64) {
        let b = self.outline.bounds();
        (b.width(), b.height())
    }

    pub(super) fn stock(&self) -> StockKind {
        self.piece.stock
    }

    /// All of it at a scale, with its origin at `origin`.
    fn at(&self, scale: f64, origin: Point) -> Scaled {
        Scaled { scale, origin }
    }
}

/// Lines at a scale, moved.
#[derive(Clone, Copy)]
struct Scaled {
    scale: f64,
    origin: Point,
}

impl Scaled {
    fn vertex(self, v: &Vertex) -> Vertex {
        Vertex::new(self.origin + v.point() * self.scale, v.bulge)
    }

    fn closed(self, c: &Contour) -> Contour {
        Contour::new(c.vertices().iter().map(|v| self.vertex(v)))
    }

    fn open(self, p: &Path) -> Stroke {
        Stroke::Open(Path::new(p.vertices().iter().map(|v| self.vertex(v))))
    }
}

/// A measured piece as it stands on a page, in a rectangle of its own.
pub(super) struct Cell<'a> {
    of: &'a Measured<'a>,
    scale: f64,
    /// The least that it takes, mm.
    pub(super) width: f64,
    pub(super) height: f64,
    /// Room for the drawing and what stands in it, its lower left corner at 0.
    room: Bounds,
    origin: Point,
    bands: Vec<Band>,
    /// How far they reach: below, above, left, right.
    depths: [f64; 4],
    notes: Vec<Note>,
    lines: Vec<String>,
    /// Corners drawn larger at its right.
    details: Vec<Detail>,
}

impl<'a> Cell<'a> {
    /// What its piece is cut from.
    pub(super) fn stock(&self) -> StockKind {
        self.of.stock()
    }

    /// At a scale, its figures in so many rows.
    pub(super) fn of(of: &'a Measured<'a>, (scale, rows): (f64, usize), faces: &Faces) -> Self {
        let (width, height) = of.size();
        let bands = bands((&of.xs, &of.ys), (width, height), (scale, rows), faces);
        let needs = |axis: Axis| bands.iter().filter(|b| b.edge().axis() == axis).map(Band::needs).fold(0.0, f64::max);
        let room = pt((width * scale).max(needs(Axis::X)), (height * scale).max(needs(Axis::Y)));
        let room = Bounds { min: pt(0.0, 0.0), max: room };
        let origin = room.center() - pt(width, height) * (scale / 2.0);
        let depth = |edge: Edge| {
            let along = if edge.axis() == Axis::X { (0.0, room.max.x) } else { (0.0, room.max.y) };
            let band = bands.iter().find(|b| b.edge() == edge);
            band.map_or(0.0, |b| b.depth(along, edge.axis().of(origin), scale))
        };
        // A figure at the very end of the room stands half beyond it.
        let depths = Edge::ALL.map(|edge| depth(edge).max(FREE));

        let placed = of.at(scale, origin);
        let mut all = Obstacles { thick: Vec::new(), thin: Vec::new(), taken: Vec::new() };
        let closed = std::iter::once(&of.outline).chain(&of.holes).chain(&of.pockets).chain(&of.behind);
        all.thick.extend(
            closed.flat_map(|c| Contour::polygon(placed.closed(c).flatten(0.1)).segments().collect::<Vec<_>>()),
        );
        all.thick.extend(of.slits.iter().chain(&of.creases).flat_map(|p| placed.open(p).segments()));
        all.thin.extend(bands.iter().flat_map(|b| b.inner_lines(room, origin, scale)));
        if let Some((lies, name)) = &of.beside {
            all.taken.push(name_of(&placed.closed(lies), name, faces));
        }
        let mut notes = Vec::new();
        let mut words = of.words.clone();
        for radius in &of.radii {
            match radius.place(faces, room, origin, scale, &mut all) {
                Some(note) => notes.push(note),
                None => words.push(radius.figures.in_words()),
            }
        }
        let [low, high, left, right] = depths;
        let inner = (room.max.x + left + right).max(NARROW).max(faces.width(&of.name, NAME.size, NAME.weight));
        let lines = listed(faces, &words, inner);
        let widest = lines.iter().map(|l| faces.width(l, WORDS.size, WORDS.weight)).fold(inner, f64::max);
        let head = NAME.size * LEAD + lines.len() as f64 * WORDS.size * LEAD + 1.0;
        let size = pt(widest, room.max.y + low + high + head) + pt(2.0 * RIM, 2.0 * RIM);
        let details = Vec::new();
        Self { of, scale, width: size.x, height: size.y, room, origin, bands, depths, notes, lines, details }
    }

    /// The same with corners that are too small to be seen drawn larger at its right; `None` where it has none, where
    /// `room` is short, or where it would be much smaller than `plain`.
    pub(super) fn detailed(self, plain: &Self, room: Point) -> Option<Self> {
        let found = details(&self.of.outline, self.scale);
        let words = self.height - self.room.max.y - self.depths[0] - self.depths[1];
        let (width, height) = (self.width + details::WIDTH, self.height.max(words + details::HEIGHT));
        let is_worth_it = !found.is_empty() && self.scale >= KEPT * plain.scale;
        (is_worth_it && width <= room.x && height <= room.y).then_some(Self { details: found, width, height, ..self })
    }

    /// Draws it into a rectangle that is at least as large as it needs, its name at the top.
    pub(super) fn draw(&self, page: &mut Page, faces: &Faces, mut cell: Bounds) {
        let [low, high, left, right] = self.depths;
        if !self.details.is_empty() {
            cell.max.x -= details::WIDTH;
            let corner =
                pt(cell.max.x, cell.min.y + RIM + (cell.height() - 2.0 * RIM - details::HEIGHT).max(0.0) / 3.0);
            details::draw(&self.details, page, faces, &self.corner_lines(), corner);
        }
        let mut y = cell.max.y - RIM;
        for (kind, text) in std::iter::once((NAME, &self.of.name)).chain(self.lines.iter().map(|l| (WORDS, l))) {
            y -= kind.size * LEAD;
            page.text(faces, pt(cell.min.x + RIM, y + kind.size * 0.3), Anchor::Left, kind, text);
        }
        // The middle of what is left below the words.
        let spare =
            pt(cell.width() - self.room.max.x - left - right, y - 1.0 - cell.min.y - self.room.max.y - low - high);
        let at = cell.min + pt(left, low) + spare / 2.0;
        let room = Bounds { min: at, max: at + self.room.max };
        let origin = at + self.origin;
        self.lines_of(page, faces, origin);
        for band in &self.bands {
            band.draw(page, faces, room, origin, self.scale);
        }
        for note in &self.notes {
            note.draw(page, faces, at);
        }
    }

    /// What corners drawn larger show, on the piece.
    fn corner_lines(&self) -> Vec<(Stroke, Pen)> {
        let of = self.of;
        let dashed = Pen { dashes: &[2.0, 1.4], ..Pen::solid(QUIET, INSIDE) };
        let lies = of.beside.iter().map(|(c, _)| (Stroke::Closed(c.clone()), dashed));
        let slits = of.slits.iter().map(|p| (Stroke::Open(p.clone()), details::EDGE));
        let closed = std::iter::once(&of.outline).chain(&of.holes);
        lies.chain(slits).chain(closed.map(|c| (Stroke::Closed(c.clone()), details::EDGE))).collect()
    }

    fn lines_of(&self, page: &mut Page, faces: &Faces, origin: Point) {
        let (of, placed) = (self.of, self.of.at(self.scale, origin));
        let closed = |all: &[Contour]| all.iter().map(|c| placed.closed(c)).collect::<Vec<_>>();
        let inside = |kind| pen(kind, INSIDE);
        if let Some((lies, name)) = &of.beside {
            let outline = placed.closed(lies);
            let dashed = Pen { dashes: &[2.0, 1.4], ..Pen::solid(QUIET, INSIDE) };
            let b = name_of(&outline, name, faces);
            page.text(faces, pt(b.center().x, b.min.y + 0.24 * WORDS.size), Anchor::Middle, WORDS.color(QUIET), name);
            page.shape(vec![outline], None, Some(dashed));
        }
        let pocket = OperationKind::HalfDepthPocket;
        page.shape(closed(&of.pockets), style(pocket).fill, Some(inside(pocket)));
        page.shape(
            closed(&of.behind),
            None,
            Some(Pen { dashes: &[2.0, 1.4], ..Pen::solid(style(pocket).color, INSIDE) }),
        );
        let (slots, windows) = of.holes.split_at(of.piece.slots().len());
        page.shape(closed(slots), Some([255, 255, 255]), Some(inside(OperationKind::ThroughCut)));
        // A window is as large as a piece, and as plain to be seen.
        if !windows.is_empty() {
            page.shape(closed(windows), Some([255, 255, 255]), Some(pen(OperationKind::ThroughCut, OUTLINE)));
        }
        let open = |all: &[Path]| all.iter().map(|p| placed.open(p)).collect::<Vec<_>>();
        page.lines(open(&of.creases), inside(OperationKind::CreaseScore));
        page.lines(open(&of.slits), Pen { width: 0.25, ..inside(OperationKind::ThroughCut) });
        page.shape(closed(std::slice::from_ref(&of.outline)), None, Some(pen(OperationKind::ThroughCut, OUTLINE)));
    }
}

/// Items in lines of at most `room` mm, a comma between each two; one longer than a line is broken.
fn listed(faces: &Faces, items: &[String], room: f64) -> Vec<String> {
    let width = |t: &str| faces.width(t, WORDS.size, WORDS.weight);
    let mut lines: Vec<String> = Vec::new();
    for (k, item) in items.iter().enumerate() {
        let item = if k + 1 < items.len() { format!("{item},") } else { item.clone() };
        match lines.last_mut() {
            Some(line) if width(&format!("{line} {item}")) <= room => {
                line.push(' ');
                line.push_str(&item);
            }
            _ => lines.extend(wrapped(faces, &item, WORDS, room)),
        }
    }
    lines
}

/// Where the name of what lies on a piece stands: in its middle.
fn name_of(lies: &Contour, name: &str, faces: &Faces) -> Bounds {
    let half = pt(faces.width(name, WORDS.size, WORDS.weight), WORDS.size) / 2.0;
    let c = lies.bounds().center();
    Bounds { min: c - half, max: c + half }
}

/// The scale at which what is `size` long takes `room`, mm, at most its own size.
pub(super) fn scale_for(size: f64, room: f64) -> f64 {
    (room / mm(size).to_mm().max(1e-6)).min(1.0)
}
