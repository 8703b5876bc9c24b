//! What the work takes, as several of the JSON outputs have it: an estimate. Minutes to a tenth, money in the maker's
//! currency.

use super::table::Kind::{Count, Flag, List, Maybe, Number, Same, Table as Of, Text, Word};
use super::table::{Kind, Table, field, sometimes};

const STEPS: &[&str] = &[
    "cut",
    "slots-and-pockets",
    "label-recess",
    "build-trays",
    "cover-trays",
    "cover-undersides",
    "mount-trays",
    "line-spine",
    "line-floors",
    "line-covers",
    "mount-wrapper",
    "glue-label",
    "line-boards",
    "build-case",
    "notch-strips",
    "cover-case",
    "turn-mouth",
    "crease",
    "lay-out",
    "glue-down",
    "corner-cuts",
    "slits",
    "patches",
    "magnets",
    "turn-in",
    "dry-covered",
    "sides",
    "cross",
    "strap",
    "ties",
    "hinge-strips",
    "fold-linings",
    "liner",
    "press",
    "fold",
    "inside",
    "close",
];
static STEP: Kind = Word(STEPS);
static COUNT: Kind = Count;
static NUMBER: Kind = Number;
static TEXT: Kind = Text;

/// In `takes`.
pub(super) static WORK_TAKES: Kind = Of(&Table {
    about: "Time and money besides sheets and programs, an estimate.",
    fields: &[
        field("by_hand_minutes", Number, "Minutes by hand, changes of sheets and tools included."),
        field("minutes", Number, "Minutes by hand and beside machines."),
        field("money", Maybe(&MONEY), "What it costs; null where the job has no price but those of its stocks."),
    ],
});

static MONEY: Kind = Of(&Table {
    about: "What boxes cost.",
    fields: &[
        field("lines", List(&LINE), "Each thing that is paid for."),
        field("in_all", Maybe(&NUMBER), "All of it; null where a price is missing."),
    ],
});

static LINE: Kind = Of(&Table {
    about: "One thing that is paid for, for all boxes.",
    fields: &[
        field("what", Text, "What: a stock, elastic, ribbon, glue, machines, work."),
        field("amount", Number, "How much."),
        field("unit", Word(&["sheets", "m", "pieces", "kg", "h"]), "Of what."),
        field("cost", Maybe(&NUMBER), "What it costs; null where its price is not given."),
    ],
});

/// In the manifest and the figures of a box.
pub(super) static WORK: Kind = Of(&Table {
    about: "What the work takes, an estimate by the minutes of the job.",
    fields: &[
        field("boxes", Count, "How many boxes."),
        field("by_hand_minutes", Number, "Minutes by hand, changes of sheets and tools included."),
        field("run_minutes", Number, "Minutes that machines run."),
        field("steps", List(&STEP_TAKES), "What is done by hand, in the order of the work."),
        field("runs", List(&RUN_TAKES), "What machines do."),
        field("plan", Maybe(&PLAN), "The work by days; null where it would run over more than anybody plans."),
        field("money", Maybe(&MONEY), "What it costs; null where the job has no price but those of its stocks."),
    ],
});

static STEP_TAKES: Kind = Of(&Table {
    about: "A step by hand.",
    fields: &[
        field("step", Same(&STEP), "Which."),
        field("count", Count, "How often it is done to one box: so many pieces, creases, boards."),
        field("minutes", Number, "What it takes for all boxes, sessions included."),
    ],
});

static RUN_TAKES: Kind = Of(&Table {
    about: "What a machine does to sheets that are alike.",
    fields: &[
        field("machine", Text, "The short name of its profile."),
        field("sheet", Text, "The sheet."),
        sometimes("first_side", Flag, "Whether its other face lies up, before it is turned over."),
        field("count", Count, "How many such sheets."),
        field("by_hand_minutes", Number, "Minutes by hand for all of them."),
        field("run_minutes", Number, "Minutes that the machine runs for all of them."),
    ],
});

static PLAN: Kind = Of(&Table {
    about: "The work by days.",
    fields: &[
        field("days", Count, "The day on which the last box is done, from 1."),
        field("hours_a_day", Number, "How many hours of a day are worked."),
        field("batch", Count, "How many boxes are glued together."),
        field(
            "others_from_day",
            Maybe(&COUNT),
            "Where the first box is made whole before the others: the day on which these are begun.",
        ),
        field("stretches", List(&STRETCH), "Days, those that are alike told once."),
    ],
});

static STRETCH: Kind = Of(&Table {
    about: "Days that come so many times one after the other, the numbers of boxes going on.",
    fields: &[
        field("times", Count, "How often, at least once."),
        field("first_day", Count, "Its first day."),
        field("last_day", Count, "Its last day."),
        field("work", List(&ENTRY), "What is done on them the first time."),
    ],
});

static ENTRY: Kind = Of(&Table {
    about: "A stretch of work on one day: a step by hand or a run of a machine.",
    fields: &[
        field("day", Count, "The day, from 1."),
        field("step", Maybe(&STEP), "The step; null for a machine."),
        field("machine", Maybe(&TEXT), "The machine."),
        field("sheet", Maybe(&TEXT), "The sheet that it runs for."),
        sometimes("first_side", Flag, "Whether that lies with its other face up, before it is turned over."),
        field("from", Count, "The first box, or sheet."),
        field("to", Count, "The last."),
        field("by_hand_minutes", Number, "Minutes by hand."),
        field("run_minutes", Number, "Minutes that the machine runs."),
        field("goes_on", Flag, "Whether it was begun on a day before."),
        field("until_day", Maybe(&COUNT), "The day on which what is under weight after it can go on."),
    ],
});
