//! What is left of sheets that are cut, for the first lot that is not: what it takes of them is taken before a whole
//! sheet is.
//!
//! A leftover is an offcut that the layout found worth keeping, of a sheet that is marked as cut, or one that the job
//! names. It is there once: what a lot that is cut or begun lies on is gone. Only one lot can have them, for lots
//! are worked side by side.

use super::record::{Offcut, SheetRecord};
use crate::job::{SheetSize, Stock, StockKind};
use crate::nest::Sheet;
use crate::units::{Length, mm};
use crate::write::manifest::sha256_hex;
use std::collections::BTreeMap;

/// One leftover.
#[derive(Clone, Debug, PartialEq)]
struct Leftover {
    /// The sheet that it is left of, `lot-1/board-2`.
    from: String,
    kind: StockKind,
    of: Offcut,
}

/// What a lot may take.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Leftovers {
    /// Whether it is the first lot that is not cut: it alone may.
    is_first: bool,
    all: Vec<Leftover>,
    /// What is taken already of the sizes that the job names, so many of each.
    taken: BTreeMap<String, u32>,
}

/// What a group of pieces may lie on, and from where each is.
#[derive(Default)]
pub(super) struct Sources(Vec<(Length, Length, String)>);

impl Leftovers {
    /// The same for the first lot that is not cut.
    pub(super) fn of_first(&self) -> Self {
        Self { is_first: true, ..self.clone() }
    }

    /// Whether it is for the first lot.
    pub(super) const fn is_first(&self) -> bool {
        self.is_first
    }

    /// Told of a sheet of a lot that is cut or begun: of what is cut of it something may be left.
    pub(super) fn cut(&mut self, sheet: &SheetRecord, lot: &str, count: u32) {
        let Some((of, kind)) = sheet.offcut.clone().zip(kind_of(&sheet.id)) else { return };
        let from = format!("{lot}/{}", sheet.id);
        self.all.extend((0..count).map(|_| Leftover { from: from.clone(), kind, of: of.clone() }));
    }

    /// Told of the same sheets once all of them are known: what they lie on is no longer there. As many of a sheet
    /// as a shop was told of are gone from its leftovers, which the job has from there, already.
    pub(super) fn used(&mut self, sheet: &SheetRecord, told: u32) {
        for (n, from) in sheet.leftover_of.iter().enumerate() {
            match self.all.iter().position(|l| l.from == *from) {
                Some(at) => {
                    self.all.remove(at);
                }
                None if n < told as usize => {}
                None => *self.taken.entry(from.clone()).or_default() += 1,
            }
        }
    }

    /// Gives a stock what it may take of its material: for a stock that is as the job has it the job's own leftovers,
    /// and what is left of sheets. What is given is no longer there for the next stock.
    pub(super) fn give(&mut self, kind: StockKind, stock: &mut Stock) -> Sources {
        let mut sources = Sources::default();
        if !self.is_first {
            stock.leftovers.clear();
        }
        for size in &mut stock.leftovers {
            let from = of_the_job(kind, size);
            let taken = self.taken.get(&from).copied().unwrap_or_default();
            let count = size.count.unwrap_or_default().saturating_sub(taken);
            size.count = Some(count);
            sources.0.extend((0..count).map(|_| (size.width, size.height, from.clone())));
        }
        stock.leftovers.retain(|size| size.count != Some(0));
        if self.is_first {
            let material = material(stock);
            let rim = stock.margin.to_mm() * 2.0;
            let fits = |l: &Leftover| l.kind == kind && l.of.stock == material && l.of.width.min(l.of.height) > rim;
            let (given, kept) = std::mem::take(&mut self.all).into_iter().partition(fits);
            self.all = kept;
            let given: Vec<Leftover> = given;
            for left in given {
                let (width, height) = (mm(left.of.width), mm(left.of.height));
                sources.0.push((width, height, left.from));
                match stock.leftovers.iter_mut().find(|s| s.width == width && s.height == height) {
                    Some(size) => size.count = size.count.map(|n| n + 1),
                    None => stock.leftovers.push(SheetSize { width, height, price: None, count: Some(1) }),
                }
            }
        }
        sources
    }
}

impl Sources {
    /// Which leftovers a sheet lies on, as many as are cut of it; none for a whole sheet.
    pub(super) fn take(&mut self, sheet: &Sheet) -> Vec<String> {
        let mut taken = Vec::new();
        while sheet.is_leftover && taken.len() < sheet.count() as usize {
            let is_it = |s: &(Length, Length, String)| s.0 == sheet.width && s.1 == sheet.height;
            let Some(at) = self.0.iter().position(is_it) else { break };
            taken.push(self.0.remove(at).2);
        }
        taken
    }
}

/// Where a leftover comes from that the job names.
fn of_the_job(kind: StockKind, size: &SheetSize) -> String {
    format!("{}.leftover {} x {} mm", kind.word(), size.width.to_mm(), size.height.to_mm())
}

/// A sheet's stock by its name, `board-1`.
fn kind_of(id: &str) -> Option<StockKind> {
    StockKind::ALL.into_iter().find(|kind| id.starts_with(kind.word()))
}

/// SHA-256 of what makes two stocks the same material: thickness, grain, coating and weight. Sizes, prices and how it is
/// laid out may differ.
fn material(stock: &Stock) -> String {
    let of = (stock.thickness.to_mm(), stock.grain, stock.coating, stock.grammage);
    sha256_hex(format!("{of:?}").as_bytes())
}

/// What of a sheet can be kept.
pub(super) fn offcut(sheet: &Sheet, stock: &Stock) -> Option<Offcut> {
    let left = sheet.offcut?;
    let whole = |l: Length| (l.to_mm() + 1e-6).floor();
    Some(Offcut { stock: material(stock), width: whole(left.width), height: whole(left.height) })
}
