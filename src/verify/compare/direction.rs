//! Which way round a turning bit goes: its rule says, and the wall it leaves and the pull on the
//! part depend on it.

use super::Bench;
use super::samples::along;
use crate::profile::{CutDirection, ToolKind};
use crate::verify::nominal::{Class, Wanted};
use crate::verify::{Finding, Many};
use std::collections::BTreeMap;

/// How many points of a line are asked.
const POINTS: usize = 24;
/// So many points at one depth make a turn of it; a ramp has fewer.
const TURN: usize = 4;
/// Depths this near to one another are one turn's, parts of a mm.
const DEPTHS: f64 = 100.0;

pub(super) fn directions(bench: &Bench<'_>, out: &mut Many) {
    for (_, line) in bench.lines().filter(|(_, w)| w.stroke.is_closed()) {
        let (rules, Some((rule, tool))) = bench.rules_for(line.class.kind()) else { continue };
        let is_edge = matches!(line.class, Class::Hole | Class::Outline | Class::Pocket);
        if tool.kind != ToolKind::Router || !is_edge {
            continue;
        }
        // The spindle turns clockwise; with what is kept on the left the teeth meet the stock
        // head on, which is conventional milling (machining practice). A nominal edge runs so.
        let along_it = rule.direction == CutDirection::Conventional;
        for (wrong, all, at) in turns(bench, line, rules, tool.kerf.to_mm() / 2.0, along_it) {
            if all >= TURN && 2 * wrong > all {
                let asked = if along_it { "conventional" } else { "climb" };
                let message = format!("the bit goes the wrong way round {}: the rule asks for {asked}", line.name);
                let hint = "a bit that climbs unasked pulls at the part: export the program again";
                out.push(Finding::at("direction", at, message).on(line.stroke.bounds().center()).help(hint));
                break;
            }
        }
    }
}

/// For each depth at which the bit goes round: at how many points it goes the wrong way, of how
/// many, and a line of the program.
fn turns(bench: &Bench<'_>, line: &Wanted, rules: u64, radius: f64, along_it: bool) -> Vec<(usize, usize, u32)> {
    let samples = along(&line.stroke, 0.5);
    let step = (samples.len() / POINTS).max(1);
    let mut by_depth: BTreeMap<i64, (usize, usize, u32)> = BTreeMap::new();
    let tolerance = bench.tolerance();
    for s in samples.iter().skip(step / 2).step_by(step) {
        let heading = s.normal.left();
        let mut seen: Vec<u32> = Vec::new();
        bench.grid.near(s.place, radius + tolerance, |i| seen.push(i));
        seen.sort_unstable();
        seen.dedup();
        for i in seen {
            let t = &bench.traces[i as usize];
            let share = t.way.nearest_share(s.place);
            let away = t.way.point_at(share) - s.place;
            let off = away.length();
            // What lies on the other side of the edge serves another line.
            let is_beyond = away.dot(s.normal) < radius / 2.0;
            // The ends of stretches are their neighbours' too.
            if t.rules & rules == 0
                || t.is_edge
                || is_beyond
                || (off - radius).abs() > tolerance
                || !(1e-9..1.0).contains(&share)
            {
                continue;
            }
            let cos = crate::geom::Point::unit(t.way.heading_at(share)).dot(heading);
            let depth = (t.depth_at(share) * DEPTHS).round() as i64;
            let turn = by_depth.entry(depth).or_insert((0, 0, t.line));
            turn.0 += usize::from((cos > 0.0) != along_it);
            turn.1 += 1;
        }
    }
    by_depth.into_values().collect()
}
