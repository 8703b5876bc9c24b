//! A window in a lid, as it is written. Whether the lid has room for it is the design's to say.

use super::Side;
use super::check::{Check, Sign};
use crate::diag::Diagnostic;
use crate::units::Length;
use std::collections::BTreeMap;

/// A rectangular opening through a lid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// Its width in the board, as the closed box lies before one with its head up.
    pub width: Length,
    /// Its height.
    pub height: Length,
    /// From the left edge of the closed lid to the opening; `None` where it is in the middle.
    pub from_left: Option<Length>,
    /// From the head edge, likewise.
    pub from_head: Option<Length>,
}

impl Check<'_> {
    /// `[window.SIDE]`, those that are right by themselves; none where a box is not built for them.
    pub(super) fn windows(&mut self) -> BTreeMap<Side, Window> {
        let terms = self.construction().map(super::Construction::terms);
        let mut found = BTreeMap::new();
        for side in Side::ALL {
            let table = format!("window.{}", side.word());
            if !self.doc.is_written(&table) {
                continue;
            }
            if let Some(terms) = terms.filter(|t| !t.takes_windows) {
                let message = format!("\"{}\" takes no window", terms.word);
                let d = Diagnostic::error("no-window-here", message).at(table);
                self.push(d.help("take the table out, or build of hinged or creased boards: their lids take a window"));
            } else if !self.doc.is_written(&format!("flap.{}", side.word())) {
                let d = Diagnostic::error("window-in-no-lid", format!("there is no {} lid for a window", side.word()));
                self.push(d.at(table).help(format!("add [flap.{}], or name the side of a lid", side.word())));
            } else if let Some(window) = self.window(&table) {
                found.insert(side, window);
            }
        }
        found
    }

    fn window(&mut self, table: &str) -> Option<Window> {
        let width = self.length(&format!("{table}.width"), Sign::Positive);
        let height = self.length(&format!("{table}.height"), Sign::Positive);
        let from_left = self.length_or_word(&format!("{table}.from_left"), Sign::Positive);
        let from_head = self.length_or_word(&format!("{table}.from_head"), Sign::Positive);
        Some(Window { width: width?, height: height?, from_left: from_left?, from_head: from_head? })
    }
}
