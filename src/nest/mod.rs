//! Pieces placed on sheets of stock.
//!
//! This file knows what a piece may do on a sheet: which way its grain lets it be turned, when it
//! is mirrored, where the usable part of the sheet is. How places are found is behind
//! `engine.rs`, which knows shapes only.

mod engine;

use crate::design::{Lay, Piece};
use crate::diag::Diagnostic;
use crate::geom::{Bounds, Transform, pt};
use crate::job::{CutFace, Grain, Job, Stock, StockKind};
use crate::units::{Length, mm};
use engine::{Area, Item};

/// One sheet with the pieces on it. The origin is its lower left corner.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// `board-1`, counted from 1 for each stock.
    pub id: String,
    /// What it is of.
    pub stock: StockKind,
    /// Its width.
    pub width: Length,
    /// Its height.
    pub height: Length,
    /// Its thickness.
    pub thickness: Length,
    /// The pieces on it.
    pub placed: Vec<Placed>,
}

/// One piece on a sheet.
#[derive(Clone, Debug)]
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
}

/// Places every piece as often as the job needs it, on as many sheets of its stock as that takes.
///
/// Pieces keep the stock's gap between the rectangles around them and its margin from the rim.
/// Where grain matters to piece and stock it runs the same way on both: such a piece lies as
/// computed or turned by a half, or by a quarter when the two are crossed. A piece is mirrored
/// when exactly one of "it lies mirrored" and "the stock lies face up" holds. The first box's
/// pieces go on the first sheets as long as that costs no sheet.
///
/// An error for each piece that no sheet of its stock can hold; the others are placed all the
/// same, so that everything wrong is told at once. The same pieces always land in the same places.
pub fn nest(pieces: &[Piece], job: &Job) -> (Vec<Sheet>, Vec<Diagnostic>) {
    let (mut sheets, mut diagnostics) = (Vec::new(), Vec::new());
    for kind in StockKind::ALL {
        let of_kind: Vec<usize> = (0..pieces.len()).filter(|i| pieces[*i].stock == kind).collect();
        let Some(stock) = stock_of(job, kind) else {
            for i in of_kind {
                let message = format!("{} is cut from {}, which the job does not describe", pieces[i].id, kind.word());
                let hint = format!("add a [{}] table with its thickness and sheet", kind.word());
                diagnostics.push(Diagnostic::error("no-stock", message).at(kind.word()).help(hint));
            }
            continue;
        };
        let turns: Vec<Turns> = of_kind.iter().map(|&i| Turns::of(&pieces[i], stock)).collect();
        let mut items = Vec::new();
        for (turns, &i) in turns.iter().zip(&of_kind) {
            match too_large(&pieces[i], turns, kind, stock, job) {
                Some(d) => diagnostics.push(d),
                None => {
                    let copies = job.copies.saturating_mul(pieces[i].count);
                    items.extend((0..copies).map(|k| Item {
                        piece: i,
                        copy: k + 1,
                        set: k / pieces[i].count.max(1),
                        sizes: turns.sizes(),
                    }));
                }
            }
        }
        let margin = stock.margin.to_mm();
        let placed = |item: &Item, turn: usize, x: f64, y: f64| {
            let at = of_kind.iter().position(|i| *i == item.piece).unwrap_or_default();
            let (transform, bounds) = &turns[at].0[turn];
            let shift = pt(margin + x, margin + y) - bounds.min;
            let bounds = Bounds { min: bounds.min + shift, max: bounds.max + shift };
            Placed { piece: item.piece, copy: item.copy, transform: Transform { shift, ..*transform }, bounds }
        };
        for (n, spots) in engine::pack(&items, usable(stock), stock.gap.to_mm()).into_iter().enumerate() {
            let mut placed: Vec<Placed> = spots.into_iter().map(|s| placed(&items[s.item], s.turn, s.x, s.y)).collect();
            placed.sort_by_key(|p| (p.copy, p.piece));
            sheets.push(Sheet {
                id: format!("{}-{}", kind.word(), n + 1),
                stock: kind,
                width: stock.sheet_width,
                height: stock.sheet_height,
                thickness: stock.thickness,
                placed,
            });
        }
    }
    (sheets, diagnostics)
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

/// The ways in which a piece may lie, each with the rectangle around its outline.
struct Turns(Vec<(Transform, Bounds)>);

impl Turns {
    fn of(piece: &Piece, stock: &Stock) -> Self {
        let mirrored = (piece.lay == Lay::Mirrored) != (stock.cut_face == CutFace::Face);
        // A half turn never helps a rectangle to fit, so one of each pair is tried.
        let degrees: &[f64] = match (piece.grain, stock.grain) {
            (Grain::None, _) | (_, Grain::None) => &[0.0, 90.0],
            (a, b) if a == b => &[0.0],
            _ => &[90.0],
        };
        let lie = |&rotation_deg: &f64| {
            let transform = Transform { mirrored, rotation_deg, shift: pt(0.0, 0.0) };
            (transform, piece.outline.transformed(&transform).bounds())
        };
        Self(degrees.iter().map(lie).collect())
    }

    fn sizes(&self) -> Vec<Area> {
        self.0.iter().map(|(_, b)| Area { width: b.width(), height: b.height() }).collect()
    }
}

fn stock_of(job: &Job, kind: StockKind) -> Option<&Stock> {
    match kind {
        StockKind::Board => Some(&job.board),
        StockKind::Cloth => job.cloth.as_ref(),
        StockKind::Liner => job.liner.as_ref(),
    }
}

/// What lies inside the margin.
fn usable(stock: &Stock) -> Area {
    let rim = 2.0 * stock.margin.to_mm();
    Area { width: stock.sheet_width.to_mm() - rim, height: stock.sheet_height.to_mm() - rim }
}

fn too_large(piece: &Piece, turns: &Turns, kind: StockKind, stock: &Stock, job: &Job) -> Option<Diagnostic> {
    let (room, sizes) = (usable(stock), turns.sizes());
    if sizes.iter().any(|s| room.holds(*s)) {
        return None;
    }
    let show = |a: Area| format!("{} x {}", job.units.show(mm(a.width)), job.units.show(mm(a.height)));
    let sheet = Area { width: stock.sheet_width.to_mm(), height: stock.sheet_height.to_mm() };
    let first = sizes.first().copied().unwrap_or_default();
    let lies =
        if piece.grain != Grain::None && stock.grain != Grain::None { " with its grain along the sheet's" } else { "" };
    let message = format!(
        "{} measures {}{lies}; a {} sheet of {} leaves {} inside its margin",
        piece.id,
        show(first),
        kind.word(),
        show(sheet),
        show(room)
    );
    // Across the grain is worth telling: the maker may know that this board hardly has one.
    let word = kind.word();
    let hint = if room.holds(first.turned()) {
        format!(
            "it would lie across the grain: set {word}.grain = \"none\" if that does not matter, or take a larger sheet"
        )
    } else {
        format!("take a larger sheet ({word}.sheet), or make the box smaller")
    };
    Some(Diagnostic::error("piece-too-large", message).at(format!("{word}.sheet")).help(hint))
}
