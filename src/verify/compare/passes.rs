//! How a line is gone over: no pass takes more than its rule allows, none is missing, none is one
//! too many.

use super::samples::along;
use super::{Bench, DEPTH_SLACK};
use crate::geom::Point;
use crate::profile::{Finish, Rule, Tool, ToolKind};
use crate::units::decimal;
use crate::verify::nominal::{Class, Wanted};
use crate::verify::{Finding, Many};

/// How many points of a line are asked.
const POINTS: usize = 15;

pub(super) fn passes(bench: &Bench<'_>, out: &mut Many) {
    for (_, line) in bench.lines() {
        let (rules, first) = bench.rules_for(line.class.kind());
        // Of a beam's or bit's pocket only the edge is a line.
        let Some((rule, tool)) = first.filter(|_| line.class != Class::Pocket) else { continue };
        let samples = along(&line.stroke, 0.5);
        let step = (samples.len() / POINTS).max(1);
        let mut visits: Vec<(Point, Vec<(f64, u32)>)> = Vec::new();
        for s in samples.iter().skip(step / 2).step_by(step) {
            visits.push((s.place, visited(bench, rules, rule, tool, line, s.place)));
        }
        too_much_at_once(bench, line, rule, &visits, out);
        count(bench, line, rule, tool, &mut visits, out);
    }
}

/// Each visit of a point of a line: how deep, and the program's line.
fn visited(bench: &Bench<'_>, rules: u64, rule: &Rule, tool: &Tool, line: &Wanted, q: Point) -> Vec<(f64, u32)> {
    let tolerance = bench.tolerance();
    let radius = match line.class {
        Class::Hole | Class::Outline => tool.kerf.to_mm() / 2.0,
        Class::Crease => rule.double.to_mm() / 2.0,
        _ => 0.0,
    };
    let mut found: Vec<u32> = Vec::new();
    bench.grid.near(q, radius + tolerance, |i| {
        let t = &bench.traces[i as usize];
        let off = t.way.distance_to(q);
        if !t.is_edge && t.rules & rules != 0 && (off - radius).abs() <= tolerance {
            found.push(i);
        }
    });
    found.sort_unstable();
    found.dedup();
    let mut visits: Vec<(f64, u32)> = Vec::new();
    let mut last: Option<u32> = None;
    for i in found {
        let t = &bench.traces[i as usize];
        let depth = if t.by_words { bench.nominal.thickness } else { t.depth_at(t.way.nearest_share(q)) };
        // Stretches that follow one another over the point are one visit, and the deepest of them
        // counts.
        match visits.last_mut() {
            Some(v) if last.is_some_and(|l| i - l <= 1) && t.way.start.distance(q) <= 2.0 * (tolerance + radius) => {
                v.0 = v.0.max(depth);
            }
            _ => visits.push((depth, t.line)),
        }
        last = Some(i);
    }
    visits
}

fn too_much_at_once(
    bench: &Bench<'_>,
    line: &Wanted,
    rule: &Rule,
    visits: &[(Point, Vec<(f64, u32)>)],
    out: &mut Many,
) {
    let each = rule.pass_depth.to_mm();
    let is_cut = matches!(line.class, Class::Hole | Class::Slit | Class::Outline);
    if !is_cut || each <= 0.0 || !bench.profile.machine.z_axis {
        return;
    }
    for (place, visits) in visits {
        let mut depth = 0.0f64;
        for (next, at) in visits {
            let next = next.min(bench.nominal.thickness);
            if next - depth > each + DEPTH_SLACK * 2.0 {
                let message = format!(
                    "a pass takes {} mm at once from {}; the rule allows {}",
                    decimal(next - depth, 2),
                    line.name,
                    decimal(each, 2)
                );
                out.push(Finding::at("pass-too-deep", *at, message).on(*place).help("a pass is missing before it"));
                return;
            }
            depth = depth.max(next);
        }
    }
}

fn count(
    bench: &Bench<'_>,
    line: &Wanted,
    rule: &Rule,
    tool: &Tool,
    visits: &mut [(Point, Vec<(f64, u32)>)],
    out: &mut Many,
) {
    let needed = bench.needed(line);
    let by_words = !bench.profile.machine.z_axis || tool.lift == crate::profile::Lift::Words;
    let want = match tool.kind {
        ToolKind::DragKnife | ToolKind::TangentialKnife | ToolKind::Router if !by_words => 1,
        _ => rule.passes.max(1) as usize,
    } * if line.class == Class::Crease && rule.double.to_mm() > 0.0 { 2 } else { 1 };
    let of = |v: &Vec<(f64, u32)>| v.iter().filter(|v| v.0 >= needed).count();
    let mut counts: Vec<usize> = visits.iter().map(|v| of(&v.1)).filter(|n| *n > 0).collect();
    counts.sort_unstable();
    let Some(usual) = counts.get(counts.len() / 2).copied() else { return };
    // Before a corner that spares the top, and at a line's own crossings, counts differ.
    let few = usual < want && rule.finish != Finish::Top;
    if few || usual > want && rule.pattern.is_empty() {
        let place = visits.first().map(|v| v.0).unwrap_or_default();
        let message = format!("{} is gone over {usual} times, the rule asks for {want}", line.name);
        let code = if few { "pass-missing" } else { "worked-twice" };
        out.push(Finding::new(code, message).on(place).help("export the program again"));
    }
}
