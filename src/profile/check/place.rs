//! Where in a profile a line of its own words stands.

use super::Checking;

/// The line itself, or its list when it is a default.
pub(super) fn place(c: &Checking<'_>, key: &str, n: usize) -> String {
    let line = format!("{key}.{n}");
    if c.doc.places.has(&line) { line } else { key.to_owned() }
}
