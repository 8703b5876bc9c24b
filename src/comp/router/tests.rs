use super::*;
use crate::comp::{Ground, kerf_moved, testbed};
use crate::geom::{Point, Vertex, pt};
use crate::ops::Operation;
use crate::profile::{Profile, ToolKind};
use crate::units::{deg, mm};
use geo::{Area, BooleanOps, Buffer, LineString, Polygon};
use proptest::prelude::*;

fn mill(bit: f64) -> Profile {
    let mut p = testbed::profile(ToolKind::Router);
    p.tools[0].kerf = mm(bit);
    p.rules.iter_mut().for_each(|r| r.overrun = mm(0.0));
    p
}

fn work(op: &Operation, profile: &Profile) -> Result<Worked, Diagnostic> {
    let ground = Ground::new(&testbed::sheet(vec![op.clone()]));
    let task = testbed::task(op, profile, &ground);
    let mut line = kerf_moved(op, task.tool.kerf)?;
    if let Stroke::Closed(c) = &line {
        line = Stroke::Closed(crate::comp::started(c, crate::comp::candidates(c, 1.0)[0]));
    }
    follow(&Task { line: &line, ..task })
}

/// The cuts with the depths at their start and end. Fails on a traverse below the safe height.
fn cuts(steps: &[Step]) -> Vec<(Segment, f64, f64)> {
    let (mut at, mut z, mut all) = (pt(0.0, 0.0), -15.0, Vec::new());
    for step in steps {
        match *step {
            Step::Travel { to } => {
                assert!(z < 0.0, "a traverse in the stock");
                at = to;
            }
            Step::Plunge { depth, .. } => z = depth,
            Step::Lift => z = -15.0,
            Step::Cut { to, bulge, depth, .. } => {
                all.push((Segment { start: at, end: to, bulge }, z, depth));
                (at, z) = (to, depth);
            }
            _ => {}
        }
    }
    assert!(z < 0.0, "left in the stock");
    all
}

fn polygon(c: &Contour) -> Polygon {
    let points: Vec<(f64, f64)> = c.flatten(1e-3).iter().map(|p| (p.x, p.y)).collect();
    Polygon::new(LineString::from(points), Vec::new())
}

fn swept(cuts: &[(Segment, f64, f64)], depth: f64, radius: f64) -> geo::MultiPolygon {
    // One by one: the buffer of a long path that touches itself is not to be relied on.
    let deep = cuts.iter().filter(|c| c.1 > depth - 1e-9 && c.2 > depth - 1e-9);
    let swath = |s: &Segment| {
        let points = std::iter::once(s.start).chain(s.flatten(1e-3)).map(|p| (p.x, p.y));
        LineString::from(points.collect::<Vec<_>>()).buffer(radius)
    };
    let swaths: Vec<geo::MultiPolygon> = deep.map(|c| swath(&c.0)).collect();
    geo::unary_union(swaths.iter())
}

fn notched() -> Contour {
    let points = [(0, 0), (40, 0), (40, 30), (28, 30), (28, 12), (12, 12), (12, 30), (0, 30)];
    Contour::polygon(points.map(|(x, y)| pt(f64::from(x) + 50.0, f64::from(y) + 50.0)))
}

fn pocket(contour: Contour, grain: f64) -> Operation {
    let op = testbed::op_of(Stroke::Closed(contour), OperationKind::HalfDepthPocket, Keep::Outside, 0);
    Operation { grain_deg: Some(grain), ..op }
}

/// What a pocket's floor keeps of ridges and loses beyond its outline.
fn floor(contour: &Contour, grain: f64, profile: &Profile, bit: f64) {
    let worked = work(&pocket(contour.clone(), grain), profile).expect("fits");
    let all = cuts(&worked.steps);
    let (wanted, got) = (polygon(contour), swept(&all, 1.0, bit / 2.0));
    assert!(all.iter().all(|c| c.2 <= 1.0 + 1e-9), "deeper than the pocket");
    assert!(swept(&all, -1.0, bit / 2.0).difference(&wanted).unsigned_area() < 0.02, "past its outline");
    // All that a disc of this radius can reach inside the outline, but for the chords of the buffers.
    let edge = kerf_moved(&pocket(contour.clone(), grain), mm(bit)).expect("fits");
    let Stroke::Closed(edge) = edge else { panic!("closed") };
    let reached = polygon(&edge).buffer(bit * 0.49);
    let ridges = reached.difference(&got).unsigned_area();
    assert!(ridges < 5e-3, "ridges of {ridges} mm2");
}

#[test]
fn a_pocket_is_left_without_ridges_and_never_left() {
    for (bit, step, ramp, grain) in
        [(3.0, 0.45, 0.0, 0.0), (2.0, 0.9, 3.0, 90.0), (6.0, 0.5, 0.0, 25.0), (3.0, 2.0, 0.0, 0.0)]
    {
        let mut profile = mill(bit);
        profile.rules[2].step_over = step;
        profile.rules[2].ramp = deg(ramp);
        floor(&notched(), grain, &profile, bit);
        floor(&Contour::circle(pt(80.0, 80.0), 14.0), grain, &profile, bit);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn pockets_of_any_shape_are_cleared(radii in prop::collection::vec(18.0..40.0f64, 4..10), grain in 0.0..180.0f64) {
        let n = radii.len() as f64;
        let at = |(i, r): (usize, &f64)| pt(300.0, 300.0) + Point::unit(i as f64 / n * std::f64::consts::TAU) * *r;
        floor(&Contour::polygon(radii.iter().enumerate().map(at)), grain, &mill(3.0), 3.0);
    }

    #[test]
    fn the_path_keeps_the_radius_from_the_part_everywhere(
        radii in prop::collection::vec((20.0..60.0f64, -0.3..0.3f64), 4..12),
        hole in any::<bool>(), climb in any::<bool>(), ramp in prop_oneof![Just(0.0), 1.0..20.0f64],
    ) {
        let n = radii.len() as f64;
        let at = |(i, r): (usize, &(f64, f64))| {
            Vertex::new(pt(300.0, 300.0) + Point::unit(i as f64 / n * std::f64::consts::TAU) * r.0, r.1)
        };
        let contour = Contour::new(radii.iter().enumerate().map(at));
        prop_assume!(crate::geom::first_self_crossing(&contour).is_none());
        let (contour, keep) = if hole { (contour.reversed(), Keep::Outside) } else { (contour, Keep::Inside) };
        let op = testbed::cut_of(contour.clone(), keep);
        let mut profile = mill(3.0);
        profile.rules[3].ramp = deg(ramp);
        profile.rules[3].direction = if climb { CutDirection::Climb } else { CutDirection::Conventional };
        // A contour that the bit's radius closes is refused by name, before this; another is drawn.
        let worked = work(&op, &profile);
        prop_assume!(worked.is_ok());
        let worked = worked.expect("assumed");
        let all = cuts(&worked.steps);
        for (s, from, to) in &all {
            for i in 0..=8 {
                let p = s.point_at(f64::from(i) / 8.0);
                prop_assert!((contour.distance_to(p) >= 1.5 - 1e-4) && contour.contains(p) == hole);
            }
            let steep = (to - from).atan2(s.length()).to_degrees();
            prop_assert!(steep <= ramp + 1e-6, "{steep} degrees down");
        }
        // Conventional: counter-clockwise outside a part, clockwise inside, for a clockwise spindle.
        let centre = pt(300.0, 300.0);
        let turned: f64 = all.iter().map(|(s, ..)| (s.start - centre).cross(s.end - centre)).sum();
        prop_assert_eq!(turned > 0.0, hole == climb);
        // All the way round at the last depth.
        let deep: f64 = all.iter().filter(|c| c.1 > 2.2 - 1e-9 && c.2 > 2.2 - 1e-9).map(|c| c.0.length()).sum();
        let around = kerf_moved(&op, mm(3.0)).expect("fits").length();
        prop_assert!((deep - around).abs() < 1e-6, "{deep} of {around}");
    }
}

#[test]
fn bridges_hold_at_their_width_and_height() {
    for (height, bare) in [(0.6, 1.4), (0.0, 0.0)] {
        let mut profile = mill(3.0);
        let rule = &mut profile.rules[3];
        (rule.bridges, rule.bridge_width, rule.bridge_height, rule.pass_depth) = (4, mm(5.0), mm(height), mm(0.5));
        rule.ramp = deg(4.0);
        let contour = Contour::rectangle(pt(100.0, 100.0), pt(190.0, 150.0));
        let op = testbed::cut_of(contour.clone(), Keep::Inside);
        let all = cuts(&work(&op, &profile).expect("fits").steps);
        // What the bit clears below the bridges' top, over a band beside the part.
        let cleared = swept(&all.iter().filter(|c| c.1.max(c.2) > bare + 0.05).copied().collect::<Vec<_>>(), bare, 1.5);
        let outer = polygon(&crate::geom::offset(&contour, 1.6, crate::geom::Join::Mitre).expect("grows"));
        let inner = polygon(&crate::geom::offset(&contour, 1.4, crate::geom::Join::Mitre).expect("grows"));
        let left: Vec<f64> = outer
            .difference(&inner)
            .difference(&cleared)
            .0
            .iter()
            .map(|p| p.unsigned_area())
            .filter(|a| *a > 0.01)
            .collect();
        assert_eq!(left.len(), 4, "{left:?}");
        // At the middle of the bit's track its round end leaves just the width.
        assert!(left.iter().all(|a| (a / 0.2 - 5.0).abs() < 0.02), "{left:?}");
    }
}

#[test]
fn the_slug_of_a_slot_gets_no_bridge() {
    let mut profile = mill(1.0);
    (profile.rules[3].bridges, profile.rules[3].bridge_width) = (4, mm(5.0));
    let slot = Contour::rectangle(pt(50.0, 50.0), pt(58.0, 51.5)).reversed();
    let worked = work(&testbed::cut_of(slot, Keep::Outside), &profile).expect("no bridges asked of it");
    assert!(worked.steps.iter().filter(|s| matches!(s, Step::Travel { .. })).count() == 1);
}

#[test]
fn round_corners_are_told_with_what_is_left_and_a_relief_opens_them() {
    let square = Contour::rectangle(pt(50.0, 50.0), pt(90.0, 90.0)).reversed();
    let op = testbed::cut_of(square.clone(), Keep::Outside);
    let mut profile = mill(3.0);
    let worked = work(&op, &profile).expect("fits");
    // r (sqrt 2 - 1) = 0.62 mm at the tip; 4 r^2 (1 - pi/4) = 1.93 mm2.
    let told = &worked.notes[0].message;
    assert!(told.contains("4 inner corners") && told.contains("0.62 mm") && told.contains("1.93 mm2"), "{told}");
    profile.rules[3].corner_relief = true;
    let worked = work(&op, &profile).expect("fits");
    assert_eq!(worked.notes[0].code, "corner-relief");
    let all = cuts(&worked.steps);
    for v in square.vertices() {
        let nearest = all.iter().map(|c| c.0.distance_to(v.point())).fold(f64::INFINITY, f64::min);
        assert!((nearest - 1.5).abs() < 1e-9, "the bit just touches the tip: {nearest}");
    }
    let outside = testbed::cut_of(square.reversed(), Keep::Inside);
    assert!(work(&outside, &profile).expect("fits").notes.is_empty());
}
