//! A stock laid out once more, with something changed.

use super::super::{Search, Sheet, lay};
use crate::design::Piece;
use crate::job::{Job, Stock, StockKind};
use crate::units::tidy;

/// Rounding that is no difference.
const SLACK: f64 = 1e-9;
const MM2: f64 = 1e-6;

/// What sheets take. Leftovers cost nothing and are not counted.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Taken {
    /// How many sheets are bought.
    pub(super) sheets: u32,
    /// Their area, square metres.
    pub(super) m2: f64,
    /// What they cost, where each has a price.
    pub(super) cost: Option<f64>,
}

impl Taken {
    pub(super) fn of<'s>(sheets: impl Iterator<Item = &'s Sheet>) -> Self {
        let mut all = Self { cost: Some(0.0), ..Self::default() };
        for s in sheets.filter(|s| !s.is_leftover) {
            let n = f64::from(s.count());
            all.sheets += s.count();
            all.m2 += n * s.width.to_mm() * s.height.to_mm() * MM2;
            all.cost = all.cost.zip(s.price.filter(|p| *p > 0.0)).map(|(sum, price)| sum + n * price);
        }
        Self { cost: all.cost.filter(|_| all.sheets > 0), ..all }
    }

    /// What counts: money or, where a price is missing, area.
    pub(super) fn basis(&self) -> f64 {
        self.cost.unwrap_or(self.m2)
    }

    /// Whether it costs less than `other`, by this share of that at least.
    pub(super) fn is_less(&self, other: &Self, share: f64) -> bool {
        self.cost.is_some() == other.cost.is_some() && self.basis() < other.basis() * (1.0 - share) - SLACK
    }

    /// The same as it is told, without what rounding leaves.
    pub(super) fn tidied(&self) -> Self {
        Self { sheets: self.sheets, m2: tidy(self.m2, 4), cost: self.cost.map(|c| tidy(c, 2)) }
    }

    /// Both together.
    #[must_use]
    pub(super) fn and(self, other: &Self) -> Self {
        Self {
            sheets: self.sheets + other.sheets,
            m2: self.m2 + other.m2,
            cost: self.cost.zip(other.cost).map(|(a, b)| a + b),
        }
    }
}

/// The pieces of one stock, to be laid out again and again.
pub(super) struct Trial<'a> {
    pieces: &'a [Piece],
    of_kind: Vec<usize>,
    kind: StockKind,
    search: &'a Search<'a>,
    /// What all copies of the pieces take by their outlines, mm2.
    area: f64,
}

impl<'a> Trial<'a> {
    pub(super) fn new(pieces: &'a [Piece], job: &Job, kind: StockKind, search: &'a Search<'a>) -> Self {
        let of_kind: Vec<usize> = (0..pieces.len()).filter(|i| pieces[*i].stock == kind).collect();
        let area = |i: &usize| pieces[*i].outline.area() * f64::from(pieces[*i].needed(job.copies));
        let area = of_kind.iter().map(area).sum();
        Self { pieces, of_kind, kind, search, area }
    }

    /// What the job takes of this stock; `None` where a piece fits on no sheet of it. Nothing is said of a search that
    /// was ended from outside.
    pub(super) fn lay(&self, job: &Job, stock: &Stock) -> Option<Taken> {
        let mut said = Vec::new();
        let sheets = lay(self.pieces, &self.of_kind, self.kind, stock, job, self.search, &mut said);
        let is_whole = !said.iter().any(crate::diag::Diagnostic::is_error);
        (is_whole && !self.search.is_stopped()).then(|| Taken::of(sheets.iter()))
    }

    /// How many things there are to lay.
    pub(super) fn things(&self, job: &Job) -> u32 {
        self.of_kind.iter().map(|i| self.pieces[*i].needed(job.copies)).sum()
    }

    /// No layout on these sheets costs less, told as `now` is: what the pieces have in area buys no fewer. Leftovers hold
    /// nobody knows what.
    pub(super) fn least(&self, stock: &Stock, now: &Taken) -> f64 {
        if !stock.leftovers.is_empty() {
            return 0.0;
        }
        let rim = 2.0 * stock.margin.to_mm();
        let sizes = stock.sizes();
        let is_priced = now.cost.is_some();
        // The least that a square millimetre of room costs, and what the one sheet costs where there is but one.
        let of = |s: &crate::job::SheetSize| {
            let (w, h) = (s.width.to_mm(), s.height.to_mm());
            let cost = if is_priced { s.price.unwrap_or_default() } else { w * h * MM2 };
            (((w - rim) * (h - rim)).max(SLACK), cost)
        };
        match sizes.as_slice() {
            [one] => {
                let (room, cost) = of(one);
                (self.area / room - SLACK).ceil() * cost
            }
            several => self.area * several.iter().map(of).map(|(room, cost)| cost / room).fold(f64::INFINITY, f64::min),
        }
    }

    /// Whether no layout on these sheets could cost less than `now`.
    pub(super) fn is_hopeless(&self, stock: &Stock, now: &Taken) -> bool {
        self.least(stock, now) >= now.basis() - SLACK
    }
}
