//! Linings by part, and linings whose edges are folded under: worked by hand, held against what is published, folded by
//! the reference, exported and proved; more by `FLAPWRIGHT_LININGS_FOLDED=1000` and `FLAPWRIGHT_LININGS_PROVED=1000`.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;
use crate::folded_boxes::{differences, fold, told};
use crate::portfolio::told as of_portfolio;
use crate::proved::{exported_and_proved, on_small_sheets, setting};

use common::built::{Built, built, near, read};
use common::proof::{export, files_of, root};
use common::random_job::RandomJob;
use common::references::{fold_boxes, python, scratch};
use flapwright::cli::{Exit, run};
use flapwright::design::{Lines, design};
use flapwright::diag::any_error;
use flapwright::job::Side;
use flapwright::units::inch;
use flapwright::verify::verify_folder;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::ffi::OsString;

/// A box of one lid, 2 mm board, cloth of 0.35 and paper of 0.25; `more` changes it.
fn text(depth: f64, liner: f64, more: &str) -> String {
    format!(
        "format = 1\ntitle = 'Lined'\n[contents]\nwidth = 160\nheight = 220\ndepth = {depth}\n\
         clearance = {{ width = 0, height = 0, depth = 0 }}\n[board]\nthickness = 2\n\
         sheet = {{ width = 700, height = 1000 }}\n[cloth]\nthickness = 0.35\n\
         [liner]\nthickness = {liner}\npieces = 'hinge-strips'\n[box]\nease = 0.5\n{more}\n\
         [flap.right]\ntier = 1\nreach = 100\n[covering]\nturn_in = 16\nreveal = 4\n"
    )
}

/// A change of the manifest.
type Change<'a> = (&'static str, &'a dyn Fn(&mut Value));

/// What is found wrong in a folder with a change of its manifest.
fn found_with(files: &BTreeMap<String, Vec<u8>>, manifest: &Value, change: &dyn Fn(&mut Value)) -> Vec<String> {
    let (mut files, mut other) = (files.clone(), manifest.clone());
    change(&mut other);
    files.insert("manifest.json".into(), serde_json::to_vec(&other).unwrap());
    common::proof::told(&verify_folder(&files))
}

fn whole(text: &str) -> Built {
    let b = built(text);
    assert!(!any_error(&b.said), "{:#?}", b.said);
    b
}

/// By hand. In a joint lie a turn-in and a strip on the wall's face, and both round the base's edge, at the ends:
/// 2 + 4 x 0.35 = 3.4 mm; the linings, 4 mm in, lie above what stands in it. With the ease it is 3.9 mm. A strip is as
/// wide as it, twice the board that its groove swallows and two laps, 3.9 + 4 + 24 = 31.9, and 220 - 2 x 4 long. The stack
/// lies on the base's lining and the strip's lap, and under the lid are turn-in, strip and lining, a cloth more than
/// without strips: the wall is 30 + 2 x 2 + 2 x 0.25 + 0.35, and 0.35 for the floor and for the lid each, 35.55.
#[test]
fn strips_line_the_joints_of_a_wall() {
    let b = whole(&text(30.0, 0.25, ""));
    let m = &b.design.measures;
    near([m.joint_thickness.to_mm(), m.joint.to_mm(), m.walls[&Side::Right].to_mm()], [3.4, 3.9, 35.55]);
    near([m.play()[&Side::Right].to_mm()], [0.0]);
    near(b.size("cloth-hinge-wall-right"), [31.9, 212.0]);
    near(b.size("cloth-hinge-flap-right"), [31.9, 212.0]);
    near(b.size("liner-base"), [152.0, 212.0]);
    near(b.size("liner-wall-right"), [27.55, 212.0]);
    // The lid stands in by its cloth and half a millimetre at either side: 220 - 2 x 0.85 - 2 x 4.
    near(b.size("liner-flap-right"), [92.0, 210.3]);
    assert_eq!(b.design.strips.iter().map(|s| s.lines).collect::<Vec<_>>(), [Lines::Foot, Lines::Top]);
    // Where they lie they are as wide as joint and laps.
    for strip in &b.design.strips {
        near([strip.outline.bounds().width()], [27.9]);
    }
    assert!(b.fit.bare.is_empty(), "{:?}", b.fit.bare);
    // Bridging its groove a strip swallows nothing.
    let flat = whole(&text(30.0, 0.25, "").replace("reveal = 4", "reveal = 4\ngroove_press = 0"));
    near(flat.size("cloth-hinge-wall-right"), [27.9, 212.0]);
}

/// By hand. Two laps of 12 mm would meet on a wall of 15.55 mm: one strip goes over both joints and the wall,
/// 2 x (3.9 + 4) + 15.55 + 24 = 55.35 wide, and the wall has no lining of its own.
#[test]
fn one_strip_goes_over_a_low_wall() {
    let b = whole(&text(10.0, 0.25, ""));
    near(b.size("cloth-hinge-both-right"), [55.35, 212.0]);
    assert_eq!(b.design.strips.iter().map(|s| s.lines).collect::<Vec<_>>(), [Lines::Both]);
    let linings: Vec<_> =
        b.design.pieces.iter().filter(|p| p.id.starts_with("liner-")).map(|p| p.id.as_str()).collect();
    assert_eq!(linings, ["liner-base", "liner-flap-right"]);
    assert!(b.fit.bare.is_empty(), "{:?}", b.fit.bare);
    // A lap of 6 mm leaves room for two, and for a lining between them.
    let narrow = whole(&text(10.0, 0.25, "").replace("'hinge-strips'", "'hinge-strips'\nstrip_lap = 6"));
    assert_eq!(narrow.design.strips.len(), 2);
    near(narrow.size("liner-wall-right"), [15.55 - 8.0, 212.0]);
}

/// By hand. A felt of 2 mm: on the wall's face lie turn-in, strip and felt, 2.7 mm, more than the 1.4 mm in its joint. The
/// wall stands so far off that they do not come into the interior, 2 + 2.7 = 4.7.
#[test]
fn a_wall_keeps_a_thick_lining_out_of_the_interior() {
    let b = whole(&text(30.0, 2.0, ""));
    let m = &b.design.measures;
    near([m.joint_thickness.to_mm(), m.joint.to_mm()], [4.7, 5.2]);
}

/// By hand. On the base the strip lies double between the base's edge and the cloth: 2 + 4 x 0.35 + 2 x 0.35 = 4.1. The base
/// is larger by the walls and what lies on them at its thickest, board, lining, turn-in, patch and strip, on each side:
/// 160 + 2 x (2 + 0.25 + 3 x 0.35) = 166.6. Between wall and base, and wall and lid, lie 1.4 mm each, which the wall is
/// lower by: 30 + 2 x 0.25 + 0.35 - 2.8, and 0.35 for the floor and for the lid each.
#[test]
fn strips_line_the_joints_of_a_wall_on_the_base() {
    let b = whole(&text(30.0, 0.25, "seat = 'on-base'"));
    let m = &b.design.measures;
    near([m.joint_thickness.to_mm(), m.base_width.to_mm(), m.walls[&Side::Right].to_mm()], [4.1, 166.6, 28.75]);
}

/// Between two walls a strip runs to the corner of the base, and the two that meet there are mitred, each a millimetre
/// full at its inner end (our choice). By hand: the base is 160 x 220, and the right strip on it ends at y = -110 at the
/// edge and, 12 mm in, at -110 + 12 - 1 = -99.
#[test]
fn strips_meet_in_a_mitre_on_the_base() {
    let b = whole(&text(30.0, 0.25, "").replace("[covering]", "[flap.tail]\ntier = 2\nreach = 90\n[covering]"));
    let foot = b.design.strips.iter().find(|s| s.side == Side::Right && s.lines == Lines::Foot).unwrap();
    let has = |x: f64, y: f64| foot.outline.vertices().iter().any(|v| (v.x - x).abs() < 1e-6 && (v.y - y).abs() < 1e-6);
    assert!(has(80.0, -110.0) && has(68.0, -99.0), "{:?}", foot.outline);
    // At the head there is no wall: in by the reveal.
    assert!(has(68.0, 106.0), "{:?}", foot.outline);
    assert!(b.fit.bare.is_empty(), "{:?}", b.fit.bare);
}

/// By hand. Edges folded under by 10 mm lie double: on the wall's face turn-in, strip and twice the lining, 1.2 mm, still
/// less than the 1.4 mm in its joint, 3.4. The floor and what lies under the lid are a liner more than with cut edges,
/// 35.55 + 2 x 0.25. The lining of the base is 152 x 212 where it lies, and cut 20 mm larger each way.
#[test]
fn edges_of_linings_are_folded_under() {
    let folded =
        |pieces: &str| whole(&text(30.0, 0.25, "").replace("'hinge-strips'", &format!("'{pieces}'\nturn_in = 10")));
    let b = folded("hinge-strips");
    let m = &b.design.measures;
    near([m.joint_thickness.to_mm(), m.walls[&Side::Right].to_mm()], [3.4, 36.05]);
    near(b.size("liner-base"), [172.0, 232.0]);
    let base = b.design.linings.iter().find(|l| l.id == "liner-base").unwrap();
    let net = base.outline.bounds();
    near([net.width(), net.height()], [152.0, 212.0]);
    assert_eq!(base.folds.len(), 4);
    // Each corner is cut off square to its bisector, 1 mm outside the net corner (common practice, no source).
    let piece = b.piece("liner-base");
    assert_eq!(piece.outline.vertices().len(), 8);
    near([piece.outline.distance_to(net.max)], [1.0]);
    assert!(b.fit.bare.is_empty(), "{:?}", b.fit.bare);
    // In one: in the joint's ends lie turn-in and folded liner on the wall's face and round the base's edge,
    // 2 + 2 x 0.35 + 4 x 0.25 = 3.7, with the ease 4.2. The wall is 30 + 2 x 2 + 2 x 0.25 + 0.35, and 0.25 for the folded
    // edges on the floor and under the lid each: 35.35. The cross is 160 + 2 x (4.2 + 4) + 35.35 + 100 - 8 across.
    let b = folded("one");
    let m = &b.design.measures;
    near([m.joint_thickness.to_mm(), m.joint.to_mm(), m.walls[&Side::Right].to_mm()], [3.7, 4.2, 35.35]);
    near(b.size("liner-cross"), [303.75 + 20.0, 212.0 + 20.0]);
    assert!(b.fit.bare.is_empty(), "{:?}", b.fit.bare);
    // On the base the liner in a joint is doubled: four times the folded one besides, 2 + 0.7 + 4 x 0.25 + 4 x 0.25.
    let on = text(30.0, 0.25, "seat = 'on-base'").replace("'hinge-strips'", "'one'\nturn_in = 10");
    near([whole(&on).design.measures.joint_thickness.to_mm()], [4.7]);
}

/// Source: Bean and Brodhead, "Bookbinding for Beginners" (1914), a sketch book (read): the cloth of the hinge laps onto the
/// cover about half an inch; the lining paper ends about 1/8 in from the edges of the cover and is not carried onto the
/// hinge, since bending breaks paper. Problem XII, a portfolio (read): what joins two covers inside laps an inch at least,
/// and is 1/8 in shorter than they are.
#[test]
fn hinges_and_linings_of_a_sketch_book() {
    let of = |lap: &str, reveal: &str| {
        whole(&format!(
            "format = 1\ntitle = 'Sketch book'\nunits = 'in'\n[contents]\nwidth = 7\nheight = 9\ndepth = 1.5\n\
             [board]\nthickness = 0.08\nsheet = {{ width = 30, height = 40 }}\n[cloth]\nthickness = 0.015\n\
             [liner]\nthickness = 0.01\npieces = 'hinge-strips'\n{lap}\n[covering]\nreveal = {reveal}\n\
             [flap.left]\ntier = 1\nreach = 6\n"
        ))
    };
    let b = of("strip_lap = 0.5", "0.125");
    let board = |b: &Built, id: &str| b.piece(id).outline.bounds();
    for (part, strip) in [("flap-left", "cloth-hinge-flap-left"), ("wall-left", "cloth-hinge-wall-left")] {
        let (cover, lining) = (board(&b, &format!("board-{part}")), board(&b, &format!("liner-{part}")));
        let eighth = inch(0.125).to_mm();
        near(
            [lining.min.x - cover.min.x, cover.max.x - lining.max.x, lining.min.y - cover.min.y],
            [eighth, eighth, eighth],
        );
        let place = b.design.strips.iter().find(|s| s.id == strip).unwrap().outline.bounds();
        // The strip's outer end lies half an inch onto the board.
        near([cover.max.x - place.min.x], [inch(0.5).to_mm()]);
    }
    // Ours where nothing is said: 12 mm, half an inch but for 0.7.
    near([of("", "0.125").job.strip_lap().unwrap().to_mm()], [12.0]);
    let portfolio = of("strip_lap = 1", "0.0625");
    let strip = board(&portfolio, "cloth-hinge-both-left");
    near([board(&portfolio, "board-base").height() - strip.height()], [inch(0.125).to_mm()]);
}

/// What a box does not take is said where it stands, with what to write.
#[test]
fn strips_that_cannot_be_are_refused() {
    let said = |text: &str| {
        let (job, mut said) = read(text);
        if let Some(job) = job {
            said.extend(design(&job).1);
        }
        said
    };
    let plain = text(30.0, 0.25, "");
    let cases = [
        (
            plain
                .replace("ease = 0.5", "construction = 'creased-board'")
                .replace("thickness = 2\n", "thickness = 0.6\n"),
            "no-hinge-strips-here",
            "panels",
        ),
        (plain.replace("ease = 0.5", "construction = 'slipcase'"), "no-hinge-strips-here", "take liner.pieces out"),
        (plain.replace("ease = 0.5", "construction = 'drop-spine'"), "no-hinge-strips-here", "take liner.pieces out"),
        (plain.replace("'hinge-strips'", "'hinge-strips'\nstrip_lap = 4.5"), "lap-too-short", "5 mm or more"),
        (plain.replace("'hinge-strips'", "'hinge-strips'\nstrip_lap = 99"), "no-lap", "smaller"),
        (plain.replace("'hinge-strips'", "'hinge-strips'\nstrip_lap = 170"), "no-lap", "smaller"),
        (plain.replace("'hinge-strips'", "'panels'\nturn_in = 10"), "no-lining-turn-in-here", "hinge-strips"),
        (
            plain.replace("'hinge-strips'", "'one'\nturn_in = 10").replace("ease = 0.5", "construction = 'slipcase'"),
            "no-lining-turn-in-here",
            "take liner.turn_in out",
        ),
        (
            plain.replace("'hinge-strips'", "'one'\nturn_in = 10").replace("ease = 0.5", "construction = 'portfolio'"),
            "no-lining-turn-in-here",
            "take liner.turn_in out",
        ),
        // The wall's lining is 28.05 wide.
        (plain.replace("'hinge-strips'", "'hinge-strips'\nturn_in = 15"), "lining-folds-meet", "13.5 mm or less"),
        (
            plain.replace("'hinge-strips'", "'one'\nturn_in = 10").replace("reveal = 4", "reveal = 4\nliner_trim = 3"),
            "trim-of-folded-edge",
            "take covering.liner_trim out",
        ),
        (
            plain
                .replace("'hinge-strips'", "'one'\nturn_in = 10")
                .replace("[covering]", "[flap.tail]\ntier = 2\nreach = 90\n[covering]"),
            "no-lining-turn-in-here",
            "hinge-strips",
        ),
    ];
    for (text, code, mend) in cases {
        let said = said(&text);
        let d = said.iter().find(|d| d.code == code).unwrap_or_else(|| panic!("no {code}: {said:#?}\n{text}"));
        assert!(d.is_error() && d.hint.as_deref().is_some_and(|h| h.contains(mend)), "{d:?}");
        assert_eq!(said.iter().filter(|d| d.is_error()).count(), 1, "{said:#?}");
    }
    let narrow = said(&plain.replace("'hinge-strips'", "'hinge-strips'\nturn_in = 4"));
    assert!(narrow.iter().any(|d| d.code == "lining-turn-in-narrow"), "{narrow:#?}");
    for (text, key) in [
        (plain.replace("'hinge-strips'", "'one'\nstrip_lap = 12"), "strip_lap"),
        (plain.replace("reveal = 4", "reveal = 4\nliner_trim = 3"), "liner_trim"),
    ] {
        let said = said(&text);
        assert!(said.iter().any(|d| d.code == "unused-key" && d.message.contains(key)), "{said:#?}");
    }
}

/// The wrapper of a portfolio is lined as any box of hinged boards, and its case made round it. Source: the reference's own
/// derivation (`tests/references/fold_portfolio.py`).
#[test]
fn a_wrapper_in_a_case_takes_hinge_strips() {
    let path = root().join("samples/furbelow-portfolio.toml");
    let text = std::fs::read_to_string(path).unwrap().replace("[liner]\n", "[liner]\npieces = 'hinge-strips'\n");
    let b = whole(&text);
    assert!(!b.design.strips.is_empty() && b.fit.bare.is_empty(), "{:?}", b.fit.bare);
    assert!(b.design.pieces.iter().any(|p| p.id == "cloth-spine-lining"));
    let Some(seen) = python("fold_portfolio.py", &[], &json!([of_portfolio(&b)])) else { return };
    assert_eq!(seen[0]["wrong"], json!([]), "{seen}");
}

/// A tab that goes round the whole box from one side of its only slit to the other: at the slit each side is turned in over
/// its own edge alone.
const HARD: [u64; 1] = [270];

/// Source of the folding: the reference (`tests/references/fold_boxes.py`), which shares no code.
#[test]
fn random_linings_fold_as_their_figures_say() {
    let (from, count) = (setting("FLAPWRIGHT_LININGS_FROM", 0), setting("FLAPWRIGHT_LININGS_FOLDED", 60));
    let random = |seed: u64| {
        Some((format!("seed {seed}"), told(&format!("seed {seed}"), RandomJob::with_lining(seed).toml(1.0))?))
    };
    let boxes: Vec<(String, Value)> = (from..from + count).chain(HARD).filter_map(random).collect();
    let spanned = |b: &&(String, Value)| b.1["fit"]["dressed"]["strips"].to_string().contains("\"joints\":2");
    println!("{} of {count} are folded", boxes.len());
    assert!(boxes.len() as u64 * 3 > count, "{} of {count} accepted", boxes.len());
    let folded = |b: &&(String, Value)| b.1["fit"]["dressed"].get("linings").is_some();
    for kind in [&spanned as &dyn Fn(&&(String, Value)) -> bool, &folded] {
        assert!(boxes.iter().any(|b| kind(&b)) && boxes.iter().any(|b| !kind(&b)));
    }
    let all = fold(&boxes);
    assert!(all.is_empty(), "{} boxes: {all:#?}", boxes.len());
}

/// The reference is worth something: thicker cloth chokes the joints, a strip that is missing leaves board bare, a strip
/// that is twice as wide raises a lid, a lining that is moved leaves board bare.
#[test]
fn the_reference_notices_damages() {
    let path = root().join("samples/pepper-dulse-folder.toml");
    let sound = told("pepper dulse", std::fs::read_to_string(path).unwrap()).unwrap();
    let change = |f: &dyn Fn(&mut Value)| {
        let mut other = sound.clone();
        f(&mut other);
        other
    };
    let move_by = |outline: &mut Value, by: f64| {
        for p in outline.as_array_mut().unwrap() {
            p[0] = json!(p[0].as_f64().unwrap() + by);
        }
    };
    let boxes = [
        sound.clone(),
        change(&|b| b["fit"]["dressed"]["cloth"] = json!(0.8)),
        change(&|b| {
            b["fit"]["dressed"]["strips"].as_array_mut().unwrap().remove(0);
        }),
        change(&|b| move_by(&mut b["fit"]["dressed"]["strips"][2]["outline"], 9.0)),
        change(&|b| {
            let piece = b["pieces"].as_array_mut().unwrap().iter_mut().find(|p| p["id"] == "liner-flap-left").unwrap();
            move_by(&mut piece["outline"], 15.0);
        }),
        change(&|b| b["fit"]["dressed"]["liner"] = json!(1.6)),
    ];
    let Some(seen) = fold_boxes(&boxes) else { return };
    let words = ["", "joint", "bare", "bare", "bare", "joint"];
    for ((told, seen), word) in boxes.iter().zip(&seen).zip(words) {
        let found = differences(told, seen);
        if word.is_empty() {
            assert!(found.is_empty(), "{found:?}");
        } else {
            assert!(found.iter().any(|f| f.starts_with(word)), "{word}: {found:?}");
        }
    }
}

/// A slit through thick felt, cut in two passes from the same end.
const KEPT: [u64; 1] = [225];

#[test]
fn random_linings_are_exported_and_proved() {
    let (from, count) = (setting("FLAPWRIGHT_LININGS_FROM", 0), setting("FLAPWRIGHT_LININGS_PROVED", 15));
    let job = |seed: u64| Some(on_small_sheets(&RandomJob::with_lining(seed).toml(1.0), seed));
    let mut strips = 0;
    let (proved, faults) = exported_and_proved("linings", (from..from + count).chain(KEPT), job, |out| {
        let manifest: Value = serde_json::from_slice(&std::fs::read(out.join("manifest.json")).unwrap()).unwrap();
        strips += manifest["pieces"].as_array().unwrap().iter().filter(|p| p["role"] == "hinge").count();
    });
    println!("{proved} of {count} were written and proved, with {strips} strips");
    assert!(faults.is_empty(), "{faults:#?}");
    assert!(proved * 4 > count && strips > 0, "{proved} of {count}, {strips} strips");
}

/// What the manifest says of the strips is held against the pieces: one change of each, and it is found.
#[test]
fn a_strip_that_lies_otherwise_than_it_is_cut_is_found() {
    let files = export("pepper-dulse-folder", &["small-router"], "linings-account");
    let manifest: Value = serde_json::from_slice(&files["manifest.json"]).unwrap();
    let changes: [Change<'_>; 5] = [
        ("wider", &|m| {
            let outline = m["fit"]["dressed"]["strips"][0]["outline"].as_array_mut().unwrap();
            for p in outline {
                p[1] = json!(p[1].as_f64().unwrap() * 1.02);
            }
        }),
        ("gone", &|m| {
            m["fit"]["dressed"]["strips"].as_array_mut().unwrap().remove(1);
        }),
        ("over one joint", &|m| m["fit"]["dressed"]["strips"][0]["joints"] = json!(1)),
        ("of another piece", &|m| m["fit"]["dressed"]["strips"][0]["piece"] = json!("cloth-cover")),
        ("swallowed less", &|m| m["fit"]["dressed"]["take_up"] = json!(1.0)),
    ];
    for (what, change) in changes {
        let found = found_with(&files, &manifest, change);
        assert!(found.iter().any(|f| f.contains("hinge") || f.contains("swallow")), "{what}: {found:#?}");
    }
}

/// The same of linings whose edges are folded under.
#[test]
fn a_lining_that_is_folded_otherwise_than_it_is_cut_is_found() {
    let home = scratch("linings-folded");
    let sample = std::fs::read_to_string(root().join("samples/pepper-dulse-folder.toml")).unwrap();
    let text = sample.replace("pieces = \"hinge-strips\"", "pieces = \"hinge-strips\"\nturn_in = 8");
    let (job, out) = (home.join("job.toml"), home.join("out"));
    std::fs::write(&job, text).unwrap();
    let args: [OsString; 5] =
        ["flapwright".into(), "export".into(), job.into_os_string(), "--out".into(), out.clone().into_os_string()];
    assert_eq!(run(args, &mut Vec::new(), &mut Vec::new(), false), Exit::Good);
    let files = files_of(&out);
    assert!(common::proof::told(&verify_folder(&files)).is_empty());
    let manifest: Value = serde_json::from_slice(&files["manifest.json"]).unwrap();
    let changes: [Change<'_>; 4] = [
        ("wider", &|m| m["fit"]["dressed"]["linings"][0]["outline"][0][0] = json!(-90.0)),
        ("folded less", &|m| m["fit"]["dressed"]["linings"][1]["folded"] = json!(7.0)),
        ("gone", &|m| {
            m["fit"]["dressed"]["linings"].as_array_mut().unwrap().remove(2);
        }),
        ("no piece", &|m| m["fit"]["dressed"]["linings"][3]["piece"] = json!("liner-lid")),
    ];
    for (what, change) in changes {
        let found = found_with(&files, &manifest, change);
        assert!(found.iter().any(|f| f.contains("folded under")), "{what}: {found:#?}");
    }
}
