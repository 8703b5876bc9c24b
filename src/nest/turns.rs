//! The ways in which a piece may lie on its stock.

use super::kind::Area;
use super::shape::Shape;
use crate::design::Piece;
use crate::diag::Diagnostic;
use crate::geom::{Bounds, Contour, Point, Transform, pt};
use crate::job::{Grain, Job, Stock, StockKind};
use crate::units::{Length, Unit, inch, mm};

/// Corners nearer than this are one when a piece is compared with itself turned, mm.
const ALIKE: f64 = 1e-6;

/// One way: how the piece is turned, and what it takes of the sheet.
struct Way {
    transform: Transform,
    /// The rectangle around its outline so turned.
    bounds: Bounds,
    /// What it takes, and that rectangle's lower left corner seen from its own.
    shape: Shape,
    inset: Point,
}

/// The ways in which a piece may lie, each with what it takes.
pub(super) struct Turns(Vec<Way>);

impl Turns {
    /// Pieces cut in common touch: rectangles take themselves alone; what is none of them takes its
    /// rectangle with the gap around it. Cut apart by straight cuts, each takes its rectangle.
    pub(super) fn of(piece: &Piece, stock: &Stock, apart: Length, is_straight: bool, least: f64) -> Self {
        let mirrored = piece.is_mirrored(stock.cut_face);
        let degrees: &[f64] = match (piece.grain, stock.grain) {
            (Grain::None, _) | (_, Grain::None) => &[0.0, 90.0, 180.0, 270.0],
            (a, b) if a == b => &[0.0, 180.0],
            _ => &[90.0, 270.0],
        };
        let mut ways: Vec<Way> = Vec::new();
        for &rotation_deg in degrees {
            let transform = Transform { mirrored, rotation_deg, shift: pt(0.0, 0.0) };
            let outline = piece.outline.transformed(&transform);
            let bounds = outline.bounds();
            let mut shape = Shape::of(&outline, least);
            let mut inset = pt(0.0, 0.0);
            if stock.common_cuts && !shape.is_box {
                let apart = stock.gap.max(apart).to_mm();
                let taken = bounds.grown(apart);
                let area = shape.area;
                shape = Shape::of(&Contour::rectangle(taken.min, taken.max), least);
                shape.area = area;
                inset = pt(apart, apart);
            } else if is_straight && !shape.is_box {
                let area = shape.area;
                shape = Shape::of(&Contour::rectangle(bounds.min, bounds.max), least);
                shape.area = area;
            }
            // A turn that changes nothing is no other way.
            let is_new = ways.iter().all(|w| !shape.is_like(&w.shape, ALIKE));
            if is_new {
                ways.push(Way { transform, bounds, shape, inset });
            }
        }
        Self(ways)
    }

    pub(super) fn shapes(&self) -> Vec<Shape> {
        self.0.iter().map(|w| w.shape.clone()).collect()
    }

    /// Where the piece lies whose place has its lower left corner at `at`.
    pub(super) fn placed(&self, way: usize, at: Point) -> (Transform, Bounds) {
        let way = &self.0[way];
        let shift = at + way.inset - way.bounds.min;
        let bounds = Bounds { min: way.bounds.min + shift, max: way.bounds.max + shift };
        (Transform { shift, ..way.transform }, bounds)
    }
}

/// An error where no room holds the piece. The first of `rooms` is that of the stock's sheet.
pub(super) fn too_large(
    piece: &Piece,
    turns: &Turns,
    kind: StockKind,
    rooms: &[Area],
    stock: &Stock,
    job: &Job,
) -> Option<Diagnostic> {
    let sizes: Vec<Area> = turns.0.iter().map(|w| w.shape.size()).collect();
    if rooms.iter().any(|room| sizes.iter().any(|s| room.holds(*s))) {
        return None;
    }
    let room = rooms.first().copied().unwrap_or_default();
    let show = |a: Area| job.units.show_size(&[mm(a.width), mm(a.height)]);
    let sheet = Area { width: stock.sheet_width.to_mm(), height: stock.sheet_height.to_mm() };
    let first = sizes.first().copied().unwrap_or_default();
    let lies =
        if piece.grain != Grain::None && stock.grain != Grain::None { " with its grain along the sheet's" } else { "" };
    let others = if rooms.len() > 1 { ", and the other sizes are no better" } else { "" };
    let message = format!(
        "{} measures {}{lies}; a {} sheet of {} leaves {} inside its margin{others}",
        piece.id,
        show(first),
        kind.word(),
        show(sheet),
        show(room)
    );
    // Across the grain is worth telling: the maker may know that this board hardly has one.
    let word = kind.word();
    let hint = if room.holds(first.turned()) {
        let panels = if kind == StockKind::Liner { ", or line it in panels (liner.pieces = \"panels\")" } else { "" };
        format!(
            "it would lie across the grain: set {word}.grain = \"none\" if that does not matter, or take a larger sheet{panels}"
        )
    } else {
        let panels = if kind == StockKind::Liner { ", line it in panels (liner.pieces = \"panels\")" } else { "" };
        format!("take a larger sheet ({word}.sheet){panels}, or make the box smaller")
    };
    let common = format!("the {word}'s sheet is too small for {{}}");
    // What is to be bought is said in whole steps, and enough of them.
    let step = if job.units == Unit::Mm { mm(1.0) } else { inch(0.1) };
    let needs = [first.width, first.height].map(|v| step * (mm(v) / step - 1e-6).ceil());
    let worst = format!("the largest needs {}", job.units.show_size(&needs));
    let d = Diagnostic::error("piece-too-large", message).at(format!("{word}.sheet")).help(hint);
    Some(d.weighing_as(first.mm2(), common, worst))
}
