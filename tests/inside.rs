//! What lies inside a box: worked by hand, laid out once more by a reference that shares no code, folded by another,
//! exported in random jobs and proved, and every figure of it changed once.

#![allow(
    clippy::panic,
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::print_stdout,
    reason = "a test that cannot read its job stops there"
)]

use crate::common::built::{Built, read};
use crate::common::dice::Dice;
use crate::common::proof::{export, told};
use crate::common::random_job::RandomJob;
use crate::common::references::python;
use crate::{folded_boxes, proved};
use flapwright::design::design;
use flapwright::diag::any_error;
use flapwright::fit::fit;
use flapwright::job::{StockKind, StrapAlong};
use flapwright::units::Length;
use flapwright::verify::verify_folder;
use flapwright::write::manifest::{FitFigures, pieces_as_json};
use serde_json::{Value, json};

/// What becomes of a job; `None` where it is refused.
fn built(text: &str) -> Option<Built> {
    let (job, mut said) = read(text);
    let job = job?;
    let (design, more) = design(&job);
    said.extend(more);
    if any_error(&said) {
        return None;
    }
    let (fit, more) = fit(&job, &design);
    said.extend(more);
    (!any_error(&said)).then_some(Built { job, design, fit, said })
}

fn build(text: &str) -> Built {
    built(text).unwrap_or_else(|| panic!("{text}\n{:#?}", read(text).1))
}

impl Built {
    fn count(&self, id: &str) -> u32 {
        self.design.pieces.iter().find(|p| p.id == id).map_or(0, |p| p.count)
    }

    fn interior(&self) -> [f64; 3] {
        self.fit.interior.map(Length::to_mm)
    }

    fn codes(&self) -> Vec<&str> {
        self.said.iter().map(|d| d.code).collect()
    }
}

fn near(a: &[f64], b: &[f64]) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-6)
}

/// 100 x 150 x 6 with 2, 2 and 1 of room; board 2, cloth 0.3, liner 0.2.
fn plain(more: &str) -> String {
    of_depth(6.0, more)
}

fn of_depth(depth: f64, more: &str) -> String {
    format!(
        "format = 1\ntitle = 'x'\n[contents]\nwidth = 100\nheight = 150\ndepth = {depth}\n\
         [board]\nthickness = 2\nsheet = {{ width = 700, height = 1000 }}\n[cloth]\nthickness = 0.3\n\
         [liner]\nthickness = 0.2\n[flap.right]\ntier = 1\nreach = 40\n[flap.left]\ntier = 2\nreach = 95\n{more}"
    )
}

/// By hand: 6 of works, 2 and 1 of padding, 1 of clearance. The box is that of a stack of 9, layer for layer.
#[test]
fn padding_takes_depth_as_a_deeper_stack_does() {
    let b = build(&plain("[inside.under]\nthickness = 2\n[inside.over]\nwhat = 'card'\nthickness = 1\n"));
    assert!(near(&b.interior(), &[102.0, 152.0, 10.0]), "{:?}", b.interior());
    let same = build(&of_depth(9.0, ""));
    assert_eq!(b.design.measures, same.design.measures);
    assert_eq!(b.fit.exterior, same.fit.exterior);
    // Depths are told of the stack itself: 3 of it is padding.
    assert!(near(&[(same.fit.depths.flat - b.fit.depths.flat).to_mm()], &[3.0]));
    let inside = b.fit.inside.as_ref().unwrap();
    let told: Vec<(&str, [f64; 3])> =
        inside.padding.iter().map(|p| (p.what.as_str(), [p.width, p.height, p.thickness].map(Length::to_mm))).collect();
    assert_eq!(told, [("felt under the stack", [100.0, 150.0, 2.0]), ("card over the stack", [100.0, 150.0, 1.0])]);
    // Bought apart it is no piece; cut from a stock it is one, as thick as that.
    assert_eq!(b.design.pieces.len(), same.design.pieces.len());
    let cut = build(&plain("[inside.under]\nstock = 'board'\nsmaller = 4\n"));
    assert!(near(&cut.size("board-padding-under"), &[98.0, 148.0]) && near(&cut.interior(), &[102.0, 152.0, 9.0]));
    // Larger than the stack it is what the lids lie on: their turn-ins are looked for as far out as it reaches.
    let wide = build(&plain("[inside.over]\nthickness = 1\nsmaller = 0\n"));
    assert!(near(&[wide.job.contents.width.to_mm()], &[102.0]));
}

/// By hand: (7 - 0.2) / 2 is 3.4 boards, 3 make 6.2; with a cloth above and turned under 3 make 6.6.
#[test]
fn a_spacer_by_its_height() {
    let b = build(&plain("[inside.spacer]\nheight = 7\n"));
    assert!(near(&b.interior(), &[102.0, 152.0, 6.0 + 6.2 + 1.0]), "{:?}", b.interior());
    assert!(near(&b.size("board-spacer"), &[101.0, 151.0]) && b.count("board-spacer") == 3);
    assert!(near(&b.size("liner-spacer"), &[101.0, 151.0]) && b.count("liner-spacer") == 1);
    assert_eq!(b.codes(), ["spacer-uneven"]);
    assert!(b.said[0].message.contains("3 boards make 6.2 mm"), "{:?}", b.said);
    assert_eq!(b.said[0].hint.as_deref(), Some("write height = 6.2 mm; the next would be 8.2 mm"));
    let b = build(&plain("[inside.spacer]\nheight = 6.6\ncover = 'cloth'\nclearance = 2\n"));
    assert!(near(&b.interior(), &[102.0, 152.0, 13.6]) && b.codes().is_empty(), "{:?}", b.codes());
    // 100 across with its cloth, 0.3 on each side; the cloth reaches over 6.3 and 16 - 2.3 under.
    assert!(near(&b.size("board-spacer"), &[99.4, 149.4]));
    assert!(near(&b.size("cloth-spacer"), &[99.4 + 2.0 * (6.3 + 13.7), 149.4 + 2.0 * (6.3 + 13.7)]));
    let bare = build(&plain("[inside.spacer]\nheight = 4\ncover = 'none'\n"));
    assert!(near(&bare.interior(), &[102.0, 152.0, 11.0]) && bare.count("board-spacer") == 2);
}

/// By hand: 20 deep leave 20 - 1 - 6 = 13; six boards and a liner are 12.2, 0.8 is left over.
#[test]
fn a_spacer_by_the_depth_that_is_wanted() {
    let b = build(&plain("[inside.spacer]\ninterior_depth = 20\n"));
    assert!(near(&b.interior(), &[102.0, 152.0, 20.0]) && b.count("board-spacer") == 6);
    let inside = b.fit.inside.as_ref().unwrap();
    assert!(near(&[inside.highest.to_mm(), inside.remainders[0].to_mm()], &[18.2, 0.8]), "{inside:?}");
    assert_eq!(b.codes(), ["spacer-remainder"]);
    let hint = b.said[0].hint.as_deref().unwrap();
    assert!(hint.starts_with("interior_depth = 19.2 mm leaves nothing, 21.2 mm takes 7 boards"), "{hint}");
    // The walls are those of any box so deep, whatever it holds.
    let other = build(&of_depth(19.0, ""));
    let walls = |b: &Built| b.design.measures.walls.values().map(|w| w.to_mm()).collect::<Vec<_>>();
    assert!(near(&walls(&b), &walls(&other)), "{:?} {:?}", walls(&b), walls(&other));
    let even = build(&plain("[inside.spacer]\ninterior_depth = 19.2\n"));
    assert!(even.codes().is_empty() && even.count("board-spacer") == 6);
    // A board does not go into 1.5: said, with the nearest that do.
    let none = build(&plain("[inside.spacer]\ninterior_depth = 8.5\n"));
    assert_eq!((none.codes(), none.count("board-spacer")), (vec!["no-spacer-fits"], 0));
    let hint = none.said[0].hint.as_deref().unwrap();
    assert!(hint.starts_with("interior_depth = 7 mm leaves nothing, 9.2 mm takes 1 board;"), "{hint}");
    assert!(near(&[none.interior()[2]], &[8.5]));
    let (_, said) = read(&plain("[inside.spacer]\ninterior_depth = 6.5\n"));
    assert_eq!(said[0].code, "interior-too-shallow");
    assert_eq!(said[0].hint.as_deref(), Some("write interior_depth = 7 mm or more"));
}

/// By hand: 25 glued, 100 under the stack, 6 up, 40 to pull at; over a spacer of 6.2 that is half a millimetre wider at
/// that side.
#[test]
fn a_lift_ribbon_by_hand() {
    let length = |b: &Built| b.fit.inside.as_ref().unwrap().ribbon.as_ref().unwrap().length.to_mm();
    let b = build(&plain("[inside.lift_ribbon]\n"));
    assert!(near(&[length(&b), b.interior()[2]], &[171.0, 6.0 + 3.0 * 0.3 + 1.0]));
    let b = build(&plain("[inside.lift_ribbon]\nglued_at = 'head'\nthickness = 0.4\n[inside.under]\nthickness = 2\n"));
    assert!(near(&[length(&b), b.interior()[2]], &[25.0 + 2.0 + 150.0 + 6.0 + 40.0, 6.0 + 1.2 + 2.0 + 1.0]));
    let b = build(&plain("[inside.lift_ribbon]\n[inside.spacer]\nheight = 6.2\n"));
    assert!(near(&[length(&b), b.interior()[2]], &[25.0 + 6.2 + 100.5 + 6.0 + 40.0, 6.0 + 6.2 + 0.9 + 1.0]));
}

/// By hand: a divider is 2 + 2 x 0.3 thick; 102 + 2.6 + 62 across; 20 of works and the foot of 0.3 beneath. Beside the
/// second 12 are wanting: five boards and a liner make 10.2. It is 50 narrower: nine boards of 61 x 49 lie there.
#[test]
fn two_stacks_in_a_tray_by_hand() {
    let two = "[[inside.beside]]\nwidth = 60\nheight = 100\ndepth = 8\n";
    let text =
        of_depth(20.0, two).replace("[flap.right]\ntier = 1\nreach = 40\n[flap.left]\ntier = 2\nreach = 95\n", "");
    let b = build(&format!("{text}[box]\nconstruction = 'tray-and-lid'\n"));
    assert!(near(&b.interior(), &[166.6, 152.0, 21.3]), "{:?}", b.interior());
    assert!(near(&b.size("board-divider"), &[150.4, 20.0]) && b.count("board-divider") == 1);
    assert!(near(&b.size("cloth-divider"), &[152.7, 2.0 * 32.0 + 2.3]));
    assert!(near(&b.size("board-spacer-2"), &[61.0, 101.0]) && b.count("board-spacer-2") == 5);
    assert!(near(&b.size("board-spacer-beside-2"), &[61.0, 49.0]) && b.count("board-spacer-beside-2") == 9);
    let inside = b.fit.inside.as_ref().unwrap();
    let left: Vec<f64> = inside.remainders.iter().map(|l| l.to_mm()).collect();
    assert!(near(&left, &[0.0, 1.8]) && b.codes() == ["spacer-remainder"], "{left:?} {:?}", b.codes());
    // The tray is that of one stack as large as all of it.
    let one = "[contents]\nwidth = 164.6\nheight = 150\ndepth = 20.3\n";
    let same = text.replace(two, "").replace("[contents]\nwidth = 100\nheight = 150\ndepth = 20\n", one);
    let same = build(&format!("{same}[box]\nconstruction = 'tray-and-lid'\n"));
    for id in ["board-tray-base", "board-tray-left-wall", "board-lid-base", "board-lid-head-wall"] {
        assert!(near(&b.size(id), &same.size(id)), "{id}: {:?} {:?}", b.size(id), same.size(id));
    }
    // Along the height the first lies at the head.
    let b = build(&format!("{text}[inside.divider]\nalong = 'height'\n[box]\nconstruction = 'drop-spine'\n"));
    assert!(near(&b.interior(), &[102.0, 152.0 + 2.6 + 102.0, 21.3]), "{:?}", b.interior());
    let first = b.fit.inside.as_ref().unwrap().things.iter().find(|t| t.stack == 1).unwrap();
    assert!(first.low[1] + first.high[1] > Length::ZERO && near(&b.size("board-divider"), &[100.4, 20.0]));
}

/// Every construction takes it, or says why not.
#[test]
fn every_construction_takes_what_lies_inside_or_says_why_not() {
    let all = "[inside.under]\nthickness = 2\n[inside.spacer]\ninterior_depth = 24\n[inside.lift_ribbon]\n";
    let two = "[[inside.beside]]\nwidth = 60\nheight = 100\ndepth = 8\n";
    for construction in ["hinged-boards", "creased-board", "crossed-strips", "drop-spine", "tray-and-lid"] {
        let text = |more: &str| {
            let text = plain(&format!("{more}[box]\nconstruction = '{construction}'\n"));
            let text = if construction == "creased-board" {
                text.replace("thickness = 2\nsheet", "thickness = 1.2\nsheet")
            } else {
                text
            };
            let text = if construction == "crossed-strips" {
                text.replace("thickness = 2\nsheet", "thickness = 0.7\nsheet")
            } else {
                text
            };
            if ["hinged-boards", "creased-board"].contains(&construction) {
                return text;
            }
            text.replace("[flap.right]\ntier = 1\nreach = 40\n[flap.left]\ntier = 2\nreach = 95\n", "")
        };
        let b = build(&text(all));
        assert!((b.interior()[2] - 24.0).abs() < 1e-6 && b.count("board-spacer") > 4, "{construction}");
        let steps = flapwright::design::steps(&b.job, &b.design);
        assert_eq!(steps[steps.len() - 2], flapwright::design::Step::Inside, "{construction}");
        let (job, said) = read(&text(two));
        if construction == "crossed-strips" {
            let code = said.iter().find(|d| d.is_error()).map(|d| d.code);
            assert_eq!(code, Some("no-divider-here"), "{said:#?}");
            assert!(said.iter().all(|d| d.hint.is_some()) && job.is_none());
        } else {
            assert!(build(&text(two)).count("board-divider") == 1, "{construction}");
        }
    }
}

/// Random tables of what lies inside, for a job of this text; `many` of them with stacks beside the first.
fn random(seed: u64, many: bool) -> String {
    let mut d = Dice(seed ^ 0x1A51_DE00);
    let mut pick = |low: f64, high: f64| {
        let share = (d.next() >> 11) as f64 / (1u64 << 53) as f64;
        ((low + share * (high - low)) * 100.0).round() / 100.0
    };
    let mut more = String::new();
    for which in ["under", "over"] {
        match pick(0.0, 3.0) {
            p if p < 1.0 => more.push_str(&format!(
                "[inside.{which}]\nthickness = {}\nsmaller = {}\n",
                pick(0.5, 4.0),
                pick(0.7, 3.0)
            )),
            p if p < 1.5 => {
                more.push_str(&format!("[inside.{which}]\nstock = 'board'\nsmaller = {}\n", pick(0.7, 3.0)))
            }
            _ => {}
        }
    }
    let is_row = many && pick(0.0, 1.0) < 0.8;
    if is_row {
        for _ in 0..(pick(1.0, 3.0) as u32) {
            more.push_str(&format!(
                "[[inside.beside]]\nwidth = {}\nheight = {}\ndepth = {}\n",
                pick(40.0, 150.0),
                pick(40.0, 200.0),
                pick(3.0, 30.0)
            ));
        }
        more.push_str(&format!(
            "[inside.divider]\nalong = '{}'\nfoot = {}\nease = {}\n",
            if pick(0.0, 1.0) < 0.5 { "width" } else { "height" },
            pick(4.0, 16.0),
            pick(0.0, 2.0)
        ));
    }
    let clearance = pick(0.7, 3.0);
    match pick(0.0, 3.0) {
        p if p < 1.0 && !is_row => {
            more.push_str(&format!("[inside.spacer]\nheight = {}\nclearance = {clearance}\n", pick(1.0, 12.0)))
        }
        p if p < 2.0 => {
            more.push_str(&format!("[inside.spacer]\ninterior_depth = {}\nclearance = {clearance}\n", pick(20.0, 70.0)))
        }
        _ => {}
    }
    if pick(0.0, 1.0) < 0.5 {
        more.push_str(&format!(
            "[inside.lift_ribbon]\nglued_at = '{}'\nwidth = {}\nthickness = {}\nglued = {}\npull = {}\n",
            ["left", "right", "head", "tail"][pick(0.0, 3.99) as usize],
            pick(6.0, 20.0),
            pick(0.1, 0.35),
            pick(5.0, 25.0),
            pick(10.0, 40.0)
        ));
    }
    if pick(0.0, 1.0) < 0.3 {
        let held = if is_row || pick(0.0, 1.0) < 0.5 { "inset" } else { "corners" };
        let corner = if held == "corners" { format!("corner = {}\n", pick(4.0, 12.0)) } else { String::new() };
        more.push_str(&format!(
            "[inside.colophon]\nwidth = {}\nheight = {}\nthickness = {}\nheld = '{held}'\nease = {}\n{corner}",
            pick(30.0, 70.0),
            pick(30.0, 70.0),
            pick(0.1, 0.6),
            pick(0.0, 2.0)
        ));
    }
    if more.is_empty() { "[inside.under]\nthickness = 1\n".into() } else { more }
}

/// A random box of trays.
fn random_trays(seed: u64) -> String {
    let mut d = Dice(seed ^ 0x7A1E);
    let mut pick = |low: f64, high: f64| {
        let share = (d.next() >> 11) as f64 / (1u64 << 53) as f64;
        ((low + share * (high - low)) * 100.0).round() / 100.0
    };
    let liner =
        if pick(0.0, 1.0) < 0.6 { "[liner]\nthickness = 0.2\nsheet = { width = 560, height = 760 }\n" } else { "" };
    format!(
        "format = 1\ntitle = 'trays'\n[contents]\nwidth = {}\nheight = {}\ndepth = {}\n[board]\nthickness = {}\n\
         sheet = {{ width = 560, height = 760 }}\n[cloth]\nthickness = {}\nsheet = {{ width = 560, height = 760 }}\n\
         coating = 'none'\n{liner}[box]\nconstruction = '{}'\nseat = '{}'\n",
        pick(40.0, 150.0),
        pick(50.0, 200.0),
        pick(5.0, 25.0),
        pick(1.5, 2.5),
        pick(0.2, 0.4),
        if pick(0.0, 1.0) < 0.5 { "tray-and-lid" } else { "drop-spine" },
        if pick(0.0, 1.0) < 0.5 { "beside" } else { "on-base" },
    )
}

/// One in two a box of trays, the others of every other construction.
fn random_job(seed: u64) -> Option<String> {
    let text = if seed.is_multiple_of(2) { random_trays(seed) } else { proved::job(seed) };
    Some(format!("{text}{}", random(seed, !seed.is_multiple_of(3))))
}

/// What the reference needs of a box: the numbers of its job, and what is told of it.
fn asked(b: &Built) -> Value {
    let inside = b.job.inside.as_ref().unwrap();
    let word = |stock: Option<StockKind>| stock.map_or("none", StockKind::word);
    let of = |kind| b.job.stock(kind).map_or(0.0, |s| s.thickness.to_mm());
    let asked = json!({
        "stacks": inside.stacks,
        "clearance": [inside.room.width, inside.room.height, inside.room.depth],
        "board": of(StockKind::Board),
        "cloth": of(StockKind::Cloth),
        "liner": of(StockKind::Liner),
        "under": inside.under.as_ref().map(|p| json!({ "thickness": p.thickness })),
        "over": inside.over.as_ref().map(|p| json!({ "thickness": p.thickness })),
        "spacer": inside.spacer.map(|s| json!({
            "height": s.height, "interior_depth": s.interior_depth, "cover": word(s.cover.stock),
        })),
        "divider": inside.divider.map(|d| json!({
            "along": if d.along == StrapAlong::Width { "width" } else { "height" }, "cover": word(d.cover.stock),
        })),
        "colophon": inside.colophon.map(|c| json!({ "thickness": c.thickness, "held": c.held.word() })),
        "ribbon": inside.ribbon.map(|r| json!({
            "stack": r.stack + 1, "glued_at": r.glued_at, "thickness": r.thickness, "glued": r.glued, "pull": r.pull,
        })),
    });
    let figures = FitFigures::of(&b.job, &b.design, &b.fit);
    json!({ "asked": asked, "fit": figures, "pieces": pieces_as_json(&b.design.pieces).unwrap() })
}

/// Source of the sums: derived in `tests/references/lay_inside.py`, which shares no code; areas by shapely 2.2 (GEOS).
#[test]
fn a_reference_lays_the_same_into_random_boxes() {
    let (mut boxes, mut seeds, mut refused) = (Vec::new(), Vec::new(), 0);
    let (from, count) = (proved::setting("FLAPWRIGHT_INSIDE_FROM", 0), proved::setting("FLAPWRIGHT_INSIDE_LAID", 160));
    for seed in from..from + count {
        let text = random_job(seed).unwrap();
        let (job, said) = read(&text);
        assert!(said.iter().filter(|d| d.is_error()).all(|d| d.hint.is_some()), "{seed}: {said:#?}");
        assert!(job.is_some() || any_error(&said), "{seed}");
        match built(&text) {
            Some(b) => {
                boxes.push(asked(&b));
                seeds.push(seed);
            }
            None => refused += 1,
        }
    }
    println!("{} laid out, {refused} refused", boxes.len());
    assert!(boxes.len() as u64 * 3 > count, "{}", boxes.len());
    let Some(wrong) = python("lay_inside.py", &[], &Value::Array(boxes.clone())) else { return };
    let all = wrong.as_array().unwrap().iter().zip(&seeds).filter(|(w, _)| !w.as_array().unwrap().is_empty());
    let all: Vec<String> = all.map(|(w, seed)| format!("seed {seed}: {w:#}")).collect();
    assert!(all.is_empty(), "{}", all.join("\n"));
    // It sees what is wrong: a board less, a stack moved into its neighbour, a lid lower.
    type Damage = fn(&mut Value);
    let damages: [Damage; 3] = [
        |b| b["fit"]["interior"][2] = json!(b["fit"]["interior"][2].as_f64().unwrap() - 0.1),
        |b| b["fit"]["inside"]["things"][0]["high"][2] = json!(99.0),
        |b| b["asked"]["stacks"][0][2] = json!(b["asked"]["stacks"][0][2].as_f64().unwrap() + 0.1),
    ];
    let damaged: Vec<Value> = boxes
        .iter()
        .take(9)
        .enumerate()
        .map(|(i, b)| {
            let mut b = b.clone();
            damages[i % 3](&mut b);
            b
        })
        .collect();
    let seen = python("lay_inside.py", &[], &Value::Array(damaged)).unwrap();
    assert!(seen.as_array().unwrap().iter().all(|w| !w.as_array().unwrap().is_empty()), "{seen}");
}

/// Hinged and folded boxes round what lies in them, folded once more from their flat pieces with every layer counted: the
/// lids lie flat on it, and nothing shares space. Source as in `folded_boxes`.
#[test]
fn boxes_round_what_lies_in_them_fold_as_their_figures_say() {
    let mut boxes = Vec::new();
    let (from, count) = (proved::setting("FLAPWRIGHT_INSIDE_FROM", 0), proved::setting("FLAPWRIGHT_INSIDE_FOLDED", 16));
    for seed in from..from + count {
        let text = format!("{}{}", RandomJob::for_folding(seed).toml(1.0), random(seed, false));
        boxes.extend(folded_boxes::told(&format!("seed {seed}"), text).map(|t| (format!("seed {seed}"), t)));
    }
    println!("{} of {count} are folded", boxes.len());
    assert!(boxes.len() > 4, "{}", boxes.len());
    let all = folded_boxes::fold(&boxes);
    assert!(all.is_empty(), "{all:#?}");
}

/// What is exported is proved; what is not says why. More of them: `FLAPWRIGHT_INSIDE_JOBS=1000`.
#[test]
fn random_boxes_with_more_inside_are_refused_with_a_reason_or_proved() {
    let from = proved::setting("FLAPWRIGHT_INSIDE_FROM", 0);
    let count = proved::setting("FLAPWRIGHT_INSIDE_JOBS", 24);
    let (proved, faults) = proved::exported_and_proved("inside", from..from + count, random_job, |_| {});
    println!("{proved} of {count} jobs were written and proved");
    assert!(faults.is_empty(), "{} of {proved} not proved\n{}", faults.len(), faults.join("\n"));
    assert!(proved > 5 || count < 24, "only {proved}");
}

/// Every number in a value, by its way from the root.
fn numbers(v: &Value, way: String, all: &mut Vec<String>) {
    match v {
        Value::Number(_) => all.push(way),
        Value::Array(list) => list.iter().enumerate().for_each(|(i, v)| numbers(v, format!("{way}/{i}"), all)),
        Value::Object(map) => map.iter().for_each(|(k, v)| numbers(v, format!("{way}/{k}"), all)),
        _ => {}
    }
}

/// Figures of what lies inside are changed one by one, each change is found; and the list says the same. Every seventh, or
/// all of them by `FLAPWRIGHT_INSIDE_EVERY=1`.
#[test]
fn every_figure_of_what_lies_inside_is_held_against_the_pieces() {
    for sample in ["strandline-tray", "periwinkle-folder"] {
        let files = export(sample, &[], &format!("inside-{sample}"));
        assert_eq!(told(&verify_folder(&files)), Vec::<String>::new(), "{sample}");
        let manifest: Value = serde_json::from_slice(&files["manifest.json"]).unwrap();
        let mut all = Vec::new();
        numbers(&manifest["fit"]["inside"], "/fit/inside".into(), &mut all);
        assert!(all.len() > 50, "{}", all.len());
        for way in all.into_iter().step_by(proved::setting("FLAPWRIGHT_INSIDE_EVERY", 7).max(1) as usize) {
            let mut changed = manifest.clone();
            let number = changed.pointer_mut(&way).unwrap();
            *number = match number.as_u64() {
                Some(n) => json!(n + 1),
                None => json!(number.as_f64().unwrap() + 0.5),
            };
            let mut files = files.clone();
            files.insert("manifest.json".into(), serde_json::to_vec(&changed).unwrap());
            assert!(!told(&verify_folder(&files)).is_empty(), "{sample}: {way} was changed, and nobody noticed");
        }
        let list = String::from_utf8(files["cut-list.csv"].clone()).unwrap();
        assert!(list.contains("lift-ribbon") && list.contains("padding"), "{list}");
    }
}
