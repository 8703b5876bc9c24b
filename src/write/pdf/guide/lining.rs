//! The liner: in one cross, from the base outwards, or in panels, base first.

use super::step::{Step, cloth, glued, show};
use super::{Told, work};
use crate::design::LINER_OVERLAP;
use crate::job::{LinerPieces, StockKind};
use crate::units::{Length, mm};

/// The lining, where the box has one.
pub(super) fn lining<'a>(told: &'a Told<'a>) -> Option<Step<'a>> {
    let job = told.job;
    let liner = job.liner.as_ref()?;
    let is_hinged = job.build.construction.terms().is_hinged;
    let reveal = show(told, job.covering.reveal);
    let mut words = Vec::new();
    match (liner.pieces, is_hinged) {
        (LinerPieces::Panels, true) => {
            let half = told.design.measures.joint * 0.5 + job.board.thickness * job.covering.groove_press + mm(LINER_OVERLAP / 2.0);
            words.push(format!(
                "The base's panel first (1), then the walls' (2), then the lids' (3), each {reveal} in from the free edges of its own board. Where two walls meet the base's panel runs to the very corner."
            ));
            words.push(format!(
                "Into every joint a panel runs {} beyond its board: down the board's edge and over half of the groove. There the next one overlaps it by {}; press each to the bottom with the folder before the next goes on.",
                show(told, half),
                show(told, mm(LINER_OVERLAP))
            ));
        }
        (LinerPieces::Panels, false) => words.push(format!(
            "The base's panel first (1), then the walls' (2), then the lids' (3), each {reveal} in from free edges; at the creases they butt, without an overlap."
        )),
        (LinerPieces::One, true) => {
            words.push(format!(
                "First the part on the base (1): it runs to the very corners between two walls, and stays {reveal} in from edges that are free. Brush that part only, set it down, rub it out from the middle."
            ));
            words.push("Then each arm outwards (2): brush it, press it to the bottom of the groove with the folder, up over the wall, into the next groove, and out onto the lid.".into());
        }
        (LinerPieces::One, false) => words
            .push(format!("Glue the base part first (1), {reveal} in from free edges, then outwards over the creases (2).")),
    }
    if job.covering.liner_trim > Length::ZERO {
        words.push(format!(
            "The liner is {} longer than it needs to be: lay each arm dry into its grooves and trim its end to {reveal} from the edge before you glue it.",
            show(told, job.covering.liner_trim),
        ));
    }
    words.push(format!(
        "About {} to glue. A thin paper stretches when damp: work quickly and smooth it without pulling.",
        glued(told, StockKind::Liner)
    ));
    if job.copies > 1 {
        words.push("Of several boxes line the base of each in turn, then come back to the first for its arms.".into());
    }
    Some(Step {
        title: "Liner".into(),
        words,
        window: cloth(told),
        draw: Box::new(move |plan| work::lined(plan, told)),
    })
}
