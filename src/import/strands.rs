//! The lines of a drawing, entity by entity, in millimetres.

use super::{MOST_SEGMENTS, NAMED, curve};
use crate::diag::Diagnostic;
use crate::geom::{Contour, Point, Segment, Vertex, pt};
use crate::limits::quoted;
use dxf::entities::{Entity, EntityType};
use dxf::{Drawing, Vector};
use std::collections::BTreeMap;
use std::f64::consts::TAU;

/// One entity's line.
#[derive(Clone, Debug)]
pub(super) struct Strand {
    /// In order; the last one's bulge is unused. A closed one ends where it starts.
    pub(super) vertices: Vec<Vertex>,
    /// The entity, as its owner can find it.
    pub(super) name: String,
}

impl Strand {
    pub(super) fn start(&self) -> Point {
        self.vertices[0].point()
    }

    pub(super) fn end(&self) -> Point {
        self.vertices[self.vertices.len() - 1].point()
    }

    pub(super) fn reversed(&self) -> Self {
        let path = crate::geom::Path::new(self.vertices.iter().copied()).reversed();
        Self { vertices: path.vertices().to_vec(), name: self.name.clone() }
    }

    pub(super) fn length(&self) -> f64 {
        crate::geom::Path::new(self.vertices.iter().copied()).length()
    }
}

/// Every line on `layer` (or on all), with what cannot be read.
pub(super) fn strands(
    drawing: &Drawing,
    layer: Option<&str>,
    scale: f64,
    place: &dyn Fn(Point) -> String,
) -> (Vec<Strand>, Vec<Diagnostic>) {
    let mut found = Vec::new();
    let mut said = Vec::new();
    let mut segments = 0;
    let mut left_aside: BTreeMap<&'static str, usize> = BTreeMap::new();
    let mut layers: BTreeMap<String, usize> = BTreeMap::new();
    for (i, e) in drawing.entities().filter(|e| !e.common.is_in_paper_space).enumerate() {
        *layers.entry(e.common.layer.clone()).or_default() += 1;
        if layer.is_some_and(|l| !l.eq_ignore_ascii_case(&e.common.layer)) {
            continue;
        }
        let kind = word(&e.specific);
        let name = match e.common.handle.0 {
            0 => format!("{kind}, entity {}", i + 1),
            handle => format!("{kind}, entity {} (handle {handle:X})", i + 1),
        };
        match line(e, scale) {
            Ok(vertices) => {
                let vertices = within_half_turns(vertices);
                if vertices.iter().any(|v| ![v.x, v.y, v.bulge].iter().all(|n| n.is_finite() && n.abs() < 1e5)) {
                    let d = Diagnostic::error("drawing-far", format!("the {name} reaches beyond 100 m"));
                    said.push(d.help("is the drawing's unit right?"));
                } else if vertices.len() > 1 {
                    segments += vertices.len() - 1;
                    found.push(Strand { vertices, name });
                }
                // A few lines of text can ask for any number of curves of a hundred thousand chords.
                if segments > MOST_SEGMENTS {
                    let message =
                        format!("the drawing has more than {MOST_SEGMENTS} lines and arcs, and chords of curves");
                    said.push(Diagnostic::error("drawing-too-fine", message).help("name the layer of the outline"));
                    return (Vec::new(), said);
                }
            }
            Err(Unread::NoLine) => *left_aside.entry(kind).or_default() += 1,
            Err(Unread::Cannot(why, at)) => {
                let at = at.map_or(String::new(), |p| format!(" at {}", place(p)));
                said.push(
                    Diagnostic::error("drawing-entity", format!("the {name}{at} cannot be read: {why}")).help(
                        "draw the outline with lines, arcs, circles, polylines, ellipses or splines, in the plane",
                    ),
                );
            }
        }
    }
    if !left_aside.is_empty() {
        let list: Vec<String> = left_aside.iter().map(|(kind, n)| format!("{n} {kind}")).collect();
        let message = format!("not part of the outline, left aside: {}", list.join(", "));
        said.push(Diagnostic::hint("drawing-left-aside", message).help("only lines and curves make an outline"));
    }
    if found.is_empty() && !crate::diag::any_error(&said) {
        let d = match layer {
            Some(layer) => {
                let names: Vec<String> = layers.keys().take(NAMED).map(|name| quoted(name)).collect();
                let has = if names.is_empty() { "none".to_owned() } else { names.join(", ") };
                Diagnostic::error("drawing-layer", format!("nothing is drawn on a layer `{layer}`"))
                    .help(format!("layers with something on them: {has}"))
            }
            None => Diagnostic::error("drawing-empty", "nothing is drawn in the drawing")
                .help("is it the right file? Lines inside blocks are not read: explode them"),
        };
        said.push(d);
    }
    (found, said)
}

/// Why an entity gives no line.
enum Unread {
    /// It is none: text, a point, a dimension.
    NoLine,
    /// It is one that cannot be followed.
    Cannot(&'static str, Option<Point>),
}

fn line(e: &Entity, scale: f64) -> Result<Vec<Vertex>, Unread> {
    let at = |p: &dxf::Point| pt(p.x, p.y) * scale;
    match &e.specific {
        EntityType::Line(l) => Ok(vec![Vertex::new(at(&l.p1), 0.0), Vertex::new(at(&l.p2), 0.0)]),
        EntityType::Circle(c) => {
            let mirrored = plane(&c.normal, Some(at(&c.center)))?;
            Ok(turned(Contour::circle(at(&c.center), c.radius * scale).to_path().vertices().to_vec(), mirrored))
        }
        EntityType::Arc(a) => {
            let mirrored = plane(&a.normal, Some(at(&a.center)))?;
            let (from, to) = (a.start_angle.to_radians(), a.end_angle.to_radians());
            let sweep = match (to - from).rem_euclid(TAU) {
                s if s < 1e-9 => TAU,
                s => s,
            };
            let point = |angle: f64| at(&a.center) + Point::unit(angle) * (a.radius * scale);
            // Two halves: neither sweeps more than a half circle.
            let bulge = (sweep / 8.0).tan();
            let half = |k: f64, bulge| Vertex::new(point(from + sweep * k), bulge);
            Ok(turned(vec![half(0.0, bulge), half(0.5, bulge), half(1.0, 0.0)], mirrored))
        }
        EntityType::LwPolyline(p) => {
            let first = p.vertices.first().map(|v| pt(v.x, v.y) * scale);
            let mirrored = plane(&p.extrusion_direction, first)?;
            let vertices = p.vertices.iter().map(|v| Vertex::new(pt(v.x, v.y) * scale, v.bulge)).collect();
            Ok(turned(ended(vertices, p.is_closed()), mirrored))
        }
        EntityType::Polyline(p) => {
            let first = p.vertices().next().map(|v| at(&v.location));
            // Bits of the flags: 16 and 64 are meshes. Of a vertex: 16 is a spline's frame.
            if p.flags & (16 | 64) != 0 {
                return Err(Unread::Cannot("it is a mesh", first));
            }
            let mirrored = plane(&p.normal, first)?;
            let on_it = p.vertices().filter(|v| v.flags & 16 == 0);
            let vertices = on_it.map(|v| Vertex::new(at(&v.location), v.bulge)).collect();
            Ok(turned(ended(vertices, p.is_closed()), mirrored))
        }
        EntityType::Ellipse(l) => {
            // Everything of an ellipse is in the drawing's own coordinates.
            let mirrored = plane(&l.normal, Some(at(&l.center)))?;
            let major = pt(l.major_axis.x, l.major_axis.y) * scale;
            let minor = major.left() * l.minor_axis_ratio * if mirrored { -1.0 } else { 1.0 };
            if major.length() < 1e-9 || minor.length() < 1e-9 {
                return Err(Unread::Cannot("it has no width", Some(at(&l.center))));
            }
            Ok(chords(curve::ellipse(at(&l.center), major, minor, l.start_parameter, l.end_parameter)))
        }
        EntityType::Spline(s) => {
            let points: Vec<Point> = s.control_points.iter().map(at).collect();
            let degree = usize::try_from(s.degree_of_curve).unwrap_or(0);
            let weights = if s.weight_values.len() == points.len() { s.weight_values.as_slice() } else { &[] };
            let spline = curve::Spline { degree, knots: &s.knot_values, points: &points, weights };
            if points.is_empty() && !s.fit_points.is_empty() {
                let why = "it gives points to pass through, but not the curve between";
                return Err(Unread::Cannot(why, s.fit_points.first().map(at)));
            }
            if !spline.is_sound() || points.len() > MOST_SEGMENTS {
                return Err(Unread::Cannot("its knots and points do not belong together", points.first().copied()));
            }
            Ok(chords(spline.flatten()))
        }
        EntityType::Insert(i) => Err(Unread::Cannot("it is a block; explode it into its lines", Some(at(&i.location)))),
        EntityType::Ray(_) | EntityType::XLine(_) => Err(Unread::Cannot("it has no end", None)),
        EntityType::MLine(_) | EntityType::Helix(_) | EntityType::Region(_) | EntityType::Body(_) => {
            Err(Unread::Cannot("it is no plain line", None))
        }
        _ => Err(Unread::NoLine),
    }
}

/// Whether the entity is seen from behind: its normal points down, and then its x runs backwards.
fn plane(normal: &Vector, at: Option<Point>) -> Result<bool, Unread> {
    let length = (normal.x * normal.x + normal.y * normal.y + normal.z * normal.z).sqrt();
    if length > 0.0 && normal.x.hypot(normal.y) < 1e-6 * length {
        Ok(normal.z < 0.0)
    } else {
        Err(Unread::Cannot("it does not lie in the plane", at))
    }
}

fn turned(vertices: Vec<Vertex>, mirrored: bool) -> Vec<Vertex> {
    let turn = |v: Vertex| if mirrored { Vertex { x: -v.x, y: v.y, bulge: -v.bulge } } else { v };
    vertices.into_iter().map(turn).collect()
}

/// A polyline's vertices, the first repeated at the end of a closed one.
fn ended(mut vertices: Vec<Vertex>, closed: bool) -> Vec<Vertex> {
    if closed && let Some(first) = vertices.first().copied() {
        vertices.push(first);
    }
    if let Some(last) = vertices.last_mut() {
        last.bulge = 0.0;
    }
    vertices
}

fn chords(points: Vec<Point>) -> Vec<Vertex> {
    points.into_iter().map(|p| Vertex::new(p, 0.0)).collect()
}

/// Arcs of more than a half circle halved.
fn within_half_turns(vertices: Vec<Vertex>) -> Vec<Vertex> {
    let mut kept = Vec::with_capacity(vertices.len());
    for (i, v) in vertices.iter().enumerate() {
        match vertices.get(i + 1) {
            Some(next) if v.bulge.abs() > 1.0 => {
                let whole = Segment { start: v.point(), end: next.point(), bulge: v.bulge };
                let bulge = (whole.sweep() / 8.0).tan();
                kept.extend([Vertex::new(v.point(), bulge), Vertex::new(whole.point_at(0.5), bulge)]);
            }
            _ => kept.push(*v),
        }
    }
    kept
}

/// An entity's word in the DXF format.
fn word(e: &EntityType) -> &'static str {
    match e {
        EntityType::Line(_) => "LINE",
        EntityType::Arc(_) => "ARC",
        EntityType::Circle(_) => "CIRCLE",
        EntityType::Ellipse(_) => "ELLIPSE",
        EntityType::LwPolyline(_) => "LWPOLYLINE",
        EntityType::Polyline(_) => "POLYLINE",
        EntityType::Spline(_) => "SPLINE",
        EntityType::Insert(_) => "INSERT",
        EntityType::Text(_) => "TEXT",
        EntityType::MText(_) => "MTEXT",
        EntityType::ModelPoint(_) => "POINT",
        EntityType::RotatedDimension(_)
        | EntityType::RadialDimension(_)
        | EntityType::DiameterDimension(_)
        | EntityType::AngularThreePointDimension(_)
        | EntityType::OrdinateDimension(_) => "DIMENSION",
        EntityType::Leader(_) => "LEADER",
        EntityType::Solid(_) => "SOLID",
        EntityType::Ray(_) => "RAY",
        EntityType::XLine(_) => "XLINE",
        EntityType::MLine(_) => "MLINE",
        EntityType::Helix(_) => "HELIX",
        EntityType::Region(_) => "REGION",
        _ => "other entity",
    }
}
