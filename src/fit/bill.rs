//! What one box takes: the areas of its stocks, the area to be glued, and its weight.

use crate::design::{Design, Piece, Role};
use crate::job::{Job, StockKind};
use serde::Serialize;

/// What one box takes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Bill {
    /// Every stock that it takes, board first.
    pub materials: Vec<Material>,
    /// The area to be glued, square metres: all of the cloth and the liner, where strips cross one base on the
    /// other, and of spacers each board on what lies beneath.
    pub glue_m2: f64,
    /// The weight of the box without its contents, grams; `None` where a stock's weight is not
    /// known. The elastic and the glue's water are left out; a thickness "as applied" does not
    /// change a stock's own grammage.
    pub weight_g: Option<f64>,
}

/// One stock's share.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Material {
    /// Which stock.
    pub stock: StockKind,
    /// The net area of its pieces, square metres, holes left out.
    pub area_m2: f64,
    /// Their weight, grams; `None` where the job does not say what the stock weighs.
    pub weight_g: Option<f64>,
}

const MM2: f64 = 1e-6;

/// What one box takes, from its pieces. Nothing of the offcuts is in it.
pub fn bill(job: &Job, design: &Design) -> Bill {
    let mut materials = Vec::new();
    for stock in StockKind::ALL {
        let pieces: Vec<&Piece> = design.pieces.iter().filter(|p| p.stock == stock && p.role != Role::Gauge).collect();
        if pieces.is_empty() {
            continue;
        }
        let area_m2 = pieces.iter().map(|p| area(p)).sum::<f64>() * MM2;
        // Grams a square metre.
        let weight_g = job.stock(stock).and_then(|s| s.grammage).map(|g| g * area_m2);
        materials.push(Material { stock, area_m2, weight_g });
    }
    let glued: f64 = materials.iter().filter(|m| m.stock != StockKind::Board).map(|m| m.area_m2).sum();
    let crossing = match job.strips {
        Some(_) => {
            let strips: Vec<_> = design.pieces.iter().map(|p| p.outline.bounds()).collect();
            let narrow = |i: usize| strips.get(i).map_or(0.0, |b| if i == 0 { b.width() } else { b.height() });
            narrow(0) * narrow(1) * MM2
        }
        None => 0.0,
    };
    // Of a spacer each board is glued to what lies beneath it.
    let is_spacer = |p: &&Piece| p.role == Role::Inside && p.id.starts_with("board-spacer");
    let spacers = design.pieces.iter().filter(is_spacer).map(area).sum::<f64>() * MM2;
    let weight_g = materials.iter().map(|m| m.weight_g).sum();
    Bill { materials, glue_m2: glued + crossing + spacers, weight_g }
}

impl Bill {
    /// The weight in words, of the empty box, without glue and elastic; or what must be given for it.
    pub fn told_weight(&self) -> String {
        let unknown: Vec<&str> =
            self.materials.iter().filter(|m| m.weight_g.is_none()).map(|m| m.stock.word()).collect();
        let known: f64 = self.materials.iter().filter_map(|m| m.weight_g).sum();
        let unknown = unknown.join(" and the ");
        match self.weight_g {
            Some(g) => format!("{g:.0} g"),
            None if known > 0.0 => format!("{known:.0} g without the {unknown}, whose weight is not given"),
            None => format!("not known: give the {unknown} a grammage or a density"),
        }
    }

    /// What the sheets cost, `count` of each stock: in the maker's currency; `None` where a price is
    /// missing or nothing is laid out.
    pub fn cost(&self, job: &Job, count: impl Fn(StockKind) -> usize) -> Option<f64> {
        self.materials
            .iter()
            .map(|m| {
                let sheets = count(m.stock);
                let price = job.stock(m.stock)?.price?;
                (sheets > 0).then_some(price * sheets as f64)
            })
            .sum()
    }
}

/// The net area of all a box needs of a piece, mm2.
fn area(p: &Piece) -> f64 {
    let holes: f64 = p.holes.iter().map(|h| h.area().abs()).sum();
    (p.outline.area().abs() - holes) * f64::from(p.count)
}
