//! The sizes of a stock's sheets.

use super::Stock;
use crate::units::Length;

/// A size in which a stock can be had.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SheetSize {
    /// Its width on the bed.
    pub width: Length,
    /// Its height on the bed.
    pub height: Length,
    /// The price of one.
    pub price: Option<f64>,
    /// How many there are, where they are counted: a leftover.
    pub count: Option<u32>,
}

impl Stock {
    /// Every size in which it can be had: its sheet first, then the further ones, then leftovers.
    pub fn sizes(&self) -> Vec<SheetSize> {
        let sheet = SheetSize { width: self.sheet_width, height: self.sheet_height, price: self.price, count: None };
        std::iter::once(sheet).chain(self.further.iter().copied()).chain(self.leftovers.iter().copied()).collect()
    }
}
