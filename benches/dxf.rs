//! How long the DXF writer takes for a thousand, ten thousand and a hundred thousand contours.
//!
//!     cargo bench --bench dxf
//!
//! The time a contour should be the same in all three. `benches/dxf_reference.py` runs this and
//! compares it with ezdxf on the same contours.

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use flapwright::geom::{Contour, Stroke, Vertex, pt};
use flapwright::profile::OperationKind;
use flapwright::units::mm;
use flapwright::write::dxf::{DxfVersion, dxf};
use std::hint::black_box;

/// A slot of 8.5 x 1.5 mm with one round end, at a place of its own; the same as in
/// `dxf_reference.py`.
fn slot(i: u32) -> Stroke {
    let at = pt(f64::from(i % 300) * 10.123_456_7 + 0.1, f64::from(i / 300) * 3.765_432_1 + 0.2);
    let corner = |x, y, bulge| Vertex::new(at + pt(x, y), bulge);
    Stroke::Closed(Contour::new([
        corner(0.0, 0.0, 0.0),
        corner(8.5, 0.0, 1.0),
        corner(8.5, 1.5, 0.0),
        corner(0.0, 1.5, 0.0),
    ]))
}

fn writing(c: &mut Criterion) {
    let mut group = c.benchmark_group("dxf");
    group.sample_size(10);
    for count in [1_000u32, 10_000, 100_000] {
        let strokes: Vec<Stroke> = (0..count).map(slot).collect();
        group.throughput(Throughput::Elements(u64::from(count)));
        for (version, name) in [(DxfVersion::R2000, "r2000"), (DxfVersion::R12, "r12")] {
            group.bench_with_input(BenchmarkId::new(name, count), &strokes, |b, strokes| {
                let lines = || strokes.iter().map(|s| (OperationKind::ThroughCut, s));
                b.iter(|| black_box(dxf(mm(3100.0), mm(1300.0), lines(), version)));
            });
        }
    }
    group.finish();
}

criterion_group!(benches, writing);
criterion_main!(benches);
