//! The instructions of HP-GL in the lines that the owner writes: those after which a place still
//! means what it did, and the pen is where the plot believes it to be (what each does in HP-GL: from memory).

use super::Checking;
use super::codes::words;
use super::place::place;
use crate::diag::Diagnostic;
use crate::profile::ToolChange;

/// Instructions that leave places and pen alone: begin, defaults, pen, pen up, absolute, speed, force,
/// acceleration.
const HARMLESS: [&str; 8] = ["IN", "DF", "SP", "PU", "PA", "VS", "FS", "AS"];

pub(super) fn check(c: &mut Checking<'_>) {
    let o = &c.profile().output;
    let groups = [
        ("start", &o.start, "write `start = [\"IN;\"]`"),
        ("change", &o.change, "write `change = []`"),
        ("end", &o.end, "write `end = [\"PU;\", \"SP0;\"]`"),
    ];
    for (key, lines, good) in groups {
        // Lines of a change are written where the plotter changes pens by itself.
        if key == "change" && o.tool_change != ToolChange::Automatic {
            continue;
        }
        for (n, line) in lines.iter().enumerate() {
            let at = place(c, &format!("output.{key}"), n);
            if words(line).iter().any(|w| w.len() > 1 && w.starts_with(['G', 'M'])) {
                let d = Diagnostic::error("not-in-hpgl", format!("a line of `{key}` is G-code: `{line}`"));
                c.push(d.at(at).help(good));
                continue;
            }
            for instruction in instructions(line) {
                if let Some(why) = wrong(key, &instruction) {
                    let message = format!("`{instruction}` {why}");
                    c.push(Diagnostic::error("contradiction", message).at(at.clone()).help(good));
                }
            }
        }
    }
}

/// Why an instruction cannot stand in these lines.
fn wrong(key: &str, instruction: &str) -> Option<&'static str> {
    let (word, numbers) = (instruction.get(..2).unwrap_or(instruction), instruction.get(2..).unwrap_or(""));
    if !HARMLESS.contains(&word) {
        return Some("draws, or changes what the plot's places mean, or is none that `verify` follows");
    }
    if matches!(word, "PU" | "PA") && !numbers.trim().is_empty() && key != "start" {
        return Some("moves the pen without the plot's knowing; where it rests is said by `machine.park`");
    }
    (word == "VS" && key == "change").then_some("sets a speed that the plot does not know of")
}

/// The instructions of a line, in capitals.
fn instructions(line: &str) -> impl Iterator<Item = String> {
    line.split(';').map(str::trim).filter(|i| !i.is_empty()).map(str::to_ascii_uppercase)
}
