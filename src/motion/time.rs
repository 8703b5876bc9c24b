//! How long a program runs, on a controller that accelerates, rounds corners within a deviation
//! and reads a few blocks ahead. Length over feed is never reported: a 100 mm square at
//! 6000 mm/min takes 7.9 s, not 4, on a machine that gains 100 mm/s every second.

mod plan;
#[cfg(test)]
mod tests;

use super::{Program, Step};
use crate::geom::{Point, Segment, pt};
use crate::profile::Profile;
use plan::{Block, Planner};

/// What a program or a tool's share of it comes to.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Totals {
    /// Length of all cuts of all passes, in the plane, mm.
    pub cut_mm: f64,
    /// Length of all traverses, in the plane, mm.
    pub travel_mm: f64,
    /// Running time, s; a pause in which a person changes the tool is not in it.
    pub seconds: f64,
    /// How often lines are gone over.
    pub passes: u32,
}

/// The running time of a program.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Timing {
    /// The whole of it.
    pub total: Totals,
    /// Each tool's share, by its place in the profile's tools, in the order of first use.
    pub tools: Vec<(usize, Totals)>,
    /// How often the tool is changed after the first.
    pub changes: u32,
}

/// The running time of a program on a machine, from its park position and back to it.
///
/// Each block is run with the profile's acceleration up to its feed. Where two blocks meet at the
/// angle theta (180 degrees: straight on) the speed is at most `v^2 = a d s / (1 - s)`,
/// `s = sin(theta / 2)`, d the junction deviation: the speed at which an arc that touches both and
/// strays from the corner by d needs the acceleration a. On an arc of radius R `v^2 = a R`. A
/// controller that reads N blocks ahead must be able to stop at the end of the last: no faster
/// than `v^2 = 2 a` times their length. The machine stops for switching, dwells, turns of the
/// rotary axis alone and tool changes. Cost is linear in the steps.
pub fn timing(program: &Program, profile: &Profile) -> Timing {
    let machine = &profile.machine;
    let [x, y] = machine.origin;
    let (park, origin) = (machine.park_on_bed(), pt(x.to_mm(), y.to_mm()));
    let safe = if machine.z_axis { machine.safe_height.to_mm() } else { 0.0 };
    let mut clock = Clock {
        profile,
        planner: Planner::new(machine.acceleration, machine.junction_deviation.to_mm(), machine.look_ahead),
        at: park - origin,
        height: safe,
        safe,
        heading: 0.0,
        totals: Totals::default(),
    };
    let mut timing = Timing::default();
    let sections = program.sections.len();
    for (i, section) in program.sections.iter().enumerate() {
        let tool = profile.tools.get(section.tool);
        clock.heading = if i == 0 {
            tool.map_or(0.0, |t| machine.x_heading().to_deg() + t.start_heading.to_deg())
        } else {
            clock.heading
        };
        for run in &section.runs {
            clock.totals.passes += run.passes;
            for step in &run.steps {
                clock.step(step);
            }
        }
        if i + 1 == sections {
            clock.step(&Step::Lift);
            clock.step(&Step::Travel { to: park - origin });
        }
        let share = clock.take();
        timing.total.add(share);
        match timing.tools.iter_mut().find(|t| t.0 == section.tool) {
            Some((_, totals)) => totals.add(share),
            None => timing.tools.push((section.tool, share)),
        }
    }
    timing.changes = program.sections.windows(2).filter(|w| w[0].tool != w[1].tool).count() as u32;
    timing
}

impl Totals {
    fn add(&mut self, other: Self) {
        self.cut_mm += other.cut_mm;
        self.travel_mm += other.travel_mm;
        self.seconds += other.seconds;
        self.passes += other.passes;
    }
}

/// Where the machine is while its steps are counted.
struct Clock<'a> {
    profile: &'a Profile,
    planner: Planner,
    at: Point,
    /// Above the stock's top, mm.
    height: f64,
    safe: f64,
    heading: f64,
    totals: Totals,
}

impl Clock<'_> {
    /// What was counted since the last time, the machine brought to a stop.
    fn take(&mut self) -> Totals {
        self.totals.seconds += self.planner.stop();
        std::mem::take(&mut self.totals)
    }

    fn wait(&mut self, seconds: f64) {
        self.totals.seconds += self.planner.stop() + seconds.max(0.0);
    }

    fn step(&mut self, step: &Step) {
        let machine = &self.profile.machine;
        match *step {
            Step::Travel { to } => {
                self.totals.travel_mm += self.at.distance(to);
                self.straight(to, self.height, machine.rapid.to_mm_per_s());
            }
            Step::Lift => self.straight(self.at, self.safe, machine.rapid_z.to_mm_per_s()),
            Step::Plunge { depth, feed } => {
                let near = super::approach_height(machine).to_mm();
                if self.height > near {
                    self.straight(self.at, near, machine.rapid_z.to_mm_per_s());
                }
                self.straight(self.at, self.z(depth), feed.to_mm_per_s());
            }
            Step::Cut { to, bulge, depth, heading, feed } => {
                let segment = Segment { start: self.at, end: to, bulge };
                self.totals.cut_mm += segment.length();
                let turned = heading.map_or(0.0, |h| (h - self.heading).abs());
                self.heading = heading.unwrap_or(self.heading);
                let mut speed = feed.to_mm_per_s();
                if turned > 0.0 && machine.rotary_speed > 0.0 {
                    speed = speed.min(segment.length() / (turned / machine.rotary_speed * 60.0));
                }
                self.cut(&segment, self.z(depth), speed);
            }
            Step::Turn { heading, feed } => {
                let turned = (heading - self.heading).abs();
                self.heading = heading;
                self.wait(if feed > 0.0 { turned / feed * 60.0 } else { 0.0 });
            }
            Step::On | Step::Off => self.wait(0.0),
            Step::Dwell(seconds) => self.wait(seconds),
        }
    }

    fn z(&self, depth: f64) -> f64 {
        if self.profile.machine.z_axis { -depth } else { 0.0 }
    }

    fn straight(&mut self, to: Point, height: f64, speed: f64) {
        let (flat, rise) = (to - self.at, height - self.height);
        let length = flat.length().hypot(rise);
        if length > 0.0 {
            let way = [flat.x / length, flat.y / length, rise / length];
            self.planner.push(Block { length, speed, radius: f64::INFINITY, from: way, to: way });
        }
        self.at = to;
        self.height = height;
    }

    fn cut(&mut self, segment: &Segment, height: f64, speed: f64) {
        let output = &self.profile.output;
        if segment.is_line() {
            self.straight(segment.end, height, speed);
        } else if output.writes_arcs() {
            let (flat, rise) = (segment.length(), height - self.height);
            let length = flat.hypot(rise);
            let along = |heading: f64| {
                let u = Point::unit(heading) * (flat / length);
                [u.x, u.y, rise / length]
            };
            let (from, to) = (along(segment.start_heading()), along(segment.end_heading()));
            self.planner.push(Block { length, speed, radius: segment.radius(), from, to });
            self.at = segment.end;
            self.height = height;
        } else {
            let chords = segment.flatten(output.chord.to_mm());
            let (below, n) = (self.height, chords.len() as f64);
            for (i, p) in chords.into_iter().enumerate() {
                self.straight(p, below + (height - below) * (i + 1) as f64 / n, speed);
            }
        }
    }
}
