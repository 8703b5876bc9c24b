//! The JSON of a list: `batch.json`, what `batch` reports, and the records of its lots and rows.

use super::shared::{
    BILL, COUNT, DIAGNOSTIC, FIT, NUMBER, PROGRAM, SAVING, SEVERITIES, SIZE, STOCKS, TAKES, TEXT, format,
};
use super::table::Kind::{Count, Flag, Keyed, List, Maybe, Number, Table as Of, Text, Word};
use super::table::{Kind, Table, field, sometimes};

static TEXTS: Kind = List(&TEXT);

pub(super) static BATCH: Kind = Of(&Table {
    about: "A whole list; while it is worked only what stands before `items` is there.",
    fields: &[
        format(),
        field("batch", Text, "What the list is called."),
        field("list", Text, "The file that it was read from."),
        field("finished", Flag, "Whether all lots are there."),
        sometimes("items", Count, "How many rows."),
        sometimes("made", Count, "How many of them are made."),
        sometimes("takes", Kind::Same(&TAKES), "What all of them take."),
        sometimes("lots", List(&LOT_OF), "The lots."),
    ],
});

static LOT_OF: Kind = Of(&Table {
    about: "A lot: rows that share sheets.",
    fields: &[
        field("lot", Count, "Which, from 1."),
        field("folder", Maybe(&TEXT), "Its folder; null where every row of it is refused and there is nothing to cut."),
        field("cut", Flag, "Whether something of it is cut, so that no run changes it."),
        field("takes", Kind::Same(&TAKES), "What it takes."),
        field("items", List(&ROW), "Its rows."),
        field("sheets", List(&SHEET_OF), "Its sheets."),
        field("savings", List(&SAVING), "What would save stock of it; looked for in the first lot that is not cut."),
        field("problems", List(&PROBLEM), "What was said of it."),
    ],
});

static SHEET_OF: Kind = Of(&Table {
    about: "A sheet of a lot.",
    fields: &[
        field("id", Text, "Its name."),
        field("programs", List(&PROGRAM), "Its programs."),
        sometimes("leftover_of", List(&TEXT), "For each such sheet what it is left of, where it is no whole one."),
    ],
});

static ROW: Kind = Of(&Table {
    about: "A row.",
    fields: &[
        field("row", Count, "Its line in the list, the header being 1; 0 for one that is cut and no longer there."),
        field("id", Text, "Its id."),
        field("title", Text, "What it is called."),
        field("copies", Count, "How many boxes."),
        sometimes("first_copy", Count, "The number of the first of them, where others were cut before."),
        field("made_from", Text, "SHA-256 of what the row says of its pieces; empty for a row that is refused."),
        field("pieces", Text, "SHA-256 of its pieces."),
        field("made", Flag, "Whether it is made; a refused row has a problem that says why."),
        field("holds", Maybe(&SIZE), "Width, height and depth of what it holds, mm."),
        field("interior", Maybe(&SIZE), "Width, height and depth inside, mm."),
        field("exterior", Maybe(&SIZE), "Width, height and depth of the closed box, mm."),
        field("joint", Maybe(&NUMBER), "What the spacer is cut to, mm."),
        field("strap", Maybe(&NUMBER), "What each elastic is cut to, mm."),
        field("weight_g", Maybe(&NUMBER), "Of one box, grams."),
        field("cost", Maybe(&NUMBER), "Its share of the stock's cost, by area."),
        field("seconds", Maybe(&NUMBER), "Its share of the machines' time, by length worked."),
        field(
            "minutes",
            Maybe(&NUMBER),
            "Minutes of work for all of its boxes, by hand and beside machines, an estimate.",
        ),
        field(
            "in_all",
            Maybe(&NUMBER),
            "What all of its boxes cost; null where the job has no price but those of its stocks, or lacks one.",
        ),
        field("sheets", Keyed(STOCKS, &TEXTS), "The sheets that its pieces lie on, by stock."),
    ],
});

static PROBLEM: Kind = Of(&Table {
    about: "One thing that is said of a list.",
    fields: &[
        field("row", Maybe(&COUNT), "The row, the header being 1; null for a sheet that several share."),
        field("id", Text, "The row's id."),
        field("column", Maybe(&TEXT), "The column that it lies in."),
        field("place", Maybe(&TEXT), "Where else: a line of the job, a sheet of a lot."),
        field("severity", Word(SEVERITIES), "How grave it is."),
        field("code", Text, "A short stable name of the kind of thing."),
        field("message", Text, "What is wrong, in the job's unit."),
        field("hint", Maybe(&TEXT), "What to do."),
        sometimes("key", Text, "The key of the job that it is about."),
        sometimes("weight", Number, "How bad it is among others of its code and key."),
        sometimes("words", Kind::Same(&WORDS), "What is said of many of them."),
    ],
});

static WORDS: Kind = Of(&Table {
    about: "What many have in common, and the worst of them.",
    fields: &[
        field("common", Text, "The cause, with {} where it is said how many they are."),
        field("worst", Text, "What is said of the worst."),
    ],
});

pub(super) static REPORT: Kind = Of(&Table {
    about: "What a run over a list reports; of one that was refused, what is wrong and no more.",
    fields: &[
        format(),
        sometimes("title", Text, "What the list is called."),
        field("folder", Maybe(&TEXT), "The folder that was written; null where nothing was."),
        sometimes("items", Count, "How many rows."),
        sometimes("made", Count, "How many of them are made."),
        sometimes("lots", Count, "How many lots there are with something to cut."),
        sometimes("shard", Text, "Which share of the lots it worked, where it was one, 3/8."),
        sometimes("lots_kept", Count, "How many of them were there already."),
        sometimes("lots_cut", Count, "How many of them are cut or begun."),
        sometimes("takes", Kind::Same(&TAKES), "What all of them take."),
        sometimes("errors", Count, "How many errors in all."),
        sometimes("savings", List(&SAVING), "What would save stock, in the first lot that is not cut."),
        sometimes("changes", List(&CHANGE), "What differs from the run that was in the folder before."),
        sometimes("diagnostics", List(&DIAGNOSTIC), "What was said of the machines."),
        field("problems", List(&CAUSE), "What is wrong, by its causes, gravest first."),
    ],
});

static CAUSE: Kind = Of(&Table {
    about: "What several rows have in common.",
    fields: &[
        field("first", Kind::Same(&PROBLEM), "Where it was met first."),
        field("worst", Kind::Same(&PROBLEM), "Where it is worst."),
        field("others", Count, "In how many rows or sheets it is besides."),
    ],
});

pub(super) static LOT: Kind = Of(&Table {
    about: "A lot as it was made: by it a later run knows what has not changed.",
    fields: &[
        format(),
        field("lot", Count, "Which, from 1."),
        field("made_from", Text, "SHA-256 of all that it was made from."),
        field("parts", Kind::Same(&PARTS), "The same part by part."),
        field("items", List(&ROW), "Its rows."),
        field("problems", List(&PROBLEM), "What was said of it."),
        field("sheets", List(&SHEET), "Its sheets."),
        field("savings", List(&SAVING), "What would save stock of it; looked for in the first lot that is not cut."),
        field("takes", Kind::Same(&TAKES), "What it takes."),
    ],
});

static PARTS: Kind = Of(&Table {
    about: "What a lot was made from, by which a later run tells what has changed.",
    fields: &[
        field("program", Text, "The program's version."),
        field("job", Text, "SHA-256 of the job with its drawings."),
        field("machines", List(&PART), "The machines."),
        field("kerf", Text, "The kerf as it was given; empty without one."),
        field("options", Text, "SHA-256 of the other options."),
        field("leftovers", Text, "SHA-256 of the leftovers that it may take; empty where it may take none."),
        field("rows", List(&PART), "The rows."),
    ],
});

static PART: Kind = Of(&Table {
    about: "One of several parts.",
    fields: &[field("id", Text, "The machine's or the row's id."), field("sha256", Text, "SHA-256 of what it says.")],
});

static CHANGE: Kind = Of(&Table {
    about: "A lot whose sheets differ from those of the run before.",
    fields: &[
        field("lot", Count, "Which."),
        field("sheets", List(&TEXT), "The sheets that differ."),
        field("why", List(&REASON), "Why."),
    ],
});

static REASON: Kind = Of(&Table {
    about: "A reason for a change.",
    fields: &[
        field("what", Text, "What happened, as in changes.csv."),
        field("which", Text, "The row or the machine that it happened to; empty where it is of all."),
    ],
});

static SHEET: Kind = Of(&Table {
    about: "A sheet with its files.",
    fields: &[
        field("id", Text, "Its name."),
        field("made_from", Text, "SHA-256 of all that its files were made from."),
        field("files", List(&TEXT), "Its files."),
        field("size", Kind::Row(2, &NUMBER), "Its width and height, mm."),
        field("count", Count, "How many of it are cut alike."),
        sometimes("offcut", Kind::Same(&OFFCUT), "What of each such sheet can be kept."),
        sometimes("leftover_of", List(&TEXT), "For each such sheet what it is left of, where it is no whole one."),
        field("programs", List(&PROGRAM), "Its programs."),
        field("problems", List(&PROBLEM), "What was said of it."),
    ],
});

static OFFCUT: Kind = Of(&Table {
    about: "What of a sheet can be kept.",
    fields: &[
        field("stock", Text, "SHA-256 of what makes two stocks the same material."),
        field("width", Number, "Its width, whole mm."),
        field("height", Number, "Its height, whole mm."),
    ],
});

pub(super) static ITEM: Kind = Of(&Table {
    about: "A row's own file: its fit, its pieces and where they lie.",
    fields: &[
        format(),
        field("item", Kind::Same(&ROW), "The row."),
        field("fit", Kind::Same(&FIT), "Its measures."),
        field("bill", Kind::Same(&BILL), "What one box takes."),
        field("pieces", List(&PIECE), "Its pieces."),
    ],
});

static PIECE: Kind = Of(&Table {
    about: "A piece of a row.",
    fields: &[
        field("id", Text, "Its name, the row's id before it."),
        field("stock", Word(STOCKS), "What it is cut from."),
        field("count", Count, "How many all copies need."),
        field("width", Number, "The width of the rectangle round it, mm."),
        field("height", Number, "Its height, mm."),
        field("sheets", List(&TEXT), "The sheets that it lies on."),
    ],
});
