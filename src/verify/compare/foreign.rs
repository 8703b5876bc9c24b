//! Cuts where none was asked for. In waste a tool may come in and go out; in what is kept it may
//! work only its own lines and pockets.
//!
//! What a tool takes is as wide as it is, and counts with its side (see `kept`). Each trace is
//! settled a straight stretch at a time: most stay out of all that is kept, or on their line, all
//! along. One that does not tell so is looked at point by point and, where no point is wrong, halved
//! until it does: nothing slips through between two points.

use super::kept::{Kept, apart};
use super::samples::shares;
use super::{Bench, CELL, Comparison, DEPTH_SLACK, FAR, Worst};
use crate::geom::{Bounds, Contour, Point, Segment, Stroke};
use crate::profile::{Finish, OperationKind, Rule, ToolKind};
use crate::units::decimal;
use crate::verify::boxes::Boxes;
use crate::verify::grid::Grid;
use crate::verify::nominal::{Class, Wanted};
use crate::verify::physics::Trace;
use crate::verify::{Finding, Many};

/// How far apart a trace is looked at, mm.
const STEP: f64 = 1.0;
/// A trace is settled in stretches no longer than this, mm.
const STRETCH: f64 = 8.0;
/// So short a stretch is looked at in its middle and not halved again, mm.
const SHORTEST: f64 = 0.02;
/// How far chords stray from a trace's or a line's arcs, mm.
const CHORD: f64 = 5e-4;
/// Within this a line may be what a cut was meant for, mm.
const NEARBY: f64 = 10.0;
/// A tool comes in and goes out of waste within this, mm, beside what its rule says.
const LEAD: f64 = 40.0;
/// What of a drawing may run along no line, mm: where a line ends a little beyond another.
const STRAY: f64 = 0.5;

pub(super) fn cuts(bench: &Bench<'_>, all: &mut Comparison, out: &mut Many) {
    let place = Places::new(bench);
    // What a run did, told when it ends.
    let mut of_run = Told::default();
    let mut run = u32::MAX;
    let mut last_line = 0;
    for trace in bench.traces {
        if trace.run != run {
            tell(&place, bench, std::mem::take(&mut of_run), last_line, all, out);
            run = trace.run;
        }
        last_line = trace.line;
        let one = One {
            bench,
            place: &place,
            trace,
            kinds: bench.kinds(trace).collect(),
            slack: bench.tolerance() - trace.radius,
        };
        one.settle(&mut of_run);
    }
    tell(&place, bench, of_run, last_line, all, out);
}

/// What a run of a tool did where nothing was asked.
#[derive(Default)]
struct Told {
    /// Length cut in waste, mm.
    waste: f64,
    /// How far a slanted edge or a relief goes past a line at most, where, and in which piece.
    overcut: Option<(f64, Point, usize)>,
    /// The deepest cut into a piece, where, the program's line and the piece.
    worst: Option<(f64, Point, u32, Option<usize>)>,
}

fn tell(place: &Places, bench: &Bench<'_>, told: Told, last_line: u32, all: &mut Comparison, out: &mut Many) {
    let name = |piece: Option<usize>| piece.and_then(|p| bench.nominal.pieces.get(p)).map_or("a piece", |p| &p.name);
    if let Some((by, at, piece)) = told.overcut {
        Worst::keep(&mut all.overcut, by, at, name(Some(piece)));
    }
    if let Some((depth, at, line, piece)) = told.worst {
        let name = name(piece);
        let message = format!("a cut runs where {name} is kept, {} mm inside it", decimal(depth, 2));
        Worst::keep(&mut all.deviation, depth, at, name);
        let help = match place.grid.nearest(&place.segments, at, NEARBY) {
            Some((i, off)) => format!(
                "{}, which was asked for, is {} mm away: compare the program's coordinates, the kerf and the sheet's place, or export again",
                bench.nominal.lines.get(place.of[i as usize] as usize).map_or("a line", |l| l.name.as_str()),
                decimal(off, 2)
            ),
            None => "no line that was asked for is near: export the program again".into(),
        };
        out.push(Finding::at("cut-in-piece", line, message).on(at).of(name).help(help));
    }
    all.in_waste += told.waste;
    // A drawing, whose lines have no number, has no ways onto its cuts.
    if told.waste > if last_line == 0 { STRAY } else { LEAD } {
        let message = format!("a cut runs through waste for {} mm, along no line", decimal(told.waste, 0));
        out.push(Finding::at("cut-in-waste", last_line, message).help("export the program again"));
    }
}

enum Verdict {
    /// On a line or in a pocket that asks for it.
    Asked,
    /// Where nothing is kept.
    Waste,
    /// The slanted edge past the end of a line, as far as its slope makes it, in a piece.
    Overcut(f64, usize),
    /// Inside what is kept, so deep.
    Inside(f64, Option<usize>),
}

/// A straight stretch of a trace.
#[derive(Clone, Copy)]
struct Stretch {
    way: Segment,
    /// The shares of the trace's way at its ends.
    from: f64,
    to: f64,
}

/// What is sure of all of a stretch.
enum Sure {
    /// It works a line or pocket that asks for it.
    Asked,
    /// It stays out of what is kept.
    Waste,
    Nothing,
}

/// A trace with what it may do.
struct One<'a> {
    bench: &'a Bench<'a>,
    place: &'a Places,
    trace: &'a Trace,
    kinds: Vec<(&'a Rule, OperationKind)>,
    /// How far inside what is kept the tool's middle may be, mm; how far outside it must be, where
    /// that is negative.
    slack: f64,
}

impl One<'_> {
    fn settle(&self, told: &mut Told) {
        let way = self.trace.way;
        let points = if way.is_line() { vec![way.end] } else { way.flatten(CHORD) };
        let chords = points.len() as f64;
        let mut start = way.start;
        for (i, end) in points.into_iter().enumerate() {
            let chord = Segment::line(start, end);
            start = end;
            let n = (chord.length() / STRETCH).ceil().clamp(1.0, 100_000.0) as usize;
            for k in 0..n {
                let at = |k: usize| k as f64 / n as f64;
                let share = |k: usize| (i as f64 + at(k)) / chords;
                let way = if n == 1 { chord } else { chord.between(at(k), at(k + 1)) };
                self.stretch(&Stretch { way, from: share(k), to: share(k + 1) }, told);
            }
        }
    }

    fn stretch(&self, s: &Stretch, told: &mut Told) {
        match self.sure(s) {
            Sure::Asked => {}
            Sure::Waste if self.trace.is_edge => {}
            sure => {
                let is_sure = matches!(sure, Sure::Waste);
                let mut is_told = false;
                let n = shares(&s.way, STEP).count();
                for share in shares(&s.way, STEP) {
                    let p = s.way.point_at(share);
                    let verdict = if is_sure { self.out_of_all(p) } else { self.judge(p, self.depth(s, share)) };
                    is_told |= self.take(verdict, p, s.way.length() / n as f64, told);
                }
                if !is_sure && !is_told {
                    self.halve(s, told);
                }
            }
        }
    }

    /// Looks between the points at which nothing is wrong; whether something is.
    fn halve(&self, s: &Stretch, told: &mut Told) -> bool {
        if s.way.length() < SHORTEST {
            return false;
        }
        let (middle, share) = (s.way.point_at(0.5), (s.from + s.to) / 2.0);
        if self.take(self.judge(middle, self.depth(s, 0.5)), middle, 0.0, told) {
            return true;
        }
        let halves = [
            Stretch { way: Segment::line(s.way.start, middle), to: share, ..*s },
            Stretch { way: Segment::line(middle, s.way.end), from: share, ..*s },
        ];
        halves.iter().any(|half| matches!(self.sure(half), Sure::Nothing) && self.halve(half, told))
    }

    fn depth(&self, s: &Stretch, share: f64) -> f64 {
        self.trace.depth_at(s.from + (s.to - s.from) * share)
    }

    /// Counts what a point of `length` mm is; whether it is told as wrong, or excused.
    fn take(&self, verdict: Verdict, p: Point, length: f64, told: &mut Told) -> bool {
        match verdict {
            Verdict::Asked => false,
            Verdict::Waste => {
                told.waste += if self.trace.is_edge { 0.0 } else { length };
                false
            }
            Verdict::Overcut(by, piece) => {
                if told.overcut.is_none_or(|w| by > w.0) {
                    told.overcut = Some((by, p, piece));
                }
                true
            }
            Verdict::Inside(by, piece) => {
                if told.worst.as_ref().is_none_or(|w| by > w.0) {
                    told.worst = Some((by, p, self.trace.line, piece));
                }
                true
            }
        }
    }

    fn may(&self, line: usize) -> bool {
        let kind = self.bench.nominal.lines[line].class.kind();
        self.kinds.iter().any(|k| k.1 == kind)
    }

    /// How far from an inner line the tool's middle may run.
    fn allowance(&self, line: &Wanted) -> f64 {
        let wide = self.kinds.iter().map(|k| k.0.double.to_mm() / 2.0).fold(0.0, f64::max);
        self.bench.tolerance() + if line.class == Class::Crease { wide } else { 0.0 }
    }

    /// What can be said of all of a stretch at once.
    fn sure(&self, s: &Stretch) -> Sure {
        let (place, nominal) = (self.place, self.bench.nominal);
        let seen = place.kept.see(&s.way, self.slack, self.trace.radius + FAR, |line| self.may(line));
        if seen.runs_along {
            return if seen.is_served { Sure::Asked } else { Sure::Waste };
        }
        if self.is_on_an_inner_line(&s.way) || self.is_in_a_pocket(s) {
            return Sure::Asked;
        }
        let is_clear = seen.least >= -self.slack && seen.least > 0.0;
        let starts_inside =
            || seen.starts_inside.unwrap_or_else(|| place.kept.piece_at(nominal, s.way.start).is_some());
        if is_clear && !starts_inside() {
            return if seen.is_served { Sure::Asked } else { Sure::Waste };
        }
        Sure::Nothing
    }

    /// Whether all of a straight way lies near one inner line that this tool may work.
    fn is_on_an_inner_line(&self, way: &Segment) -> bool {
        let place = self.place;
        let most = place.widest + self.bench.tolerance();
        let mut is_on = false;
        place.inner_grid.within(Bounds::of([way.start, way.end]).grown(most), |i| {
            let (chord, line) = &place.inner[i as usize];
            let allowed = || self.allowance(&self.bench.nominal.lines[*line as usize]);
            let is_near = |most: f64| chord.distance_to(way.start) <= most && chord.distance_to(way.end) <= most;
            is_on = is_on || self.may(*line as usize) && is_near(allowed());
        });
        is_on
    }

    fn may_clear(&self) -> bool {
        self.kinds.iter().any(|k| k.1 == OperationKind::HalfDepthPocket)
    }

    /// Whether all of a stretch lies in one pocket, as far from its walls as the tool is wide.
    fn is_in_a_pocket(&self, s: &Stretch) -> bool {
        let depth = self.depth(s, 0.0).max(self.depth(s, 1.0));
        let is_in = |pocket: &Pocket| {
            let is_near = |w: &Segment| w.distance_to(s.way.start).max(w.distance_to(s.way.end)) <= self.slack;
            let off = |w: &Segment| apart(&s.way, w, w.distance_to(s.way.start).min(w.distance_to(s.way.end)));
            let is_clear = || pocket.walls.iter().all(|w| matches!(off(w), d if d > 0.0 && d >= -self.slack));
            pocket.walls.iter().any(is_near) || pocket.contour.contains(s.way.start) && is_clear()
        };
        self.may_clear() && self.place.pockets_at(s.way.start).any(|p| self.is_not_below(p, depth) && is_in(p))
    }

    fn is_not_below(&self, pocket: &Pocket, depth: f64) -> bool {
        self.trace.by_words || depth <= pocket.depth + self.bench.tolerance()
    }

    /// Of a point known to lie out of what is kept.
    fn out_of_all(&self, p: Point) -> Verdict {
        if self.line_off(p) <= self.trace.radius + FAR { Verdict::Asked } else { Verdict::Waste }
    }

    /// How far the nearest line lies off that this tool may work; infinite where none is near.
    fn line_off(&self, p: Point) -> f64 {
        let mut off = f64::INFINITY;
        self.place.grid.near(p, self.trace.radius + CELL, |i| {
            if self.may(self.place.of[i as usize] as usize) {
                off = off.min(self.place.segments[i as usize].distance_to(p));
            }
        });
        off
    }

    fn judge(&self, p: Point, depth: f64) -> Verdict {
        let (place, nominal, radius) = (self.place, self.bench.nominal, self.trace.radius);
        if self.is_on_an_inner_line(&Segment::line(p, p)) {
            return Verdict::Asked;
        }
        let is_in = |pocket: &Pocket| {
            let off = pocket.contour.distance_to(p);
            self.is_not_below(pocket, depth) && (if pocket.contour.contains(p) { off } else { -off }) >= -self.slack
        };
        if self.may_clear() && place.pockets_at(p).any(is_in) {
            return Verdict::Asked;
        }
        let nearest = place.kept.nearest(p, radius + CELL);
        let is_inside = nearest.map_or_else(|| place.kept.piece_at(nominal, p).is_some(), |n| n.is_inside);
        let into = match nearest {
            Some(n) if is_inside => radius + n.off,
            Some(n) => radius - n.off,
            None if is_inside => f64::INFINITY,
            None => f64::NEG_INFINITY,
        };
        if into <= self.bench.tolerance() {
            return self.out_of_all(p);
        }
        // Past the end of a slit at the edge the tool takes only what the slit's own width takes.
        if let Some(n) = nearest.filter(|n| !is_inside && n.off > 0.0)
            && self.is_of_a_slit(p + (n.place - p) * (radius / n.off))
        {
            return Verdict::Asked;
        }
        let piece = if is_inside { place.kept.piece_at(nominal, p) } else { None };
        // What runs on past the end of a line is as long as it is far from the line.
        let into = into.min(self.line_off(p) + radius);
        let alone = || piece.map_or(0.0, |i| nominal.pieces[i].outline.distance_to(p));
        let into = if into.is_finite() { into } else { alone() };
        let owner = piece.or_else(|| nearest.map(|n| nominal.lines[n.line].piece));
        match owner {
            Some(owner) if self.by_slant(depth) || self.is_relief(p) => Verdict::Overcut(into, owner),
            _ => Verdict::Inside(into, owner),
        }
    }

    /// Whether a slit that this tool may cut takes a point away.
    fn is_of_a_slit(&self, p: Point) -> bool {
        let (place, reach) = (self.place, self.trace.radius + self.bench.tolerance());
        let mut is_of = false;
        place.inner_grid.near(p, reach, |i| {
            let (chord, line) = &place.inner[i as usize];
            let is_slit = self.bench.nominal.lines[*line as usize].class == Class::Slit;
            is_of |= is_slit && self.may(*line as usize) && chord.distance_to(p) <= reach;
        });
        is_of
    }

    /// Whether this is the slanted edge above the face on which its rule finishes a corner.
    fn by_slant(&self, depth: f64) -> bool {
        let of = |(rule, kind): &(&Rule, OperationKind)| {
            let face = match kind {
                OperationKind::ThroughCut => self.bench.nominal.thickness,
                OperationKind::HalfDepthPocket => self.place.deepest,
                _ => rule.depth.to_mm(),
            };
            rule.finish == Finish::Bottom && depth < face + DEPTH_SLACK
        };
        self.trace.is_edge && self.kinds.iter().any(of)
    }

    /// Whether a bit opens an inner corner here as its rule wants.
    fn is_relief(&self, p: Point) -> bool {
        let (place, trace) = (self.place, self.trace);
        let is_router =
            self.bench.profile.tools.get(usize::from(trace.tool)).is_some_and(|t| t.kind == ToolKind::Router);
        is_router
            && self.kinds.iter().any(|k| k.0.corner_relief)
            && place.corner_grid.nearest(&place.corners, p, 2.0 * trace.radius).is_some()
    }
}

/// A recess.
struct Pocket {
    contour: Contour,
    depth: f64,
    /// Its edge as chords.
    walls: Vec<Segment>,
}

/// Where what lies.
struct Places {
    kept: Kept,
    /// Every nominal line's segments, with the line.
    segments: Vec<Segment>,
    of: Vec<u32>,
    grid: Grid,
    /// The chords of marks, creases and slits, with the line.
    inner: Vec<(Segment, u32)>,
    inner_grid: Grid,
    /// Half of the widest double crease of any rule, mm.
    widest: f64,
    pockets: Vec<Pocket>,
    /// Their rectangles, a tolerance wider.
    pocket_boxes: Boxes,
    deepest: f64,
    corners: Vec<Segment>,
    corner_grid: Grid,
}

impl Places {
    fn new(bench: &Bench<'_>) -> Self {
        let (mut segments, mut of, mut inner) = (Vec::new(), Vec::new(), Vec::new());
        for (i, line) in (0u32..).zip(&bench.nominal.lines) {
            let is_inner = matches!(line.class, Class::Mark | Class::Crease | Class::Slit);
            for s in line.stroke.segments() {
                segments.push(s);
                of.push(i);
                if is_inner {
                    inner.extend(chords(&s).map(|c| (c, i)));
                }
            }
        }
        let pocket = |w: &Wanted| match &w.stroke {
            Stroke::Closed(c) if w.class == Class::Pocket => {
                let walls = c.segments().flat_map(|s| chords(&s).collect::<Vec<_>>()).collect();
                Some(Pocket { contour: c.clone(), depth: w.depth, walls })
            }
            _ => None,
        };
        let pockets: Vec<Pocket> = bench.nominal.lines.iter().filter_map(pocket).collect();
        let wider = |p: &Pocket| p.contour.bounds().grown(bench.tolerance());
        let pocket_boxes = Boxes::new(pockets.iter().map(wider).collect());
        let deepest = pockets.iter().map(|p| p.depth).fold(0.0, f64::max);
        let corners: Vec<Segment> = segments.iter().map(|s| Segment::line(s.end, s.end)).collect();
        let inner_ways: Vec<Segment> = inner.iter().map(|c| c.0).collect();
        Self {
            kept: Kept::new(bench.nominal),
            grid: Grid::new(&segments, CELL),
            inner_grid: Grid::new(&inner_ways, CELL),
            widest: bench.profile.rules.iter().map(|r| r.double.to_mm() / 2.0).fold(0.0, f64::max),
            corner_grid: Grid::new(&corners, CELL),
            segments,
            of,
            inner,
            pockets,
            pocket_boxes,
            deepest,
            corners,
        }
    }

    fn pockets_at(&self, p: Point) -> impl Iterator<Item = &Pocket> {
        self.pocket_boxes.at(p).into_iter().map(|i| &self.pockets[i])
    }
}

/// A segment's chords.
fn chords(s: &Segment) -> impl Iterator<Item = Segment> + use<> {
    let mut from = s.start;
    s.flatten(CHORD).into_iter().map(move |to| Segment::line(std::mem::replace(&mut from, to), to))
}
