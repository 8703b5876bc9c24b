//! What the program is made with, and under which terms: the notices against Cargo.lock and against
//! what cargo itself says; nothing copyleft.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

const HOME: &str = env!("CARGO_MANIFEST_DIR");

/// Terms that ask for notices at most. By the identifiers of the SPDX licence list; which of them are
/// permissive: the Blue Oak Council's list (from memory).
const PERMISSIVE: [&str; 11] = [
    "MIT",
    "Apache-2.0",
    "ISC",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "Zlib",
    "BSL-1.0",
    "Unicode-3.0",
    "0BSD",
    "Unlicense",
    "CC0-1.0",
];

/// Whether an expression can be met by permissive terms alone. Source of the grammar: SPDX
/// specification 2.3, annex D; a slash is cargo's former "or".
fn is_permissive(expression: &str) -> bool {
    let spaced = expression.replace('(', " ( ").replace(')', " ) ").replace('/', " OR ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let mut at = 0;
    any(&words, &mut at).is_some_and(|b| b && at == words.len())
}

fn any(words: &[&str], at: &mut usize) -> Option<bool> {
    let mut met = all(words, at)?;
    while words.get(*at) == Some(&"OR") {
        *at += 1;
        met |= all(words, at)?;
    }
    Some(met)
}

fn all(words: &[&str], at: &mut usize) -> Option<bool> {
    let mut met = one(words, at)?;
    while words.get(*at) == Some(&"AND") {
        *at += 1;
        met &= one(words, at)?;
    }
    Some(met)
}

fn one(words: &[&str], at: &mut usize) -> Option<bool> {
    let word = *words.get(*at)?;
    *at += 1;
    if word == "(" {
        let met = any(words, at)?;
        *at += 1;
        return (words.get(*at - 1) == Some(&")")).then_some(met);
    }
    // An exception only gives.
    if words.get(*at) == Some(&"WITH") {
        *at += 2;
    }
    Some(PERMISSIVE.contains(&word))
}

/// The packages of the notices: whether in the binary, and their terms.
fn told() -> BTreeMap<(String, String), (bool, String)> {
    let text = notices();
    let row = |l: &str| {
        let (place, rest) = l.split_once("  ")?;
        let is_linked = match place {
            "binary" => true,
            "making" => false,
            _ => return None,
        };
        let (package, terms) = rest.split_once("  ")?;
        let (name, version) = package.split_once(' ')?;
        Some(((name.to_owned(), version.to_owned()), (is_linked, terms.to_owned())))
    };
    text.lines().filter_map(row).collect()
}

fn notices() -> String {
    fs::read_to_string(Path::new(HOME).join("licences/third-party.txt")).unwrap()
}

#[test]
fn the_notices_name_every_package_of_the_lock_and_no_other() {
    let lock: toml::Table = fs::read_to_string(Path::new(HOME).join("Cargo.lock")).unwrap().parse().unwrap();
    let text = |p: &toml::Value, key: &str| p[key].as_str().unwrap().to_owned();
    let locked: BTreeSet<(String, String)> = lock["package"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|p| p.get("source").is_some())
        .map(|p| (text(p, "name"), text(p, "version")))
        .collect();
    let told: BTreeSet<(String, String)> = told().into_keys().collect();
    assert!(locked.len() > 100);
    let missing: Vec<_> = locked.difference(&told).collect();
    let gone: Vec<_> = told.difference(&locked).collect();
    assert!(missing.is_empty() && gone.is_empty(), "run licences/gather: without notice {missing:?}; gone {gone:?}");
}

#[test]
fn nothing_is_copyleft() {
    for (package, (_, terms)) in told() {
        assert!(is_permissive(&terms), "{package:?}: {terms}");
    }
}

#[test]
fn terms_are_read_as_they_are_meant() {
    for good in
        ["MIT", "MIT/Apache-2.0", "MIT OR GPL-3.0-only", "(MPL-2.0 OR Zlib) AND MIT", "Apache-2.0 WITH LLVM-exception"]
    {
        assert!(is_permissive(good), "{good}");
    }
    for bad in [
        "MPL-2.0",
        "GPL-2.0-or-later",
        "MIT AND MPL-2.0",
        "LGPL-3.0-only OR EUPL-1.2",
        "(MIT OR ISC) AND CC-BY-SA-4.0",
        "",
        "(MIT",
        "MIT ISC",
    ] {
        assert!(!is_permissive(bad), "{bad}");
    }
}

/// What cargo says of this system's packages: their terms are the ones told, and all that the library
/// is linked with is told as part of the binary.
#[test]
fn the_notices_say_what_cargo_says() {
    let run = |program: &str, arguments: &[&str]| {
        let done = Command::new(program).args(arguments).current_dir(HOME).output().unwrap();
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
        String::from_utf8(done.stdout).unwrap()
    };
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".into());
    let about = run(&cargo, &["version", "--verbose"]);
    let host = about.lines().find_map(|l| l.strip_prefix("host: ")).unwrap();
    let text = run(&cargo, &["metadata", "--format-version", "1", "--offline", "--locked", "--filter-platform", host]);
    let all: serde_json::Value = serde_json::from_str(&text).unwrap();
    let told = told();
    let mut packages = BTreeMap::new();
    for p in all["packages"].as_array().unwrap().iter().filter(|p| !p["source"].is_null()) {
        let key = (p["name"].as_str().unwrap().to_owned(), p["version"].as_str().unwrap().to_owned());
        let terms = p["license"].as_str().unwrap_or_else(|| panic!("{key:?} states no terms"));
        assert_eq!(told[&key].1, terms, "{key:?}");
        packages.insert(p["id"].as_str().unwrap(), (key, PathBuf::from(p["manifest_path"].as_str().unwrap())));
    }
    let nodes: BTreeMap<&str, &serde_json::Value> =
        all["resolve"]["nodes"].as_array().unwrap().iter().map(|n| (n["id"].as_str().unwrap(), n)).collect();
    let root = all["resolve"]["root"].as_str().unwrap();
    let (mut left, mut seen) = (vec![root], BTreeSet::new());
    while let Some(id) = left.pop() {
        if !seen.insert(id) {
            continue;
        }
        for d in nodes[id]["deps"].as_array().unwrap() {
            if d["dep_kinds"].as_array().unwrap().iter().any(|k| k["kind"].is_null()) {
                left.push(d["pkg"].as_str().unwrap());
            }
        }
    }
    let notices = notices();
    let mut linked = 0;
    for id in seen.iter().filter(|id| **id != root) {
        let (key, _) = &packages[id];
        assert!(told[key].0, "{key:?} is part of the binary");
        // Its name stands over the text of its terms.
        assert!(notices.contains(&format!("\n{} {}\n", key.0, key.1)), "{key:?}");
        linked += 1;
    }
    assert!(linked > 80, "only {linked}");

    // The font is in the program, so its licence goes with it, whole.
    let (_, manifest) = packages.values().find(|p| p.0.0 == "dejavu").unwrap();
    let assets = fs::read_dir(manifest.parent().unwrap().join("assets")).unwrap();
    let licence = assets.map(|e| e.unwrap().path().join("LICENSE")).find(|p| p.is_file()).unwrap();
    let words = |t: &str| t.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words(&notices).contains(&words(&fs::read_to_string(licence).unwrap())));
}

#[test]
fn the_program_prints_them() {
    let done = Command::new(env!("CARGO_BIN_EXE_flapwright")).arg("licences").output().unwrap();
    let out = String::from_utf8(done.stdout).unwrap();
    assert!(done.status.success() && out.ends_with(&notices()));
    assert!(out.starts_with(&fs::read_to_string(Path::new(HOME).join("LICENSE")).unwrap()));
}
