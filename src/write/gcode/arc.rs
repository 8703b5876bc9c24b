//! The centre of an arc between rounded points.

use crate::profile::ProgramUnit;

/// The largest difference of the radii at an arc's two ends, mm: NIST RS274/NGC asks for 0.002 mm,
/// or in a program in inches for 0.0002 of them; a hair less, so that the reader's own rounding has room.
pub(super) fn radii_agree(unit: ProgramUnit) -> f64 {
    match unit {
        ProgramUnit::Mm => 0.0019,
        ProgramUnit::Inch => (unit.length() * 0.00019).to_mm(),
    }
}

/// How the way between two rounded points is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Way {
    /// The points are one.
    Nothing,
    /// A straight line, because it is one within half of the last decimal.
    Line,
    /// An arc about the centre at this place from its start, in units of the last decimal.
    Arc(i64, i64),
    /// No centre in whole units has radii that agree.
    Chords,
}

/// The way over `(dx, dy)`, in units of the last decimal, `unit` mm each, of an arc of this bulge whose
/// radii are to agree within `agree` mm.
///
/// The centre is worked out from the *rounded* ends, `(1 - b^2) / (4 b)` chords to the left of their
/// middle, and then rounded; its rounding moves the two radii apart by at most twice 0.71 of a
/// unit. Where that is too much (two decimals), the centres round about are tried.
pub(super) fn way(dx: i64, dy: i64, bulge: f64, unit: f64, agree: f64) -> Way {
    if dx == 0 && dy == 0 {
        return Way::Nothing;
    }
    let (x, y) = (dx as f64, dy as f64);
    let chord = x.hypot(y);
    let radius = chord * (1.0 + bulge * bulge) / (4.0 * bulge.abs());
    if chord * bulge.abs() < 1.0 || radius < 4.0 {
        return Way::Line;
    }
    let k = (1.0 - bulge * bulge) / (4.0 * bulge);
    let (i, j) = ((x / 2.0 - y * k).round() as i64, (y / 2.0 + x * k).round() as i64);
    let apart = |i: i64, j: i64| {
        let (i, j) = (i as f64, j as f64);
        (i.hypot(j) - (x - i).hypot(y - j)).abs() * unit
    };
    if apart(i, j) <= agree {
        return Way::Arc(i, j);
    }
    let around = (-2..=2).flat_map(|a| (-2..=2).map(move |b| (i + a, j + b)));
    let best = around.min_by(|p, q| apart(p.0, p.1).total_cmp(&apart(q.0, q.1)));
    match best.filter(|p| apart(p.0, p.1) <= agree) {
        Some((i, j)) => Way::Arc(i, j),
        None => Way::Chords,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig { cases: 20_000, failure_persistence: None, ..ProptestConfig::default() })]
        #[test]
        fn radii_agree_within_two_microns(
            x in -500.0..500.0f64, y in -500.0..500.0f64, scale in 0.002..1.0f64,
            bulge in 0.001..1.0f64, cw in any::<bool>(), decimals in 2..5i32,
        ) {
            // NIST RS274/NGC 3.5.3.2: the radii at the arc's ends agree within 0.002 mm.
            let unit = 10f64.powi(-decimals);
            let (dx, dy) = ((x * scale / unit).round() as i64, (y * scale / unit).round() as i64);
            let bulge = if cw { -bulge } else { bulge };
            match way(dx, dy, bulge, unit, radii_agree(ProgramUnit::Mm)) {
                Way::Arc(i, j) => {
                    let (r1, r2) = ((i as f64).hypot(j as f64), ((dx - i) as f64).hypot((dy - j) as f64));
                    prop_assert!((r1 - r2).abs() * unit <= 0.002);
                    let radius = (dx as f64).hypot(dy as f64) * (1.0 + bulge * bulge) / (4.0 * bulge.abs());
                    // The centre is at most two units off either way, and its rounding.
                    prop_assert!((r1 - radius).abs() <= 8f64.sqrt() + 0.71);
                }
                // Three and four decimals never need chords.
                Way::Chords => prop_assert!(decimals == 2),
                Way::Line => {
                    let chord = (dx as f64).hypot(dy as f64);
                    prop_assert!(chord * bulge.abs() / 2.0 <= 0.5 || chord < 8.0);
                }
                Way::Nothing => prop_assert!(dx == 0 && dy == 0),
            }
        }
    }
}
