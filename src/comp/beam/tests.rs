use super::*;
use crate::comp::{Ground, kerf_moved, testbed};
use crate::geom::{Contour, Join, Path, Point, Vertex, offset, pt};
use crate::ops::{Keep, Operation};
use crate::profile::{Profile, ToolKind};
use crate::units::mm;
use proptest::prelude::*;

fn laser() -> Profile {
    let mut p = testbed::profile(ToolKind::Beam);
    p.tools[0].kerf = mm(0.2);
    p.rules.iter_mut().for_each(|r| {
        r.overrun = mm(0.0);
        r.lead = mm(3.0);
    });
    p
}

/// The steps for an operation, its line moved for the kerf and started mid-edge, among others.
fn work(op: &Operation, others: &[Operation], profile: &Profile) -> Result<Worked, Diagnostic> {
    let all = std::iter::once(op.clone()).chain(others.iter().cloned()).collect();
    let ground = Ground::new(&testbed::sheet(all));
    let task = testbed::task(op, profile, &ground);
    let mut line = kerf_moved(op, task.tool.kerf)?;
    if let Stroke::Closed(c) = &line {
        line = Stroke::Closed(crate::comp::started(c, crate::comp::candidates(c, 1.0)[0]));
    }
    follow(&Task { line: &line, ..task })
}

/// The ways gone with the beam on; fails if it is on over a traverse or left on.
fn burnt(steps: &[Step]) -> Vec<Vec<Segment>> {
    let (mut on, mut at, mut ways) = (false, pt(0.0, 0.0), Vec::new());
    for step in steps {
        match *step {
            Step::Travel { to } => {
                assert!(!on, "a traverse with the beam on");
                at = to;
            }
            Step::On => {
                assert!(!on);
                on = true;
                ways.push(Vec::new());
            }
            Step::Off => {
                assert!(on);
                on = false;
            }
            Step::Cut { to, bulge, .. } => {
                assert!(on, "a cut with the beam off");
                ways.last_mut().expect("on before").push(Segment { start: at, end: to, bulge });
                at = to;
            }
            Step::Plunge { depth, .. } => assert!(depth <= 0.0, "the head left its focus"),
            Step::Lift | Step::Turn { .. } | Step::Dwell(_) => {}
        }
    }
    assert!(!on, "left on");
    ways
}

fn length(way: &[Segment]) -> f64 {
    way.iter().map(Segment::length).sum()
}

fn rounded() -> Contour {
    let sharp = Contour::rectangle(pt(100.0, 100.0), pt(180.0, 160.0));
    crate::geom::fillet(&sharp, 2, 12.0).expect("fits")
}

#[test]
fn a_cut_starts_and_ends_in_waste_and_goes_once_round() {
    let op = testbed::cut_of(rounded(), Keep::Inside);
    let worked = work(&op, &[], &laser()).expect("works");
    let ways = burnt(&worked.steps);
    assert_eq!(ways.len(), 1);
    let around = kerf_moved(&op, mm(0.2)).expect("fits").length();
    assert!((length(&ways[0]) - around - 6.0).abs() < 1e-6);
    let (first, last) = (ways[0][0], ways[0][ways[0].len() - 1]);
    for p in [first.start, last.end] {
        assert!(!rounded().contains(p) && rounded().distance_to(p) > 1.5);
    }
    // Tangential: no corner where the lead meets the cut.
    assert!((first.end_heading() - ways[0][1].start_heading()).sin().abs() < 1e-9);
    assert!(worked.notes.is_empty());
}

#[test]
fn a_lead_is_shortened_beside_a_neighbour_and_left_out_where_nothing_stays_clear() {
    let op = testbed::cut_of(rounded(), Keep::Inside);
    let beside = |gap: f64| {
        let mut other = testbed::cut_of(Contour::rectangle(pt(90.0, 40.0), pt(190.0, 100.0 - gap)), Keep::Inside);
        other.piece = "wall".into();
        let above = Contour::rectangle(pt(90.0, 160.0 + gap), pt(190.0, 200.0));
        let above = Operation { piece: "flap".into(), stroke: Stroke::Closed(above), ..other.clone() };
        let worked = work(&op, &[other.clone(), above.clone()], &laser()).expect("works");
        for s in burnt(&worked.steps).concat() {
            for o in [&other, &above] {
                let Stroke::Closed(c) = &o.stroke else { panic!("closed") };
                assert!((0..=20).all(|i| c.distance_to(s.point_at(f64::from(i) / 20.0)) > 0.1 - 1e-6));
            }
        }
        worked
    };
    let near = beside(1.6);
    assert!(near.notes.is_empty() && length(&burnt(&near.steps)[0]) > 250.0);
    assert_eq!(beside(0.3).notes[0].code, "no-room-for-lead");
}

#[test]
fn bridges_are_as_many_and_as_wide_as_asked_and_off_the_corners() {
    let mut profile = laser();
    profile.rules[3].bridges = 5;
    profile.rules[3].bridge_width = mm(1.5);
    profile.rules[3].passes = 3;
    let op = testbed::cut_of(rounded(), Keep::Inside);
    let ways = burnt(&work(&op, &[], &profile).expect("works").steps);
    assert_eq!(ways.len(), 15);
    let around = kerf_moved(&op, mm(0.2)).expect("fits").length();
    let once: f64 = ways.iter().step_by(3).map(|w| length(w)).sum();
    assert!((once - (around - 5.0 * 1.7)).abs() < 1e-6, "a bridge is 1.5 wide between two kerfs of 0.2");
    let corners = [pt(100.0, 100.0), pt(180.0, 100.0), pt(100.0, 160.0)];
    for way in &ways {
        let ends = [way[0].start, way[way.len() - 1].end];
        assert!(ends.iter().all(|e| corners.iter().all(|c| c.distance(*e) > 0.5)), "{ends:?}");
    }
    profile.rules[3].bridges = 60;
    profile.rules[3].bridge_width = mm(4.0);
    assert_eq!(work(&op, &[], &profile).expect_err("no room").code, "bridges-do-not-fit");
}

fn pocket(grain: f64) -> Operation {
    let notched = [(0, 0), (30, 0), (30, 20), (20, 20), (20, 8), (10, 8), (10, 20), (0, 20)];
    let c = Contour::polygon(notched.map(|(x, y)| pt(f64::from(x) + 50.0, f64::from(y) + 50.0)));
    let op = testbed::op_of(Stroke::Closed(c), OperationKind::HalfDepthPocket, Keep::Outside, 0);
    Operation { grain_deg: Some(grain), ..op }
}

#[test]
fn a_pocket_is_filled_along_the_grain_without_a_step_past_its_outline() {
    let mut profile = laser();
    profile.rules[2].hatch = mm(0.25);
    for grain in [0.0, 90.0, 30.0] {
        let op = pocket(grain);
        let Stroke::Closed(outline) = &op.stroke else { panic!("closed") };
        let inner = offset(outline, -0.1, Join::Round).expect("fits");
        let ways = burnt(&work(&op, &[], &profile).expect("works").steps);
        assert!(ways.len() > 60);
        for s in ways[1..].iter().flatten() {
            let mut turned = (s.start_heading().to_degrees() - grain).rem_euclid(180.0);
            turned = turned.min(180.0 - turned);
            assert!(turned < 1e-6, "{turned}");
            for t in [0.0, 0.3, 0.6, 1.0] {
                let p = s.point_at(t);
                assert!(inner.contains(p) || inner.distance_to(p) < 1e-6);
            }
        }
        // The lines lie 0.25 mm apart: their lengths times that are the area, to a row's rounding.
        let area: f64 = ways[1..].iter().map(|w| length(w) * 0.25).sum();
        assert!((area - inner.area().abs()).abs() < 10.0, "{area} {}", inner.area());
    }
}

/// Lines 0.25 apart under a beam of 0.1 leave ridges of 0.15, where the machine lets 0.1 pass, less what rounding takes.
#[test]
fn ridges_wider_than_the_tolerance_are_refused_with_the_hatch_that_clears_them() {
    let mut profile = laser();
    profile.tools[0].kerf = mm(0.1);
    profile.machine.tolerance = mm(0.1);
    profile.rules[2].hatch = mm(0.25);
    let refused = work(&pocket(0.0), &[], &profile).expect_err("ridges");
    assert_eq!(refused.code, "ridges-stand");
    assert!(refused.hint.is_some_and(|h| h.contains("`hatch` in the machine's rule to 0.19 mm or less")));
    profile.rules[2].hatch = mm(0.19);
    assert!(work(&pocket(0.0), &[], &profile).is_ok());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn it_is_never_on_while_travelling_and_never_on_the_part(
        radii in prop::collection::vec(20.0..60.0f64, 4..12),
        lead in 0.0..8.0f64,
        passes in 1..4u32,
        bridges in 0..4u32,
    ) {
        let n = radii.len() as f64;
        let star = radii.iter().enumerate().map(|(i, r)| pt(300.0, 300.0) + Point::unit(i as f64 / n * std::f64::consts::TAU) * *r);
        let contour = Contour::new(star.map(|p| Vertex::new(p, 0.0)));
        let mut profile = laser();
        profile.rules[3].lead = mm(lead);
        profile.rules[3].passes = passes;
        profile.rules[3].bridges = bridges;
        profile.rules[3].bridge_width = mm(2.0);
        let op = testbed::cut_of(contour.clone(), Keep::Inside);
        let worked = work(&op, &[], &profile).expect("works");
        for s in burnt(&worked.steps).iter().flatten() {
            for i in 0..=10 {
                let p = s.point_at(f64::from(i) / 10.0);
                prop_assert!(!contour.contains(p) && contour.distance_to(p) > 0.1 - 1e-3);
            }
        }
    }
}

#[test]
fn open_lines_are_burnt_to_and_fro() {
    let mut profile = laser();
    profile.rules[0].passes = 2;
    let line = Stroke::Open(Path::line(pt(10.0, 10.0), pt(60.0, 10.0)));
    let ways =
        burnt(&work(&testbed::op_of(line, OperationKind::Mark, Keep::Line, 0), &[], &profile).expect("works").steps);
    assert_eq!(ways[1][0], ways[0][0].reversed());
}
