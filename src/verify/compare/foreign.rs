//! Cuts where none was asked for. In waste a tool may come in and go out; in what is kept it may
//! work only its own lines and pockets.

use super::samples::shares;
use super::{Bench, CELL, Comparison, DEPTH_SLACK, FAR, Worst};
use crate::geom::{Contour, Point, Segment, Stroke};
use crate::profile::{Finish, OperationKind, Rule, ToolKind};
use crate::units::decimal;
use crate::verify::boxes::Boxes;
use crate::verify::grid::Grid;
use crate::verify::nominal::Class;
use crate::verify::physics::Trace;
use crate::verify::{Finding, Many};

/// How far apart a trace is looked at, mm.
const STEP: f64 = 1.0;
/// Within this a line may be what a cut was meant for, mm.
const NEARBY: f64 = 10.0;
/// A tool comes in and goes out of waste within this, mm, beside what its rule says.
const LEAD: f64 = 40.0;

pub(super) fn cuts(bench: &Bench<'_>, all: &mut Comparison, out: &mut Many) {
    let place = Places::new(bench);
    // (run, length in waste, the deepest intrusion), told when the run ends.
    let mut waste = 0.0;
    let mut run = u32::MAX;
    let mut worst: Option<(f64, Point, u32, Option<usize>)> = None;
    let tell = |worst: &mut Option<(f64, Point, u32, Option<usize>)>,
                waste: &mut f64,
                line: u32,
                all: &mut Comparison,
                out: &mut Many| {
        if let Some((depth, at, line, piece)) = worst.take() {
            let name = piece.and_then(|p| bench.nominal.pieces.get(p)).map_or("a piece", |p| p.name.as_str());
            let message = format!(
                "a cut runs where {name} is kept, {} mm inside it at X{} Y{}",
                decimal(depth, 2),
                decimal(at.x, 1),
                decimal(at.y, 1)
            );
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
        if *waste > LEAD {
            let message = format!("a cut runs through waste for {} mm, along no line", decimal(*waste, 0));
            out.push(Finding::at("cut-in-waste", line, message).help("export the program again"));
        }
        *waste = 0.0;
    };
    let mut last_line = 0;
    for trace in bench.traces {
        if trace.run != run {
            tell(&mut worst, &mut waste, last_line, all, out);
            run = trace.run;
        }
        last_line = trace.line;
        let n = shares(&trace.way, STEP).count();
        let each = trace.way.length() / n as f64;
        let kinds: Vec<(&Rule, OperationKind)> = bench.kinds(trace).collect();
        for share in shares(&trace.way, STEP) {
            let p = trace.way.point_at(share);
            match place.judge(bench, trace, &kinds, p, trace.depth_at(share)) {
                Verdict::Asked => {}
                Verdict::Waste if trace.is_edge => {}
                Verdict::Waste => {
                    waste += each;
                    all.in_waste += each;
                }
                Verdict::Overcut(by, piece) => {
                    let name = bench.nominal.pieces.get(piece).map_or("a piece", |p| p.name.as_str());
                    Worst::keep(&mut all.overcut, by, p, name);
                }
                Verdict::Inside(by, piece) => {
                    if worst.as_ref().is_none_or(|w| by > w.0) {
                        worst = Some((by, p, trace.line, piece));
                    }
                }
            }
        }
    }
    tell(&mut worst, &mut waste, last_line, all, out);
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

/// Where what lies.
struct Places {
    /// Every nominal line's segments, with the line.
    segments: Vec<Segment>,
    of: Vec<u32>,
    grid: Grid,
    pockets: Vec<(Contour, f64)>,
    /// Their rectangles, a tolerance wider.
    pocket_boxes: Boxes,
    pieces: Boxes,
    deepest: f64,
    corners: Vec<Segment>,
    corner_grid: Grid,
}

impl Places {
    fn new(bench: &Bench<'_>) -> Self {
        let (mut segments, mut of) = (Vec::new(), Vec::new());
        for (i, line) in (0u32..).zip(&bench.nominal.lines) {
            for s in line.stroke.segments() {
                segments.push(s);
                of.push(i);
            }
        }
        let pocket = |w: &crate::verify::nominal::Wanted| match &w.stroke {
            Stroke::Closed(c) if w.class == Class::Pocket => Some((c.clone(), w.depth)),
            _ => None,
        };
        let pockets: Vec<(Contour, f64)> = bench.nominal.lines.iter().filter_map(pocket).collect();
        let pocket_boxes = Boxes::new(pockets.iter().map(|p| p.0.bounds().grown(bench.tolerance())).collect());
        let pieces = Boxes::new(bench.nominal.pieces.iter().map(|p| p.bounds).collect());
        let deepest = pockets.iter().map(|p| p.1).fold(0.0, f64::max);
        let corners: Vec<Segment> = segments.iter().map(|s| Segment::line(s.end, s.end)).collect();
        let (grid, corner_grid) = (Grid::new(&segments, CELL), Grid::new(&corners, CELL));
        Self { segments, of, grid, pockets, pocket_boxes, pieces, deepest, corners, corner_grid }
    }

    fn judge(
        &self,
        bench: &Bench<'_>,
        trace: &Trace,
        kinds: &[(&Rule, OperationKind)],
        p: Point,
        depth: f64,
    ) -> Verdict {
        let tolerance = bench.tolerance();
        let slack = trace.radius + tolerance;
        let mut asked = false;
        // The nearest edge of anything that is kept.
        let mut edge: Option<(f64, u32)> = None;
        let mut line_off = f64::INFINITY;
        let wide = kinds.iter().map(|k| k.0.double.to_mm() / 2.0).fold(0.0, f64::max);
        let mut look = |i: u32| {
            let line = &bench.nominal.lines[self.of[i as usize] as usize];
            let d = self.segments[i as usize].distance_to(p);
            let kind = line.class.kind();
            let may = kinds.iter().any(|k| k.1 == kind);
            if may {
                line_off = line_off.min(d);
            }
            asked |= match line.class {
                // Over a line the middle goes; the tool's width lies on either side.
                Class::Mark | Class::Slit => may && d <= tolerance,
                Class::Crease => may && d <= wide + tolerance,
                // On the wrong side of an edge it is off its line, which is told there.
                _ => may && d <= slack && (d - trace.radius).abs() <= tolerance,
            };
            if matches!(line.class, Class::Hole | Class::Outline) && edge.is_none_or(|e| d < e.0) {
                edge = Some((d, self.of[i as usize]));
            }
            asked
        };
        // Most cuts are on their line, and a short look tells.
        let mut on_line = false;
        self.grid.near(p, slack.max(wide + tolerance), |i| on_line |= on_line || look(i));
        if on_line {
            return Verdict::Asked;
        }
        self.grid.near(p, slack.max(wide + tolerance) + CELL, |i| {
            look(i);
        });
        if kinds.iter().any(|k| k.1 == OperationKind::HalfDepthPocket)
            && let Some((contour, floor)) =
                self.pocket_boxes.at(p).into_iter().map(|i| &self.pockets[i]).find(|(c, _)| inside(c, p, tolerance))
            && (trace.by_words || depth <= floor + tolerance)
            && (contour.distance_to(p) >= trace.radius - tolerance || !contour.contains(p))
        {
            return Verdict::Asked;
        }
        let piece = self.pieces.at(p).into_iter().find(|i| bench.nominal.pieces[*i].contains(p));
        let near = edge.map_or(f64::INFINITY, |e| e.0);
        let into = match piece {
            Some(_) => near + trace.radius,
            None => trace.radius - near,
        };
        if into <= tolerance {
            // What is merely off its line is told there.
            return if line_off <= FAR { Verdict::Asked } else { Verdict::Waste };
        }
        // What runs on past the end of a line is as long as it is far from the line.
        let into = into.min(line_off + trace.radius);
        let into =
            if into.is_finite() { into } else { piece.map_or(0.0, |i| bench.nominal.pieces[i].outline.distance_to(p)) };
        let owner = piece.or_else(|| edge.map(|e| bench.nominal.lines[e.1 as usize].piece));
        let excused = self.by_slant(bench, trace, depth) || self.is_relief(bench, trace, p);
        match owner {
            Some(owner) if excused => Verdict::Overcut(into, owner),
            _ => Verdict::Inside(into, owner),
        }
    }

    /// Whether this is the slanted edge above the face on which its rule finishes a corner.
    fn by_slant(&self, bench: &Bench<'_>, trace: &Trace, depth: f64) -> bool {
        let of = |(rule, kind): (&Rule, OperationKind)| {
            let face = match kind {
                OperationKind::ThroughCut => bench.nominal.thickness,
                OperationKind::HalfDepthPocket => self.deepest,
                _ => rule.depth.to_mm(),
            };
            rule.finish == Finish::Bottom && depth < face + DEPTH_SLACK
        };
        trace.is_edge && bench.kinds(trace).any(of)
    }

    /// Whether a bit opens an inner corner here as its rule wants.
    fn is_relief(&self, bench: &Bench<'_>, trace: &Trace, p: Point) -> bool {
        let is_router = bench.profile.tools.get(usize::from(trace.tool)).is_some_and(|t| t.kind == ToolKind::Router);
        is_router
            && bench.kinds(trace).any(|k| k.0.corner_relief)
            && self.corner_grid.nearest(&self.corners, p, 2.0 * trace.radius).is_some()
    }
}

fn inside(contour: &Contour, p: Point, tolerance: f64) -> bool {
    contour.contains(p) || contour.distance_to(p) <= tolerance
}
