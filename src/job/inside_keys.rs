//! The keys of what lies inside a box besides one stack: padding, a spacer, a lift ribbon, further stacks and what
//! parts them.

use crate::doc::{Need, Shape, Table, key};
use Need::{Default, Optional, Required};
use Shape::{Count, Length, LengthOrWord, List, Number, Text, Word};

/// `[inside]`.
pub(super) static INSIDE: Table = Table {
    about: "What lies inside the box besides the stack: padding, a spacer under a thin stack, a ribbon to lift it by, further stacks beside it. The box is made that much larger; leave the table out for a box of one stack alone.",
    keys: &[
        key("under", Shape::Table(&UNDER), Optional, UNDER.about),
        key("over", Shape::Table(&OVER), Optional, OVER.about),
        key("spacer", Shape::Table(&SPACER), Default("{}"), SPACER.about),
        key("lift_ribbon", Shape::Table(&LIFT_RIBBON), Optional, LIFT_RIBBON.about),
        key("colophon", Shape::Table(&COLOPHON), Optional, COLOPHON.about),
        key(
            "beside",
            Shape::Tables(&BESIDE),
            Optional,
            "Further stacks in the same box, [[inside.beside]], a table each: they lie in a row with that of [contents], which is the first, a divider between each two. The clearance of [contents] is given to each of them.",
        ),
        key("divider", Shape::Table(&DIVIDER), Default("{}"), DIVIDER.about),
    ],
};

static UNDER: Table = Table { about: "A sheet of padding under each stack.", keys: PADDING };
static OVER: Table = Table { about: "A sheet of padding over each stack, on which the lids lie.", keys: PADDING };

const PADDING: &[crate::doc::Key] = &[
    key("what", Text, Default("\"felt\""), "What it is, for the cut list: \"felt\", \"foam\", \"blotter\"."), // choice: the usual one
    key(
        "thickness",
        Length,
        Optional,
        "Its thickness under the weight of the stack. Needed, unless it is cut from a stock of the job, whose thickness it then has.",
    ),
    key(
        "smaller",
        Length,
        Default("\"2 mm\""), // choice: as the stack's clearance
        "By how much it is smaller than the room for the stack, in all and not on each side.",
    ),
    key(
        "stock",
        Word(&["none", "board", "cloth", "liner"]),
        Default("\"none\""), // choice: felt and foam are mostly bought apart and cut by hand
        "The stock of the job that it is cut from, and laid out with: \"board\", \"cloth\" or \"liner\". With \"none\" it stands in the cut list alone.",
    ),
];

static SPACER: Table = Table {
    about: "A false base of layers of board under the stack. Give its height, or the depth of interior that you want, of a series say, and it makes up the rest. Several stacks are brought level by such spacers even without this table.",
    keys: &[
        key(
            "height",
            Length,
            Optional,
            "How high it is, its cover counted; the nearest whole number of boards is taken, and told.",
        ),
        key(
            "interior_depth",
            Length,
            Optional,
            "How deep the interior is to be, clearance counted: as many boards go under the stack as find room. What is left over is told.",
        ),
        key("clearance", Length, Default("\"1 mm\""), "Room round it, in all and not on each side."), // choice: twice what a hand's cut may be off
        key(
            "cover",
            Word(&["auto", "none", "cloth", "liner"]),
            Default("\"auto\""), // choice: as the inside of the box
            "What it is covered in: \"cloth\", turned under it, or \"liner\" on its upper side. \"auto\" is the liner, where the box has none the cloth, and else nothing.",
        ),
    ],
};

static LIFT_RIBBON: Table = Table {
    about: "A ribbon under a stack to lift it by: its one end is glued to the floor, beneath all that lies under the stack, it turns back over that, runs under the stack to the opposite side, up there, and ends over the stack.",
    keys: &[
        key(
            "glued_at",
            Word(&["left", "right", "tail", "head"]),
            Default("\"left\""), // choice: the free end comes up at the right hand
            "The side of the stack at which its end is glued; the free end comes up at the opposite one.",
        ),
        key("width", Length, Default("\"15 mm\""), "The ribbon's width."), // from memory: ribbons to lift by are 10 to 20 mm wide
        key("thickness", Length, Default("\"0.3 mm\""), "The ribbon's thickness."), // from memory: grosgrain and cotton tape are 0.2 to 0.5 mm thick
        key("glued", Length, Default("\"25 mm\""), "Length of the tail that is glued."), // choice: as the strap's
        key("pull", Length, Default("\"40 mm\""), "Length of the tail that lies over the stack, to pull at."), // choice: two fingers hold it
        key("stack", Count, Default("1"), "Under which stack it runs, where there are several, counted from 1."), // choice: the first
        key("price", Number, Optional, "What a metre of it costs, in your currency; left out, its cost is not told."),
    ],
};

static COLOPHON: Table = Table {
    about: "A leaf with the colophon, held inside the lid that closes last, inside the front cover, or on the floor of the tray that closes over the other: by its four corners, which go through slits in the liner and can be drawn out again, or glued into a recess. It lies in the middle between the lid's left and right.",
    keys: &[
        key(
            "width",
            Length,
            Required,
            "The leaf's width, as it is read in the open lid, the head of the box away from you.",
        )
        .like("\"90 mm\""),
        key("height", Length, Required, "Its height, likewise.").like("\"120 mm\""),
        key("thickness", Length, Default("\"0.3 mm\""), "Its thickness."), // from memory: a leaf of heavy printing paper or light card
        key(
            "held",
            Word(&["corners", "inset"]),
            Default("\"corners\""), // choice: nothing is glued to a printed leaf
            "What holds it: slits in the liner for its \"corners\", or an \"inset\", a recess in the board with the liner pressed into it, in which it lies level.",
        ),
        key(
            "from_top",
            LengthOrWord(&["middle"]),
            Default("\"middle\""), // choice: it is read first there
            "From the upper edge of the open lid, as it lies before you, to the leaf; \"middle\" puts it in the middle.",
        ),
        key(
            "corner",
            Length,
            Default("\"16 mm\""), // choice: a leaf of card stays in
            "With held = \"corners\": how far along either edge a corner is tucked in.",
        ),
        key("ease", Length, Default("\"1 mm\""), "Room round it: in all in a recess, at each end of a slit."), // choice: as a label's
    ],
};

static BESIDE: Table = Table {
    about: "A further stack.",
    keys: &[
        key("width", List(&Length), Required, "Its width, left to right: one reading or a list.").like("[\"148 mm\"]"),
        key("height", List(&Length), Required, "Its height, tail to head: one reading or a list.").like("[\"210 mm\"]"),
        key("depth", List(&Length), Required, "Its thickness under light hand pressure: one reading or a list.")
            .like("[\"8 mm\"]"),
    ],
};

static DIVIDER: Table = Table {
    about: "The walls of board between stacks; not used with one stack alone. Each stands on the floor, covered by one strip over its top and both faces, which ends in a foot glued to the floor on either side.",
    keys: &[
        key(
            "along",
            Word(&["width", "height"]),
            Default("\"width\""), // choice: works stand upright side by side
            "Which way the stacks lie in a row: along the \"width\", the first at the left, or along the \"height\", the first at the head.",
        ),
        key(
            "cover",
            Word(&["auto", "cloth", "liner"]),
            Default("\"auto\""), // choice: cloth stands the rubbing of works
            "What they are covered in; \"auto\" is the cloth, where the box has none the liner.",
        ),
        key(
            "height",
            LengthOrWord(&["auto"]),
            Default("\"auto\""), // derived: job/fill.rs
            "How high they are, their cover counted; \"auto\" is level with the highest that lies beside them, so that lids lie on both.",
        ),
        key("foot", Length, Default("\"12 mm\""), "How far the cover lies on the floor on either side."), // choice: as much as a narrow turn-in
        key("ease", Length, Default("\"1 mm\""), "By how much they are shorter than the interior, cover counted."), // choice: twice what a hand's cut may be off
    ],
};
