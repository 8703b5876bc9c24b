//! What lies round a cut: which ground is waste and which is a piece that is kept.

use crate::geom::Stroke;
use crate::geom::{Bounds, Contour, Point, Segment, intersections, pt};
use crate::ops::{Keep, Operation, SheetOps};
use crate::profile::OperationKind;
use crate::register::Affine;

/// The outlines of the pieces on a sheet, and the sheet.
#[derive(Clone, Debug)]
pub struct Ground {
    sheet: Bounds,
    /// From where the sheet lies to where it is laid out, where that is not the same.
    back: Option<Affine>,
    pieces: Vec<Outline>,
}

#[derive(Clone, Debug)]
struct Outline {
    bounds: Bounds,
    contour: Contour,
    piece: String,
    copy: u32,
}

impl Ground {
    /// The ground of a sheet: a piece is what an outer through-cut goes round.
    pub fn new(ops: &SheetOps) -> Self {
        let outline = |c: &Contour, piece: &str, copy| Outline {
            bounds: c.bounds(),
            contour: c.clone(),
            piece: piece.to_owned(),
            copy,
        };
        let whole = ops.operations.iter().filter_map(|op| match (&op.stroke, op.kind, op.keep) {
            (Stroke::Closed(c), OperationKind::ThroughCut, Keep::Inside) => Some(outline(c, &op.piece, op.copy)),
            _ => None,
        });
        let pieces = whole.chain(ops.shared.iter().map(|s| outline(&s.outline, &s.piece, s.copy)));
        let sheet = Bounds { min: pt(0.0, 0.0), max: pt(ops.sheet.width.to_mm(), ops.sheet.height.to_mm()) };
        let back = ops.moved.and_then(|map| map.inverse());
        Self { sheet, back, pieces: pieces.collect() }
    }

    /// Whether a tool that comes within `clearance` mm of `path` while it works for `op` touches
    /// nothing that is kept: off the sheet's pieces for an outline, inside the opening for a hole or
    /// pocket, on the sheet in any case. A line that is no edge has no waste. `path` may touch the
    /// operation's own line at its ends.
    pub fn is_waste(&self, op: &Operation, path: &Segment, clearance: f64) -> bool {
        let steps = (path.length() / SAMPLE).ceil().clamp(2.0, 200.0) as usize;
        let points: Vec<Point> = (0..=steps).map(|i| path.point_at(i as f64 / steps as f64)).collect();
        self.is_way_waste(op, &points, clearance)
    }

    /// The same for a way given by points close together. Only the first of them that is off the
    /// line is looked for in the whole of it; the others are on its side as long as the way crosses
    /// nothing.
    pub(super) fn is_way_waste(&self, op: &Operation, points: &[Point], clearance: f64) -> bool {
        let Stroke::Closed(own) = &op.stroke else { return false };
        let bounds = Bounds::of(points.iter().copied());
        if op.keep == Keep::Line || !self.is_on_sheet(bounds, points, clearance) {
            return false;
        }
        let about = bounds.grown(2.0 * ON_EDGE);
        let near: Vec<Segment> = own.segments().filter(|s| s.bounds().overlaps(about, -ON_EDGE)).collect();
        let mut before: Option<Point> = None;
        for (i, &p) in points.iter().enumerate() {
            if op.keep == Keep::Inside && self.neighbour(op, p, clearance).is_some() {
                return false;
            }
            if near.iter().any(|s| s.distance_to(p) < ON_EDGE) {
                if i > 0 && i + 1 < points.len() {
                    return false;
                }
                continue;
            }
            let is_free = match before {
                None => own.contains(p) == (op.keep == Keep::Outside),
                Some(q) => near.iter().all(|s| intersections(&Segment::line(q, p), s).is_empty()),
            };
            if !is_free {
                return false;
            }
            before = Some(p);
        }
        true
    }

    /// Whether a tool that comes within `clearance` mm of these points stays on the sheet.
    fn is_on_sheet(&self, bounds: Bounds, points: &[Point], clearance: f64) -> bool {
        let holds = |b: Bounds| self.sheet.contains(b.grown(clearance), 0.0);
        self.back.map_or_else(|| holds(bounds), |back| holds(Bounds::of(points.iter().map(|p| back.apply(*p)))))
    }

    /// The piece, if any, other than the operation's own that lies within `clearance` mm of a point.
    pub fn neighbour(&self, op: &Operation, p: Point, clearance: f64) -> Option<(&str, u32)> {
        let near = |o: &&Outline| {
            (o.piece != op.piece || o.copy != op.copy)
                && o.bounds.grown(clearance).holds(p)
                && (o.contour.contains(p) || o.contour.distance_to(p) < clearance)
        };
        self.pieces.iter().find(near).map(|o| (o.piece.as_str(), o.copy))
    }
}

/// How far apart the points are at which a path is tried, mm: below the narrowest piece.
const SAMPLE: f64 = 0.25;
/// Closer to the line than this is on it, mm; half a wide knife's kerf of rounding, no more.
const ON_EDGE: f64 = 1e-3;
