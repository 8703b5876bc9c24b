//! Numbers within physical sense.

use super::Checking;
use crate::diag::Diagnostic;
use crate::units::decimal;

/// What a number may be: from `least` (or above it) to `most`.
struct Range {
    key: &'static str,
    unit: &'static str,
    least: f64,
    most: f64,
    /// Whether `least` itself is too small.
    above: bool,
    hint: &'static str,
}

const fn from(key: &'static str, unit: &'static str, least: f64, most: f64, hint: &'static str) -> Range {
    Range { key, unit, least, most, above: false, hint }
}

const fn above(key: &'static str, unit: &'static str, most: f64, hint: &'static str) -> Range {
    Range { key, unit, least: 0.0, most, above: true, hint }
}

// The upper ends are far beyond any machine that cuts sheets; they catch a slip of the decimal
// point or of the unit, not an unusual machine.
const SPEED: &str = "speeds are mm/min; look it up in the machine's manual";
const MEASURE: &str = "measure it; lengths are mm";

static MACHINE: &[Range] = &[
    above("width", "mm", 20_000.0, MEASURE),
    above("height", "mm", 20_000.0, MEASURE),
    above("rapid", "mm/min", 300_000.0, SPEED),
    above("rapid_z", "mm/min", 300_000.0, SPEED),
    above("acceleration", "mm/s2", 100_000.0, "it is in mm/s2; 500 suits a light machine"),
    from("junction_deviation", "mm", 0.0, 1.0, "0.02 mm is usual; it is a setting of the controller"),
    from("look_ahead", "", 1.0, 100_000.0, "a controller that reads no block ahead has 1"),
    from("rotary_limit", "degrees", 0.0, 360_000.0, "0 is an endless axis"),
    above("rotary_speed", "degrees a minute", 1e6, "one turn a second is 21600 degrees a minute"),
    // Our choice: a hand does as well, and lines nearer to each other than that could not be told apart.
    above("tolerance", "mm", 0.5, "0.1 mm suits board and cloth"),
];

static OUTPUT: &[Range] = &[
    from("decimals", "", 0.0, 8.0, "4 suits every controller that takes arcs"),
    above("step", "mm", 1.0, "0.025 mm is the language's own; others are 0.01 or 0.0254"),
    above("chord", "mm", 1.0, "0.01 mm is finer than any cutter"),
    from("line_numbers", "", 0.0, 1000.0, "it is the step between two N words, 10 say; 0 writes none"),
    from("line_limit", "", 0.0, 100_000.0, "0 sets no limit"),
];

static TOOL: &[Range] = &[
    from("number", "", 0.0, 9999.0, "it is the tool's place in the changer, or the pen's number"),
    from("kerf", "mm", 0.0, 25.0, "it is the whole width that the tool takes, never less than nothing"),
    from("pivot_offset", "mm", 0.0, 25.0, "it is how far the tip trails the pivot; write it without a sign"),
    from("start_heading", "degrees", -360.0, 360.0, "it counts counter-clockwise from +x"),
    from(
        "edge_angle",
        "degrees",
        0.0,
        80.0,
        "it is the edge's angle from the vertical, 0 for a blade that cuts upright",
    ),
    above("blade_width", "mm", 50.0, "0.5 mm suits a pointed blade; measure a flat one along its edge"),
    from("max_depth", "mm", 0.0, 200.0, MEASURE),
    above("swivel_depth", "mm", 200.0, "the tip must hold in the stock while it swivels: 0.2 mm or more"),
    from("on_dwell", "s", 0.0, 60.0, "waits are in seconds, whatever `output.dwell` says"),
    from("off_dwell", "s", 0.0, 60.0, "waits are in seconds, whatever `output.dwell` says"),
];

// What these hints and those above call usual, suiting or holding is from memory where `keys.rs` does not say
// more; how far apart two creases lie is our choice (`design/crease.rs`).
static RULE: &[Range] = &[
    above("feed", "mm/min", 300_000.0, SPEED),
    above("plunge", "mm/min", 300_000.0, SPEED),
    from("pass_depth", "mm", 0.0, 200.0, "it is the most that one pass takes"),
    from("extra_depth", "mm", 0.0, 10.0, "0.2 mm into the mat is usual"),
    from("depth", "mm", 0.0, 50.0, "it counts down from the stock's top, without a sign"),
    from("passes", "", 1.0, 100.0, "one pass is the least"),
    from("overrun", "mm", 0.0, 100.0, "it is how far a closed cut runs on past its start"),
    from("corner_limit", "degrees", 0.0, 180.0, "0 turns the blade at every corner, 180 at none"),
    above("turn_feed", "degrees a minute", 1e6, "one turn a second is 21600 degrees a minute"),
    from("power", "", 0.0, 1e6, "it is in the controller's units"),
    from("speed", "turns a minute", 0.0, 1e6, "it is in turns a minute"),
    from("lead", "mm", 0.0, 50.0, "it has to fit into the waste between two pieces"),
    from("bridges", "", 0.0, 100.0, "four hold a board piece"),
    from("bridge_width", "mm", 0.0, 50.0, "5 mm holds a board piece"),
    from("bridge_height", "mm", 0.0, 50.0, "0 leaves the full thickness"),
    above("hatch", "mm", 50.0, "strips of 2 mm peel well; a beam wants about its own width"),
    from("least_strip", "mm", 0.0, 50.0, "1 mm still peels"),
    Range {
        key: "step_over",
        unit: "",
        least: 0.0,
        most: 1.0,
        above: true,
        hint: "it is a share of the bit; 0.4 to 0.5 is usual",
    },
    from("ramp", "degrees", 0.0, 45.0, "3 to 5 degrees is usual; 0 plunges"),
    from("double", "mm", 0.0, 20.0, "one and a half thicknesses suits most board"),
];

pub(super) fn check(c: &mut Checking<'_>) {
    one_table(c, "machine", "the machine", MACHINE);
    one_table(c, "output", "the output", OUTPUT);
    for i in 0..c.profile().tools.len() {
        let name = c.tool_name(i);
        one_table(c, &format!("tool.{i}"), &name, TOOL);
    }
    for i in 0..c.profile().rules.len() {
        let name = c.rule_name(i);
        one_table(c, &format!("rule.{i}"), &name, RULE);
    }
}

fn one_table(c: &mut Checking<'_>, path: &str, of: &str, ranges: &[Range]) {
    for r in ranges {
        let key = format!("{path}.{}", r.key);
        let Some(value) = c.raw(&key) else { continue };
        let low = if r.above { value <= r.least } else { value < r.least };
        if !low && value <= r.most {
            continue;
        }
        let say = |v: f64| if r.unit.is_empty() { decimal(v, 3) } else { format!("{} {}", decimal(v, 3), r.unit) };
        let bound = match (low, r.above) {
            (true, true) => format!("must be more than {}", decimal(r.least, 3)),
            (true, false) => format!("must be at least {}", decimal(r.least, 3)),
            (false, _) => format!("can be at most {}", decimal(r.most, 3)),
        };
        let message = format!("`{}` of {of} is {}, and {bound}", r.key, say(value));
        c.push(Diagnostic::error("out-of-range", message).at(key).help(r.hint));
    }
}
