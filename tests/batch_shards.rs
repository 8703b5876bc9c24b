//! A list that several runs make together: the bytes are those of one run, whatever is killed.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops where its ground is missing")]

use crate::batch::{MACHINE, assert_same, batch, change, err, folder, good, tree};
use crate::common::references::reference;
use serde_json::Value;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

/// One share of the list, begun.
fn begin(dir: &Path, out: &str, shard: &str) -> Child {
    let mut c = Command::new(env!("CARGO_BIN_EXE_flapwright"));
    c.current_dir(dir).stdout(Stdio::null()).stderr(Stdio::piped());
    c.args(["batch", "herbarium-survey.csv", "--job", "herbarium-survey.toml", "--lot", "3", "--out", out]);
    c.args(["--machine", MACHINE, "--shard", shard]).spawn().unwrap()
}

const LOT: [&str; 4] = ["--machine", MACHINE, "--lot", "3"];

fn run(dir: &Path, out: &str, more: &[&str]) -> std::process::Output {
    // The later of two --lot would be an error: this list's command is its own.
    let mut c = Command::new(env!("CARGO_BIN_EXE_flapwright"));
    c.current_dir(dir).args(["batch", "herbarium-survey.csv", "--job", "herbarium-survey.toml", "--out", out]);
    c.args(LOT).args(more).output().unwrap()
}

#[test]
fn three_shares_at_once_one_of_them_killed_end_as_one_run_does() {
    let dir = folder("shares");
    // A row that is refused is told once all are counted together.
    change(&dir, 6, "TH-005,Sea belt,-200,240,9,1,");
    let alone = run(&dir, "whole", &[]);
    assert!(!alone.status.success());
    let expected = tree(&dir.join("whole"));
    let mut children: Vec<Child> = ["1/3", "2/3", "3/3"].iter().map(|k| begin(&dir, "out", k)).collect();
    // Once the first of its lots is there.
    while !dir.join("out/lot-2").exists() && children[1].try_wait().unwrap().is_none() {
        std::thread::sleep(Duration::from_millis(1));
    }
    children[1].kill().unwrap();
    for (k, child) in children.into_iter().enumerate() {
        let o = child.wait_with_output().unwrap();
        assert_eq!(o.status.success(), k != 1, "share {}: {}", k + 1, err(&o));
    }
    let wanting = run(&dir, "out", &["--gather"]);
    let said = err(&wanting);
    assert!(!wanting.status.success(), "the killed share was whole already: {said}");
    assert!(
        said.contains("is not whole; not made from this list yet: lot-")
            && said.contains("run the shares that are wanting"),
        "{said}"
    );
    // Another machine's words for the same, and once more: what is there stays.
    for kept in [None, Some(3)] {
        let o = run(&dir, "out", &["--shard", "2/3", "--format", "json"]);
        let report: Value = serde_json::from_str(&good(&o)).unwrap();
        assert_eq!((&report["shard"], &report["lots"]), (&"2/3".into(), &3.into()));
        assert!(kept.is_none_or(|n: u64| report["lots_kept"] == n), "{report}");
    }
    let gathered = run(&dir, "out", &["--gather"]);
    assert_eq!(gathered.status.code(), alone.status.code());
    assert_same(&expected, &tree(&dir.join("out")));
    assert!(err(&gathered).contains("TH-005") || err(&gathered).contains("-200"), "{}", err(&gathered));
}

#[test]
fn shares_of_folders_of_their_own_are_put_together_and_counted() {
    let dir = folder("shares-apart");
    good(&run(&dir, "whole", &[]));
    good(&run(&dir, "out", &["--shard", "2/2"]));
    good(&run(&dir, "other", &["--shard", "1/2"]));
    // As from a machine without the disk: its lots are moved over.
    for entry in std::fs::read_dir(dir.join("other")).unwrap() {
        let entry = entry.unwrap();
        if entry.file_type().unwrap().is_dir() {
            std::fs::rename(entry.path(), dir.join("out").join(entry.file_name())).unwrap();
        }
    }
    let text = good(&run(&dir, "out", &["--gather"]));
    assert!(text.contains("24 of 24 items made") && text.contains("8 of them as they were"), "{text}");
    assert_same(&tree(&dir.join("whole")), &tree(&dir.join("out")));
}

#[test]
fn shares_change_nothing_that_an_earlier_run_made() {
    let dir = folder("shares-refused");
    good(&run(&dir, "out", &[]));
    let before = tree(&dir.join("out"));
    // Nothing to do is no mistake.
    let text = good(&run(&dir, "out", &["--shard", "1/2"]));
    assert!(
        text.contains("Share 1/2 of the list: 0 lots made, 4 lots as before") && text.contains("--gather"),
        "{text}"
    );
    change(&dir, 3, "TH-002,Channelled wrack,240,320,9,1,");
    let o = run(&dir, "out", &["--shard", "1/2"]);
    assert!(!o.status.success() && err(&o).contains("lot-1 would become others"), "{}", err(&o));
    let o = run(&dir, "out", &["--gather"]);
    assert!(!o.status.success() && err(&o).contains("yet: lot-1"), "{}", err(&o));
    assert_same(&before, &tree(&dir.join("out")));
    for wrong in ["0/2", "3/2", "half"] {
        let o = batch(&dir, "out", &["--shard", wrong]);
        assert!(err(&o).contains("3/8: 1/8 to 8/8"), "{}", err(&o));
    }
    let o = run(&dir, "out", &["--shard", "1/2", "--gather"]);
    assert!(!o.status.success() && err(&o).contains("cannot be used with"), "{}", err(&o));
}

/// The files of `samples/many`. Source of what runs them: snakemake 9.27.1 in local mode; the array of Slurm is run here by
/// its own variables, one share after another, as Slurm runs the script (from memory).
#[test]
fn the_files_for_schedulers_make_what_one_run_makes() {
    let Some(snakemake) = reference("snakemake") else { return };
    let dir = folder("shares-scheduled");
    let many = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/many");
    good(&run(&dir, "whole", &[]));
    let expected = tree(&dir.join("whole"));
    let bin = env!("CARGO_BIN_EXE_flapwright");
    let mut c = Command::new(snakemake);
    c.current_dir(&dir).arg("-s").arg(many.join("Snakefile")).args(["--cores", "2", "--quiet", "all", "--config"]);
    c.args(["list=herbarium-survey.csv", "job=herbarium-survey.toml", "out=out", "shares=3"]);
    c.arg(format!("more=--machine {MACHINE} --lot 3")).arg(format!("program={bin}"));
    good(&c.env("HOME", &dir).output().unwrap());
    assert_same(&expected, &tree(&dir.join("out")));
    for task in ["1", "2", "3", "0"] {
        let mut c = Command::new("bash");
        c.current_dir(&dir).arg(many.join("array.sbatch"));
        c.args(["herbarium-survey.csv", "herbarium-survey.toml", "array"]).args(LOT);
        c.env("SLURM_ARRAY_TASK_ID", task).env("SHARES", "3").env("FLAPWRIGHT", bin);
        good(&c.output().unwrap());
    }
    assert_same(&expected, &tree(&dir.join("array")));
}
