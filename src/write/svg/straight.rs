//! The cuts from edge to edge that take a sheet apart, drawn over it and numbered in their order.

use super::frame::{KeyEntry, Picture, WHITE, line};
use crate::drawing::{Anchor, Pen, Type};
use crate::geom::{Bounds, Path, Point, Stroke, pt};
use crate::nest::StraightCut;
use crate::profile::OperationKind;
use crate::write::style::INK;

/// A number is tried at so many places along its cut, from its beginning on: the first that is free.
const PLACES: u32 = 40;

/// From where to where a cut runs.
fn ends(cut: &StraightCut) -> [Point; 2] {
    let Bounds { min, max } = cut.part;
    if cut.is_upright { [pt(cut.at, min.y), pt(cut.at, max.y)] } else { [pt(min.x, cut.at), pt(max.x, cut.at)] }
}

impl Picture<'_> {
    fn straight_pen(scale: f64) -> Pen {
        Pen { color: INK, width: 0.8 * scale, dashes: &[6.0, 2.0], unit: 2.0 * scale }
    }

    /// The straight cuts with their numbers; nothing where a sheet has none.
    pub(super) fn straight_cuts(&mut self) {
        let cuts = self.sheet.sheet.cuts.clone();
        let size = 0.6 * self.text;
        // What is written on the pieces stays readable.
        let marks = self.sheet.operations.iter().filter(|o| o.kind == OperationKind::Mark);
        let mut taken: Vec<Bounds> = marks.map(|o| o.stroke.bounds()).collect();
        for (n, cut) in (1..).zip(&cuts) {
            let [from, to] = ends(cut);
            let way = Path::line(from, to);
            self.draw(vec![Stroke::Open(way)], None, Some(Self::straight_pen(self.scale)));
            let text = format!("{n}");
            let half = pt(self.width(&text, size) * 0.6, size * 0.6);
            let around = |p: Point| Bounds { min: p - half, max: p + half };
            let mut places = (1..PLACES).map(|k| from.lerp(to, f64::from(k) / f64::from(PLACES)));
            let first = from.lerp(to, 0.5);
            let at = places.find(|p| !taken.iter().any(|t| t.overlaps(around(*p), 0.0))).unwrap_or(first);
            taken.push(around(at));
            self.write(self.corner + at, Anchor::Middle, Type::new(size).halo(WHITE), &text, false);
        }
    }

    /// The row of the key that says what they are.
    pub(super) fn straight_key(&mut self) {
        if !self.sheet.sheet.cuts.is_empty() {
            let means = "cut from edge to edge, in the order of the numbers".into();
            self.key(&[KeyEntry { sample: line(Self::straight_pen), means }]);
        }
    }
}
