//! Standard sheet and envelope sizes by name.
//!
//! Source: ISO 216 (A and B series, each size half of the one before, whole millimetres, rounded
//! down) and ISO 269 (of the C series C3 to C6 were read there, and DL). The other C sizes follow by the
//! same rule and are those of DIN 476-2 (C1, C2, C7 and C10 read in a list after its issue of 1991, C0
//! from memory, C8 and C9 derived).

use crate::units::{Length, mm};

/// The names that [`size`] knows.
pub(super) const NAMES: &[&str] = &[
    "A0", "A1", "A2", "A3", "A4", "A5", "A6", "A7", "A8", "A9", "A10", "B0", "B1", "B2", "B3", "B4", "B5", "B6", "B7",
    "B8", "B9", "B10", "C0", "C1", "C2", "C3", "C4", "C5", "C6", "C7", "C8", "C9", "C10", "DL",
];

/// Short and long side of a standard size, `None` for a name that is not in [`NAMES`].
pub(super) fn size(name: &str) -> Option<(Length, Length)> {
    let (mut short, mut long): (u32, u32) = match name.get(..1)? {
        _ if name == "DL" => return Some((mm(110.0), mm(220.0))),
        "A" => (841, 1189),
        "B" => (1000, 1414),
        "C" => (917, 1297),
        _ => return None,
    };
    let halvings: u32 = name[1..].parse().ok().filter(|n| *n <= 10 && NAMES.contains(&name))?;
    for _ in 0..halvings {
        (short, long) = (long / 2, short);
    }
    Some((mm(f64::from(short)), mm(f64::from(long))))
}

/// How much larger than its nominal size a trimmed sheet may be, by ISO 216: 1.5 mm for sides up
/// to 150 mm, 2 mm up to 600 mm, 3 mm above.
pub(super) fn tolerance(side: Length) -> Length {
    match side.to_mm() {
        s if s <= 150.0 => mm(1.5),
        s if s <= 600.0 => mm(2.0),
        _ => mm(3.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_those_of_the_standards() {
        // Source: ISO 216 and ISO 269, read in their tables, A10 and B10 from the halving rule; C1, C2, C7 and
        // C10: DIN 476-2, 1991, read in a list of its values.
        for (name, short, long) in [
            ("A0", 841.0, 1189.0),
            ("A2", 420.0, 594.0),
            ("A3", 297.0, 420.0),
            ("A4", 210.0, 297.0),
            ("A5", 148.0, 210.0),
            ("A10", 26.0, 37.0),
            ("B0", 1000.0, 1414.0),
            ("B3", 353.0, 500.0),
            ("B4", 250.0, 353.0),
            ("B5", 176.0, 250.0),
            ("B10", 31.0, 44.0),
            ("C1", 648.0, 917.0),
            ("C2", 458.0, 648.0),
            ("C7", 81.0, 114.0),
            ("C10", 28.0, 40.0),
            ("C3", 324.0, 458.0),
            ("C4", 229.0, 324.0),
            ("C5", 162.0, 229.0),
            ("C6", 114.0, 162.0),
            ("DL", 110.0, 220.0),
        ] {
            assert_eq!(size(name), Some((mm(short), mm(long))), "{name}");
        }
    }

    #[test]
    fn every_name_is_known_and_no_other() {
        assert!(NAMES.iter().all(|n| size(n).is_some()));
        for other in ["A11", "A", "a4", "D4", "", "A-1", "A+4", "A04", "é4", "DL1"] {
            assert_eq!(size(other), None, "{other}");
        }
    }

    #[test]
    fn tolerances_grow_with_the_side() {
        // Source: ISO 216, tolerances on trimmed sizes.
        assert_eq!([150.0, 151.0, 600.0, 601.0].map(|s| tolerance(mm(s))), [1.5, 2.0, 2.0, 3.0].map(mm));
    }
}
