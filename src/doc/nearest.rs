//! Which word was meant.

use crate::limits::QUOTED;

/// The known word that `name` is most likely a slip of.
pub fn nearest<'k>(name: &str, known: impl Iterator<Item = &'k str>) -> Option<&'k str> {
    // No word that is known is as long as that.
    if name.len() > 4 * QUOTED {
        return None;
    }
    known
        .map(|k| (strsim::jaro_winkler(&name.to_lowercase(), &k.to_lowercase()), k))
        .filter(|(score, _)| *score > 0.8)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, k)| k)
}
