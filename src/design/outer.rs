//! Which body of a box of several is worked.

use super::case::{Round, make_round};
use super::measures::turned_onto;
use super::portfolio;
use super::trays::trays;
use crate::job::{Job, SideOn, Within};
use crate::units::Length;
use std::borrow::Cow;

/// The job of the body that is worked: of a box of trays or loose sheets their case, made round them; of a portfolio
/// with lids the wrapper, which gets its case once it is laid out; of any other box the box itself.
pub fn outer(job: &Job) -> Cow<'_, Job> {
    if job.within().is_some() {
        return Cow::Borrowed(job);
    }
    if let Some(asked) = &job.portfolio {
        return portfolio::worked(job, asked);
    }
    let (Some(asked), Some(pair)) = (&job.trays, trays(job)) else { return Cow::Borrowed(job) };
    let mut case = job.clone();
    case.strap = None;
    if let Some(trays) = &mut case.trays {
        trays.within =
            Some(Within { contents: job.contents.clone(), lining: job.lining(), seat: job.build.seat, wrapper: None });
    }
    if job.build.construction.terms().has_case {
        let [width, height, _] = pair.large.exterior;
        // The trays lie on the cloth that is turned onto the back cover.
        let between = turned_onto(&case, SideOn::Back);
        let size = [width, height, pair.closed];
        make_round(&mut case, &Round { size, clearance: Length::ZERO, square: asked.square, between });
    }
    Cow::Owned(case)
}
