//! What the DXF writer wrote, read back by a reader of another's making (the `dxf` crate).

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::{job, one_of_everything, stock};
use dxf::Drawing;
use dxf::entities::EntityType;
use dxf::enums::{AcadVersion, Units};
use flapwright::geom::{Contour, Path, Stroke, Vertex, pt};
use flapwright::job::Grain;
use flapwright::nest::nest;
use flapwright::ops::operations;
use flapwright::profile::OperationKind;
use flapwright::units::mm;
use flapwright::write::dxf::{DxfVersion, STOCK_LAYER, dxf, layer, nominal};
use proptest::prelude::*;

/// A line as a reader sees it: its layer, whether it is closed, its vertices.
type Line = (String, bool, Vec<[f64; 3]>);

fn read(bytes: &[u8], version: DxfVersion) -> Vec<Line> {
    assert!(bytes.is_ascii(), "plain ASCII, no byte order mark");
    let drawing = Drawing::load(&mut &bytes[..]).expect("it reads");
    match version {
        DxfVersion::R2000 => {
            assert_eq!(drawing.header.version, AcadVersion::R2000);
            assert_eq!(drawing.header.default_drawing_units, Units::Millimeters);
        }
        DxfVersion::R12 => assert_eq!(drawing.header.version, AcadVersion::R12),
    }
    let line = |e: &dxf::entities::Entity| {
        let (closed, vertices) = match &e.specific {
            EntityType::Line(l) => (false, vec![[l.p1.x, l.p1.y, 0.0], [l.p2.x, l.p2.y, 0.0]]),
            EntityType::LwPolyline(p) => (p.is_closed(), p.vertices.iter().map(|v| [v.x, v.y, v.bulge]).collect()),
            EntityType::Polyline(p) => {
                (p.is_closed(), p.vertices().map(|v| [v.location.x, v.location.y, v.bulge]).collect())
            }
            other => panic!("{other:?} has no place in a sheet"),
        };
        (e.common.layer.clone(), closed, vertices)
    };
    drawing.entities().map(line).collect()
}

fn written(kind: OperationKind, stroke: &Stroke) -> Line {
    let vertices = stroke.vertices().iter().map(|v| [v.x, v.y, v.bulge]).collect();
    (layer(kind).to_owned(), stroke.is_closed(), vertices)
}

fn assert_same(got: &[Line], expected: &[Line]) {
    assert_eq!(got.len(), expected.len());
    for (g, e) in got.iter().zip(expected) {
        assert_eq!((&g.0, g.1, g.2.len()), (&e.0, e.1, e.2.len()));
        for (a, b) in g.2.iter().zip(&e.2) {
            let near = (a[0] - b[0]).abs() < 1e-9 && (a[1] - b[1]).abs() < 1e-9 && (a[2] - b[2]).abs() < 1e-14;
            assert!(near, "{a:?} {b:?}");
        }
    }
}

#[test]
fn every_line_of_a_sheet_comes_back_in_both_versions() {
    let pieces = one_of_everything();
    let (sheets, _) = nest(&pieces, &job(2, stock(700.0, 1000.0, Grain::Height)));
    assert!(sheets.len() >= 3);
    for sheet in &sheets {
        let ops = operations(&sheet.clone().into(), &pieces);
        let corners = [(0.0, 0.0), (700.0, 0.0), (700.0, 1000.0), (0.0, 1000.0)].map(|(x, y)| [x, y, 0.0]);
        let mut expected = vec![(STOCK_LAYER.to_owned(), true, corners.to_vec())];
        expected.extend(nominal(&ops).map(|(kind, stroke)| written(kind, stroke)));
        for version in [DxfVersion::R2000, DxfVersion::R12] {
            let bytes = dxf(sheet.width, sheet.height, nominal(&ops), version);
            assert_same(&read(&bytes, version), &expected);
            assert_eq!(bytes, dxf(sheet.width, sheet.height, nominal(&ops), version), "the same bytes again");
        }
    }
}

#[test]
fn handles_are_all_different_and_below_the_next_one() {
    // Source: DXF reference, $HANDSEED is the next handle to be given. Found by reading pairs, so
    // that no library mends it on the way.
    let line = Stroke::Open(Path::line(pt(0.0, 0.0), pt(5.0, 5.0)));
    let bytes = dxf(mm(100.0), mm(80.0), [(OperationKind::Mark, &line)], DxfVersion::R2000);
    let text = String::from_utf8(bytes).unwrap();
    let lines: Vec<&str> = text.lines().map(str::trim).collect();
    let pairs: Vec<(&str, &str)> = lines.chunks(2).map(|p| (p[0], p[1])).collect();
    assert!(lines.len().is_multiple_of(2));
    let seed = pairs.iter().position(|p| *p == ("9", "$HANDSEED")).unwrap() + 1;
    let number = |s: &str| u64::from_str_radix(s, 16).unwrap();
    let mut handles: Vec<u64> =
        pairs[seed + 1..].iter().filter(|(code, _)| *code == "5" || *code == "105").map(|(_, v)| number(v)).collect();
    let count = handles.len();
    assert!(count > 30);
    assert!(handles.iter().all(|h| *h > 0 && *h < number(pairs[seed].1)));
    handles.sort_unstable();
    handles.dedup();
    assert_eq!(handles.len(), count);
    // Every owner, and everything else pointed at, is there.
    for (code, value) in &pairs {
        if ["330", "340", "350", "390"].contains(code) && *value != "0" {
            assert!(handles.contains(&number(value)), "{code} {value} points at nothing");
        }
    }
}

#[test]
fn a_line_without_length_is_left_out() {
    let dot = Stroke::Open(Path::line(pt(3.0, 3.0), pt(3.0, 3.0)));
    for version in [DxfVersion::R2000, DxfVersion::R12] {
        let bytes = dxf(mm(100.0), mm(80.0), [(OperationKind::Mark, &dot)], version);
        assert_eq!(read(&bytes, version).len(), 1, "the sheet alone");
    }
}

fn any_stroke() -> impl Strategy<Value = Stroke> {
    let vertex = (-1e4..1e4f64, -1e4..1e4f64, prop_oneof![Just(0.0), -1.0..1.0f64]);
    (prop::collection::vec(vertex, 3..20), any::<bool>()).prop_map(|(points, closed)| {
        let vertices = points.into_iter().map(|(x, y, bulge)| Vertex { x, y, bulge });
        if closed { Stroke::Closed(Contour::new(vertices)) } else { Stroke::Open(Path::new(vertices)) }
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_lines_come_back(strokes in prop::collection::vec(any_stroke(), 0..12), old in any::<bool>()) {
        use OperationKind::{CreaseScore, HalfDepthPocket, Mark, ThroughCut};
        let version = if old { DxfVersion::R12 } else { DxfVersion::R2000 };
        let kinds = [Mark, CreaseScore, HalfDepthPocket, ThroughCut];
        let lines: Vec<_> = strokes.iter().enumerate().map(|(i, s)| (kinds[i % 4], s)).collect();
        let read = read(&dxf(mm(700.0), mm(1000.0), lines.iter().copied(), version), version);
        let expected: Vec<Line> = lines.iter().map(|(kind, stroke)| written(*kind, stroke)).collect();
        assert_same(&read[1..], &expected);
    }
}
