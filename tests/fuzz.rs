//! Every reader given kept inputs and seeded mutations of them. `FLAPWRIGHT_FUZZ_INPUTS` says how
//! many for each target (else a few hundred), `FLAPWRIGHT_FUZZ_FROM` the first seed,
//! `FLAPWRIGHT_FUZZ_TARGETS` which. An input that fails lies in the tests' temporary folder under
//! its target and seed: mend the defect and keep the input under `tests/corpora/`.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stderr, reason = "helpers of tests")]

mod mutate;
#[allow(unreachable_pub, reason = "shared with the crate fuzz/")]
mod targets;

use mutate::mutated;
use std::fs;
use std::panic::catch_unwind;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::{Duration, Instant};

/// What one input may take in a debug build on a busy machine.
const LONGEST: Duration = Duration::from_secs(5);
/// Inputs to each target where nobody asks for more.
const FEW: u64 = 300;

fn asked(name: &str, otherwise: u64) -> u64 {
    std::env::var(name).ok().and_then(|n| n.parse().ok()).unwrap_or(otherwise)
}

/// The kept inputs of a target, and the shipped files that it reads, by name.
fn kept(target: &str) -> Vec<(PathBuf, Vec<u8>)> {
    let home = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut folders = vec![(home.join("tests/corpora").join(target), "")];
    match target {
        "job" => folders.extend([(home.join("samples"), "toml"), (home.join("tests/bad_jobs"), "toml")]),
        "profile" => {
            folders.extend([(home.join("machine-profiles"), "toml"), (home.join("tests/bad_profiles"), "toml")]);
        }
        "dxf" => folders.push((home.join("samples"), "dxf")),
        _ => {}
    }
    let mut all = Vec::new();
    for (folder, ending) in folders {
        let paths = fs::read_dir(&folder).unwrap().map(|e| e.unwrap().path());
        let fitting = paths.filter(|p| p.is_file() && (ending.is_empty() || p.extension() == Some(ending.as_ref())));
        all.extend(fitting.map(|p| (p.clone(), fs::read(&p).unwrap())));
    }
    all.sort();
    assert!(!all.is_empty(), "nothing is kept for {target}");
    all
}

fn drive(name: &str) {
    if std::env::var("FLAPWRIGHT_FUZZ_TARGETS").is_ok_and(|asked| !asked.split(',').any(|t| t == name)) {
        return;
    }
    let run = |input: &[u8]| targets::run(name, input);
    let kept = kept(name);
    for (path, bytes) in &kept {
        assert!(catch_unwind(|| run(bytes)).is_ok(), "{} fails", path.display());
    }
    let seeds: Vec<&[u8]> = kept.iter().map(|(_, bytes)| bytes.as_slice()).collect();
    let (from, inputs) = (asked("FLAPWRIGHT_FUZZ_FROM", 0), asked("FLAPWRIGHT_FUZZ_INPUTS", FEW));
    let (current, is_done) = (AtomicU64::new(from), AtomicBool::new(false));
    let begun = Instant::now();
    let failed = std::thread::scope(|scope| {
        scope.spawn(|| watch(name, &seeds, &current, &is_done));
        let mut failed = Vec::new();
        for seed in from..from + inputs {
            current.store(seed, Ordering::Relaxed);
            let input = mutated(&seeds, seed);
            let one = Instant::now();
            let why = match catch_unwind(|| run(&input)) {
                Err(_) => "panics",
                Ok(()) if one.elapsed() > LONGEST => "lasts",
                Ok(()) => continue,
            };
            failed.push(format!("seed {seed} {why}: {}", keep(name, seed, &input).display()));
            if failed.len() == 20 {
                break;
            }
        }
        is_done.store(true, Ordering::Relaxed);
        failed
    });
    eprintln!("{name}: {inputs} inputs from seed {from} in {:.1} s", begun.elapsed().as_secs_f64());
    assert!(failed.is_empty(), "{name}:\n{}", failed.join("\n"));
}

fn keep(name: &str, seed: u64, input: &[u8]) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("fuzz-{name}-{seed}"));
    fs::write(&path, input).unwrap();
    path
}

/// Names an input that does not come back, and ends the run.
fn watch(name: &str, seeds: &[&[u8]], current: &AtomicU64, is_done: &AtomicBool) {
    let (mut last, mut since) = (current.load(Ordering::Relaxed), Instant::now());
    while !is_done.load(Ordering::Relaxed) {
        std::thread::sleep(Duration::from_millis(20));
        let now = current.load(Ordering::Relaxed);
        if now != last {
            (last, since) = (now, Instant::now());
        } else if since.elapsed() > 12 * LONGEST {
            let path = keep(name, now, &mutated(seeds, now));
            eprintln!("{name}: seed {now} does not end: {}", path.display());
            std::process::abort();
        }
    }
}

#[test]
fn every_target_has_a_binary_and_its_kept_inputs() {
    let home = Path::new(env!("CARGO_MANIFEST_DIR"));
    let listed = fs::read_to_string(home.join("fuzz/Cargo.toml")).unwrap();
    for target in &targets::ALL {
        assert!(listed.contains(&format!("path = \"fuzz_targets/{}.rs\"", target.name)), "{}", target.name);
        let text = fs::read_to_string(home.join(format!("fuzz/fuzz_targets/{}.rs", target.name))).unwrap();
        assert!(text.contains(&format!("targets::run(\"{}\", input)", target.name)));
        assert!(!kept(target.name).is_empty());
    }
}

#[test]
fn jobs() {
    drive("job");
}

#[test]
fn rows() {
    drive("row");
}

#[test]
fn profiles() {
    drive("profile");
}

#[test]
fn forms() {
    drive("form");
}

#[test]
fn drawings() {
    drive("dxf");
}

#[test]
fn programs_in_gcode() {
    drive("gcode");
}

#[test]
fn programs_in_hpgl() {
    drive("hpgl");
}

#[test]
fn manifests() {
    drive("manifest");
}

#[test]
fn a_seed_gives_the_same_input_and_another_another() {
    let seeds: [&[u8]; 2] = [b"width = 210\nheight = 297\n", b"G1 X10 Y20\nM2\n"];
    let all: std::collections::BTreeSet<Vec<u8>> = (0..500).map(|s| mutated(&seeds, s)).collect();
    assert!(all.len() > 400, "{} differ", all.len());
    assert!((0..500).all(|s| mutated(&seeds, s) == mutated(&seeds, s)));
}
