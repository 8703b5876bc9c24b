//! How a sheet that is worked from both faces is laid down again, as it is written.

use super::check::{Check, Sign};
use crate::diag::Diagnostic;
use crate::doc::{Need, Shape, Table, key};
use crate::units::{Length, mm};
use Need::Default;
use Shape::Word;
use serde::Serialize;

/// `[turning]`.
pub(super) static TURNING: Table = Table {
    about: "How a board sheet is laid down again that is worked from both faces: with pockets in the inside of a board and a label's recess in its outside. It is turned over about its upright axis, left to right.",
    keys: &[
        key(
            "by",
            Word(&["corner", "pins"]),
            Default("\"corner\""), // choice: it needs nothing but straight edges
            "\"corner\": its lower left corner lies at the same place both times; its edges must be straight and square, and it must be as wide as the job says, for by what it is narrower the recesses come out of place. \"pins\": the first run cuts two holes through it, and it goes over pins in the bed; nothing hangs on its edges.",
        ),
        key(
            "pin_diameter",
            Shape::Length,
            Default("\"6 mm\""), // choice: a wooden dowel that every shop has
            "How wide the holes are, which is how thick the pins are.",
        ),
    ],
};

/// How a sheet is laid down again that is worked from both faces.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turning {
    /// By what.
    pub by: TurnedBy,
    /// How wide the holes for pins are.
    pub pin_diameter: Length,
}

/// What a turned sheet is laid by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum TurnedBy {
    /// Its corner.
    Corner,
    /// Two holes over two pins.
    Pins,
}

/// The thinnest and the thickest pins (our choice: a thinner one bends, a thicker one finds no room in a rim).
const THINNEST: Length = mm(2.0);
const THICKEST: Length = mm(20.0);

impl Check<'_> {
    /// `[turning]`.
    pub(super) fn turning(&mut self) -> Option<Turning> {
        let pin_diameter = self.length("turning.pin_diameter", Sign::Positive);
        let by = self.doc.text("turning.by").map(|by| if by == "pins" { TurnedBy::Pins } else { TurnedBy::Corner });
        let pin_diameter = pin_diameter?;
        if pin_diameter < THINNEST || pin_diameter > THICKEST {
            let message = format!("pins of {} hold no sheet in its place", self.say(pin_diameter));
            let hint = format!("take pins of {} to {}", self.say(THINNEST), self.say(THICKEST));
            self.push(Diagnostic::error("pin-diameter", message).at("turning.pin_diameter").help(hint));
            return None;
        }
        let by = by?;
        Some(Turning { by, pin_diameter })
    }
}
