//! How the four kinds of line are drawn, the same in drawings, pictures, templates and guide.
//!
//! What tells them apart is the kind of line: weight and dashes on paper, the layer's name in a DXF.
//! (A DXF's lines are whole and of no weight, because a cutter that is fed through a printer's driver
//! cuts the dashes that it is shown.) Colour only helps, and it is chosen for three reasons, which the
//! tests below measure:
//!
//! - A line is seen on white and on black: the contrast with either is at least 3 to 1 (the bound of
//!   WCAG 2.1, 1.4.11, for graphics). The through-cut is ink on paper, and in a DXF colour 7, which
//!   is by the standard black on a light ground and white on a dark one.
//! - Any two stay apart for somebody who lacks one kind of cone: brown, blue and mauve of differing
//!   lightness, at least 30 units of CIELAB (1976), where 2.3 can just be seen.
//! - None is pure red, green or blue, which cutting services often give a meaning of their own (common
//!   practice, no source): a pocket in red would be cut through.

pub(crate) use crate::drawing::{INK, Rgb};

use crate::drawing::Pen;
use crate::profile::OperationKind;
/// What stands back: frames, dimensions' lines, notes.
pub(crate) const QUIET: Rgb = [0x70, 0x70, 0x70];
/// Hairlines of tables, on paper alone.
#[cfg(feature = "pdf")]
pub(crate) const FAINT: Rgb = [0xbd, 0xbd, 0xbd];

/// The number in the DXF standard's table of colours for the edge of the sheet: middle grey.
pub(crate) const STOCK_DXF_COLOR: i64 = 8;
/// The same in a word.
pub(crate) const STOCK_COLOR_WORD: &str = "grey";

/// How one kind of line is drawn.
pub(crate) struct LineStyle {
    /// Which kind.
    pub(crate) kind: OperationKind,
    /// Its colour.
    pub(crate) color: Rgb,
    /// The colour in a word.
    pub(crate) color_word: &'static str,
    /// The number in the DXF standard's table of colours whose shown colour is the nearest that
    /// keeps the reasons at the head.
    pub(crate) dxf_color: i64,
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
        color: INK,
        color_word: "black",
        dxf_color: 7,
        weight: 1.0,
        dashes: &[],
        fill: None,
    },
    LineStyle {
        kind: OperationKind::HalfDepthPocket,
        color: [0xac, 0x58, 0x06],
        color_word: "brown",
        dxf_color: 32,
        weight: 0.9,
        dashes: &[6.0, 2.0, 1.0, 2.0],
        fill: Some([0xf3, 0xc9, 0xa8]),
    },
    LineStyle {
        kind: OperationKind::CreaseScore,
        color: [0x12, 0x46, 0xe6],
        color_word: "blue",
        dxf_color: 160,
        weight: 0.9,
        dashes: &[9.0, 4.5],
        fill: None,
    },
    LineStyle {
        kind: OperationKind::Mark,
        color: [0x90, 0x50, 0xa6],
        color_word: "mauve",
        dxf_color: 203,
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

/// The weight of a through-cut on paper, mm.
#[cfg(feature = "pdf")]
pub(crate) const CUT_WEIGHT: f64 = 0.35;

/// The pen of a kind of line, where a through-cut is `cut` mm wide.
pub(crate) fn pen(kind: OperationKind, cut: f64) -> Pen {
    let s = style(kind);
    Pen { color: s.color, width: s.weight * cut, dashes: s.dashes, unit: cut }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_are_apart_in_black_and_white() {
        for (i, a) in STYLES.iter().enumerate() {
            assert_eq!(style(a.kind).kind, a.kind);
            for b in &STYLES[i + 1..] {
                let is_apart = a.dashes != b.dashes || (a.weight / b.weight).ln().abs() > 0.5;
                assert!(is_apart, "{} and {}", a.kind.word(), b.kind.word());
            }
        }
    }

    /// What the numbers of the scheme show as: read in the table of ezdxf 1.4.5 (`aci2rgb`), which
    /// `tests/references.rs` asks again. 7 is the contrary of the ground.
    const SHOWN: [(i64, Rgb); 4] =
        [(32, [165, 82, 0]), (160, [0, 63, 255]), (203, [145, 82, 165]), (8, [128, 128, 128])];

    const WHITE: Rgb = [255, 255, 255];
    const BLACK: Rgb = [0, 0, 0];

    /// Linear light. Source: IEC 61966-2-1 (sRGB), as in WCAG 2.1.
    fn linear(c: Rgb) -> [f64; 3] {
        c.map(|v| {
            let v = f64::from(v) / 255.0;
            if v <= 0.040_45 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
        })
    }

    /// Source: WCAG 2.1, definitions of relative luminance and contrast ratio.
    fn contrast(a: Rgb, b: Rgb) -> f64 {
        let luminance = |c| {
            let [r, g, b] = linear(c);
            0.2126 * r + 0.7152 * g + 0.0722 * b
        };
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    type Eyes = [[f64; 3]; 3];

    /// Source: Machado, Oliveira, Fernandes, "A physiologically-based model for simulation of color
    /// vision deficiency", IEEE TVCG 15 (2009), the matrices of severity 1 (from memory).
    const ALL_EYES: [(&str, Eyes); 4] = [
        ("three cones", [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]),
        (
            "no long",
            [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
        ),
        (
            "no middle",
            [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
        ),
        (
            "no short",
            [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]],
        ),
    ];

    /// CIELAB under D65 of a colour as these eyes see it. Source: CIE 15, sRGB's primaries.
    fn seen(c: Rgb, eyes: &Eyes) -> [f64; 3] {
        let c = linear(c);
        let mixed = |row: &[f64; 3], of: &[f64; 3]| row.iter().zip(of).map(|(a, b)| a * b).sum::<f64>();
        let c: [f64; 3] = eyes.each_ref().map(|row| mixed(row, &c).clamp(0.0, 1.0));
        let f = |t: f64| if t > 0.008_856 { t.cbrt() } else { 7.787 * t + 16.0 / 116.0 };
        let x = f(mixed(&[0.412_456, 0.357_576, 0.180_438], &c) / 0.950_47);
        let y = f(mixed(&[0.212_673, 0.715_152, 0.072_175], &c));
        let z = f(mixed(&[0.019_334, 0.119_192, 0.950_304], &c) / 1.088_83);
        [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
    }

    fn apart(a: Rgb, b: Rgb, eyes: &Eyes) -> f64 {
        let (a, b) = (seen(a, eyes), seen(b, eyes));
        a.iter().zip(&b).map(|(a, b)| (a - b) * (a - b)).sum::<f64>().sqrt()
    }

    fn shown(number: i64) -> Rgb {
        SHOWN.iter().find(|s| s.0 == number).map(|s| s.1).unwrap()
    }

    #[test]
    fn every_line_is_seen_on_white_and_on_black() {
        for s in STYLES.iter().filter(|s| s.kind != OperationKind::ThroughCut) {
            for ground in [WHITE, BLACK] {
                assert!(contrast(s.color, ground) >= 3.0, "{} on {ground:?}", s.kind.word());
                assert!(contrast(shown(s.dxf_color), ground) >= 3.0, "{} in a DXF on {ground:?}", s.kind.word());
            }
        }
        assert!(contrast(INK, WHITE) >= 7.0);
        assert!(contrast(shown(STOCK_DXF_COLOR), WHITE) >= 3.0);
        assert!(contrast(shown(STOCK_DXF_COLOR), BLACK) >= 3.0);
    }

    #[test]
    fn kinds_are_apart_for_every_eye() {
        for (eyes, matrix) in &ALL_EYES {
            for (i, a) in STYLES.iter().enumerate() {
                for b in &STYLES[i + 1..] {
                    let on_paper = apart(a.color, b.color, matrix);
                    assert!(on_paper >= 30.0, "{} and {}, {eyes}: {on_paper}", a.kind.word(), b.kind.word());
                }
            }
            // A viewer's ground decides what the through-cut shows as.
            for cut in [BLACK, WHITE] {
                let drawn = |s: &LineStyle| if s.dxf_color == 7 { cut } else { shown(s.dxf_color) };
                for (i, a) in STYLES.iter().enumerate() {
                    for b in &STYLES[i + 1..] {
                        let in_dxf = apart(drawn(a), drawn(b), matrix);
                        assert!(in_dxf >= 30.0, "{} and {}, {eyes}: {in_dxf}", a.kind.word(), b.kind.word());
                    }
                    let from_edge = apart(drawn(a), shown(STOCK_DXF_COLOR), matrix);
                    assert!(from_edge >= 20.0, "{} and the sheet's edge, {eyes}: {from_edge}", a.kind.word());
                }
            }
        }
    }

    #[test]
    fn a_drawing_shows_nearly_the_colours_of_the_pictures() {
        let [(_, all), ..] = ALL_EYES;
        for s in STYLES.iter().filter(|s| s.dxf_color != 7) {
            assert!(apart(s.color, shown(s.dxf_color), &all) < 20.0, "{}", s.kind.word());
        }
    }

    /// Pure colours are a code of others.
    #[test]
    fn no_line_is_a_pure_colour() {
        for s in &STYLES {
            assert!(!(1..=6).contains(&s.dxf_color), "{}", s.kind.word());
            let tops = s.color.iter().filter(|v| **v > 230).count();
            let nothing = s.color.iter().filter(|v| **v < 16).count();
            assert!(tops == 0 || nothing < 2, "{}", s.kind.word());
        }
    }
}
