//! The lines that the owner writes into programs: placeholders, and words that would contradict
//! what the program means.

use super::Checking;
use super::codes::{self, When, words};
use super::place::place;
use crate::diag::Diagnostic;
use crate::doc::nearest;
use crate::profile::placeholder::{IN_CHANGE, IN_FRAME, IN_OFF, IN_ON, Part, Placeholder, fill, parts};
use crate::profile::{Comments, Tool, ToolChange, ToolKind};

/// Some lines, where they stand, and which placeholders they may hold.
struct Lines<'p> {
    key: String,
    lines: &'p [String],
    may: &'static [Placeholder],
    when: When,
}

pub(super) fn check(c: &mut Checking<'_>) {
    let p = c.profile();
    let o = &p.output;
    let mut all = vec![
        Lines { key: "output.start".into(), lines: &o.start, may: IN_FRAME, when: When::Start },
        Lines { key: "output.end".into(), lines: &o.end, may: IN_FRAME, when: When::End },
        Lines { key: "output.change".into(), lines: &o.change, may: IN_CHANGE, when: When::Change },
    ];
    for (i, tool) in p.tools.iter().enumerate() {
        all.push(Lines { key: format!("tool.{i}.on"), lines: &tool.on, may: IN_ON, when: When::Work });
        all.push(Lines { key: format!("tool.{i}.off"), lines: &tool.off, may: IN_OFF, when: When::Work });
    }
    for group in &all {
        for (n, line) in group.lines.iter().enumerate() {
            let at = place(c, &group.key, n);
            text(c, &at, line);
            braces(c, &at, line, group.may);
            if o.language.terms().has_words {
                codes::check(c, &at, line, group.when);
            }
        }
    }
    if o.language.terms().has_words {
        codes::start(c);
        changes(c);
        spindles(c);
    }
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
    if !o.language.terms().has_words {
        return;
    }
    // The lines of a change that never comes are written nowhere.
    let is_written = !at.starts_with("output.change") || c.profile().tools.len() > 1;
    if o.comments == Comments::None && is_written && line.contains(['(', ';']) {
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

/// A stop for a tool to be fitted says which: to the person, who cannot see a comment that the
/// controller does not read, and to `verify`, which has nothing else to go by.
fn changes(c: &mut Checking<'_>) {
    let p = c.profile();
    let o = &p.output;
    if o.tool_change != ToolChange::Pause || o.change.is_empty() || p.tools.len() < 2 {
        return;
    }
    let reads_comments = o.comments != Comments::None;
    let named = |tool: &Tool| -> Vec<String> {
        let filled = |line: &String| {
            fill(line, |p| match p {
                Placeholder::Tool => Some(tool.id.clone()),
                Placeholder::Number => Some(tool.number.to_string()),
                _ => None,
            })
        };
        let all = o.change.iter().map(filled);
        all.map(|line| if reads_comments { line } else { words(&line).join(" ") }).collect()
    };
    let lines: Vec<Vec<String>> = p.tools.iter().map(named).collect();
    let twins = lines
        .iter()
        .enumerate()
        .find_map(|(i, l)| (0..i).find(|j| lines[*j] == *l && p.tools[*j].id != p.tools[i].id).map(|j| (j, i)));
    let Some((a, b)) = twins.filter(|_| !reads_comments || p.tools.len() > 2) else { return };
    let message = if reads_comments {
        format!("the lines of a change are the same for {} and {}", c.tool_name(a), c.tool_name(b))
    } else {
        let what = "the program stops for another tool, and no word says which";
        format!("{what}: a comment is not read by this controller")
    };
    let hint = if reads_comments {
        "put {tool} into one of them: `M0 (fit {tool})`"
    } else {
        "say how the controller writes comments, put a word such as T{number} into `change`, or write \
         `tool_change = \"separate-files\"`, so that each file's name says its tool"
    };
    c.push(Diagnostic::error("no-tool-named", message).at("output.change").help(hint));
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
