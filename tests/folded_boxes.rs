//! Boxes folded once more, every layer counted, by a reference that knows the flat pieces alone.
//!
//! `tests/references/fold_boxes.py` (shapely and plain numbers, nothing of ours) folds random boxes and the
//! samples from what the manifest says of them. More of them, or others:
//! `FLAPWRIGHT_FOLDED_JOBS=2000 FLAPWRIGHT_FOLDED_FROM=0 tests/run folded_boxes::`.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::random_job::RandomJob;
use common::references::{fold_boxes, reference};
use flapwright::design::design;
use flapwright::diag::{Source, any_error};
use flapwright::fit::fit;
use flapwright::job;
use flapwright::write::manifest::{FitFigures, pieces_as_json};
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// How many boxes one run of the reference folds.
const CHUNK: usize = 25;

fn setting(name: &str, otherwise: u64) -> u64 {
    std::env::var(name).ok().and_then(|s| s.parse().ok()).unwrap_or(otherwise)
}

/// What the manifest says of an accepted job's box; `None` where the job is refused.
fn told(name: &str, text: String) -> Option<Value> {
    let samples = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let drawing = |file: &str| std::fs::read(samples.join(file)).map_err(|e| e.to_string());
    let (job, found) = job::read_with(&Source { name: name.into(), text }, &drawing);
    let job = job.filter(|_| !any_error(&found))?;
    let (design, found) = design(&job);
    if any_error(&found) {
        return None;
    }
    let (fit, found) = fit(&job, &design);
    if any_error(&found) {
        return None;
    }
    let figures = FitFigures::of(&job, &design, &fit);
    Some(json!({ "pieces": pieces_as_json(&design.pieces).unwrap(), "fit": figures }))
}

/// What the reference and the figures do not agree on.
fn differences(told: &Value, seen: &Value) -> Vec<String> {
    if let Some(error) = seen.get("error") {
        return vec![format!("error: {error}")];
    }
    let fit = &told["fit"];
    let number = |v: &Value| v.as_f64().expect("a number");
    let list = |v: &Value| v.as_array().expect("a list").clone();
    let mut all = Vec::new();
    for joint in list(&seen["joints"]) {
        if number(&joint["need"]) > number(&joint["width"]) + 1e-6 {
            all.push(format!("joint: {joint}"));
        }
    }
    for overlap in list(&seen["overlaps"]) {
        all.push(format!("overlap: {overlap}"));
    }
    for overlap in list(&seen["on_the_way"]) {
        all.push(format!("on the way: {overlap}"));
    }
    if number(&seen["bare_mm2"]) > 1.0 {
        all.push(format!("bare: {} mm2, {}", seen["bare_mm2"], seen["bare"]));
    }
    let play = fit["play"].as_object().expect("by side");
    for (side, ours) in play {
        if (number(ours) - number(&seen["play"][side])).abs() > 0.05 {
            all.push(format!("play: {side} {ours}, folded {}", seen["play"][side]));
        }
    }
    let cloth = number(&fit["dressed"]["cloth"]);
    for (k, (ours, folded)) in list(&fit["exterior"]).iter().zip(list(&seen["exterior"])).enumerate() {
        // A layer of cloth where the folding is finer than the figures: on either side in plan, above in depth.
        let layers = if k < 2 { 2.0 } else { 1.0 };
        if (number(ours) - number(&folded)).abs() > 0.1 + layers * cloth {
            all.push(format!("exterior: {k}: {ours}, folded {folded}"));
        }
    }
    all
}

/// Folds all of these and says where the two differ, each with its name.
fn fold(boxes: &[(String, Value)]) -> Vec<String> {
    let mut all = Vec::new();
    for chunk in boxes.chunks(CHUNK) {
        let lines: Vec<Value> = chunk.iter().map(|b| b.1.clone()).collect();
        let Some(seen) = fold_boxes(&lines) else { return Vec::new() };
        assert_eq!(seen.len(), chunk.len());
        for ((name, told), seen) in chunk.iter().zip(&seen) {
            all.extend(differences(told, seen).iter().map(|d| format!("{name}: {d}")));
        }
    }
    all
}

/// Source of the way of folding: derived in the reference from "Joints and folds"; areas by shapely 2.2 (GEOS).
#[test]
fn random_boxes_fold_as_their_figures_say() {
    if reference("python").is_none() {
        return;
    }
    let (from, count) = (setting("FLAPWRIGHT_FOLDED_FROM", 0), setting("FLAPWRIGHT_FOLDED_JOBS", 200));
    let mut boxes = Vec::new();
    for seed in from..from + count {
        let random = RandomJob::for_folding(seed);
        boxes.extend(told("random", random.toml(1.0)).map(|t| (format!("seed {seed}"), t)));
    }
    if let Some(folder) = std::env::var_os("FLAPWRIGHT_FOLDED_KEEP") {
        let text: String = boxes.iter().map(|(name, told)| format!("{name}\t{told}\n")).collect();
        std::fs::write(folder, text).unwrap();
    }
    // Most are accepted: a test of none would pass.
    assert!(boxes.len() as u64 * 4 > count, "{} of {count} accepted", boxes.len());
    let all = fold(&boxes);
    // What the two do not yet agree on, and why, stands in DEVELOPERS.md: walls on the base, where a cloth more or
    // less lies at a wall's foot or beside a lid's hinge, and square millimetres at the round corner of a bow.
    let seat = |name: &str| boxes.iter().find(|b| b.0 == name).map(|b| b.1["fit"]["dressed"]["seat"].clone());
    let differ = |on_base: bool| {
        let names: BTreeSet<&str> = all.iter().filter_map(|d| d.split_once(": ")).map(|d| d.0).collect();
        names.into_iter().filter(|n| (seat(n) == Some("on-base".into())) == on_base).count()
    };
    let made = |on_base: bool| boxes.iter().filter(|b| (b.1["fit"]["dressed"]["seat"] == "on-base") == on_base).count();
    let told = all.join("\n");
    assert!(differ(false) * 50 <= made(false), "{} of {} differ:\n{told}", differ(false), made(false));
    assert!(differ(true) * 3 <= made(true), "{} of {} on the base differ:\n{told}", differ(true), made(true));
    let is_small =
        |d: &&String| d.contains("bare: ") || seat(d.split_once(": ").map_or("", |d| d.0)) == Some("on-base".into());
    let large: Vec<&String> = all.iter().filter(|d| !is_small(d)).collect();
    assert!(large.is_empty(), "beside the base or of folding board nothing else may differ: {large:?}");
}

#[test]
fn samples_fold_as_their_figures_say() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let mut boxes = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|e| e == "toml") {
            let name = path.display().to_string();
            let text = std::fs::read_to_string(&path).unwrap();
            let told = told(&name, text).unwrap_or_else(|| panic!("{name} is accepted"));
            boxes.push((name, told));
        }
    }
    assert_eq!(boxes.len(), 8);
    boxes.sort_by(|a, b| a.0.cmp(&b.0));
    let mut all = fold(&boxes);
    // The reference cuts tabs free at the round corner of a bow and sees 3.5 mm2 between two of them, which a hand
    // eases over.
    all.retain(|d| !(d.contains("rockpool-folder") && d.contains("bare: 3.5")));
    assert!(all.is_empty(), "{}", all.join("\n"));
}

/// The reference notices what is wrong: thicker cloth chokes the joints, a deeper stack meets the lids, a liner that is
/// too small leaves board bare, a wall that is too low has no play.
#[test]
fn the_folding_notices_damages() {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/tideline-folio.toml");
    let sound = told("tideline", std::fs::read_to_string(path).unwrap()).unwrap();
    let change = |f: &dyn Fn(&mut Value)| {
        let mut other = sound.clone();
        f(&mut other);
        other
    };
    let boxes = [
        sound.clone(),
        change(&|b: &mut Value| b["fit"]["dressed"]["cloth"] = json!(0.8)),
        change(&|b: &mut Value| b["fit"]["dressed"]["contents"][2] = json!(20.0)),
        change(&|b: &mut Value| {
            for piece in b["pieces"].as_array_mut().unwrap().iter_mut().filter(|p| p["stock"] == "liner") {
                for point in piece["outline"].as_array_mut().unwrap() {
                    point[0] = json!(point[0].as_f64().unwrap() * 0.9);
                }
            }
        }),
        change(&|b: &mut Value| b["fit"]["interior"][2] = json!(14.0)),
        // A horn on the left wall, and a right lid that is long enough to hit it before it lies.
        change(&|b: &mut Value| {
            for panel in b["fit"]["dressed"]["panels"].as_array_mut().unwrap() {
                if panel["part"] == "wall" && panel["side"] == "left" {
                    panel["outline"] = json!([
                        [-112.8, -152.0, 0.0],
                        [-112.8, 152.0, 0.0],
                        [-138.55, 152.0, 0.0],
                        [-138.55, -100.0, 0.0],
                        [-198.55, -100.0, 0.0],
                        [-198.55, -152.0, 0.0]
                    ]);
                }
                if panel["part"] == "lid" && panel["side"] == "right" {
                    for point in panel["outline"].as_array_mut().unwrap() {
                        if point[0].as_f64().unwrap() > 200.0 {
                            point[0] = json!(365.0);
                        }
                    }
                }
            }
        }),
    ];
    let Some(seen) = fold_boxes(&boxes) else { return };
    for ((told, seen), word) in
        boxes.iter().zip(&seen).zip(["", "joint: ", "overlap: ", "bare: ", "play: ", "on the way: "])
    {
        let found = differences(told, seen);
        if word.is_empty() {
            assert!(found.is_empty(), "{found:?}");
        } else {
            assert!(found.iter().any(|f| f.starts_with(word)), "{word}: {found:?}");
        }
    }
}
