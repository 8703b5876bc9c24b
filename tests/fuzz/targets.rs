//! What is asked of every reader, whatever it is given: no panic, bounded time, places within the
//! text; and of an accepted text that the stages behind it take it. Driven by `tests/fuzz.rs` on
//! stable and by the crate `fuzz/` under libFuzzer.

use flapwright::coupon::{edit, figures, form};
use flapwright::design::design;
use flapwright::diag::{Diagnostic, Place, Places, Source, any_error, render, to_json};
use flapwright::doc::Override;
use flapwright::fit::{bill, fit};
use flapwright::geom::pt;
use flapwright::import;
use flapwright::job::{self, Job, StockKind};
use flapwright::limits::PROBLEMS;
use flapwright::nest::{Apart, Search, nest_with};
use flapwright::ops::operations;
use flapwright::profile::{self, Language, Profile, shipped};
use flapwright::units::{Unit, mm};
use flapwright::verify::program::{Subject, verify_program};
use flapwright::verify::read::{dxf, manifest};
use flapwright::verify::{Finding, nominal::Nominal};

use std::sync::OnceLock;
use std::sync::atomic::AtomicBool;

/// A reader with its name, which is that of its folder of kept inputs.
pub struct Target {
    /// The folder's name.
    pub name: &'static str,
    /// Gives it an input; panics where it does not behave.
    pub run: fn(&[u8]),
}

/// Every target.
pub const ALL: [Target; 8] = [
    Target { name: "job", run: job },
    Target { name: "row", run: row },
    Target { name: "profile", run: profile },
    Target { name: "form", run: form },
    Target { name: "dxf", run: dxf },
    Target { name: "gcode", run: gcode },
    Target { name: "hpgl", run: hpgl },
    Target { name: "manifest", run: manifest },
];

/// Gives an input to the target of that name.
pub fn run(name: &str, input: &[u8]) {
    let target = ALL.iter().find(|t| t.name == name).expect("is a target");
    (target.run)(input);
}

const ROW_JOB: &str = include_str!("../../samples/herbarium-survey.toml");
const LID: &[u8] = include_bytes!("../../samples/whelk-lid.dxf");

/// Files reach the readers as UTF-8 or not at all; the program's own refusal of other bytes is
/// tested with its files.
fn source(bytes: &[u8]) -> Source {
    Source { name: "input.toml".into(), text: String::from_utf8_lossy(bytes).into_owned() }
}

/// Diagnostics lie within their text, can be shown, and are few.
fn told(said: &[Diagnostic], source: &Source) {
    assert!(said.len() <= PROBLEMS, "{} problems", said.len());
    for d in said {
        match &d.place {
            Some(Place::Span(s)) => {
                assert!(s.start <= s.end && s.end <= source.text.len(), "{d:?} of {}", source.text.len());
                assert!(source.text.get(s.clone()).is_some(), "{d:?} divides a character");
            }
            other => panic!("{} is placed at {other:?}", d.code),
        }
        assert!(!d.message.is_empty() && d.message.len() < 2000, "{}: {} bytes", d.code, d.message.len());
    }
    render(said, source, &Places::default(), false);
    to_json(said, source, &Places::default());
}

/// An accepted job goes through the stages, of its copies no more than three and with no effort, for
/// what is tried is not how long a search may last.
fn worked(mut job: Job) {
    job.copies = job.copies.min(3);
    job.layout_effort = job.layout_effort.min(1);
    let (design, mut said) = design(&job);
    said.extend(fit(&job, &design).1);
    bill(&job, &design);
    if any_error(&said) {
        return;
    }
    // Stopped before it begins: the first layout, sought no further.
    let stop = AtomicBool::new(true);
    let apart = Apart::default().at_least(StockKind::Board, mm(0.2));
    let search = Search { apart, stop: &stop, progress: &|_, _, _| {} };
    let (sheets, _) = nest_with(&design.pieces, &job, &search);
    for sheet in &sheets {
        operations(&sheet.clone().into(), &design.pieces);
    }
}

fn job(bytes: &[u8]) {
    let source = source(bytes);
    let (job, said) = job::read_with(&source, &|_| Ok(LID.to_vec()));
    told(&said, &source);
    assert_eq!(job.is_none(), any_error(&said), "{said:?}");
    if let Some(job) = job {
        worked(job);
    }
}

/// Lines `key: cell`, given to a job as a row of a list gives them.
fn row(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let cells = text.lines().filter_map(|l| l.split_once(':'));
    let cells: Vec<Override> =
        cells.map(|(key, cell)| Override { key: key.trim().into(), cell: cell.trim().into() }).collect();
    let template = Source { name: "row".into(), text: ROW_JOB.into() };
    let (job, said, whole) = job::read_over(&template, &|_| Err("there is none".into()), &cells);
    told(&said, &Source { name: "row".into(), text: whole });
    if let Some(job) = job {
        worked(job);
    }
}

fn profile(bytes: &[u8]) {
    let source = source(bytes);
    let (profile, said) = profile::read(&source, "input");
    told(&said, &source);
    assert_eq!(profile.is_none(), any_error(&said), "{said:?}");
    if let Some(profile) = profile {
        profile::describe(&profile);
        profile.capabilities();
    }
}

fn form(bytes: &[u8]) {
    let source = source(bytes);
    let (measured, said) = form::read(&source);
    told(&said, &source);
    let Some(measured) = measured else { return };
    for (profile, (_, text)) in machines().iter().zip(shipped()) {
        let (changes, said) = figures::changes(&measured, profile);
        form::placed(&source, said);
        if let Ok(edited) = edit::edited(text, &changes) {
            edit::diff(text, &edited);
        }
    }
}

fn dxf(bytes: &[u8]) {
    for unit in [Unit::Mm, Unit::Inch] {
        let (outline, said) = import::outline(bytes, None, unit);
        assert_eq!(outline.is_none(), any_error(&said), "{said:?}");
        assert!(said.len() <= PROBLEMS && said.iter().all(|d| d.message.len() < 2000), "{said:?}");
        if let Some(outline) = outline {
            assert!(outline.contour.vertices().iter().all(|v| v.x.is_finite() && v.y.is_finite()));
        }
    }
    let (drawn, _) = dxf::read(bytes);
    Nominal::of_drawing(&drawn, pt(0.0, 0.0), StockKind::Board, 2.0);
}

fn machines() -> &'static [Profile] {
    static MACHINES: OnceLock<Vec<Profile>> = OnceLock::new();
    MACHINES.get_or_init(|| {
        let read = |(id, text): &(&str, &str)| {
            profile::read(&Source { name: (*id).into(), text: (*text).into() }, id).0.expect("is shipped")
        };
        shipped().iter().map(read).collect()
    })
}

/// Read and followed for one of the machines of the language; which one, the length says.
fn program(bytes: &[u8], language: Language) {
    let fitting: Vec<&Profile> = machines().iter().filter(|p| p.output.language == language).collect();
    let proof = verify_program(&Subject {
        file: "input",
        bytes,
        profile: fitting[bytes.len() % fitting.len()],
        first_tool: 0,
        title: "Tideline folio",
        sheet: "board-1",
        stock: StockKind::Board,
        thickness: 2.0,
        nominal: None,
        operations: &[],
        entry: None,
        stays_up: false,
        is_ours: bytes.len().is_multiple_of(2),
    });
    let lines = bytes.split(|b| *b == b'\n').count() as u64;
    let is_placed = |f: &Finding| f.line.is_none_or(|l| u64::from(l) <= lines);
    assert!(proof.findings.iter().all(is_placed), "{lines} lines: {:?}", proof.findings);
}

fn gcode(bytes: &[u8]) {
    program(bytes, Language::Gcode);
}

fn hpgl(bytes: &[u8]) {
    program(bytes, Language::Hpgl);
}

fn manifest(bytes: &[u8]) {
    match manifest::read(bytes) {
        Err(why) => assert!(!why.is_empty() && why.len() < 4000, "{} bytes of reason", why.len()),
        Ok(manifest) => {
            for sheet in &manifest.sheets {
                let _ = Nominal::of_manifest(&manifest, sheet, pt(0.0, 0.0));
            }
        }
    }
}
