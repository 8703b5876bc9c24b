//! Every piece with its measures.

use super::Told;
use crate::design::{Piece, Role};
use crate::drawing::{Faces, Pen};
use crate::fit::{closing_by_marks, told_failing};
use crate::geom::{Bounds, Contour, Point, Stroke, pt};
use crate::job::StockKind;
use crate::units::Unit;
use crate::write::pdf::flow::Flow;
use crate::write::pdf::measured::{Cell, DETAILS, Measured, scale_for};
use crate::write::style::FAINT;

/// The longest side of a piece among others, as it is drawn, mm, the best first.
const AMONG: [f64; 3] = [76.0, 64.0, 52.0];
/// Between the words and the first drawing, mm.
const GAP: f64 = 3.0;
/// The part of a page that one alone has at the most, the best first.
const ALONE: [f64; 3] = [0.65, 0.5, 0.35];
/// The longest side of a small piece, as it is drawn, mm.
const SMALL: f64 = 30.0;
/// By so much a piece is drawn smaller at the most, beside what the room alone would let it be, so that its figures find
/// room.
const SMALLEST: f64 = 0.33;
/// How often what lies between a scale that fits and one that does not is halved.
const HALVINGS: usize = 6;
/// Cells whose heights differ by less stand side by side, mm.
const LEVEL: f64 = 6.0;
/// A piece is small beside one so many times as long.
const SMALLER: f64 = 5.0;

pub(super) fn measures(flow: &mut Flow<'_>, told: &Told<'_>) {
    let all: Vec<Measured<'_>> =
        told.design.pieces.iter().map(|p| Measured::of(p, told.job, beside(told, p))).collect();
    let words = words(told);
    let (faces, room, page) = (flow.faces, flow.room(), 2.0 * flow.half());
    // The largest that takes the fewest pages.
    let sizes = sizes(&all, faces, pt(room, page));
    let best = |left: f64| {
        let tries = (0..ALONE.len()).flat_map(|alone| (0..AMONG.len()).map(move |among| [alone, among, 0]));
        let laid = tries.map(|chosen| {
            let cells: Vec<&Cell<'_>> = sizes.iter().map(|s| s.chosen(chosen)).collect();
            let rows = rows(&cells, room);
            let (order, pages) = in_order(&rows, left, page);
            (cells, rows, order, pages)
        });
        laid.reduce(|best, other| if other.3 < best.3 { other } else { best })
    };
    let mut left = flow.left() - flow.titled_height(&words) - GAP;
    let mut laid = best(left);
    // The words stay with the first drawings.
    let first = laid.as_ref().and_then(|(_, rows, order, _)| order.first().map(|i| rows[*i].height));
    if first.is_some_and(|high| high > left) {
        flow.need(page);
        left = flow.left() - flow.titled_height(&words) - GAP;
        laid = best(left);
    }
    flow.title("The pieces, measured");
    for text in words {
        flow.text(&text);
    }
    flow.gap(GAP);
    let Some((cells, rows, order, _)) = laid else { return };
    for row in order.into_iter().map(|i| &rows[i]) {
        flow.row(row.height, |page, corner, room| {
            for (cell, at) in row.spread(&cells, room) {
                let at = Bounds { min: corner + at.min, max: corner + at.max };
                page.shape(vec![Contour::rectangle(at.min, at.max)], None, Some(Pen::solid(FAINT, 0.15)));
                cell.draw(page, faces, at);
            }
        });
    }
}

/// The base's board on the cloth, which all the others are laid out from.
fn beside<'a>(told: &Told<'a>, piece: &'a Piece) -> Option<(&'a Contour, &'static str)> {
    // The strip of a tray begins with its wall at the tail.
    if piece.role == Role::Tray && piece.id.ends_with("-walls") {
        let first = piece.marks.iter().find_map(|m| if let Stroke::Closed(c) = m { Some(c) } else { None });
        return first.map(|c| (c, "tail wall"));
    }
    if piece.id == "cloth-case" {
        // With covers that are covered by part the spine alone lies whole on it.
        let is_parted = told.design.pieces.iter().any(|p| p.role == Role::Side);
        let (id, words) = if is_parted { ("board-spine", "spine") } else { ("board-back-cover", "back cover") };
        let board = told.design.pieces.iter().find(|p| p.id == id)?;
        return Some((&board.outline, words));
    }
    let flat = told.design.flat.as_ref().filter(|_| piece.role == Role::Cover)?;
    Some((&flat.base, base_in_words(told)))
}

/// What the board that the others are laid out from is called.
fn base_in_words(told: &Told<'_>) -> &'static str {
    match told.job.build.construction.terms() {
        _ if told.design.case.is_some() => "base",
        terms if terms.has_case && told.design.pieces.iter().any(|p| p.role == Role::Side) => "spine",
        terms if terms.has_case => "back cover",
        terms if terms.has_mouth => "lower face",
        _ => "base",
    }
}

/// How the drawings are read, and what marking by a rule does to the box.
fn words(told: &Told<'_>) -> Vec<String> {
    let (unit, step) = match told.job.units {
        Unit::Mm => ("millimetres", "0.5 mm"),
        Unit::Inch => ("inches", "1/32 in"),
    };
    let exactly = 1.0 - told.fit.closing.share;
    let marked = 1.0 - closing_by_marks(told.job, told.design);
    let sure = match (told_failing(exactly), told_failing(marked)) {
        (a, b) if a == b => format!("Cut to the exact measures or by the marks, {a} as it is dressed."),
        (a, b) => format!("Cut to the exact measures, {a} as it is dressed; cut by the marks, {b}."),
    };
    let is_on_cloth = told.design.pieces.iter().any(|p| beside(told, p).is_some());
    let base = match is_on_cloth {
        true if told.design.case.is_some() => {
            let of_case = if told.design.pieces.iter().any(|p| p.role == Role::Side) { "spine" } else { "back cover" };
            format!(" Dashed on each cloth is where the base or the {of_case} lies.")
        }
        true => format!(" Dashed on the cloth is where the {} lies.", base_in_words(told)),
        false => String::new(),
    };
    vec![
        format!(
            "All figures are {unit}. Each piece is drawn as it lies when it is cut. Cut the rectangle round it first, square; then measure everything from its left and its lower edge, at the circles: the figures run on from there. A hand marks to the nearest {step}; where that is not the measure itself, that follows in brackets. What something must go into is marked no narrower than it is.{base}"
        ),
        sure,
    ]
}

/// The sizes in which a piece may be drawn, the best first.
struct Sizes<'a> {
    /// Alone, among others, or small: which of three choices decides.
    kind: usize,
    cells: Vec<Cell<'a>>,
}

impl<'a> Sizes<'a> {
    fn chosen(&self, choices: [usize; 3]) -> &Cell<'a> {
        &self.cells[choices[self.kind].min(self.cells.len() - 1)]
    }
}

/// Every piece in the sizes that suit it, on pages so wide and high.
fn sizes<'a>(all: &'a [Measured<'a>], faces: &Faces, page: Point) -> Vec<Sizes<'a>> {
    let long = |m: &Measured<'_>| m.size().0.max(m.size().1);
    let longest = |stock: StockKind| all.iter().filter(|m| m.stock() == stock).map(long).fold(0.0, f64::max);
    let fits = |cells: &[Cell<'_>]| cells.iter().all(|c| c.width <= page.x && c.height <= page.y);
    let of = |m: &'a Measured<'a>| {
        let most = longest(m.stock());
        let is_small = |m: &Measured<'_>| long(m) * SMALLER < most;
        let others = all.iter().filter(|o| o.stock() == m.stock() && !is_small(o)).count();
        let at = |scale: f64| Cell::of(m, (scale, 1), faces);
        let (kind, cells) = if is_small(m) {
            (2, vec![at(scale_for(long(m), SMALL))])
        } else if others > 1 {
            (1, AMONG.map(|room| at(scale_for(most, room))).into())
        } else {
            (0, Vec::new())
        };
        if !cells.is_empty() && fits(&cells) {
            return Sizes { kind, cells };
        }
        let part = |share: f64| {
            let ways = [(1, page.y * share), (1, page.y), (2, page.y)];
            let found = ways.into_iter().find_map(|(rows, high)| largest(m, rows, pt(page.x, high), faces));
            let plain = found.unwrap_or_else(|| Cell::of(m, (scale_for(long(m), SMALL), 2), faces));
            let beside = largest(m, 1, pt(page.x - DETAILS, page.y * share), faces);
            beside.and_then(|c| c.detailed(&plain, pt(page.x, page.y * share))).unwrap_or(plain)
        };
        Sizes { kind: 0, cells: ALONE.map(part).into() }
    };
    all.iter().map(of).collect()
}

/// A piece as large as `room` holds it; `None` where that is so small that its figures would stand far from where
/// they belong.
fn largest<'a>(m: &'a Measured<'a>, rows: usize, room: Point, faces: &Faces) -> Option<Cell<'a>> {
    let most = scale_for(m.size().0, room.x).min(scale_for(m.size().1, room.y));
    let at = |scale: f64| Some(Cell::of(m, (scale, rows), faces)).filter(|c| c.width <= room.x && c.height <= room.y);
    let mut best = at(most * SMALLEST)?;
    let (mut low, mut high) = (most * SMALLEST, most);
    for _ in 0..HALVINGS {
        let middle = low.midpoint(high);
        match at(middle) {
            Some(cell) => (best, low) = (cell, middle),
            None => high = middle,
        }
    }
    Some(best)
}

/// Cells one above the other.
struct Column {
    width: f64,
    height: f64,
    cells: Vec<usize>,
}

/// Columns side by side.
struct Row {
    width: f64,
    height: f64,
    columns: Vec<Column>,
}

/// The cells in rows of `room` mm, the highest of each stock first; a small one goes where it finds room.
fn rows(cells: &[&Cell<'_>], room: f64) -> Vec<Row> {
    let mut order: Vec<usize> = (0..cells.len()).collect();
    // About equal ones in the order of the design.
    let about = |height: f64| (height / 10.0).round();
    order.sort_by(|a, b| {
        let (a, b) = (cells[*a], cells[*b]);
        a.stock().cmp(&b.stock()).then(about(b.height).total_cmp(&about(a.height)))
    });
    let mut rows: Vec<Row> = Vec::new();
    for i in order {
        let (width, height) = (cells[i].width, cells[i].height);
        let place = rows.iter_mut().find_map(|row| {
            let spare = room - row.width;
            let (most, used) = (row.height, row.width);
            let column = row.columns.iter_mut().find(|c| c.width + spare >= width && c.height + height <= most);
            if let Some(column) = column {
                row.width = used + (width - column.width).max(0.0);
                column.width = column.width.max(width);
                column.height += height;
                column.cells.push(i);
                return Some(());
            }
            (width <= spare && height <= most + LEVEL).then(|| {
                row.width += width;
                row.height = most.max(height);
                row.columns.push(Column { width, height, cells: vec![i] });
            })
        });
        if place.is_none() {
            rows.push(Row { width, height, columns: vec![Column { width, height, cells: vec![i] }] });
        }
    }
    rows
}

/// Rows in the order in which they fill pages: where the next does not fit, one after it that does. With it how many
/// pages they take, the last by its part.
fn in_order(rows: &[Row], left: f64, page: f64) -> (Vec<usize>, f64) {
    let mut waiting: Vec<usize> = (0..rows.len()).collect();
    let (mut order, mut left, mut pages) = (Vec::new(), left, 0.0);
    while !waiting.is_empty() {
        let k = waiting.iter().position(|i| rows[*i].height <= left);
        let k = k.unwrap_or_else(|| {
            (left, pages) = (page, pages + 1.0);
            0
        });
        let next = waiting.remove(k);
        left -= rows[next].height;
        order.push(next);
    }
    (order, pages - left / page)
}

impl Row {
    /// The rectangles of its cells, the row's lower left corner at the origin, spread over `room`.
    fn spread<'c, 'a>(&self, cells: &[&'c Cell<'a>], room: f64) -> Vec<(&'c Cell<'a>, Bounds)> {
        let more = (room - self.width).max(0.0) / self.columns.len().max(1) as f64;
        let mut x = 0.0;
        let mut all = Vec::new();
        for column in &self.columns {
            let higher = (self.height - column.height).max(0.0) / column.cells.len().max(1) as f64;
            let (width, mut y) = (column.width + more, self.height);
            for cell in column.cells.iter().map(|i| cells[*i]) {
                let low = y - cell.height - higher;
                all.push((cell, Bounds { min: pt(x, low), max: pt(x + width, y) }));
                y = low;
            }
            x += width;
        }
        all
    }
}
