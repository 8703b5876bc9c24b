use super::*;
use crate::comp::testbed;
use crate::geom::Bounds;
use crate::job::StockKind;
use crate::motion::{LineId, Run, Section};
use crate::nest::Sheet;
use crate::profile::{OperationKind, ToolKind};
use crate::units::{Feed, mm, mm_per_min};
use proptest::prelude::*;

fn machine(acceleration: f64, deviation: f64, ahead: u32) -> Profile {
    let mut p = testbed::profile(ToolKind::Pen);
    p.machine.acceleration = acceleration;
    p.machine.junction_deviation = mm(deviation);
    p.machine.look_ahead = ahead;
    p.machine.z_axis = false;
    p
}

fn program(steps: Vec<Step>) -> Program {
    let line = LineId { piece: "base".into(), copy: 1, kind: OperationKind::Mark, index: 0 };
    let run = Run { line, rule: 0, passes: 1, wedge: None, steps };
    let section = Section { tool: 0, runs: vec![run] };
    let sheet = Sheet::bare("board-1", StockKind::Board, [mm(100.0), mm(100.0), mm(2.0)]).into();
    Program { sheet, is_first_side: false, used: Bounds::EMPTY, moved: None, sections: vec![section] }
}

fn cut(to: Point, bulge: f64, feed: Feed) -> Step {
    Step::Cut { to, bulge, depth: 0.0, heading: None, feed }
}

fn square(profile: &Profile) -> f64 {
    let corners = [pt(100.0, 0.0), pt(100.0, 100.0), pt(0.0, 100.0), pt(0.0, 0.0)];
    timing(&program(corners.map(|c| cut(c, 0.0, mm_per_min(6000.0))).to_vec()), profile).total.seconds
}

#[test]
fn a_square_takes_what_acceleration_and_corners_cost() {
    // Worked by hand from v^2 = a d s/(1-s) and trapezoids, and confirmed by brute integration:
    // naively 4.00 s; a = 500 mm/s2 4.76 s; a = 100 mm/s2 7.91 s (d = 0.01 mm, feed 100 mm/s).
    assert!((square(&machine(1e12, 0.01, 0)) - 4.00).abs() < 0.001);
    assert!((square(&machine(500.0, 0.01, 0)) - 4.76).abs() < 0.005, "{}", square(&machine(500.0, 0.01, 0)));
    assert!((square(&machine(100.0, 0.01, 0)) - 7.91).abs() < 0.005, "{}", square(&machine(100.0, 0.01, 0)));
}

/// One block as the brute integration sees it.
struct Stretch {
    segment: Segment,
    speed: f64,
}

/// The time found by walking the chain in steps of about a micrometre: the speed allowed at each
/// point, lowered until no step asks for more than the acceleration either way, integrated.
fn brute(stretches: &[Stretch], a: f64, deviation: f64, ahead: usize) -> f64 {
    let mut allowed: Vec<f64> = Vec::new();
    let mut steps: Vec<f64> = Vec::new();
    for (i, s) in stretches.iter().enumerate() {
        let length = s.segment.length();
        let n = (length / 0.002).ceil() as usize;
        let curve = (a * s.segment.radius()).sqrt();
        let most = s.speed.min(curve);
        let known: f64 = stretches[i..].iter().take(ahead).map(|s| s.segment.length()).sum();
        let mut entry = most.min((2.0 * a * known).sqrt());
        if i == 0 {
            entry = 0.0;
        } else {
            let before = stretches[i - 1].segment.end_heading();
            let inner = std::f64::consts::PI - pt(1.0, 0.0).rotated(s.segment.start_heading() - before).heading().abs();
            let half = (inner / 2.0).sin();
            let last = allowed.pop().expect("a point before");
            entry = entry.min(last).min((a * deviation * half / (1.0 - half).max(1e-300)).sqrt());
        }
        allowed.push(entry);
        for _ in 0..n {
            steps.push(length / n as f64);
            allowed.push(most);
        }
    }
    *allowed.last_mut().expect("points") = 0.0;
    for i in (0..steps.len()).rev() {
        allowed[i] = allowed[i].min((allowed[i + 1].powi(2) + 2.0 * a * steps[i]).sqrt());
    }
    for i in 0..steps.len() {
        allowed[i + 1] = allowed[i + 1].min((allowed[i].powi(2) + 2.0 * a * steps[i]).sqrt());
    }
    steps.iter().zip(allowed.windows(2)).map(|(s, v)| 2.0 * s / (v[0] + v[1])).sum()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn any_chain_takes_what_brute_integration_says(
        turns in prop::collection::vec((0.2..30.0f64, -3.0..3.0f64, prop_oneof![Just(0.0), -1.0..1.0f64], 500.0..9000.0f64), 1..12),
        a in 50.0..3000.0f64,
        deviation in 0.005..0.2f64,
        ahead in 1..8u32,
    ) {
        let mut at = pt(0.0, 0.0);
        let mut heading = 0.0;
        let mut steps = Vec::new();
        let mut stretches = Vec::new();
        for (length, turn, bulge, feed) in turns {
            heading += turn;
            let to = at + Point::unit(heading) * length;
            steps.push(cut(to, bulge, mm_per_min(feed)));
            stretches.push(Stretch { segment: Segment { start: at, end: to, bulge }, speed: feed / 60.0 });
            at = to;
        }
        // Back to the park position without a corner taken at speed: the pen is switched off first.
        steps.push(Step::Off);
        let profile = machine(a, deviation, ahead);
        let home = Stretch { segment: Segment::line(at, pt(0.0, 0.0)), speed: 150.0 };
        let back = if at.length() > 0.0 { brute(&[home], a, deviation, usize::MAX) } else { 0.0 };
        let expected = brute(&stretches, a, deviation, ahead as usize) + back;
        let found = timing(&program(steps), &profile).total.seconds;
        prop_assert!((found - expected).abs() < 1e-3 + 2e-3 * expected, "{found} found, {expected} by integration");
    }
}

#[test]
fn many_short_blocks_are_as_slow_as_the_look_ahead() {
    // v = sqrt(2 a N L): 0.1 mm blocks, 8 ahead, 500 mm/s2 give 28.3 mm/s however high the feed.
    let mut steps = vec![Step::Travel { to: pt(0.0, 0.0) }];
    steps.extend((1..=2000).map(|i| cut(pt(f64::from(i) * 0.1, 0.0), 0.0, mm_per_min(9000.0))));
    let mut profile = machine(500.0, 0.01, 8);
    profile.machine.park = [mm(200.0), mm(0.0)];
    profile.machine.rapid = mm_per_min(1e9);
    let t = timing(&program(steps), &profile);
    let speed = (2.0f64 * 500.0 * 8.0 * 0.1).sqrt();
    assert!((t.total.cut_mm - 200.0).abs() < 1e-9 && (t.total.travel_mm - 200.0).abs() < 1e-9);
    // There from the park position without any limit but acceleration, then at rest: it turns back.
    let travel = 2.0 * (200.0f64 / 500.0).sqrt();
    let expected = travel + 200.0 / speed + speed / 500.0;
    // Within each block it gains and loses a little speed on the way between those limits.
    assert!(t.total.seconds < expected && t.total.seconds > 0.98 * expected, "{} s, {expected} s", t.total.seconds);
}

#[test]
fn lifts_dwells_turns_and_tools_are_counted() {
    let mut profile = machine(1e12, 0.01, 0);
    profile.machine.z_axis = true;
    profile.tools.push(profile.tools[0].clone());
    let feed = mm_per_min(600.0);
    let steps = vec![
        Step::Travel { to: pt(30.0, 40.0) },
        Step::Turn { heading: 90.0, feed: 5400.0 },
        Step::Plunge { depth: 5.0, feed },
        Step::Cut { to: pt(30.0, 50.0), bulge: 0.0, depth: 5.0, heading: Some(90.0), feed },
        Step::Lift,
        Step::Dwell(0.25),
    ];
    let mut p = program(steps);
    let mut second = p.sections[0].clone();
    second.tool = 1;
    second.runs[0].steps = vec![Step::Travel { to: pt(0.0, 50.0) }];
    p.sections.push(second);
    let t = timing(&p, &profile);
    let rapid = 150.0;
    // Down 14 mm at the speed of the approach, the last 1 mm and the depth at the plunge's own.
    let first = 50.0 / rapid + 1.0 + 14.0 / 40.0 + 6.0 / 10.0 + 10.0 / 10.0 + 20.0 / 40.0 + 0.25;
    let second = 30.0 / rapid + 50.0 / rapid;
    assert!((t.tools[0].1.seconds - first).abs() < 1e-4, "{} {first}", t.tools[0].1.seconds);
    assert!((t.tools[1].1.seconds - second).abs() < 1e-4);
    assert!((t.total.travel_mm - 130.0).abs() < 1e-9 && (t.total.cut_mm - 10.0).abs() < 1e-9);
    assert_eq!((t.changes, t.total.passes), (1, 2));
}

#[test]
fn a_blade_that_turns_slowly_holds_the_arc_back() {
    let mut profile = machine(1e12, 0.01, 0);
    profile.machine.rotary_speed = 1800.0;
    let half =
        Step::Cut { to: pt(0.0, 10.0), bulge: 1.0, depth: 0.0, heading: Some(180.0), feed: mm_per_min(60_000.0) };
    let t = timing(&program(vec![half]), &profile);
    assert!((t.total.seconds - 6.0 - 10.0 / 150.0).abs() < 1e-3, "{}", t.total.seconds);
}

#[test]
fn cost_is_linear_and_a_million_steps_are_no_burden() {
    let steps =
        |n: u32| (0..n).map(|i| cut(pt(f64::from(i % 1000), f64::from(i % 7)), 0.0, mm_per_min(6000.0))).collect();
    let program = program(steps(1_000_000));
    let began = std::time::Instant::now();
    let t = timing(&program, &machine(500.0, 0.01, 16));
    // 0.5 s in a release build; the bound here leaves room for a debug build on a loaded machine.
    assert!(began.elapsed().as_secs_f64() < 5.0 && t.total.seconds > 0.0, "{:?}", began.elapsed());
    println!("a million steps: {:?}", began.elapsed());
}
