//! Texts that nobody wrote by hand: each ends in a few clear errors placed in the text, in bounded
//! time. The time allowed is for a debug build on a busy machine, a hundred times what is needed;
//! without the limits most of these took minutes.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use flapwright::coupon::form;
use flapwright::diag::{Diagnostic, Place, Places, Source, render, to_json};
use flapwright::limits::{DRAWING_THINGS, LIST_ENTRIES, PROBLEMS, TEXT_BYTES, TEXT_LENGTH};
use flapwright::units::Unit;
use flapwright::{import, job, profile, verify};
use std::time::{Duration, Instant};

const ENOUGH: Duration = Duration::from_secs(10);

/// What is said of a text as a job, as a profile and as a form.
fn said(text: &str) -> Vec<Vec<Diagnostic>> {
    let source = Source { name: "hostile.toml".into(), text: text.into() };
    let begun = Instant::now();
    let all = vec![job::read(&source).1, profile::read(&source, "hostile").1, form::read(&source).1];
    for told in &all {
        assert!(told.iter().any(Diagnostic::is_error));
        assert!(told.len() <= PROBLEMS, "{} are told", told.len());
        for d in told {
            assert!(d.message.len() < 600, "{} bytes of message", d.message.len());
            let Some(Place::Span(span)) = &d.place else { panic!("{d:?} has no place") };
            assert!(span.start <= span.end && span.end <= text.len(), "{d:?} of {} bytes", text.len());
        }
        let shown = render(told, &source, &Places::default(), false);
        assert!(shown.len() < 200_000, "{} bytes are shown", shown.len());
        assert_eq!(to_json(told, &source, &Places::default()).as_array().unwrap().len(), told.len());
    }
    assert!(begun.elapsed() < ENOUGH, "took {:?}", begun.elapsed());
    all
}

/// So many bytes of a text repeated.
fn full_of(text: &str) -> String {
    text.repeat(TEXT_BYTES as usize / text.len())
}

#[test]
fn deep_nesting_is_told() {
    for (open, close) in [("[", "]"), ("{a=", "}"), ("[{a=", "}]")] {
        let n = 60_000 / open.len();
        for text in [format!("a = {}{}", open.repeat(n), close.repeat(n)), format!("a = {}", open.repeat(n))] {
            said(&text);
        }
    }
    said(&format!("{} = 1\n", vec!["contents"; 20_000].join(".")));
    said(&format!("[{}]\n", vec!["contents"; 20_000].join(".")));
    said(&format!("[[{}]]\n", vec!["tool"; 20_000].join(".")));
}

#[test]
fn a_flood_of_keys_lists_or_garbage_is_told_by_its_first() {
    let keys: String = (0..20_000).map(|i| format!("k{i} = 1\n")).collect();
    for told in said(&keys) {
        assert_eq!(told.len(), PROBLEMS);
        let hint = told.last().unwrap().hint.clone().unwrap_or_default();
        assert!(hint.contains("more problems are not shown"), "{hint}");
    }
    for text in ["=\n", "a=b ", "[[tool]]\n", "[[rule]]\n", "\"\"\"", "\r", "\0", "\u{1f58c}=", "[a]\n", "x=1\n"] {
        said(&full_of(text));
    }
    let told = said(&full_of("[[tool]]\n"));
    assert!(told[1].iter().any(|d| d.code == "too-many-entries"), "{:?}", told[1]);
}

#[test]
fn lists_texts_and_numbers_have_an_end() {
    for (entry, most) in [("7", LIST_ENTRIES), ("\"wet\"", LIST_ENTRIES)] {
        let text = |n: usize| format!("[contents]\ndepth = [{}]\n", vec![entry; n].join(","));
        assert!(said(&text(most + 1))[0].iter().any(|d| d.code == "too-many-entries"));
        assert!(!said(&text(most))[0].iter().any(|d| d.code == "too-many-entries"));
    }
    for (n, is_wrong) in [(TEXT_LENGTH, false), (TEXT_LENGTH + 1, true), (50_000, true)] {
        let told = &said(&format!("title = \"{}\"\nname = \"{0}\"\n", "é".repeat(n)))[..2];
        assert!(told.iter().all(|t| t.iter().any(|d| d.code == "text-too-long") == is_wrong), "{n}");
    }
    let digits = "9".repeat(60_000);
    for value in [digits.clone(), format!("1.{digits}"), format!("1e{digits}"), format!("\"{digits} mm\"")] {
        said(&format!("copies = {value}\nformat = {value}\n[contents]\nwidth = {value}\n"));
    }
    said(&format!("{digits} = 1\n[{digits}]\n"));
    let told = said(&format!("copies = {}\n", 10u64.pow(12)));
    assert!(told[0].iter().any(|d| d.code == "copies"));
    let told = said(&"#".repeat(TEXT_BYTES as usize + 1));
    assert!(told.iter().all(|t| t.iter().any(|d| d.code == "too-large" && d.hint.is_some())));
}

#[test]
fn a_drawing_of_too_many_things_is_refused_before_it_fills_the_memory() {
    let line = "0\nLINE\n8\n0\n10\n0\n20\n0\n11\n0\n21\n0\n";
    let drawing = |n: usize| format!("0\nSECTION\n2\nENTITIES\n{}0\nENDSEC\n0\nEOF\n", line.repeat(n));
    let begun = Instant::now();
    let full = drawing(DRAWING_THINGS);
    let (outline, told) = import::outline(full.as_bytes(), None, Unit::Mm);
    assert!(outline.is_none() && told.iter().any(|d| d.code == "drawing-too-large"), "{told:?}");
    let (_, found) = verify::read::dxf::read(full.as_bytes());
    assert!(found.iter().any(|f| f.code == "drawing-too-large"), "{found:?}");
    // Zeros that are values are no things.
    let few = drawing(1000);
    assert!(!import::outline(few.as_bytes(), None, Unit::Mm).1.iter().any(|d| d.code == "drawing-too-large"));
    assert!(begun.elapsed() < ENOUGH, "took {:?}", begun.elapsed());
}

/// A manifest that the samples' folders could not have.
fn manifest(thickness: &str, vertex: &str, placed: usize) -> String {
    let place = r#"{"piece":"board-base","copy":1,"copies":[1],"x":0,"y":0,"rotation":0,"mirrored":false}"#;
    let points = vec![vertex; 1000].join(",");
    format!(
        r#"{{"format":1,"title":"hostile","units":"mm","pieces":[{{"id":"board-base","stock":"board","count":1,"grain":"none","outline":[{points}],
        "holes":[],"pockets":[],"creases":[],"marks":[]}}],"sheets":[{{"id":"board-1","stock":"board","width":700,
        "height":1000,"thickness":{thickness},"count":1,"used":0.5,"placed":[{}]}}],"programs":[],"files":[]}}"#,
        vec![place; placed].join(",")
    )
}

#[test]
fn a_manifest_of_no_measure_is_refused() {
    // Cloth that is counted as nothing has no thickness.
    for sound in ["2.5", "0"] {
        assert!(verify::read::manifest::read(manifest(sound, "[1,2,0]", 1).as_bytes()).is_ok());
    }
    for (why, text) in [
        ("thickness", manifest("-1e300", "[1,2,0]", 1)),
        ("thickness", manifest("-0.1", "[1,2,0]", 1)),
        ("farther off", manifest("2.5", "[1,2,1e300]", 1)),
        ("farther off", manifest("2.5", "[-1e300,2,0]", 1)),
        ("points", manifest("2.5", "[1,2,0]", 4000)),
    ] {
        let refused =
            verify::read::manifest::read(text.as_bytes()).err().unwrap_or_else(|| panic!("{why} is let pass"));
        assert!(refused.contains(why), "{why}: {refused}");
    }
}
