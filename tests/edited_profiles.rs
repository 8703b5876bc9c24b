//! The shipped profiles as their owners edit them: keys moved within their range, in pairs, over the
//! samples and small random jobs. Whatever `export` agrees to write proves; what it does not agree
//! to it refuses with a reason and a hint. What once failed is kept, by name.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;
use crate::proved;

use common::dice::Dice;
use common::proof::{files_of, root, told};
use flapwright::cli::{Exit, run};
use flapwright::profile::shipped;
use flapwright::verify::verify_folder;
use proved::setting;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};
use toml::{Table, Value};

/// The keys of a table with the values tried for them, as TOML has them.
type Keys = &'static [(&'static str, &'static str)];

const MACHINE: Keys = &[
    ("width", "[400, 800, 2000]"),
    ("height", "[400, 1000, 3000]"),
    ("z_axis", "[true, false]"),
    ("z_zero", "['bed', 'stock-top']"),
    ("safe_height", "[0, 0.3, 1, 5, 60]"),
    ("park", "[[0, 0], [5, 300], [0.005, 7]]"),
    ("origin", "[[0, 0], [7.5, 33.3], [100, 100]]"),
    ("rapid", "[1000, 3000, 20000]"),
    ("rapid_z", "[100, 600, 5000]"),
    ("acceleration", "[20, 5000]"),
    ("junction_deviation", "[0, 0.2]"),
    ("look_ahead", "[1, 100]"),
    ("rotary_limit", "[0, 90, 185, 360, 720]"),
    ("rotary_speed", "[3600, 100000]"),
    ("tolerance", "[0.01, 0.03, 0.05, 0.2, 0.3, 0.5, 2]"),
    ("hold", "['vacuum', 'rim', 'mat']"),
    ("zero", "['lower-left', 'lower-right', 'upper-left', 'upper-right', 'centre']"),
    ("x_points", "['right', 'left', 'up', 'down']"),
    ("y_points", "['right', 'left', 'up', 'down']"),
];
const OUTPUT: Keys = &[
    ("language", "['gcode', 'hpgl']"),
    ("unit", "['mm', 'inch']"),
    ("step", "[0.01, 0.0254, 0.1]"),
    ("arc_centres", "['from-start', 'places']"),
    ("extension", "['ngc', 'tap']"),
    ("decimals", "[0, 1, 2, 3, 5, 8]"),
    ("arcs", "[true, false]"),
    ("chord", "[0.001, 0.005, 0.03, 0.1, 0.5]"),
    ("rotary", "['A', 'B', 'C', 'U']"),
    ("rotary_scale", "[-1.0, 0.5, 2.0, 0.0027777]"),
    ("line_numbers", "[0, 1, 10]"),
    ("comments", "['parentheses', 'semicolon', 'none']"),
    ("line_ending", "['lf', 'crlf']"),
    ("line_limit", "[0, 30, 60, 256]"),
    ("dwell", "['seconds', 'milliseconds']"),
    ("percent", "[true, false]"),
    ("start", "[['G21 G90 G94 G17 G40', 'G54'], ['G21', 'G90', 'G17']]"),
    ("end", "[['M30'], ['M5', 'M2']]"),
    ("tool_change", "['pause', 'automatic', 'separate-files']"),
    ("change", "[['M6 T{number}'], ['M0 (fit {tool})', 'G4 P1']]"),
];
const TOOL: Keys = &[
    ("number", "[0, 1, 2, 7]"),
    ("kerf", "[0, 0.02, 0.05, 0.08, 0.15, 0.3, 0.5, 1, 2, 3.175]"),
    ("pivot_offset", "[0, 0.2, 0.5, 1, 3, 5, 8]"),
    ("start_heading", "[-360, -90, 37.5, 180, 270]"),
    ("edge_angle", "[0, 10, 20, 30, 45, 60]"),
    ("blade_width", "[0.1, 0.3, 0.7, 1, 2, 4, 10]"),
    ("max_depth", "[0.5, 1, 2, 2.2, 3, 10]"),
    ("swivel_depth", "[0, 0.1, 0.4, 1, 2]"),
    ("lift", "['z', 'words']"),
    ("on_dwell", "[0, 0.2, 3]"),
    ("off_dwell", "[0, 0.2, 3]"),
];
const RULE: Keys = &[
    ("feed", "[100, 600, 1200, 8000]"),
    ("plunge", "[50, 200, 900]"),
    ("pass_depth", "[0.1, 0.25, 0.5, 1, 2, 3]"),
    ("extra_depth", "[0, 0.05, 0.1, 0.3, 0.5, 1]"),
    ("depth", "[0, 0.05, 0.3, 1, 2]"),
    ("passes", "[1, 2, 3, 7]"),
    ("overrun", "[0, 0.3, 1, 2, 3.5, 5.5, 6, 9, 25]"),
    ("corner_limit", "[0, 1, 5, 10, 20, 45, 90, 180]"),
    ("turn_feed", "[600, 3600, 21600]"),
    ("finish", "['bottom', 'top']"),
    ("power", "[1, 80]"),
    ("speed", "[1000, 24000]"),
    ("lead", "[0, 0.5, 1, 2, 5]"),
    ("bridges", "[0, 1, 2, 3, 4, 8]"),
    ("bridge_width", "[0, 0.5, 1, 2, 5, 12]"),
    ("bridge_height", "[0, 0.2, 0.6, 1, 2]"),
    ("hatch", "[0, 0.1, 0.2, 1, 2, 5, 50]"),
    ("least_strip", "[0, 0.5, 1, 4]"),
    ("step_over", "[0.05, 0.2, 0.45, 0.7, 1]"),
    ("ramp", "[0, 0.5, 2, 4, 15, 45]"),
    ("direction", "['conventional', 'climb']"),
    ("corner_relief", "[true, false]"),
    ("double", "[0, 0.5, 1.5, 3]"),
    ("pattern", "[[], [3, 2], [0.5, 0.5], [10, 1, 2, 1]]"),
];

/// One change of a profile: a table of it, which of these, a key and its value as TOML.
#[derive(Clone, Debug)]
pub(crate) struct Edit {
    table: &'static str,
    which: usize,
    pub(crate) key: &'static str,
    value: Value,
}

/// The text of a shipped profile with these changes.
fn edited(machine: &str, edits: &[Edit]) -> String {
    let text = shipped().iter().find(|s| s.0 == machine).expect("shipped").1;
    let mut profile: Table = text.parse().unwrap();
    for e in edits {
        let table = match profile.get_mut(e.table).expect("there") {
            Value::Array(all) => all[e.which].as_table_mut(),
            one => one.as_table_mut(),
        };
        table.unwrap().insert(e.key.to_owned(), e.value.clone());
    }
    toml::to_string(&profile).unwrap()
}

/// What came of a changed profile.
#[derive(Debug)]
pub(crate) enum Came {
    Proved,
    Refused(String),
    Unproved(Vec<String>),
}

/// Exports a job with a shipped profile and these changes, and proves it. `kerf` is for the
/// command line.
pub(crate) fn attempt(
    name: &str,
    job: &Path,
    machine: &str,
    edits: &[Edit],
    kerf: Option<&str>,
    is_lifted: bool,
) -> Came {
    let home = Path::new(env!("CARGO_TARGET_TMPDIR")).join("edited").join(name);
    let _ = std::fs::remove_dir_all(&home);
    std::fs::create_dir_all(&home).unwrap();
    let profile = home.join(format!("{machine}.toml"));
    std::fs::write(&profile, edited(machine, edits)).unwrap();
    let out = home.join("out");
    let mut args = vec!["flapwright".into(), "export".into(), job.as_os_str().to_owned(), "--out".into()];
    args.extend([out.clone().into_os_string(), "--machine".into(), profile.into_os_string()]);
    if let Some(kerf) = kerf {
        args.extend(["--kerf".into(), kerf.into()]);
    }
    if is_lifted {
        args.push("--lifted".into());
    }
    let (mut said, mut errors) = (Vec::new(), Vec::new());
    let exit = run(args, &mut said, &mut errors, false);
    let errors = String::from_utf8(errors).unwrap();
    if exit != Exit::Good {
        let is_said = errors.contains("error[") && errors.contains("help");
        let _ = std::fs::remove_dir_all(&home);
        return if is_said { Came::Refused(errors) } else { Came::Unproved(vec![format!("no reason: {errors}")]) };
    }
    let told = told(&verify_folder(&files_of(&out)));
    if told.is_empty() {
        let _ = std::fs::remove_dir_all(&home);
        return Came::Proved;
    }
    Came::Unproved(told)
}

fn pick<'a, T>(dice: &mut Dice, all: &'a [T]) -> &'a T {
    &all[(dice.next() % all.len() as u64) as usize]
}

/// A change drawn for a profile: as often one of a rule as of all else.
pub(crate) fn drawn(dice: &mut Dice, profile: &Table) -> Edit {
    let (table, keys) =
        *pick(dice, &[("rule", RULE), ("rule", RULE), ("tool", TOOL), ("machine", MACHINE), ("output", OUTPUT)]);
    let (key, values) = *pick(dice, keys);
    let values: Table = format!("v = {values}").parse().unwrap();
    let value = pick(dice, values["v"].as_array().unwrap()).clone();
    let count = profile[table].as_array().map_or(1, Vec::len) as u64;
    Edit { table, which: (dice.next() % count) as usize, key, value }
}

/// A bed counted from another corner, or with its axes exchanged: keys that only go together.
pub(crate) fn frame(dice: &mut Dice) -> Vec<Edit> {
    const ZEROS: [&str; 5] = ["lower-left", "lower-right", "upper-left", "upper-right", "centre"];
    let (flat, steep) = (*pick(dice, &["right", "left"]), *pick(dice, &["up", "down"]));
    let (x, y) = if dice.next().is_multiple_of(2) { (flat, steep) } else { (steep, flat) };
    let edit = |key, value: &str| Edit { table: "machine", which: 0, key, value: Value::String(value.to_owned()) };
    let zero = *pick(dice, &ZEROS);
    vec![edit("zero", zero), edit("x_points", x), edit("y_points", y)]
}

const SAMPLES: [&str; 5] = ["tideline-folio", "rockpool-folder", "whelk-box", "cockle-portfolio", "sandpiper-case"];

/// A sample, or a small random job written to a file.
fn job(seed: u64, dice: &mut Dice) -> (String, PathBuf) {
    if dice.next().is_multiple_of(3) {
        let sample = *pick(dice, &SAMPLES);
        return (sample.to_owned(), root().join(format!("samples/{sample}.toml")));
    }
    let home = Path::new(env!("CARGO_TARGET_TMPDIR")).join("edited-jobs");
    std::fs::create_dir_all(&home).unwrap();
    // Of the random jobs every third is a sixth of the size.
    let number = dice.next() % 1000 * 15 + 10 + seed % 5;
    let path = home.join(format!("{seed}.toml"));
    std::fs::write(&path, proved::job(number)).unwrap();
    (format!("random {number}"), path)
}

/// One combination: what it is, and what came of it.
fn combination(seed: u64) -> (String, Came) {
    let mut dice = Dice(seed.wrapping_mul(0x9E37_79B9) ^ 0xED17);
    let machine = pick(&mut dice, shipped()).0;
    let profile: Table = shipped().iter().find(|s| s.0 == machine).unwrap().1.parse().unwrap();
    let mut edits = vec![drawn(&mut dice, &profile), drawn(&mut dice, &profile)];
    if dice.next().is_multiple_of(5) {
        edits.extend(frame(&mut dice));
    }
    let (about, path) = job(seed, &mut dice);
    let kerf = dice.next().is_multiple_of(4).then(|| *pick(&mut dice, &["0.02 mm", "0.15 mm", "0.5 mm"]));
    let is_lifted = dice.next().is_multiple_of(4);
    let said = |e: &Edit| format!("{}.{}.{} = {}", e.table, e.which, e.key, e.value);
    let said: Vec<String> = edits.iter().map(said).collect();
    let text = format!("{seed}: {about} on {machine}, {}, kerf {kerf:?}, lifted {is_lifted}", said.join(", "));
    let came = attempt(&seed.to_string(), &path, machine, &edits, kerf, is_lifted);
    (text, came)
}

/// Every combination of a range that is wanted, on all cores. `export` divides its work by a pool of its own, and a
/// pool's worker that waited for it would begin more and more of them on one stack.
fn each(seeds: std::ops::Range<u64>) -> Vec<(String, Came)> {
    let next = AtomicU64::new(seeds.start);
    let all = Mutex::new(Vec::new());
    let work = || {
        loop {
            let seed = next.fetch_add(1, Ordering::Relaxed);
            if seed >= seeds.end {
                return;
            }
            let came = combination(seed);
            all.lock().unwrap().push((seed, came));
        }
    };
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    std::thread::scope(|s| (0..threads).for_each(|_| drop(s.spawn(work))));
    let mut all = all.into_inner().unwrap();
    all.sort_by_key(|(seed, _)| *seed);
    all.into_iter().map(|(_, came)| came).collect()
}

/// More of them: `FLAPWRIGHT_EDITED_FROM=1000 FLAPWRIGHT_EDITED_COUNT=4000`.
#[test]
fn an_edited_profile_is_refused_with_a_reason_or_proves() {
    let (from, count) = (setting("FLAPWRIGHT_EDITED_FROM", 0), setting("FLAPWRIGHT_EDITED_COUNT", 60));
    let all = each(from..from + count);
    let (mut proved, mut faults) = (0, Vec::new());
    for (text, came) in all {
        match came {
            Came::Proved => proved += 1,
            Came::Refused(why) => {
                let first = why.lines().find(|l| l.contains("error[")).unwrap_or_default();
                println!("{text}\n  {first}");
            }
            Came::Unproved(told) => faults.push(format!("{text}\n  {}", told.join("\n  "))),
        }
    }
    println!("{proved} of {count} were written and proved");
    assert!(faults.is_empty(), "{} of {count} not proved\n{}", faults.len(), faults.join("\n"));
    assert!(proved * 4 > count as usize, "only {proved} of {count} were written");
}
