//! What was asked for: the nominal pieces where they lie on the bed, and every line of them.

use super::boxes::Boxes;
use super::read::dxf::Drawn;
use super::read::manifest::{ListedSheet, Manifest, Mark, Vertex, vertex};
use crate::geom::{Bounds, Contour, Path, Point, Segment, Stroke, Transform, pt};
use crate::job::StockKind;
use crate::profile::OperationKind;
use std::collections::BTreeMap;

/// The classes of lines in the order in which they are worked on a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// A line drawn.
    Mark,
    /// A line pressed or scored.
    Crease,
    /// A recess.
    Pocket,
    /// An opening.
    Hole,
    /// An open cut.
    Slit,
    /// The piece's edge.
    Outline,
}

impl Class {
    /// The operation that makes it.
    pub const fn kind(self) -> OperationKind {
        match self {
            Self::Mark => OperationKind::Mark,
            Self::Crease => OperationKind::CreaseScore,
            Self::Pocket => OperationKind::HalfDepthPocket,
            Self::Hole | Self::Slit | Self::Outline => OperationKind::ThroughCut,
        }
    }

    const fn word(self) -> &'static str {
        match self {
            Self::Mark => "mark",
            Self::Crease => "crease",
            Self::Pocket => "pocket",
            Self::Hole => "opening",
            Self::Slit => "slit",
            Self::Outline => "outline",
        }
    }
}

/// One line that was asked for.
#[derive(Clone, Debug)]
pub struct Wanted {
    /// What it is.
    pub class: Class,
    /// The piece's place in [`Nominal::pieces`].
    pub piece: usize,
    /// Its name in a sentence: `opening 1 of board-base (copy 1)`.
    pub name: String,
    /// The line, machine coordinates. Where it is an edge, what is kept lies on its left.
    pub stroke: Stroke,
    /// How deep it is to be, mm from the top.
    pub depth: f64,
}

impl Wanted {
    /// The name of the piece that it belongs to.
    pub fn of(&self) -> &str {
        self.name.rsplit_once(" of ").map_or(&self.name, |n| n.1)
    }
}

/// A piece where it lies.
#[derive(Clone, Debug)]
pub struct NominalPiece {
    /// Its name and copy.
    pub name: String,
    /// Counter-clockwise.
    pub outline: Contour,
    /// Clockwise.
    pub holes: Vec<Contour>,
    /// Its rectangle.
    pub bounds: Bounds,
}

impl NominalPiece {
    /// Whether a point lies in what is kept of it.
    pub fn contains(&self, p: Point) -> bool {
        let b = self.bounds;
        p.x >= b.min.x
            && p.x <= b.max.x
            && p.y >= b.min.y
            && p.y <= b.max.y
            && self.outline.contains(p)
            && !self.holes.iter().any(|h| h.contains(p))
    }
}

/// The sheet's own edge where it lies aslant.
#[derive(Clone, Debug)]
pub struct Edge(Contour);

impl Edge {
    /// That of this outline, counter-clockwise.
    pub(super) const fn new(outline: Contour) -> Self {
        Self(outline)
    }

    /// How far a way leaves it, mm; below zero where it does not.
    pub(super) fn past(&self, way: &Segment) -> f64 {
        let past = |p: Point| {
            let out = self.0.segments().map(|side| {
                let along = side.end - side.start;
                let length = along.length().max(1e-12);
                // The edge runs counter-clockwise: what is outside lies to its right.
                (p - side.start).cross(along) / length
            });
            out.fold(f64::MIN, f64::max)
        };
        let n = if way.is_line() { 1 } else { 16 };
        (0..=n).map(|i| past(way.point_at(f64::from(i) / f64::from(n)))).fold(f64::MIN, f64::max)
    }
}

/// A sheet as it should come off the bed.
#[derive(Clone, Debug)]
pub struct Nominal {
    /// What it is of.
    pub stock: StockKind,
    /// Its thickness, mm.
    pub thickness: f64,
    /// The rectangle round it, on the bed.
    pub sheet: Bounds,
    /// Its edge, where it lies otherwise than by its corner.
    pub edge: Option<Edge>,
    /// Its pieces.
    pub pieces: Vec<NominalPiece>,
    /// Their lines.
    pub lines: Vec<Wanted>,
}

impl Nominal {
    /// A sheet of the manifest, its corner at `origin`; fails with the reason where a piece is
    /// missing or is none.
    pub fn of_manifest(manifest: &Manifest, sheet: &ListedSheet, origin: Point) -> Result<Self, String> {
        let stock = StockKind::of_word(&sheet.stock)
            .ok_or_else(|| format!("sheet {} is of {}, which is no stock", sheet.id, sheet.stock))?;
        let corner = origin + pt(sheet.width, sheet.height);
        let mut nominal = Self {
            stock,
            thickness: sheet.thickness,
            sheet: Bounds { min: origin, max: corner },
            edge: None,
            pieces: Vec::new(),
            lines: Vec::new(),
        };
        let mut known = Known::default();
        for placed in &sheet.placed {
            let piece = manifest.pieces.iter().find(|p| p.id == placed.piece);
            let piece = piece.ok_or_else(|| format!("the manifest places {}, which it does not have", placed.piece))?;
            let laid = placed.laid();
            let t = Transform { shift: laid.shift + origin, ..laid };
            let closed = |v: &Vec<Vertex>| Contour::new(v.iter().map(vertex)).transformed(&t);
            let open = |v: &Vec<Vertex>| Stroke::Open(Path::new(v.iter().map(vertex)).transformed(&t));
            let outline = closed(&piece.outline).ccw();
            if outline.vertices().len() < 2 {
                return Err(format!("the outline of {} is no contour", piece.id));
            }
            let holes: Vec<Contour> = piece.holes.iter().map(|h| closed(h).cw()).collect();
            let at = nominal.pieces.len();
            let name = format!("{} (copy {})", piece.id, placed.copy);
            let mut add = |class, stroke, depth| nominal.add(&mut known, class, at, &name, stroke, depth);
            for m in piece.marks.iter().chain(&placed.marks) {
                add(Class::Mark, drawn(m, &t), 0.0);
            }
            piece.creases.iter().for_each(|c| add(Class::Crease, open(c), 0.0));
            piece.pockets.iter().for_each(|p| add(Class::Pocket, Stroke::Closed(closed(&p.outline).cw()), p.depth));
            holes.iter().for_each(|h| add(Class::Hole, Stroke::Closed(h.clone()), sheet.thickness));
            piece.slits.iter().for_each(|s| add(Class::Slit, open(s), sheet.thickness));
            add(Class::Outline, Stroke::Closed(outline.clone()), sheet.thickness);
            nominal.pieces.push(NominalPiece { name, bounds: outline.bounds(), outline, holes });
        }
        for m in &sheet.marks {
            let stroke = drawn(m, &Transform::shift(origin));
            nominal.add(&mut known, Class::Mark, usize::MAX, "the waste", stroke, 0.0);
        }
        Ok(nominal)
    }

    /// The same sheet with its other face up, as it lies in its first run: every place as far from the left edge as it
    /// is from the right one when the sheet lies as it is laid out. What is worked there is the recesses of that face, and the holes
    /// that it is turned over by; its pieces lie there whole.
    pub fn of_first_side(manifest: &Manifest, sheet: &ListedSheet, origin: Point) -> Result<Self, String> {
        let turned = sheet.turned.as_ref().ok_or_else(|| format!("sheet {} is not turned over", sheet.id))?;
        let mut nominal = Self { pieces: Vec::new(), lines: Vec::new(), ..Self::of_manifest(manifest, sheet, origin)? };
        let mut known = Known::default();
        let over = |p: Point| origin + pt(sheet.width - p.x, p.y);
        for placed in &sheet.placed {
            let Some(piece) = manifest.pieces.iter().find(|p| p.id == placed.piece) else { continue };
            let laid = placed.laid();
            let closed = |v: &[Vertex]| mirrored(&Contour::new(v.iter().map(vertex)).transformed(&laid), over);
            let outline = closed(&piece.outline).ccw();
            let holes: Vec<Contour> = piece.holes.iter().map(|h| closed(h).cw()).collect();
            let at = nominal.pieces.len();
            let name = format!("{} (copy {})", piece.id, placed.copy);
            for p in &piece.back_pockets {
                let stroke = Stroke::Closed(closed(&p.outline).cw());
                nominal.add(&mut known, Class::Pocket, at, &name, stroke, p.depth);
            }
            nominal.pieces.push(NominalPiece { name, bounds: outline.bounds(), outline, holes });
        }
        for pin in &turned.pins {
            let hole = Contour::circle(over(pt(pin.x, pin.y)), pin.diameter / 2.0).cw();
            nominal.add(&mut known, Class::Hole, usize::MAX, "the waste", Stroke::Closed(hole), sheet.thickness);
        }
        Ok(nominal)
    }

    /// A drawing's lines as what was asked for, its corner at `origin`: a closed through-cut that
    /// lies in an even number of others is a piece, one in an odd number an opening of the smallest
    /// round it.
    pub fn of_drawing(drawn: &Drawn, origin: Point, stock: StockKind, thickness: f64) -> Self {
        let t = Transform::shift(origin);
        let moved: Vec<(OperationKind, Stroke)> = drawn.lines.iter().map(|(k, s)| (*k, s.transformed(&t))).collect();
        let sheet = drawn.stock.as_ref().map_or(Bounds::EMPTY, |s| s.transformed(&t).bounds());
        let mut nominal = Self { stock, thickness, sheet, edge: None, pieces: Vec::new(), lines: Vec::new() };
        let mut known = Known::default();
        let cuts: Vec<&Contour> = moved
            .iter()
            .filter_map(|(k, s)| match s {
                Stroke::Closed(c) if *k == OperationKind::ThroughCut && c.vertices().len() > 1 => Some(c),
                _ => None,
            })
            .collect();
        let boxes = Boxes::new(cuts.iter().map(|c| c.bounds()).collect());
        let inside = |p: Point| -> Vec<usize> { boxes.at(p).into_iter().filter(|i| cuts[*i].contains(p)).collect() };
        let area = |i: &usize| cuts[*i].area().abs();
        let around = |c: &Contour, own: usize| -> Vec<usize> {
            let p = c.vertices().first().map(|v| v.point()).unwrap_or_default();
            inside(p).into_iter().filter(|i| *i != own).collect()
        };
        let parents: Vec<Vec<usize>> = cuts.iter().enumerate().map(|(i, c)| around(c, i)).collect();
        let mut piece_of = vec![None; cuts.len()];
        for (i, c) in cuts.iter().enumerate().filter(|(i, _)| parents[*i].len().is_multiple_of(2)) {
            piece_of[i] = Some(nominal.pieces.len());
            let outline = (*c).clone().ccw();
            let name = format!("piece {}", nominal.pieces.len() + 1);
            nominal.pieces.push(NominalPiece { name, bounds: outline.bounds(), outline, holes: Vec::new() });
        }
        let holder = |among: &[usize]| {
            let pieces = among.iter().filter(|i| piece_of[**i].is_some());
            pieces.min_by(|a, b| area(a).total_cmp(&area(b))).and_then(|i| piece_of[*i])
        };
        let mut next = 0;
        for (kind, stroke) in &moved {
            let at = stroke.vertices().first().map(|v| v.point()).unwrap_or_default();
            // The cuts come in the order of the lines.
            let is_next = matches!((stroke, cuts.get(next)), (Stroke::Closed(s), Some(c)) if std::ptr::eq(*c, s));
            let own = is_next.then_some(next);
            next += usize::from(is_next);
            let (class, piece, stroke) = match (kind, stroke, own) {
                (OperationKind::ThroughCut, Stroke::Closed(c), Some(own)) => match piece_of[own] {
                    Some(piece) => (Class::Outline, Some(piece), Stroke::Closed(c.clone().ccw())),
                    None => (Class::Hole, holder(&parents[own]), Stroke::Closed(c.clone().cw())),
                },
                (OperationKind::ThroughCut, s, _) => (Class::Slit, holder(&inside(at)), s.clone()),
                (OperationKind::HalfDepthPocket, Stroke::Closed(c), _) => {
                    (Class::Pocket, holder(&inside(at)), Stroke::Closed(c.clone().cw()))
                }
                (OperationKind::HalfDepthPocket, s, _) => (Class::Slit, holder(&inside(at)), s.clone()),
                (OperationKind::CreaseScore, s, _) => (Class::Crease, holder(&inside(at)), s.clone()),
                (OperationKind::Mark, s, _) => (Class::Mark, holder(&inside(at)), s.clone()),
            };
            let depth = match class {
                Class::Mark | Class::Crease => 0.0,
                Class::Pocket => thickness / 2.0,
                _ => thickness,
            };
            let name = piece.and_then(|p| nominal.pieces.get(p)).map_or("the sheet".to_owned(), |p| p.name.clone());
            if let (Class::Hole, Some(p), Stroke::Closed(c)) = (class, piece, &stroke) {
                nominal.pieces[p].holes.push(c.clone());
            }
            nominal.add(&mut known, class, piece.unwrap_or(usize::MAX), &name, stroke, depth);
        }
        nominal
    }

    fn add(&mut self, known: &mut Known, class: Class, piece: usize, name: &str, stroke: Stroke, depth: f64) {
        // A line that a piece has twice is worked once.
        let keys = known_by(&stroke).map(|(x, y)| (piece, class, x, y));
        // The same list may be asked twice, which changes nothing.
        let mut alike = keys.iter().filter_map(|key| known.lines.get(key)).flatten();
        if alike.any(|i| is_same(&self.lines[*i].stroke, &stroke)) {
            return;
        }
        known.lines.entry(keys[0]).or_default().push(self.lines.len());
        let n = known.counts.entry((piece, class)).or_insert(0);
        *n += 1;
        let name = match class {
            Class::Outline => format!("the outline of {name}"),
            _ => format!("{} {n} of {name}", class.word()),
        };
        self.lines.push(Wanted { class, piece, name, stroke, depth });
    }
}

/// A closed line whose every point goes to where a mirror has it: what bulges to its left then bulges to its right.
fn mirrored(line: &Contour, over: impl Fn(Point) -> Point) -> Contour {
    let vertex = |v: &crate::geom::Vertex| {
        let p = over(v.point());
        crate::geom::Vertex::new(p, -v.bulge)
    };
    Contour::new(line.vertices().iter().map(vertex))
}

fn drawn(m: &Mark, t: &Transform) -> Stroke {
    let vertices = m.points.iter().map(vertex);
    if m.closed {
        Stroke::Closed(Contour::new(vertices).transformed(t))
    } else {
        Stroke::Open(Path::new(vertices).transformed(t))
    }
}

/// What a sheet has so far.
#[derive(Default)]
struct Known {
    /// Lines by their piece, their class and the middle of their rectangle.
    lines: BTreeMap<(usize, Class, i64, i64), Vec<usize>>,
    counts: BTreeMap<(usize, Class), usize>,
}

/// The middle of a line's rectangle in hundredths of a mm, rounded; then what it could as well be
/// for a line that is the same but for rounding.
fn known_by(stroke: &Stroke) -> [(i64, i64); 5] {
    let c = stroke.bounds().center();
    let at = |x: f64, y: f64| (((c.x + x) * 100.0).round() as i64, ((c.y + y) * 100.0).round() as i64);
    let e = 1e-5;
    [at(0.0, 0.0), at(e, e), at(e, -e), at(-e, e), at(-e, -e)]
}

/// Whether two lines run over the same points, either way: each end and middle of the one lies on
/// the other and they are as long.
fn is_same(a: &Stroke, b: &Stroke) -> bool {
    if a.is_closed() != b.is_closed() || (a.length() - b.length()).abs() > 1e-6 {
        return false;
    }
    let other = b.segments();
    let on = |p: Point| other.iter().any(|s: &Segment| s.distance_to(p) < 1e-6);
    a.segments().iter().all(|s| on(s.start) && on(s.end) && on(s.point_at(0.5)))
}
