//! What each item has of what its lot takes.

use super::Shop;
use super::cut::{pieces_hash, row_hash};
use super::item::Item;
use super::record::ItemRecord;
use super::work::ItemWork;
use crate::design::Piece;
use crate::nest::Sheet;
use crate::ops::SheetOps;
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
    cost: Vec<Option<f64>>,
    seconds: Vec<Option<f64>>,
    sheets: Vec<BTreeMap<String, Vec<String>>>,
}

impl Shares {
    /// Stock is shared by the area of the pieces on each sheet, time by the length of the lines.
    pub(super) fn new(
        items: &[Item],
        pieces: &[Piece],
        owners: &[Owner],
        sheets: &[Arc<Sheet>],
        worked: &[SheetOps],
        written: &[ProgramFigures],
    ) -> Self {
        let n = items.len();
        let mut shares = Self { cost: vec![Some(0.0); n], seconds: vec![None; n], sheets: vec![BTreeMap::new(); n] };
        // Lines are named after their piece.
        let item_of: BTreeMap<&str, usize> = pieces.iter().zip(owners).map(|(p, o)| (p.id.as_str(), o.item)).collect();
        for (sheet, ops) in sheets.iter().zip(worked) {
            let mut areas: BTreeMap<usize, f64> = BTreeMap::new();
            for placed in &sheet.placed {
                *areas.entry(owners[placed.piece].item).or_default() += pieces[placed.piece].outline.area().abs();
            }
            let all: f64 = areas.values().sum();
            for (&item, area) in &areas {
                let price = sheet.price.map(|p| p * f64::from(sheet.count()) * area / all);
                shares.cost[item] = shares.cost[item].zip(price).map(|(a, b)| a + b);
                shares.sheets[item].entry(sheet.stock.word().to_owned()).or_default().push(sheet.id.clone());
            }
            let seconds: f64 =
                written.iter().filter(|w| w.sheet == sheet.id).map(|w| w.seconds * f64::from(w.count)).sum();
            if written.iter().any(|w| w.sheet == sheet.id) {
                let mut lengths: BTreeMap<usize, f64> = BTreeMap::new();
                for o in &ops.operations {
                    if let Some(item) = item_of.get(o.piece.as_str()) {
                        *lengths.entry(*item).or_default() += o.stroke.length();
                    }
                }
                let all: f64 = lengths.values().sum();
                for (item, length) in lengths {
                    *shares.seconds[item].get_or_insert(0.0) += seconds * length / all.max(f64::MIN_POSITIVE);
                }
            }
        }
        shares
    }

    /// Each item's share of the machines' time, seconds.
    pub(super) fn seconds(&self) -> &[Option<f64>] {
        &self.seconds
    }

    pub(super) fn record(&self, i: usize, item: &Item, shop: &Shop<'_>, work: Option<&ItemWork>) -> ItemRecord {
        let size = |s: [Length; 3]| s.map(|l| tidy(l.to_mm(), 3));
        let to_cents = |v: f64| tidy(v, 2);
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
            cost: made.and(self.cost[i]).map(to_cents),
            seconds: made.and(self.seconds[i]).map(|s| tidy(s, 1)),
            minutes: work.map(|w| tidy(w.hours.minutes(), 1)),
            in_all: work
                .and_then(|w| w.money.as_ref()?.in_all)
                .zip(made.and(self.cost[i]))
                .map(|(a, b)| to_cents(a + b)),
            sheets: self.sheets[i].clone(),
        }
    }
}
