//! The proof of a drag knife's program of 10^4, 10^5 and 10^6 motions against its drawing, beside
//! the bare parse of the same bytes by the general G-code library; and of the four-lid sample's
//! folder for all machines that can cut it; and of two editions for a laser, one with finely drawn lids, one whose
//! every sheet is another because its pieces are numbered, beside the export of the same job.
//!
//!     cargo bench --bench verify
//!
//! The time a motion should be the same in all three. Before the largest the memory is said that
//! it took, program, drawing and all, where the system tells it. An edition's proof should take less than three
//! times its export, and four times as many boxes about four times as long: it ends with an error where one does not.
#![allow(missing_docs, clippy::unwrap_used, clippy::print_stdout, reason = "a bench")]

use criterion::{BenchmarkId, Criterion, SamplingMode, Throughput, criterion_group, criterion_main};
use flapwright::cli::run;
use flapwright::geom::pt;
use flapwright::job::StockKind;
use flapwright::motion::build;
use flapwright::profile::{OperationKind, Profile, shipped};
use flapwright::units::Unit;
use flapwright::verify::nominal::Nominal;
use flapwright::verify::read::dxf as drawing;
use flapwright::verify::{ProgramProof, Subject, verify_folder, verify_program};
use flapwright::write::dxf::{DxfVersion, dxf, nominal};
use flapwright::write::program::write;
use std::collections::BTreeMap;
use std::hint::black_box;
use std::path::Path;
use std::time::{Duration, Instant};

#[path = "common/discs.rs"]
mod discs;

use discs::{THICKNESS, machine};

/// Wavy discs; at each of their small corners the blade swivels, which makes two motions of an edge.
fn sheet(motions: usize) -> flapwright::ops::SheetOps {
    discs::sheet(motions / 100, 0.0)
}

/// A program, the drawing that it is to cut, and the machine.
struct Case {
    program: Vec<u8>,
    drawing: Vec<u8>,
    machine: Profile,
}

fn case(motions: usize) -> Case {
    let machine = machine();
    let sheet = sheet(motions);
    let (program, told) = build(&sheet, &machine);
    let program = program.unwrap_or_else(|| unreachable!("{told:?}"));
    let drawing = dxf(sheet.sheet.width, sheet.sheet.height, nominal(&sheet), DxfVersion::R2000);
    Case { program: write(&program, &machine, "Tideline folio").0.remove(0).bytes, drawing, machine }
}

fn prove(case: &Case) -> ProgramProof {
    let [x, y] = case.machine.machine.origin;
    let (drawn, _) = drawing::read(&case.drawing);
    let nominal = Nominal::of_drawing(&drawn, pt(x.to_mm(), y.to_mm()), StockKind::Liner, THICKNESS);
    let through =
        |r: &&flapwright::profile::Rule| r.operation == OperationKind::ThroughCut && r.stock == StockKind::Liner;
    let tool = case.machine.rules.iter().find(through).map(|r| r.tool.clone()).unwrap();
    let proof = verify_program(&Subject {
        file: "discs.nc",
        bytes: &case.program,
        profile: &case.machine,
        first_tool: case.machine.tools.iter().position(|t| t.id == tool).unwrap() as u16,
        title: "Tideline folio",
        sheet: "liner-1",
        stock: StockKind::Liner,
        thickness: THICKNESS,
        nominal: Some(&nominal),
        operations: &[OperationKind::ThroughCut],
        entry: None,
        stays_up: false,
        is_ours: true,
    });
    assert!(proof.is_good(), "{:?}", proof.findings.first());
    proof
}

/// The general library's own reading, and nothing made of it.
fn parsed(bytes: &[u8]) {
    gcode::core::parse(std::str::from_utf8(bytes).unwrap(), &mut gcode::core::Noop);
}

/// The largest memory that this process ever held.
fn peak() -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let held = status.lines().find_map(|l| l.strip_prefix("VmHWM:"));
    let kb = held.and_then(|l| l.split_whitespace().next()?.parse::<u64>().ok());
    kb.map_or_else(|| "unknown".into(), |kb| format!("{} MB", kb / 1000))
}

fn folder() -> BTreeMap<String, Vec<u8>> {
    let out = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/tmp/bench-verify");
    let _ = std::fs::remove_dir_all(&out);
    std::fs::create_dir_all(out.parent().unwrap()).unwrap();
    let job = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/tideline-folio.toml");
    let mut args = vec!["flapwright".into(), "export".into(), job.into_os_string(), "--out".into()];
    args.push(out.clone().into_os_string());
    // The scoring plotter's bed is smaller than the sheets.
    for (id, _) in shipped().iter().filter(|s| s.0 != "scoring-plotter") {
        args.extend(["--machine".into(), (*id).into()]);
    }
    let _ = run(args, &mut Vec::new(), &mut Vec::new(), false);
    let files = std::fs::read_dir(&out).unwrap().map(|e| e.unwrap());
    files.map(|e| (e.file_name().into_string().unwrap(), std::fs::read(e.path()).unwrap())).collect()
}

fn proofs(c: &mut Criterion) {
    let mut group = c.benchmark_group("verify");
    group.sample_size(10).sampling_mode(SamplingMode::Flat).warm_up_time(Duration::from_millis(500));
    group.measurement_time(Duration::from_secs(8));
    for motions in [10_000, 100_000, 1_000_000] {
        let case = case(motions);
        if motions == 1_000_000 {
            let before = peak();
            let moves = prove(&case).used.moves;
            println!("{moves} motions: {} at the most, {before} before the proof", peak());
        }
        group.throughput(Throughput::Elements(motions as u64));
        group.bench_function(BenchmarkId::new("prove", motions), |b| b.iter(|| black_box(prove(&case))));
        group.bench_function(BenchmarkId::new("bare parse", motions), |b| b.iter(|| parsed(black_box(&case.program))));
    }
    let files = folder();
    group.bench_function("four-lid sample, every machine", |b| b.iter(|| assert!(verify_folder(&files).is_good())));
    group.finish();
}

/// The lid that a sample's maker drew, its arcs in lines of `step` mm as programs for drawing leave them.
fn finely_drawn(step: f64) -> String {
    let bytes = std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/whelk-lid.dxf")).unwrap();
    let (outline, told) = flapwright::import::outline(&bytes, None, Unit::Mm);
    let contour = outline.unwrap_or_else(|| unreachable!("{told:?}")).contour;
    let mut text = String::from("0\nSECTION\n2\nENTITIES\n");
    for s in contour.segments() {
        let n = if s.is_line() { 1 } else { (s.length() / step).ceil() as usize };
        for i in 0..n {
            let (a, b) = (s.point_at(i as f64 / n as f64), s.point_at((i + 1) as f64 / n as f64));
            for (code, v) in [(10, a.x), (20, a.y), (11, b.x), (21, b.y)] {
                if code == 10 {
                    text.push_str("0\nLINE\n8\nLID\n");
                }
                text.push_str(&format!("{code}\n{v:.8}\n"));
            }
        }
    }
    text + "0\nENDSEC\n0\nEOF\n"
}

/// What is asked of an edition's lids and sheets.
#[derive(Clone, Copy)]
struct Kind {
    /// How it is told.
    name: &'static str,
    /// How long the lines of the lids' arcs are, mm; as the maker drew them where there are none.
    step: Option<f64>,
    /// Whether each piece has its number, so that every sheet has a program of its own.
    is_numbered: bool,
    /// How many boxes; four times as many besides.
    copies: u32,
}

/// What an edition took: the least seconds of three exports and three proofs in turn, and the lines of its programs.
struct Took {
    export: f64,
    verify: f64,
    lines: usize,
}

/// How many lines the programs below a folder have.
fn lines_in(folder: &Path) -> usize {
    let of = |path: std::path::PathBuf| match path.extension() {
        _ if path.is_dir() => lines_in(&path),
        Some(e) if e == "nc" => std::fs::read_to_string(&path).unwrap().lines().count(),
        _ => 0,
    };
    std::fs::read_dir(folder).unwrap().map(|e| of(e.unwrap().path())).sum()
}

/// An edition exported for the laser and proved.
fn edition(kind: Kind, copies: u32) -> Took {
    let home = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("target/tmp/bench-edition-{copies}"));
    std::fs::create_dir_all(&home).unwrap();
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let mut job = std::fs::read_to_string(samples.join("whelk-box.toml")).unwrap();
    let title = "title = \"Whelk box\"";
    assert!(job.contains(title) && !job.contains("[marks]"));
    job = job.replace(title, &format!("{title}\ncopies = {copies}"));
    if kind.is_numbered {
        job.push_str("\n[marks]\ncopy_numbers = true\n");
    }
    std::fs::write(home.join("whelk-box.toml"), job).unwrap();
    let lid =
        kind.step.map_or_else(|| std::fs::read(samples.join("whelk-lid.dxf")).unwrap(), |s| finely_drawn(s).into());
    std::fs::write(home.join("whelk-lid.dxf"), lid).unwrap();
    let out = home.join("out");
    let timed = |args: &[&str]| {
        let (start, mut told) = (Instant::now(), Vec::new());
        let mut errors = Vec::new();
        let exit = run(args.iter().map(std::ffi::OsString::from).collect::<Vec<_>>(), &mut told, &mut errors, false);
        assert!(
            exit == flapwright::cli::Exit::Good,
            "{}{}",
            String::from_utf8_lossy(&told),
            String::from_utf8_lossy(&errors)
        );
        start.elapsed().as_secs_f64()
    };
    let (job, folder) = (home.join("whelk-box.toml"), out.to_str().unwrap());
    let (mut export, mut verify) = (f64::INFINITY, f64::INFINITY);
    for _ in 0..3 {
        let _ = std::fs::remove_dir_all(&out);
        let args = ["flapwright", "export", job.to_str().unwrap(), "--out", folder, "--machine", "shared-laser-cutter"];
        export = export.min(timed(&args));
        verify = verify.min(timed(&["flapwright", "verify", folder]));
    }
    let lines = lines_in(&out);
    let _ = std::fs::remove_dir_all(&out);
    Took { export, verify, lines }
}

/// Editions proved in less than three times their export, and four times as many boxes in about four times as long
/// at most.
fn editions(_: &mut Criterion) {
    let finely = Kind { name: "lids in lines of 0.1 mm", step: Some(0.1), is_numbered: false, copies: 12 };
    let numbered = Kind { name: "every piece numbered", step: None, is_numbered: true, copies: 13 };
    for kind in [finely, numbered] {
        let mut before: Option<Took> = None;
        for copies in [kind.copies, 4 * kind.copies] {
            let took = edition(kind, copies);
            let Took { export, verify, lines } = took;
            let share = verify / export;
            println!(
                "edition of {copies}, {}, {lines} lines: export {export:.2} s, verify {verify:.2} s, {share:.2} times as long",
                kind.name
            );
            assert!(share < 3.0, "three times as long as the export at most");
            if let Some(few) = &before {
                let (longer, more) = (verify / few.verify, lines as f64 / few.lines as f64);
                println!("four times the boxes, {more:.2} times the lines: proved in {longer:.2} times as long");
                assert!(longer < 5.0, "about four times as long at most");
            }
            before = Some(took);
        }
    }
}

criterion_group!(benches, proofs, editions);
criterion_main!(benches);
