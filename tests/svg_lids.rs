//! Lids drawn in SVG: true units, groups, transforms and styles, what is left aside, and what cannot be read.
//! Source of the figures: W3C, Scalable Vector Graphics 1.1 (viewBox, transforms, path data) and CSS Values and
//! Units (96 pixels to the inch), from memory; the numbers are worked by hand.

#![allow(clippy::panic, clippy::unwrap_used, reason = "helpers of tests")]

use flapwright::diag::{Diagnostic, any_error};
use flapwright::geom::Contour;
use flapwright::import::outline;
use flapwright::units::Unit;

fn read(text: &str, layer: Option<&str>) -> (Option<Contour>, Vec<Diagnostic>) {
    let (outline, said) = outline(text.as_bytes(), layer, Unit::Mm);
    (outline.map(|o| o.contour), said)
}

fn drawn(text: &str) -> Contour {
    let (contour, said) = read(text, None);
    contour.unwrap_or_else(|| panic!("{said:#?}\n{text}"))
}

fn page(inner: &str) -> String {
    format!(
        "<?xml version=\"1.0\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" \
         width=\"210mm\" height=\"297mm\" viewBox=\"0 0 210 297\">{inner}</svg>"
    )
}

fn corners(c: &Contour) -> Vec<(f64, f64)> {
    c.vertices().iter().map(|v| ((v.x * 1e3).round() / 1e3, (v.y * 1e3).round() / 1e3)).collect()
}

/// A lid 100 wide and 60 high, its upper right corner cut: hinge edge below, as on the page.
const LID: &str = "M 20 80 L 120 80 L 120 40 L 100 20 L 20 20 Z";
const IS: [(f64, f64); 5] = [(-50.0, 0.0), (50.0, 0.0), (50.0, 40.0), (30.0, 60.0), (-50.0, 60.0)];

#[test]
fn a_lid_is_as_large_as_it_is_drawn_however_that_is_written() {
    let style = "fill=\"none\" stroke=\"black\"";
    for inner in [
        format!("<path d=\"{LID}\" {style}/>"),
        // Relative, and with horizontal and vertical lines.
        format!("<path d=\"m20,80h100v-40l-20-20h-80z\" {style}/>"),
        "<polygon points=\"20,80 120,80 120,40 100,20 20,20\" style=\"stroke:#000;fill:none\"/>".to_owned(),
        // Groups in groups, moved, scaled and turned back.
        format!(
            "<g transform=\"translate(-30 7)\"><g transform=\"scale(2)\"><g transform=\"rotate(90)\">\
             <path transform=\"rotate(-90) scale(.5)\" d=\"{LID}\" {style}/></g></g></g>"
        ),
        // A symbol that is used.
        format!("<defs><path id=\"lid\" d=\"{LID}\"/></defs><use xlink:href=\"#lid\" x=\"12\" y=\"3\" {style}/>"),
        // Separate lines that meet.
        format!(
            "<line x1=\"20\" y1=\"80\" x2=\"120\" y2=\"80\" {style}/><path d=\"M120 80V40l-20-20\" {style}/>\
             <polyline points=\"20,80 20,20 100,20\" {style}/>"
        ),
        // Filled, and so closed.
        "<path d=\"M 20 80 L 120 80 L 120 40 L 100 20 L 20 20\" fill=\"#ddd\"/>".to_owned(),
        // By a style sheet.
        format!("<style>.cut {{ fill: none; stroke: red }}</style><path class=\"cut\" d=\"{LID}\"/>"),
    ] {
        assert_eq!(corners(&drawn(&page(&inner))), IS, "{inner}");
    }
    // In inches, in centimetres, and in user units of which 96 are an inch.
    let in_pixels = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"800\" height=\"800\"><path transform=\"scale({})\" d=\"{LID}\" {style}/></svg>",
        96.0 / 25.4
    );
    let (lid, said) = read(&in_pixels, None);
    assert!(said.iter().any(|d| d.code == "drawing-unit"), "{said:?}");
    let near =
        |c: &Contour| corners(c).iter().zip(IS).all(|(a, b)| (a.0 - b.0).abs() < 2e-3 && (a.1 - b.1).abs() < 2e-3);
    assert!(near(&lid.unwrap()));
    let in_inches =
        page(&format!("<path d=\"{LID}\" {style}/>")).replace("210mm", "10in").replace("297mm", "14.142857in");
    let b = drawn(&in_inches).bounds();
    assert!((b.width() - 100.0 * 254.0 / 210.0).abs() < 1e-3, "{b:?}");
}

#[test]
fn curves_are_followed_and_become_few_arcs() {
    // A half circle of 40 on a rectangle, drawn as an arc of the path and as two cubics.
    let arc = "M 20 80 H 100 V 60 A 40 40 0 0 0 20 60 Z";
    let k = 40.0 * 0.552_284_75; // from memory: the usual cubic for a quarter circle, good to 0.03 %
    let cubics = format!("M 20 80 H 100 V 60 C 100 {} {} 20 60 20 S 20 {} 20 60 Z", 60.0 - k, 60.0 + k, 60.0 - k);
    for d in [arc.to_owned(), cubics] {
        let lid = drawn(&page(&format!("<path d=\"{d}\" fill=\"none\" stroke=\"#000\"/>")));
        let is = lid.area();
        let want = 80.0 * 20.0 + std::f64::consts::PI * 800.0;
        assert!((is - want).abs() < 2.5, "{is} and {want}");
        assert!(lid.vertices().len() < 12, "{} vertices", lid.vertices().len());
        assert!((lid.bounds().max.y - 60.0).abs() < 0.03);
    }
}

#[test]
fn what_is_no_outline_is_left_aside_and_said() {
    let with_more = page(&format!(
        "<g id=\"notes\"><text x=\"5\" y=\"5\">Lid of the box</text>\
         <image width=\"9\" height=\"9\" xlink:href=\"file:///etc/passwd\"/></g>\
         <g id=\"cut\"><path d=\"{LID}\" fill=\"none\" stroke=\"#000\"/></g>\
         <g id=\"hidden\" display=\"none\"><rect width=\"5\" height=\"5\" fill=\"#000\"/></g>"
    ));
    let (lid, said) = read(&with_more, None);
    assert_eq!(corners(&lid.unwrap()), IS);
    let left = said.iter().find(|d| d.code == "drawing-left-aside").unwrap();
    assert!(left.message.contains("1 image") && left.message.contains("1 text"), "{}", left.message);
    // By the id of a group.
    let two = page(&format!(
        "<rect id=\"frame\" width=\"200\" height=\"280\" fill=\"none\" stroke=\"#000\"/>\
         <g id=\"cut\"><path d=\"{LID}\" fill=\"none\" stroke=\"#000\"/></g>"
    ));
    assert_eq!(corners(&read(&two, Some("CUT")).0.unwrap()), IS);
    let (none, said) = read(&two, None);
    assert!(none.is_none() && said.iter().any(|d| d.code == "drawing-outlines"), "{said:?}");
    let (none, said) = read(&two, Some("lid"));
    let d = said.iter().find(|d| d.code == "drawing-layer").unwrap();
    assert!(none.is_none() && d.hint.as_ref().unwrap().contains("frame") && d.hint.as_ref().unwrap().contains("cut"));
}

#[test]
fn what_cannot_be_read_is_told_and_never_panics() {
    for (text, code) in [
        ("<svg", "drawing-unreadable"),
        ("<html><body/></html>", "drawing-unreadable"),
        ("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"9mm\" height=\"9mm\"/>", "drawing-empty"),
        (&page("<path d=\"M0 0 L 50 0 L 50 50\" fill=\"none\" stroke=\"#000\"/>"), "drawing-open"),
        (&page("<path d=\"M0 50 L 50 50 L 0 0 L 50 0 Z\" fill=\"none\" stroke=\"#000\"/>"), "drawing-crosses"),
        (&page("<circle r=\"40\" cx=\"50\" cy=\"50\" fill=\"none\" stroke=\"#000\"/>"), "drawing-hinge"),
    ] {
        let (outline, said) = read(text, None);
        assert!(outline.is_none() && any_error(&said), "{text}: {said:?}");
        let codes: Vec<&str> = said.iter().filter(|d| d.is_error()).map(|d| d.code).collect();
        assert!(codes.contains(&code), "{text}: {codes:?}");
    }
    // Entities in entities, numbers beyond all measure, deep groups, a drawing cut off anywhere.
    let bomb = "<!DOCTYPE svg [<!ENTITY a \"aaaaaaaaaa\"><!ENTITY b \"&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;\">\
                <!ENTITY c \"&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;\"><!ENTITY d \"&c;&c;&c;&c;&c;&c;&c;&c;&c;&c;\">]>\
                <svg xmlns=\"http://www.w3.org/2000/svg\"><text>&d;&d;&d;&d;</text></svg>";
    let deep = format!("{}{}{}", "<g>".repeat(3000), format_args!("<path d=\"{LID}\"/>"), "</g>".repeat(3000));
    let wild = [
        bomb.to_owned(),
        page(&deep),
        page("<path d=\"M1e38 1e38L-1e38 1e38L0 -1e38Z\"/>"),
        page("<path transform=\"scale(1e30)\" d=\"M0 0L9 0L9 9Z\"/>"),
        page("<rect width=\"nan\" height=\"inf\"/><path d=\"M0 0 A 0 0 0 0 0 9 9 C z\"/>"),
        page(&format!("<path d=\"M0 0{}Z\" fill=\"#000\"/>", " q 3 9 4 0".repeat(30_000))),
    ];
    for text in &wild {
        let (outline, said) = read(text, None);
        assert!(outline.is_none() || !any_error(&said));
    }
    let whole = page(&format!("<g transform=\"rotate(3)\"><path d=\"{LID}\" fill=\"none\" stroke=\"#000\"/></g>"));
    for end in 0..whole.len() {
        let _ = read(&whole[..end], None);
    }
}
