//! Artwork sheets: full size, seen from outside, right reading, read back by an XML parser and by pdfium.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::proof::{attempt_with, export_with, root, samples};
use common::references::python;
use flapwright::cli::Exit;
use serde_json::Value;
use std::path::{Path, PathBuf};

/// Every sample with a covering cloth.
fn covered() -> Vec<&'static str> {
    let all = samples().into_iter().map(|s| s.0).chain(["oarweed-trays", "dabberlocks-portfolio"]);
    let has_cloth = |name: &&str| {
        let text = std::fs::read_to_string(root().join(format!("samples/{name}.toml"))).unwrap();
        ["creased-board", "crossed-strips", "tray-and-lid", "\"slipcase\""].iter().all(|word| !text.contains(word))
    };
    all.filter(has_cloth).collect()
}

#[test]
fn artwork_sheets_are_true_right_reading_and_beyond_the_cloth() {
    let names = covered();
    assert!(names.len() >= 6, "{names:?}");
    for (bleed, word) in [(3.0, None), (8.0, Some("8 mm"))] {
        let mut folders: Vec<PathBuf> = vec![bleed.to_string().into()];
        for name in &names {
            let folder = format!("artwork-{name}-{bleed}");
            let more: Vec<&str> = word.map_or(vec!["--artwork"], |w| vec!["--artwork", "--bleed", w]);
            export_with(name, &more, &folder);
            folders.push(Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("proof-{folder}")));
        }
        let Some(found) = python("check_artwork.py", &folders, &Value::Null) else { return };
        for (name, found) in names.iter().zip(found.as_array().unwrap()) {
            assert_eq!(found["faults"], serde_json::json!([]), "{name}: {found}");
            assert!(found["lids"].as_u64().unwrap() > 0, "{name}");
        }
    }
}

#[test]
fn a_box_without_a_covering_cloth_and_a_bleed_that_cannot_be_are_told() {
    for (sample, more, told) in [
        ("limpet-wrapper", &["--artwork"][..], "no-cover-to-print"),
        ("carrageen-tray", &["--artwork"], "no-cover-to-print"),
        ("laver-slipcase", &["--artwork"], "no-cover-to-print"),
        ("furbelow-portfolio", &["--artwork"], "no-cover-to-print"),
        ("tideline-folio", &["--artwork", "--bleed", "3"], "say the unit"),
        ("tideline-folio", &["--artwork", "--bleed", "-1 mm"], "cannot be"),
        ("tideline-folio", &["--artwork", "--bleed", "3 in"], "cannot be"),
        ("tideline-folio", &["--bleed", "3 mm"], "--artwork"),
    ] {
        let (out, exit, errors) = attempt_with(sample, &[], more, "artwork-refused");
        assert!(exit != Exit::Good && errors.contains(told) && !out.exists(), "{sample} {more:?}: {errors}");
    }
}
