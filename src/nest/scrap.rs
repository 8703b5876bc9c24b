//! The word "scrap" on what of a sheet is neither a piece nor worth keeping, so that nobody later
//! takes it for stock.

use super::Sheet;
use crate::design::{extent, letters};
use crate::geom::{Bounds, Stroke, Transform, pt};

/// The word.
const WORD: &str = "scrap";
/// Letter heights in mm, the largest that fits is taken (our choice).
const HEIGHTS: [f64; 4] = [20.0, 14.0, 10.0, 7.0];
/// What the word keeps from pieces and from the sheet's edge, mm.
const CLEAR: f64 = 5.0;
/// No sheet wants more of them.
const MOST: usize = 12;
/// With more pieces than this on a sheet there is no room between them worth the search.
const PIECES: usize = 200;

/// Writes the word into the free rectangles beside the pieces, the largest first, what can be kept
/// left bare. The rectangles round the pieces count, not their outlines.
pub fn mark_scrap(sheets: &mut [Sheet]) {
    for sheet in sheets.iter_mut().filter(|s| s.placed.len() <= PIECES) {
        let mut taken: Vec<Bounds> = sheet.placed.iter().map(|p| p.bounds.grown(CLEAR)).collect();
        taken.extend(sheet.offcut.map(|o| o.bounds()));
        let pins = sheet.turn.and_then(|turn| turn.pins);
        taken.extend(pins.iter().flat_map(|p| p.holes()).map(|hole| hole.bounds().grown(CLEAR)));
        let size = pt(sheet.width.to_mm(), sheet.height.to_mm());
        let whole = Bounds { min: pt(CLEAR, CLEAR), max: size - pt(CLEAR, CLEAR) };
        for _ in 0..MOST {
            let Some(free) = largest_free(whole, &taken) else { break };
            sheet.marks.extend(word(free));
            taken.push(free);
        }
    }
}

/// The height of the word in a rectangle, and whether it must stand upright in it.
fn fitting(room: Bounds) -> Option<(f64, bool)> {
    let (w, h) = (room.width(), room.height());
    HEIGHTS.into_iter().find_map(|height| {
        let e = extent(WORD, height);
        match (e.x <= w && e.y <= h, e.x <= h && e.y <= w) {
            (true, _) => Some((height, false)),
            (_, true) => Some((height, true)),
            _ => None,
        }
    })
}

/// The free rectangle that takes the largest word; of several the one of most area, then the lowest
/// and leftmost. Its sides lie on those of what is taken.
fn largest_free(whole: Bounds, taken: &[Bounds]) -> Option<Bounds> {
    let mut xs: Vec<f64> = taken.iter().flat_map(|b| [b.min.x, b.max.x]).chain([whole.min.x, whole.max.x]).collect();
    xs.retain(|x| *x >= whole.min.x && *x <= whole.max.x);
    xs.sort_by(f64::total_cmp);
    xs.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    let mut by_foot: Vec<Bounds> = taken.to_vec();
    by_foot.sort_by(|a, b| a.min.y.total_cmp(&b.min.y));
    let mut best: Option<(f64, f64, Bounds)> = None;
    for (i, left) in xs.iter().enumerate() {
        for right in &xs[i + 1..] {
            // The gaps of this strip, from the bottom up.
            let mut floor = whole.min.y;
            let inside = by_foot.iter().filter(|b| b.min.x < right - 1e-6 && b.max.x > left + 1e-6);
            for (low, high) in inside.map(|b| (b.min.y, b.max.y)).chain([(whole.max.y, whole.max.y)]) {
                let gap = Bounds { min: pt(*left, floor), max: pt(*right, low.min(whole.max.y)) };
                floor = floor.max(high);
                if gap.height() <= 0.0 {
                    continue;
                }
                let Some((height, _)) = fitting(gap) else { continue };
                let area = gap.width() * gap.height();
                if best.is_none_or(|(h, a, _)| height > h || height >= h && area > a + 1e-6) {
                    best = Some((height, area, gap));
                }
            }
        }
    }
    best.map(|(_, _, gap)| gap)
}

fn word(room: Bounds) -> Vec<Stroke> {
    let Some((height, upright)) = fitting(room) else { return Vec::new() };
    let to_middle = Transform::shift(-(extent(WORD, height) / 2.0));
    let rotation_deg = if upright { 90.0 } else { 0.0 };
    let onto = Transform { mirrored: false, rotation_deg, shift: room.center() };
    letters(WORD, height).into_iter().map(|s| Stroke::Open(s.transformed(&to_middle).transformed(&onto))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::StockKind;
    use crate::nest::{Offcut, Placed};
    use crate::units::mm;

    fn sheet(pieces: &[[f64; 4]], offcut: Option<Offcut>) -> Sheet {
        let placed = |&[x, y, w, h]: &[f64; 4]| Placed {
            piece: 0,
            copy: 1,
            transform: Transform::IDENTITY,
            bounds: Bounds { min: pt(x, y), max: pt(x + w, y + h) },
            marks: Vec::new(),
        };
        Sheet {
            id: "board-1".into(),
            name: None,
            stock: StockKind::Board,
            width: mm(500.0),
            height: mm(400.0),
            thickness: mm(2.0),
            is_leftover: false,
            common_cuts: false,
            price: None,
            offcut,
            placed: pieces.iter().map(placed).collect(),
            repeats: Vec::new(),
            marks: Vec::new(),
            turn: None,
            cuts: Vec::new(),
        }
    }

    #[test]
    fn the_word_keeps_from_pieces_edges_and_what_is_kept() {
        let kept = Offcut { x: mm(0.0), y: mm(250.0), width: mm(500.0), height: mm(150.0) };
        let pieces = [[10.0, 10.0, 200.0, 230.0], [220.0, 10.0, 150.0, 60.0], [430.0, 10.0, 60.0, 230.0]];
        let mut sheets = [sheet(&pieces, Some(kept))];
        mark_scrap(&mut sheets);
        let marks = &sheets[0].marks;
        // Above the second piece 50 wide or more, 170 high: twenty high and upright or level.
        assert!(!marks.is_empty());
        for m in marks {
            let b = m.bounds();
            assert!(b.min.x > 4.99 && b.min.y > 4.99 && b.max.x < 495.01 && b.max.y < 250.01, "{b:?}");
            for [x, y, w, h] in pieces {
                let piece = Bounds { min: pt(x, y), max: pt(x + w, y + h) };
                assert!(!piece.grown(4.99).overlaps(b, 0.0), "{b:?} on {piece:?}");
            }
        }
        let largest = marks.iter().map(|m| m.bounds().height().max(m.bounds().width())).fold(0.0, f64::max);
        assert!((largest - 20.0).abs() < 1e-9, "{largest}");
    }

    #[test]
    fn a_full_sheet_and_a_crowded_one_stay_bare() {
        let mut sheets = [sheet(&[[5.0, 5.0, 490.0, 390.0]], None)];
        mark_scrap(&mut sheets);
        assert!(sheets[0].marks.is_empty());
    }
}
