//! Bad machine profiles and what is said of them: `tests/bad_profiles/README.md` tells how the
//! files are written.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a test that cannot read its own files stops there")]

use flapwright::diag::{Diagnostic, Place, Severity, Source, render};
use flapwright::profile;
use std::collections::BTreeSet;
use std::path::Path;

/// What a file says of one of its lines.
#[derive(Debug)]
struct Expected {
    line: usize,
    level: String,
    code: String,
    part: String,
}

fn sources() -> Vec<Source> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad_profiles");
    let mut sources: Vec<Source> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .map(|path| Source {
            name: path.file_name().unwrap().to_str().unwrap().to_owned(),
            text: std::fs::read_to_string(&path).unwrap(),
        })
        .collect();
    sources.sort_by(|a, b| a.name.cmp(&b.name));
    sources
}

fn expected(source: &Source) -> Vec<Expected> {
    let notes = source.text.lines().enumerate().flat_map(|(i, line)| line.split("#!").skip(1).map(move |n| (i + 1, n)));
    notes
        .map(|(line, note)| {
            let top = note.trim().strip_prefix("top ");
            let (head, part) = top.unwrap_or(note.trim()).split_once(": ").unwrap_or_else(|| panic!("{note}"));
            let (level, code) = head.split_once(' ').unwrap_or_else(|| panic!("{note}"));
            let line = if top.is_some() { 1 } else { line };
            Expected { line, level: level.into(), code: code.into(), part: part.trim().into() }
        })
        .collect()
}

fn line_of(d: &Diagnostic, text: &str) -> usize {
    match &d.place {
        Some(Place::Span(span)) => text[..span.start].matches('\n').count() + 1,
        other => panic!("`{}` is placed at {other:?}, not in the text", d.message),
    }
}

fn level(d: &Diagnostic) -> &'static str {
    match d.severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Hint => "hint",
    }
}

#[test]
fn each_bad_profile_is_told_what_is_written_in_it_and_nothing_else() {
    let mut wrong = String::new();
    let mut mistakes = BTreeSet::new();
    for source in sources() {
        let (profile, mut told) = profile::read(&source, "bad");
        assert_eq!(profile.is_none(), expected(&source).iter().any(|e| e.level == "error"), "{}", source.name);
        for e in expected(&source) {
            let fits = |d: &Diagnostic| {
                let said = format!("{} {}", d.message, d.hint.as_deref().unwrap_or_default());
                (line_of(d, &source.text), level(d), d.code) == (e.line, e.level.as_str(), e.code.as_str())
                    && said.contains(&e.part)
            };
            match told.iter().position(fits) {
                Some(at) => {
                    let d = told.remove(at);
                    mistakes.insert((d.code, d.message));
                }
                None => wrong.push_str(&format!("{}:{} not told: {e:?}\n", source.name, e.line)),
            }
        }
        for d in told {
            let line = line_of(&d, &source.text);
            let hint = d.hint.as_deref().unwrap_or_default();
            wrong.push_str(&format!("{}:{line} told: {} {}: {} ({hint})\n", source.name, level(&d), d.code, d.message));
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
    assert!(mistakes.len() >= 90, "only {} distinct mistakes", mistakes.len());
}

#[test]
fn every_diagnostic_is_shown_with_its_line_and_says_what_to_do() {
    for source in sources() {
        for d in profile::read(&source, "bad").1 {
            // What the document reader says of a value of the wrong kind is in the message itself.
            assert!(d.hint.is_some() || d.code == "wrong-kind", "{}: {} has no hint", source.name, d.message);
            assert!(!d.message.ends_with('.') && !d.message.contains("NaN"), "{}", d.message);
            let line = line_of(&d, &source.text);
            let shown = render(std::slice::from_ref(&d), &source, &flapwright::diag::Places::default(), false);
            assert!(shown.contains(&format!("--> {}:{line}:", source.name)), "{shown}");
        }
    }
}
