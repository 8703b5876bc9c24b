//! Coupons followed to what a machine would really leave on the bed, and back to the profile.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use flapwright::coupon::figures::{Change, TableAt, changes};
use flapwright::coupon::form::{self, Measured};
use flapwright::coupon::{Coupon, coupon, edit};
use flapwright::diag::{Diagnostic, Source};
use flapwright::geom::{Point, Segment, pt};
use flapwright::job::StockKind;
use flapwright::motion::{Program, Run, Step, build_tuned};
use flapwright::ops::operations;
use flapwright::profile::{self, OperationKind, Profile, shipped};
use flapwright::units::{Length, mm};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn text_of(id: &str) -> &'static str {
    shipped().iter().find(|p| p.0 == id).unwrap().1
}

fn profile(id: &str) -> Profile {
    profile::read(&Source { name: id.into(), text: text_of(id).into() }, id).0.unwrap()
}

fn cut(profile: &Profile, thickness: Length) -> (Coupon, Program) {
    let (coupon, _) = coupon(profile, StockKind::Board, thickness);
    let coupon = coupon.unwrap();
    let (program, told) = build_tuned(&operations(&coupon.sheet, &coupon.pieces), profile, &coupon.tuned);
    (coupon, program.unwrap_or_else(|| panic!("{told:?}")))
}

fn run_of<'p>(program: &'p Program, piece: &str, kind: OperationKind, index: u32) -> &'p Run {
    let mut runs = program.sections.iter().flat_map(|s| &s.runs);
    runs.find(|r| r.line.piece == piece && r.line.kind == kind && r.line.index == index).unwrap()
}

/// The upright stretches of the tool's way longer than this, their x, left to right.
fn upright(run: &Run, longer_than: f64) -> Vec<f64> {
    let (mut at, mut found) = (pt(0.0, 0.0), Vec::new());
    for step in &run.steps {
        match *step {
            Step::Travel { to } => at = to,
            Step::Cut { to, .. } => {
                if (to.x - at.x).abs() < 1e-6 && (to.y - at.y).abs() > longer_than {
                    found.push(to.x);
                }
                at = to;
            }
            _ => {}
        }
    }
    found.sort_by(f64::total_cmp);
    found.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    found
}

fn filled(coupon: &Coupon, profile: &Profile, pairs: &[(&str, &str)]) -> (Option<Measured>, Vec<Diagnostic>) {
    let mut text = form::form(coupon, profile);
    for (from, to) in pairs {
        assert!(text.contains(from), "{from} is not in\n{text}");
        text = text.replacen(from, to, 1);
    }
    form::read(&Source { name: "measured.toml".into(), text })
}

fn only(changes: &[Change]) -> &Change {
    assert_eq!(changes.len(), 1, "{changes:?}");
    &changes[0]
}

/// A tool that takes half of its true kerf off either side of its way, whatever the profile thinks.
#[test]
fn a_beam_of_any_kerf_is_found_by_the_plug_and_by_the_caliper() {
    let machine = profile("shared-laser-cutter");
    let (coupon, program) = cut(&machine, mm(2.0));
    let plug = upright(run_of(&program, "kerf-plug", OperationKind::ThroughCut, 0), 15.0);
    let comb = upright(run_of(&program, "kerf-comb", OperationKind::ThroughCut, 0), 15.0);
    assert_eq!((plug.len(), comb.len()), (2, 20), "two sides; two ends and nine notches");
    for truth in [0.06, 0.1, 0.18, 0.233, 0.3, 0.4] {
        let width = plug[1] - plug[0] - truth;
        let notches: Vec<f64> = comb[1..19].chunks(2).map(|w| w[1] - w[0] + truth).collect();
        assert!(notches.windows(2).all(|w| w[0] > w[1]), "A is the widest");
        // The last that the plug enters.
        let snug = notches.iter().rposition(|n| *n >= width - 1e-9).unwrap();
        let letter = format!("fits = \"{}\"", flapwright::coupon::letter(snug));
        let (measured, told) = filled(&coupon, &machine, &[("fits = \"\"", &letter)]);
        let (found, _) = changes(&measured.unwrap_or_else(|| panic!("{told:?}")), &machine);
        let kerf = found.first().map_or(0.18, |c| c.to);
        assert!(kerf <= truth + 1e-9 && kerf > truth - 0.05 - 1e-9, "{truth} by hand: {kerf}");
        // A caliper that shows 0.03 too much everywhere misleads neither.
        let (p, s) = (format!("plug = [{:.3}]", width + 0.03), format!("slot = [{:.3}]", notches[0] + 0.03));
        let (measured, _) = filled(&coupon, &machine, &[("plug = []", &p), ("slot = []", &s)]);
        let (found, _) = changes(&measured.unwrap(), &machine);
        let kerf = found.first().map_or(0.18, |c| c.to);
        assert!((kerf - truth).abs() < 0.006, "{truth} by caliper: {kerf}");
    }
}

/// The ways of a trailing tip through all the work of one tool, line by line, by small steps of
/// dT = u (u . dP): it never slips sideways. Lifted, the blade keeps its heading.
fn tip_ways(program: &Program, tool: usize, d: f64) -> Vec<(String, u32, Vec<Point>)> {
    let (mut pivot, mut tip, mut blade) = (pt(0.0, 0.0), pt(0.0, 0.0), 0.0);
    let runs = program.sections.iter().filter(|s| s.tool == tool).flat_map(|s| &s.runs);
    let mut ways = Vec::new();
    for run in
        runs.filter(|r| r.line.kind == OperationKind::ThroughCut || r.line.kind == OperationKind::HalfDepthPocket)
    {
        let mut way = Vec::new();
        for step in &run.steps {
            match *step {
                Step::Travel { to } => {
                    pivot = to;
                    tip = pivot - Point::unit(blade) * d;
                }
                Step::Cut { to, bulge, .. } => {
                    let s = Segment { start: pivot, end: to, bulge };
                    let n = (s.length() / 0.005).ceil().max(1.0) as usize;
                    for k in 1..=n {
                        let next = s.point_at(k as f64 / n as f64);
                        let pull = next - pivot;
                        pivot = next;
                        tip = tip + Point::unit(blade) * Point::unit(blade).dot(pull);
                        blade = (pivot - tip).heading();
                        // A rod of length d, kept so against rounding.
                        tip = pivot - Point::unit(blade) * d;
                        way.push(tip);
                    }
                }
                _ => {}
            }
        }
        ways.push((run.line.piece.clone(), run.line.index, way));
    }
    ways
}

/// What a tip leaves of a card: over the tips of its tongues, between the bottoms of its notches, and by how
/// much the sides stand out beyond the straight, the most where the cut has just left a round.
struct Left {
    over: f64,
    web: f64,
    swells: f64,
}

fn left_of(coupon: &Coupon, ways: &[(String, u32, Vec<Point>)], rung: usize) -> Left {
    let id = format!("offset-{}", flapwright::coupon::letter(rung));
    let placed = coupon.sheet.placed.iter().find(|p| coupon.pieces[p.piece].id == id).unwrap().bounds;
    let middle = placed.center();
    let radius = coupon.trials.offset.as_ref().unwrap().radius;
    let (_, _, way) = ways.iter().find(|(piece, ..)| *piece == id).unwrap();
    let about = || way.iter().map(|p| *p - middle);
    // At the tips and bottoms, a tenth of a millimetre to either side.
    let tips: Vec<f64> = about().filter(|p| p.y.abs() < 0.1).map(|p| p.x).collect();
    let bottoms: Vec<f64> =
        about().filter(|p| p.x.abs() < 0.1 && p.y.abs() < placed.height() / 2.0 - 2.0).map(|p| p.y).collect();
    let most = |of: &[f64]| of.iter().copied().fold(f64::MIN, f64::max) - of.iter().copied().fold(f64::MAX, f64::min);
    // Counter-clockwise about the tongues: above on the right and below on the left they are left.
    let tip = placed.width() / 2.0 - radius;
    let behind = about()
        .filter(|p| p.x * p.y > 0.0 && p.x.abs() < tip - 0.2 && p.x.abs() > tip - 2.0 && p.y.abs() < radius + 2.0)
        .map(|p| p.y.abs() - radius);
    let swells = behind.fold(0.0f64, |a, b| if b.abs() > a.abs() { b } else { a });
    Left { over: most(&tips), web: most(&bottoms), swells }
}

/// A knife of any offset, led by a profile that has another. Derived: the trailing tip followed step by
/// step, by nothing but that it never slips sideways.
#[test]
fn tongues_and_notches_tell_the_pivot_offset() {
    let mut signs = (0, 0);
    for (now, truths) in [
        (3.0, &[2.0, 2.4, 2.65, 2.8, 3.0, 3.2, 3.35, 3.6, 4.2][..]),
        (1.2, &[0.9, 1.1, 1.2, 1.3, 1.6]),
        (6.0, &[5.0, 5.7, 6.0, 6.4, 7.0]),
    ] {
        let mut machine = profile("drag-knife-table");
        let tool = machine.rule(OperationKind::ThroughCut, StockKind::Board).unwrap().1;
        machine.tools[tool].pivot_offset = mm(now);
        machine.rules.iter_mut().for_each(|r| r.overrun = mm(now + 0.5));
        let (coupon, program) = cut(&machine, mm(2.0));
        let trial = coupon.trials.offset.clone().unwrap();
        assert_eq!((trial.now, trial.tried.len()), (now, 5));
        let own = trial.tried.iter().position(|d| (d - now).abs() < 1e-9).unwrap();
        for &truth in truths {
            let ways = tip_ways(&program, tool, truth);
            let left = left_of(&coupon, &ways, own);
            let wide = (left.over - trial.over) - (left.web - trial.web);
            if (truth - now).abs() > 1e-9 {
                assert!(wide * (now - truth) > 0.0, "{now}, {truth}: rounds too wide by {wide}");
                signs = if wide > 0.0 { (signs.0 + 1, signs.1) } else { (signs.0, signs.1 + 1) };
            }
            // A kerf that the profile has wrong and a caliper that shows too little move both alike.
            for off in [0.0, 0.13, -0.05] {
                let (o, w) = (format!("over = [{:.4}]", left.over + off), format!("web = [{:.4}]", left.web + off));
                let (measured, _) = filled(&coupon, &machine, &[("over = []", &o), ("web = []", &w)]);
                let (found, told) = changes(&measured.unwrap(), &machine);
                let offset = found.iter().find(|c| c.key == "pivot_offset").map_or(now, |c| c.to);
                assert!((offset - truth).abs() < 0.04 * truth.max(1.0), "{now}, {truth}: {offset}, {told:?}");
                // Closed cuts ran on by half a millimetre more than the offset: so they do again where that has
                // become too little.
                let overruns: Vec<f64> = found.iter().filter(|c| c.key == "overrun").map(|c| c.to).collect();
                assert_eq!(overruns.is_empty(), offset <= now + 0.5, "{found:?}");
                assert!(overruns.iter().all(|o| (o - offset - 0.5).abs() < 1e-9), "{found:?}");
            }
        }
    }
    assert!(signs.0 > 5 && signs.1 > 5, "{signs:?}");
}

#[test]
fn the_straightest_sides_tell_the_pivot_offset() {
    let machine = profile("drag-knife-table");
    let tool = machine.rule(OperationKind::ThroughCut, StockKind::Board).unwrap().1;
    let (coupon, program) = cut(&machine, mm(2.0));
    let trial = coupon.trials.offset.clone().unwrap();
    for truth in [2.6, 2.75, 3.0, 3.15, 3.4] {
        let ways = tip_ways(&program, tool, truth);
        let swells: Vec<f64> = (0..5).map(|i| left_of(&coupon, &ways, i).swells).collect();
        assert!(swells.windows(2).all(|w| w[0] < w[1]), "{truth}: {swells:?}");
        for (d, by) in trial.tried.iter().zip(&swells) {
            assert!((d - truth).abs() < 0.11 || by * (d - truth) > 0.0, "{truth}: {d} {by}");
        }
        let best = (0..5).min_by(|a, b| swells[*a].abs().total_cmp(&swells[*b].abs())).unwrap();
        let letter = format!("best = \"{}\" #", flapwright::coupon::letter(best));
        let (measured, _) = filled(&coupon, &machine, &[("best = \"\" # the letter of the card", &letter)]);
        let (found, _) = changes(&measured.unwrap(), &machine);
        let offset = found.first().map_or(3.0, |c| c.to);
        assert!((offset - truth).abs() < 0.11, "{truth}: {offset}");
    }
}

#[test]
fn readings_that_no_offset_explains_are_refused() {
    let machine = profile("drag-knife-table");
    let (coupon, _) = cut(&machine, mm(2.0));
    let trial = coupon.trials.offset.clone().unwrap();
    let pairs =
        |over: f64, web: f64| [format!("over = [{}]", trial.over + over), format!("web = [{}]", trial.web + web)];
    let told = |[o, w]: [String; 2], best: &str| {
        let pairs = [("over = []", &*o), ("web = []", &*w), ("best = \"\" # the letter of the card", best)];
        let (measured, _) = filled(&coupon, &machine, &pairs);
        changes(&measured.unwrap(), &machine)
    };
    let (found, said) = told(pairs(2.0, -2.0), "best = \"\" #");
    assert!(found.is_empty() && said.iter().any(|d| d.code == "rounds-too-wide" && d.is_error()), "{said:?}");
    let (found, said) = told(pairs(0.4, -0.4), "best = \"E\" #");
    assert!(found.iter().any(|c| c.key == "pivot_offset" && c.to < 2.7), "{found:?}");
    assert!(said.iter().any(|d| d.code == "offset-disagrees" && !d.is_error()), "{said:?}");
    assert!(told(pairs(0.1, -0.1), "best = \"B\" #").1.is_empty());
}

#[test]
fn each_rung_is_worked_as_deep_or_as_often_as_its_card_says() {
    let deepest = |run: &Run| {
        let depth = |s: &Step| match *s {
            Step::Cut { depth, .. } => depth,
            _ => 0.0,
        };
        run.steps.iter().map(depth).fold(0.0, f64::max)
    };
    let machine = profile("oscillating-knife-table");
    let (coupon, program) = cut(&machine, mm(1.2));
    for (name, kind, ladder) in [
        ("pocket", OperationKind::HalfDepthPocket, coupon.trials.pocket.clone().unwrap()),
        ("crease", OperationKind::CreaseScore, coupon.trials.crease.clone().unwrap()),
    ] {
        assert_eq!(ladder.tried.len(), 5);
        for (i, depth) in ladder.tried.iter().enumerate() {
            let run = run_of(&program, &format!("{name}-{}", flapwright::coupon::letter(i)), kind, 0);
            assert!((deepest(run) - depth).abs() < 1e-9, "{name} {i}");
        }
    }
    let beam = profile("shared-laser-cutter");
    let (coupon, program) = cut(&beam, mm(2.0));
    for (i, passes) in coupon.trials.pocket.unwrap().tried.iter().enumerate() {
        let run =
            run_of(&program, &format!("pocket-{}", flapwright::coupon::letter(i)), OperationKind::HalfDepthPocket, 0);
        assert!((f64::from(run.passes) - passes).abs() < 1e-9);
    }
}

#[test]
fn pockets_and_creases_become_passes_depths_and_a_word_about_zero() {
    let beam = profile("shared-laser-cutter");
    let (coupon, _) = cut(&beam, mm(2.0));
    let rule = beam.rules.iter().position(|r| r.operation == OperationKind::HalfDepthPocket).unwrap();
    // 1.05 mm is nearest to half of 2 mm: three passes, whatever the profile says now. By hand.
    for passes in [1, 2, 3, 5] {
        let mut beam = beam.clone();
        beam.rules[rule].passes = passes;
        let (measured, _) = filled(&coupon, &beam, &[("depths = []", "depths = [0.35, 0.72, 1.05, 1.4, 1.75]")]);
        let (found, _) = changes(&measured.unwrap(), &beam);
        if passes == 3 {
            assert_eq!(found, []);
            continue;
        }
        let change = only(&found);
        assert_eq!((change.table, change.key), (TableAt::Rule(rule), "passes"));
        assert!((change.from - f64::from(passes)).abs() < 1e-9 && (change.to - 3.0).abs() < 1e-9, "{change:?}");
    }

    let knife = profile("oscillating-knife-table");
    let (coupon, _) = cut(&knife, mm(1.2));
    let pairs = [
        ("depths = []", "depths = [0.46, 0.58, 0.7, 0.82, 0.94]"),
        ("best = \"\" # the letter of the crease", "best = \"d\" #"),
    ];
    let (measured, _) = filled(&coupon, &knife, &pairs);
    let (found, told) = changes(&measured.unwrap(), &knife);
    // Derived: a quarter more than the rule's 0.3, by the card's own letter D; 0.375 to a hundredth.
    assert_eq!(only(&found).key, "depth");
    assert!((only(&found).to - 0.375).abs() < 0.011, "{found:?}");
    let zero = told.iter().find(|d| d.code == "z-zero-off").unwrap();
    assert!(zero.message.contains("0.1 mm too deep"), "{}", zero.message);
}

#[test]
fn what_is_wrong_in_a_form_is_told_with_its_place_all_at_once() {
    let machine = profile("drag-knife-table");
    let (coupon, _) = cut(&machine, mm(1.2));
    let pairs = [
        ("fits = \"\"", "fits = \"Z\""),
        ("depths = []", "depths = [0.4]"),
        ("plug = []", "plug = [-1]"),
        ("best = \"\" # the letter of the crease", "best = \"Q\" #"),
    ];
    let (measured, told) = filled(&coupon, &machine, &pairs);
    assert!(measured.is_none());
    let mut codes: Vec<&str> = told.iter().map(|d| d.code).collect();
    codes.sort_unstable();
    assert_eq!(codes, ["no-such-letter", "no-such-letter", "not-a-reading", "pockets-missing"]);
    assert!(told.iter().all(|d| matches!(d.place, Some(flapwright::diag::Place::Span(_)))), "{told:?}");
    let (measured, _) = filled(&coupon, &machine, &[]);
    let (found, told) = changes(&measured.unwrap(), &machine);
    assert!(found.is_empty() && told.iter().any(|d| d.code == "form-is-empty" && d.is_error()));
    let (measured, _) = filled(&coupon, &machine, &[("plug = []", "plug = [9.5, 10.4]")]);
    assert!(changes(&measured.unwrap(), &machine).1.iter().any(|d| d.code == "readings-apart"));
    // A key that a form has not got.
    assert!(filled(&coupon, &machine, &[("fits =", "fist =")]).1.iter().any(Diagnostic::is_error));
}

#[test]
fn every_shipped_profile_takes_a_change_of_every_figure_and_stays_readable() {
    for (id, text) in shipped() {
        let machine = profile(id);
        let tool = |i| Change {
            table: TableAt::Tool(i),
            key: "kerf",
            from: 0.0,
            to: 0.21,
            is_count: false,
            why: String::new(),
        };
        let rule = |i| Change {
            table: TableAt::Rule(i),
            key: "feed",
            from: 0.0,
            to: 777.0,
            is_count: false,
            why: String::new(),
        };
        let all: Vec<Change> = (0..machine.tools.len())
            .map(tool)
            .chain((0..machine.rules.iter().filter(|r| !r.is_lent).count()).map(rule))
            .collect();
        let new = edit::edited(text, &all).unwrap();
        // Every comment stays; before those of changed values stands that they are measured now.
        let comments = |t: &str| -> Vec<String> {
            let all = t.lines().filter_map(|l| l.split_once('#')).map(|(_, c)| c);
            let own = |c: &str| match c.strip_prefix(" measured with a coupon; ") {
                Some(rest) => format!(" {}", rest.split_once(" before: ").unwrap().1),
                None => c.to_owned(),
            };
            all.map(own).collect()
        };
        assert_eq!(comments(text), comments(&new), "{id}");
        assert!(new.matches("# measured with a coupon; ").count() > 0, "{id}");
        let doc: toml::Table = new.parse().unwrap();
        assert!(doc["tool"].as_array().unwrap().iter().all(|t| t["kerf"].as_float() == Some(0.21)), "{id}");
        assert!(doc["rule"].as_array().unwrap().iter().all(|t| t["feed"].as_integer() == Some(777)), "{id}");
        assert_eq!(edit::edited(text, &[]).as_deref(), Ok(*text), "{id}");
    }
}

fn folder(name: &str) -> PathBuf {
    let dir = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("coupon-{name}"));
    let _ = fs::remove_dir_all(&dir);
    fs::create_dir_all(&dir).unwrap();
    dir
}

fn flapwright(dir: &Path, arguments: &[&str]) -> (i32, String, String) {
    let o: Output = Command::new(env!("CARGO_BIN_EXE_flapwright")).args(arguments).current_dir(dir).output().unwrap();
    let text = |b: &[u8]| String::from_utf8_lossy(b).into_owned();
    (o.status.code().unwrap(), text(&o.stdout), text(&o.stderr))
}

#[test]
fn a_coupon_is_proved_with_its_form_filled_in_and_not_when_its_program_was_touched() {
    let dir = folder("proved");
    for (machine, more) in [
        ("drag-knife-table", &["--thickness", "2 mm"][..]),
        ("oscillating-knife-table", &["--thickness", "2 mm"]),
        ("servo-plotter", &["--stock", "cloth", "--thickness", "0.3 mm"]),
    ] {
        let (code, _, said) = flapwright(&dir, &[&["coupon", "--machine", machine, "--out", machine], more].concat());
        assert_eq!(code, 0, "{said}");
        let form = dir.join(machine).join("measured.toml");
        let text = fs::read_to_string(&form).unwrap();
        fs::write(&form, text + "# measured on a wet day\n").unwrap();
        let (code, out, _) = flapwright(&dir, &["verify", machine]);
        assert!(code == 0 && !out.contains("error["), "{machine}: {out}");
        // A trial cut elsewhere than written is found all the same.
        let program = fs::read_dir(dir.join(machine)).unwrap().map(|e| e.unwrap().path());
        let program = program.filter(|p| p.extension().is_some_and(|e| e == "nc" || e == "gcode"));
        let program = program.into_iter().find(|p| !p.to_string_lossy().contains("outline")).unwrap();
        let text = fs::read_to_string(&program).unwrap();
        let at = text.rfind("X1").unwrap();
        fs::write(&program, format!("{}X3{}", &text[..at], &text[at + 2..])).unwrap();
        let (code, out, _) = flapwright(&dir, &["verify", machine]);
        assert!(code == 1 && out.contains("error[file-changed]"), "{machine}: {out}");
    }
}

#[test]
fn from_the_folder_to_the_profile_and_back() {
    let dir = folder("round");
    fs::write(dir.join("mine.toml"), text_of("shared-laser-cutter")).unwrap();
    let (code, out, err) = flapwright(&dir, &["coupon", "--machine", "mine.toml", "--out", "c", "--png"]);
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("coupon.pdf"), "{out}");
    for file in [
        "coupon.md",
        "coupon.pdf",
        "measured.toml",
        "manifest.json",
        "coupon-for-shared-laser-cutter_coupon-board-2mm.dxf",
        "coupon-board.svg",
        "coupon-board.mine.svg",
        "coupon-board.mine.png",
        "coupon-board.mine.nc",
        "mine.profile.toml",
    ] {
        assert!(dir.join("c").join(file).is_file(), "{file}");
    }
    // The same coupon again, over a folder of ours.
    let before = fs::read(dir.join("c/coupon-board.mine.nc")).unwrap();
    assert_eq!(flapwright(&dir, &["coupon", "--machine", "mine.toml", "--out", "c"]).0, 0);
    assert_eq!(fs::read(dir.join("c/coupon-board.mine.nc")).unwrap(), before);

    let form = fs::read_to_string(dir.join("c/measured.toml")).unwrap().replace("fits = \"\"", "fits = \"f\"");
    fs::write(dir.join("measured.toml"), form).unwrap();
    let learn = ["coupon", "--machine", "mine.toml", "--read", "measured.toml"];
    let (code, out, err) = flapwright(&dir, &learn);
    assert_eq!(code, 0, "{err}");
    // A stands for 0.18 - 3 x 0.05; F is five steps further.
    assert!(out.contains("- kerf = 0.18") && out.contains("+ kerf = 0.28"), "{out}");
    assert!(out.contains("Nothing was written"), "{out}");
    assert_eq!(fs::read_to_string(dir.join("mine.toml")).unwrap(), text_of("shared-laser-cutter"));
    let (code, out, _) = flapwright(&dir, &[&learn[..], &["--write"]].concat());
    assert_eq!(code, 0);
    assert!(out.contains("Written to mine.toml"), "{out}");
    let new = fs::read_to_string(dir.join("mine.toml")).unwrap();
    let changed: Vec<(&str, &str)> =
        text_of("shared-laser-cutter").lines().zip(new.lines()).filter(|(a, b)| a != b).collect();
    assert_eq!(changed.len(), 1);
    let said = changed[0].0.replace("0.18", "0.28").replace("# ", "# measured with a coupon; 0.18 before: ");
    assert_eq!(changed[0].1, said, "the comment stays, and is no longer false");
    let (code, out, _) = flapwright(&dir, &learn);
    assert!(code == 0 && out.contains("nothing to change"), "{out}");
    assert!(!dir.join("mine.toml.new").exists());

    // A shipped profile is shown and not written.
    let shipped = ["coupon", "--machine", "shared-laser-cutter", "--read", "measured.toml"];
    assert_eq!(flapwright(&dir, &shipped).0, 0);
    let (code, _, err) = flapwright(&dir, &[&shipped[..], &["--write"]].concat());
    assert!(code == 2 && err.contains("flapwright profiles copy shared-laser-cutter my-machine.toml"), "{err}");
    let (code, out, _) = flapwright(&dir, &[&shipped[..], &["--format", "json"]].concat());
    let report: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!((code, &report["changes"][0]["key"], &report["written"]), (0, &"kerf".into(), &false.into()));
}

#[test]
fn a_machine_that_cannot_cut_the_stock_is_refused() {
    let dir = folder("refused");
    let (code, _, err) = flapwright(&dir, &["coupon", "--machine", "servo-plotter", "--out", "c"]);
    assert!(code == 1 && err.contains("no-coupon") && !dir.join("c").exists(), "{err}");
    let (code, _, err) = flapwright(&dir, &["coupon", "--machine", "servo-plotter", "--stock", "cloth", "--out", "c"]);
    assert_eq!(code, 0, "{err}");
    assert_eq!(flapwright(&dir, &["coupon", "--machine", "servo-plotter"]).0, 2);
    let wrong = ["coupon", "--machine", "small-router", "--out", "d", "--thickness", "2 bananas"];
    assert_eq!(flapwright(&dir, &wrong).0, 2);
}
