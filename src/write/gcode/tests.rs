//! Programs read back word by word, by a reader of the tests' own, and what must hold in every one.

use crate::comp::testbed::{cut_of, op_of, profile, sheet};
use crate::geom::{Contour, Path, Stroke, Vertex, fillet, pt};
use crate::motion::{Program, build};
use crate::ops::{Keep, SheetOps};
use crate::profile::*;
use crate::units::{deg, mm};
use crate::write::program::{outline, write};

/// A base with a slot, a pocket, a mark and round corners, and a wall beside it.
fn folio() -> SheetOps {
    let base = Contour::rectangle(pt(20.0, 20.0), pt(120.0, 160.0));
    let base = fillet(&fillet(&base, 0, 8.0).expect("fits"), 3, 25.0).expect("fits");
    let bowed = Contour::new([
        Vertex::new(pt(140.0, 20.0), 0.0),
        Vertex::new(pt(190.0, 20.0), 0.13),
        Vertex::new(pt(190.0, 160.0), 0.0),
        Vertex::new(pt(140.0, 160.0), 0.0),
    ]);
    let slot = Contour::rectangle(pt(40.0, 50.0), pt(48.5, 53.0)).reversed();
    let pocket = Contour::rectangle(pt(40.0, 53.0), pt(48.0, 78.0)).reversed();
    let mut wall = cut_of(bowed, Keep::Inside);
    wall.piece = "wall-left".into();
    sheet(vec![
        op_of(Stroke::Open(Path::line(pt(60.0, 90.0), pt(90.0, 90.0))), OperationKind::Mark, Keep::Line, 0),
        op_of(Stroke::Closed(pocket), OperationKind::HalfDepthPocket, Keep::Outside, 0),
        cut_of(slot, Keep::Outside),
        cut_of(base, Keep::Inside),
        wall,
    ])
}

fn program(profile: &Profile) -> Program {
    let (program, told) = build(&folio(), profile);
    program.unwrap_or_else(|| panic!("{told:?}"))
}

fn text(profile: &Profile) -> String {
    let (files, _) = write(&program(profile), profile, "Tideline folio (größe; 2)");
    assert_eq!(files.len(), 1);
    String::from_utf8(files[0].bytes.clone()).expect("ASCII")
}

/// The words of a block, comments left out; letters in upper case.
fn words(line: &str) -> Vec<(char, f64)> {
    let mut plain = String::new();
    let mut in_comment = false;
    for c in line.split(';').next().unwrap_or("").chars() {
        match c {
            '(' => in_comment = true,
            ')' => in_comment = false,
            ' ' => {}
            c if !in_comment => plain.push(c),
            _ => {}
        }
    }
    let starts: Vec<usize> = plain.char_indices().filter(|c| c.1.is_ascii_alphabetic()).map(|c| c.0).collect();
    starts
        .iter()
        .enumerate()
        .map(|(i, &s)| {
            let end = starts.get(i + 1).copied().unwrap_or(plain.len());
            let letter = plain[s..].chars().next().expect("a letter");
            (letter, plain[s + 1..end].parse().unwrap_or_else(|_| panic!("a number in {line}")))
        })
        .collect()
}

/// What a program does: the deepest Z, the cut length in the plane, and its last motion words.
#[derive(Debug, Default)]
struct Read {
    lowest: f64,
    cut: f64,
    turns: usize,
    arcs: usize,
}

/// Runs a program and asserts what must hold in every one. `on` and `off` are the M words of a
/// switched tool.
fn read(text: &str, profile: &Profile, on: &[f64], off: &[f64]) -> Read {
    let safe = 2.0 + profile.machine.safe_height.to_mm();
    let has_z = profile.machine.z_axis;
    let rotary = profile.output.rotary.as_ref().and_then(|r| r.chars().next());
    let mut found = Read::default();
    let (mut at, mut z, mut motion, mut feed) = ((0.0f64, 0.0f64), f64::NAN, f64::NAN, f64::NAN);
    let mut running = false;
    for line in text.lines() {
        assert!(line.is_ascii() && line.len() <= 80, "{line}");
        assert!(!line.contains("-0 ") && !line.ends_with("-0"), "{line}");
        assert!(line.matches('(').count() <= 1, "no bracket in a comment: {line}");
        let words = words(line);
        let get = |l: char| words.iter().find(|w| w.0 == l).map(|w| w.1);
        let gs: Vec<f64> = words.iter().filter(|w| w.0 == 'G').map(|w| w.1).collect();
        if let Some(m) = get('M') {
            running = if on.contains(&m) { true } else { running && !off.contains(&m) };
        }
        if gs.contains(&4.0) || gs.len() > 1 {
            continue;
        }
        motion = gs.first().copied().unwrap_or(motion);
        feed = get('F').unwrap_or(feed);
        let to = (get('X').unwrap_or(at.0), get('Y').unwrap_or(at.1));
        let to_z = get('Z').unwrap_or(z);
        let (moves, sinks) = (get('X').is_some() || get('Y').is_some(), get('Z').is_some());
        if let Some(_turn) = rotary.and_then(get)
            && !moves
        {
            assert!(!sinks && get('F').is_some(), "a turn alone with its feed: {line}");
            found.turns += 1;
            feed = f64::NAN;
        }
        if motion < 0.5 {
            assert!(!moves || !has_z || (z - safe).abs() < 1e-9, "traverse below safe height: {line}");
            assert!(!moves || !running, "traverse with the tool on: {line}");
            assert!(!sinks || to_z >= safe - 1e-9, "G0 down: {line}");
        } else if moves || sinks {
            assert!(feed.is_finite(), "no feed: {line}");
        }
        let dist = (to.0 - at.0).hypot(to.1 - at.1);
        if (motion - 1.0).abs() < 0.5 && moves {
            found.cut += dist;
        }
        if motion > 1.5 && moves {
            let (i, j) = (get('I').expect("I"), get('J').expect("J"));
            let (c, r) = ((at.0 + i, at.1 + j), i.hypot(j));
            let r2 = (to.0 - c.0).hypot(to.1 - c.1);
            assert!((r - r2).abs() <= 0.002, "radii {r} {r2}: {line}");
            let (a, b) = ((-j).atan2(-i), (to.1 - c.1).atan2(to.0 - c.0));
            let sweep = if motion > 2.5 { b - a } else { a - b };
            found.cut += r * sweep.rem_euclid(std::f64::consts::TAU);
            found.arcs += 1;
        }
        (at, z) = (to, to_z);
        if has_z {
            found.lowest = found.lowest.min(z - 2.0);
        }
    }
    assert!(!running, "ends with the tool off");
    assert!(!has_z || (z - safe).abs() < 1e-9, "ends lifted");
    let [px, py] = profile.machine.park;
    assert!((at.0 - px.to_mm()).hypot(at.1 - py.to_mm()) < 1e-9, "ends parked");
    found
}

/// The length of every cut of a motion program.
fn cut_length(program: &Program) -> f64 {
    use crate::comp::Step;
    use crate::geom::Segment;
    let (mut at, mut length) = (pt(0.0, 0.0), 0.0);
    for step in program.sections.iter().flat_map(|s| &s.runs).flat_map(|r| &r.steps) {
        match *step {
            Step::Travel { to } => at = to,
            Step::Cut { to, bulge, .. } => {
                length += Segment { start: at, end: to, bulge }.length();
                at = to;
            }
            _ => {}
        }
    }
    length
}

#[test]
fn every_dialect_says_the_same_and_keeps_the_rules() {
    for kind in [ToolKind::DragKnife, ToolKind::TangentialKnife] {
        let base = profile(kind);
        let dialects: [fn(&mut Profile); 7] = [
            |_| {},
            |p| p.output.decimals = 3,
            |p| p.output.decimals = 2,
            |p| p.output.arcs = false,
            |p| (p.output.line_numbers, p.output.percent) = (10, true),
            |p| (p.output.comments, p.output.line_ending) = (Comments::Semicolon, LineEnding::Crlf),
            |p| (p.output.comments, p.machine.origin) = (Comments::None, [mm(12.5), mm(20.0)]),
        ];
        for (i, change) in dialects.into_iter().enumerate() {
            let mut p = base.clone();
            change(&mut p);
            let found = read(&text(&p), &p, &[], &[]);
            let expected = cut_length(&program(&p));
            let slack = if p.output.decimals == 2 { 1.0 } else { 0.3 };
            assert!((found.cut - expected).abs() < slack, "{kind:?} {i}: {found:?} {expected}");
            assert!((found.lowest + 2.2).abs() < 1e-9, "thickness and extra: {found:?}");
            assert_eq!(found.turns > 0, kind == ToolKind::TangentialKnife);
            assert_eq!(found.arcs > 0, p.output.arcs);
        }
    }
}

#[test]
fn z_counts_from_where_the_profile_says() {
    let mut p = profile(ToolKind::DragKnife);
    p.machine.z_zero = ZZero::StockTop;
    let text = text(&p);
    assert!(text.contains("G0 Z15\n") && text.contains("Z-2.2") && !text.contains("Z17"), "{text}");
}

#[test]
fn a_short_line_limit_is_kept() {
    let mut p = profile(ToolKind::TangentialKnife);
    (p.output.line_limit, p.output.line_numbers) = (44, 5);
    let text = text(&p);
    assert!(text.lines().all(|l| l.len() <= 44), "{}", text.lines().find(|l| l.len() > 44).unwrap_or(""));
    let plain = profile(ToolKind::TangentialKnife);
    let (short, long) = (read(&text, &p, &[], &[]), read(&super::tests::text(&plain), &plain, &[], &[]));
    assert!((short.cut - long.cut).abs() < 0.1 && short.turns == long.turns, "{short:?} {long:?}");
    assert!(short.arcs < long.arcs, "the longest become chords");
}

#[test]
fn a_tool_that_its_words_lower_is_off_in_every_traverse() {
    let mut p = profile(ToolKind::DragKnife);
    p.machine.z_axis = false;
    let tool = &mut p.tools[0];
    (tool.lift, tool.on, tool.off) = (Lift::Words, vec!["M280 P0 S40".into()], vec!["M281 P0 S90".into()]);
    (tool.on_dwell, tool.off_dwell) = (0.25, 0.1);
    p.output.dwell = DwellUnit::Milliseconds;
    let text = text(&p);
    read(&text, &p, &[280.0], &[281.0]);
    assert!(text.contains("M280 P0 S40\nG4 P250\n") && text.contains("M281 P0 S90\nG4 P100\n"));
    assert!(!text.contains(" Z") && !text.contains("\nZ"));
}

#[test]
fn a_spindle_runs_through_a_section_and_stops_lifted() {
    let mut p = profile(ToolKind::TangentialKnife);
    let tool = &mut p.tools[0];
    (tool.on, tool.off, tool.on_dwell) = (vec!["M3 S{speed}".into()], vec!["M5".into()], 1.5);
    p.rules.iter_mut().for_each(|r| r.speed = Some(8000.0));
    let text = text(&p);
    assert_eq!(text.matches("M3 S8000\nG4 P1.5\n").count(), 1);
    assert_eq!(text.matches("M5").count(), 2, "after the section, and in the last lines");
}

#[test]
fn each_tool_is_changed_or_has_its_file() {
    let mut p = profile(ToolKind::TangentialKnife);
    let mut pen = p.tools[0].clone();
    (pen.id, pen.kind, pen.number) = ("pen".into(), ToolKind::Pen, 7);
    p.tools.push(pen);
    p.rules.iter_mut().filter(|r| r.operation == OperationKind::Mark).for_each(|r| r.tool = "pen".into());
    let paused = text(&p);
    assert_eq!(paused.matches("M0 (fit tool)").count(), 1, "the pen is fitted at the start");
    read(&paused, &p, &[], &[]);
    p.output.tool_change = ToolChange::Automatic;
    p.output.change = vec!["T{number} M6".into()];
    let changed = text(&p);
    assert!(changed.contains("T7 M6") && changed.contains("T1 M6"));
    p.output.tool_change = ToolChange::SeparateFiles;
    let program = program(&p);
    let (files, told) = write(&program, &p, "Tideline folio");
    assert!(told.is_empty());
    assert_eq!(files.iter().map(|f| f.suffix.as_str()).collect::<Vec<_>>(), ["1-pen", "2-tool"]);
    for f in &files {
        let text = String::from_utf8(f.bytes.clone()).expect("ASCII");
        assert!(text.contains("program ") && !text.contains("M6"));
        read(&text, &p, &[], &[]);
    }
}

#[test]
fn the_header_warns_and_names_what_it_is_for() {
    let text = text(&profile(ToolKind::DragKnife));
    for line in [
        "(title: Tideline folio <groesse, 2>)",
        "(sheet: board-1, 2 mm thick)",
        "(machine: Test bench)",
        "(millimetres, feed in mm a minute)",
        "(caution: Keep hands out of the table while it moves.)",
    ] {
        assert!(text.lines().any(|l| l == line), "{line} in\n{text}");
    }
}

#[test]
fn the_outline_run_stays_up_and_off() {
    let mut p = profile(ToolKind::DragKnife);
    p.tools[0].pivot_offset = mm(0.0);
    let program = program(&p);
    let bytes = outline(&program, &p, "Tideline folio").expect("work");
    let text = String::from_utf8(bytes).expect("ASCII");
    let found = read(&text, &p, &[], &[]);
    assert!(found.cut <= 0.0 && found.lowest >= 0.0, "{found:?}");
    assert!(text.contains("G0 Z17\nX20 Y20\n"), "{text}");
}

#[test]
fn the_rotary_word_is_scaled_and_follows_arcs() {
    let mut p = profile(ToolKind::TangentialKnife);
    (p.output.rotary, p.output.rotary_scale) = (Some("A".into()), -0.5);
    p.tools[0].start_heading = deg(90.0);
    let ring = cut_of(Contour::circle(pt(100.0, 100.0), 10.0), Keep::Inside);
    let (program, told) = build(&sheet(vec![ring]), &p);
    let (files, _) = write(&program.unwrap_or_else(|| panic!("{told:?}")), &p, "ring");
    let text = String::from_utf8(files[0].bytes.clone()).expect("ASCII");
    // From the middle of the first half: 180 degrees at the start, then 270 after a quarter.
    assert!(text.contains("G1 A-90 F7200\n"), "{text}");
    assert!(text.contains("G3 X90 Y100 I0 J-10 A-135 F2400\n"), "{text}");
}
