//! What the machine may do, whatever the work: its travel, its heights, its feeds, its tool off
//! where it travels, its blade along the way, its beginning and its end.

use super::read::{Kind, Move, heading_of_x, on_bed};
use super::{Finding, Many};
use crate::geom::pt;
use crate::job::StockKind;
use crate::profile::{Lift, OperationKind, Profile, ProgramUnit, Rule, Tool, ToolKind, ZZero};
use crate::units::decimal;

/// What a program did with its machine.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Use {
    /// The deepest below the stock's top, mm; 0 where no Z moves.
    pub deepest: f64,
    /// The lowest traverse above the stock's top, mm; infinite where there is none or no Z.
    pub lowest_travel: f64,
    /// How far the blade's heading was off its way at most, degrees.
    pub heading: f64,
    /// How many moves there are.
    pub moves: usize,
}

/// The largest difference of an arc's two radii, mm (NIST RS274/NGC 3.5.3.2): 0.002 mm or 0.0002 inch.
fn radii(unit: ProgramUnit) -> f64 {
    match unit {
        ProgramUnit::Mm => 0.002,
        ProgramUnit::Inch => 0.0002 * unit.length().to_mm(),
    }
}
/// Rounding of a coordinate, mm.
const SLACK: f64 = 6e-3;
/// How far a blade may point off its way, degrees, when it is not turned on the way.
const HEADING: f64 = 1.0;
/// By how much more than the profile says a chord may leave its arc, for the rounding of its ends.
const CHORD: f64 = 1.1;

/// The machine's side of a program.
pub(super) struct Checked<'a> {
    pub(super) profile: &'a Profile,
    pub(super) stock: StockKind,
    pub(super) thickness: f64,
    pub(super) first_tool: u16,
    /// Whether the tool is to stay above the work and off.
    pub(super) stays_up: bool,
    /// Whether the program is one of ours, and so keeps the profile's feeds.
    pub(super) is_ours: bool,
}

struct Check<'a, 'o> {
    of: &'a Checked<'a>,
    top: f64,
    safe: f64,
    tool: u16,
    on: Option<u64>,
    waited: f64,
    lifted: bool,
    used: Use,
    out: &'o mut Many,
}

/// Checks every move; what is wrong goes to `out`.
pub(super) fn check(of: &Checked<'_>, moves: &[Move], out: &mut Many) -> Use {
    let top = match of.profile.machine.z_zero {
        ZZero::Bed => of.thickness,
        ZZero::StockTop => 0.0,
    };
    let safe = top + of.profile.machine.safe_height.to_mm();
    let used = Use { lowest_travel: f64::INFINITY, moves: moves.len(), ..Use::default() };
    let mut c = Check { of, top, safe, tool: of.first_tool, on: None, waited: 0.0, lifted: false, used, out };
    for m in moves {
        c.one(m);
    }
    c.end(moves);
    c.used
}

impl Check<'_, '_> {
    fn say(&mut self, code: &'static str, m: &Move, message: String, hint: &str) {
        self.out.push(Finding::at(code, m.line, message).on(m.to.xy()).help(hint));
    }

    fn tool(&self) -> Option<&Tool> {
        self.of.profile.tools.get(usize::from(self.tool))
    }

    fn by_z(&self) -> bool {
        self.of.profile.machine.z_axis && self.tool().is_none_or(|t| t.lift == Lift::Z)
    }

    fn one(&mut self, m: &Move) {
        if self.of.stays_up {
            self.up(m);
        }
        match m.kind {
            Kind::On { rules } => {
                self.on = Some(rules);
                self.waited = 0.0;
            }
            Kind::Off => {
                self.on = None;
                self.waited = 0.0;
            }
            Kind::Dwell(s) => self.waited += s,
            Kind::Change(tool) => {
                if self.on.is_some() {
                    self.say("change-while-on", m, "a tool is changed while it runs".into(), "stop it first");
                }
                if self.by_z() && below(m.from.z, self.safe) {
                    self.say("change-while-down", m, "a tool is changed below safe height".into(), "lift it first");
                }
                (self.tool, self.on) = (tool, None);
            }
            Kind::End => {}
            Kind::Turn => self.turn(m),
            Kind::Rapid => {
                self.place(m);
                self.rapid(m);
            }
            Kind::Line | Kind::Arc { .. } => {
                self.place(m);
                self.feed_move(m);
            }
        }
    }

    /// A run above the work never comes down and starts nothing.
    fn up(&mut self, m: &Move) {
        let hint = "it is to stay above the work with the tool off: export it again";
        if matches!(m.kind, Kind::On { .. }) {
            self.say("comes-down", m, "a run above the work starts or lowers the tool".into(), hint);
        } else if self.of.profile.machine.z_axis && below(m.to.z, self.safe) {
            let message = format!("a run above the work goes down to {} mm above it", decimal(m.to.z - self.top, 2));
            self.say("comes-down", m, message, hint);
        }
    }

    /// Travel in every axis.
    fn place(&mut self, m: &Move) {
        let machine = &self.of.profile.machine;
        let (w, h) = (machine.width.to_mm(), machine.height.to_mm());
        let b = m.segment().bounds();
        let past = if m.from.x.is_nan() || m.from.y.is_nan() {
            let p = m.to;
            (-p.x).max(-p.y).max(p.x - w).max(p.y - h)
        } else {
            (-b.min.x).max(-b.min.y).max(b.max.x - w).max(b.max.y - h)
        };
        if past > SLACK {
            let message = format!("the machine would leave its travel by {} mm", decimal(past, 2));
            self.say("out-of-travel", m, message, "see `width` and `height` of the machine, and `origin`");
        }
        let has_z = !m.from.z.is_nan() || !m.to.z.is_nan();
        if !machine.z_axis && has_z {
            self.say("no-z", m, "the machine has no Z and is to move it".into(), "see `z_axis` in the profile");
        }
        self.rotary_limit(m);
        if let Kind::Arc { apart, .. } = m.kind
            && apart > radii(self.of.profile.output.unit) + 1e-9
        {
            let message = format!("the arc's radii differ by {} mm at its ends", decimal(apart, 4));
            let hint = "RS274/NGC allows 0.002 mm, or 0.0002 inch: more decimals, or a mended I or J";
            self.say("arc-radii", m, message, hint);
        }
    }

    fn rapid(&mut self, m: &Move) {
        let lowest = m.from.z.min(m.to.z);
        if self.of.profile.machine.z_axis {
            if m.to.z > self.safe - SLACK {
                self.lifted = true;
            }
            if m.goes_sideways() {
                if !self.lifted || lowest.is_nan() {
                    self.say(
                        "travel-before-lift",
                        m,
                        "the machine travels before it was lifted".into(),
                        "lift to safe height first",
                    );
                } else {
                    self.used.lowest_travel = self.used.lowest_travel.min(lowest - self.top);
                }
                if below(lowest, self.top + 1e-9) {
                    let message =
                        format!("a rapid at {} mm, at or below the stock's top", decimal(lowest - self.top, 2));
                    self.say("rapid-in-stock", m, message, "lift first");
                } else if below(lowest, self.safe) {
                    let message = format!(
                        "a rapid {} mm above the stock, safe height is {} mm",
                        decimal(lowest - self.top, 2),
                        decimal(self.safe - self.top, 2)
                    );
                    self.say("rapid-too-low", m, message, "travel at safe height");
                }
            } else if below(m.to.z, self.top) && below(m.to.z, m.from.z) {
                self.say("rapid-in-stock", m, "a rapid down into the stock".into(), "go down at a feed");
            }
        }
        let switched = self.tool().is_some_and(|t| t.kind == ToolKind::Beam || t.lift == Lift::Words);
        if switched && self.on.is_some() && m.goes_sideways() {
            self.say("on-while-travelling", m, "the tool is on while the machine travels".into(), "turn it off first");
        }
        self.after_off(m);
    }

    /// The wait after the tool was taken off.
    fn after_off(&mut self, m: &Move) {
        let wait = self.tool().map_or(0.0, |t| if t.lift == Lift::Words { t.off_dwell } else { 0.0 });
        let just_off = self.on.is_none() && self.waited > 0.0 && self.waited < wait - 1e-3;
        if just_off && m.goes_sideways() {
            self.say("wait-too-short", m, "the wait after `off` is too short".into(), "see `off_dwell`");
        }
    }

    /// The rules that the tool may follow now.
    fn rules(&self) -> Vec<&Rule> {
        let of = self.of;
        let Some(tool) = self.tool() else { return Vec::new() };
        let bits = if tool.on.is_empty() { u64::MAX } else { self.on.unwrap_or(u64::MAX) };
        let fits = |(i, r): &(usize, &Rule)| bits >> i & 1 == 1 && r.stock == of.stock && r.tool == tool.id;
        of.profile.rules.iter().take(64).enumerate().filter(fits).map(|(_, r)| r).collect()
    }

    fn feed_move(&mut self, m: &Move) {
        let machine = &self.of.profile.machine;
        let (rapid, rapid_z) = (machine.rapid.to_mm_per_min(), machine.rapid_z.to_mm_per_min());
        let by_z = self.by_z();
        let depth = if by_z { self.top - m.from.z.min(m.to.z) } else { 0.0 };
        let works = if by_z { depth > SLACK } else { self.on.is_some() };
        let sideways = m.goes_sideways();
        if m.feed > if sideways { rapid } else { rapid_z } * (1.0 + 1e-6) {
            let message = format!("a feed of {} mm/min, faster than the machine's rapids", decimal(m.feed, 0));
            self.say("feed-too-fast", m, message, "see `rapid` and `rapid_z` in the profile");
        }
        if !works {
            if by_z && m.goes_sideways() {
                let message = format!("a feed move {} mm above the stock, below safe height", decimal(-depth, 2));
                // The bit comes down onto the top and goes on from there.
                if depth < -SLACK && below(m.to.z, self.safe) {
                    self.say("travel-too-low", m, message, "travel at safe height, or cut");
                }
            } else if !by_z && self.of.is_ours && !self.of.stays_up {
                self.say("off-in-cut", m, "a cut with the tool off".into(), "turn it on first");
            }
            return;
        }
        self.used.deepest = self.used.deepest.max(depth);
        self.depth(m, depth);
        self.running(m);
        if self.of.is_ours {
            self.feeds(m, sideways);
        }
        if sideways {
            self.heading(m);
        }
    }

    fn depth(&mut self, m: &Move, depth: f64) {
        if !self.by_z() {
            return;
        }
        let thickness = self.of.thickness;
        let of = |r: &&Rule| match r.operation {
            OperationKind::ThroughCut => thickness + r.extra_depth.to_mm(),
            // How deep a pocket is the comparison knows.
            OperationKind::HalfDepthPocket => thickness - SLACK,
            OperationKind::CreaseScore | OperationKind::Mark => r.depth.to_mm(),
        };
        let most = self.rules().iter().map(of).fold(f64::NEG_INFINITY, f64::max);
        let most = if most.is_finite() { most } else { thickness };
        if depth > most + SLACK {
            let message = format!("{} mm deep, the tool's rules allow {} mm", decimal(depth, 2), decimal(most, 2));
            self.say("too-deep", m, message, "see `extra_depth` and `depth` in the rule, and the stock's thickness");
        }
        let tool_most = self.tool().map_or(f64::INFINITY, |t| t.max_depth.to_mm());
        if tool_most > 0.0 && depth > tool_most + SLACK && self.tool().is_some_and(|t| t.kind.cuts()) {
            let message = format!("{} mm deep, the tool reaches {} mm", decimal(depth, 2), decimal(tool_most, 2));
            self.say("too-deep", m, message, "see `max_depth` of the tool");
        }
    }

    /// A tool with `on` lines runs while it cuts, and has run up.
    fn running(&mut self, m: &Move) {
        let Some(tool) = self.tool() else { return };
        if tool.on.is_empty() && !self.of.profile.output.language.terms().lifts {
            return;
        }
        let (needs, wait) = (!tool.on.is_empty(), tool.on_dwell);
        if needs && self.on.is_none() {
            self.say("off-in-cut", m, "a cut with the tool off".into(), "turn it on first");
        } else if self.of.profile.output.language.terms().waits && self.waited < wait - 1e-3 {
            let message = format!(
                "the tool is given {} s to start, the profile asks for {}",
                decimal(self.waited, 2),
                decimal(wait, 2)
            );
            self.say("wait-too-short", m, message, "see `on_dwell`");
            self.waited = f64::INFINITY;
        }
    }

    fn feeds(&mut self, m: &Move, sideways: bool) {
        let rules = self.rules();
        let language = self.of.profile.output.language;
        let near = |want: f64| {
            let want = language.said_feed(want);
            (m.feed - want).abs() <= 0.01 * want + 0.1
        };
        let fits = |r: &&Rule| if sideways { near(r.feed.to_mm_per_min()) } else { near(r.plunge.to_mm_per_min()) };
        // A feed that was never said is told by the reader.
        if m.feed.is_nan() || rules.is_empty() || rules.iter().any(fits) || !sideways && m.to.z >= m.from.z {
            return;
        }
        let what = if sideways { "feed" } else { "plunge" };
        let message = format!("a {what} of {} mm/min is none of the tool's rules", decimal(m.feed, 0));
        self.say("feed-not-of-the-rule", m, message, "an F word is wrong or missing");
    }

    /// The axis counts from +x.
    fn rotary_limit(&mut self, m: &Move) {
        let machine = &self.of.profile.machine;
        let (limit, turn) = (machine.rotary_limit.to_deg(), m.to.turn - heading_of_x(machine));
        if limit > 0.0 && turn.abs() > limit + 1e-3 {
            let message = format!("the rotary axis turns to {}, its limit is {}", decimal(turn, 1), decimal(limit, 1));
            self.say("rotary-limit", m, message, "see `rotary_limit` in the profile");
        }
    }

    fn turn(&mut self, m: &Move) {
        self.rotary_limit(m);
        let most = self.of.profile.machine.rotary_speed;
        if most > 0.0 && m.feed > most * (1.0 + 1e-6) {
            let message = format!("a turn at {} degrees/min, the axis does {}", decimal(m.feed, 0), decimal(most, 0));
            self.say("turn-too-fast", m, message, "see `rotary_speed` in the profile");
        }
    }

    /// The blade along its way, at both ends of every cut.
    fn heading(&mut self, m: &Move) {
        let Some(tool) = self.tool() else { return };
        let turned = matches!(tool.kind, ToolKind::TangentialKnife | ToolKind::CreaseWheel);
        if !turned || self.of.profile.output.rotary.is_none() {
            return;
        }
        // A wheel rolls either way.
        let period: f64 = if tool.kind == ToolKind::CreaseWheel { 180.0 } else { 360.0 };
        let way = m.segment();
        let length = way.length();
        let off = |turn: f64, heading: f64| {
            let d = (turn - heading.to_degrees()).rem_euclid(period);
            d.min(period - d)
        };
        let mut worst = off(m.from.turn, way.start_heading()).max(off(m.to.turn, way.end_heading()));
        // A chord that stands for an arc: the blade turns on along it, and in its middle points along
        // it. An arc of this length and turn rises length x turn / 8 over its chord.
        let turn = (m.to.turn - m.from.turn).to_radians();
        let rise = length * turn.abs() / 8.0;
        if way.is_line() && turn.abs() > 0.0 && rise <= self.of.profile.output.chord.to_mm() * CHORD {
            worst = off((m.from.turn + m.to.turn) / 2.0, way.heading_at(0.5));
        }
        let step = self.of.profile.output.resolution().to_mm();
        // On a very short way the rounding of its ends turns it.
        let allowed = HEADING + (2.0 * step / length).atan().to_degrees();
        self.used.heading = self.used.heading.max(if length > 0.05 { worst } else { 0.0 });
        if worst > allowed {
            let message = format!("the blade points {} degrees off its way", decimal(worst, 1));
            self.say("heading", m, message, "turn it before the cut");
        }
    }

    /// Lifted, off, parked.
    fn end(&mut self, moves: &[Move]) {
        let Some(last) = moves.last() else {
            self.out.push(Finding::new("empty", "the program moves nothing").help("export it again"));
            return;
        };
        let machine = &self.of.profile.machine;
        let says_end = |l: &String| ["M2", "M02", "M30"].iter().any(|w| l.split_whitespace().any(|x| x == *w));
        if self.of.profile.output.end.iter().any(says_end) && last.kind != Kind::End {
            self.say("no-end", last, "the program has no end word: it may be cut off".into(), "export it again");
        }
        if machine.z_axis && below(last.to.z, self.safe) {
            self.say("ends-low", last, "the program ends below safe height".into(), "lift first");
        }
        if self.on.is_some() {
            self.say("ends-on", last, "the program ends with the tool on".into(), "turn it off");
        }
        let [x, y] = machine.park;
        let far = on_bed(machine, pt(x.to_mm(), y.to_mm())).distance(last.to.xy());
        if self.of.is_ours && (far.is_nan() || far > 0.05) {
            let message = format!("the program ends {} mm from where the machine parks", decimal(far, 1));
            self.say("not-parked", last, message, "it may be cut off: export it again");
        }
    }
}

/// Clearly below; what is not known is not.
fn below(z: f64, height: f64) -> bool {
    z < height - SLACK
}
