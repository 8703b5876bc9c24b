//! How long it takes to design and fit-check random jobs (10,000 are to stay under 10 s on one core), and
//! the whole of `check` on each sample (20 ms each), beside the reading of its job alone, and `check` and `export` of a lid
//! drawn as a wave of 5,000 and of 19,900 chords (2 s and 5 s, growing no faster than the chords).

#![allow(missing_docs, clippy::unwrap_used, reason = "criterion's macros; a benchmark may stop")]

#[path = "../tests/common/dice.rs"]
mod dice;
#[path = "../tests/common/random_job.rs"]
mod random_job;

use criterion::{Criterion, criterion_group, criterion_main};
use flapwright::cli::{Exit, run};
use flapwright::design::design;
use flapwright::diag::Source;
use flapwright::fit::{bill, fit};
use flapwright::job::{self, Job};
use random_job::RandomJob;
use std::fmt::Write as _;

const JOBS: u64 = 10_000;
const SAMPLES: [&str; 7] = [
    "cockle-portfolio",
    "dulse-atlas",
    "limpet-wrapper",
    "rockpool-folder",
    "sandpiper-case",
    "tideline-folio",
    "whelk-box",
];

fn check(c: &mut Criterion) {
    let jobs: Vec<Job> = (0..JOBS)
        .filter_map(|seed| job::read(&Source { name: "job.toml".into(), text: RandomJob::new(seed).toml(1.0) }).0)
        .collect();
    let mut group = c.benchmark_group("check");
    group.sample_size(10).measurement_time(std::time::Duration::from_secs(60));
    group.bench_function(format!("{} random jobs designed and fit-checked", jobs.len()), |b| {
        b.iter(|| {
            jobs.iter()
                .map(|job| {
                    let (design, said) = design(job);
                    let (_, more) = fit(job, &design);
                    bill(job, &design).materials.len() + said.len() + more.len()
                })
                .sum::<usize>()
        });
    });
    group.finish();
    let mut group = c.benchmark_group("check a sample");
    for name in SAMPLES {
        let path = format!("{}/samples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(&path).unwrap();
        let source = Source { name: "job.toml".into(), text };
        group.bench_function(format!("{name}, read"), |b| b.iter(|| job::read(&source).1.len()));
        group.bench_function(format!("{name}, whole"), |b| {
            b.iter(|| {
                let (mut said, mut errors) = (Vec::new(), Vec::new());
                let args = ["flapwright".into(), "check".into(), path.clone().into()];
                assert_eq!(run(args, &mut said, &mut errors, false), Exit::Good);
                said.len()
            });
        });
    }
    group.finish();
}

/// A job whose right lid is drawn as a wave of so many chords, in a folder of its own.
fn wave(chords: u32) -> std::path::PathBuf {
    let dir = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("bench-wave");
    std::fs::create_dir_all(&dir).unwrap();
    let (wide, high) = (298.3, 140.0);
    let on = |i: u32| {
        let share = f64::from(i) / f64::from(chords);
        let up = 8.0 * (share * std::f64::consts::PI * 7.0).sin() * (share * std::f64::consts::PI).sin();
        (wide * (1.0 - share), high + up)
    };
    let points: Vec<(f64, f64)> = [(0.0, 0.0), (wide, 0.0)].into_iter().chain((0..=chords).map(on)).collect();
    let mut dxf = format!(
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n8\n0\n90\n{}\n70\n1\n",
        points.len()
    );
    for (x, y) in points {
        let _ = write!(dxf, "10\n{x:.5}\n20\n{y:.5}\n");
    }
    dxf.push_str("0\nENDSEC\n0\nEOF\n");
    std::fs::write(dir.join(format!("wave-{chords}.dxf")), dxf).unwrap();
    let job = format!(
        "format = 1\ntitle = 'Wave'\n[contents]\nwidth = 200\nheight = 298\ndepth = 12\n[board]\nthickness = 2\n\
         [cloth]\nthickness = 0.35\n[liner]\nthickness = 0.2\n[flap.left]\ntier = 1\nreach = '40 %'\n\
         [flap.right]\ntier = 2\noutline = 'wave-{chords}.dxf'\n"
    );
    let path = dir.join(format!("wave-{chords}.toml"));
    std::fs::write(&path, job).unwrap();
    path
}

fn fine_outlines(c: &mut Criterion) {
    let mut group = c.benchmark_group("a lid of fine chords");
    for chords in [5_000, 19_900] {
        let path = wave(chords);
        let out = path.with_extension("out");
        for command in ["check", "export"] {
            group.bench_function(format!("{chords}, {command}"), |b| {
                b.iter(|| {
                    let mut args = vec!["flapwright".into(), command.into(), path.clone().into_os_string()];
                    if command == "export" {
                        let _ = std::fs::remove_dir_all(&out);
                        args.extend(["--out".into(), out.clone().into_os_string()]);
                        args.extend(["--machine".into(), "drag-knife-table".into()]);
                    }
                    assert_eq!(run(args, &mut Vec::new(), &mut Vec::new(), false), Exit::Good);
                });
            });
        }
    }
    group.finish();
}

criterion_group!(benches, check, fine_outlines);
criterion_main!(benches);
