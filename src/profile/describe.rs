//! A profile as a person reads it.

use super::{
    Ability, ArcCentres, BedPlace, Lift, OperationKind, Placeholder, Profile, ProgramUnit, Rule, Tool, ToolKind, ZZero,
};
use crate::units::{Feed, Length, decimal};

/// The machine, its tools, its rules, and what it can and cannot do, as plain text. Lengths are mm,
/// speeds mm/min.
pub fn describe(profile: &Profile) -> String {
    let mut text = String::new();
    let mut say = |line: &str| {
        text.push_str(line.trim_end());
        text.push('\n');
    };
    say(&profile.name);
    say(&format!("  {}", bed(profile)));
    say(&format!("  {}", machine(profile)));
    say(&format!("  {}", output(profile)));
    say("");
    say("Cautions");
    for caution in &profile.cautions {
        say(&format!("  - {caution}"));
    }
    say("");
    say("Tools (lengths in mm)");
    let tools = profile.tools.iter().map(|t| tool(profile, t));
    for line in table(&["id", "kind", "kerf", "deepest", "lifted by", "remarks"], tools.collect()) {
        say(&line);
    }
    say("");
    say("Rules (lengths in mm, speeds in mm/min)");
    let rules = profile.rules.iter().map(|r| rule(profile, r));
    for line in table(&["stock", "operation", "tool", "feed", "plunge", "depth", "remarks"], rules.collect()) {
        say(&line);
    }
    say("");
    say("What it can do");
    for c in profile.capabilities() {
        let what = format!("{} in {}", c.operation.word(), c.stock.word());
        match c.ability {
            Ability::Can { tool, note } => {
                let note = note.map_or(String::new(), |n| format!(", {n}"));
                say(&format!("  can:    {what} (by {tool}{note})"));
            }
            Ability::Cannot { why } => say(&format!("  cannot: {what}: {why}")),
        }
    }
    text
}

fn machine(p: &Profile) -> String {
    let m = &p.machine;
    let z = match (m.z_axis, m.z_zero) {
        (false, _) => "no Z axis".to_owned(),
        (true, ZZero::Bed) => format!("Z0 on the bed, traverses {} above the stock", m.safe_height),
        (true, ZZero::StockTop) => format!("Z0 on the stock's top, traverses {} above it", m.safe_height),
    };
    format!("{z}; traverses at {} mm/min; proved to {}", whole(m.rapid), m.tolerance)
}

fn bed(p: &Profile) -> String {
    let m = &p.machine;
    let size = format!("{} x {} mm", millimetres(m.width), millimetres(m.height));
    let (zero, x, y) = (m.zero, m.x_points.word(), m.y_points.word());
    let zero = match zero {
        BedPlace::LowerLeft => "lower left corner",
        BedPlace::LowerRight => "lower right corner",
        BedPlace::UpperLeft => "upper left corner",
        BedPlace::UpperRight => "upper right corner",
        BedPlace::Centre => "middle",
    };
    let size = format!("{size}, X0 Y0 at the bed's {zero}, X to the {x}, Y to the {y}")
        .replace("to the up", "upwards")
        .replace("to the down", "downwards");
    format!("travel {size}")
}

fn output(p: &Profile) -> String {
    let o = &p.output;
    let terms = o.language.terms();
    let arcs = match (terms.has_arcs, o.arcs) {
        (false, _) => "",
        (true, true) => " with arcs",
        (true, false) => " with arcs as chords",
    };
    let language = format!("{}{arcs}", terms.name);
    let rotary = o.rotary.as_ref().map_or(String::new(), |r| format!(", blade turned by {r}"));
    let change = match o.tool_change {
        _ if p.tools.len() < 2 => "one tool",
        super::ToolChange::Pause => "stops for each tool to be fitted",
        super::ToolChange::Automatic => "changes tools by itself",
        super::ToolChange::SeparateFiles => "a file for each tool",
    };
    let unit = match (terms.has_units, o.unit) {
        (false, _) => format!(" in steps of {} mm", decimal(o.step.to_mm(), 4)),
        (_, ProgramUnit::Inch) => " in inches".to_owned(),
        (_, ProgramUnit::Mm) => String::new(),
    };
    let centres = if o.arcs && o.arc_centres == ArcCentres::Places { ", their centres as places" } else { "" };
    format!("writes .{}: {language}{centres}{unit}{rotary}; {change}", o.extension)
}

fn tool(p: &Profile, t: &Tool) -> Vec<String> {
    let mut remarks = Vec::new();
    if t.pivot_offset > Length::ZERO {
        remarks.push(format!("tip trails by {}", t.pivot_offset));
    }
    if t.edge_angle.to_deg() > 0.0 {
        remarks.push(format!("edge {} degrees", decimal(t.edge_angle.to_deg(), 1)));
    }
    if let Some(s) = t.swivel_depth {
        remarks.push(format!("swivels at {s}"));
    }
    if p.tools.len() > 1 && t.number != 1 {
        remarks.push(format!("number {}", t.number));
    }
    let lift = match (t.lift, t.kind, p.output.language.terms().lifts) {
        (Lift::Z, ..) => "Z axis",
        (_, ToolKind::Beam, _) => "its switch",
        (_, _, true) => "pen up, down",
        _ => "its words",
    };
    let deepest = if t.max_depth > Length::ZERO { millimetres(t.max_depth) } else { "-".into() };
    let kerf = if t.kerf > Length::ZERO { millimetres(t.kerf) } else { "-".into() };
    vec![t.id.clone(), t.kind.name().into(), kerf, deepest, lift.into(), remarks.join(", ")]
}

fn rule(p: &Profile, r: &Rule) -> Vec<String> {
    let tool = p.tools.iter().find(|t| t.id == r.tool);
    let by_z = tool.is_some_and(|t| t.lift == Lift::Z);
    let cutting = matches!(r.operation, OperationKind::ThroughCut | OperationKind::HalfDepthPocket);
    let depth = match (by_z, cutting) {
        (true, true) => format!("{} a pass", millimetres(r.pass_depth)),
        (true, false) => millimetres(r.depth),
        (false, _) if r.passes > 1 => format!("{} passes", r.passes),
        (false, _) => "-".into(),
    };
    let plunge = if by_z { whole(r.plunge) } else { "-".into() };
    let stock = r.stock.word().to_owned();
    vec![stock, r.operation.word().into(), r.tool.clone(), whole(r.feed), plunge, depth, remarks(r, tool)]
}

fn remarks(r: &Rule, tool: Option<&Tool>) -> String {
    let mut all = Vec::new();
    if r.is_lent {
        all.push("as the liner".to_owned());
    }
    let mut length = |what: &str, l: Length| {
        if l > Length::ZERO {
            all.push(format!("{what} {}", millimetres(l)));
        }
    };
    length("below the stock", r.extra_depth);
    length("overrun", r.overrun);
    length("lead", r.lead);
    length("double line", r.double);
    if r.operation == OperationKind::HalfDepthPocket && tool.is_some_and(|t| t.kind != ToolKind::Router) {
        length("lines every", r.hatch);
    }
    for (placeholder, value) in [(Placeholder::Power, r.power), (Placeholder::Speed, r.speed)] {
        if let Some(v) = value {
            all.push(format!("{} {}", placeholder.word(), decimal(v, 3)));
        }
    }
    if r.ramp.to_deg() > 0.0 {
        all.push(format!("ramp {} degrees", decimal(r.ramp.to_deg(), 1)));
    }
    if r.bridges > 0 {
        all.push(format!("{} bridges of {}", r.bridges, millimetres(r.bridge_width)));
    }
    if !r.pattern.is_empty() {
        let lengths: Vec<String> = r.pattern.iter().map(|l| millimetres(*l)).collect();
        all.push(format!("dashes {}", lengths.join("-")));
    }
    all.join(", ")
}

fn millimetres(l: Length) -> String {
    decimal(l.to_mm(), 3)
}

fn whole(f: Feed) -> String {
    decimal(f.to_mm_per_min(), 1)
}

/// Rows under their heads, every column as wide as its widest cell, indented by two.
fn table(heads: &[&str], rows: Vec<Vec<String>>) -> Vec<String> {
    let mut all = vec![heads.iter().map(|h| (*h).to_owned()).collect::<Vec<_>>()];
    all.extend(rows);
    let wide: Vec<usize> = (0..heads.len())
        .map(|i| all.iter().filter_map(|r| r.get(i)).map(|c| c.chars().count()).max().unwrap_or(0))
        .collect();
    all.iter()
        .map(|row| row.iter().zip(&wide).fold(" ".to_owned(), |line, (cell, w)| format!("{line} {cell:<w$} ")))
        .collect()
}
