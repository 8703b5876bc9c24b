//! What of a sheet can be kept for next time.

use super::kind::{Put, Set};
use crate::geom::{Bounds, pt};
use crate::job::SheetSize;
use crate::units::{Length, mm};
use serde::Serialize;

/// An offcut narrower than this is waste (common practice, no source: a wall or a gauge wants two
/// fingers' breadth).
const NARROWEST: f64 = 60.0;

/// A rectangle of a sheet that no piece reaches, rim included.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Offcut {
    /// Its left edge on the sheet.
    pub x: Length,
    /// Its lower edge on the sheet.
    pub y: Length,
    /// Its width.
    pub width: Length,
    /// Its height.
    pub height: Length,
}

impl Offcut {
    /// Where it lies on the sheet.
    pub fn bounds(&self) -> Bounds {
        let min = pt(self.x.to_mm(), self.y.to_mm());
        Bounds { min, max: min + pt(self.width.to_mm(), self.height.to_mm()) }
    }
}

/// The larger of the strips above and beside all pieces, the gap to them taken off.
pub(super) fn offcut(set: &Set, puts: &[Put], size: &SheetSize, margin: Length, gap: Length) -> Option<Offcut> {
    let (width, height) = (size.width.to_mm(), size.height.to_mm());
    let y = margin.to_mm() + set.top(puts) + gap.to_mm();
    let x = margin.to_mm() + set.right(puts) + gap.to_mm();
    let above = (0.0, y, width, height - y);
    let beside = (x, 0.0, width - x, height);
    let larger = if above.2 * above.3 >= beside.2 * beside.3 { above } else { beside };
    let (x, y, width, height) = larger;
    (width.min(height) >= NARROWEST).then(|| Offcut { x: mm(x), y: mm(y), width: mm(width), height: mm(height) })
}
