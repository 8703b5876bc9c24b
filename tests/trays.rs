//! Boxes of trays: published numbers, a box worked out by hand, and random boxes glued together and closed by a
//! reference that shares no code.

#![allow(
    clippy::panic,
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test that cannot read its job stops there"
)]

use crate::common::built::{Built, built};
use crate::common::dice::Dice;
use crate::common::references::python;
use crate::proved;
use crate::surely::normal;
use flapwright::design::{outer, slides, trays};
use flapwright::diag::{Source, any_error};
use flapwright::job::{self, Side};
use flapwright::units::inch;
use flapwright::write::manifest::{FitFigures, pieces_as_json};
use serde_json::{Value, json};

fn build(text: &str) -> Built {
    let text = text.replace("[board]\n", "[board]\nsheet = { width = 1000, height = 1400 }\n");
    built(&text)
}

fn near(a: [f64; 2], b: [f64; 2]) -> bool {
    (a[0] - b[0]).abs() < 1e-6 && (a[1] - b[1]).abs() < 1e-6
}

/// Source: AIC Book and Paper Group wiki, "Drop Spine Box" (read): .098 in board; walls of the small tray the depth and
/// one board; those of the large tray 1 1/2 boards more; head and tail walls of the small tray its base and one board;
/// the large base half a board more than those. Cloth and lining count as nothing there: the length has 1/16 in for
/// the turn-ins, which is clearance here.
#[test]
fn the_published_box_comes_out_from_its_own_numbers() {
    let t = inch(0.098).to_mm();
    let (w, h, d) = (139.7, 203.2, 25.4); // 5 1/2 x 8 x 1 in: the wiki's example of a book, its depth ours
    let built = build(&format!(
        "format = 1\ntitle = 'x'\n[contents]\nwidth = {w}\nheight = {h}\ndepth = {d}\n\
         clearance = {{ width = 0, height = '1/16 in', depth = 0.05 }}\n[board]\nthickness = '0.098 in'\n\
         [cloth]\nthickness = 0.01\n[box]\nconstruction = 'drop-spine'\nseat = 'beside'\n\
         [trays]\nslide = '0.5 t'\nwall_extra = '1 t'\nwall_step = '1.5 t'\n"
    ));
    // A cloth of a hundredth is the thinnest that there is; what it adds is within a tenth.
    let small = built.size("board-small-tray-head-wall");
    assert!((small[1] - (d + 0.05 + t)).abs() < 1e-6, "{small:?}");
    let base = built.size("board-small-tray-base");
    assert!((base[1] - (h + inch(1.0 / 16.0).to_mm())).abs() < 0.05, "{base:?}");
    assert!((small[0] - (base[0] + t)).abs() < 1e-6);
    let large = built.size("board-large-tray-head-wall");
    assert!((large[1] - (d + 0.05 + 2.5 * t)).abs() < 1e-6, "{large:?}");
    let wide = built.size("board-large-tray-base");
    assert!((wide[0] - (small[0] + 0.5 * t)).abs() < 0.05, "{wide:?}");
    // Half a board of play is too little for a hand: that is told, and nothing refused.
    assert!(!any_error(&built.said), "{:#?}", built.said);
}

/// What ours are without being told, and what makes the difference. Source as above; derived.
#[test]
fn ours_beside_the_published() {
    let (t, c, l) = (inch(0.098).to_mm(), 0.45, 0.2); // a buckram's thickness is from memory
    let built = build(&format!(
        "format = 1\ntitle = 'x'\n[contents]\nwidth = 139.7\nheight = 203.2\ndepth = 25.4\n\
         clearance = {{ width = 0, height = 0, depth = 0 }}\n[board]\nthickness = '0.098 in'\n\
         [cloth]\nthickness = {c}\n[liner]\nthickness = {l}\n[box]\nconstruction = 'drop-spine'\nseat = 'beside'\n"
    ));
    let pair = trays(&built.job).unwrap();
    let small = built.size("board-small-tray-head-wall");
    // Theirs D + t: the cloth and linings under the stack and over it come out of the clearance there.
    assert!((small[1] - (25.4 + t) - (l + 2.0 * c)).abs() < 1e-6);
    // Theirs 1.5 t more: ours a board, two cloths and a lining, 3.59 mm where 1.5 t is 3.73.
    let large = built.size("board-large-tray-head-wall");
    assert!((large[1] - small[1] - (t + 2.0 * c + l)).abs() < 1e-6);
    assert!((large[1] - small[1] - 1.5 * t).abs() < 0.2);
    // Theirs 1.5 t wider: ours a board, two cloths and the room that a hand needs.
    let wider = built.size("board-large-tray-base")[0] - built.size("board-small-tray-base")[0];
    assert!((wider - (t + 2.0 * c + pair.slide)).abs() < 1e-6);
    assert!((wider - 1.5 * t).abs() < 1.5, "{wider}");
    // Theirs 1/16 in longer than the book: ours two cloths.
    assert!((built.size("board-small-tray-base")[1] - 203.2 - 2.0 * c).abs() < 1e-6);
    assert!(!any_error(&built.said), "{:#?}", built.said);
}

/// Worked by hand, every layer written down; derived.
#[test]
fn a_box_worked_by_hand() {
    let text = |seat: &str| {
        format!(
            "format = 1\ntitle = 'x'\n[contents]\nwidth = 100\nheight = 150\ndepth = 20\n\
             clearance = {{ width = 2, height = 2, depth = 1 }}\n[board]\nthickness = 2\n[cloth]\nthickness = 0.3\n\
             [liner]\nthickness = 0.2\n[box]\nconstruction = 'drop-spine'\nseat = '{seat}'\n\
             [trays]\nslide = 1\nsquare = 3\n"
        )
    };
    // Beside: base 102 + 0.3 by 152 + 0.6; walls 21 + 0.2 + 0.6 + 2; they are 102.3 + 2 long.
    let b = build(&text("beside"));
    assert!(near(b.size("board-small-tray-base"), [102.3, 152.6]));
    assert!(near(b.size("board-small-tray-tail-wall"), [104.3, 23.8]));
    assert!(near(b.size("board-small-tray-fore-edge-wall"), [23.8, 152.6]));
    // Outside 104.3 + 0.3 from the spine edge of its base, 152.6 + 4 + 0.6 across. The large one: 104.6 + 1 + 0.3, and
    // 157.2 + 1 + 0.6; walls 23.8 + 2 + 0.6 + 0.2.
    assert!(near(b.size("board-large-tray-base"), [105.9, 158.8]));
    assert!(near(b.size("board-large-tray-head-wall"), [107.9, 26.6]));
    // Outside, dressed: 0.3 + 107.9 + 0.3 by 158.8 + 4.6; covers 3 mm and twice 3 mm more.
    assert!(near(b.size("board-back-cover"), [111.5, 169.4]));
    assert!(near(b.size("board-front-cover"), [111.5, 169.4]));
    // The spine: 0.3 + 26.6 + 0.3 closed, a turn-in on either cover, and both covers.
    assert!((b.size("board-spine")[0] - (27.2 + 0.6 + 4.0)).abs() < 1e-6);
    let deep = b.fit.exterior[2].to_mm();
    assert!((deep - (27.2 + 0.6 + 4.0 + 0.6)).abs() < 0.02, "{deep}");
    // On the base it is a board larger on each side with a wall, and the walls are the base's thickness lower.
    let b = build(&text("on-base"));
    assert!(near(b.size("board-small-tray-base"), [104.3, 156.6]));
    assert!(near(b.size("board-small-tray-tail-wall"), [104.3, 21.8]));
    assert!(near(b.size("board-small-tray-fore-edge-wall"), [21.8, 152.6]));
    assert!(near(b.size("board-back-cover"), [111.5, 169.4]));
}

/// A tray with a lid worked by hand; derived.
#[test]
fn a_tray_with_a_lid_worked_by_hand() {
    let b = build(
        "format = 1\ntitle = 'x'\n[contents]\nwidth = 100\nheight = 150\ndepth = 20\n\
         clearance = { width = 2, height = 2, depth = 1 }\n[board]\nthickness = 2\n[cloth]\nthickness = 0.3\n\
         [liner]\nthickness = 0.2\n[box]\nconstruction = 'tray-and-lid'\nseat = 'on-base'\n[trays]\nslide = 1\n",
    );
    // Base 102 + 0.6 + 4 by 152 + 0.6 + 4; walls 21 + 0.2 high: the cloth on their tops is as thick as on the rim.
    assert!(near(b.size("board-tray-base"), [106.6, 156.6]));
    assert!(near(b.size("board-tray-head-wall"), [106.6, 21.2]));
    assert!(near(b.size("board-tray-left-wall"), [21.2, 152.6]));
    // The lid: 106.6 + 0.6 outside, 1 and 0.6 more inside, and two boards; walls 2 + 0.6 + 0.2 + 0.3 higher.
    assert!(near(b.size("board-lid-base"), [112.8, 162.8]));
    assert!(near(b.size("board-lid-head-wall"), [112.8, 24.3]));
    // Closed: two cloths under the tray, 2 + 21.2 + 0.3, on it 0.3 + 0.2 + 2, and two cloths.
    let deep = b.fit.exterior[2].to_mm();
    assert!((deep - (0.6 + 23.5 + 2.5 + 0.6)).abs() < 0.02, "{deep}");
    assert!(!any_error(&b.said), "{:#?}", b.said);
}

/// A random box of trays, as text.
pub(crate) fn random(seed: u64) -> String {
    let mut dice = Dice(seed);
    let mut within = |low: f64, high: f64| {
        let share = (dice.next() >> 11) as f64 / (1u64 << 53) as f64;
        ((low + share * (high - low)) * 100.0).round() / 100.0
    };
    let (w, h, d) = (within(30.0, 400.0), within(30.0, 500.0), within(2.0, 90.0));
    let room = [within(0.0, 5.0), within(0.0, 5.0), within(0.0, 3.0)];
    let (t, c, l) = (within(1.0, 4.0), within(0.1, 0.6), within(0.05, 0.5));
    let construction = if seed % 3 == 2 { "tray-and-lid" } else { "drop-spine" };
    let seat = if within(0.0, 1.0) < 0.5 { "beside" } else { "on-base" };
    let liner = if within(0.0, 1.0) < 0.7 { format!("[liner]\nthickness = {l}\n") } else { String::new() };
    let by = if within(0.0, 1.0) < 0.5 { "hand" } else { "machine" };
    let slide = if within(0.0, 1.0) < 0.3 { format!("slide = {}\n", within(0.3, 4.0)) } else { String::new() };
    let (square, turn_in) = (within(0.0, 4.5), within(15.0, 25.0));
    format!(
        "format = 1\ntitle = 'x'\n[contents]\nwidth = {w}\nheight = {h}\ndepth = {d}\n\
         clearance = {{ width = {}, height = {}, depth = {} }}\n[board]\nthickness = {t}\n[cloth]\nthickness = {c}\n{liner}\
         [box]\nconstruction = '{construction}'\nseat = '{seat}'\n[trays]\nsquare = {square}\n{slide}\
         [covering]\nturn_in = {turn_in}\n[making]\nby = '{by}'\n",
        room[0], room[1], room[2]
    )
}

/// What the reference is given of a box.
pub(crate) fn told(b: &Built) -> Value {
    json!({ "pieces": pieces_as_json(&b.design.pieces).unwrap(), "fit": FitFigures::of(&b.job, &b.design, &b.fit) })
}

/// Source: the reference's own derivation, from the pieces alone.
#[test]
fn random_boxes_close_as_their_figures_say() {
    let (from, count) = (proved::setting("FLAPWRIGHT_TRAYS_FROM", 0), proved::setting("FLAPWRIGHT_TRAYS_JOBS", 400));
    let built: Vec<(u64, Built)> = (from..from + count)
        .map(|seed| (seed, build(&random(seed))))
        .filter(|(seed, b)| {
            // What is refused is refused for what can be mended: too little cloth for the squares, a cloth too small.
            let errors: Vec<&str> = b.said.iter().filter(|d| d.is_error()).map(|d| d.code).collect();
            let known = ["bare-board", "turn-in-too-wide", "turn-in-too-short", "turn-in-collides", "corner-bare"];
            assert!(errors.iter().all(|e| known.contains(e)), "{seed}: {:#?}\n{}", b.said, random(*seed));
            errors.is_empty()
        })
        .collect();
    println!("{} of {count} can be made", built.len());
    assert!(built.len() as u64 > count * 3 / 4, "only {} of {count} can be made", built.len());
    let told: Vec<Value> = built.iter().map(|(_, b)| told(b)).collect();
    let Some(seen) = python("fold_trays.py", &[], &Value::Array(told)) else { return };
    let wrong = built.iter().zip(seen.as_array().unwrap()).filter(|(_, seen)| seen["wrong"] != json!([]));
    let wrong: Vec<String> = wrong.map(|((seed, _), seen)| format!("{seed}: {}", seen["wrong"])).collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    for ((seed, b), seen) in built.iter().zip(seen.as_array().unwrap()) {
        let number = |key: &str, i: usize| seen[key][i].as_f64().unwrap();
        let about = || format!("{seed}: {seen}\n{}", random(*seed));
        for i in 0..3 {
            assert!((number("interior", i) - b.fit.interior[i].to_mm()).abs() < 1e-6, "{}", about());
        }
        let pair = trays(&b.job).unwrap();
        assert!((number("slide", 0) - pair.slide).abs() < 1e-6 && (number("slide", 1) - pair.slide).abs() < 1e-6);
        let depth = seen["depth"].as_f64().unwrap();
        assert!((depth - b.fit.exterior[2].to_mm()).abs() < 0.05, "{}", about());
        if seen.get("squares").is_none() {
            assert!(seen["ends"].as_f64().unwrap().abs() < 1e-6, "{}", about());
            continue;
        }
        let square = b.job.trays.as_ref().unwrap().square.to_mm();
        assert!((number("squares", 0) - square).abs() < 1e-6 && (number("squares", 1) - square).abs() < 1e-6);
    }
}

/// Boxes made by a hand that is out: as many bind as the program says.
#[test]
fn as_many_trays_bind_as_is_said() {
    let b = build(
        "format = 1\ntitle = 'x'\n[contents]\nwidth = 200\nheight = 300\ndepth = 20\n[board]\nthickness = 2.5\n\
         [cloth]\nthickness = 0.35\n[box]\nconstruction = 'drop-spine'\n[trays]\nslide = 1.0\n",
    );
    let pair = trays(&b.job).unwrap();
    let mut dice = Dice(77);
    // A normal number: twelve even ones less six (their variance is one).
    let mut normal = || (0..12).map(|_| (dice.next() >> 11) as f64 / (1u64 << 53) as f64).sum::<f64>() - 6.0;
    let (cut, board) = (0.25, 2.5 * 0.05 / 2.0);
    let draws = 200_000;
    let goes = (0..draws)
        .filter(|_| {
            let thicker = board * normal();
            // Both edges of both bases, along and across.
            let mut left = |walls: f64| pair.slide - walls * thicker + cut * (0..4).map(|_| normal()).sum::<f64>();
            left(1.0) >= 0.0 && left(2.0) >= 0.0
        })
        .count();
    let said = slides(&b.job, pair.slide);
    let seen = goes as f64 / f64::from(draws);
    assert!((said - seen).abs() < 0.003, "said {said}, seen {seen}");
    assert!(b.fit.closing.share <= said + 1e-6);
}

/// The spine of a box of trays is cut for the board as it was measured: where it is thicker both covers are, and the bases
/// of the trays between them; the walls are not.
#[test]
fn a_spine_is_too_narrow_where_the_board_is_thicker() {
    for (seat, boards) in [("beside", 3.0), ("on-base", 4.0)] {
        let b = build(&format!(
            "format = 1\ntitle = 'x'\n[contents]\nwidth = 200\nheight = 300\ndepth = 20\nclearance = {{ depth = 0 }}\n\
             [board]\nthickness = 2.5\n[cloth]\nthickness = 0.35\n[box]\nconstruction = 'drop-spine'\nseat = '{seat}'\n\
             joint = 4.3\n[trays]\nslide = 3\n[making]\nboard = '10 %'\n"
        ));
        let case = outer(&b.job);
        let m = &b.design.measures;
        let (te, g) = (m.joint_thickness.to_mm(), m.joint.to_mm());
        let room = (m.walls[&Side::Left] - m.needed[&Side::Left] + case.contents.clearance.depth).to_mm();
        let mut dice = Dice(5);
        let draws = 100_000;
        let goes = (0..draws)
            .filter(|_| {
                let thicker = 2.5 * 0.05 * normal(&mut dice);
                let joints = [(); 2].map(|()| g + 0.15 * normal(&mut dice));
                let passes = joints.iter().all(|g| *g >= te + thicker);
                let lift: f64 = joints.iter().map(|g| (g * g - (te + thicker).powi(2)).max(0.0).sqrt()).sum();
                let edges = 0.25 * (normal(&mut dice) + normal(&mut dice));
                passes && room - boards * thicker + edges + lift >= 0.0
            })
            .count();
        let (said, seen) = (b.fit.closing.share, goes as f64 / f64::from(draws));
        // Joints that are wide lift as well: the program takes the two for apart, which makes it a little too careful.
        assert!((0.0..0.008).contains(&(seen - said)), "{seat}: said {said}, seen {seen}");
        assert!(said < 0.97, "{seat}: {said} tells nothing");
    }
}

#[test]
fn what_cannot_be_made_is_told() {
    let with = |trays: &str, more: &str| {
        build(&format!(
            "format = 1\ntitle = 'x'\n[contents]\nwidth = 200\nheight = 300\ndepth = 20\n[board]\nthickness = 2.5\n\
             [cloth]\nthickness = 0.35\n[box]\nconstruction = 'drop-spine'\n[trays]\n{trays}\n{more}"
        ))
    };
    let has = |b: &Built, code: &str, place: &str| {
        assert!(
            b.said.iter().any(|d| d.code == code && format!("{:?}", d.place).contains(place)),
            "{code} at {place}: {:#?}",
            b.said
        );
    };
    has(&with("wall_extra = 0", ""), "stack-too-deep", "trays.wall_extra");
    has(&with("wall_step = 0", ""), "short-walls", "trays.wall_step");
    has(&with("wall_step = 9", ""), "loose-lid", "trays.wall_step");
    has(&with("square = 12", "[covering]\nturn_in = 16"), "bare-board", "trays.square");
    // What a box of trays has no use for.
    let read = |more: &str| {
        let text = format!(
            "format = 1\ntitle = 'x'\n[contents]\nsize = 'A5'\ndepth = 9\n[board]\nthickness = 2\nsheet = {{ width = 700, height = 1000 }}\n\
             [cloth]\nthickness = 0.3\n[box]\nconstruction = 'drop-spine'\n{more}"
        );
        job::read(&Source { name: "job.toml".into(), text }).1
    };
    assert!(read("[strap]\n").iter().any(|d| d.code == "no-strap-here" && !d.is_error()));
    assert!(read("[flap.left]\ntier = 1\nreach = 90\n").iter().any(|d| d.code == "no-lids-here" && !d.is_error()));
    assert!(read("step = 2\n").iter().any(|d| d.code == "unused-key"));
    assert!(read("[trays]\nslide = -1\n").iter().any(|d| d.code == "negative"));
    assert!(read("").iter().all(|d| !d.is_error()));
}
