//! What several of the JSON outputs have in common. Lengths are mm, areas m2 where their name says so.

use super::table::Kind::{Count, Flag, Keyed, List, Maybe, Number, Row, Table as Of, Text, Word};
use super::table::{Field, Kind, Table, field, sometimes};
use super::work::WORK_TAKES;

pub(super) const STOCKS: &[&str] = &["board", "cloth", "paper", "liner"];
const SIDES: &[&str] = &["head", "tail", "left", "right"];
pub(super) const OPERATIONS: &[&str] = &["mark", "crease-score", "half-depth-pocket", "through-cut"];
pub(super) const SEVERITIES: &[&str] = &["error", "warning", "hint"];

pub(super) static TEXT: Kind = Text;
pub(super) static NUMBER: Kind = Number;
pub(super) static COUNT: Kind = Count;
pub(super) static STOCK: Kind = Word(STOCKS);
pub(super) static SIDE: Kind = Word(SIDES);
pub(super) static OPERATION: Kind = Word(OPERATIONS);
/// Width, height, depth.
pub(super) static SIZE: Kind = Row(3, &NUMBER);
/// By side.
pub(super) const BY_SIDE: Kind = Keyed(SIDES, &NUMBER);

pub(super) const fn format() -> Field {
    field("format", Kind::Just(1), "The version of this form.")
}

pub(super) const fn diagnostics() -> Field {
    field("diagnostics", List(&DIAGNOSTIC), "What was said, gravest first of each file.")
}

pub(super) static DIAGNOSTIC: Kind = Of(&Table {
    about: "One thing that is said of a file.",
    fields: &[
        field("severity", Word(SEVERITIES), "How grave it is: with an error nothing is written."),
        field("code", Text, "A short stable name of the kind of thing."),
        field("message", Text, "What is wrong, in a sentence, in the job's unit."),
        field("hint", Maybe(&TEXT), "What to do about it."),
        field("file", Maybe(&TEXT), "The file that it is about."),
        field("line", Maybe(&COUNT), "Its line, from 1."),
        field("column", Maybe(&COUNT), "Its column, from 1, in characters."),
    ],
});

pub(super) static PROGRAM: Kind = Of(&Table {
    about: "What is known of one program.",
    fields: &[
        field("file", Text, "Its file name."),
        field("kind", Word(&["work", "outline", "lifted"]), "Whether it works, or goes above the work."),
        field("sheet", Text, "The sheet that it is for."),
        sometimes(
            "first_side",
            Flag,
            "Whether it is for the sheet with its other face up, before that is turned over.",
        ),
        field("count", Count, "How many such sheets there are to cut."),
        field("machine", Text, "The short name of the machine's profile."),
        field("tool", Text, "The tools in the order of use, divided by commas; empty for a run above the work."),
        field("cut_mm", Number, "Length worked, all passes, mm."),
        field("travel_mm", Number, "Length travelled between, mm."),
        field("seconds", Number, "The time that one sheet takes."),
        field("passes", Count, "Passes in all."),
        field("operations", List(&OPERATION), "What it does, in the hard order."),
    ],
});

pub(super) static TAKES: Kind = Of(&Table {
    about: "What the boxes take of stock and of machines' time.",
    fields: &[
        field("boxes", Count, "How many boxes."),
        field("stocks", List(&STOCK_TAKES), "Each stock, board first."),
        field("machines", List(&MACHINE_TAKES), "Each machine."),
        field("cost", Maybe(&NUMBER), "What the stock costs, in the maker's currency; null where a price is missing."),
        sometimes("work", Kind::Same(&WORK_TAKES), "Time by hand and what is paid for besides, an estimate."),
    ],
});

static STOCK_TAKES: Kind = Of(&Table {
    about: "What is taken of one stock.",
    fields: &[
        field("stock", Word(STOCKS), "Which."),
        field("sheets", Count, "How many sheets."),
        field("area_m2", Number, "Their area, square metres."),
        field("used_m2", Number, "The area of the pieces on them."),
        field("offcut_m2", Number, "What of them can be kept."),
        field("cost", Maybe(&NUMBER), "What they cost."),
    ],
});

pub(super) static SAVING: Kind = Of(&Table {
    about: "A change that saves stock, laid out anew.",
    fields: &[
        sometimes("stock", Word(STOCKS), "Of which stock; left out where it is of all."),
        field("change", Word(&["gap", "margin", "copies", "length", "turned", "size"]), "What is changed."),
        field("key", Text, "The key of the job that says it."),
        field("value", Text, "What is to be written there, as TOML."),
        field("what", Text, "The same in words, in the job's unit."),
        field("sheets", Row(2, &COUNT), "How many sheets are bought as it is, and with the change."),
        field("boxes", Row(2, &COUNT), "How many boxes, likewise."),
        field("area_m2", Row(2, &NUMBER), "The area of the sheets, square metres, likewise."),
        field(
            "cost",
            Maybe(&MONEY),
            "What they cost, likewise, another size at the same price by area; null where a price is missing.",
        ),
    ],
});
static MONEY: Kind = Row(2, &NUMBER);

static MACHINE_TAKES: Kind = Of(&Table {
    about: "What is taken of one machine's time.",
    fields: &[
        field("machine", Text, "The short name of its profile."),
        field("seconds", Number, "The time of all its programs, without changes of tools and sheets."),
    ],
});

pub(super) static BILL: Kind = Of(&Table {
    about: "What one box takes, without waste.",
    fields: &[
        field("materials", List(&MATERIAL), "Each stock."),
        field("glue_m2", Number, "The area to be glued, square metres."),
        field("weight_g", Maybe(&NUMBER), "The empty box, grams; null where a stock's weight is not given."),
    ],
});

static MATERIAL: Kind = Of(&Table {
    about: "One stock's share of a box.",
    fields: &[
        field("stock", Word(STOCKS), "Which."),
        field("area_m2", Number, "The net area of its pieces, square metres."),
        field("weight_g", Maybe(&NUMBER), "Their weight, grams."),
    ],
});

pub(super) static CLOSING: Kind = Of(&Table {
    about: "How surely the box closes.",
    fields: &[
        field("share", Number, "The share of boxes that close as they are dressed, 0 to 1."),
        field("first", Maybe(&RISK), "What fails first, where more than one box in a thousand does not close."),
    ],
});

static RISK: Kind = Of(&Table {
    about: "What may keep a box from closing.",
    fields: &[
        field(
            "what",
            Word(&[
                "foot-joint",
                "lid-joint",
                "low-wall",
                "lid-side",
                "lid-edge",
                "back-joint",
                "front-joint",
                "narrow-spine",
                "trays",
                "mouth",
            ]),
            "What fails.",
        ),
        field("side", Word(SIDES), "At which lid."),
        field("share", Number, "The share of boxes in which it does."),
        field("mend", Maybe(&MEND), "The setting that mends it."),
    ],
});

static MEND: Kind = Of(&Table {
    about: "A setting of the job that makes it surer.",
    fields: &[
        field("key", Text, "The key."),
        field("value", Number, "What to write there, mm."),
        field("share", Number, "The share of boxes that close then."),
    ],
});

pub(super) static OFFCUT: Kind = Of(&Table {
    about: "What of a sheet can be kept for next time.",
    fields: &[
        field("x", Number, "Its left edge on the sheet."),
        field("y", Number, "Its lower edge on the sheet."),
        field("width", Number, "Its width."),
        field("height", Number, "Its height."),
    ],
});

/// The measures of the box as the manifest and the files of a list have them.
pub(super) static FIT: Kind = Of(&Table {
    about: "The measures of the box, mm.",
    fields: &[
        field("interior", Row(3, &NUMBER), "Width, height and depth inside."),
        field("exterior", Row(3, &NUMBER), "Width, height and depth of the closed box."),
        field("joint", Number, "The gap between two hinged boards."),
        field("step", Number, "By how much walls grow from tier to tier."),
        field("walls", BY_SIDE, "Wall heights."),
        field("play", BY_SIDE, "What each wall has beyond what lies beneath its lid."),
        field("strap_length", Maybe(&NUMBER), "What the elastic is cut to."),
        sometimes("ties", List(&TIES), "The ribbon ties, lid by lid."),
        sometimes("magnets", List(&MAGNETS), "The magnets, lid by lid."),
        sometimes("inside", Kind::Same(&INSIDE), "What lies inside besides one stack."),
        sometimes("case", Of(&CASE), "The case that the box is glued into."),
        field("joint_thickness", Number, "What a joint must pass."),
        field(
            "depths",
            Row(3, &NUMBER),
            "The depths of stack over which lids lie flat, press shut, and below which works slide.",
        ),
        field("closing", Maybe(&CLOSING), "How surely it closes."),
        field("bare_mm2", Number, "The area of board that is bare in the open box, mm2."),
        sometimes("dressed", Of(&DRESSED), "What it takes to fold the box with every layer counted."),
    ],
});

/// What lies inside besides one stack.
pub(super) static INSIDE: Kind = Of(&Table {
    about: "What lies inside besides one stack; places from the middle of the interior and from its floor, mm.",
    fields: &[
        field("stacks", List(&SIZE), "Width, height and depth of each stack as measured."),
        field("clearance", Row(3, &NUMBER), "The room given to each."),
        field("along", Maybe(&ALONG), "Which way they lie in a row; null for one alone."),
        field("highest", Number, "How high the highest stands: lids come down to that and its clearance."),
        field("things", List(&THING), "Every block."),
        field("remainders", List(&NUMBER), "What is left, stack by stack, of the height that spacers bring it to."),
        field("padding", List(&PADDING), "Padding that is cut from no stock."),
        field("ribbon", Maybe(&LIFT_RIBBON), "The ribbon to lift a stack by."),
        field("colophon", Maybe(&LEAF), "The leaf with the colophon inside the lid."),
    ],
});

static LEAF: Kind = Of(&Table {
    about: "The leaf with the colophon, mm.",
    fields: &[
        field("piece", Text, "The piece that is cut for it: a lining, or a board."),
        field("held", Word(&["corners", "inset"]), "What holds it: slits for its corners, or a recess."),
        field("width", Number, "Its width."),
        field("height", Number, "Its height."),
        field("thickness", Number, "Its thickness."),
        field("corner", Maybe(&NUMBER), "How far a corner is tucked in along either edge; null in a recess."),
        field("ease", Number, "Room: in a recess in all, beside a corner at each end of its slit."),
    ],
});

static CASE: Table = Table {
    about: "The measures of a case, mm.",
    fields: &[
        field("covers", Row(2, &NUMBER), "Width and height of its covers."),
        field("spine", Number, "How wide its spine is."),
        field("joint", Number, "The gap between spine and covers."),
    ],
};

static ALONG: Kind = Word(&["width", "height"]);

static THING: Kind = Of(&Table {
    about: "A block, its cover counted.",
    fields: &[
        field(
            "kind",
            Word(&["stack", "spacer", "spacer-beside", "under", "over", "ribbon", "divider", "foot"]),
            "What it is: a stack, boards under or beside it, padding, a stretch of the ribbon, a divider, a foot of its cover.",
        ),
        field("stack", Count, "Of which stack, from 1; of a divider the stack before it."),
        field("piece", Maybe(&TEXT), "The piece that it is made of, under its cover."),
        field("layers", Count, "How many of that piece lie one on the other; 0 without one."),
        field("low", Row(3, &NUMBER), "Its low corner: across, up, through."),
        field("high", Row(3, &NUMBER), "Its high corner."),
    ],
});

static PADDING: Kind = Of(&Table {
    about: "A sheet of padding.",
    fields: &[
        field("what", Text, "What it is, and where it lies."),
        field("width", Number, "Its width."),
        field("height", Number, "Its height."),
        field("thickness", Number, "Its thickness."),
    ],
});

static LIFT_RIBBON: Kind = Of(&Table {
    about: "The ribbon under a stack.",
    fields: &[
        field("stack", Count, "Under which stack, from 1."),
        field("glued_at", Word(SIDES), "At which side of it its end is glued."),
        field("width", Number, "Its width."),
        field("thickness", Number, "Its thickness."),
        field("glued", Number, "The tail that is glued."),
        field("pull", Number, "The tail to pull at."),
        field("length", Number, "What it is cut to."),
    ],
});

/// The ribbon ties of a lid.
pub(super) static TIES: Kind = Of(&Table {
    about: "The ribbon ties of a lid.",
    fields: &[
        field("side", Word(SIDES), "The lid's side."),
        field("to", Word(&["wall", "lid", "base"]), "Where the fellow ribbons come out."),
        field("ribbons", Count, "How many ribbons: two a tie, or one for each peg."),
        field("width", Number, "Their width."),
        field("way", Number, "From slot to slot on the outside of the closed box."),
        field("length", Number, "What each ribbon is cut to."),
        sometimes("pegs", Kind::Same(&PEGS), "The pegs that stand for bows."),
    ],
});

/// The pegs of a lid's ties.
static PEGS: Kind = Of(&Table {
    about: "Pegs, and the loops that take them.",
    fields: &[
        field("count", Count, "How many pegs, and as many loops."),
        field("diameter", Number, "How thick a peg is."),
        field("length", Number, "How long a peg is."),
        field("loop_way", Number, "How far from the slot of its loop a peg lies."),
        field("loop_length", Number, "What each loop is cut to."),
    ],
});

/// The magnets of a lid.
pub(super) static MAGNETS: Kind = Of(&Table {
    about: "The magnets of a lid.",
    fields: &[
        field("side", Word(SIDES), "The lid's side."),
        field("count", Count, "How many lie in the lid."),
        field("magnets", Count, "How many magnets there are, those beneath counted."),
        field("plates", Count, "How many plates of steel lie beneath."),
        field("gap", Number, "From face to face of a pair in the closed box."),
        field("layers", List(&LAYER_BETWEEN), "What that is made of, from the lid downwards: mm."),
    ],
});

static LAYER_BETWEEN: Kind = Of(&Table {
    about: "What lies between a magnet and its fellow.",
    fields: &[field("what", Text, "What it is."), field("thickness", Number, "How thick it is.")],
});

static DRESSED: Table = Table {
    about: "The dressed box: panels and hinges in the coordinates of the pieces.",
    fields: &[
        field("contents", Row(3, &NUMBER), "Width, height and depth of the stack as measured."),
        field("board", Number, "How thick the board is."),
        field("cloth", Number, "The cloth as applied; 0 without."),
        field("liner", Number, "The liner as applied; 0 without."),
        sometimes("paper", Number, "The paper of its sides as applied; left out without."),
        field("seat", Word(&["beside", "on-base", "creased"]), "How walls stand."),
        field("turn_in", Number, "How far cloth is folded over a free edge."),
        field("reveal", Number, "How far the liner stays in from a free edge."),
        field(
            "take_up",
            Number,
            "By how much the liner, or a hinge strip, is longer in a joint than the joint is wide.",
        ),
        field("panels", List(&PANEL), "The boards."),
        field("hinges", List(&HINGE), "What joins them."),
        field("patches", List(&PATCH), "Where each patch lies."),
        sometimes("strips", List(&STRIP), "Where each hinge strip lies; then linings lie where they are drawn."),
        sometimes("linings", List(&LINING), "Where the linings lie whose edges are folded under."),
    ],
};

/// `[x, y, bulge]` each.
pub(super) static OUTLINE: Kind = List(&VERTEX);
static VERTEX: Kind = Row(3, &NUMBER);
static POINT: Kind = Row(2, &NUMBER);
static EDGE: Kind = Row(2, &POINT);

static PANEL: Kind = Of(&Table {
    about: "A board of the folded box.",
    fields: &[
        field(
            "part",
            Word(&["base", "outer-base", "wall", "lid", "upper-face", "tray", "back-cover", "spine", "front-cover"]),
            "What it is.",
        ),
        field("side", Maybe(&SIDE), "At which side."),
        field("piece", Text, "The piece that it is."),
        field("outline", List(&VERTEX), "Its outline."),
        field("level", Number, "How high its outside face lies in the flat layout."),
    ],
});

static HINGE: Kind = Of(&Table {
    about: "What joins two panels.",
    fields: &[
        field("parent", Count, "The panel that stays, by its place in the list."),
        field("child", Count, "The panel that turns."),
        field(
            "kind",
            Word(&["joint", "crease", "glued", "loose"]),
            "Whether cloth joins them or a fold, they are glued and do not move, or one is only laid on the other.",
        ),
        field("axis", Row(2, &POINT), "The parent's hinge edge, the child to its right."),
        field("width", Number, "How wide the joint is."),
        field("order", Count, "0 for walls, then lids by their order of closing."),
    ],
});

static STRIP: Kind = Of(&Table {
    about: "A hinge strip.",
    fields: &[
        field("piece", Text, "The piece that it is."),
        field("place", Text, "Where, in words."),
        field(
            "outline",
            List(&VERTEX),
            "Where it lies, flat; as cut it is wider by the take-up of each of its joints.",
        ),
        field("joints", Count, "How many joints it lines."),
    ],
});

static LINING: Kind = Of(&Table {
    about: "A lining whose edges are folded under.",
    fields: &[
        field("piece", Text, "The piece that it is."),
        field("outline", List(&VERTEX), "Its edge as it lies, in the coordinates of the piece."),
        field("folded", Number, "How far its edges are folded under."),
    ],
});

static PATCH: Kind = Of(&Table {
    about: "A patch of cloth.",
    fields: &[
        field("piece", Text, "The piece that it is."),
        field("panel", Count, "The panel that it lies on."),
        field("place", Text, "Where, in words."),
        field("outline", List(&VERTEX), "Where it lies, flat."),
        field("edge", Maybe(&EDGE), "The board's edge that it goes round."),
    ],
});
