//! How a line is gone over: no pass takes more than its rule allows, none is missing, none is one
//! too many.

use super::samples::along;
use super::{Bench, CELL, DEPTH_SLACK};
use crate::geom::{Point, Segment, Stroke};
use crate::profile::{Finish, Lift, Rule, Tool, ToolKind};
use crate::units::decimal;
use crate::verify::grid::Grid;
use crate::verify::nominal::{Class, Wanted};
use crate::verify::{Finding, Many};

/// How many points of a line are asked.
const POINTS: usize = 15;

pub(super) fn passes(bench: &Bench<'_>, out: &mut Many) {
    let drawn = Drawn::new(bench);
    for (at, line) in bench.lines() {
        let (rules, first) = bench.rules_for(line.class.kind());
        // Of a beam's or bit's pocket only the edge is a line.
        let Some((rule, tool)) = first.filter(|_| line.class != Class::Pocket) else { continue };
        let mut samples: Vec<Point> =
            along(&line.stroke, (line.stroke.length() / 8.0).clamp(0.02, 0.5)).into_iter().map(|s| s.place).collect();
        // A tool that goes to and fro is at an open line's end once for two passes, however many its depth asks for.
        if let Stroke::Open(path) = &line.stroke {
            let turned = 2.0 * bench.tolerance();
            let ends: Vec<Point> = path
                .segments()
                .next()
                .map(|s| s.start)
                .into_iter()
                .chain(path.segments().last().map(|s| s.end))
                .collect();
            let inner: Vec<Point> =
                samples.iter().filter(|q| ends.iter().all(|e| e.distance(**q) > turned)).copied().collect();
            if !inner.is_empty() {
                samples = inner;
            }
        }
        let some = |points: &[Point]| -> Vec<(Point, Vec<(f64, u32)>)> {
            let step = (points.len() / POINTS).max(1);
            let points = points.iter().skip(step / 2).step_by(step);
            points.map(|q| (*q, visited(bench, rules, rule, tool, line, *q))).collect()
        };
        // Beside another line, or where this one comes back upon itself, that one's passes would be
        // counted too. Where it is so all along, one too many cannot be told from it.
        let reach = 2.0 * bench.tolerance() + reach(rule, tool, line) + drawn.reach;
        let alone = samples.iter().step_by((samples.len() / (4 * POINTS)).max(1));
        let asked = alone.len().max(1) as f64;
        let alone: Vec<Point> = alone.filter(|q| !drawn.is_met(bench, at, **q, reach)).copied().collect();
        let length = line.stroke.length() * alone.len() as f64 / asked;
        let (all, alone) = (some(&samples), some(&alone));
        // How deep a tool that its words lower goes is not in the program.
        if tool.lift == Lift::Z {
            too_much_at_once(bench, line, rule, if alone.is_empty() { &all } else { &alone }, out);
        }
        count(bench, line, rule, tool, &all, &Alone { visits: &alone, length }, out);
    }
}

/// All nominal lines, to be found by place.
struct Drawn {
    grid: Grid,
    /// Each segment with its line's place in the list and how far along that line it begins, mm.
    segments: Vec<(Segment, usize, f64)>,
    /// How far from its line a tool's middle runs at most, mm.
    reach: f64,
}

impl Drawn {
    fn new(bench: &Bench<'_>) -> Self {
        let mut segments = Vec::new();
        for (at, line) in bench.lines() {
            let mut along = 0.0;
            for s in line.stroke.segments() {
                segments.push((s, at, along));
                along += s.length();
            }
        }
        let all: Vec<Segment> = segments.iter().map(|s| s.0).collect();
        let of =
            |line: &Wanted| bench.rules_for(line.class.kind()).1.map_or(0.0, |(rule, tool)| reach(rule, tool, line));
        let most = bench.lines().map(|(_, line)| of(line)).fold(0.0, f64::max);
        Self { grid: Grid::new(&all, CELL), segments, reach: most }
    }

    /// Whether another line, or this one again after a way round, comes within
    /// `reach` mm of a point of a line.
    fn is_met(&self, bench: &Bench<'_>, at: usize, q: Point, reach: f64) -> bool {
        let line = &bench.nominal.lines[at];
        // What is near along the line itself is the point's own surroundings.
        let mut own: Vec<(f64, f64)> = Vec::new();
        let mut other = false;
        self.grid.near(q, reach, |i| {
            let (s, of, begins) = &self.segments[i as usize];
            if s.distance_to(q) > reach {
                return;
            }
            if *of == at {
                own.push((*begins, begins + s.length()));
            } else {
                other = true;
            }
        });
        if other {
            return true;
        }
        // Stretches that follow one another are one; more than one means that the line came back.
        own.sort_by(|a, b| a.0.total_cmp(&b.0));
        own.dedup_by(|b, a| {
            b.0 <= a.1 + 1e-9 && {
                a.1 = a.1.max(b.1);
                true
            }
        });
        let closes = matches!(line.stroke, Stroke::Closed(_))
            && own.first().zip(own.last()).is_some_and(|(a, b)| a.0 <= 1e-9 && b.1 >= line.stroke.length() - 1e-9);
        own.len() > if closes { 2 } else { 1 }
    }
}

/// How far from a nominal line the tool's middle runs, mm.
fn reach(rule: &Rule, tool: &Tool, line: &Wanted) -> f64 {
    match line.class {
        Class::Hole | Class::Outline => tool.kerf.to_mm() / 2.0,
        Class::Crease => rule.double.to_mm() / 2.0,
        _ => 0.0,
    }
}

/// Each visit of a point of a line: how deep, and the program's line.
fn visited(bench: &Bench<'_>, rules: u64, rule: &Rule, tool: &Tool, line: &Wanted, q: Point) -> Vec<(f64, u32)> {
    let tolerance = bench.tolerance();
    let radius = reach(rule, tool, line);
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
    // A tool that starts each pass at the same end of a short line begins where it began before, not where it ended.
    let goes_on = |last: u32, next: u32| {
        let near = |p: Point| p.distance(q) <= 2.0 * (tolerance + radius);
        let [from, to] = [last, next].map(|i| bench.traces[i as usize].way);
        follows(bench, last, next) && near(from.end) && near(to.start)
    };
    let mut visits: Vec<(f64, u32)> = Vec::new();
    let mut last: Option<u32> = None;
    for i in found {
        let t = &bench.traces[i as usize];
        let depth = if t.by_words { bench.nominal.thickness } else { t.depth_at(t.way.nearest_share(q)) };
        // Stretches that follow one another over the point are one visit, and the deepest of them
        // counts.
        match visits.last_mut() {
            Some(v) if last.is_some_and(|l| goes_on(l, i)) => v.0 = v.0.max(depth),
            _ => visits.push((depth, t.line)),
        }
        last = Some(i);
    }
    visits
}

/// Whether a trace is the next way of a tip after another: between them the edge of a blade may have
/// been noted where it turned.
fn follows(bench: &Bench<'_>, last: u32, next: u32) -> bool {
    bench.traces[last as usize + 1..next as usize].iter().take(3).all(|t| t.is_edge) && next - last <= 3
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
                    "a pass takes {} mm at once from {}; the rule allows {} mm",
                    decimal(next - depth, 2),
                    line.name,
                    decimal(each, 2)
                );
                out.push(
                    Finding::at("pass-too-deep", *at, message)
                        .on(*place)
                        .of(line.of())
                        .help("a pass is missing before it"),
                );
                return;
            }
            depth = depth.max(next);
        }
    }
}

/// The points of a line beside which there is no other.
struct Alone<'a> {
    visits: &'a [(Point, Vec<(f64, u32)>)],
    /// What they stand for, mm.
    length: f64,
}

/// On how much of a closed line a bit that comes down a ramp is through the stock before it goes round whole, mm: while it
/// goes down what its rule adds below the stock. Within a hole its way is shorter than the line by once round its radius,
/// and in a corner it serves the line on either side from one place.
fn ramped(bench: &Bench<'_>, line: &Wanted, rule: &Rule, tool: &Tool) -> f64 {
    let slope = rule.ramp.to_rad().tan();
    if tool.kind != ToolKind::Router || tool.lift != Lift::Z || slope <= 0.0 {
        return 0.0;
    }
    let radius = reach(rule, tool, line);
    let past_a_corner = ((radius + bench.tolerance()).powi(2) - radius.powi(2)).sqrt();
    let long = line.stroke.length();
    let way = if line.class == Class::Hole { long - std::f64::consts::TAU * radius } else { long };
    let down = (rule.extra_depth.to_mm() + 2.0 * DEPTH_SLACK) / slope;
    if way > down { down * long / way + 2.0 * past_a_corner } else { long }
}

fn count(
    bench: &Bench<'_>,
    line: &Wanted,
    rule: &Rule,
    tool: &Tool,
    visits: &[(Point, Vec<(f64, u32)>)],
    alone: &Alone<'_>,
    out: &mut Many,
) {
    let needed = bench.needed(line);
    let by_words = !bench.profile.machine.z_axis || tool.lift == Lift::Words;
    let want = match tool.kind {
        ToolKind::DragKnife | ToolKind::TangentialKnife | ToolKind::Router if !by_words => 1,
        _ => rule.passes.max(1) as usize,
    } * if line.class == Class::Crease && rule.double.to_mm() > 0.0 { 2 } else { 1 };
    let usual = |visits: &[(Point, Vec<(f64, u32)>)]| {
        let of = |v: &Vec<(f64, u32)>| v.iter().filter(|v| v.0 >= needed).count();
        let mut counts: Vec<usize> = visits.iter().map(|v| of(&v.1)).filter(|n| *n > 0).collect();
        counts.sort_unstable();
        counts.get(counts.len() / 2).copied()
    };
    let place = visits.first().map(|v| v.0).unwrap_or_default();
    let mut tell = |code, times| {
        let message = format!("{} is gone over {times} times, the rule asks for {want}", line.name);
        out.push(Finding::new(code, message).on(place).of(line.of()).help("export the program again"));
    };
    // Before a corner that spares the top counts differ.
    if let Some(times) = usual(visits).filter(|n| *n < want && rule.finish != Finish::Top) {
        tell("pass-missing", times);
    } else if let Some(times) = usual(alone.visits).filter(|n| *n > want && rule.pattern.is_empty()) {
        // Past its start a closed line is worked again as far as the rule asks, and a drag knife by
        // its offset at least: on a short line that may be most of what can be asked. What each of
        // the points stands for is not sure.
        let over = |v: &&(Point, Vec<(f64, u32)>)| v.1.iter().filter(|v| v.0 >= needed).count() > want;
        let each = alone.length / alone.visits.len().max(1) as f64;
        let again = alone.visits.iter().filter(over).count() as f64 * each;
        let asked = if line.stroke.is_closed() {
            rule.overrun.max(tool.pivot_offset).to_mm() + ramped(bench, line, rule, tool)
        } else {
            0.0
        };
        if asked <= 0.0 || again > asked + each {
            tell("worked-twice", times);
        }
    }
}
