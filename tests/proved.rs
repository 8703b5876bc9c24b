//! Random jobs, small ones among them, exported for one machine after another: whatever `export`
//! agrees to write, `verify` proves.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;
use crate::common::random_job;

use common::proof::{files_of, told};
use flapwright::cli::{Exit, run};
use flapwright::verify::verify_folder;
use random_job::RandomJob;
use std::path::Path;

const MACHINES: [&str; 5] =
    ["oscillating-knife-table", "drag-knife-table", "shared-laser-cutter", "servo-plotter", "small-router"];

/// How many jobs are tried, and the first of them: `FLAPWRIGHT_PROVED_JOBS`, `FLAPWRIGHT_PROVED_FROM`.
pub(crate) fn setting(name: &str, usual: u64) -> u64 {
    std::env::var(name).ok().and_then(|v| v.parse().ok()).unwrap_or(usual)
}

/// A job on sheets that the machines' beds hold, whole or as a box of a third or a sixth the size in
/// the same board.
pub(crate) fn job(seed: u64) -> String {
    on_small_sheets(&RandomJob::new(seed).toml(1.0), seed)
}

/// The same of any random job's text.
pub(crate) fn on_small_sheets(text: &str, seed: u64) -> String {
    let text = text.replace("sheet = { width = 2000, height = 3000 }", "sheet = { width = 560, height = 760 }");
    let share = [1.0, 3.0, 6.0][(seed / 5 % 3) as usize];
    let mut in_contents = false;
    let line = |line: &str| {
        if line.starts_with('[') {
            in_contents = line == "[contents]";
        }
        match line.split_once(" = ") {
            Some((key @ ("width" | "height"), value)) if in_contents => {
                format!("{key} = {}\n", value.parse::<f64>().unwrap() / share)
            }
            _ => format!("{line}\n"),
        }
    };
    text.lines().map(line).collect()
}

/// Each job that there is for a seed is exported for one machine after another; what is refused must say why, and what is
/// written is shown to `seen` and proved. How many were written, and what of them is not proved; that is left in `home`.
pub(crate) fn exported_and_proved(
    home: &str,
    seeds: impl IntoIterator<Item = u64>,
    job: impl Fn(u64) -> Option<String>,
    mut seen: impl FnMut(&Path),
) -> (u64, Vec<String>) {
    let home = Path::new(env!("CARGO_TARGET_TMPDIR")).join(home);
    let _ = std::fs::remove_dir_all(&home);
    std::fs::create_dir_all(&home).unwrap();
    let (mut proved, mut faults) = (0, Vec::new());
    for seed in seeds {
        let Some(text) = job(seed) else { continue };
        let path = home.join(format!("{seed}.toml"));
        let out = home.join(seed.to_string());
        std::fs::write(&path, &text).unwrap();
        let machine = MACHINES[(seed % 5) as usize];
        if let Some(folder) = std::env::var_os("FLAPWRIGHT_PROVED_KEEP") {
            std::fs::write(Path::new(&folder).join(format!("{seed}.{machine}.toml")), &text).unwrap();
        }
        let mut args = vec!["flapwright".into(), "export".into(), path.clone().into_os_string(), "--out".into()];
        args.extend([out.clone().into_os_string(), "--machine".into(), machine.into()]);
        let (mut said, mut errors) = (Vec::new(), Vec::new());
        if run(args, &mut said, &mut errors, false) != Exit::Good {
            assert!(String::from_utf8_lossy(&errors).contains("error"), "{seed}: refused without a word");
            continue;
        }
        proved += 1;
        seen(&out);
        let told = told(&verify_folder(&files_of(&out)));
        if told.is_empty() {
            let _ = std::fs::remove_dir_all(&out);
            let _ = std::fs::remove_file(&path);
        } else {
            faults.push(format!("{seed} on {machine}:\n  {}", told.join("\n  ")));
        }
    }
    (proved, faults)
}

#[test]
fn what_is_exported_is_proved() {
    let (from, count) = (setting("FLAPWRIGHT_PROVED_FROM", 0), setting("FLAPWRIGHT_PROVED_JOBS", 100));
    let (proved, faults) = exported_and_proved("proved", from..from + count, |seed| Some(job(seed)), |_| ());
    println!("{proved} of {count} jobs were written and proved");
    assert!(faults.is_empty(), "{} of {proved} not proved\n{}", faults.len(), faults.join("\n"));
    assert!(proved * 4 > count, "only {proved} of {count} were written");
}
