//! The step in which the cloth is turned in. What the words say is common practice, no source; the measures are the job's.

use super::step::{Step, cloth};
use super::{Told, work};
use crate::design::covered_by_part;
use crate::units::Length;

pub(super) fn turn_in<'a>(told: &'a Told<'a>) -> Step<'a> {
    let turns: Vec<usize> = work::turn_ins(told).into_iter().map(|(_, turn)| turn).collect();
    let are_both = turns.contains(&1) && turns.contains(&2);
    let first = "Glue a turn-in, pull it up against the board's edge with the folder, then down.";
    let mut words = vec![
        if are_both {
            "First all edges at head and tail (1), then all at left and right (2)."
        } else if turns.contains(&1) {
            "All edges at head and tail (1)."
        } else {
            "All edges at left and right (2)."
        }
        .into(),
        if are_both {
            format!(
                "{first} Before you glue those marked 2 nip the little ears at the corners in with the folder's point."
            )
        } else {
            first.into()
        },
        "At the joints push the turn-in down into the groove so that it can fold.".into(),
    ];
    if told.job.flaps.values().any(|f| f.corner_radius > Length::ZERO) {
        words.push("Round a rounded corner glue the cloth last: work it over in many small pleats with the folder's point, press each flat before the next, and cut away what stands up.".into());
    }
    if has_notch_in_cloth(told) {
        words.push("In a notch glue one tab of the cloth after the other, the middle one first, each drawn in over the edge with the folder; between them the patch covers the board.".into());
    }
    if told.design.patches.iter().any(|p| !p.is_of_side) {
        words.push("Where a patch goes round an edge, what lies on the cloth goes up with the cloth.".into());
    }
    Step {
        title: "Turn in".into(),
        words,
        window: cloth(told),
        draw: Box::new(move |plan| work::turned_in(plan, told)),
    }
}

/// Whether cloth is turned in at a notch: on a lid that is covered by part paper may be.
pub(super) fn has_notch_in_cloth(told: &Told<'_>) -> bool {
    let all = covered_by_part(told.job, told.design);
    let is_of_paper = |side| all.iter().any(|one| one.part.lid() == Some(side) && one.cut.edge <= Length::ZERO);
    told.job.flaps.iter().any(|(side, flap)| flap.notch.is_some() && !is_of_paper(*side))
}
