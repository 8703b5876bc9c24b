//! The folder's own account: what the manifest says besides the pieces is counted and followed again
//! from the pieces, the sheets and the programs, and the lists for people must say the same.

mod closings;
mod inside;
mod lists;
mod programs;
mod sheets;
mod time;
mod turned;

pub(super) use programs::{Followed, PASS_COUNT, of_program};
pub use time::move_seconds;

use super::read::manifest::{self, Manifest};
use super::{Finding, Many};
use crate::profile::Profile;
use std::collections::{BTreeMap, BTreeSet};

/// What in the folder does not agree with itself. `profiles` are those of the folder, by their ids;
/// `is_time_told` says that a program's entry is wrong already.
pub(super) fn account(
    manifest: &Manifest,
    files: &BTreeMap<String, Vec<u8>>,
    profiles: &BTreeMap<String, Profile>,
    is_time_told: bool,
) -> Vec<Finding> {
    let mut out = Many::default();
    entries(manifest, files, profiles, &mut out);
    sheets::check(manifest, &mut out);
    turned::check(manifest, &mut out);
    closings::check(manifest, &mut out);
    inside::check(manifest, &mut out);
    lists::check(manifest, files, is_time_told, &mut out);
    lists::work(manifest, is_time_told, &mut out);
    out.into_vec()
}

/// Something in the manifest that is not so.
pub(super) fn wrong(message: String) -> Finding {
    let hint = "the manifest was changed, or a file is of another export: export the folder again";
    Finding::of_file(manifest::FILE_NAME, Finding::new("account", message).help(hint))
}

/// Every file of a program belongs to an entry, and every entry is one file's.
fn entries(
    manifest: &Manifest,
    files: &BTreeMap<String, Vec<u8>>,
    profiles: &BTreeMap<String, Profile>,
    out: &mut Many,
) {
    let mut named = BTreeSet::new();
    for program in &manifest.programs {
        if !named.insert(program.file.as_str()) {
            out.push(wrong(format!("{} is entered twice among the programs", program.file)));
        }
    }
    let mut listed = BTreeSet::new();
    for file in &manifest.files {
        if !listed.insert(file.file.as_str()) {
            out.push(wrong(format!("{} is listed twice", file.file)));
        }
    }
    let of_a_machine = |name: &str| {
        let ends = |(id, p): (&String, &Profile)| {
            name.contains(&format!(".{id}.")) && name.ends_with(&format!(".{}", p.output.extension))
        };
        profiles.iter().any(ends)
    };
    for name in files.keys().filter(|n| *n != manifest::FILE_NAME && !named.contains(n.as_str())) {
        // What was not written by `export` at all is told already.
        if listed.contains(name.as_str()) && of_a_machine(name) {
            let message = format!("{name} is a program, and the manifest has no entry that says what it is for");
            let hint = "nobody has looked at it: do not run it, and export the folder again";
            out.push(Finding::of_file(name, Finding::new("account", message).help(hint)));
        }
    }
    for id in profiles.keys().filter(|id| manifest.programs.iter().all(|p| p.machine != **id)) {
        out.push(wrong(format!("the profile of {id} is in the folder, and no program of it is entered")));
    }
    for (sheet, is_first_side) in manifest.sheets.iter().flat_map(|s| [(s, true), (s, false)]) {
        for id in profiles.keys() {
            let of =
                |p: &&manifest::ListedProgram| p.sheet == sheet.id && p.first_side == is_first_side && p.machine == *id;
            let count = |kind| manifest.programs.iter().filter(of).filter(|p| p.kind == kind).count();
            let (work, outlines) = (count(manifest::RunKind::Work), count(manifest::RunKind::Outline));
            if work.min(1) != outlines {
                out.push(wrong(format!(
                    "{id} has {work} programs that work on {} and {outlines} that go round them, which come together",
                    sheet.id
                )));
            }
        }
    }
}
