//! Drawings as SVG, 1 unit = 1 mm. A text says how long it runs, so that it fits where it was put whatever
//! face it is shown in.

use super::{Anchor, Drawing, HALO, INK, Mark, Pen, Rgb, Text, Weight};
use crate::geom::{Point, Segment, Stroke};
use crate::units::decimal;
use std::fmt::Write as _;

/// The drawing on white, at its own size.
pub fn svg(drawing: &Drawing) -> Vec<u8> {
    let size = format!(" width=\"{}mm\" height=\"{}mm\"", n(drawing.width), n(drawing.height));
    whole(drawing, &size)
}

/// The drawing on white, as large as what it stands in.
pub fn svg_to_fit(drawing: &Drawing) -> Vec<u8> {
    whole(drawing, "")
}

fn whole(drawing: &Drawing, size: &str) -> Vec<u8> {
    let (w, h) = (n(drawing.width), n(drawing.height));
    let mut s = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\"{size} viewBox=\"0 0 {w} {h}\" \
         font-family=\"DejaVu Sans Condensed, DejaVu Sans, Verdana, sans-serif\" fill=\"{}\">\n\
         <rect width=\"{w}\" height=\"{h}\" fill=\"#ffffff\"/>\n",
        hex(INK)
    );
    drawing.items.iter().for_each(|item| write(&mut s, item, drawing.height, "data-piece"));
    s.push_str("</svg>\n");
    s.into_bytes()
}

/// The drawing at its own size with nothing beneath it, its groups with their names as ids: what vector programs
/// take for layers. A group of nothing stays, to be drawn in.
pub fn svg_in_layers(drawing: &Drawing) -> Vec<u8> {
    let (w, h) = (n(drawing.width), n(drawing.height));
    let mut s = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 0 {w} {h}\">\n"
    );
    drawing.items.iter().for_each(|item| write(&mut s, item, drawing.height, "id"));
    s.push_str("</svg>\n");
    s.into_bytes()
}

fn write(s: &mut String, item: &Mark, height: f64, named_by: &str) {
    match item {
        Mark::Lines { strokes, fill, pen } => {
            let d: Vec<String> = strokes.iter().map(|stroke| path(stroke, height)).filter(|d| !d.is_empty()).collect();
            if d.is_empty() {
                return;
            }
            let filled = fill.map_or("none".into(), hex);
            let rule = if fill.is_some() && d.len() > 1 { " fill-rule=\"evenodd\"" } else { "" };
            let pen = pen.as_ref().map_or(String::new(), outline);
            let _ = writeln!(s, "<path d=\"{}\" fill=\"{filled}\"{rule}{pen}/>", d.join(" "));
        }
        Mark::Text(t) => text(s, t, height),
        Mark::Group { name, items } => {
            let _ = writeln!(s, "<g {named_by}=\"{}\">", escaped(name));
            items.iter().for_each(|item| write(s, item, height, named_by));
            s.push_str("</g>\n");
        }
    }
}

fn outline(pen: &Pen) -> String {
    let dashes: Vec<String> = pen.dashes.iter().map(|d| n(d * pen.unit)).collect();
    let dashes = if dashes.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{}\"", dashes.join(" ")) };
    let cap = if pen.is_dotted() { " stroke-linecap=\"round\"" } else { "" };
    let (color, width) = (hex(pen.color), n(pen.width));
    format!(" stroke=\"{color}\" stroke-width=\"{width}\" stroke-linejoin=\"round\"{cap}{dashes}")
}

fn text(s: &mut String, t: &Text, height: f64) {
    let (x, y) = (n(t.at.x), n(height - t.at.y));
    let anchor = match t.anchor {
        Anchor::Left => "",
        Anchor::Middle => " text-anchor=\"middle\"",
        Anchor::Right => " text-anchor=\"end\"",
    };
    let weight = if t.weight == Weight::Bold { " font-weight=\"bold\"" } else { "" };
    let fill = if t.color == INK { String::new() } else { format!(" fill=\"{}\"", hex(t.color)) };
    let turn = if t.is_upright { format!(" transform=\"rotate(-90 {x} {y})\"") } else { String::new() };
    let halo = t.halo.map_or(String::new(), |color| {
        let width = n(t.size * HALO);
        format!(" paint-order=\"stroke\" stroke=\"{}\" stroke-width=\"{width}\" stroke-linejoin=\"round\"", hex(color))
    });
    let _ = writeln!(
        s,
        "<text x=\"{x}\" y=\"{y}\" font-size=\"{}\" textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\"\
         {anchor}{weight}{fill}{halo}{turn}>{}</text>",
        n(t.size),
        n(t.width),
        escaped(&t.text)
    );
}

fn path(line: &Stroke, height: f64) -> String {
    let segments = line.segments();
    let mut d = String::new();
    let Some(first) = segments.first() else { return d };
    let _ = write!(d, "M{}", at(first.start, height));
    segments.iter().for_each(|s| follow(&mut d, s, height));
    if line.is_closed() {
        d.push('Z');
    }
    d
}

fn follow(d: &mut String, s: &Segment, height: f64) {
    let to = at(s.end, height);
    if s.is_line() {
        let _ = write!(d, "L{to}");
        return;
    }
    // With y down a counter-clockwise arc is SVG's sweep 0.
    let (sweep, large) = (u8::from(s.bulge <= 0.0), u8::from(s.bulge.abs() > 1.0));
    let r = n(s.radius());
    let _ = write!(d, "A{r} {r} 0 {large} {sweep} {to}");
}

fn at(p: Point, height: f64) -> String {
    format!("{} {}", n(p.x), n(height - p.y))
}

fn hex([r, g, b]: Rgb) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

fn n(v: f64) -> String {
    decimal(v, 3)
}

fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in text.chars().filter(|c| !c.is_control()) {
        match c {
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '&' => safe.push_str("&amp;"),
            '"' => safe.push_str("&quot;"),
            c => safe.push(c),
        }
    }
    safe
}
