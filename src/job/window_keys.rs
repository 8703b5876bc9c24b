//! The keys of a window in a lid.

use crate::doc::{Need, Shape, Table, key};
use Need::{Default, Required};
use Shape::{Length, LengthOrWord};

/// `[window]`.
pub(super) const WINDOWS: &str = "Windows in lids, each lid that has one in a table of its own: [window.left]. Hinged and creased boards take them; leave the tables out for a box without.";

/// `[window.SIDE]`.
pub(super) static WINDOW: Table = Table {
    about: "A window in this lid: a rectangular opening right through it. In a covered lid the cloth is cut smaller, slit to the corners and turned in through the opening, and the liner keeps its reveal all round.",
    keys: &[
        key(
            "width",
            Length,
            Required,
            "Width of the opening in the board, as the closed box lies before one with its head up.",
        )
        .like("\"80 mm\""),
        key("height", Length, Required, "Its height, likewise.").like("\"60 mm\""),
        key(
            "from_left",
            LengthOrWord(&["auto"]),
            Default("\"auto\""), // choice: in the middle of the lid
            "From the left edge of the lid's board to the opening, as the closed box lies before one; \"auto\" is in the middle of the lid.",
        ),
        key(
            "from_head",
            LengthOrWord(&["auto"]),
            Default("\"auto\""), // choice: in the middle of the lid
            "From the head edge of the lid's board to the opening, likewise.",
        ),
    ],
};
