//! What is written at a measure: the figure to mark by, and the exact one where that is another.

use crate::drawing::{Anchor, Drawing as Page, Faces, Type};
use crate::geom::{Point, pt};
use crate::units::{Length, Unit};
use crate::write::style::QUIET;

/// The letters of a figure, and the smaller ones of what it is exactly.
pub(super) const FIGURE: Type = Type::new(2.8);
const EXACT: Type = Type::new(2.1).color(QUIET);
/// Between the two, mm.
const BETWEEN: f64 = 0.7;
/// How far apart the middles of two figures one above the other stand, mm.
pub(super) const PITCH: f64 = 2.9;
/// From the middle of a figure's height to its baseline, mm.
pub(super) const MIDDLE: f64 = 0.36 * FIGURE.size;

/// A measure as it is written.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Figures {
    /// What to mark by.
    pub(super) hand: String,
    /// The measure itself, in brackets, where it is shown otherwise.
    exact: Option<String>,
}

impl Figures {
    /// Those of a length that is marked at the nearest line of a rule.
    pub(super) fn of(length: Length, unit: Unit) -> Self {
        Self::marked(unit.at_bench(length), length, unit)
    }

    /// Those of a length that is marked at `hand`.
    pub(super) fn marked(hand: Length, length: Length, unit: Unit) -> Self {
        let (hand, exact) = (unit.show_bare(hand), unit.show_bare(length));
        let exact = (exact != hand).then(|| format!("({exact})"));
        Self { hand, exact }
    }

    /// The same after a sign: `R 3`.
    pub(super) fn after(self, sign: &str) -> Self {
        Self { hand: format!("{sign} {}", self.hand), ..self }
    }

    /// How long they run, mm.
    pub(super) fn width(&self, faces: &Faces) -> f64 {
        let exact = self.exact.as_ref().map_or(0.0, |t| BETWEEN + faces.width(t, EXACT.size, EXACT.weight));
        faces.width(&self.hand, FIGURE.size, FIGURE.weight) + exact
    }

    /// Writes them from `start` on, to the right or upwards.
    pub(super) fn put(&self, page: &mut Page, faces: &Faces, start: Point, is_upright: bool) {
        let on = faces.width(&self.hand, FIGURE.size, FIGURE.weight) + BETWEEN;
        if is_upright {
            page.upright(faces, start, Anchor::Left, FIGURE, &self.hand);
        } else {
            page.text(faces, start, Anchor::Left, FIGURE, &self.hand);
        }
        let Some(exact) = &self.exact else { return };
        if is_upright {
            page.upright(faces, start + pt(0.0, on), Anchor::Left, EXACT, exact);
        } else {
            page.text(faces, start + pt(on, 0.0), Anchor::Left, EXACT, exact);
        }
    }

    /// In one line of running text.
    pub(super) fn in_words(&self) -> String {
        match &self.exact {
            Some(exact) => format!("{} {exact}", self.hand),
            None => self.hand.clone(),
        }
    }
}
