//! Lengths as written.

use crate::limits::quoted;
use crate::units::{Length, Unit, inch, mm, points};

/// A length as written, before it is known what `t` or a share stands for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RawLength {
    /// A length of its own.
    Fixed(Length),
    /// So many thicknesses of the job's board.
    Boards(f64),
    /// A share of an interior dimension, 0.45 for 45 %.
    Share(f64),
}

impl RawLength {
    /// The length, with `t` the board's thickness and `whole` what a share is of.
    pub fn resolve(self, t: Length, whole: Length) -> Length {
        match self {
            Self::Fixed(length) => length,
            Self::Boards(n) => t * n,
            Self::Share(s) => whole * s,
        }
    }
}

/// Reads a length from a string: a number (with a point or a comma) or a fraction (`3/32`, `1 3/4`), then a unit: `mm`,
/// `cm`, `in`, `"`, `pt` (0.001 in of caliper), `t` (boards) or `%`. Without a unit it is in `unit`.
///
/// The error says what is wrong with the text.
pub fn parse_length(text: &str, unit: Unit) -> Result<RawLength, String> {
    let text = text.trim();
    let at = text.find(|c: char| c.is_alphabetic() || c == '%' || c == '"').unwrap_or(text.len());
    // An exponent is part of the number: 1e3 mm.
    let at = exponent_end(text, at);
    let (number, suffix) = (text[..at].trim(), text[at..].trim());
    if is_one_or_a_thousand(number) {
        let (point, none) = (number.replace(',', "."), number.replace(',', ""));
        return Err(format!("`{}` may mean {point} or {none}: write one of them", quoted(number)));
    }
    let value = parse_number(&number.replace(',', ".")).ok_or_else(|| {
        if number.is_empty() { "there is no number".into() } else { format!("`{}` is not a number", quoted(number)) }
    })?;
    if !value.is_finite() {
        return Err("the number is not finite".into());
    }
    Ok(match suffix {
        "" => RawLength::Fixed(unit.length(value)),
        "mm" => RawLength::Fixed(mm(value)),
        "cm" => RawLength::Fixed(mm(value * 10.0)),
        "in" | "inch" | "inches" | "\"" => RawLength::Fixed(inch(value)),
        "pt" => RawLength::Fixed(points(value)),
        "t" => RawLength::Boards(value),
        "%" => RawLength::Share(value / 100.0),
        other => return Err(format!("`{}` is not a unit", quoted(other))),
    })
}

/// A comma is a decimal point, as most of the world writes it, unless three figures stand behind it and another
/// than nothing before it: then it may part thousands.
fn is_one_or_a_thousand(number: &str) -> bool {
    let Some((whole, part)) = number.split_once(',') else { return false };
    let is_number = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
    let whole = whole.trim_start_matches('-');
    is_number(whole) && is_number(part) && part.len() == 3 && whole.bytes().any(|b| b != b'0')
}

/// Where the number ends when the first letter is the `e` of an exponent.
fn exponent_end(text: &str, at: usize) -> usize {
    let rest = &text[at..];
    let Some(after) = rest.strip_prefix(['e', 'E']) else { return at };
    let digits = after.strip_prefix(['+', '-']).unwrap_or(after);
    let n = digits.bytes().take_while(u8::is_ascii_digit).count();
    if n == 0 || at == 0 { at } else { at + (rest.len() - digits.len()) + n }
}

/// A decimal number, a fraction `a/b`, or a whole number and a fraction `w a/b`.
fn parse_number(text: &str) -> Option<f64> {
    let Some((over, under)) = text.split_once('/') else {
        return text.parse().ok().filter(|_| !text.chars().any(char::is_alphabetic) || text.contains(['e', 'E']));
    };
    let under: u32 = under.trim().parse().ok().filter(|u| *u > 0)?;
    let over = over.trim_end();
    let (whole, over) = match over.rsplit_once(char::is_whitespace) {
        Some((w, o)) => (w.trim(), o),
        None => ("0", over),
    };
    let (sign, whole) = match whole.strip_prefix('-') {
        Some(w) => (-1.0, w),
        None => (1.0, whole),
    };
    let (sign, over) = match over.strip_prefix('-') {
        Some(o) if whole == "0" => (-sign, o),
        _ => (sign, over),
    };
    let whole: u32 = whole.parse().ok()?;
    let over: u32 = over.parse().ok()?;
    Some(sign * (f64::from(whole) + f64::from(over) / f64::from(under)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_way_to_write_a_length() {
        let read = |s: &str| parse_length(s, Unit::Mm);
        assert_eq!(read("3/32 in"), Ok(RawLength::Fixed(inch(3.0 / 32.0))));
        assert_eq!(read("1 3/4\""), Ok(RawLength::Fixed(inch(1.75))));
        assert_eq!(read("2.5 mm"), Ok(RawLength::Fixed(mm(2.5))));
        assert_eq!(read("0.098in"), Ok(RawLength::Fixed(inch(0.098))));
        assert_eq!(read("20 pt"), Ok(RawLength::Fixed(points(20.0))));
        assert_eq!(read("1.5 t"), Ok(RawLength::Boards(1.5)));
        assert_eq!(read("45 %"), Ok(RawLength::Share(0.45)));
        assert_eq!(read("1e1 mm"), Ok(RawLength::Fixed(mm(10.0))));
        assert_eq!(read("-1/2 in"), Ok(RawLength::Fixed(inch(-0.5))));
        assert_eq!(parse_length("2", Unit::Inch), Ok(RawLength::Fixed(inch(2.0))));
        assert_eq!(read("279,4 mm"), Ok(RawLength::Fixed(mm(279.4))));
        assert_eq!(read("0,125 in"), Ok(RawLength::Fixed(inch(0.125))));
    }

    #[test]
    fn nonsense_is_refused_with_its_reason() {
        for bad in [
            "",
            "mm",
            "2 furlongs",
            "1/0 in",
            "nan",
            "inf mm",
            "1..2 mm",
            "3 / x in",
            "1e999 mm",
            "--1",
            "ee",
            "1/2/3",
            "1,000 mm",
            "1,2,3",
            "1,2.3",
        ] {
            assert!(parse_length(bad, Unit::Mm).is_err(), "{bad}");
        }
    }
}
