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
            Default("[]"), // choice: `check` asks for them
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
            Default("\"lower-left\""), // choice: as one draws on paper
            "Where on the bed X0 Y0 lies, as you stand before it; lower is near you.",
        ),
        key(
            "x_points",
            Shape::Word(&["right", "left", "up", "down"]),
            Default("\"right\""), // choice: as one draws on paper
            "Which way X counts up, as you stand before the bed; up is away from you.",
        ),
        key(
            "y_points",
            Shape::Word(&["right", "left", "up", "down"]),
            Default("\"up\""), // choice: as one draws on paper
            "Which way Y counts up, across X.",
        ),
        key(
            "z_axis",
            Shape::Flag,
            Default("true"), // choice: most machines have one
            "Whether programs move a Z axis; without one, tools go up and down by their `on` and `off` lines.",
        ),
        key(
            "z_zero",
            Shape::Word(&["bed", "stock-top"]),
            Default("\"bed\""), // choice: the bed stays where it is from stock to stock
            "Where Z0 is: on the bed under the stock, or on the stock's top face.",
        ),
        key(
            "safe_height",
            Shape::Length,
            Default("10"), // choice: over tape and curled corners
            "Height of every traverse above the stock's top; without a Z axis it means nothing.",
        ),
        key(
            "park",
            Shape::List(&Shape::Length),
            Default("[0, 0]"), // choice: the machine's zero
            "Where the machine rests at the end, x and y, in the machine's coordinates.",
        ),
        key(
            "origin",
            Shape::List(&Shape::Length),
            Default("[0, 0]"), // choice: the machine's zero
            "Where the sheet's lower left corner lies: how far to the right of the bed's lower left corner, and how far up.",
        ),
        key("rapid", Shape::Number, Default("6000"), "Speed of a traverse, mm/min."), // from memory: small belt and screw machines do 3000 to 10000
        key("rapid_z", Shape::Number, Default("1200"), "Speed of Z when lifting and approaching, mm/min."), // from memory: a screw-driven Z does 500 to 2000
        key("acceleration", Shape::Number, Default("500"), "Acceleration along the path, mm/s2; for the running time."), // from memory: small machines do 200 to 1000
        key(
            "junction_deviation",
            Shape::Length,
            Default("0.02"), // from memory: small controllers are set to 0.01 to 0.05
            "How far the controller rounds a corner that it does not stop at; for the running time.",
        ),
        key("look_ahead", Shape::Count, Default("16"), "Blocks the controller reads ahead; for the running time."), // from memory: small controllers read 15 to 24
        key(
            "rotary_limit",
            Shape::Number,
            Default("0"), // choice: endless
            "Degrees that the rotary axis may turn either way before it must be unwound; 0 for an endless axis.",
        ),
        key("rotary_speed", Shape::Number, Default("7200"), "Fastest turn of the rotary axis, degrees a minute."), // from memory: 20 turns a minute, slow for a motor that turns a blade
        key(
            "tolerance",
            Shape::Length,
            Default("0.1"), // choice: a fifth of what a hand's cut may be off (practice: 0.5 mm)
            "How far `verify` may find a cut from where it should be; a smaller value fails more programs.",
        ),
        key(
            "hold",
            Shape::Word(&["vacuum", "rim", "mat"]),
            Default("\"rim\""), // choice: needs nothing but tape
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
            Default("\"gcode\""), // choice: most controllers
            "The language of the programs: RS274/NGC G-code, or HP-GL.",
        ),
        key(
            "unit",
            Shape::Word(&["mm", "inch"]),
            Default("\"mm\""), // choice: as the profile itself
            "What numbers of a program are in (G21 or G20); profiles are in mm in any case.",
        ),
        key(
            "step",
            Shape::Length,
            Default("0.025"), // source: HP-GL, a plotter unit is 0.025 mm
            "HP-GL: how long one step of a coordinate is; the language's own is 0.025 mm.",
        ),
        key("extension", Shape::Text, Default("\"nc\""), "Extension of the files, without the dot."), // practice: nc is the usual ending
        key(
            "decimals",
            Shape::Count,
            Default("4"), // derived: with three an arc's radii may differ by 0.002 mm, all that NIST RS274/NGC allows
            "Decimals of a coordinate, 0 to 8; arcs want 4, as fewer make some controllers refuse them.",
        ),
        key("arcs", Shape::Flag, Default("true"), "Whether arcs are written as G2 and G3; otherwise as chords."), // source: NIST RS274/NGC, G2 and G3
        key(
            "arc_centres",
            Shape::Word(&["from-start", "places"]),
            Default("\"from-start\""), // source: NIST RS274/NGC 3.5.3, I and J are offsets from the current point
            "What I and J of an arc are: the way from its start to its centre (G91.1), or the centre's place (G90.1).",
        ),
        key(
            "chord",
            Shape::Length,
            Default("0.01"), // choice: a tenth of the tolerance
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
            Default("1.0"), // source: NIST RS274/NGC, rotary words are degrees
            "What degrees from +x are multiplied by for that word; negative where the axis turns clockwise, seen from above.",
        ),
        key("line_numbers", Shape::Count, Default("0"), "Step of the N words; 0 writes none."), // source: NIST RS274/NGC, N words may be left out
        key(
            "comments",
            Shape::Word(&["parentheses", "semicolon", "none"]),
            Default("\"parentheses\""), // source: NIST RS274/NGC
            "How comments are written.",
        ),
        key("line_ending", Shape::Word(&["lf", "crlf"]), Default("\"lf\""), "How lines end."), // choice: controllers take either
        key(
            "line_limit",
            Shape::Count,
            Default("80"), // from memory: small controllers take 80; NIST RS274/NGC allows 256
            "The most characters the controller takes in a line; 0 for any.",
        ),
        key(
            "dwell",
            Shape::Word(&["seconds", "milliseconds"]),
            Default("\"seconds\""), // source: NIST RS274/NGC, G4
            "What the controller counts the P of G4 in; look it up, for a wrong one waits a thousand times too long.",
        ),
        key("percent", Shape::Flag, Default("false"), "Whether the program stands between two lines of a % sign."), // source: NIST RS274/NGC, it may be left out
        key(
            "start",
            Shape::List(&Shape::Text),
            Default(r#"["G21 G90 G94 G17 G40"]"#), // source: NIST RS274/NGC, mm, absolute, feed a minute, plane XY, no compensation
            "First lines of every program. May hold {title}, {sheet} and {safe_z}.",
        ),
        key(
            "end",
            Shape::List(&Shape::Text),
            Default(r#"["M5", "M2"]"#), // source: NIST RS274/NGC, spindle off, end
            "Last lines of every program. May hold {title}, {sheet} and {safe_z}.",
        ),
        key(
            "tool_change",
            Shape::Word(&["pause", "automatic", "separate-files"]),
            Default("\"pause\""), // choice: every controller can stop
            "What happens between tools: the program stops, the machine changes it, or each tool has its own file.",
        ),
        key(
            "change",
            Shape::List(&Shape::Text),
            Default(r#"["M0 (fit {tool})"]"#), // source: NIST RS274/NGC, M0
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
        key("number", Shape::Count, Default("1"), "Its number, for a tool changer or as the plotter's pen."), // choice: the first
        key("kerf", Shape::Length, Default("0"), "Total width it takes: a beam's kerf, a router's bit diameter."), // choice: a blade takes nothing
        key(
            "pivot_offset",
            Shape::Length,
            Default("0"), // choice: none where there is no castor; `check` asks a drag knife for it
            "How far the tip trails the pivot of a drag knife or a castoring wheel.",
        ),
        key(
            "start_heading",
            Shape::Number,
            Default("0"), // choice: along +x
            "Which way the blade points when the program starts, degrees counter-clockwise from +x, seen from above.",
        ),
        key(
            "edge_angle",
            Shape::Number,
            Default("0"), // choice: an upright edge
            "Angle of a blade's cutting edge from the vertical, degrees; corners are overcut by thickness x its tangent.",
        ),
        key(
            "blade_width",
            Shape::Length,
            Default("0.5"), // from memory: blades for board are 0.4 to 0.7 mm wide at the depth they cut
            "How long a blade or wheel is along its edge where it stands in the stock; the least radius that it follows without being lifted is this by `corner_limit` in radians.",
        ),
        key(
            "max_depth",
            Shape::Length,
            Default("0"), // choice: `check` asks for it where a tool cuts
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
            Default("\"z\""), // choice: as z_axis
            "What takes it up and down: the Z axis, or its `on` and `off` lines (a servo, a solenoid, a beam's switch).",
        ),
        key("on_dwell", Shape::Number, Default("0"), "Seconds to wait after the `on` lines."), // choice: none unless measured
        key("off_dwell", Shape::Number, Default("0"), "Seconds to wait after the `off` lines."), // choice: none unless measured
        key(
            "on",
            Shape::List(&Shape::Text),
            Default("[]"), // choice: a knife needs none
            "Lines that start it. May hold {power}, {speed}, {tool} and {number}.",
        ),
        key("off", Shape::List(&Shape::Text), Default("[]"), "Lines that stop it. May hold {tool} and {number}."), // choice: a knife needs none
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
        key(
            "stock",
            Shape::Word(&["board", "cloth", "paper", "liner"]),
            Required,
            "The stock. What no rule says of \"paper\" is done as to the \"liner\".",
        ),
        key("tool", Shape::Text, Required, "The id of the tool that does it."),
        key("feed", Shape::Number, Required, "Speed along the path, mm/min."),
        key("plunge", Shape::Number, Default("300"), "Speed into the stock, mm/min."), // from memory: slow enough for a bit of 1 mm
        key(
            "pass_depth",
            Shape::Length,
            Default("0"), // choice: `check` asks for it where it is needed
            "The most that one pass takes; needed for cuts and pockets with a tool that the Z axis moves.",
        ),
        key(
            "extra_depth",
            Shape::Length,
            Default("0"), // choice: a bed is not cut unasked
            "How far the last pass of a through-cut goes below the stock, into the mat.",
        ),
        key("depth", Shape::Length, Default("0.1"), "How deep a crease-score or a mark goes or presses."), // choice: a pen's tip gives so much
        key(
            "passes",
            Shape::Count,
            Default("1"), // choice: one
            "Passes over the same line at the same depth, for a beam, a wheel or a blade lifted by its words.",
        ),
        key(
            "overrun",
            Shape::Length,
            Default("0"), // choice: none; `check` asks a drag knife for it
            "How far a closed contour is run past its start; a drag knife needs its pivot offset at least.",
        ),
        key(
            "corner_limit",
            Shape::Number,
            Default("15"), // from memory: blades turn in the stock up to 10 to 20 degrees
            "Degrees; at a sharper corner the blade is lifted and turned, or swivelled.",
        ),
        key("turn_feed", Shape::Number, Default("3600"), "Speed of a turn of the rotary axis, degrees a minute."), // choice: half of the rotary speed's default
        key(
            "finish",
            Shape::Word(&["bottom", "top"]),
            Default("\"bottom\""), // choice: the face that is not seen may be overcut
            "Which face a wedge-shaped blade finishes at a corner: bottom overcuts the top, top leaves the bottom uncut.",
        ),
        key(
            "power",
            Shape::Number,
            Optional,
            "What stands for {power} in the tool's lines, in the controller's units.",
        ),
        key("speed", Shape::Number, Optional, "What stands for {speed} in the tool's lines, turns a minute."),
        key("lead", Shape::Length, Default("0"), "Length of a beam's lead-in and lead-out, in the waste."), // choice: none unless asked for
        key("bridges", Shape::Count, Default("0"), "Holding bridges left on each contour."), // choice: none unless asked for
        key("bridge_width", Shape::Length, Default("0"), "Width of a bridge."), // choice: `check` asks for it where there are bridges
        key(
            "bridge_height",
            Shape::Length,
            Default("0"), // choice: the full thickness holds best
            "Height of a bridge above the bed; 0 leaves the full thickness.",
        ),
        key("hatch", Shape::Length, Default("2"), "Pocket by blade or beam: distance between two strips or lines."), // choice: strips that peel in one piece
        key("least_strip", Shape::Length, Default("1"), "Pocket by blade: no strip is narrower than this."), // choice: half of the hatch's default
        key("step_over", Shape::Number, Default("0.45"), "Pocket by router: share of the bit that each turn takes."), // practice: 40 to 50 % of the bit
        key("ramp", Shape::Number, Default("0"), "Router: degrees of a ramped entry; 0 plunges."), // choice: a plunge needs no room
        key(
            "direction",
            Shape::Word(&["conventional", "climb"]),
            Default("\"conventional\""), // practice: no pull on a light machine
            "Router: against the feed (counter-clockwise outside a part, spindle clockwise), or with it.",
        ),
        key("corner_relief", Shape::Flag, Default("false"), "Router: whether inner corners are opened by a relief."), // choice: corners stay as drawn
        key("double", Shape::Length, Default("0"), "Crease: two lines this far apart; 0 makes one."), // choice: one line
        key(
            "pattern",
            Shape::List(&Shape::Length),
            Default("[]"), // choice: a whole line
            "Crease or mark: lengths on and off by turns; empty for a whole line.",
        ),
    ],
};
