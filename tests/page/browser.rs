//! The page in a real browser (Debian's chromium, driven over WebDriver), as five makers go through it, and what
//! may go wrong meanwhile. The ways themselves are in `tests/references/journeys.py`; files are compared byte for
//! byte with what the command line makes of the saved job. Accessibility by axe-core (Deque), as PyPI carries it.
//!
//! `KEEP_PAGES=1 tests/run page::browser` writes the README's pictures of the page anew: look at them.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]
#![allow(clippy::print_stdout, reason = "figures are told")]

use crate::common::references::{python, reference};
use serde_json::Value;
use std::path::{Path, PathBuf};

fn journey(name: &str) {
    if reference("browser").is_none() || reference("python").is_none() {
        return;
    }
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("journey-{name}"));
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    let mut arguments = vec![PathBuf::from(env!("CARGO_BIN_EXE_flapwright")), folder, name.into()];
    if std::env::var_os("KEEP_PAGES").is_some() {
        arguments.push(Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/pictures"));
    }
    let Some(seen) = python("journeys.py", &arguments, &Value::Null) else { return };
    println!("{name}: {}", seen["told"]);
    let wrong = seen["wrong"].as_array().expect("a list");
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn four_lids_for_a_knife_and_a_straight_edge() {
    journey("knife");
}

#[test]
fn drawings_for_a_shared_cutter_with_its_kerf() {
    journey("shared");
}

#[test]
fn a_drag_knife_set_right_by_a_coupon() {
    journey("coupon");
}

#[test]
fn a_creased_folder() {
    journey("creased");
}

#[test]
fn an_edition_of_twelve_and_its_page_that_stands_alone() {
    journey("edition");
}

#[test]
fn what_goes_wrong_loses_nothing() {
    journey("mishaps");
}

#[test]
fn whoever_cannot_see_or_point_can_use_it() {
    journey("accessible");
}
