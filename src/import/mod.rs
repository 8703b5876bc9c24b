//! An outline that the maker drew: read from a DXF or SVG drawing, chained, checked, and turned into one
//! closed contour in millimetres. Nothing is ever scaled to fit.
//!
//! Lines, arcs, circles and polylines keep their true arcs; splines and ellipses are followed by
//! chords within [`CHORD`]. The drawing's own unit is obeyed (`$INSUNITS`: mm, cm, m or inches).

mod chain;
mod curve;
mod simplify;
mod strands;
#[cfg(feature = "svg")]
mod svg;

use crate::diag::Diagnostic;
use crate::geom::{Contour, Point, Segment, Vertex, pt};
use crate::limits::quoted;
use crate::units::Unit;
use dxf::Drawing;
use dxf::enums::Units;

/// Splines and ellipses are followed by chords that stray from them by at most this, mm: a tenth
/// of a hand knife's cut. The count of chords grows with its inverse square root.
pub const CHORD: f64 = 0.02;
/// Ends closer than this are joined, mm: no cutter shows it, and drawings round to less.
pub const JOIN: f64 = 0.05;
/// An edge is level when its ends differ by less than this in y, mm.
const LEVEL: f64 = 0.05;
/// A drawing that asks for more than this many lines, arcs and chords is no outline of a lid.
const MOST_SEGMENTS: usize = 20_000;

/// So many outlines, entities or layers are named in a message.
const NAMED: usize = 12;

/// A lid's outline as drawn: counter-clockwise, in mm, its hinge edge from vertex 0 at (-w/2, 0)
/// to vertex 1 at (w/2, 0), everything else above.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// The outline.
    pub contour: Contour,
}

impl Outline {
    /// The length of the hinge edge, mm.
    pub fn hinge(&self) -> f64 {
        self.contour.vertices().get(1).map_or(0.0, |v| 2.0 * v.x)
    }
}

/// The one outline in a drawing, on `layer` or on all of them; `unit` counts where the drawing
/// names none. What is wrong is told with the place in the drawing's own coordinates and the
/// entity; the diagnostics are not placed in the job, the caller knows where the drawing is named.
pub fn outline(bytes: &[u8], layer: Option<&str>, unit: Unit) -> (Option<Outline>, Vec<Diagnostic>) {
    let (outline, mut said) = drawn(bytes, layer, unit);
    crate::diag::shorten(&mut said);
    (outline, said)
}

fn drawn(bytes: &[u8], layer: Option<&str>, unit: Unit) -> (Option<Outline>, Vec<Diagnostic>) {
    if let Some(found) = from_svg(bytes, layer) {
        return found;
    }
    let mut said = Vec::new();
    if crate::limits::has_too_many_things(bytes) {
        let most = crate::limits::DRAWING_THINGS;
        let d = Diagnostic::error("drawing-too-large", format!("the drawing holds more than {most} things"));
        return (None, vec![d.help("save the lid alone in a drawing of its own")]);
    }
    let drawing = match load(bytes) {
        Ok(drawing) => drawing,
        Err(why) => {
            let d = Diagnostic::error(
                "drawing-unreadable",
                format!("the drawing is neither a DXF nor an SVG that can be read: {why}"),
            );
            return (None, vec![d.help("save it again as DXF, R2000 or R12")]);
        }
    };
    let scale = match drawing.header.default_drawing_units {
        Units::Millimeters => 1.0,
        Units::Centimeters => 10.0,
        Units::Meters => 1000.0,
        Units::Inches => Unit::Inch.length(1.0).to_mm(),
        Units::Unitless => {
            let word = if unit == Unit::Inch { "inches" } else { "millimetres" };
            let message = format!("the drawing names no unit; its numbers are taken as the job's, {word}");
            said.push(Diagnostic::hint("drawing-unit", message).help("set $INSUNITS in the drawing to be sure"));
            unit.length(1.0).to_mm()
        }
        other => {
            let message = format!("the drawing is in {other:?}, which no lid is drawn in");
            let d = Diagnostic::error("drawing-unit", message).help("draw it in millimetres, centimetres or inches");
            return (None, vec![d]);
        }
    };
    let place = |p: Point| format!("x {}, y {}", say(p.x / scale), say(p.y / scale));
    let (strands, faults) = strands::strands(&drawing, layer, scale, &place);
    let has_fault = crate::diag::any_error(&faults);
    said.extend(faults);
    if has_fault {
        return (None, said);
    }
    joined(strands, said, &place)
}

/// The outline of an SVG drawing; `None` for what is none.
#[cfg(feature = "svg")]
fn from_svg(bytes: &[u8], layer: Option<&str>) -> Option<(Option<Outline>, Vec<Diagnostic>)> {
    if !svg::is_svg(bytes) {
        return None;
    }
    let (strands, said) = svg::strands(bytes, layer);
    if crate::diag::any_error(&said) {
        return Some((None, said));
    }
    // As an SVG counts, from its upper edge.
    let place = |p: Point| format!("x {} mm, {} mm from the top", say(p.x), say(-p.y));
    Some(joined(strands, said, &place))
}

/// A program built without the feature `svg` says so.
#[cfg(not(feature = "svg"))]
fn from_svg(bytes: &[u8], _: Option<&str>) -> Option<(Option<Outline>, Vec<Diagnostic>)> {
    let head = String::from_utf8_lossy(&bytes[..bytes.len().min(64)]).into_owned();
    head.trim_start().starts_with('<').then(|| {
        let message = "the drawing is an SVG, and this program was built without reading them (its feature `svg`)";
        (None, vec![Diagnostic::error("drawing-unreadable", message).help("save the drawing as DXF")])
    })
}

/// The one closed outline that the strands of a drawing make.
fn joined(
    strands: Vec<strands::Strand>,
    mut said: Vec<Diagnostic>,
    place: &dyn Fn(Point) -> String,
) -> (Option<Outline>, Vec<Diagnostic>) {
    let (loops, faults) = chain::closed(strands, place);
    said.extend(faults);
    if crate::diag::any_error(&said) {
        return (None, said);
    }
    match loops.as_slice() {
        [one] => match hinged(one) {
            Ok(contour) => {
                let simpler = simplify::simplified(&contour);
                said.extend(simpler.as_ref().map(|s| told_simpler(&contour, s)));
                (Some(Outline { contour: simpler.unwrap_or(contour) }), said)
            }
            Err(d) => {
                said.push(d);
                (None, said)
            }
        },
        several => {
            let at: Vec<String> = several.iter().take(NAMED).map(|c| place(c.bounds().min)).collect();
            let more = if several.len() > NAMED { " and others" } else { "" };
            let message =
                format!("the drawing holds {} closed outlines, from {}{more}", several.len(), at.join(" and from "));
            let d = Diagnostic::error("drawing-outlines", message);
            said.push(d.help("a lid is one outline: name its layer, or take the others out"));
            (None, said)
        }
    }
}

fn told_simpler(drawn: &Contour, made: &Contour) -> Diagnostic {
    let (many, few) = (drawn.vertices().len(), made.vertices().len());
    let stray = crate::units::mm(simplify::STRAY);
    Diagnostic::hint(
        "drawing-simplified",
        format!("{many} short lines of the outline are cut as {few} lines and arcs, nowhere more than {stray} off"),
    )
    .help("nothing is to be done; a blade runs smoother along few arcs than along many chords")
}

/// A drawing, or why it cannot be read. The library that reads it counts with numbers as they stand
/// in the file and gives up, in a build with checks, where one overflows (a layer of colour -32768).
pub fn load(bytes: &[u8]) -> Result<Drawing, String> {
    match std::panic::catch_unwind(|| Drawing::load(&mut &bytes[..])) {
        Ok(read) => read.map_err(|e| quoted(&e.to_string())),
        Err(_) => Err("a number in it is beyond what its place may hold".into()),
    }
}

/// A coordinate, without the noise beyond a thousandth.
fn say(v: f64) -> String {
    crate::units::decimal(v, 3)
}

/// The contour moved so that its lowest straight edge, which must be level, is the hinge edge.
fn hinged(contour: &Contour) -> Result<Contour, Diagnostic> {
    let contour = contour.clone().ccw().without_straight_vertices();
    let lowest = contour.bounds().min.y;
    let is_low = |s: &Segment| {
        s.is_line() && (s.start.y - lowest).abs() < LEVEL && (s.end.y - lowest).abs() < LEVEL && s.chord() > LEVEL
    };
    let hinges: Vec<(usize, Segment)> = contour.segments().enumerate().filter(|(_, s)| is_low(s)).collect();
    let help = "draw the lid with its hinge edge at the bottom, straight and level, the free edge up";
    match hinges.as_slice() {
        [(i, s)] => {
            let middle = pt((s.start.x + s.end.x) / 2.0, lowest);
            let half = s.chord() / 2.0;
            let moved = contour.started_at(*i);
            let vertices = moved.vertices().iter().enumerate().map(|(k, v)| match k {
                0 => Vertex::new(pt(-half, 0.0), 0.0),
                1 => Vertex::new(pt(half, 0.0), v.bulge),
                _ => Vertex::new(v.point() - middle, v.bulge),
            });
            Ok(Contour::new(vertices))
        }
        [] => {
            Err(Diagnostic::error("drawing-hinge", "the outline has no straight, level edge at its bottom").help(help))
        }
        several => {
            let message = format!("the outline's bottom is broken into {} level edges", several.len());
            Err(Diagnostic::error("drawing-hinge", message).help(help))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_hinge_edge_is_the_lowest_and_comes_to_lie_on_the_axis() {
        let drawn = Contour::polygon([pt(30.0, 45.0), pt(20.0, 45.0), pt(10.0, 5.0), pt(50.0, 5.0)]);
        for c in [drawn.clone(), drawn.reversed(), drawn.started_at(2)] {
            let lid = hinged(&c).expect("has a level edge");
            assert_eq!(lid.vertices()[0].point(), pt(-20.0, 0.0));
            assert_eq!(lid.vertices()[1].point(), pt(20.0, 0.0));
            assert!((lid.bounds().max.y - 40.0).abs() < 1e-12 && lid.is_ccw());
        }
        assert!(hinged(&Contour::circle(pt(0.0, 0.0), 20.0)).is_err());
    }
}
