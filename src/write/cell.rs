//! Cells of the tables for spreadsheets.

use std::borrow::Cow;

/// What a spreadsheet may take for the beginning of a formula. Source: OWASP, "CSV Injection".
const BEGINS: [char; 6] = ['=', '+', '-', '@', '\t', '\r'];

/// A text as the cell of a table, with an apostrophe before what a spreadsheet would reckon out or run; numbers stay.
/// Whoever reads the table as text takes that apostrophe away.
pub fn harmless(text: &str) -> Cow<'_, str> {
    if text.starts_with(BEGINS) && !is_number(text) { Cow::Owned(format!("'{text}")) } else { Cow::Borrowed(text) }
}

/// Whether a text is a plain number, `-3.5`.
fn is_number(text: &str) -> bool {
    let digits = text.strip_prefix('-').unwrap_or(text);
    digits.starts_with(|c: char| c.is_ascii_digit())
        && digits.chars().all(|c| c.is_ascii_digit() || c == '.')
        && digits.parse::<f64>().is_ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_are_text_and_numbers_numbers() {
        for formula in ["=1+1", "+1", "-A1", "@SUM(A1)", "\tx", "\r=1", "-1+2", "=HYPERLINK(\"x\")", "-", "-1e3"] {
            assert_eq!(harmless(formula), format!("'{formula}"));
        }
        for plain in ["-3.5", "0.25", "12", "TH-001", "board-base", "", "700x1000", "a=b", "'x"] {
            assert_eq!(harmless(plain), plain);
        }
    }
}
