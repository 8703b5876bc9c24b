//! A crease wheel and a pen: they go along lines on the stock and take nothing away.

use super::broken::stretches;
use super::track::Track;
use super::wrench::{Window, passable};
use super::{BladeState, Step, Task, Worked};
use crate::diag::Diagnostic;
use crate::geom::Segment;
use crate::profile::{Machine, OperationKind, ToolKind};
use crate::units::decimal;

/// A turn smaller than this is none, degrees.
const NO_TURN: f64 = 1e-7;

/// Presses or draws the line: each of its stretches in all its passes, forth and back without a
/// lift, before the next. A stretch of a closed line is gone round. A wheel on a machine that turns
/// its blades is turned along the line: evenly on arcs, on the spot up to the rule's corner limit,
/// lifted above it, and where it would turn too much within its width. It rolls both ways alike, so no
/// turn is more than a quarter.
///
/// Fails where the operation would have the tool cut, or a wheel press through the stock.
pub(super) fn follow(task: &Task<'_>, blade: &mut BladeState) -> Result<Worked, Diagnostic> {
    let depth = depth(task)?;
    let passes = task.rule.passes.max(1);
    let mut steps = Vec::new();
    let is_turned = task.rotary && task.tool.kind == ToolKind::CreaseWheel;
    for line in stretches(task)? {
        let line =
            if is_turned { Track::new(passable(task, line.segments().to_vec())?, line.is_closed()) } else { line };
        over(task, &line, depth, passes, is_turned.then_some(&mut *blade), &mut steps);
    }
    Ok(Worked { steps, passes, ..Worked::default() })
}

fn over(
    task: &Task<'_>,
    line: &Track,
    depth: f64,
    passes: u32,
    mut blade: Option<&mut BladeState>,
    steps: &mut Vec<Step>,
) {
    let Some(first) = line.segments().first() else { return };
    steps.push(Step::Travel { to: first.start });
    let mut is_down = false;
    let mut window = Window::new(task);
    for pass in 0..passes {
        let way: Vec<Segment> = if pass % 2 == 1 && !line.is_closed() {
            line.segments().iter().rev().map(Segment::reversed).collect()
        } else {
            line.segments().to_vec()
        };
        for s in way {
            let mut heading = None;
            if let Some(blade) = blade.as_deref_mut() {
                let start = aimed(blade.heading, &s, task.machine);
                let turn = start - blade.heading;
                if is_down && !window.fits(turn.to_radians(), &s) {
                    task.raise(steps);
                    is_down = false;
                }
                if turn.abs() > NO_TURN {
                    steps.push(Step::Turn { heading: start, feed: task.rule.turn_feed });
                }
                if is_down {
                    window.turned(turn.to_radians());
                } else {
                    window.clear();
                }
                window.went(&s);
                blade.heading = start + s.sweep().to_degrees();
                heading = Some(blade.heading);
            }
            if !is_down {
                task.lower(depth, steps);
                is_down = true;
            }
            steps.push(Step::Cut { to: s.end, bulge: s.bulge, depth, heading, feed: task.rule.feed });
        }
    }
    task.raise(steps);
}

/// The heading, degrees, for the start of a segment that is the shortest turn from `now`: along it
/// or against it, and within `limit` either way from its start to its end where there is a limit.
fn aimed(now: f64, s: &Segment, machine: &Machine) -> f64 {
    let (limit, zero) = (machine.rotary_limit.to_deg(), machine.x_heading().to_deg());
    let along = s.start_heading().to_degrees();
    let nearest = along + 180.0 * ((now - along) / 180.0).round();
    let sweep = s.sweep().to_degrees();
    let fits =
        |h: &f64| limit <= 0.0 || ((h - zero).abs() <= limit + NO_TURN && (h - zero + sweep).abs() <= limit + NO_TURN);
    let others = (-8..=8).map(|k| nearest + 180.0 * f64::from(k));
    others.filter(fits).min_by(|a, b| (a - now).abs().total_cmp(&(b - now).abs())).unwrap_or(nearest)
}

/// How deep it presses, mm.
fn depth(task: &Task<'_>) -> Result<f64, Diagnostic> {
    let tool = if task.tool.kind == ToolKind::Pen { "pen" } else { "crease wheel" };
    if !matches!(task.op.kind, OperationKind::CreaseScore | OperationKind::Mark) {
        let message = format!("a {tool} cannot make the {} of {}", task.op.kind.word(), task.name());
        return Err(Diagnostic::error("tool-cannot-cut", message).help("give the operation to a tool that cuts"));
    }
    let depth = task.depth();
    if depth >= task.thickness {
        let (stock, thick) = (task.rule.stock.word(), decimal(task.thickness, 2));
        let message =
            format!("pressed {} mm deep the {tool} would go through {stock} of {thick} mm", decimal(depth, 2));
        let hint = "lower `depth` in the machine's rule: half the board or a little more is enough for a crease";
        return Err(Diagnostic::error("wheel-too-deep", message).help(hint));
    }
    Ok(depth)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::comp::{Ground, testbed};
    use crate::geom::{Contour, Path, Point, Stroke, Vertex, pt};
    use crate::ops::{Keep, Operation};
    use crate::profile::{Lift, Profile};
    use crate::units::mm;
    use proptest::prelude::*;

    fn work(op: &Operation, profile: &Profile) -> Result<Worked, Diagnostic> {
        let ground = Ground::new(&testbed::sheet(vec![op.clone()]));
        follow(&testbed::task(op, profile, &ground), &mut BladeState { heading: 0.0 })
    }

    /// What is gone over with the tool down, from each coming down to each going up.
    fn pressed(steps: &[Step]) -> Vec<Vec<Segment>> {
        let (mut down, mut at, mut all) = (false, pt(0.0, 0.0), Vec::new());
        for step in steps {
            match *step {
                Step::Travel { to } => {
                    assert!(!down, "a traverse with the tool down");
                    at = to;
                }
                Step::Plunge { .. } | Step::On => {
                    down = true;
                    all.push(Vec::new());
                }
                Step::Lift | Step::Off => down = false,
                Step::Cut { to, bulge, .. } => {
                    assert!(down);
                    all.last_mut().expect("down").push(Segment { start: at, end: to, bulge });
                    at = to;
                }
                Step::Turn { .. } | Step::Dwell(_) => {}
            }
        }
        assert!(!down);
        all
    }

    fn crease(path: Path) -> Operation {
        testbed::op_of(Stroke::Open(path), OperationKind::CreaseScore, Keep::Line, 0)
    }

    fn length(way: &[Segment]) -> f64 {
        way.iter().map(Segment::length).sum()
    }

    #[test]
    fn a_crease_is_pressed_to_and_fro_and_never_through() {
        let mut profile = testbed::profile(ToolKind::CreaseWheel);
        profile.rules[1].passes = 3;
        let op = crease(Path::line(pt(10.0, 20.0), pt(110.0, 20.0)));
        let worked = work(&op, &profile).expect("works");
        let ways = pressed(&worked.steps);
        assert_eq!((ways.len(), ways[0].len(), worked.passes), (1, 3, 3));
        assert!(worked.steps.iter().all(|s| !matches!(s, Step::Cut { depth, .. } if (*depth - 0.3).abs() > 1e-12)));
        profile.rules[1].depth = mm(2.0);
        assert_eq!(work(&op, &profile).expect_err("through").code, "wheel-too-deep");
        let cut = testbed::cut_of(Contour::rectangle(pt(0.0, 0.0), pt(9.0, 9.0)), Keep::Inside);
        assert_eq!(work(&cut, &profile).expect_err("a cut").code, "tool-cannot-cut");
    }

    #[test]
    fn a_double_crease_runs_on_both_sides_at_half_the_distance() {
        let mut profile = testbed::profile(ToolKind::CreaseWheel);
        profile.rules[1].double = mm(1.5);
        let bent = Path::new([
            Vertex::new(pt(10.0, 10.0), 0.0),
            Vertex::new(pt(60.0, 10.0), 0.0),
            Vertex::new(pt(60.0, 50.0), 1.0),
            Vertex::new(pt(40.0, 50.0), 0.0),
        ]);
        let ways = pressed(&work(&crease(bent.clone()), &profile).expect("works").steps);
        assert_eq!(ways.len(), 2);
        for s in ways.iter().flatten() {
            for t in [0.1, 0.5, 0.9] {
                let away = bent.segments().map(|l| l.distance_to(s.point_at(t))).fold(f64::INFINITY, f64::min);
                assert!((away - 0.75).abs() < 1e-9, "{away}");
            }
        }
        assert!((ways[0][2].radius() - 9.25).abs() < 1e-9 && (ways[1][2].radius() - 10.75).abs() < 1e-9);
        let tight = Path::new([Vertex::new(pt(0.0, 0.0), 1.0), Vertex::new(pt(1.0, 0.0), 0.0)]);
        assert_eq!(work(&crease(tight), &profile).expect_err("too tight").code, "double-crease-bent");
    }

    #[test]
    fn a_turned_wheel_follows_the_line_and_is_lifted_at_its_corners() {
        let mut profile = testbed::profile(ToolKind::CreaseWheel);
        profile.output.rotary = Some("C".into());
        profile.machine.rotary_limit = crate::units::deg(185.0);
        profile.rules[1].passes = 2;
        let bent = Path::new([
            Vertex::new(pt(10.0, 10.0), 0.0),
            Vertex::new(pt(60.0, 10.0), 0.0),
            Vertex::new(pt(60.0, 50.0), 1.0),
            Vertex::new(pt(40.0, 50.0), 0.0),
        ]);
        let (mut at, mut heading, mut down, mut lifts) = (pt(0.0, 0.0), 0.0f64, false, 0);
        for step in work(&crease(bent), &profile).expect("works").steps {
            match step {
                Step::Travel { to } => at = to,
                Step::Turn { heading: h, .. } => {
                    assert!(!down || (h - heading).abs() <= 15.0, "turned by more than the limit while down");
                    heading = h;
                }
                Step::Plunge { .. } => down = true,
                Step::Lift => (down, lifts) = (false, lifts + 1),
                Step::Cut { to, bulge, heading: h, .. } => {
                    let s = Segment { start: at, end: to, bulge };
                    let h = h.expect("a heading");
                    assert!((heading.to_radians() - s.start_heading()).sin().abs() < 1e-9, "askew at its start");
                    assert!((h - heading - s.sweep().to_degrees()).abs() < 1e-9, "not tangent through the arc");
                    assert!(h.abs() <= 185.0 + 1e-6);
                    (at, heading) = (to, h);
                }
                Step::On | Step::Off | Step::Dwell(_) => {}
            }
        }
        assert!(lifts >= 3, "lifted at the square corner forth and back, and at the end");
    }

    #[test]
    fn a_servo_pen_waits_after_it_comes_down() {
        let mut profile = testbed::profile(ToolKind::Pen);
        (profile.tools[0].lift, profile.tools[0].on_dwell, profile.tools[0].off_dwell) = (Lift::Words, 0.2, 0.1);
        let op =
            testbed::op_of(Stroke::Open(Path::line(pt(0.0, 0.0), pt(5.0, 0.0))), OperationKind::Mark, Keep::Line, 0);
        let steps = work(&op, &profile).expect("works").steps;
        assert!(matches!(
            steps[..],
            [Step::Travel { .. }, Step::On, Step::Dwell(_), Step::Cut { .. }, Step::Off, Step::Dwell(_)]
        ));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(60))]

        #[test]
        fn dashes_are_even_and_the_first_and_last_are_whole(
            corners in prop::collection::vec((5.0..80.0f64, -1.0..1.0f64, prop_oneof![Just(0.0), -0.9..0.9f64]), 1..6),
            on in 1.0..12.0f64, off in 0.5..8.0f64, closed in any::<bool>(),
        ) {
            let mut at = pt(200.0, 500.0);
            let mut heading = 0.0;
            let mut vertices = vec![];
            for (length, turn, bulge) in corners {
                vertices.push(Vertex::new(at, bulge));
                heading += turn;
                at = at + Point::unit(heading) * length;
            }
            vertices.push(Vertex::new(at, 0.0));
            let stroke = if closed && vertices.len() > 2 {
                Stroke::Closed(Contour::new(vertices))
            } else {
                Stroke::Open(Path::new(vertices))
            };
            let mut profile = testbed::profile(ToolKind::CreaseWheel);
            profile.rules[1].pattern = vec![mm(on), mm(off)];
            let op = testbed::op_of(stroke.clone(), OperationKind::CreaseScore, Keep::Line, 0);
            let ways = pressed(&work(&op, &profile).expect("works").steps);
            let total = stroke.length();
            if ways.len() == 1 && (length(&ways[0]) - total).abs() < 1e-6 {
                prop_assert!(total < 1.5 * (on + off) + on, "left whole though two dashes have room");
                return Ok(());
            }
            let n = ways.len() as f64;
            let factor = total / (n * on + if stroke.is_closed() { n } else { n - 1.0 } * off);
            for way in &ways {
                prop_assert!((length(way) - on * factor).abs() < 0.02, "{} for {}", length(way), on * factor);
                for s in way {
                    let near = |p: Point| stroke.segments().iter().map(|l| l.distance_to(p)).fold(f64::INFINITY, f64::min);
                    prop_assert!(near(s.point_at(0.5)) < 1e-6, "off the line, or an arc turned into chords");
                }
            }
            prop_assert!(ways[0][0].start.distance(stroke.segments()[0].start) < 1e-6);
            if !stroke.is_closed() {
                let end = stroke.segments().last().expect("segments").end;
                prop_assert!(ways[ways.len() - 1].last().expect("a dash").end.distance(end) < 1e-6);
            }
        }
    }
}
