//! The keys of what holds a box shut besides a strap: ribbon ties and magnets, a table a lid.

use super::work_keys::METRE_PRICE;
use crate::doc::{Need, Shape, Table, key};
use Need::{Default, Optional};
use Shape::{Count, Length, LengthOrWord, Number, Word};

/// `[ties.SIDE]`.
pub(super) static TIES: Table = Table {
    about: "Ribbons that tie this lid down, each tie two of them: one through a slot near the lid's free edge, its fellow through a slot in what the lid comes down to. Their ends are glued into pockets inside. They are tied in a bow, or a peg on the lid's ribbon goes through a loop of its fellow.",
    keys: &[
        key("width", Length, Default("\"10 mm\""), "The ribbon's width."), // from memory: ribbons and tapes for ties are 6 to 15 mm wide
        key("thickness", Length, Default("\"0.3 mm\""), "The ribbon's thickness."), // from memory: grosgrain and cotton tape are 0.2 to 0.5 mm thick
        METRE_PRICE,
        key(
            "count",
            Count,
            Default("1"), // choice: one bow holds a lid of common length
            "How many ties along the free edge, 1 to 4: one is in its middle, several are spread evenly, the outer ones half as far from the lid's ends as from each other.",
        ),
        key(
            "inset",
            Length,
            Default("\"20 mm\""), // choice: the slot stays clear of the turn-in
            "How far in from the free edge the middle of the lid's slot lies.",
        ),
        key(
            "tail",
            Length,
            Default("\"25 mm\""), // choice: as the strap's
            "Length of a pocket, from its slot away from the edge; in a low wall it is what the wall leaves, 10 mm at the least.",
        ),
        key("slot_ease", Length, Default("\"0.5 mm\""), "Room in a slot beyond the ribbon, both ways."), // choice: as the strap's
        key(
            "pocket_depth",
            LengthOrWord(&["half"]),
            Default("\"half\""), // practice: half the board, as for a strap
            "Depth of a pocket: \"half\" the board, or a length.",
        ),
        key(
            "to",
            Word(&["auto", "wall", "lid", "base"]),
            Default("\"auto\""), // derived: design/ties.rs
            "Where the fellow ribbon comes out: of the \"wall\" across, of the \"lid\" across, or of the \"base\" near its far edge. \"auto\" is the base where there is no wall across or a wall too low for a pocket, the lid across where this lid stops short of three quarters of the way, the wall otherwise.",
        ),
        key(
            "to_inset",
            LengthOrWord(&["auto"]),
            Default("\"auto\""), // choice: as the lid's slot; of a wall two boards, for there is little room
            "How far in the fellow's slot lies: of the base from its edge, of a lid from its free edge or from where this lid ends over it, of a wall down from its upper edge. \"auto\" is as `inset`, of a wall two boards.",
        ),
        key(
            "bow",
            Length,
            Default("\"200 mm\""), // from memory: a bow and its ends take 150 to 250 mm of each ribbon
            "With fasten = \"bow\": length of each ribbon that is free for the bow, beyond the middle of the way from slot to slot.",
        ),
        key(
            "fasten",
            Word(&["bow", "peg"]),
            Default("\"bow\""), // practice: ribbons are tied
            "What holds the two ribbons together: a \"bow\", or a \"peg\" of bone or wood that the lid's ribbon goes round and that is pushed through a loop of its fellow, beside it. Both ends of each then go through its slot.",
        ),
        key(
            "peg_diameter",
            Length,
            Default("\"6 mm\""), // from memory: pegs of bone are 5 to 8 mm thick
            "With fasten = \"peg\": how thick the peg is.",
        ),
        key(
            "peg_length",
            LengthOrWord(&["auto"]),
            Default("\"auto\""), // derived: it lies in two ribbons side by side and has a tip of 5 mm beyond each
            "With fasten = \"peg\": how long the peg is; \"auto\" is as long as it must be: two ribbons, 2 mm between them and 5 mm at each end.",
        ),
        key(
            "peg_price",
            Number,
            Optional,
            "With fasten = \"peg\": what one peg costs, in your currency; left out, its cost is not told.",
        ),
    ],
};

/// `[magnets.SIDE]`.
pub(super) static MAGNETS: Table = Table {
    about: "Round magnets in the inside of this lid near its free edge, each over a magnet or a steel plate in the inside of the lid beneath.",
    keys: &[
        key("diameter", Length, Default("\"10 mm\""), "A magnet's diameter."), // from memory: discs of 8 to 12 mm are usual in boxes
        key("thickness", Length, Default("\"1 mm\""), "A magnet's thickness."), // from memory: discs are sold from 1 mm; under half of a usual board
        key("price", Number, Optional, "What one magnet costs, in your currency; left out, its cost is not told."),
        key(
            "count",
            Count,
            Default("2"), // choice: one at each end of the free edge keeps it from lifting
            "How many along the free edge, 1 to 8: spread evenly, the outer ones half as far from the lid's ends as from each other.",
        ),
        key(
            "inset",
            Length,
            Default("\"20 mm\""), // choice: the recess stays clear of the turn-in
            "How far in from the free edge a magnet's middle lies.",
        ),
        key(
            "clearance",
            Length,
            Default("\"0.2 mm\""), // choice: it drops in without force
            "By how much a recess is wider than what lies in it.",
        ),
        key(
            "depth",
            LengthOrWord(&["auto"]),
            Default("\"auto\""), // from memory: a film of glue is 0.1 mm
            "Depth of a magnet's recess: \"auto\" is its thickness and 0.1 mm of glue, so that it lies level with the board.",
        ),
        key(
            "counterpart",
            Word(&["magnet", "steel"]),
            Default("\"magnet\""), // choice: two magnets hold through more board than one and a plate
            "What lies in the lid beneath: another \"magnet\", or a plate of \"steel\", which has no poles to mistake and pulls less.",
        ),
        key(
            "plate_diameter",
            LengthOrWord(&["auto"]),
            Default("\"auto\""), // choice: as the magnet
            "With counterpart = \"steel\": the plate's diameter, \"auto\" the magnet's.",
        ),
        key(
            "plate_thickness",
            Length,
            Default("\"0.5 mm\""), // from memory: steel discs and shim are sold from 0.3 to 1 mm
            "With counterpart = \"steel\": the plate's thickness; its recess is deeper by 0.1 mm of glue.",
        ),
        key("plate_price", Number, Optional, "With counterpart = \"steel\": what one plate costs, in your currency."),
    ],
};
