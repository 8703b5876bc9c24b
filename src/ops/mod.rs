//! What is done to a sheet, in the hard order: mark, crease-score, half-depth-pocket, inner
//! through-cut, outer through-cut; small before large.

mod common;
mod moved;
mod turned;

use crate::design::Piece;
use crate::geom::{Contour, Stroke, Transform};
use crate::job::Grain;
use crate::nest::{Placed, Sheet};
use crate::profile::OperationKind;
use crate::register::Affine;
use crate::units::Length;
use std::sync::Arc;

/// A sheet's operations, nominal: not moved for any tool.
#[derive(Clone, Debug)]
pub struct SheetOps {
    /// The sheet.
    pub sheet: Arc<Sheet>,
    /// What is done, in order.
    pub operations: Vec<Operation>,
    /// The outlines of pieces whose own lines are open because a neighbour's cut makes the rest.
    pub shared: Vec<Shared>,
    /// Where the sheet lies, and all lines with it; `None` where it is laid by its corner.
    pub moved: Option<Affine>,
    /// What is worked before, from the sheet's other face, where there is anything.
    pub first: Option<Arc<SheetOps>>,
    /// Whether that is what these are: the sheet is then the one that is turned over.
    pub is_first_side: bool,
    /// On such a sheet the outlines of its pieces, which are cut after it was turned over.
    pub later: Vec<Shared>,
}

impl SheetOps {
    /// What is worked on the sheet run by run: from its other face first, where anything is, then as it is laid out.
    pub fn sides(&self) -> impl Iterator<Item = &Self> {
        self.first.as_deref().into_iter().chain([self])
    }

    /// What the sheet is called as it lies: `board-1`, or `board-1_first-side` with its other face up.
    pub fn name(&self) -> String {
        side_name(&self.sheet.id, self.is_first_side)
    }
}

/// What a sheet is called, or with its other face up.
pub fn side_name(sheet: &str, is_first_side: bool) -> String {
    if is_first_side { format!("{sheet}{FIRST_SIDE}") } else { sheet.to_owned() }
}

/// What stands behind the name of a sheet whose other face lies up.
pub const FIRST_SIDE: &str = "_first-side";

/// What stands for a piece where a hole is one for a pin.
pub const PINS: &str = "pins";

/// The whole outline of a piece that is cut in common with a neighbour, or in a later run.
#[derive(Clone, Debug)]
pub struct Shared {
    /// The piece's id.
    pub piece: String,
    /// Which copy of the box.
    pub copy: u32,
    /// In the sheet's coordinates, counter-clockwise.
    pub outline: Contour,
}

/// What stands for a piece where a line is drawn beside all of them.
pub const WASTE: &str = "waste";

/// One line worked on a sheet.
#[derive(Clone, Debug)]
pub struct Operation {
    /// What is done.
    pub kind: OperationKind,
    /// The piece's id, or [`WASTE`] or [`PINS`].
    pub piece: String,
    /// Which copy of the box.
    pub copy: u32,
    /// Which of the piece's lines of this kind, from 0; through-cuts count its holes, then its
    /// slits, then its outline.
    pub index: u32,
    /// Which side of the line is the piece.
    pub keep: Keep,
    /// The line, in the sheet's coordinates, in mm.
    pub stroke: Stroke,
    /// How deep from the top of the sheet: its thickness for a through-cut, zero for lines on it.
    pub depth: Length,
    /// The direction of the sheet's grain there, degrees counter-clockwise from +x; `None` without.
    pub grain_deg: Option<f64>,
}

/// Which side of a line is the piece that is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Keep {
    /// The line itself: an open cut, a crease, a mark.
    Line,
    /// Outside it: a hole or a pocket.
    Outside,
    /// Inside it: the piece's outline; an open stretch of one where a neighbour's cut makes the rest.
    Inside,
}

/// The operations of one sheet in their hard order: marks, crease-scores, half-depth-pockets,
/// holes, slits, outlines, so that a piece is whole and still held by its sheet while its inside
/// is worked. Within each of these small goes before large (by area where the line encloses the
/// work, by length where it is the work); what is equal keeps the order of the copies and pieces.
///
/// A line that a piece has twice (the same points, from any start and in either direction) is
/// worked once. On a sheet cut in common, so is a line that two pieces share: the later outline
/// is then open, in parts that keep its piece and copy. `pieces` are those that were nested.
pub fn operations(sheet: &Arc<Sheet>, pieces: &[Piece]) -> SheetOps {
    let mut sorted: Vec<(Class, i64, Operation)> = Vec::new();
    for placed in &sheet.placed {
        if let Some(piece) = pieces.get(placed.piece) {
            sorted.extend(lines_of(piece, placed, sheet.thickness));
        }
    }
    sorted.extend(sheet.marks.iter().enumerate().map(|(i, m)| {
        let operation = Operation {
            kind: OperationKind::Mark,
            piece: WASTE.into(),
            copy: 1,
            index: i as u32,
            keep: Keep::Line,
            stroke: m.clone(),
            depth: Length::ZERO,
            grain_deg: None,
        };
        (Class::Mark, Class::Mark.size(m), operation)
    }));
    // Stable: equals stay in the order of the sheet's list.
    sorted.sort_by_key(|(class, size, _)| (*class, *size));
    let operations: Vec<Operation> = sorted.into_iter().map(|(_, _, operation)| operation).collect();
    let (operations, shared) = if sheet.common_cuts { common::share(operations) } else { (operations, Vec::new()) };
    SheetOps {
        sheet: Arc::clone(sheet),
        operations,
        shared,
        moved: None,
        first: turned::first_side(sheet, pieces).map(Arc::new),
        is_first_side: false,
        later: Vec::new(),
    }
}

/// The hard order.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Class {
    Mark,
    Crease,
    Pocket,
    Hole,
    Slit,
    Outline,
}

impl Class {
    fn kind(self) -> OperationKind {
        match self {
            Self::Mark => OperationKind::Mark,
            Self::Crease => OperationKind::CreaseScore,
            Self::Pocket => OperationKind::HalfDepthPocket,
            Self::Hole | Self::Slit | Self::Outline => OperationKind::ThroughCut,
        }
    }

    fn keep(self) -> Keep {
        match self {
            Self::Mark | Self::Crease | Self::Slit => Keep::Line,
            Self::Pocket | Self::Hole => Keep::Outside,
            Self::Outline => Keep::Inside,
        }
    }

    /// What small and large mean, in thousandths of a mm or mm2 so that rounding decides nothing.
    fn size(self, stroke: &Stroke) -> i64 {
        let size = match (self.keep(), stroke) {
            (Keep::Outside | Keep::Inside, Stroke::Closed(c)) => c.area().abs(),
            _ => stroke.length(),
        };
        (size * 1e3).round() as i64
    }
}

/// Every line of one placed piece.
fn lines_of(piece: &Piece, placed: &Placed, thickness: Length) -> Vec<(Class, i64, Operation)> {
    let t = &placed.transform;
    let closed = |c: &Contour| Stroke::Closed(c.transformed(t));
    let marks = piece.marks.iter().chain(&placed.marks).map(|m| (Class::Mark, m.transformed(t), Length::ZERO));
    let creases = piece.creases.iter().map(|c| (Class::Crease, Stroke::Open(c.transformed(t)), Length::ZERO));
    let pockets = piece.pockets.iter().map(|p| (Class::Pocket, closed(&p.outline), p.depth));
    let holes = piece.holes.iter().map(|h| (Class::Hole, closed(h), thickness));
    let slits = piece.slits.iter().map(|s| (Class::Slit, Stroke::Open(s.transformed(t)), thickness));
    let outline = std::iter::once((Class::Outline, closed(&piece.outline), thickness));
    worked(piece, placed, marks.chain(creases).chain(pockets).chain(holes).chain(slits).chain(outline))
}

/// Lines of one placed piece, each with its depth, as operations; what is there twice is worked once.
fn worked(
    piece: &Piece,
    placed: &Placed,
    all: impl Iterator<Item = (Class, Stroke, Length)>,
) -> Vec<(Class, i64, Operation)> {
    let mut lines: Vec<(Class, i64, Operation)> = Vec::new();
    for (class, stroke, depth) in all {
        let of_kind = || lines.iter().filter(|(c, _, _)| c.kind() == class.kind());
        if of_kind().any(|(_, _, o)| is_same_line(&o.stroke, &stroke)) {
            continue;
        }
        let operation = Operation {
            kind: class.kind(),
            piece: piece.id.clone(),
            copy: placed.copy,
            index: of_kind().count() as u32,
            keep: class.keep(),
            depth,
            grain_deg: grain_deg(piece.grain, &placed.transform),
            stroke,
        };
        lines.push((class, class.size(&operation.stroke), operation));
    }
    lines
}

/// The direction of a piece's grain on the sheet, degrees in 0..180. A mirror in x keeps both
/// directions that a grain has in a piece's own coordinates.
fn grain_deg(grain: Grain, t: &Transform) -> Option<f64> {
    let own = match grain {
        Grain::Width => 0.0,
        Grain::Height => 90.0,
        Grain::None => return None,
    };
    Some((own + t.rotation_deg).rem_euclid(180.0))
}

/// Whether two strokes are one line: the same points and bulges, from any start, either way.
fn is_same_line(a: &Stroke, b: &Stroke) -> bool {
    let near = |a: &Stroke, b: &Stroke| {
        let pairs = || a.vertices().iter().zip(b.vertices());
        pairs().all(|(v, w)| v.point().is_near(w.point()) && (v.bulge - w.bulge).abs() < 1e-9)
    };
    if a.vertices().len() != b.vertices().len() {
        return false;
    }
    match (a, b) {
        (Stroke::Open(p), Stroke::Open(_)) => near(a, b) || near(&Stroke::Open(p.reversed()), b),
        (Stroke::Closed(c), Stroke::Closed(d)) => (0..d.vertices().len()).any(|i| {
            let starts_here = |e: &Contour| {
                let first = |c: &Contour| c.vertices().first().map(|v| v.point());
                first(c).zip(e.vertices().get(i).map(|v| v.point())).is_some_and(|(p, q)| p.is_near(q))
            };
            [d.clone(), d.reversed()].iter().any(|e| starts_here(e) && near(a, &Stroke::Closed(e.started_at(i))))
        }),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{Lay, Pocket, Role};
    use crate::geom::{Path, Point, pt};
    use crate::job::StockKind;
    use crate::units::mm;

    fn block(min: Point, width: f64, height: f64) -> Contour {
        Contour::rectangle(min, min + pt(width, height))
    }

    fn busy_piece() -> Piece {
        Piece {
            id: "cloth-cover".into(),
            stock: StockKind::Cloth,
            role: Role::Cover,
            side: None,
            count: 1,
            outline: block(pt(0.0, 0.0), 100.0, 60.0),
            holes: vec![block(pt(40.0, 10.0), 20.0, 20.0).cw(), block(pt(10.0, 10.0), 5.0, 5.0).cw()],
            windows: 0,
            pockets: vec![Pocket { outline: block(pt(70.0, 10.0), 8.0, 20.0), depth: mm(0.2) }],
            back_pockets: Vec::new(),
            slits: vec![Path::line(pt(0.0, 60.0), pt(5.0, 55.0))],
            creases: vec![
                Path::line(pt(30.0, 0.0), pt(30.0, 60.0)),
                Path::line(pt(0.0, 50.0), pt(9.0, 50.0)),
                Path::line(pt(30.0, 60.0), pt(30.0, 0.0)),
            ],
            marks: vec![
                Stroke::Closed(block(pt(5.0, 5.0), 20.0, 20.0)),
                Stroke::Closed(block(pt(5.0, 5.0), 20.0, 20.0).reversed().started_at(2)),
                Stroke::Open(Path::line(pt(1.0, 1.0), pt(2.0, 1.0))),
            ],
            number: None,
            grain: Grain::Height,
            lay: Lay::AsComputed,
        }
    }

    fn sheet_with(transforms: &[Transform]) -> Arc<Sheet> {
        let place = |(i, t): (usize, &Transform)| Placed {
            piece: 0,
            copy: i as u32 + 1,
            transform: *t,
            bounds: busy_piece().outline.transformed(t).bounds(),
            marks: Vec::new(),
        };
        let placed = transforms.iter().enumerate().map(place).collect();
        Sheet { placed, ..Sheet::bare("cloth-1", StockKind::Cloth, [mm(500.0), mm(400.0), mm(0.35)]) }.into()
    }

    #[test]
    fn the_order_is_mark_crease_pocket_hole_slit_outline_small_before_large() {
        let turned = Transform { mirrored: true, rotation_deg: 90.0, shift: pt(200.0, 200.0) };
        let ops = operations(&sheet_with(&[Transform::IDENTITY, turned]), &[busy_piece()]);
        let told: Vec<(OperationKind, Keep, u32, u32)> =
            ops.operations.iter().map(|o| (o.kind, o.keep, o.index, o.copy)).collect();
        use OperationKind::{CreaseScore, HalfDepthPocket, Mark, ThroughCut};
        let expected = [
            (Mark, Keep::Line, 1),
            (Mark, Keep::Line, 0),
            (CreaseScore, Keep::Line, 1),
            (CreaseScore, Keep::Line, 0),
            (HalfDepthPocket, Keep::Outside, 0),
            (ThroughCut, Keep::Outside, 1),
            (ThroughCut, Keep::Outside, 0),
            (ThroughCut, Keep::Line, 2),
            (ThroughCut, Keep::Inside, 3),
        ];
        let expected: Vec<_> = expected.iter().flat_map(|&(k, s, i)| [(k, s, i, 1), (k, s, i, 2)]).collect();
        assert_eq!(told, expected);
    }

    #[test]
    fn depths_directions_and_grain_hold_on_the_sheet() {
        let turned = Transform { mirrored: true, rotation_deg: 90.0, shift: pt(200.0, 200.0) };
        let ops = operations(&sheet_with(&[turned]), &[busy_piece()]);
        for o in &ops.operations {
            let depth = match o.kind {
                OperationKind::Mark | OperationKind::CreaseScore => 0.0,
                OperationKind::HalfDepthPocket => 0.2,
                OperationKind::ThroughCut => 0.35,
            };
            assert!((o.depth.to_mm() - depth).abs() < 1e-12);
            // Height (90 degrees) turned by 90 is along x.
            assert_eq!(o.grain_deg.map(f64::round), Some(0.0));
            if let (Stroke::Closed(c), true) = (&o.stroke, o.kind != OperationKind::Mark) {
                let hole = o.keep == Keep::Outside && o.kind == OperationKind::ThroughCut;
                assert_eq!(c.is_ccw(), !hole, "outlines counter-clockwise, holes clockwise, mirrored or not");
            }
        }
    }
}
