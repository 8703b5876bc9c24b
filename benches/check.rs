//! How long it takes to design and fit-check random jobs (10,000 are to stay under 10 s on one core), and
//! the whole of `check` on each sample (20 ms each), beside the reading of its job alone.

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

criterion_group!(benches, check);
criterion_main!(benches);
