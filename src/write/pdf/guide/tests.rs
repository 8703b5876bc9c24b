use super::{Faces, Flow, Lot, Paper, SharedSheet, SheetOps, Told, guide, measures, pages};
use crate::design::design;
use crate::diag::{Source, any_error};
use crate::drawing::{Drawing as Page, clashes, struck};
use crate::estimate::{Asked, estimate};
use crate::fit::{Solid, bill, fit, solids};
use crate::geom::{Contour, Point, Segment, intersections, pt};
use crate::job::read_with;
use crate::nest::{Sheet, nest};
use crate::ops::operations;
use crate::write::pdf::scene::{Board, FROM_TAIL_RIGHT, Space, at, picture};
use std::sync::Arc;

const SAMPLES: [(&str, &str); 7] = [
    ("tideline-folio", include_str!("../../../../samples/tideline-folio.toml")),
    ("rockpool-folder", include_str!("../../../../samples/rockpool-folder.toml")),
    ("dulse-atlas", include_str!("../../../../samples/dulse-atlas.toml")),
    ("cockle-portfolio", include_str!("../../../../samples/cockle-portfolio.toml")),
    ("limpet-wrapper", include_str!("../../../../samples/limpet-wrapper.toml")),
    ("whelk-box", include_str!("../../../../samples/whelk-box.toml")),
    ("sandpiper-case", include_str!("../../../../samples/sandpiper-case.toml")),
];

fn with_each(then: impl Fn(&str, &Told<'_>)) {
    for (name, text) in SAMPLES {
        let drawing = include_bytes!("../../../../samples/whelk-lid.dxf");
        let source = Source { name: name.into(), text: text.into() };
        let (job, said) = read_with(&source, &|_| Ok(drawing.to_vec()));
        let mut job = job.unwrap_or_else(|| panic!("{name}: {said:?}"));
        // A plan by day and what it costs, on every paper.
        job.copies = job.copies.max(25);
        job.work.rate = Some(25.0);
        // Where pieces lie on a sheet is not what is looked at here: the quickest layout will do.
        job.layout_effort = 1;
        let (design, said) = design(&job);
        assert!(!any_error(&said), "{name}: {said:?}");
        let (fit, _) = fit(&job, &design);
        let (sheets, _) = nest(&design.pieces, &job);
        let sheets: Vec<Arc<Sheet>> = sheets.into_iter().map(Arc::new).collect();
        let operations: Vec<SheetOps> = sheets.iter().map(|s| operations(s, &design.pieces)).collect();
        let bill = bill(&job, &design);
        let estimate = estimate(&Asked {
            job: &job,
            design: &design,
            strap: fit.strap.as_ref(),
            ties: &fit.ties,
            glue_m2: bill.glue_m2,
            boxes: job.copies,
            first: 1,
            sheets: &sheets,
            runs: &[],
        });
        let told = Told {
            first_copy: 1,
            job: &job,
            design: &design,
            fit: &fit,
            bill: &bill,
            sheets: &sheets,
            operations: &operations,
            lot: None,
            programs: &[],
            estimate: Some(&estimate),
        };
        then(name, &told);
    }
}

/// Lines of this weight and more are those of a piece, mm; what measures it is thinner.
const THICK: f64 = 0.3;

/// What does not stand clear on these pages.
fn unclear(pages: &[Page], of: &str) -> Vec<String> {
    let on = |(n, page): (usize, &Page)| {
        let all = clashes(page).into_iter().chain(struck(page, THICK));
        all.map(|fault| format!("{of}, page {}: {fault}", n + 1)).collect::<Vec<_>>()
    };
    pages.iter().enumerate().flat_map(on).collect()
}

#[test]
fn no_text_lies_over_another_or_a_thick_line_or_leaves_its_page() {
    let faces = Faces::new();
    with_each(|name, told| {
        for paper in [Paper::A4, Paper::Letter, Paper::Large] {
            let mut faults = unclear(&pages(told, paper, &faces), &format!("{name}, guide"));
            // As an item of a list, on sheets that it shares.
            let shared = |s: &Arc<Sheet>| SharedSheet {
                files: vec![format!("the-title-of-a-long-list-lot-12_{}.dxf", s.id), format!("{}.the-table.nc", s.id)],
                others: s.placed.len(),
            };
            let lot = Lot { folder: "lot-12".into(), sheets: told.sheets.iter().map(shared).collect() };
            let of_list = Told { lot: Some(&lot), estimate: None, ..*told };
            faults.extend(unclear(&pages(&of_list, paper, &faces), &format!("{name}, guide of an item")));
            for tiled in [false, true] {
                let templates = crate::write::pdf::templates::pages(told.job, told.design, paper, tiled, &faces);
                faults.extend(unclear(&templates, &format!("{name}, templates")));
            }
            assert_eq!(faults, Vec::<String>::new());
        }
    });
}

#[path = "../../../../tests/common/dice.rs"]
mod dice;
#[path = "../../../../tests/common/random_job.rs"]
#[allow(dead_code, reason = "the tests from outside ask it for more")]
mod random_job;

/// Derived: where figures stand is found by one general rule, so it must hold for any box.
#[test]
fn measures_of_200_random_boxes_stand_clear_of_each_other() {
    let faces = Faces::new();
    let (mut boxes, mut seed, mut faults) = (0, 0, Vec::new());
    while boxes < 200 {
        seed += 1;
        let text = random_job::RandomJob::new(seed).toml(1.0);
        // Every third in inches, whose figures are longer.
        let text = if seed % 3 == 0 { text.replacen("format = 1", "format = 1\nunits = 'in'", 1) } else { text };
        let text = if seed % 3 == 0 { in_inches(&text) } else { text };
        let source = Source { name: "random.toml".into(), text };
        let (Some(job), _) = read_with(&source, &|_| Ok(Vec::new())) else { continue };
        let (design, said) = design(&job);
        let (fit, more) = fit(&job, &design);
        if any_error(&said) || any_error(&more) {
            continue;
        }
        boxes += 1;
        let bill = bill(&job, &design);
        let told = Told {
            first_copy: 1,
            job: &job,
            design: &design,
            fit: &fit,
            bill: &bill,
            sheets: &[],
            operations: &[],
            lot: None,
            programs: &[],
            estimate: None,
        };
        let mut flow = Flow::new(&faces, Paper::usual(job.units), 0.0);
        measures::measures(&mut flow, &told);
        faults.extend(unclear(&flow.finish(), &format!("seed {seed}, guide")));
        let templates = crate::write::pdf::templates::pages(&job, &design, Paper::usual(job.units), false, &faces);
        faults.extend(unclear(&templates, &format!("seed {seed}, templates")));
    }
    assert!(faults.is_empty(), "{} faults, of them {:#?}", faults.len(), &faults[..faults.len().min(40)]);
    assert!(seed < 400, "{seed} jobs had to be asked");
}

/// A job's bare lengths, which are millimetres, with their unit said.
fn in_inches(text: &str) -> String {
    let in_mm = |line: &str| -> String {
        let Some((key, value)) = line.split_once(" = ") else { return line.into() };
        let is_length = !["format", "tier", "grammage", "taper"].contains(&key);
        if is_length && value.parse::<f64>().is_ok() {
            return format!("{key} = '{value} mm'");
        }
        if !value.starts_with('{') {
            return line.into();
        }
        let inner = value.trim_matches(['{', '}', ' ']).split(", ");
        let parts: Vec<String> =
            inner.filter_map(|p| p.split_once(" = ").map(|(k, v)| format!("{k} = '{v} mm'"))).collect();
        format!("{key} = {{ {} }}", parts.join(", "))
    };
    text.lines().map(in_mm).collect::<Vec<_>>().join("\n")
}

#[test]
fn the_same_job_gives_the_same_bytes_and_not_many() {
    with_each(|name, told| {
        let once = guide(told, Paper::A4).expect("a guide");
        assert_eq!(once, guide(told, Paper::A4).expect("a guide"), "{name}");
        let full_size = templates(told, Paper::A4);
        assert_eq!(full_size, templates(told, Paper::A4), "{name}");
        assert!(once.len() < 1_000_000 && full_size.len() < 1_000_000, "{name}");
    });
}

fn templates(told: &Told<'_>, paper: Paper) -> Vec<u8> {
    crate::write::pdf::templates(told.job, told.design, paper, false).expect("templates")
}

/// The corners of a prism whose footprint has straight edges.
fn corners(s: &Solid) -> Vec<Space> {
    let ring = s.footprint.vertices();
    [s.bottom, s.top].iter().flat_map(|z| ring.iter().map(|v| at(v.x, v.y, *z))).collect()
}

/// Independent of the drawing: a corner is seen when the way from it to the viewer runs through no
/// prism. While it is between a prism's underside and its upper side its plan is a straight line,
/// which must stay out of the footprint.
fn is_seen(all: &[Solid], p: Space) -> bool {
    let (sa, ca) = (-1.10f64).sin_cos();
    let (sh, ch) = (0.62f64).sin_cos();
    let on_plan = |d: f64| pt(p.x + ch * ca * d, p.y + ch * sa * d);
    all.iter().all(|s| {
        let (from, to) = (((s.bottom - p.z) / sh).max(0.0), (s.top - p.z) / sh);
        if to <= from + 1e-9 {
            return true;
        }
        let way = Segment::line(on_plan(from), on_plan(to));
        let mut cuts: Vec<f64> =
            s.footprint.segments().flat_map(|e| intersections(&way, &e)).map(|q| way.nearest_share(q)).collect();
        cuts.extend([0.0, 1.0]);
        cuts.sort_by(f64::total_cmp);
        !cuts.windows(2).filter(|w| w[1] - w[0] > 1e-7).any(|w| {
            let middle = way.point_at((w[0] + w[1]) / 2.0);
            s.footprint.contains(middle) && s.footprint.distance_to(middle) > 1e-6
        })
    })
}

/// Every corner of the closed box that nothing hides is the end of a drawn line. Rounded lids are left
/// out: they are drawn in chords.
#[test]
fn the_corners_drawn_are_those_of_the_closed_prisms() {
    with_each(|name, told| {
        let square = |c: &Contour| c.vertices().iter().all(|v| v.bulge.abs() < 1e-12);
        let all = solids(told.job, &told.design.assembly);
        let boards: Vec<Board> =
            all.iter().map(|s| Board::new(&s.footprint, s.bottom, s.top, [255; 3], &|p| p)).collect();
        let drawn = picture(&boards, FROM_TAIL_RIGHT);
        let mut seen = 0;
        let ends: Vec<Point> = drawn.lines.iter().flat_map(|l| [l.0, l.1]).collect();
        for s in all.iter().filter(|s| square(&s.footprint)) {
            for corner in corners(s) {
                let on = FROM_TAIL_RIGHT.paper(corner);
                let is_drawn = ends.iter().any(|e| e.distance(on) < 1e-6);
                let is_seen = is_seen(&all, corner);
                assert_eq!(is_drawn, is_seen, "{name}: a corner of the {} at {corner:?}", s.name);
                seen += usize::from(is_seen);
            }
        }
        // The outline of the picture is that of the prisms.
        let points = all.iter().flat_map(corners).map(|p| FROM_TAIL_RIGHT.paper(p));
        let whole = crate::geom::Bounds::of(points);
        let b = drawn.bounds();
        if all.iter().all(|s| square(&s.footprint)) {
            assert!((b.width() - whole.width()).abs() < 1e-6 && (b.height() - whole.height()).abs() < 1e-6, "{name}");
        }
        assert!(seen >= 7, "{name}: a box shows seven corners at least, not {seen}");
    });
}
