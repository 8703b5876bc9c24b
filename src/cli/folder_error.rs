//! Why a folder or a file was not written, in words.

use super::input::plain;
use std::fmt;
use std::io;
use std::path::{Path, PathBuf};

/// Why a folder was not written. Nothing was changed, save where [`FolderError::Left`] says so.
#[derive(Debug)]
pub enum FolderError {
    /// The path names no folder that could be replaced: `/`, `.`, `..`.
    NoName(PathBuf),
    /// There is something else of that name.
    NotAFolder(PathBuf),
    /// There is a folder of that name that this program did not write.
    NotOurs(PathBuf),
    /// There is a folder of that name that another command of this program wrote.
    OtherCommand {
        /// The folder.
        folder: PathBuf,
        /// What it is.
        what: &'static str,
    },
    /// The folder is one of ours, yet this in it is not.
    Foreign {
        /// The folder.
        folder: PathBuf,
        /// What the manifest does not list.
        entry: PathBuf,
    },
    /// Sheets of it are marked as cut, and what was to take its place does not hold them as they are.
    Cut {
        /// The folder.
        folder: PathBuf,
        /// The sheets' names.
        sheets: String,
    },
    /// What is cut cannot be read from the file that says it.
    BadMarks {
        /// The file.
        path: PathBuf,
        /// Why.
        why: String,
    },
    /// Another run is writing it.
    Busy(PathBuf),
    /// A file to be written has a name that leads out of the folder or comes twice.
    BadFileName(String),
    /// The system refused.
    Io {
        /// What was being done, `write the file`.
        doing: &'static str,
        /// To what.
        path: PathBuf,
        /// The system's reason.
        source: io::Error,
    },
    /// The new folder is in place, but the one before it could not be removed.
    Left {
        /// Where the one before is now.
        old: PathBuf,
        /// The system's reason.
        source: io::Error,
    },
}

impl FolderError {
    pub(super) fn io(doing: &'static str, path: &Path, source: io::Error) -> Self {
        Self::Io { doing, path: path.into(), source }
    }

    /// What to do about it; `usual` where the message says it or there is nothing more to say.
    pub(super) fn hint(&self, usual: &str) -> String {
        match self {
            Self::NoName(_) => "name a folder to be made in it, such as --out my-box".into(),
            Self::Busy(_) => "wait until it has ended, or name another folder".into(),
            Self::BadMarks { .. } => {
                format!("put it back as it was, or remove it and mark again what is cut: flapwright cut; {usual}")
            }
            Self::Io { source, .. } => refusal(source).map_or_else(|| usual.into(), |what| format!("{what}; {usual}")),
            _ => usual.into(),
        }
    }

    /// The same, said of the folder's own name rather than of where it lies for the moment.
    pub(super) fn renamed(self, dir: &Path) -> Self {
        match self {
            Self::NotOurs(_) => Self::NotOurs(dir.into()),
            Self::OtherCommand { what, .. } => Self::OtherCommand { folder: dir.into(), what },
            Self::Foreign { entry, .. } => Self::Foreign { folder: dir.into(), entry },
            Self::Cut { sheets, .. } => Self::Cut { folder: dir.into(), sheets },
            other => other,
        }
    }
}

/// What to do where the system refused to write.
pub(super) fn refusal(e: &io::Error) -> Option<&'static str> {
    Some(match e.kind() {
        io::ErrorKind::PermissionDenied => "you may not write there: name a place that is yours",
        io::ErrorKind::ReadOnlyFilesystem => "nothing can be written on that disk: name a place on another",
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
            "there is no room left: make some, or name another disk"
        }
        io::ErrorKind::NotADirectory => "a file stands where a folder should: name another place",
        io::ErrorKind::InvalidFilename => "the name is too long, or not one that this disk takes",
        _ => return None,
    })
}

impl fmt::Display for FolderError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoName(path) if path.as_os_str().is_empty() => write!(f, "the name of the folder is empty"),
            Self::NoName(path) => {
                write!(f, "{} is the folder that you are in, or holds it: a folder is made as a whole", path.display())
            }
            Self::NotAFolder(path) => {
                write!(f, "{} is there already and is no folder; name a new one", path.display())
            }
            Self::NotOurs(path) => write!(
                f,
                "{} is left as it is: it was not written by this program; name a new folder or empty that one",
                path.display()
            ),
            Self::OtherCommand { folder, what } => {
                write!(f, "{} is left as it is: it is {what}; name a new folder", folder.display())
            }
            Self::Foreign { folder, entry } => write!(
                f,
                "{} is left as it is: it also holds {}, which would be lost; move that elsewhere or name a new folder",
                folder.display(),
                entry.display()
            ),
            Self::Cut { folder, sheets } => write!(
                f,
                "{} is left as it is: {sheets} of it are marked as cut, and would not stay as they are",
                folder.display()
            ),
            Self::BadMarks { path, why } => write!(f, "cannot read from {} what is cut: {why}", path.display()),
            Self::Busy(path) => write!(f, "another run is writing {} at this moment", path.display()),
            Self::BadFileName(name) => write!(f, "a file cannot be named {name:?}"),
            Self::Io { doing, path, source } if path == Path::new(".") => {
                write!(f, "could not {doing} the folder that you are in: {}", plain(source))
            }
            Self::Io { doing, path, source } => write!(f, "could not {doing} {}: {}", path.display(), plain(source)),
            Self::Left { old, source } => write!(
                f,
                "the new folder is in place, but the one before it is still there as {}: {}",
                old.display(),
                plain(source)
            ),
        }
    }
}

impl std::error::Error for FolderError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Io { source, .. } | Self::Left { source, .. } => Some(source),
            _ => None,
        }
    }
}
