//! Damages: each of many kinds, done to a good program, drawing or profile, must be found. The table
//! of what was done and what was found is printed (`cargo test --test outside damages:: -- --nocapture`).

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]
#![allow(clippy::print_stdout, reason = "the table is for people")]

use crate::common;

use common::proof::{Files, export, put, variant};
use flapwright::verify::Folder;

/// What is done, to which file, the codes of which one must be found, and the damage.
type Damage<'d> = (&'d str, &'d str, &'d [&'d str], Box<dyn Fn(&str) -> String + 'd>);

/// Every number of a word changed.
fn words(text: &str, letter: char, change: impl Fn(f64) -> f64) -> String {
    let line = |l: &str| {
        if l.starts_with(['(', ';', 'M']) {
            return l.to_owned();
        }
        let word = |w: &str| match w.strip_prefix(letter).and_then(|n| n.parse::<f64>().ok()) {
            Some(n) => format!("{letter}{}", (change(n) * 1e4).round() / 1e4),
            None => w.to_owned(),
        };
        l.split(' ').map(word).collect::<Vec<_>>().join(" ")
    };
    text.lines().map(|l| line(l) + "\n").collect()
}

/// The lines of the work that a comment names, from it to the next comment.
fn work<'t>(text: &'t str, named: &str) -> &'t str {
    let from = text.find(&format!("({named}")).unwrap_or_else(|| panic!("no {named}"));
    let to = text[from + 1..].find("\n(").map_or(text.len(), |i| from + 1 + i + 1);
    &text[from..to]
}

/// The first line that fits, changed.
fn first(text: &str, fits: impl Fn(&str) -> bool, change: impl Fn(&str) -> String) -> String {
    let mut done = false;
    let mut line = |l: &str| {
        let hit = !done && fits(l);
        done |= hit;
        if hit { change(l) } else { l.to_owned() + "\n" }
    };
    text.lines().map(&mut line).collect()
}

/// Only the lines of a work changed.
fn in_work(text: &str, named: &str, change: impl Fn(&str) -> String) -> String {
    let w = work(text, named);
    text.replacen(w, &change(w), 1)
}

/// X and Y of a work moved towards the middle of the work by so much (away from it when negative).
fn shrunk(w: &str, by: f64) -> String {
    ['X', 'Y'].iter().fold(w.to_owned(), |w, letter| {
        let numbers =
            w.split_whitespace().filter_map(|x| x.strip_prefix(*letter)).filter_map(|n| n.parse::<f64>().ok());
        let (low, high) = numbers.fold((f64::MAX, f64::MIN), |(a, b), n| (a.min(n), b.max(n)));
        words(&w, *letter, |v| if v < (low + high) / 2.0 { v + by } else { v - by })
    })
}

/// Lines put in before the program parks.
fn before_parking(text: &str, lines: &str) -> String {
    let at = text.rfind("M5\nG0 X0").unwrap() + 3;
    format!("{}{lines}{}", &text[..at], &text[at..])
}

/// Every coordinate of a plot changed; `axis` is 0 for x, 1 for y.
fn steps(text: &str, change: impl Fn(i64, usize) -> i64) -> String {
    let line = |l: &str| {
        let Some((word, rest)) = ["PD", "PU"].iter().find_map(|w| Some((*w, l.strip_prefix(w)?))) else {
            return l.to_owned();
        };
        let numbers = rest.trim_end_matches(';').split(',').filter_map(|n| n.parse::<i64>().ok());
        let numbers: Vec<String> = numbers.enumerate().map(|(i, n)| change(n, i % 2).to_string()).collect();
        format!("{word}{};", numbers.join(","))
    };
    text.lines().map(|l| line(l) + "\n").collect()
}

fn report(what: &str, file: &str, folder: &Folder, codes: &[&str], missed: &mut Vec<String>) {
    let mut found: Vec<&str> = folder.all().filter(|f| f.is_error()).flat_map(|f| f.codes()).collect();
    let count = found.len();
    found.sort_unstable();
    found.dedup();
    let comparison = folder.programs.iter().find_map(|p| p.comparison.as_ref());
    let largest = comparison.and_then(|c| c.deviation.as_ref()).map_or(0.0, |w| w.value);
    let uncut = comparison.map_or(0.0, |c| c.uncut);
    println!("| {what:34} | {file:40} | {count:3} | {largest:5.2} | {uncut:8.1} | {}", found.join(" "));
    if !codes.iter().any(|c| found.contains(c)) {
        missed.push(format!("{what} in {file}: wanted one of {codes:?}, found {found:?}"));
    }
}

fn table(files: &Files, damages: &[Damage<'_>]) {
    let mut missed = Vec::new();
    println!("| damage | file | found | largest, mm | uncut, mm | what");
    for (what, file, codes, damage) in damages {
        let text = String::from_utf8(files[*file].clone()).unwrap();
        let damaged = damage(&text);
        if damaged == text {
            missed.push(format!("{what} in {file}: no damage done"));
            continue;
        }
        let folder = put(files, file, damaged.into_bytes());
        report(what, file, &folder, codes, &mut missed);
    }
    let mut kinds: Vec<&str> = damages.iter().map(|d| d.0).collect();
    kinds.sort_unstable();
    kinds.dedup();
    assert_eq!(kinds.len(), damages.len(), "each kind once");
    println!("{} kinds", kinds.len());
    assert!(missed.is_empty(), "{}", missed.join("\n"));
}

#[test]
fn damages_to_programs_are_found() {
    let all = ["oscillating-knife-table", "drag-knife-table", "shared-laser-cutter", "small-router"];
    let files = export("tideline-folio", &all, "damages");
    let laser = "board-1.shared-laser-cutter.nc";
    let knife = "board-1.oscillating-knife-table.nc";
    let wheel = "cloth-1.oscillating-knife-table.nc";
    let drag = "board-1.drag-knife-table.nc";
    let router = "board-1.small-router.nc";
    let outline = "through-cut board-wall-head copy 1 line 1";
    let slot = "through-cut board-base copy 1 line 1";
    let damages: Vec<Damage<'_>> = vec![
        ("shifted 0.2 mm", laser, &["off-the-line"], Box::new(|t| words(t, 'X', |x| x + 0.2))),
        ("mirrored", laser, &["line-missing", "cut-in-piece"], Box::new(|t| words(t, 'X', |x| 720.0 - x))),
        ("scaled 0.1 %", laser, &["off-the-line"], Box::new(|t| words(t, 'Y', |y| y * 1.001))),
        ("inches for mm", laser, &["out-of-travel"], Box::new(|t| t.replace("G21", "G20"))),
        ("a contour missing", laser, &["line-missing"], Box::new(move |t| t.replace(work(t, outline), ""))),
        (
            "a contour twice",
            laser,
            &["worked-twice"],
            Box::new(move |t| t.replace(work(t, outline), &work(t, outline).repeat(2))),
        ),
        (
            "a slot twice, by a bit",
            router,
            &["worked-twice"],
            Box::new(move |t| t.replace(work(t, slot), &work(t, slot).repeat(2))),
        ),
        (
            "outline before its slots",
            knife,
            &["order"],
            Box::new(move |t| {
                let w = work(t, slot).to_owned();
                let without = t.replace(&w, "");
                let at = without.rfind("M5\nG0 X0").unwrap();
                format!("{}{w}{}", &without[..at], &without[at..])
            }),
        ),
        ("too deep by 0.5 mm", knife, &["too-deep"], Box::new(|t| t.replace("Z-0.2 ", "Z-0.7 "))),
        ("the last pass missing", knife, &["line-missing"], Box::new(|t| t.replace("Z-0.2 ", "Z0.8333 "))),
        ("a first pass missing", knife, &["pass-too-deep"], Box::new(|t| t.replace("Z1.6667", "Z0.8333"))),
        (
            "a rapid in the stock",
            knife,
            &["rapid-in-stock"],
            Box::new(|t| {
                let knife = t.find("(tool 3").unwrap();
                let cut = knife + t[knife..].find("G1").unwrap();
                format!("{}{}", &t[..cut], t[cut..].replacen("\nG0 Z17.5\n", "\nG0\n", 1))
            }),
        ),
        ("a rapid too low", knife, &["rapid-too-low"], Box::new(|t| t.replace("G0 Z17.5", "G0 Z7.5"))),
        (
            "the heading stale",
            knife,
            &["heading"],
            Box::new(|t| first(t, |l| l.starts_with("G1 C"), |_| "G1 C7 F10800\n".into())),
        ),
        (
            "a feed lost",
            knife,
            &["feed-not-of-the-rule", "feed-of-the-other-kind"],
            Box::new(|t| t.replace(" F2400\n", "\n")),
        ),
        ("the knife not started", knife, &["off-in-cut"], Box::new(|t| t.replace("M3 S8000\n", ""))),
        ("another speed", knife, &["words-not-of-the-profile"], Box::new(|t| t.replace("M3 S8000", "M3 S18000"))),
        (
            "the end lost",
            drag,
            &["no-end", "end-lines"],
            Box::new(|t| t.lines().take(3000).map(|l| l.to_owned() + "\n").collect()),
        ),
        ("cut off in a number", drag, &["cut-off"], Box::new(|t| t[..t.len() / 2].to_owned())),
        ("an arc flipped", drag, &["cut-in-piece", "off-the-line", "uncut"], Box::new(|t| t.replace("G3 X2", "G2 X2"))),
        (
            "the blade not swivelled",
            drag,
            &["off-the-line", "cut-in-piece"],
            Box::new(|t| t.lines().filter(|l| !l.contains("I0 J-3")).map(|l| l.to_owned() + "\n").collect()),
        ),
        (
            "an arc's centre moved",
            laser,
            &["arc-radii"],
            Box::new(|t| first(t, |l| l.contains(" I"), |l| words(l, 'I', |i| i + 0.01))),
        ),
        (
            "two decimals",
            laser,
            &["arc-radii"],
            Box::new(|t| {
                ['X', 'Y', 'I', 'J'].iter().fold(t.to_owned(), |t, c| words(&t, *c, |v| (v * 100.0).round() / 100.0))
            }),
        ),
        ("out of the bed", laser, &["out-of-travel"], Box::new(|t| words(t, 'Y', |y| y + 1200.0))),
        (
            "on while travelling",
            laser,
            &["on-while-travelling"],
            Box::new(|t| first(t, |l| l == "M5", |_| String::new()).replacen("M5\n(", "(", 40)),
        ),
        (
            "an unknown word",
            laser,
            &["unknown-word"],
            Box::new(|t| first(t, |l| l.starts_with("G1"), |l| format!("M8\n{l}\n"))),
        ),
        ("a bracket open", laser, &["unclosed-comment"], Box::new(|t| t.replacen(")\n", "\n", 1))),
        ("a number too large", laser, &["bad-number"], Box::new(|t| t.replacen("X2", "X99999999992", 1))),
        ("a bridge cut", router, &["too-deep"], Box::new(|t| t.replace("Z-0.2", "Z-0.9"))),
        (
            "a pocket too deep",
            router,
            &["pocket-depth"],
            Box::new(|t| {
                let w = work(t, "half-depth-pocket").to_owned();
                t.replace(&w, &words(&w, 'Z', |z| if z < 2.0 { z - 0.5 } else { z }))
            }),
        ),
        (
            "a pocket line missing",
            router,
            &["pocket-floor", "uncut", "off-the-line"],
            Box::new(|t| {
                let w = work(t, "half-depth-pocket").to_owned();
                let n = w.lines().count();
                let cut: String = w.lines().take(n - 12).chain(["G0 Z17.5"]).map(|l| l.to_owned() + "\n").collect();
                t.replace(&w, &cut)
            }),
        ),
        // A beam.
        (
            "one contour shifted",
            laser,
            &["off-the-line"],
            Box::new(move |t| in_work(t, outline, |w| words(w, 'Y', |y| y + 0.2))),
        ),
        (
            "kerf on the wrong side",
            laser,
            &["off-the-line"],
            Box::new(move |t| in_work(t, outline, |w| shrunk(w, 0.18))),
        ),
        (
            "kerf of one contour ignored",
            laser,
            &["to-one-side"],
            Box::new(move |t| in_work(t, outline, |w| shrunk(w, 0.09))),
        ),
        (
            "x and y swapped",
            laser,
            &["off-the-sheet", "line-missing"],
            Box::new(|t| {
                let swap = |c: char| match c {
                    'X' => 'Y',
                    'Y' => 'X',
                    'I' => 'J',
                    'J' => 'I',
                    c => c,
                };
                t.lines()
                    .map(|l| if l.starts_with('(') { l.to_owned() } else { l.chars().map(swap).collect() } + "\n")
                    .collect()
            }),
        ),
        ("the power of a mark for a cut", laser, &["line-missing"], Box::new(|t| t.replace("S850", "S60"))),
        (
            "a rapid for a cut",
            laser,
            &["on-while-travelling"],
            Box::new(move |t| in_work(t, outline, |w| w.replacen("G1 X", "G0 X", 1))),
        ),
        (
            "an arc made its chord",
            laser,
            &["off-the-line"],
            Box::new(|t| {
                let is_wide = |l: &str| {
                    let radius = |w: &str| w.strip_prefix(['I', 'J']).and_then(|n| n.parse::<f64>().ok());
                    l.starts_with("G3") && l.split(' ').filter_map(radius).any(|r| r.abs() > 2.0)
                };
                first(t, is_wide, |l| l.replace("G3", "G1").split(" I").next().unwrap().to_owned() + "\n")
            }),
        ),
        (
            "an arc's sign lost",
            laser,
            &["arc-radii"],
            Box::new(move |t| in_work(t, outline, |w| words(w, 'I', f64::abs))),
        ),
        (
            "a cut across a piece",
            laser,
            &["cut-in-piece"],
            Box::new(|t| before_parking(t, "G0 X130 Y150\nM4 S850\nG1 X180 F600\nM5\n")),
        ),
        (
            "a cut through waste",
            laser,
            &["cut-in-waste"],
            Box::new(|t| before_parking(t, "G0 X60 Y560\nM4 S850\nG1 X260 F600\nM5\n")),
        ),
        (
            "a cut past the sheet",
            laser,
            &["off-the-sheet"],
            Box::new(|t| before_parking(t, "G0 X60 Y1200\nM4 S850\nG1 X90 F600\nM5\n")),
        ),
        (
            "the last stretch of a contour lost",
            laser,
            &["uncut"],
            Box::new(move |t| {
                in_work(t, outline, |w| {
                    let lines: Vec<&str> = w.lines().collect();
                    let kept = &lines[..lines.len() - 3];
                    kept.iter().chain([&"M5"]).map(|l| (*l).to_owned() + "\n").collect()
                })
            }),
        ),
        // A driven blade.
        ("half a turn off", knife, &["heading"], Box::new(|t| words(t, 'C', |c| c + 180.0))),
        (
            "turned in the stock",
            knife,
            &["turned-in-stock"],
            Box::new(move |t| {
                in_work(t, outline, |w| {
                    let mut lines: Vec<String> = w.lines().map(str::to_owned).collect();
                    let at = lines.iter().rposition(|l| l.starts_with("G1 C")).unwrap();
                    let turn = lines.remove(at).replace("G1 ", "");
                    lines[at] = format!("G1 {}", lines[at]);
                    lines.insert(at + 2, turn);
                    lines.join("\n") + "\n"
                })
            }),
        ),
        (
            "a plunge at the cutting feed",
            knife,
            &["feed-not-of-the-rule"],
            Box::new(|t| t.replace("Z-0.2 F600", "Z-0.2 F2400")),
        ),
        ("faster than the machine", knife, &["feed-too-fast"], Box::new(|t| t.replace("F2400", "F240000"))),
        ("not parked", knife, &["not-parked"], Box::new(|t| t.replace("G0 X0 Y0\n", ""))),
        (
            "left down at the end",
            knife,
            &["ends-low"],
            Box::new(|t| {
                let at = t.rfind("G0 Z").unwrap();
                let rest = t[at..].split_once('\n').unwrap().1;
                format!("{}{rest}", &t[..at])
            }),
        ),
        ("a depth's sign lost", knife, &["line-missing"], Box::new(|t| t.replace("Z-0.2", "Z0.2"))),
        ("steps for places", knife, &["out-of-travel", "line-missing"], Box::new(|t| t.replace("G90", "G91"))),
        (
            "a tool change lost",
            knife,
            &["wrong-tool"],
            Box::new(|t| t.lines().filter(|l| !l.starts_with("M0")).map(|l| l.to_owned() + "\n").collect()),
        ),
        (
            "the drive stopped early",
            knife,
            &["off-in-cut"],
            Box::new(move |t| in_work(t, outline, |w| format!("M5\n{w}"))),
        ),
        ("a comma for a point", knife, &["bad-word"], Box::new(|t| t.replacen("Y119.6667", "Y119,6667", 1))),
        ("an O for a nought", knife, &["ambiguous-line"], Box::new(|t| t.replacen("X134.5", "X13O.5", 1))),
        (
            "a word twice",
            knife,
            &["repeated-word"],
            Box::new(|t| first(t, |l| l.starts_with('X'), |l| format!("{l} X1\n"))),
        ),
        (
            "another plane",
            knife,
            &["not-followed"],
            Box::new(|t| first(t, |l| l.starts_with('X'), |l| format!("G18\n{l}\n"))),
        ),
        (
            "the origin moved in the program",
            knife,
            &["not-followed"],
            Box::new(|t| first(t, |l| l.starts_with('X'), |l| format!("G92 X0 Y0\n{l}\n"))),
        ),
        ("line ends of another system", knife, &["line-ending"], Box::new(|t| t.replace('\n', "\r\n"))),
        ("a percent sign", knife, &["percent"], Box::new(|t| format!("%\n{t}"))),
        ("a line too long", knife, &["line-too-long"], Box::new(|t| format!("({})\n{t}", "long ".repeat(30)))),
        ("after the end", knife, &["after-the-end"], Box::new(|t| format!("{t}G0 X5\n"))),
        (
            "a mark missing",
            knife,
            &["line-missing", "uncut"],
            Box::new(|t| t.replace(work(t, "mark board-base copy 1 line 2"), "")),
        ),
        ("a mark as deep as a cut", knife, &["too-deep"], Box::new(|t| t.replace("Z2.3 ", "Z-0.2 "))),
        // A wheel.
        ("a crease missing", wheel, &["line-missing"], Box::new(|t| t.replace(work(t, "crease-score"), ""))),
        (
            "a crease pressed through",
            wheel,
            &["too-deep"],
            Box::new(|t| in_work(t, "crease-score", |w| words(w, 'Z', |z| if z < 0.5 { -0.2 } else { z }))),
        ),
        (
            "a crease shifted",
            wheel,
            &["off-the-line"],
            Box::new(|t| in_work(t, "crease-score", |w| words(&words(w, 'X', |x| x + 0.3), 'Y', |y| y + 0.3))),
        ),
        // A bit.
        ("run-up not waited for", router, &["wait-too-short"], Box::new(|t| t.replace("G4 P3\n", ""))),
        (
            "the spindle the other way",
            router,
            &["words-not-of-the-profile", "unknown-word"],
            Box::new(|t| t.replace("M3 ", "M4 ")),
        ),
        (
            "one bridge missing",
            router,
            &["bridges"],
            Box::new(move |t| {
                in_work(t, outline, |w| {
                    let mut lines: Vec<&str> = w.lines().collect();
                    let up = lines.iter().rposition(|l| l.starts_with("Z0.6 ")).unwrap();
                    lines.remove(up + 2);
                    lines.remove(up);
                    lines.join("\n") + "\n"
                })
            }),
        ),
        (
            "a pocket too shallow",
            router,
            &["pocket-depth", "pocket-floor", "line-missing"],
            Box::new(|t| in_work(t, "half-depth-pocket", |w| words(w, 'Z', |z| if z < 2.0 { z + 0.4 } else { z }))),
        ),
        (
            "a pocket shifted",
            router,
            &["off-the-line", "cut-in-piece"],
            Box::new(|t| in_work(t, "half-depth-pocket", |w| words(w, 'Y', |y| y + 0.3))),
        ),
    ];
    table(&files, &damages);
}

/// One program damaged: the codes of its errors, and the largest deviation.
fn damaged(files: &Files, file: &str, damage: impl Fn(&str) -> String) -> (Vec<&'static str>, f64) {
    let text = String::from_utf8(files[file].clone()).unwrap();
    let folder = put(files, file, damage(&text).into_bytes());
    let comparison = folder.programs[0].comparison.as_ref().unwrap();
    let codes = folder.all().filter(|f| f.is_error()).flat_map(|f| f.codes()).collect();
    (codes, comparison.deviation.as_ref().map_or(0.0, |w| w.value))
}

/// A wide tool that strays by s from a right cut takes s of the piece, whatever its width: half of
/// that lies no nearer to the line than the tool's middle should (derived).
#[test]
fn a_spike_into_a_piece_is_found_for_a_wide_tool() {
    let files = export("tideline-folio", &["shared-laser-cutter", "small-router"], "spikes");
    let outline = "through-cut board-wall-head copy 1 line 1";
    let (laser, router) = ("board-1.shared-laser-cutter.nc", "board-1.small-router.nc");
    for s in [0.05, 0.09, 0.12, 0.15, 0.18, 0.2, 0.24, 0.28, 0.3, 0.5] {
        let spike = format!("G1 X600\nY{:.4}\nY324.91\nX675.3\n", 324.91 + s);
        let (codes, largest) =
            damaged(&files, laser, |t| in_work(t, outline, |w| w.replacen("G1 X675.3\n", &spike, 1)));
        assert_eq!(codes.contains(&"cut-in-piece"), s > 0.1, "{s}: {codes:?}");
        assert!(s < 0.1 || (largest - s).abs() < 1e-3, "{s}: {largest}");
    }
    for s in [0.05, 0.12, 0.5, 0.9, 1.0, 1.1, 2.0] {
        let spike = format!("\nX660\nY{:.4}\nY334.5\nX685.3\n", 334.5 + s);
        let damage = |w: &str| {
            let at = w.rfind("\nX685.3\n").unwrap();
            format!("{}{spike}{}", &w[..at], &w[at + 8..])
        };
        let (codes, largest) = damaged(&files, router, |t| in_work(t, outline, damage));
        assert_eq!(codes.contains(&"cut-in-piece"), s > 0.1, "{s}: {codes:?}");
        assert!(s < 0.1 || (largest - s).abs() < 1e-3, "{s}: {largest}");
    }
}

/// Off between two points that are looked at.
#[test]
fn what_is_shorter_than_a_step_is_found() {
    let files = export("tideline-folio", &["shared-laser-cutter"], "short");
    let outline = "through-cut board-wall-head copy 1 line 1";
    let laser = "board-1.shared-laser-cutter.nc";
    let from_to = |from: &str, to: &str| {
        damaged(&files, laser, |t| {
            in_work(t, outline, |w| {
                assert!(w.contains(from));
                w.replacen(from, to, 1)
            })
        })
    };
    // A corner cut off: it lies 0.219 mm off the way's middle, on its wrong side, and the tool is
    // 0.09 mm wide there (derived).
    let corner = "G1 X675.3\nG3 X675.39 Y325 I0 J0.09\nG1 Y343.85\n";
    let (codes, largest) = from_to(corner, "G1 X674.9\nX675.39 Y325.4\nY343.85\n");
    assert!(codes.contains(&"cut-in-piece") && (largest - 0.309).abs() < 2e-3, "{codes:?} {largest}");
    // A gap of 0.44 mm between the round ends of the cut: its middle stays 0.148 mm from both
    // (derived), wherever between the points it lies.
    for i in 0..10 {
        let x = 600.0 + 0.05 * f64::from(i);
        let gap = format!("G1 X{x:.2}\nX{:.2} Y324.2\nX{:.2}\nX{:.2} Y324.91\nX675.3\n", x + 0.02, x + 0.42, x + 0.44);
        let (codes, _) = from_to("G1 X675.3\n", &gap);
        assert!(codes.contains(&"off-the-line"), "{x}: {codes:?}");
    }
}

/// An arc round a corner turned the other way goes round the corner's inner side: r and r cos 45
/// degrees of it into the piece (derived).
#[test]
fn an_arc_turned_the_other_way_is_found_at_every_kerf() {
    for kerf in [0.18, 0.3, 0.5] {
        let kerf_of = format!("kerf = {kerf} ");
        let files =
            variant("tideline-folio", "shared-laser-cutter", &[("kerf = 0.18 ", &kerf_of)], &format!("turned-{kerf}"));
        let (codes, largest) = damaged(&files, "board-1.shared-laser-cutter.nc", |t| {
            in_work(t, "through-cut board-wall-head copy 1 line 1", |w| {
                first(w, |l| l.starts_with("G3"), |l| l.replace("G3", "G2") + "\n")
            })
        });
        let r = kerf / 2.0;
        assert!(codes.contains(&"cut-in-piece"), "{kerf}: {codes:?}");
        assert!((largest - r * (1.0 + 0.5f64.sqrt())).abs() < 2e-3, "{kerf}: {largest}");
    }
}

#[test]
fn damages_to_plots_are_found() {
    let files = export("rockpool-folder", &["scoring-plotter"], "damaged-plots");
    let plot = "cloth-1.scoring-plotter.3-fine-knife.plt";
    let pen = "cloth-1.scoring-plotter.1-pen.plt";
    let damages: Vec<Damage<'_>> = vec![
        ("the pen left down", pen, &["cut-in-piece", "off-the-line"], Box::new(|t| t.replace("PU", "PD"))),
        ("steps twice as long", plot, &["out-of-travel", "line-missing"], Box::new(|t| steps(t, |v, _| v * 2))),
        ("scaled one part in 200", plot, &["off-the-line"], Box::new(|t| steps(t, |v, _| v + v / 200))),
        ("stopped at a largest step", plot, &["off-the-line", "uncut"], Box::new(|t| steps(t, |v, _| v.min(13_000)))),
        (
            "past step 32767",
            plot,
            &["out-of-travel"],
            Box::new(|t| steps(t, |v, axis| v + if axis == 0 { 20_000 } else { 0 })),
        ),
        ("below step 0", plot, &["out-of-travel"], Box::new(|t| steps(t, |v, _| v - 1000))),
        ("places in coarse steps", plot, &["off-the-line"], Box::new(|t| steps(t, |v, _| (v + 10) / 20 * 20))),
        (
            "x for y",
            plot,
            &["line-missing", "uncut"],
            Box::new(|t| steps(t, |v, axis| if axis == 0 { v / 2 } else { v })),
        ),
        ("a plot cut off", plot, &["cut-off", "end-lines"], Box::new(|t| t[..t.len() / 2].to_owned())),
        ("another pen", plot, &["wrong-tool"], Box::new(|t| t.replace("SP1", "SP2"))),
        ("the speed lost", plot, &["feed-unsaid", "feed-not-of-the-rule"], Box::new(|t| t.replace("VS10;\n", ""))),
        ("half a point", plot, &["bad-number"], Box::new(|t| t.replacen("PD", "PD7,", 1))),
        ("not initialized", plot, &["start-lines"], Box::new(|t| t.replacen("IN;\n", "", 1))),
        ("relative places", plot, &["unknown-word"], Box::new(|t| t.replacen("PU;", "PR;PU;", 1))),
        ("a decimal in a step", plot, &["decimals"], Box::new(|t| t.replacen(",272;", ",272.5;", 1))),
    ];
    table(&files, &damages);
}

/// Programs made for a machine other than the one whose profile lies in the folder: right in
/// themselves, wrong here.
#[test]
fn programs_for_another_machine_are_found() {
    let machines = ["drag-knife-table", "shared-laser-cutter", "small-router", "scoring-plotter"];
    let files = export("rockpool-folder", &machines, "machines");
    type Other<'d> = (&'d str, &'d str, &'d str, &'d [(&'d str, &'d str)], &'d [&'d str]);
    let others: Vec<Other<'_>> = vec![
        (
            "contours reversed: a bit climbs",
            "small-router",
            "board-1.small-router.nc",
            &[("direction = \"conventional\"", "direction = \"climb\"")],
            &["direction"],
        ),
        (
            "too few bridges",
            "small-router",
            "board-1.small-router.nc",
            &[("bridges = 4 ", "bridges = 3 ")],
            &["bridges"],
        ),
        (
            "too many bridges",
            "small-router",
            "board-1.small-router.nc",
            &[("bridges = 4 ", "bridges = 5 ")],
            &["bridges"],
        ),
        ("no bridges", "small-router", "board-1.small-router.nc", &[("bridges = 4 ", "bridges = 0 ")], &["bridges"]),
        (
            "bridges too wide",
            "small-router",
            "board-1.small-router.nc",
            &[("bridge_width = 4 ", "bridge_width = 9 ")],
            &["uncut"],
        ),
        (
            "a bit half as wide",
            "small-router",
            "board-1.small-router.nc",
            &[("kerf = 1 ", "kerf = 0.5 ")],
            &["off-the-line"],
        ),
        (
            "the blade's offset doubled",
            "drag-knife-table",
            "board-1.drag-knife-table.nc",
            &[("pivot_offset = 3.0", "pivot_offset = 6.0")],
            &["off-the-line"],
        ),
        (
            "the blade's offset ignored",
            "drag-knife-table",
            "board-1.drag-knife-table.nc",
            &[("pivot_offset = 3.0", "pivot_offset = 0.1")],
            &["off-the-line"],
        ),
        (
            "a plotter's blade offset doubled",
            "scoring-plotter",
            "cloth-1.scoring-plotter.3-fine-knife.plt",
            &[("pivot_offset = 0.25", "pivot_offset = 0.5")],
            &["off-the-line"],
        ),
        (
            "the kerf doubled",
            "shared-laser-cutter",
            "board-1.shared-laser-cutter.nc",
            &[("kerf = 0.18 ", "kerf = 0.36 ")],
            &["to-one-side", "off-the-line"],
        ),
        (
            "another origin",
            "shared-laser-cutter",
            "board-1.shared-laser-cutter.nc",
            &[("origin = [10, 10]", "origin = [0, 0]")],
            &["line-missing", "off-the-line"],
        ),
    ];
    let mut missed = Vec::new();
    for (i, (what, machine, file, changes, codes)) in others.iter().enumerate() {
        let other = variant("rockpool-folder", machine, changes, &format!("other-{i}"));
        let folder = put(&files, file, other[*file].clone());
        report(what, file, &folder, codes, &mut missed);
    }
    // The folder has no pocket, the folio has.
    let reversed = [("direction = \"climb\"", "direction = \"conventional\"")];
    let file = "board-1.small-router.nc";
    let other = variant("tideline-folio", "small-router", &reversed, "other-pockets");
    let folder = put(&export("tideline-folio", &["small-router"], "pockets"), file, other[file].clone());
    report("pockets reversed", file, &folder, &["direction"], &mut missed);
    // The other way round: a profile that says less than the program was made for.
    let profile = "oscillating-knife-table.profile.toml";
    let files = export("tideline-folio", &["oscillating-knife-table"], "limits");
    let text = String::from_utf8(files[profile].clone()).unwrap();
    for (what, from, to, code) in [
        ("past the axis' end", "rotary_limit = 0 ", "rotary_limit = 180 ", "rotary-limit"),
        ("past the machine's end", "width = 1100", "width = 600", "out-of-travel"),
        ("a blade too short", "max_depth = 6", "max_depth = 2", "too-deep"),
    ] {
        assert!(text.contains(from), "{from}");
        let folder = put(&files, profile, text.replacen(from, to, 1).into_bytes());
        report(what, profile, &folder, &[code], &mut missed);
    }
    assert!(missed.is_empty(), "{}", missed.join("\n"));
}

#[test]
fn damages_to_drawings_are_found() {
    let files = export("rockpool-folder", &[], "damaged-drawings");
    let cuts = |t: &str, change: &dyn Fn(&str) -> String| {
        let at = t.find("  8\nTHROUGH-CUT\n").unwrap();
        let at = t[..at].rfind("LWPOLYLINE").unwrap();
        format!("{}{}", &t[..at], change(&t[at..]))
    };
    let damages: Vec<Damage<'_>> = vec![
        (
            "a corner moved",
            "rockpool-folder_board-2mm_1.dxf",
            &["off-the-line"],
            Box::new(|t| {
                cuts(t, &|rest| {
                    let at = rest.find("\n 10\n").unwrap() + 5;
                    let end = at + rest[at..].find('\n').unwrap();
                    let x: f64 = rest[at..end].trim().parse().unwrap();
                    format!("{}{}{}", &rest[..at], x + 0.2, &rest[end..])
                })
            }),
        ),
        (
            "a cut on another layer",
            "rockpool-folder_board-2mm_1.dxf",
            &["line-missing"],
            Box::new(|t| cuts(t, &|rest| rest.replacen("  8\nTHROUGH-CUT\n", "  8\nMARK\n", 1))),
        ),
        (
            "inches declared",
            "rockpool-folder_board-2mm_1.dxf",
            &["line-missing"],
            Box::new(|t| t.replace("$INSUNITS\n 70\n4\n", "$INSUNITS\n 70\n1\n")),
        ),
        (
            "a layer of no meaning",
            "rockpool-folder_cloth-0.3mm_1.dxf",
            &["drawing-layer"],
            Box::new(|t| cuts(t, &|rest| rest.replacen("  8\nTHROUGH-CUT\n", "  8\nNOTES\n", 1))),
        ),
    ];
    table(&files, &damages);
}

#[test]
fn a_width_that_was_forgotten_or_doubled_is_found() {
    // By the profile's copy in the folder: the same program, said to be cut by another beam.
    let files = export("rockpool-folder", &["shared-laser-cutter"], "kerf");
    let name = "shared-laser-cutter.profile.toml";
    let text = String::from_utf8(files[name].clone()).unwrap();
    for kerf in ["0", "0.09", "0.36", "0.6"] {
        let changed = text.replace("kerf = 0.18 ", &format!("kerf = {kerf} ")).into_bytes();
        assert_ne!(changed, files[name]);
        let folder = put(&files, name, changed);
        let found: Vec<&str> = folder.all().flat_map(|f| f.codes()).collect();
        assert!(found.contains(&"to-one-side") || found.contains(&"off-the-line"), "{kerf}: {found:?}");
    }
}
