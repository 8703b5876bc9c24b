//! The programs that results are compared with. `tests/run` fetches them.
#![allow(dead_code)]

use serde_json::Value;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};

/// Where a reference program lies: `python` (with ezdxf and shapely), `ortools` (Python with that
/// solver) or `rs274`.
///
/// `None` when it could not be fetched: then the test should return. That is said on standard
/// error past the test runner's capture, and under CI it is a failure.
pub(crate) fn reference(name: &str) -> Option<PathBuf> {
    let home = std::env::var_os("FLAPWRIGHT_REFERENCES")
        .map_or_else(|| Path::new(env!("CARGO_MANIFEST_DIR")).join("target/references"), PathBuf::from);
    let program = home.join("bin").join(name);
    if program.exists() {
        return Some(program);
    }
    let why = std::fs::read_to_string(home.join(format!("{name}.why")))
        .unwrap_or_else(|_| "it was not fetched yet: run tests/run".into());
    let test = std::thread::current().name().unwrap_or("a test").to_owned();
    assert!(std::env::var_os("CI").is_none(), "{test} needs {name}: {why}");
    // Not eprintln, which the runner swallows when the test passes.
    let _ = writeln!(std::io::stderr(), "SKIPPED {test}: it needs {name}: {}", why.trim());
    None
}

/// Runs a script of tests/references with these arguments and this JSON on its standard input;
/// gives the JSON that it printed.
pub(crate) fn python(script: &str, arguments: &[PathBuf], input: &Value) -> Option<Value> {
    python_of("python", script, arguments, input)
}

/// The same by another Python, `ortools`.
pub(crate) fn python_of(name: &str, script: &str, arguments: &[PathBuf], input: &Value) -> Option<Value> {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/references").join(script);
    let mut command = Command::new(reference(name)?);
    command.arg(&script).args(arguments).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().expect("python starts");
    let mut stdin = child.stdin.take().expect("piped");
    let text = input.to_string();
    let writer = std::thread::spawn(move || stdin.write_all(text.as_bytes()));
    let output = child.wait_with_output().expect("python ends");
    // A script that reads no input may have closed it.
    let _ = writer.join();
    assert!(output.status.success(), "{} failed:\n{}", script.display(), String::from_utf8_lossy(&output.stderr));
    Some(serde_json::from_slice(&output.stdout).expect("the script prints JSON"))
}

/// What `fold_boxes.py` finds in each of these boxes, in their order: a JSON value a line both ways.
pub(crate) fn fold_boxes(boxes: &[Value]) -> Option<Vec<Value>> {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/references/fold_boxes.py");
    let text: String = boxes.iter().map(|b| format!("{b}\n")).collect();
    let mut command = Command::new(reference("python")?);
    command.arg(&script).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().expect("python starts");
    let mut stdin = child.stdin.take().expect("piped");
    let writer = std::thread::spawn(move || stdin.write_all(text.as_bytes()));
    let output = child.wait_with_output().expect("python ends");
    let _ = writer.join();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let lines = String::from_utf8(output.stdout).expect("UTF-8");
    Some(lines.lines().map(|l| serde_json::from_str(l).expect("a line of JSON")).collect())
}

/// What ezdxf sees in these files, in their order; see `check_dxf.py`.
pub(crate) fn read_by_ezdxf(files: &[PathBuf]) -> Option<Vec<Value>> {
    python("check_dxf.py", files, &Value::Null).map(|v| v.as_array().expect("an array").clone())
}

/// Runs a program through the RS274/NGC interpreter. `Ok` is the list of canonical calls that it
/// printed, one a line; `Err` is what it complained of.
pub(crate) fn run_rs274(program: &str) -> Option<Result<String, String>> {
    let interpreter = reference("rs274")?;
    // Each call has a folder of its own, whichever thread of whichever test makes it.
    static CALLS: AtomicUsize = AtomicUsize::new(0);
    let call = CALLS.fetch_add(1, Ordering::Relaxed);
    let home = scratch(&format!("rs274-{}-{call}", std::process::id()));
    let (file, tools, variables) = (home.join("program.ngc"), home.join("tool.tbl"), home.join("rs274.var"));
    std::fs::write(&file, program).expect("writes");
    // Without a table of tools it ends in silence.
    let table: String = (1..=20).map(|n| format!("T{n} P{n} D0.0 Z0.0\n")).collect();
    std::fs::write(&tools, table).expect("writes");
    let mut command = Command::new(interpreter);
    // -n 2: stop at the first error; -g: run without asking.
    command.args(["-n", "2", "-t"]).arg(&tools).arg("-v").arg(&variables).arg("-g").arg(&file);
    // It shares its table of tools through a file in the home folder: two at once would pull it
    // from under each other.
    command.env("HOME", &home);
    let output = command.current_dir(&home).stdin(Stdio::null()).output().expect("rs274 starts");
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    let complaint = String::from_utf8_lossy(&output.stderr).into_owned();
    let _ = std::fs::remove_dir_all(&home);
    // It says harmless things on standard error; the status decides.
    assert!(output.status.code().is_some(), "rs274 was ended by a signal, {}: {complaint}", output.status);
    Some(if output.status.success() { Ok(said) } else { Err(said + &complaint) })
}

/// An empty folder of this test's own under target.
pub(crate) fn scratch(name: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&path);
    std::fs::create_dir_all(&path).expect("a folder under target");
    path
}
