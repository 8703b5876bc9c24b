//! The pictures of sheets, looked at as data: numbers that never lie on one another, every turn
//! numbered, every line of the sheet there.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

fn exported(test: &str, sample: &str, machine: &str) -> BTreeMap<String, Vec<u8>> {
    let home = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("previews-{test}-{sample}-{machine}"));
    let _ = fs::remove_dir_all(&home);
    let job = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(format!("{sample}.toml"));
    let o = Command::new(env!("CARGO_BIN_EXE_flapwright"))
        .args(["export", job.to_str().unwrap(), "--out", home.to_str().unwrap(), "--machine", machine])
        .args(["--leave", "half-depth-pocket"])
        .output()
        .unwrap();
    assert!(o.status.success(), "{}", String::from_utf8_lossy(&o.stderr));
    let read = |e: fs::DirEntry| (e.file_name().into_string().unwrap(), fs::read(e.path()).unwrap());
    fs::read_dir(&home).unwrap().map(|e| read(e.unwrap())).collect()
}

fn attribute(element: &str, name: &str) -> Option<f64> {
    let (_, rest) = element.split_once(&format!(" {name}=\""))?;
    rest.split_once('"')?.0.parse().ok()
}

/// The texts of an SVG: x, y, size, upright, the text.
fn texts(svg: &str) -> Vec<(f64, f64, f64, bool, String)> {
    let read = |line: &str| {
        let (tag, rest) = line.strip_prefix("<text")?.split_once('>')?;
        let text = rest.strip_suffix("</text>")?.to_owned();
        let of = |name| attribute(tag, name);
        Some((of("x")?, of("y")?, of("font-size")?, tag.contains("rotate(-90"), text))
    };
    svg.lines().filter_map(read).collect()
}

/// How many separate lines the paths of this colour have.
fn lines_of(svg: &str, color: &str) -> usize {
    let strokes = svg.lines().filter(|l| l.starts_with("<path") && l.contains(&format!(" stroke=\"{color}\"")));
    let d = strokes.filter_map(|l| l.split_once(" d=\"")?.1.split_once('"')).map(|(d, _)| d.matches('M').count());
    d.sum()
}

#[test]
fn numbers_count_through_and_lie_apart() {
    let mut seen = 0;
    for (sample, machine) in [
        ("tideline-folio", "oscillating-knife-table"),
        ("tideline-folio", "shared-laser-cutter"),
        ("dulse-atlas", "drag-knife-table"),
        ("rockpool-folder", "servo-plotter"),
    ] {
        for (name, bytes) in exported("numbers", sample, machine) {
            if !name.ends_with(&format!(".{machine}.svg")) {
                continue;
            }
            let svg = String::from_utf8(bytes).unwrap();
            let sheet_text: Vec<_> =
                texts(&svg).into_iter().filter(|t| t.4 != "12" || svg.matches(">12<").count() > 1).collect();
            let numbers: Vec<_> = sheet_text.iter().filter(|t| t.4.parse::<usize>().is_ok()).collect();
            let mut told: Vec<usize> = numbers.iter().map(|t| t.4.parse().unwrap()).collect();
            told.sort_unstable();
            told.dedup();
            assert!(!told.is_empty(), "{sample}, {name}");
            assert_eq!(told, (1..=told.len()).collect::<Vec<_>>(), "{sample}, {name}: a turn without its number");
            // Of DejaVu Sans: figures are 0.636 of the size wide and 0.73 high (its own metrics).
            let room = |t: &(f64, f64, f64, bool, String)| {
                let (w, h) = (0.636 * t.2 * t.4.chars().count() as f64, 0.73 * t.2);
                let (w, h) = if t.3 { (h, w) } else { (w, h) };
                (t.0 - w / 2.0, t.1 - h / 2.0, t.0 + w / 2.0, t.1 + h / 2.0)
            };
            for (i, a) in numbers.iter().enumerate() {
                for b in &numbers[i + 1..] {
                    let (p, q) = (room(a), room(b));
                    let apart = p.2 <= q.0 || q.2 <= p.0 || p.3 <= q.1 || q.3 <= p.1;
                    assert!(apart, "{sample}, {name}: {} and {} overlap", a.4, b.4);
                }
            }
            seen += numbers.len();
        }
    }
    assert!(seen > 100, "only {seen} numbers");
}

#[test]
fn what_the_program_leaves_is_dotted_and_the_rest_is_drawn() {
    let files = exported("left", "tideline-folio", "oscillating-knife-table");
    let text = |name: &str| String::from_utf8(files[name].clone()).unwrap();
    let (plain, machine) = (text("board-1.svg"), text("board-1.oscillating-knife-table.svg"));
    let pocket = "#ac5806";
    // Once in the key, and once each.
    assert_eq!(lines_of(&plain, pocket), 3);
    assert_eq!(lines_of(&machine, pocket), 1, "left to the hand");
    assert!(machine.contains("not by this program") && !plain.contains("not by this program"));
    // Seven boards and two slots.
    let manifest: serde_json::Value = serde_json::from_slice(&files["manifest.json"]).unwrap();
    let boards = || manifest["pieces"].as_array().unwrap().iter().filter(|p| p["stock"] == "board");
    let cuts: usize = boards().map(|p| 1 + p["holes"].as_array().unwrap().len()).sum();
    let drawn = |svg: &str| {
        let of_cut = svg.lines().filter(|l| l.contains("stroke=\"#1a1a1a\" stroke-width=\"1.6\" stroke-linejoin"));
        of_cut.map(|l| l.matches('M').count()).sum::<usize>()
    };
    assert_eq!((drawn(&plain), drawn(&machine)), (cuts, cuts));
}
