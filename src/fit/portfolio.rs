//! The case of a portfolio: whether what is within goes between its covers, and what shows of it.

use super::trays::{of_a_case, squares};
use super::{Closing, Depths, Fit, Mend, Risk, fit};
use crate::design::Design;
use crate::diag::Diagnostic;
use crate::job::Job;
use crate::units::{Length, mm, tidy};
use std::collections::BTreeMap;

/// The figures of a portfolio that its wrapper, or the hinged boards of its case, do not give alone, and what keeps it
/// from closing.
pub(super) fn of_case(figures: &mut Fit, job: &Job, design: &Design) -> Vec<Diagnostic> {
    let Some(asked) = &job.portfolio else { return Vec::new() };
    if let Some(within) = &asked.within {
        let c = &within.contents;
        figures.interior = [c.interior_width(), c.interior_height(), c.interior_depth()];
        let flat = figures.depths.flat - (job.contents.interior_depth() - c.interior_depth());
        figures.depths = Depths {
            flat: flat.max(Length::ZERO),
            pressed: (flat + figures.rise * 2.0).max(Length::ZERO),
            slides: (flat - c.clearance.depth - job.board.thickness).max(Length::ZERO),
        };
        figures.play = BTreeMap::new();
        return Vec::new();
    }
    let Some(case) = &design.case else { return Vec::new() };
    let (of_case, mut said) = fit(&case.job, &case.design);
    figures.ties = of_case.ties;
    // A spine that is too narrow takes away from what the wrapper holds, and a fuller one must go between the covers too.
    let d = &mut figures.depths;
    let held = case.job.wall_from();
    d.flat = (d.flat - (held - of_case.depths.flat).max(Length::ZERO)).max(Length::ZERO);
    d.pressed = d.pressed.min(d.flat + of_case.depths.pressed - of_case.depths.flat);
    // How surely it closes is told of the whole.
    said.retain(|d| d.code != "closes-unsurely");
    said.extend(squares(&case.job, asked.square, ["wrapper", "portfolio.square"]));
    said
}

/// The case of a portfolio in words, each figure with its name and what it means; nothing of another box.
pub fn case_in_words(job: &Job, design: &Design) -> Vec<(&'static str, String, &'static str)> {
    if job.portfolio.is_none() {
        return Vec::new();
    }
    let size = |id: &str| design.pieces.iter().find(|p| p.id == id).map(|p| p.outline.bounds());
    let (Some(cover), Some(spine)) = (size("board-back-cover"), size("board-spine")) else { return Vec::new() };
    let show = |l: f64| job.units.show(mm(l));
    let mut all = vec![
        ("covers", job.units.show_size(&[mm(cover.width()), mm(cover.height())]), "the boards of both covers"),
        ("spine", format!("{} wide", show(spine.width())), "both covers, and all that lies between them"),
    ];
    if let Some(case) = &design.case {
        let joint = job.units.show(case.design.measures.joint);
        all.push(("case's joint", joint, "the gap between spine and covers: cut a spacer to it"));
    }
    all
}

/// How surely a case closes, told as that of a case.
pub(super) fn case_closing(alone: Closing) -> Closing {
    let first = alone.first.map(|risk| Risk { what: of_a_case(risk.what), ..risk });
    Closing { first, ..alone }
}

/// How surely a wrapper and the case round it close, `share` of all together. What a mend of the one makes of the whole is
/// told as if the other's errors had nothing to do with it: a little less than it is, for both are of one board.
pub(super) fn with_case(wrapper: Closing, case: Closing, share: f64) -> Closing {
    let share = tidy(share, 6);
    let other = |risk: Option<Risk>, goes: f64| {
        risk.map(|risk| Risk { mend: risk.mend.map(|m| Mend { share: tidy(m.share * goes, 6), ..m }), ..risk })
    };
    let worst = match (other(wrapper.first, case.share), other(case.first, wrapper.share)) {
        (Some(a), Some(b)) => Some(if a.share >= b.share { a } else { b }),
        (a, b) => a.or(b),
    };
    Closing { share, first: worst.filter(|_| share < 0.999) }
}
