//! The languages of machines, as a table. Adding one is an entry here, its checks in `check/output.rs`, its
//! writer in `write/program.rs` and its reader in `verify/read/mod.rs`; the compiler names what is missing.

use serde::{Deserialize, Serialize};

/// The language of a program.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Language {
    /// RS274/NGC.
    Gcode,
    /// HP-GL.
    Hpgl,
}

/// What a language can say, and how.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Terms {
    /// What it is called.
    pub name: &'static str,
    /// Whether an arc may be one instruction.
    pub has_arcs: bool,
    /// Whether a program says which unit its numbers are in; otherwise they are steps.
    pub has_units: bool,
    /// Whether the owner's lines are words of the controller, with comments, and may name tools.
    pub has_words: bool,
    /// Whether it lowers and lifts the tool by words of its own.
    pub lifts: bool,
    /// Whether it can say how long to wait.
    pub waits: bool,
    /// What a feed is said in whole numbers of, mm/min; zero where it is said as it is.
    pub feed_step: f64,
    /// By which share the time of a program may differ from its sum: feeds are rounded, and waits not said.
    pub time_share: f64,
}

impl Language {
    /// What it can say.
    pub const fn terms(self) -> Terms {
        match self {
            Self::Gcode => Terms {
                name: "G-code",
                has_arcs: true,
                has_units: true,
                has_words: true,
                lifts: false,
                waits: true,
                feed_step: 0.0,
                time_share: 0.03,
            },
            Self::Hpgl => Terms {
                name: "HP-GL",
                has_arcs: false,
                has_units: false,
                has_words: false,
                lifts: true,
                waits: false,
                // VS is in whole centimetres a second.
                feed_step: 600.0,
                time_share: 0.3,
            },
        }
    }

    /// A feed as it is said, mm/min.
    pub fn said_feed(self, feed: f64) -> f64 {
        let step = self.terms().feed_step;
        if step > 0.0 { (feed / step).round().max(1.0) * step } else { feed }
    }
}
