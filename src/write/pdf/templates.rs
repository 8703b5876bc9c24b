//! `templates.pdf`: every piece at full size, for a knife and a straight edge.

use super::paper::Paper;
use super::parts::{FOOT, RIM, check_rule, face_up, key, piece_name};
use super::tile::{Grid, OVERLAP, Template};
use crate::design::Design;
use crate::drawing::{Anchor, Drawing as Page, Pen, Type};
use crate::drawing::{Faces, pdf};
use crate::geom::{Bounds, Contour, Point, Stroke, pt};
use crate::job::{Grain, Job};
use crate::nest::{Room, rectangles};
use crate::profile::OperationKind;
use crate::units::mm;
use crate::write::style::{CUT_WEIGHT, FAINT, INK, QUIET, STYLES, pen};

/// Room above a piece for its name, mm.
const LABEL: f64 = 7.0;
/// Half the length of a registration cross, mm.
const CROSS: f64 = 4.0;
const NAME: Type = Type::new(3.6).bold();
const TEXT: Type = Type::new(3.0);

/// Every piece of a design at full size. Pieces lie as they do on the stock (the same side up);
/// one that no page holds is cut into tiles that overlap by 10 mm, with registration crosses on the
/// middle of the overlap and a map of the tiles; small ones share a page. Every page carries a rule
/// to check the print by. An error only where the PDF library cannot write.
pub fn templates(job: &Job, design: &Design, paper: Paper) -> Result<Vec<u8>, String> {
    let faces = Faces::new();
    pdf(&pages(job, design, paper, &faces), &format!("{}: templates", job.title), &faces)
}

/// The pages, the cover last made and first shown: it lists what is where.
pub(super) fn pages(job: &Job, design: &Design, paper: Paper, faces: &Faces) -> Vec<Page> {
    let (width, height) = paper.size();
    let window = (width - 2.0 * RIM, height - 2.0 * RIM - FOOT);
    let all: Vec<Template<'_>> = design.pieces.iter().map(|p| Template::of(p, job, window)).collect();
    let cells: Vec<Cell> = all.iter().map(|t| Cell::of(t, &label(job, t), faces)).collect();
    let fits = |c: &Cell| c.width <= window.0 && c.height <= window.1;
    let mut pages = Vec::new();
    let mut places: Vec<(usize, String)> = Vec::new();
    let (small, large): (Vec<usize>, Vec<usize>) = (0..all.len()).partition(|i| fits(&cells[*i]));
    for i in large {
        let from = pages.len() + 2;
        let t = &all[i];
        match paper {
            Paper::Large => pages.push(whole(job, t, faces)),
            Paper::A4 | Paper::Letter => tiled(job, t, (width, height), window, faces, &mut pages),
        }
        places.push((i, pages_from(from, pages.len() + 1)));
    }
    let sizes: Vec<(f64, f64)> = small.iter().map(|&i| (cells[i].width, cells[i].height)).collect();
    for spots in rectangles(&sizes, Room { width: window.0, height: window.1 }, 4.0) {
        let mut page = Page::new(width, height);
        for (k, corner) in spots {
            let (t, cell) = (&all[small[k]], &cells[small[k]]);
            let at = pt(RIM, RIM + FOOT) + corner;
            draw(&mut page, t, whole_window(t), at);
            cell.name(&mut page, faces, at, t, &label(job, t));
            places.push((small[k], (pages.len() + 2).to_string()));
        }
        foot(&mut page, faces, "Small pieces at full size", &["Which side lies up is written at each piece.".into()]);
        pages.push(page);
    }
    places.sort();
    let mut whole_lot = cover(job, &all, &places, paper, faces);
    let total = pages.len() + 1;
    whole_lot.extend(pages);
    for (n, page) in whole_lot.iter_mut().enumerate() {
        let at = pt(page.width - RIM, RIM + 1.0);
        page.text(faces, at, Anchor::Right, TEXT.color(QUIET), &format!("page {} of {total}", n + 1));
    }
    whole_lot
}

fn pages_from(first: usize, last: usize) -> String {
    if first == last { first.to_string() } else { format!("{first} to {last}") }
}

fn whole_window(t: &Template<'_>) -> Bounds {
    Bounds { min: pt(0.0, 0.0), max: pt(t.width, t.height) }
}

/// What is written above a piece: its name, how many to cut, which side lies up.
fn label(job: &Job, t: &Template<'_>) -> [String; 2] {
    let count = t.piece.needed(job.copies);
    [piece_name(t.piece), format!("cut {count}, {}", face_up(job, t.piece))]
}

/// A small piece with the strip that its label takes: above it, or upright at its right where it is
/// narrow.
struct Cell {
    width: f64,
    height: f64,
    is_upright: bool,
}

impl Cell {
    fn of(t: &Template<'_>, [name, rest]: &[String; 2], faces: &Faces) -> Self {
        let long = faces.width(name, TEXT.size, TEXT.bold().weight) + faces.width(rest, TEXT.size, TEXT.weight) + 3.0;
        let is_upright = t.width < long && t.height >= long;
        if is_upright {
            Self { width: t.width + LABEL, height: t.height, is_upright }
        } else {
            Self { width: t.width.max(long), height: t.height + LABEL, is_upright }
        }
    }

    /// Writes the label of a piece whose rectangle's lower left corner is at `at`.
    fn name(&self, page: &mut Page, faces: &Faces, at: Point, t: &Template<'_>, [name, rest]: &[String; 2]) {
        let end = faces.width(name, TEXT.size, TEXT.bold().weight) + 2.0;
        if self.is_upright {
            let start = at + pt(t.width + 4.5, 0.0);
            page.upright(faces, start, Anchor::Left, TEXT.bold(), name);
            page.upright(faces, start + pt(0.0, end), Anchor::Left, TEXT, rest);
        } else {
            let start = at + pt(0.0, t.height + 2.0);
            page.text(faces, start, Anchor::Left, TEXT.bold(), name);
            page.text(faces, start + pt(end, 0.0), Anchor::Left, TEXT, rest);
        }
    }
}

/// What a window of a template shows, its lower left corner at `to`.
fn draw(page: &mut Page, t: &Template<'_>, window: Bounds, to: Point) {
    let seen = t.seen(window, to);
    for style in STYLES.iter().rev() {
        let of = |s: &(OperationKind, Stroke)| (s.0 == style.kind).then(|| s.1.clone());
        let strokes: Vec<Stroke> = seen.iter().filter_map(of).collect();
        let closed: Vec<Contour> = strokes
            .iter()
            .filter_map(|s| if let Stroke::Closed(c) = s { Some(c.clone()) } else { None })
            .filter(|_| style.fill.is_some())
            .collect();
        page.shape(closed, style.fill, None);
        page.lines(strokes, pen(style.kind, CUT_WEIGHT * 1.0));
    }
}

/// A large piece in tiles; those that show no line are left out.
fn tiled(
    job: &Job,
    t: &Template<'_>,
    (width, height): (f64, f64),
    window: (f64, f64),
    faces: &Faces,
    pages: &mut Vec<Page>,
) {
    let grid = Grid::over(t.width, t.height, window);
    let used = |c: usize, r: usize| !t.seen(grid.tile(c, r), pt(0.0, 0.0)).is_empty();
    // Rows are counted from the top, as one reads.
    for row in (0..grid.rows).rev() {
        for column in (0..grid.columns).filter(|c| used(*c, row)) {
            let mut page = Page::new(width, height);
            let at = pt(RIM, RIM + FOOT);
            let tile = grid.tile(column, row);
            let frame = Contour::rectangle(at, at + pt(window.0, window.1));
            page.shape(vec![frame], None, Some(Pen { dashes: &[1.0, 2.0], ..Pen::solid(FAINT, 0.2) }));
            crosses(&mut page, &grid, column, row, at);
            draw(&mut page, t, tile, at);
            let name = format!("{}: row {}, column {}", piece_name(t.piece), grid.rows - row, column + 1);
            let [_, how] = label(job, t);
            foot(&mut page, faces, &name, &[how, turned(t)]);
            map(&mut page, t, &grid, &used, Some((column, row)), pt(width - RIM, RIM + 6.0), 21.0);
            pages.push(page);
        }
    }
}

fn turned(t: &Template<'_>) -> String {
    let grain = match t.piece.grain {
        Grain::None => "Grain: as you like.",
        Grain::Height if t.is_turned => "Grain: across this page.",
        Grain::Width if !t.is_turned => "Grain: across this page.",
        Grain::Height | Grain::Width => "Grain: up this page.",
    };
    grain.into()
}

/// Registration crosses on the middle of each overlap: at its ends and at the quarters.
fn crosses(page: &mut Page, grid: &Grid, column: usize, row: usize, at: Point) {
    let (w, h) = grid.window;
    let middle = OVERLAP / 2.0;
    let mut places: Vec<Point> = Vec::new();
    let steps = |size: f64| (0..=4).map(move |k| middle + (size - OVERLAP) * f64::from(k) / 4.0);
    if column > 0 {
        places.extend(steps(h).map(|y| pt(middle, y)));
    }
    if column + 1 < grid.columns {
        places.extend(steps(h).map(|y| pt(w - middle, y)));
    }
    if row > 0 {
        places.extend(steps(w).map(|x| pt(x, middle)));
    }
    if row + 1 < grid.rows {
        places.extend(steps(w).map(|x| pt(x, h - middle)));
    }
    let pen = Pen::solid(QUIET, 0.15);
    let mut drawn: Vec<Point> = Vec::new();
    for p in places {
        if drawn.iter().any(|q| q.distance(p) < 0.01) {
            continue;
        }
        drawn.push(p);
        let c = at + p;
        page.line(c - pt(CROSS, 0.0), c + pt(CROSS, 0.0), pen);
        page.line(c - pt(0.0, CROSS), c + pt(0.0, CROSS), pen);
        page.shape(vec![Contour::circle(c, CROSS / 2.0)], None, Some(pen));
    }
}

/// The template small, with its tiles; `here` is filled. `corner` is its lower right corner.
fn map(
    page: &mut Page,
    t: &Template<'_>,
    grid: &Grid,
    used: &dyn Fn(usize, usize) -> bool,
    here: Option<(usize, usize)>,
    corner: Point,
    size: f64,
) {
    let all = grid.tile(0, 0).union(grid.tile(grid.columns - 1, grid.rows - 1));
    let scale = (size / all.height()).min(2.0 * size / all.width());
    let at = |p: Point| corner + pt((p.x - all.max.x) * scale, (p.y - all.min.y) * scale);
    // A tile's own part ends in the middle of the overlap.
    let cell = |c: usize, r: usize| {
        let tile = grid.tile(c, r);
        let inset = |is_outer: bool| if is_outer { 0.0 } else { OVERLAP / 2.0 };
        let min = tile.min + pt(inset(c == 0), inset(r == 0));
        let max = tile.max - pt(inset(c + 1 == grid.columns), inset(r + 1 == grid.rows));
        Contour::rectangle(at(min), at(max))
    };
    for r in 0..grid.rows {
        for c in (0..grid.columns).filter(|c| used(*c, r)) {
            let fill = (here == Some((c, r))).then_some(FAINT);
            page.shape(vec![cell(c, r)], fill, Some(Pen::solid(QUIET, 0.15)));
        }
    }
    let outline: Vec<Point> = t.piece_outline().flatten(0.1 / scale).into_iter().map(at).collect();
    page.shape(vec![Contour::polygon(outline)], None, Some(Pen::solid(INK, 0.3)));
}

impl Template<'_> {
    /// The outline as it lies on the template: the last line drawn.
    fn piece_outline(&self) -> Contour {
        match self.lines.last() {
            Some((_, Stroke::Closed(c))) => c.clone(),
            _ => Contour::default(),
        }
    }
}

/// A piece whole on a page of its own size, a multiple of 10 mm.
fn whole(job: &Job, t: &Template<'_>, faces: &Faces) -> Page {
    let round = |v: f64| (v / 10.0).ceil() * 10.0;
    let (width, height) = (round(t.width + 2.0 * RIM).max(210.0), round(t.height + 2.0 * RIM + FOOT));
    let mut page = Page::new(width, height);
    draw(&mut page, t, whole_window(t), pt(RIM, RIM + FOOT));
    let [name, how] = label(job, t);
    foot(&mut page, faces, &name, &[how, turned(t)]);
    page
}

/// The strip along the bottom: what the page shows, and the rule.
fn foot(page: &mut Page, faces: &Faces, title: &str, notes: &[String]) {
    let top = RIM + FOOT - 5.0;
    page.text(faces, pt(RIM, top), Anchor::Left, NAME, title);
    page.text(faces, pt(RIM, top - 4.6), Anchor::Left, TEXT, &notes.join("  "));
    check_rule(page, faces, pt(RIM, RIM + 6.5));
}

/// How to print and join, what the lines mean, which piece is on which page.
fn cover(job: &Job, all: &[Template<'_>], places: &[(usize, String)], paper: Paper, faces: &Faces) -> Vec<Page> {
    let mut flow = super::flow::Flow::new(faces, paper, FOOT);
    flow.title(&format!("{}: templates", job.title));
    flow.text("Every piece at full size, to cut by a knife and a straight edge.");
    flow.heading("Print");
    flow.item(&format!(
        "Print on {} at 100 %, \"actual size\", with nothing fitted or scaled to the page.",
        paper.name()
    ));
    flow.item("Measure the rule at the foot of every page with the rule you will cut by: 100 mm and 4 in must be right to within 0.3 mm. If they are not, change the printer's setting and print again; do not correct by eye.");
    flow.heading("Join");
    if paper == Paper::Large {
        flow.item("Every piece is whole; nothing is joined.");
    } else {
        flow.item(&format!(
            "Neighbouring tiles show the same {} strip. Cut one of the two along the middle of its crosses, lay it on the other cross on cross, tape it. The small map at the foot of each page shows where its tile belongs; a tile that would be empty is left out.",
            job.units.show(mm(OVERLAP))
        ));
        flow.item("Check a joined template before you cut by it: measure its width and height against the list below.");
    }
    flow.heading("Use");
    flow.item("Lay the template on the stock with the side up that is written on it, grain along grain. Prick through its corners, take it off, and cut from prick to prick; or tape it down and cut through it.");
    flow.item("Cut with several light strokes along a steel edge, the waste on the blade's side. Keep the hand that holds the edge behind the blade. Change the blade when it drags.");
    flow.heading("Lines");
    flow.row(14.0, |page, at, room| key(page, faces, at + pt(0.0, 7.0), room));
    flow.heading("Pieces");
    let rows: Vec<Vec<String>> = places
        .iter()
        .map(|(i, on)| {
            let t = &all[*i];
            let b = t.piece.outline.bounds();
            vec![
                piece_name(t.piece),
                t.piece.needed(job.copies).to_string(),
                job.units.show_size(&[mm(b.width()), mm(b.height())]),
                face_up(job, t.piece),
                on.clone(),
            ]
        })
        .collect();
    flow.table(&["piece", "cut", "width x height", "lies", "page"], &[4.0, 1.0, 4.0, 4.0, 2.0], &rows);
    let mut pages = flow.finish();
    for page in &mut pages {
        check_rule(page, faces, pt(RIM, RIM + 6.5));
    }
    pages
}
