//! From a sheet's operations to a machine's program.

use super::order::{Stop, Way, classes, order};
use super::{LineId, Program, Run, Section};
use crate::comp::{BladeState, Ground, Start, Step, Task, Worked, candidates, follow, kerf_moved_for, started};
use crate::diag::{Diagnostic, any_error};
use crate::geom::{Bounds, Point, Segment, Stroke, pt};
use crate::ops::{Operation, SheetOps};
use crate::profile::{OperationKind, Profile, Rule, Tool, ToolKind, operation_depth_check};
use crate::units::Length;
use std::collections::BTreeMap;
use std::sync::Arc;

/// The program that does `ops` on the profile's machine, or `None` with the errors that stop it:
/// a sheet larger than the machine's travel, an operation without a rule, a cut deeper than its
/// tool goes, a kerf or blade that cannot make a line. All of them are told at once, whatever
/// concerns several lines alike once. Those of a depth point into the profile.
///
/// Lines come in the hard order and within it by least travel, see [`super::order`]; the travel
/// starts and ends where the machine is parked.
pub fn build(ops: &SheetOps, profile: &Profile) -> (Option<Program>, Vec<Diagnostic>) {
    build_tuned(ops, profile, &BTreeMap::new())
}

/// [`build`], some pieces being worked as another profile has it, by their id: one that differs from
/// `profile` in figures of its tools and rules alone, of which both have the same in the same order.
pub fn build_tuned(
    ops: &SheetOps,
    profile: &Profile,
    tuned: &BTreeMap<String, Profile>,
) -> (Option<Program>, Vec<Diagnostic>) {
    let mut told = Vec::new();
    // Where a sheet was measured on the bed it lies there, whatever its size: its work is what must be reached.
    told.extend(too_large(ops, profile).filter(|_| ops.moved.is_none()));
    let lines = prepared(ops, profile, tuned, &mut told);
    if any_error(&told) {
        return (None, without_repeats(told));
    }
    let program = worked(ops, profile, &lines, &mut told);
    told.extend(out_of_reach(&program, profile));
    let program = (!any_error(&told)).then_some(program);
    (program, without_repeats(told))
}

/// An operation with what does it.
struct Line<'a> {
    op: &'a Operation,
    rule: &'a Rule,
    rule_at: usize,
    tool: &'a Tool,
    tool_at: usize,
    /// Moved for the kerf.
    line: Stroke,
}

fn too_large(ops: &SheetOps, profile: &Profile) -> Option<Diagnostic> {
    let m = &profile.machine;
    let (width, height) = (ops.sheet.width, ops.sheet.height);
    if m.holds([width, height]) {
        return None;
    }
    let at = if m.origin == [Length::ZERO; 2] {
        String::new()
    } else {
        format!(", the sheet's corner lying at {} and {}", m.origin[0], m.origin[1])
    };
    let turned = if m.holds([height, width]) {
        ": turned a quarter this one does (swap its width and height, and the word of its grain with them)"
    } else {
        ""
    };
    let message = format!(
        "a {} sheet is {} x {}, but {} travels {} x {}{at}",
        ops.sheet.stock.word(),
        ops.sheet.width,
        ops.sheet.height,
        profile.name,
        m.width,
        m.height
    );
    Some(
        Diagnostic::error("sheet-larger-than-bed", message).help(format!(
            "give the job a {} sheet that fits{turned}, or choose a larger machine",
            ops.sheet.stock.word()
        )),
    )
}

fn prepared<'a>(
    ops: &'a SheetOps,
    whole: &'a Profile,
    tuned: &'a BTreeMap<String, Profile>,
    told: &mut Vec<Diagnostic>,
) -> Vec<Line<'a>> {
    let mut lines = Vec::with_capacity(ops.operations.len());
    for op in &ops.operations {
        let profile = tuned.get(&op.piece).unwrap_or(whole);
        let Some((rule, tool_at)) = profile.rule(op.kind, ops.sheet.stock) else {
            told.push(no_rule(op, ops, profile));
            continue;
        };
        let tool = &profile.tools[tool_at];
        let rule_at = profile.rules.iter().position(|r| std::ptr::eq(r, rule)).unwrap_or(0);
        told.extend(operation_depth_check(profile, op.kind, ops.sheet.stock, op.depth, ops.sheet.thickness));
        let has_width = matches!(op.kind, OperationKind::ThroughCut | OperationKind::HalfDepthPocket);
        let kerf = if has_width { tool.kerf } else { Length::ZERO };
        match kerf_moved_for(op, kerf, tool.kind) {
            Ok(line) => lines.push(Line { op, rule, rule_at, tool, tool_at, line }),
            Err(e) => told.push(e),
        }
    }
    lines
}

fn no_rule(op: &Operation, ops: &SheetOps, profile: &Profile) -> Diagnostic {
    let (kind, stock) = (op.kind.word(), ops.sheet.stock.word());
    Diagnostic::error(
        "no-rule",
        format!("the profile {} has no rule for a {kind} on {stock}, which {} needs", profile.id, ops.name()),
    )
    .help(format!(
        "add a [[rule]] with operation = \"{kind}\" and stock = \"{stock}\" to the profile, or choose another machine"
    ))
}

/// A line with the start chosen for it.
fn sequence(ops: &SheetOps, profile: &Profile, lines: &[Line<'_>]) -> Vec<(usize, Stroke)> {
    let starts: Vec<Vec<Start>> = lines
        .iter()
        .map(|l| match &l.line {
            Stroke::Closed(c) => candidates(c, l.rule.overrun.max(l.tool.pivot_offset).to_mm()),
            Stroke::Open(_) => Vec::new(),
        })
        .collect();
    let kinds: Vec<&Operation> = lines.iter().map(|l| l.op).collect();
    let classes = classes(&kinds, &ops.shared, ops.sheet.stock, profile);
    let items: Vec<Stop> = lines
        .iter()
        .zip(&starts)
        .zip(classes)
        .map(|((l, starts), class)| Stop { class, after: Vec::new(), ways: ways(&l.line, starts) })
        .collect();
    let [ox, oy] = profile.machine.origin;
    let park = profile.machine.park_on_bed() - pt(ox.to_mm(), oy.to_mm());
    // Only lines without points have no way, and they are no work: the given order then.
    let given = || (0..lines.len()).map(|item| super::order::Visit { item, way: 0 }).collect();
    let visits = order(&items, park, Some(park)).unwrap_or_else(|_| given());
    visits
        .into_iter()
        .map(|v| {
            let line = match &lines[v.item].line {
                Stroke::Closed(c) => {
                    Stroke::Closed(starts[v.item].get(v.way).map_or_else(|| c.clone(), |s| started(c, *s)))
                }
                Stroke::Open(p) if v.way == 1 => Stroke::Open(p.reversed()),
                open @ Stroke::Open(_) => open.clone(),
            };
            (v.item, line)
        })
        .collect()
}

/// The ways of a line moved for its kerf: see [`super::order::ways_of`] for a nominal one.
fn ways(line: &Stroke, starts: &[Start]) -> Vec<Way> {
    let way = |entry: Point, exit: Point| Way { entry, exit };
    let v = line.vertices();
    match (line, v.first(), v.last()) {
        (Stroke::Closed(_), ..) => starts.iter().map(|s| way(s.point, s.point)).collect(),
        (Stroke::Open(_), Some(a), Some(b)) => vec![way(a.point(), b.point()), way(b.point(), a.point())],
        (Stroke::Open(_), ..) => Vec::new(),
    }
}

/// What a tool has to say, at the rule of the profile that it followed: at the key that its hint names
/// first, where the rule has it.
fn at_rule(d: Diagnostic, rule: usize, profile: &Profile) -> Diagnostic {
    if d.place.is_some() {
        return d;
    }
    let rule = profile.written_at(rule);
    let key = d.hint.as_deref().and_then(|h| h.split('`').nth(1)).map(|word| format!("rule.{rule}.{word}"));
    let key = key.filter(|k| profile.places.has(k)).unwrap_or_else(|| format!("rule.{rule}"));
    d.at(key)
}

fn worked(ops: &SheetOps, profile: &Profile, lines: &[Line<'_>], told: &mut Vec<Diagnostic>) -> Program {
    let ground = Ground::new(ops);
    let mut blades = Blades::new(profile);
    let mut sections: Vec<Section> = Vec::new();
    for (at, stroke) in sequence(ops, profile, lines) {
        let line = &lines[at];
        let task = Task {
            op: line.op,
            line: &stroke,
            rule: line.rule,
            tool: line.tool,
            machine: &profile.machine,
            thickness: ops.sheet.thickness.to_mm(),
            ground: &ground,
            rotary: profile.output.rotary.is_some(),
        };
        let done = match follow(&task, blades.of(line.tool_at)) {
            Ok(done) => done,
            Err(e) => {
                told.push(at_rule(e, line.rule_at, profile));
                continue;
            }
        };
        let Worked { steps, passes, notes, wedge } = done;
        told.extend(notes.into_iter().map(|d| at_rule(d, line.rule_at, profile)));
        if steps.is_empty() {
            continue;
        }
        let op = line.op;
        let id = LineId { piece: op.piece.clone(), copy: op.copy, kind: op.kind, index: op.index };
        let run = Run { line: id, rule: line.rule_at, passes, wedge, steps };
        match sections.last_mut() {
            Some(section) if section.tool == line.tool_at => section.runs.push(run),
            _ => sections.push(Section { tool: line.tool_at, runs: vec![run] }),
        }
    }
    let used = used(&sections);
    Program { sheet: Arc::clone(&ops.sheet), is_first_side: ops.is_first_side, used, moved: ops.moved, sections }
}

/// Where each blade points. Tools on the rotary axis share it; a blade that swivels in its holder
/// keeps its own heading while another tool works.
struct Blades {
    on_axis: Vec<bool>,
    axis: BladeState,
    own: Vec<BladeState>,
}

impl Blades {
    fn new(profile: &Profile) -> Self {
        let is_turned = |t: &Tool| matches!(t.kind, ToolKind::TangentialKnife | ToolKind::CreaseWheel);
        let state = |t: &Tool| BladeState { heading: profile.machine.x_heading().to_deg() + t.start_heading.to_deg() };
        let axis = profile.tools.iter().find(|t| is_turned(t)).map_or(BladeState { heading: 0.0 }, state);
        Self {
            on_axis: profile.tools.iter().map(is_turned).collect(),
            axis,
            own: profile.tools.iter().map(state).collect(),
        }
    }

    fn of(&mut self, tool: usize) -> &mut BladeState {
        if self.on_axis[tool] { &mut self.axis } else { &mut self.own[tool] }
    }
}

/// The rectangle round every cut.
fn used(sections: &[Section]) -> Bounds {
    let mut at = pt(0.0, 0.0);
    let mut bounds = Bounds::EMPTY;
    for step in sections.iter().flat_map(|s| &s.runs).flat_map(|r| &r.steps) {
        match *step {
            Step::Travel { to } => {
                bounds = bounds.with(to);
                at = to;
            }
            Step::Cut { to, bulge, .. } => {
                bounds = bounds.union(Segment { start: at, end: to, bulge }.bounds());
                at = to;
            }
            _ => {}
        }
    }
    bounds
}

fn out_of_reach(program: &Program, profile: &Profile) -> Option<Diagnostic> {
    let m = &profile.machine;
    if program.used.is_empty() {
        return None;
    }
    let origin = pt(m.origin[0].to_mm(), m.origin[1].to_mm());
    let (low, high) = (program.used.min + origin, program.used.max + origin);
    let past = (-low.x).max(-low.y).max(high.x - m.width.to_mm()).max(high.y - m.height.to_mm());
    (past > 1e-6).then(|| {
        let message = format!(
            "on {} the tool would have to leave the travel of {} by {:.1} mm, its own width or run-in included",
            program.sheet_name(),
            profile.name,
            past
        );
        Diagnostic::error("out-of-reach", message).help(if program.moved.is_some() {
            "move the sheet on the bed, and measure its marks again"
        } else {
            "widen the stock's margin in the job, or set machine.origin so that the sheet lies further in"
        })
    })
}

fn without_repeats(told: Vec<Diagnostic>) -> Vec<Diagnostic> {
    let mut kept: Vec<Diagnostic> = Vec::new();
    for d in told {
        if !kept.contains(&d) {
            kept.push(d);
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::comp::testbed::{cut_of, op_of, profile, sheet};
    use crate::geom::{Contour, Path};
    use crate::ops::Keep;
    use crate::units::{deg, mm};

    fn two_pieces() -> SheetOps {
        let square = |x: f64| Contour::rectangle(pt(x, 20.0), pt(x + 80.0, 120.0));
        let slot = |x: f64| Contour::rectangle(pt(x + 10.0, 30.0), pt(x + 30.0, 33.0)).reversed();
        let pocket = Contour::rectangle(pt(30.0, 60.0), pt(38.0, 85.0)).reversed();
        let mut operations = vec![
            op_of(Stroke::Open(Path::line(pt(30.0, 100.0), pt(60.0, 100.0))), OperationKind::Mark, Keep::Line, 0),
            op_of(Stroke::Closed(pocket), OperationKind::HalfDepthPocket, Keep::Outside, 0),
            cut_of(slot(20.0), Keep::Outside),
            cut_of(slot(120.0), Keep::Outside),
            cut_of(square(20.0), Keep::Inside),
            cut_of(square(120.0), Keep::Inside),
        ];
        for i in [3, 5] {
            operations[i].copy = 2;
        }
        sheet(operations)
    }

    /// Every step in order, with the depth after it; panics where something is cut or travelled
    /// that must not be.
    fn deepest(program: &Program) -> f64 {
        let (mut depth, mut up, mut deepest) = (0.0f64, true, 0.0f64);
        for step in program.sections.iter().flat_map(|s| &s.runs).flat_map(|r| &r.steps) {
            match *step {
                Step::Travel { .. } => assert!(up, "travels with the tool down"),
                Step::Plunge { depth: to, .. } => (depth, up) = (to, false),
                Step::Cut { depth: to, .. } => {
                    assert!(!up, "cuts with the tool up");
                    depth = to;
                }
                Step::Lift => (depth, up) = (0.0, true),
                _ => {}
            }
            deepest = deepest.max(depth);
        }
        assert!(up, "ends with the tool down");
        deepest
    }

    #[test]
    fn knives_do_the_whole_sheet_in_the_hard_order_and_no_deeper_than_told() {
        for kind in [ToolKind::DragKnife, ToolKind::TangentialKnife] {
            let mut p = profile(kind);
            p.tools[0].swivel_depth = Some(mm(0.3));
            let (program, told) = build(&two_pieces(), &p);
            let program = program.unwrap_or_else(|| panic!("{told:?}"));
            assert!((deepest(&program) - 2.2).abs() < 1e-12, "thickness and extra");
            let runs: Vec<&LineId> = program.sections.iter().flat_map(|s| &s.runs).map(|r| &r.line).collect();
            assert_eq!(runs.len(), 6);
            assert!(runs.windows(2).all(|w| w[0].kind <= w[1].kind));
            assert!(program.used.contains(Bounds { min: pt(20.0, 20.0), max: pt(200.0, 120.0) }, 0.0));
            // What concerns both copies is told once: the mark, the pocket and the slots.
            let overcuts = told.iter().filter(|d| d.code == "wedge-overcut").count();
            assert_eq!(overcuts, if kind == ToolKind::TangentialKnife { 3 } else { 0 }, "{told:?}");
        }
    }

    #[test]
    fn what_stops_the_work_is_told_all_at_once() {
        let mut p = profile(ToolKind::TangentialKnife);
        p.machine.width = mm(600.0);
        p.tools[0].max_depth = mm(1.5);
        p.rules.retain(|r| r.operation != OperationKind::Mark);
        let (program, told) = build(&two_pieces(), &p);
        assert!(program.is_none());
        let codes: Vec<&str> = told.iter().map(|d| d.code).collect();
        assert_eq!(codes, ["sheet-larger-than-bed", "no-rule", "too-thick"]);
        assert!(told[0].message.contains("700 mm x 1000 mm") && told[0].message.contains("600 mm x 1200 mm"));
        assert!(told[1].message.contains("mark on board") && told[1].message.contains("test-bench"));
    }

    #[test]
    fn a_kerf_that_closes_the_slot_and_a_blade_off_the_bed_are_refused() {
        let mut p = profile(ToolKind::Beam);
        p.tools[0].kerf = mm(3.2);
        let (program, told) = build(&two_pieces(), &p);
        assert!(program.is_none());
        assert_eq!(told.iter().filter(|d| d.code == "kerf-too-wide").count(), 1, "both copies alike: {told:?}");
        let mut p = profile(ToolKind::DragKnife);
        p.machine.width = mm(700.0);
        p.tools[0].pivot_offset = mm(4.0);
        let edge = cut_of(Contour::rectangle(pt(600.0, 10.0), pt(698.0, 110.0)), Keep::Inside);
        let (program, told) = build(&sheet(vec![edge]), &p);
        assert!(program.is_none());
        assert_eq!(told[0].code, "out-of-reach");
        assert!(told[0].message.contains("by 2.0 mm"), "{}", told[0].message);
    }

    #[test]
    fn the_rotary_axis_is_carried_from_tool_to_tool() {
        let mut p = profile(ToolKind::TangentialKnife);
        p.tools[0].start_heading = deg(90.0);
        let mut blades = Blades::new(&p);
        assert!((blades.of(0).heading - 90.0).abs() < 1e-12);
        let mut second = p.tools[0].clone();
        second.id = "second".into();
        p.tools.push(second);
        let mut blades = Blades::new(&p);
        blades.of(1).heading = 400.0;
        assert!((blades.of(0).heading - 400.0).abs() < 1e-12);
    }
}
