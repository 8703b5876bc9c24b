//! How the four kinds of line are drawn, the same in every drawing: dark enough for grey paper,
//! apart for every kind of colour blindness (black, vermilion, blue and purple of differing
//! lightness), and apart by weight and dashes where colour is lost.

use crate::profile::OperationKind;

/// Red, green, blue, 0 to 255.
pub(crate) type Rgb = [u8; 3];

/// Lines and text.
pub(crate) const INK: Rgb = [0x1a, 0x1a, 0x1a];
/// What stands back: frames, dimensions' lines, notes.
pub(crate) const QUIET: Rgb = [0x70, 0x70, 0x70];
/// Hairlines of tables.
pub(crate) const FAINT: Rgb = [0xbd, 0xbd, 0xbd];

/// How one kind of line is drawn.
pub(crate) struct LineStyle {
    /// Which kind.
    pub(crate) kind: OperationKind,
    /// Its name in a key.
    pub(crate) name: &'static str,
    /// Its colour.
    pub(crate) color: Rgb,
    /// Its weight, a through-cut being 1.
    pub(crate) weight: f64,
    /// Dash and gap lengths, in weights of a through-cut; empty for a whole line.
    pub(crate) dashes: &'static [f64],
    /// What fills it, where it encloses the work.
    pub(crate) fill: Option<Rgb>,
}

/// The kinds, the one drawn on top first.
pub(crate) const STYLES: [LineStyle; 4] = [
    LineStyle {
        kind: OperationKind::ThroughCut,
        name: "cut through",
        color: INK,
        weight: 1.0,
        dashes: &[],
        fill: None,
    },
    LineStyle {
        kind: OperationKind::HalfDepthPocket,
        name: "half-depth pocket",
        color: [0xb3, 0x40, 0x0e],
        weight: 0.9,
        dashes: &[6.0, 2.0, 1.0, 2.0],
        fill: Some([0xf3, 0xc9, 0xa8]),
    },
    LineStyle {
        kind: OperationKind::CreaseScore,
        name: "crease",
        color: [0x0b, 0x62, 0xa4],
        weight: 0.9,
        dashes: &[9.0, 4.5],
        fill: None,
    },
    LineStyle {
        kind: OperationKind::Mark,
        name: "mark",
        color: [0x7a, 0x4f, 0xa3],
        weight: 0.45,
        dashes: &[],
        fill: None,
    },
];

/// How lines of a kind are drawn.
pub(crate) fn style(kind: OperationKind) -> &'static LineStyle {
    let [cut, pocket, crease, mark] = &STYLES;
    match kind {
        OperationKind::ThroughCut => cut,
        OperationKind::HalfDepthPocket => pocket,
        OperationKind::CreaseScore => crease,
        OperationKind::Mark => mark,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_are_apart_in_black_and_white() {
        for (i, a) in STYLES.iter().enumerate() {
            assert_eq!(style(a.kind).name, a.name);
            for b in &STYLES[i + 1..] {
                let is_apart = a.dashes != b.dashes || (a.weight / b.weight).ln().abs() > 0.5;
                assert!(is_apart, "{} and {}", a.name, b.name);
            }
        }
    }
}
