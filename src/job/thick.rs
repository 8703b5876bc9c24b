//! How thick a stock can be: the same for a job, a row of a list, the page, a coupon and a proof.

use super::StockKind;
use crate::units::{Length, Unit, mm};

impl StockKind {
    /// The least and the greatest thickness that is taken. A cloth, a paper or a liner of no thickness at all is
    /// taken too, and counted as nothing, as worked examples do.
    pub const fn thicknesses(self) -> (Length, Length) {
        match self {
            // A sheet of writing paper of 80 g/m2 has 0.1 mm (from memory): what is thinner is no board. Box
            // board ends at 4 mm (common practice, no source); two of them glued together stay below the
            // other limit (our choice).
            Self::Board => (mm(0.1), mm(10.0)),
            // Japanese tissue begins at 0.02 mm; felt and upholstery leather end at 3 to 5 mm (from memory).
            Self::Cloth | Self::Paper | Self::Liner => (mm(0.01), mm(5.0)),
        }
    }

    /// Both of them in words: `board: 0.1 mm to 10 mm`.
    pub fn told_thicknesses(self, unit: Unit) -> String {
        let (least, most) = self.thicknesses();
        format!("{}: {} to {}", self.word(), unit.show(least), unit.show(most))
    }

    /// Whether a stock of this thickness is taken.
    pub fn takes(self, thickness: Length) -> bool {
        let (least, most) = self.thicknesses();
        (least..=most).contains(&thickness)
    }
}
