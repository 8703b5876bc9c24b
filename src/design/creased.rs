//! Creased board: base, walls and lids in one piece of folding board, creases for joints.
//!
//! The blank lies outside up on the bed: its creases are pressed from there, so that their bead rises
//! inside and the board folds towards it. A strap's pockets would want the other face up; its ends are
//! glued flat instead.

use super::build::{Build, Made};
use super::flat::{Corners, Flat};
use super::measures::{Auto, Measures, thicknesses};
use super::meeting::Lying;
use super::work::Step;
use super::{Design, Lay, Role, colophon, crease, dressing, limits, liner, strap, window};
use crate::assembly::{Assembly, Part};
use crate::diag::Diagnostic;
use crate::job::{Grain, Job, Side};
use crate::units::Length;

pub(super) struct CreasedBoard;

impl Corners for CreasedBoard {
    /// Walls of folding board stay clear of each other's corners.
    fn short_ends(&self, job: &Job, side: Side, lid: f64) -> (f64, f64) {
        let by = crease::relief(job).to_mm();
        // Where the lid's sides are nearly in line with the wall's ends, they are brought in line: a jog
        // of less than a board is a nuisance to cut.
        let by = if lid > by && lid < by + job.board.thickness.to_mm() { lid } else { by };
        let short = |neighbour| if job.flaps.contains_key(&neighbour) { by } else { 0.0 };
        // In the arm's frame x runs to the right as seen from the middle of the base looking out.
        match side {
            Side::Left => (short(Side::Tail), short(Side::Head)),
            Side::Right => (short(Side::Head), short(Side::Tail)),
            Side::Head => (short(Side::Left), short(Side::Right)),
            Side::Tail => (short(Side::Right), short(Side::Left)),
        }
    }
    fn is_relieved(&self) -> bool {
        true
    }
}

impl Build for CreasedBoard {
    fn measures(&self, job: &Job, _: Option<&Lying>) -> Auto {
        let (t, _, l) = thicknesses(job);
        crease::folded(job, t + l, |_| Length::ZERO)
    }

    fn pieces(&self, job: &Job, m: &Measures, flat: &Flat) -> Made {
        let mut made = Made { said: crease::too_thick(job).into_iter().collect(), ..Made::default() };
        let creases = flat.arms.values().flat_map(|arm| crease::of_arm(job, arm)).collect();
        let sides: Vec<Side> = flat.arms.keys().copied().collect();
        // Head to tail as every board's, unless all creases run the other way.
        let is_crosswise = sides.iter().all(|s| matches!(s, Side::Head | Side::Tail));
        let grain = if is_crosswise { Grain::Width } else { Grain::Height };
        let mut blank = crease::piece("board-blank", Role::Blank, flat.region(), creases, grain);
        blank.lay = Lay::OutsideUp;
        made.said.extend(crease::across_grain(job, &blank, &sides));
        if let Some(strap) = &job.strap {
            let cuts = strap::slots_and_pockets(strap, &job.elastic, m);
            blank.holes = cuts.iter().map(|(slot, _)| slot.clone().cw()).collect();
            made.said.push(
                Diagnostic::hint("no-pockets", "folding board has slots for the strap, and no pockets")
                    .at("strap")
                    .help(
                        "glue the strap's ends flat on the inside of the base; the liner, or a paper, goes over them",
                    ),
            );
        }
        made.pieces.push(blank);
        window::cut_boards(job, flat, &mut made.pieces);
        made.said.extend(limits::windows(job, m, flat, &[]));
        made.said.extend(limits::leaf(job, flat, &[]));
        match liner::liner(job, m, self) {
            Ok((mut pieces, linings)) => {
                window::cut_liner(job, m, flat, &mut pieces);
                colophon::cut_liner(job, m, flat, &mut pieces);
                made.pieces.extend(pieces);
                made.linings = linings;
            }
            Err(d) => made.said.push(d),
        }
        made
    }

    fn assembly(&self, job: &Job, m: &Measures, flat: &Flat, made: &Made) -> Assembly {
        let mut all = Assembly::default();
        all.panels.push(crease::panel(job, Part::Base, "board-blank", flat.base.clone(), 0.0));
        if let (Some(base), Some(blank)) = (all.panels.first_mut(), made.pieces.first()) {
            base.holes = blank.slots().to_vec();
        }
        for (side, arm) in &flat.arms {
            crease::hang(&mut all, job, m, *side, arm, 0, "board-blank");
        }
        for panel in &mut all.panels {
            let window = window::opening(job, panel.part, &panel.outline);
            panel.holes.extend(window.map(|w| w.outline().cw()));
        }
        dressing::line(&mut all, job, m, flat, made);
        all
    }

    fn steps(&self, job: &Job, _: &Design) -> Vec<Step> {
        [
            (Step::Cut, true),
            (Step::Crease, true),
            // Before anything is glued: a fold that was never worked goes where it likes under a liner.
            (Step::Fold, true),
            (Step::Strap, job.strap.is_some()),
            (Step::Liner, job.liner.is_some()),
            (Step::Press, job.liner.is_some()),
            (Step::Close, true),
        ]
        .into_iter()
        .filter_map(|(step, is_due)| is_due.then_some(step))
        .collect()
    }
}
