//! The keys of a covering by part.

use crate::doc::{Key, Need, Shape, Table, key};
use Need::{Default, Optional};
use Shape::{Length, LengthOrShare, Named};

/// The boards that may be covered by part, as they are written.
pub(super) const BOARDS: &[&str] = &["left", "right", "tail", "head", "front", "back"];

/// `[sides]`.
pub(super) const SIDES: Key = key(
    "sides",
    Named(BOARDS, &SIDE),
    Optional,
    "Boards covered by part, quarter or half: cloth at the joint, [paper] over the rest. Of hinged boards the lids that no other lid covers, [sides.left] and so on; of a case its covers, [sides.front] and [sides.back]. Leave the tables out for cloth all over.",
);

/// `[sides.left]` and the like.
static SIDE: Table = Table {
    about: "A board covered by part: cloth along its joint, [paper] over the rest. Its own table for each board.",
    keys: &[
        key(
            "cloth",
            LengthOrShare,
            Default("\"25 %\""), // source: "quarter" binding, about a quarter of the board: University of Liverpool, "Q is for quarter-bound"
            "How far the cloth runs from the joint onto the outside of the board: a length, or a share of the board's width across its joint. A quarter is what the trade calls quarter covering.",
        ),
        key(
            "edge",
            Length,
            Default("\"0 mm\""), // choice: a quarter covering, unless asked
            "The width of a strip of cloth along the edge across from the joint, for a half covering; 0 is none.",
        ),
        key(
            "corner",
            Length,
            Default("\"0 mm\""), // choice: as the edge
            "The size of cloth corners, from the board's corner along either edge, for a half covering; 0 is none. Not beside `edge`.",
        ),
        key(
            "lap",
            Length,
            Default("\"3 mm\""), // source: 1/8 in, Vaughn, "Printing and Bookbinding for Schools", 1914, seventh grade, portfolio
            "How far the paper laps over the cloth wherever both meet.",
        ),
    ],
};
