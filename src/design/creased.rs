//! Creased board: base, walls and lids in one piece of folding board, creases for joints.

use super::flat::Flat;
use super::measures::Measures;
use super::{Piece, Role, crease, liner, strap};
use crate::diag::Diagnostic;
use crate::job::{Grain, Job, Side};
use crate::units::{Length, mm};

/// A pocket leaves at least so much board beneath it (common practice, no source: less is cut
/// through at the first bump of the bed).
const FLOOR: Length = mm(0.75);

/// The blank, and the liner where the job has one, and everything that keeps them from being made.
pub(super) fn pieces(job: &Job, m: &Measures, flat: &Flat) -> (Vec<Piece>, Vec<Diagnostic>) {
    let mut diagnostics: Vec<Diagnostic> = crease::too_thick(job).into_iter().collect();
    let creases = flat.arms.values().flat_map(|arm| crease::of_arm(job, arm)).collect();
    let sides: Vec<Side> = flat.arms.keys().copied().collect();
    // Head to tail as every board's, unless all creases run the other way.
    let is_crosswise = sides.iter().all(|s| matches!(s, Side::Head | Side::Tail));
    let grain = if is_crosswise { Grain::Width } else { Grain::Height };
    let mut blank = crease::piece("board-blank", Role::Blank, flat.region(), creases, grain);
    diagnostics.extend(crease::across_grain(job, &blank, &sides));
    if let Some(strap) = &job.strap {
        let cuts = strap::slots_and_pockets(strap, &job.elastic, m);
        blank.holes = cuts.iter().map(|(slot, _)| slot.clone().cw()).collect();
        if job.board.thickness - strap.pocket_depth >= FLOOR {
            blank.pockets = cuts.into_iter().map(|(_, pocket)| pocket).collect();
        } else {
            diagnostics.push(
                Diagnostic::hint("no-pockets", "the board is too thin for pockets: the strap has slots only")
                    .at("strap.pocket_depth")
                    .help("glue the strap's ends flat on the inside of the base, and paper over them"),
            );
        }
    }
    let mut pieces = vec![blank];
    match liner::liner(job, m) {
        Ok(liner) => pieces.extend(liner),
        Err(d) => diagnostics.push(d),
    }
    (pieces, diagnostics)
}
