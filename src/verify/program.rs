//! One program proved.

use super::account::{Followed, of_program};
use super::compare::{Bench, Comparison, compare};
use super::gather::gather;
use super::left::{Remains, left};
use super::machine::{Checked, Use, check};
use super::nominal::Nominal;
use super::place::Coordinates;
use super::read::manifest::{ListedProgram, ListedSheet};
use super::read::{Expectation, Move, on_bed, program as read_program};
use super::{Finding, Many, physics};
use crate::diag::Severity;
use crate::geom::pt;
use crate::job::StockKind;
use crate::profile::{OperationKind, Profile, ZZero};
use crate::units::decimal;

/// What is to be proved, and against what.
#[derive(Clone, Copy, Debug)]
pub struct Subject<'a> {
    /// The file's name, for the findings.
    pub file: &'a str,
    /// Its bytes.
    pub bytes: &'a [u8],
    /// The machine that is to run it.
    pub profile: &'a Profile,
    /// The first tool's place in the profile's tools.
    pub first_tool: u16,
    /// The job's title and the sheet's id, for the profile's placeholders.
    pub title: &'a str,
    /// See `title`.
    pub sheet: &'a str,
    /// What it is cut from.
    pub stock: StockKind,
    /// How thick that is, mm.
    pub thickness: f64,
    /// What was asked; `None` checks the machine's side alone.
    pub nominal: Option<&'a Nominal>,
    /// The operations that the program is to do; none for a run round the outline.
    pub operations: &'a [OperationKind],
    /// What the manifest says of it, and its sheet there.
    pub entry: Option<(&'a ListedProgram, &'a ListedSheet)>,
    /// Whether it is to stay above the work with the tool off.
    pub stays_up: bool,
    /// Whether it came out of `export`, and so keeps the profile's feeds and frame.
    pub is_ours: bool,
}

impl<'a> Subject<'a> {
    /// What is known before it is read.
    pub(super) fn expectation(&self) -> Expectation<'a> {
        let machine = &self.profile.machine;
        let top = if machine.z_zero == ZZero::Bed { self.thickness } else { 0.0 };
        Expectation {
            profile: self.profile,
            first_tool: self.first_tool,
            sheet: self.sheet,
            title: self.title,
            safe_z: top + machine.safe_height.to_mm(),
        }
    }
}

/// What came of it.
#[derive(Clone, Debug)]
pub struct ProgramProof {
    /// The file's name.
    pub file: String,
    /// In what it tells places.
    pub coordinates: Coordinates,
    /// What was found.
    pub findings: Vec<Finding>,
    /// What it did with the machine.
    pub used: Use,
    /// What it cut, where it was compared.
    pub comparison: Option<Comparison>,
    /// What it would leave, where it was not compared.
    pub left: Option<Remains>,
    /// What a slanted edge strays outside of arcs in the top face, at most, mm.
    pub arc_stray: f64,
    /// Length worked, mm, passes counted each.
    pub worked: f64,
}

impl ProgramProof {
    /// Whether nothing failed.
    pub fn is_good(&self) -> bool {
        !self.findings.iter().any(Finding::is_error)
    }
}

/// What a profile's rules ask for and a program that is not ours may do in its own way.
const CHOICES: [&str; 5] = ["words-not-of-the-profile", "decimals", "bridges", "direction", "worked-twice"];

/// Reads, follows and compares one program.
pub fn verify_program(subject: &Subject<'_>) -> ProgramProof {
    follow_program(subject).0
}

/// The same, with the program's moves.
pub(super) fn follow_program(subject: &Subject<'_>) -> (ProgramProof, Vec<Move>) {
    let machine = &subject.profile.machine;
    let reading = read_program(subject.bytes, &subject.expectation());
    let mut findings = reading.findings;
    if !subject.is_ours {
        // A program that is not ours need not have the profile's own first and last lines.
        findings.retain(|f| !["start-lines", "end-lines", "line-ending"].contains(&f.code));
    } else {
        findings.extend(reading.other_unit);
    }
    let mut out = Many::default();
    let checked = Checked {
        profile: subject.profile,
        stock: subject.stock,
        thickness: subject.thickness,
        first_tool: subject.first_tool,
        stays_up: subject.stays_up,
        is_ours: subject.is_ours,
    };
    let used = check(&checked, &reading.moves, &mut out);
    let driven = physics::follow(&reading.moves, subject.profile, subject.stock, subject.thickness, subject.first_tool);
    for w in &driven.wrenches {
        let message = format!(
            "the blade is turned by {} degrees in the stock within {} mm of its way, {} are let pass",
            decimal(w.turn, 1),
            decimal(w.way, 2),
            decimal(w.most, 1)
        );
        let help = "lift it and turn it in the air; see the rule's `corner_limit` and the tool's `blade_width`";
        out.push(Finding::at("turned-in-stock", w.line, message).on(w.place).help(help));
    }
    let worked = driven.traces.iter().filter(|t| !t.is_edge).map(|t| t.way.length()).sum();
    let mut kinds = Vec::new();
    let comparison = subject.nominal.map(|nominal| {
        let bench = Bench::new(subject.profile, nominal, &driven.traces, subject.operations);
        if subject.entry.is_some() {
            kinds = bench.kinds_worked();
        }
        compare(&bench, &mut out)
    });
    if let (Some((entry, sheet)), Some(nominal)) = (subject.entry, subject.nominal) {
        let [x, y] = machine.park;
        let mut tools: Vec<u16> = driven.traces.iter().filter(|t| !t.is_edge).map(|t| t.tool).collect();
        tools.dedup();
        let park = on_bed(machine, pt(x.to_mm(), y.to_mm()));
        let done = Followed { moves: &reading.moves, tools: &tools, kinds: &kinds, park };
        findings.extend(of_program(entry, sheet, subject.profile, nominal, &done));
    }
    let left = comparison.is_none().then(|| left(&driven.traces, subject.profile, subject.thickness));
    findings.extend(out.into_vec());
    for f in &mut findings {
        // What another hand chose otherwise than the profile's owner is worth knowing, and no fault.
        if !subject.is_ours && CHOICES.contains(&f.code) {
            f.severity = Severity::Warning;
        }
        subject.file.clone_into(&mut f.file);
        f.shown = f.place.and_then(|p| reading.coordinates.shown(p));
    }
    let proof = ProgramProof {
        file: subject.file.to_owned(),
        coordinates: reading.coordinates,
        findings: gather(findings),
        used,
        comparison,
        left,
        arc_stray: driven.arc_stray,
        worked,
    };
    (proof, reading.moves)
}
