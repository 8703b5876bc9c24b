//! The job file's format, continued: the four stocks.

use crate::doc::{Key, Need, Shape, Table, key};
use Need::{Default, Optional, Required};
use Shape::{Count, Flag, Length, Number, Text, Word};

const SHEET_KEYS: &[Key] = &[
    key("width", Length, Required, "The sheet's width as it lies on the bed.").like("\"700 mm\""),
    key("height", Length, Required, "The sheet's height as it lies on the bed.").like("\"1000 mm\""),
];

static SIZE: Table = Table {
    about: "A further size of sheet.",
    keys: &[
        key("width", Length, Required, "The sheet's width as it lies on the bed.").like("\"700 mm\""),
        key("height", Length, Required, "The sheet's height as it lies on the bed.").like("\"1000 mm\""),
        key("price", Number, Optional, "What one such sheet costs, in your currency."),
    ],
};

static LEFTOVER: Table = Table {
    about: "A leftover of earlier work.",
    keys: &[
        key("width", Length, Required, "Its width as it lies on the bed, grain as the sheet's.").like("\"700 mm\""),
        key("height", Length, Required, "Its height as it lies on the bed.").like("\"310 mm\""),
        key("count", Count, Default("1"), "How many there are."), // choice: offcuts are mostly single
    ],
};

static SHEET: Table = Table { about: "The size of a sheet as it is bought.", keys: SHEET_KEYS };

static PAPER_SHEET: Table = Table {
    about: "The size of a sheet of it as it is bought.",
    keys: &[
        key("width", Length, Default("\"700 mm\""), "The sheet's width as it lies on the bed."), // from memory: the size that covering papers are mostly sold in
        key("height", Length, Default("\"1000 mm\""), "The sheet's height as it lies on the bed."), // from memory: likewise
    ],
};

static ROLL: Table = Table { about: "The size of a piece cut off the roll.", keys: SHEET_KEYS };

const GRAIN: Key = key(
    "grain",
    Word(&["width", "height", "none"]),
    Default("\"height\""), // from memory: sheets are sold grain long
    "Which way the sheet's grain (of cloth: the warp) runs: along its \"width\", its \"height\", or \"none\" where it does not matter.",
);
const STOCK: Key = key(
    "stock",
    Text,
    Optional,
    "What your shop calls it. With --shop FILE what is left out here comes from there: thickness, sheets, price, grain, weight, leftovers. Not needed otherwise.",
);
const MARGIN: Key =
    key("margin", Length, Default("\"6 mm\""), "The rim of the sheet, on all sides, that nothing is cut from."); // choice: the rim that tape or pins take
const GAP: Key = key("gap", Length, Default("\"5 mm\""), "The least distance between two pieces on the sheet."); // choice: a blade turns, a bit of 3 mm passes
const CUT_FACE: Key = key(
    "cut_face",
    Word(&["back", "face"]),
    Default("\"back\""), // practice: marks and pockets lie on the face that is covered
    "Which face lies up on the bed: the \"back\" (of the board: its inside face), or the \"face\" that shows, for which the pieces are mirrored.",
);
const PRICE: Key = key("price", Number, Optional, "What one sheet costs, in your currency, for the cost report.");
const SIZES: Key = key(
    "size",
    Shape::Tables(&SIZE),
    Optional,
    "Further sizes that it is sold in, [[board.size]] and the like; the layout takes what costs least, or where a price is missing what takes the least area.",
);
const LEFTOVERS: Key = key(
    "leftover",
    Shape::Tables(&LEFTOVER),
    Optional,
    "Offcuts of earlier work, [[board.leftover]] and the like, that are used where they save something; their grain runs as the sheet's.",
);
const COMMON_CUTS: Key = key(
    "common_cuts",
    Flag,
    Default("false"), // choice: only a blade can
    "Whether rectangles may touch and share one cut: for blades, which take nothing away.",
);
const GRAMMAGE: Key = key("grammage", Number, Optional, "Grams a square metre, for the weight of the box.");
const DENSITY: Key = key(
    "density",
    Number,
    Optional,
    "Kilograms a cubic metre, in place of the grammage: with the thickness it gives the weight.",
);

pub(super) static BOARD: Table = Table {
    about: "The board that base, walls and flaps are cut from.",
    keys: &[
        key("thickness", Length, Required, "Thickness as measured with a caliper, not as printed on the label."),
        key(
            "sheet",
            Shape::Table(&SHEET),
            Default("{ width = \"700 mm\", height = \"1000 mm\" }"), // from memory: the size that greyboard is mostly sold in
            SHEET.about,
        ),
        GRAIN,
        MARGIN,
        GAP,
        CUT_FACE,
        PRICE,
        SIZES,
        LEFTOVERS,
        COMMON_CUTS,
        GRAMMAGE,
        DENSITY,
        STOCK,
    ],
};

pub(super) static CLOTH: Table = Table {
    about: "The covering cloth; needed where boards are hinged, because the cloth is the hinge.",
    keys: &[
        key("thickness", Length, Default("\"0.35 mm\""), "Thickness as applied, glue included."), // from memory: book cloth is 0.25 to 0.45 mm
        key(
            "sheet",
            Shape::Table(&ROLL),
            Default("{ width = \"1000 mm\", height = \"1400 mm\" }"), // from memory: rolls are 1.0 to 1.4 m wide; a length that holds the largest usual box
            ROLL.about,
        ),
        GRAIN,
        MARGIN,
        GAP,
        CUT_FACE,
        PRICE,
        SIZES,
        LEFTOVERS,
        COMMON_CUTS,
        GRAMMAGE,
        DENSITY,
        STOCK,
        COATING,
    ],
};

pub(super) static PAPER: Table = Table {
    about: "The second covering, a paper or another cloth, of boards covered by part; see [sides].",
    keys: &[
        key("thickness", Length, Default("\"0.15 mm\""), "Thickness as applied, glue included."), // from memory: covering papers are 0.1 to 0.2 mm
        key("sheet", Shape::Table(&PAPER_SHEET), Default("{}"), PAPER_SHEET.about),
        GRAIN,
        MARGIN,
        GAP,
        CUT_FACE,
        PRICE,
        SIZES,
        LEFTOVERS,
        COMMON_CUTS,
        GRAMMAGE,
        DENSITY,
        STOCK,
        COATING,
    ],
};

pub(super) static LINER: Table = Table {
    about: "The lining of the inside; leave the table out for a box without.",
    keys: &[
        key("thickness", Length, Required, "Thickness as applied, glue included.").like("\"0.25 mm\""),
        key(
            "sheet",
            Shape::Table(&ROLL),
            Default("{ width = \"1000 mm\", height = \"1400 mm\" }"), // from memory: rolls are 1.0 to 1.4 m wide; a length that holds the largest usual box
            ROLL.about,
        ),
        GRAIN,
        MARGIN,
        GAP,
        CUT_FACE,
        PRICE,
        SIZES,
        LEFTOVERS,
        COMMON_CUTS,
        GRAMMAGE,
        DENSITY,
        STOCK,
        PIECES,
        key(
            "strip_lap",
            Length,
            Default("\"12 mm\""), // source: Bean and Brodhead, "Bookbinding for Beginners" (1914), sketch book (read): "about one-half inch"
            "How far hinge strips lap onto the boards on both sides of a joint, under the linings.",
        ),
        key(
            "turn_in",
            Length,
            Default("\"0 mm\""), // choice: a paper's cut edge is clean, a cloth's frays
            "How far the edges of the lining are folded under, for a liner of book cloth: no cut edge shows, and it lies double there. 0 cuts it to size.",
        ),
    ],
};

const COATING: Key = key(
    "coating",
    Word(&["unknown", "none", "coated"]),
    Default("\"unknown\""), // choice: the safe side, for what a beam makes of it
    "What its safety data sheet says of a coating: \"none\", \"coated\", or \"unknown\", which counts as coated. Coated cloth is not cut with a laser or another beam.",
);

const PIECES: Key = key(
    "pieces",
    Word(&["one", "panels", "hinge-strips"]),
    Default("\"one\""), // choice: the joints stay whole
    "\"one\" cross over all boards and joints; \"panels\": a piece for each board, in from its free edges by the reveal, in the joints neighbours overlap by 2 mm; \"hinge-strips\": strips of the covering cloth line the joints, and each board has a lining that stays in from all of its edges by the reveal, for papers that crack in a groove.",
);
