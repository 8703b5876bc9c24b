//! Pieces lie as far apart as the cuts of the machines asked for need, or it is said that they cannot.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::proof::{files_of, root, told};
use common::references::scratch;
use flapwright::cli::{Exit, run};
use flapwright::verify::verify_folder;

/// A sample with another gap between its pieces, exported; what was said, and where the folder is.
fn exported(name: &str, gap: &str, more: &[&str]) -> (std::path::PathBuf, Exit, String) {
    let home = scratch(&format!("apart-{name}"));
    let text = std::fs::read_to_string(root().join("samples/tideline-folio.toml")).unwrap();
    let at = text.find("[board]\n").unwrap() + "[board]\n".len();
    assert!(!text[at..].split("\n[").next().unwrap().contains("\ngap"), "the sample says its own gap");
    let job = home.join("job.toml");
    std::fs::write(&job, format!("{}gap = \"{gap}\"\n{}", &text[..at], &text[at..])).unwrap();
    let out = home.join("out");
    let mut args = vec![
        "flapwright".into(),
        "export".into(),
        job.into_os_string(),
        "--out".into(),
        out.clone().into_os_string(),
        "-v".into(),
    ];
    args.extend(more.iter().map(|a| (*a).into()));
    let (mut said, mut errors) = (Vec::new(), Vec::new());
    let exit = run(args, &mut said, &mut errors, false);
    (out, exit, String::from_utf8_lossy(&errors).into_owned())
}

#[test]
fn a_gap_as_wide_as_the_bit_is_widened_until_the_bridges_hold() {
    for gap in ["0 mm", "1 mm", "2 mm"] {
        let name = format!("router-{}", &gap[..1]);
        let (out, exit, said) = exported(&name, gap, &["--machine", "small-router"]);
        assert_eq!(exit, Exit::Good, "{said}");
        // Derived: the bit of 1 mm beside each of two pieces, and 1 mm of waste that the bridges hold to.
        assert!(said.contains("wider-gap") && said.contains("are laid 3 mm apart"), "{said}");
        let folder = verify_folder(&files_of(&out));
        assert!(folder.is_good(), "{gap}: {:#?}", told(&folder));
        assert!(folder.all().all(|f| !f.message.contains("held in 0")), "{gap}");
        let bridges: u32 = folder.programs.iter().filter_map(|p| p.comparison.as_ref()).map(|c| c.bridges).sum();
        assert!(bridges > 0, "{gap}");
    }
    // What is asked for is enough: nothing is said.
    let (_, exit, said) = exported("enough", "3 mm", &["--machine", "small-router"]);
    assert!(exit == Exit::Good && !said.contains("wider-gap"), "{said}");
    let (_, exit, said) = exported("knife", "0 mm", &["--machine", "oscillating-knife-table"]);
    assert!(exit == Exit::Good && !said.contains("wider-gap"), "a knife takes nothing: {said}");
}

#[test]
fn a_beam_and_a_drawing_for_a_kerf_keep_off_the_neighbour() {
    let (out, exit, said) = exported("beam", "0 mm", &["--machine", "shared-laser-cutter", "--kerf", "0.3 mm"]);
    // Derived: 0.3 mm of cut, 0.5 mm between two of them.
    assert!(exit == Exit::Good && said.contains("are laid 0.8 mm apart"), "{said}");
    let folder = verify_folder(&files_of(&out));
    let of_programs: Vec<String> =
        folder.programs.iter().flat_map(|p| &p.findings).filter(|f| f.is_error()).map(|f| f.message.clone()).collect();
    assert!(of_programs.is_empty(), "{of_programs:#?}");
}
