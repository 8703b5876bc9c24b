//! How much is taken from a text that comes from outside: whoever sends more gets a clear error, in
//! bounded memory and time. Each limit is far above what a maker's work needs and says why it is
//! what it is.

/// Bytes of a job, a machine profile or the form of a coupon. The shipped ones have at most 8 KiB.
pub const TEXT_BYTES: u64 = 256 << 10;
/// Entries of one list or tables of one kind (`[[tool]]`) in such a file: caliper readings,
/// leftover sheets and tools come in tens.
pub const LIST_ENTRIES: usize = 1000;
/// Characters of one text in such a file. The longest are cautions of a few hundred.
pub const TEXT_LENGTH: usize = 2000;
/// Problems told of one file: nobody reads on, and each is shown with its line, which takes time in
/// proportion to the file.
pub const PROBLEMS: usize = 100;
/// Bytes of a maker's drawing or a sheet's: a DXF of 100,000 outlines has a third of it.
pub const DRAWING_BYTES: u64 = 128 << 20;
/// Bytes of a program: ten million lines are a little less.
pub const PROGRAM_BYTES: u64 = 256 << 20;
/// Bytes of all files of a folder that is proved.
pub const FOLDER_BYTES: u64 = 1 << 30;
/// Files of a folder that is proved.
pub const FOLDER_FILES: usize = 20_000;
/// Bytes of one row of a list: a longer one swallowed the rest behind an open quote.
pub const ROW_BYTES: u64 = 1 << 20;
/// Points of all pieces as they lie on one sheet that is proved: the fullest of an edition has a
/// twentieth of it.
pub const SHEET_POINTS: usize = 2_000_000;
/// Numbers of a manifest, mm or degrees, either way.
pub const MANIFEST_NUMBER: f64 = 1e6;
/// Characters of the maker's own words that a message repeats.
pub const QUOTED: usize = 60;

/// Things in a drawing (DXF), the vertices of old polylines counted each: the library that reads it
/// needs up to two kilobytes for each of them.
pub const DRAWING_THINGS: usize = 300_000;

/// Whether the text of a drawing holds more than [`DRAWING_THINGS`]: lines that are a lone 0 are the
/// group codes with which each begins (DXF reference, "group codes in numerical order").
pub fn has_too_many_things(drawing: &[u8]) -> bool {
    // A drawing in binary has a zero byte after its first line; the smallest thing in one takes
    // some sixteen bytes.
    if drawing.iter().take(64).any(|b| *b == 0) {
        return drawing.len() > 16 * DRAWING_THINGS;
    }
    // Group codes and values take lines by turns; a code is on every other, from the first.
    let codes = drawing.split(|b| *b == b'\n').step_by(2);
    codes.filter(|line| line.trim_ascii() == b"0").nth(DRAWING_THINGS).is_some()
}

/// So much of a text as a message repeats, for a text of unknown length.
pub fn quoted(text: &str) -> String {
    let mut chars = text.chars();
    let start: String = chars.by_ref().take(QUOTED).map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect();
    if chars.next().is_none() { start } else { format!("{start}...") }
}
