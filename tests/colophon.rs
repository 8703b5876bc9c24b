//! A leaf with the colophon inside a lid: worked by hand, refused, on every machine, changed figure by figure, and in random
//! portfolios exported and proved. Random boxes with one are laid out by a reference and folded in `inside.rs`.

#![allow(
    clippy::panic,
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test that cannot read its job stops there"
)]

use crate::common::built::{Built, built, near, read};
use crate::common::proof::{export, told};
use crate::{portfolio, proved};
use flapwright::design::{Lay, Step, design, steps, take_up};
use flapwright::diag::any_error;
use flapwright::geom::{Path, Point, pt};
use flapwright::job::StockKind;
use flapwright::verify::verify_folder;
use serde_json::{Value, json};
use std::path::Path as File;

/// 100 x 150 x 6 with 2, 2 and 1 of room; board 2, cloth 0.3, liner 0.2; the left lid closes last and reaches 95.
fn plain(more: &str) -> String {
    format!(
        "format = 1\ntitle = 'x'\n[contents]\nwidth = 100\nheight = 150\ndepth = 6\n\
         [board]\nthickness = 2\nsheet = {{ width = 700, height = 1000 }}\n[cloth]\nthickness = 0.3\n\
         [liner]\nthickness = 0.2\n[flap.right]\ntier = 1\nreach = 40\n[flap.left]\ntier = 2\nreach = 95\n{more}"
    )
}

const LEAF: &str = "[inside.colophon]\nwidth = 50\nheight = 70\nthickness = 0.4\n";

fn sound(text: &str) -> Built {
    let b = built(text);
    assert!(!any_error(&b.said), "{:#?}\n{text}", b.said);
    b
}

/// The middles and lengths of slits, from the left and from below.
fn told_slits(slits: &[Path]) -> Vec<(Point, f64)> {
    let mut all: Vec<(Point, f64)> = slits
        .iter()
        .map(|s| [0, 1].map(|i| s.vertices()[i].point()))
        .map(|[a, b]| (a.lerp(b, 0.5), a.distance(b)))
        .collect();
    all.sort_by(|a, b| (a.0.x, a.0.y).partial_cmp(&(b.0.x, b.0.y)).unwrap());
    all
}

/// Worked by hand; derived. A leaf of 50 x 70 in the middle of the lid, 16 of each edge tucked in: the slits' middles lie
/// 8 in from either edge, and they are 16 sqrt 2 and 1 at each end long. The leaf of 0.4 hangs on the lining: the box is
/// that of a stack 0.4 deeper.
#[test]
fn a_leaf_held_by_its_corners_by_hand() {
    let (b, none) = (sound(&plain(LEAF)), sound(&plain("")));
    let deeper = sound(&plain("").replace("depth = 6", "depth = 6.4"));
    near([b.fit.interior[2].to_mm() - none.fit.interior[2].to_mm()], [0.4]);
    assert_eq!(b.design.measures, deeper.design.measures);
    near([(deeper.fit.depths.flat - b.fit.depths.flat).to_mm()], [0.4]);
    let lid = b.piece("board-flap-left").outline.bounds().center();
    let on = |at: Point| {
        let wanted = [(-17.0, -27.0), (-17.0, 27.0), (17.0, -27.0), (17.0, 27.0)].map(|(x, y)| at + pt(x, y));
        move |slits: &[Path]| {
            let all = told_slits(slits);
            assert_eq!(all.len(), 4, "{all:?}");
            for ((middle, long), wanted) in all.iter().zip(wanted) {
                assert!(middle.distance(wanted) < 1e-6, "{middle:?}, not {wanted:?}");
                near([*long], [16.0 * 2.0_f64.sqrt() + 2.0]);
            }
        }
    };
    // A liner in one is longer by what each of two joints swallows.
    let longer = take_up(&b.job, &b.design.measures).to_mm() * 2.0;
    on(lid - pt(longer, 0.0))(&b.piece("liner-cross").slits);
    let panels = sound(&plain(LEAF).replace("thickness = 0.2\n", "thickness = 0.2\npieces = 'panels'\n"));
    on(lid - pt(longer, 0.0))(&panels.piece("liner-flap-left").slits);
    let strips = sound(&plain(LEAF).replace("thickness = 0.2\n", "thickness = 0.2\npieces = 'hinge-strips'\n"));
    on(strips.piece("board-flap-left").outline.bounds().center())(&strips.piece("liner-flap-left").slits);
    // 20 from the upper edge of the lid, its middle lies 55 beneath it.
    let high = sound(&plain(&format!("{LEAF}from_top = 20\n")));
    let top = high.piece("board-flap-left").outline.bounds();
    let longer = take_up(&high.job, &high.design.measures).to_mm() * 2.0;
    on(pt(top.center().x - longer, top.max.y - 55.0))(&high.piece("liner-cross").slits);
    // It goes in once the box is made.
    let order = steps(&b.job, &b.design);
    assert!(order.contains(&Step::Inside) && !order.contains(&Step::SlotsAndPockets));
}

/// Worked by hand; derived. In its recess the leaf is level with the lining: 50 and twice the lining of 0.2 and 1 of room
/// across, 0.4 and a film of glue of 0.1 deep. The box is that of a job without it.
#[test]
fn a_leaf_in_a_recess_by_hand() {
    let text = plain(&format!("{LEAF}held = 'inset'\n"));
    let (b, none) = (sound(&text), sound(&plain("")));
    assert_eq!(b.design.measures, none.design.measures);
    assert_eq!(b.fit.exterior, none.fit.exterior);
    let lid = b.piece("board-flap-left");
    let [recess] = &lid.pockets[..] else { panic!("{:?}", lid.pockets) };
    let r = recess.outline.bounds();
    near([r.width(), r.height(), recess.depth.to_mm()], [51.4, 71.4, 0.5]);
    assert!(r.center().distance(lid.outline.bounds().center()) < 1e-6 && lid.lay == Lay::InsideUp);
    assert!(b.piece("liner-cross").slits.is_empty());
    assert!(steps(&b.job, &b.design).contains(&Step::SlotsAndPockets));
    // A label's recess in its outside is then cut from the other face; both leave enough of the board.
    let both = sound(&format!("{text}[title_label]\nwidth = 30\nheight = 15\nfrom_head = 10\n"));
    let lid = both.piece("board-flap-left");
    assert_eq!((lid.pockets.len(), lid.back_pockets.len()), (1, 1));
}

/// Of loose sheets the front cover holds it, of a wrapper its last lid.
#[test]
fn portfolios_hold_it_too() {
    let loose = sound(&portfolio::portfolio(LEAF));
    let all = told_slits(&loose.piece("liner-front-cover").slits);
    let middle = loose.piece("liner-front-cover").outline.bounds().center();
    assert_eq!(all.len(), 4);
    assert!(all.iter().fold(pt(0.0, 0.0), |sum, s| sum + s.0 * 0.25).distance(middle) < 1e-6);
    assert!(loose.piece("liner-back-cover").slits.is_empty());
    let inset = sound(&portfolio::portfolio(&format!("{LEAF}held = 'inset'\n")));
    assert_eq!(inset.piece("board-front-cover").pockets.len(), 1);
    let lids = "[flap.right]\ntier = 1\nreach = '60 %'\n[flap.left]\ntier = 2\nreach = '95 %'\n";
    let wrapped = sound(&portfolio::portfolio(&format!("{lids}{LEAF}")));
    assert!(wrapped.piece("liner-front-cover").slits.is_empty());
    assert_eq!(wrapped.piece("liner-cross").slits.len(), 4);
}

/// Worked by hand; derived. In a box of trays it lies on the floor of the one that closes over the other: in the middle of the
/// lining there, and the box is that of a stack 0.4 deeper. What the message says is the most can be made.
#[test]
fn trays_hold_it_on_the_floor_of_the_upper_one() {
    for (construction, piece) in [("drop-spine", "liner-large-tray-floor"), ("tray-and-lid", "liner-lid-floor")] {
        let text = |depth: f64, more: &str| {
            format!(
                "format = 1\ntitle = 'x'\n[contents]\nwidth = 100\nheight = 150\ndepth = {depth}\n[board]\nthickness = 2\n\
                 [cloth]\nthickness = 0.3\n[liner]\nthickness = 0.2\n[box]\nconstruction = '{construction}'\n{more}"
            )
        };
        let (b, deeper) = (sound(&text(20.0, LEAF)), sound(&text(20.4, "")));
        near(b.fit.exterior.map(|l| l.to_mm()), deeper.fit.exterior.map(|l| l.to_mm()));
        let lining = b.piece(piece);
        let middle = lining.outline.bounds().center();
        let all = told_slits(&lining.slits);
        let wanted = [(-17.0, -27.0), (-17.0, 27.0), (17.0, -27.0), (17.0, 27.0)].map(|(x, y)| middle + pt(x, y));
        assert_eq!(all.len(), 4, "{construction}");
        assert!(all.iter().zip(wanted).all(|(s, at)| s.0.distance(at) < 1e-6), "{construction}: {all:?}");
        let others = b.design.pieces.iter().filter(|p| p.id != piece);
        assert!(others.into_iter().all(|p| p.stock != StockKind::Liner || p.slits.is_empty()));
        let size = lining.outline.bounds();
        let most = (size.width() - 10.0, size.height() - 10.0);
        let leaf = |w: f64| LEAF.replace("width = 50", &format!("width = {w:.2}"));
        assert!(!any_error(&built(&text(20.0, &leaf(most.0 - 0.01))).said));
        assert!(any_error(&built(&text(20.0, &leaf(most.0 + 0.01))).said));
        assert!(most.1 > 100.0);
    }
}

#[test]
fn what_cannot_be_held_is_refused_where_it_stands() {
    let said = |text: &str| -> Vec<(String, bool)> {
        let (job, mut said) = read(text);
        said.extend(job.into_iter().flat_map(|job| design(&job).1));
        assert!(said.iter().filter(|d| d.is_error()).all(|d| d.hint.is_some()), "{said:#?}");
        said.iter().filter(|d| d.is_error()).map(|d| (d.code.to_owned(), d.place.is_some())).collect()
    };
    let leaf = |w: f64, more: &str| plain(&format!("[inside.colophon]\nwidth = {w}\nheight = 70\n{more}"));
    let without_liner = plain(LEAF).replace("[liner]\nthickness = 0.2\n", "");
    let trays = "format = 1\ntitle = 'x'\n[contents]\nwidth = 100\nheight = 150\ndepth = 20\n[board]\nthickness = 2\n\
                 [cloth]\nthickness = 0.3\n[box]\nconstruction = 'tray-and-lid'\n";
    let creased = plain(&format!("{LEAF}held = 'inset'\n[box]\nconstruction = 'creased-board'\n"));
    let two = format!("{LEAF}[[inside.beside]]\nwidth = 40\nheight = 100\ndepth = 6\n");
    let window = format!("{LEAF}[window.left]\nwidth = 40\nheight = 40\n");
    for (text, code) in [
        (leaf(90.0, ""), "colophon-off-lid"),
        (leaf(80.0, "held = 'inset'\n"), "colophon-off-lid"),
        (leaf(60.0, "from_top = 5\n"), "colophon-off-lid"),
        (leaf(40.0, "corner = 20\n"), "colophon-corners-meet"),
        (leaf(40.0, "held = 'inset'\ncorner = 9\n"), "not-this-shape"),
        (leaf(40.0, "held = 'inset'\nthickness = 2.5\n"), "pocket-too-deep"),
        (without_liner, "colophon-without-liner"),
        (format!("{trays}{LEAF}"), "colophon-without-liner"),
        (format!("{trays}[liner]\nthickness = 0.2\n{LEAF}held = 'inset'\n"), "no-recess-here"),
        (format!("{trays}[liner]\nthickness = 0.2\n{LEAF}").replace("width = 50", "width = 98"), "colophon-off-lid"),
        (
            format!("{trays}{LEAF}")
                .replace("tray-and-lid", "crossed-strips")
                .replace("thickness = 2\n", "thickness = 0.6\n"),
            "no-colophon-here",
        ),
        (creased, "no-recess-here"),
        (plain(&two), "colophon-over-stacks"),
        (plain(&window), "colophon-meets-window"),
        (plain(&format!("{LEAF}held = 'inset'\n[magnets.left]\ninset = 30\n")), "cuts-meet"),
    ] {
        let found = said(&text);
        assert!(found.iter().any(|(c, _)| c == code), "{code}: {found:?}\n{text}");
    }
    // At its most it can be made: the message says how large that is.
    let (job, _) = read(&leaf(90.0, ""));
    let found = design(&job.unwrap()).1;
    let hint = found.iter().find(|d| d.code == "colophon-off-lid").unwrap().hint.clone().unwrap();
    let most: f64 = hint.split("holds ").nth(1).unwrap().split(" x ").next().unwrap().parse().unwrap();
    assert_eq!(said(&leaf(most - 0.05, "")), [], "{hint}");
    assert!(!said(&leaf(most + 0.05, "")).is_empty(), "{hint}");
    // Two stacks keep it in a recess.
    assert_eq!(said(&plain(&two.replace("thickness = 0.4\n", "thickness = 0.4\nheld = 'inset'\n"))), []);
}

/// Both ways on every machine, proved, every figure of it changed once and found; a program of the slits of which one lies
/// half a millimetre off as well.
#[test]
fn it_is_proved_and_its_figures_are_held_against_the_pieces() {
    let home = File::new(env!("CARGO_TARGET_TMPDIR")).join("colophon");
    std::fs::create_dir_all(&home).unwrap();
    for held in ["corners", "inset"] {
        let path = home.join(held);
        std::fs::write(path.with_extension("toml"), plain(&format!("{LEAF}held = '{held}'\n"))).unwrap();
        let machines =
            ["oscillating-knife-table", "drag-knife-table", "shared-laser-cutter", "servo-plotter", "small-router"];
        let files = export(path.to_str().unwrap(), &machines, &format!("colophon-{held}"));
        assert_eq!(told(&verify_folder(&files)), Vec::<String>::new(), "{held}");
        let manifest: Value = serde_json::from_slice(&files["manifest.json"]).unwrap();
        let own = manifest["fit"]["inside"]["colophon"].as_object().unwrap().clone();
        let numbers = own.iter().filter(|(_, v)| v.is_number()).map(|(k, _)| k.clone());
        let mut changes: Vec<(String, Value)> =
            numbers.map(|k| (k.clone(), json!(own[&k].as_f64().unwrap() + 0.5))).collect();
        changes.push(("piece".into(), json!("liner-base")));
        changes.push(("held".into(), json!(if held == "inset" { "corners" } else { "inset" })));
        assert!(changes.len() >= 6, "{changes:?}");
        for (key, value) in changes {
            let mut manifest = manifest.clone();
            manifest["fit"]["inside"]["colophon"][&key] = value;
            let mut files = files.clone();
            files.insert("manifest.json".into(), serde_json::to_vec(&manifest).unwrap());
            let found = told(&verify_folder(&files));
            assert!(
                found.iter().any(|f| f.contains("colophon") || f.contains("column") || f.contains("highest")),
                "{key}: {found:?}"
            );
        }
    }
}

/// More of them: `FLAPWRIGHT_COLOPHON_JOBS=1000`.
#[test]
fn random_portfolios_with_a_leaf_are_refused_with_a_reason_or_proved() {
    let (from, count) =
        (proved::setting("FLAPWRIGHT_COLOPHON_FROM", 0), proved::setting("FLAPWRIGHT_COLOPHON_JOBS", 8));
    let job = |seed: u64| {
        let held = ["corners", "inset"][seed as usize % 2];
        let (w, h) = (34 + seed * 7 % 60, 36 + seed * 11 % 60);
        let leaf = format!("[inside.colophon]\nwidth = {w}\nheight = {h}\nthickness = 0.3\nheld = '{held}'\n");
        Some(portfolio::random(seed) + &leaf)
    };
    let (proved, faults) = proved::exported_and_proved("colophon-random", from..from + count, job, |_| ());
    println!("{proved} of {count} were written and proved");
    assert!(faults.is_empty(), "{} of {proved} not proved\n{}", faults.len(), faults.join("\n"));
    assert!(proved * 4 > count, "only {proved} of {count}");
}
