//! What is asked first of a text: numbers without a unit that look like the other one, and sides that stay open.

use super::findings::{Finding, Mend, Put};
use crate::job::{Job, Side};
use crate::units::{Unit, decimal, inch};
use toml_edit::{DocumentMut, Item, Value};

/// A stack that is narrower than this in millimetres, or wider in inches, is asked about (our choice: the
/// smallest and the largest of paper sizes in use lie well within).
const NARROW_MM: f64 = 30.0;
const WIDE_INCH: f64 = 60.0;
/// A stack deeper than this in inches is asked about, and board thicker than this in mm or inches (our choice).
const DEEP_INCH: f64 = 12.0;
const THICK_MM: f64 = 10.0;
const THICK_INCH: f64 = 0.4;

/// Numbers without a unit that would be usual in another.
pub(super) fn asks(text: &str, unit: Unit) -> Vec<Finding> {
    let Ok(doc) = text.parse::<DocumentMut>() else { return Vec::new() };
    let bare = |table: &str, key: &str| doc.get(table).and_then(|t| t.get(key)).and_then(bare);
    let mut found = Vec::new();
    let mut ask = |key: &str, what: &str, (typed, value): (String, f64), other: &str| {
        let own = if unit == Unit::Inch { "in" } else { "mm" };
        let shown = decimal(value, 3);
        let message = format!("{what} is read as {shown} {own}, which is unusual: is it {typed} {other}?");
        let put = Put { key: key.into(), value: Some(format!("{typed} {other}")) };
        found.push(Finding {
            severity: "warning",
            code: "another-unit",
            message,
            help: Some(format!("write the unit behind the number, or choose what you measure in; {shown} {own} stays if nothing is changed")),
            key: Some(key.into()),
            line: None,
            part: None,
            mend: Some(Mend { label: format!("It is {typed} {other}"), edits: vec![put] }),
        });
    };
    for key in ["width", "height"] {
        if let Some(typed) = bare("contents", key) {
            let what = format!("the stack's {key}");
            match unit {
                Unit::Mm if typed.1 < NARROW_MM => ask(&format!("contents.{key}"), &what, typed, "in"),
                Unit::Inch if typed.1 > WIDE_INCH => ask(&format!("contents.{key}"), &what, typed, "mm"),
                _ => {}
            }
        }
    }
    if let Some(typed) = bare("contents", "depth")
        && unit == Unit::Inch
        && typed.1 > DEEP_INCH
    {
        ask("contents.depth", "the stack's depth", typed, "mm");
    }
    if let Some(typed) = bare("board", "thickness") {
        match unit {
            Unit::Mm if typed.1 > THICK_MM => ask("board.thickness", "the board's thickness", typed, "pt"),
            // Up to so many it is millimetres, beyond that points.
            Unit::Inch if typed.1 > THICK_INCH => {
                let other = if typed.1 <= THICK_MM { "mm" } else { "pt" };
                ask("board.thickness", "the board's thickness", typed, other);
            }
            _ => {}
        }
    }
    found
}

/// A number that stands without a unit, as typed and as a number.
fn bare(item: &Item) -> Option<(String, f64)> {
    let value = match item.as_value()? {
        Value::Array(all) => all.iter().last()?,
        one => one,
    };
    match value {
        Value::Integer(n) => Some((n.value().to_string(), *n.value() as f64)),
        Value::Float(n) => Some((decimal(*n.value(), 4), *n.value())),
        Value::String(s) if !s.value().contains(|c: char| c.is_alphabetic() || c == '"' || c == '%') => {
            let length = crate::doc::parse_length(s.value(), Unit::Inch).ok()?;
            let value = length.resolve(inch(1.0), inch(1.0)).to_inch();
            Some((s.value().trim().to_owned(), value))
        }
        _ => None,
    }
}

/// The sides at which nothing holds the works.
pub(super) fn open_sides(job: &Job) -> Vec<Finding> {
    let of = |side: Side| Finding {
        severity: "hint",
        code: "open-side",
        message: format!("the box is open at the {}: nothing holds the works there", side.word()),
        help: Some("give that side a lid, or carry the box level and wrap the works".into()),
        key: None,
        line: None,
        part: None,
        mend: None,
    };
    job.open_sides().into_iter().map(of).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(text: &str, unit: Unit) -> Vec<(String, String)> {
        asks(text, unit).into_iter().filter_map(|f| Some((f.key?, f.mend?.label))).collect()
    }

    #[test]
    fn numbers_of_the_other_unit_are_asked_about_and_others_are_not() {
        let job = "[contents]\nwidth = 9.25\nheight = \"12 1/8\"\ndepth = 0.625\n[board]\nthickness = 80\n";
        let all = asked(job, Unit::Mm);
        let labels: Vec<&str> = all.iter().map(|a| a.1.as_str()).collect();
        assert_eq!(labels, ["It is 9.25 in", "It is 12 1/8 in", "It is 80 pt"]);
        assert_eq!(asked(&job.replace("80", "0.08"), Unit::Inch), []);
        let metric = "[contents]\nwidth = 215\nheight = 302\ndepth = [58, 16]\n[board]\nthickness = 2.5\n";
        assert_eq!(asked(metric, Unit::Mm), []);
        let labels: Vec<String> = asked(metric, Unit::Inch).into_iter().map(|a| a.1).collect();
        assert_eq!(labels, ["It is 215 mm", "It is 302 mm", "It is 16 mm", "It is 2.5 mm"]);
        // What has a unit is what it says.
        assert_eq!(asked("[contents]\nwidth = \"9 mm\"\nheight = \"9 in\"\n", Unit::Mm), []);
        assert_eq!(asked("[contents\nwidth", Unit::Mm), []);
    }
}
