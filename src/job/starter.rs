//! The starter job: every setting, explained by the same sentences as the format itself.

use super::JOB;
use crate::doc::{Key, Need, Shape, Table};
use std::fmt::Write;

/// Columns that a comment fills.
const COLUMNS: usize = 92;

/// What the starter's own box says where the format has no default, or another value shows more.
/// A value that starts with `#` is written, but left out of the job.
const VALUES: &[(&str, &str)] = &[
    ("format", "1"),
    ("title", "\"Tideline folio\""),
    ("contents.width", "215"),
    ("contents.height", "302"),
    ("contents.depth", "[11.5, 12.0, 11.8]"),
    ("contents.size", "# \"A4\""),
    ("contents.landscape", "# false"),
    ("board.thickness", "2.5"),
    ("board.sheet.width", "700"),
    ("board.sheet.height", "1000"),
    ("board.price", "# 4.80"),
    ("board.size", "# [{ width = 800, height = 1200, price = 7.20 }]"),
    ("board.leftover", "# [{ width = 700, height = 310, count = 2 }]"),
    ("board.grammage", "# 1600"),
    ("cloth.thickness", "0.35"),
    ("cloth.sheet.width", "1000"),
    ("cloth.sheet.height", "1400"),
    ("cloth.price", "# 22.00"),
    ("cloth.size", "# [{ width = 1370, height = 2000, price = 41.00 }]"),
    ("cloth.leftover", "# [{ width = 1000, height = 720, count = 1 }]"),
    ("cloth.grammage", "# 210"),
    ("paper.price", "# 6.50"),
    ("paper.size", "# [{ width = 500, height = 700, price = 4.20 }]"),
    ("paper.leftover", "# [{ width = 500, height = 320, count = 1 }]"),
    ("paper.grammage", "# 120"),
    ("liner.thickness", "0.25"),
    ("liner.sheet.width", "1000"),
    ("liner.sheet.height", "1400"),
    ("liner.strip_lap", "# \"12 mm\""),
    ("liner.price", "# 9.50"),
    ("liner.size", "# [{ width = 1000, height = 2000, price = 13.50 }]"),
    ("liner.leftover", "# [{ width = 1000, height = 700, count = 1 }]"),
    ("liner.grammage", "# 120"),
    ("elastic.price", "# 0.60"),
    ("ties.N.price", "# 0.90"),
    ("glue.price", "# 9.00"),
    ("work.rate", "# 25.00"),
    ("work.machine_rate", "# 12.00"),
    ("inside.beside", "# [{ width = 148, height = 210, depth = 8 }]"),
    ("title_label.width", "90"),
    ("title_label.height", "35"),
    ("flap.left.tier", "3"),
    ("flap.left.reach", "\"97 %\""),
    ("flap.left.taper", "# 8"),
    ("flap.left.bow", "# \"12 mm\""),
    ("flap.left.corner_radius", "\"3 mm\""),
    ("flap.left.outline", "# \"lid.dxf\""),
    ("flap.left.layer", "# \"LID\""),
    ("flap.left.notch.width", "28"),
    ("flap.left.notch.depth", "9"),
    ("flap.right.tier", "2"),
    ("flap.right.reach", "\"60 %\""),
    ("flap.tail.tier", "1"),
    ("flap.tail.reach", "\"45 %\""),
    ("flap.head.tier", "1"),
    ("flap.head.reach", "\"45 %\""),
];

/// What the starter's own box says under a key, written as TOML, lengths in mm: also where it is left out
/// there. Of a lid that it has no figure for, what its left one says.
pub fn first_value(dotted: &str) -> Option<&'static str> {
    let of = |key: &str| VALUES.iter().find(|(k, _)| *k == key).map(|(_, v)| v.strip_prefix("# ").unwrap_or(v));
    of(dotted).or_else(|| {
        let (_, rest) = dotted.strip_prefix("flap.")?.split_once('.')?;
        of(&format!("flap.left.{rest}"))
    })
}

/// A job that reads without an error, with every setting of the format in it and explained.
pub fn starter() -> String {
    let mut text = String::from(
        "# A box for a stack of flat works. Every setting is here, with what it means and, where it\n\
         # may be left out, the value that stands for it. Measure your own stack and your own\n\
         # materials; the figures below are an example. A line that starts with # says nothing to\n\
         # the program: take the # away to use the setting behind it.\n\n",
    );
    write_table(&mut text, &JOB, "");
    text
}

fn write_table(text: &mut String, table: &Table, path: &str) {
    for key in table.keys.iter().filter(|k| !is_table(&k.shape)) {
        let dotted = if path.is_empty() { key.name.to_owned() } else { format!("{path}.{}", key.name) };
        comment(text, key.about);
        write_key(text, key, &dotted);
    }
    for key in table.keys.iter().filter(|k| is_table(&k.shape)) {
        let dotted = if path.is_empty() { key.name.to_owned() } else { format!("{path}.{}", key.name) };
        text.push('\n');
        comment(text, key.about);
        match &key.shape {
            Shape::Table(inner) if is_left_out(&dotted) => {
                let mut table = format!("[{dotted}]\n");
                write_table(&mut table, inner, &dotted);
                commented_out(text, &table);
            }
            Shape::Table(inner) => {
                let _ = writeln!(text, "[{dotted}]");
                write_table(text, inner, &dotted);
            }
            Shape::Named(names, inner) if is_left_out(&dotted) => {
                let mut table = format!("[{dotted}.{}]\n", names.first().unwrap_or(&"name"));
                write_table(&mut table, inner, &format!("{dotted}.N"));
                commented_out(text, &table);
            }
            Shape::Named(names, inner) => write_named(text, names, inner, &dotted),
            _ => {}
        }
    }
}

/// Every line of a table as a comment.
fn commented_out(text: &mut String, table: &str) {
    for line in table.lines() {
        let _ =
            writeln!(text, "{}", if line.starts_with('#') { line.to_owned() } else { format!("# {line}") }.trim_end());
    }
}

/// Tables that the starter's own box goes without: every line of them is a comment.
fn is_left_out(dotted: &str) -> bool {
    ["ties", "magnets", "window", "inside", "paper", "sides"].contains(&dotted)
}

/// The first of the named tables explains every key, the others give what has no default or a
/// value of the starter's own.
fn write_named(text: &mut String, names: &[&str], table: &Table, path: &str) {
    for (i, name) in names.iter().enumerate() {
        let dotted = format!("{path}.{name}");
        let _ = writeln!(text, "{}[{dotted}]", if i == 0 { "" } else { "\n" });
        if i == 0 {
            write_table(text, table, &dotted);
            continue;
        }
        for key in table.keys {
            let dotted = format!("{dotted}.{}", key.name);
            let has_own = VALUES.iter().any(|(k, _)| *k == dotted);
            if has_own || matches!(key.need, Need::Required) {
                write_key(text, key, &dotted);
            }
        }
    }
}

fn write_key(text: &mut String, key: &Key, dotted: &str) {
    let own = VALUES.iter().find(|(k, _)| *k == dotted).map(|(_, v)| *v);
    let example = key.example();
    let _ = match (own, &key.need) {
        (Some(value), _) => match value.strip_prefix("# ") {
            Some(value) => writeln!(text, "# {} = {value}", key.name),
            None => writeln!(text, "{} = {value}", key.name),
        },
        (None, Need::Default(value)) => writeln!(text, "{} = {value}", key.name),
        (None, _) => writeln!(text, "# {} = {}", key.name, example.unwrap_or_default()),
    };
}

fn is_table(shape: &Shape) -> bool {
    // A list of tables is shown as one line.
    matches!(shape, Shape::Table(_) | Shape::Named(..))
}

/// A sentence as comment lines.
fn comment(text: &mut String, about: &str) {
    let mut line = String::from("#");
    for word in about.split_whitespace() {
        if line.len() + 1 + word.len() > COLUMNS {
            text.push_str(&line);
            text.push('\n');
            line = String::from("#");
        }
        line.push(' ');
        line.push_str(word);
    }
    text.push_str(&line);
    text.push('\n');
}
