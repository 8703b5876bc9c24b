//! The job as a folder keeps it: its text with every drawing that it names beside it, so that the folder can be made
//! again from itself.

use super::File;
use crate::doc;
use crate::job::{JOB, Job, drawings_named};
use crate::write::names::plain;
use std::collections::BTreeMap;
use std::ops::Range;

/// The name of the job's text in a folder.
pub const JOB_NAME: &str = "job.toml";
/// The longest name that is kept, in bytes: every disc takes it (our choice).
const LONGEST: usize = 120;
/// What no name may hold that every disc is to take.
const FORBIDDEN: [char; 9] = ['/', '\\', ':', '*', '?', '"', '<', '>', '|'];

/// What a folder keeps of its job.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct JobCopy {
    /// Its text; that of the maker to the byte where every drawing keeps its name.
    pub text: String,
    /// The drawings that it names, in the order of their names.
    pub drawings: Vec<File>,
}

impl JobCopy {
    /// The copy of a job that was read from `text`. A drawing keeps its name where that is a plain file name which
    /// `is_taken` leaves free; otherwise it gets another, and the text of the copy names that.
    pub(super) fn of(job: &Job, text: &str, is_taken: &dyn Fn(&str) -> bool) -> Self {
        let (document, _) = doc::read(text, &JOB, Some("units"));
        let named = drawings_named(&document);
        let mut copy = Self { text: text.to_owned(), drawings: Vec::new() };
        let mut renamed: BTreeMap<&str, String> = BTreeMap::new();
        // Names that can stay have the first choice.
        let (staying, others): (Vec<_>, Vec<_>) = job.drawings.iter().partition(|(path, _)| kept(path).is_some());
        for (path, bytes) in staying.into_iter().chain(others) {
            let own = kept(path).filter(|own| copy.has_room(own, bytes, is_taken)).map(str::to_owned);
            let name = own.unwrap_or_else(|| {
                let free = copy.free(path, bytes, is_taken);
                renamed.insert(path, free.clone());
                free
            });
            copy.put(name, bytes);
        }
        copy.drawings.sort();
        let place =
            |(key, path): &(String, String)| Some((document.places.find(key)?, renamed.get(path.as_str())?.as_str()));
        let mut put: Vec<(Range<usize>, &str)> = named.iter().filter_map(place).collect();
        // From the end, so that the places before stay.
        put.sort_by_key(|(at, _)| std::cmp::Reverse(at.start));
        for (at, name) in put.into_iter().filter(|(at, _)| text.get(at.clone()).is_some()) {
            copy.text.replace_range(at, &format!("\"{name}\""));
        }
        copy
    }

    /// The names of the drawings.
    pub fn names(&self) -> Vec<String> {
        self.drawings.iter().map(|(name, _)| name.clone()).collect()
    }

    fn put(&mut self, name: String, bytes: &[u8]) {
        if !self.drawings.iter().any(|d| d.0 == name) {
            self.drawings.push((name, bytes.to_vec()));
        }
    }

    /// Whether a name is free, or that of the very same drawing. Many discs do not tell small letters from capitals.
    fn has_room(&self, name: &str, bytes: &[u8], is_taken: &dyn Fn(&str) -> bool) -> bool {
        let small = name.to_lowercase();
        let is_other = |d: &File| d.0.to_lowercase() == small && (d.0 != name || d.1 != bytes);
        !is_taken(&small) && !self.drawings.iter().any(is_other)
    }

    /// A free name for a drawing, like its own.
    fn free(&self, path: &str, bytes: &[u8], is_taken: &dyn Fn(&str) -> bool) -> String {
        let own = path.rsplit(['/', '\\']).next().unwrap_or(path);
        let stem = own.rsplit_once('.').map_or(own, |(stem, _)| stem);
        let end = if is_drawing(own) { own[own.len() - 4..].to_lowercase() } else { end_of(bytes).to_owned() };
        let names = (1_u32..).map(|n| match n {
            1 => format!("{}{end}", plain(stem)),
            n => format!("{}-{n}{end}", plain(stem)),
        });
        names.into_iter().find(|name| self.has_room(name, bytes, is_taken)).unwrap_or_default()
    }
}

/// The file that a path leads to in the folder of its job, where it can have that name in any folder.
fn kept(path: &str) -> Option<&str> {
    let mut name = path;
    while let Some(rest) = name.strip_prefix("./") {
        name = rest;
    }
    let is_plain = !name.contains(FORBIDDEN) && !name.chars().any(char::is_control) && !name.starts_with('.');
    (is_plain && name.len() <= LONGEST && is_drawing(name)).then_some(name)
}

/// Whether a name ends as a drawing's does: nothing else of a folder that is not drawn does.
fn is_drawing(name: &str) -> bool {
    let end = name.len().checked_sub(4).and_then(|at| name.get(at..));
    end.is_some_and(|end| [".dxf", ".svg"].iter().any(|known| end.eq_ignore_ascii_case(known)))
}

/// How the name of a drawing is to end that says nothing of it itself.
fn end_of(bytes: &[u8]) -> &'static str {
    let is_xml = bytes.iter().find(|b| !b.is_ascii_whitespace() && !b"\xEF\xBB\xBF".contains(b)) == Some(&b'<');
    if is_xml { ".svg" } else { ".dxf" }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_stays_where_every_disc_takes_it() {
        for (path, name) in [
            ("lid.dxf", Some("lid.dxf")),
            ("./lid.SVG", Some("lid.SVG")),
            ("Deckel oben.dxf", Some("Deckel oben.dxf")),
            ("../lid.dxf", None),
            ("a/lid.dxf", None),
            ("/tmp/lid.dxf", None),
            ("a\\lid.dxf", None),
            ("C:lid.dxf", None),
            ("lid", None),
            ("lid.toml", None),
            (".dxf", None),
            ("", None),
            ("é", None),
        ] {
            assert_eq!(kept(path), name, "{path}");
        }
        assert_eq!(kept(&format!("{}.dxf", "x".repeat(200))), None);
    }

    #[test]
    fn what_a_drawing_is_shows_in_its_bytes() {
        assert_eq!(end_of(b"\xEF\xBB\xBF\n <svg/>"), ".svg");
        assert_eq!(end_of(b"  0\nSECTION"), ".dxf");
        assert_eq!(end_of(b""), ".dxf");
    }
}
