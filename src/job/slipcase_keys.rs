//! The keys of a slipcase.

use crate::doc::{Need, Shape, Table, key};
use Need::Default;
use Shape::{Length, LengthOrWord, Word};

/// `[slipcase]`.
pub(super) static SLIPCASE: Table = Table {
    about: "The case of construction = \"slipcase\"; not used otherwise. Two faces, a back across from the open side and two ends, glued at their edges, covered in one piece of cloth that is turned in at the mouth.",
    keys: &[
        key(
            "open",
            Word(&["right", "left", "head", "tail"]),
            Default("\"right\""), // practice: the back is at the fore-edge of a volume, its spine shows at the mouth
            "The side at which it is open, the lower face before you and the head away from you.",
        ),
        key(
            "faces",
            Word(&["outside", "inside"]),
            Default("\"outside\""), // source: University of Brighton, "Slipcase"
            "Whether the faces lie \"outside\", on the edges of back and ends, or \"inside\", between them.",
        ),
        key(
            "back",
            Word(&["outside", "inside"]),
            Default("\"outside\""), // source: University of Brighton, "Slipcase"; Diehl 1946, "Slipcases"
            "Whether the back lies \"outside\", on the edges of both ends, or \"inside\", between them.",
        ),
        key(
            "stands_out",
            Length,
            Default("\"0 mm\""), // practice: a flat spine is flush with the mouth
            "How far the works stand out of the mouth: the height of a rounded spine, or what a hand is to take hold of.",
        ),
        key(
            "notch_width",
            Length,
            Default("\"0 mm\""), // choice: none unless asked for
            "Width of a thumb notch in the middle of the mouth edge of each face; 0 leaves them out.",
        ),
        key(
            "notch_depth",
            LengthOrWord(&["auto"]),
            Default("\"auto\""), // practice: a thumb notch is half round
            "From the mouth to the bottom of a notch: \"auto\" is half its width, a half round, the most that can be.",
        ),
    ],
};
