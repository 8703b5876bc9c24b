//! How a machine goes about a sheet: what it does of it and what it leaves, in which order, from
//! where each cut starts and which way it goes, and how it travels between.

use super::frame::{CUT, KeyEntry, Picture, WHITE, line};
use super::numbers::Taken;
use crate::drawing::{self, Anchor, Pen, Rgb, Type};
use crate::geom::{Bounds, Contour, Path, Point, Segment, Stroke, pt};
use crate::motion::time::timing;
use crate::motion::{LineId, Program, Run, Step};
use crate::ops::{Operation, SheetOps};
use crate::profile::{OperationKind, Profile};
use crate::units::Unit;
use crate::write::style::{INK, QUIET};
use std::collections::BTreeSet;

/// Travel: faint beside every line, yet seen on a grey print.
const TRAVEL: Rgb = [0x8f; 3];

/// The sheet as an SVG like [`super::svg()`], with the program's way on it. Lines that the program
/// does not do are dotted grey. Each line has the number of its turn; the marks of a piece (the
/// letters of its label) have one, where the first of them is drawn.
pub fn preview(sheet: &SheetOps, program: &Program, profile: &Profile, title: &str, unit: Unit) -> Vec<u8> {
    let titles = [Picture::heading(sheet, title, unit), about(program, profile)];
    let mut picture = Picture::new(sheet, &titles, unit, 2, &[]);
    let kept = picture.offcut();
    picture.edge();
    picture.later();
    picture.pieces(&|_| true);
    let done: BTreeSet<LineId> = runs(program).map(|r| r.line.clone()).collect();
    let is_done = |o: &Operation| done.contains(&id(o));
    let is_all_done = sheet.operations.iter().all(is_done);
    if !is_all_done {
        left(&mut picture, &|o| !is_done(o));
    }
    picture.lines(&is_done);
    let turns = turns(program, profile);
    travel(&mut picture, &turns.travel);
    let mut taken = taken(&picture, &turns);
    let names: Vec<Bounds> = picture.names(&|_| true).into_iter().chain(picture.later_names()).collect();
    kept.into_iter().chain(names).for_each(|b| taken.take(b));
    starts(&mut picture, &turns.starts, &mut taken);
    numbers(&mut picture, &turns.numbered, &mut taken);
    picture.kinds();
    signs(&mut picture, is_all_done);
    drawing::svg(&picture.drawing)
}

/// The machine, its tools in their order, and what the work takes.
fn about(program: &Program, profile: &Profile) -> String {
    let total = timing(program, profile).total;
    let mut tools: Vec<&str> = Vec::new();
    for tool in program.sections.iter().filter_map(|s| profile.tools.get(s.tool)) {
        if !tools.contains(&tool.id.as_str()) {
            tools.push(&tool.id);
        }
    }
    let seconds = total.seconds.round() as u64;
    let time = if seconds < 60 { format!("{seconds} s") } else { format!("{} min", (seconds + 30) / 60) };
    format!("{}: {}; {:.1} m in about {time}", profile.name, tools.join(", then "), total.cut_mm / 1000.0)
}

fn runs(program: &Program) -> impl Iterator<Item = &Run> {
    program.sections.iter().flat_map(|s| &s.runs)
}

fn id(o: &Operation) -> LineId {
    LineId { piece: o.piece.clone(), copy: o.copy, kind: o.kind, index: o.index }
}

/// The program's way.
struct Turns {
    /// From where the tool is lifted to where it comes down.
    travel: Vec<[Point; 2]>,
    /// Where a line starts, and which way it goes from there, radians.
    starts: Vec<(Point, f64)>,
    /// The number of each turn, and where it starts.
    numbered: Vec<(usize, Point)>,
}

fn turns(program: &Program, profile: &Profile) -> Turns {
    let [ox, oy] = profile.machine.origin;
    let mut at = profile.machine.park_on_bed() - pt(ox.to_mm(), oy.to_mm());
    let mut turns = Turns { travel: Vec::new(), starts: Vec::new(), numbered: Vec::new() };
    let mut before: Option<&LineId> = None;
    let mut marked: BTreeSet<(&str, u32)> = BTreeSet::new();
    for run in runs(program) {
        let first = (at, turns.travel.len());
        let mut start: Option<(Point, f64)> = None;
        for step in &run.steps {
            match *step {
                Step::Travel { to } => {
                    turns.travel.push([at, to]);
                    at = to;
                }
                Step::Cut { to, bulge, .. } => {
                    if start.is_none() && to.distance(at) > 1e-6 {
                        start = Some((at, Segment { start: at, end: to, bulge }.start_heading()));
                    }
                    at = to;
                }
                _ => {}
            }
        }
        let Some(start) = start else { continue };
        let line = &run.line;
        let goes_on = line.kind == OperationKind::Mark
            && before.is_some_and(|b| b.kind == line.kind && b.piece == line.piece && b.copy == line.copy);
        before = Some(line);
        let is_known = line.kind == OperationKind::Mark && !marked.insert((&line.piece, line.copy));
        if goes_on {
            // Between the letters of a label travel is only clutter.
            turns.travel.truncate(first.1);
            continue;
        }
        // A sign on a label would hide its letters.
        if line.kind != OperationKind::Mark {
            turns.starts.push(start);
        }
        if !is_known {
            turns.numbered.push((turns.numbered.len() + 1, start.0));
        }
    }
    turns
}

/// Lines of another machine or of the hand.
fn left(picture: &mut Picture<'_>, is_left: &dyn Fn(&Operation) -> bool) {
    let lines = picture.sheet.operations.iter().filter(|o| is_left(o)).map(|o| o.stroke.clone()).collect();
    picture.draw(lines, None, Some(dotted(picture.scale)));
}

fn dotted(scale: f64) -> Pen {
    Pen { color: QUIET, width: CUT * scale, dashes: &[0.0, 4.0], unit: scale }
}

fn travel(picture: &mut Picture<'_>, ways: &[[Point; 2]]) {
    let sheet =
        Bounds { min: pt(0.0, 0.0), max: pt(picture.sheet.sheet.width.to_mm(), picture.sheet.sheet.height.to_mm()) };
    let on_it = ways.iter().filter_map(|way| clipped(*way, sheet));
    let lines = on_it.map(|[a, b]| Stroke::Open(Path::line(a, b))).collect();
    picture.draw(lines, None, Some(faint(picture.scale)));
}

/// What of a way lies on the sheet: the machine's park is often far off it.
fn clipped([a, b]: [Point; 2], sheet: Bounds) -> Option<[Point; 2]> {
    let (mut from, mut to) = (0.0f64, 1.0f64);
    let d = b - a;
    for (start, step, low, high) in [(a.x, d.x, sheet.min.x, sheet.max.x), (a.y, d.y, sheet.min.y, sheet.max.y)] {
        if step.abs() < 1e-12 {
            if start < low || start > high {
                return None;
            }
            continue;
        }
        let (t, u) = ((low - start) / step, (high - start) / step);
        from = from.max(t.min(u));
        to = to.min(t.max(u));
    }
    (from < to).then(|| [a.lerp(b, from), a.lerp(b, to)])
}

fn faint(scale: f64) -> Pen {
    Pen { color: TRAVEL, width: 0.6 * scale, dashes: &[2.5, 3.5], unit: scale }
}

/// What numbers had better not lie on.
fn taken(picture: &Picture<'_>, turns: &Turns) -> Taken {
    let cell = picture.text / 5.0;
    let sampled = |s: &Segment| {
        let steps = (s.length() / cell).ceil().clamp(1.0, 5000.0) as usize;
        let s = *s;
        (0..=steps).map(move |i| s.point_at(i as f64 / steps as f64))
    };
    let lines = picture.sheet.operations.iter().flat_map(|o| o.stroke.segments());
    let travel = turns.travel.iter().map(|w| Segment::line(w[0], w[1]));
    let samples: Vec<Point> = lines.chain(travel).flat_map(|s| sampled(&s)).collect();
    Taken::new(picture.sheet.sheet.width.to_mm(), picture.sheet.sheet.height.to_mm(), cell, samples.into_iter())
}

/// A small triangle at each start, its tip the way the tool goes.
fn starts(picture: &mut Picture<'_>, starts: &[(Point, f64)], taken: &mut Taken) {
    let long = picture.text * 0.45;
    let mut signs = Vec::new();
    for (at, heading) in starts {
        let tip = *at + Point::unit(*heading) * long;
        let side = Point::unit(*heading).left() * (long * 0.42);
        let corners = [tip, *at + side, *at - side];
        taken.take(Bounds::of(corners));
        signs.push(corners);
    }
    for corners in signs {
        picture.draw(vec![Stroke::Closed(Contour::polygon(corners))], Some(INK), None);
    }
}

/// The numbers, those that stand far from their start led to it by a hairline.
fn numbers(picture: &mut Picture<'_>, numbered: &[(usize, Point)], taken: &mut Taken) {
    let size = picture.text * 0.62;
    for (number, at) in numbered {
        let text = number.to_string();
        let whole = pt(picture.width(&text, size) + 0.2 * size, size);
        let Some(b) = taken.place(*at, whole) else { continue };
        let center = b.center();
        if center.distance(*at) > 2.2 * size {
            let pen = Pen::solid(INK, 0.35 * picture.scale);
            picture.draw(vec![Stroke::Open(Path::line(*at, center))], None, Some(pen));
        }
        picture.write(picture.corner + center, Anchor::Middle, Type::new(size).halo(WHITE), &text, false);
    }
}

/// The key to what a program adds.
fn signs(picture: &mut Picture<'_>, is_all_done: bool) {
    let mut entries = vec![
        KeyEntry {
            sample: Box::new(|picture, at, long| {
                let (left, half) = (at + pt(long * 0.3, 0.0), pt(0.0, picture.text * 0.19));
                let tip = left + pt(picture.text * 0.45, 0.0);
                picture.drawing.shape(vec![Contour::polygon([left - half, tip, left + half])], Some(INK), None);
            }),
            means: "starts here, this way".into(),
        },
        KeyEntry {
            sample: Box::new(|picture, at, long| {
                let kind = Type::new(picture.text * 0.62);
                picture.write(at + pt(long * 0.5, 0.0), Anchor::Middle, kind, "12", false);
            }),
            means: "order of work".into(),
        },
        KeyEntry { sample: line(|scale| faint(scale * 1.2)), means: "travel, tool up".into() },
    ];
    if !is_all_done {
        entries.push(KeyEntry { sample: line(dotted), means: "not by this program".into() });
    }
    picture.key(&entries);
}
