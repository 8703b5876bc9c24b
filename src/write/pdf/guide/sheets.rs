//! Each sheet's layout; sheets that are alike are drawn once.

use super::Told;
use super::boxes::along;
use crate::drawing::Faces;
use crate::drawing::{Anchor, Drawing as Page, Pen, Type};
use crate::geom::{Bounds, Contour, Point, Stroke, Transform, pt};
use crate::nest::Sheet;
use crate::ops::SheetOps;
use crate::profile::OperationKind;
use crate::write::pdf::flow::Flow;
use crate::write::pdf::parts::{key, short_name, shrunk};
use crate::write::straight::{numbered, told as cut_words};
use crate::write::style::{CUT_WEIGHT, INK, QUIET, STYLES, pen};

/// Letters smaller than this are not read, mm.
const SMALLEST: f64 = 1.7;

/// Sheets that are alike: their names, and the first of them.
type Group<'a> = (Vec<&'a str>, &'a Sheet, &'a SheetOps);

pub(super) fn sheets(flow: &mut Flow<'_>, told: &Told<'_>) {
    let mut groups: Vec<Group<'_>> = Vec::new();
    for (sheet, ops) in told.sheets.iter().zip(told.operations) {
        // Of a lot's sheets only an item's own pieces are known here: they may differ by the others.
        match groups.iter_mut().find(|(_, other, _)| told.lot.is_none() && is_alike(other, sheet)) {
            Some((ids, _, _)) => ids.push(&sheet.id),
            None => groups.push((vec![&sheet.id], sheet, ops)),
        }
    }
    if groups.iter().any(|(_, sheet, _)| !sheet.cuts.is_empty()) {
        with_cuts(flow, told, &groups);
        return;
    }
    let faces = flow.faces;
    let heading = match told.lot {
        Some(lot) => {
            flow.heading(&format!("Where its pieces lie, on the sheets of {}", lot.folder));
            super::lot::sheets(flow, told);
            "Its places on them"
        }
        None => "The sheets",
    };
    let across = groups.len().clamp(2, 3);
    let as_high_as = |high: f64| -> Vec<Drawn<'_>> {
        let cell = pt(flow.room() / across as f64, high);
        groups.iter().map(|(ids, sheet, ops)| Drawn::of(ids, sheet, ops, cell, told.lot.is_some())).collect()
    };
    let row_height = |row: &[Drawn<'_>]| row.iter().map(Drawn::row_height).fold(0.0, f64::max);
    // The key stays with the first sheets; they are drawn a little smaller where they find room on the page then.
    let mut drawings = as_high_as(flow.half() - KEY);
    let (first, left) = (drawings.chunks(across).next().map_or(0.0, row_height), flow.left() - KEY);
    if first > left && left > first * SMALLER {
        drawings = as_high_as(left);
    }
    for (n, row) in drawings.chunks(across).enumerate() {
        let height = row_height(row);
        if n == 0 {
            flow.need(height + KEY);
            flow.heading(heading);
            flow.row(10.0, |page, at, room| key(page, faces, at + pt(0.0, 6.0), room));
        }
        flow.row(height, |page, corner, _| {
            for (k, drawn) in row.iter().enumerate() {
                drawn.draw(page, faces, told, corner + pt(drawn.room * k as f64, height));
            }
        });
    }
}

/// Sheets that a straight edge takes apart, each with its cuts: numbers want room, so that each has a page's width,
/// and the distances stand on the same page where that leaves enough of it.
fn with_cuts(flow: &mut Flow<'_>, told: &Told<'_>, groups: &[Group<'_>]) {
    let faces = flow.faces;
    let words = format!(
        "The dashed lines cut the sheets apart from edge to edge: make them in the order of their numbers, each through \
         the whole of the part that it lies in. The table says how far from which edge of that part, as it lies in the \
         drawing. A hand marks to the nearest {}; where that is not the distance itself, that follows in brackets. What \
         is no rectangle is then cut to shape.",
        told.job.units.show(told.job.units.bench_step())
    );
    let page = 2.0 * flow.half() - 2.0;
    for (n, (ids, sheet, ops)) in groups.iter().enumerate() {
        let rows = cut_rows(told, sheet);
        let table = flow.close_table_height(&CUT_HEADS, &CUT_SHARES, &rows);
        let above = if n == 0 { KEY + flow.text_height(&words) } else { 0.0 };
        let as_high_as = |high: f64| Drawn::of(ids, sheet, ops, pt(flow.room(), high), false);
        // A long table goes on overleaf: a small drawing has no room for so many numbers.
        let (alone, above_it) = (as_high_as(page - above), as_high_as(page - above - table));
        let is_with_it = above_it.scale >= LEAST * alone.scale;
        let (mut drawn, with) = if is_with_it { (above_it, table) } else { (alone, 0.0) };
        let (whole, left) = (drawn.row_height(), flow.left() - above - with);
        if whole > left && left > whole * SMALLER {
            drawn = as_high_as(left);
        }
        let height = drawn.row_height();
        flow.need(above + height + with);
        if n == 0 {
            flow.heading("The sheets");
            flow.text(&words);
            flow.row(10.0, |page, at, room| key(page, faces, at + pt(0.0, 6.0), room));
        }
        flow.row(height, |page, corner, _| drawn.draw(page, faces, told, corner + pt(0.0, height)));
        if !rows.is_empty() {
            flow.close_table(&CUT_HEADS, &CUT_SHARES, &rows);
        }
    }
}

/// Two cuts beside one another in a row.
const CUT_HEADS: [&str; 8] = ["cut", "at", "edge", "comes off", "cut", "at", "edge", "comes off"];
const CUT_SHARES: [f64; 8] = [0.7, 2.7, 1.0, 2.4, 0.7, 2.7, 1.0, 2.4];

/// How far from which edge each cut of a sheet is made, and what comes off whole.
fn cut_rows(told: &Told<'_>, sheet: &Sheet) -> Vec<Vec<String>> {
    let name = |placed: &usize| {
        let piece = sheet.placed.get(*placed).and_then(|p| told.design.pieces.get(p.piece));
        piece.map_or(String::new(), short_name)
    };
    let cells: Vec<Vec<String>> = cut_words(sheet, told.job.units)
        .into_iter()
        .map(|cut| {
            let offcut = cut.frees_offcut.then(|| "offcut".to_owned());
            let off: Vec<String> = offcut.into_iter().chain(cut.pieces.iter().map(name)).collect();
            vec![cut.number, cut.at, cut.edge.into(), off.join(", ")]
        })
        .collect();
    cells.chunks(2).map(<[_]>::concat).collect()
}

/// For the heading and the key, mm.
const KEY: f64 = 24.0;
/// By so much sheets are drawn smaller at the most, to stay on a page.
const SMALLER: f64 = 0.6;
/// By so much a drawing with numbered cuts is smaller at the most for their table to stand below it (our choice).
const LEAST: f64 = 0.6;
/// Above and below a sheet, for its name and its width, mm.
const HEAD: f64 = 8.0;
const FOOT: f64 = 9.0;
/// At its left, for its height, mm.
const BESIDE: f64 = 17.0;

/// A sheet as large as it is drawn.
struct Drawn<'a> {
    words: String,
    sheet: &'a Sheet,
    ops: &'a SheetOps,
    scale: f64,
    /// The width that it has, mm.
    room: f64,
}

impl<'a> Drawn<'a> {
    /// One of those alike, in a cell so wide and high at the most; of a lot's sheets nothing says to cut them.
    fn of(ids: &[&str], sheet: &'a Sheet, ops: &'a SheetOps, cell: Point, is_of_lot: bool) -> Self {
        let words = match ids {
            [one] if sheet.count() > 1 && is_of_lot => format!("{one} ({} alike)", sheet.count()),
            [one] if sheet.count() > 1 => format!("{one} (cut {} alike)", sheet.count()),
            [one] => (*one).to_owned(),
            [first, .., last] => format!("{first} to {last} ({} alike)", ids.len()),
            [] => String::new(),
        };
        let (width, height) = (sheet.width.to_mm(), sheet.height.to_mm());
        let scale = ((cell.x - BESIDE - 3.0) / width).min((cell.y - HEAD - FOOT) / height);
        Self { words, sheet, ops, scale, room: cell.x }
    }

    fn height(&self) -> f64 {
        self.sheet.height.to_mm() * self.scale
    }

    /// With what stands above and below it.
    fn row_height(&self) -> f64 {
        self.height() + HEAD + FOOT
    }

    /// Draws it below a point, to the right of it.
    fn draw(&self, page: &mut Page, faces: &Faces, told: &Told<'_>, top: Point) {
        let (name, rest) = (Type::new(3.3).bold(), Type::new(3.0).color(QUIET));
        let y = top.y - 4.0;
        let share = if told.lot.is_some() { "its own" } else { "used" };
        let used = format!("{:.0} % {share}", self.sheet.used(&told.design.pieces) * 100.0);
        let name = shrunk(faces, &self.words, name, self.room - faces.width(&used, rest.size, rest.weight) - 5.0);
        page.text(faces, pt(top.x, y), Anchor::Left, name, &self.words);
        let on = faces.width(&self.words, name.size, name.weight) + 2.5;
        page.text(faces, pt(top.x + on, y), Anchor::Left, rest, &used);
        let width = self.sheet.width.to_mm() * self.scale;
        let at = pt(top.x + BESIDE, top.y - HEAD - self.height());
        layout(page, faces, told, self.sheet, self.ops, at, self.scale);
        along(page, faces, at, at + pt(width, 0.0), 2.5, &told.job.units.show(self.sheet.width));
        along(page, faces, at + pt(0.0, self.height()), at, 2.5, &told.job.units.show(self.sheet.height));
    }
}

/// Whether two sheets hold the same pieces in the same places.
fn is_alike(a: &Sheet, b: &Sheet) -> bool {
    let key = |s: &Sheet| {
        let mut all: Vec<(usize, bool, i64, i64, i64)> = s
            .placed
            .iter()
            .map(|p| {
                let t: &Transform = &p.transform;
                let micro = |v: f64| (v * 1e3).round() as i64;
                (p.piece, t.mirrored, micro(t.rotation_deg), micro(t.shift.x), micro(t.shift.y))
            })
            .collect();
        all.sort_unstable();
        all
    };
    a.stock == b.stock && key(a) == key(b)
}

fn layout(page: &mut Page, faces: &Faces, told: &Told<'_>, sheet: &Sheet, ops: &SheetOps, at: Point, scale: f64) {
    let put = |p: Point| at + p * scale;
    let stock = Contour::rectangle(at, put(pt(sheet.width.to_mm(), sheet.height.to_mm())));
    page.shape(vec![stock], Some([0xf7, 0xf5, 0xef]), Some(Pen::solid(QUIET, 0.2)));
    for style in STYLES.iter().rev() {
        // Letters in strokes would be a blot here: names are set as text.
        let is_drawn = |o: &&crate::ops::Operation| {
            o.kind == style.kind && (o.kind != OperationKind::Mark || o.stroke.is_closed())
        };
        let strokes: Vec<Stroke> =
            ops.operations.iter().filter(is_drawn).map(|o| scaled(&o.stroke, scale, at)).collect();
        let closed = strokes.iter().filter_map(|s| if let Stroke::Closed(c) = s { Some(c.clone()) } else { None });
        page.shape(closed.filter(|_| style.fill.is_some()).collect(), style.fill, None);
        page.lines(strokes, pen(style.kind, CUT_WEIGHT * 0.55));
    }
    // Outlines may reach into each other's rectangles; a name stands clear of those before it.
    let mut taken: Vec<Bounds> = Vec::new();
    for placed in &sheet.placed {
        let Some(piece) = told.design.pieces.get(placed.piece) else { continue };
        let b = Bounds { min: put(placed.bounds.min), max: put(placed.bounds.max) };
        let name = &short_name(piece);
        let lowered = |share: f64| Bounds { max: pt(b.max.x, b.min.y + b.height() * share), ..b };
        let raised = |share: f64| Bounds { min: pt(b.min.x, b.max.y - b.height() * share), ..b };
        // Beside what is cut into the piece, where there is room to be read.
        let cuts = piece.holes.iter().chain(piece.all_pockets().map(|k| &k.outline));
        let cuts = cuts.map(|c| c.transformed(&placed.transform).bounds());
        let beside =
            cuts.map(|c| Bounds { min: put(c.min), max: put(c.max) }).fold(b, |room, cut| room.beside(cut.grown(0.3)));
        let beside = Some(beside).filter(|room| set(faces, *room, name).is_some());
        let tries = [b, lowered(0.8), raised(0.8), lowered(0.6), raised(0.6), lowered(0.4), raised(0.4)];
        let tries = beside.into_iter().chain(tries);
        let is_free = |r: &Option<Bounds>| r.is_none_or(|r| taken.iter().all(|t| !t.overlaps(r, 0.0)));
        let mut tries = tries;
        if let Some(room) = tries.find(|room| is_free(&set(faces, *room, name).map(|s| s.bounds))) {
            taken.extend(name_in(page, faces, room, name));
        }
    }
    straight_cuts(page, faces, sheet, at, scale, &taken);
}

/// The straight cuts of a sheet in their order, clear of the names that are set on it.
fn straight_cuts(page: &mut Page, faces: &Faces, sheet: &Sheet, at: Point, scale: f64, names: &[Bounds]) {
    let kind = Type::new(2.8).color(INK).halo([0xff; 3]);
    let back = |p: Point| (p - at) / scale;
    let taken = names.iter().map(|b| Bounds { min: back(b.min), max: back(b.max) }).collect();
    let half = |text: &str| pt(faces.width(text, kind.size, kind.weight) * 0.6, kind.size * 0.55) / scale;
    let pen = Pen { color: INK, width: 0.2, dashes: &[4.0, 1.5], unit: 0.5 };
    for cut in numbered(&sheet.cuts, taken, half) {
        let [from, to] = cut.ends.map(|p| at + p * scale);
        page.line(from, to, pen);
        page.text(faces, at + cut.at * scale - pt(0.0, kind.size * 0.35), Anchor::Middle, kind, &cut.number);
    }
}

/// How a name is set in a rectangle.
struct Set {
    kind: Type,
    is_upright: bool,
    /// What its letters take.
    bounds: Bounds,
}

/// In the middle, along the longer side, as large as fits; `None` where it could not be read.
fn set(faces: &Faces, b: Bounds, name: &str) -> Option<Set> {
    let kind = Type::new(3.0).color(INK);
    let is_upright = b.height() > b.width() && faces.width(name, kind.size, kind.weight) > b.width() - 1.0;
    let (long, short) = if is_upright { (b.height(), b.width()) } else { (b.width(), b.height()) };
    let per = faces.width(name, 1.0, kind.weight);
    let size = kind.size.min((short - 0.4) / 0.9).min((long - 1.0) / per);
    let half = pt(per * size, size) / 2.0;
    let half = if is_upright { pt(half.y, half.x) } else { half };
    let bounds = Bounds { min: b.center() - half, max: b.center() + half }.grown(0.1 * size);
    (size >= SMALLEST).then_some(Set { kind: Type { size, ..kind }, is_upright, bounds })
}

/// Writes a name in the middle of a rectangle; what its letters take, where it could be read.
pub(super) fn name_in(page: &mut Page, faces: &Faces, b: Bounds, name: &str) -> Option<Bounds> {
    let Set { kind, is_upright, bounds } = set(faces, b, name)?;
    let low = kind.size * 0.35;
    if is_upright {
        page.upright(faces, b.center() + pt(low, 0.0), Anchor::Middle, kind, name);
    } else {
        page.text(faces, b.center() - pt(0.0, low), Anchor::Middle, kind, name);
    }
    Some(bounds)
}

/// A line at another scale, moved.
pub(super) fn scaled(stroke: &Stroke, scale: f64, to: Point) -> Stroke {
    use crate::geom::{Path, Vertex};
    let vertex = |v: &Vertex| Vertex::new(to + v.point() * scale, v.bulge);
    match stroke {
        Stroke::Open(p) => Stroke::Open(Path::new(p.vertices().iter().map(vertex))),
        Stroke::Closed(c) => Stroke::Closed(Contour::new(c.vertices().iter().map(vertex))),
    }
}
