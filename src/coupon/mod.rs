//! Coupons: a small sheet that a maker cuts to learn what the machine really does, and what the
//! measured figures make of its profile.
//!
//! A coupon is pieces on a sheet like any other; only some of them are cut with a figure of the
//! profile tried at another value ([`Coupon::tuned`]). What was tried is written into a form
//! ([`form`]), the maker writes beside it what came out, and [`figures`] turns that into changes of
//! the profile, which [`edit`] makes in its text.

mod cards;
pub mod edit;
pub mod figures;
pub mod form;
pub mod guide;
mod lay;

use crate::design::Piece;
use crate::diag::Diagnostic;
use crate::doc::{RawLength, parse_length};
use crate::geom::Point;
use crate::job::StockKind;
use crate::nest::Sheet;
use crate::profile::{Lift, OperationKind, Profile, Tool, ToolKind};
use crate::units::{Length, Unit, mm};
use std::collections::BTreeMap;

/// A coupon for one machine and stock.
#[derive(Clone, Debug)]
pub struct Coupon {
    /// Its pieces.
    pub pieces: Vec<Piece>,
    /// Where they lie.
    pub sheet: std::sync::Arc<Sheet>,
    /// The profile with a figure changed, for each piece that is cut so, by its id.
    pub tuned: BTreeMap<String, Profile>,
    /// What is tried.
    pub trials: Trials,
    /// What is measured with a caliper, and where.
    pub measured: Vec<Measured>,
}

/// A distance that a maker measures on a card.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// The card's id.
    pub card: String,
    /// One end, mm, in the card's coordinates.
    pub from: Point,
    /// The other.
    pub to: Point,
    /// The key of the form that it goes into.
    pub name: String,
}

/// What a coupon tries. A rung of a ladder has a letter: A, B, C.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Trials {
    /// The kerf of the tool that cuts the stock through.
    pub kerf: Option<Kerf>,
    /// The pivot offset of that tool, where it is a drag knife.
    pub offset: Option<Offset>,
    /// Pockets.
    pub pocket: Option<Ladder>,
    /// Creases.
    pub crease: Option<Ladder>,
}

/// A comb of notches and a plug.
#[derive(Clone, Debug, PartialEq)]
pub struct Kerf {
    /// The kerf in the profile, mm.
    pub now: f64,
    /// The plug's nominal width, mm.
    pub plug: f64,
    /// The nominal width of notch A, the widest, mm.
    pub slot: f64,
    /// The kerf with which each notch holds the plug snugly, mm.
    pub tried: Vec<f64>,
}

/// Cards with round tongues and notches, each cut with another offset.
#[derive(Clone, Debug, PartialEq)]
pub struct Offset {
    /// The offset in the profile, mm.
    pub now: f64,
    /// The nominal radius of the rounds, mm.
    pub radius: f64,
    /// The nominal distance over the tips of a card's tongues, mm.
    pub over: f64,
    /// The nominal distance between the bottoms of its notches, mm.
    pub web: f64,
    /// Those tried, mm.
    pub tried: Vec<f64>,
}

impl Offset {
    /// The letter of the card that was cut with the profile's own offset.
    pub(crate) fn own_card(&self) -> char {
        let off = |i: &usize| self.tried.get(*i).map_or(f64::MAX, |d| (d - self.now).abs());
        (0..self.tried.len()).min_by(|a, b| off(a).total_cmp(&off(b))).map_or('A', letter)
    }
}

/// Like lines, each worked deeper or more often than the one before.
#[derive(Clone, Debug, PartialEq)]
pub struct Ladder {
    /// What differs.
    pub by: By,
    /// The depths in mm, or the passes.
    pub tried: Vec<f64>,
}

/// What differs from rung to rung.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum By {
    /// The depth, mm.
    Depth,
    /// How often the line is gone over: of tools that have no depth of their own.
    Passes,
}

/// The coupon of a profile for a stock of this thickness, with what it leaves out and why. `None`
/// with an error where the machine does not cut the stock.
pub fn coupon(profile: &Profile, stock: StockKind, thickness: Length) -> (Option<Coupon>, Vec<Diagnostic>) {
    if profile.rule(OperationKind::ThroughCut, stock).is_some_and(|(rule, _)| rule.is_lent) {
        let message = format!("{} cuts {} as the liner, so there is no coupon of its own", profile.name, stock.word());
        let hint = "take a coupon of the liner, or add a [[rule]] for the paper";
        return (None, vec![Diagnostic::error("no-coupon", message).help(hint)]);
    }
    if profile.rule(OperationKind::ThroughCut, stock).is_none() {
        let word = stock.word();
        let message = format!("{} has no rule to cut {word} through, so no coupon of it can be cut out", profile.name);
        let hint = format!("name another stock with --stock, or add a [[rule]] for a through-cut on {word}");
        return (None, vec![Diagnostic::error("no-coupon", message).help(hint)]);
    }
    let (cards, trials, said) = cards::cards(profile, stock, thickness);
    let tuned = cards.iter().filter_map(|c| Some((c.piece.id.clone(), c.tuned.clone()?))).collect();
    let rows: Vec<u32> = cards.iter().map(|c| c.row).collect();
    let measured = cards.iter().flat_map(|c| c.measured.clone()).collect();
    let pieces: Vec<Piece> = cards.into_iter().map(|c| c.piece).collect();
    let sheet = lay::sheet(&pieces, &rows, profile, stock, thickness).into();
    (Some(Coupon { pieces, sheet, tuned, trials, measured }), said)
}

/// The thickness that a maker gives of a stock, the usual one where none is given; `None` for what is none.
pub fn thickness(text: Option<&str>, stock: StockKind) -> Option<Length> {
    let Some(text) = text else {
        // From memory.
        return Some(match stock {
            StockKind::Board => mm(2.0),
            StockKind::Cloth => mm(0.35),
            StockKind::Paper => mm(0.15),
            StockKind::Liner => mm(0.25),
        });
    };
    match parse_length(text, Unit::Mm) {
        Ok(RawLength::Fixed(t)) if stock.takes(t) => Some(t),
        _ => None,
    }
}

/// The letter of a rung, A for the first.
pub fn letter(rung: usize) -> char {
    char::from(b'A' + u8::try_from(rung.min(25)).unwrap_or(25))
}

/// What differs from rung to rung of a pocket's or crease's ladder with this tool.
fn by(tool: &Tool) -> By {
    if tool.kind == ToolKind::Beam || tool.lift == Lift::Words { By::Passes } else { By::Depth }
}
