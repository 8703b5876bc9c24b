//! Coverings by part: published numbers, worked by hand, refused, folded and set together by references that share no
//! code, exported and proved, and damaged.

#![allow(
    clippy::panic,
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test that cannot read its job stops there"
)]

use crate::common::built::{Built, built, near, read};
use crate::common::dice::Dice;
use crate::common::proof::{export, put, told as faults};
use crate::common::random_job::RandomJob;
use crate::common::references::{fold_boxes, python};
use crate::{folded_boxes, portfolio, proved, trays, window};
use flapwright::assembly::{Face, LayerKind, Part};
use flapwright::design::{Step, design, steps};
use flapwright::diag::any_error;
use flapwright::job::Grain;
use flapwright::verify::verify_folder;
use serde_json::{Value, json};

const PAPER: &str = "[paper]\nthickness = 0.2\nsheet = { width = 500, height = 700 }\n";

/// A portfolio for loose sheets of 100 x 150 x 20 with covers of 105 x 160.
fn loose(more: &str) -> String {
    portfolio::portfolio(&format!("[portfolio]\nsquare = 4\n{PAPER}{more}"))
}

/// A box of hinged boards whose left lid closes last.
fn lidded(more: &str) -> String {
    format!(
        "format = 1\ntitle = 'x'\n[contents]\nwidth = 200\nheight = 260\ndepth = 12\n[board]\nthickness = 2\n\
         [cloth]\nthickness = 0.35\n{PAPER}[liner]\nthickness = 0.25\n[flap.head]\ntier = 1\nreach = '40 %'\n\
         [flap.tail]\ntier = 1\nreach = '40 %'\n[flap.right]\ntier = 2\nreach = '45 %'\n[flap.left]\ntier = 3\n\
         reach = '95 %'\n{more}"
    )
}

/// Source: Samuel J. Vaughn, "Printing and Bookbinding for Schools", 1914, sixth grade, "Re-cover": half cloth, the cloth
/// one and one-half inches longer than the boards, the "cover paper as long as the cloth and seven-eighths of an inch
/// wider than the distance from the back cloth to the foredge of the board"; seventh grade, portfolio: the paper "lapping
/// one-eighth of an inch over the edges of the cloth wherever the paper and cloth come together". Turn-ins of 3/4 in are
/// his too.
#[test]
fn the_published_cover_comes_out_from_its_own_numbers() {
    const INCH: f64 = 25.4;
    let b = built(&loose(
        "[covering]\nturn_in = '3/4 in'\n[sides.front]\ncloth = '2 in'\nlap = '1/8 in'\n[sides.back]\ncloth = '2 in'\nlap = '1/8 in'\n",
    ));
    let [wide, high] = b.size("board-front-cover");
    let cloth = b.size("cloth-case")[1];
    near([cloth], [high + 1.5 * INCH]);
    for paper in ["paper-front-cover", "paper-back-cover"] {
        near(b.size(paper), [wide - 2.0 * INCH + 7.0 / 8.0 * INCH, cloth]);
    }
}

/// Source: University of Liverpool, Special Collections, "Q is for quarter-bound": a quarter binding covers the spine and
/// the edge of the boards nearest to it, and "may indeed cover one quarter"; left alone the cloth runs over a quarter.
/// The lap is 1/8 in to a fifth of a millimetre, by Vaughn as above.
#[test]
fn a_quarter_covering_covers_a_quarter() {
    let b = built(&loose("[sides.front]\n[sides.back]\n"));
    let g = b.design.measures.joint.to_mm();
    let spine = b.size("board-spine")[0];
    near([b.size("cloth-case")[0]], [2.0 * 105.0 / 4.0 + spine + 2.0 * g]);
    near([b.size("paper-front-cover")[0]], [105.0 * 0.75 + 3.0 + 16.0]);
    assert!((3.0 - 25.4 / 8.0f64).abs() < 0.2);
}

/// Every layer written down; derived.
#[test]
fn a_quarter_covered_case_worked_by_hand() {
    let sides = "[sides.front]\ncloth = 40\n[sides.back]\ncloth = 40\n";
    let b = built(&loose(sides));
    assert!(!any_error(&b.said), "{:#?}", b.said);
    let g = b.design.measures.joint.to_mm();
    // On either cover two cloths and the lining at the spine; the lap, a cloth and a paper, is less.
    let spine = 4.0 + 21.5 + 2.0 * (0.3 + 0.3 + 0.2);
    near(b.size("board-spine"), [spine, 160.0]);
    near(b.size("cloth-case"), [80.0 + spine + 2.0 * g, 192.0]);
    // From 3 mm before the line to the fore-edge and round it.
    near(b.size("paper-front-cover"), [105.0 - 40.0 + 3.0 + 16.0, 192.0]);
    near(b.size("paper-back-cover"), [84.0, 192.0]);
    // The fore-edge has paper alone, head and tail the lap, both faces the lap.
    near(b.fit.exterior.map(|l| l.to_mm()), [105.0 + g + 0.3 + 0.2, 161.0, spine + 1.0]);
    // No paper is in a joint.
    near([b.design.measures.joint_thickness.to_mm()], [2.0 + 0.6 + 0.6]);
    // A paper thicker than the cloth lies higher on its lap than the strip at the spine does.
    let thick = built(&loose(sides).replace("[paper]\nthickness = 0.2", "[paper]\nthickness = 0.4"));
    near([thick.size("board-spine")[0]], [4.0 + 21.5 + 2.0 * (0.3 + 0.4 + 0.2)]);
    let front = b.design.assembly.panel(Part::Lid(flapwright::job::Side::Left)).unwrap();
    near([front.dressed(Face::Outside)], [0.3 + 0.2]);
    // Cloth up to the line, paper from the lap on: together the cover and once more the lap.
    let area = |kind| -> f64 {
        let own = front.layers.iter().filter(|l| l.kind == kind && l.face == Face::Outside);
        own.map(|l| if let flapwright::assembly::Cover::Area(a) = &l.cover { a.area() } else { 0.0 }).sum()
    };
    near([area(LayerKind::Cloth), area(LayerKind::Paper)], [40.0 * 160.0, 68.0 * 160.0]);
    // Grain from head to tail, as of all else; the cloth first, dry, then paper, then the linings.
    assert_eq!(b.piece("paper-front-cover").grain, Grain::Height);
    let order = steps(&b.job, &b.design);
    let at = |step| order.iter().position(|s| *s == step).unwrap();
    assert!(at(Step::TurnIn) < at(Step::DryCovered) && at(Step::DryCovered) < at(Step::Sides));
    assert!(at(Step::Sides) < at(Step::LineCovers));
    // With both covers parted the cloth has no corner of its own.
    assert!(!order.contains(&Step::CornerCuts));
}

/// Strips and corners of cloth; derived.
#[test]
fn a_half_covered_case_worked_by_hand() {
    let b = built(&loose("[sides.front]\ncloth = 40\nedge = 30\n[sides.back]\ncloth = 40\ncorner = 35\n"));
    assert!(!any_error(&b.said), "{:#?}", b.said);
    near(b.size("cloth-front-cover-edge"), [30.0 + 16.0, 192.0]);
    // Between two lines, and a lap at either.
    near(b.size("paper-front-cover"), [105.0 - 40.0 - 30.0 + 6.0, 192.0]);
    // The line across a corner meets both edges 35 mm from it, and runs on at 45 degrees for the turn-in's width.
    for k in [1, 2] {
        near(b.size(&format!("cloth-back-cover-corner-{k}")), [35.0 + 16.0 + 16.0, 35.0 + 16.0 + 16.0]);
    }
    near(b.size("paper-back-cover"), [105.0 - 40.0 + 3.0 + 16.0, 192.0]);
    // Both pieces of a board have the corner cuts that lie on them: square to the corner's middle line, 1.5 t out.
    let corner = |id: &str| {
        let board =
            b.piece(if id.contains("front") { "board-front-cover" } else { "board-back-cover" }).outline.bounds();
        let at = [
            board.min,
            board.max,
            flapwright::geom::pt(board.min.x, board.max.y),
            flapwright::geom::pt(board.max.x, board.min.y),
        ];
        at.into_iter().map(|p| b.piece(id).outline.distance_to(p)).fold(f64::INFINITY, f64::min)
    };
    near([corner("cloth-front-cover-edge"), corner("cloth-back-cover-corner-1")], [3.0, 3.0]);
    // The fore-edge: cloth alone on the front cover, on the back one cloth and paper over it on the laps of its corners.
    let g = b.design.measures.joint.to_mm();
    near([b.fit.exterior[0].to_mm()], [105.0 + g + 0.3 + 0.5]);
}

/// The lid that closes last of a box of hinged boards; derived.
#[test]
fn a_lid_covered_by_part_worked_by_hand() {
    let (whole, b) = (built(&lidded("")), built(&lidded("[sides.left]\ncloth = 50\nedge = 30\n")));
    assert!(!any_error(&b.said), "{:#?}", b.said);
    // Beside its walls a lid has cloth and paper over its edge: half a millimetre, a cloth and a paper.
    near([whole.design.measures.flap_inset.to_mm(), b.design.measures.flap_inset.to_mm()], [0.85, 1.05]);
    // Its wall is higher by the paper that laps over the cloth under it.
    let wall = |b: &Built| b.size("board-wall-left")[0];
    near([wall(&b) - wall(&whole)], [0.2]);
    near([b.design.measures.joint.to_mm()], [whole.design.measures.joint.to_mm()]);
    near([b.fit.exterior[2].to_mm() - whole.fit.exterior[2].to_mm()], [0.4]);
    let reach = 0.95 * 202.0;
    near([b.size("paper-flap-left")[0], b.size("cloth-flap-left-edge")[0]], [reach - 80.0 + 6.0, 46.0]);
    // On the wrong side of every piece of the covering the boards are drawn, so far as they lie on it.
    for id in ["cloth-cover", "paper-flap-left", "cloth-flap-left-edge"] {
        let piece = b.piece(id);
        assert!(piece.marks.iter().flat_map(|m| m.segments()).all(|s| piece.outline.contains(s.point_at(0.5))), "{id}");
    }
    assert!(b.piece("paper-flap-left").marks.iter().any(|m| !m.is_closed()));
}

/// Each with its code and the key that mends it.
#[test]
fn what_cannot_be_made_is_told() {
    let said = |text: &str| {
        let (job, mut found) = read(text);
        if let Some(job) = job.filter(|_| !any_error(&found)) {
            found.extend(design(&job).1);
        }
        found
    };
    let label = "[title_label]\nwidth = 60\nheight = 30\n";
    let ties = "[ties.left]\nwidth = 10\nthickness = 0.4\ncount = 1\ninset = 28.5\ntail = 20\n";
    for (text, code, place) in [
        (loose("[sides.front]\ncloth = 15\n"), "side-cloth-short", "sides.front.cloth"),
        (loose("[sides.front]\ncloth = 22\n"), "side-cloth-short", "sides.front.cloth"),
        (loose("[sides.front]\nedge = 5\n"), "side-cloth-short", "sides.front.edge"),
        (loose("[sides.front]\ncloth = 60\nedge = 40\n"), "side-lines-meet", "sides.front.cloth"),
        (loose("[sides.front]\ncorner = 76\n"), "side-lines-meet", "sides.front.cloth"),
        (loose("[sides.front]\nedge = 20\ncorner = 20\n"), "edge-and-corner", "sides.front.corner"),
        (loose("[sides.front]\ncloth = '100 %'\n"), "side-share", "sides.front.cloth"),
        (loose(&format!("[sides.front]\ncloth = 40\n{label}")), "side-across-label", "sides.front.cloth"),
        (loose(&format!("[sides.front]\ncloth = 40\nedge = 30\n{ties}")), "side-across-slot", "sides.front.cloth"),
        (lidded("[sides.right]\n"), "side-under-lid", "sides.right"),
        (lidded("[sides.left]\n").replace(PAPER, ""), "no-paper", "sides.left"),
        (
            lidded("[sides.left]\nedge = 20\n[flap.left.notch]\nwidth = 28\ndepth = 14\n"),
            "side-at-notch",
            "sides.left.edge",
        ),
        (lidded("shape = 'bow'\nbow = 8\n[sides.left]\nedge = 20\n"), "side-edge-shape", "sides.left.edge"),
        (
            lidded("[sides.left]\n").replace("[flap.left]\ntier = 3\nreach = '95 %'\n", ""),
            "side-without-lid",
            "sides.left",
        ),
    ] {
        let found = said(&text);
        let one = found.iter().find(|d| d.code == code).unwrap_or_else(|| panic!("{code}: {found:#?}"));
        assert!(one.is_error() && one.hint.is_some(), "{one:?}");
        let (job, _) = read(&text);
        let is_there =
            format!("{:?}", one.place).contains(place) || job.is_none_or(|job| job.places.find(place).is_some());
        assert!(is_there, "{one:?}");
    }
    // What a construction does not take is left aside, and said.
    for (construction, more) in
        [("creased-board", "[sides.left]\n"), ("slipcase", "[sides.front]\n"), ("portfolio", "[sides.left]\n")]
    {
        let text = lidded(&format!("[box]\nconstruction = '{construction}'\n{more}"))
            .replace("thickness = 2\n", "thickness = 1\n");
        let found = said(&text);
        assert!(found.iter().any(|d| d.code == "no-sides-here" && !d.is_error()), "{construction}: {found:#?}");
    }
    assert!(said(&lidded("")).iter().any(|d| d.code == "unused-stock"));
    // Moved by what the message says, the first of them can be made.
    assert!(!any_error(&said(&loose("[sides.front]\ncloth = 23\n"))));
}

/// Random sides for these boards, each a board of so much across its joint.
fn random_sides(seed: u64, boards: &[(&str, f64)]) -> String {
    let mut dice = Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x0005_1DE5);
    let mut within = |low: f64, high: f64| {
        let share = (dice.next() >> 11) as f64 / (1u64 << 53) as f64;
        ((low + share * (high - low)) * 100.0).round() / 100.0
    };
    let paper = within(0.08, 0.5);
    let mut text = format!("[paper]\nthickness = {paper}\nsheet = {{ width = 560, height = 760 }}\n");
    for (board, wide) in boards {
        let (lap, cloth) = (within(1.5, 6.0), within(24.0, 30.0).max(wide * within(0.15, 0.5)));
        text.push_str(&format!("[sides.{board}]\ncloth = {cloth}\nlap = {lap}\n"));
        match within(0.0, 3.0) as u32 {
            1 => text.push_str(&format!("edge = {}\n", within(13.0, 30.0))),
            2 => text.push_str(&format!("corner = {}\n", within(18.0, 40.0))),
            _ => {}
        }
    }
    text
}

/// Cloth as thick as nothing beside paper that is not, and a tapered lid that is widest where paper does not lap over cloth.
const HARD: [u64; 3] = [92, 286, 298];

/// Random boxes whose last lid is covered by part, folded by the reference, which knows the pieces alone. More of them:
/// `FLAPWRIGHT_BY_PART=1000`.
#[test]
fn random_lids_fold_as_their_figures_say() {
    let (from, count) = (proved::setting("FLAPWRIGHT_BY_PART_FROM", 0), proved::setting("FLAPWRIGHT_BY_PART", 60));
    let mut boxes = Vec::new();
    for seed in (from..from + count).chain(HARD) {
        let random = RandomJob::for_folding(seed);
        let Some((side, wide)) = random.last_lid() else { continue };
        let text = random.toml(1.0) + &random_sides(seed, &[(side, wide)]);
        boxes.extend(folded_boxes::told(&format!("seed {seed}"), text).map(|t| (format!("seed {seed}"), t)));
    }
    println!("{} of {count} are accepted", boxes.len());
    assert!(boxes.len() as u64 * 6 > count, "{} of {count} accepted", boxes.len());
    assert!(boxes.iter().all(|b| b.1["fit"]["dressed"]["paper"].as_f64().is_some_and(|p| p > 0.0)));
    let all = folded_boxes::fold(&boxes);
    assert!(all.is_empty(), "{} boxes: {all:#?}", boxes.len());
}

/// A random box whose last lid is covered by part, with a lining by part, or with windows, or with both.
pub(crate) fn parted_and_more(seed: u64, is_small: bool) -> Option<(String, bool)> {
    let has_window = seed % 3 != 1;
    let job = match seed % 3 {
        0 => RandomJob::for_folding(seed),
        1 => RandomJob::with_lining(seed),
        // Folded linings take no window.
        _ => RandomJob::with_lining(seed).cut_to_size(),
    };
    let (side, wide) = job.last_lid()?;
    let text = job.toml(1.0) + &random_sides(seed, &[(side, wide)]);
    let text = if is_small { text.replace("width = 2000, height = 3000", "width = 700, height = 1000") } else { text };
    if has_window { window::random(seed, text).map(|text| (text, true)) } else { Some((text, false)) }
}

/// The same of boxes whose linings are by part, or whose lids have windows, in paper and in cloth. More of them:
/// `FLAPWRIGHT_BY_PART=1000`.
#[test]
fn lids_with_linings_and_windows_fold_as_their_figures_say() {
    let (from, count) = (proved::setting("FLAPWRIGHT_BY_PART_FROM", 0), proved::setting("FLAPWRIGHT_BY_PART", 120));
    let mut boxes = Vec::new();
    for seed in from..from + count {
        let Some((text, _)) = parted_and_more(seed, false) else { continue };
        boxes.extend(folded_boxes::told(&format!("seed {seed}"), text).map(|t| (format!("seed {seed}"), t)));
    }
    let with = |is: &dyn Fn(&Value) -> bool| boxes.iter().filter(|b| is(&b.1)).count();
    let has_piece = |t: &Value, words: &str| {
        t["pieces"].as_array().unwrap().iter().any(|p| p["id"].as_str().unwrap().contains(words))
    };
    let (strips, papers) = (with(&|t| has_piece(t, "cloth-hinge")), with(&|t| has_piece(t, "paper-patch-window")));
    let folded = with(&|t| t["fit"]["dressed"].get("linings").is_some());
    println!(
        "{} of {count} are accepted: {strips} with hinge strips, {folded} with folded linings, {papers} with a window in paper",
        boxes.len()
    );
    assert!(strips > 0 && papers > 0 && folded > 0 || count < 120);
    let all = folded_boxes::fold(&boxes);
    assert!(all.is_empty(), "{} boxes: {all:#?}", boxes.len());
}

pub(crate) fn parted_portfolio(seed: u64) -> String {
    let wide = 150.0;
    let boards: &[(&str, f64)] = match seed % 4 {
        0 => &[("front", 150.0)],
        1 => &[("back", 150.0)],
        _ => &[("front", 150.0), ("back", 150.0)],
    };
    let _ = wide;
    portfolio::random(seed) + &random_sides(seed, boards)
}

/// The same of portfolios, with a wrapper and without. More of them: `FLAPWRIGHT_BY_PART=1000`.
#[test]
fn random_portfolios_close_as_their_figures_say() {
    let (from, count) = (proved::setting("FLAPWRIGHT_BY_PART_FROM", 0), proved::setting("FLAPWRIGHT_BY_PART", 24));
    let built: Vec<(u64, Built)> = (from..from + count)
        .map(|seed| (seed, built(&parted_portfolio(seed))))
        .filter(|(seed, b)| {
            let is_told = b.said.iter().filter(|d| d.is_error()).all(|d| d.hint.is_some());
            assert!(is_told, "{seed}: {:#?}", b.said);
            !any_error(&b.said)
        })
        .collect();
    println!("{} of {count} are accepted", built.len());
    assert!(built.len() as u64 * 4 > count * 3, "only {} of {count} can be made", built.len());
    let all: Vec<Value> = built.iter().map(|(_, b)| portfolio::told(b)).collect();
    let Some(seen) = python("fold_portfolio.py", &[], &Value::Array(all)) else { return };
    for ((seed, b), seen) in built.iter().zip(seen.as_array().unwrap()) {
        portfolio::agrees(b, seen, || format!("{seed}: {seen}\n{}", parted_portfolio(*seed)));
    }
}

/// And of boxes with a drop spine.
#[test]
fn drop_spines_close_as_their_figures_say() {
    let text = |seed: u64| trays::random(seed) + &random_sides(seed, &[("front", 150.0), ("back", 150.0)]);
    let (from, count) = (proved::setting("FLAPWRIGHT_BY_PART_FROM", 0), proved::setting("FLAPWRIGHT_BY_PART", 18));
    let built: Vec<(u64, Built)> = (from..from + count)
        .filter(|seed| text(*seed).contains("drop-spine"))
        .map(|seed| (seed, built(&text(seed))))
        .filter(|(_, b)| !any_error(&b.said))
        .collect();
    println!("{} of {count} are accepted", built.len());
    assert!(built.len() as u64 * 4 > count, "only {} of {count} can be made", built.len());
    let all: Vec<Value> = built.iter().map(|(_, b)| trays::told(b)).collect();
    let Some(seen) = python("fold_trays.py", &[], &Value::Array(all)) else { return };
    for ((seed, b), seen) in built.iter().zip(seen.as_array().unwrap()) {
        assert_eq!(seen["wrong"], json!([]), "{seed}: {seen}\n{}", text(*seed));
        let (depth, told) = (seen["depth"].as_f64().unwrap(), b.fit.exterior[2].to_mm());
        assert!((depth - told).abs() < 0.03, "{seed}: {depth}, told {told}");
    }
}

/// The references notice pieces that are wrong: paper that ends before the cloth, a line that was moved, a lid's wall that
/// does not count the paper.
#[test]
fn the_references_notice_damages() {
    let b = built(&loose("[sides.front]\ncloth = 40\n[sides.back]\ncloth = 40\n"));
    let whole = portfolio::told(&b);
    let moved = |id: &str, by: f64| {
        let mut line = whole.clone();
        let pieces = line["pieces"].as_array_mut().unwrap();
        let piece = pieces.iter_mut().find(|p| p["id"] == id).unwrap_or_else(|| panic!("no {id}"));
        let points = piece["outline"].as_array_mut().unwrap();
        let most = points.iter().map(|p| p[0].as_f64().unwrap()).fold(f64::NEG_INFINITY, f64::max);
        for p in points.iter_mut().filter(|p| (p[0].as_f64().unwrap() - most).abs() < 1e-9) {
            p[0] = json!(most + by);
        }
        line
    };
    // The front cover hangs at the left: the right edge of its paper is the one at the cloth.
    let lines = vec![whole.clone(), moved("paper-front-cover", -3.5), moved("cloth-case", -4.0)];
    if let Some(seen) = python("fold_portfolio.py", &[], &Value::Array(lines)) {
        assert_eq!(seen[0]["wrong"], json!([]), "{}", seen[0]);
        for one in &seen.as_array().unwrap()[1..] {
            assert_ne!(one["wrong"], json!([]), "{one}");
        }
    }
    let sound = folded_boxes::told("x", lidded("[sides.left]\ncloth = 50\n")).unwrap();
    let mut thick = sound.clone();
    thick["fit"]["dressed"]["paper"] = json!(0.6);
    if let Some(seen) = fold_boxes(&[sound.clone(), thick.clone()]) {
        assert!(folded_boxes::differences(&sound, &seen[0]).is_empty());
        let found = folded_boxes::differences(&thick, &seen[1]);
        assert!(found.iter().any(|f| f.starts_with("play: left")), "{found:?}");
    }
}

/// Random coverings by part exported for one machine after another. More of them: `FLAPWRIGHT_BY_PART_PROVED=500`.
#[test]
fn random_coverings_are_refused_with_a_reason_or_proved() {
    let (from, count) =
        (proved::setting("FLAPWRIGHT_BY_PART_FROM", 0), proved::setting("FLAPWRIGHT_BY_PART_PROVED", 10));
    let (proved, faults) = proved::exported_and_proved(
        "by-part",
        from..from + count,
        |seed| match seed % 2 {
            0 => Some(parted_portfolio(seed)),
            _ if seed % 4 == 3 => parted_and_more(seed, true).map(|found| found.0),
            _ => {
                let random = RandomJob::new(seed);
                let (side, wide) = random.last_lid()?;
                let text = random.toml(1.0).replace("width = 2000, height = 3000", "width = 700, height = 1000");
                Some(text + &random_sides(seed, &[(side, wide)]))
            }
        },
        |_| (),
    );
    println!("{proved} of {count} were written and proved");
    assert!(faults.is_empty(), "{} of {proved} not proved\n{}", faults.len(), faults.join("\n"));
    assert!(proved * 4 > count, "only {proved} of {count} were written");
}

/// The sample on every machine that can cut it; a program for its paper in which one place is half a millimetre out is
/// found. The machines have no rule for paper: they cut it as the liner.
#[test]
fn the_sample_is_proved_on_all_machines() {
    let machines =
        ["oscillating-knife-table", "drag-knife-table", "shared-laser-cutter", "servo-plotter", "small-router"];
    let files = export("thongweed-portfolio", &machines, "by-part-sample");
    assert_eq!(faults(&verify_folder(&files)), Vec::<String>::new());
    let is_program =
        |name: &&String| name.starts_with("paper-1") && name.contains("drag-knife-table") && name.ends_with(".nc");
    let name = files.keys().find(is_program).unwrap_or_else(|| panic!("{:?}", files.keys())).clone();
    let text = String::from_utf8(files[&name].clone()).unwrap();
    let at = text.lines().position(|l| l.starts_with("G1 X") && l.contains(" Y")).unwrap();
    let line = text.lines().nth(at).unwrap();
    let x: f64 = line.split_whitespace().find_map(|w| w.strip_prefix('X')).unwrap().parse().unwrap();
    let wrong: String = text
        .lines()
        .enumerate()
        .map(|(i, l)| if i == at { l.replacen(&format!("X{x}"), &format!("X{}", x + 0.5), 1) } else { l.to_owned() } + "\n")
        .collect();
    assert_ne!(wrong, text, "{line}");
    let found = faults(&put(&files, &name, wrong.into_bytes()));
    assert!(!found.is_empty());
}

/// Of each piece that is seen there is an artwork sheet, the cloth's first.
#[test]
fn every_paper_has_an_artwork_sheet_of_its_own() {
    let b = built(&loose("[sides.front]\n[sides.back]\ncorner = 30\n"));
    let all = flapwright::write::artwork::Artwork::all(&b.job, &b.design, flapwright::units::mm(3.0)).unwrap();
    let ids: Vec<&str> = all.iter().map(|a| a.piece.as_str()).collect();
    assert_eq!(ids, ["cloth-case", "paper-front-cover", "paper-back-cover"]);
    let names: Vec<String> = all.iter().map(|a| a.file("artwork.svg")).collect();
    assert_eq!(names, ["artwork.svg", "artwork-paper-front-cover.svg", "artwork-paper-back-cover.svg"]);
}
