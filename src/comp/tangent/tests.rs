//! The driven knife: headings, lifts, unwinding, and the closed forms of its slanted edge.

use crate::comp::testbed::{cut_of, op_of, profile, sheet, task};
use crate::comp::{BladeState, Ground, Step, Worked, candidates, follow, started};
use crate::diag::Diagnostic;
use crate::geom::{Contour, Segment, Stroke, Vertex, fillet, pt};
use crate::ops::{Keep, Operation};
use crate::profile::{Finish, OperationKind, Profile, ToolKind};
use crate::units::{deg, mm};
use proptest::prelude::*;

fn work(op: &Operation, profile: &Profile, blade: &mut BladeState) -> Result<Worked, Diagnostic> {
    let ground = Ground::new(&sheet(vec![op.clone()]));
    follow(&task(op, profile, &ground), blade)
}

fn bench() -> Profile {
    profile(ToolKind::TangentialKnife)
}

fn from_an_edge(c: &Contour) -> Contour {
    started(c, candidates(c, 1.0)[0])
}

/// Walks the steps: while the blade is down its heading is the line's, to 1e-6 degrees, unless it
/// turns alone. Returns the cut length for each depth and the largest heading.
fn walk(done: &Worked, mut heading: f64, limit: f64) -> (Vec<(f64, f64)>, f64) {
    let (mut at, mut down, mut depth_now, mut most) = (pt(0.0, 0.0), false, 0.0, 0.0f64);
    let mut lengths: Vec<(f64, f64)> = Vec::new();
    for step in &done.steps {
        match *step {
            Step::Travel { to } => {
                assert!(!down);
                at = to;
            }
            Step::Turn { heading: to, .. } => {
                assert!(!down || (to - heading).abs() <= limit + 1e-6, "turned {} in the stock", to - heading);
                heading = to;
            }
            Step::Plunge { depth, .. } => (down, depth_now) = (true, depth),
            Step::Lift => down = false,
            Step::Cut { to, bulge, depth, heading: after, .. } => {
                assert!(down && (depth - depth_now).abs() < 1e-12);
                let s = Segment { start: at, end: to, bulge };
                let off = (heading.to_radians() - s.start_heading()).rem_euclid(std::f64::consts::TAU);
                assert!(off.min(std::f64::consts::TAU - off) < 1e-8, "starts {off} off its line");
                let after = after.expect("a heading on every cut");
                assert!((after - heading - s.sweep().to_degrees()).abs() < 1e-6, "turns as the arc does");
                heading = after;
                match lengths.last_mut() {
                    Some(l) if (l.0 - depth).abs() < 1e-12 => l.1 += s.length(),
                    _ => lengths.push((depth, s.length())),
                }
                at = to;
            }
            Step::On | Step::Off | Step::Dwell(_) => {}
        }
        most = most.max(heading.abs());
    }
    assert!(!down, "ends lifted");
    (lengths, most)
}

#[test]
fn a_square_is_lifted_at_its_corners_and_turned_the_short_way() {
    let square = from_an_edge(&Contour::rectangle(pt(10.0, 10.0), pt(50.0, 50.0)));
    let op = cut_of(square, Keep::Inside);
    let mut blade = BladeState { heading: 0.0 };
    let done = work(&op, &bench(), &mut blade).expect("can be cut");
    // Passes at 1.0 and 2.2; the edge is stopped 0.2 tan 30 before the four corners of the last.
    let (lengths, _) = walk(&done, 0.0, 15.0);
    assert_eq!(lengths.len(), 2);
    assert!((lengths[0].1 - 160.0).abs() < 1e-9);
    assert!((lengths[1].1 - (160.0 + 1.0 - 4.0 * 0.2 * 30f64.to_radians().tan())).abs() < 1e-9, "{lengths:?}");
    assert_eq!(done.steps.iter().filter(|s| matches!(s, Step::Lift)).count(), 9, "four corners twice, and the end");
    assert!((blade.heading - 720.0).abs() < 1e-9, "twice round: {}", blade.heading);
    assert_eq!(done.passes, 2);
}

#[test]
fn the_wedge_overcuts_the_top_by_its_closed_form() {
    // t tan(beta), t = 2: 0.73 at 20 degrees, 1.15 at 30, 2.0 at 45 (derived, worked by hand).
    let op = cut_of(from_an_edge(&Contour::rectangle(pt(10.0, 10.0), pt(50.0, 50.0))), Keep::Inside);
    for (angle, overcut) in [(20.0, 0.73), (30.0, 1.15), (45.0, 2.0)] {
        let mut profile = bench();
        profile.tools[0].edge_angle = deg(angle);
        let wedge = work(&op, &profile, &mut BladeState { heading: 0.0 }).expect("cut").wedge.expect("a slant");
        assert!((wedge.top_overcut - overcut).abs() < 0.005 && wedge.bottom_uncut < 1e-9, "{wedge:?}");
        profile.rules.iter_mut().for_each(|r| r.finish = Finish::Top);
        let wedge = work(&op, &profile, &mut BladeState { heading: 0.0 }).expect("cut").wedge.expect("a slant");
        assert!((wedge.bottom_uncut - overcut).abs() < 0.005 && wedge.top_overcut < 1e-9, "{wedge:?}");
    }
}

#[test]
fn an_overcut_into_the_piece_is_said_and_one_into_waste_is_not() {
    let square = from_an_edge(&Contour::rectangle(pt(10.0, 10.0), pt(50.0, 50.0)));
    let notes = |op: &Operation| work(op, &bench(), &mut BladeState { heading: 0.0 }).expect("cut").notes;
    assert!(notes(&cut_of(square.clone(), Keep::Inside)).is_empty());
    let slot = notes(&cut_of(square.reversed(), Keep::Outside));
    assert_eq!(slot[0].code, "wedge-overcut");
    assert!(slot[0].message.contains("1.15 mm past the corners and ends of a through-cut"), "{}", slot[0].message);
    let l = [(0, 0), (60, 0), (60, 30), (30, 30), (30, 60), (0, 60)].map(|(x, y)| pt(f64::from(x), f64::from(y)));
    let one = notes(&cut_of(from_an_edge(&Contour::polygon(l)), Keep::Inside));
    assert!(one[0].message.contains("past the corners and ends"), "{}", one[0].message);
}

#[test]
fn a_stray_on_arcs_is_said_where_the_machine_lets_less_pass() {
    // Straight ahead of the tip by reach = depth tan(beta), on an arc of radius r the edge is
    // hypot(r, reach) - r outside it (derived).
    let told = |radius: f64| {
        let square = Contour::rectangle(pt(10.0, 10.0), pt(50.0, 50.0));
        let op = cut_of(from_an_edge(&fillet(&square, 1, radius).expect("room")), Keep::Inside);
        let done = work(&op, &bench(), &mut BladeState { heading: 0.0 }).expect("cut");
        let stray = done.wedge.expect("a slant").arc_stray;
        (stray, done.notes.iter().any(|n| n.code == "wedge-arc-stray"))
    };
    let tolerance = bench().machine.tolerance.to_mm();
    let (tight, wide) = (told(2.0), told(20.0));
    assert!(tight.0 > tolerance && tight.1, "{tight:?}");
    assert!(wide.0 < tolerance && !wide.1, "{wide:?}");
}

#[test]
fn an_overcut_into_the_next_piece_is_said() {
    let op = cut_of(from_an_edge(&Contour::rectangle(pt(10.0, 10.0), pt(50.0, 50.0))), Keep::Inside);
    let mut next = cut_of(Contour::rectangle(pt(51.0, 0.0), pt(80.0, 60.0)), Keep::Inside);
    next.piece = "wall-left".into();
    let ground = Ground::new(&sheet(vec![op.clone(), next]));
    let profile = bench();
    let done = follow(&task(&op, &profile, &ground), &mut BladeState { heading: 0.0 }).expect("cut");
    assert_eq!(done.notes[0].code, "wedge-into-neighbour");
    assert!(done.notes[0].message.contains("wall-left (copy 1)"));
}

#[test]
fn a_slot_shorter_than_the_blade_is_refused_with_the_shortest() {
    let slot = |l: f64| {
        cut_of(from_an_edge(&Contour::rectangle(pt(10.0, 10.0), pt(30.0, 10.0 + l))).reversed(), Keep::Outside)
    };
    let mut profile = bench();
    profile.rules.iter_mut().for_each(|r| r.finish = Finish::Top);
    // D tan(beta) = 2.2 tan 30 = 1.2702.
    let error = work(&slot(1.2), &profile, &mut BladeState { heading: 0.0 }).expect_err("too short");
    assert_eq!(error.code, "edge-too-short");
    assert!(error.message.contains("1.2 mm") && error.message.contains("1.29 mm"), "{}", error.message);
    assert!(work(&slot(1.29), &profile, &mut BladeState { heading: 0.0 }).is_ok());
}

#[test]
fn a_small_square_hole_is_started_at_a_corner() {
    let mut profile = bench();
    profile.rules.iter_mut().for_each(|r| r.finish = Finish::Top);
    let hole = cut_of(from_an_edge(&Contour::rectangle(pt(10.0, 10.0), pt(12.0, 12.0))).reversed(), Keep::Outside);
    let done = work(&hole, &profile, &mut BladeState { heading: 0.0 }).expect("2 mm is longer than 1.27");
    let Step::Travel { to } = done.steps[0] else { panic!("travels first") };
    assert!(hole.stroke.vertices().iter().skip(1).any(|v| v.point().is_near(to)));
    let (lengths, _) = walk(&done, 0.0, 15.0);
    assert!((lengths[1].1 - 4.0 * (2.0 - 2.2 * 30f64.to_radians().tan())).abs() < 1e-9);
}

#[test]
fn a_limited_axis_is_unwound_only_while_lifted() {
    let mut profile = bench();
    for limit in [190.0, 360.0, 400.0] {
        profile.machine.rotary_limit = deg(limit);
        let shapes = [Contour::circle(pt(100.0, 100.0), 20.0), Contour::rectangle(pt(10.0, 10.0), pt(50.0, 50.0))];
        for c in shapes {
            for start in [-180.0, 0.0, 170.0] {
                let op = cut_of(from_an_edge(&c), Keep::Inside);
                let done = work(&op, &profile, &mut BladeState { heading: start }).expect("can be cut");
                let (lengths, most) = walk(&done, start, 15.0);
                assert!(most <= limit + 1e-6, "{most} of {limit}");
                assert!(lengths.iter().map(|l| l.1).sum::<f64>() > 2.0 * c.length() - 1.0);
            }
        }
    }
}

#[test]
fn a_pocket_is_outlined_and_parted_into_strips_along_the_grain() {
    let c = from_an_edge(&Contour::rectangle(pt(100.0, 100.0), pt(108.0, 125.0)));
    let mut op = op_of(Stroke::Closed(c.reversed()), OperationKind::HalfDepthPocket, Keep::Outside, 0);
    op.grain_deg = Some(90.0);
    let done = work(&op, &bench(), &mut BladeState { heading: 0.0 }).expect("can be cut");
    let (lengths, _) = walk(&done, 0.0, 15.0);
    assert!(lengths.iter().all(|l| (l.0 - 1.0).abs() < 1e-12), "never deeper than the pocket");
    // 8 mm in three strips of 2.67: two lines of 25 less twice 1.0 tan 30, up the grain.
    let line = 25.0 - 2.0 * 30f64.to_radians().tan();
    assert!((lengths[0].1 - (66.0 + 1.0 + 2.0 * line)).abs() < 1e-9, "{lengths:?}");
    assert_eq!(done.passes, 3, "the outline and two lines");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn the_heading_is_the_lines_on_any_contour(
        v in prop::collection::vec((40.0..120.0f64, -0.4..0.4f64, prop::bool::ANY), 3..9),
        start in -400.0..400.0f64, limit in 1.0..60.0f64, rotary in prop::sample::select(vec![0.0, 185.0, 360.0, 720.0]),
    ) {
        let n = v.len() as f64;
        let contour = Contour::new(v.into_iter().enumerate().map(|(i, (r, bulge, line))| {
            let p = pt(350.0, 350.0) + crate::geom::Point::unit(i as f64 / n * std::f64::consts::TAU) * r;
            Vertex::new(p, if line { 0.0 } else { bulge })
        }));
        let contour = fillet(&contour, 0, 2.0).unwrap_or(contour);
        let mut profile = bench();
        profile.machine.rotary_limit = deg(rotary);
        (profile.tools[0].edge_angle, profile.tools[0].blade_width) = (deg(0.0), mm(0.01));
        profile.rules.iter_mut().for_each(|r| (r.corner_limit, r.overrun) = (deg(limit), mm(2.0)));
        let op = cut_of(from_an_edge(&contour), Keep::Inside);
        let start = if rotary > 0.0 { start.clamp(-rotary, rotary) } else { start };
        let done = work(&op, &profile, &mut BladeState { heading: start }).expect("can be cut");
        let (lengths, most) = walk(&done, start, limit);
        prop_assert!(rotary == 0.0 || most <= rotary + 1e-6, "{most}");
        let total: f64 = lengths.iter().map(|l| l.1).sum();
        prop_assert!((total - 2.0 * contour.length() - 2.0).abs() < 1e-6, "{total} of {}", contour.length());
    }
}
