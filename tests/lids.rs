//! Lids drawn by the maker, notched and dipped: what is read, what is refused and where.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use flapwright::design::{design, limits};
use flapwright::diag::{Diagnostic, Source, any_error};
use flapwright::fit::fit;
use flapwright::geom::{Contour, Point, pt};
use flapwright::job::{self, Job, Side};

/// A drawing of these entities, in the form of the published DXF reference: group code and value
/// on lines of their own. `$INSUNITS` 4 is mm, 1 inch, 5 cm, 0 none.
fn drawing(units: u32, entities: &[String]) -> Vec<u8> {
    format!(
        "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1015\n9\n$INSUNITS\n70\n{units}\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{}0\nENDSEC\n0\nEOF\n",
        entities.concat()
    )
    .into_bytes()
}

fn line(layer: &str, a: Point, b: Point) -> String {
    format!("0\nLINE\n8\n{layer}\n10\n{}\n20\n{}\n30\n0\n11\n{}\n21\n{}\n31\n0\n", a.x, a.y, b.x, b.y)
}

/// A lid of lines `width` wide and `reach` long, every figure times `per`.
fn square_lid(width: f64, reach: f64, per: f64) -> Vec<String> {
    let corner = [pt(0.0, 0.0), pt(width, 0.0), pt(width, reach), pt(0.0, reach)].map(|p| p * per);
    (0..4).map(|i| line("0", corner[i], corner[(i + 1) % 4])).collect()
}

/// A job whose left lid is drawn and 200.4 mm wide.
fn read(drawn: &[u8], more: &str) -> (Option<Job>, Vec<Diagnostic>) {
    let text = format!(
        "format = 1\ntitle = 'Drawn'\n[contents]\nwidth = 148\nheight = 200\ndepth = 9\n\
         clearance = {{ width = 2, height = 2, depth = 1 }}\n[board]\nthickness = 2\n\
         sheet = {{ width = 700, height = 1000 }}\n[cloth]\nthickness = 0.3\n\
         [flap.left]\ntier = 1\noutline = 'lid.dxf'\n{more}"
    );
    let source = Source { name: "job.toml".into(), text };
    job::read_with(&source, &|name| if name == "lid.dxf" { Ok(drawn.to_vec()) } else { Err("it is not there".into()) })
}

fn lid(drawn: &[u8]) -> (Contour, Vec<Diagnostic>) {
    let (job, said) = read(drawn, "");
    let job = job.unwrap_or_else(|| panic!("{said:#?}"));
    let design = design(&job).0;
    (design.flat.unwrap().arms[&Side::Left].lid().clone(), said)
}

fn refused(drawn: &[u8], more: &str) -> Diagnostic {
    let (job, mut said) = read(drawn, more);
    said.extend(job.as_ref().map(limits).unwrap_or_default());
    assert!(any_error(&said), "it was taken");
    said.into_iter().find(Diagnostic::is_error).unwrap()
}

#[test]
fn the_drawings_own_unit_is_obeyed() {
    for (units, per) in [(4, 1.0), (1, 1.0 / 25.4), (5, 0.1)] {
        let (outline, said) = lid(&drawing(units, &square_lid(200.4, 120.0, per)));
        assert!((outline.area() - 200.4 * 120.0).abs() < 1e-6, "unit {units}");
        assert!(!any_error(&said));
    }
    // Without one the job's counts, and that is said.
    let (_, said) = lid(&drawing(0, &square_lid(200.4, 120.0, 1.0)));
    assert!(said.iter().any(|d| d.code == "drawing-unit" && !d.is_error()), "{said:?}");
}

#[test]
fn arcs_stay_arcs_and_polylines_keep_their_bulges() {
    // A half round end of radius 100.2 as a polyline with a bulge of 1 (a semicircle, DXF reference).
    let polyline = "0\nLWPOLYLINE\n100\nAcDbEntity\n8\nLID\n100\nAcDbPolyline\n90\n4\n70\n1\n43\n0\n10\n0\n20\n0\n10\n200.4\n20\n0\n\
                    10\n200.4\n20\n30\n42\n1.0\n10\n0\n20\n30\n"
        .to_owned();
    let (outline, _) = lid(&drawing(4, &[polyline]));
    let round = std::f64::consts::PI * 100.2 * 100.2 / 2.0;
    assert!((outline.area() - (200.4 * 30.0 + round)).abs() < 1e-6);
    assert!(outline.segments().any(|s| (s.radius() - 100.2).abs() < 1e-6));
}

#[test]
fn a_spline_is_followed_within_the_stated_tolerance() {
    // A cubic of one span with clamped knots is a Bezier curve; this one rises to 3/4 of its middle
    // control points (Bernstein form: B(1/2) = (P0 + 3 P1 + 3 P2 + P3) / 8).
    let control = [(200.4, 60.0), (140.0, 100.0), (60.4, 100.0), (0.0, 60.0)];
    let mut spline =
        String::from("0\nSPLINE\n100\nAcDbEntity\n8\nLID\n100\nAcDbSpline\n70\n8\n71\n3\n72\n8\n73\n4\n74\n0\n");
    for k in [0, 0, 0, 0, 1, 1, 1, 1] {
        spline += &format!("40\n{k}.0\n");
    }
    for (x, y) in control {
        spline += &format!("10\n{x}\n20\n{y}\n30\n0\n");
    }
    let mut entities = vec![
        line("LID", pt(0.0, 0.0), pt(200.4, 0.0)),
        line("LID", pt(200.4, 0.0), pt(200.4, 60.0)),
        line("LID", pt(0.0, 60.0), pt(0.0, 0.0)),
    ];
    entities.push(spline);
    let (outline, _) = lid(&drawing(4, &entities));
    let bezier = |t: f64| {
        let u = 1.0 - t;
        let at = |p: fn(&(f64, f64)) -> f64| {
            u * u * u * p(&control[0])
                + 3.0 * u * u * t * p(&control[1])
                + 3.0 * u * t * t * p(&control[2])
                + t * t * t * p(&control[3])
        };
        pt(at(|c| c.0) - 100.2, at(|c| c.1))
    };
    for i in 0..=1000 {
        let away = outline.distance_to(bezier(f64::from(i) / 1000.0));
        assert!(away <= flapwright::import::CHORD + 1e-9, "{away} mm off");
    }
    assert!((outline.bounds().max.y - 90.0).abs() < 0.03);
}

#[test]
fn what_is_no_outline_is_refused_with_its_place() {
    let good = square_lid(200.4, 120.0, 1.0);
    let open = refused(&drawing(4, &good[..3]), "");
    assert_eq!(open.code, "drawing-open");
    assert!(open.message.contains("x 0") && open.message.contains("120"), "{}", open.message);
    let crossing = [pt(0.0, 0.0), pt(200.4, 0.0), pt(50.0, 120.0), pt(150.0, 120.0)];
    let crossing: Vec<String> = (0..4).map(|i| line("0", crossing[i], crossing[(i + 1) % 4])).collect();
    let crossed = refused(&drawing(4, &crossing), "");
    assert_eq!(crossed.code, "drawing-crosses");
    assert!(crossed.message.contains("x 10"), "{}", crossed.message);
    // Never scaled: a hinge edge of another width names both.
    let narrow = refused(&drawing(4, &square_lid(190.0, 120.0, 1.0)), "");
    assert!(narrow.message.contains("190") && narrow.message.contains("200.4"), "{}", narrow.message);
    assert_eq!(refused(b"not a drawing", "").code, "drawing-unreadable");
    assert_eq!(refused(&drawing(4, &[]), "").code, "drawing-empty");
    assert_eq!(refused(&drawing(4, &good), "layer = 'LIDS'\n").code, "drawing-layer");
    let two: Vec<String> = good
        .iter()
        .cloned()
        .chain([
            line("0", pt(300.0, 0.0), pt(400.0, 0.0)),
            line("0", pt(400.0, 0.0), pt(350.0, 80.0)),
            line("0", pt(350.0, 80.0), pt(300.0, 0.0)),
        ])
        .collect();
    assert_eq!(refused(&drawing(4, &two), "").code, "drawing-outlines");
}

#[test]
fn drawn_lids_may_interlock_and_may_not_collide() {
    let text = include_str!("../samples/whelk-box.toml");
    let wave = include_bytes!("../samples/whelk-lid.dxf");
    let said = |text: &str| {
        let source = Source { name: "whelk-box.toml".into(), text: text.into() };
        let (job, said) = job::read_with(&source, &|_| Ok(wave.to_vec()));
        let job = job.unwrap_or_else(|| panic!("{said:#?}"));
        let (design, said) = design(&job);
        assert!(!any_error(&said), "{said:?}");
        fit(&job, &design).1
    };
    assert!(!any_error(&said(text)), "{:?}", said(text));
    // A stack 4 mm narrower brings the two waves together.
    let close = text.replace("width = 200\n", "width = 196\n");
    assert_ne!(close, text);
    assert!(said(&close).iter().any(|d| d.code == "boards-collide"), "{:?}", said(&close));
}

#[test]
fn a_notch_is_a_true_arc_of_its_width_and_depth() {
    let text = include_str!("../samples/whelk-box.toml");
    let source = Source { name: "whelk-box.toml".into(), text: text.into() };
    let job = job::read_with(&source, &|_| Ok(include_bytes!("../samples/whelk-lid.dxf").to_vec())).0.unwrap();
    let tail = design(&job).0.flat.unwrap().arms[&Side::Tail].lid().clone();
    // A circle through three points: chord 30, sagitta 12: r = (15^2 + 12^2) / 24.
    let radius = (225.0 + 144.0) / 24.0;
    assert!(tail.segments().any(|s| s.bulge < 0.0 && (s.radius() - radius).abs() < 1e-6));
    let reach = tail.bounds().max.y;
    let bottom = tail.segments().filter(|s| s.bulge < 0.0).map(|s| s.point_at(0.5).y).fold(f64::INFINITY, f64::min);
    assert!((reach - bottom - 12.0).abs() < 1e-6, "{reach} {bottom}");
}

/// As a scan or a vector drawing has it: thousands of chords, as one polyline or as so many lines. What is cut is a
/// few arcs on it, and it is said.
#[test]
fn a_finely_drawn_lid_is_cut_as_a_few_arcs() {
    let far = |n: usize| {
        let at = |i: usize| 200.4 * (1.0 - i as f64 / n as f64);
        (0..=n).map(move |i| pt(at(i), 118.0 + 6.0 * (at(i) / 11.0).sin())).collect::<Vec<Point>>()
    };
    let whole = |n: usize| [vec![pt(0.0, 0.0), pt(200.4, 0.0)], far(n)].concat();
    let polyline = |points: &[Point]| {
        let all: String = points.iter().map(|p| format!("10\n{:.6}\n20\n{:.6}\n", p.x, p.y)).collect();
        vec![format!("0\nLWPOLYLINE\n8\n0\n90\n{}\n70\n1\n{all}", points.len())]
    };
    let lines = |points: &[Point]| -> Vec<String> {
        (0..points.len()).map(|i| line("0", points[i], points[(i + 1) % points.len()])).collect()
    };
    for (n, drawn) in
        [(19_000, polyline(&whole(19_000))), (10_000, lines(&whole(10_000))), (1_000, lines(&whole(1_000)))]
    {
        let (outline, said) = lid(&drawing(4, &drawn));
        assert!(said.iter().any(|d| d.code == "drawing-simplified"), "{n}: {said:#?}");
        assert!(outline.vertices().len() < 60, "{n}: {}", outline.vertices().len());
        // Hinge at the bottom, moved to its middle.
        let off = far(200).iter().map(|p| outline.distance_to(*p - pt(100.2, 0.0))).fold(0.0, f64::max);
        assert!(off <= 0.021, "{n}: {off}");
    }
    let d = refused(&drawing(4, &polyline(&whole(20_100))), "");
    assert_eq!(d.code, "drawing-too-fine");
}
