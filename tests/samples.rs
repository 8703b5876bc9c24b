//! The sample jobs and the starter read without an error, every default is right, and a job in
//! inches is the same job as in millimetres.

#![allow(clippy::panic, reason = "a test that cannot read its job stops there")]

use flapwright::design::flap_outline as outline;
use flapwright::design::limits;
use flapwright::diag::{Diagnostic, Source};
use flapwright::doc::{self, Key, Need, Shape, Table};
use flapwright::job::{self, Flap, FlapShape, JOB, Job, Side};
use flapwright::units::{Unit, mm};
use proptest::prelude::*;

const SAMPLES: [(&str, &str); 14] = [
    ("tideline-folio", include_str!("../samples/tideline-folio.toml")),
    ("rockpool-folder", include_str!("../samples/rockpool-folder.toml")),
    ("dulse-atlas", include_str!("../samples/dulse-atlas.toml")),
    ("cockle-portfolio", include_str!("../samples/cockle-portfolio.toml")),
    ("sandpiper-case", include_str!("../samples/sandpiper-case.toml")),
    ("limpet-wrapper", include_str!("../samples/limpet-wrapper.toml")),
    ("samphire-folder", include_str!("../samples/samphire-folder.toml")),
    ("pepper-dulse-folder", include_str!("../samples/pepper-dulse-folder.toml")),
    ("bladderwrack-case", include_str!("../samples/bladderwrack-case.toml")),
    ("laver-slipcase", include_str!("../samples/laver-slipcase.toml")),
    ("furbelow-portfolio", include_str!("../samples/furbelow-portfolio.toml")),
    ("bootlace-portfolio", include_str!("../samples/bootlace-portfolio.toml")),
    ("dabberlocks-portfolio", include_str!("../samples/dabberlocks-portfolio.toml")),
    ("thongweed-portfolio", include_str!("../samples/thongweed-portfolio.toml")),
];

fn read(text: &str) -> (Option<Job>, Vec<Diagnostic>) {
    job::read(&Source { name: "job.toml".into(), text: text.into() })
}

fn job(text: &str) -> Job {
    let (job, diagnostics) = read(text);
    job.unwrap_or_else(|| panic!("{diagnostics:#?}"))
}

#[test]
fn samples_and_starter_read_without_a_word() {
    let starter = job::starter();
    for (name, text) in SAMPLES.into_iter().chain([("starter", starter.as_str())]) {
        let (job, diagnostics) = read(text);
        assert_eq!(diagnostics, [], "{name}");
        assert!(job.is_some(), "{name}");
    }
}

/// The files of a module that declare keys.
fn tables_of(module: &str) -> Vec<String> {
    let folder = format!("{}/src/{module}", env!("CARGO_MANIFEST_DIR"));
    let files = std::fs::read_dir(&folder).into_iter().flatten().flatten().map(|e| e.path());
    let tables = files.filter(|p| p.file_name().is_some_and(|n| n.to_string_lossy().ends_with("keys.rs")));
    tables.filter_map(|p| std::fs::read_to_string(p).ok()).collect()
}

/// As of every number of a shipped profile.
#[test]
fn every_default_says_where_it_comes_from() {
    const ORIGINS: [&str; 5] = ["source: ", "from memory", "practice: ", "derived: ", "choice: "];
    let mut defaults = 0;
    for text in tables_of("job").into_iter().chain(tables_of("profile")) {
        // A table that may be left out has the defaults of its keys.
        for line in text.lines().filter(|l| l.contains("Default(") && !l.contains("Default(\"{}\")")) {
            let comment = line.split_once(" // ").map(|(_, c)| c);
            assert!(comment.is_some_and(|c| ORIGINS.iter().any(|o| c.starts_with(o) && c.len() > o.len())), "{line}");
            defaults += 1;
        }
    }
    assert!(defaults > 110, "{defaults}");
}

#[test]
fn the_folio_means_what_it_says() {
    let folio = job(SAMPLES[0].1);
    assert_eq!((folio.contents.width, folio.contents.height, folio.contents.depth), (mm(215.0), mm(302.0), mm(12.0)));
    assert_eq!(folio.contents.depth_readings, [11.5, 12.0, 11.8].map(mm));
    assert_eq!(folio.flaps.len(), 4);
    // 45 % of the interior along the reach: 304 for tail and head, 60 % of 217 for the right.
    assert!((folio.flaps[&Side::Tail].reach.to_mm() - 136.8).abs() < 1e-9);
    assert!((folio.flaps[&Side::Right].reach.to_mm() - 130.2).abs() < 1e-9);
    assert!((folio.covering.corner.to_mm() - 3.75).abs() < 1e-9);
    assert_eq!(folio.strap.unwrap().pocket_depth, mm(1.25));
    assert!(folio.board.sheet_is_given);
}

#[test]
fn left_out_means_the_default() {
    let roll = SAMPLES[1].1.replace("sheet = { width = 580, height = 780 }", "");
    assert_ne!(roll, SAMPLES[1].1);
    let folder = job(&roll);
    assert_eq!((folder.contents.width, folder.contents.height), (mm(148.0), mm(210.0)));
    let cloth = folder.cloth.unwrap();
    assert!(!cloth.sheet_is_given);
    assert_eq!((cloth.sheet_width, cloth.sheet_height, cloth.gap), (mm(1000.0), mm(1400.0), mm(5.0)));
    assert!(folder.strap.is_none() && folder.build.joint.is_none());
    // The default of 0.5 mm stays that in a job in inches.
    assert_eq!(job(SAMPLES[2].1).making.cut, mm(0.5));
}

#[test]
fn a_box_at_the_edge_of_the_sensible_is_read() {
    let tiny = "format = 1\ntitle = 'One flap'\ncontents = { width = 30, height = 40, depth = 5 }\n\
                board = { thickness = 4, sheet = { width = 200, height = 200 } }\n\
                cloth = { thickness = 0.2 }\nflap.left = { tier = 1, reach = '100 %' }\n";
    let (read_job, diagnostics) = read(tiny);
    let read_job = read_job.unwrap_or_else(|| panic!("{diagnostics:?}"));
    assert!(read_job.liner.is_none());
    assert_eq!(read_job.flaps[&Side::Left].reach, mm(32.0));
}

/// Every key of a table with its dotted name, tables below it included.
fn every_key(table: &'static Table, path: &str, found: &mut Vec<(String, &'static Key)>) {
    for key in table.keys {
        let dotted = if path.is_empty() { key.name.to_owned() } else { format!("{path}.{}", key.name) };
        match &key.shape {
            Shape::Table(inner) => every_key(inner, &dotted, found),
            Shape::Named(names, inner) => every_key(inner, &format!("{dotted}.{}", names[0]), found),
            _ => {}
        }
        found.push((dotted, key));
    }
}

#[test]
fn every_default_reads_and_a_length_carries_its_unit() {
    let mut keys = Vec::new();
    every_key(&JOB, "", &mut keys);
    assert!(keys.len() > 60);
    // With everything optional left out, all defaults are read, in both units, without a word.
    for unit in ["mm", "in"] {
        let least = format!(
            "format = 1\ntitle = 'x'\nunits = '{unit}'\ncontents = {{ width = '200 mm', height = '200 mm', depth = '9 mm' }}\n\
             board = {{ thickness = '3 mm', sheet = {{ width = '700 mm', height = '900 mm' }} }}\n\
             cloth = {{ thickness = '0.3 mm' }}\npaper = {{}}\nsides.left = {{}}\nliner = {{ thickness = '0.2 mm' }}\nstrap = {{}}\nties.left = {{}}\nmagnets.left = {{}}\nwindow.left = {{ width = '50 mm', height = '40 mm' }}\n\
             inside = {{ under.thickness = '2 mm', over.thickness = '1 mm', lift_ribbon = {{}}, colophon = {{ width = '50 mm', height = '60 mm' }} }}\n\
             title_label = {{ width = '60 mm', height = '30 mm' }}\n\
             flap.left = {{ tier = 1, reach = '45 %', notch = {{ width = '30 mm', depth = '9 mm' }} }}\n"
        );
        let (document, told) = doc::read(&least, &JOB, Some("units"));
        assert_eq!(told, []);
        for (dotted, key) in &keys {
            if let Need::Default(written) = key.need {
                assert!(document.has(dotted), "{dotted} = {written}");
                if matches!(key.shape, Shape::Length) {
                    assert!(written.contains(['m', 't']), "{dotted} = {written} has no unit");
                }
            }
            assert!(key.about.ends_with('.') && key.about.len() > 12, "{dotted}: {}", key.about);
        }
        let (a_job, told) = read(&least);
        assert!(a_job.is_some(), "{told:?}");
        assert_eq!(told, []);
    }
}

#[test]
fn the_starter_names_every_key_and_each_can_be_used() {
    let starter = job::starter();
    let mut keys = Vec::new();
    every_key(&JOB, "", &mut keys);
    let (mut header, mut head) = (String::new(), None);
    let mut seen = Vec::new();
    let lines: Vec<&str> = starter.lines().collect();
    for (i, line) in lines.iter().enumerate() {
        // A table that the starter's box goes without is a comment, its head as well.
        if let Some(name) = line.strip_prefix("# [").filter(|name| name.ends_with(']')) {
            header = name.trim_end_matches(']').to_owned();
            seen.push(header.clone());
            head = Some(i);
            continue;
        }
        if let Some(name) = line.strip_prefix('[') {
            head = None;
            header = name.trim_end_matches(']').to_owned();
            seen.push(header.clone());
            continue;
        }
        let setting = line.trim_start_matches("# ");
        let Some((name, _)) = setting.split_once(" = ").filter(|(n, _)| !n.contains([' ', ':', '"'])) else { continue };
        seen.push(if header.is_empty() { name.to_owned() } else { format!("{header}.{name}") });
        if setting != *line {
            // Without its # the line has the right shape.
            let mut tried = lines.clone();
            tried[i] = setting;
            if let Some(head) = head {
                tried[head] = lines[head].trim_start_matches("# ");
                // What such a table cannot do without is written beside it.
                let needed = keys.iter().filter(|(dotted, key)| {
                    matches!(key.need, Need::Required)
                        && dotted.rsplit_once('.').is_some_and(|(table, _)| table == header)
                });
                for (_, key) in needed {
                    let start = format!("# {} = ", key.name);
                    let at = (head..lines.len()).find(|k| lines[*k].starts_with(&start)).unwrap();
                    tried[at] = lines[at].trim_start_matches("# ");
                }
            }
            let (_, told) = doc::read(&tried.join("\n"), &JOB, Some("units"));
            assert_eq!(told, [], "{setting}");
        }
    }
    for (dotted, _) in &keys {
        assert!(
            seen.contains(dotted) || ["flap", "ties", "magnets", "window", "sides"].contains(&dotted.as_str()),
            "{dotted} is not in the starter"
        );
    }
}

#[test]
fn the_schema_covers_the_format_and_its_patterns_fit_the_reader() {
    let schema = doc::schema("job", &JOB);
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    assert_eq!(schema["additionalProperties"], false);
    assert_eq!(schema["properties"]["copies"]["default"], 1);
    assert_eq!(schema["properties"]["flap"]["properties"]["left"]["required"], serde_json::json!(["tier"]));
    assert_eq!(schema["properties"]["units"]["enum"], serde_json::json!(["mm", "in"]));
    let mut keys = Vec::new();
    every_key(&JOB, "", &mut keys);
    for (dotted, key) in keys {
        let mut at = &schema;
        for part in dotted.split('.') {
            at = &at["properties"][part];
        }
        assert_eq!(at["description"], key.about, "{dotted}");
    }
}

/// A job with its numbers taken out of the text that describes it, places and unit left aside.
fn figures(mut job: Job) -> (Vec<f64>, String) {
    job.places = Default::default();
    job.units = Unit::Mm;
    let text = format!("{job:?}");
    let mut numbers = Vec::new();
    let mut rest = String::new();
    for word in text.split_inclusive(['(', ')', ' ', ',', '[', ']']) {
        let bare = word.trim_end_matches(['(', ')', ' ', ',', '[', ']']);
        match bare.parse::<f64>() {
            Ok(n) => numbers.push(n),
            Err(_) => rest.push_str(word),
        }
    }
    (numbers, rest)
}

proptest! {
    /// The closed forms that the reader judges an outline by, against the builder that draws it.
    #[test]
    fn an_outline_is_refused_just_where_it_cannot_be_drawn(
        reach in 20.0..190.0f64, shape in 0..4usize, measure in 0.02..1.0f64, radius in 0.0..120.0f64,
    ) {
        let (shape, words) = match shape {
            0 => (FlapShape::Square, String::new()),
            1 => (FlapShape::Taper(measure * 88.0), format!("shape = 'taper'\ntaper = {}\n", measure * 88.0)),
            2 => (FlapShape::Bow(mm(measure * 120.0)), format!("shape = 'bow'\nbow = {}\n", measure * 120.0)),
            _ => (FlapShape::Bow(mm(-measure * 120.0)), format!("shape = 'bow'\nbow = {}\n", -measure * 120.0)),
        };
        // The inset makes the lid 200 wide.
        let write = |radius: f64| format!(
            "format = 1\ntitle = 'x'\n[contents]\nwidth = 198\nheight = 218\ndepth = 9\n\
             [board]\nthickness = 3\nsheet = {{ width = 700, height = 900 }}\n[cloth]\nthickness = 0.3\n\
             [box]\nflap_inset = 10\n[flap.left]\ntier = 1\nreach = {reach}\n{words}corner_radius = {radius}\n"
        );
        // At a thousandth on either side of the limit both must say the same.
        for radius in [radius, radius * 0.05, 0.0] {
            let (job, mut told) = read(&write(radius));
            told.extend(job.as_ref().map(limits).unwrap_or_default());
            let refused: Vec<&str> = told.iter().filter(|d| d.is_error()).map(|d| d.code).collect();
            let draw = |radius: f64| {
                let flap =
                    Flap { tier: 1, reach: mm(reach), shape: shape.clone(), corner_radius: mm(radius), notch: None };
                outline(mm(200.0), flap.reach, &flap).is_ok()
            };
            if draw(radius * 0.999) == draw(radius * 1.001) {
                prop_assert_eq!(draw(radius), refused.is_empty(), "{} {:?}", write(radius), refused);
            }
        }
    }

    #[test]
    fn inches_and_millimetres_describe_the_same_job(
        sizes in (60.0..900.0f64, 60.0..900.0f64, 1.0..60.0f64, 1.0..4.0f64),
        reach in 15.0..55.0f64, inset in 3.0..20.0f64, turn_in in 10.0..20.0f64, strap in proptest::bool::ANY,
    ) {
        let write = |unit: &str, per: f64| {
            let n = |v: f64| v / per;
            let mut text = format!(
                "format = 1\ntitle = 'x'\nunits = '{unit}'\n[contents]\nwidth = {}\nheight = {}\ndepth = [{}, {}]\n\
                 [board]\nthickness = {}\nsheet = {{ width = {}, height = {} }}\n[cloth]\nthickness = {}\n\
                 [liner]\nthickness = '0.2 mm'\n[flap.left]\ntier = 1\nreach = {}\n[covering]\nturn_in = {}\nreveal = {}\n",
                n(sizes.0), n(sizes.1), n(sizes.2), n(sizes.2 * 0.9), n(sizes.3), n(700.0), n(1000.0), n(0.3),
                n(reach), n(turn_in), n(2.0),
            );
            if strap {
                text.push_str(&format!("[strap]\ninset = {}\ntail = '5 mm'\nfrom_edge = '30 mm'\n", n(inset)));
            }
            text
        };
        let (one, two) = (read(&write("mm", 1.0)), read(&write("in", 25.4)));
        let codes = |d: &[Diagnostic]| d.iter().map(|d| d.code).collect::<Vec<_>>();
        prop_assert_eq!(codes(&one.1), codes(&two.1));
        let (one, two) = (one.0.map(figures), two.0.map(figures));
        prop_assert!(one.is_some());
        let (one, two) = (one.unwrap(), two.unwrap());
        prop_assert_eq!(one.1, two.1);
        prop_assert_eq!(one.0.len(), two.0.len());
        for (a, b) in one.0.iter().zip(&two.0) {
            prop_assert!((a - b).abs() < 1e-9, "{} {}", a, b);
        }
    }

    #[test]
    fn random_text_never_panics(text in "\\PC{0,300}") {
        let (job, told) = read(&text);
        prop_assert!(job.is_some() != flapwright::diag::any_error(&told));
    }

    #[test]
    fn random_lines_of_toml_never_panic(lines in proptest::collection::vec(
        "(\\[{1,2}(flap|flap\\.left|box|contents|strap)\\]{0,2}|(width|reach|tier|depth|size|sheet|bow) = \
         (-?[0-9]{1,9}(e[0-9]{1,3})?|\"[0-9./ ]{0,6}(mm|in|t|%|pt)\"|\\[[0-9, ]{0,6}\\]|nan|inf|true|\\{ width = 1 \\}))", 0..20)) {
        let (job, told) = read(&lines.join("\n"));
        prop_assert!(job.is_some() != flapwright::diag::any_error(&told));
    }

    #[test]
    fn a_mutated_sample_never_panics_and_a_missing_job_has_an_error(
        which in 0..SAMPLES.len(),
        edits in proptest::collection::vec((0.0..1.0f64, 0..6usize, "\\PC{0,6}|[0-9.eE\"\\[\\]={}#\n-]{0,4}"), 1..6),
    ) {
        let mut text: Vec<char> = SAMPLES[which].1.chars().collect();
        for (at, cut, put) in edits {
            let at = (at * text.len() as f64) as usize;
            let end = (at + cut).min(text.len());
            text.splice(at..end, put.chars());
        }
        let text: String = text.into_iter().collect();
        let (job, told) = read(&text);
        prop_assert!(job.is_some() != flapwright::diag::any_error(&told), "{:?}", told);
        let source = Source { name: "job.toml".into(), text };
        let shown = flapwright::diag::render(&told, &source, &Default::default(), false);
        prop_assert_eq!(shown.matches("job.toml:").count() >= told.len(), true);
    }
}
