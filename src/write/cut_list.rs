//! The list of what to cut, as CSV (RFC 4180: commas, CRLF, quotes where a field needs them).

use crate::design::Piece;
use crate::job::Grain;
use crate::nest::Sheet;
use crate::units::decimal;

/// One line a piece, in the order of the design: what it is cut from, its id, how many of it all
/// boxes need, the size of the rectangle around it in mm, the way its grain runs in that
/// rectangle, the sheets that it lies on.
pub fn cut_list(pieces: &[Piece], sheets: &[Sheet]) -> Vec<u8> {
    let mut text = String::from("stock,piece,count,width_mm,height_mm,grain,sheets\r\n");
    for (i, piece) in pieces.iter().enumerate() {
        let on = |s: &Sheet| s.placed.iter().filter(|p| p.piece == i).count() * s.count() as usize;
        let count: usize = sheets.iter().map(on).sum();
        let ids: Vec<&str> = sheets.iter().filter(|s| on(s) > 0).map(|s| s.id.as_str()).collect();
        let bounds = piece.outline.bounds();
        let grain = match piece.grain {
            Grain::Width => "width",
            Grain::Height => "height",
            Grain::None => "none",
        };
        let row = [
            piece.stock.word().into(),
            piece.id.clone(),
            count.to_string(),
            decimal(bounds.width(), 2),
            decimal(bounds.height(), 2),
            grain.into(),
            ids.join(" "),
        ];
        text.push_str(&row.map(|f| field(&f)).join(","));
        text.push_str("\r\n");
    }
    text.into_bytes()
}

/// A field, quoted where a comma, a quote or a line's end in it would be misread.
fn field(text: &str) -> String {
    if text.contains(['"', ',', '\r', '\n']) { format!("\"{}\"", text.replace('"', "\"\"")) } else { text.into() }
}

#[cfg(test)]
mod tests {
    use super::field;

    #[test]
    fn fields_are_quoted_as_rfc_4180_section_2_has_it() {
        assert_eq!(field("board-base"), "board-base");
        assert_eq!(field("a \"b\", c"), "\"a \"\"b\"\", c\"");
        assert_eq!(field("two\nlines"), "\"two\nlines\"");
    }
}
