//! The lines that the owner writes into programs: placeholders, and words that would contradict
//! what the program means.

use super::Checking;
use crate::diag::Diagnostic;
use crate::doc::nearest;
use crate::profile::placeholder::{IN_CHANGE, IN_FRAME, IN_OFF, IN_ON, Part, Placeholder, parts};
use crate::profile::{Comments, Language, ToolKind};

/// Some lines, where they stand, and which placeholders they may hold.
struct Lines<'p> {
    key: String,
    lines: &'p [String],
    may: &'static [Placeholder],
}

pub(super) fn check(c: &mut Checking<'_>) {
    let p = c.profile();
    let o = &p.output;
    let mut all = vec![
        Lines { key: "output.start".into(), lines: &o.start, may: IN_FRAME },
        Lines { key: "output.end".into(), lines: &o.end, may: IN_FRAME },
        Lines { key: "output.change".into(), lines: &o.change, may: IN_CHANGE },
    ];
    for (i, tool) in p.tools.iter().enumerate() {
        all.push(Lines { key: format!("tool.{i}.on"), lines: &tool.on, may: IN_ON });
        all.push(Lines { key: format!("tool.{i}.off"), lines: &tool.off, may: IN_OFF });
    }
    for group in &all {
        for (n, line) in group.lines.iter().enumerate() {
            let at = place(c, &group.key, n);
            text(c, &at, line);
            braces(c, &at, line, group.may);
            if o.language == Language::Gcode {
                codes(c, &at, line);
            }
        }
    }
    match o.language {
        Language::Gcode => {
            start(c);
            spindles(c);
        }
        Language::Hpgl => hpgl(c),
    }
}

/// The line itself, or its list when it is a default.
fn place(c: &Checking<'_>, key: &str, n: usize) -> String {
    let line = format!("{key}.{n}");
    if c.doc.places.has(&line) { line } else { key.to_owned() }
}

fn text(c: &mut Checking<'_>, at: &str, line: &str) {
    let o = &c.profile().output;
    if !line.chars().all(|ch| ch.is_ascii_graphic() || ch == ' ') {
        let d = Diagnostic::error("bad-line", "a line of a program holds a tab, a line end or a letter beyond ASCII");
        c.push(d.at(at).help("one line for each text in the list; controllers read plain letters only"));
    }
    let length = line.chars().count();
    if o.line_limit > 0 && length > o.line_limit as usize {
        let message = format!("this line has {length} characters, and the controller takes {}", o.line_limit);
        c.push(Diagnostic::error("long-line", message).at(at).help("split it into two texts of the list"));
    }
    if o.language == Language::Hpgl {
        return;
    }
    if o.comments == Comments::None && line.contains(['(', ';']) {
        let d =
            Diagnostic::warning("comment", "this line holds a comment, and `comments` says the controller reads none");
        c.push(d.at(at).help("take the comment out, or say how comments are written"));
    }
    let before = line.split(';').next().unwrap_or_default();
    if before.matches('(').count() != before.matches(')').count() {
        let d = Diagnostic::error("open-comment", "a comment in this line is not closed, or closed without being open");
        c.push(d.at(at).help("a comment stands in ( and ), all in one line"));
    }
}

fn braces(c: &mut Checking<'_>, at: &str, line: &str, may: &[Placeholder]) {
    let list = |all: &[Placeholder]| all.iter().map(|p| format!("{{{}}}", p.word())).collect::<Vec<_>>().join(", ");
    for part in parts(line) {
        let d = match part {
            Part::Text(_) => continue,
            Part::Named(_, Some(p)) if may.contains(&p) => {
                if p == Placeholder::SafeZ && !c.profile().machine.z_axis {
                    let d = Diagnostic::error("no-z-axis", "{safe_z} has no meaning on a machine without a Z axis");
                    c.push(d.at(at).help("take it out"));
                }
                continue;
            }
            Part::Named(name, Some(_)) => {
                let message = format!("{{{name}}} is not known in these lines");
                Diagnostic::error("placeholder", message).help(format!("here may stand {}", list(may)))
            }
            Part::Named(name, None) => {
                let d = Diagnostic::error("placeholder", format!("{{{name}}} stands for nothing"));
                match nearest(name, may.iter().map(|p| p.word())) {
                    Some(near) => d.help(format!("did you mean {{{near}}}?")),
                    None => d.help(format!("here may stand {}", list(may))),
                }
            }
            Part::Stray(text) => {
                let brace = if text.starts_with('{') { "opens and is never closed" } else { "closes nothing" };
                let message = format!("a brace {brace} at `{text}`");
                Diagnostic::error("placeholder", message).help("a placeholder is a name in braces: {tool}")
            }
        };
        c.push(d.at(at));
    }
}

/// Words that change what the program's numbers mean.
const CONTRADICTIONS: &[(&str, &str, &str)] = &[
    ("G20", "G20 makes the controller read inches, and programs are in mm", "write G21"),
    ("G91", "G91 makes coordinates relative, and programs are absolute", "write G90"),
    ("G93", "G93 makes F a time, and programs give speeds in mm/min", "write G94"),
    ("G95", "G95 makes F a feed per turn, and programs give speeds in mm/min", "write G94"),
    ("G18", "G18 turns arcs out of the bed's plane", "write G17"),
    ("G19", "G19 turns arcs out of the bed's plane", "write G17"),
    ("G41", "G41 moves the path sideways, which has already been done", "write G40"),
    ("G42", "G42 moves the path sideways, which has already been done", "write G40"),
];

fn codes(c: &mut Checking<'_>, at: &str, line: &str) {
    let words = words(line);
    for (code, why, hint) in CONTRADICTIONS {
        if words.iter().any(|w| w == code) {
            c.push(Diagnostic::error("contradiction", *why).at(at).help(*hint));
        }
    }
}

fn start(c: &mut Checking<'_>) {
    let start: Vec<String> = c.profile().output.start.iter().flat_map(|l| words(l)).collect();
    for (code, what) in [("G21", "that numbers are mm"), ("G90", "that coordinates are absolute")] {
        let contrary = if code == "G21" { "G20" } else { "G91" };
        if !start.iter().any(|w| w == code || w == contrary) {
            let message = format!("nothing in `start` says {what} ({code})");
            let d = Diagnostic::warning("no-mode", message).at("output.start");
            c.push(d.help(format!("write {code} into the first line; a controller keeps what the last program left")));
        }
    }
}

/// Spindles: never with a drag knife, and never left running.
fn spindles(c: &mut Checking<'_>) {
    let p = c.profile();
    let starts = |line: &String| words(line).iter().any(|w| w == "M3" || w == "M4");
    let stops = |line: &String| words(line).iter().any(|w| w == "M5");
    for (i, tool) in p.tools.iter().enumerate() {
        if !c.draft.tool_known[i] {
            continue;
        }
        let first = tool.on.iter().position(starts);
        if let Some(n) = first
            && tool.kind == ToolKind::DragKnife
        {
            let message = format!("{} is a drag knife, and a drag knife never has a spindle running", c.tool_name(i));
            let d = Diagnostic::error("spindle-on-drag-knife", message).at(format!("tool.{i}.on.{n}"));
            c.push(d.help("take M3 and M4 out; a servo or solenoid is moved by a word of its own, M280 or M64 say"));
        } else if let Some(n) = first
            && !tool.off.iter().any(stops)
        {
            let message = format!("{} is started by M3 or M4, and no `off` line stops it", c.tool_name(i));
            let d = Diagnostic::error("never-stopped", message).at(format!("tool.{i}.on.{n}"));
            c.push(d.help("write `off = [\"M5\"]`"));
        }
    }
    let drag = p.tools.iter().enumerate().any(|(i, t)| c.draft.tool_known[i] && t.kind == ToolKind::DragKnife);
    for (key, lines) in [("output.start", &p.output.start), ("output.change", &p.output.change)] {
        if let Some(n) = lines.iter().position(starts).filter(|_| drag) {
            let d = Diagnostic::error(
                "spindle-on-drag-knife",
                "a drag knife never has a spindle running, and this line starts one",
            );
            let at = place(c, key, n);
            c.push(d.at(at).help("start a spindle in the `on` lines of the tool that needs it"));
        }
    }
    let any = p.tools.iter().any(|t| t.on.iter().any(starts));
    if any && !p.output.end.iter().any(stops) {
        let d = Diagnostic::warning("never-stopped", "no line of `end` makes sure that the spindle or beam is off");
        c.push(d.at("output.end").help("write M5 into the first of them"));
    }
}

/// Lines of another language.
fn hpgl(c: &mut Checking<'_>) {
    let p = c.profile();
    for (key, lines, good) in [("start", &p.output.start, "[\"IN;\"]"), ("end", &p.output.end, "[\"PU;\", \"SP0;\"]")] {
        let foreign = |l: &String| words(l).iter().any(|w| w.len() > 1 && w.starts_with(['G', 'M']));
        if let Some(n) = lines.iter().position(foreign) {
            let d = Diagnostic::error("not-in-hpgl", format!("a line of `{key}` is G-code: `{}`", lines[n]));
            let at = place(c, &format!("output.{key}"), n);
            c.push(d.at(at).help(format!("write `{key} = {good}`")));
        }
    }
}

/// The words of a line of G-code, comments left out, in capitals and without leading zeros: `G1`,
/// `M3`, `S8000`; a placeholder leaves its letter alone.
fn words(line: &str) -> Vec<String> {
    let mut all = Vec::new();
    let mut in_comment = false;
    let mut word = String::new();
    for ch in line.chars().chain([' ']) {
        match ch {
            '(' => in_comment = true,
            ')' => in_comment = false,
            _ if in_comment => {}
            ';' => break,
            '0'..='9' | '.' | '-' | '+' if !word.is_empty() => word.push(ch),
            // Blanks mean nothing in G-code: `G 21` is G21.
            ' ' => {}
            _ => {
                all.push(std::mem::take(&mut word));
                if ch.is_ascii_alphabetic() {
                    word.push(ch.to_ascii_uppercase());
                }
            }
        }
    }
    all.push(word);
    all.retain(|w| !w.is_empty());
    for w in &mut all {
        let value = w[1..].trim_start_matches('0');
        *w = if value.is_empty() && w.len() > 1 { format!("{}0", &w[..1]) } else { format!("{}{value}", &w[..1]) };
    }
    all
}

#[cfg(test)]
mod tests {
    use super::words;

    #[test]
    fn words_are_read_as_a_controller_reads_them() {
        // NIST RS274/NGC 3.3.2: blanks and the case of letters mean nothing, numbers may have leading zeros.
        assert_eq!(words("g21 G 90"), ["G21", "G90"]);
        assert_eq!(words("M03S8000 (M5)"), ["M3", "S8000"]);
        assert_eq!(words("M4 S{power} ; M5"), ["M4", "S", "P", "O", "W", "E", "R"]);
        assert_eq!(words("G00X-1.5"), ["G0", "X-1.5"]);
        assert!(words("(fit M3 wheel)").is_empty());
    }
}
