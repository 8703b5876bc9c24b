//! `templates.pdf`: pieces at full size, for a knife and a straight edge.

use super::measured::tells_all;
use super::paper::Paper;
use super::parts::{FOOT, RIM, check_rule, face_up, key, piece_name};
use super::spot::{Spot, grain};
use super::tile::{Grid, OVERLAP, Template};
use crate::design::{Design, Piece};
use crate::drawing::{Anchor, Drawing as Page, Pen, Type};
use crate::drawing::{Faces, pdf};
use crate::geom::{Contour, Point, Stroke, pt};
use crate::job::{Grain, Job, StockKind};
use crate::nest::{Room, rectangles};
use crate::units::mm;
use crate::write::style::{FAINT, INK, QUIET};

/// The most pages that a template in parts is worth (our choice).
const MOST_PARTS: usize = 2;
/// An arc of a larger radius than this is not drawn round a coin or by compasses, mm (our choice).
const LONG_CURVE: f64 = 30.0;
/// Between what shares a page, mm.
const GAP: f64 = 4.0;
const NAME: Type = Type::new(3.6).bold();
const TEXT: Type = Type::new(3.0);

/// Pieces of a design at full size: all that a page holds, and those with a curve that is not marked out by measures. The
/// rest is marked out by the guide's; cloth and liner are tiled where `is_cloth_tiled` says so.
///
/// Pieces lie as they do on the stock (the same side up); small ones share pages; one that no page holds is cut into
/// tiles that overlap by 10 mm, with registration crosses on the middle of the overlap. Every page carries a rule to
/// check the print by. An error only where the PDF library cannot write.
pub fn templates(job: &Job, design: &Design, paper: Paper, is_cloth_tiled: bool) -> Result<Vec<u8>, String> {
    let faces = Faces::new();
    pdf(&pages(job, design, paper, is_cloth_tiled, &faces), &format!("{}: templates", job.title), &faces)
}

/// How a piece is given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Way {
    /// On a page with others, in one part or two.
    Shared,
    /// On pages of its own.
    Alone,
    /// By its measures in the guide.
    Measured,
}

fn way(piece: &Piece, fits: bool, parts: usize, paper: Paper, is_cloth_tiled: bool) -> Way {
    let is_tiled = piece.stock != StockKind::Board && is_cloth_tiled || !tells_all(piece);
    let has_curve = piece.outline.segments().any(|s| !s.is_line() && s.radius() > LONG_CURVE);
    match paper {
        _ if fits => Way::Shared,
        Paper::Large => Way::Alone,
        Paper::A4 | Paper::Letter if parts <= MOST_PARTS && (has_curve || is_tiled) => Way::Shared,
        Paper::A4 | Paper::Letter if is_tiled => Way::Alone,
        Paper::A4 | Paper::Letter => Way::Measured,
    }
}

/// On which pages after the cover a piece is.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum On {
    /// On these, counted from 0.
    Pages(usize, usize),
    /// In the guide.
    Guide,
}

/// The pages, the cover first.
pub(super) fn pages(job: &Job, design: &Design, paper: Paper, is_cloth_tiled: bool, faces: &Faces) -> Vec<Page> {
    let (width, height) = paper.size();
    let window = (width - 2.0 * RIM, height - 2.0 * RIM - FOOT);
    let all: Vec<[Template<'_>; 2]> = design.pieces.iter().map(|p| Template::both_ways(p, job, window)).collect();
    let mut pages = Vec::new();
    let mut places: Vec<(usize, On)> = Vec::new();
    // Each in the ways that it may lie, the parts of larger ones once as they lie and once turned by a quarter.
    let mut shared: [Vec<(usize, Vec<Spot<'_>>)>; 2] = Default::default();
    let fits = |s: &Spot<'_>| s.width <= window.0 && s.height <= window.1;
    for (i, both) in all.iter().enumerate() {
        let t = &both[0];
        let whole: Vec<Spot<'_>> =
            both.iter().map(|t| Spot::whole(t, &label(job, t), window, faces)).filter(fits).collect();
        let [parts, turned] = both.each_ref().map(|t| in_parts(t, job, window, faces));
        let few = parts.as_ref().map_or(usize::MAX, Vec::len);
        match way(t.piece, !whole.is_empty(), few, paper, is_cloth_tiled) {
            Way::Shared if !whole.is_empty() => shared.iter_mut().for_each(|s| s.push((i, whole.clone()))),
            Way::Shared => {
                let turned = turned.filter(|t| t.len() <= few).or_else(|| parts.clone());
                for (shared, parts) in shared.iter_mut().zip([parts, turned]) {
                    shared.extend(parts.into_iter().flatten().map(|ways| (i, ways)));
                }
            }
            Way::Alone => {
                let from = pages.len();
                match paper {
                    Paper::Large => pages.push(alone(job, t, faces)),
                    Paper::A4 | Paper::Letter => tiled(job, t, (width, height), window, faces, &mut pages),
                }
                places.push((i, On::Pages(from, pages.len() - 1)));
            }
            Way::Measured => places.push((i, On::Guide)),
        }
    }
    // Whichever takes fewer pages.
    let laid = shared.map(|shared| {
        let size = |s: &Spot<'_>| (s.width, s.height);
        let sizes: Vec<Vec<(f64, f64)>> = shared.iter().map(|(_, ways)| ways.iter().map(size).collect()).collect();
        (rectangles(&sizes, Room { width: window.0, height: window.1 }, GAP), shared)
    });
    let [as_they_lie, turned] = laid;
    let (laid, shared) = if turned.0.len() < as_they_lie.0.len() { turned } else { as_they_lie };
    let is_joined =
        shared.iter().any(|(_, ways)| ways.iter().any(Spot::is_part)) || places.iter().any(|(_, on)| *on != On::Guide);
    for spots in laid {
        let mut page = Page::new(width, height);
        let mut notes = vec!["Which side lies up is written at each piece.".to_owned()];
        for (k, lies, corner) in spots {
            let (i, ways) = &shared[k];
            let spot = &ways[lies];
            spot.draw(&mut page, faces, pt(RIM, RIM + FOOT) + corner);
            places.push((*i, On::Pages(pages.len(), pages.len())));
            if spot.is_part() && notes.len() == 1 {
                notes.push("Join the parts of a piece cross on cross.".into());
            }
        }
        foot(&mut page, faces, "Pieces at full size", &notes);
        pages.push(page);
    }
    places.sort();
    places.dedup();
    // The page numbers in the cover's list hang on how many pages it takes itself.
    let cover_of = |covers: usize| cover(job, &all, &told(&places, covers + 1), paper, is_joined, faces);
    let covers = cover_of(1).len();
    let mut whole_lot = cover_of(covers);
    let total = whole_lot.len() + pages.len();
    whole_lot.extend(pages);
    for (n, page) in whole_lot.iter_mut().enumerate() {
        let at = pt(page.width - RIM, RIM + 1.0);
        page.text(faces, at, Anchor::Right, TEXT.color(QUIET), &format!("page {} of {total}", n + 1));
    }
    whole_lot
}

/// Each piece once, with all its pages in words, the first after the cover being number `first`.
fn told(places: &[(usize, On)], first: usize) -> Vec<(usize, String)> {
    let mut once: Vec<(usize, String)> = Vec::new();
    for (i, on) in places {
        let on = match on {
            On::Pages(from, to) if from == to => (from + first).to_string(),
            On::Pages(from, to) => format!("{} to {}", from + first, to + first),
            On::Guide => GUIDE.into(),
        };
        match once.last_mut() {
            Some((last, pages)) if last == i => *pages = format!("{pages} and {on}"),
            _ => once.push((*i, on)),
        }
    }
    once
}

/// In the place of a page's number.
const GUIDE: &str = "guide";
/// Names of more letters than this stand alone in a row of the list.
const LONG: usize = 25;

/// What is written above a piece: its name, how many to cut, which side lies up, which way its grain runs.
fn label(job: &Job, t: &Template<'_>) -> [String; 2] {
    let count = t.piece.needed(job.copies);
    [piece_name(t.piece), format!("cut {count}, {}{}", face_up(job, t.piece), grain(t))]
}

/// A piece in parts that share pages, each in the ways that it may lie; `None` where a page does not hold one.
fn in_parts<'a>(t: &'a Template<'a>, job: &Job, window: (f64, f64), faces: &Faces) -> Option<Vec<Vec<Spot<'a>>>> {
    let fits = |s: &Spot<'_>| s.width <= window.0 && s.height <= window.1;
    let ways = |part: Spot<'a>| -> Vec<Spot<'a>> {
        let other = part.relabelled(faces);
        std::iter::once(part).chain(other).filter(fits).collect()
    };
    let all: Vec<Vec<Spot<'a>>> = Spot::parts(t, &label(job, t), window, faces).into_iter().map(ways).collect();
    all.iter().all(|ways| !ways.is_empty()).then_some(all)
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
    let grid = t.tiles(window);
    let used = |c: usize, r: usize| t.is_used(&grid, c, r);
    // Rows are counted from the top, as one reads.
    for row in (0..grid.rows).rev() {
        for column in (0..grid.columns).filter(|c| used(*c, row)) {
            let mut page = Page::new(width, height);
            Spot::tile(t, &grid, column, row).draw(&mut page, faces, pt(RIM, RIM + FOOT));
            let name = format!("{}: row {}, column {}", piece_name(t.piece), grid.rows - row, column + 1);
            let [_, how] = label(job, t);
            foot(&mut page, faces, &name, &[how]);
            map(&mut page, t, &grid, &used, Some((column, row)), pt(width - RIM, RIM + 6.0), 21.0);
            pages.push(page);
        }
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
    for r in 0..grid.rows {
        for c in (0..grid.columns).filter(|c| used(*c, r)) {
            let own = grid.own(c, r);
            let fill = (here == Some((c, r))).then_some(FAINT);
            page.shape(vec![Contour::rectangle(at(own.min), at(own.max))], fill, Some(Pen::solid(QUIET, 0.15)));
        }
    }
    let outline: Vec<Point> = t.outline().flatten(0.1 / scale).into_iter().map(at).collect();
    page.lines(vec![Stroke::Closed(Contour::polygon(outline))], Pen::solid(INK, 0.3));
}

/// A piece whole on a page of its own size, a multiple of 10 mm.
fn alone(job: &Job, t: &Template<'_>, faces: &Faces) -> Page {
    let round = |v: f64| (v / 10.0).ceil() * 10.0;
    let (width, height) = (round(t.width + 2.0 * RIM).max(210.0), round(t.height + 2.0 * RIM + FOOT));
    let mut page = Page::new(width, height);
    Spot::bare(t).draw(&mut page, faces, pt(RIM, RIM + FOOT));
    let [name, how] = label(job, t);
    foot(&mut page, faces, &name, &[how]);
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
fn cover(
    job: &Job,
    all: &[[Template<'_>; 2]],
    places: &[(usize, String)],
    paper: Paper,
    is_joined: bool,
    faces: &Faces,
) -> Vec<Page> {
    let mut flow = super::flow::Flow::new(faces, paper, FOOT);
    flow.title(&format!("{}: templates", job.title));
    if places.iter().all(|(_, on)| on == GUIDE) {
        flow.text(
            "No page holds a piece of this box: mark out each by its drawing in the guide, \"The pieces, measured\".",
        );
        return with_rule(flow.finish(), faces);
    }
    let has_paper = all.iter().any(|t| t[0].piece.stock == StockKind::Paper);
    flow.text(if places.iter().any(|(_, on)| on == GUIDE) && has_paper {
        "Every piece that a page holds, at full size, to cut by a knife and a straight edge. A larger one is marked out by its drawing in the guide, \"The pieces, measured\"; only what has a long curve is tiled here. The option --tile-cloth of export tiles cloth, paper and liner too."
    } else if places.iter().any(|(_, on)| on == GUIDE) {
        "Every piece that a page holds, at full size, to cut by a knife and a straight edge. A larger one is marked out by its drawing in the guide, \"The pieces, measured\"; only what has a long curve is tiled here. The option --tile-cloth of export tiles cloth and liner too."
    } else {
        "Every piece at full size, to cut by a knife and a straight edge."
    });
    flow.heading("Print");
    flow.item(&format!(
        "Print on {} at 100 %, \"actual size\", with nothing fitted or scaled to the page.",
        paper.name()
    ));
    flow.item("Measure the rule at the foot of every page with the rule you will cut by: 100 mm and 4 in must be right to within 0.3 mm. If they are not, change the printer's setting and print again; do not correct by eye.");
    if paper == Paper::Large || is_joined {
        flow.heading("Join");
    }
    if paper == Paper::Large {
        flow.item("Every piece is whole; nothing is joined.");
    } else if is_joined {
        flow.item(&format!(
            "Neighbouring tiles show the same {} strip. Cut one of the two along the middle of its crosses, lay it on the other cross on cross, tape it. The small map at the foot of a page shows where its tile belongs; a tile that would be empty is left out.",
            job.units.show(mm(OVERLAP))
        ));
        flow.item("Check a joined template before you cut by it: measure its width and height against the list below.");
    }
    flow.heading("Use");
    let grain = if all.iter().any(|[t, _]| t.piece.grain != Grain::None) { ", grain along grain" } else { "" };
    flow.item(&format!("Lay the template on the stock with the side up that is written on it{grain}. Prick through its corners, take it off, and cut from prick to prick; or tape it down and cut through it."));
    flow.item("Cut with several light strokes along a steel edge, the waste on the blade's side. Keep the hand that holds the edge behind the blade. Change the blade when it drags.");
    flow.heading("Lines");
    flow.row(14.0, |page, at, room| key(page, faces, at + pt(0.0, 7.0), room));
    if all.iter().any(|[t, _]| !t.behind.is_empty()) {
        flow.item("Dashed: a recess in the other face of the board. Prick through its corners and turn the board over to cut it; the guide says how deep.");
    }
    flow.heading("Pieces");
    let cells = |(i, on): &(usize, String)| {
        let piece = all[*i][0].piece;
        let b = piece.outline.bounds();
        let size = job.units.show_size(&[mm(b.width()), mm(b.height())]);
        [piece_name(piece), piece.needed(job.copies).to_string(), size, on.clone()]
    };
    // Two to a row, so that the list stays on the page, unless names are too long for that.
    let is_long = places.iter().any(|(i, _)| piece_name(all[*i][0].piece).len() > LONG);
    let beside = if is_long { 1 } else { 2 };
    let (left, right) = places.split_at(places.len().div_ceil(beside));
    let rows: Vec<Vec<String>> = left
        .iter()
        .enumerate()
        .map(|(k, one)| cells(one).into_iter().chain(right.get(k).map(cells).unwrap_or_default()).collect())
        .collect();
    let heads = ["piece", "cut", "width x height", "page"];
    flow.table(&vec![heads; beside].concat(), &vec![[3.6, 0.6, 3.0, 1.6]; beside].concat(), &rows);
    with_rule(flow.finish(), faces)
}

fn with_rule(mut pages: Vec<Page>, faces: &Faces) -> Vec<Page> {
    for page in &mut pages {
        check_rule(page, faces, pt(RIM, RIM + 6.5));
    }
    pages
}
