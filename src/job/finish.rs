//! The covering and the strap.

use super::check::{Check, Sign};
use super::flaps::{along, flap_key};
use super::{Build, Construction, Contents, Covering, Elastic, Flap, Marks, Seat, Side, Stock, Strap, StrapAlong};
use crate::diag::Diagnostic;
use crate::units::{Length, Unit, decimal, mm};
use std::collections::BTreeMap;

/// A turn-in narrower than this is hard to fold and lifts; about half an inch is usual (common
/// practice, no source).
const NARROW_TURN_IN: Length = mm(10.0);
/// The film of glue under an elastic in its pocket (from memory).
const GLUE: Length = mm(0.1);
/// Rounding must not decide whether an elastic fits.
const SLACK: Length = mm(1e-6);

/// The elastic as far as it is right: slots are checked even where the stretch is wrong.
#[derive(Clone, Copy)]
pub(super) struct PartElastic {
    width: Option<Length>,
    thickness: Option<Length>,
    stretch: Option<f64>,
}

impl PartElastic {
    /// The elastic, when all of it is right.
    pub(super) fn whole(self) -> Option<Elastic> {
        Some(Elastic { width: self.width?, thickness: self.thickness?, stretch: self.stretch? })
    }
}

impl Check<'_> {
    /// `[covering]`.
    pub(super) fn covering(&mut self, has_liner: bool) -> Option<Covering> {
        let turn_in = self.length("covering.turn_in", Sign::Positive);
        let corner = self.length("covering.corner", Sign::NotNegative);
        let slit_stop = self.length("covering.slit_stop", Sign::NotNegative);
        let reveal = self.length("covering.reveal", Sign::NotNegative);
        let press = "0 where the liner bridges the joints, 1 where it lies on their bottom";
        let groove_press = self.number_in("covering.groove_press", 0.0, 1.0, "groove-press", press);
        let liner_trim = self.length_or_word("covering.liner_trim", Sign::NotNegative);
        let covering = Covering {
            turn_in: turn_in?,
            corner: corner?,
            slit_stop: slit_stop?,
            reveal: reveal?,
            groove_press: groove_press?,
            liner_trim: liner_trim?.unwrap_or_default(),
        };
        self.turn_in(&covering, has_liner);
        Some(covering)
    }

    fn turn_in(&mut self, c: &Covering, has_liner: bool) {
        let said = self.say(c.turn_in);
        if c.turn_in < NARROW_TURN_IN {
            self.push(
                Diagnostic::warning("turn-in-narrow", format!("a turn-in of {said} is hard to fold and may lift"))
                    .at("covering.turn_in")
                    .help("about half an inch, 13 mm, or more (common practice, no source)"),
            );
        }
        if has_liner && c.reveal > c.turn_in {
            let message = format!(
                "the liner stays {} in from the edge and the turn-in covers only {said}: bare board shows",
                self.say(c.reveal)
            );
            let d = Diagnostic::error("bare-board", message).at("covering.reveal");
            self.push(d.help("make the reveal smaller than the turn-in"));
        }
        if let Some(t) = self.t
            && c.corner < t
        {
            let message =
                format!("a corner cut {} from the board's corner leaves that corner bare", self.say(c.corner));
            self.push(
                Diagnostic::warning("corner-bare", message)
                    .at("covering.corner")
                    .help("1 t, the board's thickness, is the least; 1.5 t is usual"),
            );
        }
        if c.corner >= c.turn_in * std::f64::consts::SQRT_2 {
            let message = format!("a corner cut {} out passes beyond a turn-in of {said}", self.say(c.corner));
            self.push(
                Diagnostic::warning("corner-uncut", message)
                    .at("covering.corner")
                    .help("1.5 t is usual; nothing is cut off this way"),
            );
        }
        if c.slit_stop >= c.turn_in {
            let message = format!("a slit that stops {} short leaves nothing to slit", self.say(c.slit_stop));
            let d = Diagnostic::warning("slit-short", message).at("covering.slit_stop");
            self.push(d.help("1 t, the board's thickness, is usual"));
        }
    }

    /// The covering against the sizes of base and flaps.
    pub(super) fn covered(
        &mut self,
        covering: &Covering,
        contents: &Contents,
        flaps: &BTreeMap<Side, Flap>,
        has_liner: bool,
    ) {
        let (w, h) = (contents.interior_width(), contents.interior_height());
        let (mut narrowest, mut place) = (w.min(h), "contents".to_owned());
        for (side, flap) in flaps {
            if flap.reach < narrowest {
                (narrowest, place) = (flap.reach, flap_key(*side, "reach"));
            }
        }
        if has_liner && covering.reveal * 2.0 >= narrowest {
            let message = format!(
                "a reveal of {} leaves no liner on a board {} wide",
                self.say(covering.reveal),
                self.say(narrowest)
            );
            let at = self.key_or("covering.reveal", &place);
            self.push(Diagnostic::error("no-liner", message).at(at).help("make `covering.reveal` smaller"));
        }
        if covering.turn_in * 2.0 > narrowest {
            let message =
                format!("two turn-ins of {} meet on a board {} wide", self.say(covering.turn_in), self.say(narrowest));
            let at = self.key_or("covering.turn_in", &place);
            let hint = format!("a `covering.turn_in` of {} or less keeps them apart", self.say(narrowest / 2.0));
            self.push(Diagnostic::warning("turn-ins-meet", message).at(at).help(hint));
        }
    }

    /// `[elastic]`.
    pub(super) fn elastic(&mut self) -> PartElastic {
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
        PartElastic { width, thickness, stretch }
    }

    /// `[strap]`; `None` inside where the job has none.
    pub(super) fn strap(&mut self, elastic: PartElastic, base: Option<(Length, Length)>) -> Option<Option<Strap>> {
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
        if let (Some(depth), Some(t)) = (pocket_depth, self.t) {
            self.pocket(depth, t, elastic);
        }
        let count = self.doc.count("strap.count").and_then(|n| {
            let count = u32::try_from(n).ok().filter(|n| (1..=2).contains(n));
            if count.is_none() {
                let d = Diagnostic::error("strap-count", format!("{n} straps")).at("strap.count");
                self.push(d.help("1, or 2 that are placed alike from both edges"));
            }
            count
        });
        let strap = Strap {
            along: match self.doc.text("strap.along")? {
                "width" => StrapAlong::Width,
                _ => StrapAlong::Height,
            },
            inset: inset?,
            from_edge: from_edge?,
            tail: tail?,
            slot_ease: slot_ease?,
            pocket_depth: pocket_depth?,
            count: count?,
        };
        if let (Some(width), Some(thickness), Some(base)) = (elastic.width, elastic.thickness, base) {
            self.slots(&strap, width, thickness, base);
        }
        Some(Some(strap))
    }

    fn pocket(&mut self, depth: Length, t: Length, elastic: PartElastic) {
        if depth >= t {
            let message = format!("a pocket {} deep goes through a board of {}", self.say(depth), self.say(t));
            self.push(
                Diagnostic::error("pocket-too-deep", message)
                    .at("strap.pocket_depth")
                    .help("\"half\" the board is usual (common practice, no source)"),
            );
        } else if let Some(thickness) = elastic.thickness
            && thickness + GLUE > depth + SLACK
        {
            let needs = thickness + GLUE;
            let message = format!(
                "the elastic and its glue are {} thick and the pocket {} deep: {} stand proud under the liner",
                self.say(needs),
                self.say(depth),
                self.say(needs - depth)
            );
            let hint = if needs < t {
                let share = decimal(needs / t * 100.0, 0);
                // Rounded up, so that the depth written is deep enough.
                let enough = match self.doc.unit {
                    Unit::Mm => format!("{} mm", decimal((needs.to_mm() * 20.0 - 1e-6).ceil() / 20.0, 2)),
                    Unit::Inch => format!("{} in", decimal((needs.to_inch() * 1000.0 - 1e-6).ceil() / 1000.0, 3)),
                };
                format!("write strap.pocket_depth = \"{enough}\" ({share} % of the board), or use a thinner elastic")
            } else {
                "use a thinner elastic or a thicker board".to_owned()
            };
            self.push(
                Diagnostic::warning("elastic-proud", message).at(self.key_or("strap.pocket_depth", "strap")).help(hint),
            );
        }
    }

    /// Whether slots and pockets stay on the base and off each other.
    fn slots(&mut self, strap: &Strap, elastic_width: Length, elastic_thickness: Length, base: (Length, Length)) {
        let ((length, length_name), (width, edge)) = match strap.along {
            StrapAlong::Height => ((base.1, "high"), (base.0, "right")),
            StrapAlong::Width => ((base.0, "wide"), (base.1, "tail")),
        };
        let slot_long = elastic_width + strap.slot_ease;
        let slot_wide = elastic_thickness + strap.slot_ease;
        if slot_long >= width {
            let message = format!(
                "a slot for a strap {} wide does not fit on a base of {}",
                self.say(elastic_width),
                self.say(width)
            );
            self.push(
                Diagnostic::error("strap-too-wide", message)
                    .at(self.key_or("elastic.width", "strap"))
                    .help("use a narrower elastic"),
            );
            return;
        }
        let (near, far) = (strap.from_edge - slot_long / 2.0, width - strap.from_edge - slot_long / 2.0);
        if near.min(far) <= Length::ZERO {
            let message = format!(
                "a strap {} in from the {edge} edge leaves the base, which is {} across",
                self.say(strap.from_edge),
                self.say(width)
            );
            let hint =
                format!("between {} and {} keeps it on", self.say(slot_long / 2.0), self.say(width - slot_long / 2.0));
            self.push(Diagnostic::error("strap-off-base", message).at("strap.from_edge").help(hint));
        } else if let Some(t) = self.t
            && near.min(far) < t
        {
            let message = format!("only {} of board is left beside the slots", self.say(near.min(far)));
            self.push(
                Diagnostic::warning("slot-near-edge", message)
                    .at("strap.from_edge")
                    .help("keep at least a board's thickness"),
            );
        }
        // Two straps lie at the same distance from opposite edges.
        let between = (width - strap.from_edge * 2.0).abs() - slot_long;
        if strap.count == 2 && between < self.t.unwrap_or_default() {
            let message = if between > Length::ZERO {
                format!("only {} of board is left between the slots of the two straps", self.say(between))
            } else {
                "the slots of the two straps overlap".to_owned()
            };
            let hint = "lower from_edge: the second strap is placed alike from the opposite edge";
            self.push(Diagnostic::error("straps-meet", message).at(self.key_or("strap.from_edge", "strap")).help(hint));
        }
        let half = length / 2.0;
        if strap.inset <= slot_wide / 2.0 {
            let message = format!("slots {} in from the edge break through it", self.say(strap.inset));
            let d = Diagnostic::error("slot-off-base", message).at("strap.inset");
            self.push(d.help("about 25 mm, 1 in, is usual (common practice, no source)"));
        } else if strap.inset + slot_wide / 2.0 >= half {
            let message = format!(
                "slots {} in from both edges meet on a base {} {length_name}",
                self.say(strap.inset),
                self.say(length)
            );
            self.push(Diagnostic::error("slots-meet", message).at("strap.inset").help("make the inset smaller"));
        } else if strap.inset + slot_wide / 2.0 + strap.tail >= half {
            let most = mm((half - strap.inset - slot_wide / 2.0).to_mm().floor());
            let message = format!(
                "pockets {} long from both slots meet in the middle of a base {} {length_name}",
                self.say(strap.tail),
                self.say(length)
            );
            let hint = if most > Length::ZERO {
                format!("a tail of less than {} keeps them apart", self.say(most))
            } else {
                "make the inset smaller".to_owned()
            };
            self.push(Diagnostic::error("pockets-meet", message).at("strap.tail").help(hint));
        }
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

/// The base: the interior, or with walls that stand on it, larger by a board and a liner all round;
/// creased, by half a board all round and a liner.
pub(super) fn base(contents: &Contents, build: &Build, t: Length, liner: Option<&Stock>) -> (Length, Length) {
    let l = liner.map_or(Length::ZERO, |l| l.thickness);
    let more = match (build.construction, build.seat) {
        (Construction::HingedBoards, Seat::Beside) => Length::ZERO,
        (Construction::HingedBoards, Seat::OnBase) => (t + l) * 2.0,
        (Construction::CreasedBoard | Construction::CrossedStrips, _) => t + l * 2.0,
    };
    (along(Side::Left, contents) + more, along(Side::Head, contents) + more)
}
