//! The keys of a portfolio.

use crate::doc::{Need, Shape, Table, key};
use Need::Default;
use Shape::{Length, LengthOrWord};

/// `[portfolio]`.
pub(super) static PORTFOLIO: Table = Table {
    about: "The case of construction = \"portfolio\"; not used otherwise. Two covers and a spine round a wrapper of the lids under [flap], which is glued to the back cover, or without [flap] round loose sheets. [ties.left] holds it shut at the fore-edge.",
    keys: &[
        key(
            "square",
            Length,
            Default("\"3 mm\""), // from memory: the squares of a case are 3 to 4 mm
            "How far the covers stand out beyond what is within, at head, tail and fore-edge.",
        ),
        key(
            "spine_extra",
            LengthOrWord(&["auto"]),
            Default("\"auto\""), // derived: design/portfolio.rs
            "What the board of the spine has beyond what is within, the closed wrapper or the depth for loose sheets: \"auto\" is both covers and all that is glued between them; a length, such as \"2 t\", overrides that.",
        ),
    ],
};
