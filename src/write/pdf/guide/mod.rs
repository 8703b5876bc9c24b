//! `guide.pdf`: the box to look at, what to buy, what to cut, each sheet, the work in order with
//! its drawings, and what to check first. A construction's steps only: what a box has not is left out.

mod bodies;
mod boxes;
mod close;
mod closings;
mod colophon;
mod days;
mod hinge_strips;
mod inside;
mod interlock;
mod lining;
mod lists;
mod lot;
mod measures;
mod openings;
mod patches;
mod plan;
mod portfolio;
mod sheets;
mod sides;
mod slipcase;
mod step;
mod steps;
mod title_label;
mod trays;
mod turn_in;
mod turning;
mod window;
mod work;

pub use lot::{Lot, SharedSheet};

use super::flow::{Flow, MARGIN};
use super::paper::Paper;
use crate::design::Design;
use crate::drawing::{Anchor, Drawing as Page, Type};
use crate::drawing::{Faces, pdf};
use crate::estimate::Estimate;
use crate::fit::{Bill, Fit};
use crate::geom::pt;
use crate::job::Job;
use crate::nest::Sheet;
use crate::ops::SheetOps;
use crate::write::manifest::ProgramFigures;
use crate::write::style::QUIET;
use std::sync::Arc;

/// All that the guide tells of.
#[derive(Clone, Copy)]
pub struct Told<'a> {
    /// The job.
    pub job: &'a Job,
    /// Its pieces.
    pub design: &'a Design,
    /// The closed box.
    pub fit: &'a Fit,
    /// What it takes.
    pub bill: &'a Bill,
    /// The sheets.
    pub sheets: &'a [Arc<Sheet>],
    /// What is worked on each sheet, in the same order.
    pub operations: &'a [SheetOps],
    /// The lot whose sheets these are, where it is an item of a list; then they hold its own pieces alone.
    pub lot: Option<&'a Lot>,
    /// The programs written.
    pub programs: &'a [ProgramFigures],
    /// What the work takes; not told where it is done among other boxes.
    pub estimate: Option<&'a Estimate>,
    /// The number of the first box: above 1 where boxes were made before.
    pub first_copy: u32,
}

/// The guide. An error only where the PDF library cannot write.
pub fn guide(told: &Told<'_>, paper: Paper) -> Result<Vec<u8>, String> {
    let faces = Faces::new();
    pdf(&pages(told, paper, &faces), &format!("{}: guide", told.job.title), &faces)
}

fn pages(told: &Told<'_>, paper: Paper, faces: &Faces) -> Vec<Page> {
    let mut flow = Flow::new(faces, paper, 0.0);
    boxes::front(&mut flow, told);
    lot::front(&mut flow, told);
    lists::check_first(&mut flow, told);
    lists::buy(&mut flow, told);
    days::costs(&mut flow, told);
    lists::cut_list(&mut flow, told);
    sheets::sheets(&mut flow, told);
    measures::measures(&mut flow, told);
    steps::steps(&mut flow, told);
    days::days(&mut flow, told);
    let mut pages = flow.finish();
    let total = pages.len();
    for (n, page) in pages.iter_mut().enumerate() {
        let kind = Type::new(2.8).color(QUIET);
        page.text(faces, pt(MARGIN, 9.0), Anchor::Left, kind, &told.job.title);
        page.text(faces, pt(page.width - MARGIN, 9.0), Anchor::Right, kind, &format!("{} of {total}", n + 1));
    }
    pages
}

#[cfg(test)]
mod tests;
