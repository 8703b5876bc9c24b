//! Results compared with general-purpose reference programs, which `tests/run` fetches: ezdxf (the
//! DXF files), shapely (offsets), Debian's RS274/NGC interpreter (programs).

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::references::{python, read_by_ezdxf, run_rs274, scratch};
use common::{block, job, one_of_everything, stock};
use flapwright::geom::{Contour, Join, OffsetError, Point, Segment, Vertex, fillet, offset, pt};
use flapwright::job::Grain;
use flapwright::nest::nest;
use flapwright::ops::{SheetOps, operations};
use flapwright::write::dxf::{DxfVersion, STOCK_LAYER, dxf, layer, nominal};
use serde_json::{Value, json};
use std::path::PathBuf;

fn sheets() -> Vec<SheetOps> {
    let pieces = one_of_everything();
    let (sheets, diagnostics) = nest(&pieces, &job(3, stock(700.0, 1000.0, Grain::Height)));
    assert!(diagnostics.is_empty());
    sheets.iter().map(|s| operations(&s.clone().into(), &pieces)).collect()
}

/// The layers, the numbers of their colours, and what ezdxf's table of the standard's colours shows
/// them as; `write/style.rs` has the reason for each. The through-cut's, 7, is white on a dark ground and
/// black on a light one. These are the figures of the README.
const SCHEME: [(&str, i64, [u8; 3]); 5] = [
    (STOCK_LAYER, 8, [128, 128, 128]),
    ("MARK", 203, [145, 82, 165]),
    ("CREASE-SCORE", 160, [0, 63, 255]),
    ("HALF-DEPTH-POCKET", 32, [165, 82, 0]),
    ("THROUGH-CUT", 7, [255, 255, 255]),
];

/// Source of the demand: the DXF reference as ezdxf's strict reader and its audit hold it.
#[test]
fn ezdxf_opens_every_sheet_without_a_fault_and_measures_the_same() {
    let home = scratch("references-dxf");
    let sheets = sheets();
    let mut files: Vec<(PathBuf, &SheetOps, DxfVersion)> = Vec::new();
    for ops in &sheets {
        for (version, name) in [(DxfVersion::R2000, "r2000"), (DxfVersion::R12, "r12")] {
            let path = home.join(format!("{}-{name}.dxf", ops.sheet.id));
            std::fs::write(&path, dxf(ops.sheet.width, ops.sheet.height, nominal(ops), version)).unwrap();
            files.push((path, ops, version));
        }
    }
    let paths: Vec<PathBuf> = files.iter().map(|f| f.0.clone()).collect();
    let Some(seen) = read_by_ezdxf(&paths) else { return };
    assert_eq!(seen.len(), files.len());
    for (seen, (path, ops, version)) in seen.iter().zip(&files) {
        let name = path.display();
        assert_eq!(seen["errors"], json!([]), "{name}");
        assert_eq!(seen["fixes"], json!([]), "{name}");
        match version {
            DxfVersion::R2000 => assert_eq!((&seen["version"], &seen["insunits"]), (&json!("AC1015"), &json!(4))),
            DxfVersion::R12 => assert_eq!(seen["version"], json!("AC1009")),
        }
        for (layer, number, shown) in SCHEME {
            assert_eq!(
                (&seen["layers"][layer], &seen["shown"][layer]),
                (&json!(number), &json!(shown)),
                "{name}: {layer}"
            );
        }
        let entities = seen["entities"].as_array().unwrap();
        assert_eq!(entities.len(), ops.operations.len() + 1);
        assert_eq!(entities[0]["layer"], STOCK_LAYER);
        for (e, o) in entities[1..].iter().zip(&ops.operations) {
            assert_eq!(e["layer"], layer(o.kind), "{name}");
            assert_eq!(e["closed"], o.stroke.is_closed());
            let length = e["length"].as_f64().unwrap();
            assert!((length - o.stroke.length()).abs() < 1e-6, "{name}: {} {length}", o.stroke.length());
            let b = o.stroke.bounds();
            for (got, want) in e["bounds"].as_array().unwrap().iter().zip([b.min.x, b.min.y, b.max.x, b.max.y]) {
                assert!((got.as_f64().unwrap() - want).abs() < 1e-6, "{name}: {} {want}", got);
            }
        }
    }
}

/// The check above would be worth nothing if ezdxf let everything pass.
#[test]
fn ezdxf_finds_the_fault_in_a_damaged_file() {
    let ops = &sheets()[0];
    let text = String::from_utf8(dxf(ops.sheet.width, ops.sheet.height, nominal(ops), DxfVersion::R2000)).unwrap();
    let damaged = text.replace("  6\nCONTINUOUS\n", "  6\nNO-SUCH-LINE\n");
    assert_ne!(text, damaged);
    let path = scratch("references-damaged").join("damaged.dxf");
    std::fs::write(&path, damaged).unwrap();
    let Some(seen) = read_by_ezdxf(&[path]) else { return };
    let count = |key: &str| seen[0][key].as_array().unwrap().len();
    assert!(count("errors") + count("fixes") > 0, "{}", seen[0]["layers"]);
}

/// What chords may stray from an arc in the comparison below, mm.
const CHORD: f64 = 1e-4;

fn star() -> Contour {
    Contour::polygon((0..10).map(|i| {
        let (angle, radius) = (f64::from(i) * std::f64::consts::PI / 5.0, if i % 2 == 0 { 60.0 } else { 30.0 });
        pt(radius * angle.cos(), radius * angle.sin())
    }))
}

fn contours() -> Vec<Contour> {
    let mut contours: Vec<Contour> = Vec::new();
    for ops in sheets() {
        for o in ops.operations {
            if let flapwright::geom::Stroke::Closed(c) = o.stroke {
                contours.push(c.ccw());
            }
        }
    }
    let rounded = (0..4).fold(block(pt(10.0, 5.0), 80.0, 50.0), |c, _| {
        // The vertex after the last arc: each turn of the loop rounds the next sharp corner.
        let sharp = (0..c.vertices().len()).find(|&i| {
            let n = c.vertices().len();
            c.vertices()[i].bulge == 0.0 && c.vertices()[(i + n - 1) % n].bulge == 0.0
        });
        sharp.map_or(c.clone(), |i| fillet(&c, i, 9.0).expect("room"))
    });
    let slab = Contour::new([
        Vertex::new(pt(0.0, 0.0), 0.0),
        Vertex::new(pt(20.0, 0.0), 1.0),
        Vertex::new(pt(20.0, 10.0), 0.0),
        Vertex::new(pt(0.0, 10.0), -0.3),
    ]);
    contours.extend([star(), rounded, slab, Contour::circle(pt(3.0, -2.0), 11.0)]);
    contours
}

/// Source: shapely (GEOS) buffers of the flattened contour, which share no code with ours. Chords
/// within [`CHORD`] before and after the offset put the two at most a few of them apart.
#[test]
fn offsets_agree_with_shapely() {
    let as_json = |c: &Contour| -> Value { c.flatten(CHORD).iter().map(|p: &Point| json!([p.x, p.y])).collect() };
    let (mut cases, mut told) = (Vec::new(), Vec::new());
    for c in contours() {
        for distance in [0.035, 0.1, 0.8, -0.035, -0.1, -0.5] {
            for (join, word) in [(Join::Round, "round"), (Join::Mitre, "mitre")] {
                let moved = match offset(&c, distance, join) {
                    Ok(moved) => as_json(&moved),
                    Err(OffsetError::Vanished) => Value::Null,
                    Err(e) => panic!("{e:?}: {distance} {c:?}"),
                };
                // Where an arc ends in a sharp corner, shapely carries on its last chord where we
                // carry on its tangent: the mitre's tip moves by the angle between the two.
                let lean = |s: &Segment| if s.is_line() { 0.0 } else { (1.0 - CHORD / s.radius()).acos() };
                let lean = c.segments().map(|s| lean(&s)).fold(0.0, f64::max);
                let tip = if join == Join::Mitre { 2.0 * f64::abs(distance) * lean } else { 0.0 };
                told.push((format!("{word} {distance} of {c:?}"), 3.0 * CHORD + tip));
                cases.push(json!({"polygon": as_json(&c), "distance": distance, "join": word, "moved": moved}));
            }
        }
    }
    let vanished = cases.iter().filter(|c| c["moved"].is_null()).count();
    assert!(vanished < cases.len() / 4, "{vanished} of {}", cases.len());
    let Some(answers) = python("buffers.py", &[], &Value::Array(cases.clone())) else { return };
    let mut worst = 0.0f64;
    for ((answer, case), (told, bound)) in answers.as_array().unwrap().iter().zip(&cases).zip(&told) {
        let bound = *bound;
        if case["moved"].is_null() {
            assert_eq!(answer["parts"], 0, "{told}");
            continue;
        }
        assert_eq!(answer["parts"], 1, "{told}");
        let deviation = answer["deviation"].as_f64().unwrap();
        assert!(deviation < bound, "{deviation} apart, {bound} allowed: {told}");
        worst = worst.max(deviation);
    }
    assert!(worst > 0.0, "two programs never agree to the last bit");
}

/// Source: the RS274/NGC interpreter itself; canonical calls as in NIST IR 6556, section 4.
#[test]
fn the_interpreter_follows_a_program_and_refuses_a_bad_one() {
    let good = "G21 G90 G94 G17 G40\nG0 Z5\nG0 X10 Y10\nG1 Z-1 F600\nG1 X50 F2400\nG3 X60 Y20 I0 J10\nG0 Z5\nM5\nM2\n";
    let Some(answer) = run_rs274(good) else { return };
    let calls = answer.expect("it is sound");
    assert!(calls.contains("STRAIGHT_FEED(50.0000, 10.0000, -1.0000"), "{calls}");
    assert!(calls.contains("ARC_FEED(60.0000, 20.0000, 50.0000, 20.0000, 1, -1.0000"), "{calls}");
    assert!(calls.contains("PROGRAM_END()"));
    let complaint = run_rs274("G21\nG1 X5\nM2\n").unwrap().expect_err("no feed was given");
    assert!(complaint.contains("zero feed rate"), "{complaint}");
}
