//! The guide and the templates as they come out, read back by pdfium and measured with shapely,
//! which `tests/run` fetches.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::references::{python, scratch};
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

const SAMPLES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/samples");

/// The exported folders of all samples.
fn export_all(home: &Path, more: &[&str]) -> Vec<PathBuf> {
    let mut jobs: Vec<PathBuf> = fs::read_dir(SAMPLES).unwrap().map(|e| e.unwrap().path()).collect();
    // A job beside a list of the same name is a template for `batch` and has no size of its own.
    jobs.retain(|p| p.extension().is_some_and(|e| e == "toml") && !p.with_extension("csv").exists());
    jobs.sort();
    let export = |job: &PathBuf| {
        let out = home.join(job.file_stem().unwrap());
        let done = Command::new(env!("CARGO_BIN_EXE_flapwright"))
            .arg("export")
            .args([job, Path::new("--out"), &out])
            .args(more)
            .output()
            .unwrap();
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
        out
    };
    jobs.iter().map(export).collect()
}

fn read_back(mode: &str, first: Option<PathBuf>, folders: &[PathBuf]) -> Option<Vec<Value>> {
    let arguments: Vec<PathBuf> =
        std::iter::once(PathBuf::from(mode)).chain(first).chain(folders.iter().cloned()).collect();
    python("check_pdf.py", &arguments, &Value::Null).map(|v| v.as_array().unwrap().clone())
}

/// Derived: a printed template is as good as the rule that it is checked by. Outlines,
/// holes and slits, their tiles joined by what is printed on them alone, are the manifest's within
/// 0.05 mm, each once; 100 mm and 4 in are that on every page.
#[test]
fn templates_on_any_paper_are_the_pieces_at_full_size() {
    for paper in ["a4", "letter", "large"] {
        let folders = export_all(&scratch(&format!("paper-{paper}")), &["--paper", paper]);
        let Some(answers) = read_back("templates", None, &folders) else { return };
        for (answer, folder) in answers.iter().zip(&folders) {
            let name = folder.display();
            assert_eq!(answer["faults"], json!([]), "{name} on {paper}");
            let list = fs::read(folder.join("manifest.json")).unwrap();
            let manifest: Value = serde_json::from_slice(&list).unwrap();
            assert_eq!(answer["pieces"].as_u64().unwrap() as usize, manifest["pieces"].as_array().unwrap().len());
            assert!(answer["worst"].as_f64().unwrap() < 0.05, "{name} on {paper}");
        }
    }
}

/// The test above would be worth nothing if the comparison let everything pass.
#[test]
fn the_comparison_sees_a_piece_a_tenth_of_a_millimetre_wrong() {
    let folders = export_all(&scratch("paper-wrong"), &[]);
    let folder = folders.iter().find(|f| f.ends_with("tideline-folio")).unwrap();
    let path = folder.join("manifest.json");
    let mut manifest: Value = serde_json::from_slice(&fs::read(&path).unwrap()).unwrap();
    for (i, name) in [(0, "board base"), (1, " wall")] {
        let x = manifest["pieces"][i]["outline"][1][0].as_f64().unwrap();
        manifest["pieces"][i]["outline"][1][0] = json!(x - 0.1);
        fs::write(&path, manifest.to_string()).unwrap();
        let Some(answers) = read_back("templates", None, std::slice::from_ref(folder)) else { return };
        assert!(answers[0]["faults"].to_string().contains(name), "{name}: {}", answers[0]);
    }
}

/// The pages look as they did when somebody last looked at them. After a wanted change look at them
/// again and keep the new ones: `KEEP_PAGES=1 tests/run paper::`.
#[test]
fn pages_look_as_they_were_seen_last() {
    let folders = export_all(&scratch("paper-pages"), &[]);
    let looked_at: Vec<PathBuf> = folders
        .into_iter()
        .filter(|f| ["tideline-folio", "dulse-atlas", "limpet-wrapper"].iter().any(|n| f.ends_with(n)))
        .collect();
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/references/pages");
    let Some(answers) = read_back("pages", Some(kept), &looked_at) else { return };
    assert!(answers.len() > 15 || std::env::var_os("KEEP_PAGES").is_some());
    for page in answers {
        let (mean, share) = (page["mean"].as_f64().unwrap(), page["share"].as_f64().unwrap());
        assert!(mean < 1.0 && share < 0.004, "{page}");
    }
}
