//! Sheets as SVG for cutters: read back by a general renderer, proved, and damaged; names; no edge.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::proof::{Files, export_with, put, samples, told};
use flapwright::verify::verify_folder;
use resvg::usvg::{self, tiny_skia_path::PathSegment};
use serde_json::Value;
use std::collections::BTreeMap;

fn manifest(files: &Files) -> Value {
    serde_json::from_slice(&files["manifest.json"]).unwrap()
}

/// Length of all lines of each group, and the box round them, in mm, as a general renderer has them.
///
/// Source: usvg, which turns arcs into cubic Bezier curves (within a hundredth of a millimetre here) and lengths
/// into pixels of 1/96 inch (CSS Values and Units 3, 6.2).
fn seen(svg: &[u8]) -> BTreeMap<String, (f64, [f64; 4])> {
    let tree = usvg::Tree::from_data(svg, &usvg::Options::default()).unwrap();
    let per_mm = 96.0 / 25.4;
    let mut all = BTreeMap::new();
    // The scale from units to pixels is a group round all.
    let mut groups = tree.root();
    while let [usvg::Node::Group(inner)] = groups.children()
        && inner.id().is_empty()
    {
        groups = inner;
    }
    for node in groups.children() {
        let usvg::Node::Group(group) = node else { panic!("something beside the groups") };
        let (mut length, mut bounds) = (0.0, [f64::MAX, f64::MAX, f64::MIN, f64::MIN]);
        for child in group.children() {
            let usvg::Node::Path(path) = child else { panic!("something that is no path") };
            assert!(path.fill().is_none() && path.stroke().is_some());
            let whole = path.data().clone().transform(path.abs_transform()).unwrap();
            let mut at = (0.0, 0.0);
            let mut first = at;
            let mut go = |at: &mut (f64, f64), to: (f64, f64)| {
                length += (to.0 - at.0).hypot(to.1 - at.1);
                for (x, y) in [*at, to] {
                    bounds = [bounds[0].min(x), bounds[1].min(y), bounds[2].max(x), bounds[3].max(y)];
                }
                *at = to;
            };
            let mm = |p: resvg::tiny_skia::Point| (f64::from(p.x) / per_mm, f64::from(p.y) / per_mm);
            for segment in whole.segments() {
                match segment {
                    PathSegment::MoveTo(p) => (at, first) = (mm(p), mm(p)),
                    PathSegment::LineTo(p) => go(&mut at, mm(p)),
                    PathSegment::CubicTo(a, b, c) => {
                        let (p0, p1, p2, p3) = (at, mm(a), mm(b), mm(c));
                        for k in 1..=64 {
                            let t = f64::from(k) / 64.0;
                            let u = 1.0 - t;
                            let of = |f: fn((f64, f64)) -> f64| {
                                u * u * u * f(p0)
                                    + 3.0 * u * u * t * f(p1)
                                    + 3.0 * u * t * t * f(p2)
                                    + t * t * t * f(p3)
                            };
                            go(&mut at, (of(|p| p.0), of(|p| p.1)));
                        }
                    }
                    PathSegment::Close => go(&mut at, first),
                    PathSegment::QuadTo(..) => panic!("no curve of ours"),
                }
            }
        }
        all.insert(group.id().to_owned(), (length, bounds));
    }
    all
}

#[test]
fn every_sheet_is_drawn_as_long_as_its_lines_and_where_they_are() {
    for (sample, _) in samples() {
        let files = export_with(sample, &["--svg"], &format!("svg-{sample}"));
        let folder = verify_folder(&files);
        assert!(folder.is_good(), "{sample}: {:#?}", told(&folder));
        let manifest = manifest(&files);
        for sheet in manifest["sheets"].as_array().unwrap() {
            let drawings: Vec<&str> =
                sheet["drawings"].as_array().unwrap().iter().map(|d| d.as_str().unwrap()).collect();
            let [dxf, svg] = drawings[..] else { panic!("{drawings:?}") };
            let (drawn, _) = flapwright::verify::read::dxf::read(&files[dxf]);
            let seen = seen(&files[svg]);
            let [w, h] = ["width", "height"].map(|k| sheet[k].as_f64().unwrap());
            let stock = seen["stock"];
            for (a, b) in stock.1.iter().zip([0.0, 0.0, w, h]) {
                assert!((a - b).abs() < 1e-3, "{sample} {svg}: {stock:?}");
            }
            for (group, (length, bounds)) in seen.iter().filter(|(g, _)| *g != "stock") {
                let of = drawn.lines.iter().filter(|(k, _)| k.word() == group);
                let (mut most, mut all) = (flapwright::geom::Bounds::EMPTY, 0.0);
                for (_, stroke) in of {
                    for s in stroke.segments() {
                        all += s.length();
                        most = most.union(s.bounds());
                    }
                }
                assert!(
                    (all - length).abs() < 2e-4 * all.max(1.0),
                    "{sample} {svg} {group}: {all} drawn, {length} seen"
                );
                let wanted = [most.min.x, h - most.max.y, most.max.x, h - most.min.y];
                for (a, b) in bounds.iter().zip(wanted) {
                    assert!((a - b).abs() < 0.02, "{sample} {svg} {group}: {bounds:?}, {wanted:?}");
                }
            }
        }
    }
}

#[test]
fn damages_to_drawings_as_svg_are_found() {
    let files = export_with("whelk-box", &["--svg"], "svg-damaged");
    let board = files.keys().find(|n| n.ends_with(".cut.svg") && n.contains("_board-")).unwrap().clone();
    let cuts = |t: &str, change: &dyn Fn(&str) -> String| {
        let at = t.find("<g id=\"through-cut\"").unwrap();
        format!("{}{}", &t[..at], change(&t[at..]))
    };
    let first_number = |t: &str| {
        let at = t.find("d=\"M").unwrap() + 4;
        let end = at + t[at..].find(' ').unwrap();
        let x: f64 = t[at..end].parse().unwrap();
        format!("{}{}{}", &t[..at], x + 0.2, &t[end..])
    };
    type Change<'c> = Box<dyn Fn(&str) -> String + 'c>;
    let damages: Vec<(&str, &str, Change<'_>)> = vec![
        ("a corner moved", "off-the-line", Box::new(|t| cuts(t, &first_number))),
        ("an arc the other way", "off-the-line", Box::new(|t| cuts(t, &|r| r.replacen(" 0 0 0 ", " 0 0 1 ", 1)))),
        ("another group", "line-missing", Box::new(|t| t.replace("id=\"through-cut\"", "id=\"mark\""))),
        ("a group of no meaning", "drawing-layer", Box::new(|t| t.replace("id=\"through-cut\"", "id=\"cut\""))),
        ("without a unit", "drawing-unreadable", Box::new(|t| t.replacen("mm\"", "\"", 1))),
        ("another scale", "drawing-unreadable", Box::new(|t| t.replacen("viewBox=\"0 0 ", "viewBox=\"0 0 1", 1))),
        ("moved whole", "drawing-entity", Box::new(|t| t.replacen("<g ", "<g transform=\"translate(1)\" ", 1))),
        (
            "a line left out",
            "line-missing",
            Box::new(|t| {
                let at = t.rfind("<path").unwrap();
                let end = at + t[at..].find("/>").unwrap() + 2;
                format!("{}{}", &t[..at], &t[end..])
            }),
        ),
        ("a circle beside", "drawing-entity", Box::new(|t| t.replace("</svg>", "<circle r=\"5\"/></svg>"))),
        (
            "an ellipse",
            "drawing-entity",
            Box::new(|t| {
                cuts(t, &|r| {
                    let at = r.find('A').unwrap();
                    let end = at + r[at..].find(' ').unwrap();
                    format!("{}A99{}", &r[..at], &r[end..])
                })
            }),
        ),
        ("cut short", "drawing-unreadable", Box::new(|t| t[..t.len() / 2].to_owned())),
    ];
    for (what, code, change) in damages {
        let text = String::from_utf8(files[&board].clone()).unwrap();
        let damaged = change(&text);
        assert_ne!(damaged, text, "{what}: no damage done");
        let folder = put(&files, &board, damaged.into_bytes());
        assert!(folder.all().any(|f| f.is_error() && f.codes().any(|c| c == code)), "{what}: {:#?}", told(&folder));
    }
}

#[test]
fn a_sheet_without_its_edge_proves_and_an_edge_that_comes_back_is_found() {
    let files = export_with("rockpool-folder", &["--svg", "--no-stock", "--dxf", "both"], "no-edge");
    assert!(verify_folder(&files).is_good(), "{:#?}", told(&verify_folder(&files)));
    let with = export_with("rockpool-folder", &["--svg", "--dxf", "both"], "edge");
    let drawings = || files.keys().filter(|n| n.ends_with(".dxf") || n.ends_with(".cut.svg"));
    assert_eq!(drawings().count(), 9);
    for name in drawings() {
        let folder = put(&files, name, with[name].clone());
        assert!(folder.all().any(|f| f.code == "stock-rectangle"), "{name}: {:#?}", told(&folder));
    }
}

#[test]
fn a_drawing_of_no_sheet_and_a_sheet_of_no_drawing_are_found() {
    let files = export_with("rockpool-folder", &[], "stray");
    let change = |edit: &dyn Fn(&mut Value)| {
        let mut list = manifest(&files);
        edit(&mut list);
        let mut changed = files.clone();
        changed.insert("manifest.json".into(), serde_json::to_vec(&list).unwrap());
        verify_folder(&changed)
    };
    let has = |folder: &flapwright::verify::Folder, code: &str| folder.all().any(|f| f.is_error() && f.code == code);
    let none = change(&|l| l["sheets"][0]["drawings"] = Value::Array(Vec::new()));
    assert!(has(&none, "drawing-missing") && has(&none, "drawing-stray"), "{:#?}", told(&none));
    let twice = change(&|l| l["sheets"][0]["drawings"] = l["sheets"][1]["drawings"].clone());
    assert!(has(&twice, "drawing-stray"), "{:#?}", told(&twice));
    let gone = change(&|l| l["sheets"][0]["drawings"][0] = "elsewhere.dxf".into());
    assert!(has(&gone, "drawing-stray"), "{:#?}", told(&gone));
}

#[test]
fn a_machine_may_be_asked_for_one_stock_alone() {
    let of = |stock: &str, machine: &str| ["--machine".to_owned(), format!("{stock}={machine}")];
    let asked = [
        of("board", "oscillating-knife-table"),
        of("cloth", "drag-knife-table"),
        of("liner", "oscillating-knife-table"),
    ]
    .concat();
    let asked: Vec<&str> = asked.iter().map(String::as_str).collect();
    let files = export_with("tideline-folio", &asked, "one-stock");
    let programs: Vec<&str> = files.keys().map(String::as_str).filter(|n| n.ends_with(".nc")).collect();
    let expected = [
        "board-1.oscillating-knife-table.nc",
        "board-1.oscillating-knife-table.outline.nc",
        "cloth-1.drag-knife-table.nc",
        "cloth-1.drag-knife-table.outline.nc",
        "liner-1.oscillating-knife-table.nc",
        "liner-1.oscillating-knife-table.outline.nc",
    ];
    assert_eq!(programs, expected);
    assert!(verify_folder(&files).is_good(), "{:#?}", told(&verify_folder(&files)));
}

#[test]
fn the_sheet_for_the_cutter_says_what_each_file_is() {
    for (sample, _) in samples() {
        let files = export_with(sample, &["--kerf", "0.2 mm"], &format!("handover-{sample}"));
        let text = String::from_utf8(files["for-the-cutter.txt"].clone()).unwrap();
        assert!(files["for-the-cutter.pdf"].starts_with(b"%PDF"));
        let unit = if manifest(&files)["shown_in"] == "in" { "0.008 in" } else { "0.2 mm" };
        assert!(
            text.contains(&format!("The kerf is in: outlines are moved out and holes in for a cut {unit}")),
            "{text}"
        );
        let manifest = manifest(&files);
        for sheet in manifest["sheets"].as_array().unwrap() {
            let name = sheet["drawings"][0].as_str().unwrap();
            let (_, of) = text.split_once(name).unwrap_or_else(|| panic!("{sample} {name}: {text}"));
            let of = of.split("\n    to check").next().unwrap();
            assert!(of.contains(&format!("times: {}", sheet["count"])), "{sample} {name}: {of}");
            assert!(of.contains(&format!("cut from: {}, ", sheet["stock"].as_str().unwrap())), "{sample} {name}: {of}");
        }
        // What no sheet has is not asked for.
        let has =
            |key: &str| manifest["pieces"].as_array().unwrap().iter().any(|p| !p[key].as_array().unwrap().is_empty());
        assert_eq!(text.contains("HALF-DEPTH-POCKET"), has("pockets"), "{sample}");
        assert_eq!(text.contains("CREASE-SCORE"), has("creases"), "{sample}");
    }
}
