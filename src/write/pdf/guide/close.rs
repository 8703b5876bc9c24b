//! The last step: the stack put in and the box closed.

use super::step::{Step, show};
use super::{Told, work};
use crate::diag::listed;
use crate::job::Side;
use crate::units::mm;

pub(super) fn close<'a>(told: &'a Told<'a>) -> Step<'a> {
    let mut tiers: Vec<(u32, &str)> = told.job.flaps.iter().map(|(s, f)| (f.tier, s.word())).collect();
    tiers.sort();
    let order: Vec<&str> = tiers.iter().map(|t| t.1).collect();
    let depths = &told.fit.depths;
    let stack = if told.job.stacks().len() > 1 { "each stack" } else { "the stack" };
    let is_of_trays = told.job.build.construction.terms().has_trays;
    let mut words = if is_of_trays {
        vec![
            if told.job.build.construction.terms().has_case {
                format!(
                    "Put {stack} in the small tray and close the front cover: the large tray goes down over the small one by itself."
                )
            } else {
                format!(
                    "Put {stack} in the tray and set the lid over it: it goes down by itself, as fast as the air goes out."
                )
            },
            format!("A stack up to {} deep lies below the rim of its tray.", show(told, depths.flat)),
        ]
    } else if told.job.is_for_loose_sheets() {
        vec![
            format!("Lay {stack} on the back cover, against the spine, and close the front cover."),
            format!("Over a stack up to {} deep it lies flat and no joint is strained.", show(told, depths.flat)),
        ]
    } else {
        vec![
            match &order[..] {
                [one] => format!("Put {stack} in and close the {one} lid."),
                _ => format!("Put {stack} in and close the lids: {}.", order.join(", ")),
            },
            format!("Up to a stack {} deep every lid lies flat and no joint is strained.", show(told, depths.flat)),
        ]
    };
    words.extend(super::interlock::words(told));
    if told.design.case.is_some() {
        words.push("Close the front cover over it.".into());
    }
    if depths.pressed > depths.flat + mm(0.25) && !is_of_trays {
        words.push(format!(
            "A strap or a hand can press it shut over up to {} more: the joints give that, standing aslant.",
            show(told, depths.pressed - depths.flat)
        ));
    }
    words.extend(super::closings::shut(told));
    let open: Vec<&str> = told.job.open_sides().into_iter().map(Side::word).collect();
    if !open.is_empty() {
        words.push(format!(
            "Nothing holds the works at {}, where the box is open: carry it level, or wrap them before they go in.",
            listed(&open)
        ));
    }
    let plan = told.design.flat.as_ref().map(|f| f.base.bounds());
    Step {
        title: "Close it".into(),
        words,
        window: work::around(plan, 30.0),
        draw: Box::new(move |plan| work::closed(plan, told)),
    }
}
