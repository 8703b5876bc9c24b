//! The job file's format: every key, what it may be, what stands for it when it is left out, and
//! one sentence on what it means. Reading, the JSON Schema, the starter job and the documentation
//! all come from here. A default that is a length carries its unit, so that it means the same in
//! a job in inches.
//!
//! Beside each default stands where it comes from, as beside every figure of a profile: `source:` what a
//! reader can look up, `practice:` common practice without a source, `from memory`, `derived:` where, or
//! `choice:` ours, and why (`tests/samples.rs` asks for it).

use super::closing_keys::{MAGNETS, TIES};
use super::inside_keys::INSIDE;
use super::portfolio_keys::PORTFOLIO;
use super::sides_keys::SIDES as PARTED;
use super::sizes;
use super::slipcase_keys::SLIPCASE;
use super::stock_keys::{BOARD, CLOTH, LINER, PAPER};
use super::turning::TURNING;
use super::window_keys::{WINDOW, WINDOWS};
use super::work_keys::{GLUE, METRE_PRICE, WORK};
use crate::doc::{Need, Shape, Table, key};
use Need::{Default, Optional, Required};
use Shape::{Count, Flag, Length, LengthOrShare, LengthOrWord, List, Named, Number, Share, Text, Word};

const AUTO: &[&str] = &["auto"];
const SIDES: &[&str] = &["left", "right", "tail", "head"];

/// The job file.
pub static JOB: Table = Table {
    about: "One box: the measured stack, the stocks it is made of, and how it is to be built.",
    keys: &[
        key("format", Count, Required, "The version of this file format; this program reads format 1."),
        key("title", Text, Required, "What the box is called; it stands on labels, sheets and in the guide."),
        key(
            "units",
            Word(&["mm", "in"]),
            Default("\"mm\""), // choice: the herbarium's rule is metric
            "What bare numbers are in, and what reports are written in: \"mm\" or \"in\". Any length may also be text with a unit of its own: \"2.5 mm\", \"3/32 in\", \"80 pt\" (thousandths of an inch of caliper), \"1.5 t\" (t is this job's board).",
        ),
        key("copies", Count, Default("1"), "How many boxes to make."), // choice: one box is the usual job
        key("contents", Shape::Table(&CONTENTS), Required, CONTENTS.about),
        key("board", Shape::Table(&BOARD), Required, BOARD.about),
        key(
            "cloth",
            Shape::Table(&CLOTH),
            Default("{}"), // derived: hinged boards have one
            CLOTH.about,
        ),
        key("paper", Shape::Table(&PAPER), Optional, PAPER.about),
        key("liner", Shape::Table(&LINER), Optional, LINER.about),
        key("elastic", Shape::Table(&ELASTIC), Default("{}"), ELASTIC.about),
        key("box", Shape::Table(&BOX), Default("{}"), BOX.about),
        key(
            "flap",
            Named(SIDES, &FLAP),
            Optional,
            "The lids, each in a table of its own: [flap.left], [flap.right], [flap.tail], [flap.head], the sides as seen from inside the open box. A side without a table has neither wall nor flap; one flap at least is needed, except with crossed strips, whose flaps are their ends, and in a portfolio for loose sheets.",
        ),
        key("strips", Shape::Table(&STRIPS), Default("{}"), STRIPS.about),
        key("trays", Shape::Table(&TRAYS), Default("{}"), TRAYS.about),
        key("slipcase", Shape::Table(&SLIPCASE), Default("{}"), SLIPCASE.about),
        key("portfolio", Shape::Table(&PORTFOLIO), Default("{}"), PORTFOLIO.about),
        key("covering", Shape::Table(&COVERING), Default("{}"), COVERING.about),
        PARTED,
        key("making", Shape::Table(&MAKING), Default("{}"), MAKING.about),
        key("strap", Shape::Table(&STRAP), Optional, STRAP.about),
        key("title_label", Shape::Table(&TITLE_LABEL), Optional, TITLE_LABEL.about),
        key(
            "ties",
            Named(SIDES, &TIES),
            Optional,
            "Ribbon ties of lids, each lid that has some in a table of its own: [ties.left], the sides as those of the lids. They go on lids that no other lid covers; those of a portfolio on its front cover, which hangs at the left. Leave the tables out for a box without.",
        ),
        key(
            "magnets",
            Named(SIDES, &MAGNETS),
            Optional,
            "Magnets of lids, each lid that has some in a table of its own: [magnets.left]. Another lid must lie beneath its free edge; leave the tables out for a box without.",
        ),
        key("window", Named(SIDES, &WINDOW), Optional, WINDOWS),
        key("inside", Shape::Table(&INSIDE), Optional, INSIDE.about),
        key("turning", Shape::Table(&TURNING), Default("{}"), TURNING.about),
        key("marks", Shape::Table(&MARKS), Default("{}"), MARKS.about),
        key("glue", Shape::Table(&GLUE), Default("{}"), GLUE.about),
        key("work", Shape::Table(&WORK), Default("{}"), WORK.about),
        key(
            "layout",
            Word(&["outlines", "straight-cuts"]),
            Default("\"outlines\""), // choice: it takes the fewest sheets
            "How the pieces lie on their sheets: \"outlines\": close, for whatever follows an outline; \"straight-cuts\": so that cuts from edge to edge take them apart, for a straight edge or a guillotine. The pictures then number the cuts; pieces that are no rectangles are cut to shape out of theirs.",
        ),
        key(
            "layout_effort",
            Count,
            Default("48"), // choice: the time that one waits at the bench
            "How many layouts are tried for each sheet: more find a denser one, and take longer in proportion.",
        ),
    ],
};

static CONTENTS: Table = Table {
    about: "The stack of works that the box holds.",
    keys: &[
        key(
            "width",
            List(&Length),
            Optional,
            "Width of the stack, left to right: one reading, or a list of several, of which the largest counts.",
        ),
        key("height", List(&Length), Optional, "Height of the stack, tail to head: one reading or a list."),
        key(
            "depth",
            List(&Length),
            Required,
            "Thickness of the stack under light hand pressure: one reading or a list; measure all four edges.",
        )
        .like("[\"12 mm\"]"),
        key(
            "size",
            Word(sizes::NAMES),
            Optional,
            "A standard size in place of width and height: A0 to A10 and B0 to B10 (ISO 216), C3 to C6 and DL (ISO 269), and the rest of C0 to C10 after them. A real stack differs from it; measure where you can.",
        ),
        key("landscape", Flag, Default("false"), "Whether that standard size lies on its long side."), // choice: sizes are named upright, ISO 216
        key("clearance", Shape::Table(&CLEARANCE), Default("{}"), CLEARANCE.about),
    ],
};

static CLEARANCE: Table = Table {
    about: "Room added to the stack, in all and not on each side.",
    keys: &[
        key("width", Length, Default("\"2 mm\""), "Room added to the width."), // choice: 1 mm on each side, twice what a hand's cut may be off
        key("height", Length, Default("\"2 mm\""), "Room added to the height."), // choice: as the width
        key("depth", Length, Default("\"1 mm\""), "Room added to the depth."), // choice: a stack swells by less than that (from memory)
    ],
};

static ELASTIC: Table = Table {
    about: "The elastic of the strap; not used without one.",
    keys: &[
        key("width", Length, Default("\"8 mm\""), "Its width, unstretched."), // from memory: flat elastic is 6 to 12 mm wide
        key("thickness", Length, Default("\"1 mm\""), "Its thickness, unstretched."), // from memory: 0.8 to 1.2 mm
        key(
            "stretch",
            Share,
            Default("\"6 %\""), // choice: in the middle of what stays snug, 3 to 10 % (from memory)
            "By how much of its length it is stretched on the closed box, 0 % to 50 %. Too much dents the edges.",
        ),
        METRE_PRICE,
    ],
};

static BOX: Table = Table {
    about: "How the box is built.",
    keys: &[
        key(
            "construction",
            Word(super::Construction::WORDS),
            Default("\"hinged-boards\""), // choice: the box that this program is for
            "\"hinged-boards\": separate boards hinged by the cloth. \"creased-board\": one piece of folding board, creases for joints, no cloth. \"crossed-strips\": two creased strips of folding board that cross under the contents, no cloth. \"drop-spine\": two trays, of which one closes over the other, in a case of two covers and a spine. \"tray-and-lid\": a tray with four walls, and a lid that is a tray itself and lifts off. \"slipcase\": a case open at one side, into which the works slide. \"portfolio\": a case of two covers and a spine round a wrapper with lids, or round loose sheets.",
        ),
        key(
            "seat",
            Word(&["beside", "on-base"]),
            Default("\"beside\""), // choice: the base keeps the size of the interior
            "How a wall stands once folded: \"beside\" the base, or \"on-base\".",
        ),
        key(
            "joint",
            LengthOrWord(AUTO),
            Default("\"auto\""), // derived: design/measures.rs
            "The gap between two hinged boards. \"auto\" reckons it from board, liner and ease; a length overrides that, likewise step and wall_extra.",
        ),
        key(
            "step",
            LengthOrWord(AUTO),
            Default("\"auto\""), // derived: design/measures.rs
            "By how much walls grow from tier to tier, so that each flap lies on the one below.",
        ),
        key(
            "wall_extra",
            LengthOrWord(AUTO),
            Default("\"auto\""), // derived: design/measures.rs
            "What a wall has beyond the depth of the interior and the steps; may be below zero.",
        ),
        key(
            "ease",
            LengthOrWord(AUTO),
            Default("\"auto\""), // derived: design/tolerance.rs
            "Room in a joint beyond what it must pass. \"auto\" is the least at which 995 of 1,000 boxes have no joint that binds, made as [making] says; of folding board it is what walls keep from each other, 0.3 mm.",
        ),
        key(
            "flap_inset",
            LengthOrWord(AUTO),
            Default("\"auto\""), // choice: a layer of cloth and 0.5 mm, the error of a board cut by hand (practice)
            "How far each side of a flap stays in from the interior, so that it clears the walls beside it.",
        ),
    ],
};

static FLAP: Table = Table {
    about: "One lid, hinged to the wall at its side.",
    keys: &[
        key(
            "tier",
            Count,
            Required,
            "The order of closing: 1 is first and lowest. Opposite flaps that do not meet may share a tier.",
        ),
        key(
            "reach",
            LengthOrShare,
            Optional,
            "From the hinge edge to the farthest point of the free edge: a length, or a share of the interior (\"45 %\" of its width for left and right, of its height for tail and head). Needed unless the lid's outline is drawn.",
        ),
        key(
            "shape",
            Word(&["square", "taper", "bow"]),
            Default("\"square\""), // choice: the plainest
            "\"square\", \"taper\" (both sides lean inwards), or \"bow\" (the free edge is an arc).",
        ),
        key("taper", Number, Optional, "With shape = \"taper\": how far each side leans inwards, in degrees."),
        key(
            "bow",
            Length,
            Optional,
            "With shape = \"bow\": how far the arc rises beyond its two ends, the reach including it; below zero it dips between them.",
        ),
        key("corner_radius", Length, Default("\"0 mm\""), "Radius of the two free corners; 0 leaves them sharp."), // choice: none unless asked for
        key(
            "outline",
            Text,
            Optional,
            "In place of shape, reach and corners: a DXF or SVG drawing of the lid, its path relative to this file. One closed outline, its hinge edge straight and level at the bottom and as long as the flap is wide; it is never scaled.",
        ),
        key(
            "layer",
            Text,
            Optional,
            "With an outline: the layer of the drawing that it is on, of an SVG the id of the group or path; all of it when left out.",
        ),
        key("notch", Shape::Table(&NOTCH), Optional, NOTCH.about),
    ],
};

static NOTCH: Table = Table {
    about: "A thumb notch, an arc cut into the middle of the lid's free edge; leave the table out for a lid without.",
    keys: &[
        key("width", Length, Required, "Its width at the free edge, before its corners are rounded.").like("\"28 mm\""),
        key(
            "depth",
            Length,
            Required,
            "From the middle of the free edge to its bottom; half the width makes a half round, the most that can be.",
        )
        .like("\"9 mm\""),
        key("radius", Length, Default("\"2 mm\""), "Radius of the two corners where it meets the free edge."), // choice: a corner that does not fray
    ],
};

static STRIPS: Table = Table {
    about: "The two strips of construction = \"crossed-strips\"; not used otherwise. Each is a base with a wall and a flap at either end; their bases are glued together, crossed.",
    keys: &[
        key(
            "outer",
            Word(&["height", "width"]),
            Default("\"height\""), // choice: the longer flaps close last
            "Which strip lies beneath the other and closes last: the one along the \"height\", tail to head, or along the \"width\", left to right.",
        ),
        key("height", Shape::Table(&STRIP), Default("{}"), "The strip that runs from tail to head."),
        key("width", Shape::Table(&STRIP), Default("{}"), "The strip that runs from left to right."),
    ],
};

static STRIP: Table = Table {
    about: "One strip.",
    keys: &[
        key(
            "first",
            LengthOrShare,
            Default("\"100 %\""), // choice: the first flap covers the packet
            "From its crease, how far the flap reaches that closes first: at the tail, or at the left. A length, or a share of the interior along the strip; 0 leaves out the flap and its wall.",
        ),
        key(
            "last",
            LengthOrShare,
            Default("\"50 %\""), // choice: half is enough to hold it
            "The same of the flap that closes last: at the head, or at the right.",
        ),
        key(
            "base_extra",
            LengthOrWord(AUTO),
            Default("\"auto\""), // derived: design/strips.rs
            "What the base has, crease to crease, beyond the interior: \"auto\" is one board, half of it at each crease.",
        ),
        key(
            "first_wall_extra",
            LengthOrWord(AUTO),
            Default("\"auto\""), // derived: design/strips.rs
            "What the wall of the first flap has, crease to crease, beyond the depth of the interior: \"auto\" is one board and one more for every board between, flaps beneath and the other strip's base.",
        ),
        key("last_wall_extra", LengthOrWord(AUTO), Default("\"auto\""), "The same of the wall of the last flap."), // derived: design/strips.rs
    ],
};

static TRAYS: Table = Table {
    about: "The trays of construction = \"drop-spine\" and \"tray-and-lid\"; not used otherwise. A small one holds the stack, a large one closes over it; with a drop spine both are glued to a case of two covers and a spine.",
    keys: &[
        key(
            "slide",
            LengthOrWord(AUTO),
            Default("\"auto\""), // derived: design/trays.rs
            "How much room the small tray has in the large one, in all and not on each side. \"auto\" is the least at which 995 of 1,000 boxes close, made as [making] says.",
        ),
        key(
            "wall_extra",
            LengthOrWord(AUTO),
            Default("\"auto\""), // derived: design/trays.rs
            "What the walls of the small tray have beyond the depth of the interior. \"auto\" reckons it from board, cloth and lining; a length, such as \"1 t\", overrides that.",
        ),
        key(
            "wall_step",
            LengthOrWord(AUTO),
            Default("\"auto\""), // derived: design/trays.rs
            "By how much the walls of the large tray are higher than those of the small one. \"auto\" brings them down to the back cover, or a lid to the table; a lid that is to be lifted by its tray is given less.",
        ),
        key(
            "square",
            Length,
            Default("\"3 mm\""), // from memory: the squares of a case are 3 to 4 mm
            "How far the covers of a drop-spine box stand out beyond the trays at head, tail and fore-edge.",
        ),
    ],
};

static COVERING: Table = Table {
    about: "How cloth and liner go over the boards.",
    keys: &[
        key("turn_in", Length, Default("\"16 mm\""), "Cloth folded over each free board edge."), // source: 5/8 in, Roberts and Etherington 1982, "cover turned-in"
        key(
            "corner",
            Length,
            Default("\"1.5 t\""), // source: 3 mm off 2 mm board, University of Brighton, "Make Your Own Corner Cutter"
            "From the board's corner to the cut across the cloth's corner, along the bisector; less than 1 t leaves the corner bare.",
        ),
        key(
            "slit_stop",
            Length,
            Default("\"1 t\""), // derived: the cloth goes round the board's edge
            "How far short of the base's corner a slit into a re-entrant corner of the cloth stops.",
        ),
        key("reveal", Length, Default("\"5 mm\""), "How far the liner stays in from each free edge."), // choice: between the 4 and 6 mm that look even
        key(
            "groove_press",
            Share,
            Default("1.0"), // derived: a liner on the bottom never comes up short
            "How deep the liner is pressed into the joints: 0 it bridges them, 1 it lies on their bottom.",
        ),
        key(
            "liner_trim",
            LengthOrWord(&["net"]),
            Default("\"net\""), // choice: a machine cuts to size
            "\"net\" cuts the liner to size; a length is added at its free ends, to be trimmed when the liner lies in the joints.",
        ),
    ],
};

static MAKING: Table = Table {
    about: "Who makes the box and how exactly; from it follow the ease of the joints and how surely the box closes.",
    keys: &[
        key(
            "by",
            Word(&["hand", "machine"]),
            Default("\"hand\""), // choice: most boxes are made by hand
            "By \"hand\", knife and straight edge, or boards cut by \"machine\". It sets what the three below are when they are left out.",
        ),
        key(
            "cut",
            LengthOrWord(AUTO),
            Default("\"auto\""), // practice: 0.5 mm by hand, 0.1 mm by machine
            "How far a board's edge may be out, either way: 0.5 mm by hand, 0.1 mm by machine (common practice, no source).",
        ),
        key(
            "spacer",
            LengthOrWord(AUTO),
            Default("\"auto\""), // practice: 0.3 mm by hand, 0.2 mm by machine
            "How far a joint's width may be out, either way: 0.3 mm by hand, 0.2 mm where a machine cut boards and gauge (common practice, no source).",
        ),
        key(
            "board",
            Share,
            Default("\"5 %\""), // practice: no source
            "How far the board's thickness may be from what was measured, either way (common practice, no source).",
        ),
    ],
};

static STRAP: Table = Table {
    about: "An elastic strap round the closed box, its ends glued into pockets in the base; leave the table out for a box without.",
    keys: &[
        key(
            "along",
            Word(&["height", "width"]),
            Default("\"height\""), // choice: as an elastic lies on a notebook
            "Which way it runs: along the \"height\", head to tail, or along the \"width\".",
        ),
        key(
            "inset",
            Length,
            Default("\"25 mm\""), // choice: the slots stay clear of wall and turn-in
            "How far in its two slots lie from the two base edges that it crosses.",
        ),
        key(
            "from_edge",
            Length,
            Default("\"30 mm\""), // choice: in reach of the thumb that holds the box
            "How far in its centre line lies from the base's right edge, or from the tail edge where it runs along the width.",
        ),
        key("tail", Length, Default("\"25 mm\""), "Length of a pocket, from its slot towards the middle of the base."), // choice: glue on 2 cm2 of a strap 8 mm wide
        key("slot_ease", Length, Default("\"0.5 mm\""), "Room in a slot beyond the elastic, both ways."), // choice: the elastic slips in without a tool
        key(
            "pocket_depth",
            LengthOrWord(&["half"]),
            Default("\"half\""), // practice: half the board
            "Depth of a pocket: \"half\" the board, or a length.",
        ),
        key(
            "count",
            Count,
            Default("1"), // choice: one strap
            "One strap, or 2: the second is placed like the first from the opposite edge.",
        ),
    ],
};

static TITLE_LABEL: Table = Table {
    about: "A paper label with the title, in a recess on the outside of the box; the cloth is pressed into it. Leave the table out for a box without.",
    keys: &[
        key(
            "on",
            Word(&["lid", "spine"]),
            Default("\"lid\""), // choice: where a shelf shows it flat
            "The board that it is on: the \"lid\" that closes last (of a drop-spine box the front cover), or the \"spine\", which is the wall of that lid.",
        ),
        key("width", Length, Required, "The label's width, the closed box before you with its head up.")
            .like("\"90 mm\""),
        key("height", Length, Required, "The label's height.").like("\"35 mm\""),
        key("thickness", Length, Default("\"0.2 mm\""), "The label's thickness, glue included."), // from memory: a paper of 150 g/m2 glued down
        key("ease", Length, Default("\"0.5 mm\""), "Room round it in its recess, in all and not on each side."), // choice: it goes in without being trimmed
        key(
            "from_head",
            LengthOrWord(AUTO),
            Default("\"auto\""), // choice: the upper third, where titles stand
            "From the head edge of the board to the recess; \"auto\" leaves one part above it and two below.",
        ),
        key(
            "depth",
            LengthOrWord(AUTO),
            Default("\"auto\""), // choice: the label's thickness and 0.3 mm, so that nothing rubs on it
            "How deep the recess is: \"auto\" is the label's thickness and 0.3 mm.",
        ),
    ],
};

static MARKS: Table = Table {
    about: "What is drawn on the pieces.",
    keys: &[
        key(
            "labels",
            Flag,
            Default("true"), // choice: pieces of like size are told apart
            "Name and size on every piece, on the face that gets covered; on a small one the name alone or its first letters.",
        ),
        key(
            "placement",
            Flag,
            Default("true"), // choice: boards are laid to lines
            "On the cloth, and on the paper of a side: the outline of every board, and the hinge lines of the joints as crease-scores. Not where the face that shows lies up on the bed (cut_face).",
        ),
        key(
            "copy_numbers",
            Flag,
            Default("false"), // choice: it costs a program each
            "The number of its copy on every piece of an edition, NO 12. Sheets that would be alike then differ, and each needs a program of its own.",
        ),
        key(
            "gauges",
            Flag,
            Default("false"), // choice: only on request
            "Gauges for the joint, the turn-in and the reveal, lettered, from what is left of the board where there is room.",
        ),
        key(
            "scrap",
            Flag,
            Default("false"), // choice: only on request
            "The word scrap on what of a sheet is neither a piece nor an offcut worth keeping.",
        ),
    ],
};
