//! How closely irregular pieces are laid, against a reference heuristic given the same time.
//!
//! ```text
//! tests/run layout_references::     # once: fetches the references
//! cargo bench --bench layout             # with `-- 10 50` only these copies
//! ```
//!
//! The covers and crosses of the samples, so many copies of each, on one strip as wide as their
//! sheets: the length that we take over the length that spyrrow takes (a strip packer on the
//! collision engine jagua-rs, whose own example heuristic is on no registry). It gets the time that
//! we took, rounded up to whole seconds. Then on the samples' own sheets, as they would be cut:
//! how many of our sheets, and whether the reference finds room for a piece more on one.

#![allow(clippy::print_stdout, clippy::unwrap_used, reason = "a bench")]

use flapwright::design::{Piece, design};
use flapwright::diag::Source;
use flapwright::job::{self, Job, Stock, StockKind};
use flapwright::nest::{Sheet, nest};
use flapwright::units::mm;
use std::path::Path;
use std::process::ExitCode;
use std::time::Instant;

#[path = "common/packer.rs"]
mod packer;

/// What is compared: a sample and which of its stocks.
const SETS: [(&str, StockKind); 5] = [
    ("dulse-atlas", StockKind::Cloth),
    ("tideline-folio", StockKind::Cloth),
    ("rockpool-folder", StockKind::Cloth),
    ("dulse-atlas", StockKind::Liner),
    ("tideline-folio", StockKind::Liner),
];
/// Pieces that leave less than this of their rectangles are none of those asked for.
const HARDLY_ANY: f64 = 0.015;
/// The reference gets so much longer where it is asked for a piece more on a sheet.
const LONGER: u64 = 10;

struct Case {
    name: String,
    job: Job,
    pieces: Vec<Piece>,
    kind: StockKind,
}

impl Case {
    fn read(name: &str, kind: StockKind) -> Self {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(format!("{name}.toml"));
        let text = std::fs::read_to_string(path).unwrap();
        let job = job::read(&Source { name: name.into(), text }).0.unwrap();
        let is_irregular = |p: &Piece| {
            let b = p.outline.bounds();
            p.stock == kind && p.outline.area() < (1.0 - HARDLY_ANY) * b.width() * b.height()
        };
        let pieces = design(&job).0.pieces.into_iter().filter(is_irregular).collect();
        Self { name: format!("{name}, {}", kind.word()), job, pieces, kind }
    }

    fn stock(&self) -> &Stock {
        self.job.stock(self.kind).unwrap()
    }

    fn across(&self) -> f64 {
        self.stock().sheet_width.to_mm() - 2.0 * self.stock().margin.to_mm()
    }

    fn lay(&self, job: &Job) -> (Vec<Sheet>, f64) {
        let start = Instant::now();
        let (sheets, told) = nest(&self.pieces, job);
        assert!(told.is_empty(), "{told:?}");
        (sheets, start.elapsed().as_secs_f64())
    }

    /// All copies on one sheet that is long enough: how far they reach, and the seconds it took.
    fn strip(&self, copies: u32) -> (f64, f64) {
        let mut job = self.job.clone();
        job.copies = copies;
        let area: f64 = self.pieces.iter().map(|p| p.outline.area() * f64::from(p.needed(copies))).sum();
        let margin = self.stock().margin;
        let long = mm(3.0 * area / self.across() + 2000.0);
        let stock = match self.kind {
            StockKind::Board => &mut job.board,
            StockKind::Cloth => job.cloth.as_mut().unwrap(),
            StockKind::Paper => job.paper.as_mut().unwrap(),
            StockKind::Liner => job.liner.as_mut().unwrap(),
        };
        stock.sheet_height = long;
        stock.further.clear();
        let (sheets, seconds) = self.lay(&job);
        assert_eq!(sheets.len(), 1);
        let top = sheets[0].placed.iter().map(|p| p.bounds.max.y).fold(0.0, f64::max);
        (top - margin.to_mm(), seconds)
    }

    /// The length that the reference finds for the same.
    fn reference(&self, copies: u32, seconds: u64) -> Option<f64> {
        packer::length(&self.pieces, self.stock(), copies, seconds, 2)
    }
}

fn main() -> ExitCode {
    let asked: Vec<u32> = std::env::args().filter_map(|a| a.parse().ok()).collect();
    let copies = if asked.is_empty() { vec![10, 50, 200] } else { asked };
    for (name, kind) in SETS {
        let case = Case::read(name, kind);
        for &n in &copies {
            let (ours, seconds) = case.strip(n);
            let given = seconds.ceil().max(1.0) as u64;
            let Some(theirs) = case.reference(n, given) else {
                println!("the reference is not there: run tests/run");
                return ExitCode::FAILURE;
            };
            let area: f64 = case.pieces.iter().map(|p| p.outline.area() * f64::from(p.needed(n))).sum();
            let used = area / (ours * case.across());
            println!(
                "{} x {n}: {used:.3} of the strip used, length {ours:.0} mm in {seconds:.1} s, {:.3} of the reference's in {given} s",
                case.name,
                ours / theirs
            );
        }
        let mut job = case.job.clone();
        job.copies = 50;
        let (sheets, seconds) = case.lay(&job);
        let most = sheets.iter().map(|s| s.placed.len()).max().unwrap_or(0) as u32;
        let sheet = case.stock().sheet_height.to_mm() - 2.0 * case.stock().margin.to_mm();
        let given = LONGER * seconds.ceil().max(1.0) as u64;
        let more = (case.pieces.len() == 1).then(|| case.reference(most + 1, given)).flatten();
        let says = match more {
            Some(theirs) if theirs <= sheet => "the reference finds room for one more",
            Some(_) => "the reference finds no room for one more",
            None => "",
        };
        println!("{} x 50 on {} sheets in {seconds:.1} s, up to {most} on one: {says}", case.name, sheets.len());
    }
    ExitCode::SUCCESS
}
