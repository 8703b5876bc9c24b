//! Kerf: a tool that takes width moves away from the piece by half of it.

use crate::diag::Diagnostic;
use crate::geom::{Join, OffsetError, Stroke, offset};
use crate::job::StockKind;
use crate::ops::{Keep, Operation};
use crate::profile::ToolKind;
use crate::units::Length;

/// What a cutter of drawings takes in all, stock by stock; `None` where a stock's drawings are nominal.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Kerfs {
    board: Option<Length>,
    cloth: Option<Length>,
    paper: Option<Length>,
    liner: Option<Length>,
}

impl Kerfs {
    /// The same for every stock.
    pub const fn all(kerf: Option<Length>) -> Self {
        Self { board: kerf, cloth: kerf, paper: kerf, liner: kerf }
    }

    /// That of a stock.
    pub const fn of(self, stock: StockKind) -> Option<Length> {
        match stock {
            StockKind::Board => self.board,
            StockKind::Cloth => self.cloth,
            StockKind::Paper => self.paper,
            StockKind::Liner => self.liner,
        }
    }

    /// What a stock's lines are moved for: zero where its drawings are nominal.
    pub fn moved(self, stock: StockKind) -> Length {
        self.of(stock).unwrap_or_default()
    }

    /// What the stocks of some sheets are moved for, each stock once in their order.
    pub fn moved_each(self, sheets: impl Iterator<Item = StockKind> + Clone) -> Vec<(StockKind, Length)> {
        let is_there = |kind: &StockKind| sheets.clone().any(|s| s == *kind);
        StockKind::ALL.into_iter().filter(is_there).map(|kind| (kind, self.moved(kind))).collect()
    }

    /// The same with another for a stock.
    pub const fn with(mut self, stock: StockKind, kerf: Length) -> Self {
        *match stock {
            StockKind::Board => &mut self.board,
            StockKind::Cloth => &mut self.cloth,
            StockKind::Paper => &mut self.paper,
            StockKind::Liner => &mut self.liner,
        } = Some(kerf);
        self
    }
}

/// How far a corner of a blade's line may lie from the corner of the piece, mm, before a third edge
/// is set between its sides (our choice).
const POINT: f64 = 1.0;

/// [`kerf_moved`] for a kind of tool: the line of a blade keeps its corners, for a blade is lifted
/// and turned at a corner, and cannot be turned on an arc of half its own width. Sharp ones are cut
/// off at `POINT`, or at the whole kerf where that is more.
pub fn kerf_moved_for(op: &Operation, kerf: Length, kind: ToolKind) -> Result<Stroke, Diagnostic> {
    let join = match kind {
        ToolKind::DragKnife | ToolKind::TangentialKnife => Join::Straight { most: POINT },
        _ => Join::Round,
    };
    moved(op, kerf, join)
}

/// The operation's line moved for a tool that takes `kerf` in all: a piece's outline out by half, a
/// hole's or pocket's in by half, on true arcs, corners rounded about (every point of the piece
/// keeps its distance). Lines that are not an edge stay. The result runs the way the line runs.
///
/// Fails where the moved contour vanishes, falls apart or meets itself, naming piece and kerf.
pub fn kerf_moved(op: &Operation, kerf: Length) -> Result<Stroke, Diagnostic> {
    moved(op, kerf, Join::Round)
}

fn moved(op: &Operation, kerf: Length, join: Join) -> Result<Stroke, Diagnostic> {
    let half = kerf.to_mm() / 2.0;
    let by = match op.keep {
        Keep::Line => 0.0,
        Keep::Inside => half,
        Keep::Outside => -half,
    };
    let Stroke::Closed(contour) = &op.stroke else { return Ok(op.stroke.clone()) };
    if by == 0.0 {
        return Ok(op.stroke.clone());
    }
    offset(contour, by, join).map(Stroke::Closed).map_err(|e| refused(op, kerf, &e))
}

fn refused(op: &Operation, kerf: Length, error: &OffsetError) -> Diagnostic {
    // Every copy is alike, so it is not said which: the caller tells what is said twice but once.
    let (piece, kind) = (&op.piece, op.kind.word());
    let what = match op.keep {
        Keep::Outside => format!("a {kind} in {piece}"),
        Keep::Line | Keep::Inside => format!("the {kind} round {piece}"),
    };
    let (code, happens, hint) = match error {
        OffsetError::Vanished => (
            "kerf-too-wide",
            "leaves nothing of".to_owned(),
            "use a tool that takes less width, or make the opening larger",
        ),
        OffsetError::Split(n) => (
            "kerf-splits",
            format!("breaks into {n} parts"),
            "use a tool that takes less width, or widen the narrow place",
        ),
        OffsetError::Crossing(p) => (
            "kerf-crosses",
            format!("makes meet itself, near {:.1}, {:.1} mm on the sheet,", p.x, p.y),
            "use a tool that takes less width, or widen the narrow place",
        ),
        OffsetError::Unsound => (
            "kerf-unsound",
            "cannot safely be applied to".to_owned(),
            "please report this shape: the moved contour failed its own check",
        ),
    };
    Diagnostic::error(code, format!("a kerf of {kerf} {happens} {what}")).help(hint)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::comp::testbed::cut_of;
    use crate::geom::{Contour, pt};
    use crate::units::mm;

    #[test]
    fn outlines_grow_holes_shrink_and_lines_stay() {
        let square = Contour::rectangle(pt(0.0, 0.0), pt(20.0, 10.0));
        let area = |s: &Stroke| match s {
            Stroke::Closed(c) => c.area(),
            Stroke::Open(_) => 0.0,
        };
        let out = kerf_moved(&cut_of(square.clone(), Keep::Inside), mm(0.2)).expect("fits");
        // Steiner: A + k/2 P + pi k^2/4.
        assert!((area(&out) - (200.0 + 6.0 + std::f64::consts::PI * 0.01)).abs() < 1e-9);
        let hole = kerf_moved(&cut_of(square.reversed(), Keep::Outside), mm(0.2)).expect("fits");
        assert!((area(&hole) + 19.8 * 9.8).abs() < 1e-9);
        let line = kerf_moved(&cut_of(square, Keep::Line), mm(0.2)).expect("stays");
        assert!((area(&line) - 200.0).abs() < 1e-12);
    }

    #[test]
    fn a_blades_line_keeps_its_corners() {
        let square = Contour::rectangle(pt(0.0, 0.0), pt(20.0, 10.0));
        for kind in [ToolKind::DragKnife, ToolKind::TangentialKnife] {
            let Ok(Stroke::Closed(out)) = kerf_moved_for(&cut_of(square.clone(), Keep::Inside), mm(0.08), kind) else {
                panic!("fits");
            };
            assert!((out.area() - 20.08 * 10.08).abs() < 1e-9);
            assert!(out.vertices().len() == 4 && out.segments().all(|s| s.is_line()));
        }
        let beam = kerf_moved_for(&cut_of(square, Keep::Inside), mm(0.08), ToolKind::Beam).expect("fits");
        assert_eq!(beam.segments().len(), 8, "rounded about each corner");
    }

    #[test]
    fn a_slot_narrower_than_the_bit_is_refused_by_name() {
        let slot = Contour::rectangle(pt(0.0, 0.0), pt(20.0, 2.0)).reversed();
        let error = kerf_moved(&cut_of(slot, Keep::Outside), mm(3.0)).expect_err("too narrow");
        assert_eq!(error.code, "kerf-too-wide");
        assert!(error.message.contains("3 mm") && error.message.contains("base"), "{}", error.message);
    }
}
