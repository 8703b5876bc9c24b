//! The cuts from edge to edge that take a sheet apart, drawn over it and numbered in their order; below it how far
//! from which edge each is made.

use super::frame::{KeyEntry, Picture, WHITE, line};
use crate::drawing::{Anchor, Pen, Type};
use crate::geom::{Bounds, Path, Stroke, pt};
use crate::ops::SheetOps;
use crate::profile::OperationKind;
use crate::units::Unit;
use crate::write::straight::{ToldCut, numbered, told};
use crate::write::style::INK;

/// What is said of the cuts of a sheet, a line each.
pub(super) fn lines(sheet: &SheetOps, unit: Unit) -> Vec<String> {
    told(&sheet.sheet, unit).iter().map(ToldCut::in_words).collect()
}

impl Picture<'_> {
    fn straight_pen(scale: f64) -> Pen {
        Pen { color: INK, width: 0.8 * scale, dashes: &[6.0, 2.0], unit: 2.0 * scale }
    }

    /// The straight cuts with their numbers; nothing where a sheet has none.
    pub(super) fn straight_cuts(&mut self) {
        let size = 0.6 * self.text;
        // What is written on the pieces stays readable.
        let marks = self.sheet.operations.iter().filter(|o| o.kind == OperationKind::Mark);
        let taken: Vec<Bounds> = marks.map(|o| o.stroke.bounds()).collect();
        let half = |text: &str| pt(self.width(text, size) * 0.6, size * 0.6);
        for cut in numbered(&self.sheet.sheet.cuts, taken, half) {
            let [from, to] = cut.ends;
            self.draw(vec![Stroke::Open(Path::line(from, to))], None, Some(Self::straight_pen(self.scale)));
            self.write(self.corner + cut.at, Anchor::Middle, Type::new(size).halo(WHITE), &cut.number, false);
        }
    }

    /// The row of the key that says what they are, and where each is made.
    pub(super) fn straight_key(&mut self) {
        if !self.sheet.sheet.cuts.is_empty() {
            let means =
                "cut from edge to edge, in the order of the numbers; the edge is that of the part in hand".into();
            self.key(&[KeyEntry { sample: line(Self::straight_pen), means }]);
            let lines = lines(self.sheet, self.unit);
            self.list(&lines);
        }
    }
}
