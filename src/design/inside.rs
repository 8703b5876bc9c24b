//! What lies inside a box besides one stack: its pieces, and where all of it lies in the open box.
//!
//! - a spacer is as many boards as `job::fill` counts, one on the other; a liner covers its upper side, a cloth its sides
//!   too: it goes over their height, which is that of the boards and its own thickness, and under it as far as a turn-in
//!   goes under a board (derived). Its corners are cut as far from the corner, for that height, as those of a board;
//! - a divider's cover is one strip: a foot, one face, the top with as much as the cover takes to go round it, the other
//!   face, a foot; at both ends a tab of each face goes half-way round the end (derived).

use super::measures::thicknesses;
use super::trays::stack;
use super::{Lay, Piece, Role};
use crate::geom::{Bounds, Contour, Path, Point, Stroke, Transform, pt};
use crate::job::{Cover, Grain, Inside, Job, Padding, StockKind, StrapAlong, Thing, ThingKind};
use crate::units::Length;

/// Between the pieces in the layout, mm.
const APART: f64 = 20.0;
/// A cloth under a spacer ends so far from its middle, at the least, mm (our choice: it meets no other).
const FROM_MIDDLE: f64 = 1.0;
/// The lines at which a divider's cover is folded end so far from its edges, mm (our choice: a pen meets no cut).
const LINES_IN: f64 = 1.5;

/// Something that lies in the box, at its place in the open box laid flat.
#[derive(Clone, Debug)]
pub struct Filled {
    /// What it is called: `stack`, `spacer under stack 2`.
    pub name: String,
    /// What it is.
    pub kind: ThingKind,
    /// Of which stack, from 0.
    pub stack: usize,
    /// Its outline.
    pub outline: Contour,
    /// How high its underside lies, mm.
    pub bottom: f64,
    /// How high its upper side lies, mm.
    pub top: f64,
}

/// Everything that lies in a box, given the job of the body that encloses the others.
pub fn filling(job: &Job) -> Vec<Filled> {
    let (outline, floor) = stack(job);
    filling_on(job, outline.bounds().center(), floor)
}

/// The same about such a middle and on such a floor.
pub fn filling_on(job: &Job, middle: Point, floor: f64) -> Vec<Filled> {
    let Some(inside) = &job.inside else {
        let c = job.within().map_or(&job.contents, |w| &w.contents);
        let half = pt(c.width.to_mm() / 2.0, c.height.to_mm() / 2.0);
        return vec![Filled {
            name: "stack".into(),
            kind: ThingKind::Stack,
            stack: 0,
            outline: Contour::rectangle(middle - half, middle + half),
            bottom: floor,
            top: floor + c.depth.to_mm(),
        }];
    };
    let of = |thing: &Thing| {
        let at = |p: [Length; 3]| middle + pt(p[0].to_mm(), p[1].to_mm());
        Filled {
            name: name(inside, thing),
            kind: thing.kind,
            stack: thing.stack,
            outline: Contour::rectangle(at(thing.low), at(thing.high)),
            bottom: floor + thing.low[2].to_mm(),
            top: floor + thing.high[2].to_mm(),
        }
    };
    inside.laid.things.iter().map(of).collect()
}

/// What a thing is called.
pub fn name(inside: &Inside, thing: &Thing) -> String {
    let stack = stack_name(inside, thing.stack);
    let padding = |p: &Option<Padding>| p.as_ref().map_or_else(|| "padding".to_owned(), |p| p.what.clone());
    match thing.kind {
        ThingKind::Stack => stack.trim_start_matches("the ").to_owned(),
        ThingKind::Spacer => format!("spacer under {stack}"),
        ThingKind::SpacerBeside => format!("spacer beside {stack}"),
        ThingKind::Under => format!("{} under {stack}", padding(&inside.under)),
        ThingKind::Over => format!("{} over {stack}", padding(&inside.over)),
        ThingKind::Ribbon => "lift ribbon".into(),
        ThingKind::Divider => format!("divider after {stack}"),
        ThingKind::Foot => "foot of a divider".into(),
    }
}

/// A stack in words.
pub fn stack_name(inside: &Inside, stack: usize) -> String {
    if inside.stacks.len() > 1 { format!("stack {}", stack + 1) } else { "the stack".into() }
}

/// The board, or the sheet of padding, that a thing is made of, and its cover: the ends of their ids, after the stock.
/// `None` where it is cut from no stock.
pub fn piece_of(inside: &Inside, thing: &Thing) -> Option<String> {
    let number = if inside.stacks.len() > 1 { format!("-{}", thing.stack + 1) } else { String::new() };
    let padding = |p: &Option<Padding>, which: &str| {
        let stock = p.as_ref()?.stock?;
        Some(format!("{}-padding-{which}{number}", stock.word()))
    };
    match thing.kind {
        ThingKind::Spacer => Some(format!("board-spacer{number}")),
        ThingKind::SpacerBeside => Some(format!("board-spacer-beside{number}")),
        ThingKind::Under => padding(&inside.under, "under"),
        ThingKind::Over => padding(&inside.over, "over"),
        ThingKind::Divider => Some("board-divider".into()),
        ThingKind::Stack | ThingKind::Ribbon | ThingKind::Foot => None,
    }
}

/// Whether the face of a piece that lies up on the bed is hidden in the finished box.
pub(super) fn is_covered(piece: &Piece, job: &Job) -> bool {
    let Some(inside) = &job.inside else { return false };
    if piece.id.contains("-spacer") {
        // The cover of one has its back up.
        return piece.stock != StockKind::Board || inside.spacer.is_some_and(|s| s.cover.stock.is_some());
    }
    piece.id.contains("-divider")
}

/// The pieces of what lies inside, beside those that there are.
pub(super) fn pieces(job: &Job, there: &[Piece]) -> Vec<Piece> {
    let Some(inside) = &job.inside else { return Vec::new() };
    let mut all: Vec<Piece> = Vec::new();
    for thing in &inside.laid.things {
        for piece in of_thing(job, inside, thing) {
            // Dividers are all alike.
            match all.iter_mut().find(|p| p.id == piece.id) {
                Some(same) => same.count += piece.count,
                None => all.push(piece),
            }
        }
    }
    all.sort_by_key(|p| p.stock);
    laid_beside(&mut all, there);
    all
}

fn of_thing(job: &Job, inside: &Inside, thing: &Thing) -> Vec<Piece> {
    let Some(id) = piece_of(inside, thing) else { return Vec::new() };
    let size = thing.size().map(Length::to_mm);
    let cut = |id: String, stock, size: [f64; 2], grain| {
        let half = pt(size[0] / 2.0, size[1] / 2.0);
        Piece { grain, ..Piece::plain(id, stock, Role::Inside, Contour::rectangle(-half, half)) }
    };
    match thing.kind {
        ThingKind::Spacer | ThingKind::SpacerBeside => {
            let Some(spacer) = inside.spacer else { return Vec::new() };
            let layers = inside.layers(thing);
            let round = spacer.cover.round_spacer().to_mm() * 2.0;
            let size = [size[0] - round, size[1] - round];
            let board = cut(id.clone(), StockKind::Board, size, Grain::Height);
            let cover = spacer.cover.stock.map(|stock| {
                let id = id.replacen("board", stock.word(), 1);
                let mut piece = cut(id, stock, size, Grain::Height);
                if stock == StockKind::Cloth {
                    piece.outline = wrapped(job, size, layers, spacer.cover);
                    if job.draws_on(StockKind::Cloth) {
                        piece.marks.push(Stroke::Closed(board.outline.clone()));
                    }
                }
                piece
            });
            std::iter::once(Piece { count: layers, ..board }).chain(cover.map(mirrored)).collect()
        }
        ThingKind::Under | ThingKind::Over => {
            let padding = if thing.kind == ThingKind::Under { &inside.under } else { &inside.over };
            let stock = padding.as_ref().and_then(|p| p.stock);
            stock.map(|stock| mirrored(cut(id, stock, [size[0], size[1]], Grain::Height))).into_iter().collect()
        }
        ThingKind::Divider => {
            let Some(divider) = inside.divider else { return Vec::new() };
            let x = divider.cover.thickness.to_mm();
            let long = if divider.along == StrapAlong::Width { size[1] } else { size[0] };
            let (long, high) = (long - 2.0 * x, size[2] - x);
            let board = cut(id.clone(), StockKind::Board, [long, high], Grain::None);
            let stock = divider.cover.stock.unwrap_or(StockKind::Cloth);
            let (outline, lines) = strip(long, high, thicknesses(job).0.to_mm() + x, divider.foot.to_mm());
            let mut cover = Piece::plain(id.replacen("board", stock.word(), 1), stock, Role::Inside, outline);
            if stock == StockKind::Cloth && job.draws_on(stock) {
                cover.marks = lines;
            }
            vec![board, mirrored(cover)]
        }
        ThingKind::Stack | ThingKind::Ribbon | ThingKind::Foot => Vec::new(),
    }
}

/// Liner is cut with its wrong side up, as all of it is.
fn mirrored(piece: Piece) -> Piece {
    let lay = if piece.stock == StockKind::Liner { Lay::Mirrored } else { piece.lay };
    Piece { lay, ..piece }
}

/// The cloth of a spacer of so many boards, its corners cut off.
fn wrapped(job: &Job, size: [f64; 2], layers: u32, cover: Cover) -> Contour {
    let (t, c, _) = thicknesses(job);
    let boards = f64::from(layers.max(1));
    let high = t.to_mm() * boards + cover.thickness.to_mm();
    let under = (job.covering.turn_in - t - c).to_mm().min(size[0].min(size[1]) / 2.0 - FROM_MIDDLE).max(FROM_MIDDLE);
    let out = high + under;
    // The cut runs square to the bisector, so far from the corner along it.
    let across = job.covering.corner.to_mm() * boards * std::f64::consts::SQRT_2;
    let (w, h) = (size[0] / 2.0, size[1] / 2.0);
    let cut = (across - out).min(out).max(FROM_MIDDLE - w.min(h));
    // Counter-clockwise along the tail, up the right, back along the head, down the left.
    Contour::polygon([
        pt(-w - cut, -h - out),
        pt(w + cut, -h - out),
        pt(w + out, -h - cut),
        pt(w + out, h + cut),
        pt(w + cut, h + out),
        pt(-w - cut, h + out),
        pt(-w - out, h + cut),
        pt(-w - out, -h - cut),
    ])
}

/// A divider's cover about the origin, and the lines at which it is folded: `round` is what it takes to go over the top.
fn strip(long: f64, high: f64, round: f64, foot: f64) -> (Contour, Vec<Stroke>) {
    let (half, tab) = (long / 2.0, round / 2.0);
    let from = -(high + foot) - round / 2.0;
    let folds = [from + foot, from + foot + high, from + foot + high + round, from + foot + 2.0 * high + round];
    let to = -from;
    let right = [
        pt(half, from),
        pt(half, folds[0]),
        pt(half + tab, folds[0]),
        pt(half + tab, folds[1]),
        pt(half, folds[1]),
        pt(half, folds[2]),
        pt(half + tab, folds[2]),
        pt(half + tab, folds[3]),
        pt(half, folds[3]),
        pt(half, to),
    ];
    let left = right.iter().rev().map(|p| pt(-p.x, p.y));
    let outline = Contour::polygon(right.iter().copied().chain(left));
    let ends = half - LINES_IN;
    let line = |y: f64| Stroke::Open(Path::line(pt(-ends, y), pt(ends, y)));
    (outline, if ends > LINES_IN { folds.map(line).to_vec() } else { Vec::new() })
}

/// Moves pieces to the right of those that there are, in columns no higher than these.
fn laid_beside(pieces: &mut [Piece], there: &[Piece]) {
    let all = there.iter().map(|p| p.outline.bounds()).fold(Bounds::EMPTY, Bounds::union);
    let (mut left, mut top, mut wide) = (all.max.x + APART, all.max.y, 0.0f64);
    for piece in pieces {
        let b = piece.outline.bounds();
        if top - b.height() < all.min.y && top < all.max.y {
            (left, top, wide) = (left + wide + APART, all.max.y, 0.0);
        }
        let to = Transform::shift(pt(left - b.min.x, top - b.max.y));
        piece.outline = piece.outline.transformed(&to);
        piece.marks = piece.marks.iter().map(|m| m.transformed(&to)).collect();
        top -= b.height() + APART;
        wide = wide.max(b.width());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::mm;

    /// By hand: a divider 100 long and 20 high, 2 mm of board and 0.3 mm of cloth round its top, feet of 12.
    #[test]
    fn a_dividers_cover_by_hand() {
        let (outline, lines) = strip(100.0, 20.0, 2.3, 12.0);
        let b = outline.bounds();
        // 12 + 20 + 2.3 + 20 + 12, and half of 2.3 at either end.
        assert!((b.height() - 66.3).abs() < 1e-9 && (b.width() - 102.3).abs() < 1e-9, "{b:?}");
        assert!((outline.area() - (100.0 * 66.3 + 4.0 * 1.15 * 20.0)).abs() < 1e-9, "{}", outline.area());
        assert!(lines.len() == 4 && outline.area() > 0.0);
    }

    #[test]
    fn pieces_beside_others_share_no_place() {
        let there = [Piece::plain("a".into(), StockKind::Board, Role::Base, square(100.0))];
        let mut own: Vec<Piece> =
            (0..5).map(|i| Piece::plain(format!("{i}"), StockKind::Board, Role::Inside, square(45.0))).collect();
        laid_beside(&mut own, &there);
        let all: Vec<Bounds> = there.iter().chain(&own).map(|p| p.outline.bounds()).collect();
        for (i, a) in all.iter().enumerate() {
            assert!(all[i + 1..].iter().all(|b| !a.overlaps(*b, 0.0)), "{all:?}");
        }
    }

    fn square(side: f64) -> Contour {
        Contour::rectangle(pt(0.0, 0.0), pt(side, side))
    }

    /// A cover of the thickness of a cloth counts on each side, a liner above alone.
    #[test]
    fn covers_count_where_they_lie() {
        let of = |stock, thickness| Cover { stock, thickness: mm(thickness) };
        assert!((of(Some(StockKind::Cloth), 0.3).on_spacer() - mm(0.6)).abs() < mm(1e-9));
        assert!((of(Some(StockKind::Liner), 0.2).on_spacer() - mm(0.2)).abs() < mm(1e-9));
        assert!(of(None, 0.0).on_spacer() == Length::ZERO);
    }
}
