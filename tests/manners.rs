//! How the command line behaves: what it completes and explains, where it reads from, and what it never
//! writes over.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops where its ground is missing")]

use crate::common::program::{err, out};
use crate::common::references::scratch;
use serde_json::Value;
use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};

const SAMPLES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/samples");

fn command(dir: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_flapwright"));
    command.current_dir(dir).args(arguments);
    command
}

fn run(dir: &Path, arguments: &[&str]) -> Output {
    command(dir, arguments).output().unwrap()
}

fn good(o: &Output) -> String {
    assert_eq!(o.status.code(), Some(0), "{}{}", out(o), err(o));
    out(o)
}

fn sample(name: &str) -> String {
    format!("{SAMPLES}/{name}.toml")
}

/// The names of all commands, as the help lists them.
fn commands(dir: &Path) -> Vec<String> {
    let help = good(&run(dir, &["--help"]));
    let listed = help.split("Commands:").nth(1).unwrap().split("\n\n").next().unwrap().to_owned();
    let names = listed.lines().filter_map(|l| l.strip_prefix("  ")?.split(' ').next().map(str::to_owned));
    names.filter(|n| !n.is_empty() && n != "help").collect()
}

#[test]
fn every_shell_is_told_every_command() {
    let dir = scratch("manners-completions");
    let commands = commands(&dir);
    assert!(commands.len() >= 12 && commands.iter().any(|c| c == "manual"), "{commands:?}");
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let script = good(&run(&dir, &["completions", shell]));
        for word in commands.iter().map(String::as_str).chain(["--machine", "picture", "oblique"].into_iter().take(2)) {
            let word = if shell == "fish" { word.trim_start_matches("--") } else { word };
            assert!(script.contains(word), "{shell} is not told {word}");
        }
    }
    // The shell that is here takes the script and completes by it.
    fs::write(dir.join("complete.bash"), good(&run(&dir, &["completions", "bash"]))).unwrap();
    let ask = "source ./complete.bash; COMP_WORDS=(flapwright ver); COMP_CWORD=1; _flapwright flapwright ver flapwright; echo \"${COMPREPLY[@]}\"";
    let o = Command::new("bash").current_dir(&dir).args(["--norc", "-c", ask]).output().unwrap();
    assert_eq!(String::from_utf8_lossy(&o.stdout).trim(), "verify", "{}", err(&o));
}

#[test]
fn the_manual_has_a_page_for_every_command_and_no_page_of_anybodys_is_lost() {
    let dir = scratch("manners-manual");
    let said = good(&run(&dir, &["manual", "man/man1"]));
    let pages: Vec<String> =
        fs::read_dir(dir.join("man/man1")).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    assert!(said.contains(&format!("{} pages", pages.len())), "{said}");
    for command in commands(&dir) {
        let name = format!("flapwright-{command}.1");
        assert!(pages.contains(&name), "{name} of {pages:?}");
        let page = fs::read_to_string(dir.join("man/man1").join(&name)).unwrap();
        assert!(page.contains(".SH SYNOPSIS") && page.contains(".SH NAME"), "{page}");
    }
    assert!(pages.contains(&"flapwright-profiles-copy.1".to_owned()));
    // Written again they are the same; a page of another's stays, and then nothing is written.
    let first = fs::read(dir.join("man/man1/flapwright.1")).unwrap();
    good(&run(&dir, &["manual", "man/man1"]));
    assert_eq!(fs::read(dir.join("man/man1/flapwright.1")).unwrap(), first);
    fs::create_dir(dir.join("other")).unwrap();
    fs::write(dir.join("other/flapwright-verify.1"), "my notes").unwrap();
    let o = run(&dir, &["manual", "other"]);
    assert_eq!(o.status.code(), Some(2));
    assert!(err(&o).contains("flapwright-verify.1 is left as it is"), "{}", err(&o));
    assert_eq!(fs::read_dir(dir.join("other")).unwrap().count(), 1);
}

fn piped(dir: &Path, arguments: &[&str], text: &[u8]) -> Output {
    let mut child =
        command(dir, arguments).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    let mut stdin = child.stdin.take().unwrap();
    let text = text.to_vec();
    let writer = std::thread::spawn(move || stdin.write_all(&text));
    let o = child.wait_with_output().unwrap();
    let _ = writer.join();
    o
}

#[test]
fn a_job_may_come_on_standard_input() {
    let dir = scratch("manners-stdin");
    let text = fs::read(sample("rockpool-folder")).unwrap();
    let of_file = good(&run(&dir, &["check", &sample("rockpool-folder")]));
    for name in ["-", "/dev/stdin"] {
        assert_eq!(good(&piped(&dir, &["check", name], &text)), of_file, "{name}");
    }
    good(&piped(&dir, &["export", "-", "--out", "made"], &text));
    assert!(dir.join("made/manifest.json").is_file());
    // A drawing lies beside where it was started.
    let drawn = fs::read_to_string(sample("whelk-box")).unwrap();
    for part in drawn.split('"').filter(|p| p.ends_with(".dxf")) {
        fs::copy(format!("{SAMPLES}/{part}"), dir.join(part)).unwrap();
    }
    good(&piped(&dir, &["check", "-"], drawn.as_bytes()));
    let o = piped(&dir, &["check", "-"], b"title = 3\n");
    assert_eq!(o.status.code(), Some(1));
    assert!(out(&o).contains("standard input:1:9"), "{}", out(&o));
    let o = piped(&dir, &["check", "-"], &vec![b'#'; 1 << 20]);
    assert_eq!(o.status.code(), Some(2));
    assert!(err(&o).contains("standard input: it is larger than"), "{}", err(&o));
}

#[test]
fn a_run_that_fails_says_so_in_the_form_that_was_asked_for() {
    let dir = scratch("manners-failure");
    let json = ["--format", "json"];
    for (arguments, part) in [
        (&["check", "nowhere.toml"][..], "cannot read nowhere.toml"),
        (&["export", "nowhere.toml"], "--out"),
        (&["check", "x.toml", "--effort", "0"], "--effort"),
    ] {
        let o = run(&dir, &[arguments, &json].concat());
        assert_eq!((o.status.code(), err(&o).as_str()), (Some(2), ""), "{arguments:?}");
        let told: Value = serde_json::from_slice(&o.stdout).unwrap();
        let d = &told["diagnostics"][0];
        assert!(told["failed"] == true && d["severity"] == "error", "{told}");
        let said = format!("{} {}", d["message"], d["hint"]);
        assert!(said.contains(part), "{said}");
        // Without it a person is told, on standard error.
        let o = run(&dir, arguments);
        assert!(out(&o).is_empty() && err(&o).contains(part), "{}", err(&o));
    }
}

#[test]
fn text_that_a_spreadsheet_would_reckon_stays_text() {
    let dir = scratch("manners-cells");
    fs::copy(sample("herbarium-survey"), dir.join("job.toml")).unwrap();
    let rows = [
        "id,title,width,height,depth,copies",
        "=1+1,\"=HYPERLINK(\"\"http://x\"\")\",209,293,10,1",
        "@A1,+1 more,205,288,6,1",
        "-7,-2+3,205,288,6,1",
        "TH-9,\"-5\",205,288,6,1",
        "+TH,wide,9000,8000,6,1",
    ];
    fs::write(dir.join("list.csv"), rows.join("\n")).unwrap();
    let o = run(&dir, &["batch", "list.csv", "--job", "job.toml", "--out", "made"]);
    assert_eq!(o.status.code(), Some(1), "{}", err(&o));
    let read = |name: &str| {
        let mut reader = csv::Reader::from_path(dir.join("made").join(name)).unwrap();
        let heads = reader.headers().unwrap().clone();
        let all: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        (heads, all)
    };
    let mut cells = 0;
    for name in ["batch.csv", "cut-list.csv", "cost.csv", "lot-1/cut-list.csv"] {
        let (_, all) = read(name);
        for cell in all.iter().flatten() {
            let is_number = cell.parse::<f64>().is_ok();
            assert!(is_number || !cell.starts_with(['=', '+', '-', '@', '\t', '\r']), "{name}: {cell}");
            cells += usize::from(cell.starts_with('\''));
        }
    }
    assert!(cells > 20, "{cells}");
    let (heads, rows) = read("batch.csv");
    let cell =
        |row: usize, name: &str| rows[row].get(heads.iter().position(|h| h == name).unwrap()).unwrap().to_owned();
    assert_eq!((cell(0, "id"), cell(0, "title")), ("'=1+1".into(), "'=HYPERLINK(\"http://x\")".into()));
    assert_eq!((cell(2, "id"), cell(2, "title")), ("-7".into(), "'-2+3".into()));
    assert_eq!((cell(3, "id"), cell(3, "title")), ("TH-9".into(), "-5".into()), "numbers are left alone");
    // The lists of a single box are proved with it.
    let profile = fs::read(concat!(env!("CARGO_MANIFEST_DIR"), "/machine-profiles/drag-knife-table.toml")).unwrap();
    fs::write(dir.join("=table.toml"), profile).unwrap();
    good(&run(&dir, &["export", &sample("rockpool-folder"), "--out", "box", "--machine", "./=table.toml"]));
    good(&run(&dir, &["verify", "box"]));
}

#[test]
fn a_picture_is_drawn_over_pictures_of_ours_alone() {
    let dir = scratch("manners-picture");
    good(&run(&dir, &["export", &sample("rockpool-folder"), "--out", "box", "--machine", "drag-knife-table"]));
    let verify = |more: &[&str]| run(&dir, &[&["verify", "box", "--picture"], more].concat());
    for path in ["box/guide.pdf", "notes.txt", "box/board-1.svg"] {
        if path == "notes.txt" {
            fs::write(dir.join(path), "left lid 1 mm tight").unwrap();
        }
        let before = fs::read(dir.join(path)).unwrap();
        let o = verify(&[path]);
        assert_eq!(o.status.code(), Some(2), "{path}");
        assert!(err(&o).contains("left as it is") && err(&o).contains("--force"), "{}", err(&o));
        assert_eq!(fs::read(dir.join(path)).unwrap(), before);
    }
    good(&verify(&["proof.svg"]));
    let first = fs::read(dir.join("proof.svg")).unwrap();
    assert!(first.starts_with(b"<svg"));
    good(&verify(&["proof.svg"]));
    assert_eq!(fs::read(dir.join("proof.svg")).unwrap(), first);
    good(&verify(&["notes.txt", "--force"]));
    assert_eq!(fs::read(dir.join("notes.txt")).unwrap(), first);
    // An empty file holds nothing that could be lost, and a device is none.
    fs::write(dir.join("empty.svg"), "").unwrap();
    good(&verify(&["empty.svg"]));
    good(&verify(&["/dev/null"]));
}

#[test]
fn measures_that_are_none_are_refused_wherever_they_are_given() {
    let dir = scratch("manners-absurd");
    let job = fs::read_to_string(sample("herbarium-survey")).unwrap();
    fs::write(dir.join("job.toml"), &job).unwrap();
    let head = "id,width,height,depth,board.thickness,cloth.thickness";
    for (board, cloth, limit) in [
        ("20 mm", "0.3", "no board is taken that is thicker than 10 mm"),
        ("1e-308", "0.3", "nothing here is measured finer than 0.01 mm"),
        ("0.05", "0.3", "no board is taken that is thinner than 0.1 mm"),
        ("2", "30 mm", "no cloth is taken that is thicker than 5 mm"),
    ] {
        // In a job.
        let mut text = job.clone();
        for (table, value) in [("[board]", board), ("[cloth]", cloth)] {
            let at = text.find(table).unwrap();
            let from = at + text[at..].find("thickness = ").unwrap() + "thickness = ".len();
            let to = from + text[from..].find('\n').unwrap();
            let end = text[from..to].find(" #").map_or(to, |i| from + i);
            text.replace_range(from..end, &format!("\"{value}\""));
        }
        fs::write(dir.join("absurd.toml"), &text).unwrap();
        let o = run(&dir, &["check", "absurd.toml"]);
        assert_eq!(o.status.code(), Some(1), "{}", out(&o));
        assert!(out(&o).contains(limit), "{limit}: {}", out(&o));
        // In a row of a list.
        fs::write(dir.join("list.csv"), format!("{head}\nTH-1,210,297,10,{board},{cloth}\n")).unwrap();
        let o = run(&dir, &["batch", "list.csv", "--job", "job.toml", "--out", "made"]);
        assert!(err(&o).contains(limit), "{limit}: {}", err(&o));
        fs::remove_dir_all(dir.join("made")).unwrap();
        // For a coupon, and for the proof of a program.
        if cloth == "0.3" {
            let o = run(
                &dir,
                &[
                    "coupon",
                    "--machine",
                    "small-router",
                    "--out",
                    "c",
                    "--thickness",
                    &format!("{board} mm").replace("mm mm", "mm"),
                ],
            );
            assert_eq!(o.status.code(), Some(2));
            assert!(err(&o).contains("board: 0.1 mm to 10 mm"), "{}", err(&o));
        }
    }
}
