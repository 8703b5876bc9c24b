//! `verify --program` on programs that we did not write: the same part, 60 x 40 mm with an opening
//! of 20 x 10, cut by a 1 mm bit from 2 mm board, in the manner of several hands; and a plot.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::references::scratch;
use flapwright::cli::{Exit, run};
use serde_json::Value;
use std::ffi::OsString;
use std::path::Path;

/// Millimetres from the corner, a word apart, in passes.
fn plain() -> String {
    let mut text = String::from("(a part)\nG21 G90 G94 G17 G40\nG0 Z17\nM3 S18000\nG4 P3\n");
    let mut around = |corners: [(f64, f64); 2]| {
        let [(x0, y0), (x1, y1)] = corners;
        text.push_str(&format!("G0 X{x0} Y{y0}\n"));
        for z in ["1.6", "1.2", "0.8", "0.4", "0", "-0.2"] {
            text.push_str(&format!("G1 Z{z} F200\nX{x1} F900\nY{y1}\nX{x0}\nY{y0}\n"));
        }
        text.push_str("G0 Z17\n");
    };
    around([(120.5, 110.5), (139.5, 119.5)]);
    around([(99.5, 99.5), (160.5, 140.5)]);
    text + "M5\nM2\n"
}

/// Inches, lines numbered, no spaces, three decimals more, corners by arcs round the part.
fn inches() -> String {
    let i = |mm: f64| format!("{:.4}", mm / 25.4);
    let mut text = format!("N10G20G90G17\nN20G0Z{}\nN30M3S18000\nN40G4P3\n", i(17.0));
    let mut n = 40;
    let mut line = |l: String| {
        n += 10;
        text.push_str(&format!("N{n}{l}\n"));
    };
    for (x0, y0, x1, y1, r) in [(120.5, 110.5, 139.5, 119.5, 0.0), (99.5, 99.5, 160.5, 140.5, 0.5)] {
        line(format!("G0X{}Y{}", i(x0 + r), i(y0)));
        for z in [1.6, 1.2, 0.8, 0.4, 0.0, -0.2] {
            line(format!("G1Z{}F8", i(z)));
            for (to, corner) in [
                ((x1 - r, y0), (x1, y0 + r)),
                ((x1, y1 - r), (x1 - r, y1)),
                ((x0 + r, y1), (x0, y1 - r)),
                ((x0, y0 + r), (x0 + r, y0)),
            ] {
                line(format!("G1X{}Y{}F35", i(to.0), i(to.1)));
                if r > 0.0 {
                    line(format!("G3X{}Y{}R{}", i(corner.0), i(corner.1), i(r)));
                }
            }
        }
        line(format!("G0Z{}", i(17.0)));
    }
    line("M5".into());
    line("M2".into());
    text
}

/// Step by step, small letters, notes after a semicolon.
fn steps() -> String {
    let mut text = String::from("g21 g90 ; metric\ng0 z17\nm3 s18000\ng4 p3\ng0 x120.5 y110.5\n");
    for (w, h, next) in [(19.0, 9.0, Some((-21.0, -11.0))), (61.0, 41.0, None)] {
        text.push_str("g91\ng1 z-15 f200 ; to the top\n");
        for (pass, z) in [0.4, 0.4, 0.4, 0.4, 0.4, 0.2].into_iter().enumerate() {
            text.push_str(&format!("z-{z} f200 ; pass {}\nx{w} f900\ny{h}\nx-{w}\ny-{h}\n", pass + 1));
        }
        text.push_str("g90\ng0 z17\n");
        if let Some((x, y)) = next {
            text.push_str(&format!("g91 x{x} y{y}\ng90\n"));
        }
    }
    text + "m5\nm2\n"
}

fn verify(name: &str, program: &str, more: &[&str]) -> (Exit, Value) {
    let home = scratch(&format!("other-hands-{name}"));
    let path = home.join("program.nc");
    std::fs::write(&path, program).unwrap();
    let mut args: Vec<OsString> = ["flapwright", "verify", "--format", "json", "--program"].map(OsString::from).into();
    args.push(path.into_os_string());
    args.extend(more.iter().map(OsString::from));
    let (mut said, mut errors) = (Vec::new(), Vec::new());
    let exit = run(args, &mut said, &mut errors, false);
    let answer = serde_json::from_slice(&said).unwrap_or_else(|_| panic!("{}", String::from_utf8_lossy(&errors)));
    (exit, answer)
}

const ROUTER: [&str; 6] = ["--machine", "small-router", "--tool", "bit", "--thickness", "2 mm"];

fn codes(answer: &Value, severity: &str) -> Vec<String> {
    let all = answer["findings"].as_array().unwrap().iter().filter(|f| f["severity"] == severity);
    all.map(|f| f["code"].as_str().unwrap().to_owned()).collect()
}

/// Whether a part or opening is so wide and high, and where it should be.
fn lies(part: &Value, opening: bool, at: [f64; 4], slack: f64) -> bool {
    let b: Vec<f64> = part["bounds"].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
    part["opening"] == opening && b.iter().zip(at).all(|(a, b)| (a - b).abs() < slack)
}

#[test]
fn what_a_program_would_leave_is_said_whoever_wrote_it() {
    for (name, text) in [("plain", plain()), ("inches", inches()), ("steps", steps())] {
        let (exit, answer) = verify(name, &text, &ROUTER);
        assert_eq!(codes(&answer, "error"), Vec::<String>::new(), "{name}: {answer:#}");
        assert_eq!(exit, Exit::Good);
        // Nothing was proved, and nothing says so.
        assert_eq!(answer["proved"], false, "{name}");
        let left = &answer["programs"][0]["left"];
        let parts = left["parts"].as_array().unwrap();
        assert_eq!(parts.len(), 2, "{name}: {left}");
        assert!(lies(&parts[0], false, [100.0, 100.0, 160.0, 140.0], 0.02), "{name}: {left}");
        assert!(lies(&parts[1], true, [121.0, 111.0, 139.0, 119.0], 0.02), "{name}: {left}");
    }
}

/// A drawing of the part, the sheet's corner at nought: the machine's clamps put it at 20, 20.
fn drawing(home: &Path) -> String {
    let ring = |points: [(f64, f64); 4]| {
        let all: String = points.iter().map(|(x, y)| format!("10\n{}\n20\n{}\n", x - 20.0, y - 20.0)).collect();
        format!("0\nLWPOLYLINE\n8\nTHROUGH-CUT\n90\n4\n70\n1\n{all}")
    };
    let text = format!(
        "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1015\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n\
         0\nLWPOLYLINE\n8\nSTOCK\n90\n4\n70\n1\n10\n0\n20\n0\n10\n300\n20\n0\n10\n300\n20\n200\n10\n0\n20\n200\n{}{}0\nENDSEC\n0\nEOF\n",
        ring([(100.0, 100.0), (160.0, 100.0), (160.0, 140.0), (100.0, 140.0)]),
        ring([(120.0, 110.0), (140.0, 110.0), (140.0, 120.0), (120.0, 120.0)]),
    );
    let path = home.join("part.dxf");
    std::fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_owned()
}

#[test]
fn with_a_drawing_it_is_compared_and_our_own_habits_are_no_faults_of_it() {
    let sheet = drawing(&scratch("other-hands-drawing"));
    for (name, text) in [("plain-sheet", plain()), ("inches-sheet", inches()), ("steps-sheet", steps())] {
        let with = [&ROUTER[..], &["--sheet", &sheet]].concat();
        let (exit, answer) = verify(name, &text, &with);
        assert_eq!(codes(&answer, "error"), Vec::<String>::new(), "{name}: {answer:#}");
        assert_eq!(exit, Exit::Good);
        // It has no bridges, which the rule asks for: worth knowing, and its maker's choice.
        assert!(codes(&answer, "warning").contains(&"bridges".to_owned()), "{name}: {answer:#}");
        assert_eq!(answer["proved"], true, "{name}");
        // The opening's corners stay round, as a bit leaves them; all else is on its line.
        let c = &answer["programs"][0]["comparison"];
        let (mean, rounded) = (c["mean"].as_f64().unwrap(), c["rounded"]["mm"].as_f64().unwrap());
        assert!(mean < 0.002 && (rounded - 0.5 * (2f64.sqrt() - 1.0)).abs() < 0.01, "{name}: {c}");
        // A fifth of a millimetre off is found in it as in ours.
        let off = text.replace("160.5", "160.7").replace("x61 ", "x61.2 ").replace("x-61", "x-61.2");
        let off = off.replace("6.3189", "6.3268").replace("6.2992", "6.3071");
        assert_ne!(off, text, "{name}");
        let (exit, answer) = verify(name, &off, &with);
        assert_eq!(exit, Exit::Errors, "{name}: {answer:#}");
        assert!(codes(&answer, "error").contains(&"off-the-line".to_owned()), "{name}: {answer:#}");
    }
}

#[test]
fn what_harms_a_machine_is_found_in_any_hand() {
    for (name, from, to, code) in [
        ("rapid", "G0 Z17\nG0 X99.5", "G0 X99.5", "rapid-in-stock"),
        ("deep", "Z-0.2", "Z-1.2", "too-deep"),
        ("far", "X160.5", "X860.5", "out-of-travel"),
        ("on", "M5\nM2", "M2", "ends-on"),
        ("home", "G0 Z17\nM3", "G28\nM3", "not-followed"),
    ] {
        let (exit, answer) = verify(name, &plain().replacen(from, to, if name == "home" { 1 } else { 9 }), &ROUTER);
        assert_eq!(exit, Exit::Errors, "{name}: {answer:#}");
        assert!(codes(&answer, "error").contains(&code.to_owned()), "{name}: {:?}", codes(&answer, "error"));
    }
    // Another speed than the rule's is its maker's choice, and is said.
    let (exit, answer) = verify("speed", &plain().replace("S18000", "S15000"), &ROUTER);
    assert_eq!(exit, Exit::Good, "{answer:#}");
    assert!(codes(&answer, "warning").contains(&"words-not-of-the-profile".to_owned()), "{answer:#}");
}

#[test]
fn a_plot_of_another_hand_is_followed() {
    // Steps of 0.025 mm; all points in one instruction, and the pen by its number.
    let plot = "IN;SP1;VS10;PU4000,4000;PD6400,4000,6400,5600,4000,5600,4000,4000,4040,4000;PU;PU0,0;SP0;";
    let more = ["--machine", "scoring-plotter", "--stock", "cloth", "--tool", "fine-knife", "--thickness", "0.3 mm"];
    let (exit, answer) = verify("plot", plot, &more);
    assert_eq!(exit, Exit::Good, "{answer:#}");
    let parts = answer["programs"][0]["left"]["parts"].as_array().unwrap();
    // Its corners are not swivelled: the tip cuts them round by less than its offset.
    assert!(parts.len() == 1 && lies(&parts[0], false, [100.0, 100.0, 160.0, 140.0], 0.3), "{answer:#}");
}
