//! Numbers without a unit that would be usual in another: asked about first, for all else that is wrong
//! may follow from them.

use crate::diag::{Diagnostic, Places, Severity, any_error};
use crate::doc::{Document, parse_length};
use crate::job::StockKind;
use crate::units::{Unit, decimal, inch};

/// A stack that is narrower than this in millimetres, or wider in inches, is asked about (our choice: the
/// smallest and the largest of paper sizes in use lie well within).
const NARROW_MM: f64 = 30.0;
const WIDE_INCH: f64 = 60.0;
/// What is less than this in millimetres is no measure in inches either: 30 mm.
const LEAST_INCH: f64 = 1.18;
/// A stack deeper than this in inches is asked about, and board thicker than this (our choice).
const DEEP_INCH: f64 = 12.0;
const THICK_INCH: f64 = 0.4;
/// Cloth or liner thicker than this in inches likewise (our choice).
const THICK_CLOTH_INCH: f64 = 0.2;

/// The code of what is told of them.
pub const ANOTHER_UNIT: &str = "another-unit";

/// A number that is likely to be in another unit than it is read in.
#[derive(Clone, Debug, PartialEq)]
pub struct Slip {
    /// Its key.
    pub key: String,
    /// What it is of, in words.
    pub what: String,
    /// As it was typed.
    pub typed: String,
    /// As a number.
    pub value: f64,
    /// The other unit: `mm`, `in` or `pt`.
    pub other: &'static str,
}

/// The numbers without a unit that would be usual in another. `text` is what the document was read from.
pub fn slips(text: &str, document: &Document) -> Vec<Slip> {
    let unit = document.unit;
    let mut found = Vec::new();
    let mut ask = |key: &str, what: &str, is_odd: &dyn Fn(f64) -> Option<&'static str>| {
        if let Some((typed, value)) = bare(text, &document.places, key)
            && let Some(other) = is_odd(value)
        {
            found.push(Slip { key: key.into(), what: what.into(), typed, value, other });
        }
    };
    for key in ["width", "height"] {
        ask(&format!("contents.{key}"), &format!("the stack's {key}"), &|v| match unit {
            Unit::Mm if (LEAST_INCH..NARROW_MM).contains(&v) => Some("in"),
            Unit::Inch if v > WIDE_INCH => Some("mm"),
            _ => None,
        });
    }
    ask("contents.depth", "the stack's depth", &|v| (unit == Unit::Inch && v > DEEP_INCH).then_some("mm"));
    for kind in StockKind::ALL {
        let most = kind.thicknesses().1.to_mm();
        let most_inch = if kind == StockKind::Board { THICK_INCH } else { THICK_CLOTH_INCH };
        let word = kind.word();
        ask(&format!("{word}.thickness"), &format!("the {word}'s thickness"), &|v| match unit {
            Unit::Mm => (v > most).then_some("pt"),
            // Up to so many it is millimetres, beyond that points.
            Unit::Inch if v > most_inch => Some(if v <= most { "mm" } else { "pt" }),
            Unit::Inch => None,
        });
    }
    found
}

/// A number that stands without a unit, as typed and as a number; of a list the last.
fn bare(text: &str, places: &Places, key: &str) -> Option<(String, f64)> {
    let entry = (0..).map(|i| format!("{key}.{i}")).take_while(|k| places.has(k)).last();
    let at = places.find(entry.as_deref().unwrap_or(key)).filter(|_| places.has(key))?;
    let typed = text.get(at)?.trim().trim_matches(['"', '\'']).trim().to_owned();
    if typed.contains(|c: char| c.is_alphabetic() || c == '%' || c == '"') {
        return None;
    }
    let value = parse_length(&typed, Unit::Inch).ok()?.resolve(inch(1.0), inch(1.0)).to_inch();
    Some((typed, value))
}

/// What is told of them: the stack as one, each stock for itself.
pub(super) fn told(slips: &[Slip], unit: Unit) -> Vec<Diagnostic> {
    let own = if unit == Unit::Inch { "in" } else { "mm" };
    let (stack, stocks): (Vec<&Slip>, Vec<&Slip>) = slips.iter().partition(|s| s.key.starts_with("contents."));
    let mut said = Vec::new();
    if let Some(first) = stack.first() {
        let other = first.other;
        let sides: Vec<&Slip> = stack.iter().copied().filter(|s| s.key != "contents.depth").collect();
        let shown = |s: &Slip| decimal(s.value, 3);
        let (subject, figures) = match sides[..] {
            [width, height] => ("the stack", format!("{} x {} {own}", shown(width), shown(height))),
            _ => (first.what.as_str(), format!("{} {own}", shown(first))),
        };
        let (typed, inches) = (&first.typed, if other == "in" { "inches" } else { "millimetres" });
        let message = format!("{subject} is read as {figures}: was it measured in {inches}?");
        let centimetres =
            if other == "in" { format!(", or \"{typed} cm\" where it was centimetres") } else { String::new() };
        let hint =
            format!("write units = \"{other}\"{centimetres}; where it is right, write \"{typed} {own}\" with its unit");
        let common = format!("{subject} may have been measured in {inches} in {{}}");
        let worst = format!("the first is read as {figures}");
        said.push(
            Diagnostic::warning(ANOTHER_UNIT, message)
                .at(first.key.as_str())
                .help(hint)
                .weighing_as(0.0, common, worst),
        );
    }
    for s in stocks {
        let (typed, other, shown) = (&s.typed, s.other, decimal(s.value, 3));
        let message = format!("{} is read as {shown} {own}: is it {typed} {other}?", s.what);
        // Whatever is asked about here is more than is taken, in millimetres as in inches.
        let kind = StockKind::ALL.into_iter().find(|k| s.key.starts_with(k.word()));
        let most = kind.map_or(String::new(), |k| {
            format!("; no {} is taken that is thicker than {}", k.word(), unit.show(k.thicknesses().1))
        });
        let hint = format!("write {} = \"{typed} {other}\"{most}", s.key);
        said.push(Diagnostic::warning(ANOTHER_UNIT, message).at(s.key.as_str()).help(hint));
    }
    said
}

/// Where a number may be of another unit and something is wrong: that number first, as an error, and nothing
/// that may follow from it. What is wrong with words, keys and tables stays.
pub fn without_what_follows(said: &mut Vec<Diagnostic>) {
    let is_slip = |d: &Diagnostic| d.code == ANOTHER_UNIT;
    if !said.iter().any(is_slip) {
        return;
    }
    // These ask the same.
    said.retain(|d| !["very-small", "very-large", "board-very-thick", "thicker-than-board"].contains(&d.code));
    if !any_error(said) {
        return;
    }
    said.retain(|d| is_slip(d) || (d.is_error() && hangs_on_no_length(d.code)));
    for d in said.iter_mut().filter(|d| is_slip(d)) {
        d.severity = Severity::Error;
    }
}

/// Whether a mistake of this code is one whatever the lengths are.
fn hangs_on_no_length(code: &str) -> bool {
    const CODES: [&str; 33] = [
        "bad-length",
        "closes-no-lid",
        "closing-count",
        "copies",
        "drawing-unreadable",
        "landscape-alone",
        "layout-effort",
        "leftover-count",
        "missing-key",
        "no-closings-here",
        "no-flap",
        "no-reading",
        "not-a-share",
        "not-finite",
        "not-this-shape",
        "not-toml",
        "out-of-range",
        "own-measure",
        "size-twice",
        "strap-count",
        "stretch",
        "text-too-long",
        "tier",
        "title",
        "too-large",
        "too-many-entries",
        "twice",
        "unknown-format",
        "unknown-key",
        "unknown-word",
        "weight-twice",
        "wrong-kind",
        "drawing-too-large",
    ];
    CODES.contains(&code)
}
