//! Every G-code program of every sample, followed by a standard interpreter.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::references::{run_rs274, scratch};
use std::fs;
use std::path::Path;
use std::process::Command;

/// A motion of the interpreter's: its call and x, y, z.
fn motions(calls: &str) -> Vec<(&str, [f64; 3])> {
    let numbers = |arguments: &str| -> Vec<f64> {
        arguments.trim_end_matches(')').split(", ").filter_map(|n| n.parse().ok()).collect()
    };
    let motion = |line: &str| {
        let call = line.trim_start_matches(|c: char| c == ' ' || c == '.' || c == 'N' || c.is_ascii_digit());
        let at = ["STRAIGHT_TRAVERSE", "STRAIGHT_FEED", "ARC_FEED"].into_iter().find(|name| call.starts_with(name))?;
        let n = numbers(&call[at.len() + 1..]);
        Some((at, if at == "ARC_FEED" { [n[0], n[1], n[5]] } else { [n[0], n[1], n[2]] }))
    };
    calls.lines().filter_map(motion).collect()
}

/// Source: the RS274/NGC interpreter of a machine controller; its canonical calls as in NIST IR
/// 6556. Every program is accepted, rises before it moves sideways, never traverses at a height at
/// which it cuts, and ends risen with the spindle's word off.
#[test]
fn the_interpreter_accepts_every_program_of_every_sample() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut followed = 0;
    for machine in
        ["drag-knife-table", "oscillating-knife-table", "servo-plotter", "shared-laser-cutter", "small-router"]
    {
        for sample in ["tideline-folio", "rockpool-folder", "dulse-atlas"] {
            let out = scratch(&format!("programs-{machine}-{sample}")).join("out");
            let mut export = Command::new(env!("CARGO_BIN_EXE_flapwright"));
            export.arg("export").arg(root.join("samples").join(format!("{sample}.toml"))).arg("--out").arg(&out);
            let output = export.args(["--machine", machine]).output().unwrap();
            if !output.status.success() {
                // A machine that is too small or cannot do it is said and nothing is written.
                assert_eq!(output.status.code(), Some(1));
                assert!(String::from_utf8_lossy(&output.stderr).contains("error["));
                assert!(!out.exists());
                continue;
            }
            let mut names: Vec<_> = fs::read_dir(&out).unwrap().map(|e| e.unwrap().path()).collect();
            names.retain(|p| p.extension().is_some_and(|e| ["nc", "ngc", "gcode"].contains(&e.to_str().unwrap())));
            names.sort();
            assert!(!names.is_empty(), "{machine} {sample}: no programs");
            for name in names {
                let mut text = fs::read_to_string(&name).unwrap();
                if machine == "servo-plotter" {
                    // The servo's word is its firmware's own, which has no program end either; the
                    // standard knows no word above M199 and wants an end.
                    text = text.replace("M280 ", "(servo) G4 P0 ;") + "M2\n";
                }
                let Some(answer) = run_rs274(&text) else { return };
                let calls = answer.unwrap_or_else(|complaint| panic!("{}: {complaint}", name.display()));
                check(&name.display().to_string(), &text, &calls, machine);
                followed += 1;
            }
        }
    }
    assert!(followed > 50, "{followed} programs");
}

fn check(name: &str, text: &str, calls: &str, machine: &str) {
    let motions = motions(calls);
    assert!(motions.len() > 3, "{name}: {} motions", motions.len());
    assert!(calls.contains("PROGRAM_END()"), "{name}");
    let has_z = text.lines().any(|l| !l.starts_with(['(', ';']) && l.contains('Z'));
    if !has_z {
        assert!(["servo-plotter", "shared-laser-cutter"].contains(&machine), "{name}: no Z at all");
        return;
    }
    let (call, [x, y, z]) = motions[0];
    assert!(call == "STRAIGHT_TRAVERSE" && x == 0.0 && y == 0.0 && z > 0.0, "{name} begins with {call} {x} {y} {z}");
    let lowest_cut = motions.windows(2).filter(|w| w[1].0 != "STRAIGHT_TRAVERSE" && w[0].1[..2] != w[1].1[..2]);
    let highest_cut = lowest_cut.map(|w| w[1].1[2]).fold(f64::NEG_INFINITY, f64::max);
    for w in motions.windows(2) {
        let ([x0, y0, z0], (call, [x, y, z])) = (w[0].1, w[1]);
        if call == "STRAIGHT_TRAVERSE" && (x0, y0) != (x, y) {
            assert!(
                z0 > highest_cut && z > highest_cut,
                "{name}: a traverse to {x} {y} at {z}, cuts up to {highest_cut}"
            );
        }
    }
    assert_eq!(motions.last().unwrap().0, "STRAIGHT_TRAVERSE", "{name} ends at work");
}
