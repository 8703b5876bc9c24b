//! Drawings that are damaged, or no drawings at all: an outline comes out or an error says why, and
//! nothing panics.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a test that cannot write its drawing stops there")]

use flapwright::diag::any_error;
use flapwright::import::outline;
use flapwright::units::Unit;
use proptest::prelude::*;

/// A DXF file of these groups: code and value.
fn drawing(groups: &str) -> String {
    let body: String = groups.split_whitespace().map(|g| g.replacen('=', "\n", 1) + "\n").collect();
    format!(
        "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1015\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{body}0\nENDSEC\n0\nEOF\n"
    )
}

/// An outline of every kind of line that is read: a line, a polyline, an arc, half an ellipse and a
/// spline, from (0, 0) round and back.
fn every_kind() -> String {
    drawing(
        "0=LINE 8=LID 10=0 20=0 11=200 21=0 \
         0=LWPOLYLINE 8=LID 90=3 70=0 10=200 20=0 10=200 20=60 42=0.2 10=190 20=80 \
         0=ARC 8=LID 10=170 20=80 40=20 50=0 51=90 \
         0=ELLIPSE 8=LID 10=140 20=100 11=30 21=0 31=0 40=0.5 41=0 42=3.141592653589793 \
         0=SPLINE 8=LID 70=8 71=3 72=8 73=4 74=0 40=0 40=0 40=0 40=0 40=1 40=1 40=1 40=1 \
         10=110 20=100 30=0 10=60 20=120 30=0 10=10 20=90 30=0 10=0 20=60 30=0 \
         0=LINE 8=LID 10=0 20=60 11=0 21=0 0=TEXT 8=NOTES 10=0 20=0 40=5 1=lid",
    )
}

#[test]
fn an_outline_of_every_kind_of_line_is_one_contour() {
    let (lid, said) = outline(every_kind().as_bytes(), Some("lid"), Unit::Mm);
    assert!(said.is_empty(), "{said:?}");
    let lid = lid.unwrap();
    assert!((lid.hinge() - 200.0).abs() < 1e-9);
    // Half an ellipse of half axes 30 and 15 stands on y = 100.
    assert!((lid.contour.bounds().max.y - 115.0).abs() < 0.05);
    assert!(lid.contour.segments().any(|s| (s.radius() - 20.0).abs() < 1e-9), "the arc stays an arc");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 3000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_damaged_drawing_gives_an_outline_or_an_error(
        edits in proptest::collection::vec((0.0..1.0f64, 0..12usize, "[0-9.eE\n-]{0,6}|\\PC{0,4}|nan|inf|1e308"), 1..6),
        inches in proptest::bool::ANY,
    ) {
        let mut text: Vec<char> = every_kind().chars().collect();
        for (at, cut, put) in edits {
            let at = (at * text.len() as f64) as usize;
            let end = (at + cut).min(text.len());
            text.splice(at..end, put.chars());
        }
        let text: String = text.into_iter().collect();
        let (lid, said) = outline(text.as_bytes(), None, if inches { Unit::Inch } else { Unit::Mm });
        prop_assert!(lid.is_some() != any_error(&said), "{:?}", said);
    }

    #[test]
    fn what_is_no_drawing_is_an_error(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
        let (lid, said) = outline(&bytes, None, Unit::Mm);
        prop_assert!(lid.is_none() && any_error(&said));
    }
}
