//! Down along a line, pass by pass, over its bridges.

use super::level;
use crate::comp::track::Track;
use crate::comp::{Step, Task};
use crate::geom::Segment;

pub(super) struct Descent<'a> {
    task: &'a Task<'a>,
    track: &'a Track,
    gaps: &'a [(f64, f64)],
    /// The depth that is left over a bridge; `None` where its full thickness stays.
    bridge_depth: Option<f64>,
    /// mm of path for each mm down; zero: straight down.
    slope: f64,
}

impl<'a> Descent<'a> {
    pub(super) fn new(task: &'a Task<'a>, track: &'a Track, gaps: &'a [(f64, f64)]) -> Self {
        let height = task.rule.bridge_height.to_mm();
        let ramp = task.rule.ramp.to_rad();
        Self {
            task,
            track,
            gaps,
            bridge_depth: (height > 0.0 && height < task.thickness).then_some(task.thickness - height),
            slope: if ramp > 0.0 { 1.0 / ramp.tan() } else { 0.0 },
        }
    }

    /// From tool up to tool up through all depths.
    pub(super) fn down(&self, depths: &[f64], steps: &mut Vec<Step>) {
        let Some(first) = self.track.segments().first() else { return };
        steps.push(Step::Travel { to: first.start });
        // With a ramp the bit comes down onto the stock's top and no further.
        let start = if self.slope > 0.0 { 0.0 } else { depths.first().copied().unwrap_or(0.0) };
        self.task.lower(start, steps);
        if self.track.is_closed() {
            self.round(depths, start, steps)
        } else {
            self.forth_and_back(depths, start, steps)
        }
        self.task.raise(steps);
    }

    /// Each pass: down the ramp along the line, then once round at its depth from the ramp's foot.
    fn round(&self, depths: &[f64], start: f64, steps: &mut Vec<Step>) {
        let (mut at, mut depth) = (0.0, start);
        for &next in depths {
            let ramp = (next - depth).max(0.0) * self.slope;
            if ramp > 0.0 {
                self.go(at, at + ramp, depth, next, steps);
            } else if next > depth {
                self.task.deepen(next, steps);
            }
            at += ramp;
            self.go(at, at + self.track.length(), next, next, steps);
            depth = next;
        }
        let past = self.task.rule.overrun.to_mm().max(0.0);
        if past > 0.0 {
            self.go(at, at + past, depth, depth, steps);
        }
    }

    /// An open line: the ramp goes to and fro on its beginning; each pass starts where the last ended.
    fn forth_and_back(&self, depths: &[f64], start: f64, steps: &mut Vec<Step>) {
        let forth = self.track.segments().to_vec();
        let back: Vec<Segment> = forth.iter().rev().map(Segment::reversed).collect();
        let mut depth = start;
        for (i, &next) in depths.iter().enumerate() {
            let way = if i % 2 == 0 { &forth } else { &back };
            let ramp = (next - depth).max(0.0) * self.slope;
            if ramp > 0.0 {
                let line = Track::new(way.clone(), false);
                let turns = (ramp / (2.0 * line.length())).ceil().clamp(1.0, 10_000.0);
                let reach = ramp / (2.0 * turns);
                let there = line.stretch(0.0, reach);
                let again: Vec<Segment> = there.iter().rev().map(Segment::reversed).collect();
                let mut gone = 0.0;
                for s in (0..turns as usize).flat_map(|_| there.iter().chain(&again)) {
                    gone += s.length();
                    steps.push(level(self.task, s, depth + (next - depth) * (gone / ramp).min(1.0)));
                }
            } else if next > depth {
                self.task.deepen(next, steps);
            }
            steps.extend(way.iter().map(|s| level(self.task, s, next)));
            depth = next;
        }
    }

    /// From one distance to another while the depth changes evenly; over a bridge no deeper than it
    /// allows.
    fn go(&self, from: f64, to: f64, depth: f64, end_depth: f64, steps: &mut Vec<Step>) {
        let depth_at = |d: f64| depth + (end_depth - depth) * ((d - from) / (to - from)).clamp(0.0, 1.0);
        let mut at = from;
        for (a, b) in self.bridges(from, to) {
            self.open(at, a, &depth_at, steps);
            self.over(a, b, depth_at(a), depth_at(b), steps);
            at = b;
        }
        self.open(at, to, &depth_at, steps);
    }

    /// The bridges' stretches between two distances, on as many rounds as these span.
    fn bridges(&self, from: f64, to: f64) -> Vec<(f64, f64)> {
        let total = self.track.length();
        let rounds = (from / total).floor() as i64..=(to / total).floor() as i64;
        let all = rounds.flat_map(|r| self.gaps.iter().map(move |g| (g.0 + r as f64 * total, g.1 + r as f64 * total)));
        all.map(|(a, b)| (a.max(from), b.min(to))).filter(|(a, b)| b - a > 1e-9).collect()
    }

    fn open(&self, from: f64, to: f64, depth_at: &dyn Fn(f64) -> f64, steps: &mut Vec<Step>) {
        let mut at = from;
        for s in self.track.stretch(from, to) {
            at += s.length();
            steps.push(level(self.task, &s, depth_at(at)));
        }
    }

    /// Over a bridge: at the depth it allows, or lifted right off where its full thickness stays.
    fn over(&self, from: f64, to: f64, depth: f64, end_depth: f64, steps: &mut Vec<Step>) {
        match self.bridge_depth {
            Some(least) if depth.max(end_depth) <= least => {
                let rising = |d: f64| depth + (end_depth - depth) * ((d - from) / (to - from));
                self.open(from, to, &rising, steps);
            }
            Some(least) => {
                if depth > least {
                    self.task.deepen(least, steps);
                }
                let shallow = depth.min(least);
                self.open(from, to, &|_| shallow, steps);
                self.task.deepen(end_depth, steps);
            }
            None => {
                self.task.raise(steps);
                if let Some(p) = self.track.at(to) {
                    steps.push(Step::Travel { to: p });
                }
                self.task.lower(end_depth, steps);
            }
        }
    }
}
