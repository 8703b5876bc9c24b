//! What each item has of what its lot takes.

use super::Shop;
use super::cut::{pieces_hash, row_hash};
use super::item::Item;
use super::record::ItemRecord;
use super::work::ItemWork;
use crate::design::Piece;
use crate::geom::{Contour, Path};
use crate::nest::Sheet;
use crate::units::{Length, tidy};
use crate::write::manifest::ProgramFigures;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Which item a piece is of, and its place in that item's design.
#[derive(Clone, Copy)]
pub(super) struct Owner {
    pub(super) item: usize,
    pub(super) piece: usize,
}

/// Each item's share in what the lot takes.
pub(super) struct Shares {
    /// Of its stock, exact; `None` where a price is missing.
    stock: Vec<Option<f64>>,
    /// The same in the record, in whole cents that come to the lot's sum.
    cost: Vec<Option<f64>>,
    seconds: Vec<Option<f64>>,
    sheets: Vec<BTreeMap<String, Vec<String>>>,
}

/// A sheet of a lot, and which of its stocks it is of: sheets of the same stock are shared as one.
pub(super) type OfStock = (usize, Arc<Sheet>);

impl Shares {
    /// All sheets of one stock are shared by the area of the pieces on them, what is left of them with it, and the time of
    /// the machines on them by the length of the pieces' lines. It does not count which of them a piece came to lie on, so
    /// that rows that are alike take the same. `in_all` is what the sheets cost.
    pub(super) fn new(
        items: &[Item],
        pieces: &[Piece],
        owners: &[Owner],
        sheets: &[OfStock],
        written: &[ProgramFigures],
        in_all: Option<f64>,
    ) -> Self {
        let n = items.len();
        let (mut stock, mut seconds) = (vec![Some(0.0); n], vec![None; n]);
        let mut of_item: Vec<BTreeMap<String, Vec<String>>> = vec![BTreeMap::new(); n];
        for of_stock in sheets.chunk_by(|a, b| a.0 == b.0) {
            // What of each item lies on them: area and length.
            let mut parts: BTreeMap<usize, (f64, f64)> = BTreeMap::new();
            let (mut price, mut run) = (Some(0.0), None);
            for (_, sheet) in of_stock {
                let count = f64::from(sheet.count());
                price = price.zip(sheet.price).map(|(sum, each)| sum + each * count);
                for program in written.iter().filter(|w| w.sheet == sheet.id) {
                    *run.get_or_insert(0.0) += program.seconds * f64::from(program.count);
                }
                for placed in &sheet.placed {
                    let (piece, item) = (&pieces[placed.piece], owners[placed.piece].item);
                    let part = parts.entry(item).or_default();
                    part.0 += piece.outline.area().abs() * count;
                    part.1 += length(piece) * count;
                    let names = of_item[item].entry(sheet.stock.word().to_owned()).or_default();
                    if names.last() != Some(&sheet.id) {
                        names.push(sheet.id.clone());
                    }
                }
            }
            let of = |sum: f64| sum.max(f64::MIN_POSITIVE);
            let area = of(parts.values().map(|p| p.0).sum());
            let worked = of(parts.values().map(|p| p.1).sum());
            for (item, part) in parts {
                stock[item] = stock[item].zip(price).map(|(sum, price)| sum + price * part.0 / area);
                if let Some(run) = run {
                    *seconds[item].get_or_insert(0.0) += run * part.1 / worked;
                }
            }
        }
        let made = items.iter().zip(&stock).map(|(item, cost)| cost.filter(|_| item.made.is_some()));
        let cost = in_cents(&made.collect::<Vec<_>>(), in_all);
        Self { stock, cost, seconds, sheets: of_item }
    }

    /// Each item's share of the machines' time, seconds.
    pub(super) fn seconds(&self) -> &[Option<f64>] {
        &self.seconds
    }

    /// What each item costs in all, in cents that come to `in_all`, the lot's sum where every price is known.
    pub(super) fn in_all(&self, items: &[Item], work: &[Option<ItemWork>], in_all: Option<f64>) -> Vec<Option<f64>> {
        let of = |((item, stock), work): ((&Item, &Option<f64>), &Option<ItemWork>)| {
            let besides = work.as_ref()?.money.as_ref()?.in_all?;
            item.made.as_ref().and(*stock).map(|stock| stock + besides)
        };
        let all: Vec<Option<f64>> = items.iter().zip(&self.stock).zip(work).map(of).collect();
        in_cents(&all, in_all)
    }

    pub(super) fn record(
        &self,
        i: usize,
        item: &Item,
        shop: &Shop<'_>,
        (work, in_all): (Option<&ItemWork>, Option<f64>),
    ) -> ItemRecord {
        let size = |s: [Length; 3]| s.map(|l| tidy(l.to_mm(), 3));
        let made = item.made.as_ref();
        ItemRecord {
            row: item.row.row,
            id: item.row.id.clone(),
            title: made.map(|m| m.job.title.clone()).unwrap_or_default(),
            copies: made.map_or(0, |m| m.job.copies),
            first_copy: item.row.first_copy,
            made_from: made.map(|_| row_hash(&item.row, shop)).unwrap_or_default(),
            pieces: made.map(pieces_hash).unwrap_or_default(),
            made: made.is_some(),
            // Of several stacks that which the box is built round.
            holds: made.map(|m| match (&m.job.stacks()[..], &m.job.contents) {
                ([one], _) => size(*one),
                (_, c) => size([c.width, c.height, c.depth]),
            }),
            interior: made.map(|m| size(m.fit.interior)),
            exterior: made.map(|m| size(m.fit.exterior)),
            joint: made.map(|m| tidy(m.design.measures.joint.to_mm(), 3)),
            strap: made.and_then(|m| m.fit.strap_length).map(|l| tidy(l.to_mm(), 3)),
            weight_g: made.and_then(|m| m.bill.weight_g).map(|g| tidy(g, 1)),
            cost: self.cost[i],
            seconds: made.and(self.seconds[i]).map(|s| tidy(s, 1)),
            minutes: work.map(|w| tidy(w.hours.minutes(), 1)),
            in_all,
            sheets: self.sheets[i].clone(),
        }
    }
}

/// How long the lines of a piece are, mm; its label aside, for that hangs on the letters of its name.
fn length(piece: &Piece) -> f64 {
    let closed = std::iter::once(&piece.outline).chain(&piece.holes).chain(piece.all_pockets().map(|p| &p.outline));
    let open = piece.slits.iter().chain(&piece.creases);
    closed.map(Contour::length).chain(open.map(Path::length)).sum()
}

/// Shares in whole cents: each is rounded down, and the cents that are then wanting to the sum go to those that lost the
/// most, one each. Without a sum they come to their own.
fn in_cents(shares: &[Option<f64>], sum: Option<f64>) -> Vec<Option<f64>> {
    let exact = |share: f64| share * 100.0;
    let sum = tidy(sum.unwrap_or_else(|| shares.iter().flatten().sum()), 2);
    let mut cents: Vec<Option<f64>> = shares.iter().map(|s| s.map(|s| exact(s).floor())).collect();
    let wanting = exact(sum).round() - cents.iter().flatten().sum::<f64>();
    let mut lost: Vec<(f64, usize)> = shares
        .iter()
        .enumerate()
        // What reckoning leaves of a cent is none.
        .filter_map(|(i, s)| s.map(|s| (((exact(s) - exact(s).floor()) * 1e6).round(), i)))
        .collect();
    lost.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    for (n, (_, i)) in lost.into_iter().enumerate() {
        if (n as f64) < wanting {
            cents[i] = cents[i].map(|c| c + 1.0);
        }
    }
    cents.into_iter().map(|c| c.map(|c| tidy(c / 100.0, 2))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cents_come_to_the_sum() {
        let third = Some(10.0 / 3.0);
        assert_eq!(in_cents(&[third; 3], Some(10.0)), [Some(3.34), Some(3.33), Some(3.33)]);
        assert_eq!(in_cents(&[Some(2.5); 4], Some(10.0)), [Some(2.5); 4]);
        // One whose price is missing has no share, and the others come to their own sum.
        assert_eq!(in_cents(&[third, None, third], None), [Some(3.34), None, Some(3.33)]);
        assert_eq!(in_cents(&[Some(0.0), Some(0.004)], Some(0.004)), [Some(0.0), Some(0.0)]);
        assert_eq!(in_cents(&[], Some(0.0)), []);
        // A sum of many small shares.
        let many = vec![Some(0.125); 7];
        let all: f64 = in_cents(&many, Some(0.875)).into_iter().flatten().sum();
        assert!((all - 0.88).abs() < 1e-9, "{all}");
    }
}
