//! Programs for machines: which sheets a machine serves, their programs, and what is said of them.

use super::File;
use super::filing::Filing;
use super::left::{LeftOut, is_left};
use super::work::Worked;
use crate::comp::Kerfs;
use crate::diag::{Diagnostic, without_repeats};
use crate::job::{Coating, Job, StockKind};
use crate::motion::{self, time::timing};
use crate::nest::{Apart, no_room_for_pins};
use crate::ops::{Operation, PINS, SheetOps};
use crate::profile::{OperationKind, Profile, Rule, ToolKind};
use crate::register::{Affine, Register};
use crate::units::{Length, Unit, decimal, mm};
use crate::write::manifest::{ProgramFigures, RunKind};
use crate::write::program::{lifted, outline, write};
use crate::write::svg::preview;
use rayon::prelude::*;
use std::borrow::Cow;

/// A program as it will be written.
#[derive(Clone, Debug)]
pub struct MadeProgram {
    /// What is known of it.
    pub figures: ProgramFigures,
    /// The file.
    pub bytes: Vec<u8>,
}

/// What a machine gets.
#[derive(Clone, Debug, Default)]
pub struct Programs {
    /// Its programs, sheet by sheet.
    pub programs: Vec<MadeProgram>,
    /// How it goes about each sheet: a file name and an SVG.
    pub previews: Vec<File>,
}

/// The programs of every sheet that the machine serves, without the operations that are `left` to
/// a hand or another machine. It serves a stock that it can cut through (or, where that is left,
/// does anything to); other stocks are another machine's. An operation that it lacks on a stock
/// that it serves is an error.
/// Where it is `lifted`, each is written a second time, to be run above the work. A sheet in register on this machine
/// is worked where it lies. Their names are those of `filing`.
pub fn programs(
    job: &Job,
    worked: &Worked,
    profile: &Profile,
    left: &[LeftOut],
    is_lifted: bool,
    registers: &[Register],
    filing: Filing,
) -> (Programs, Vec<Diagnostic>) {
    let lies = |ops: &SheetOps| registers.iter().find(|r| r.sheet == ops.sheet.id && r.machine == profile.id);
    let of = |ops: &SheetOps| of_sheet(job, ops, profile, left, is_lifted, lies(ops)).placed(filing, ops.sheet.stock);
    let sheets: Vec<OfSheet> = worked.operations.par_iter().map(of).collect();
    let mut made = Programs::default();
    let mut said = Vec::new();
    let mut passed_over: Vec<StockKind> = Vec::new();
    for sheet in sheets {
        made.programs.extend(sheet.programs);
        made.previews.extend(sheet.previews);
        said.extend(sheet.said);
        passed_over.extend(sheet.passed_over);
    }
    without_repeats(&mut said);
    passed_over.dedup();
    let none = made.programs.is_empty() && said.is_empty();
    said.extend(passed_over.into_iter().map(|stock| not_served(profile, stock, none)));
    (made, said)
}

/// What a machine does to one sheet.
#[derive(Default)]
pub struct OfSheet {
    /// Its programs.
    pub programs: Vec<MadeProgram>,
    /// How the machine goes about it, run by run: file names and SVGs.
    pub previews: Vec<File>,
    /// What is said of it.
    pub said: Vec<Diagnostic>,
    /// The sheet's stock, where the machine does not serve it.
    pub passed_over: Option<StockKind>,
}

impl OfSheet {
    /// With its files where they lie in their folder.
    #[must_use]
    pub fn placed(mut self, filing: Filing, stock: StockKind) -> Self {
        self.previews = filing.files(stock, self.previews);
        for program in &mut self.programs {
            program.figures.file = filing.place(stock, &program.figures.file);
        }
        self
    }
}

/// The programs of one sheet: see [`programs`]. Where it is worked from its other face too, the programs of that come
/// first; a register is of the sheet as it is laid out.
pub fn of_sheet(
    job: &Job,
    ops: &SheetOps,
    profile: &Profile,
    left: &[LeftOut],
    is_lifted: bool,
    lies: Option<&Register>,
) -> OfSheet {
    let mut of = OfSheet::default();
    let stock = ops.sheet.stock;
    let ours: Vec<(&SheetOps, Cow<'_, SheetOps>)> = ops.sides().filter_map(|s| Some((s, ours(s, left)?))).collect();
    if ours.is_empty() {
        return of;
    }
    if !serves(profile, stock, left) {
        of.passed_over = Some(stock);
        return of;
    }
    if let Some(d) = no_room_for_pins(&ops.sheet, job.units) {
        of.said.push(d);
        return of;
    }
    if matches!(stock, StockKind::Cloth | StockKind::Paper) {
        of.said.extend(cloth_under_beam(job, stock, profile));
    }
    if !ops.shared.is_empty() {
        of.said.extend(cut_takes_from_both(profile, stock));
    }
    for (whole, ours) in ours {
        let lies = lies.filter(|_| !ours.is_first_side);
        of.said.extend(lies.filter(|r| r.is_turned_over).and_then(|_| into_the_wrong_face(&ours)));
        of.said.extend(pins_by_hand(&ours, left));
        let moved = lies.map(|r| ours.moved(&r.map, profile.output.chord));
        let (program, more) = motion::build(moved.as_ref().unwrap_or(&ours), profile);
        of.said.extend(more);
        if let Some(program) = program {
            let laid_back = lies.and_then(|r| laid_back(&program, &r.map));
            let picture = preview(whole, laid_back.as_ref().unwrap_or(&program), profile, &job.title, job.units);
            of.previews.push((format!("{}.{}.svg", program.sheet_name(), profile.id), picture));
            of.programs.extend(written(&job.title, &program, profile, &mut of.said));
            if is_lifted {
                of.programs.extend(above_the_work(&job.title, &program, profile));
            }
        }
    }
    of
}

/// Those operations of a sheet that are not left to others; `None` where there are none, or only holes to turn it over
/// by.
fn ours<'o>(ops: &'o SheetOps, left: &[LeftOut]) -> Option<Cow<'o, SheetOps>> {
    let is_done = |o: &Operation| !is_left(left, ops.sheet.stock, o.kind);
    let is_any = ops.operations.iter().any(|o| is_done(o) && o.piece != PINS);
    is_any.then(|| {
        if ops.operations.iter().all(is_done) {
            return Cow::Borrowed(ops);
        }
        let operations = ops.operations.iter().filter(|o| is_done(o)).cloned().collect();
        Cow::Owned(SheetOps { operations, ..ops.clone() })
    })
}

/// That a machine which does not cut through makes no holes for the pins that its sheet is turned over by.
fn pins_by_hand(ours: &SheetOps, left: &[LeftOut]) -> Option<Diagnostic> {
    let pins = ours.sheet.turn?.pins.filter(|_| ours.is_first_side)?;
    if !is_left(left, ours.sheet.stock, OperationKind::ThroughCut) {
        return None;
    }
    let [a, b] = pins.places.map(|p| format!("{} and {} mm", decimal(p.x, 2), decimal(p.y, 2)));
    let message = format!("no program of {} makes the holes for the pins of {}", ours.sheet.id, pins.diameter);
    Some(Diagnostic::warning("pins-by-hand", message).help(format!(
        "drill them before the first run, at {a} and at {b} from the sheet's lower left corner, or write turning.by = \"corner\""
    )))
}

/// A program as it would be on the sheet as that is laid out, for its picture.
fn laid_back(program: &motion::Program, map: &Affine) -> Option<motion::Program> {
    let back = map.inverse()?;
    let sign = if map.determinant() < 0.0 { -1.0 } else { 1.0 };
    let mut shown = program.clone();
    for step in shown.sections.iter_mut().flat_map(|s| &mut s.runs).flat_map(|r| &mut r.steps) {
        match step {
            motion::Step::Travel { to } => *to = back.apply(*to),
            motion::Step::Cut { to, bulge, .. } => (*to, *bulge) = (back.apply(*to), sign * *bulge),
            _ => {}
        }
    }
    Some(shown)
}

/// On a sheet that lies with its other face up only what goes through it is where it should be.
fn into_the_wrong_face(ops: &SheetOps) -> Option<Diagnostic> {
    let wrong = ops.operations.iter().find(|o| o.kind != OperationKind::ThroughCut)?;
    let (kind, stock) = (wrong.kind.word(), ops.sheet.stock.word());
    let message = format!("{} is turned over, and a {kind} would be worked into its wrong face", ops.sheet.id);
    let hint = format!("work that before it is turned, and leave it here: --leave {stock}/{kind}");
    Some(Diagnostic::error("wrong-face", message).help(hint))
}

/// What stands between two cuts beside each other, so that neither runs into the other: common
/// practice, no source.
const BETWEEN: Length = mm(0.5);
/// What bridges want to hold on to: common practice, no source.
const WEB: Length = mm(1.0);

/// How far apart pieces must lie for the cuts of all these machines, each without what is left to others, and
/// of whoever cuts drawings that are moved for a kerf.
pub fn apart<'a>(machines: impl IntoIterator<Item = (&'a Profile, Vec<LeftOut>)>, kerf: Kerfs) -> Apart {
    let cuts = machines.into_iter().map(|(profile, left)| apart_for_machine(profile, &left));
    cuts.chain([apart_for_kerf(kerf)]).fold(Apart::default(), |all, of| all.and(&of))
}

/// The tool takes its width beside each of two neighbours. Without bridges it is enough that one's cut stays
/// off the other; with them the waste between both cuts holds the pieces, and must be there.
fn apart_for_machine(profile: &Profile, left: &[LeftOut]) -> Apart {
    let mut all = Apart::default();
    for stock in StockKind::ALL.into_iter().filter(|s| !is_left(left, *s, OperationKind::ThroughCut)) {
        let Some((rule, tool)) = profile.rule(OperationKind::ThroughCut, stock) else { continue };
        let kerf = profile.tools[tool].kerf;
        if kerf > Length::ZERO {
            all = all.at_least(stock, if rule.bridges > 0 { kerf * 2.0 + WEB } else { kerf + BETWEEN });
        }
    }
    all
}

fn apart_for_kerf(kerf: Kerfs) -> Apart {
    let wide =
        StockKind::ALL.map(|stock| (stock, kerf.moved(stock))).into_iter().filter(|(_, kerf)| *kerf > Length::ZERO);
    wide.fold(Apart::default(), |all, (stock, kerf)| all.at_least(stock, kerf + BETWEEN))
}

/// A cut in common must take nothing: an error where the machine's does.
fn cut_takes_from_both(profile: &Profile, stock: StockKind) -> Option<Diagnostic> {
    let tool = &profile.tools[profile.rule(OperationKind::ThroughCut, stock)?.1];
    if tool.kerf <= Length::ZERO && !matches!(tool.kind, ToolKind::Beam | ToolKind::Router) {
        return None;
    }
    let message = format!(
        "pieces of {} share their cuts, and {} takes {} away: neighbours would lose half of it each",
        stock.word(),
        tool.id,
        Unit::Mm.show(tool.kerf)
    );
    let hint = format!("set {}.common_cuts = false for this machine, or cut with a blade", stock.word());
    Some(Diagnostic::error("common-cuts-kerf", message).help(hint))
}

/// Whether a machine serves a stock: what it can cut through, or does anything to where that is left.
pub fn serves(profile: &Profile, stock: StockKind, left: &[LeftOut]) -> bool {
    let cut = OperationKind::ThroughCut;
    profile.rules.iter().any(|r| r.stock == stock && (r.operation == cut || is_left(left, stock, cut)))
}

/// What is said of a stock that a machine does not serve: an error where it then has nothing to do.
pub fn not_served(profile: &Profile, stock: StockKind, is_error: bool) -> Diagnostic {
    let message = format!("{} does not cut {}: those sheets have no program of it", profile.name, stock.word());
    let make = if is_error { Diagnostic::error } else { Diagnostic::hint };
    make("stock-not-served", message).help(if profile.rules.iter().any(|r| r.stock == stock) {
        "cut them on another machine or by hand; `export --leave STOCK/through-cut` gives programs of what else it does to them"
    } else {
        "cut them on another machine, or by hand"
    })
}

/// The files of one program and of the run round its outline, with their figures.
pub(super) fn written(
    title: &str,
    program: &motion::Program,
    profile: &Profile,
    said: &mut Vec<Diagnostic>,
) -> Vec<MadeProgram> {
    let name = |suffix: &str| {
        let dot = if suffix.is_empty() { "" } else { "." };
        format!("{}.{}{dot}{suffix}.{}", program.sheet_name(), profile.id, profile.output.extension)
    };
    let (files, more) = write(program, profile, title);
    said.extend(more);
    let whole = files.len() == 1;
    let mut programs: Vec<MadeProgram> = files
        .into_iter()
        .map(|file| {
            let part = if whole { None } else { Some(part(program, file.sections.clone())) };
            let of = part.as_ref().unwrap_or(program);
            MadeProgram { figures: figures(of, profile, name(&file.suffix)), bytes: file.bytes }
        })
        .collect();
    if let Some(bytes) = outline(program, profile, title) {
        let way = mm(2.0 * (program.used.width() + program.used.height()));
        programs.push(MadeProgram { figures: idle(program, profile, name("outline"), RunKind::Outline, way), bytes });
    }
    programs
}

/// The whole way above the work.
fn above_the_work(title: &str, program: &motion::Program, profile: &Profile) -> Option<MadeProgram> {
    let bytes = lifted(program, profile, title)?;
    let total = timing(program, profile).total;
    let way = mm(total.cut_mm + total.travel_mm);
    let file = format!("{}.{}.lifted.{}", program.sheet_name(), profile.id, profile.output.extension);
    Some(MadeProgram { figures: idle(program, profile, file, RunKind::Lifted, way), bytes })
}

/// What is known of a program that does not work.
fn idle(program: &motion::Program, profile: &Profile, file: String, kind: RunKind, way: Length) -> ProgramFigures {
    ProgramFigures {
        file,
        kind,
        sheet: program.sheet.id.clone(),
        first_side: program.is_first_side,
        count: program.sheet.count(),
        machine: profile.id.clone(),
        tool: String::new(),
        cut_mm: Length::ZERO,
        travel_mm: way,
        seconds: 0.0,
        passes: 0,
        operations: Vec::new(),
    }
}

fn part(program: &motion::Program, sections: std::ops::Range<usize>) -> motion::Program {
    motion::Program { sections: program.sections[sections].to_vec(), ..program.clone() }
}

fn figures(program: &motion::Program, profile: &Profile, file: String) -> ProgramFigures {
    let total = timing(program, profile).total;
    let mut tools: Vec<&str> = Vec::new();
    for tool in program.sections.iter().filter_map(|s| profile.tools.get(s.tool)) {
        if !tools.contains(&tool.id.as_str()) {
            tools.push(&tool.id);
        }
    }
    ProgramFigures {
        file,
        kind: RunKind::Work,
        sheet: program.sheet.id.clone(),
        first_side: program.is_first_side,
        count: program.sheet.count(),
        machine: profile.id.clone(),
        tool: tools.join(", "),
        cut_mm: mm(total.cut_mm),
        travel_mm: mm(total.travel_mm),
        seconds: total.seconds,
        passes: total.passes,
        operations: operations(program),
    }
}

fn operations(program: &motion::Program) -> Vec<OperationKind> {
    let runs = || program.sections.iter().flat_map(|s| &s.runs);
    OperationKind::ALL.into_iter().filter(|k| runs().any(|r| r.line.kind == *k)).collect()
}

/// A beam on cloth that may be coated: what it gives off is a matter of health, so it is said of
/// every cloth whose maker's sheet has not been seen.
fn cloth_under_beam(job: &Job, stock: StockKind, profile: &Profile) -> Option<Diagnostic> {
    let coating = job.stock(stock)?.coating;
    let beam = |r: &&Rule| r.stock == stock && profile.tools.iter().any(|t| t.id == r.tool && t.kind == ToolKind::Beam);
    profile.rules.iter().find(beam)?;
    let what = stock.word();
    let message = match coating {
        Coating::None => return None,
        Coating::Unknown => {
            format!("{} puts a beam on a {what} of which it is not known whether it is coated", profile.name)
        }
        Coating::Coated => format!("{} puts a beam on a coated {what}", profile.name),
    };
    Some(Diagnostic::warning("cloth-under-beam", message).help(match coating {
        Coating::Coated => {
            format!(
                "vinyl and PVC give off chlorine, which harms lungs and machine: cut this {what} with a knife \
                 (`export --leave {what}` keeps it out of the programs), unless its safety data sheet and the shop allow a beam"
            )
        }
        _ => {
            format!(
                "vinyl and PVC give off chlorine: see the {what}'s safety data sheet and ask the shop; \
                 set coating = \"none\" under [{what}] once you know that it has none, or cut it with a \
                 knife (`export --leave {what}` keeps it out of the programs)"
            )
        }
    }))
}
