//! Artwork sheets: full size, seen from outside, right reading, read back by an XML parser and by pdfium.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;
use crate::{by_part, proved};

use common::proof::{attempt_with, export_with, root, samples};
use common::references::python;
use flapwright::cli::Exit;
use serde_json::Value;
use std::path::{Path, PathBuf};

/// Every sample that is covered with cloth, each with how many pieces of its covering may be printed.
fn covered() -> Vec<(String, usize)> {
    let all = samples().into_iter().map(|s| s.0);
    let more =
        ["oarweed-trays", "dabberlocks-portfolio", "thongweed-portfolio", "furbelow-portfolio", "laver-slipcase"];
    let mut names: Vec<&str> = all.chain(more).collect();
    names.sort_unstable();
    names.dedup();
    let text = |name: &str| std::fs::read_to_string(root().join(format!("samples/{name}.toml"))).unwrap();
    let is_covered = |name: &&str| {
        let text = text(name);
        ["creased-board", "crossed-strips", "tray-and-lid"].iter().all(|word| !text.contains(word))
    };
    let count = |name: &str| {
        let (sides, wrapper) = (text(name).matches("[sides.").count(), name == "furbelow-portfolio");
        1 + sides + usize::from(wrapper)
    };
    names.into_iter().filter(is_covered).map(|name| (name.to_owned(), count(name))).collect()
}

/// A covering by part beside windows: one in the paper and one in another lid's cloth.
fn with_windows() -> String {
    let text = "format = 1\ntitle = 'Windows'\n[contents]\nwidth = 200\nheight = 260\ndepth = 12\n[board]\nthickness = 2\n\
                [cloth]\nthickness = 0.35\n[paper]\nthickness = 0.2\n[flap.head]\ntier = 1\nreach = '80 %'\n\
                [flap.right]\ntier = 2\nreach = '97 %'\n[sides.right]\ncloth = 60\nedge = 30\n[window.head]\n\
                width = 90\nheight = 60\n[window.right]\nwidth = 50\nheight = 80\nfrom_left = 45\n";
    let home = Path::new(env!("CARGO_TARGET_TMPDIR")).join("artwork");
    std::fs::create_dir_all(&home).unwrap();
    let path = home.join("windows");
    std::fs::write(path.with_extension("toml"), text).unwrap();
    path.to_str().unwrap().to_owned()
}

#[test]
fn artwork_sheets_are_true_right_reading_and_beyond_the_cloth() {
    let mut names = covered();
    assert!(names.len() >= 9, "{names:?}");
    names.push((with_windows(), 2));
    for (bleed, word) in [(3.0, None), (8.0, Some("8 mm"))] {
        let mut folders: Vec<PathBuf> = vec![bleed.to_string().into()];
        for (name, _) in &names {
            let folder = format!("artwork-{}-{bleed}", name.rsplit('/').next().unwrap());
            let more: Vec<&str> = word.map_or(vec!["--artwork"], |w| vec!["--artwork", "--bleed", w]);
            export_with(name, &more, &folder);
            folders.push(Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("proof-{folder}")));
        }
        let Some(found) = python("check_artwork.py", &folders, &Value::Null) else { return };
        for ((name, count), found) in names.iter().zip(found.as_array().unwrap()) {
            let sheets = found.as_array().unwrap();
            assert_eq!(sheets.len(), *count, "{name}: {found}");
            for sheet in sheets {
                assert_eq!(sheet["faults"], serde_json::json!([]), "{name}: {sheet}");
            }
            let has_lids = name != "laver-slipcase";
            assert_eq!(sheets.iter().any(|s| s["lids"].as_u64().unwrap() > 0), has_lids, "{name}");
        }
    }
}

#[test]
fn a_box_without_a_covering_cloth_and_a_bleed_that_cannot_be_are_told() {
    for (sample, more, told) in [
        ("limpet-wrapper", &["--artwork"][..], "no-cover-to-print"),
        ("carrageen-tray", &["--artwork"], "no-cover-to-print"),
        ("tideline-folio", &["--artwork", "--bleed", "3"], "say the unit"),
        ("tideline-folio", &["--artwork", "--bleed", "-1 mm"], "cannot be"),
        ("tideline-folio", &["--artwork", "--bleed", "3 in"], "cannot be"),
        ("tideline-folio", &["--bleed", "3 mm"], "--artwork"),
    ] {
        let (out, exit, errors) = attempt_with(sample, &[], more, "artwork-refused");
        assert!(exit != Exit::Good && errors.contains(told) && !out.exists(), "{sample} {more:?}: {errors}");
    }
}

/// The same of random jobs, among them tiny ones and coverings by part. More of them: `FLAPWRIGHT_ARTWORKS=600`.
#[test]
fn artwork_sheets_of_random_jobs_are_true_too() {
    let home = Path::new(env!("CARGO_TARGET_TMPDIR")).join("artworks");
    std::fs::create_dir_all(&home).unwrap();
    let (from, count) = (proved::setting("FLAPWRIGHT_ARTWORKS_FROM", 0), proved::setting("FLAPWRIGHT_ARTWORKS", 45));
    let mut folders: Vec<PathBuf> = vec!["3".into()];
    let mut seeds = Vec::new();
    for seed in from..from + count {
        let text = match seed % 3 {
            0 => Some(by_part::parted_portfolio(seed)),
            1 => by_part::parted_and_more(seed, true).map(|found| found.0),
            _ => Some(proved::job(seed)),
        };
        let Some(text) = text else { continue };
        let path = home.join(seed.to_string());
        std::fs::write(path.with_extension("toml"), text).unwrap();
        let (out, exit, _) = attempt_with(path.to_str().unwrap(), &[], &["--artwork"], &format!("artworks-{seed}"));
        if exit == Exit::Good {
            folders.push(out);
            seeds.push(seed);
        }
    }
    assert!(seeds.len() as u64 * 4 > count, "only {} of {count}", seeds.len());
    let Some(found) = python("check_artwork.py", &folders, &Value::Null) else { return };
    for (seed, found) in seeds.iter().zip(found.as_array().unwrap()) {
        for sheet in found.as_array().unwrap() {
            assert_eq!(sheet["faults"], serde_json::json!([]), "{seed}: {sheet}");
        }
    }
}
