//! The covering: turn-in, corner cut and slit against the board and the lids.

use super::{Limits, flap_key};
use crate::design::liner::LAP;
use crate::design::turn_in::GRIP;
use crate::diag::Diagnostic;
use crate::job::Side;
use crate::units::{Length, Unit, inch, mm};

/// A turn-in narrower than this is hard to fold and lifts (our choice; bindings have 5/8 in or up to 1/2 in:
/// Roberts and Etherington, "Bookbinding and the Conservation of Books", 1982, "cover turned-in").
const NARROW_TURN_IN: Length = mm(10.0);

impl Limits<'_> {
    // Where the figures of these hints come from stands beside the defaults in `job/keys.rs`.
    pub(super) fn turn_in(&mut self) {
        let c = self.job.covering;
        let said = self.say(c.turn_in);
        if c.turn_in < NARROW_TURN_IN {
            self.push(
                Diagnostic::warning("turn-in-narrow", format!("a turn-in of {said} is hard to fold and may lift"))
                    .at("covering.turn_in")
                    .help(match self.job.units {
                        Unit::Mm => "binders turn in 13 to 16 mm",
                        Unit::Inch => "binders turn in 1/2 to 5/8 in",
                    }),
            );
        }
        if c.corner < self.job.board.thickness {
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
                    .at(self.key_or("covering.corner", "covering.turn_in".into()))
                    .help("1.5 t is usual; nothing is cut off this way"),
            );
        }
        if c.slit_stop >= c.turn_in {
            let message = format!("a slit that stops {} short leaves nothing to slit", self.say(c.slit_stop));
            let d = Diagnostic::warning("slit-short", message)
                .at(self.key_or("covering.slit_stop", "covering.turn_in".into()));
            self.push(d.help("1 t, the board's thickness, is enough"));
        }
    }

    /// The covering against the sizes of base and flaps.
    pub(super) fn covered(&mut self) {
        let (covering, contents, flaps, has_liner) =
            (self.job.covering, &self.job.contents, &self.job.flaps, self.job.liner.is_some());
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
            let at = self.key_or("covering.reveal", place.clone());
            self.push(Diagnostic::error("no-liner", message).at(at).help("make `covering.reveal` smaller"));
        }
        self.laps();
        if covering.turn_in * 2.0 > narrowest {
            let message =
                format!("two turn-ins of {} meet on a board {} wide", self.say(covering.turn_in), self.say(narrowest));
            let at = self.key_or("covering.turn_in", place.clone());
            // As it is written it must be so little: a tenth of a millimetre or a hundredth of an inch down.
            let step = match self.job.units {
                Unit::Mm => mm(0.1),
                Unit::Inch => inch(0.01),
            };
            let most = step * (narrowest / 2.0 / step + 1e-6).floor();
            let hint = format!("a `covering.turn_in` of {} or less keeps them apart", self.say(most));
            let d = Diagnostic::warning("turn-ins-meet", message).at(at).help(hint).weighing(-narrowest.to_mm());
            self.push(d.unless_assumed(&self.job.places, &["covering.turn_in"]));
        }
    }

    /// The laps of hinge strips against the linings that go over them, and what of a lining is folded under.
    fn laps(&mut self) {
        let fold = self.job.lining_fold();
        if fold > Length::ZERO && fold < mm(GRIP) {
            let message = format!("a lining's edge of {} is hard to fold under and may lift", self.say(fold));
            let hint = format!("make liner.turn_in {} or more", self.say(mm(GRIP)));
            self.push(Diagnostic::warning("lining-turn-in-narrow", message).at("liner.turn_in").help(hint));
        }
        let has_corner = Side::ALL.into_iter().any(|side| {
            let meets = |other: &Side| *other != side && *other != side.opposite();
            self.job.flaps.contains_key(&side) && self.job.flaps.keys().any(meets)
        });
        if fold > Length::ZERO && has_corner && self.job.strip_lap().is_none() {
            let message = "where two walls meet a liner in one goes into the corner in steps of a few millimetres, too short to be folded under";
            let d = Diagnostic::error("no-lining-turn-in-here", message).at("liner.turn_in");
            self.push(d.help("write pieces = \"hinge-strips\", or take liner.turn_in out"));
        }
        let Some(lap) = self.job.strip_lap() else { return };
        let reveal = self.job.covering.reveal;
        let least = reveal + mm(LAP);
        if lap < least {
            let message = format!(
                "hinge strips that lap {} onto the boards do not reach under the linings, which begin {} from the edge: board shows between them",
                self.say(lap),
                self.say(reveal)
            );
            let at = self.key_or("liner.strip_lap", "covering.reveal".into());
            let hint = format!("make liner.strip_lap {} or more, or lower covering.reveal", self.say(least));
            self.push(Diagnostic::error("lap-too-short", message).at(at).help(hint));
        }
    }
}
