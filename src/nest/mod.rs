//! Pieces placed on sheets of stock.
//!
//! This file knows what a piece may do on a sheet: which way its grain lets it be turned, when it
//! is mirrored, where the usable part of the sheet is. How places are found is behind
//! `plan.rs`, which knows shapes only: `boxes` and `columns` lay rectangles, `bed` true outlines by
//! the forbidden places of `shape`, `pattern` takes the best of them for one sheet, `crowd` moves about what lies
//! there until one thing more has room.

mod alike;
mod bed;
mod bound;
mod boxes;
mod columns;
mod crowd;
mod depth;
mod dice;
mod kind;
mod offcut;
mod pattern;
mod plan;
mod rim;
mod saving;
mod scrap;
mod shape;
mod straight;
mod turning;
mod turns;
mod whole;

pub use alike::{first_alone, merge_alike, number_copies, without_first};
pub use bound::fewest_sheets;
pub use offcut::Offcut;
pub use saving::{Asked as AskedSavings, Change, Look, Saving, savings};
pub use scrap::mark_scrap;
pub use straight::{PartEdge, StraightCut, straight_cuts};
pub use turning::{Pins, Turn, no_room_for_pins};

use crate::design::{Piece, Role};
use crate::diag::Diagnostic;
use crate::geom::{Bounds, Contour, Point, Stroke, Transform, pt};
use crate::job::{Division, Job, SheetSize, Stock, StockKind};
use crate::units::Length;
use boxes::{Order, Rest, Rule, pack};
use kind::{Area, Kind, Run, Set};
use plan::{Offer, plan};
use rayon::prelude::*;
use serde::Serialize;
use shape::Shape;
use std::sync::atomic::{AtomicBool, Ordering};
use turns::{Turns, too_large};

/// One sheet with the pieces on it. The origin is its lower left corner.
#[derive(Clone, Debug, Serialize)]
pub struct Sheet {
    /// `board-1`, counted from 1 for each stock.
    pub id: String,
    /// What it is of.
    pub stock: StockKind,
    /// What the shop calls that, where the job says so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Its width.
    pub width: Length,
    /// Its height.
    pub height: Length,
    /// Its thickness.
    pub thickness: Length,
    /// Whether it is a leftover that the job names.
    pub is_leftover: bool,
    /// Whether neighbours share a cut.
    pub common_cuts: bool,
    /// What one such sheet costs, in the maker's currency; a leftover costs nothing.
    pub price: Option<f64>,
    /// What of it can be kept for next time, when there is enough.
    pub offcut: Option<Offcut>,
    /// The pieces on it.
    pub placed: Vec<Placed>,
    /// Further sheets that are cut alike from the same files: for each, the copies of its pieces in
    /// the order of `placed`. Empty until [`merge_alike`] has looked.
    pub repeats: Vec<Vec<u32>>,
    /// What is drawn beside the pieces, sheet coordinates.
    pub marks: Vec<Stroke>,
    /// How it is laid down again, where it is worked from both faces.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub turn: Option<Turn>,
    /// The cuts from edge to edge that take the pieces apart, in their order, where the job wants such.
    pub cuts: Vec<StraightCut>,
}

impl Sheet {
    /// A sheet with nothing on it yet: what it is of, how wide, high and thick.
    pub fn bare(id: &str, stock: StockKind, size: [Length; 3]) -> Self {
        let [width, height, thickness] = size;
        Self {
            id: id.to_owned(),
            stock,
            name: None,
            width,
            height,
            thickness,
            is_leftover: false,
            common_cuts: false,
            price: None,
            offcut: None,
            placed: Vec::new(),
            repeats: Vec::new(),
            marks: Vec::new(),
            turn: None,
            cuts: Vec::new(),
        }
    }
}

/// One piece on a sheet.
#[derive(Clone, Debug, Serialize)]
pub struct Placed {
    /// Its place in the design's pieces.
    pub piece: usize,
    /// Which copy of the box it belongs to, from 1; a piece that a box needs twice has its copies
    /// counted on.
    pub copy: u32,
    /// Where it lies.
    pub transform: Transform,
    /// The rectangle around its outline on the sheet.
    pub bounds: Bounds,
    /// What is drawn on this copy alone, in the piece's coordinates: its number, where it has one.
    pub marks: Vec<Stroke>,
}

/// The least distance between two pieces that the cuts to come ask for, stock by stock.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Apart([Length; StockKind::ALL.len()]);

impl Apart {
    /// What it is on a stock.
    pub fn of(&self, kind: StockKind) -> Length {
        self.0[kind as usize]
    }

    /// The same with no less on this stock.
    #[must_use]
    pub fn at_least(mut self, kind: StockKind, length: Length) -> Self {
        let least = &mut self.0[kind as usize];
        *least = least.max(length);
        self
    }

    /// The greater of both, stock by stock.
    #[must_use]
    pub fn and(self, other: &Self) -> Self {
        StockKind::ALL.into_iter().fold(self, |all, kind| all.at_least(kind, other.of(kind)))
    }
}

/// What a layout is asked beside the job.
pub struct Search<'a> {
    /// What the cuts ask for; the gap between pieces is no less.
    pub apart: Apart,
    /// Set from outside, it ends the search with the best layout so far.
    pub stop: &'a AtomicBool,
    /// Called now and then with how many steps are done, and of how many, from the thread that does them.
    pub progress: &'a (dyn Fn(StockKind, u32, u32) + Sync),
}

impl Search<'_> {
    fn is_stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }
}

/// A search as the engines see it.
pub(crate) struct Watch<'a> {
    kind: StockKind,
    search: &'a Search<'a>,
}

impl Watch<'_> {
    fn is_stopped(&self) -> bool {
        self.search.is_stopped()
    }

    fn tell(&self, done: u32, of: u32) {
        (self.search.progress)(self.kind, done, of);
    }
}

/// [`nest_with`], undisturbed and for a tool that takes nothing.
pub fn nest(pieces: &[Piece], job: &Job) -> (Vec<Sheet>, Vec<Diagnostic>) {
    let stop = AtomicBool::new(false);
    nest_with(pieces, job, &Search { apart: Apart::default(), stop: &stop, progress: &|_, _, _| {} })
}

/// Places every piece as often as the job needs it, on as few sheets of its stock as are found.
///
/// Pieces keep the stock's gap between their outlines and its margin from the rim. Where grain
/// matters to piece and stock it runs the same way on both: such a piece lies as computed or turned
/// by a half, or by a quarter either way when the two are crossed. A piece is mirrored when exactly
/// one of "it lies mirrored" and "the stock lies face up" holds. With several sizes of sheet the
/// layout is the one with the least price, or where a price is missing the least area; leftovers
/// cost nothing and are used only where they save something. Then the fewest different sheets count,
/// boxes whose pieces lie on one sheet, and the largest offcut. The first box's pieces go on the first
/// sheets as long as that costs no sheet.
///
/// An error for each piece that no sheet of its stock can hold; the others are placed all the
/// same, so that everything wrong is told at once. The same pieces always land in the same places,
/// unless the search is stopped.
pub fn nest_with(pieces: &[Piece], job: &Job, search: &Search<'_>) -> (Vec<Sheet>, Vec<Diagnostic>) {
    let of_stock = |kind: &StockKind| {
        let of_kind: Vec<usize> = (0..pieces.len()).filter(|i| pieces[*i].stock == *kind).collect();
        let mut said = Vec::new();
        let sheets = match job.stock(*kind) {
            Some(stock) if !of_kind.is_empty() => lay(pieces, &of_kind, *kind, stock, job, search, &mut said),
            Some(_) => Vec::new(),
            None => {
                said.extend(of_kind.iter().map(|i| no_stock(&pieces[*i])));
                Vec::new()
            }
        };
        (sheets, said)
    };
    // No stock's layout asks for another's.
    let all: Vec<_> = StockKind::ALL.par_iter().map(of_stock).collect();
    let (sheets, said): (Vec<_>, Vec<_>) = all.into_iter().unzip();
    (sheets.into_iter().flatten().collect(), said.into_iter().flatten().collect())
}

/// What no layout can place: the errors of [`nest_with`], for the price of a look.
pub fn refused(pieces: &[Piece], job: &Job, apart: &Apart) -> Vec<Diagnostic> {
    let is_straight = job.layout == Division::StraightCuts;
    let of_piece = |piece: &Piece| match job.stock(piece.stock) {
        Some(stock) => {
            let rooms: Vec<Area> = offers(stock, &stock.sizes()).iter().map(|o| o.room).collect();
            too_large(
                piece,
                &Turns::of(piece, stock, apart.of(piece.stock), is_straight, 0.0),
                piece.stock,
                &rooms,
                stock,
                job,
            )
        }
        None => Some(no_stock(piece)),
    };
    pieces.iter().filter_map(of_piece).collect()
}

fn no_stock(piece: &Piece) -> Diagnostic {
    let word = piece.stock.word();
    let message = format!("{} is cut from {word}, which the job does not describe", piece.id);
    let hint = format!("add a [{word}] table with its thickness and sheet");
    Diagnostic::error("no-stock", message).at(word).help(hint)
}

/// Said where the job's gap is too little for what cuts.
fn wider_gap(kind: StockKind, stock: &Stock, gap: Length, job: &Job) -> Diagnostic {
    let word = kind.word();
    let (kept, asked) = (job.units.show(gap), job.units.show(stock.gap));
    let message = format!(
        "pieces of {word} are laid {kept} apart and not {asked}: a cut takes its own width beside each of them, and \
         something must be left standing between two"
    );
    Diagnostic::hint("wider-gap", message)
        .at(format!("{word}.gap"))
        .help(format!("write gap = \"{kept}\" or more to have it said there"))
}

/// The sheets of one stock.
fn lay(
    pieces: &[Piece],
    of_kind: &[usize],
    kind: StockKind,
    stock: &Stock,
    job: &Job,
    search: &Search<'_>,
    diagnostics: &mut Vec<Diagnostic>,
) -> Vec<Sheet> {
    let sizes = stock.sizes();
    let offers = offers(stock, &sizes);
    let rooms: Vec<Area> = offers.iter().map(|o| o.room).collect();
    let apart = search.apart.of(kind);
    let gap = if stock.common_cuts { Length::ZERO } else { stock.gap.max(apart) };
    if gap > stock.gap {
        diagnostics.push(wider_gap(kind, stock, gap, job));
    }
    let is_straight = job.layout == Division::StraightCuts;
    let width = |i: &usize| {
        let b = pieces[*i].outline.bounds();
        b.width().min(b.height())
    };
    let least = of_kind.iter().map(width).fold(f64::INFINITY, f64::min);
    let turns: Vec<Turns> = of_kind.iter().map(|&i| Turns::of(&pieces[i], stock, apart, is_straight, least)).collect();
    let (mut kinds, mut gauges) = (Vec::new(), Vec::new());
    for (turns, &i) in turns.iter().zip(of_kind) {
        let refused = too_large(&pieces[i], turns, kind, &rooms, stock, job);
        let is_gauge = pieces[i].role == Role::Gauge;
        if is_gauge {
            gauges.push(kinds.len());
        }
        let count = if refused.is_some() || is_gauge { 0 } else { pieces[i].needed(job.copies) };
        diagnostics.extend(refused.filter(|_| !is_gauge));
        kinds.push(Kind { count, of_a_box: pieces[i].count, ways: turns.shapes() });
    }
    let set = Set::new(kinds, gap.to_mm(), is_straight);
    let mut runs = plan(&set, &offers, job.layout_effort, &Watch { kind, search });
    for gauge in from_waste(&set, &offers, &gauges, &mut runs) {
        let piece = &pieces[of_kind[gauge]];
        let message = format!("no sheet has room left for {}", piece.id);
        diagnostics.push(Diagnostic::hint("no-room-for-gauge", message).at("marks.gauges").help("cut it from scrap"));
    }
    // Copies are counted through run by run, so that what lies on one sheet belongs together.
    let mut next: Vec<u32> = vec![1; of_kind.len()];
    let mut sheets = Vec::new();
    for run in &runs {
        let size = &sizes[run.offer];
        let offcut = offcut::offcut(&set, &run.puts, size, stock.margin, gap);
        for _ in 0..run.times {
            let mut placed = Vec::with_capacity(run.puts.len());
            for put in &run.puts {
                // A pattern repeated to the end may have places for more than there are.
                if next[put.kind] <= set.kinds[put.kind].count || gauges.contains(&put.kind) {
                    let margin = stock.margin.to_mm();
                    let (transform, bounds) = turns[put.kind].placed(put.way, pt(margin + put.x, margin + put.y));
                    placed.push(Placed {
                        piece: of_kind[put.kind],
                        copy: next[put.kind],
                        transform,
                        bounds,
                        marks: Vec::new(),
                    });
                    next[put.kind] += 1;
                }
            }
            placed.sort_by_key(|p: &Placed| (p.copy, p.piece));
            sheets.push(Sheet {
                id: String::new(),
                stock: kind,
                name: stock.name.clone(),
                width: size.width,
                height: size.height,
                thickness: stock.thickness,
                is_leftover: size.count.is_some(),
                common_cuts: stock.common_cuts,
                price: if size.count.is_some() { Some(0.0) } else { size.price },
                offcut,
                cuts: cuts_of(&placed, size, offcut, is_straight),
                placed,
                repeats: Vec::new(),
                marks: Vec::new(),
                turn: None,
            });
        }
    }
    for (n, sheet) in sheets.iter_mut().enumerate() {
        sheet.id = format!("{}-{}", kind.word(), n + 1);
    }
    diagnostics.extend(turning::turn(&mut sheets, pieces, job));
    sheets
}

/// The straight cuts of a sheet, where such are wanted.
fn cuts_of(placed: &[Placed], size: &SheetSize, offcut: Option<Offcut>, is_straight: bool) -> Vec<StraightCut> {
    let sheet = Bounds { min: pt(0.0, 0.0), max: pt(size.width.to_mm(), size.height.to_mm()) };
    let pieces: Vec<Bounds> = placed.iter().map(|p| p.bounds).collect();
    let offcut = offcut.map(|o| o.bounds());
    if is_straight { straight_cuts(sheet, &pieces, offcut).unwrap_or_default() } else { Vec::new() }
}

/// Puts each gauge where the sheets have room left, on one that no other repeats if there is one;
/// gives those that found none.
fn from_waste(set: &Set, offers: &[Offer], gauges: &[usize], runs: &mut Vec<Run>) -> Vec<usize> {
    let mut left_out = gauges.to_vec();
    let mut order: Vec<usize> = (0..runs.len()).collect();
    order.sort_by_key(|r| runs[*r].times > 1);
    for r in order {
        let mut puts = runs[r].puts.clone();
        let mut rest = Rest::of(set, offers[runs[r].offer].room, &puts);
        left_out.retain(|gauge| match rest.place(set, *gauge, Rule::Low) {
            Some(put) => {
                puts.push(put);
                false
            }
            None => true,
        });
        if puts.len() == runs[r].puts.len() {
            continue;
        }
        // The gauges are cut once: of a run of equal sheets the first has them.
        let others = Run { times: runs[r].times - 1, ..runs[r].clone() };
        runs[r] = Run { puts, times: 1, ..runs[r].clone() };
        if others.times > 0 {
            runs.insert(r + 1, others);
            break;
        }
        if left_out.is_empty() {
            break;
        }
    }
    left_out
}

/// What each size of sheet offers. Without all prices the area stands for them.
fn offers(stock: &Stock, sizes: &[SheetSize]) -> Vec<Offer> {
    let is_priced = sizes.iter().all(|s| s.count.is_some() || s.price.is_some_and(|p| p > 0.0));
    let rim = 2.0 * stock.margin.to_mm();
    let offer = |s: &SheetSize| {
        let whole = Area { width: s.width.to_mm(), height: s.height.to_mm() };
        let cost = match (s.count, s.price) {
            (Some(_), _) => 0.0,
            (None, Some(price)) if is_priced => price,
            _ => whole.mm2(),
        };
        Offer { room: Area { width: whole.width - rim, height: whole.height - rim }, cost, most: s.count }
    };
    sizes.iter().map(offer).collect()
}

impl Sheet {
    /// The share of the sheet that its pieces take, 0 to 1, by their true outlines. `pieces` are
    /// those that were nested.
    pub fn used(&self, pieces: &[Piece]) -> f64 {
        let area = self.width.to_mm() * self.height.to_mm();
        let taken: f64 = self.placed.iter().filter_map(|p| pieces.get(p.piece)).map(|p| p.outline.area()).sum();
        if area > 0.0 { taken / area } else { 0.0 }
    }
}

/// A page or a board to lay rectangles on, mm.
#[derive(Clone, Copy, Debug)]
pub struct Room {
    /// Across.
    pub width: f64,
    /// Up.
    pub height: f64,
}

/// Rectangles on as few rooms as it can, at least `gap` mm apart, each in one of the ways that it may lie (width,
/// height, mm): on each room the place of each in the list, its way, and its lower left corner. What fits no room is
/// left out.
pub fn rectangles(ways: &[Vec<(f64, f64)>], room: Room, gap: f64) -> Vec<Vec<(usize, usize, Point)>> {
    let shape = |&(width, height): &(f64, f64)| Shape::of(&Contour::rectangle(pt(0.0, 0.0), pt(width, height)), 0.0);
    let kind = |ways: &Vec<(f64, f64)>| Kind { count: 1, of_a_box: 1, ways: ways.iter().map(shape).collect() };
    let set = Set::new(ways.iter().map(kind).collect(), gap, false);
    let area = Area { width: room.width, height: room.height };
    let left = vec![1; ways.len()];
    let plans = Order::ALL.into_iter().flat_map(|order| Rule::ALL.map(|rule| (order, rule)));
    let laid = plans.map(|(order, rule)| pack(&set, area, &order.of(&set, &left), rule)).min_by_key(Vec::len);
    let spots = |puts: Vec<kind::Put>| puts.into_iter().map(|p| (p.kind, p.way, pt(p.x, p.y))).collect();
    laid.unwrap_or_default().into_iter().map(spots).collect()
}
