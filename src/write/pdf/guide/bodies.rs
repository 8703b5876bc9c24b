//! The bodies of a box: of a wrapper in a case each has drawings of its own, and words of its own where both are made
//! alike.

use super::Told;
use crate::design::{Design, Step as Work, outer};
use crate::fit::{Fit, fit};
use crate::job::Job;
use std::borrow::Cow;

/// Whether what is told of is a case of covers and a spine, and not a box with one beside it.
pub(super) fn is_case(told: &Told<'_>) -> bool {
    told.design.case.is_none() && told.design.pieces.iter().any(|p| p.id == "board-back-cover")
}

/// A wrapper without its case, and the case by itself.
pub(super) struct Apart<'a> {
    job: Cow<'a, Job>,
    both: Option<(Design, Fit)>,
}

/// What is told of each step.
pub(super) struct Bodies<'a> {
    whole: Told<'a>,
    apart: Option<[Told<'a>; 2]>,
}

impl<'a> Apart<'a> {
    pub(super) fn of(told: &Told<'a>) -> Self {
        let both = told.design.case.as_ref().map(|case| {
            let is_own = |id: &str| !case.design.pieces.iter().any(|p| p.id == id);
            let mut wrapper = told.design.clone();
            wrapper.pieces.retain(|p| is_own(&p.id));
            wrapper.case = None;
            (wrapper, fit(&case.job, &case.design).0)
        });
        Self { job: outer(told.job), both }
    }

    pub(super) fn bodies<'b>(&'b self, told: &Told<'b>) -> Bodies<'b> {
        let apart = self.both.as_ref().zip(told.design.case.as_ref()).map(|((wrapper, of_case), case)| {
            [
                Told { job: &self.job, design: wrapper, ..*told },
                Told { job: &case.job, design: &case.design, fit: of_case, ..*told },
            ]
        });
        Bodies { whole: *told, apart }
    }
}

impl<'a> Bodies<'a> {
    /// Of which bodies a step is told, with what its title says of them.
    pub(super) fn told(&self, work: Work) -> Vec<(&Told<'a>, &'static str)> {
        let Some([wrapper, case]) = &self.apart else { return vec![(&self.whole, "")] };
        match work {
            Work::LayOut | Work::GlueDown | Work::CornerCuts | Work::TurnIn => {
                vec![(wrapper, ": the wrapper"), (case, ": the case")]
            }
            Work::SlotsAndPockets => {
                let has_some = |told: &&(&Told<'a>, &str)| super::work::cut_into(told.0).next().is_some();
                [(wrapper, ""), (case, "")].iter().filter(has_some).copied().collect()
            }
            Work::Sides | Work::LabelRecess | Work::GlueLabel | Work::Ties | Work::LineSpine | Work::LineCovers => {
                vec![(case, "")]
            }
            Work::Slits | Work::Patches | Work::Magnets | Work::HingeStrips | Work::Liner => vec![(wrapper, "")],
            _ => vec![(&self.whole, "")],
        }
    }
}
