//! The openings of windows in the drawings of the steps.

use super::Told;
use super::plan::{BOARD, CLOTH, Plan, THIN};
use crate::design::{Opening, Piece, openings};
use crate::drawing::Pen;
use crate::geom::{Bounds, Contour, Stroke};
use crate::job::StockKind;
use crate::write::style::INK;

/// Nothing.
pub(super) const WHITE: [u8; 3] = [255, 255, 255];

/// The windows of a box.
pub(super) fn all(told: &Told<'_>) -> Vec<Opening> {
    told.design.flat.as_ref().map(|flat| openings(told.job, flat)).unwrap_or_default()
}

fn rectangle(b: Bounds) -> Contour {
    Contour::rectangle(b.min, b.max)
}

/// The pieces of a stock that have windows.
fn pierced<'a>(told: &Told<'a>, stock: StockKind) -> impl Iterator<Item = &'a Piece> {
    told.design.pieces.iter().filter(move |p| p.stock == stock && p.windows > 0)
}

/// The openings in boards that lie on nothing.
pub(super) fn in_boards(plan: &mut Plan<'_>, told: &Told<'_>) {
    for opening in all(told) {
        plan.solid(&[opening.outline()], WHITE, THIN);
    }
}

/// The same where the boards lie on their cloth: it is seen in the opening, with its hole and its slits.
pub(super) fn on_cloth(plan: &mut Plan<'_>, told: &Told<'_>) {
    for opening in all(told) {
        plan.solid(&[opening.outline()], CLOTH, THIN);
        plan.solid(&[rectangle(opening.in_cloth())], WHITE, THIN);
        let slits = pierced(told, StockKind::Cloth).flat_map(|p| &p.slits);
        let is_own = |b: Bounds| opening.board.grown(1e-6).contains(b, 0.0);
        let own: Vec<Stroke> = slits.filter(|s| is_own(s.bounds())).cloned().map(Stroke::Open).collect();
        plan.line(&own, Pen::solid(INK, 0.35));
    }
}

/// The openings in a lined box: the cloth that the liner leaves free, and nothing.
pub(super) fn lined(plan: &mut Plan<'_>, told: &Told<'_>) {
    let free = if told.job.cloth.is_some() { CLOTH } else { BOARD };
    for piece in pierced(told, StockKind::Liner) {
        let windows = piece.openings();
        plan.solid(windows, free, THIN);
        // The liner is longer in the joints than the boards lie apart: about the middle of its own hole the opening lies
        // evenly.
        for window in windows {
            let own = window.bounds().grown(-told.job.covering.reveal.to_mm());
            plan.solid(&[rectangle(own)], WHITE, THIN);
        }
    }
}
