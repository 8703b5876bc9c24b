//! The page that goes with the drawings to whoever cuts them.

use super::flow::{Flow, MARGIN};
use super::paper::Paper;
use crate::drawing::{Anchor, Faces, Type, pdf};
use crate::geom::pt;
use crate::write::handover::{Handover, Part, parts};
use crate::write::style::QUIET;

/// The page; more of them only where there are many sheets. An error only where the PDF library cannot write.
pub fn handover(of: &Handover<'_>, paper: Paper) -> Result<Vec<u8>, String> {
    let faces = Faces::new();
    let mut flow = Flow::new(&faces, paper, 0.0);
    for part in parts(of) {
        match part {
            Part::Title(text) => flow.title(&text),
            Part::Heading(text) => flow.heading(text),
            Part::Text(text) => flow.text(&text),
            Part::Item(text) => flow.item(&text),
            Part::Table(heads, shares, rows) => flow.table(heads, shares, &rows),
        }
    }
    let mut pages = flow.finish();
    let total = pages.len();
    for (n, page) in pages.iter_mut().enumerate().filter(|_| total > 1) {
        let kind = Type::new(2.8).color(QUIET);
        page.text(&faces, pt(page.width - MARGIN, 9.0), Anchor::Right, kind, &format!("{} of {total}", n + 1));
    }
    pdf(&pages, &format!("{}: for whoever cuts", of.job.title), &faces)
}
