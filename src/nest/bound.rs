//! The fewest sheets that any layout could do with.

use super::Sheet;
use crate::design::Piece;
use crate::job::{Job, StockKind};

/// No layout of these pieces takes fewer sheets of a stock: their areas together, over what the largest of the
/// sheets has within its margin. Pieces overlap nowhere, so that their areas add up.
pub fn fewest_sheets(sheets: &[impl AsRef<Sheet>], pieces: &[Piece], job: &Job, kind: StockKind) -> u32 {
    let margin = job.stock(kind).map_or(0.0, |s| s.margin.to_mm());
    let (mut taken, mut room) = (0.0, 0.0f64);
    for sheet in sheets.iter().map(AsRef::as_ref).filter(|s| s.stock == kind) {
        let (w, h) = (sheet.width.to_mm() - 2.0 * margin, sheet.height.to_mm() - 2.0 * margin);
        room = room.max(w.max(0.0) * h.max(0.0));
        taken += sheet.used(pieces) * sheet.width.to_mm() * sheet.height.to_mm() * f64::from(sheet.count());
    }
    if room > 0.0 { (taken / room - 1e-9).ceil().max(0.0) as u32 } else { 0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::design;
    use crate::diag::Source;
    use crate::job::read;
    use crate::nest::nest;
    use std::sync::Arc;

    #[test]
    fn no_layout_takes_fewer() {
        for (name, text) in [
            ("sandpiper-case", include_str!("../../samples/sandpiper-case.toml")),
            ("rockpool-folder", include_str!("../../samples/rockpool-folder.toml")),
        ] {
            let job = read(&Source { name: name.into(), text: text.into() }).0.expect("a job");
            let pieces = design(&job).0.pieces;
            let sheets: Vec<Arc<Sheet>> = nest(&pieces, &job).0.into_iter().map(Arc::new).collect();
            for kind in StockKind::ALL {
                let used: u32 = sheets.iter().filter(|s| s.stock == kind).map(|s| s.count()).sum();
                let least = fewest_sheets(&sheets, &pieces, &job, kind);
                assert!(least <= used && (least > 0) == (used > 0), "{name} {kind:?}: {least} of {used}");
            }
        }
    }
}
