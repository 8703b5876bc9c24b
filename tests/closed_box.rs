//! Numbers of the constructions worked by hand, the liner measured by distance, and the bill.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a test that cannot read its job stops there")]

use flapwright::design::{Design, Lay, Piece, design};
use flapwright::diag::{Source, any_error};
use flapwright::fit::{Fit, bill, fit, solids};
use flapwright::geom::{Contour, Point, overlap, pt};
use flapwright::job::{self, Job, Side, StockKind};

fn build(text: &str) -> (Job, Design, Fit) {
    let (job, told) = job::read(&Source { name: "job.toml".into(), text: text.into() });
    let job = job.unwrap_or_else(|| panic!("{told:#?}"));
    let (design, mut said) = design(&job);
    let (fit, more) = fit(&job, &design);
    said.extend(more);
    assert!(!any_error(&said), "{said:#?}");
    (job, design, fit)
}

fn piece<'d>(design: &'d Design, id: &str) -> &'d Piece {
    design.pieces.iter().find(|p| p.id == id).unwrap_or_else(|| panic!("no {id}"))
}

fn size(design: &Design, id: &str) -> [f64; 2] {
    let b = piece(design, id).outline.bounds();
    [b.width(), b.height()]
}

fn near<const N: usize>(got: [f64; N], expected: [f64; N]) {
    assert!(got.iter().zip(expected).all(|(g, e)| (g - e).abs() < 1e-9), "{got:?}, not {expected:?}");
}

/// Interior 100 x 150 x 10, t 3, c 0.4, l 0.2, e 0.3.
fn four_lids(more: &str) -> String {
    format!(
        "format = 1\ntitle = 'x'\n[contents]\nwidth = 98\nheight = 148\ndepth = 9\n\
         clearance = {{ width = 2, height = 2, depth = 1 }}\n\
         [board]\nthickness = 3\nsheet = {{ width = 900, height = 900 }}\n[cloth]\nthickness = 0.4\n\
         [liner]\nthickness = 0.2\n{more}\n[covering]\nreveal = 4\n\
         [flap.tail]\ntier = 1\nreach = '45 %'\n[flap.head]\ntier = 1\nreach = '45 %'\n\
         [flap.right]\ntier = 2\nreach = 60\ncorner_radius = 9\n\
         [flap.left]\ntier = 3\nreach = '97 %'\nshape = 'bow'\nbow = 8\n"
    )
}

#[test]
fn walls_on_the_base_by_hand() {
    let (job, d, fit) = build(&four_lids("[box]\nseat = 'on-base'\nease = 0.3"));
    // Base W + 2 (t + l + 2 c), H + 2 (t + l + 2 c).
    near(size(&d, "board-base"), [108.0, 158.0]);
    // Walls D + 2 l + n s - p - f = 10 + 0.8 + n (3 + 0.8 + 0.2) - 1.2 - f: p is two liners and two turn-ins between
    // wall and lid, f what lies under the foot: the turn-ins of base and wall, 0.8, and at left and right a patch
    // beneath one of them, 1.2. Head and tail whole, left and right shorter at
    // each end by the neighbour's board, 3, what it carries inside, two cloths and, 4 mm in, a liner, 1.0,
    // turn-in and patch of their own, 0.8, and the ease.
    near(size(&d, "board-wall-head"), [108.0, 8.8]);
    near(size(&d, "board-wall-right"), [12.4, 158.0 - 2.0 * 5.1]);
    near(size(&d, "board-wall-left"), [16.4, 147.8]);
    // Closed: the left wall stands on the base and what lies under its foot, 3 + 1.2 up; its outer face is the base's
    // edge. The first lids lie on base, liner, stack, liner and turn-in: 13.8. Between them and a wall's top are
    // two liner faces and two turn-ins: 13.8 - 3.8 - 8.8 = 1.2.
    let all = solids(&job, &d.assembly);
    let named = |name: &str| all.iter().find(|s| s.name == name).unwrap();
    let left = named("left wall");
    near(
        [left.bottom, left.top, left.footprint.bounds().min.x, left.footprint.bounds().max.x],
        [4.2, 20.6, -54.0, -51.0],
    );
    near([named("head lid").bottom, named("head lid").top], [13.8, 16.8]);
    // The lid begins over its wall's outer face: 54 - 97 on from the left.
    near([named("left lid").footprint.bounds().min.x, named("left lid").footprint.bounds().max.x], [-54.0, 43.0]);
    // Outside: cloth all round and in each joint the liner double; up: cloth, base, liner, 10, two lids of 4,
    // liner, turn-in, lid, cloth.
    near(fit.exterior.map(|v| v.to_mm()), [109.6, 159.6, 0.4 + 3.0 + 0.2 + 10.0 + 8.0 + 0.2 + 0.4 + 3.0 + 0.4]);
    // A joint passes board, two turn-ins, two liners and two more doubled: 3 + 0.8 + 0.4 + 0.4. Rise g - te
    // is the ease; no joint needs it.
    near([d.measures.joint_thickness.to_mm(), d.measures.joint.to_mm()], [4.6, 4.9]);
    near([fit.rise.to_mm(), fit.play[&Side::Left].to_mm()], [0.3, 0.0]);
}

#[test]
fn creased_board_by_hand() {
    let text = four_lids("[box]\nconstruction = 'creased-board'\nflap_inset = 0.5")
        .replace("thickness = 3\n", "thickness = 0.6\n");
    let (job, d, fit) = build(&text);
    assert!(job.cloth.is_none(), "folding board goes without");
    // Base W + t + 2 l; walls D + t + 2 l + n (t + l) = 11 + 0.8 n; lids from their creases.
    let walls = [Side::Head, Side::Right, Side::Left].map(|s| d.measures.walls[&s].to_mm());
    near(walls, [11.0, 11.8, 12.6]);
    near(size(&d, "board-blank"), [101.0 + 11.8 + 60.0 + 12.6 + 97.0, 151.0 + 2.0 * (11.0 + 67.5)]);
    let blank = piece(&d, "board-blank");
    assert_eq!(blank.creases.len(), 8, "one at each wall's foot and one at each lid");
    // Relief: between two walls no board is left within half a board and the ease of the corner.
    let corner = pt(50.5, 75.5);
    assert!(!blank.outline.contains(corner));
    assert!((blank.outline.distance_to(corner) - (0.3 + 0.2 + 0.5) / 2f64.sqrt()).abs() < 1e-6);
    // Closed: the interior, a liner and a board on each side.
    near(fit.exterior.map(|v| v.to_mm()), [101.6, 151.6, 0.6 + 0.2 + 10.0 + 1.6 + 0.2 + 0.6]);
    assert!(fit.play.values().all(|p| p.to_mm().abs() < 1e-9));
}

#[test]
fn crossed_strips_by_hand() {
    let (_, d, fit) = build(
        "format = 1\ntitle = 'x'\n[contents]\nwidth = 100\nheight = 150\ndepth = 10\n\
         clearance = { width = 0, height = 0, depth = 0 }\n[board]\nthickness = 0.5\n\
         sheet = { width = 900, height = 900 }\n[box]\nconstruction = 'crossed-strips'\nflap_inset = 0.5\n\
         [strips.width]\nfirst = 100\nlast = 50\n[strips.height]\nfirst = 75\nlast = 75\n",
    );
    // Inner, along the width: walls D + t and, over the first flap, D + 2t; base W + t.
    near([d.measures.walls[&Side::Left].to_mm(), d.measures.walls[&Side::Right].to_mm()], [10.5, 11.0]);
    near(size(&d, "board-strip-width"), [100.0 + 10.5 + 100.5 + 11.0 + 50.0, 149.0]);
    // Outer: beneath it two flaps and the inner base, D + 4t for both ends, which do not meet.
    near([d.measures.walls[&Side::Tail].to_mm(), d.measures.walls[&Side::Head].to_mm()], [12.0, 12.0]);
    near(size(&d, "board-strip-height"), [99.0, 75.0 + 12.0 + 150.5 + 12.0 + 75.0]);
    // Closed: two bases, the contents, three layers of flaps.
    near(fit.exterior.map(|v| v.to_mm()), [101.0, 151.0, 0.5 * 2.0 + 10.0 + 0.5 * 3.0]);
    assert!(fit.play.values().all(|p| p.to_mm().abs() < 1e-9));
}

/// The boards and joints of a job, joints longer by the liner's take-up of 2 t.
fn lined_region(text: &str) -> Contour {
    let joint = build(text).1.measures.joint.to_mm() + 2.0 * 3.0;
    let longer = text.replace("[box]\n", &format!("[box]\njoint = {joint}\nwall_extra = 6.8\n"));
    let (job, _) = job::read(&Source { name: "job.toml".into(), text: longer });
    let job = job.unwrap();
    design(&job).0.flat.unwrap().region()
}

#[test]
fn the_reveal_is_even_round_every_corner() {
    let text = four_lids("pieces = 'one'\n[box]\n");
    let (_, d, _) = build(&text);
    let liner = piece(&d, "liner-cross");
    assert_eq!(liner.lay, Lay::Mirrored, "cut wrong side up");
    let region = lined_region(&text);
    // Between two walls the base has no free edge, nor have the joints there: the liner runs into the corner.
    let half = piece(&d, "board-base").outline.bounds().max;
    let deep = d.measures.joint.to_mm() + 6.0;
    let is_corner = |p: Point| {
        let (x, y) = (p.x.abs() - half.x, p.y.abs() - half.y);
        (-4.0 - 1e-6..=deep + 1e-6).contains(&x) && (-4.0 - 1e-6..=deep + 1e-6).contains(&y) && x.min(y) < 1e-6
    };
    let mut corners = 0;
    for s in liner.outline.segments() {
        // Everywhere else along its edge it keeps the reveal, but for sharp re-entrant corners, where
        // both its sides do and their corner lies farther out.
        for p in [0.25, 0.5, 0.75].map(|share| s.point_at(share)) {
            let away = region.distance_to(p);
            let least = if is_corner(p) { 0.0 } else { 4.0 };
            assert!(away > least - 1e-6 && away < 4.0 * 2f64.sqrt() + 1e-6, "{away} at {p:?}");
        }
        assert!(region.contains(s.start) || is_corner(s.start), "inside");
        if (region.distance_to(s.start) - 4.0).abs() < 1e-6 {
            corners += 1;
        }
    }
    assert!(corners >= 16, "{corners}");
    for corner in [pt(half.x, half.y), pt(-half.x, half.y), pt(-half.x, -half.y), pt(half.x, -half.y)] {
        assert!(liner.outline.vertices().iter().any(|v| v.point().distance(corner) < 1e-6), "{corner:?} is bare");
    }
    // And nowhere does it stay in farther: every point of the region's edge has liner at hand.
    for s in region.segments() {
        let p = s.point_at(0.5);
        assert!(liner.outline.distance_to(p) < 4.0 * 2f64.sqrt() + 1e-6, "{p:?}");
    }
}

#[test]
fn panels_are_the_cross_cut_in_its_joints() {
    let (_, one, _) = build(&four_lids("pieces = 'one'\n[box]\n"));
    let (job, d, _) = build(&four_lids("pieces = 'panels'\n[box]\n"));
    let panels: Vec<&Piece> = d.pieces.iter().filter(|p| p.stock == StockKind::Liner).collect();
    let ids: Vec<&str> = panels.iter().map(|p| p.id.as_str()).collect();
    assert_eq!(panels.len(), 9, "{ids:?}");
    let cross = &piece(&one, "liner-cross").outline;
    // Together they are the cross and the overlaps: 2 mm by the liner's width at each of 8 joints.
    let mut shared = 0.0;
    for (i, a) in panels.iter().enumerate() {
        for b in &panels[i + 1..] {
            if let Some(o) = overlap(&a.outline, &b.outline) {
                assert!((o.width - 2.0).abs() < 1e-6, "{} and {}: {}", a.id, b.id, o.width);
                shared += o.area;
            }
        }
    }
    let sum: f64 = panels.iter().map(|p| p.outline.area()).sum();
    assert!((sum - shared - cross.area()).abs() < 0.1, "{sum} {shared} {}", cross.area());
    // The base's panel runs half a joint, its take-up of 2 t in it, and half an overlap beyond the board on
    // each side. A joint passes t + 2 l + 2 c = 4.2.
    near([d.measures.joint_thickness.to_mm()], [4.2]);
    near([size(&d, "liner-base")[0]], [100.0 + d.measures.joint.to_mm() + 6.0 + 2.0]);
    assert!(panels.iter().all(|p| p.lay == Lay::Mirrored && p.grain == job::Grain::Height));
    assert_eq!(job.flaps.len(), 4);
}

#[test]
fn a_liner_to_be_trimmed_carries_its_net_edge() {
    let text = four_lids("pieces = 'panels'\n[box]\n").replace("reveal = 4", "reveal = 4\nliner_trim = 6");
    let (_, d, _) = build(&text);
    for side in ["left", "right", "head", "tail"] {
        let lid = piece(&d, &format!("liner-flap-{side}"));
        assert!(!lid.marks.is_empty(), "{side} has no net edge");
        assert!(piece(&d, &format!("liner-wall-{side}")).marks.iter().all(|m| m.length() < 30.0));
    }
    let (_, net, _) = build(&four_lids("pieces = 'panels'\n[box]\n"));
    near([size(&d, "liner-flap-head")[1] - size(&net, "liner-flap-head")[1]], [6.0]);
}

#[test]
fn the_bill_is_the_sum_by_hand() {
    let text = "format = 1\ntitle = 'x'\n[contents]\nwidth = 100\nheight = 200\ndepth = 10\n\
                clearance = { width = 0, height = 0, depth = 0 }\n[board]\nthickness = 2\ndensity = 700\nprice = 4.5\n\
                sheet = { width = 900, height = 900 }\n[cloth]\nthickness = 0\ngrammage = 200\nprice = 8\n\
                [box]\njoint = 4\nwall_extra = 0\nease = 0\nflap_inset = 0\n\
                [flap.left]\ntier = 1\nreach = 100\n[covering]\nturn_in = 10\ncorner = 1000\n";
    let (job, d, _) = build(text);
    let b = bill(&job, &d);
    // Board: base 100 x 200, wall 10 x 200, lid 100 x 200 = 42000 mm2; 2 mm of 700 kg/m3 is
    // 1400 g/m2: 58.8 g.
    near([b.materials[0].area_m2, b.materials[0].weight_g.unwrap()], [0.042, 58.8]);
    // Cloth: 218 x 200 of boards and joints and 10 of turn-in: 238 x 220 = 52360 mm2, 10.472 g,
    // its four corners cut for a corner allowance beyond them: none. All of it is glued.
    near([b.materials[1].area_m2, b.materials[1].weight_g.unwrap(), b.glue_m2], [0.05236, 10.472, 0.05236]);
    near([b.weight_g.unwrap()], [69.272]);
    // Two sheets of board and one of cloth.
    near([b.cost(&job, |k| if k == StockKind::Board { 2 } else { 1 }).unwrap()], [17.0]);
    // A stock without a weight leaves the whole unknown, and its price the cost.
    let (job, d, _) = build(&text.replace("density = 700\nprice = 4.5\n", ""));
    let b = bill(&job, &d);
    assert!(b.weight_g.is_none() && b.materials[1].weight_g.is_some() && b.cost(&job, |_| 1).is_none());
}

#[test]
fn the_bill_of_crossed_strips_glues_one_base_on_the_other() {
    let (job, d, _) = build(
        "format = 1\ntitle = 'x'\n[contents]\nwidth = 100\nheight = 150\ndepth = 10\n\
         clearance = { width = 0, height = 0, depth = 0 }\n[board]\nthickness = 0.5\ngrammage = 400\n\
         sheet = { width = 900, height = 900 }\n[box]\nconstruction = 'crossed-strips'\nflap_inset = 0\n\
         [strips.width]\nfirst = 100\nlast = 0\n[strips.height]\nfirst = 0\nlast = 75\n",
    );
    let b = bill(&job, &d);
    near([b.glue_m2], [0.015]);
    // Strips 150 x (100 + 10.5 + 100.5) and 100 x (150.5 + 11.5 + 75).
    near([b.materials[0].area_m2], [0.03165 + 0.0237]);
    near([b.weight_g.unwrap()], [(0.03165 + 0.0237) * 400.0]);
}
