//! The guide and the templates as they come out, read back by pdfium and measured with shapely,
//! which `tests/run` fetches.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::random_job::RandomJob;
use common::references::{python, scratch};
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

const SAMPLES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/samples");

/// The exported folders of all samples, or of every third where they are exported otherwise than they come.
fn export_all(home: &Path, more: &[&str]) -> Vec<PathBuf> {
    let mut jobs: Vec<PathBuf> = fs::read_dir(SAMPLES).unwrap().map(|e| e.unwrap().path()).collect();
    // A job beside a list of the same name is a template for `batch` and has no size of its own.
    jobs.retain(|p| p.extension().is_some_and(|e| e == "toml") && !p.with_extension("csv").exists());
    jobs.sort();
    let jobs: Vec<PathBuf> = jobs.into_iter().step_by(if more.is_empty() { 1 } else { 3 }).collect();
    let folder = |job: &PathBuf| export(home, job, more).unwrap_or_else(|why| panic!("{why}"));
    jobs.iter().map(folder).collect()
}

/// The samples exported without a wish, once for all tests here.
fn as_they_come() -> &'static [PathBuf] {
    static FOLDERS: OnceLock<Vec<PathBuf>> = OnceLock::new();
    FOLDERS.get_or_init(|| export_all(&scratch("paper"), &[]))
}

/// The folder of one job, or what was said against it.
fn export(home: &Path, job: &Path, more: &[&str]) -> Result<PathBuf, String> {
    let out = home.join(job.file_stem().unwrap());
    let done = Command::new(env!("CARGO_BIN_EXE_flapwright"))
        .arg("export")
        .args([job, Path::new("--out"), &out])
        .args(more)
        .output()
        .unwrap();
    if done.status.success() { Ok(out) } else { Err(String::from_utf8_lossy(&done.stderr).into_owned()) }
}

fn manifest(folder: &Path) -> Value {
    serde_json::from_slice(&fs::read(folder.join("manifest.json")).unwrap()).unwrap()
}

/// Width and height of a piece of the manifest, chords for arcs.
fn size(piece: &Value) -> (f64, f64) {
    let along = |axis: usize| {
        let all: Vec<f64> = piece["outline"].as_array().unwrap().iter().map(|v| v[axis].as_f64().unwrap()).collect();
        all.iter().fold(f64::NEG_INFINITY, |a, b| a.max(*b)) - all.iter().fold(f64::INFINITY, |a, b| a.min(*b))
    };
    (along(0), along(1))
}

fn read_back(mode: &str, first: Option<PathBuf>, folders: &[PathBuf]) -> Option<Vec<Value>> {
    let arguments: Vec<PathBuf> =
        std::iter::once(PathBuf::from(mode)).chain(first).chain(folders.iter().cloned()).collect();
    python("check_pdf.py", &arguments, &Value::Null).map(|v| v.as_array().unwrap().clone())
}

/// Derived: a printed template is as good as the rule that it is checked by. Outlines,
/// holes and slits, their tiles joined by what is printed on them alone, are the manifest's within
/// 0.05 mm, each once; 100 mm and 4 in are that on every page. What is left to the guide is what no page holds; no tile
/// shows a sliver.
#[test]
fn templates_on_any_paper_are_the_pieces_at_full_size() {
    for options in [&[][..], &["--paper", "letter"], &["--paper", "large"], &["--tile-cloth"]] {
        let home = format!("paper{}", options.concat());
        let folders = if options.is_empty() { as_they_come().to_vec() } else { export_all(&scratch(&home), options) };
        let Some(answers) = read_back("templates", None, &folders) else { return };
        for (answer, folder) in answers.iter().zip(&folders) {
            let name = format!("{} with {options:?}", folder.display());
            assert_eq!((&answer["faults"], &answer["slivers"]), (&json!([]), &json!([])), "{name}");
            let manifest = manifest(folder);
            let pieces = manifest["pieces"].as_array().unwrap();
            let measured = answer["measured"].as_array().unwrap();
            assert_eq!(answer["pieces"].as_u64().unwrap() as usize + measured.len(), pieces.len(), "{name}");
            assert!(answer["worst"].as_f64().unwrap() < 0.05, "{name}");
            for piece in measured {
                let piece = pieces.iter().find(|p| p["id"] == *piece).unwrap();
                // A page of either paper has at least 190 x 236 mm for a piece with its name.
                let (w, h) = size(piece);
                assert!(w.min(h) > 187.0 || w.max(h) > 236.0, "{name}: a page holds {}", piece["id"]);
                assert!(!options.contains(&"large"), "{name}: {} is not whole", piece["id"]);
                assert!(!options.contains(&"--tile-cloth") || piece["stock"] == "board", "{name}: {}", piece["id"]);
            }
        }
    }
}

/// Figures read back: see `check_pdf.py`. The samples, one of them in inches, and random boxes.
#[test]
fn every_measure_is_one_of_the_piece_and_every_corner_is_reached() {
    let home = scratch("paper-measures");
    let mut folders = as_they_come().to_vec();
    let samples = folders.len();
    for seed in 1..40 {
        let job = home.join(format!("random-{seed}.toml"));
        fs::write(&job, RandomJob::new(seed).toml(1.0)).unwrap();
        folders.extend(export(&home, &job, &["--effort", "1"]));
        if folders.len() == samples + 12 {
            break;
        }
    }
    assert_eq!(folders.len(), samples + 12);
    let Some(answers) = read_back("measures", None, &folders) else { return };
    let mut figures = 0;
    for (answer, folder) in answers.iter().zip(&folders) {
        assert_eq!(answer["faults"], json!([]), "{}", folder.display());
        assert_eq!(answer["pieces"].as_u64().unwrap() as usize, manifest(folder)["pieces"].as_array().unwrap().len());
        figures += answer["figures"].as_u64().unwrap();
    }
    assert!(figures > 1500, "only {figures} figures");
}

/// A maker at the bench prints so many pages: the guide, the templates.
#[test]
fn the_papers_of_the_samples_are_few() {
    const PAGES: [(&str, u64, u64); 19] = [
        ("bladderwrack-case", 8, 3),
        ("bootlace-portfolio", 7, 1),
        ("carrageen-tray", 6, 6),
        ("cockle-portfolio", 8, 2),
        ("dabberlocks-portfolio", 7, 1),
        ("dulse-atlas", 9, 2),
        ("furbelow-portfolio", 10, 4),
        ("laver-slipcase", 6, 4),
        ("limpet-wrapper", 4, 1),
        ("oarweed-trays", 7, 2),
        ("pepper-dulse-folder", 9, 10),
        ("periwinkle-folder", 7, 6),
        ("rockpool-folder", 6, 4),
        ("samphire-folder", 7, 4),
        ("sandpiper-case", 6, 5),
        ("strandline-tray", 8, 5),
        ("thongweed-portfolio", 8, 2),
        ("tideline-folio", 8, 3),
        ("whelk-box", 9, 10),
    ];
    let folders = as_they_come();
    let Some(answers) = read_back("measures", None, folders) else { return };
    let counted = answers.iter().zip(folders).map(|(answer, folder)| {
        let name = folder.file_name().unwrap().to_str().unwrap();
        let pages = |k: usize| answer["pages"][k].as_u64().unwrap();
        (name, pages(0), pages(1))
    });
    assert_eq!(counted.collect::<Vec<_>>(), PAGES);
}

/// The tests above would be worth nothing if the comparisons let everything pass.
#[test]
fn the_comparisons_see_a_piece_a_tenth_of_a_millimetre_wrong() {
    let job = Path::new(SAMPLES).join("tideline-folio.toml");
    let folder = export(&scratch("paper-wrong"), &job, &["--paper", "large"]).unwrap();
    let path = folder.join("manifest.json");
    let mut wrong = manifest(&folder);
    for (i, name) in [(0, "board base"), (1, " wall")] {
        let x = wrong["pieces"][i]["outline"][1][0].as_f64().unwrap();
        wrong["pieces"][i]["outline"][1][0] = json!(x - 0.1);
        fs::write(&path, wrong.to_string()).unwrap();
        for mode in ["templates", "measures"] {
            let Some(answers) = read_back(mode, None, std::slice::from_ref(&folder)) else { return };
            assert!(answers[0]["faults"].to_string().contains(name), "{mode}, {name}: {}", answers[0]);
        }
    }
}

/// The pages look as they did when somebody last looked at them. After a wanted change look at them
/// again and keep the new ones: `KEEP_PAGES=1 tests/run paper::`.
#[test]
fn pages_look_as_they_were_seen_last() {
    let looked_at: Vec<PathBuf> = as_they_come()
        .iter()
        .filter(|f| ["tideline-folio", "dulse-atlas", "limpet-wrapper"].iter().any(|n| f.ends_with(n)))
        .cloned()
        .collect();
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/references/pages");
    let Some(answers) = read_back("pages", Some(kept), &looked_at) else { return };
    assert!(answers.len() > 15 || std::env::var_os("KEEP_PAGES").is_some());
    for page in answers {
        let (mean, share) = (page["mean"].as_f64().unwrap(), page["share"].as_f64().unwrap());
        assert!(mean < 1.0 && share < 0.004, "{page}");
    }
}

/// A label a box, none twice, as pdfium reads them.
#[test]
fn every_copy_has_its_label() {
    let home = scratch("paper-labels");
    let job = home.join("job.toml");
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/rockpool-folder.toml");
    let text = fs::read_to_string(sample).unwrap();
    fs::write(&job, text.replace("title =", "copies = 30\nlayout_effort = 1\ntitle =")).unwrap();
    let folder = export(&home.join("out"), &job, &[]).unwrap();
    let Some(found) = read_back("labels", None, &[folder]) else { return };
    let pages = found[0].as_array().unwrap();
    // Two beside one another, seven below one another on A4.
    assert_eq!(pages.len(), 3, "{pages:?}");
    let mut seen: Vec<String> = Vec::new();
    for page in pages {
        let lines: Vec<&str> = page["lines"].as_array().unwrap().iter().filter_map(Value::as_str).collect();
        seen.extend(lines.iter().filter(|l| l.ends_with(" of 30")).map(|l| (*l).to_owned()));
        assert_eq!(lines.iter().filter(|l| **l == "Rockpool folder").count() * 3, lines.len(), "{lines:?}");
        assert!(page["cuts"].as_u64().unwrap() >= 5, "{page}");
    }
    seen.sort();
    let mut wanted: Vec<String> = (1..=30).map(|n| format!("{n} of 30")).collect();
    wanted.sort();
    assert_eq!(seen, wanted);
}
