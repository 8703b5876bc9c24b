//! The rules of the house: modules import one way, only `cli` touches the world, one file knows
//! the inch, files stay small.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use std::fs;
use std::path::{Path, PathBuf};

/// A module may import itself and those before it.
const ORDER: [&str; 24] = [
    "limits", "units", "geom", "drawing", "diag", "doc", "import", "job", "profile", "register", "assembly", "design",
    "fit", "nest", "coupon", "ops", "comp", "motion", "estimate", "write", "verify", "pipeline", "page", "cli",
];
/// Pairs that the order would allow: who, and what it shall not import. A proof that shares code
/// with what it proves is none.
/// `verify` stands beside the flow: of what comes before it, it may use what it is told, never what
/// makes programs.
const FORBIDDEN: [(&str, &str); 9] = [
    ("verify", "write"),
    ("verify", "comp"),
    ("verify", "motion"),
    ("verify", "ops"),
    ("verify", "nest"),
    ("verify", "design"),
    ("verify", "fit"),
    ("verify", "estimate"),
    ("verify", "register"),
];
/// What only `cli` and `main.rs` may touch: the disk, the clock, the terminal, the machine.
const WORLD: [&str; 8] = ["fs", "time", "env", "process", "net", "stdin", "stdout", "stderr"];
const PRINTS: [&str; 5] = ["print!", "println!", "eprint!", "eprintln!", "dbg!"];
/// Lines in a file, at most.
const LONGEST: usize = 500;

/// What is wrong with the file `path` (relative to `src`, with slashes) of this text.
fn faults(path: &str, text: &str) -> Vec<String> {
    let mut faults = Vec::new();
    let lines = text.lines().count();
    if lines >= LONGEST {
        faults.push(format!("{path}: {lines} lines; at {LONGEST} it holds two things"));
    }
    let code = bare(text);
    // Tests may look anywhere; they stand at the end of a file or in one of their own.
    if path.ends_with("/tests.rs") {
        return faults;
    }
    let is_inline = |at: &usize| code[*at..].lines().nth(1).is_some_and(|l| l.trim_end().ends_with('{'));
    let tests = code.match_indices("#[cfg(test)]\nmod ").map(|(at, _)| at).find(is_inline);
    let code = &code[..tests.unwrap_or(code.len())];
    let module = path.split(['/', '.']).next().unwrap_or_default();
    if path != "units.rs" && code.contains("25.4") {
        faults.push(format!("{path}: 25.4 belongs in units.rs"));
    }
    if !["lib", "main", "cli"].contains(&module) {
        for print in PRINTS {
            if words(code, print.trim_end_matches('!')).any(|rest| rest.starts_with('!')) {
                faults.push(format!("{path}: {print} outside cli"));
            }
        }
        for used in imported(code, "std").into_iter().filter(|used| WORLD.contains(&used.as_str())) {
            faults.push(format!("{path}: std's {used} outside cli"));
        }
    }
    if ["lib", "main"].contains(&module) {
        return faults;
    }
    let Some(own) = ORDER.iter().position(|m| *m == module) else {
        faults.push(format!("{path}: {module} has no place in the order of modules"));
        return faults;
    };
    // The library that moves contours for the kerf is the writers'; the proof has its own.
    if module == "verify" {
        if words(code, "cavalier_contours").next().is_some() {
            faults.push(format!("{path}: verify uses cavalier_contours"));
        }
        let geom = words(code, "geom").filter_map(|rest| rest.trim_start().strip_prefix("::"));
        let mut names = Vec::new();
        geom.for_each(|rest| first_names(rest.trim_start(), &mut names));
        if names.iter().any(|n| n == "offset") {
            faults.push(format!("{path}: verify uses offset"));
        }
    }
    for used in imported(code, "crate") {
        let Some(rank) = ORDER.iter().position(|m| *m == used) else { continue };
        if rank > own || FORBIDDEN.contains(&(module, used.as_str())) {
            faults.push(format!("{path}: {module} imports {used}"));
        }
    }
    faults
}

/// The code without comments and without what stands in quotes, lines kept.
pub(crate) fn bare(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let skip = if rest.starts_with("//") {
            rest.find('\n').unwrap_or(rest.len())
        } else if rest.starts_with("/*") {
            rest.find("*/").map_or(rest.len(), |i| i + 2)
        } else if c == '"' {
            quoted(rest)
        } else if rest.starts_with("r\"") || rest.starts_with("r#") && raw_start(rest).is_some() {
            let start = raw_start(rest).unwrap_or(2);
            let end = format!("\"{}", "#".repeat(start - 2));
            rest[start..].find(&end).map_or(rest.len(), |i| start + i + end.len())
        } else if c == '\'' && rest[1..].starts_with('\\') {
            rest[3..].find('\'').map_or(1, |i| i + 4)
        } else if c == '\'' && rest.chars().nth(2) == Some('\'') {
            rest.chars().take(3).map(char::len_utf8).sum()
        } else {
            out.push(c);
            rest = &rest[c.len_utf8()..];
            continue;
        };
        out.extend(rest[..skip].chars().filter(|c| *c == '\n'));
        rest = &rest[skip..];
    }
    out
}

/// How far a string in quotes reaches.
fn quoted(text: &str) -> usize {
    let mut escaped = false;
    for (i, c) in text.char_indices().skip(1) {
        match c {
            '"' if !escaped => return i + 1,
            '\\' => escaped = !escaped,
            _ => escaped = false,
        }
    }
    text.len()
}

/// Where the content of a raw string starts, if this is one.
fn raw_start(text: &str) -> Option<usize> {
    let hashes = text[1..].chars().take_while(|c| *c == '#').count();
    text[1 + hashes..].starts_with('"').then_some(hashes + 2)
}

/// What follows each place where `word` stands as a whole word.
fn words<'a>(code: &'a str, word: &'a str) -> impl Iterator<Item = &'a str> {
    let is_part = |c: char| c.is_alphanumeric() || c == '_';
    code.match_indices(word).filter_map(move |(i, _)| {
        let rest = &code[i + word.len()..];
        (!code[..i].ends_with(is_part) && !rest.starts_with(is_part)).then_some(rest)
    })
}

/// The names taken from `root`, one level down and, for `std::io`, two: of `crate::geom::Point`
/// geom, of `std::{fs, io::{self, stdout}}` fs, io, self and stdout.
fn imported(code: &str, root: &str) -> Vec<String> {
    let mut names = Vec::new();
    for rest in words(code, root) {
        let Some(rest) = rest.trim_start().strip_prefix("::") else { continue };
        first_names(rest.trim_start(), &mut names);
    }
    names
}

fn first_names(path: &str, names: &mut Vec<String>) {
    if let Some(group) = path.strip_prefix('{') {
        for part in parts(group) {
            first_names(part.trim(), names);
        }
        return;
    }
    let name: String = path.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
    if name == "io"
        && let Some(rest) = path[2..].trim_start().strip_prefix("::")
    {
        first_names(rest.trim_start(), names);
    }
    names.push(name);
}

/// The parts of a group between its commas, up to the brace that ends it.
pub(crate) fn parts(group: &str) -> Vec<&str> {
    let (mut depth, mut start, mut parts) = (0, 0, Vec::new());
    for (i, c) in group.char_indices() {
        match c {
            '{' => depth += 1,
            '}' if depth == 0 => {
                parts.push(&group[start..i]);
                return parts;
            }
            '}' => depth -= 1,
            ',' if depth == 0 => {
                parts.push(&group[start..i]);
                start = i + 1;
            }
            _ => {}
        }
    }
    parts
}

pub(crate) fn sources(dir: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(dir).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
}

#[test]
fn the_house_is_in_order() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    sources(&src, &mut files);
    files.sort();
    assert!(files.len() > 30, "src was not found");
    let check = |file: &PathBuf| {
        let path = file.strip_prefix(&src).unwrap().to_str().unwrap().replace('\\', "/");
        faults(&path, &fs::read_to_string(file).unwrap())
    };
    let faults: Vec<String> = files.iter().flat_map(check).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn main_is_thin() {
    let main = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("src/main.rs")).unwrap();
    assert!(main.lines().count() < 60);
}

#[test]
fn every_rule_is_noticed_when_broken() {
    let broken = [
        ("geom/offset.rs", "use crate::nest::Sheet;", "geom imports nest"),
        ("job/mod.rs", "use crate::{units::mm, profile::Rule};", "job imports profile"),
        ("write/dxf/mod.rs", "fn f() { crate::cli::folder::write_whole(); }", "write imports cli"),
        ("verify/mod.rs", "use crate::write::dxf;", "verify imports write"),
        ("verify/mod.rs", "use crate::{\n    geom::{Point, pt},\n    comp,\n};", "verify imports comp"),
        ("verify/nominal.rs", "use crate::ops::SheetOps;", "verify imports ops"),
        ("verify/physics/sweep.rs", "fn f() { crate::geom::offset(); }", "verify uses offset"),
        ("verify/physics/sweep.rs", "use cavalier_contours::polyline;", "verify uses cavalier_contours"),
        ("extras/mod.rs", "", "no place"),
        ("ops/mod.rs", "fn f() { println!(\"x\"); }", "println!"),
        ("ops/mod.rs", "fn f() { eprint!(\"x\"); }", "eprint!"),
        ("ops/mod.rs", "use std::fs;", "fs"),
        ("ops/mod.rs", "use std::{fmt, fs::File};", "fs"),
        ("ops/mod.rs", "use std::{fmt, io::{self, stdout}};", "stdout"),
        ("ops/mod.rs", "fn f() { let _ = std::io::stderr(); }", "stderr"),
        ("fit/mod.rs", "fn f() { std::time::Instant::now(); }", "time"),
        ("fit/mod.rs", "const A: f64 = 25.4;", "25.4"),
        ("fit/mod.rs", "let quote = '\"'; use std::fs; let other = '\"';", "fs"),
        ("comp/mod.rs", "#[cfg(test)]\nmod testbed;\nuse std::fs;", "fs"),
        ("fit/mod.rs", "let life: &'static str = \"\"; use std::env;", "env"),
    ];
    for (path, text, fault) in broken {
        let found = faults(path, text);
        assert!(found.len() == 1 && found[0].contains(fault), "{text}: {found:?}");
    }
    assert_eq!(faults("fit/mod.rs", &"\n".repeat(LONGEST)).len(), 1);
}

#[test]
fn what_is_allowed_passes() {
    let sound = [
        ("write/dxf/mod.rs", "use crate::geom::Point;\nuse std::fmt::Write;\nuse std::io;"),
        ("profile/mod.rs", "use crate::job::StockKind;"),
        ("cli/mod.rs", "use std::{fs, io::stdout}; fn f() { println!(\"x\"); }"),
        ("units.rs", "const MM_PER_INCH: f64 = 25.4;"),
        ("fit/mod.rs", "// use std::fs, 25.4\n/// crate::cli\nconst A: &str = \"println!(25.4) use crate::cli;\";"),
        ("fit/mod.rs", "const A: &str = r#\"use \"crate::cli\"; 25.4\"#;"),
        ("geom/mod.rs", "fn f() {}\n\n#[cfg(test)]\nmod tests {\n    use crate::cli;\n}"),
        ("motion/time/tests.rs", "fn f() { println!(\"{:?}\", std::time::Instant::now()); }"),
        ("fit/mod.rs", "fn pretty_print() {} fn blueprint(sprint: u8) -> bool { sprint != 1 }"),
    ];
    for (path, text) in sound {
        assert_eq!(faults(path, text), Vec::<String>::new(), "{text}");
    }
}
