//! Rules: each with its tool, and as a set.

use super::Checking;
use crate::diag::Diagnostic;
use crate::doc::nearest;
use crate::profile::capability::why_not;
use crate::profile::{Lift, OperationKind, Placeholder, Rule, Tool, ToolKind};
use crate::units::{Length, decimal, mm};

pub(super) fn check(c: &mut Checking<'_>) {
    let p = c.profile();
    if p.rules.is_empty() {
        let d = Diagnostic::error("no-rules", "no rule says what the machine does").at("rule");
        c.push(d.help("add a [[rule]] with its `operation`, `stock`, `tool` and `feed`"));
    }
    for (i, rule) in p.rules.iter().enumerate() {
        if !c.draft.rule_known[i] {
            continue;
        }
        twice(c, i, rule);
        pattern(c, i, rule);
        bridges(c, i, rule);
        let Some(t) = p.tools.iter().position(|t| t.id == rule.tool) else {
            missing_tool(c, i, rule);
            continue;
        };
        if c.draft.tool_known[t] {
            able(c, i, rule, &p.tools[t]);
            depths(c, i, rule, &p.tools[t]);
            speeds(c, i, rule, &p.tools[t]);
            no_effect(c, i, rule, &p.tools[t]);
        }
    }
    for (i, tool) in p.tools.iter().enumerate() {
        if c.draft.rule_known.iter().all(|k| *k) && !p.rules.iter().any(|r| r.tool == tool.id) {
            let d = Diagnostic::warning("unused-tool", format!("no rule uses {}", c.tool_name(i)));
            c.push(d.at(format!("tool.{i}.id")).help("add a [[rule]] for it, or take the tool out"));
        }
    }
}

fn twice(c: &mut Checking<'_>, i: usize, rule: &Rule) {
    let p = c.profile();
    let same = |j: &usize| {
        let r = &p.rules[*j];
        c.draft.rule_known[*j] && r.operation == rule.operation && r.stock == rule.stock
    };
    if let Some(first) = (0..i).find(same) {
        let (op, stock) = (rule.operation.word(), rule.stock.word());
        let message = format!("rules {} and {} are both for {op} in {stock}", first + 1, i + 1);
        let d = Diagnostic::error("rule-twice", message).at(format!("rule.{i}.operation"));
        c.push(d.help("one operation on one stock has one rule; take one of them out"));
    }
}

fn missing_tool(c: &mut Checking<'_>, i: usize, rule: &Rule) {
    let tools = &c.profile().tools;
    let message = format!("{} names tool `{}`, which is not there", c.rule_name(i), rule.tool);
    let hint = match nearest(&rule.tool, tools.iter().map(|t| t.id.as_str()).filter(|id| !id.is_empty())) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("there are {}", tools.iter().map(|t| t.id.as_str()).collect::<Vec<_>>().join(", ")),
    };
    c.push(Diagnostic::error("no-such-tool", message).at(format!("rule.{i}.tool")).help(hint));
}

fn able(c: &mut Checking<'_>, i: usize, rule: &Rule, tool: &Tool) {
    if let Some(why) = why_not(tool.kind, rule.operation, rule.stock) {
        let (op, stock) = (rule.operation.word(), rule.stock.word());
        let message = format!("`{}` cannot do {op} in {stock}: {why}", tool.id);
        let d = Diagnostic::error("tool-cannot", message).at(format!("rule.{i}.tool"));
        c.push(d.help("name another tool, or take the rule out"));
    }
    if rule.operation == OperationKind::HalfDepthPocket && rule.stock != crate::job::StockKind::Board {
        let message = format!("nothing has half-depth-pockets in {}: this rule is never used", rule.stock.word());
        let d = Diagnostic::warning("no-effect", message).at(format!("rule.{i}.stock"));
        c.push(d.help("pockets are made in board"));
    }
}

fn depths(c: &mut Checking<'_>, i: usize, rule: &Rule, tool: &Tool) {
    let at = |key: &str| format!("rule.{i}.{key}");
    let name = c.rule_name(i);
    let through = rule.operation == OperationKind::ThroughCut;
    let cutting = through || rule.operation == OperationKind::HalfDepthPocket;
    if cutting && tool.lift == Lift::Z && rule.pass_depth == mm(0.0) {
        let d = Diagnostic::error("no-pass-depth", format!("{name} takes nothing in a pass: `pass_depth` is 0"));
        c.push(
            d.at(at("pass_depth"))
                .help("say the most that one pass takes: 1 for board, the cloth's thickness and more for cloth"),
        );
    }
    let limit = tool.max_depth;
    if limit > mm(0.0) {
        for (key, value, counts) in [
            ("extra_depth", rule.extra_depth, through),
            ("pass_depth", rule.pass_depth, cutting && tool.lift == Lift::Z),
            ("depth", rule.depth, !cutting),
        ] {
            if counts && (value > limit || (key == "extra_depth" && value >= limit)) {
                let message = format!("{name}: `{key}` is {value}, and `{}` cuts {limit} at most", tool.id);
                c.push(
                    Diagnostic::error("too-deep", message)
                        .at(at(key))
                        .help("make it less, or mend the tool's `max_depth`"),
                );
            }
        }
    }
    let presses = !cutting && tool.lift == Lift::Z;
    if presses && tool.kind != ToolKind::Pen && !c.doc.is_written(&at("depth")) {
        let message = format!("{name} does not say how deep `{}` goes: {} is meant", tool.id, rule.depth);
        let d = Diagnostic::warning("no-depth", message).at(format!("rule.{i}.tool"));
        c.push(d.help("write `depth`, 0.3 say"));
    }
    // No sheet lies so flat that a tool at its very top leaves a line all along.
    if presses && rule.depth == mm(0.0) {
        let message = format!("{name} leaves nothing behind: `depth` is 0, so `{}` only touches the stock", tool.id);
        let d = Diagnostic::error("no-depth", message).at(at("depth"));
        c.push(d.help("say how deep it presses, cuts or draws, 0.3 say; a pen 0.1"));
    }
    if through && tool.kind == ToolKind::DragKnife && rule.overrun < tool.pivot_offset {
        let message = format!("{name}: an overrun of {} leaves closed cuts open", rule.overrun);
        let d = Diagnostic::warning("short-overrun", message).at(at("overrun"));
        c.push(d.help(format!("run on by the pivot offset at least, {}", tool.pivot_offset)));
    }
    let ridged = rule.hatch > tool.kerf * 1.5 && tool.kind == ToolKind::Beam;
    if rule.operation == OperationKind::HalfDepthPocket && ridged {
        let message = format!("{name}: lines {} apart with a beam of {} leave ridges", rule.hatch, tool.kerf);
        let d = Diagnostic::warning("ridges", message).at(at("hatch"));
        c.push(d.help("set `hatch` to the width of the beam's line at that power, and `kerf` to what was measured"));
    }
}

fn speeds(c: &mut Checking<'_>, i: usize, rule: &Rule, tool: &Tool) {
    let p = c.profile();
    let at = |key: &str| format!("rule.{i}.{key}");
    let name = c.rule_name(i);
    // A speed of nothing is told by itself.
    if p.machine.rapid.to_mm_per_min() > 0.0 && rule.feed > p.machine.rapid {
        let (feed, rapid) = (rule.feed.to_mm_per_min(), p.machine.rapid.to_mm_per_min());
        let message =
            format!("{name} works at {} mm/min, faster than a traverse at {}", decimal(feed, 0), decimal(rapid, 0));
        let d = Diagnostic::error("fast-feed", message).at(at("feed"));
        c.push(d.help("make `feed` less, or mend `machine.rapid`"));
    }
    if tool.lift == Lift::Z && p.machine.rapid_z.to_mm_per_min() > 0.0 && rule.plunge > p.machine.rapid_z {
        let (plunge, rapid) = (rule.plunge.to_mm_per_min(), p.machine.rapid_z.to_mm_per_min());
        let (plunge, rapid) = (decimal(plunge, 0), decimal(rapid, 0));
        let message = format!("{name} goes down at {plunge} mm/min, faster than Z moves at its fastest, {rapid}");
        let d = Diagnostic::error("fast-plunge", message).at(at("plunge"));
        c.push(d.help("make `plunge` less, or mend `machine.rapid_z`"));
    }
    let turned = p.output.rotary.is_some() && matches!(tool.kind, ToolKind::TangentialKnife | ToolKind::CreaseWheel);
    if turned && rule.turn_feed > p.machine.rotary_speed {
        let (turn, most) = (decimal(rule.turn_feed, 0), decimal(p.machine.rotary_speed, 0));
        let message = format!("{name} turns the blade at {turn} degrees a minute, and the axis reaches {most}");
        let d = Diagnostic::error("fast-turn", message).at(at("turn_feed"));
        c.push(d.help("make `turn_feed` less, or mend `machine.rotary_speed`"));
    }
    for (placeholder, key, value) in
        [(Placeholder::Power, "power", rule.power), (Placeholder::Speed, "speed", rule.speed)]
    {
        let braces = format!("{{{}}}", placeholder.word());
        let uses = tool.on.iter().any(|l| l.contains(&braces));
        if uses && value.is_none() && !c.doc.places.has(&at(key)) {
            let message = format!("{name} has no `{key}`, and the lines of `{}` want {braces}", tool.id);
            c.push(Diagnostic::error("no-value", message).at(at(key)).help(format!("add `{key} = ...` to the rule")));
        }
        if !uses && value.is_some() {
            let message = format!("{name} has a `{key}` that no line of `{}` writes", tool.id);
            let d = Diagnostic::warning("no-effect", message).at(at(key));
            c.push(d.help(format!("write {braces} in the tool's `on` lines, or leave `{key}` out")));
        }
    }
}

fn pattern(c: &mut Checking<'_>, i: usize, rule: &Rule) {
    let name = c.rule_name(i);
    let at = format!("rule.{i}.pattern");
    for (n, length) in rule.pattern.iter().enumerate() {
        if *length <= mm(0.0) {
            let message = format!("{name}: a dash or gap of {length} in the pattern");
            let d = Diagnostic::error("bad-pattern", message).at(format!("{at}.{n}"));
            c.push(d.help("every length on and off is more than 0; leave `pattern` out for a whole line"));
        }
    }
    if rule.pattern.len() % 2 == 1 {
        let message = format!("{name}: the pattern has {} lengths, and on and off come in pairs", rule.pattern.len());
        c.push(Diagnostic::error("bad-pattern", message).at(at).help("write `pattern = [3, 2]` for 3 mm on, 2 mm off"));
    }
}

fn bridges(c: &mut Checking<'_>, i: usize, rule: &Rule) {
    if rule.bridges > 0 && rule.bridge_width == mm(0.0) && rule.operation == OperationKind::ThroughCut {
        let message = format!("{}: {} bridges without a width hold nothing", c.rule_name(i), rule.bridges);
        let d = Diagnostic::error("no-bridge-width", message).at(format!("rule.{i}.bridge_width"));
        c.push(d.help("5 mm holds a board piece; beyond the kerf, a bridge must be cut by hand"));
    }
    if rule.bridges > 0 && rule.bridge_width > mm(0.0) {
        let tool = c.profile().tools.iter().find(|t| t.id == rule.tool);
        // The tool's own width eats a bridge from both ends by half.
        if let Some(tool) = tool.filter(|t| t.kerf >= rule.bridge_width) {
            let message = format!(
                "{}: a bridge {} wide is all cut away by a kerf of {}",
                c.rule_name(i),
                rule.bridge_width,
                tool.kerf
            );
            let d = Diagnostic::error("no-bridge-width", message).at(format!("rule.{i}.bridge_width"));
            c.push(d.help("make the bridge wider than the kerf by what is to stand"));
        }
    }
}

/// Keys that say something about other operations or tools.
fn no_effect(c: &mut Checking<'_>, i: usize, rule: &Rule, tool: &Tool) {
    use OperationKind::{CreaseScore, HalfDepthPocket, Mark, ThroughCut};
    use ToolKind::{Beam, CreaseWheel, DragKnife, Router, TangentialKnife};
    const ANY: &[OperationKind] = &OperationKind::ALL;
    const KNIVES: &[ToolKind] = &[DragKnife, TangentialKnife];
    const TOOLS: &[ToolKind] = &[DragKnife, TangentialKnife, CreaseWheel, ToolKind::Pen, Beam, Router];
    type Only = (&'static str, &'static [OperationKind], &'static [ToolKind]);
    const ONLY: &[Only] = &[
        ("extra_depth", &[ThroughCut], TOOLS),
        ("pass_depth", &[ThroughCut, HalfDepthPocket], TOOLS),
        ("depth", &[Mark, CreaseScore], TOOLS),
        ("finish", ANY, &[TangentialKnife]),
        ("lead", &[ThroughCut], &[Beam]),
        ("bridges", &[ThroughCut], TOOLS),
        ("bridge_width", &[ThroughCut], TOOLS),
        ("bridge_height", &[ThroughCut], TOOLS),
        ("hatch", &[HalfDepthPocket], &[DragKnife, TangentialKnife, Beam]),
        ("least_strip", &[HalfDepthPocket], KNIVES),
        ("step_over", &[HalfDepthPocket], &[Router]),
        ("ramp", &[ThroughCut, HalfDepthPocket], &[Router]),
        ("direction", &[ThroughCut, HalfDepthPocket], &[Router]),
        ("corner_relief", &[ThroughCut, HalfDepthPocket], &[Router]),
        ("double", &[CreaseScore], TOOLS),
        ("pattern", &[Mark, CreaseScore], TOOLS),
    ];
    for (key, operations, kinds) in ONLY {
        let at = format!("rule.{i}.{key}");
        // A zero is the way to say that there is none of it.
        let said = c.doc.is_written(&at) && c.raw(&at).is_none_or(|v| v.abs() > 0.0) && c.doc.flag(&at) != Some(false);
        let off = *key == "pattern" && rule.pattern.is_empty();
        if !said || off || (operations.contains(&rule.operation) && kinds.contains(&tool.kind)) {
            continue;
        }
        let what = if operations.contains(&rule.operation) { tool.kind.name() } else { rule.operation.word() };
        let message = format!("{}: `{key}` means nothing for a {what}", c.rule_name(i));
        c.push(Diagnostic::warning("no-effect", message).at(at).help("leave it out"));
    }
    let repeats = matches!(tool.kind, Beam | CreaseWheel) || tool.lift == Lift::Words;
    if rule.passes > 1 && !repeats {
        let message = format!(
            "{}: `passes` repeats a line at one depth, and `{}` goes deeper by `pass_depth`",
            c.rule_name(i),
            tool.id
        );
        c.push(Diagnostic::warning("no-effect", message).at(format!("rule.{i}.passes")).help("leave it out"));
    }
    if rule.bridge_height > Length::ZERO && tool.lift == Lift::Words {
        let message =
            format!("{}: `{}` cannot leave a low bridge, only one of full thickness", c.rule_name(i), tool.id);
        c.push(Diagnostic::warning("no-effect", message).at(format!("rule.{i}.bridge_height")).help("leave it out"));
    }
}
