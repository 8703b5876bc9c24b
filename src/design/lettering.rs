//! Single-stroke capitals, figures and a few signs, our own, for a pen or a shallow mark: open
//! strokes of straight lines on a grid 4 wide and 6 high, so that the smallest plotter draws them.

use crate::geom::{Path, Point, Vertex, pt};

/// Grid units from one letter's left edge to the next.
const ADVANCE: f64 = 6.0;
/// Grid units of a capital's height.
const HEIGHT: f64 = 6.0;
/// Grid units of a letter's width.
const WIDTH: f64 = 4.0;

/// A small square.
const UNKNOWN: &str = "1131331311";

/// The strokes of a letter: points as two digits, column then row, strokes divided by spaces. As
/// few strokes as draw it without going over a line twice: every stroke more is a lift of the pen.
/// Letters that the lettering has not got are a small square, so that nothing vanishes in silence.
fn glyph(letter: char) -> &'static str {
    match letter.to_ascii_uppercase() {
        'A' => "002640 1333",
        'B' => "030636454433030030414233",
        'C' => "4536160501103041",
        'D' => "00062644422000",
        'E' => "46060040 0333",
        'F' => "000646 0333",
        'G' => "45361605011030414323",
        'H' => "0006 4046 0343",
        'I' => "2026",
        'J' => "4641301001",
        'K' => "0006 460340",
        'L' => "060040",
        'M' => "0006234640",
        'N' => "00064046",
        'O' => "103041453616050110",
        'P' => "00063645443303",
        'Q' => "103041453616050110 2240",
        'R' => "00063645443303 2340",
        'S' => "4536160504133342413010",
        'T' => "0646 2620",
        'U' => "060110304146",
        'V' => "062046",
        'W' => "0610233046",
        'X' => "0046 0640",
        'Y' => "062346 2320",
        'Z' => "06460040",
        '0' => "01103041453616050145",
        '1' => "152620",
        '2' => "05163645440040",
        '3' => "0516364544334241301001",
        '4' => "30360242",
        '5' => "460603334241301001",
        '6' => "4536160501103041423303",
        '7' => "064610",
        '8' => "13333445361605041302011030414233",
        '9' => "0110304145361605041343",
        '.' => "1021",
        '-' => "1333",
        '/' => "0046",
        ' ' => "",
        _ => UNKNOWN,
    }
}

/// The letters of a text that the lettering has not got, each once.
pub(super) fn lacks(text: &str) -> Vec<char> {
    let mut lacking = Vec::new();
    for c in text.to_uppercase().chars() {
        if glyph(c) == UNKNOWN && !lacking.contains(&c) {
            lacking.push(c);
        }
    }
    lacking
}

/// `text` in one line of capitals `height` mm high, its lower left corner at the origin.
pub fn letters(text: &str, height: f64) -> Vec<Path> {
    let unit = height / HEIGHT;
    let mut strokes = Vec::new();
    for (i, letter) in text.chars().enumerate() {
        let left = ADVANCE * i as f64;
        for stroke in glyph(letter).split(' ').filter(|s| !s.is_empty()) {
            let digits: Vec<f64> = stroke.bytes().map(|b| f64::from(b.saturating_sub(b'0'))).collect();
            let points = digits.chunks_exact(2).map(|p| Vertex::new(pt(left + p[0], p[1]) * unit, 0.0));
            strokes.push(Path::new(points));
        }
    }
    strokes
}

/// The width and height in mm of `text` in capitals `height` mm high.
pub fn extent(text: &str, height: f64) -> Point {
    let n = text.chars().count() as f64;
    pt((ADVANCE * n - (ADVANCE - WIDTH)).max(0.0), HEIGHT) * (height / HEIGHT)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Bounds;

    #[test]
    fn every_letter_keeps_to_its_cell_and_has_whole_strokes() {
        for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.-/?".chars() {
            let strokes = letters(&letter.to_string(), 6.0);
            assert!(!strokes.is_empty(), "{letter}");
            for s in &strokes {
                assert!(s.vertices().len() >= 2, "{letter} has a dot of no length");
            }
            let b = strokes.iter().fold(Bounds::EMPTY, |b, s| b.union(s.bounds()));
            assert!(b.min.x >= 0.0 && b.max.x <= 4.0 && b.min.y >= 0.0 && b.max.y <= 6.0, "{letter}: {b:?}");
            assert!(glyph(letter).split(' ').all(|s| s.len() % 2 == 0), "{letter}");
            let mut lines: Vec<[String; 2]> = Vec::new();
            let mut ends: Vec<&str> = Vec::new();
            for stroke in glyph(letter).split(' ') {
                ends.extend([&stroke[..2], &stroke[stroke.len() - 2..]]);
                for at in (0..stroke.len() - 2).step_by(2) {
                    let mut line = [stroke[at..at + 2].to_owned(), stroke[at + 2..at + 4].to_owned()];
                    line.sort();
                    assert!(!lines.contains(&line), "{letter} goes over {line:?} twice");
                    lines.push(line);
                }
            }
            for (i, end) in ends.iter().enumerate() {
                let met = ends.iter().enumerate().any(|(j, other)| j / 2 != i / 2 && other == end);
                assert!(!met, "{letter}: two strokes that meet at {end} could be one");
            }
        }
        assert!((extent("AB", 6.0).x - 10.0).abs() < 1e-12);
    }
}
