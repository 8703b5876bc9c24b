//! Each nominal line against the cut that serves it: how far off, and where there is none.

use super::samples::{Sample, along};
use super::{Bench, CELL, Comparison, FAR, Worst};
use crate::geom::{Contour, Point, Segment, Stroke};
use crate::profile::{Finish, Rule, Tool, ToolKind};
use crate::units::decimal;
use crate::verify::grid::Grid;
use crate::verify::nominal::{Class, Wanted};
use crate::verify::{Finding, Many};

/// How far apart the compared points of a line are, mm; wider where a sheet has more line than
/// this many of them.
const STEP: f64 = 0.5;
const MOST: f64 = 500_000.0;
/// The share of the tolerance by which a whole line may lie to one side: an offset that was
/// forgotten or doubled moves all of it alike, by less than one point may be off.
const BIAS: f64 = 0.25;

/// When a line was worked, as a place among the traces: that of half its points, for the ends of
/// other lines may touch it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Time {
    pub(super) line: usize,
    pub(super) at: u32,
}

pub(super) fn lines(bench: &Bench<'_>, all: &mut Comparison, out: &mut Many) -> Vec<Time> {
    let total: f64 = bench.lines().map(|(_, w)| w.stroke.length()).sum();
    let step = (total / MOST).max(STEP);
    let mut times = Vec::new();
    let mut sum = 0.0;
    for (at, line) in bench.lines() {
        let (rules, first) = bench.rules_for(line.class.kind());
        let Some((rule, tool)) = first else {
            let message = format!("the machine has no rule for {}", line.name);
            out.push(Finding::new("no-rule", message).help("see the profile's rules for this stock"));
            continue;
        };
        let segments = line.stroke.segments();
        let one = One { bench, line, segments, rules, rule, tool, offset: offset(line, rule, tool) };
        let (samples, time) = one.samples(step);
        times.extend(time.map(|time| Time { line: at, at: time }));
        sum += one.judge(&samples, all, out);
        all.samples.push(samples.into_iter().map(|p| p.sample).collect());
    }
    all.mean = if all.compared > 0.0 { sum / all.compared } else { 0.0 };
    times
}

/// How far the tool's middle is to lie off the line: half its width on an edge, half the distance
/// of a double crease.
fn offset(line: &Wanted, rule: &Rule, tool: &Tool) -> f64 {
    match line.class {
        Class::Hole | Class::Outline | Class::Pocket if line.stroke.is_closed() => tool.kerf.to_mm() / 2.0,
        Class::Crease => rule.double.to_mm() / 2.0,
        _ => 0.0,
    }
}

/// Within this, mm, of where it belongs a cut is looked for first.
const SHORT: f64 = 0.05;
/// A notch too narrow for the tool is looked into no further than this, mm: beyond it is no notch.
const DEEPEST: f64 = 40.0;
/// How often the way to a corner is halved, for the tool's last place before it: to less than a micrometre.
const HALVINGS: usize = 12;

/// A line with what is to work it.
pub(super) struct One<'a> {
    pub(super) bench: &'a Bench<'a>,
    pub(super) line: &'a Wanted,
    /// The line's segments: they are asked for at every point of it.
    pub(super) segments: Vec<Segment>,
    rules: u64,
    rule: &'a Rule,
    tool: &'a Tool,
    /// How far off the line the tool's middle is to run, mm.
    pub(super) offset: f64,
}

/// A compared point, and which trace serves it.
pub(super) struct Compared {
    pub(super) sample: Sample,
    pub(super) trace: Option<u32>,
}

/// What a stretch of a line is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum State {
    Good,
    Off,
    Uncut,
    /// As the tool must leave it.
    Excused,
}

impl One<'_> {
    pub(super) fn is_edge(&self) -> bool {
        matches!(self.line.class, Class::Hole | Class::Outline | Class::Pocket) && self.line.stroke.is_closed()
    }

    fn samples(&self, step: f64) -> (Vec<Compared>, Option<u32>) {
        let needed = self.bench.needed(self.line);
        let compared = along(&self.line.stroke, step).into_iter().map(|s| self.compared(s, needed)).collect();
        let compared = self.with_more(compared, needed);
        let mut times: Vec<u32> = compared.iter().filter_map(|c| c.trace).collect();
        times.sort_unstable();
        let time = times.get(times.len() / 2).copied();
        (compared, time)
    }

    /// A point of the line with the cut that serves it.
    pub(super) fn compared(&self, mut sample: Sample, needed: f64) -> Compared {
        let found = self.nearest(&sample, needed);
        sample.deviation = found.map(|(_, p)| self.deviation(&sample, p));
        Compared { sample, trace: found.map(|f| f.0) }
    }

    /// The point of a cut that serves this point best: of all that may and are deep enough, the one
    /// nearest to where the tool's middle belongs. What another cut does here besides is looked for
    /// where foreign cuts are.
    fn nearest(&self, sample: &Sample, needed: f64) -> Option<(u32, Point)> {
        // Whatever lies better than what a short look finds would lie within that look too.
        let short = self.nearest_within(sample, needed, SHORT);
        match short.filter(|s| s.0 <= SHORT) {
            Some((_, i, p)) => Some((i, p)),
            None => self.nearest_within(sample, needed, FAR).map(|(_, i, p)| (i, p)),
        }
    }

    /// Among those no further than `reach` beyond where the tool's middle belongs: how far off the
    /// best is, its trace and the point.
    fn nearest_within(&self, sample: &Sample, needed: f64, reach: f64) -> Option<(f64, u32, Point)> {
        let (bench, q) = (self.bench, sample.place);
        let mut best: Option<(f64, u32, Point)> = None;
        let mut unsure: Vec<(f64, u32, Point)> = Vec::new();
        let mut take = |off: f64, i: u32, p: Point| {
            if best.is_none_or(|b| off < b.0 || off <= b.0 && i < b.1) {
                best = Some((off, i, p));
            }
        };
        bench.grid.near(q, self.offset + reach, |i| {
            let trace = &bench.traces[i as usize];
            if trace.rules & self.rules == 0 {
                return;
            }
            let Some(way) = trace.reaching(needed) else { return };
            let p = way.point_at(way.nearest_share(q));
            let size = p.distance(q);
            if size > self.offset + reach {
                return;
            }
            // To ask the contour for the side costs its length: only where it may matter.
            match self.side(sample, p) {
                Some(side) => take(self.by_side(side, size).abs(), i, p),
                None => unsure.push(((size - self.offset).abs(), i, p)),
            }
        });
        unsure.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        for (least, i, p) in unsure {
            if best.is_some_and(|b| least >= b.0) {
                break;
            }
            let off = self.deviation(sample, p).abs();
            if best.is_none_or(|b| off < b.0) {
                best = Some((off, i, p));
            }
        }
        best
    }

    fn judge(&self, compared: &[Compared], all: &mut Comparison, out: &mut Many) -> f64 {
        let tolerance = self.bench.tolerance();
        let mut states: Vec<State> = compared
            .iter()
            .map(|c| match c.sample.deviation {
                None => State::Uncut,
                Some(d) if d.abs() > tolerance => State::Off,
                Some(_) => State::Good,
            })
            .collect();
        self.excuse(compared, &mut states, all);
        self.gaps(compared, &mut states, all, out);
        let (mut sum, mut signed, mut good) = (0.0, 0.0, 0.0);
        let mut worst: Option<Worst> = None;
        // What is off because it lies beside a gap, on the way to where the cut ends.
        let mut beside: Option<Worst> = None;
        let follows = beside_gaps(&states, self.line.stroke.is_closed());
        let mut uncut = 0.0;
        let mut first_gap = None;
        for ((c, state), follows) in compared.iter().zip(&states).zip(follows) {
            let s = &c.sample;
            match (state, s.deviation) {
                (State::Excused, _) => {}
                (State::Uncut, _) | (_, None) => {
                    uncut += s.weight;
                    first_gap = first_gap.or(Some(s.place));
                }
                (_, Some(d)) => {
                    sum += d.abs() * s.weight;
                    signed += d * s.weight;
                    good += s.weight;
                    let worst = if follows { &mut beside } else { &mut worst };
                    Worst::keep(worst, d.abs(), s.place, &self.line.name);
                }
            }
        }
        let served: Vec<u32> = compared.iter().filter_map(|c| c.trace).collect();
        if let Some(w) = self.strays(&served).filter(|_| self.is_edge()) {
            Worst::keep(&mut worst, w.value, w.place, &w.of);
        }
        all.compared += good;
        all.uncut += uncut;
        for w in [&worst, &beside].into_iter().flatten() {
            Worst::keep(&mut all.deviation, w.value, w.place, &w.of);
        }
        if let Some(w) = beside.take_if(|_| uncut <= tolerance) {
            Worst::keep(&mut worst, w.value, w.place, &w.of);
        }
        let first_gap = first_gap.map(|place| (place, beside.is_some_and(|w| w.value > tolerance)));
        self.tell(uncut, first_gap, worst, if good > 0.0 { signed / good } else { 0.0 }, compared, out);
        sum
    }

    fn tell(
        &self,
        uncut: f64,
        gap: Option<(Point, bool)>,
        worst: Option<Worst>,
        bias: f64,
        compared: &[Compared],
        out: &mut Many,
    ) {
        let tolerance = self.bench.tolerance();
        let name = &self.line.name;
        let of = self.line.of();
        if let Some((place, is_off_beside)) = gap.filter(|_| uncut > tolerance) {
            let whole = uncut > 0.95 * self.line.stroke.length();
            let message = if whole {
                format!("{name} is not worked at all")
            } else {
                format!("{name} stays uncut for {} mm", decimal(uncut, 1))
            };
            let code = if whole { "line-missing" } else { "uncut" };
            let mut finding = Finding::new(code, message).on(place).of(of);
            finding.besides.extend(is_off_beside.then_some(("off-the-line", 1)));
            out.push(match self.too_shallow(place) {
                Some((by, line)) => {
                    let short = format!(
                        "{}; the deepest cut there ends {} mm short of its depth",
                        finding.message,
                        decimal(by, 2)
                    );
                    let help = format!("see the depth (Z) that line {line} runs at, or export the program again");
                    Finding { line: Some(line), message: short, ..finding }.help(help)
                }
                None => finding.help("export the program again"),
            });
        }
        if let Some(w) = worst.filter(|w| w.value > tolerance) {
            let line = compared
                .iter()
                .filter(|c| c.sample.place.is_near(w.place))
                .find_map(|c| c.trace)
                .map(|t| self.bench.traces[t as usize].line);
            let message = format!(
                "the cut of {name} lies {} mm off; {} mm is let pass",
                decimal(w.value, 2),
                decimal(tolerance, 2)
            );
            let finding = Finding { line, ..Finding::new("off-the-line", message) };
            out.push(
                finding
                    .on(w.place)
                    .of(of)
                    .help("check the kerf, the blade's offset and the sheet's place, then export again"),
            );
        }
        // Both sides of an opening may be rounded the same way.
        let most = tolerance * BIAS + self.bench.profile.output.resolution().to_mm() / 2.0;
        let whole_line = self.line.stroke.length() > 5.0 && self.is_edge();
        if bias.abs() > most && whole_line {
            let side = if bias > 0.0 { "too large" } else { "too small" };
            let message = format!(
                "all of {name} lies {} mm to one side: the part comes out {side} there, as if the tool's width were not what the profile says",
                decimal(bias.abs(), 3)
            );
            out.push(
                Finding::new("to-one-side", message)
                    .of(of)
                    .help("compare the tool's kerf in the profile with the program"),
            );
        }
    }

    /// Of the cuts that run where they should at a point of the line, none deep enough, by how much the
    /// deepest ends short, mm, and its line in the program.
    fn too_shallow(&self, q: Point) -> Option<(f64, u32)> {
        let (bench, tolerance) = (self.bench, self.bench.tolerance());
        let needed = bench.needed(self.line);
        let mut deepest: Option<(f64, u32)> = None;
        bench.grid.near(q, self.offset + tolerance, |i| {
            let t = &bench.traces[i as usize];
            let off = t.way.distance_to(q) - self.offset;
            if t.rules & self.rules == 0 || off.abs() > tolerance {
                return;
            }
            let depth = t.depth_at(t.way.nearest_share(q));
            if deepest.is_none_or(|d| depth > d.0) {
                deepest = Some((depth, t.line));
            }
        });
        deepest.filter(|d| d.0 > 0.0 && d.0 < needed).map(|(depth, line)| (self.line.depth - depth, line))
    }

    /// Whether a slit of the same piece comes within `reach` mm of a point.
    fn is_slit_within(&self, p: Point, reach: f64) -> bool {
        let mut is_within = false;
        self.bench.slit_grid.near(p, reach, |i| {
            let (s, piece) = &self.bench.slits[i as usize];
            is_within |= *piece == self.line.piece && s.distance_to(p) <= reach;
        });
        is_within
    }

    /// What the tool cannot do otherwise: round inner corners, the bottom before a corner where
    /// the top face is spared.
    fn excuse(&self, compared: &[Compared], states: &mut [State], all: &mut Comparison) {
        let tolerance = self.bench.tolerance();
        if self.offset > 0.0 && self.is_edge() && states.iter().any(|s| matches!(s, State::Off | State::Uncut)) {
            let r = self.offset;
            let edges = &self.segments;
            let edge_grid = Grid::new(edges, CELL);
            // Nothing of the line within r of where the tool's middle should be; and on the way there
            // nothing either, for past the far side of a narrow notch there is room again.
            let is_free =
                |s: &Sample, off: f64, room: f64| edge_grid.nearest(edges, s.place + s.normal * off, room).is_none();
            let fits = |s: &Sample| {
                let mut near =
                    std::iter::successors(Some(r / 4.0), |off| Some(off / 4.0)).take_while(|off| *off > 1e-6);
                is_free(s, r, r - 1e-3) && near.all(|off| is_free(s, off, 0.9 * off))
            };
            let fit: Vec<bool> = compared.iter().map(|c| fits(&c.sample)).collect();
            let there =
                compared.iter().zip(&fit).filter(|(_, fit)| **fit).map(|(c, _)| c.sample.place + c.sample.normal * r);
            // The tool's last place before a corner lies between two of the points.
            let last = (1..compared.len()).filter(|i| fit[i - 1] != fit[*i]).filter_map(|i| {
                let [a, b] = [&compared[i - 1].sample, &compared[i].sample];
                let s = self.segments.get(a.segment).filter(|_| a.segment == b.segment)?;
                let (mut good, mut bad) = if fit[i] { (b.share, a.share) } else { (a.share, b.share) };
                let at = |share: f64| Sample::on(s, a.segment, share, 0.0);
                for _ in 0..HALVINGS {
                    let middle = (good + bad) / 2.0;
                    if fits(&at(middle)) { good = middle } else { bad = middle }
                }
                let last = at(good);
                Some(last.place + last.normal * r)
            });
            let middles: Vec<Segment> = there.chain(last).map(|m| Segment::line(m, m)).collect();
            let middle_grid = Grid::new(&middles, CELL);
            for ((c, state), fit) in compared.iter().zip(states.iter_mut()).zip(&fit) {
                // What even the best place of the tool leaves.
                let left = |reach: f64| {
                    let nearest = middle_grid.nearest(&middles, c.sample.place, r + reach);
                    nearest.map_or(f64::INFINITY, |m| m.1 - r)
                };
                let excused = match (*state, c.sample.deviation) {
                    // A slit that begins beside a re-entrant corner takes its width there.
                    (State::Off, Some(d)) if d <= 0.0 => self.is_slit_within(c.sample.place, r - d).then_some(-d),
                    (State::Off, Some(d)) => (d > 0.0 && d <= left(d) + tolerance).then_some(d),
                    // In a notch so narrow that no cut can come near.
                    (State::Uncut, _) => Some(left(DEEPEST)).filter(|l| l.is_finite() && *l >= FAR - tolerance),
                    _ => None,
                };
                if let Some(d) = excused.filter(|_| !fit) {
                    *state = State::Excused;
                    Worst::keep(&mut all.rounded, d, c.sample.place, &self.line.name);
                }
            }
        }
        if self.tool.kind == ToolKind::TangentialKnife && self.rule.finish == Finish::Top {
            let reach = self.line.depth * self.tool.edge_angle.to_rad().tan() + tolerance;
            let corners = corners(&self.line.stroke);
            for (c, state) in compared.iter().zip(states.iter_mut()).filter(|(_, s)| **s != State::Good) {
                let q = c.sample.place;
                let at_corner = corners.iter().any(|p| p.distance(q) <= reach);
                let top_is_cut =
                    self.nearest(&c.sample, 1e-3).is_some_and(|(_, p)| p.distance(q) <= tolerance + self.offset);
                if at_corner && top_is_cut {
                    *state = State::Excused;
                    all.uncut_below += c.sample.weight;
                }
            }
        }
    }

    /// Gaps that the rule asks for: bridges, and the gaps of a pattern.
    fn gaps(&self, compared: &[Compared], states: &mut [State], all: &mut Comparison, out: &mut Many) {
        let bridges = self.line.class == Class::Outline && self.rule.bridges > 0;
        if !bridges && self.rule.pattern.is_empty() {
            return;
        }
        let tolerance = self.bench.tolerance();
        let off = self.rule.pattern.iter().skip(1).step_by(2).map(|l| l.to_mm()).fold(0.0, f64::max);
        // Beside a bridge a round tool touches the edge no nearer than half its width.
        let bridge = self.rule.bridge_width.to_mm() + 2.0 * self.offset;
        let widest = if bridges { bridge } else { off } + 2.0 * tolerance;
        let n = states.len();
        let Some(start) = states.iter().position(|s| *s == State::Good) else { return };
        let mut count = 0;
        let mut i = 0;
        while i < n {
            let at = |k: usize| (start + i + k) % n;
            if states[at(0)] == State::Good {
                i += 1;
                continue;
            }
            let len = (0..n - i).take_while(|k| states[at(*k)] != State::Good).count();
            let length: f64 = (0..len).map(|k| compared[at(k)].sample.weight).sum();
            // A round inner corner is no bridge.
            let is_gap = (0..len).any(|k| states[at(k)] != State::Excused);
            // Half a step at either end may be counted too much.
            if is_gap && length <= widest + 2.0 * STEP {
                count += 1;
                (0..len).for_each(|k| states[at(k)] = State::Excused);
            }
            i += len;
        }
        if bridges {
            all.bridges += count;
            // A line with a wide gap is told for that.
            let whole = states.iter().all(|s| matches!(s, State::Good | State::Excused));
            if count > self.rule.bridges || whole && count < self.rule.bridges {
                let message =
                    format!("{} is held in {count} places, the rule asks for {}", self.line.name, self.rule.bridges);
                out.push(Finding::new("bridges", message).of(self.line.of()).help("export the program again"));
            }
        }
    }
}

/// Which points are off and follow, one after the other, upon one that is not cut at all.
fn beside_gaps(states: &[State], is_closed: bool) -> Vec<bool> {
    let n = states.len();
    let mut follows = vec![false; n];
    // Twice round a contour, for it begins anywhere.
    let steps = if is_closed { 2 * n } else { n };
    let mut pass = |order: &mut dyn Iterator<Item = usize>| {
        let mut is_beside = false;
        for i in order {
            is_beside = states[i] == State::Uncut || states[i] == State::Off && is_beside;
            follows[i] |= is_beside && states[i] == State::Off;
        }
    };
    pass(&mut (0..steps).map(|i| i % n));
    pass(&mut (0..steps).rev().map(|i| i % n));
    follows
}

/// Where a line turns by more than 5 degrees, and its ends.
fn corners(stroke: &Stroke) -> Vec<Point> {
    let segments = stroke.segments();
    let n = segments.len();
    let mut all = Vec::new();
    for (i, s) in segments.iter().enumerate() {
        let turn = segments[(i + 1) % n].start_heading() - s.end_heading();
        let is_end = !stroke.is_closed() && i + 1 == n;
        if is_end || turn.cos() < 5f64.to_radians().cos() {
            all.push(s.end);
        }
    }
    if !stroke.is_closed() {
        all.extend(segments.first().map(|s| s.start));
    }
    all
}

/// Whether a contour holds a point, for the order of the work.
pub(super) fn holds(contour: &Contour, stroke: &Stroke) -> bool {
    let first = match stroke {
        Stroke::Open(p) => p.segments().next(),
        Stroke::Closed(c) => c.segments().next(),
    };
    first.is_some_and(|s| contour.contains(s.point_at(0.5)))
}
