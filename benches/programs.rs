//! A program planned, timed and written: 10^4, 10^5 and 10^6 motions of a drag knife.
//! `cargo bench --bench programs`
#![allow(missing_docs, clippy::unwrap_used, reason = "a bench")]

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use flapwright::diag::Source;
use flapwright::geom::{Contour, Point, Stroke, Vertex, pt};
use flapwright::job::StockKind;
use flapwright::motion::build;
use flapwright::motion::time::timing;
use flapwright::ops::{Keep, Operation, SheetOps};
use flapwright::profile::{OperationKind, Profile, read, shipped};
use flapwright::units::mm;
use flapwright::write::program::write;
use std::f64::consts::TAU;
use std::time::Duration;

/// Fifty wavy discs of `edges` edges in all, every second edge an arc.
fn sheet(edges: usize) -> SheetOps {
    let each = edges / 50;
    let disc = |i: usize| {
        let middle = pt(60.0 + 110.0 * (i % 6) as f64, 60.0 + 110.0 * (i / 6) as f64);
        let vertex = |k: usize| {
            let angle = k as f64 / each as f64 * TAU;
            let p = middle + Point::unit(angle) * (45.0 + 4.0 * (angle * 9.0).sin());
            Vertex::new(p, if k.is_multiple_of(2) { 0.02 } else { 0.0 })
        };
        Operation {
            kind: OperationKind::ThroughCut,
            piece: format!("disc-{i}"),
            copy: 1,
            index: 0,
            keep: Keep::Inside,
            stroke: Stroke::Closed(Contour::new((0..each).map(vertex))),
            depth: mm(0.5),
            grain_deg: None,
        }
    };
    SheetOps {
        sheet: "liner-1".into(),
        stock: StockKind::Liner,
        width: mm(700.0),
        height: mm(1100.0),
        thickness: mm(0.5),
        offcut: None,
        count: 1,
        operations: (0..50).map(disc).collect(),
        shared: Vec::new(),
    }
}

fn machine() -> Profile {
    let (id, text) = shipped().iter().find(|p| p.0 == "drag-knife-table").unwrap();
    read(&Source { name: (*id).into(), text: (*text).into() }, id).0.unwrap()
}

fn programs(c: &mut Criterion) {
    let machine = machine();
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
