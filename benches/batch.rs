//! A thousand and two thousand distinct boxes designed, laid out and exported for one machine, from
//! a list, on two threads: seconds, their ratio, and the most memory.
//! `cargo bench --bench batch` (with `-- SCALE` a list of 1000 SCALE and 2000 SCALE rows)
//!
//! Bars: 1,000 in under 60 s on two cores, 2,000 in at most 2.2 times that, under 500 MB. It ends with
//! an error where one is missed.
#![allow(missing_docs, clippy::unwrap_used, clippy::print_stdout, reason = "a bench")]

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::{Command, ExitCode, Stdio};
use std::time::{Duration, Instant};

const MACHINE: &str = "oscillating-knife-table";

/// Folders of the herbarium, no two alike; the same list every time.
fn list(rows: usize) -> String {
    let mut seed = 20_260u64;
    let mut upto = |most: u64| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) % (most + 1)
    };
    let mut text = String::from("id,title,width,height,depth,copies\n");
    for i in 0..rows as u64 {
        let width = 140 + (i * 7) % 131;
        let height = 190 + (i * 11) % 151;
        let (w, h) = (width as f64 + upto(9) as f64 / 10.0, height as f64 + upto(9) as f64 / 10.0);
        // Distinct by a hundredth of a micrometre at least.
        let depth = 4.0 + upto(24) as f64 / 2.0 + i as f64 * 1e-5;
        let _ = writeln!(text, "TH-{:05},Folder {},{w:.1},{h:.1},{depth:.5},1", i + 1, i + 1);
    }
    text
}

/// Seconds and the peak of resident memory in MB, where the system tells it.
fn run(dir: &Path, rows: usize) -> (f64, Option<f64>) {
    let (csv, out) = (dir.join(format!("list-{rows}.csv")), dir.join(format!("out-{rows}")));
    fs::write(&csv, list(rows)).unwrap();
    let _ = fs::remove_dir_all(&out);
    let start = Instant::now();
    let mut child = Command::new(env!("CARGO_BIN_EXE_flapwright"))
        .arg("batch")
        .arg(&csv)
        .args(["--job", concat!(env!("CARGO_MANIFEST_DIR"), "/samples/herbarium-survey.toml")])
        .args(["--machine", MACHINE, "--threads", "2", "--out"])
        .arg(&out)
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    let mut peak = None;
    let status = loop {
        if let Some(status) = child.try_wait().unwrap() {
            break status;
        }
        let text = fs::read_to_string(format!("/proc/{}/status", child.id())).unwrap_or_default();
        let kb = text.lines().find_map(|l| l.strip_prefix("VmHWM:")?.trim().strip_suffix(" kB")?.parse::<f64>().ok());
        peak = kb.map(|kb| kb / 1024.0).or(peak);
        std::thread::sleep(Duration::from_millis(20));
    };
    let seconds = start.elapsed().as_secs_f64();
    assert!(status.success(), "the batch of {rows} failed");
    let made = fs::read_to_string(out.join("batch.csv")).unwrap().matches(",made,").count();
    assert_eq!(made, rows, "every box is made");
    let _ = fs::remove_dir_all(&out);
    (seconds, peak)
}

fn main() -> ExitCode {
    let scale = std::env::args().filter_map(|a| a.parse::<f64>().ok()).next_back().unwrap_or(1.0);
    let rows = |n: f64| (n * scale).round().max(1.0) as usize;
    let dir = Path::new(env!("CARGO_TARGET_TMPDIR")).join("bench-batch");
    fs::create_dir_all(&dir).unwrap();
    let (one, two) = (run(&dir, rows(1000.0)), run(&dir, rows(2000.0)));
    let mb = |m: Option<f64>| m.map_or("memory not told".into(), |m| format!("{m:.0} MB"));
    println!("{} boxes: {:.1} s, {}", rows(1000.0), one.0, mb(one.1));
    println!("{} boxes: {:.1} s, {}", rows(2000.0), two.0, mb(two.1));
    let ratio = two.0 / one.0;
    println!("ratio {ratio:.2}");
    let most = one.1.into_iter().chain(two.1).fold(0.0, f64::max);
    if one.0 <= 60.0 * scale && ratio <= 2.2 && most <= 500.0 { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
