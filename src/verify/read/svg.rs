//! A drawing as SVG, by general libraries: what is XML by one, what is path data by another. Read is what a
//! cutter is sure to read alike, lines in groups named after the operations, in true millimetres; all else is
//! found.

use super::dxf::{Drawn, kind};
use crate::geom::{Contour, Path, Point, Stroke, Vertex, pt};
use crate::verify::{Finding, Many};
use roxmltree::{Document, Node};
use svgtypes::{Length, LengthUnit, PathParser, PathSegment};

/// Reads a drawing. What cannot be a cutter's line is found and left out.
pub fn read(bytes: &[u8]) -> (Drawn, Vec<Finding>) {
    let mut drawn = Drawn::default();
    let mut out = Many::default();
    let bad = |why: String| vec![Finding::new("drawing-unreadable", why).help("export it again")];
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text,
        Err(e) => return (drawn, bad(format!("it is not a drawing: {e}"))),
    };
    let document = match Document::parse(text) {
        Ok(document) => document,
        Err(e) => return (drawn, bad(format!("it is not a drawing: {e}"))),
    };
    let root = document.root_element();
    let height = match page(root) {
        Ok(height) => height,
        Err(why) => return (drawn, bad(why)),
    };
    let lines = document.descendants().filter(|n| n.is_element() && n.tag_name().name() == "path").count();
    if lines > crate::limits::DRAWING_THINGS {
        let message = format!("it holds more than {} things, too many to be proved", crate::limits::DRAWING_THINGS);
        return (drawn, vec![Finding::new("drawing-too-large", message).help("divide the sheet")]);
    }
    for node in document.descendants().filter(Node::is_element) {
        if node.attribute("transform").is_some() || node.attribute("style").is_some() {
            let message = format!("{} is moved or styled, which cutters read in ways of their own", tag(node));
            out.push(Finding::new("drawing-entity", message).help("export it again"));
            continue;
        }
        match node.tag_name().name() {
            "svg" if node == root => {}
            "desc" | "title" => {}
            "g" if node.parent_element() == Some(root) => {
                let id = node.attribute("id").unwrap_or_default();
                if id != "stock" && kind(id).is_none() {
                    let message = format!("the group {id:?} is none that a cutter is told to read");
                    out.push(Finding::new("drawing-layer", message).help("move its lines or leave them out"));
                }
            }
            "path" => line(node, height, &mut drawn, &mut out),
            _ => {
                let message = format!("it holds {}, which is no line of a group", tag(node));
                out.push(Finding::new("drawing-entity", message).help("a cutter cannot follow it"));
            }
        }
    }
    (drawn, out.into_vec())
}

fn tag(node: Node<'_, '_>) -> String {
    format!("<{}>", node.tag_name().name())
}

/// The page's height, mm, where one unit is one millimetre and its origin the corner.
fn page(root: Node<'_, '_>) -> Result<f64, String> {
    if root.tag_name().name() != "svg" {
        return Err(format!("it is not a drawing: it begins with {}", tag(root)));
    }
    let millimetres = |name: &str| {
        let length: Length = root.attribute(name)?.parse().ok()?;
        match length.unit {
            LengthUnit::Mm => Some(length.number),
            LengthUnit::In => Some(crate::units::inch(length.number).to_mm()),
            _ => None,
        }
    };
    let (Some(w), Some(h)) = (millimetres("width"), millimetres("height")) else {
        return Err("its width and height are in no unit of length, so that nobody knows how large it is cut".into());
    };
    let view: Vec<f64> =
        root.attribute("viewBox").unwrap_or_default().split_whitespace().filter_map(|v| v.parse().ok()).collect();
    let near = |a: f64, b: f64| (a - b).abs() <= 1e-6;
    match view[..] {
        [x, y, vw, vh] if near(x, 0.0) && near(y, 0.0) && near(vw, w) && near(vh, h) => Ok(h),
        _ => Err("a unit of its lines is not a millimetre: its width, height and viewBox differ".into()),
    }
}

fn line(node: Node<'_, '_>, height: f64, drawn: &mut Drawn, out: &mut Many) {
    let group = node.parent_element().and_then(|g| g.attribute("id")).unwrap_or_default();
    let mut wrong = |why: &str| {
        let message = format!("a line of {group:?} {why}");
        out.push(Finding::new("drawing-entity", message).help("export it again"));
    };
    let chains = match chains(node.attribute("d").unwrap_or_default(), height) {
        Ok(chains) => chains,
        Err(why) => return wrong(why),
    };
    for stroke in chains {
        if stroke.vertices().iter().any(|v| !(v.x.abs() < 1e6 && v.y.abs() < 1e6 && v.bulge.is_finite())) {
            wrong("reaches out of the world");
            continue;
        }
        match (kind(group), stroke) {
            (Some(kind), stroke) => drawn.lines.push((kind, stroke)),
            (None, Stroke::Closed(c)) if group == "stock" => drawn.stock = Some(c),
            // The group was found already.
            _ => {}
        }
    }
}

/// The lines of path data, y up.
fn chains(d: &str, height: f64) -> Result<Vec<Stroke>, &'static str> {
    let up = |x: f64, y: f64| pt(x, height - y);
    let mut all = Vec::new();
    let mut points: Vec<Vertex> = Vec::new();
    let end = |points: &mut Vec<Vertex>, is_closed: bool, all: &mut Vec<Stroke>| {
        let points = std::mem::take(points);
        if points.len() >= 2 {
            all.push(if is_closed { Stroke::Closed(closed(points)) } else { Stroke::Open(Path::new(points)) });
        }
    };
    // SVG's own coordinates, y down.
    let (mut at, mut first) = ((0.0, 0.0), (0.0, 0.0));
    for segment in PathParser::from(d) {
        let segment = segment.map_err(|_| "is no path")?;
        let shift = |abs: bool, x: f64, y: f64| if abs { (x, y) } else { (at.0 + x, at.1 + y) };
        let (to, bulge) = match segment {
            PathSegment::MoveTo { abs, x, y } => {
                at = shift(abs, x, y);
                first = at;
                end(&mut points, false, &mut all);
                points.push(Vertex::new(up(at.0, at.1), 0.0));
                continue;
            }
            PathSegment::ClosePath { .. } => {
                end(&mut points, true, &mut all);
                at = first;
                points.push(Vertex::new(up(at.0, at.1), 0.0));
                continue;
            }
            PathSegment::LineTo { abs, x, y } => (shift(abs, x, y), 0.0),
            PathSegment::HorizontalLineTo { abs, x } => ((shift(abs, x, 0.0).0, at.1), 0.0),
            PathSegment::VerticalLineTo { abs, y } => ((at.0, shift(abs, 0.0, y).1), 0.0),
            PathSegment::EllipticalArc { abs, rx, ry, large_arc, sweep, x, y, .. } => {
                if (rx - ry).abs() > 1e-9 {
                    return Err("is part of an ellipse, which no arc of ours is");
                }
                let to = shift(abs, x, y);
                (to, bulge(pt(at.0, at.1), pt(to.0, to.1), rx, large_arc, sweep))
            }
            _ => return Err("is a curve, and ours are lines and arcs"),
        };
        if let Some(last) = points.last_mut() {
            last.bulge = bulge;
        }
        points.push(Vertex::new(up(to.0, to.1), 0.0));
        at = to;
    }
    end(&mut points, false, &mut all);
    Ok(all)
}

/// The bulge, y up, of an arc of this radius: SVG's sweep turns with the clock when seen, and an arc of a chord
/// `c` has the sagitta r -+ sqrt(r2 - c2/4).
fn bulge(from: Point, to: Point, radius: f64, is_large: bool, sweep: bool) -> f64 {
    let half = from.distance(to) / 2.0;
    if half <= 0.0 {
        return 0.0;
    }
    // Too small a radius is grown until it reaches (SVG 1.1, F.6.6).
    let r = radius.abs().max(half);
    let inside = (r * r - half * half).max(0.0).sqrt();
    let sagitta = if is_large { r + inside } else { r - inside };
    // SVG's sweep 1 runs clockwise as it is seen, which is a bulge below zero.
    if sweep { -sagitta / half } else { sagitta / half }
}

/// A chain that comes back by a last line of no length has that point once.
fn closed(mut points: Vec<Vertex>) -> Contour {
    if let [first, .., last] = points[..]
        && points.len() > 2
        && first.point().distance(last.point()) < 1e-9
    {
        points.pop();
    }
    Contour::new(points)
}
