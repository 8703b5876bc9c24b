//! A program planned, timed and written: 10^4, 10^5 and 10^6 motions of a drag knife.
//! `cargo bench --bench programs`
#![allow(missing_docs, clippy::unwrap_used, reason = "a bench")]

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use flapwright::motion::build;
use flapwright::motion::time::timing;
use flapwright::write::program::write;
use std::time::Duration;

#[path = "common/discs.rs"]
mod discs;

/// Discs of `edges` edges in all, every second edge an arc.
fn sheet(edges: usize) -> flapwright::ops::SheetOps {
    discs::sheet(edges / 50, 0.02)
}

fn programs(c: &mut Criterion) {
    let machine = discs::machine();
    let mut group = c.benchmark_group("programs");
    group.sample_size(10).warm_up_time(Duration::from_millis(500)).measurement_time(Duration::from_secs(8));
    for motions in [10_000, 100_000, 1_000_000] {
        let sheet = sheet(motions);
        group.bench_with_input(BenchmarkId::new("plan, time and write", motions), &sheet, |b, sheet| {
            b.iter(|| {
                let (program, told) = build(sheet, &machine);
                let program = program.unwrap_or_else(|| unreachable!("{told:?}"));
                (timing(&program, &machine).total.seconds, write(&program, &machine, "Tideline folio"))
            });
        });
    }
    group.finish();
}

criterion_group!(benches, programs);
criterion_main!(benches);
