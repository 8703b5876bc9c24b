//! What `shop` reports.

use super::shared::{NUMBER, STOCKS, TEXT, format};
use super::table::Kind::{Count, Flag, List, Maybe, Number, Table as Of, Text, Word};
use super::table::{Kind, Table, field};

pub(super) static SHOP: Kind = Of(&Table {
    about: "All that a shop holds, after what was said of it; lengths in mm, times UTC in ISO 8601.",
    fields: &[
        format(),
        field("shop", Text, "Its file."),
        field("said", Maybe(&TEXT), "What was changed."),
        field("stocks", List(&STOCK), "The stocks."),
        field("machines", List(&TEXT), "The names of the machines that it knows."),
        field("cuts", List(&CUT), "What was cut, the last first."),
    ],
});

static STOCK: Kind = Of(&Table {
    about: "A stock.",
    fields: &[
        field("name", Text, "As a job names it."),
        field("kind", Word(STOCKS), "What it is."),
        field("thickness", Maybe(&NUMBER), "As it is sold."),
        field("measured", List(&MEASURE), "What was measured, the last first."),
        field("grain", Maybe(&TEXT), "Which way the grain of a sheet runs."),
        field("coating", Maybe(&TEXT), "What is known of a coating."),
        field("grammage", Maybe(&NUMBER), "Grams a square metre."),
        field("sheets", List(&SHEET), "Its whole sheets."),
        field("leftovers", List(&LEFTOVER), "What is left of others."),
    ],
});

static MEASURE: Kind = Of(&Table {
    about: "A thickness that was measured.",
    fields: &[field("thickness", Number, "By the caliper."), field("at", Text, "When.")],
});

static SHEET: Kind = Of(&Table {
    about: "Whole sheets of a size.",
    fields: &[
        field("width", Number, "Their width on the bed."),
        field("height", Number, "Their height on the bed."),
        field("on_hand", Count, "How many there are."),
        field("price", Maybe(&NUMBER), "What one costs."),
    ],
});

static LEFTOVER: Kind = Of(&Table {
    about: "A leftover.",
    fields: &[
        field("number", Count, "By which it is taken out."),
        field("width", Number, "Its width, the grain as in a whole sheet."),
        field("height", Number, "Its height."),
        field("source", Text, "Where it comes from."),
        field("at", Text, "Since when it is there."),
    ],
});

static CUT: Kind = Of(&Table {
    about: "A sheet that was cut.",
    fields: &[
        field("at", Text, "When it was said."),
        field("folder", Text, "The folder that it was cut from."),
        field("sheet", Text, "Its name there."),
        field("title", Text, "What the folder is of."),
        field("stock", Text, "The stock's name."),
        field("width", Number, "Its width."),
        field("height", Number, "Its height."),
        field("leftover", Flag, "Whether it was a leftover itself."),
    ],
});
