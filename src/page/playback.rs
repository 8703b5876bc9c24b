//! A program followed from its bytes, with the time of every move: what the machine will do.

use super::findings::word;
use crate::diag::{Diagnostic, Severity};
use crate::geom::{Point, pt};
use crate::ops::side_name;
use crate::pipeline::File;
use crate::profile::{Lift, Profile, ZZero};
use crate::register::{Affine, Register};
use crate::units::tidy;
use crate::verify::move_seconds;
use crate::verify::read::{Expectation, Kind, Move, program};
use crate::write::manifest::{ProgramFigures, RunKind};
use serde::Serialize;

/// How far chords stray from an arc, mm.
const CHORD: f64 = 0.05;
/// The most moves that are sent.
const MOST: usize = 400_000;

/// The programs of a folder with the sheets that they cut.
pub struct Played {
    /// What is known of them.
    pub programs: Vec<ProgramFigures>,
    /// What was said of the machines.
    pub said: Vec<Diagnostic>,
    /// What the box is called.
    pub title: String,
    /// The sheets.
    pub sheets: Vec<ShownSheet>,
    /// Those in register: they are shown as they are laid out, and the way on them.
    pub registers: Vec<Register>,
    /// The files that the job names.
    pub of_job: Vec<String>,
}

/// A sheet, for what is drawn on it.
pub struct ShownSheet {
    /// Its id, with its other face up that of [`side_name`].
    pub id: String,
    /// Its picture, each piece a group of its own.
    pub svg: String,
    /// Its width and height, mm.
    pub size: Point,
    /// Its thickness, mm.
    pub thickness: f64,
}

/// A program as it runs.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Playback {
    machine: String,
    file: String,
    sheet: String,
    seconds: f64,
    words: String,
    lines: Vec<String>,
    moves: Vec<Step>,
    sheet_svg: String,
    size: [f64; 2],
    findings: Vec<Said>,
    notes: Vec<String>,
}

/// Seconds at its end, x, y, z above the bed if it is known, 1 where it works, the line from 0.
#[derive(Clone, Copy, Debug, Serialize)]
struct Step(f64, f64, f64, Option<f64>, u8, u32);

/// Something that is said of a program.
#[derive(Clone, Debug, Serialize)]
struct Said {
    severity: &'static str,
    message: String,
    help: Option<String>,
}

impl Playback {
    /// How long it takes as it is played.
    pub fn length(&self) -> f64 {
        self.moves.last().map_or(0.0, |m| m.0)
    }

    /// How long the program is said to take.
    pub fn seconds(&self) -> f64 {
        self.seconds
    }

    /// Its file.
    pub fn file(&self) -> &str {
        &self.file
    }
}

/// Every program of a machine that works, in the order of the sheets.
pub fn playbacks(files: &[File], made: &Played, profile: &Profile) -> Vec<Playback> {
    let works = |p: &&ProgramFigures| p.kind == RunKind::Work && p.machine == profile.id;
    made.programs
        .iter()
        .filter(works)
        .filter_map(|figures| {
            let bytes = &files.iter().find(|f| f.0 == figures.file)?.1;
            let sheet = made.sheets.iter().find(|s| s.id == side_name(&figures.sheet, figures.first_side))?;
            Some(playback(made, profile, figures, bytes, sheet))
        })
        .collect()
}

fn playback(made: &Played, profile: &Profile, figures: &ProgramFigures, bytes: &[u8], sheet: &ShownSheet) -> Playback {
    let machine = &profile.machine;
    let first = figures.tool.split(',').next().unwrap_or_default().trim();
    let first_tool = profile.tools.iter().position(|t| t.id == first).unwrap_or(0) as u16;
    let top = if machine.z_zero == ZZero::Bed { sheet.thickness } else { 0.0 };
    let expect = Expectation {
        profile,
        first_tool,
        sheet: &sheet.id,
        title: &made.title,
        safe_z: top + machine.safe_height.to_mm(),
    };
    let reading = program(bytes, &expect);
    let lies = made.registers.iter().find(|r| r.sheet == sheet.id && r.machine == profile.id);
    let mut follow = Follow::new(profile, sheet, first_tool, lies.and_then(|r| r.map.inverse()));
    let each = move_seconds(&reading.moves, profile, machine.park_on_bed(), first_tool);
    for (m, (own, wait)) in reading.moves.iter().zip(each) {
        follow.step(m, own + wait);
    }
    let mut notes = Vec::new();
    // What a program cannot say of itself (feeds in whole centimetres a second, waits of a plot) is known to
    // whoever wrote it: its own figure counts, and what is followed is stretched to it.
    if figures.seconds > 0.0 && follow.t > 0.0 {
        let share = figures.seconds / follow.t;
        if (share - 1.0).abs() > 0.03 {
            notes.push(
                "the times of single moves are about right, their sum is exact: the file rounds its speeds".into(),
            );
        }
        for m in &mut follow.steps {
            m.0 = tidy(m.0 * share, 4);
        }
    }
    let changes = reading.moves.iter().filter(|m| matches!(m.kind, Kind::Change(_))).count();
    if changes > 0 {
        notes.push(format!("tools are changed {changes} times; the time for it is yours and not counted"));
    }
    notes.extend(profile.cautions.iter().cloned());
    let said = made.said.iter().map(of_diagnostic).chain(reading.findings.iter().map(|f| Said {
        severity: word(f.severity),
        message: f.message.clone(),
        help: f.hint.clone(),
    }));
    Playback {
        machine: profile.id.clone(),
        file: figures.file.clone(),
        sheet: sheet.id.clone(),
        seconds: tidy(figures.seconds, 3),
        words: words(figures),
        lines: String::from_utf8_lossy(bytes).lines().map(str::to_owned).collect(),
        moves: follow.steps,
        sheet_svg: sheet.svg.clone(),
        size: [sheet.size.x, sheet.size.y],
        findings: said.collect(),
        notes,
    }
}

fn of_diagnostic(d: &Diagnostic) -> Said {
    let severity = if d.severity == Severity::Error { Severity::Error } else { d.severity };
    Said { severity: word(severity), message: d.message.clone(), help: d.hint.clone() }
}

fn words(figures: &ProgramFigures) -> String {
    let seconds = figures.seconds.round() as u64;
    let time = match (seconds / 60, seconds % 60) {
        (0, s) => format!("{s} s"),
        (m, s) if m < 60 => format!("{m} min {s:02} s"),
        (m, _) => format!("{} h {:02} min", m / 60, m % 60),
    };
    let what: Vec<&str> = figures.operations.iter().map(|o| o.word()).collect();
    format!(
        "{}{}: {} by {}, {:.1} m in {time}",
        figures.sheet,
        if figures.first_side { ", first run, its other face up" } else { "" },
        what.join(", "),
        figures.tool,
        figures.cut_mm.to_mm() / 1000.0
    )
}

/// Where the machine is while its moves are followed.
struct Follow<'a> {
    profile: &'a Profile,
    /// Of the sheet's lower left corner on the bed.
    origin: Point,
    /// From where the sheet lies to where it is laid out.
    back: Option<Affine>,
    /// The Z of the stock's top, and of the bed's face from Z0.
    top: f64,
    bed: f64,
    t: f64,
    at: Point,
    z: Option<f64>,
    tool: u16,
    is_on: bool,
    steps: Vec<Step>,
}

impl<'a> Follow<'a> {
    fn new(profile: &'a Profile, sheet: &ShownSheet, tool: u16, back: Option<Affine>) -> Self {
        let machine = &profile.machine;
        let [x, y] = machine.origin;
        let from_bed = machine.z_zero == ZZero::Bed;
        let origin = pt(x.to_mm(), y.to_mm());
        let mut new = Self {
            profile,
            origin,
            back,
            top: if from_bed { sheet.thickness } else { 0.0 },
            bed: if from_bed { 0.0 } else { sheet.thickness },
            t: 0.0,
            at: machine.park_on_bed(),
            z: None,
            tool,
            is_on: false,
            steps: Vec::new(),
        };
        new.push(new.at, false, 1);
        new
    }

    fn push(&mut self, at: Point, is_down: bool, line: u32) {
        if self.steps.len() < MOST {
            let on = at - self.origin;
            let on = self.back.map_or(on, |back| back.apply(on));
            let step = Step(
                self.t,
                tidy(on.x, 3),
                tidy(on.y, 3),
                self.z.map(|z| tidy(z + self.bed, 3)),
                u8::from(is_down),
                line.saturating_sub(1),
            );
            self.steps.push(step);
        }
        self.at = at;
    }

    /// Whether a move works the stock.
    fn is_down(&self, m: &Move) -> bool {
        if m.kind == Kind::Rapid {
            return false;
        }
        let by_words = !self.profile.machine.z_axis
            || self.profile.tools.get(usize::from(self.tool)).is_some_and(|t| t.lift == Lift::Words);
        if by_words { self.is_on } else { m.to.z < self.top - 1e-6 && m.from.z <= self.top + 1e-6 }
    }

    fn step(&mut self, m: &Move, seconds: f64) {
        let seconds = if seconds.is_finite() { seconds.max(0.0) } else { 0.0 };
        match m.kind {
            Kind::On { .. } => self.is_on = true,
            Kind::Off => self.is_on = false,
            Kind::Change(tool) => (self.tool, self.is_on) = (tool, false),
            _ => {}
        }
        let is_way = matches!(m.kind, Kind::Rapid | Kind::Line | Kind::Arc { .. });
        if !is_way {
            self.t += seconds;
            if seconds > 0.0 {
                let is_down = self.steps.last().is_some_and(|s| s.4 == 1) && self.is_down(m);
                self.push(self.at, is_down, m.line);
            }
            return;
        }
        let is_down = self.is_down(m);
        let (start_t, start_z) = (self.t, self.z);
        let end_z = Some(m.to.z).filter(|z| z.is_finite() && self.profile.machine.z_axis);
        if !m.goes_to_a_place() {
            self.t += seconds;
            self.z = end_z.or(self.z);
            self.push(self.at, is_down, m.line);
            return;
        }
        let mut way = m.segment();
        if !way.start.x.is_finite() || !way.start.y.is_finite() {
            way.start = self.at;
        }
        let points = way.flatten(CHORD);
        let n = points.len() as f64;
        for (i, p) in points.into_iter().enumerate() {
            let share = (i + 1) as f64 / n;
            self.t = start_t + seconds * share;
            self.z = match (start_z, end_z) {
                (Some(a), Some(b)) => Some(a + (b - a) * share),
                (_, b) => b.or(start_z),
            };
            self.push(p, is_down, m.line);
        }
    }
}
