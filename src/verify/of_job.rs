//! What a folder keeps of its job: the text, and the drawings that it names beside it.

use super::Finding;
use super::read::manifest::Manifest;
use crate::diag::Severity;
use crate::doc;
use crate::job::{JOB, drawings_named};
use crate::limits::quoted;
use std::collections::{BTreeMap, BTreeSet};

/// The name of the job's text in a folder.
const JOB_NAME: &str = "job.toml";

/// Whatever is said to be a drawing that the job names is one, and the job finds each that it names: where it does
/// not, the folder cannot be made again from itself, which spoils nothing that is cut.
pub(super) fn check(manifest: &Manifest, files: &BTreeMap<String, Vec<u8>>) -> Vec<Finding> {
    let text = files.get(JOB_NAME).map(|bytes| String::from_utf8_lossy(bytes));
    let named = text.map(|text| drawings_named(&doc::read(&text, &JOB, Some("units")).0)).unwrap_or_default();
    let named: BTreeSet<&str> = named.iter().map(|(_, path)| path.trim_start_matches("./")).collect();
    let listed = || manifest.files.iter().filter(|f| f.is_of_job).map(|f| f.file.as_str());
    let shows = |name: &&str| manifest.sheets.iter().any(|s| s.drawings.iter().any(|d| d == name));
    let stray = listed().filter(|name| !named.contains(name) || shows(name)).map(|name| {
        let message = format!("{name} is said to be a drawing that the job names, and it is none");
        let hint = "do not cut from it; export the folder again";
        Finding::of_file(name, Finding::new("drawing-stray", message).help(hint))
    });
    let missing = named.iter().filter(|name| !listed().any(|l| l == **name)).map(|name| {
        let path = quoted(name);
        let message = format!("it names the drawing {path}, which is not in the folder: it cannot be read from here");
        let hint = "sheets and programs are not touched by it; export the folder again to have the drawing in it";
        let finding = Finding { severity: Severity::Warning, ..Finding::new("job-drawing", message) };
        Finding::of_file(JOB_NAME, finding.help(hint))
    });
    stray.chain(missing).collect()
}
