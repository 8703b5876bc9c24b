//! The openings of windows in the drawings of the steps.

use super::Told;
use super::plan::{BOARD, CLOTH, LINER, Plan, THIN};
use crate::design::{Opening, Piece, covered_by_part, openings};
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

/// The same where the boards lie on what covers them: it is seen in the opening, with its hole and its slits. A side that
/// is covered by part has nothing there before its turn.
pub(super) fn on_cloth(plan: &mut Plan<'_>, told: &Told<'_>, has_sides: bool) {
    let by_part = covered_by_part(told.job, told.design);
    for opening in all(told) {
        let is_paper = opening.is_of_paper(&by_part);
        if !has_sides && !opening.is_in_cover(&by_part) {
            plan.solid(&[opening.outline()], WHITE, THIN);
            continue;
        }
        plan.solid(&[opening.outline()], if is_paper { LINER } else { CLOTH }, THIN);
        plan.solid(&[rectangle(opening.in_cloth())], WHITE, THIN);
        let stock = if is_paper { StockKind::Paper } else { StockKind::Cloth };
        let slits = pierced(told, stock).flat_map(|p| &p.slits);
        let is_own = |b: Bounds| opening.board.grown(1e-6).contains(b, 0.0);
        let own: Vec<Stroke> = slits.filter(|s| is_own(s.bounds())).cloned().map(Stroke::Open).collect();
        plan.line(&own, Pen::solid(INK, 0.35));
    }
}

/// The openings in a lined box: the cloth that the liner leaves free, and nothing.
pub(super) fn lined(plan: &mut Plan<'_>, told: &Told<'_>) {
    let by_part = covered_by_part(told.job, told.design);
    let of_paper = all(told).into_iter().filter(|w| w.is_of_paper(&by_part)).map(|w| w.side);
    let of_paper: Vec<_> = of_paper.collect();
    for piece in pierced(told, StockKind::Liner) {
        let windows = piece.openings();
        // The liner is longer in the joints than the boards lie apart: about the middle of its own hole the opening lies
        // evenly.
        for window in windows {
            let side = all(told).into_iter().min_by(|a, b| {
                let far = |w: &Opening| w.board.center().distance(window.bounds().center());
                far(a).total_cmp(&far(b))
            });
            let free = match side {
                Some(w) if of_paper.contains(&w.side) => LINER,
                _ if told.job.cloth.is_some() => CLOTH,
                _ => BOARD,
            };
            plan.solid(std::slice::from_ref(window), free, THIN);
            let own = window.bounds().grown(-told.job.covering.reveal.to_mm());
            plan.solid(&[rectangle(own)], WHITE, THIN);
        }
    }
}
