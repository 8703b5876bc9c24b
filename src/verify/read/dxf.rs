//! A drawing (DXF), by a general library: the lines on the layers that cutters read.

use crate::geom::{Contour, Path, Point, Stroke, Vertex, pt};
use crate::profile::OperationKind;
use crate::units::{Unit, inch};
use crate::verify::Finding;
use ::dxf::entities::EntityType;
use ::dxf::enums::Units;

/// A drawing's lines, mm.
#[derive(Clone, Debug, Default)]
pub struct Drawn {
    /// The sheet itself, where the drawing has it.
    pub stock: Option<Contour>,
    /// Each line with what its layer asks for.
    pub lines: Vec<(OperationKind, Stroke)>,
}

/// The most entities that are read.
const MOST: usize = 2_000_000;

/// Reads a drawing. What cannot be a cutter's line is found and left out.
pub fn read(bytes: &[u8]) -> (Drawn, Vec<Finding>) {
    let mut drawn = Drawn::default();
    let mut out = crate::verify::Many::default();
    if crate::limits::has_too_many_things(bytes) {
        let message = format!("it holds more than {} things, too many to be proved", crate::limits::DRAWING_THINGS);
        out.push(Finding::new("drawing-too-large", message).help("divide the sheet"));
        return (drawn, out.into_vec());
    }
    let drawing = match crate::import::load(bytes) {
        Ok(drawing) => drawing,
        Err(e) => {
            out.push(Finding::new("drawing-unreadable", format!("it is not a drawing: {e}")).help("export it again"));
            return (drawn, out.into_vec());
        }
    };
    let unit = match drawing.header.default_drawing_units {
        Units::Inches => inch(1.0).to_mm(),
        // R12 has no place for the unit.
        _ => Unit::Mm.length(1.0).to_mm(),
    };
    for entity in drawing.entities().take(MOST) {
        let layer = entity.common.layer.as_str();
        let Some(stroke) = stroke(&entity.specific, unit) else {
            let message = format!("layer {layer} holds something that is no line, arc, circle or polyline");
            out.push(Finding::new("drawing-entity", message).help("a cutter cannot follow it"));
            continue;
        };
        if stroke.vertices().iter().any(|v| !(v.x.abs() < 1e6 && v.y.abs() < 1e6 && v.bulge.is_finite())) {
            out.push(Finding::new("drawing-entity", "a line reaches out of the world").help("export it again"));
            continue;
        }
        match (layer, kind(layer)) {
            ("STOCK", _) => {
                if let Stroke::Closed(c) = stroke {
                    drawn.stock = Some(c);
                }
            }
            (_, Some(kind)) => drawn.lines.push((kind, stroke)),
            _ => {
                let message = format!("layer {layer} is none that a cutter is told to read");
                out.push(Finding::new("drawing-layer", message).help("move its lines or leave them out"));
            }
        }
    }
    (drawn, out.into_vec())
}

/// The layers are named after the operations, in capitals.
pub(super) fn kind(layer: &str) -> Option<OperationKind> {
    OperationKind::ALL.into_iter().find(|k| k.word().eq_ignore_ascii_case(layer))
}

fn stroke(entity: &EntityType, unit: f64) -> Option<Stroke> {
    let at = |x: f64, y: f64| pt(x * unit, y * unit);
    let chain = |vertices: Vec<Vertex>, closed: bool| {
        if closed { Stroke::Closed(Contour::new(vertices)) } else { Stroke::Open(Path::new(vertices)) }
    };
    Some(match entity {
        EntityType::Line(l) => Stroke::Open(Path::line(at(l.p1.x, l.p1.y), at(l.p2.x, l.p2.y))),
        EntityType::LwPolyline(p) => {
            chain(p.vertices.iter().map(|v| Vertex::new(at(v.x, v.y), v.bulge)).collect(), p.is_closed())
        }
        EntityType::Polyline(p) => {
            let vertices = p.vertices().map(|v| Vertex::new(at(v.location.x, v.location.y), v.bulge));
            chain(vertices.collect(), p.is_closed())
        }
        EntityType::Circle(c) => Stroke::Closed(Contour::circle(at(c.center.x, c.center.y), c.radius * unit)),
        EntityType::Arc(a) => {
            let sweep = (a.end_angle - a.start_angle).rem_euclid(360.0).to_radians();
            let (centre, r) = (at(a.center.x, a.center.y), a.radius * unit);
            let on = |share: f64| centre + Point::unit(a.start_angle.to_radians() + sweep * share) * r;
            let half = (sweep / 8.0).tan();
            chain(vec![Vertex::new(on(0.0), half), Vertex::new(on(0.5), half), Vertex::new(on(1.0), 0.0)], false)
        }
        _ => return None,
    })
}
