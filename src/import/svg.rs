//! The lines of an SVG drawing (W3C, Scalable Vector Graphics 1.1), in millimetres, y up.
//!
//! Groups, transforms, styles, `use` and shapes are resolved by the reader; what it gives are paths of lines and curves
//! in CSS pixels, of which 96 make an inch (W3C, CSS Values and Units). Curves are followed by fine chords, and these by
//! few lines and arcs.

use super::strands::Strand;
use super::{MOST_SEGMENTS, NAMED, simplify};
use crate::diag::Diagnostic;
use crate::geom::{Point, Vertex, pt};
use crate::limits::quoted;
use crate::units::inch;
use lyon_algorithms::geom::{CubicBezierSegment, QuadraticBezierSegment, point};
use std::collections::BTreeMap;
use usvg::roxmltree::{self, Document, ParsingOptions};
use usvg::tiny_skia_path::PathSegment;
use usvg::{Group, ImageHrefResolver, Node, Options, Tree};

/// Pixels to the inch (CSS).
const DPI: f32 = 96.0;
/// A drawing of more elements is none of a lid.
const MOST_ELEMENTS: u32 = 200_000;
/// Chords stray from a curve by so much, mm: a tenth of what the arcs through them may.
const FINE: f64 = 0.002;
/// Coordinates are rounded to this, mm: the reader's numbers are good to seven digits.
const STEP: f64 = 1e-4;
/// Units of length in which a drawing's own size says how large it truly is.
const TRUE_UNITS: [&str; 6] = ["mm", "cm", "in", "pt", "pc", "q"];

/// Whether a file is an SVG drawing: XML, and no DXF.
pub(super) fn is_svg(bytes: &[u8]) -> bool {
    let head = &bytes[..bytes.len().min(4096)];
    let text = String::from_utf8_lossy(head);
    text.trim_start_matches(['\u{feff}', ' ', '\t', '\r', '\n']).starts_with('<')
}

/// Every line of the element of this id (or of all), with what cannot be read.
pub(super) fn strands(bytes: &[u8], layer: Option<&str>) -> (Vec<Strand>, Vec<Diagnostic>) {
    let unreadable = |why: String| {
        let d = Diagnostic::error("drawing-unreadable", format!("the drawing is not an SVG that can be read: {why}"));
        (Vec::new(), vec![d.help("save it again as plain SVG")])
    };
    let Ok(text) = std::str::from_utf8(bytes) else { return unreadable("it is not in UTF-8".into()) };
    let options = ParsingOptions { allow_dtd: true, nodes_limit: MOST_ELEMENTS, ..ParsingOptions::default() };
    let document = match Document::parse_with_options(text, options) {
        Ok(document) => document,
        Err(why) => return unreadable(quoted(&why.to_string())),
    };
    let options = Options {
        dpi: DPI,
        // Nothing is read but the drawing itself.
        resources_dir: None,
        image_href_resolver: ImageHrefResolver {
            resolve_data: Box::new(|_, _, _| None),
            resolve_string: Box::new(|_, _| None),
        },
        ..Options::default()
    };
    // The reader counts with numbers as they stand in the file.
    let read = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| Tree::from_xmltree(&document, &options)));
    let tree = match read {
        Ok(Ok(tree)) => tree,
        Ok(Err(why)) => return unreadable(quoted(&why.to_string())),
        Err(_) => return unreadable("a number in it is beyond what its place may hold".into()),
    };
    let mut said = Vec::new();
    said.extend(without_unit(&document));
    said.extend(left_aside(&document));
    let mut walk = Walk { layer, found: Vec::new(), said: Vec::new(), paths: 0, segments: 0, names: Vec::new() };
    walk.group(tree.root(), layer.is_none());
    said.append(&mut walk.said);
    if walk.found.is_empty() && !crate::diag::any_error(&said) {
        said.push(match layer {
            Some(layer) => {
                let names: Vec<String> = walk.names.iter().take(NAMED).map(|name| quoted(name)).collect();
                let has = if names.is_empty() { "none".to_owned() } else { names.join(", ") };
                Diagnostic::error("drawing-layer", format!("nothing is drawn in an element of the id `{layer}`"))
                    .help(format!("ids with something in them: {has}"))
            }
            None => Diagnostic::error("drawing-empty", "nothing is drawn in the drawing")
                .help("is it the right file? Only what has a stroke or a fill is seen"),
        });
    }
    (walk.found, said)
}

/// Said where the drawing does not say how large it is in truth.
fn without_unit(document: &Document<'_>) -> Option<Diagnostic> {
    let width = document.root_element().attribute("width").unwrap_or_default().trim().to_ascii_lowercase();
    let is_true = TRUE_UNITS.iter().any(|unit| width.ends_with(unit));
    (!is_true).then(|| {
        let message = "the drawing's size has no unit of length; its numbers are taken at 96 to the inch";
        Diagnostic::hint("drawing-unit", message)
            .help("set the page's unit to mm in the drawing to be sure; other programs take 72 or 90")
    })
}

/// What is there besides lines.
fn left_aside(document: &Document<'_>) -> Option<Diagnostic> {
    let mut found: BTreeMap<&str, usize> = BTreeMap::new();
    for name in document.descendants().filter(roxmltree::Node::is_element).map(|n| n.tag_name().name()) {
        let word = match name {
            "text" => "text",
            "image" => "image",
            "foreignObject" => "foreign object",
            _ => continue,
        };
        *found.entry(word).or_default() += 1;
    }
    (!found.is_empty()).then(|| {
        let list: Vec<String> = found.iter().map(|(kind, n)| format!("{n} {kind}")).collect();
        let message = format!("not part of the outline, left aside: {}", list.join(", "));
        Diagnostic::hint("drawing-left-aside", message)
            .help("only lines and curves make an outline; turn letters into paths to have them cut")
    })
}

/// The walk through the drawing.
struct Walk<'a> {
    layer: Option<&'a str>,
    found: Vec<Strand>,
    said: Vec<Diagnostic>,
    paths: usize,
    segments: usize,
    /// The ids that are met.
    names: Vec<String>,
}

impl Walk<'_> {
    /// A group, `inside` where it is, or is in, what was asked for.
    fn group(&mut self, group: &Group, inside: bool) {
        for node in group.children() {
            if self.segments > MOST_SEGMENTS {
                return;
            }
            let id = node.id();
            if !id.is_empty() && !self.names.iter().any(|n| n == id) {
                self.names.push(id.to_owned());
            }
            let inside = inside || self.layer.is_some_and(|l| l.eq_ignore_ascii_case(id));
            match node {
                Node::Group(group) => self.group(group, inside),
                Node::Path(path) if inside && path.is_visible() => self.path(path),
                Node::Path(_) | Node::Image(_) | Node::Text(_) => {}
            }
        }
    }

    fn path(&mut self, path: &usvg::Path) {
        self.paths += 1;
        let name = match path.id() {
            "" => format!("path {}", self.paths),
            id => format!("path {} ({})", self.paths, quoted(id)),
        };
        let to = path.abs_transform();
        let scale = inch(1.0).to_mm() / f64::from(DPI);
        let put = |x: f32, y: f32| {
            let (x, y) = (f64::from(x), f64::from(y));
            let moved = pt(
                f64::from(to.sx) * x + f64::from(to.kx) * y + f64::from(to.tx),
                f64::from(to.ky) * x + f64::from(to.sy) * y + f64::from(to.ty),
            );
            let round = |v: f64| (v * scale / STEP).round() * STEP;
            pt(round(moved.x), -round(moved.y))
        };
        let mut points: Vec<Vertex> = Vec::new();
        for segment in path.data().segments() {
            let at = points.last().map(|v| v.point()).unwrap_or_default();
            match segment {
                PathSegment::MoveTo(p) => {
                    self.strand(std::mem::take(&mut points), path.fill().is_some(), &name);
                    points.push(Vertex::new(put(p.x, p.y), 0.0));
                }
                PathSegment::LineTo(p) => points.push(Vertex::new(put(p.x, p.y), 0.0)),
                PathSegment::QuadTo(c, p) => {
                    let (c, p) = (put(c.x, c.y), put(p.x, p.y));
                    let curve = QuadraticBezierSegment { from: lyon(at), ctrl: lyon(c), to: lyon(p) };
                    follow(&mut points, at, p, |add| curve.for_each_flattened(FINE, &mut |l| add(l.to)));
                }
                PathSegment::CubicTo(c, d, p) => {
                    let (c, d, p) = (put(c.x, c.y), put(d.x, d.y), put(p.x, p.y));
                    let curve = CubicBezierSegment { from: lyon(at), ctrl1: lyon(c), ctrl2: lyon(d), to: lyon(p) };
                    follow(&mut points, at, p, |add| curve.for_each_flattened(FINE, &mut |l| add(l.to)));
                }
                PathSegment::Close => {
                    if let Some(first) = points.first().copied() {
                        points.push(Vertex::new(first.point(), 0.0));
                    }
                    self.strand(std::mem::take(&mut points), true, &name);
                }
            }
            if self.too_fine(points.len()) {
                return;
            }
        }
        self.strand(points, path.fill().is_some(), &name);
    }

    fn too_fine(&mut self, more: usize) -> bool {
        let is_too_fine = self.segments + more > MOST_SEGMENTS;
        if is_too_fine {
            self.segments = MOST_SEGMENTS + 1;
            let message = format!("the drawing has more than {MOST_SEGMENTS} lines, and chords of curves");
            self.said
                .push(Diagnostic::error("drawing-too-fine", message).help("name the id of the outline as its layer"));
            self.found.clear();
        }
        is_too_fine
    }

    /// What was drawn in one go; what is filled is closed.
    fn strand(&mut self, mut vertices: Vec<Vertex>, is_closed: bool, name: &str) {
        if let (true, Some(first)) = (is_closed, vertices.first().copied()) {
            vertices.push(Vertex::new(first.point(), 0.0));
        }
        // Of two at one place the later one knows how it goes on.
        vertices.dedup_by(|later, earlier| {
            let is_same = later.point().distance(earlier.point()) < STEP;
            if is_same {
                earlier.bulge = later.bulge;
            }
            is_same
        });
        if vertices.len() < 2 {
            return;
        }
        if vertices.iter().any(|v| ![v.x, v.y, v.bulge].iter().all(|n| n.is_finite() && n.abs() < 1e5)) {
            let d = Diagnostic::error("drawing-far", format!("the {name} reaches beyond 100 m"));
            self.said.push(d.help("is the drawing's unit right?"));
            return;
        }
        self.segments += vertices.len() - 1;
        self.found.push(Strand { vertices, name: name.to_owned() });
    }
}

/// Goes on along a curve from where it begins to its end, which is exact.
fn follow(
    vertices: &mut Vec<Vertex>,
    start: Point,
    end: Point,
    curve: impl FnOnce(&mut dyn FnMut(lyon_algorithms::geom::Point<f64>)),
) {
    let mut points = vec![start];
    curve(&mut |p| {
        if points.len() < MOST_SEGMENTS {
            points.push(pt(p.x, p.y));
        }
    });
    match points.last_mut() {
        Some(last) if last.distance(end) < 2.0 * FINE && *last != start => *last = end,
        _ => points.push(end),
    }
    let mut arcs = simplify::followed(&points).into_iter();
    if let (Some(last), Some(first)) = (vertices.last_mut(), arcs.next()) {
        last.bulge = first.bulge;
    }
    vertices.extend(arcs);
}

fn lyon(p: Point) -> lyon_algorithms::geom::Point<f64> {
    point(p.x, p.y)
}
