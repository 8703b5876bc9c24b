//! Runs above the work: they go the whole way and never come down; what is done to them is found.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::proof::{Files, files_of, put_all, root, samples, told};
use common::references::run_rs274;
use flapwright::cli::{Exit, run};
use flapwright::verify::verify_folder;
use std::path::Path;

fn lifted(sample: &str, machines: &[&str]) -> Files {
    let out = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("lifted-{sample}-{}", machines.join("-")));
    let _ = std::fs::remove_dir_all(&out);
    let job = root().join(format!("samples/{sample}.toml"));
    let mut args = vec!["flapwright".into(), "export".into(), job.into_os_string(), "--lifted".into(), "--out".into()];
    args.push(out.clone().into_os_string());
    for machine in machines {
        args.extend(["--machine".into(), (*machine).into()]);
    }
    let (mut said, mut errors) = (Vec::new(), Vec::new());
    assert_eq!(run(args, &mut said, &mut errors, false), Exit::Good, "{}", String::from_utf8_lossy(&errors));
    files_of(&out)
}

/// One folder for all that change something in it.
fn rockpool() -> Files {
    const MACHINES: [&str; 4] = ["small-router", "oscillating-knife-table", "shared-laser-cutter", "scoring-plotter"];
    static FILES: std::sync::LazyLock<Files> = std::sync::LazyLock::new(|| lifted("rockpool-folder", &MACHINES));
    FILES.clone()
}

/// The text of a folder's lifted program for one machine.
fn one(files: &Files, machine: &str) -> (String, String) {
    let (name, bytes) = files.iter().find(|f| f.0.contains(&format!("{machine}.lifted."))).unwrap();
    (name.clone(), String::from_utf8(bytes.clone()).unwrap())
}

#[test]
fn every_sample_has_a_run_above_the_work_that_proves() {
    let mut runs = 0;
    for (sample, machines) in samples() {
        let files = lifted(sample, &machines);
        let folder = verify_folder(&files);
        assert!(folder.is_good(), "{sample}: {:#?}", told(&folder));
        let all: Vec<_> = files.iter().filter(|f| f.0.contains(".lifted.")).collect();
        assert!(all.len() >= machines.len(), "{sample}");
        for (name, bytes) in all {
            runs += 1;
            let text = std::str::from_utf8(bytes).unwrap();
            if !name.ends_with(".nc") {
                assert!(!text.contains("PD"), "{name}");
                continue;
            }
            if name.contains("servo") {
                continue;
            }
            // Source: the calls of NIST IR 6556, section 4: no spindle starts, nothing moves below the
            // first height that it goes to.
            let Some(calls) = run_rs274(text) else { return };
            let calls = calls.unwrap_or_else(|complaint| panic!("{name}: {complaint}"));
            assert!(!calls.contains("START_SPINDLE"), "{name}");
            let heights = calls.lines().filter(|l| l.contains("STRAIGHT_") || l.contains("ARC_FEED")).map(|l| {
                let n: Vec<f64> = l
                    .split_once('(')
                    .unwrap()
                    .1
                    .trim_end_matches(')')
                    .split(',')
                    .map(|n| n.trim().parse().unwrap())
                    .collect();
                if l.contains("ARC_FEED") { n[5] } else { n[2] }
            });
            let heights: Vec<f64> = heights.collect();
            assert!(heights.iter().all(|z| (z - heights[0]).abs() < 1e-9), "{name}");
        }
    }
    assert!(runs > 40, "{runs}");
}

#[test]
fn a_lifted_run_that_comes_down_or_strays_is_found() {
    let files = rockpool();
    let put = |machine: &str, damage: &dyn Fn(&str) -> String| {
        let (name, text) = one(&files, machine);
        let damaged = damage(&text);
        assert!(damaged != text, "{machine}: no damage done");
        put_all(&files, &name, damaged.into_bytes())
    };
    let before_cut = |text: &str, line: &str| {
        let at = text.find("\nG1 ").unwrap() + 1;
        format!("{}{line}\n{}", &text[..at], &text[at..])
    };
    // The line after the first cut, its X or Y put elsewhere; or left out.
    let strayed = |text: &str| {
        let at = text.find("\nX").unwrap() + 2;
        let end = at + text[at..].find([' ', '\n']).unwrap();
        let x: f64 = text[at..end].parse().unwrap();
        format!("{}{}{}", &text[..at], x + 3.0, &text[end..])
    };
    let shortened = |text: &str| {
        let lines: Vec<&str> = text.lines().collect();
        let last = lines.iter().rposition(|l| l.starts_with("G0 X")).unwrap();
        let cut: Vec<&str> =
            lines.iter().enumerate().filter(|(i, _)| *i + 12 < last || *i >= last).map(|l| *l.1).collect();
        cut.join("\n") + "\n"
    };
    #[expect(clippy::type_complexity, reason = "a table")]
    let cases: [(&str, &str, &dyn Fn(&str) -> String); 8] = [
        ("small-router", "comes-down", &|t| before_cut(t, "G1 Z1 F200")),
        ("small-router", "comes-down", &|t| before_cut(t, "M3 S18000")),
        ("oscillating-knife-table", "comes-down", &|t| before_cut(t, "G1 Z-0.2 F200")),
        ("shared-laser-cutter", "comes-down", &|t| before_cut(t, "M4 S850")),
        ("scoring-plotter", "comes-down", &|t| t.replacen("\nPU", "\nPD", 3)),
        ("small-router", "lifted", &|t| strayed(t)),
        ("oscillating-knife-table", "lifted", &|t| strayed(t)),
        ("shared-laser-cutter", "lifted", &|t| shortened(t)),
    ];
    for (machine, code, damage) in cases {
        let folder = put(machine, damage);
        assert!(
            folder.all().any(|f| f.codes().any(|c| c == code) && f.is_error()),
            "{machine} {code}: {:#?}",
            told(&folder)
        );
    }
}

#[test]
fn an_outline_run_that_shows_another_rectangle_is_found() {
    let files = rockpool();
    let mut tried = 0;
    for (name, bytes) in files.iter().filter(|f| f.0.contains(".outline.")) {
        let text = std::str::from_utf8(bytes).unwrap();
        let lines: Vec<&str> = text.lines().collect();
        let is_way = |l: &&str| {
            l.starts_with("G0 X") || l.starts_with("X") || l.starts_with("Y") || l.starts_with("PU") && l.contains(',')
        };
        let ways: Vec<usize> = (0..lines.len()).filter(|i| is_way(&lines[*i])).collect();
        // A corner elsewhere, a corner left out.
        let moved = |l: &str| {
            let at = l.rfind(|c: char| !(c.is_ascii_digit() || c == '.' || c == ';')).unwrap() + 1;
            let number = l[at..].trim_end_matches(';');
            let far: f64 = number.parse::<f64>().unwrap() + if l.starts_with("PU") { 400.0 } else { 10.0 };
            format!("{}{far}{}", &l[..at], if l.ends_with(';') { ";" } else { "" })
        };
        for i in &ways[1..2] {
            let with = |line: Option<String>| {
                let all: Vec<String> = lines
                    .iter()
                    .enumerate()
                    .filter_map(|(k, l)| if k == *i { line.clone() } else { Some((*l).to_owned()) })
                    .collect();
                (all.join("\n") + "\n").into_bytes()
            };
            for damaged in [with(Some(moved(lines[*i]))), with(None)] {
                let folder = put_all(&files, name, damaged);
                assert!(folder.all().any(|f| f.code == "outline"), "{name} {}: {:#?}", lines[*i], told(&folder));
                tried += 1;
            }
        }
    }
    assert!(tried >= 6, "{tried}");
}
