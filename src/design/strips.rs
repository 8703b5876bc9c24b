//! Crossed strips: two strips of folding board, each a base with a wall and a flap at either end,
//! that cross under the contents, their bases glued together. Both are creased from the outside.

use super::build::{Build, Made};
use super::flat::{Corners, Flat};
use super::measures::{Auto, Measures, thicknesses};
use super::meeting::Lying;
use super::work::Step;
use super::{Design, Lay, Piece, Role, crease, strap};
use crate::assembly::{Assembly, Part};
use crate::diag::Diagnostic;
use crate::geom::{Contour, pt};
use crate::job::{Grain, Job, Side, StrapAlong, Strip, Strips};
use crate::units::Length;

pub(super) struct CrossedStrips;

impl Corners for CrossedStrips {
    /// Walls of a strip are as wide as it.
    fn short_ends(&self, _: &Job, _: Side, lid: f64) -> (f64, f64) {
        (lid, lid)
    }
}

impl Build for CrossedStrips {
    fn measures(&self, job: &Job, _: Option<&Lying>) -> Auto {
        let t = thicknesses(job).0;
        let is_outer = |side| job.strips.is_some_and(|s| s.is_outer(side));
        let auto = crease::folded(job, t, |side| if is_outer(side) { t } else { Length::ZERO });
        let given = |strip: fn(&Strips) -> &Strip| job.strips.as_ref().and_then(|s| strip(s).base_extra);
        let beyond = (given(|s| &s.width).unwrap_or(auto.beyond.0), given(|s| &s.height).unwrap_or(auto.beyond.1));
        Auto { beyond, ..auto }
    }

    fn pieces(&self, job: &Job, m: &Measures, flat: &Flat) -> Made {
        let mut made = Made { said: crease::too_thick(job).into_iter().collect(), ..Made::default() };
        let outer = outer(job);
        for along in [StrapAlong::Height, StrapAlong::Width] {
            let mut piece = strip(job, m, flat, along);
            if let (Some(strap), true) = (&job.strap, along == outer) {
                let cuts = strap::slots_and_pockets(strap, &job.elastic, m);
                piece.holes = cuts.into_iter().map(|(slot, _)| slot.cw()).collect();
                let all = piece.outline.bounds();
                if !piece.holes.iter().all(|h| all.contains(h.bounds(), -job.board.thickness.to_mm())) {
                    made.said.push(
                        Diagnostic::error("slot-off-base", "the strap's slots do not lie on the outer strip's base")
                            .at("strap.from_edge")
                            .help("move the strap in from the edge"),
                    );
                }
            }
            made.pieces.push(piece);
        }
        if job.strap.is_some() {
            made.said.push(
                Diagnostic::hint("no-pockets", "the strap has slots in the outer strip only, and no pockets")
                    .at("strap")
                    .help("glue its ends between the two bases"),
            );
        }
        made
    }

    fn assembly(&self, job: &Job, m: &Measures, flat: &Flat, made: &Made) -> Assembly {
        let t = job.board.thickness.to_mm();
        let outer = outer(job);
        let half = flat.base.bounds();
        let inset = m.flap_inset.to_mm();
        let (w, h) =
            (job.contents.interior_width().to_mm() / 2.0 - inset, job.contents.interior_height().to_mm() / 2.0 - inset);
        let along_height = Contour::rectangle(pt(-w, half.min.y), pt(w, half.max.y));
        let along_width = Contour::rectangle(pt(half.min.x, -h), pt(half.max.x, h));
        let (beneath, above, beneath_id, above_id) = match outer {
            StrapAlong::Height => (along_height, along_width, "board-strip-height", "board-strip-width"),
            StrapAlong::Width => (along_width, along_height, "board-strip-width", "board-strip-height"),
        };
        let mut all = Assembly::default();
        all.panels.push(crease::panel(job, Part::Base, above_id, above, 0.0));
        let mut under = crease::panel(job, Part::OuterBase, beneath_id, beneath, -t);
        under.holes = made.pieces.iter().find(|p| p.id == beneath_id).map(|p| p.holes.clone()).unwrap_or_default();
        all.panels.push(under);
        for (side, arm) in &flat.arms {
            let is_outer = job.strips.is_some_and(|s| s.is_outer(*side));
            let (base, id) = if is_outer { (1, beneath_id) } else { (0, above_id) };
            crease::hang(&mut all, job, m, *side, arm, base, id);
        }
        all
    }

    fn steps(&self, job: &Job, _: &Design) -> Vec<Step> {
        [
            (Step::Cut, true),
            (Step::Crease, true),
            // Before anything is glued: a fold that was never worked goes where it likes under a liner.
            (Step::Fold, true),
            (Step::Strap, job.strap.is_some()),
            (Step::Cross, true),
            (Step::Close, true),
        ]
        .into_iter()
        .filter_map(|(step, is_due)| is_due.then_some(step))
        .collect()
    }
}

fn outer(job: &Job) -> StrapAlong {
    job.strips.map_or(StrapAlong::Height, |s| s.outer)
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
    Piece { lay: Lay::OutsideUp, ..crease::piece(id, Role::Strip, outline, creases, grain) }
}
