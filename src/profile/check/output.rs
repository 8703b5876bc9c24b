//! How programs are written: what the language can say, and what a line can hold.

use super::{Checking, plotter};
use crate::diag::Diagnostic;
use crate::profile::{ArcCentres, BedPlace, Comments, Language, ProgramUnit, ToolChange, ToolKind, Way};
use crate::units::{Length, decimal};

/// Words that an axis can have besides X, Y and Z (NIST RS274/NGC has A, B, C; other controllers
/// add U, V, W).
const ROTARY_WORDS: &[&str] = &["A", "B", "C", "U", "V", "W"];

/// Some HP-GL devices clamp at so many steps (from memory).
const HPGL_CLAMP: f64 = 32_767.0;
/// The coarsest step of an arc's centre by which its two radii agree as controllers check them, mm:
/// four decimals of an inch. By NIST RS274/NGC 3.5.3 they agree within 0.002 mm, or 0.0002 inch;
/// small controllers check by 0.005 mm (from memory).
const ARC_STEP: f64 = 0.0026;

pub(super) fn check(c: &mut Checking<'_>) {
    extension(c);
    rotary(c);
    match c.profile().output.language {
        Language::Gcode => gcode(c),
        Language::Hpgl => {
            hpgl(c);
            plotter::check(c);
        }
    }
}

fn extension(c: &mut Checking<'_>) {
    let e = &c.profile().output.extension;
    if c.doc.has("output.extension") && (e.is_empty() || e.len() > 8 || !e.bytes().all(|b| b.is_ascii_alphanumeric())) {
        let d = Diagnostic::error("bad-extension", format!("`{e}` cannot be a file's extension"));
        c.push(d.at("output.extension").help("letters and digits without the dot, `nc` say"));
    }
}

fn rotary(c: &mut Checking<'_>) {
    let p = c.profile();
    let Some(word) = &p.output.rotary else { return };
    if !ROTARY_WORDS.contains(&word.as_str()) {
        let d = Diagnostic::error("bad-rotary", format!("`{word}` is not the word of a rotary axis"));
        let hint = format!("it is one of {}; leave the key out where there is no such axis", ROTARY_WORDS.join(", "));
        c.push(d.at("output.rotary").help(hint));
    }
    if p.output.rotary_scale.abs() < 1e-9 {
        let d = Diagnostic::error("out-of-range", "`rotary_scale` is 0: the blade would never turn");
        c.push(d.at("output.rotary_scale").help("1 for degrees counter-clockwise, -1 for degrees clockwise"));
    }
    let limit = p.machine.rotary_limit.to_deg();
    if limit > 0.0 && limit < 180.0 {
        let message =
            format!("the axis turns {} degrees either way, which leaves headings it never reaches", decimal(limit, 1));
        let d = Diagnostic::error("rotary-reach", message).at("machine.rotary_limit");
        c.push(d.help("180 is the least that reaches every heading; 0 is an endless axis"));
    }
    let turned = |k| matches!(k, ToolKind::TangentialKnife | ToolKind::CreaseWheel);
    if c.draft.tool_known.iter().all(|k| *k) && !p.tools.iter().any(|t| turned(t.kind)) {
        let d = Diagnostic::warning("no-effect", format!("the rotary axis {word} turns none of these tools"));
        c.push(d.at("output.rotary").help("leave the key out, or add the tangential knife or crease wheel"));
    }
}

fn gcode(c: &mut Checking<'_>) {
    let p = c.profile();
    let o = &p.output;
    let tolerance = p.machine.tolerance.to_mm();
    // A coordinate is off by half a step at most, a point by that times the root of two.
    let step = o.resolution().to_mm();
    let off = 0.5 * step * std::f64::consts::SQRT_2;
    if o.unit == ProgramUnit::Inch && o.decimals < 4 {
        let message =
            format!("with {} decimals of an inch a height is off by up to {} mm", o.decimals, decimal(step / 2.0, 3));
        c.push(Diagnostic::error("coarse-decimals", message).at("output.decimals").help("inches want 4 decimals or 5"));
    } else if p.machine.z_axis && o.decimals < 2 {
        let message = format!("with {} decimals a height is off by up to {} mm", o.decimals, decimal(step / 2.0, 2));
        let d = Diagnostic::error("coarse-decimals", message).at("output.decimals");
        c.push(d.help("take 3 or 4 decimals: a pocket or a cloth is cut to hundredths"));
    } else if off > tolerance / 2.0 {
        let message = format!(
            "with {} decimals a point is off by up to {} mm, over half of the tolerance",
            o.decimals,
            decimal(off, 2)
        );
        let d = Diagnostic::error("coarse-decimals", message).at("output.decimals");
        c.push(d.help(format!("take 3 or 4 decimals; the tolerance is {} mm", decimal(tolerance, 3))));
    }
    if o.arcs && o.unit == ProgramUnit::Mm && step > ARC_STEP && off <= tolerance {
        let message = format!("arcs with {} decimals miss the 0.005 mm that controllers check them by", o.decimals);
        let d = Diagnostic::warning("coarse-arcs", message).at("output.decimals");
        c.push(d.help("take 4 decimals, or write `arcs = false`"));
    }
    chord(c);
    line_limit(c);
    for (key, is_idle, what) in [
        ("step", true, "G-code counts in the program's unit"),
        ("arc_centres", !o.arcs && o.arc_centres == ArcCentres::Places, "no arc is written"),
    ] {
        let at = format!("output.{key}");
        if is_idle && c.doc.is_written(&at) {
            c.push(
                Diagnostic::warning("no-effect", format!("`{key}` means nothing here: {what}"))
                    .at(at)
                    .help("leave it out"),
            );
        }
    }
    if p.tools.len() < 2 {
        return;
    }
    match o.tool_change {
        ToolChange::Pause if o.change.is_empty() => {
            let d =
                Diagnostic::error("no-pause", "there are several tools, and nothing stops the program between them");
            c.push(d.at("output.change").help("write `change = [\"M0 (fit {tool})\"]`"));
        }
        ToolChange::Automatic if !o.change.iter().any(|l| bare(l).contains("{number}")) => {
            let d = Diagnostic::error("no-tool-number", "the lines of an automatic tool change never name the tool");
            c.push(d.at("output.change").help("write `change = [\"T{number} M6\"]`, as the changer wants it"));
        }
        _ => {}
    }
}

/// A line without its comments.
fn bare(line: &str) -> String {
    let line = line.split(';').next().unwrap_or_default();
    let outside = line
        .split('(')
        .enumerate()
        .map(|(i, part)| if i == 0 { part } else { part.split_once(')').map_or("", |p| p.1) });
    outside.collect()
}

fn chord(c: &mut Checking<'_>) {
    let p = c.profile();
    if !p.output.arcs && p.output.chord > p.machine.tolerance {
        let message = format!("chords stray {} from the arc, over the tolerance", p.output.chord);
        let d = Diagnostic::error("coarse-chord", message).at("output.chord");
        c.push(d.help(format!("stay well under `tolerance`, {}: a tenth of it say", p.machine.tolerance)));
    }
}

/// The shortest line that can say an arc: G2 X Y I J, with a rotary word where there is one.
fn line_limit(c: &mut Checking<'_>) {
    let p = c.profile();
    let (o, m) = (&p.output, &p.machine);
    let digits = |v: f64| if v.is_finite() { (v.max(1.0).log10().floor() as u32) + 1 } else { 1 };
    // Letter, whole digits, point, decimals, and the space before.
    let word = |whole: u32| 2 + whole + if o.decimals > 0 { 1 + o.decimals.min(8) } else { 0 };
    let longest = |travel: Length| digits(travel / o.unit.length());
    // Counted from elsewhere than the lower left corner, places may be negative.
    let sign = u32::from((m.zero, m.x_points, m.y_points) != (BedPlace::LowerLeft, Way::Right, Way::Up));
    let (x, y) = (word(longest(m.width)) + sign, word(longest(m.height)) + sign);
    let mut need = 2 + x + y;
    if o.arcs {
        need += x + y + 2; // I and J, which may be negative
    }
    if o.rotary.is_some() {
        need += word(3) + 1;
    }
    if o.line_numbers > 0 {
        need += 7; // N99999 and a space
    }
    if o.line_limit > 0 && o.line_limit < need {
        let what = if o.arcs { "an arc" } else { "a move" };
        let message = format!("`line_limit` is {} characters, and {what} takes {need}", o.line_limit);
        let d = Diagnostic::error("short-lines", message).at("output.line_limit");
        c.push(d.help("small controllers take 80 characters, the standard 256; 0 sets no limit"));
    }
}

/// HP-GL knows pens, lines and nothing else.
fn hpgl(c: &mut Checking<'_>) {
    let p = c.profile();
    let (o, m) = (&p.output, &p.machine);
    chord(c);
    let cannot: [(bool, &str, &str, &str); 8] = [
        (o.unit != ProgramUnit::Mm, "output.unit", "places are in steps", "leave `unit` out, and see `step`"),
        (
            o.arc_centres != ArcCentres::FromStart,
            "output.arc_centres",
            "arcs are written as chords",
            "leave `arc_centres` out",
        ),
        (o.arcs, "output.arcs", "arcs are written as chords", "write `arcs = false`"),
        (o.rotary.is_some(), "output.rotary", "there is no rotary axis", "leave `rotary` out"),
        (
            m.z_axis,
            "machine.z_axis",
            "there is no depth",
            "write `z_axis = false`, and `lift = \"words\"` for its tools",
        ),
        (o.line_numbers > 0, "output.line_numbers", "lines have no numbers", "leave `line_numbers` out"),
        (o.percent, "output.percent", "programs do not stand between % signs", "leave `percent` out"),
        (o.comments != Comments::None, "output.comments", "there are no comments", "write `comments = \"none\"`"),
    ];
    for (wrong, key, what, hint) in cannot {
        if wrong {
            c.push(Diagnostic::error("not-in-hpgl", format!("in HP-GL {what}")).at(key).help(hint));
        }
    }
    if o.tool_change == ToolChange::Pause && p.tools.len() > 1 {
        let d = Diagnostic::error("not-in-hpgl", "an HP-GL program cannot stop for a tool to be fitted");
        c.push(
            d.at("output.tool_change")
                .help("write `tool_change = \"separate-files\"`, or \"automatic\" for pens in a carousel"),
        );
    }
    let (clamp, share) = (o.step * HPGL_CLAMP, if m.zero == BedPlace::Centre { 0.5 } else { 1.0 });
    for (key, value) in [("width", m.width), ("height", m.height)] {
        if value * share > clamp {
            let message =
                format!("`{key}` is {value}, and some HP-GL devices stop at {} mm", decimal(clamp.to_mm() / share, 0));
            let d = Diagnostic::warning("hpgl-clamp", message).at(format!("machine.{key}"));
            c.push(d.help("try a line beyond that with the pen before cutting; else give less travel"));
        }
    }
    for (i, tool) in p.tools.iter().enumerate() {
        if c.draft.tool_known[i] && matches!(tool.kind, ToolKind::Router | ToolKind::TangentialKnife) {
            let message = format!("{} is a {}, which HP-GL cannot drive", c.tool_name(i), tool.kind.name());
            let d = Diagnostic::error("not-in-hpgl", message).at(format!("tool.{i}.kind"));
            c.push(d.help("it drives pens, drag knives, blunt styluses, and beams that follow the pen"));
        }
        if tool.number == 0 && c.doc.has(&format!("tool.{i}.number")) {
            let d =
                Diagnostic::error("not-in-hpgl", format!("{} has number 0, which puts the pen away", c.tool_name(i)));
            c.push(d.at(format!("tool.{i}.number")).help("pens are numbered from 1"));
        }
    }
}
