//! What is said by its weight: the gravest nearest to the prompt, one cause once, notes counted, nothing about
//! what the maker did not write, everything in the job's unit, and true words for what goes wrong.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops where its ground is missing")]

use crate::common::program::{err, out, run};
use crate::common::references::scratch;
use flapwright::diag::{Severity, Source};
use flapwright::job;
use flapwright::pipeline::{Layout, Watch, work};
use std::fs;
use std::path::Path;
use std::process::Command;
use std::sync::atomic::AtomicBool;

const SAMPLES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/samples");
/// A job as short as can be.
const SHORT: &str = "format = 1\ntitle = \"Kelp\"\n[contents]\nsize = \"A5\"\ndepth = 6\n[board]\nthickness = 2\n\
sheet = { width = 700, height = 1000 }\n[cloth]\nthickness = 0.3\n[flap.left]\ntier = 1\nreach = \"95 %\"\n";

fn sample(name: &str) -> String {
    fs::read_to_string(format!("{SAMPLES}/{name}.toml")).unwrap()
}

/// The lines of what is said that begin a diagnostic.
fn heads(text: &str) -> Vec<&str> {
    let words = ["note[", "warning[", "error["];
    text.lines().filter(|l| words.iter().any(|w| l.starts_with(w))).collect()
}

#[test]
fn the_gravest_is_nearest_to_the_prompt_and_notes_are_counted() {
    let dir = scratch("messages-order");
    // Of a creased board two notes, of a turn-in that is narrow a warning, of a lid that is too long an error.
    let text = sample("sandpiper-case");
    let warned = text.replace("[strap]", "[making]\ncut = 2.9\n\n[strap]");
    fs::write(dir.join("warned.toml"), &warned).unwrap();
    let usual = out(&run(&dir, &["check", "warned.toml"]));
    assert!(usual.contains("2 notes: -v shows them"), "{usual}");
    let all = out(&run(&dir, &["check", "warned.toml", "-v"]));
    let kinds = |text: &str| heads(text).iter().map(|l| l.split('[').next().unwrap().to_owned()).collect::<Vec<_>>();
    assert_eq!(kinds(&all), ["note", "note", "warning"], "{all}");
    assert_eq!(kinds(&usual), ["warning"], "{usual}");
    assert!(usual.find("2 notes").unwrap() < usual.find("warning[").unwrap());
    assert!(usual.contains("with 1 warning below") && all.contains("with 1 warning and 2 notes below"));
    let last = usual.trim_end().rsplit("\n\n").next().unwrap();
    assert!(last.starts_with("warning["), "the last of it is what is gravest: {last}");
    // An error comes after the warnings, whichever stands first in the file.
    let wrong = warned.replacen("reach = \"", "reach = \"1", 1);
    fs::write(dir.join("wrong.toml"), &wrong).unwrap();
    let o = run(&dir, &["check", "wrong.toml"]);
    assert_eq!(o.status.code(), Some(1), "{}", out(&o));
    let said = out(&o);
    assert_eq!(kinds(&said), ["warning", "error", "error"], "{said}");
    // Quietly: the errors and nothing else, of a good job nothing at all.
    let quiet = run(&dir, &["-q", "check", "wrong.toml"]);
    assert!(out(&quiet).starts_with("error[") && kinds(&out(&quiet)) == ["error", "error"] && err(&quiet).is_empty());
    for arguments in [
        &["check", "warned.toml", "-q"][..],
        &["export", "warned.toml", "--out", "o", "-q"],
        &["verify", "o", "-q"],
        &["new", "n.toml", "-q"],
        &["profiles", "copy", "small-router", "p.toml", "-q"],
    ] {
        let o = run(&dir, arguments);
        assert_eq!((o.status.code(), out(&o), err(&o)), (Some(0), String::new(), String::new()), "{arguments:?}");
    }
    // What an export has to say stands after its report.
    let o = Command::new("sh")
        .current_dir(&dir)
        .args(["-c", "\"$0\" export warned.toml --out o 2>&1", env!("CARGO_BIN_EXE_flapwright")])
        .output()
        .unwrap();
    let both = out(&o);
    assert!(both.find("Cost and time").unwrap() < both.find("warning[").unwrap(), "{both}");
}

#[test]
fn one_cause_is_told_once_with_its_worst_case() {
    let dir = scratch("messages-causes");
    // Every wall and lid is too long for so small a sheet.
    let small = SHORT.replace("width = 700, height = 1000", "width = 100, height = 150");
    fs::write(dir.join("small.toml"), small).unwrap();
    let said = out(&run(&dir, &["check", "small.toml"]));
    let errors =
        |text: &str| heads(text).into_iter().filter(|l| l.starts_with("error")).map(str::to_owned).collect::<Vec<_>>();
    let once = "error[piece-too-large]: the board's sheet is too small for 3 pieces; the largest needs 150 x 212 mm";
    assert_eq!(errors(&said), [once]);
    assert_eq!(errors(&out(&run(&dir, &["check", "small.toml", "-v"]))).len(), 3);
    // In a list the rows are counted, by whatever text each has.
    let mut list = "id,width,height,depth\n".to_owned();
    for i in 1..=40 {
        let (w, h) = if i % 4 == 0 { (400 + i, 660) } else { (210, 297) };
        list.push_str(&format!("TH-{i:03},{w},{h},10\n"));
    }
    fs::write(dir.join("list.csv"), list).unwrap();
    fs::write(dir.join("job.toml"), sample("herbarium-survey")).unwrap();
    let o = run(&dir, &["batch", "list.csv", "--job", "job.toml", "--out", "made", "--lot", "100"]);
    let told = err(&o);
    let errors: Vec<&str> = told.lines().filter(|l| l.starts_with("error: ")).collect();
    assert!(!errors.is_empty() && errors.len() <= 3, "{told}");
    for error in errors {
        assert!(error.contains(" for 10 rows; the largest needs ") && error.ends_with("(row 41, TH-040)"), "{error}");
    }
    assert!(told.contains("  rows: 5, 9, 13, 17, 21, 25, 29, 33, 37, 41\n"), "{told}");
    let strict = ["batch", "list.csv", "--job", "job.toml", "--out", "strict", "--lot", "100", "--strict"];
    let stopped = err(&run(&dir, &strict));
    assert!(stopped.matches("error: ").count() <= 3 && stopped.contains(" for 10 rows; "), "{stopped}");
    assert!(stopped.ends_with("Stopped; mend the list and run the same command again.\n"), "{stopped}");
    let last = told.lines().rev().find(|l| !l.starts_with(' ')).unwrap();
    assert!(last.starts_with("error: "), "{told}");
    assert_eq!(out(&run(&dir, &["-q", "batch", "list.csv", "--job", "job.toml", "--out", "made", "--lot", "100"])), "");
}

/// Whatever a job leaves out, no warning is about it: that which was taken for granted is at most noted.
#[test]
fn no_warning_is_about_what_was_not_written() {
    // What the box is like as a whole, not a setting of it.
    const OF_THE_BOX: [&str; 2] = ["closes-unsurely", "contents-uncovered"];
    let mut jobs = Vec::new();
    for (lids, strap) in [
        ("", ""),
        ("[flap.right]\ntier = 2\nreach = \"60 %\"\n", ""),
        ("", "[strap]\n"),
        ("[flap.head]\ntier = 2\nreach = \"95 %\"\n", "[strap]\nalong = \"width\"\n"),
    ] {
        for size in ["A7", "A5", "A4", "A2", "A1", "A0"] {
            for board in ["0.8", "2", "4"] {
                for liner in ["", "[liner]\nthickness = 0.25\n"] {
                    let sheet = "sheet = { width = 2700, height = 3000 }";
                    let text = SHORT.replace("A5", size).replace("thickness = 2\n", &format!("thickness = {board}\n"));
                    let text = text.replace("sheet = { width = 700, height = 1000 }", sheet);
                    jobs.push(format!("{text}{lids}{strap}{liner}"));
                }
            }
        }
    }
    let (stop, mut noted) = (AtomicBool::new(false), 0);
    for text in jobs {
        let source = Source { name: "job.toml".into(), text: text.clone() };
        let (Some(mut job), mut said) = job::read(&source) else { panic!("{text}") };
        job.layout_effort = 1;
        let (_, more) = work(&job, &Layout::default(), &Watch { stop: &stop, progress: &|_, _, _| {} });
        said.extend(more);
        for d in said {
            let key = d.key().unwrap_or_default().to_owned();
            let is_written = job.places.has(&key);
            let is_fine = d.severity != Severity::Warning || is_written || OF_THE_BOX.contains(&d.code);
            assert!(is_fine, "{} at {key}: {}\n{text}", d.code, d.message);
            noted += usize::from(d.severity == Severity::Hint && !is_written);
        }
    }
    assert!(noted > 10, "{noted}");
    // Written, the same is a warning.
    for (job, code) in [
        ("[strap]\npocket_depth = 0.5\n", "elastic-proud"),
        ("[elastic]\nthickness = 1.4\n[strap]\n", "elastic-proud"),
        ("[covering]\nturn_in = 80\n", "turn-ins-meet"),
    ] {
        let source = Source { name: "job.toml".into(), text: format!("{SHORT}{job}") };
        let said = flapwright::design::limits(&job::read(&source).0.unwrap());
        assert!(said.iter().any(|d| d.code == code && d.severity == Severity::Warning), "{job}: {said:?}");
    }
}

#[test]
fn what_may_be_another_unit_is_asked_first_and_alone() {
    let dir = scratch("messages-units");
    let said = |text: &str| {
        fs::write(dir.join("job.toml"), text).unwrap();
        let o = run(&dir, &["check", "job.toml"]);
        (o.status.code(), out(&o))
    };
    let inches = SHORT.replace("size = \"A5\"", "width = 8\nheight = 10");
    let (code, text) = said(&format!("{inches}[strap]\n[liner]\nthickness = 0.2\n"));
    assert_eq!(code, Some(1), "{text}");
    assert_eq!(
        heads(&text),
        ["error[another-unit]: the stack is read as 8 x 10 mm: was it measured in inches?"],
        "{text}"
    );
    assert!(text.contains("write units = \"in\""), "{text}");
    // With the unit written there is nothing to ask, and what is wrong is told.
    let sized = inches.replace("= 8\n", "= \"8 mm\"\n").replace("= 10\n", "= \"10 mm\"\n");
    let (_, text) = said(&format!("{sized}[strap]\n"));
    assert!(!text.contains("another-unit") && text.contains("error["), "{text}");
    let (code, text) = said(
        &format!("units = \"in\"\n{inches}")
            .replace("2\nsheet = { width = 700, height = 1000", "\"2 mm\"\nsheet = { width = 28, height = 40")
            .replace("0.3", "\"0.3 mm\"")
            .replace("depth = 6", "depth = 0.3"),
    );
    assert_eq!(code, Some(0), "{text}");
    // Millimetres in a job in inches, points without their unit; what is wrong besides lengths is told with it.
    let (_, text) = said(&SHORT.replace("size = \"A5\"", "width = 210\nheight = 297").replacen(
        "title",
        "units = \"in\"\ntitle",
        1,
    ));
    let found = heads(&text);
    assert!(found[0].contains("210 x 297 in: was it measured in millimetres?"), "{text}");
    assert!(found.iter().all(|l| l.contains("another-unit")), "{text}");
    let (_, text) = said(&SHORT.replace("thickness = 2\n", "thickness = 80\n").replace("tier = 1", "tire = 1"));
    let found = heads(&text);
    assert!(
        found.iter().any(|l| l.contains("is it 80 pt?")) && found.iter().any(|l| l.contains("has no key `tire`")),
        "{text}"
    );
    assert!(text.contains("write board.thickness = \"80 pt\"; no board is taken that is thicker than 10 mm"), "{text}");
    // A stack that is small and can be made is asked about, and made.
    let (code, text) = said(
        &SHORT
            .replace("size = \"A5\"", "width = 28\nheight = 90")
            .replace("0.3", "0.1")
            .replace("= 2\n", "= 1\n")
            .replace("6\n", "3\n"),
    );
    let asked = heads(&text).iter().filter(|l| l.starts_with("warning[another-unit]")).count();
    assert_eq!((code, asked), (Some(0), 1), "{text}");
}

#[test]
fn one_unit_is_spoken() {
    let dir = scratch("messages-inches");
    let text = sample("dulse-atlas");
    assert!(text.contains("units = \"in\""));
    fs::write(dir.join("job.toml"), text).unwrap();
    let profile =
        include_str!("../machine-profiles/oscillating-knife-table.toml").replace("edge_angle = ", "edge_angle = 30 # ");
    fs::write(dir.join("slant.toml"), profile).unwrap();
    for machine in ["slant.toml", "drag-knife-table", "shared-laser-cutter", "small-router", "scoring-plotter"] {
        let o = run(&dir, &["export", "job.toml", "--out", "o", "--machine", machine, "-v"]);
        for line in heads(&err(&o)).into_iter().chain(err(&o).lines().filter(|l| l.contains("= help:"))) {
            let bare: String = line.split('`').step_by(2).collect();
            assert!(!bare.contains(" mm"), "{machine}: {line}");
        }
    }
    let o = run(&dir, &["export", "job.toml", "--out", "o", "--machine", "slant.toml", "-v"]);
    assert!(err(&o).contains(" in past the corners"), "{}", err(&o));
}

#[test]
fn letters_that_the_papers_cannot_draw_are_named() {
    let dir = scratch("messages-letters");
    let said = |title: &str| {
        fs::write(dir.join("job.toml"), SHORT.replace("Kelp", title)).unwrap();
        let o = run(&dir, &["check", "job.toml"]);
        assert_eq!(o.status.code(), Some(0), "{}", out(&o));
        out(&o)
    };
    for title in ["Ascophyllum nodosum (L.)", "Grünalge, æstuarii Œuvre № 7", "Водоросли", "Φύκη — “ή”", "№ 5 ½ × ¼"]
    {
        assert!(!said(title).contains("title-"), "{title}");
    }
    let text = said("潮間 kelp 潮");
    assert!(text.contains("warning[title-letters]: the font of the papers has no letters for 潮 間"), "{text}");
    assert!(said("सागर").contains("title-letters"));
    assert!(said("אצות").contains("written from right to left"));
    // And letters of an id that the lettering on the pieces has not.
    fs::write(dir.join("job.toml"), SHORT).unwrap();
    fs::write(dir.join("list.csv"), "id,depth\nTH_1,6\nTH-2,6\nTÜ-3,7\n").unwrap();
    let told = err(&run(&dir, &["batch", "list.csv", "--job", "job.toml", "--out", "made"]));
    let head = told.lines().find(|l| l.contains("the lettering on the pieces has no")).unwrap();
    assert!(head.starts_with("warning: ") && head.ends_with("(the worst of 2 rows)"), "{told}");
}

#[test]
fn what_goes_wrong_has_true_words() {
    let dir = scratch("messages-words");
    fs::write(dir.join("job.toml"), SHORT).unwrap();
    let fails = |arguments: &[&str], parts: &[&str]| {
        let o = run(&dir, arguments);
        assert_eq!(o.status.code(), Some(2), "{arguments:?}: {}{}", out(&o), err(&o));
        for part in parts {
            assert!(err(&o).contains(part), "{arguments:?}: {part} in {}", err(&o));
        }
    };
    assert_eq!(run(&dir, &["export", "job.toml", "--out", "box"]).status.code(), Some(0));
    fs::write(dir.join("list.csv"), "id,depth\nTH-1,6\n").unwrap();
    assert_eq!(run(&dir, &["batch", "list.csv", "--job", "job.toml", "--out", "list"]).status.code(), Some(0));
    // Where one is, and what holds it.
    for out in [".", "..", "/"] {
        fails(&["export", "job.toml", "--out", out], &["is the folder that you are in, or holds it", "--out my-box"]);
    }
    // One command's folder given to another.
    fails(&["batch", "list.csv", "--job", "job.toml", "--out", "box"], &["which `export` wrote", "name a new folder"]);
    fails(&["export", "job.toml", "--out", "list"], &["the folder of a list, which `batch` wrote"]);
    fails(&["batch", "box", "--job", "job.toml", "--out", "o"], &["it is a folder", "flapwright verify box proves it"]);
    fails(&["check", "list"], &["`batch` wrote that folder", "flapwright verify list proves its lots"]);
    fails(&["check", "box"], &["it is a folder", "flapwright verify box proves it"]);
    // A stock misspelt before a machine.
    fails(&["export", "job.toml", "--out", "o", "--machine", "bord=small-router"], &["board=NAME, cloth=NAME"]);
    // Profiles.
    let copy = run(&dir, &["profiles", "copy", "small-router", "mine.toml"]);
    assert!(out(&copy).starts_with("Wrote mine.toml, a copy of the profile small-router."), "{}", out(&copy));
    fails(&["profiles", "copy", "small-router", "mine.toml"], &["mine.toml is there already and is left as it is"]);
    fails(&["profiles", "copy", "small-router", "box"], &["box is a folder", "name a file in it"]);
    fails(&["profiles", "copy", "small-router", "no/mine.toml"], &["no folder above it"]);
    fails(&["check", "jop.toml"], &["did you mean job.toml?"]);
    // A thick liner is no cloth.
    let liner =
        |t: &str| SHORT.replace("thickness = 2\n", "thickness = 0.8\n") + &format!("[liner]\nthickness = {t}\n");
    fs::write(dir.join("liner.toml"), liner("1")).unwrap();
    let said = out(&run(&dir, &["check", "liner.toml"]));
    assert!(said.contains("the liner is 1 mm thick and the board only 0.8 mm"), "{said}");
    assert!(
        said.contains("A lining paper is about 0.2 mm, a felt 1 mm to 3 mm") && !said.contains("A cloth is"),
        "{said}"
    );
}

#[cfg(unix)]
#[test]
fn what_may_not_be_read_or_written_is_said() {
    use std::os::unix::fs::PermissionsExt;
    let dir = scratch("messages-refused");
    for name in ["job.toml", "secret.toml"] {
        fs::write(dir.join(name), SHORT).unwrap();
    }
    let mode = |path: &Path, mode: u32| fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
    mode(&dir.join("secret.toml"), 0o000);
    mode(&dir, 0o555);
    // Root may do anything: there it is tried as nobody, who must be able to reach the program and the folder.
    let is_bound = fs::read(dir.join("secret.toml")).is_err();
    let program = std::env::temp_dir().join(format!("flapwright-nobody-{}", std::process::id()));
    let home = if is_bound {
        dir.clone()
    } else {
        std::env::temp_dir().join(format!("flapwright-home-{}", std::process::id()))
    };
    if !is_bound {
        fs::copy(env!("CARGO_BIN_EXE_flapwright"), &program).unwrap();
        mode(&program, 0o755);
        fs::create_dir_all(&home).unwrap();
        for name in ["job.toml", "secret.toml"] {
            fs::write(home.join(name), SHORT).unwrap();
        }
        mode(&home.join("secret.toml"), 0o600);
        mode(&home, 0o755);
    }
    let ask = |arguments: &[&str]| {
        let mut command = if is_bound {
            Command::new(env!("CARGO_BIN_EXE_flapwright"))
        } else {
            let mut command = Command::new("setpriv");
            command.args(["--reuid=65534", "--regid=65534", "--clear-groups"]).arg(&program);
            command
        };
        let o = command.current_dir(&home).args(arguments).output().unwrap();
        (o.status.code(), err(&o))
    };
    let found: Vec<_> = [
        (&["check", "secret.toml"][..], "you may not read it"),
        (
            &["export", "job.toml", "--out", "box"],
            "could not make a folder in the folder that you are in: Permission denied",
        ),
        (&["export", "job.toml", "--out", "box"], "you may not write there: name a place that is yours"),
        (&["profiles", "copy", "small-router", "mine.toml"], "you may not write there"),
        (&["new", "box.toml"], "you may not write there"),
        (&["manual", "man"], "you may not write there"),
        (&["batch", "list.csv", "--job", "secret.toml", "--out", "b"], "you may not read it"),
    ]
    .into_iter()
    .map(|(arguments, part)| (arguments, part, ask(arguments)))
    .collect();
    mode(&dir, 0o755);
    let _ = fs::remove_file(&program);
    if !is_bound {
        let _ = fs::remove_dir_all(&home);
    }
    for (arguments, part, (code, said)) in found {
        assert_eq!(code, Some(2), "{arguments:?}: {said}");
        assert!(said.contains(part), "{arguments:?}: {part} in {said}");
    }
}

#[test]
fn two_runs_do_not_write_one_folder() {
    let dir = scratch("messages-two");
    fs::write(dir.join("job.toml"), sample("herbarium-survey")).unwrap();
    fs::copy(format!("{SAMPLES}/herbarium-survey.csv"), dir.join("list.csv")).unwrap();
    let arguments = ["batch", "list.csv", "--job", "job.toml", "--out", "made"];
    assert_eq!(run(&dir, &arguments).status.code(), Some(0));
    let before = fs::read(dir.join("made/batch.json")).unwrap();
    // As another run holds it.
    let other = fs::File::open(dir.join("made")).unwrap();
    other.lock().unwrap();
    let o = run(&dir, &arguments);
    assert_eq!(o.status.code(), Some(2));
    assert!(
        err(&o).contains("another run is writing made at this moment") && err(&o).contains("wait until it has ended"),
        "{}",
        err(&o)
    );
    assert_eq!(fs::read(dir.join("made/batch.json")).unwrap(), before);
    drop(other);
    assert_eq!(run(&dir, &arguments).status.code(), Some(0));
}
