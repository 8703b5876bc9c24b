//! What was found, in the unit of the job: what is said of machines and programs is written in
//! millimetres, with the unit at every length, and a maker with an inch rule reads inches.

use crate::units::{Unit, decimal, mm};

/// A length, mm, as a number of the unit.
pub fn number(length: f64, unit: Unit, places: usize) -> String {
    match unit {
        Unit::Mm => decimal(length, places),
        // A thousandth of an inch is 0.025 mm.
        Unit::Inch => decimal(mm(length).to_inch(), places + 1),
    }
}

/// The unit after a number.
pub const fn word(unit: Unit) -> &'static str {
    match unit {
        Unit::Mm => "mm",
        Unit::Inch => "in",
    }
}

/// A sentence with each of its lengths in the unit. Areas and speeds stay, as do places,
/// which are the program's own numbers, and what stands between two backquotes, which is to be written so.
pub fn in_unit(text: &str, unit: Unit) -> String {
    if unit == Unit::Mm {
        return text.to_owned();
    }
    let parts = text.split('`').enumerate();
    let parts: Vec<String> =
        parts.map(|(i, part)| if i % 2 == 0 { converted(part) } else { part.to_owned() }).collect();
    parts.join("`")
}

fn converted(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find(" mm") {
        let (before, after) = (&rest[..at], &rest[at + 3..]);
        let is_length = !after.starts_with(|c: char| c.is_alphanumeric() || c == '/');
        match last_numbers(before).filter(|(head, _)| is_length && !head.ends_with('Y')) {
            Some((head, numbers)) => {
                out.push_str(head);
                out.push_str(&numbers);
                out.push_str(" in");
            }
            None => out.push_str(&rest[..at + 3]),
        }
        rest = after;
    }
    out.push_str(rest);
    out
}

/// The numbers that a text ends with, in inches, and what stands before them: `12.7`, `1000 x 1400`, `13 to 16`.
fn last_numbers(text: &str) -> Option<(&str, String)> {
    let digits = text.chars().rev().take_while(|c| c.is_ascii_digit() || ['.', '-'].contains(c)).count();
    let (head, digits) = text.split_at(text.len() - digits);
    let mut shown = number(digits.parse().ok()?, Unit::Inch, 3);
    // Of several the unit is said once.
    let joined = [" x ", " to ", " by "].into_iter().find_map(|j| Some((j, last_numbers(head.strip_suffix(j)?)?)));
    let Some((joint, (before, more))) = joined else { return Some((head, shown)) };
    shown = format!("{more}{joint}{shown}");
    Some((before, shown))
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
        assert_eq!(in_unit("it takes 25.4 x 50.8 mm", Unit::Inch), "it takes 1 x 2 in");
        assert_eq!(
            in_unit("12.7 to 25.4 mm; write `depth = \"5 mm\"`", Unit::Inch),
            "0.5 to 1 in; write `depth = \"5 mm\"`"
        );
    }
}
