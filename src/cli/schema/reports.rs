//! What the commands report with `--format json`.

use super::files::REGISTER;
use super::shared::{
    BILL, BY_SIDE, CLOSING, DIAGNOSTIC, INSIDE, MAGNETS, NUMBER, OFFCUT, OPERATION, OPERATIONS, PROGRAM, SAVING,
    SEVERITIES, SIZE, STOCK, STOCKS, TAKES, TEXT, TIES, diagnostics, format,
};
use super::table::Kind::{Count, Flag, Keyed, List, Maybe, Number, Profile, Row, Same, Table as Of, Text, Word};
use super::table::{Kind, Table, field, sometimes};
use super::work::WORK;

static COUNT: Kind = Count;

pub(super) static FAILURE: Kind = Of(&Table {
    about: "A run that failed before it could report: a wrong argument, a file that cannot be read or written.",
    fields: &[format(), field("failed", Flag, "true."), field("diagnostics", List(&DIAGNOSTIC), "Why.")],
});

pub(super) static CHECK: Kind = Of(&Table {
    about: "Whether a box fits and what it takes; lengths in mm.",
    fields: &[
        format(),
        field("job", Text, "The job file."),
        field("title", Maybe(&TEXT), "What the box is called."),
        field("fits", Flag, "Whether it can be made: no error."),
        field("is_quick_layout", Flag, "Whether a longer search may need fewer sheets."),
        field("fit", Maybe(&FIGURES), "The figures; null for a job that could not be read."),
        field(
            "savings",
            List(&SAVING),
            "What would save stock: the best change of each stock, and of the number of boxes.",
        ),
        diagnostics(),
    ],
});

pub(super) static CUT: Kind = Of(&Table {
    about: "What of a folder is cut.",
    fields: &[
        format(),
        field("folder", Text, "The folder."),
        field("changed", List(&TEXT), "The sheets of which this run marked more or less."),
        field("said", List(&TEXT), "What a shop's count does not agree with."),
        field("parts", List(&CUT_PART), "The lots of a list, or the one folder that was exported."),
    ],
});

static CUT_PART: Kind = Of(&Table {
    about: "A folder of sheets.",
    fields: &[
        field("folder", Text, "The lot's folder; empty for an exported folder."),
        field("state", Word(&["to cut", "begun", "cut"]), "How far it is."),
        field("sheets", List(&CUT_SHEET), "Its sheets."),
    ],
});

static CUT_SHEET: Kind = Of(&Table {
    about: "A sheet and how far it is.",
    fields: &[
        field("sheet", Text, "Its name."),
        field("stock", Word(STOCKS), "What it is of."),
        field("count", Count, "How many are cut alike."),
        field("cut", Count, "How many of them are cut."),
    ],
});

static FIGURES: Kind = Of(&Table {
    about: "The figures of a box, mm.",
    fields: &[
        field("interior", Same(&SIZE), "Width, height and depth inside."),
        field("exterior", Same(&SIZE), "Width, height and depth of the closed box."),
        field("joint", Number, "The gap between two hinged boards."),
        field("step", Number, "By how much walls grow from tier to tier."),
        field("tiers", Keyed(&["head", "tail", "left", "right"], &COUNT), "The order of closing."),
        field("walls", BY_SIDE, "Wall heights."),
        field("reach", BY_SIDE, "How far each lid reaches."),
        field("ease", Number, "Room in a joint beyond what it must pass."),
        field("play", BY_SIDE, "What each wall has beyond what lies beneath its lid."),
        field("depths", Same(&DEPTHS), "Which stacks it holds."),
        field("closing", Same(&CLOSING), "How surely it closes."),
        field("assumed", List(&ASSUMED), "What the job does not say and is taken as usual."),
        field("strap_length", Maybe(&NUMBER), "What the elastic is cut to."),
        field("bill", Same(&BILL), "What one box takes."),
        field("takes", Same(&TAKES), "What all boxes take."),
        field("work", Same(&WORK), "What the work takes."),
        field("cost", Maybe(&NUMBER), "What the sheets cost together."),
        field("straps", Maybe(&STRAPS), "The elastics."),
        field("ties", List(&TIES), "The ribbon ties, lid by lid."),
        field("magnets", List(&MAGNETS), "The magnets, lid by lid."),
        field("inside", Maybe(&INSIDE), "What lies inside besides one stack."),
        field("sheets", List(&SHEET), "The sheets."),
    ],
});

static DEPTHS: Kind = Of(&Table {
    about: "Depths of stack.",
    fields: &[
        field("flat", Number, "Up to this every lid lies flat."),
        field("pressed", Number, "Up to this lids can be pressed shut."),
        field("slides", Number, "With less than this the works slide about."),
    ],
});

static STRAPS: Kind = Of(&Table {
    about: "The elastics.",
    fields: &[
        field("count", Count, "How many."),
        field("path", Number, "From slot to slot round the closed box."),
        field("length", Number, "What each is cut to."),
        field("snug", Row(2, &NUMBER), "The shortest and the longest that hold."),
    ],
});

static SHEET: Kind = Of(&Table {
    about: "A sheet.",
    fields: &[
        field("id", Text, "Its name."),
        field("stock", Word(STOCKS), "What it is of."),
        field("count", Count, "How many such sheets are cut."),
        field("pieces", Count, "How many pieces lie on it."),
        field("width", Number, "Its width."),
        field("height", Number, "Its height."),
        field("leftover", Flag, "Whether it is a leftover that the job names."),
        field("offcut", Maybe(&OFFCUT), "What of it can be kept."),
    ],
});

pub(super) static EXPORT: Kind = Of(&Table {
    about: "What was written; of a job that was refused, `folder` is null and the rest is left out.",
    fields: &[
        format(),
        sometimes("title", Text, "What the box is called."),
        field("folder", Maybe(&TEXT), "The folder."),
        sometimes("files", List(&TEXT), "Its files."),
        sometimes("programs", List(&PROGRAM), "Its programs."),
        sometimes("registers", List(&REGISTER), "Sheets in register, as in the manifest."),
        sometimes("fit", Same(&FIGURES), "The figures of the box."),
        sometimes("takes", Same(&TAKES), "What all boxes take."),
        diagnostics(),
    ],
});

pub(super) static COUPON: Kind = Of(&Table {
    about: "The coupon that was written; of one that was refused, `folder` is null and the rest is left out.",
    fields: &[
        format(),
        field("folder", Maybe(&TEXT), "The folder."),
        sometimes("files", List(&TEXT), "Its files."),
        sometimes("programs", List(&PROGRAM), "Its programs."),
        diagnostics(),
    ],
});

pub(super) static COUPON_READ: Kind = Of(&Table {
    about: "What was measured, as changes of the profile; of a form that was refused, what is wrong with it.",
    fields: &[
        format(),
        sometimes("folder", Maybe(&TEXT), "null where the form was refused."),
        sometimes("profile", Text, "The profile."),
        sometimes("changes", List(&CHANGE), "What changes in it."),
        sometimes("diff", Text, "The lines that change."),
        sometimes("written", Flag, "Whether it was written."),
        diagnostics(),
    ],
});

static CHANGE: Kind = Of(&Table {
    about: "A figure of the profile.",
    fields: &[
        field("of", Text, "The tool or the rule."),
        field("key", Text, "Its key."),
        field("from", Number, "What it was, mm or a count."),
        field("to", Number, "What it is."),
        field("why", Text, "How it was found."),
    ],
});

pub(super) static VERIFY: Kind = Of(&Table {
    about: "The proof of a folder or a program; lengths in mm, places on the bed.",
    fields: &[
        format(),
        field("title", Text, "What was proved."),
        field("unit", Word(&["mm", "in"]), "What people read."),
        field("proved", Flag, "Whether everything was compared and nothing found."),
        field("verdict", Text, "The same in words."),
        field("drawings", Count, "How many drawings were read."),
        field("not_kept", List(&NOT_KEPT), "The kinds of files that a list was told not to keep."),
        field("programs", List(&PROOF), "The programs."),
        field("findings", List(&FINDING), "What was found."),
    ],
});

static NOT_KEPT: Kind = Of(&Table {
    about: "A kind of files that was not kept.",
    fields: &[
        field("what", Text, "Its word, as --keep has it."),
        field("folders", Count, "How many folders do without."),
    ],
});

static FINDING: Kind = Of(&Table {
    about: "One thing that was found.",
    fields: &[
        field("severity", Word(SEVERITIES), "How grave it is."),
        field("code", Text, "A short stable name of the kind of thing."),
        field("file", Text, "The file."),
        field("line", Maybe(&COUNT), "Its line, from 1."),
        field("x", Maybe(&NUMBER), "Where on the bed, to the right."),
        field("y", Maybe(&NUMBER), "Where on the bed, away from one."),
        field("at", Maybe(&AT), "The same place as the file counts it."),
        field("piece", Maybe(&TEXT), "The piece."),
        field("message", Text, "What is wrong."),
        field("hint", Maybe(&TEXT), "What to do about it."),
        field("besides", List(&BESIDES), "What follows from it."),
    ],
});

static BESIDES: Kind = Of(&Table {
    about: "What follows from a finding.",
    fields: &[field("code", Text, "Of which kind."), field("count", Count, "How many.")],
});

static PROOF: Kind = Of(&Table {
    about: "What is known of a program.",
    fields: &[
        field("file", Text, "Its file name."),
        field("proved", Flag, "Whether it was compared and nothing found."),
        field("moves", Count, "How many motions."),
        field("worked", Number, "The length worked."),
        field("deepest", Number, "How deep it goes below the top."),
        field("lowest_travel", Maybe(&NUMBER), "The least height of a traverse above the top."),
        field("heading", Number, "The heading at its end, degrees."),
        field("arc_stray", Number, "How far a slanted blade strays on its tightest arc."),
        field("comparison", Maybe(&COMPARISON), "How it compares with what was asked."),
        field("left", Maybe(&LEFT), "What one that was not compared would leave."),
    ],
});

static AT: Kind = Of(&Table {
    about: "A place in a file's own coordinates.",
    fields: &[
        field("x", Number, "Along its X."),
        field("y", Number, "Along its Y."),
        field("unit", Word(&["mm", "in", "steps"]), "What both count."),
    ],
});

static WORST: Kind = Of(&Table {
    about: "The worst place.",
    fields: &[
        field("mm", Number, "By how much."),
        field("x", Number, "Where, to the right."),
        field("y", Number, "Where, away from one."),
        field("at", Maybe(&AT), "The same place as the program counts it."),
        field("of", Text, "Of what."),
    ],
});

static COMPARISON: Kind = Of(&Table {
    about: "What was cut beside what was asked.",
    fields: &[
        field("largest", Maybe(&WORST), "How far a cut lies off its line at most."),
        field("mean", Number, "The same over all its length."),
        field("compared", Number, "The length compared."),
        field("uncut", Number, "What stays uncut."),
        field("uncut_below", Number, "What stays uncut at the bottom before corners."),
        field("rounded", Maybe(&WORST), "How round inner corners stay."),
        field("overcut", Maybe(&WORST), "How far a slanted blade overcuts the top."),
        field("bridges", Count, "How many bridges hold."),
        field("pocket_depth", Maybe(&SPAN), "The least and the greatest depth of pockets."),
        field("ridge", Number, "The widest ridge in a pocket."),
        field("swept", Count, "How many pieces were measured by their areas."),
        field("area", Maybe(&WORST), "How far the worst of them is off."),
        field("in_waste", Number, "The length cut in waste."),
    ],
});

static SPAN: Kind = Row(2, &NUMBER);
static BOUNDS: Kind = Row(4, &NUMBER);

static LEFT: Kind = Of(&Table {
    about: "What a program would leave.",
    fields: &[
        field("bounds", Maybe(&BOUNDS), "From x and y to x and y."),
        field("through", Number, "The length cut right through."),
        field("partly", Number, "The length worked less deep."),
        field("parts", List(&PART), "What comes free."),
        field("too_many", Flag, "Whether there was too much to see it."),
    ],
});

static PART: Kind = Of(&Table {
    about: "A part that comes free.",
    fields: &[
        field("opening", Flag, "Whether it is an opening in another."),
        field("bounds", Row(4, &NUMBER), "From x and y to x and y."),
        field("area", Number, "Its area, mm2."),
    ],
});

pub(super) static PROFILES: Kind = List(&MACHINE);

static MACHINE: Kind = Of(&Table {
    about: "A machine that comes with the program.",
    fields: &[
        field("id", Text, "Its short name."),
        field("name", Text, "What it is called."),
        field("language", Text, "What its programs are written in."),
        field("moves_z", Flag, "Whether its programs move a Z axis."),
        field("tools", List(&TOOL), "Its tools."),
    ],
});

static TOOL: Kind = Of(&Table {
    about: "A tool.",
    fields: &[
        field("id", Text, "Its name in the rules."),
        field("kind", Text, "What it is."),
        field("does", List(&DOES), "What it does, stock by stock."),
    ],
});

static DOES: Kind = Of(&Table {
    about: "What a tool does to a stock.",
    fields: &[
        field("stock", Word(STOCKS), "The stock."),
        field("operations", List(&OPERATION), "The operations, in their hard order."),
    ],
});

pub(super) static PROFILE_CHECK: Kind = Of(&Table {
    about: "A profile: what is wrong with it, and what the machine can and cannot do.",
    fields: &[
        field("file", Text, "Where it comes from."),
        diagnostics(),
        field("profile", Maybe(&PROFILE), "The profile with every default filled in."),
        field("can", Maybe(&CAPABILITIES), "Every operation on every stock."),
    ],
});

static PROFILE: Kind = Profile;
static CAPABILITIES: Kind = List(&CAPABILITY);

static CAPABILITY: Kind = Of(&Table {
    about: "An operation on a stock: `can` or `cannot` is there.",
    fields: &[
        field("operation", Word(OPERATIONS), "The operation."),
        field("stock", Same(&STOCK), "The stock."),
        sometimes("can", Same(&CAN), "By which tool."),
        sometimes("cannot", Same(&CANNOT), "Why not."),
    ],
});

static CAN: Kind = Of(&Table {
    about: "It can.",
    fields: &[field("tool", Text, "The tool."), sometimes("note", Text, "What to know before it is done.")],
});

static CANNOT: Kind = Of(&Table { about: "It cannot.", fields: &[field("why", Text, "Why, in plain words.")] });

static ASSUMED: Kind = Of(&Table {
    about: "A setting that is left out.",
    fields: &[field("key", Text, "Its dotted key."), field("value", Text, "What is taken for it.")],
});
