//! The JSON files of a folder that `export` or `coupon` writes.

use super::shared::{COUNT, FIT, NUMBER, OFFCUT, OUTLINE, PROGRAM, SIDE, STOCKS, TEXT, format};
use super::table::Kind::{Count, Flag, List, Maybe, Number, Row, Same, Table as Of, Text, Word};
use super::table::{Kind, Table, field, sometimes};
use super::work::WORK;

const UNITS: &[&str] = &["mm", "in"];
const GRAIN: &[&str] = &["width", "height", "none"];
const ROLES: &[&str] = &[
    "blank", "strip", "base", "wall", "flap", "cover", "side", "patch", "hinge", "liner", "tray", "inside", "coupon",
    "gauge",
];
static ROLE: Kind = Word(ROLES);
static VERTEX: Kind = Row(3, &NUMBER);

pub(super) static MANIFEST: Kind = Of(&Table {
    about: "Everything about a folder: lengths in mm, pieces nominal, contours as lists of [x, y, bulge].",
    fields: &[
        format(),
        field("title", Text, "What the box is called."),
        field("units", Word(&["mm"]), "What all lengths are in."),
        field("shown_in", Word(UNITS), "What people read."),
        field("edge_drawn", Flag, "Whether the drawings show the sheet's own edge."),
        sometimes("first_copy", Count, "The number of the first box that the sheets are for, where that is not 1."),
        field("fit", Maybe(&FIT), "The measures of the box; null where sheets are of several boxes."),
        sometimes("work", Same(&WORK), "What the work takes; of a box or an edition alone."),
        field(
            "pieces",
            List(&PIECE),
            "The pieces; none in a lot of a list, whose pieces stand in a file of their own.",
        ),
        sometimes(
            "pieces_in",
            Text,
            "That file, of the schema `pieces`, compressed by gzip; left out where it was not kept.",
        ),
        sometimes("left_out", List(&TEXT), "The kinds of files that were not kept: dxf, pictures, items, pieces."),
        field("sheets", List(&SHEET), "The sheets."),
        sometimes("registers", List(&REGISTER), "Sheets in register: their programs are moved to where they lie."),
        field("programs", List(&PROGRAM), "The programs."),
        field("files", List(&FILE), "Every other file of the folder."),
    ],
});

pub(super) static PIECES: Kind = Of(&Table {
    about: "The pieces of a lot of a list: lengths in mm, nominal, contours as lists of [x, y, bulge].",
    fields: &[format(), field("pieces", List(&PIECE), "The pieces, those of a row one after another.")],
});

static PAIR: Kind = Row(2, &NUMBER);

pub(super) static REGISTER: Kind = Of(&Table {
    about: "Where a sheet lies on a machine, from where it is laid out: `matrix` times the place, and `shift`; both places are counted from where the machine has the sheet's lower left corner.",
    fields: &[
        field("sheet", Text, "The sheet."),
        field("machine", Text, "The short name of the machine's profile."),
        field("turned_over", Flag, "Whether its other face lies up: it is mirrored from left to right first."),
        field("stretch", Word(&["none", "even", "any"]), "What the sheet is taken to have done besides."),
        field("matrix", Row(2, &PAIR), "By rows."),
        field("shift", Row(2, &NUMBER), "The move."),
        field("turn", Number, "By how many degrees it lies turned, counter-clockwise."),
        field(
            "scales",
            Row(2, &NUMBER),
            "By how much it is stretched across and up; without a stretch what its marks would say.",
        ),
        field("shear", Number, "By how many degrees its corners lean."),
        field("marks", List(&REGISTER_MARK), "What it was found by."),
    ],
});

static REGISTER_MARK: Kind = Of(&Table {
    about: "A mark.",
    fields: &[
        field("name", Text, "What it is called."),
        field("at", Row(2, &NUMBER), "Where it is on the sheet as that is laid out."),
        field("measured", Row(2, &NUMBER), "Where it was measured, counted as the map counts."),
        field("residual", Number, "How far off the map brings it."),
    ],
});

static PIECE: Kind = Of(&Table {
    about: "A piece, flat, as it is seen from the face that lies up.",
    fields: &[
        field("id", Text, "Its name."),
        field("stock", Word(STOCKS), "What it is cut from."),
        field("role", Word(ROLES), "What it is."),
        field("side", Maybe(&SIDE), "At which side of the box."),
        field("count", Count, "How many a box needs; in a lot of a list, all of them."),
        field("outline", List(&VERTEX), "Counter-clockwise."),
        field("holes", List(&OUTLINE), "Openings, clockwise."),
        field("pockets", List(&POCKET), "Recesses in the face that lies up."),
        sometimes("back_pockets", List(&POCKET), "Recesses in the face that lies down, seen from above all the same."),
        field("slits", List(&OUTLINE), "Cuts that take nothing out."),
        field("creases", List(&OUTLINE), "Lines to fold at."),
        field("marks", List(&MARK), "What is drawn on it."),
        field("grain", Word(GRAIN), "Which way the grain runs."),
    ],
});

static POCKET: Kind = Of(&Table {
    about: "A recess.",
    fields: &[
        field("outline", List(&VERTEX), "Counter-clockwise."),
        field("depth", Number, "From the face that it is in."),
    ],
});

static MARK: Kind = Of(&Table {
    about: "A line that is drawn.",
    fields: &[
        field("closed", Flag, "Whether it ends where it began."),
        field("points", List(&VERTEX), "Its vertices."),
    ],
});

static SHEET: Kind = Of(&Table {
    about: "A sheet with pieces on it; its origin is its lower left corner.",
    fields: &[
        field("id", Text, "Its name."),
        field("stock", Word(STOCKS), "What it is of."),
        sometimes("named", Text, "What the shop calls that, where the job says so."),
        field("width", Number, "Its width on the bed."),
        field("height", Number, "Its height on the bed."),
        field("thickness", Number, "How thick it is."),
        field("count", Count, "How many such sheets are cut."),
        field("kerf", Number, "What its drawings were moved for; 0 where they are nominal."),
        field("drawings", List(&TEXT), "The drawings of it, in every form that was asked for."),
        sometimes("turned", Same(&TURNED), "How it is turned over, where it is worked from both faces."),
        field("placed", List(&PLACED), "The pieces on it."),
        field("used", Number, "The share of it that becomes pieces, 0 to 1."),
        field("leftover", Flag, "Whether it is a leftover that the job names."),
        field("offcut", Maybe(&OFFCUT), "What of it can be kept."),
        sometimes("marks", List(&MARK), "What is drawn beside the pieces."),
    ],
});

static TURNED: Kind = Of(&Table {
    about: "A sheet whose first run is made with its other face up: x is counted from its other edge in that run.",
    fields: &[
        field("by", Word(&["corner", "pins"]), "What it is laid by."),
        field("pins", List(&PIN), "Holes through it that go over pins, where they lie as it is laid out."),
        field("drawings", List(&TEXT), "The drawings of the first run."),
    ],
});

static PIN: Kind = Of(&Table {
    about: "A hole for a pin.",
    fields: &[
        field("x", Number, "Its middle."),
        field("y", Number, "Its middle."),
        field("diameter", Number, "How wide it is."),
    ],
});

static PLACED: Kind = Of(&Table {
    about: "A piece where it lies: mirrored in x first, then turned counter-clockwise, then moved.",
    fields: &[
        field("piece", Text, "Which."),
        field("copy", Count, "Of which box, from 1."),
        field("copies", List(&Count), "The same for each of the sheets that are cut alike."),
        field("x", Number, "How far it is moved to the right."),
        field("y", Number, "How far it is moved up."),
        field("rotation", Number, "By how many degrees it is turned."),
        field("mirrored", Flag, "Whether it is mirrored."),
        sometimes("marks", List(&MARK), "What is drawn on this copy alone."),
    ],
});

static FILE: Kind = Of(&Table {
    about: "A file of the folder.",
    fields: &[
        field("file", Text, "Its name."),
        field("sha256", Text, "Its SHA-256 in lower-case hexadecimal."),
        sometimes("is_form", Flag, "Whether the maker fills it in: that it changes is no damage."),
        sometimes("is_of_job", Flag, "Whether the job's text reads it: a drawing of the maker's, and nothing to cut."),
    ],
});

pub(super) static CUT_MARKS: Kind = Of(&Table {
    about: "What of a folder is cut; no run changes it.",
    fields: &[format(), field("cut", List(&CUT_SHEET), "The sheets that are cut.")],
});

static CUT_SHEET: Kind = Of(&Table {
    about: "A sheet that is cut.",
    fields: &[
        field("sheet", Text, "Its name."),
        field("count", Count, "How many of the sheets that are cut alike are cut."),
        sometimes("in_shop", Same(&IN_SHOP), "What a shop was told of it."),
    ],
});

static IN_SHOP: Kind = Of(&Table {
    about: "What a shop knows of a sheet.",
    fields: &[field("shop", Text, "Which shop."), field("numbers", List(&COUNT), "Its number of each that is cut.")],
});

pub(super) static CUT_LIST: Kind = Of(&Table {
    about: "What to cut, a row a piece, with the columns of cut-list.csv.",
    fields: &[
        format(),
        field("title", Text, "What the box is called."),
        field("copies", Count, "How many boxes."),
        field("unit", Word(UNITS), "The unit of the job."),
        field("pieces", List(&ROW), "The rows."),
    ],
});

static ROW: Kind = Of(&Table {
    about: "A piece, an elastic, a ribbon or padding bought apart.",
    fields: &[
        field(
            "stock",
            Word(&["board", "cloth", "paper", "liner", "elastic", "ribbon", "padding"]),
            "What it is cut from.",
        ),
        field("thickness_mm", Number, "How thick that is, mm."),
        field("piece", Text, "The piece."),
        field("role", Maybe(&ROLE), "What it is; null for an elastic, a ribbon or padding bought apart."),
        field("side", Maybe(&SIDE), "At which side."),
        field("each", Count, "How many one box needs."),
        field("copies", Count, "How many boxes."),
        field("count", Count, "How many are cut."),
        field("width_mm", Number, "The width of the rectangle round it, mm."),
        field("height_mm", Number, "Its height; of an elastic or a ribbon its length."),
        field("width", Number, "The same in the job's unit."),
        field("height", Number, "The same in the job's unit."),
        field("unit", Word(UNITS), "The job's unit."),
        field("size", Text, "As it is written on paper."),
        field("area_mm2", Number, "Its area, openings taken off."),
        field("grain", Word(GRAIN), "Which way the grain runs in that rectangle."),
        field("slots", Count, "How many openings."),
        field("pockets", Count, "How many pockets."),
        field("pocket_depth_mm", Maybe(&NUMBER), "The deepest of them."),
        field("slits", Count, "How many slits."),
        field("creases", Count, "How many creases."),
        field("sheets", List(&TEXT), "The sheets that it lies on."),
        field("sheet_sizes_mm", List(&TEXT), "Their sizes, 700x1000."),
    ],
});
