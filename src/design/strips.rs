//! Crossed strips: two strips of folding board, each a base with a wall and a flap at either end,
//! that cross under the contents, their bases glued together.

use super::flat::Flat;
use super::measures::Measures;
use super::{Piece, Role, crease, strap};
use crate::diag::Diagnostic;
use crate::geom::{Contour, pt};
use crate::job::{Grain, Job, Side, StrapAlong};

/// The two strips, and everything that keeps them from being made.
pub(super) fn pieces(job: &Job, m: &Measures, flat: &Flat) -> (Vec<Piece>, Vec<Diagnostic>) {
    let mut diagnostics: Vec<Diagnostic> = crease::too_thick(job).into_iter().collect();
    let outer = job.strips.map_or(StrapAlong::Height, |s| s.outer);
    let mut pieces = Vec::new();
    for along in [StrapAlong::Height, StrapAlong::Width] {
        let mut piece = strip(job, m, flat, along);
        if let (Some(strap), true) = (&job.strap, along == outer) {
            let cuts = strap::slots_and_pockets(strap, &job.elastic, m);
            piece.holes = cuts.into_iter().map(|(slot, _)| slot.cw()).collect();
            let all = piece.outline.bounds();
            if !piece.holes.iter().all(|h| all.contains(h.bounds(), -job.board.thickness.to_mm())) {
                diagnostics.push(
                    Diagnostic::error("slot-off-base", "the strap's slots do not lie on the outer strip's base")
                        .at("strap.from_edge")
                        .help("move the strap in from the edge"),
                );
            }
        }
        pieces.push(piece);
    }
    if job.strap.is_some() {
        diagnostics.push(
            Diagnostic::hint("no-pockets", "the strap has slots in the outer strip only, and no pockets")
                .at("strap")
                .help("glue its ends between the two bases"),
        );
    }
    (pieces, diagnostics)
}

/// One strip, laid as the open wrapper lies. Its grain runs across it, along every crease.
fn strip(job: &Job, m: &Measures, flat: &Flat, along: StrapAlong) -> Piece {
    let (ends, id, grain, half_base, half) = match along {
        StrapAlong::Height => {
            let half = job.contents.interior_width() * 0.5 - m.flap_inset;
            ([Side::Tail, Side::Head], "board-strip-height", Grain::Width, m.base_height * 0.5, half)
        }
        StrapAlong::Width => {
            let half = job.contents.interior_height() * 0.5 - m.flap_inset;
            ([Side::Left, Side::Right], "board-strip-width", Grain::Height, m.base_width * 0.5, half)
        }
    };
    let reach = |side| flat.arms.get(&side).map_or(0.0, |arm| arm.wall_height() + arm.lid().bounds().max.y);
    let (first, last) = (half_base.to_mm() + reach(ends[0]), half_base.to_mm() + reach(ends[1]));
    let half = half.to_mm();
    let outline = match along {
        StrapAlong::Height => Contour::rectangle(pt(-half, -first), pt(half, last)),
        StrapAlong::Width => Contour::rectangle(pt(-first, -half), pt(last, half)),
    };
    let arms = ends.iter().filter_map(|side| flat.arms.get(side));
    let creases = arms.flat_map(|arm| crease::of_arm(job, arm)).collect();
    crease::piece(id, Role::Strip, outline, creases, grain)
}
