//! What the pages are printed on.

use crate::units::{Unit, inch};

/// The paper of the guide and the templates.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// 210 x 297 mm (ISO 216).
    A4,
    /// 8 1/2 x 11 in.
    Letter,
    /// Templates: every piece whole, on a page of its own size where A4 does not hold it, for a
    /// printer on the roll. The guide is on A4.
    Large,
}

impl Paper {
    /// What a maker who counts in `unit` has at hand.
    pub const fn usual(unit: Unit) -> Self {
        match unit {
            Unit::Mm => Self::A4,
            Unit::Inch => Self::Letter,
        }
    }

    /// Width and height of an upright page, mm.
    pub(super) fn size(self) -> (f64, f64) {
        match self {
            Self::A4 | Self::Large => (210.0, 297.0),
            Self::Letter => (inch(8.5).to_mm(), inch(11.0).to_mm()),
        }
    }

    /// The paper of this name, in any letters.
    pub fn named(word: &str) -> Option<Self> {
        [Self::A4, Self::Letter, Self::Large].into_iter().find(|p| p.name().eq_ignore_ascii_case(word))
    }

    /// What it is called.
    pub const fn name(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "Letter",
            Self::Large => "large format",
        }
    }
}
