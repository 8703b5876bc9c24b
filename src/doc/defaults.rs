//! Defaults that were read already: each stands as TOML in the table of keys and says the same every time, and a list of
//! many rows asks for all of them with every row.

use super::{Entry, Key};
use std::collections::BTreeMap;
use std::sync::{PoisonError, RwLock};

/// By where the key lies in the program, which is another for every key.
static READ: RwLock<BTreeMap<usize, Entry>> = RwLock::new(BTreeMap::new());

fn place(key: &'static Key) -> usize {
    std::ptr::from_ref(key).addr()
}

/// What a key is without being named, if it was read before.
pub(super) fn known(key: &'static Key) -> Option<Entry> {
    READ.read().unwrap_or_else(PoisonError::into_inner).get(&place(key)).cloned()
}

/// Keeps what was read, of which there was nothing to say.
pub(super) fn keep(key: &'static Key, read: &Entry) {
    READ.write().unwrap_or_else(PoisonError::into_inner).insert(place(key), read.clone());
}
