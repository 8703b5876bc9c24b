//! A leaf with the colophon, held inside a lid, as it is written. Whether the lid has room for it is the design's to say.

use super::check::{Check, Sign};
use super::fill::Inside;
use crate::diag::Diagnostic;
use crate::units::{Length, mm};

/// The film of glue under a leaf in its recess (from memory).
const GLUE: Length = mm(0.1);
/// What of a leaf's edge is free between two of its corners, at the least (our choice).
const FREE: Length = mm(10.0);

/// A leaf that is held inside the lid that closes last.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Colophon {
    /// Its width, as it is read in the open lid, the head of the box away from one.
    pub width: Length,
    /// Its height.
    pub height: Length,
    /// Its thickness.
    pub thickness: Length,
    /// What holds it.
    pub held: Held,
    /// From the upper edge of the open lid to it; `None` for its middle.
    pub from_top: Option<Length>,
    /// How far each of its corners is tucked in, along either edge.
    pub corner: Length,
    /// Room: in a recess in all, beside a corner at each end of its slit.
    pub ease: Length,
}

/// What holds a leaf.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Held {
    /// Slits in the liner, through which its corners go.
    Corners,
    /// A recess in the board, lined as the rest, into which it is glued.
    Inset,
}

impl Held {
    /// Its word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Corners => "corners",
            Self::Inset => "inset",
        }
    }
}

impl Colophon {
    /// By how much it stands out of the lid's lining: what lies in the box has so much less room.
    pub fn rise(&self) -> Length {
        match self.held {
            Held::Corners => self.thickness,
            Held::Inset => Length::ZERO,
        }
    }

    /// How deep its recess is: it lies level with the lining beside it.
    pub fn recess_depth(&self) -> Length {
        self.thickness + GLUE
    }
}

impl Inside {
    /// What a leaf on the lid takes of the depth.
    pub fn leaf_rise(&self) -> Length {
        self.colophon.map_or(Length::ZERO, |c| c.rise())
    }
}

impl Check<'_> {
    /// `[inside.colophon]`; `None` inside where there is none.
    pub(super) fn colophon(&mut self, stacks: usize) -> Option<Option<Colophon>> {
        let table = "inside.colophon";
        if self.doc.get(table).is_none() {
            return if self.doc.is_written(table) { None } else { Some(None) };
        }
        let key = |k: &str| format!("{table}.{k}");
        let width = self.length(&key("width"), Sign::Positive);
        let height = self.length(&key("height"), Sign::Positive);
        let thickness = self.length(&key("thickness"), Sign::Positive);
        let from_top = self.length_or_word(&key("from_top"), Sign::Positive);
        let corner = self.length(&key("corner"), Sign::Positive);
        let ease = self.length(&key("ease"), Sign::NotNegative);
        let held = if self.doc.text(&key("held"))? == "inset" { Held::Inset } else { Held::Corners };
        if let Some(terms) = self.construction().map(super::Construction::terms)
            && terms.has_strips
        {
            let message = format!("\"{}\" has no lined lid for a colophon's leaf", terms.word);
            let d = Diagnostic::error("no-colophon-here", message).at(table);
            self.push(d.help("take the table out, and paste the leaf where it is seen"));
            return None;
        }
        if held == Held::Inset && self.construction().is_some_and(|c| !c.terms().is_hinged || c.terms().has_trays) {
            let message = match self.construction().is_some_and(|c| c.terms().has_trays) {
                true => "in a tray the leaf lies on the lining of its floor",
                false => "folding board is too thin for a recess",
            };
            let d = Diagnostic::error("no-recess-here", message);
            let at = if self.doc.is_written(&key("held")) { key("held") } else { table.to_owned() };
            self.push(d.at(at).help("write `held = \"corners\"`"));
            return None;
        }
        if held == Held::Inset && self.doc.is_written(&key("corner")) {
            let d = Diagnostic::error("not-this-shape", "a corner is given, and a leaf in a recess has none tucked in");
            self.push(d.at(key("corner")).help("take it out, or write `held = \"corners\"`"));
            return None;
        }
        if held == Held::Corners && stacks > 1 {
            let message = "over several stacks a leaf that is held by its corners lies on a divider";
            let d = Diagnostic::error("colophon-over-stacks", message).at(key("held"));
            self.push(d.help("write `held = \"inset\"`: in its recess it takes nothing of the depth"));
            return None;
        }
        let (width, height, corner) = (width?, height?, corner?);
        let most = (width.min(height) - FREE) / 2.0;
        if held == Held::Corners && corner > most {
            let message =
                format!("corners of {} leave too little of a leaf of that size between them", self.say(corner));
            let most = self.say(most.max(Length::ZERO));
            let help = format!("make them {most} or less: {} stay free between two", self.say(FREE));
            self.push(Diagnostic::error("colophon-corners-meet", message).at(key("corner")).help(help));
            return None;
        }
        Some(Some(Colophon { width, height, thickness: thickness?, held, from_top: from_top?, corner, ease: ease? }))
    }
}
