//! The keys of a machine profile: what each may hold, what stands for it when it is left out, and
//! what it means. Lengths are mm (a string may carry another unit), speeds mm/min, rotary speeds
//! degrees a minute, angles bare degrees, waits seconds.

use crate::doc::Need::{Default, Optional, Required};
use crate::doc::{Shape, Table, key};

/// A machine profile.
pub static TABLE: Table = Table {
    about: "A machine, its tools and the rules for using them. Lengths are mm and speeds mm/min.",
    keys: &[
        key("format", Shape::Count, Required, "The version of this file format: 1."),
        key("name", Shape::Text, Required, "The machine's name for people."),
        key(
            "cautions",
            Shape::List(&Shape::Text),
            Default("[]"),
            "Warnings for the person at the machine; they head every program.",
        ),
        key("machine", Shape::Table(&MACHINE), Required, "Travel, heights and speeds."),
        key("output", Shape::Table(&OUTPUT), Default("{}"), "How its programs are written."),
        key("tool", Shape::Tables(&TOOL), Required, "The tools, one table each."),
        key(
            "rule",
            Shape::Tables(&RULE),
            Required,
            "Which tool does an operation on a stock, and how; one table for each pair of the two.",
        ),
    ],
};

static MACHINE: Table = Table {
    about: "Travel, heights and speeds.",
    keys: &[
        key("width", Shape::Length, Required, "Travel from left to right, as you stand before the bed."),
        key("height", Shape::Length, Required, "Travel away from you."),
        key(
            "zero",
            Shape::Word(&["lower-left", "lower-right", "upper-left", "upper-right", "centre"]),
            Default("\"lower-left\""),
            "Where on the bed X0 Y0 lies, as you stand before it; lower is near you.",
        ),
        key(
            "x_points",
            Shape::Word(&["right", "left", "up", "down"]),
            Default("\"right\""),
            "Which way X counts up, as you stand before the bed; up is away from you.",
        ),
        key(
            "y_points",
            Shape::Word(&["right", "left", "up", "down"]),
            Default("\"up\""),
            "Which way Y counts up, across X.",
        ),
        key(
            "z_axis",
            Shape::Flag,
            Default("true"),
            "Whether programs move a Z axis; without one, tools go up and down by their `on` and `off` lines.",
        ),
        key(
            "z_zero",
            Shape::Word(&["bed", "stock-top"]),
            Default("\"bed\""),
            "Where Z0 is: on the bed under the stock, or on the stock's top face.",
        ),
        key(
            "safe_height",
            Shape::Length,
            Default("10"),
            "Height of every traverse above the stock's top; without a Z axis it means nothing.",
        ),
        key(
            "park",
            Shape::List(&Shape::Length),
            Default("[0, 0]"),
            "Where the machine rests at the end, x and y, in the machine's coordinates.",
        ),
        key(
            "origin",
            Shape::List(&Shape::Length),
            Default("[0, 0]"),
            "Where the sheet's lower left corner lies: how far to the right of the bed's lower left corner, and how far up.",
        ),
        key("rapid", Shape::Number, Default("6000"), "Speed of a traverse, mm/min."),
        key("rapid_z", Shape::Number, Default("1200"), "Speed of Z when lifting and approaching, mm/min."),
        key("acceleration", Shape::Number, Default("500"), "Acceleration along the path, mm/s2; for the running time."),
        key(
            "junction_deviation",
            Shape::Length,
            Default("0.02"),
            "How far the controller rounds a corner that it does not stop at; for the running time.",
        ),
        key("look_ahead", Shape::Count, Default("16"), "Blocks the controller reads ahead; for the running time."),
        key(
            "rotary_limit",
            Shape::Number,
            Default("0"),
            "Degrees that the rotary axis may turn either way before it must be unwound; 0 for an endless axis.",
        ),
        key("rotary_speed", Shape::Number, Default("7200"), "Fastest turn of the rotary axis, degrees a minute."),
        key(
            "tolerance",
            Shape::Length,
            Default("0.1"),
            "How far `verify` may find a cut from where it should be; a smaller value fails more programs.",
        ),
        key(
            "hold",
            Shape::Word(&["vacuum", "rim", "mat"]),
            Default("\"rim\""),
            "How the stock is held: sucked down, taped or pinned at the rim, or on a tacky mat.",
        ),
    ],
};

static OUTPUT: Table = Table {
    about: "How programs are written.",
    keys: &[
        key(
            "language",
            Shape::Word(&["gcode", "hpgl"]),
            Default("\"gcode\""),
            "The language of the programs: RS274/NGC G-code, or HP-GL.",
        ),
        key(
            "unit",
            Shape::Word(&["mm", "inch"]),
            Default("\"mm\""),
            "What numbers of a program are in (G21 or G20); profiles are in mm in any case.",
        ),
        key(
            "step",
            Shape::Length,
            Default("0.025"),
            "HP-GL: how long one step of a coordinate is; the language's own is 0.025 mm.",
        ),
        key("extension", Shape::Text, Default("\"nc\""), "Extension of the files, without the dot."),
        key(
            "decimals",
            Shape::Count,
            Default("4"),
            "Decimals of a coordinate, 0 to 8; arcs want 4, as fewer make some controllers refuse them.",
        ),
        key("arcs", Shape::Flag, Default("true"), "Whether arcs are written as G2 and G3; otherwise as chords."),
        key(
            "arc_centres",
            Shape::Word(&["from-start", "places"]),
            Default("\"from-start\""),
            "What I and J of an arc are: the way from its start to its centre (G91.1), or the centre's place (G90.1).",
        ),
        key(
            "chord",
            Shape::Length,
            Default("0.01"),
            "How far chords may stray from an arc; a tenth of it makes about three times the lines.",
        ),
        key(
            "rotary",
            Shape::Text,
            Optional,
            "The word of the axis that turns the blade: A, B, C, U, V or W. Left out where there is none.",
        ),
        key(
            "rotary_scale",
            Shape::Number,
            Default("1.0"),
            "What degrees from +x are multiplied by for that word; negative where the axis turns clockwise, seen from above.",
        ),
        key("line_numbers", Shape::Count, Default("0"), "Step of the N words; 0 writes none."),
        key(
            "comments",
            Shape::Word(&["parentheses", "semicolon", "none"]),
            Default("\"parentheses\""),
            "How comments are written.",
        ),
        key("line_ending", Shape::Word(&["lf", "crlf"]), Default("\"lf\""), "How lines end."),
        key(
            "line_limit",
            Shape::Count,
            Default("80"),
            "The most characters the controller takes in a line; 0 for any.",
        ),
        key(
            "dwell",
            Shape::Word(&["seconds", "milliseconds"]),
            Default("\"seconds\""),
            "What the controller counts the P of G4 in; look it up, for a wrong one waits a thousand times too long.",
        ),
        key("percent", Shape::Flag, Default("false"), "Whether the program stands between two lines of a % sign."),
        key(
            "start",
            Shape::List(&Shape::Text),
            Default(r#"["G21 G90 G94 G17 G40"]"#),
            "First lines of every program. May hold {title}, {sheet} and {safe_z}.",
        ),
        key(
            "end",
            Shape::List(&Shape::Text),
            Default(r#"["M5", "M2"]"#),
            "Last lines of every program. May hold {title}, {sheet} and {safe_z}.",
        ),
        key(
            "tool_change",
            Shape::Word(&["pause", "automatic", "separate-files"]),
            Default("\"pause\""),
            "What happens between tools: the program stops, the machine changes it, or each tool has its own file.",
        ),
        key(
            "change",
            Shape::List(&Shape::Text),
            Default(r#"["M0 (fit {tool})"]"#),
            "Lines of a tool change. May hold {tool}, {number}, {title}, {sheet} and {safe_z}.",
        ),
    ],
};

static TOOL: Table = Table {
    about: "A tool.",
    keys: &[
        key("id", Shape::Text, Required, "Its name in the rules and in file names: small letters, digits and hyphens."),
        key(
            "kind",
            Shape::Word(&["drag-knife", "tangential-knife", "crease-wheel", "pen", "beam", "router"]),
            Required,
            "What it is. A crease wheel may also be a blunt stylus.",
        ),
        key("number", Shape::Count, Default("1"), "Its number, for a tool changer or as the plotter's pen."),
        key("kerf", Shape::Length, Default("0"), "Total width it takes: a beam's kerf, a router's bit diameter."),
        key(
            "pivot_offset",
            Shape::Length,
            Default("0"),
            "How far the tip trails the pivot of a drag knife or a castoring wheel.",
        ),
        key(
            "start_heading",
            Shape::Number,
            Default("0"),
            "Which way the blade points when the program starts, degrees counter-clockwise from +x, seen from above.",
        ),
        key(
            "edge_angle",
            Shape::Number,
            Default("0"),
            "Angle of a blade's cutting edge from the vertical, degrees; corners are overcut by thickness x its tangent.",
        ),
        key(
            "max_depth",
            Shape::Length,
            Default("0"),
            "The deepest it may cut. Every tool that cuts needs it; 0 on a pen or wheel sets no limit.",
        ),
        key(
            "swivel_depth",
            Shape::Length,
            Optional,
            "How deep the tip of a drag knife stays while it swivels; left out, it swivels at full depth.",
        ),
        key(
            "lift",
            Shape::Word(&["z", "words"]),
            Default("\"z\""),
            "What takes it up and down: the Z axis, or its `on` and `off` lines (a servo, a solenoid, a beam's switch).",
        ),
        key("on_dwell", Shape::Number, Default("0"), "Seconds to wait after the `on` lines."),
        key("off_dwell", Shape::Number, Default("0"), "Seconds to wait after the `off` lines."),
        key(
            "on",
            Shape::List(&Shape::Text),
            Default("[]"),
            "Lines that start it. May hold {power}, {speed}, {tool} and {number}.",
        ),
        key("off", Shape::List(&Shape::Text), Default("[]"), "Lines that stop it. May hold {tool} and {number}."),
    ],
};

static RULE: Table = Table {
    about: "Which tool does an operation on a stock, and how.",
    keys: &[
        key(
            "operation",
            Shape::Word(&["mark", "crease-score", "half-depth-pocket", "through-cut"]),
            Required,
            "The operation.",
        ),
        key("stock", Shape::Word(&["board", "cloth", "liner"]), Required, "The stock."),
        key("tool", Shape::Text, Required, "The id of the tool that does it."),
        key("feed", Shape::Number, Required, "Speed along the path, mm/min."),
        key("plunge", Shape::Number, Default("300"), "Speed into the stock, mm/min."),
        key(
            "pass_depth",
            Shape::Length,
            Default("0"),
            "The most that one pass takes; needed for cuts and pockets with a tool that the Z axis moves.",
        ),
        key(
            "extra_depth",
            Shape::Length,
            Default("0"),
            "How far the last pass of a through-cut goes below the stock, into the mat.",
        ),
        key("depth", Shape::Length, Default("0"), "How deep a crease score or a mark goes or presses."),
        key(
            "passes",
            Shape::Count,
            Default("1"),
            "Passes over the same line at the same depth, for a beam, a wheel or a blade lifted by its words.",
        ),
        key(
            "overrun",
            Shape::Length,
            Default("0"),
            "How far a closed contour is run past its start; a drag knife needs its pivot offset at least.",
        ),
        key(
            "corner_limit",
            Shape::Number,
            Default("15"),
            "Degrees; at a sharper corner the blade is lifted and turned, or swivelled.",
        ),
        key("turn_feed", Shape::Number, Default("3600"), "Speed of a turn of the rotary axis, degrees a minute."),
        key(
            "finish",
            Shape::Word(&["bottom", "top"]),
            Default("\"bottom\""),
            "Which face a wedge-shaped blade finishes at a corner: bottom overcuts the top, top leaves the bottom uncut.",
        ),
        key(
            "power",
            Shape::Number,
            Optional,
            "What stands for {power} in the tool's lines, in the controller's units.",
        ),
        key("speed", Shape::Number, Optional, "What stands for {speed} in the tool's lines, turns a minute."),
        key("lead", Shape::Length, Default("0"), "Length of a beam's lead-in and lead-out, in the waste."),
        key("bridges", Shape::Count, Default("0"), "Holding bridges left on each contour."),
        key("bridge_width", Shape::Length, Default("0"), "Width of a bridge."),
        key(
            "bridge_height",
            Shape::Length,
            Default("0"),
            "Height of a bridge above the bed; 0 leaves the full thickness.",
        ),
        key("hatch", Shape::Length, Default("2"), "Pocket by blade or beam: distance between two strips or lines."),
        key("least_strip", Shape::Length, Default("1"), "Pocket by blade: no strip is narrower than this."),
        key("step_over", Shape::Number, Default("0.45"), "Pocket by router: share of the bit that each turn takes."),
        key("ramp", Shape::Number, Default("0"), "Router: degrees of a ramped entry; 0 plunges."),
        key(
            "direction",
            Shape::Word(&["conventional", "climb"]),
            Default("\"conventional\""),
            "Router: against the feed (counter-clockwise outside a part, spindle clockwise), or with it.",
        ),
        key("corner_relief", Shape::Flag, Default("false"), "Router: whether inner corners are opened by a relief."),
        key("double", Shape::Length, Default("0"), "Crease: two lines this far apart; 0 makes one."),
        key(
            "pattern",
            Shape::List(&Shape::Length),
            Default("[]"),
            "Crease or mark: lengths on and off by turns; empty for a whole line.",
        ),
    ],
};
