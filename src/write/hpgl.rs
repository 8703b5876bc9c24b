//! HP-GL, the plotter language: pens up and down over whole steps, of 0.025 mm unless the profile says otherwise. It has neither depth
//! nor rotary axis nor comments.

use super::script::{Script, Writer};
use crate::comp::Step;
use crate::diag::Diagnostic;
use crate::geom::{Point, Segment};
use crate::motion::Program;
use crate::profile::{Profile, ToolChange};
use crate::units::Feed;
use std::io::Write;

/// Beyond this step some devices stop without a word (819 mm of usual ones; from memory).
const CLAMP: f64 = 32_767.0;

/// The most points of one instruction: small plotters keep a whole one (from memory).
const LIST: usize = 40;

pub(super) const WRITER: Writer = Writer { work: write, outline, lifted, past_its_reach: past_the_clamp };

/// A warning where the work reaches past what some plotters hold, or below zero.
fn past_the_clamp(program: &Program, profile: &Profile) -> Option<Diagnostic> {
    if program.used.is_empty() {
        return None;
    }
    let [ox, oy] = profile.machine.origin;
    let origin = Point { x: ox.to_mm(), y: oy.to_mm() };
    let corners = [program.used.min, program.used.max].map(|p| profile.machine.to_controller(p + origin));
    let most = corners.iter().flat_map(|p| [p.x.abs(), p.y.abs()]).fold(0.0, f64::max);
    let clamp = profile.output.step.to_mm() * CLAMP;
    (most > clamp).then(|| {
        let message = format!(
            "the work on {} reaches {most:.0} mm from X0 Y0; some HP-GL plotters stop at {clamp:.0} mm (step 32767) without a word",
            program.sheet_name()
        );
        Diagnostic::warning("hpgl-clamp", message)
            .help(format!("try the outline run first, or give the job a sheet of less than {clamp:.0} mm"))
    })
}

/// The program as the plotter reads it.
fn write(job: &Script<'_>) -> Vec<u8> {
    let steps: usize = job.program.sections.iter().flat_map(|s| &s.runs).map(|r| r.steps.len()).sum();
    let mut plot = Plot::new(job, 256 + steps * 16);
    plot.first_lines();
    for (i, section) in job.program.sections.iter().enumerate() {
        let tool = &job.profile.tools[section.tool];
        plot.up();
        if i > 0 || job.profile.output.tool_change == ToolChange::Automatic {
            job.profile.output.change.iter().for_each(|l| plot.line(&job.filled(l, Some(tool), None)));
        }
        plot.line(&format!("SP{};", tool.number));
        for step in section.runs.iter().flat_map(|r| &r.steps) {
            plot.step(step);
        }
    }
    plot.last_lines()
}

/// The rectangle round the work, traced with the pen up.
fn outline(job: &Script<'_>) -> Vec<u8> {
    let mut plot = Plot::new(job, 256);
    plot.first_lines();
    let (low, high) = (job.program.used.min, job.program.used.max);
    for p in [low, Point { x: high.x, y: low.y }, high, Point { x: low.x, y: high.y }, low] {
        plot.travel(p);
    }
    plot.last_lines()
}

/// The whole plot with the pen never lowered.
fn lifted(job: &Script<'_>) -> Vec<u8> {
    let mut plot = Plot { is_lifted: true, ..Plot::new(job, 256) };
    plot.first_lines();
    if let Some(section) = job.program.sections.first() {
        plot.line(&format!("SP{};", job.profile.tools[section.tool].number));
    }
    for step in job.program.sections.iter().flat_map(|s| &s.runs).flat_map(|r| &r.steps) {
        plot.step(step);
    }
    plot.last_lines()
}

struct Plot<'a> {
    job: &'a Script<'a>,
    out: Vec<u8>,
    /// Where the pen is, mm, and in steps.
    at: Point,
    steps: Option<(i64, i64)>,
    is_down: bool,
    /// Whether the pen stays up.
    is_lifted: bool,
    /// Whether a list of points is open after PD, and how many it has.
    in_list: bool,
    listed: usize,
    speed: Option<i64>,
}

impl<'a> Plot<'a> {
    fn new(job: &'a Script<'a>, room: usize) -> Self {
        let at = Point { x: 0.0, y: 0.0 };
        Self {
            job,
            out: Vec::with_capacity(room),
            at,
            steps: None,
            is_down: false,
            is_lifted: false,
            in_list: false,
            listed: 0,
            speed: None,
        }
    }

    fn first_lines(&mut self) {
        let start = &self.job.profile.output.start;
        if !start.first().is_some_and(|l| l.trim_start().to_ascii_uppercase().starts_with("IN")) {
            self.line("IN;");
        }
        start.iter().for_each(|l| self.line(&self.job.filled(l, None, None)));
        self.line("PU;");
    }

    fn last_lines(mut self) -> Vec<u8> {
        self.up();
        let [x, y] = self.job.profile.machine.park;
        let rest = (self.steps_of(x.to_mm()), self.steps_of(y.to_mm()));
        self.pen_to("PU", rest);
        let end = &self.job.profile.output.end;
        end.iter().for_each(|l| self.line(&self.job.filled(l, None, None)));
        if !end.iter().any(|l| l.contains("SP0")) {
            self.line("SP0;");
        }
        self.out
    }

    fn line(&mut self, text: &str) {
        self.close_list();
        self.out.extend(text.trim().bytes().filter(u8::is_ascii));
        self.out.extend_from_slice(match self.job.profile.output.line_ending {
            crate::profile::LineEnding::Lf => b"\n",
            crate::profile::LineEnding::Crlf => b"\r\n",
        });
    }

    fn close_list(&mut self) {
        if self.in_list {
            self.in_list = false;
            self.line(";");
        }
    }

    fn step(&mut self, step: &Step) {
        match *step {
            Step::Travel { to } => self.travel(to),
            Step::On | Step::Plunge { .. } => self.is_down = !self.is_lifted,
            Step::Off | Step::Lift => self.up(),
            Step::Cut { to, bulge, feed, .. } => self.cut(to, bulge, feed),
            // The language has neither waits nor a rotary axis.
            Step::Dwell(_) | Step::Turn { .. } => {}
        }
    }

    fn up(&mut self) {
        if self.is_down {
            self.line("PU;");
            self.is_down = false;
        }
    }

    fn travel(&mut self, to: Point) {
        self.up();
        self.at = to;
        let to = self.placed(to);
        self.pen_to("PU", to);
    }

    fn pen_to(&mut self, word: &str, to: (i64, i64)) {
        if self.steps != Some(to) {
            self.line(&format!("{word}{},{};", to.0, to.1));
            self.steps = Some(to);
        }
    }

    /// A place in whole steps, rounded where it lies so that nothing adds up.
    fn placed(&self, p: Point) -> (i64, i64) {
        let place = self.job.placed(p);
        (self.steps_of(place.x), self.steps_of(place.y))
    }

    fn steps_of(&self, mm: f64) -> i64 {
        (mm / self.job.profile.output.step.to_mm()).round() as i64
    }

    fn cut(&mut self, to: Point, bulge: f64, feed: Feed) {
        self.velocity(feed);
        let arc = Segment { start: self.at, end: to, bulge };
        for p in arc.flatten(self.job.profile.output.chord.to_mm()) {
            let place = self.placed(p);
            if self.steps == Some(place) {
                continue;
            }
            if self.listed >= LIST {
                self.close_list();
            }
            let mark = match (self.in_list, self.is_lifted) {
                (true, _) => ",",
                (false, true) => "PU",
                (false, false) => "PD",
            };
            self.listed = if self.in_list { self.listed + 1 } else { 1 };
            self.in_list = true;
            // Writing into memory cannot fail.
            let _ = write!(self.out, "{mark}{},{}", place.0, place.1);
            self.steps = Some(place);
        }
        self.at = to;
    }

    /// VS takes whole centimetres a second.
    fn velocity(&mut self, feed: Feed) {
        let speed = (feed.to_mm_per_s() / 10.0).round().max(1.0) as i64;
        if self.speed != Some(speed) {
            self.line(&format!("VS{speed};"));
            self.speed = Some(speed);
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::comp::testbed::{cut_of, profile, sheet};
    use crate::geom::{Contour, pt};
    use crate::motion::build;
    use crate::ops::Keep;
    use crate::profile::{Language, Lift, Profile, ToolKind};
    use crate::units::mm;
    use crate::write::program::{outline, write};

    fn plotter() -> Profile {
        let mut p = profile(ToolKind::DragKnife);
        (p.output.language, p.machine.z_axis) = (Language::Hpgl, false);
        (p.output.start, p.output.end) = (Vec::new(), Vec::new());
        (p.tools[0].lift, p.tools[0].pivot_offset) = (Lift::Words, mm(0.0));
        p.rules.iter_mut().for_each(|r| (r.pass_depth, r.overrun) = (mm(5.0), mm(0.0)));
        p
    }

    fn text_of(c: Contour, p: &Profile) -> (String, usize) {
        let (program, told) = build(&sheet(vec![cut_of(c, Keep::Inside)]), p);
        let (files, told) = write(&program.unwrap_or_else(|| panic!("{told:?}")), p, "Tideline folio");
        (String::from_utf8(files[0].bytes.clone()).expect("ASCII"), told.len())
    }

    #[test]
    fn a_square_is_written_in_whole_steps() {
        let (text, told) = text_of(Contour::rectangle(pt(10.0, 10.0), pt(30.0, 20.0)), &plotter());
        // 0.025 mm a step; 2400 mm/min are 4 cm/s.
        assert!(text.starts_with("IN;\nPU;\nSP1;\nPU"), "{text}");
        assert!(text.contains("VS4;\n") && text.contains("PD400,400,1200,400,1200,800,400,800,400,600;\n"), "{text}");
        assert!(text.ends_with("PU;\nPU0,0;\nSP0;\n"), "{text}");
        assert_eq!(told, 0);
    }

    #[test]
    fn rounding_does_not_add_up() {
        // A thousand edges of 0.11 mm (4.4 steps): the far end lies where it should.
        let top = (0..=1000).rev().map(|i| pt(10.0 + 0.11 * f64::from(i), 40.0));
        let c = Contour::polygon([pt(10.0, 10.0), pt(120.0, 10.0)].into_iter().chain(top));
        let (text, _) = text_of(c, &plotter());
        for i in 0..=1000 {
            let x = ((10.0 + 0.11 * f64::from(i)) * 40.0).round();
            assert!(text.contains(&format!("{x},1600")), "{i}");
        }
    }

    #[test]
    fn what_some_plotters_clamp_is_told() {
        let (_, told) = text_of(Contour::rectangle(pt(10.0, 10.0), pt(30.0, 830.0)), &plotter());
        assert_eq!(told, 1);
    }

    #[test]
    fn the_outline_run_has_the_pen_up() {
        let p = plotter();
        let ops = sheet(vec![cut_of(Contour::circle(pt(50.0, 50.0), 20.0), Keep::Inside)]);
        let bytes = outline(&build(&ops, &p).0.expect("can be drawn"), &p, "Tideline folio").expect("work");
        let text = String::from_utf8(bytes).expect("ASCII");
        assert!(!text.contains("PD") && text.contains("PU1200,1200;\nPU2800,1200;\nPU2800,2800;\n"), "{text}");
    }
}
