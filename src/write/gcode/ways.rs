//! Lines and arcs with the tool at work.

use super::Code;
use super::arc::{self, Way};
use crate::geom::{Point, Segment};
use crate::profile::ArcCentres;
use crate::units::Feed;

impl Code<'_> {
    pub(super) fn cut(&mut self, to: Point, bulge: f64, depth: f64, heading: Option<f64>, feed: Feed) {
        let (x, y) = self.placed(to);
        let bulge = if self.profile.machine.is_mirrored() { -bulge } else { bulge };
        let (x0, y0) = (self.x.unwrap_or(x), self.y.unwrap_or(y));
        let is_line = Segment { start: to, end: to, bulge }.is_line();
        let agree = arc::radii_agree(self.profile.output.unit);
        let way = if is_line { Way::Line } else { arc::way(x - x0, y - y0, bulge, self.unit / self.scale, agree) };
        match way {
            Way::Arc(i, j) if self.profile.output.arcs && self.arc((x, y), (i, j), bulge, depth, heading, feed) => {}
            Way::Arc(..) | Way::Chords => self.chords((x0, y0), (x, y), bulge, depth, heading, feed),
            Way::Line => self.straight((x, y), depth, heading, feed),
            // Only a depth may be left of it; a turn waits for the next way that moves.
            Way::Nothing => self.straight((x, y), depth, None, feed),
        }
        self.heading = heading.unwrap_or(self.heading);
        self.depth = depth;
    }

    /// An arc about the centre at `(i, j)` from its start; nothing and `false` where its block would
    /// be longer than the controller takes.
    fn arc(
        &mut self,
        (x, y): (i64, i64),
        (i, j): (i64, i64),
        bulge: f64,
        depth: f64,
        heading: Option<f64>,
        feed: Feed,
    ) -> bool {
        let before = (self.x, self.y, self.z, self.rotary, self.motion, self.feed);
        let (i, j) = match self.profile.output.arc_centres {
            ArcCentres::FromStart => (i, j),
            ArcCentres::Places => (self.x.unwrap_or(x) + i, self.y.unwrap_or(y) + j),
        };
        self.lines.begin();
        self.mode(if bulge > 0.0 { 3 } else { 2 });
        // Both ends' words always: some controllers ask for them in an arc.
        (self.x, self.y) = (None, None);
        self.place(x, y);
        self.depth_word(depth);
        self.lines.word(b"I", i, self.decimals);
        self.lines.word(b"J", j, self.decimals);
        self.heading_word(heading);
        self.way_feed(feed);
        if self.lines.is_too_long() {
            self.lines.take_back();
            (self.x, self.y, self.z, self.rotary, self.motion, self.feed) = before;
            return false;
        }
        self.lines.end();
        true
    }

    fn chords(&mut self, from: (i64, i64), to: (i64, i64), bulge: f64, depth: f64, heading: Option<f64>, feed: Feed) {
        let unit = self.unit / self.scale;
        let (from_depth, from_heading) = (self.depth, self.heading);
        let at = |(x, y): (i64, i64)| Point { x: x as f64 * unit, y: y as f64 * unit };
        let points = Segment { start: at(from), end: at(to), bulge }.flatten(self.profile.output.chord.to_mm());
        let n = points.len() as f64;
        for (k, p) in points.into_iter().enumerate() {
            let share = (k + 1) as f64 / n;
            let heading = heading.map(|h| from_heading + (h - from_heading) * share);
            let depth = from_depth + (depth - from_depth) * share;
            self.straight((self.units(p.x), self.units(p.y)), depth, heading, feed);
        }
    }

    fn straight(&mut self, (x, y): (i64, i64), depth: f64, heading: Option<f64>, feed: Feed) {
        let moves = self.x != Some(x) || self.y != Some(y);
        let z = self.units(self.job.top() - depth);
        let sinks = self.profile.machine.z_axis && !self.is_lifted && self.z != Some(z);
        if !moves && !sinks {
            return;
        }
        self.lines.begin();
        self.mode(1);
        self.place(x, y);
        self.depth_word(depth);
        if moves {
            self.heading_word(heading);
        }
        self.way_feed(feed);
        self.lines.end();
    }
}
