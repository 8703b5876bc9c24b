//! G-code (NIST RS274/NGC) by what the controller can do, as its profile says.
//!
//! What holds for every program: it begins with the profile's first lines and a lift to safe height
//! before anything moves in X or Y; every traverse is a G0 at safe height with the tool off where it
//! is switched for each line; Z goes down by G1 only; a turn of the rotary axis is a block of its own
//! with a feed in degrees a minute (2.1.2.5 of the standard); it ends with the tool off, lifted, the
//! machine parked and the profile's last lines. Points are rounded where they lie, so nothing adds
//! up; a word that would repeat what holds is left out.

mod arc;
mod lines;
mod ways;

use super::script::{Script, Writer};
use crate::comp::{Step, is_switched};
use crate::geom::Point;
use crate::motion::{Run, Section, approach_height};
use crate::profile::{DwellUnit, Profile, ProgramUnit, Rule, Tool, ToolChange, ToolKind};
use crate::units::{Feed, decimal};
use lines::Lines;

/// Decimals of a feed: a tenth of a mm, a thousandth of an inch.
const fn feed_decimals(unit: ProgramUnit) -> u32 {
    match unit {
        ProgramUnit::Mm => 1,
        ProgramUnit::Inch => 3,
    }
}

pub(super) const WRITER: Writer = Writer { work: write, outline, lifted, past_its_reach: |_, _| None };

/// The program as the controller reads it.
fn write(job: &Script<'_>) -> Vec<u8> {
    let steps: usize = job.program.sections.iter().flat_map(|s| &s.runs).map(|r| r.steps.len()).sum();
    let mut code = Code::new(job, 4096 + steps * 36);
    code.preamble();
    for (i, section) in job.program.sections.iter().enumerate() {
        code.section(i, section);
    }
    code.finish()
}

/// The rectangle round the work, traced at safe height with the tool off.
fn outline(job: &Script<'_>) -> Vec<u8> {
    let mut code = Code::new(job, 4096);
    code.preamble();
    if let Some(section) = job.program.sections.first() {
        code.tool = Some(&job.profile.tools[section.tool]);
        code.stop();
    }
    code.lift();
    let (low, high) = (job.program.used.min, job.program.used.max);
    for p in [low, Point { x: high.x, y: low.y }, high, Point { x: low.x, y: high.y }, low] {
        code.travel(p);
    }
    code.finish()
}

/// The whole program with the tool never lowered and never on, and no tool changed: for a first run
/// above the work.
fn lifted(job: &Script<'_>) -> Vec<u8> {
    let mut code = Code { is_lifted: true, ..Code::new(job, 4096) };
    code.preamble();
    for (i, section) in job.program.sections.iter().enumerate() {
        code.section(i, section);
    }
    code.finish()
}

/// What holds at the controller, in units of the last decimal; `None` where it is not known.
struct Code<'a> {
    job: &'a Script<'a>,
    profile: &'a Profile,
    lines: Lines<'a>,
    decimals: u32,
    /// Units of the last decimal in one of the program's.
    scale: f64,
    /// The program's unit, mm.
    unit: f64,
    /// Whether the tool stays above the work.
    is_lifted: bool,
    x: Option<i64>,
    y: Option<i64>,
    z: Option<i64>,
    rotary: Option<i64>,
    /// Where the heading stands exactly, degrees.
    heading: f64,
    /// How deep the tool is, mm.
    depth: f64,
    motion: Option<u8>,
    feed: Option<i64>,
    tool: Option<&'a Tool>,
    /// The tool's `on` lines as filled in, while it runs.
    running: Option<Vec<String>>,
}

impl<'a> Code<'a> {
    fn new(job: &'a Script<'a>, room: usize) -> Self {
        let output = &job.profile.output;
        let decimals = output.decimals.min(9);
        Self {
            job,
            profile: job.profile,
            lines: Lines::new(output, room),
            decimals,
            scale: 10f64.powi(decimals as i32),
            unit: output.unit.length().to_mm(),
            is_lifted: false,
            x: None,
            y: None,
            z: None,
            rotary: None,
            heading: 0.0,
            depth: 0.0,
            motion: None,
            feed: None,
            tool: None,
            running: None,
        }
    }

    /// A length, mm, in units of the last decimal.
    fn units(&self, value: f64) -> i64 {
        (value / self.unit * self.scale).round() as i64
    }

    /// A place on the sheet in the machine's coordinates.
    fn placed(&self, p: Point) -> (i64, i64) {
        let place = self.job.placed(p);
        (self.units(place.x), self.units(place.y))
    }

    fn preamble(&mut self) {
        if self.profile.output.percent {
            self.lines.given("%");
        }
        for line in self.job.header() {
            self.lines.comment(&line);
        }
        self.given(&self.profile.output.start, None, None);
        self.lift();
    }

    fn section(&mut self, i: usize, section: &'a Section) {
        let tool = &self.profile.tools[section.tool];
        self.stop_running();
        self.lift();
        self.tool = Some(tool);
        self.lines.comment(&format!("tool {} ({})", tool.number, tool.id));
        if i > 0 && self.profile.machine.z_axis && !is_switched(tool) {
            self.lines.comment("set Z0 anew for this tool");
        }
        if matches!(tool.kind, ToolKind::DragKnife | ToolKind::TangentialKnife) {
            let heading = decimal(tool.start_heading.to_deg(), 1);
            self.lines
                .comment(&format!("before it starts the blade points {heading} degrees counter-clockwise from +X"));
        }
        if i == 0 {
            self.heading = self.profile.machine.x_heading().to_deg() + tool.start_heading.to_deg();
        }
        let is_changed = i > 0 || self.profile.output.tool_change == ToolChange::Automatic;
        if is_changed && !self.is_lifted {
            self.given(&self.profile.output.change, Some(tool), None);
            // Whoever changed the tool may have moved the machine.
            (self.x, self.y, self.z, self.rotary) = (None, None, None, None);
            self.lift();
        }
        if is_switched(tool) || self.is_lifted {
            self.stop();
        }
        for run in &section.runs {
            self.run(run, tool);
        }
        self.stop_running();
    }

    fn run(&mut self, run: &Run, tool: &'a Tool) {
        let line = &run.line;
        let rule = &self.profile.rules[run.rule];
        self.lines.comment(&format!("{} {} copy {} line {}", line.kind.word(), line.piece, line.copy, line.index + 1));
        if !is_switched(tool) {
            self.start(tool, rule);
        }
        for step in &run.steps {
            self.step(step, tool, rule);
        }
    }

    fn step(&mut self, step: &Step, tool: &'a Tool, rule: &Rule) {
        match *step {
            Step::Travel { to } => self.travel(to),
            Step::Turn { heading, feed } => self.turn(heading, feed),
            Step::Plunge { depth, feed } => self.plunge(depth, feed),
            Step::Cut { to, bulge, depth, heading, feed } => self.cut(to, bulge, depth, heading, feed),
            Step::Lift => self.lift(),
            Step::On => self.start(tool, rule),
            Step::Off => {
                self.stop();
            }
            Step::Dwell(seconds) => self.dwell(seconds),
        }
    }

    /// The tool's `on` lines, unless they hold already; a tool that runs on is given its wait.
    fn start(&mut self, tool: &Tool, rule: &Rule) {
        if self.is_lifted {
            return;
        }
        let lines: Vec<String> = tool.on.iter().map(|l| self.job.filled(l, Some(tool), Some(rule))).collect();
        if self.running.as_ref() == Some(&lines) {
            return;
        }
        for line in &lines {
            self.lines.given(line);
        }
        self.forget_modes(!lines.is_empty());
        if !is_switched(tool) && !lines.is_empty() {
            self.dwell(tool.on_dwell);
        }
        self.running = Some(lines);
    }

    /// The tool's `off` lines.
    fn stop(&mut self) {
        if let Some(tool) = self.tool {
            self.given(&tool.off, Some(tool), None);
        }
        self.running = None;
    }

    fn stop_running(&mut self) {
        let Some(tool) = self.tool.filter(|_| self.running.is_some()) else { return };
        if self.running.as_ref().is_some_and(|l| !l.is_empty()) {
            // Never in the stock: whatever runs is stopped above it.
            self.lift();
            self.stop();
            self.dwell(tool.off_dwell);
        }
        self.running = None;
    }

    fn given(&mut self, lines: &[String], tool: Option<&Tool>, rule: Option<&Rule>) {
        for line in lines {
            self.lines.given(&self.job.filled(line, tool, rule));
        }
        self.forget_modes(!lines.is_empty());
    }

    /// Lines that are not ours may have changed the motion mode and the feed.
    fn forget_modes(&mut self, really: bool) {
        if really {
            (self.motion, self.feed) = (None, None);
        }
    }

    fn mode(&mut self, motion: u8) {
        if self.motion != Some(motion) {
            self.lines.word(b"G", i64::from(motion), 0);
            self.motion = Some(motion);
        }
    }

    /// The F word: of a way in the program's unit a minute, of a turn in degrees a minute.
    fn feed(&mut self, feed: f64) {
        let decimals = feed_decimals(self.profile.output.unit);
        let value = (feed * 10f64.powi(decimals as i32)).round().max(1.0) as i64;
        if self.feed != Some(value) {
            self.lines.feed(value, decimals);
            self.feed = Some(value);
        }
    }

    fn way_feed(&mut self, feed: Feed) {
        self.feed(feed.to_mm_per_min() / self.unit);
    }

    fn lift(&mut self) {
        self.depth = 0.0;
        if !self.profile.machine.z_axis {
            return;
        }
        let safe = self.units(self.job.safe_z());
        if self.z != Some(safe) {
            self.lines.begin();
            self.mode(0);
            self.lines.word(b"Z", safe, self.decimals);
            self.lines.end();
            self.z = Some(safe);
        }
    }

    fn travel(&mut self, to: Point) {
        if self.running.is_some() && self.tool.is_some_and(is_switched) {
            self.stop();
        }
        self.lift();
        self.rapid(self.placed(to));
    }

    /// A traverse to a place in the machine's coordinates.
    fn rapid(&mut self, (x, y): (i64, i64)) {
        if (self.x, self.y) == (Some(x), Some(y)) {
            return;
        }
        self.lines.begin();
        self.mode(0);
        self.place(x, y);
        self.lines.end();
    }

    /// The X and Y words that changed.
    fn place(&mut self, x: i64, y: i64) {
        if self.x != Some(x) {
            self.lines.word(b"X", x, self.decimals);
            self.x = Some(x);
        }
        if self.y != Some(y) {
            self.lines.word(b"Y", y, self.decimals);
            self.y = Some(y);
        }
    }

    fn turn(&mut self, heading: f64, feed: f64) {
        self.heading = heading;
        let Some(value) = self.rotary_units(heading) else { return };
        if self.rotary == Some(value) {
            return;
        }
        self.lines.begin();
        self.mode(1);
        self.rotary_word(value);
        // Degrees a minute here, so it is said here and again where the next cut begins.
        self.feed = None;
        self.feed(feed);
        self.lines.end();
        self.feed = None;
    }

    fn rotary_units(&self, heading: f64) -> Option<i64> {
        let output = &self.profile.output;
        let turn = (heading - self.profile.machine.x_heading().to_deg()) * output.rotary_scale;
        output.rotary.as_ref().map(|_| (turn * self.scale).round() as i64)
    }

    fn rotary_word(&mut self, value: i64) {
        if let Some(word) = &self.profile.output.rotary
            && self.rotary != Some(value)
        {
            self.lines.word(word.as_bytes(), value, self.decimals);
            self.rotary = Some(value);
        }
    }

    /// Down, or between depths: at the approach's speed to just above the stock, then at `feed`.
    fn plunge(&mut self, depth: f64, feed: Feed) {
        self.depth = depth;
        if !self.profile.machine.z_axis || self.is_lifted {
            return;
        }
        let machine = &self.profile.machine;
        let near = self.units(self.job.top() + approach_height(machine).to_mm());
        if self.z.is_some_and(|z| z > near) {
            self.down(near, machine.rapid_z);
        }
        self.down(self.units(self.job.top() - depth), feed);
    }

    fn down(&mut self, z: i64, feed: Feed) {
        if self.z == Some(z) {
            return;
        }
        self.lines.begin();
        self.mode(1);
        self.lines.word(b"Z", z, self.decimals);
        self.z = Some(z);
        self.way_feed(feed);
        self.lines.end();
    }

    fn depth_word(&mut self, depth: f64) {
        let z = self.units(self.job.top() - depth);
        // A tool that its words lower is not moved in Z.
        if self.profile.machine.z_axis
            && !self.is_lifted
            && self.tool.is_none_or(|t| t.lift == crate::profile::Lift::Z)
            && self.z != Some(z)
        {
            self.lines.word(b"Z", z, self.decimals);
            self.z = Some(z);
        }
    }

    fn heading_word(&mut self, heading: Option<f64>) {
        if let Some(value) = heading.and_then(|h| self.rotary_units(h)) {
            self.rotary_word(value);
        }
    }

    fn dwell(&mut self, seconds: f64) {
        if seconds <= 0.0 || self.is_lifted {
            return;
        }
        self.lines.begin();
        self.lines.word(b"G", 4, 0);
        match self.profile.output.dwell {
            DwellUnit::Seconds => self.lines.word(b"P", (seconds * 1e3).round() as i64, 3),
            DwellUnit::Milliseconds => self.lines.word(b"P", (seconds * 1e3).round() as i64, 0),
        }
        self.lines.end();
    }

    fn finish(mut self) -> Vec<u8> {
        self.stop_running();
        self.lift();
        let [x, y] = self.profile.machine.park;
        self.rapid((self.units(x.to_mm()), self.units(y.to_mm())));
        self.given(&self.profile.output.end, self.tool, None);
        if self.profile.output.percent {
            self.lines.given("%");
        }
        self.lines.into_bytes()
    }
}

#[cfg(test)]
mod tests;
