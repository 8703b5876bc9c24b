//! Tools: each by itself, and as a set.

use super::Checking;
use crate::diag::Diagnostic;
use crate::profile::{Lift, Tool, ToolChange, ToolKind};
use crate::units::{Length, mm};

pub(super) fn check(c: &mut Checking<'_>) {
    let p = c.profile();
    if p.tools.is_empty() {
        let d = Diagnostic::error("no-tools", "the machine has no tool").at("tool");
        c.push(d.help("add a [[tool]] with its `id` and `kind`"));
    }
    for (i, tool) in p.tools.iter().enumerate() {
        id(c, i, tool);
        lift(c, i, tool);
        if c.draft.tool_known[i] {
            kind(c, i, tool);
            no_effect(c, i, tool);
        }
    }
}

fn id(c: &mut Checking<'_>, i: usize, tool: &Tool) {
    let p = c.profile();
    let at = format!("tool.{i}.id");
    if !c.doc.has(&at) {
        return;
    }
    // It stands in file names and in comments of programs.
    let plain = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-';
    if tool.id.is_empty() || tool.id.len() > 32 || !tool.id.bytes().all(plain) {
        let d = Diagnostic::error("bad-id", format!("`{}` cannot be a tool's id", tool.id)).at(at.clone());
        c.push(d.help("small letters, digits and hyphens, 32 at most: `crease-wheel`"));
    }
    if let Some(first) = p.tools[..i].iter().position(|t| t.id == tool.id && !t.id.is_empty()) {
        let message = format!("tools {} and {} are both called `{}`", first + 1, i + 1, tool.id);
        c.push(Diagnostic::error("tool-twice", message).at(at).help("rules name a tool by its id; give each its own"));
    }
    let changer = p.output.tool_change == ToolChange::Automatic;
    if changer && let Some(first) = p.tools[..i].iter().position(|t| t.number == tool.number) {
        let (a, b) = (c.tool_name(first), c.tool_name(i));
        let message = format!("{a} and {b} both have number {}, and the machine changes tools by number", tool.number);
        let d = Diagnostic::error("number-twice", message).at(format!("tool.{i}.number"));
        c.push(d.help("give each tool the number of its place in the changer"));
    }
}

fn lift(c: &mut Checking<'_>, i: usize, tool: &Tool) {
    let p = c.profile();
    let name = c.tool_name(i);
    let at = format!("tool.{i}.lift");
    if tool.lift == Lift::Z && !p.machine.z_axis && c.doc.has(&at) {
        let d = Diagnostic::error("no-z-axis", format!("{name} is lifted by the Z axis, and the machine has none"));
        c.push(d.at(at.clone()).help("write `lift = \"words\"` and the lines that lower and raise it"));
    }
    // HP-GL lowers and raises the pen by words of its own.
    if tool.lift == Lift::Words && !p.output.language.terms().lifts {
        for (key, lines, does) in [("on", &tool.on, "lowers"), ("off", &tool.off, "raises")] {
            let at = format!("tool.{i}.{key}");
            if lines.is_empty() && c.doc.len(&at) == 0 && c.doc.has(&at) {
                let d = Diagnostic::error(
                    "no-lift-words",
                    format!("{name} is lifted by its words, and no `{key}` line {does} it"),
                );
                c.push(d.at(at).help(format!("write `{key} = [\"...\"]` with the controller's word for it")));
            }
        }
    }
}

fn kind(c: &mut Checking<'_>, i: usize, tool: &Tool) {
    let p = c.profile();
    let name = c.tool_name(i);
    let at = |key: &str| format!("tool.{i}.{key}");
    if tool.kind.cuts() && tool.max_depth == mm(0.0) {
        let d = Diagnostic::error("no-max-depth", format!("{name} cuts, and its `max_depth` is 0"));
        c.push(
            d.at(at("max_depth"))
                .help("say how deep it may cut: the blade's free length, or what the beam gets through"),
        );
    }
    if tool.swivel_depth.is_some_and(|s| s > tool.max_depth) && tool.max_depth > mm(0.0) {
        let d = Diagnostic::error("swivel-too-deep", format!("{name} would swivel deeper than it may cut"));
        c.push(d.at(at("swivel_depth")).help(format!("stay under `max_depth`, {}", tool.max_depth)));
    }
    match tool.kind {
        ToolKind::DragKnife if tool.pivot_offset == mm(0.0) => {
            let d = Diagnostic::error(
                "no-pivot-offset",
                format!("{name} is a drag knife whose tip does not trail its pivot"),
            );
            // From memory.
            c.push(
                d.at(at("pivot_offset"))
                    .help("measure it: 0.2 to 1 mm in small holders, 3 to 6 mm in holders for thick board"),
            );
        }
        ToolKind::TangentialKnife if p.output.rotary.is_none() && p.output.language.terms().has_words => {
            let message = format!("{name} is turned by the machine, and `output.rotary` names no axis that turns it");
            let d = Diagnostic::error("no-rotary", message).at(at("kind"));
            c.push(d.help("write `rotary = \"C\"` under [output], with the word of that axis"));
        }
        ToolKind::Beam if tool.lift == Lift::Z => {
            let d = Diagnostic::error("beam-lift", format!("{name} is a beam, which no Z axis can take off the stock"));
            c.push(d.at(at("lift")).help("write `lift = \"words\"` and its `on` and `off` lines"));
        }
        ToolKind::Router if tool.kerf == mm(0.0) => {
            let d = Diagnostic::error("no-bit-diameter", format!("{name} is a router bit without a diameter"));
            c.push(d.at(at("kerf")).help("write the bit's diameter as `kerf`"));
        }
        ToolKind::Router if tool.lift == Lift::Words => {
            let d =
                Diagnostic::error("router-lift", format!("{name} is a router bit, which must be lowered by a Z axis"));
            c.push(d.at(at("lift")).help("leave `lift` out; its `on` and `off` lines only start and stop the spindle"));
        }
        ToolKind::Router if tool.on.is_empty() => {
            let d = Diagnostic::warning("spindle-by-hand", format!("no line starts the spindle of {name}"));
            c.push(d.at(at("kind")).help("write `on = [\"M3 S{speed}\"]`, or start it by hand before every program"));
        }
        _ => {}
    }
}

/// Keys that say something about other kinds of tool.
fn no_effect(c: &mut Checking<'_>, i: usize, tool: &Tool) {
    use ToolKind::{CreaseWheel, DragKnife, TangentialKnife};
    let steered: &[ToolKind] = &[DragKnife, TangentialKnife, CreaseWheel];
    let only: [(&str, Length, &[ToolKind]); 3] = [
        ("pivot_offset", tool.pivot_offset, &[DragKnife, CreaseWheel]),
        ("edge_angle", mm(tool.edge_angle.to_deg()), &[DragKnife, TangentialKnife]),
        ("start_heading", mm(tool.start_heading.to_deg()), steered),
    ];
    for (key, value, kinds) in only {
        if value.abs() > mm(0.0) && !kinds.contains(&tool.kind) {
            let message = format!("`{key}` means nothing for {}, a {}", c.tool_name(i), tool.kind.name());
            c.push(Diagnostic::warning("no-effect", message).at(format!("tool.{i}.{key}")).help("leave it out"));
        }
    }
    if tool.swivel_depth.is_some() && (tool.kind != DragKnife || tool.lift == Lift::Words) {
        let message = format!(
            "`swivel_depth` means nothing for {}: only a drag knife on a Z axis swivels shallow",
            c.tool_name(i)
        );
        c.push(Diagnostic::warning("no-effect", message).at(format!("tool.{i}.swivel_depth")).help("leave it out"));
    }
}
