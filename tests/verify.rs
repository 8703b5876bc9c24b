//! The proof: nothing is found in what `export` writes, for any sample and machine; a program written
//! by hand after the standard is read as the standard says.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::proof::{export, may_export, put, samples, told, with_kerf};
use flapwright::diag::Source;
use flapwright::profile::{self, Profile, shipped};
use flapwright::verify::read::{Expectation, Kind, Move, program};
use flapwright::verify::verify_folder;

#[test]
fn nothing_is_found_in_what_is_exported() {
    for (sample, machines) in samples() {
        let folder = verify_folder(&export(sample, &machines, sample));
        assert_eq!(told(&folder), Vec::<String>::new(), "{sample}");
        for machine in machines {
            let of_it: Vec<_> = folder.programs.iter().filter(|p| p.file.contains(machine)).collect();
            assert!(of_it.len() > 1, "{sample} on {machine}");
            for p in of_it.iter().filter(|p| !p.file.contains(".outline.")) {
                let c = p.comparison.as_ref().expect("compared");
                assert!(c.compared > 100.0 && c.uncut < 0.1, "{}", p.file);
                let largest = c.deviation.as_ref().map_or(0.0, |w| w.value);
                println!("{:45} largest {largest:.3} mean {:.4} mm over {:.1} m", p.file, c.mean, c.compared / 1e3);
            }
        }
    }
}

/// Slits and notches are lines: what the tool takes along them is none of the piece. All kerfs of a
/// finer series with `FLAPWRIGHT_KERFS=all`.
#[test]
fn every_sample_proves_at_every_kerf() {
    let kerfs: &[f64] = match std::env::var_os("FLAPWRIGHT_KERFS") {
        Some(_) => &[0.02, 0.05, 0.08, 0.1, 0.15, 0.2, 0.23, 0.27, 0.3, 0.35, 0.4, 0.45, 0.5],
        None => &[0.15, 0.5],
    };
    let mut wrong = Vec::new();
    for kerf in kerfs {
        for (sample, machines) in samples() {
            // Unless all are asked for, a wide one where corners are sharp and where there is a strap, and a narrow one
            // for a construction each; what is as it comes is proved above.
            let tried: &[&str] = match *kerf > 0.2 {
                true => &["whelk-box", "tideline-folio"],
                false => &["rockpool-folder", "sandpiper-case", "limpet-wrapper", "laver-slipcase", "cockle-portfolio"],
            };
            if kerfs.len() == 2 && !tried.contains(&sample) {
                continue;
            }
            let name = format!("kerf-{sample}-{kerf}");
            match with_kerf(sample, &machines, *kerf, &name) {
                Ok(files) => {
                    let folder = verify_folder(&files);
                    assert!(folder.drawings > 0 && folder.programs.len() > 1, "{name}");
                    wrong.extend(told(&folder).into_iter().map(|t| format!("{name}: {t}")));
                }
                Err(why) => wrong.push(format!("{name}: {why}")),
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// So that no machine is left out above for another reason.
#[test]
fn a_machine_that_is_not_tried_says_why_it_cannot() {
    for (sample, machines) in samples() {
        for (id, _) in shipped().iter().filter(|s| !machines.contains(&s.0)) {
            assert!(may_export(sample, &[id], &format!("not-{sample}-{id}")).is_none(), "{sample} on {id}");
        }
    }
}

#[test]
fn a_file_that_was_touched_lost_or_added_is_named() {
    let files = export("rockpool-folder", &["servo-plotter"], "files");
    let program = "cloth-1.servo-plotter.gcode";
    for (change, code, named) in [
        ("touch", "file-changed", program),
        ("touch the picture", "file-changed", "cloth-1.svg"),
        ("lose", "file-missing", program),
        ("add", "file-extra", "board-9.nc"),
        ("lose the manifest", "manifest", "manifest.json"),
        ("lose the profile", "profile-missing", "servo-plotter.profile.toml"),
    ] {
        let mut files = files.clone();
        match change {
            "touch" => files.get_mut(program).unwrap()[3] ^= 1,
            "touch the picture" => files.get_mut("cloth-1.svg").unwrap().push(b' '),
            "lose" => drop(files.remove(program)),
            "add" => drop(files.insert("board-9.nc".into(), b"G0 X1\n".to_vec())),
            "lose the manifest" => drop(files.remove("manifest.json")),
            _ => drop(files.remove("servo-plotter.profile.toml")),
        }
        let folder = verify_folder(&files);
        assert!(!folder.is_good());
        assert!(folder.all().any(|f| f.code == code && f.file == named), "{change}: {:?}", told(&folder));
    }
}

/// One cause, one finding: everything in a program of another unit is out of place.
#[test]
fn a_program_in_another_unit_is_one_cause() {
    let mut files = export("rockpool-folder", &["oscillating-knife-table"], "other-unit");
    let program = "board-1.oscillating-knife-table.nc";
    let text = String::from_utf8(files[program].clone()).unwrap();
    assert!(text.contains("\nG21"));
    files.insert(program.into(), text.replacen("\nG21", "\nG20", 1).into_bytes());
    let folder = verify_folder(&files);
    let codes: Vec<&str> = folder.all().filter(|f| f.is_error() && f.file == program).map(|f| f.code).collect();
    assert_eq!(codes, ["file-changed", "other-unit"]);
}

/// What to do depends on which file was changed: the program, its profile, or the manifest.
#[test]
fn the_hint_names_what_was_changed() {
    let files = export("rockpool-folder", &["oscillating-knife-table"], "causes");
    let edit = |name: &str, from: &str, to: &str| {
        let mut files = files.clone();
        let text = String::from_utf8(files[name].clone()).unwrap();
        assert!(text.contains(from), "{name} has no {from}");
        files.insert(name.into(), text.replacen(from, to, 1).into_bytes());
        verify_folder(&files)
    };
    let program = "board-1.oscillating-knife-table.nc";
    let hints = |folder: &flapwright::verify::Folder, file: &str| -> Vec<String> {
        let of = folder.all().filter(|f| f.is_error() && f.file == file && f.code != "file-changed");
        of.map(|f| f.hint.clone().unwrap_or_default()).collect()
    };
    let told = hints(&edit(program, "F2400", "F9999"), program);
    assert!(!told.is_empty() && told.iter().all(|h| h.starts_with("the file was changed")), "{told:?}");
    let profile = "oscillating-knife-table.profile.toml";
    let told = hints(&edit(profile, "safe_height = 15", "safe_height = 25"), program);
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].starts_with(profile), "{told:?}");
    let told = hints(&edit("manifest.json", "\"kerf\": 0.0", "\"kerf\": 0.4"), "rockpool-folder_board-2mm_1.dxf");
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].contains("manifest.json does not say the same"), "{told:?}");
}

fn bench(text: &str) -> Profile {
    let (profile, said) = profile::read(&Source { name: "bench.toml".into(), text: text.into() }, "bench");
    profile.unwrap_or_else(|| panic!("{said:?}"))
}

const MILL: &str = "format = 1\nname = 'Bench'\n[machine]\nwidth = 300\nheight = 200\nsafe_height = 10\nrapid = 4000\n\
    rapid_z = 1000\nacceleration = 200\n[output]\nlanguage = 'gcode'\nextension = 'nc'\nrotary = 'C'\n\
    start = ['G21 G90']\nend = ['M2']\nchange = ['M6 T{number}']\n[[tool]]\nid = 'bit'\nkind = 'router'\nkerf = 2\n\
    max_depth = 5\nnumber = 1\non = ['M3 S{speed}']\noff = ['M5']\n[[tool]]\nid = 'knife'\nkind = 'tangential-knife'\n\
    max_depth = 5\nnumber = 2\n[[rule]]\noperation = 'through-cut'\nstock = 'board'\ntool = 'bit'\nfeed = 600\n\
    plunge = 100\npass_depth = 1\nspeed = 9000\n[[rule]]\noperation = 'through-cut'\nstock = 'cloth'\ntool = 'knife'\n\
    feed = 600\nplunge = 100\npass_depth = 1\n";

fn moves(text: &str) -> (Vec<Move>, Vec<&'static str>) {
    let profile = bench(MILL);
    let expect = Expectation { profile: &profile, first_tool: 0, sheet: "", title: "", safe_z: 12.0 };
    let reading = program(text.as_bytes(), &expect);
    let codes = reading.findings.iter().map(|f| f.code).filter(|c| !c.ends_with("-lines")).collect();
    (reading.moves, codes)
}

#[test]
fn a_program_is_read_as_the_standard_says() {
    // Source: NIST RS274/NGC (NISTIR 6556): G0 3.5.1, G1 3.5.2, arcs 3.5.3 (centre form I J from the
    // current point; radius form the shorter way for a positive R), dwell 3.5.4, G20 and G21 3.5.7,
    // G90 and G91 3.5.17, modal groups 3.4, order of execution 3.8.
    let (m, found) = moves(
        "G21 G90\nG0 Z12\nX10 Y20\nM3 S9000\nG4 P0.5\nG1 Z1 F100\nX30 F600\nG2 X40 Y10 I0 J-10\nG3 X50 Y0 R10\n\
         G91 G1 X-5\nG90 G20 X1 Y0.5\nG21 G1 C45 F90\nG2 X25.4 Y12.7 I5 J0 F600\nM5\nM6 T2\nM2\n",
    );
    assert_eq!(found, Vec::<&str>::new());
    let at = |i: usize| (m[i].to.x, m[i].to.y);
    assert_eq!(m[0].kind, Kind::Rapid);
    assert_eq!(at(1), (10.0, 20.0));
    assert_eq!(m[2].kind, Kind::On { rules: 1 });
    assert_eq!(m[3].kind, Kind::Dwell(0.5));
    assert!((m[4].to.z - 1.0).abs() < 1e-12 && (m[4].feed - 100.0).abs() < 1e-12);
    assert!((m[5].feed - 600.0).abs() < 1e-12);
    let quarter = (std::f64::consts::PI / 8.0).tan();
    let bulge = |i: usize| if let Kind::Arc { bulge, .. } = m[i].kind { bulge } else { panic!("{:?}", m[i].kind) };
    assert!((bulge(6) + quarter).abs() < 1e-9, "clockwise");
    assert!((m[6].segment().center().unwrap().y - 10.0).abs() < 1e-9);
    assert!((bulge(7) - quarter).abs() < 1e-9, "the shorter way, counter-clockwise");
    assert_eq!(at(8), (45.0, 0.0), "incremental");
    assert!((m[9].to.x - 25.4).abs() < 1e-9 && (m[9].to.y - 12.7).abs() < 1e-9, "inches");
    assert_eq!(m[10].kind, Kind::Turn);
    assert!((m[10].to.turn - 45.0).abs() < 1e-12);
    assert!((bulge(11) + 1.0).abs() < 1e-9 && (bulge(12) + 1.0).abs() < 1e-9, "a full circle as two halves");
    assert_eq!((m[13].kind, m[14].kind, m[15].kind), (Kind::Off, Kind::Change(1), Kind::End));
}

#[test]
fn what_a_controller_would_refuse_or_take_otherwise_is_said() {
    for (text, code) in [
        ("G0 X1\n", "modes-unsaid"),
        ("G21 G90\nX1\n", "motion-unsaid"),
        ("G21 G90\nG1 X1\n", "feed-unsaid"),
        ("G21 G90\nG1 C9 F90\nX5\n", "feed-of-the-other-kind"),
        ("G21 G90\nG1 X1 X2 F9\n", "repeated-word"),
        ("G21 G90\nG18\n", "not-followed"),
        ("G21 G90\nG28 X0\n", "not-followed"),
        ("G21 G90\nG1 X0 Y0 F9\nG2 X9 Y9\n", "arc"),
        ("G21 G90\nG1 X0 Y0 F9\nI5\n", "arc"),
        ("G21 G90\nG1 X0 Y0 F9\nG2 R5\n", "arc"),
        ("G21 G90\nG1 A5 F9\n", "unknown-word"),
        ("G21 G90\nM7\n", "unknown-word"),
        ("G21 G90\nM3 S9001\n", "words-not-of-the-profile"),
        ("G21 G90\nM2\nG0 X1\n", "after-the-end"),
        ("G21 G90\nG1 X5 F9", "cut-off"),
        ("G21 G90\nG1 X0.12345 F9\n", "decimals"),
    ] {
        assert!(moves(text).1.contains(&code), "{text}: {:?}", moves(text).1);
    }
}

#[test]
fn a_pass_too_shallow_is_named_with_its_line_and_what_it_lacks() {
    let files = export("tideline-folio", &["oscillating-knife-table"], "shallow");
    let name = "board-1.oscillating-knife-table.nc";
    let text = String::from_utf8(files[name].clone()).unwrap();
    // The last cut of the program goes 0.6 mm less deep.
    let at = text.rfind("Z-0.2").expect("the last pass goes below the stock");
    let line = text[..at].lines().count() as u32;
    let folder = put(&files, name, format!("{}Z0.4{}", &text[..at], &text[at + 5..]).into_bytes());
    let uncut = folder.all().find(|f| f.code == "uncut").unwrap_or_else(|| panic!("{:?}", told(&folder)));
    // The bed is at 0: 0.4 mm above it are left of the stock.
    assert!(uncut.message.ends_with("the deepest cut there ends 0.4 mm short of its depth"), "{}", uncut.message);
    let at_line = uncut.line.expect("a line");
    assert!((line..line + 3).contains(&at_line), "line {at_line}, changed was {line}");
    assert_eq!(told(&folder).len(), 1, "{:?}", told(&folder));
}

/// What follows from one pass of a bit is counted under it, and whoever reads is told what to do.
#[test]
fn one_cause_is_one_finding() {
    let files = export("tideline-folio", &["small-router"], "one-cause");
    let name = "board-1.small-router.nc";
    let text = String::from_utf8(files[name].clone()).unwrap();
    // From the last descent of the program to its end the bit runs 0.6 mm less deep.
    let at = text.rfind("Z-0.2").expect("the last pass goes below the bed's face");
    let folder = put(&files, name, format!("{}Z0.4{}", &text[..at], &text[at + 5..]).into_bytes());
    let errors: Vec<_> = folder.all().filter(|f| f.is_error()).collect();
    assert_eq!(errors.len(), 1, "{:?}", told(&folder));
    let report = flapwright::verify::report::text(&folder, flapwright::diag::Level::Usual);
    assert!(report.contains(" mm short of its depth"), "{report}");
    assert!(report.contains("Do next: board-1.small-router.nc ("), "{report}");
}
