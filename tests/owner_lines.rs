//! The lines that a machine's owner writes into a profile: what is sensible proves, and what the
//! program could not rely on is refused (`tests/bad_profiles/`), or found in the program.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common::proof::{export, put, told, variant};
use flapwright::verify::verify_folder;

#[test]
fn lines_that_leave_the_numbers_alone_are_proved() {
    #[expect(clippy::type_complexity, reason = "a table")]
    let cases: [(&str, &str, &[(&str, &str)]); 4] = [
        // Another of the controller's zeros, for the whole program.
        (
            "zero",
            "small-router",
            &[("start = [\"G21 G90 G94 G17 G40\"]", "start = [\"G21 G90 G94 G17 G40\", \"G55\"]")],
        ),
        // The tool is named before the last line of a change between three.
        (
            "named-first",
            "servo-plotter",
            &[("change = [\"M0 ; fit {tool}\"]", "change = [\"M0 ; fit {tool}\", \"M400\"]")],
        ),
        (
            "packed",
            "scoring-plotter",
            &[
                ("start = [\"IN;\"]", "start = [\"DF;\", \"FS20;\"]"),
                ("end = [\"PU;\", \"SP0;\"]", "end = [\"PU;SP0;\"]"),
            ],
        ),
        ("bare", "scoring-plotter", &[("end = [\"PU;\", \"SP0;\"]", "end = [\"PU;\"]")]),
    ];
    for (name, machine, changes) in cases {
        let folder = verify_folder(&variant("rockpool-folder", machine, changes, &format!("owner-{name}")));
        assert!(folder.is_good() && !folder.programs.is_empty(), "{name}: {:#?}", told(&folder));
    }
}

#[test]
fn a_lift_that_is_missing_in_a_plot_is_told_without_a_number_that_is_none() {
    let files = export("rockpool-folder", &["scoring-plotter"], "owner-lift");
    let mut tried = 0;
    for (name, bytes) in files.iter().filter(|(n, _)| n.ends_with(".plt") && !n.contains("outline")) {
        let text = String::from_utf8(bytes.clone()).unwrap();
        // The first way over the sheet, before any speed was said, with the pen down.
        let at = text.find("PU").and_then(|a| text[a + 2..].find("PU").map(|b| a + 2 + b)).unwrap();
        let damaged = format!("{}PD{}", &text[..at], &text[at + 2..]);
        let folder = put(&files, name, damaged.into_bytes());
        assert!(folder.all().any(|f| f.code == "feed-unsaid"), "{name}: {:#?}", told(&folder));
        assert!(folder.all().all(|f| !f.message.contains("NaN")), "{:#?}", told(&folder));
        tried += 1;
    }
    assert!(tried >= 2, "{tried}");
}
