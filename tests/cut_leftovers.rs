//! What is left of sheets that are cut is taken first, once, and for its own material alone.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops where its ground is missing")]

use crate::batch::{assert_same, batch, err, folder, good, json, tree};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

fn cut(dir: &Path, arguments: &[&str]) -> String {
    let done = Command::new(env!("CARGO_BIN_EXE_flapwright")).current_dir(dir).arg("cut").args(arguments).output();
    good(&done.unwrap())
}

/// The sheets of a lot, each with its record and its entry in the manifest.
fn sheets(dir: &Path, lot: u32) -> BTreeMap<String, (Value, Value)> {
    let at = |file: &str| json(&dir.join(format!("out/lot-{lot}/{file}")))["sheets"].as_array().unwrap().clone();
    let listed = at("manifest.json");
    let of = |record: Value| {
        let id = record["id"].as_str().unwrap().to_owned();
        let entry = listed.iter().find(|s| s["id"] == record["id"]).unwrap().clone();
        (id, (record, entry))
    };
    at("lot.json").into_iter().map(of).collect()
}

/// What a lot's sheets are left of, name by name with the sheet that lies on it.
fn taken(dir: &Path, lot: u32) -> Vec<(String, Value)> {
    let all = sheets(dir, lot).into_values();
    all.flat_map(|(record, entry)| {
        let from: Vec<String> = serde_json::from_value(record["leftover_of"].clone()).unwrap_or_default();
        // What is no whole sheet says of each what it is left of.
        let count = if entry["leftover"] == true { entry["count"].as_u64().unwrap() } else { 0 };
        assert_eq!(from.len() as u64, count, "{record}");
        from.into_iter().map(move |from| (from, entry.clone()))
    })
    .collect()
}

fn cost(dir: &Path, lot: u32) -> f64 {
    json(&dir.join(format!("out/lot-{lot}/lot.json")))["takes"]["cost"].as_f64().unwrap()
}

#[test]
fn the_next_lot_lies_on_what_is_left_of_those_that_are_cut() {
    let dir = folder("leftovers");
    good(&batch(&dir, "out", &[]));
    let first = tree(&dir.join("out"));
    assert!((1..=5).all(|lot| taken(&dir, lot).is_empty()), "nothing is cut yet");
    let before = cost(&dir, 2);
    cut(&dir, &["out", "lot-1"]);
    let text = good(&batch(&dir, "out", &[]));
    let used = taken(&dir, 2);
    assert!(!used.is_empty() && text.contains("Leftovers: lot-2/"), "{text}");
    assert!(text.contains("leftovers changed"), "{text}");
    assert!(cost(&dir, 2) < before, "a leftover costs nothing: {} and {before}", cost(&dir, 2));
    // Each is what the sheet that is named can keep, of the same material, no larger than it is, and is used once.
    let left = sheets(&dir, 1);
    let mut names = BTreeSet::new();
    for (from, on) in &used {
        let (record, source) = &left[from.strip_prefix("lot-1/").unwrap()];
        for key in ["stock", "thickness"] {
            assert_eq!(source[key], on[key], "{from}");
        }
        for key in ["width", "height"] {
            let (kept, lies) = (source["offcut"][key].as_f64().unwrap(), on[key].as_f64().unwrap());
            // Whole millimetres, rounded down.
            assert!(lies <= kept && kept < lies + 1.0, "{from}: {lies} of {kept}");
            assert!((record["offcut"][key].as_f64().unwrap() - lies).abs() < 1e-9, "{from}");
        }
        assert!(names.insert(from.clone()), "{from} is there once");
    }
    // Only one lot has them.
    for lot in 3..=5 {
        assert!(taken(&dir, lot).is_empty());
        let name = format!("lot-{lot}/manifest.json");
        assert_eq!(fs::read(dir.join("out").join(&name)).unwrap(), first[&name]);
    }
    // The next ones have what is left of all before, but not what these took.
    for lot in 2..=4 {
        cut(&dir, &["out", &format!("lot-{lot}")]);
        let files = tree(&dir.join(format!("out/lot-{lot}")));
        good(&batch(&dir, "out", &[]));
        assert_same(&files, &tree(&dir.join(format!("out/lot-{lot}"))));
        for (from, on) in taken(&dir, lot + 1) {
            assert!(names.insert(from.clone()), "{from} was used before {}", on["id"]);
        }
    }
    let proof = Command::new(env!("CARGO_BIN_EXE_flapwright")).arg("verify").arg(dir.join("out")).output().unwrap();
    good(&proof);
    // The same on one thread, and without a mark everything is as it was.
    let now = tree(&dir.join("out"));
    good(&batch(&dir, "out", &["--threads", "1"]));
    fs::remove_file(dir.join("out/changes.csv")).unwrap();
    let without = |mut all: BTreeMap<String, Vec<u8>>| {
        all.remove("changes.csv");
        all
    };
    assert_same(&without(now), &without(tree(&dir.join("out"))));
    cut(&dir, &["out", "--all", "--undo"]);
    good(&batch(&dir, "out", &[]));
    assert_same(&without(first), &without(tree(&dir.join("out"))));
}

#[test]
fn what_is_cut_of_several_alike_is_left_as_often() {
    let dir = folder("leftovers-count");
    // Thirty boxes of one size: sheets that are cut alike.
    let list = "id,width,height,depth,copies\nTH-001,209,293,10,30\nTH-002,55,65,6,2\n";
    fs::write(dir.join("herbarium-survey.csv"), list).unwrap();
    let run = |more: &[&str]| -> Output {
        let mut c = Command::new(env!("CARGO_BIN_EXE_flapwright"));
        c.current_dir(&dir).args(["batch", "herbarium-survey.csv", "--job", "herbarium-survey.toml", "--lot", "1"]);
        c.args(["--out", "out"]).args(more).output().unwrap()
    };
    good(&run(&[]));
    let alike =
        sheets(&dir, 1).into_iter().find(|(_, (r, m))| m["count"].as_u64() > Some(2) && r["offcut"].is_object());
    let (id, (record, _)) = alike.expect("sheets alike with something left");
    // Told as a leftover of the job it would be used as often.
    cut(&dir, &["out", &format!("lot-1/{id}"), "--count", "2"]);
    good(&run(&[]));
    let used = taken(&dir, 2);
    let of_it = used.iter().filter(|(from, _)| *from == format!("lot-1/{id}")).count();
    assert!((1..=2).contains(&of_it), "{used:?} of {record}");
    // A lot that is begun is held whole, and so is what it lies on.
    cut(&dir, &["out", "lot-2/board-1"]);
    good(&run(&[]));
    assert_eq!(taken(&dir, 2).len(), used.len());
}

#[test]
fn a_leftover_of_the_job_is_there_once() {
    let dir = folder("leftovers-of-job");
    let job = fs::read_to_string(dir.join("herbarium-survey.toml")).unwrap();
    let job = format!("{job}\n[[board.leftover]]\nwidth = 420\nheight = 700\ncount = 2\n");
    fs::write(dir.join("herbarium-survey.toml"), job).unwrap();
    good(&batch(&dir, "out", &[]));
    let named = "board.leftover 420 x 700 mm";
    let of_job = |lot: u32| taken(&dir, lot).iter().filter(|(from, _)| from == named).count();
    let used = of_job(1);
    assert!(used > 0 && (2..=5).all(|lot| of_job(lot) == 0), "{used}");
    cut(&dir, &["out", "lot-1"]);
    let o = batch(&dir, "out", &[]);
    good(&o);
    assert!(of_job(1) == used && of_job(2) <= 2 - used, "{} {used} {}", of_job(2), err(&o));
}
