//! The job file's format, continued: what money and time are reckoned from.

use crate::doc::{Key, Need, Shape, Table, key};
use Need::{Default, Optional};
use Shape::{Count, Flag, List, Number};

/// Of what is bought by length: elastic, ribbons.
pub(super) const METRE_PRICE: Key =
    key("price", Number, Optional, "What a metre of it costs, in your currency; left out, its cost is not told.");

pub(super) static GLUE: Table = Table {
    about: "The adhesive, for its weight and its cost.",
    keys: &[
        key(
            "price",
            Number,
            Optional,
            "What a kilogram of it costs, in your currency; left out, its cost is not told.",
        ),
        key(
            "grams",
            Number,
            Default("150"), // from memory: data sheets of PVA name 100 to 200 g/m2
            "How many grams of it a square metre takes, one coat, what stays in the brush included.",
        ),
    ],
};

pub(super) static WORK: Table = Table {
    about: "What an hour costs and how long the work takes: an estimate of the cost and of a plan by day.",
    keys: &[
        key(
            "rate",
            Number,
            Optional,
            "What an hour of work costs, in your currency, by hand or beside a machine; left out, no money is told of work.",
        ),
        key(
            "machine_rate",
            Number,
            Optional,
            "What an hour of a machine's run costs besides whoever stands beside it; left out, nothing.",
        ),
        key("hours", Number, Default("6"), "How many hours of a day are worked."), // choice: what a day of eight leaves for the bench
        key(
            "first_article",
            Flag,
            Default("false"), // choice: an edition is planned by what it takes, and whoever tries one first says so
            "Whether the plan of an edition makes the first box whole, dried and tried, before the others are begun; `export --first-article` lays that box on sheets of its own and plans it so too.",
        ),
        key("press", Count, Default("12"), "How many boxes lie in the press, or under weights, at one time."), // choice: a stack of a dozen open boxes still stands
        key(
            "dry_covered",
            Number,
            Default("12"), // practice: overnight
            "How many hours a covered box dries under weight before it goes on.",
        ),
        key(
            "dry_lined",
            Number,
            Default("12"), // practice: overnight
            "How many hours a finished box stays in the press.",
        ),
        key(
            "dry_glued",
            Number,
            Default("1"), // practice: an hour
            "How many hours the ends of a strap, ribbons, or strips that cross, stay under a weight of their own.",
        ),
        key(
            "machine",
            List(&Number),
            Default("[10, 4]"), // choice: the table cleared and a blade set; a sheet laid on, its pieces taken off
            "Minutes beside a machine, besides its run: for each session, and for each sheet.",
        ),
        key(
            "tool_change",
            Number,
            Default("3"), // choice: a collet, a height set anew
            "Minutes for each change of a tool by hand; 0 where the machine changes it.",
        ),
        key("minutes", Shape::Table(&MINUTES), Default("{}"), MINUTES.about),
    ],
};

/// The keys stand in the order of `design::Step`.
pub(super) static MINUTES: Table = Table {
    about: "Minutes by hand of each step, two numbers: what a session of it takes whatever the number, and what each one takes.",
    keys: &[
        key("cut", List(&Number), Default("[10, 3]"), "To cut by hand: a session, each piece."), // choice: one to mark, two to cut
        key("slots_and_pockets", List(&Number), Default("[5, 6]"), "A session, each slot and each pocket."), // choice: a pocket is peeled in layers
        key("label_recess", List(&Number), Default("[5, 8]"), "To cut a label's recess: a session, each box."), // choice: as a pocket, wider
        key(
            "build_trays",
            List(&Number),
            Default("[10, 4]"), // choice: each held until it stands
            "To glue trays together: a session, each board of a tray.",
        ),
        key("cover_trays", List(&Number), Default("[10, 15]"), "To cover trays: a session, each tray."), // choice: four faces, a top, corners
        key("cover_undersides", List(&Number), Default("[5, 3]"), "To cover undersides: a session, each of them."), // choice: brush, lay, rub down
        key("mount_trays", List(&Number), Default("[5, 8]"), "To glue trays to their case: a session, each box."), // choice: two trays, set and weighted
        key("line_spine", List(&Number), Default("[5, 5]"), "To line the spine: a session, each box."), // choice: rubbed into two joints
        key("line_floors", List(&Number), Default("[5, 4]"), "To line floors: a session, each floor."), // choice: brush, lay, rub down
        key("line_covers", List(&Number), Default("[5, 4]"), "To line the covers of a case: a session, each cover."), // choice: as a floor
        key("mount_wrapper", List(&Number), Default("[5, 6]"), "To glue a wrapper to its case: a session, each box."), // choice: set true and weighted
        key("glue_label", List(&Number), Default("[2, 2]"), "To glue labels in: a session, each label."), // choice: paste, lay, rub down
        key(
            "line_boards",
            List(&Number),
            Default("[10, 4]"), // choice: brush, lay true to two edges, rub down
            "To line the boards of a slipcase: a session, each board.",
        ),
        key("build_case", List(&Number), Default("[10, 4]"), "To glue a slipcase together: a session, each board."), // choice: as a tray
        key("notch_strips", List(&Number), Default("[5, 4]"), "To line the edges of notches: a session, each notch."), // choice: small and slit
        key("cover_case", List(&Number), Default("[10, 25]"), "To cover a slipcase: a session, each case."), // choice: three sides, two ends of three flaps
        key("turn_mouth", List(&Number), Default("[5, 10]"), "To turn the cloth in at a mouth: a session, each case."), // choice: four edges, four corners
        key("crease", List(&Number), Default("[5, 1.5]"), "To press creases: a session, each crease."), // choice: set the edge, press twice
        key("lay_out", List(&Number), Default("[5, 10]"), "To lay out on the cloth: a session, each box."), // choice: boards drawn round with spacers
        key("glue_down", List(&Number), Default("[10, 2]"), "To glue the boards down: a session, each board."), // choice: brush, lay, rub down
        key("corner_cuts", List(&Number), Default("[2, 3]"), "To cut the cloth at free corners: a session, each box."), // choice: a few seconds a corner
        key("slits", List(&Number), Default("[2, 1]"), "A session, each slit."), // choice: measured where it stops
        key("patches", List(&Number), Default("[2, 2]"), "A session, each patch."), // choice: small and fiddly
        key("magnets", List(&Number), Default("[5, 3]"), "To glue magnets: a session, each magnet and each plate."), // choice: tried for its pole, glued, left to grip
        key("turn_in", List(&Number), Default("[5, 3]"), "To turn the cloth in: a session, each board."), // choice: two or three edges of each
        key("dry_covered", List(&Number), Default("[5, 1]"), "To put boxes under weight: a session, each box."), // choice: paper and boards between
        key(
            "sides",
            List(&Number),
            Default("[10, 6]"), // choice: pasted, laid to a line, turned in
            "To cover sides: a session, each piece of paper, strip and corner.",
        ),
        key("cross", List(&Number), Default("[5, 4]"), "To glue strips across: a session, each box."), // choice: squared with care
        key("strap", List(&Number), Default("[5, 8]"), "To try, cut and glue straps: a session, each strap."), // choice: two ends in two pockets
        key("ties", List(&Number), Default("[5, 4]"), "To cut and glue ribbons: a session, each ribbon."), // choice: half of a strap, which has two ends
        key("hinge_strips", List(&Number), Default("[5, 3]"), "To line the joints: a session, each hinge strip."), // choice: a lining of the spine without its two boards
        key(
            "fold_linings",
            List(&Number),
            Default("[5, 3]"), // choice: as the turn-in of a board
            "To fold the edges of linings under: a session, each lining.",
        ),
        key("liner", List(&Number), Default("[10, 6]"), "To line: a session, each piece of liner."), // choice: a cross is laid arm by arm
        key("press", List(&Number), Default("[5, 1]"), "To put boxes into the press: a session, each box."), // choice: as under weight
        key("fold", List(&Number), Default("[2, 1]"), "To fold creases: a session, each crease."), // choice: over a steel edge
        key(
            "inside",
            List(&Number),
            Default("[5, 4]"), // choice: brush, lay, rub down, as floors
            "What lies inside: a session, each piece, sheet and ribbon of it.",
        ),
        key("close", List(&Number), Default("[2, 3]"), "To fold, close and look over: a session, each box."), // choice: every joint worked once
    ],
};
