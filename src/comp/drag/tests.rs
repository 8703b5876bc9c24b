//! The drag knife against its own physics: the trailing tip's differential equation, integrated
//! along the pivot's path by code that knows nothing of the compensation.

use crate::comp::testbed::{cut_of, op_of, profile, sheet, task};
use crate::comp::{BladeState, Ground, Step, Worked, candidates, follow, started};
use crate::geom::{Contour, Point, Segment, Stroke, Vertex, pt};
use crate::ops::{Keep, Operation};
use crate::profile::{OperationKind, Profile, ToolKind};
use crate::units::{deg, mm};
use proptest::prelude::*;

/// The tip's way while the tool is down, with the depth at each point.
///
/// P' = unit of the pivot's heading; theta' = sin(alpha - theta)/d (no side-slip), by midpoint steps.
fn simulate(steps: &[Step], d: f64, start_heading: f64) -> (Vec<(Point, f64)>, f64) {
    let (mut pivot, mut theta, mut down, mut depth_now) = (pt(0.0, 0.0), start_heading, false, 0.0);
    let mut tips = Vec::new();
    for step in steps {
        match *step {
            Step::Travel { to } => {
                assert!(!down, "travel with the tool down");
                pivot = to;
            }
            Step::Plunge { depth, .. } => {
                (down, depth_now) = (true, depth);
                tips.push((pivot - Point::unit(theta) * d, depth));
            }
            Step::Lift => down = false,
            Step::Cut { to, bulge, depth, .. } => {
                assert!(down && (depth - depth_now).abs() < 1e-12, "cut at the depth that was plunged to");
                let s = Segment { start: pivot, end: to, bulge };
                let n = (s.length() / (d / 25.0)).ceil().max(1.0) as usize;
                let h = s.length() / n as f64;
                for i in 0..n {
                    let at = |x: f64| s.heading_at((i as f64 + x) / n as f64);
                    let mid = theta + h / 2.0 * (at(0.0) - theta).sin() / d;
                    theta += h * (at(0.5) - mid).sin() / d;
                    tips.push((s.point_at((i + 1) as f64 / n as f64) - Point::unit(theta) * d, depth));
                }
                pivot = to;
            }
            Step::On | Step::Off | Step::Dwell(_) | Step::Turn { .. } => {}
        }
    }
    (tips, theta)
}

fn work(op: &Operation, profile: &Profile, blade: &mut BladeState) -> Worked {
    let ground = Ground::new(&sheet(vec![op.clone()]));
    follow(&task(op, profile, &ground), blade).expect("can be cut")
}

/// The largest distance of the tip from the line, and of points on the line from the tip's way.
fn strays(tips: &[(Point, f64)], line: &[Segment]) -> (f64, f64) {
    let off = tips.iter().map(|t| line.iter().map(|s| s.distance_to(t.0)).fold(f64::INFINITY, f64::min));
    let missed = line
        .iter()
        .flat_map(|s| (0..20).map(|i| s.point_at((f64::from(i) + 0.5) / 20.0)))
        .map(|p| tips.windows(2).map(|w| Segment::line(w[0].0, w[1].0).distance_to(p)).fold(f64::INFINITY, f64::min));
    (off.fold(0.0, f64::max), missed.fold(0.0, f64::max))
}

/// A drag-knife bench of this offset, one pass, swivelling on the spot.
fn bench(d: f64) -> Profile {
    let mut profile = profile(ToolKind::DragKnife);
    profile.tools[0].pivot_offset = mm(d);
    profile.tools[0].swivel_depth = Some(mm(0.4));
    profile.rules.iter_mut().for_each(|r| r.pass_depth = mm(5.0));
    profile
}

/// A star-shaped contour about (350, 350) whose edges bulge by turns.
fn star() -> impl Strategy<Value = Contour> {
    let vertex = (40.0..120.0f64, -0.4..0.4f64, prop::bool::ANY);
    prop::collection::vec(vertex, 3..9).prop_map(|v| {
        let n = v.len() as f64;
        Contour::new(v.into_iter().enumerate().map(|(i, (r, bulge, line))| {
            let p = pt(350.0, 350.0) + Point::unit(i as f64 / n * std::f64::consts::TAU) * r;
            Vertex::new(p, if line { 0.0 } else { bulge })
        }))
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 32, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn the_tip_stays_on_random_contours_of_lines_and_arcs(
        contour in star(), d in 0.2..4.0f64, start in 0.0..360.0f64, limit in 1.0..60.0f64,
    ) {
        let first = candidates(&contour, 1.0)[0];
        let contour = started(&contour, first);
        let mut profile = bench(d);
        profile.rules.iter_mut().for_each(|r| r.corner_limit = deg(limit));
        let op = cut_of(contour.clone(), Keep::Inside);
        let mut blade = BladeState { heading: start };
        let done = work(&op, &profile, &mut blade);
        let (tips, theta) = simulate(&done.steps, d, start.to_radians());
        let line: Vec<Segment> = contour.segments().collect();
        let (off, missed) = strays(&tips, &line);
        prop_assert!(off < 0.03, "tip {off} off the line");
        prop_assert!(missed < 0.03, "{missed} not cut");
        prop_assert!((theta.to_degrees() - blade.heading).abs() < 0.5, "{} {}", theta.to_degrees(), blade.heading);
        // Cut length of the tip: the contour and the overrun; a corner without its swivel pushes it
        // back and draws it on again by 0.02 at most.
        let run: f64 = tips.windows(2).filter(|w| w[1].1 > 2.0).map(|w| w[0].0.distance(w[1].0)).sum();
        prop_assert!((run - contour.length() - d.max(1.0)).abs() < 0.05 * (1 + line.len()) as f64, "{run} {}", contour.length());
    }
}

#[test]
fn a_corner_is_swivelled_only_above_the_threshold() {
    // 2 acos(1 - e/d), d = 0.5, e = 0.02: 32.52 degrees.
    let corner = |degrees: f64| {
        let bend = pt(100.0, 50.0) + Point::unit(degrees.to_radians()) * 40.0;
        let vertices = [pt(50.0, 50.0), pt(100.0, 50.0), bend].map(|p| Vertex::new(p, 0.0));
        let line = Stroke::Open(crate::geom::Path::new(vertices));
        let op = op_of(line, OperationKind::ThroughCut, Keep::Line, 0);
        let mut profile = bench(0.5);
        profile.rules.iter_mut().for_each(|r| r.corner_limit = deg(90.0));
        let done = work(&op, &profile, &mut BladeState { heading: 0.0 });
        let (tips, _) = simulate(&done.steps, 0.5, 0.0);
        let (off, _) = strays(&tips, &op.stroke.segments());
        let arcs = done.steps.iter().filter(|s| matches!(s, Step::Cut { bulge, .. } if *bulge != 0.0)).count();
        (arcs, off)
    };
    let (arcs, off) = corner(32.4);
    assert_eq!(arcs, 0);
    assert!(off <= 0.02, "{off}");
    assert_eq!(corner(32.7).0, 1);
}

#[test]
fn the_pivot_runs_a_circle_of_the_root_of_the_squares() {
    let op = cut_of(Contour::circle(pt(100.0, 100.0), 12.0), Keep::Inside);
    let done = work(&op, &bench(5.0), &mut BladeState { heading: 90.0 });
    let Some(Step::Travel { to: mut at }) = done.steps.first().copied() else { panic!("travels first") };
    for step in &done.steps {
        if let Step::Cut { to, bulge, .. } = *step {
            let s = Segment { start: at, end: to, bulge };
            assert!((s.radius() - 13.0).abs() < 1e-9);
            at = to;
        }
    }
}

#[test]
fn deep_swivels_are_made_shallow_and_passes_follow_one_another() {
    let square = Contour::rectangle(pt(50.0, 50.0), pt(90.0, 90.0));
    let square = started(&square, candidates(&square, 1.0)[0]);
    let op = cut_of(square, Keep::Inside);
    let mut profile = bench(3.0);
    profile.rules.iter_mut().for_each(|r| r.pass_depth = mm(1.0));
    let done = work(&op, &profile, &mut BladeState { heading: 0.0 });
    assert_eq!(done.passes, 2);
    assert_eq!(done.steps.iter().filter(|s| matches!(s, Step::Lift)).count(), 1, "one lift, at the end");
    let turns: Vec<f64> = done
        .steps
        .iter()
        .filter_map(|s| match s {
            Step::Cut { bulge, depth, .. } if *bulge != 0.0 => Some(*depth),
            _ => None,
        })
        .collect();
    assert_eq!(turns, vec![0.4; 8]);
    let (tips, _) = simulate(&done.steps, 3.0, 0.0);
    let deepest = tips.iter().map(|t| t.1).fold(0.0, f64::max);
    assert!((deepest - 2.2).abs() < 1e-12);
    let (off, missed) = strays(&tips, &op.stroke.segments());
    assert!(off < 0.01 && missed < 0.01, "{off} {missed}");
}

#[test]
fn without_a_shallow_depth_the_blade_is_aligned_in_waste_from_any_heading() {
    let square = Contour::rectangle(pt(50.0, 50.0), pt(150.0, 150.0));
    let square = started(&square, candidates(&square, 1.0)[0]);
    let mut profile = bench(0.6);
    profile.tools[0].swivel_depth = None;
    for keep in [Keep::Inside, Keep::Outside] {
        for heading in (0..24).map(|k| f64::from(k) * 15.0 + 7.0) {
            let op = cut_of(if keep == Keep::Inside { square.clone() } else { square.reversed() }, keep);
            let done = work(&op, &profile, &mut BladeState { heading });
            assert!(done.notes.is_empty());
            let (tips, _) = simulate(&done.steps, 0.6, heading.to_radians());
            let edge: Vec<Segment> = square.segments().collect();
            let worst = tips.iter().map(|t| t.0).filter(|t| square.contains(*t) == (keep == Keep::Inside));
            let worst = worst.map(|t| edge.iter().map(|s| s.distance_to(t)).fold(f64::INFINITY, f64::min));
            let worst = worst.fold(0.0, f64::max);
            assert!(worst < 0.02, "{worst} into the piece from {heading}");
            assert!(strays(&tips, &edge).1 < 0.02, "not all is cut");
        }
    }
}

#[test]
fn where_no_waste_is_left_the_turn_on_the_edge_is_said() {
    let square = |x: f64| Contour::rectangle(pt(x, 50.0), pt(x + 20.0, 70.0));
    let mut profile = bench(0.6);
    profile.tools[0].swivel_depth = None;
    let mut right = cut_of(square(30.3), Keep::Inside);
    right.piece = "wall".into();
    let first = started(&square(30.3), crate::comp::Start { segment: 3, share: 0.5, point: pt(30.3, 60.0) });
    right.stroke = Stroke::Closed(first);
    let ground = Ground::new(&sheet(vec![cut_of(square(10.0), Keep::Inside), right.clone()]));
    let done = follow(&task(&right, &profile, &ground), &mut BladeState { heading: 0.0 }).expect("can be cut");
    assert_eq!(done.notes[0].code, "blade-turned-on-edge");
}

#[test]
fn corners_just_below_the_threshold_between_lines_and_arcs_keep_the_tolerance() {
    let mut worst = 0.0f64;
    for d in [0.25, 1.26, 4.0f64] {
        let turn = 0.999 * 2.0 * (1.0 - 0.02 / d).acos();
        let bulges = [-0.4, -0.1, 0.0, 0.1, 0.4f64];
        for (before, after) in bulges.iter().flat_map(|a| bulges.iter().map(move |b| (*a, *b))) {
            for way in [turn, -turn] {
                // Chords chosen so that the headings at the corner differ by the turn.
                let out = way + 2.0 * f64::atan(before) + 2.0 * f64::atan(after);
                let corner = pt(300.0, 300.0);
                let line = crate::geom::Path::new([
                    Vertex::new(corner - pt(60.0, 0.0), before),
                    Vertex::new(corner, after),
                    Vertex::new(corner + Point::unit(out) * 60.0, 0.0),
                ]);
                let start = line.segments().next().map_or(0.0, |s| s.start_heading());
                let op = op_of(Stroke::Open(line), OperationKind::ThroughCut, Keep::Line, 0);
                let mut profile = bench(d);
                profile.rules.iter_mut().for_each(|r| r.corner_limit = deg(90.0));
                let done = work(&op, &profile, &mut BladeState { heading: start.to_degrees() });
                let (tips, _) = simulate(&done.steps, d, start);
                let (off, missed) = strays(&tips, &op.stroke.segments());
                worst = worst.max(off).max(missed);
            }
        }
    }
    assert!(worst < 0.021, "{worst}");
}
