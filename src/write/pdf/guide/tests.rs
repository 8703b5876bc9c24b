use super::{Faces, Flow, Lot, Paper, SharedSheet, SheetOps, Told, guide, measures, pages};
use crate::assembly::Part;
use crate::design::design;
use crate::diag::{Source, any_error};
use crate::drawing::{Drawing as Page, Mark, clashes, struck};
use crate::estimate::{Asked, estimate};
use crate::fit::{Solid, bill, fit, solids};
use crate::geom::{Contour, Point, Segment, intersections, pt};
use crate::job::{Grain, Side, StockKind, read_with};
use crate::nest::{Sheet, nest};
use crate::ops::operations;
use crate::units::mm;
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
    with_jobs(&SAMPLES.map(|(name, text)| (name, text.to_owned())), then);
}

fn with_jobs(jobs: &[(&str, String)], then: impl Fn(&str, &Told<'_>)) {
    for (name, text) in jobs {
        let drawing = include_bytes!("../../../../samples/whelk-lid.dxf");
        let source = Source { name: (*name).into(), text: text.clone() };
        let (job, said) = read_with(&source, &|_| Ok(drawing.to_vec()));
        let mut job = job.unwrap_or_else(|| panic!("{name}: {said:?}"));
        // A plan by day and what it costs, on every paper.
        job.copies = if job.copies == 1 { 25 } else { job.copies };
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

/// What is written on pages.
fn words(pages: &[Page]) -> Vec<&str> {
    fn of<'a>(items: &'a [Mark]) -> Vec<&'a str> {
        let on = |m: &'a Mark| match m {
            Mark::Text(t) => vec![t.text.as_str()],
            Mark::Group { items, .. } => of(items),
            Mark::Lines { .. } => Vec::new(),
        };
        items.iter().flat_map(on).collect()
    }
    pages.iter().flat_map(|p| of(&p.items)).collect()
}

/// A title stands above what it heads, a title's letters at least this high on the page, mm: below it are words and
/// the first rows or drawings.
const ROOM_BELOW: f64 = 62.0;
/// The largest letters but a title's are smaller, mm.
const TITLE: f64 = 6.0;

#[test]
fn no_title_or_line_stands_alone_on_its_page() {
    let faces = Faces::new();
    let mut jobs = Vec::new();
    for (name, text) in SAMPLES {
        let few = text.replace("copies = 1\n", "").replace("copies = 12\n", "").replace("copies = 2\n", "");
        let few = few.replacen("format = 1", "format = 1\ncopies = 3", 1);
        jobs.push((name, text.to_owned()));
        jobs.push((name, few.replacen("format = 1", "format = 1\nlayout = \"straight-cuts\"", 1)));
        jobs.push((name, few));
    }
    with_jobs(&jobs, |name, told| {
        for paper in [Paper::A4, Paper::Letter] {
            let pages = pages(told, paper, &faces);
            for (n, page) in (1..).zip(&pages) {
                let texts = page.items.iter().filter_map(|m| if let Mark::Text(t) = m { Some(t) } else { None });
                let own: Vec<_> = texts.filter(|t| t.at.y > 12.0).collect();
                let what = format!("{name}, {} copies, {paper:?}, page {n} of {}", told.job.copies, pages.len());
                assert!(own.len() > 5, "{what} has {} lines", own.len());
                for title in own.iter().filter(|t| t.size > TITLE) {
                    assert!(title.at.y > ROOM_BELOW, "{what}: \"{}\" stands {} high", title.text, title.at.y);
                }
            }
        }
    });
}

/// The distances themselves are followed by a ruler in `tests/straight.rs`.
#[test]
fn each_straight_cut_is_told_with_its_distance_on_the_page_of_its_sheet() {
    let faces = Faces::new();
    let straight = |(name, text): (&'static str, &str)| {
        let text = text.replace("copies = 1\n", "");
        (name, text.replacen("format = 1", "format = 1\ncopies = 2\nlayout = \"straight-cuts\"", 1))
    };
    // Among many small pieces a cut is shorter than its number.
    let is_of_numbers = |fault: &String| fault.split('"').skip(1).step_by(2).all(|t| t.parse::<u32>().is_ok());
    let jobs = [SAMPLES[0], SAMPLES[1], SAMPLES[4]].map(straight);
    with_jobs(&jobs, |name, told| {
        for paper in [Paper::A4, Paper::Letter] {
            let pages = pages(told, paper, &faces);
            let faults: Vec<String> = unclear(&pages, name).into_iter().filter(|f| !is_of_numbers(f)).collect();
            assert_eq!(faults, Vec::<String>::new());
            let mut cuts = 0;
            for sheet in told.sheets {
                let told_on = |p: &&Page| words(std::slice::from_ref(*p)).iter().any(|w| w.starts_with(&sheet.id));
                // A sheet of those alike may stand under another's name; a long table goes on overleaf.
                let on: Vec<&Page> = pages.iter().skip_while(|p| !told_on(p)).take(4).collect();
                if on.is_empty() {
                    continue;
                }
                let on = &on[..if sheet.cuts.len() > 16 { on.len() } else { 1 }];
                let here: Vec<&str> = on.iter().flat_map(|p| words(std::slice::from_ref(*p))).collect();
                for cut in &sheet.cuts {
                    let far = told.job.units.show_by_hand(mm(cut.distance()));
                    assert!(here.contains(&far.as_str()), "{name}, {}: {far} is not told in {here:?}", sheet.id);
                    cuts += 1;
                }
                assert!(sheet.offcut.is_none() || here.contains(&"offcut"), "{name}, {}", sheet.id);
            }
            assert!(cuts > 10, "{name}: {cuts} cuts");
        }
    });
}

/// A liner without grain has no arrow beside its name, the board its own; without any grain no page speaks of one.
#[test]
fn what_has_no_grain_is_told_without() {
    let faces = Faces::new();
    let with_grain = |stocks: &[&str]| {
        let mut text = SAMPLES[0].1.replace("grain = \"height\"\n", "");
        for stock in stocks {
            text = text.replacen(&format!("[{stock}]"), &format!("[{stock}]\ngrain = \"none\""), 1);
        }
        text
    };
    let all = |told: &Told<'_>| {
        let mut all = pages(told, Paper::A4, &faces);
        all.extend(crate::write::pdf::templates::pages(told.job, told.design, Paper::A4, true, &faces));
        words(&all).into_iter().map(str::to_owned).collect::<Vec<String>>()
    };
    let is_arrow = |w: &String| w.contains('\u{2195}') || w.contains('\u{2194}');
    with_jobs(&[("no liner's grain", with_grain(&["liner"]))], |_, told| {
        let has_grain = |stock| told.design.pieces.iter().any(|p| p.stock == stock && p.grain != Grain::None);
        assert_eq!([StockKind::Board, StockKind::Cloth, StockKind::Liner].map(has_grain), [true, true, false]);
        let words = all(told);
        assert!(words.iter().any(is_arrow));
        assert!(words.iter().any(|w| w.starts_with("Bend the board and the cloth each way")), "{words:?}");
    });
    with_jobs(&[("no grain", with_grain(&["board", "cloth", "liner"]))], |_, told| {
        let words = all(told);
        let arrows: Vec<&String> = words.iter().filter(|w| is_arrow(w)).collect();
        assert!(arrows.is_empty(), "{arrows:?}");
        // The heads of two tables' columns alone: "any", "as it comes".
        let said: Vec<&String> = words.iter().filter(|w| w.to_lowercase().contains("grain") && *w != "grain").collect();
        assert!(said.is_empty(), "{said:?}");
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

/// Lids that interlock are told, and how far apart they lie: of 1,000 places on either edge the nearest two, and two cloths
/// less.
#[test]
fn lids_that_interlock_are_told_with_what_is_between_them() {
    with_each(|name, told| {
        let words = super::interlock::words(told);
        if name != "whelk-box" {
            assert!(words.is_empty(), "{name}: {words:?}");
            return;
        }
        let places = told.design.assembly.closed();
        let edge = |side: Side| -> Vec<Point> {
            let i = told.design.assembly.panels.iter().position(|p| p.part == Part::Lid(side)).unwrap();
            let panel = &told.design.assembly.panels[i];
            let long: f64 = panel.outline.segments().map(|s| s.length()).sum();
            let of = |s: Segment| {
                let n = (s.length() / long * 4000.0).ceil() as usize;
                (0..=n).map(move |k| s.point_at(k as f64 / n as f64)).collect::<Vec<_>>()
            };
            let all = panel.outline.segments().flat_map(of);
            all.map(|p| places[i].at(p, panel.level)).map(|q| pt(q.x, q.y)).collect()
        };
        let (left, right) = (edge(Side::Left), edge(Side::Right));
        let nearest = left.iter().flat_map(|p| right.iter().map(move |q| p.distance(*q))).fold(f64::INFINITY, f64::min);
        let free = nearest - 2.0 * told.job.cloth.as_ref().unwrap().thickness.to_mm();
        let [said] = &words[..] else { panic!("{words:?}") };
        let number: f64 = said.split("interlock, ").nth(1).unwrap().split(' ').next().unwrap().parse().unwrap();
        assert!(
            said.starts_with("The left and the right lid interlock") && (number - free).abs() < 0.06,
            "{said}: {free}"
        );
    });
}
