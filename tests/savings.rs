//! Hints at what would save stock: what is told is so when it is written into the job, worked by hand where it can be,
//! and nothing is told where nothing is saved.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops where its ground is missing")]

use crate::batch::{err, folder, good, json};
use crate::common::proof::root;
use crate::common::random_job::RandomJob;
use crate::common::references::scratch;
use crate::common::{block, job, piece, stock};
use flapwright::design::Piece;
use flapwright::geom::pt;
use flapwright::job::{Grain, Job, Stock, StockKind};
use flapwright::nest::{Apart, AskedSavings, Change, Look, Saving, Search, Sheet, nest_with, savings};
use flapwright::units::{Length, mm};
use serde_json::Value;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};
use std::sync::atomic::AtomicBool;

/// What is told of these pieces, for a bed of this width and height.
fn told(pieces: &[Piece], job: &Job, apart: Apart, look: Look, bed: [f64; 2]) -> Vec<Saving> {
    let stop = AtomicBool::new(false);
    let search = Search { apart, stop: &stop, progress: &|_, _, _| {} };
    let (sheets, said) = nest_with(pieces, job, &search);
    assert_eq!(said, [], "all of it fits");
    let sheets: Vec<&Sheet> = sheets.iter().collect();
    let may_lie = |_: StockKind, [w, h]: [Length; 2]| w <= mm(bed[0]) && h <= mm(bed[1]);
    let asked =
        AskedSavings { pieces, job, sheets: &sheets, boxes: job.copies, look, search: &search, may_lie: &may_lie };
    savings(&asked)
}

const ANY: [f64; 2] = [1e4, 1e4];

fn squares(kind: StockKind, count: u32, side: f64) -> Vec<Piece> {
    vec![Piece { count, ..piece("a", kind, block(pt(0.0, 0.0), side, side), Grain::None) }]
}

/// A board of this square sheet alone, as a job of one box.
fn board(side: f64, gap: f64) -> Job {
    job(1, Stock { gap: mm(gap), ..stock(side, side, Grain::None) })
}

/// By hand. Squares of 100 mm on a sheet of 319 mm, 6 mm of rim: 307 mm of room hold two across at a gap of 5, and three
/// at 3.5 (300 + 2 x 3.5). So 18 of them take 5 sheets of four, and 2 of nine. A rim of 4.5 mm would do the same
/// (319 - 9 = 310 = 300 + 2 x 5): of two changes that save as much the gap is the lesser.
#[test]
fn the_widest_gap_that_saves_is_told() {
    let all = told(&squares(StockKind::Board, 18, 100.0), &board(319.0, 5.0), Apart::default(), Look::Whole(48), ANY);
    let [s] = all.as_slice() else { panic!("{all:?}") };
    assert_eq!((s.change, s.key.as_str(), s.value.as_str()), (Change::Gap, "board.gap", "\"3.5 mm\""));
    assert_eq!(s.sheets, [5, 2]);
    assert_eq!(s.message(), "a gap of 3.5 mm takes 2 sheets of board in place of 5");
    // Of a short look the gap is the least that is ever told.
    let all = told(&squares(StockKind::Board, 18, 100.0), &board(319.0, 5.0), Apart::default(), Look::Short, ANY);
    assert_eq!((all[0].value.as_str(), all[0].sheets), ("\"3 mm\"", [5, 2]));
}

/// The same where a tool needs 4 mm between two pieces: the rim is left.
#[test]
fn no_gap_is_told_that_is_less_than_the_cuts_ask_for() {
    let apart = Apart::default().at_least(StockKind::Board, mm(4.0));
    let mut own = board(319.0, 5.0);
    let pieces = squares(StockKind::Board, 18, 100.0);
    let all = told(&pieces, &own, apart, Look::Whole(48), ANY);
    let [s] = all.as_slice() else { panic!("{all:?}") };
    assert_eq!((s.change, s.value.as_str(), s.sheets), (Change::Margin, "\"4.5 mm\"", [5, 2]));
    // Nor a rim under 3 mm: 319 - 2 x 3 = 313 would be room for a gap of 6.5, and 314 for one of 7.
    own.board.gap = mm(7.0);
    let apart = Apart::default().at_least(StockKind::Board, mm(7.0));
    assert_eq!(told(&pieces, &own, apart, Look::Whole(48), ANY), []);
}

fn cloth(width: f64, height: f64, price: Option<f64>) -> Job {
    let mut own = job(1, stock(700.0, 1000.0, Grain::Height));
    own.cloth = Some(Stock { price, gap: mm(5.0), ..stock(width, height, Grain::Height) });
    own
}

/// By hand. Twelve squares of 450 mm on pieces 1000 mm wide and 917 mm long (2 x 450 + 5 + 2 x 6): two across and two along,
/// three pieces. Three across take 3 x 450 + 2 x 5 + 2 x 6 = 1372 mm: two pieces 1400 mm wide, at 14.00 each in place of
/// 10.00: 28.00 for 30.00. Three along in place of that: 2 x 1372 / 917 x 10.00 = 29.92, which is not worth the errand.
#[test]
fn a_wider_roll_is_told_with_the_least_width_and_what_it_saves() {
    let pieces = squares(StockKind::Cloth, 12, 450.0);
    let all = told(&pieces, &cloth(1000.0, 917.0, Some(10.0)), Apart::default(), Look::Whole(48), ANY);
    let [s] = all.as_slice() else { panic!("{all:?}") };
    assert_eq!((s.change, s.value.as_str()), (Change::Size, "{ width = 1400, height = 917 }"));
    assert_eq!((s.sheets, s.cost), ([3, 2], Some([30.0, 28.0])));
    assert_eq!(
        s.message(),
        "cloth 1400 mm wide (1372 mm is the least) in pieces 917 mm long saves 2.00 at the same price by area: \
         2 sheets of cloth in place of 3"
    );
    // Of pieces 1000 mm long 1372 mm along the roll do the same for less: 2 x 13.72. Three of 917 mm would be 27.51.
    let all = told(&pieces, &cloth(1000.0, 1000.0, Some(10.0)), Apart::default(), Look::Whole(48), ANY);
    let [s] = all.as_slice() else { panic!("{all:?}") };
    assert_eq!((s.change, s.value.as_str()), (Change::Length, "{ width = 1000, height = 1372 }"));
    assert_eq!(s.cost, Some([30.0, 27.44]));
}

/// By hand. Boards of 200 x 320 mm, the grain along the longer side, on 700 x 1000 mm grain long: 688 mm hold three across
/// (610), 988 three along (970): nine. Grain short, 1000 x 700 mm: four across (815) and two along (645): eight. The other
/// way round, from grain short to grain long, one sheet of three is saved for 18.
#[test]
fn a_sheet_with_its_grain_along_the_other_side_is_told() {
    let pieces =
        vec![Piece { count: 18, ..piece("a", StockKind::Board, block(pt(0.0, 0.0), 200.0, 320.0), Grain::Height) }];
    let short = job(1, Stock { gap: mm(5.0), ..stock(1000.0, 700.0, Grain::Height) });
    let all = told(&pieces, &short, Apart::default(), Look::Whole(48), [1000.0, 1000.0]);
    let [s] = all.as_slice() else { panic!("{all:?}") };
    assert_eq!((s.change, s.sheets), (Change::Turned, [3, 2]));
    assert_eq!(s.value, "{ width = 700, height = 1000 }");
    let long = job(1, Stock { gap: mm(5.0), ..stock(700.0, 1000.0, Grain::Height) });
    assert_eq!(told(&pieces, &long, Apart::default(), Look::Whole(48), [1000.0, 1000.0]), []);
}

/// By hand. A square of 300 mm a box, four on a sheet of 640 mm (305 + 305 + 2 x 6 = 622): seven boxes take two sheets,
/// eight as well; nine take three, and eight one less.
#[test]
fn the_number_of_boxes_that_fills_its_sheets_is_told() {
    let pieces = squares(StockKind::Board, 1, 300.0);
    let of = |copies: u32| {
        let own = Job { copies, ..board(640.0, 5.0) };
        told(&pieces, &own, Apart::default(), Look::Whole(48), [640.0, 640.0])
    };
    let seven = of(7);
    let [s] = seven.as_slice() else { panic!("{seven:?}") };
    assert_eq!((s.change, s.key.as_str(), s.value.as_str(), s.stock), (Change::Copies, "copies", "8", None));
    assert_eq!((s.sheets, s.boxes), ([2, 2], [7, 8]));
    assert_eq!(s.message(), "8 boxes take the same sheets as 7: 13 % less stock a box");
    let nine = of(9);
    let [s] = nine.as_slice() else { panic!("{nine:?}") };
    assert_eq!((s.value.as_str(), s.sheets, s.boxes), ("8", [3, 2], [9, 8]));
    assert_eq!(s.message(), "8 boxes take 1 sheet of board less than 9: 25 % less stock a box");
    assert_eq!(of(8), [], "eight fill two");
    assert_eq!(of(1), [], "one box is no edition");
}

/// One sheet is the least that can be bought, and what is full cannot be bettered.
#[test]
fn nothing_is_told_where_nothing_is_saved() {
    let one = told(&squares(StockKind::Board, 4, 100.0), &board(319.0, 5.0), Apart::default(), Look::Whole(48), ANY);
    assert_eq!(one, []);
    // Squares of 306 mm fill the room of their sheets but for 1 mm: area alone shows that no fewer would do.
    let full =
        told(&squares(StockKind::Board, 6, 306.0), &board(319.0, 5.0), Apart::default(), Look::Whole(48), [319.0; 2]);
    assert_eq!(full, []);
}

fn run(dir: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_flapwright")).current_dir(dir).args(arguments).output().unwrap()
}

fn checked(dir: &Path, name: &str, more: &[&str]) -> Value {
    let o = run(dir, &[&["check", name, "--format", "json"], more].concat());
    serde_json::from_slice(&o.stdout).unwrap_or_else(|e| panic!("{name}: {e} {}", String::from_utf8_lossy(&o.stderr)))
}

/// What a checked job takes of a stock, or of all: sheets and square metres.
fn takes(report: &Value, stock: Option<&str>) -> (u64, f64) {
    let all = report["fit"]["takes"]["stocks"].as_array().unwrap();
    let of = all.iter().filter(|s| stock.is_none_or(|stock| s["stock"] == stock));
    of.fold((0, 0.0), |(n, m2), s| (n + s["sheets"].as_u64().unwrap(), m2 + s["area_m2"].as_f64().unwrap()))
}

/// A job with a value written in the place of its key, as the hint says: by a line of its own at the head of its table.
fn written(text: &str, saving: &Value) -> String {
    let (key, value) = (saving["key"].as_str().unwrap(), saving["value"].as_str().unwrap());
    let mut document: toml::Table = text.parse().unwrap();
    let value: toml::Table = format!("v = {value}").parse().unwrap();
    let value = value["v"].clone();
    match key.split_once('.') {
        Some((table, key)) => {
            document[table].as_table_mut().unwrap().insert(key.into(), value);
        }
        None => {
            document.insert(key.into(), value);
        }
    }
    document.to_string()
}

/// Editions of random boxes and the samples as editions: every hint is written into the job, and that takes what it said,
/// laid out as it is exported.
#[test]
fn what_is_told_is_so_once_it_is_written() {
    let dir = scratch("savings");
    let mut told = 0;
    let mut jobs: Vec<String> = Vec::new();
    for (n, name) in ["rockpool-folder", "samphire-folder", "cockle-portfolio", "dulse-atlas"].iter().enumerate() {
        let text = fs::read_to_string(root().join(format!("samples/{name}.toml"))).unwrap();
        let mut document: toml::Table = text.parse().unwrap();
        document.insert("copies".into(), toml::Value::Integer(5 + 2 * n as i64));
        jobs.push(document.to_string());
    }
    for seed in 0..6 {
        let mut document: toml::Table = RandomJob::new(seed).toml(1.0).parse().unwrap();
        document.insert("copies".into(), toml::Value::Integer(4 + seed as i64));
        jobs.push(document.to_string());
    }
    for text in jobs {
        let text = format!("layout_effort = 4\n{}", text.replace("layout_effort", "# layout_effort"));
        fs::write(dir.join("job.toml"), &text).unwrap();
        let report = checked(&dir, "job.toml", &[]);
        let exported = checked(&dir, "job.toml", &["--effort", "4"]);
        for saving in report["savings"].as_array().unwrap() {
            told += 1;
            fs::write(dir.join("then.toml"), written(&text, saving)).unwrap();
            let then = checked(&dir, "then.toml", &["--effort", "4"]);
            let stock = saving["stock"].as_str();
            for (i, report) in [&exported, &then].into_iter().enumerate() {
                let (sheets, m2) = takes(report, stock);
                assert_eq!(saving["sheets"][i].as_u64(), Some(sheets), "{saving}");
                assert!((saving["area_m2"][i].as_f64().unwrap() - m2).abs() < 1e-3, "{saving}");
                assert_eq!(saving["boxes"][i], report["fit"]["takes"]["boxes"], "{saving}");
            }
            // The note says the same.
            let note = report["diagnostics"].as_array().unwrap().iter().find(|d| {
                d["code"] == "saves-stock" && d["hint"].as_str().unwrap().contains(saving["value"].as_str().unwrap())
            });
            assert_eq!(note.unwrap()["severity"], "hint");
        }
    }
    assert!(told >= 5, "only {told} hints");
}

/// A note like the others: counted, shown with -v, silent with -q.
#[test]
fn a_saving_is_a_note() {
    let dir = scratch("savings-note");
    let text = fs::read_to_string(root().join("samples/samphire-folder.toml")).unwrap();
    let mut document: toml::Table = text.parse().unwrap();
    document.insert("copies".into(), toml::Value::Integer(7));
    fs::write(dir.join("job.toml"), document.to_string()).unwrap();
    let report = checked(&dir, "job.toml", &[]);
    assert!(!report["savings"].as_array().unwrap().is_empty());
    let said = |more: &[&str]| {
        let o = run(&dir, &[&["check", "job.toml"], more].concat());
        String::from_utf8(o.stdout).unwrap() + &String::from_utf8(o.stderr).unwrap()
    };
    assert!(said(&["-v"]).contains("note[saves-stock]"), "{}", said(&["-v"]));
    assert!(!said(&[]).contains("saves-stock") && said(&[]).contains("-v shows"), "{}", said(&[]));
    assert_eq!(said(&["-q"]), "");
}

/// Of a list the first lot is looked at, by the effort of the run, and what it says is so.
#[test]
fn a_list_says_what_would_save_in_its_first_lot() {
    let dir = folder("savings");
    let rows = fs::read_to_string(dir.join("herbarium-survey.csv")).unwrap();
    fs::write(dir.join("short.csv"), rows.lines().take(9).collect::<Vec<_>>().join("\n")).unwrap();
    let job = fs::read_to_string(dir.join("herbarium-survey.toml")).unwrap();
    let batch = |out: &str, lot: &str, more: &[&str]| {
        let all = ["batch", "short.csv", "--job", "herbarium-survey.toml", "--out", out, "--lot", lot];
        let o = run(&dir, &[&all[..], more].concat());
        good(&o);
        err(&o)
    };
    let note = batch("out", "8", &["-v"]);
    assert!(note.contains("short.csv, lot 1: cloth 1400 mm wide"), "{note}");
    let lot = json(&dir.join("out/lot-1/lot.json"));
    assert_eq!(json(&dir.join("out/batch.json"))["lots"][0]["savings"], lot["savings"]);
    let all = lot["savings"].as_array().unwrap();
    assert!(!all.is_empty());
    for (n, saving) in all.iter().enumerate() {
        fs::write(dir.join("herbarium-survey.toml"), written(&job, saving)).unwrap();
        let out = format!("then-{n}");
        batch(&out, "8", &[]);
        let then = json(&dir.join(&out).join("lot-1/lot.json"));
        for (i, record) in [&lot, &then].into_iter().enumerate() {
            let stocks = record["takes"]["stocks"].as_array().unwrap();
            let of = stocks.iter().find(|s| s["stock"] == saving["stock"]).unwrap();
            assert_eq!(of["sheets"], saving["sheets"][i], "{saving}");
        }
    }
    fs::write(dir.join("herbarium-survey.toml"), job).unwrap();
    // A run that is taken up says it again, counts it without -v and is silent with -q; other lots look at nothing.
    assert_eq!(batch("out", "8", &["-v"]), note);
    assert!(!batch("out", "8", &[]).contains("saves-stock") && batch("out", "8", &[]).contains("-v shows"));
    assert_eq!(batch("out", "8", &["-q"]), "");
    batch("lots", "4", &[]);
    assert_eq!(json(&dir.join("lots/lot-2/lot.json"))["savings"], Value::Array(Vec::new()));
}
