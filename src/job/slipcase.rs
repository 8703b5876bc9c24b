//! A slipcase as it is written.

use super::Side;
use super::check::{Check, Sign};
use crate::diag::Diagnostic;
use crate::units::Length;

/// What a slipcase is like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slipcase {
    /// The side at which it is open.
    pub open: Side,
    /// Whether the faces lie on the edges of back and ends, and not between them.
    pub faces_outside: bool,
    /// Whether the back lies on the edges of the ends, and not between them.
    pub back_outside: bool,
    /// How far the works stand out of the mouth.
    pub stands_out: Length,
    /// The thumb notches at the mouth: how wide and how deep each is; `None` without.
    pub notch: Option<(Length, Length)>,
}

impl Check<'_> {
    /// `[slipcase]`.
    pub(super) fn slipcase(&mut self) -> Option<Slipcase> {
        if self.doc.is_written("strap") {
            let message = "a slipcase has no strap, nothing closes its mouth: [strap] is left aside";
            let d = Diagnostic::warning("no-strap-here", message);
            self.push(d.at("strap").help("take the table out"));
        }
        let open = self.doc.text("slipcase.open").and_then(Side::of_word);
        let is_outside = |check: &Self, key| Some(check.doc.text(key)? == "outside");
        let faces_outside = is_outside(self, "slipcase.faces");
        let back_outside = is_outside(self, "slipcase.back");
        let stands_out = self.length("slipcase.stands_out", Sign::NotNegative);
        let width = self.length("slipcase.notch_width", Sign::NotNegative);
        let depth = self.length_or_word("slipcase.notch_depth", Sign::Positive);
        let (width, depth) = (width?, depth?);
        if width <= Length::ZERO && depth.is_some() {
            let message = "a notch has a depth and no width: it is left out";
            let d = Diagnostic::warning("no-notch", message).at("slipcase.notch_depth");
            self.push(d.help("write slipcase.notch_width as well, or take the depth out"));
        }
        let notch = (width > Length::ZERO).then(|| (width, depth.unwrap_or(width / 2.0)));
        Some(Slipcase {
            open: open?,
            faces_outside: faces_outside?,
            back_outside: back_outside?,
            stands_out: stands_out?,
            notch,
        })
    }
}
