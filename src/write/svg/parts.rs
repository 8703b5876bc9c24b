//! What every picture of a sheet is made of: lines as SVG path data, strokes in the common styles,
//! text, numbers.

use crate::geom::{Point, Segment, Stroke};
use crate::units::decimal;
use crate::write::style::{LineStyle, Rgb};
use std::fmt::Write as _;

/// Where a sheet's point lies in the picture: sheet coordinates have y up, the picture's down.
#[derive(Clone, Copy)]
pub(super) struct Place {
    pub(super) left: f64,
    /// Of the sheet's lower edge.
    pub(super) bottom: f64,
}

impl Place {
    pub(super) fn of(self, p: Point) -> (f64, f64) {
        (self.left + p.x, self.bottom - p.y)
    }
}

/// Lines of one style in one path.
pub(super) fn path(s: &mut String, d: &str, style: &LineStyle, scale: f64) {
    if !d.is_empty() {
        let _ = writeln!(s, "<path d=\"{}\" {}/>", d.trim_end(), stroke(style, scale));
    }
}

/// The attributes of a line style; a through-cut is 1.6 wide on a sheet of a metre.
pub(super) fn stroke(style: &LineStyle, scale: f64) -> String {
    let dashes = if style.dashes.is_empty() {
        String::new()
    } else {
        let scaled: Vec<String> = style.dashes.iter().map(|d| n(d * scale)).collect();
        format!(" stroke-dasharray=\"{}\"", scaled.join(" "))
    };
    format!(
        "fill=\"{}\" stroke=\"{}\" stroke-width=\"{}\" stroke-linejoin=\"round\"{dashes}",
        style.fill.map_or("none".into(), hex),
        hex(style.color),
        n(style.weight * scale * 1.6)
    )
}

pub(super) fn hex([r, g, b]: Rgb) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

pub(super) fn path_data(line: &Stroke, place: Place) -> String {
    let segments = line.segments();
    let mut d = String::new();
    let Some(first) = segments.first() else { return d };
    let (x, y) = place.of(first.start);
    let _ = write!(d, "M{} {}", n(x), n(y));
    for s in &segments {
        d.push_str(&segment_data(s, place));
    }
    d.push_str(if line.is_closed() { "Z " } else { " " });
    d
}

fn segment_data(s: &Segment, place: Place) -> String {
    let (x, y) = place.of(s.end);
    if s.is_line() {
        return format!("L{} {}", n(x), n(y));
    }
    // With y down a counter-clockwise arc is SVG's sweep 0.
    let sweep = if s.bulge > 0.0 { 0 } else { 1 };
    let r = n(s.radius());
    format!("A{r} {r} 0 0 {sweep} {} {}", n(x), n(y))
}

/// A line of text, its middle or left end at a point of the picture.
pub(super) struct Text<'a> {
    pub(super) at: (f64, f64),
    pub(super) size: f64,
    pub(super) is_centered: bool,
    /// Read from the right-hand side.
    pub(super) is_upright: bool,
    /// What it is edged with, so that lines beneath do not disturb it.
    pub(super) halo: Option<&'a str>,
    pub(super) text: &'a str,
}

impl Text<'_> {
    pub(super) fn write(&self, s: &mut String) {
        let (x, y) = (n(self.at.0), n(self.at.1));
        let anchor = if self.is_centered { " text-anchor=\"middle\"" } else { "" };
        let turn = if self.is_upright { format!(" transform=\"rotate(-90 {x} {y})\"") } else { String::new() };
        let halo = self.halo.map_or(String::new(), |color| {
            format!(
                " paint-order=\"stroke\" stroke=\"{color}\" stroke-width=\"{}\" stroke-linejoin=\"round\"",
                n(self.size * 0.3)
            )
        });
        // The middle of capitals and figures lies 0.36 of the size above their foot.
        let _ = writeln!(
            s,
            "<text x=\"{x}\" y=\"{y}\" font-size=\"{}\" dy=\"0.36em\"{anchor}{halo}{turn}>{}</text>",
            n(self.size),
            escape(self.text)
        );
    }
}

/// About how wide a text is: an average letter takes 0.62 of the size.
pub(super) fn width(text: &str, size: f64) -> f64 {
    0.62 * size * text.chars().count() as f64
}

pub(super) fn n(v: f64) -> String {
    decimal(v, 3)
}

pub(super) fn escape(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_control())
        .map(|c| match c {
            '<' => "&lt;".to_owned(),
            '>' => "&gt;".to_owned(),
            '&' => "&amp;".to_owned(),
            '"' => "&quot;".to_owned(),
            c => c.to_string(),
        })
        .collect()
}
