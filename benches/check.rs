//! How long it takes to design and fit-check random jobs: 10,000 are to stay under 10 s on one core.

#![allow(missing_docs, reason = "criterion's macros")]

#[path = "../tests/common/random_job.rs"]
mod random_job;

use criterion::{Criterion, criterion_group, criterion_main};
use flapwright::design::design;
use flapwright::diag::Source;
use flapwright::fit::{bill, fit};
use flapwright::job::{self, Job};
use random_job::RandomJob;

const JOBS: u64 = 10_000;

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
}

criterion_group!(benches, check);
criterion_main!(benches);
