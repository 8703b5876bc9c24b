//! A sheet as SVG for cutters: true millimetres, one group a layer, strokes only, nothing else.
//!
//! Source of the format: W3C, "Scalable Vector Graphics (SVG) 1.1", chapters 7.10 (units), 8.3 (path data).

use crate::geom::{Point, Segment, Stroke};
use crate::profile::OperationKind;
use crate::units::Length;
use crate::write::style::{QUIET, Rgb, style};
use std::fmt::Write as _;

/// How thin the lines are shown, mm: a cutter follows their middle, and some engrave what is thick.
const THIN: f64 = 0.1;
/// The group of the sheet's own edge. No operation is called so.
const EDGE: &str = "stock";

/// The bytes of an SVG of a sheet of `width` x `height` with these lines on it, in the order of the operations:
/// a group for each operation, with its word as id and its colour. Nominal lines or lines moved for a tool;
/// its origin is the upper left corner, y down, as SVG has it. Coordinates have ten decimals of a millimetre, as in the DXF.
/// The sheet's edge is a group of its own, where it is wanted.
pub fn cutting<'a>(
    (width, height): (Length, Length),
    lines: impl IntoIterator<Item = (OperationKind, &'a Stroke)>,
    has_edge: bool,
    kerf: Option<Length>,
) -> Vec<u8> {
    let (w, h) = (width.to_mm(), height.to_mm());
    let (wide, high) = (figure(w), figure(h));
    let mut out = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" \
         width=\"{wide}mm\" height=\"{high}mm\" viewBox=\"0 0 {wide} {high}\">\n"
    );
    let kerf = kerf.filter(|k| *k > Length::ZERO);
    let moved =
        kerf.map_or("not moved for any kerf".into(), |k| format!("moved for a kerf of {} mm", figure(k.to_mm())));
    let _ = writeln!(out, "<desc>Millimetres, 1 unit = 1 mm. Lines {moved}.</desc>");
    let lines: Vec<_> = lines.into_iter().collect();
    if has_edge {
        begin(&mut out, EDGE, QUIET);
        let _ = writeln!(out, "<path d=\"M0 0L{wide} 0L{wide} {high}L0 {high}Z\"/>\n</g>");
    }
    for kind in OperationKind::ALL {
        let mut of_kind = lines.iter().filter(|(k, _)| *k == kind).filter_map(|(_, s)| path(s, h)).peekable();
        if of_kind.peek().is_some() {
            begin(&mut out, kind.word(), style(kind).color);
            for d in of_kind {
                let _ = writeln!(out, "<path d=\"{d}\"/>");
            }
            out.push_str("</g>\n");
        }
    }
    out.push_str("</svg>\n");
    out.into_bytes()
}

fn begin(out: &mut String, id: &str, [r, g, b]: Rgb) {
    let _ = writeln!(out, "<g id=\"{id}\" fill=\"none\" stroke=\"#{r:02x}{g:02x}{b:02x}\" stroke-width=\"{THIN}\">");
}

/// A line as path data; `None` where it has no length.
fn path(stroke: &Stroke, height: f64) -> Option<String> {
    let at = |p: Point| format!("{} {}", figure(p.x), figure(height - p.y));
    let segments = stroke.segments();
    let first = segments.first()?;
    let mut d = format!("M{}", at(first.start));
    let last = segments.len() - 1;
    for (i, s) in segments.iter().enumerate() {
        let is_back = i == last && stroke.is_closed();
        if s.bulge != 0.0 {
            let _ = write!(d, "A{}", arc(s));
            let _ = write!(d, " {}", at(s.end));
        } else if !is_back {
            let _ = write!(d, "L{}", at(s.end));
        }
    }
    if stroke.is_closed() {
        d.push('Z');
    }
    Some(d)
}

/// The radii and flags of an arc. With y down what ran counter-clockwise runs clockwise, SVG's sweep 0 there.
fn arc(s: &Segment) -> String {
    let b = s.bulge;
    let radius = s.start.distance(s.end) * (1.0 + b * b) / (4.0 * b.abs());
    format!("{r} {r} 0 {} {}", u8::from(b.abs() > 1.0), u8::from(b < 0.0), r = figure(radius))
}

/// Ten decimals at the most, no more than it needs: with fewer a half circle would leave its line.
fn figure(v: f64) -> String {
    crate::units::decimal(v, 10)
}
