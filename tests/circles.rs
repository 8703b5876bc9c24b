//! No circles: of two files that lie side by side in a module, the one that imports the other, straight or
//! through others, is never imported by it. A folder counts as one file among those beside it.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::house::{bare, parts, sources};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

type Module = Vec<String>;

/// The modules of the program with their text, by their paths: `write/gcode/mod.rs` is write, gcode.
fn modules() -> BTreeMap<Module, String> {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    sources(&src, &mut files);
    let of = |file: &std::path::PathBuf| {
        let path = file.strip_prefix(&src).unwrap().with_extension("");
        let mut names: Module = path.iter().map(|p| p.to_str().unwrap().to_owned()).collect();
        if names.last().is_some_and(|n| n == "mod") {
            names.pop();
        }
        (names, fs::read_to_string(file).unwrap())
    };
    files.iter().map(of).collect()
}

/// Every path in some code that begins with `crate`, `super` or `self`, groups in braces written out.
fn paths(code: &str) -> Vec<Module> {
    let mut found = Vec::new();
    for root in ["crate", "super", "self"] {
        let is_part = |c: char| c.is_alphanumeric() || c == '_' || c == ':';
        for (at, _) in code.match_indices(root) {
            let rest = &code[at + root.len()..];
            if !code[..at].ends_with(is_part) && rest.trim_start().starts_with("::") {
                written_out(vec![root.to_owned()], rest.trim_start(), &mut found);
            }
        }
    }
    found
}

fn written_out(mut so_far: Module, rest: &str, found: &mut Vec<Module>) {
    let Some(rest) = rest.trim_start().strip_prefix("::") else {
        found.push(so_far);
        return;
    };
    let rest = rest.trim_start();
    if let Some(group) = rest.strip_prefix('{') {
        for part in parts(group) {
            written_out(so_far.clone(), &format!("::{}", part.trim()), found);
        }
        return;
    }
    let name: String = rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
    let rest = &rest[name.len()..];
    so_far.push(name);
    written_out(so_far, rest, found);
}

/// Which neighbours each module imports, as the paths of both down to where they part.
fn imports(modules: &BTreeMap<Module, String>) -> BTreeMap<Module, BTreeSet<Module>> {
    let mut all: BTreeMap<Module, BTreeSet<Module>> = BTreeMap::new();
    for (own, text) in modules {
        // Tests and what they are built on may look anywhere.
        if own.iter().any(|n| ["tests", "testbed", "lib", "main"].contains(&n.as_str())) {
            continue;
        }
        let code = bare(text);
        let code = code.split("#[cfg(test)]\nmod tests {").next().unwrap();
        for path in paths(code) {
            let ups = path.iter().filter(|p| *p == "super").count();
            let names = path.iter().filter(|p| !["crate", "super", "self"].contains(&p.as_str())).cloned();
            let from: Module = match path[0].as_str() {
                "crate" => Vec::new(),
                _ => own[..own.len() - ups.min(own.len())].to_vec(),
            };
            let whole: Module = from.into_iter().chain(names).collect();
            let known = (1..=whole.len()).rev().map(|n| &whole[..n]).find(|p| modules.contains_key(*p));
            let Some(used) = known else { continue };
            let shared = own.iter().zip(used).take_while(|(a, b)| a == b).count();
            // A module and one within it know each other; the top modules have an order of their own.
            if shared == 0 || shared == own.len() || shared == used.len() {
                continue;
            }
            all.entry(own[..=shared].to_vec()).or_default().insert(used[..=shared].to_vec());
        }
    }
    all
}

/// The modules that import themselves through others.
fn circles(imports: &BTreeMap<Module, BTreeSet<Module>>) -> Vec<String> {
    let mut found = Vec::new();
    for start in imports.keys() {
        let mut seen = BTreeSet::new();
        let mut next: Vec<&Module> = imports[start].iter().collect();
        while let Some(module) = next.pop() {
            if seen.insert(module) {
                next.extend(imports.get(module).into_iter().flatten());
            }
        }
        if seen.contains(start) {
            let on_it = |m: &&Module| imports.get(*m).is_some() && seen.contains(*m);
            let through: Vec<String> = imports[start].iter().filter(on_it).map(|m| m.join("/")).collect();
            found.push(format!("{} imports {} and comes back", start.join("/"), through.join(", ")));
        }
    }
    found
}

#[test]
fn no_two_files_import_each_other() {
    let modules = modules();
    assert!(modules.len() > 100, "src was not found");
    let found = circles(&imports(&modules));
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn circles_are_noticed() {
    let of = |files: &[(&str, &str)]| {
        let module = |(name, text): &(&str, &str)| (name.split('/').map(str::to_owned).collect(), (*text).to_owned());
        circles(&imports(&files.iter().map(module).collect()))
    };
    let straight = [("a/b", "use super::c::X;"), ("a/c", "use super::{X, b::{Y, Z}};")];
    assert_eq!(of(&straight).len(), 2);
    let round = [("a/b", "use super::c::X;"), ("a/c", "fn f() { crate::a::d::f() }"), ("a/d", "use crate::a::{b, Z};")];
    assert_eq!(of(&round).len(), 3);
    let folders = [("a/b/mod", ""), ("a/b/x", "use super::super::c::X;"), ("a/b", ""), ("a/c", "use super::b::Y;")];
    assert_eq!(of(&folders).len(), 2);
    let sound = [
        ("a", "use b::X;"),
        ("a/b", "use super::Z;"),
        ("a/c", "use super::b::X;\n// use super::d;"),
        ("a/d", "use super::c::X;"),
    ];
    assert_eq!(of(&sound), Vec::<String>::new());
}
