use super::*;
use crate::geom::pt;

fn two_panels(width: f64, height: f64, closed: [f64; 2]) -> Assembly {
    let panel = |part, outline| Panel {
        part,
        called: None,
        piece: String::new(),
        outline,
        holes: vec![Contour::circle(pt(0.0, 0.0), 1.0).cw()],
        recesses: Vec::new(),
        outside_recesses: Vec::new(),
        thickness: 2.0,
        level: 0.0,
        layers: Vec::new(),
        turned: Vec::new(),
        turned_paper: Vec::new(),
    };
    let base = panel(Part::Base, Contour::rectangle(pt(-50.0, -30.0), pt(50.0, 30.0)));
    let wall = Contour::rectangle(pt(50.0 + width, -30.0), pt(60.0 + width, 30.0));
    let hinge = Hinge {
        parent: 0,
        child: 1,
        kind: HingeKind::Joint,
        // Upwards, so that the wall is to its right.
        axis: Segment::line(pt(50.0, -30.0), pt(50.0, 30.0)),
        width,
        height,
        closed,
        angle: std::f64::consts::FRAC_PI_2,
        order: 0,
        room: Room::default(),
    };
    Assembly {
        panels: vec![base, Panel { holes: Vec::new(), ..panel(Part::Wall(Side::Right), wall) }],
        hinges: vec![hinge],
    }
}

fn near(a: Space, b: [f64; 3]) {
    let off = (a.x - b[0]).abs().max((a.y - b[1]).abs()).max((a.z - b[2]).abs());
    assert!(off < 1e-9, "{a:?}, not {b:?}");
}

#[test]
fn a_wall_beside_the_base_stands_with_its_outside_at_the_joints_width() {
    // By hand: joint 3, so the outer foot is 53 from the middle, the inside face 2 nearer.
    let all = two_panels(3.0, 0.0, [3.0, 0.0]);
    let wall = all.closed()[1];
    near(wall.at(pt(53.0, 5.0), 0.0), [53.0, 5.0, 0.0]);
    near(wall.at(pt(63.0, 5.0), 0.0), [53.0, 5.0, 10.0]);
    near(wall.at(pt(63.0, 5.0), 2.0), [51.0, 5.0, 10.0]);
    // Flat it lies where it was drawn.
    near(all.posed(&Pose::all(&all, 0.0))[1].at(pt(63.0, 5.0), 2.0), [63.0, 5.0, 2.0]);
}

#[test]
fn a_wall_on_the_base_stands_over_its_edge() {
    let all = two_panels(4.0, 0.0, [0.0, 3.5]);
    near(all.closed()[1].at(pt(54.0, 0.0), 0.0), [50.0, 0.0, 3.5]);
}

#[test]
fn a_crease_turns_about_the_boards_middle() {
    let all = two_panels(0.0, 1.0, [0.0, 0.0]);
    let wall = all.closed()[1];
    near(wall.at(pt(60.0, 0.0), 1.0), [50.0, 0.0, 11.0]);
    near(wall.at(pt(60.0, 0.0), 0.0), [51.0, 0.0, 11.0]);
}

#[test]
fn every_state_keeps_the_length_of_the_cloth_and_the_board_rigid() {
    let all = two_panels(3.0, 0.0, [2.9, (9.0f64 - 2.9 * 2.9).sqrt()]);
    for k in 0..=20 {
        let place = all.posed(&Pose::all(&all, f64::from(k) / 20.0))[1];
        let foot = place.at(pt(53.0, 0.0), 0.0);
        // From the base's lower corner to the wall's: the cloth across the joint.
        assert!((((foot.x - 50.0).powi(2) + foot.z.powi(2)).sqrt() - 3.0).abs() < 1e-9);
        let (a, b) = (place.at(pt(55.0, 1.0), 0.5), place.at(pt(61.0, -7.0), 1.5));
        let far = ((a.x - b.x).powi(2) + (a.y - b.y).powi(2) + (a.z - b.z).powi(2)).sqrt();
        assert!((far - (36.0f64 + 64.0 + 1.0).sqrt()).abs() < 1e-9);
    }
}

#[test]
fn a_mesh_is_closed_and_holds_the_boards_volume() {
    let all = two_panels(3.0, 0.0, [3.0, 0.0]);
    for place in [Stance::FLAT, all.closed()[1]] {
        let mesh = all.panels[0].mesh(&place, 0.001);
        // 100 x 60 x 2 less a hole of radius 1.
        let expected = 12_000.0 - 2.0 * std::f64::consts::PI;
        assert!((mesh.volume() - expected).abs() < 0.01, "{}", mesh.volume());
        // Every edge is met once each way, by the places of its ends.
        let key = |p: Space| [p.x, p.y, p.z].map(|v| (v * 1e6).round() as i64);
        let mut edges = std::collections::BTreeMap::new();
        for t in &mesh.triangles {
            for (a, b) in [(t[0], t[1]), (t[1], t[2]), (t[2], t[0])] {
                *edges.entry((key(mesh.points[a]), key(mesh.points[b]))).or_insert(0) += 1;
            }
        }
        assert!(edges.iter().all(|((a, b), n)| edges.get(&(*b, *a)) == Some(n)), "an open edge");
    }
}
