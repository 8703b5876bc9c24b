//! Bad jobs and what is said of them: `tests/bad_jobs/README.md` tells how the files are written.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a test that cannot read its own files stops there")]

use flapwright::design::limits;
use flapwright::diag::{Diagnostic, Place, Severity, Source, any_error, render, to_json};
use flapwright::job::{self, Job};
use std::collections::BTreeSet;
use std::path::Path;

fn sources() -> Vec<Source> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad_jobs");
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

/// What is said of a job's text and of what it asks for, and the job where none of that is an error.
fn told(source: &Source) -> (Option<Job>, Vec<Diagnostic>) {
    let (draft, mut said, _) = job::draft(source, &|_| Err("drawings cannot be read here".into()), &[]);
    if let Some(draft) = &draft {
        said.extend(limits(draft).into_iter().map(|d| d.placed(&draft.places)));
    }
    job::without_what_follows(&mut said);
    (draft.filter(|_| !any_error(&said)), said)
}

/// A diagnostic as a file expects it.
#[derive(Debug)]
struct Expected {
    line: usize,
    level: String,
    code: String,
    part: String,
}

fn expected(source: &Source) -> Vec<Expected> {
    let mut found = Vec::new();
    let mut for_next = Vec::new();
    for (i, line) in source.text.lines().enumerate() {
        let Some(at) = line.find("#!") else {
            found.extend(for_next.drain(..).map(|e: Expected| Expected { line: i + 1, ..e }));
            continue;
        };
        let is_alone = line[..at].trim().is_empty();
        if !is_alone {
            found.extend(for_next.drain(..).map(|e: Expected| Expected { line: i + 1, ..e }));
        }
        for note in line[at..].split("#!").skip(1) {
            let is_top = note.starts_with("top ");
            let note = note.trim_start_matches("top ").trim();
            let (head, part) = note.split_once(": ").unwrap_or((note, ""));
            let (level, code) = head.split_once(' ').unwrap_or_else(|| panic!("{}: `{note}`", source.name));
            let note = Expected {
                line: if is_top { 1 } else { i + 1 },
                level: level.to_owned(),
                code: code.to_owned(),
                part: part.trim().to_owned(),
            };
            if is_alone && !is_top { for_next.push(note) } else { found.push(note) }
        }
    }
    assert!(for_next.is_empty(), "{}: a note at the end speaks of no line", source.name);
    found
}

fn line_of(d: &Diagnostic, text: &str) -> usize {
    match &d.place {
        Some(Place::Span(span)) => text[..span.start].matches('\n').count() + 1,
        other => panic!("`{}` is placed at {other:?}, not in the text", d.message),
    }
}

fn level(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Hint => "hint",
    }
}

#[test]
fn each_bad_job_is_told_what_is_written_in_it_and_nothing_else() {
    let mut wrong = String::new();
    let mut mistakes = BTreeSet::new();
    for source in sources() {
        let mut told = told(&source).1;
        for e in expected(&source) {
            let at = told.iter().position(|d| {
                line_of(d, &source.text) == e.line
                    && level(d.severity) == e.level
                    && d.code == e.code
                    && (d.message.contains(&e.part) || d.hint.as_ref().is_some_and(|h| h.contains(&e.part)))
            });
            match at {
                Some(at) => {
                    let d = told.remove(at);
                    mistakes.insert((d.code, d.message));
                }
                None => wrong
                    .push_str(&format!("{}:{} is not told: {} {}: {}\n", source.name, e.line, e.level, e.code, e.part)),
            }
        }
        for d in told {
            let line = line_of(&d, &source.text);
            let hint = d.hint.unwrap_or_default();
            wrong.push_str(&format!(
                "{}:{line} is told: {} {}: {} ({hint})\n",
                source.name,
                level(d.severity),
                d.code,
                d.message
            ));
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
    assert!(mistakes.len() >= 45, "only {} distinct mistakes", mistakes.len());
}

#[test]
fn a_job_comes_out_only_where_nothing_is_an_error() {
    for source in sources() {
        let has_error = expected(&source).iter().any(|e| e.level == "error");
        assert_eq!(told(&source).0.is_none(), has_error, "{}", source.name);
    }
}

#[test]
fn every_diagnostic_is_shown_with_file_line_and_column() {
    for source in sources() {
        let told = told(&source).1;
        let places = Default::default();
        let shown = render(&told, &source, &places, false);
        let json = to_json(&told, &source, &places);
        let json = json.as_array().unwrap();
        assert_eq!(json.len(), told.len());
        // For people the gravest stand last, for programs first; of one gravity both go by the text.
        let of = |word: &'static str| json.iter().filter(move |d| d["severity"] == word);
        let json: Vec<_> = of("hint").chain(of("warning")).chain(of("error")).collect();
        for (block, d) in shown.trim_end().split("\n\n").zip(json) {
            let at = format!("--> {}:{}:{}\n", source.name, d["line"], d["column"]);
            assert!(block.contains(&at), "{at}{block}");
            assert!(block.contains(d["message"].as_str().unwrap()), "{block}");
            assert!(block.contains(d["code"].as_str().unwrap()), "{block}");
        }
        assert_eq!(shown.trim_end().split("\n\n").count(), told.len(), "{shown}");
    }
}

#[test]
fn an_empty_text_and_one_of_a_megabyte_are_told() {
    for (text, code) in [(String::new(), "missing-key"), ("#".repeat(2 << 20), "too-large")] {
        let source = Source { name: "job.toml".into(), text };
        let (job, told) = job::read(&source);
        assert!(job.is_none());
        assert!(told.iter().any(|d| d.code == code), "{told:?}");
        assert!(render(&told, &source, &Default::default(), false).contains("job.toml:1:1"));
    }
}
