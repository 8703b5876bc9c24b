//! Names of the files that leave the shop. Whoever cuts from them sees neither the folder nor the job, so the
//! name says what box it is of, what it is cut from and for what kerf it was moved.

use crate::nest::Sheet;
use crate::ops::side_name;
use crate::units::{Length, decimal};

/// As many letters of a title as a name keeps (our choice): with the rest it stays under the 64 that old
/// discs and programs can take.
const LETTERS: usize = 32;

/// What the names of a sheet's drawings begin with, `rockpool-folder_board-2mm_1`: the title in plain small
/// letters, the stock with its thickness, the kerf where the lines are moved for one, and the number of the
/// sheet; then that it shows the face that lies up in the first run, where it does. Lengths are in millimetres, as the
/// drawings are.
pub fn drawing_stem(title: &str, sheet: &Sheet, is_first_side: bool, kerf: Length) -> String {
    // `board-1`, `first-board-1`; a coupon's one sheet has no number.
    let (stock, number) = match sheet.id.rsplit_once('-') {
        Some((stock, number)) if number.parse::<u32>().is_ok() => (stock, format!("_{number}")),
        _ => (sheet.id.as_str(), String::new()),
    };
    let moved = if kerf == Length::ZERO { String::new() } else { format!("_kerf-{}mm", decimal(kerf.to_mm(), 3)) };
    let stem = format!("{}_{stock}-{}mm{moved}{number}", plain(title), decimal(sheet.thickness.to_mm(), 2));
    side_name(&stem, is_first_side)
}

/// A title in letters and figures that every disc takes, words joined by dashes; `box` where none is left.
pub fn plain(title: &str) -> String {
    let plain = any_ascii::any_ascii(title).replace('\'', "").to_ascii_lowercase();
    let words = plain.split(|c: char| !c.is_ascii_alphanumeric()).filter(|w| !w.is_empty());
    let mut all = String::new();
    for word in words {
        if all.is_empty() {
            all.extend(word.chars().take(LETTERS));
        } else if all.len() + 1 + word.len() <= LETTERS {
            all.push('-');
            all.push_str(word);
        } else {
            break;
        }
    }
    if all.is_empty() { "box".into() } else { all }
}

/// A file's own name, without the folders above it.
pub fn base(name: &str) -> &str {
    name.rsplit('/').next().unwrap_or(name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::StockKind;
    use crate::units::mm;

    #[test]
    fn a_name_says_title_stock_thickness_and_kerf() {
        let sheet = Sheet::bare("board-12", StockKind::Board, [mm(700.0), mm(1000.0), mm(2.0)]);
        assert_eq!(drawing_stem("Rockpool folder", &sheet, false, Length::ZERO), "rockpool-folder_board-2mm_12");
        assert_eq!(
            drawing_stem("Rockpool folder", &sheet, true, Length::ZERO),
            "rockpool-folder_board-2mm_12_first-side"
        );
        let sheet = Sheet::bare("first-cloth-1", StockKind::Cloth, [mm(700.0), mm(1000.0), mm(0.35)]);
        assert_eq!(
            drawing_stem("  Bögen & Tang: Nº 3 ", &sheet, false, mm(0.15)),
            "bogen-tang-no-3_first-cloth-0.35mm_kerf-0.15mm_1"
        );
    }

    #[test]
    fn no_title_leaves_the_folder_or_is_empty() {
        for title in ["", "../..", "🦀", "a/b\\c", "....", "海藻", &"x".repeat(500)] {
            let name = plain(title);
            assert!(!name.is_empty() && name.len() <= LETTERS, "{title}: {name}");
            assert!(name.chars().all(|c| c.is_ascii_alphanumeric() || c == '-'), "{title}: {name}");
        }
    }
}
