//! What was found, in the unit of the job: findings are written in millimetres, with the unit at
//! every length, and a maker with an inch rule reads inches.

use crate::units::{Unit, decimal, mm};

/// A length, mm, as a number of the unit.
pub(super) fn number(length: f64, unit: Unit, places: usize) -> String {
    match unit {
        Unit::Mm => decimal(length, places),
        // A thousandth of an inch is 0.025 mm.
        Unit::Inch => decimal(mm(length).to_inch(), places + 1),
    }
}

/// The unit after a number.
pub(super) const fn word(unit: Unit) -> &'static str {
    match unit {
        Unit::Mm => "mm",
        Unit::Inch => "in",
    }
}

/// A sentence with each of its lengths in the unit. Areas and speeds stay, as do places, which are the
/// program's own numbers.
pub(super) fn in_unit(text: &str, unit: Unit) -> String {
    if unit == Unit::Mm {
        return text.to_owned();
    }
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find(" mm") {
        let (before, after) = (&rest[..at], &rest[at + 3..]);
        let digits = before.chars().rev().take_while(|c| c.is_ascii_digit() || ['.', '-'].contains(c)).count();
        let (head, digits) = before.split_at(before.len() - digits);
        let is_place = head.ends_with('Y');
        let is_length = !is_place && !after.starts_with(|c: char| c.is_alphanumeric() || c == '/');
        match digits.parse::<f64>() {
            Ok(length) if is_length => {
                out.push_str(head);
                out.push_str(&number(length, unit, 3));
                out.push_str(" in");
            }
            _ => out.push_str(&rest[..at + 3]),
        }
        rest = after;
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_said_in_inches_and_nothing_else_is() {
        let text = "the cut lies 0.254 mm off at X12.7 Y5 mm; 0.1 mm is let pass; 40 mm2, 900 mm/min";
        assert_eq!(in_unit(text, Unit::Mm), text);
        let inches = "the cut lies 0.01 in off at X12.7 Y5 mm; 0.0039 in is let pass; 40 mm2, 900 mm/min";
        assert_eq!(in_unit(text, Unit::Inch), inches);
        assert_eq!(in_unit("a job in mm", Unit::Inch), "a job in mm");
    }
}
