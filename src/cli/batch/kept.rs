//! What an earlier run left of a lot.

use super::Shop;
use super::record::{FILE_NAME, FORMAT, Parts, Record, SheetRecord};
use crate::write::manifest::{self, sha256_hex};
use crate::write::names::base;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// Files, name and bytes.
pub(super) type Files = Vec<(String, Vec<u8>)>;

/// A lot's folder as it was found; empty where there is none or it cannot be read.
#[derive(Default)]
pub(super) struct Kept {
    folder: PathBuf,
    record: Option<Record>,
    /// Every file with its SHA-256.
    files: BTreeMap<String, String>,
}

impl Kept {
    pub(super) fn look(folder: &Path) -> Self {
        Self::read(folder).unwrap_or_default()
    }

    /// The same of a lot that may have had nothing to cut, and then has no folder.
    pub(super) fn look_for(folder: &Path, refused: impl FnOnce() -> Option<Record>) -> Self {
        let found = Self::look(folder);
        if found.is_there() { found } else { Self { record: refused(), ..found } }
    }

    fn read(folder: &Path) -> Option<Self> {
        let list: serde_json::Value = serde_json::from_slice(&fs::read(folder.join(manifest::FILE_NAME)).ok()?).ok()?;
        let text = |v: &serde_json::Value, key: &str| v.get(key)?.as_str().map(str::to_owned);
        let files: Option<BTreeMap<String, String>> =
            list.get("files")?.as_array()?.iter().map(|f| Some((text(f, "file")?, text(f, "sha256")?))).collect();
        let mut kept = Self { folder: folder.to_owned(), record: None, files: files? };
        let record: Option<Record> = kept.bytes(FILE_NAME).and_then(|bytes| serde_json::from_slice(&bytes).ok());
        kept.record = record.filter(|r| r.format == FORMAT);
        Some(kept)
    }

    /// A file that is still as it was written.
    fn bytes(&self, name: &str) -> Option<Vec<u8>> {
        let sha = self.files.get(name)?;
        fs::read(self.folder.join(name)).ok().filter(|bytes| sha256_hex(bytes) == *sha)
    }

    /// Whether there is a lot.
    pub(super) fn is_there(&self) -> bool {
        !self.files.is_empty() || self.record.is_some()
    }

    /// Whether it has a folder.
    pub(super) fn has_folder(&self) -> bool {
        !self.files.is_empty()
    }

    /// Whether a run leaves it as it is.
    pub(super) fn stays(&self, made_from: &str, shop: &Shop<'_>) -> bool {
        self.is_made_from(made_from)
            && !(shop.is_strict && self.has_refused())
            && (!shop.is_forced || self.edited().is_empty())
    }

    /// The files that are no longer as they were written.
    pub(super) fn edited(&self) -> Vec<String> {
        let is_other = |(name, sha): &(&String, &String)| {
            fs::read(self.folder.join(name)).is_ok_and(|bytes| sha256_hex(&bytes) != **sha)
        };
        self.files.iter().filter(is_other).map(|(name, _)| name.clone()).collect()
    }

    /// What it was made from, part by part.
    pub(super) fn parts(&self) -> Option<&Parts> {
        self.record.as_ref().map(|r| &r.parts)
    }

    /// Each of its sheets with its files, by their own names, and their hashes as they were written.
    pub(super) fn sheets(&self) -> BTreeMap<String, Vec<(String, String)>> {
        let hash = |name: &String| Some((base(name).to_owned(), self.files.get(name)?.clone()));
        let of = |s: &SheetRecord| (s.id.clone(), s.files.iter().filter_map(hash).collect());
        self.record.iter().flat_map(|r| &r.sheets).map(of).collect()
    }

    /// Whether the whole lot was made from the same, and each of its files is still there.
    fn is_made_from(&self, made_from: &str) -> bool {
        self.record.as_ref().is_some_and(|r| r.made_from == made_from)
            && self.files.keys().all(|name| self.folder.join(name).is_file())
    }

    /// Whether a row of it was refused.
    fn has_refused(&self) -> bool {
        self.record.as_ref().is_some_and(|r| r.items.iter().any(|i| !i.made))
    }

    /// A sheet that was made from the same, with its files.
    pub(super) fn sheet(&self, made_from: &str) -> Option<(SheetRecord, Files)> {
        let record = self.record.as_ref()?.sheets.iter().find(|s| s.made_from == made_from)?.clone();
        let files: Option<Files> = record.files.iter().map(|name| Some((name.clone(), self.bytes(name)?))).collect();
        Some((record, files?))
    }
}
