//! The cards of a coupon in rows on a sheet of their own.

use crate::design::Piece;
use crate::geom::{Bounds, Transform, pt};
use crate::job::StockKind;
use crate::nest::{Placed, Sheet};
use crate::profile::Profile;
use crate::units::{Length, mm};

/// Free rim, mm: room for tape or pins, and for a blade to run in (our choice, as the two below).
const MARGIN: f64 = 15.0;
/// Between cards, mm, beside what a drag knife needs to turn in.
const GAP: f64 = 8.0;
/// A coupon wants to fit on an offcut.
const WIDEST: f64 = 300.0;

/// Each row of cards from the top down, wrapped where the machine or an offcut ends.
pub(super) fn sheet(pieces: &[Piece], rows: &[u32], profile: &Profile, stock: StockKind, thickness: Length) -> Sheet {
    let turn = profile.tools.iter().map(|t| t.pivot_offset.to_mm()).fold(0.0, f64::max);
    let gap = GAP + 2.0 * turn;
    let travel = (profile.machine.width - profile.machine.origin[0]).to_mm();
    let right = WIDEST.min(travel) - MARGIN;
    // From the top: y grows downwards here and is turned over once the height is known.
    let (mut x, mut y, mut tall, mut widest) = (MARGIN, MARGIN, 0.0f64, 0.0f64);
    let mut row = None;
    let mut spots = Vec::new();
    for (piece, of_row) in pieces.iter().zip(rows) {
        let b = piece.outline.bounds();
        let is_new_row = row.is_some_and(|r| r != *of_row);
        if x > MARGIN && (is_new_row || x + b.width() > right) {
            (x, y, tall) = (MARGIN, y + tall + gap, 0.0);
        }
        row = Some(*of_row);
        spots.push(pt(x, y + b.height()));
        x += b.width() + gap;
        widest = widest.max(x - gap);
        tall = tall.max(b.height());
    }
    let (width, height) = ((widest + MARGIN).ceil(), (y + tall + MARGIN).ceil());
    let placed = pieces
        .iter()
        .zip(spots)
        .enumerate()
        .map(|(i, (piece, spot))| {
            let b = piece.outline.bounds();
            let shift = pt(spot.x, height - spot.y) - b.min;
            let bounds = Bounds { min: b.min + shift, max: b.max + shift };
            Placed { piece: i, copy: 1, transform: Transform::shift(shift), bounds, marks: Vec::new() }
        })
        .collect();
    Sheet {
        id: format!("coupon-{}", stock.word()),
        name: None,
        stock,
        width: mm(width),
        height: mm(height),
        thickness,
        is_leftover: false,
        common_cuts: false,
        price: None,
        turn: None,
        offcut: None,
        placed,
        repeats: Vec::new(),
        marks: Vec::new(),
        cuts: Vec::new(),
    }
}
