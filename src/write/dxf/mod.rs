//! A sheet as DXF, in the form of 2000 (AC1015) or of R12 (AC1009).
//!
//! Closed lines are closed polylines with bulges, so arcs stay arcs; a straight line between two
//! points is a LINE; every other open line is an open polyline. Lines lie on one layer for each
//! operation; the sheet itself is a rectangle on layer STOCK. There is no text. The drawing's unit
//! is the millimetre: R2000 declares it ($INSUNITS 4), both say it in a comment.
//!
//! Source of the format: the vendor's published DXF reference, for 2000 and for release 12.

mod frame;
mod out;

use crate::geom::{Stroke, Vertex, pt};
use crate::ops::SheetOps;
use crate::profile::OperationKind;
use crate::units::Length;
use crate::write::style::{STOCK_DXF_COLOR, style};
use out::Out;

/// Which form of DXF.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum DxfVersion {
    /// AC1015: polylines in one piece, units declared.
    #[default]
    R2000,
    /// AC1009: for old controllers; units only by agreement.
    R12,
}

/// The layer that an operation's lines lie on: its word, in capitals, for R12 knows no others.
pub const fn layer(kind: OperationKind) -> &'static str {
    match kind {
        OperationKind::Mark => "MARK",
        OperationKind::CreaseScore => "CREASE-SCORE",
        OperationKind::HalfDepthPocket => "HALF-DEPTH-POCKET",
        OperationKind::ThroughCut => "THROUGH-CUT",
    }
}

/// Where the sheet's rectangle lies.
pub const STOCK_LAYER: &str = "STOCK";

/// The layers in the order of their table, with the numbers of their colours: the sheet's edge, then
/// the operations in their hard order.
fn layers() -> impl Iterator<Item = (&'static str, i64)> {
    let of = |kind: OperationKind| (layer(kind), style(kind).dxf_color);
    std::iter::once((STOCK_LAYER, STOCK_DXF_COLOR)).chain(OperationKind::ALL.into_iter().map(of))
}

/// The lines of a sheet as they are, not moved for any tool, for [`dxf()`].
pub fn nominal(ops: &SheetOps) -> impl Iterator<Item = (OperationKind, &Stroke)> {
    ops.operations.iter().map(|o| (o.kind, &o.stroke))
}

/// The bytes of a DXF of a sheet of `width` x `height` with these lines on it, in their order,
/// lower left corner at the origin, y up. The lines may be nominal or moved for a tool; a line
/// without length is left out. Coordinates have ten decimals of a millimetre.
pub fn dxf<'a>(
    width: Length,
    height: Length,
    lines: impl IntoIterator<Item = (OperationKind, &'a Stroke)>,
    version: DxfVersion,
) -> Vec<u8> {
    dxf_with_kerf((width, height), lines, version, true, None)
}

/// The same, saying in a comment for what kerf the lines were moved, so that nobody compensates
/// twice. The lines given are written as they are; the sheet's edge where it is wanted.
pub fn dxf_with_kerf<'a>(
    (width, height): (Length, Length),
    lines: impl IntoIterator<Item = (OperationKind, &'a Stroke)>,
    version: DxfVersion,
    has_edge: bool,
    kerf: Option<Length>,
) -> Vec<u8> {
    let size = pt(width.to_mm(), height.to_mm());
    let mut out = Out::new(version);
    frame::head(&mut out, size, kerf);
    let corner = |x, y| Vertex { x, y, bulge: 0.0 };
    let sheet = [corner(0.0, 0.0), corner(size.x, 0.0), corner(size.x, size.y), corner(0.0, size.y)];
    if has_edge {
        entity(&mut out, STOCK_LAYER, &sheet, true);
    }
    for (kind, stroke) in lines {
        entity(&mut out, layer(kind), stroke.vertices(), stroke.is_closed());
    }
    frame::tail(&mut out, size);
    out.into_bytes()
}

fn entity(out: &mut Out, layer: &str, vertices: &[Vertex], closed: bool) {
    match vertices {
        [] | [_] => {}
        [a, b] if !closed && a.bulge == 0.0 => {
            out.entity("LINE", layer, "AcDbLine");
            out.point(0, a.x, a.y);
            out.z(30);
            out.point(1, b.x, b.y);
            out.z(31);
        }
        _ if out.version == DxfVersion::R2000 => {
            out.entity("LWPOLYLINE", layer, "AcDbPolyline");
            out.whole(90, vertices.len() as i64);
            out.whole(70, i64::from(closed));
            for v in vertices {
                out.point(0, v.x, v.y);
                out.bulge(v.bulge);
            }
        }
        _ => {
            out.entity("POLYLINE", layer, "");
            out.whole(66, 1);
            out.point(0, 0.0, 0.0);
            out.z(30);
            out.whole(70, i64::from(closed));
            for v in vertices {
                out.entity("VERTEX", layer, "");
                out.point(0, v.x, v.y);
                out.z(30);
                out.bulge(v.bulge);
            }
            out.entity("SEQEND", layer, "");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_layer_has_the_word_of_its_operation() {
        for kind in OperationKind::ALL {
            assert_eq!(layer(kind), kind.word().to_uppercase());
        }
    }
}
