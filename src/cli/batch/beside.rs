//! The files of a list beside its lots, and what is half made of them or of a lot.

use super::changes::CHANGES;
use crate::cli::folder::{BATCH, TEMPORARY};
use std::fs;
use std::io;
use std::path::Path;

/// All of them.
const FILES: [&str; 7] = ["batch.csv", "cut-list.csv", "cost.csv", LABELS, CHANGES, REFUSED, BATCH];
/// The labels of all boxes.
pub(super) const LABELS: &str = "labels.pdf";
/// The records of lots with nothing to cut, a line each; a share's has the share after its name.
pub(super) const REFUSED: &str = "refused.jsonl";

/// Whether a file has this name that a share wrote, `refused.jsonl.3-of-8`.
pub(super) fn is_share_of_refused(name: &str) -> bool {
    let share = name.strip_prefix(REFUSED).and_then(|rest| rest.strip_prefix('.')?.split_once("-of-"));
    let is_number = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
    share.is_some_and(|(part, of)| is_number(part) && is_number(of))
}

/// Whether something is being made by this name, or was broken off: a folder for a lot, or a file beside them.
pub(super) fn is_half(name: &str, is_folder: bool) -> bool {
    let is_temporary = name.ends_with(".new") || name.ends_with(".old");
    let is_own = if is_folder { name.starts_with(TEMPORARY) } else { FILES.iter().any(|f| name.starts_with(f)) };
    is_temporary && is_own
}

/// Takes away what a run that was killed left half made in a batch of ours.
pub(super) fn remove_broken_off(out: &Path) -> io::Result<()> {
    for entry in fs::read_dir(out)? {
        let entry = entry?;
        let is_folder = entry.file_type()?.is_dir();
        if is_half(&entry.file_name().to_string_lossy(), is_folder) {
            if is_folder { remove_half(&entry.path())? } else { fs::remove_file(entry.path())? }
        }
    }
    Ok(())
}

/// Takes away a folder that was half made, with the folders of stocks in it.
fn remove_half(dir: &Path) -> io::Result<()> {
    for entry in fs::read_dir(dir)? {
        let entry = entry?;
        if entry.file_type()?.is_dir() { remove_half(&entry.path())? } else { fs::remove_file(entry.path())? }
    }
    fs::remove_dir(dir)
}

#[cfg(test)]
mod tests {
    use super::{is_half, is_share_of_refused};

    #[test]
    fn the_file_of_a_share_is_known_by_its_name() {
        for (name, is_share) in [
            ("refused.jsonl.3-of-8", true),
            ("refused.jsonl", false),
            ("refused.jsonl.3-of-8.4711.new", false),
            ("refused.jsonl.mine", false),
            ("refused.jsonl.-of-8", false),
        ] {
            assert_eq!(is_share_of_refused(name), is_share, "{name}");
        }
    }

    #[test]
    fn only_what_a_run_makes_is_taken_for_half_made() {
        for (name, is_folder, is_own) in [
            (".flapwright-lot-1.4711.new", true, true),
            ("batch.json.4711.new", false, true),
            // A maker's own, whatever it is called.
            ("labels.pdf.old", true, false),
            (".flapwright-notes.new", false, false),
            ("refused.jsonl.3-of-8.4711.new", false, true),
            ("refused.jsonl.3-of-8", false, false),
            ("batch.csv", false, false),
            ("lot-1", true, false),
        ] {
            assert_eq!(is_half(name, is_folder), is_own, "{name}");
        }
    }
}
