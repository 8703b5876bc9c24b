//! A covering by part as it is written: which boards have sides of paper, or of another cloth, and where these begin.

use super::check::{Check, Sign};
use super::{Construction, Side, Stock};
use crate::diag::Diagnostic;
use crate::doc::RawLength;
use crate::units::Length;
use std::collections::BTreeMap;

/// A board that is covered by part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SideOn {
    /// The lid of a side.
    Lid(Side),
    /// The front cover of a case.
    Front,
    /// Its back cover.
    Back,
}

impl SideOn {
    /// Of this word.
    fn of_word(word: &str) -> Option<Self> {
        match word {
            "front" => Some(Self::Front),
            "back" => Some(Self::Back),
            _ => Side::of_word(word).map(Self::Lid),
        }
    }

    /// Its word in the job.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Lid(side) => side.word(),
            Self::Front => "front",
            Self::Back => "back",
        }
    }

    /// The board in words: `left lid`, `front cover`.
    pub fn board(self) -> String {
        format!("{} {}", self.word(), if matches!(self, Self::Lid(_)) { "lid" } else { "cover" })
    }

    /// Its key, or that of a value in its table.
    pub fn key(self, of: &str) -> String {
        let table = format!("sides.{}", self.word());
        if of.is_empty() { table } else { format!("{table}.{of}") }
    }
}

/// How one board is covered by part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SideCut {
    /// How far the cloth runs onto the board from its joint.
    pub cloth: ClothReach,
    /// The width of the strip of cloth along the edge across; zero for none.
    pub edge: Length,
    /// The size of its cloth corners; zero for none.
    pub corner: Length,
    /// How far the paper laps over the cloth.
    pub lap: Length,
}

/// How far cloth runs onto a board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ClothReach {
    /// So far.
    Fixed(Length),
    /// This share of the board's width across its joint.
    Share(f64),
}

impl ClothReach {
    /// On a board that is so wide across its joint.
    pub fn on(self, wide: Length) -> Length {
        match self {
            Self::Fixed(length) => length,
            Self::Share(share) => wide * share,
        }
    }
}

impl Check<'_> {
    /// `[sides]`, where the construction takes it.
    pub(super) fn sides(&mut self) -> Option<BTreeMap<SideOn, SideCut>> {
        let mut all = BTreeMap::new();
        let mut is_sound = true;
        for word in super::sides_keys::BOARDS {
            let Some(on) = SideOn::of_word(word) else { continue };
            if self.doc.get(&on.key("")).is_none() {
                is_sound &= !self.doc.is_written(&on.key(""));
                continue;
            }
            match self.side_cut(on) {
                Some(Some(cut)) => _ = all.insert(on, cut),
                Some(None) => {}
                None => is_sound = false,
            }
        }
        is_sound.then_some(all)
    }

    /// One board; `None` inside where the construction has no such board.
    fn side_cut(&mut self, on: SideOn) -> Option<Option<SideCut>> {
        let raw = self.doc.length(&on.key("cloth"))?;
        let cloth = if let RawLength::Share(share) = raw {
            if share <= 0.0 || share >= 1.0 {
                let d = Diagnostic::error("side-share", "cloth on none or all of the board leaves nothing to part");
                self.push(
                    d.at(on.key("cloth")).help("25 % is a quarter of the board; take the table out for cloth all over"),
                );
                None
            } else {
                Some(ClothReach::Share(share))
            }
        } else {
            self.length(&on.key("cloth"), Sign::Positive).map(ClothReach::Fixed)
        };
        let edge = self.length(&on.key("edge"), Sign::NotNegative);
        let corner = self.length(&on.key("corner"), Sign::NotNegative);
        let lap = self.length(&on.key("lap"), Sign::Positive);
        let terms = self.construction().map(Construction::terms);
        if let Some(terms) = terms
            && !terms.takes_side(on)
        {
            let (message, hint) = if terms.has_case {
                (
                    format!("\"{}\" is covered by part on its covers, and [{}] is none", terms.word, on.key("")),
                    "write [sides.front] and [sides.back]",
                )
            } else if terms.takes_sides() {
                (format!("\"{}\" has no cover: [{}] is left aside", terms.word, on.key("")), "name a lid: [sides.left]")
            } else {
                (
                    format!("\"{}\" is not covered by part: [{}] is left aside", terms.word, on.key("")),
                    "take the table out; lids of hinged boards and the covers of a case are covered by part",
                )
            };
            self.push(Diagnostic::warning("no-sides-here", message).at(on.key("")).help(hint));
            return Some(None);
        }
        let (edge, corner) = (edge?, corner?);
        if edge > Length::ZERO && corner > Length::ZERO {
            let d = Diagnostic::error("edge-and-corner", "a strip along the edge covers the corners as well");
            self.push(d.at(on.key("corner")).help("keep `edge` or `corner`"));
            return None;
        }
        Some(Some(SideCut { cloth: cloth?, edge, corner, lap: lap? }))
    }

    /// The paper against the boards that ask for it.
    pub(super) fn paper_in_use(
        &mut self,
        paper: Option<Option<Stock>>,
        sides: Option<&BTreeMap<SideOn, SideCut>>,
    ) -> Option<Option<Stock>> {
        let (Some(paper), Some(sides)) = (paper, sides) else { return None };
        match (&paper, sides.keys().next()) {
            (None, Some(on)) if self.is_clean => {
                let d = Diagnostic::error("no-paper", "the sides are of paper, and the job has no [paper]");
                self.push(d.at(on.key("")).help("add [paper] with its thickness, or take the table out"));
                None
            }
            (Some(_), None) => {
                let d = Diagnostic::hint("unused-stock", "nothing is covered in paper: [paper] is left aside");
                self.push(
                    d.at("paper").help("say what it covers, in [sides.front] or [sides.left], or take the table out"),
                );
                Some(None)
            }
            _ => Some(paper),
        }
    }
}
