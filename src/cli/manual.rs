//! `manual`: a page for each command, for the reader `man`.

use super::folder::replace_file;
use super::folder_error::refusal;
use super::input::{self, plain};
use super::{Exit, Failure, Terminal};
use clap_mangen::Man;
use std::fs;
use std::path::Path;

/// The first line of every page of ours: what begins otherwise is not written over.
const OURS: &str = ".\\\" Written by flapwright manual\n";
/// Of a page that is there so much is looked at.
const PAGE: u64 = 1 << 20;

pub(super) fn run(folder: &Path, command: clap::Command, terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
    let cannot = |e: std::io::Error| {
        let hint = refusal(&e).unwrap_or("name a folder, such as ~/.local/share/man/man1");
        Failure::usage(format!("cannot write the manual into {}: {}", folder.display(), plain(&e)), hint.into())
    };
    let pages = pages(command)?;
    fs::create_dir_all(folder).map_err(cannot)?;
    for (name, _) in &pages {
        let path = folder.join(name);
        if fs::symlink_metadata(&path).is_ok() && !is_ours(&path) {
            return Err(Failure::usage(
                format!("{} is left as it is: it is no page of this manual", path.display()),
                "nothing was written; move it elsewhere, or name another folder".into(),
            ));
        }
    }
    for (name, page) in &pages {
        replace_file(&folder.join(name), page).map_err(|e| Failure::usage(e.to_string(), e.hint("try again")))?;
    }
    if !terminal.is_quiet() {
        let first = folder.join("flapwright.1");
        writeln!(terminal.out, "Wrote {} pages into {}. Read: man {}", pages.len(), folder.display(), first.display())?;
    }
    Ok(Exit::Good)
}

fn is_ours(path: &Path) -> bool {
    input::bytes(path, PAGE).is_ok_and(|bytes| bytes.starts_with(OURS.as_bytes()))
}

/// The pages, each with its file name: the program, its commands, and theirs.
fn pages(command: clap::Command) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    // The command `help` says nothing that the pages do not.
    let mut command = command.disable_help_subcommand(true);
    command.build();
    let mut found = Vec::new();
    gather(command, &mut found)?;
    Ok(found)
}

fn gather(command: clap::Command, found: &mut Vec<(String, Vec<u8>)>) -> Result<(), Failure> {
    let inner: Vec<clap::Command> = command.get_subcommands().cloned().collect();
    let page = Man::new(command).source("flapwright").manual("Flapwright");
    let mut text = OURS.as_bytes().to_vec();
    page.render(&mut text)?;
    found.push((page.get_filename(), text));
    inner.into_iter().try_for_each(|command| gather(command, found))
}
