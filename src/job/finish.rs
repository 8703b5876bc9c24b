//! The covering, the elastic and the strap as they are written.

use super::check::{Check, Sign};
use super::{Covering, Elastic, Strap, StrapAlong};
use crate::diag::Diagnostic;
use crate::units::decimal;

/// What is drawn on the pieces.
#[derive(Clone, Copy, Debug)]
pub struct Marks {
    /// The piece's name and size, inside it, on the face that gets covered.
    pub labels: bool,
    /// On the cloth: every board's outline, and the hinge lines as crease-scores.
    pub placement: bool,
    /// The number of its copy on every piece of an edition.
    pub copy_numbers: bool,
    /// Gauges from waste board.
    pub gauges: bool,
    /// The word on what of a sheet falls away.
    pub scrap: bool,
}

impl Check<'_> {
    /// `[covering]`.
    pub(super) fn covering(&mut self) -> Option<Covering> {
        let turn_in = self.length("covering.turn_in", Sign::Positive);
        let corner = self.length("covering.corner", Sign::NotNegative);
        let slit_stop = self.length("covering.slit_stop", Sign::NotNegative);
        let reveal = self.length("covering.reveal", Sign::NotNegative);
        let press = "0 where the liner bridges the joints, 1 where it lies on their bottom";
        let groove_press = self.number_in("covering.groove_press", 0.0, 1.0, "groove-press", press);
        let liner_trim = self.length_or_word("covering.liner_trim", Sign::NotNegative);
        Some(Covering {
            turn_in: turn_in?,
            corner: corner?,
            slit_stop: slit_stop?,
            reveal: reveal?,
            groove_press: groove_press?,
            liner_trim: liner_trim?.unwrap_or_default(),
        })
    }

    /// `[elastic]`.
    pub(super) fn elastic(&mut self) -> Option<Elastic> {
        let width = self.length("elastic.width", Sign::Positive);
        let thickness = self.length("elastic.thickness", Sign::Positive);
        let hint = "write a share, \"6 %\"; more than 50 % dents the edges or bends the boards";
        let stretch = self.doc.number("elastic.stretch").filter(|s| {
            let is_right = (0.0..=0.5).contains(s);
            if !is_right {
                let side = if *s < 0.0 { "less than 0 %" } else { "more than 50 %" };
                let message = format!("the elastic's stretch is {} %, {side}", decimal(s * 100.0, 1));
                self.out.push(Diagnostic::error("stretch", message).at("elastic.stretch").help(hint));
            }
            is_right
        });
        // A wrong stretch or price is told; slots are looked at all the same.
        let price = self.price("elastic.price").flatten();
        Some(Elastic { width: width?, thickness: thickness?, stretch: stretch.unwrap_or_default(), price })
    }

    /// `[strap]`; `None` inside where the job has none.
    pub(super) fn strap(&mut self) -> Option<Option<Strap>> {
        if self.doc.get("strap").is_none() {
            return if self.doc.is_written("strap") { None } else { Some(None) };
        }
        let inset = self.length("strap.inset", Sign::Positive);
        let from_edge = self.length("strap.from_edge", Sign::Positive);
        let tail = self.length("strap.tail", Sign::Positive);
        let slot_ease = self.length("strap.slot_ease", Sign::NotNegative);
        let pocket_depth = match self.length_or_word("strap.pocket_depth", Sign::Positive) {
            Some(None) => self.t.map(|t| t / 2.0),
            Some(given) => given,
            None => None,
        };
        let count = self.doc.count("strap.count").and_then(|n| {
            let count = u32::try_from(n).ok().filter(|n| (1..=2).contains(n));
            if count.is_none() {
                let d = Diagnostic::error("strap-count", format!("{n} straps")).at("strap.count");
                self.push(d.help("1, or 2 that are placed alike from both edges"));
            }
            count
        });
        Some(Some(Strap {
            along: match self.doc.text("strap.along")? {
                "width" => StrapAlong::Width,
                _ => StrapAlong::Height,
            },
            inset: inset?,
            from_edge: from_edge?,
            tail: tail?,
            slot_ease: slot_ease?,
            pocket_depth: pocket_depth?,
            count: count.unwrap_or(1),
        }))
    }

    /// `[marks]`.
    pub(super) fn marks(&self) -> Option<Marks> {
        Some(Marks {
            labels: self.doc.flag("marks.labels")?,
            placement: self.doc.flag("marks.placement")?,
            copy_numbers: self.doc.flag("marks.copy_numbers")?,
            gauges: self.doc.flag("marks.gauges")?,
            scrap: self.doc.flag("marks.scrap")?,
        })
    }
}
