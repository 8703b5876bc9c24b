//! The title label as it is written.

use super::check::{Check, Sign};
use crate::diag::Diagnostic;
use crate::units::{Length, mm};

/// A paper label in a recess on the outside of the box.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TitleLabel {
    /// The board that it is on.
    pub on: LabelOn,
    /// The label's width, as the closed box lies before one with its head up.
    pub width: Length,
    /// Its height.
    pub height: Length,
    /// Room round it in its recess, in all and not on each side.
    pub ease: Length,
    /// From the head edge of the board to the recess; `None` where it lies in the upper third.
    pub from_head: Option<Length>,
    /// How deep the recess is.
    pub depth: Length,
}

/// The board that a title label is on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LabelOn {
    /// The lid that closes last, or the front cover.
    Lid,
    /// The wall of that lid, or the spine.
    Spine,
}

/// So much lower than the board's face a label lies where the depth is left to the program (our choice: nothing
/// rubs on it).
const BELOW: Length = mm(0.3);

impl Check<'_> {
    /// `[title_label]`; `None` inside where the job has none.
    pub(super) fn title_label(&mut self) -> Option<Option<TitleLabel>> {
        if self.doc.get("title_label").is_none() {
            return if self.doc.is_written("title_label") { None } else { Some(None) };
        }
        let width = self.length("title_label.width", Sign::Positive);
        let height = self.length("title_label.height", Sign::Positive);
        let thickness = self.length("title_label.thickness", Sign::Positive);
        let ease = self.length("title_label.ease", Sign::NotNegative);
        let from_head = self.length_or_word("title_label.from_head", Sign::Positive);
        let depth = self.length_or_word("title_label.depth", Sign::Positive);
        if let Some(terms) = self.construction().map(super::Construction::terms)
            && !(terms.is_hinged && (terms.has_case || terms.has_lids()))
        {
            let message =
                format!("\"{}\" has no covered lid for a label's recess: [title_label] is left aside", terms.word);
            let d = Diagnostic::warning("no-label-here", message).at("title_label");
            self.push(d.help("a label is glued flat on it; take the table out"));
            return Some(None);
        }
        let on = match self.doc.text("title_label.on")? {
            "spine" => LabelOn::Spine,
            _ => LabelOn::Lid,
        };
        Some(Some(TitleLabel {
            on,
            width: width?,
            height: height?,
            ease: ease?,
            from_head: from_head?,
            depth: depth?.unwrap_or(thickness? + BELOW),
        }))
    }
}
