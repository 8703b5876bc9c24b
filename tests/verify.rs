//! The proof: nothing is found in what `export` writes, for any sample and machine; each of many
//! damages is found; a program written by hand after the standard is read as the standard says.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use flapwright::cli::{Exit, run};
use flapwright::diag::Source;
use flapwright::profile::{self, Profile};
use flapwright::verify::read::{Expectation, Kind, Move, program};
use flapwright::verify::{Folder, verify_folder};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

type Files = BTreeMap<String, Vec<u8>>;

fn scratch(name: &str) -> PathBuf {
    let dir = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("verify-{name}"));
    let _ = std::fs::remove_dir_all(&dir);
    dir
}

fn export(sample: &str, machines: &[&str], name: &str) -> Files {
    let out = scratch(name);
    let job = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("samples/{sample}.toml"));
    let mut args = vec!["flapwright".into(), "export".into(), job.into_os_string(), "--out".into()];
    args.push(out.clone().into_os_string());
    for machine in machines {
        args.extend(["--machine".into(), (*machine).into()]);
    }
    let (mut said, mut errors) = (Vec::new(), Vec::new());
    let exit = run(args, &mut said, &mut errors, false);
    assert_eq!(exit, Exit::Good, "{}", String::from_utf8_lossy(&errors));
    let entries = std::fs::read_dir(&out).unwrap().map(|e| e.unwrap());
    entries.map(|e| (e.file_name().into_string().unwrap(), std::fs::read(e.path()).unwrap())).collect()
}

fn told(folder: &Folder) -> Vec<String> {
    folder.all().filter(|f| f.is_error()).map(|f| format!("{}: [{}] {}", f.file, f.code, f.message)).collect()
}

#[test]
fn nothing_is_found_in_what_is_exported() {
    let most = ["oscillating-knife-table", "drag-knife-table", "shared-laser-cutter", "servo-plotter"];
    let with = |more: &[&'static str]| [&most[..], more].concat();
    // Each sample on every machine that can do it.
    for (sample, machines) in [
        ("tideline-folio", with(&["small-router"])),
        ("rockpool-folder", with(&["small-router", "scoring-plotter"])),
        ("kelp-edition", with(&["small-router"])),
        ("cockle-portfolio", with(&[])),
        ("sandpiper-case", with(&[])),
        ("limpet-wrapper", vec!["drag-knife-table", "shared-laser-cutter"]),
    ] {
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

/// A program damaged, its hash put right so that only the proof can find it.
fn damaged(files: &Files, name: &str, damage: impl Fn(&str) -> String) -> Folder {
    let mut files = files.clone();
    let text = String::from_utf8(files[name].clone()).unwrap();
    let after = damage(&text);
    assert_ne!(text, after, "{name}: no damage done");
    let old = sha(files[name].as_slice());
    let manifest = String::from_utf8(files["manifest.json"].clone()).unwrap();
    files.insert("manifest.json".into(), manifest.replace(&old, &sha(after.as_bytes())).into_bytes());
    files.insert(name.to_owned(), after.into_bytes());
    verify_folder(&files)
}

fn sha(bytes: &[u8]) -> String {
    flapwright::write::manifest::sha256_hex(bytes)
}

/// Every number of a word changed.
fn words(text: &str, letter: char, change: impl Fn(f64) -> f64) -> String {
    let line = |l: &str| {
        if l.starts_with(['(', ';', 'M']) {
            return l.to_owned();
        }
        let word = |w: &str| match w.strip_prefix(letter).and_then(|n| n.parse::<f64>().ok()) {
            Some(n) => format!("{letter}{}", (change(n) * 1e4).round() / 1e4),
            None => w.to_owned(),
        };
        l.split(' ').map(word).collect::<Vec<_>>().join(" ")
    };
    text.lines().map(|l| line(l) + "\n").collect()
}

/// The lines of the work that a comment names, from it to the next comment.
fn work<'t>(text: &'t str, named: &str) -> &'t str {
    let from = text.find(&format!("({named}")).unwrap_or_else(|| panic!("no {named}"));
    let to = text[from + 1..].find("\n(").map_or(text.len(), |i| from + 1 + i + 1);
    &text[from..to]
}

/// The first line that fits, changed.
fn first(text: &str, fits: impl Fn(&str) -> bool, change: impl Fn(&str) -> String) -> String {
    let mut done = false;
    let mut line = |l: &str| {
        let hit = !done && fits(l);
        done |= hit;
        if hit { change(l) } else { l.to_owned() + "\n" }
    };
    text.lines().map(&mut line).collect()
}

#[test]
fn damages_are_found() {
    let all = ["oscillating-knife-table", "drag-knife-table", "shared-laser-cutter", "small-router"];
    let files = export("tideline-folio", &all, "damages");
    let laser = "board-1.shared-laser-cutter.nc";
    let knife = "board-1.oscillating-knife-table.nc";
    let drag = "board-1.drag-knife-table.nc";
    let router = "board-1.small-router.nc";
    let outline = "through-cut board-wall-head copy 1 line 1";
    let slot = "through-cut board-base copy 1 line 1";
    type Damage<'d> = (&'d str, &'d str, &'d [&'d str], Box<dyn Fn(&str) -> String>);
    let damages: Vec<Damage<'_>> = vec![
        ("shifted 0.2 mm", laser, &["off-the-line"], Box::new(|t| words(t, 'X', |x| x + 0.2))),
        ("mirrored", laser, &["line-missing", "cut-in-piece"], Box::new(|t| words(t, 'X', |x| 720.0 - x))),
        ("scaled 0.1 %", laser, &["off-the-line"], Box::new(|t| words(t, 'Y', |y| y * 1.001))),
        ("inches for mm", laser, &["out-of-travel"], Box::new(|t| t.replace("G21", "G20"))),
        ("a contour missing", laser, &["line-missing"], Box::new(move |t| t.replace(work(t, outline), ""))),
        (
            "a contour twice",
            laser,
            &["worked-twice"],
            Box::new(move |t| t.replace(work(t, outline), &work(t, outline).repeat(2))),
        ),
        (
            "outline before its slots",
            knife,
            &["order"],
            Box::new(move |t| {
                let w = work(t, slot).to_owned();
                let without = t.replace(&w, "");
                let at = without.rfind("M5\nG0 X0").unwrap();
                format!("{}{w}{}", &without[..at], &without[at..])
            }),
        ),
        ("too deep by 0.5 mm", knife, &["too-deep"], Box::new(|t| t.replace("Z-0.2 ", "Z-0.7 "))),
        ("the last pass missing", knife, &["line-missing"], Box::new(|t| t.replace("Z-0.2 ", "Z0.8333 "))),
        ("a first pass missing", knife, &["pass-too-deep"], Box::new(|t| t.replace("Z1.6667", "Z0.8333"))),
        (
            "a rapid in the stock",
            knife,
            &["rapid-in-stock"],
            Box::new(|t| first(t, |l| l == "G0 Z17.5", |_| String::new())),
        ),
        ("a rapid too low", knife, &["rapid-too-low"], Box::new(|t| t.replace("G0 Z17.5", "G0 Z7.5"))),
        (
            "the heading stale",
            knife,
            &["heading"],
            Box::new(|t| first(t, |l| l.starts_with("G1 C"), |_| "G1 C7 F10800\n".into())),
        ),
        (
            "a feed lost",
            knife,
            &["feed-not-of-the-rule", "feed-of-the-other-kind"],
            Box::new(|t| t.replace(" F2400\n", "\n")),
        ),
        ("the knife not started", knife, &["off-in-cut"], Box::new(|t| t.replace("M3 S8000\n", ""))),
        ("another speed", knife, &["words-not-of-the-profile"], Box::new(|t| t.replace("M3 S8000", "M3 S18000"))),
        (
            "the end lost",
            drag,
            &["no-end", "end-lines"],
            Box::new(|t| t.lines().take(3000).map(|l| l.to_owned() + "\n").collect()),
        ),
        ("cut off in a number", drag, &["cut-off"], Box::new(|t| t[..t.len() / 2].to_owned())),
        ("an arc flipped", drag, &["cut-in-piece", "off-the-line", "uncut"], Box::new(|t| t.replace("G3 X2", "G2 X2"))),
        (
            "the blade not swivelled",
            drag,
            &["off-the-line", "cut-in-piece"],
            Box::new(|t| t.lines().filter(|l| !l.contains("I0 J-3")).map(|l| l.to_owned() + "\n").collect()),
        ),
        (
            "an arc's centre moved",
            laser,
            &["arc-radii"],
            Box::new(|t| first(t, |l| l.contains(" I"), |l| words(l, 'I', |i| i + 0.01))),
        ),
        (
            "two decimals",
            laser,
            &["arc-radii"],
            Box::new(|t| {
                ['X', 'Y', 'I', 'J'].iter().fold(t.to_owned(), |t, c| words(&t, *c, |v| (v * 100.0).round() / 100.0))
            }),
        ),
        ("out of the bed", laser, &["out-of-travel"], Box::new(|t| words(t, 'Y', |y| y + 1200.0))),
        (
            "on while travelling",
            laser,
            &["on-while-travelling"],
            Box::new(|t| first(t, |l| l == "M5", |_| String::new()).replacen("M5\n(", "(", 40)),
        ),
        (
            "an unknown word",
            laser,
            &["unknown-word"],
            Box::new(|t| first(t, |l| l.starts_with("G1"), |l| format!("M8\n{l}\n"))),
        ),
        ("a bracket open", laser, &["unclosed-comment"], Box::new(|t| t.replacen(")\n", "\n", 1))),
        ("a number too large", laser, &["bad-number"], Box::new(|t| t.replacen("X2", "X99999999992", 1))),
        ("a bridge cut", router, &["too-deep"], Box::new(|t| t.replace("Z-0.2", "Z-0.9"))),
        (
            "a pocket too deep",
            router,
            &["pocket-depth"],
            Box::new(|t| {
                let w = work(t, "half-depth-pocket").to_owned();
                t.replace(&w, &words(&w, 'Z', |z| if z < 2.0 { z - 0.5 } else { z }))
            }),
        ),
        (
            "a pocket line missing",
            router,
            &["pocket-floor", "uncut", "off-the-line"],
            Box::new(|t| {
                let w = work(t, "half-depth-pocket").to_owned();
                let n = w.lines().count();
                let cut: String = w.lines().take(n - 12).chain(["G0 Z17.5"]).map(|l| l.to_owned() + "\n").collect();
                t.replace(&w, &cut)
            }),
        ),
    ];
    let mut missed = Vec::new();
    for (what, file, codes, damage) in &damages {
        let folder = damaged(&files, file, damage);
        let found: Vec<&str> = folder.all().filter(|f| f.is_error()).map(|f| f.code).collect();
        println!("{what:28} {file:36} {found:?}");
        if !codes.iter().any(|c| found.contains(c)) {
            missed.push(format!("{what} in {file}: wanted {codes:?}, found {found:?}"));
        }
    }
    assert!(missed.is_empty(), "{}", missed.join("\n"));
}

#[test]
fn a_width_that_was_forgotten_or_doubled_is_found() {
    // By the profile's copy in the folder: the same program, said to be cut by another beam.
    let files = export("rockpool-folder", &["shared-laser-cutter"], "kerf");
    let name = "shared-laser-cutter.profile.toml";
    let text = String::from_utf8(files[name].clone()).unwrap();
    for kerf in ["0", "0.09", "0.36", "0.6"] {
        let changed = text.replace("kerf = 0.18 ", &format!("kerf = {kerf} ")).into_bytes();
        assert_ne!(changed, files[name]);
        let mut files = files.clone();
        files.insert(name.into(), changed);
        let folder = verify_folder(&files);
        let found: Vec<&str> = folder.all().map(|f| f.code).collect();
        assert!(found.contains(&"file-changed"), "{kerf}");
        assert!(found.contains(&"to-one-side") || found.contains(&"off-the-line"), "{kerf}: {found:?}");
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
