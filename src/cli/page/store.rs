//! What the server holds between requests.

use super::draft::Drafts;
use crate::page::{Desk, Machines, Made};
use crate::write::pdf::Paper;
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use tokio::sync::{Notify, broadcast};

/// Something that windows are told of.
#[derive(Clone, Debug)]
pub(super) enum Event {
    /// The job has changed.
    View(u64),
    /// How far a layout has come.
    Progress(&'static str, u32, u32),
    /// The files of a revision can be had at once.
    Ready(u64),
}

/// A view of a revision, and its JSON.
#[derive(Clone)]
pub(super) struct Seen {
    pub(super) revision: u64,
    pub(super) json: Arc<str>,
}

/// Files that were made, and for what.
#[derive(Clone)]
pub(super) struct Pressed {
    pub(super) of: Wanted,
    pub(super) made: Arc<Made>,
}

/// What files are made for.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Wanted {
    pub(super) text: Arc<str>,
    /// The machine's id and its profile's text.
    pub(super) machine: Option<(String, String)>,
    /// mm, in all.
    pub(super) kerf: Option<f64>,
    /// What guide and templates are printed on; the usual one if none is named.
    pub(super) paper: Option<Paper>,
}

/// The whole of it.
pub(super) struct Shared {
    desk: Mutex<Desk>,
    machines: Mutex<Machines>,
    pub(super) drafts: Mutex<Drafts>,
    /// Why the draft could not be kept, where it could not.
    pub(super) unkept: Mutex<Option<String>>,
    pub(super) seen: Mutex<Option<Seen>>,
    pub(super) pressed: Mutex<Vec<Pressed>>,
    /// One look at a time, and one making of files.
    pub(super) looking: tokio::sync::Mutex<()>,
    pub(super) pressing: tokio::sync::Mutex<()>,
    /// Stops the run of either.
    stop_looking: Mutex<Arc<AtomicBool>>,
    stop_pressing: Mutex<Arc<AtomicBool>>,
    pub(super) events: broadcast::Sender<Event>,
    /// Ctrl-C.
    pub(super) ended: Notify,
    /// Where the page was started.
    pub(super) folder: PathBuf,
    port: u16,
    secret: String,
    once: Mutex<Option<String>>,
    restored: bool,
}

/// A lock that a panic elsewhere does not close.
pub(super) fn lock<T>(of: &Mutex<T>) -> MutexGuard<'_, T> {
    of.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Shared {
    pub(super) fn new(
        desk: Desk,
        drafts: Drafts,
        folder: PathBuf,
        port: u16,
        secret: String,
        once: String,
        restored: bool,
    ) -> Self {
        let machines = Machines::new(drafts.machines());
        Self {
            desk: Mutex::new(desk),
            machines: Mutex::new(machines),
            drafts: Mutex::new(drafts),
            unkept: Mutex::new(None),
            seen: Mutex::new(None),
            pressed: Mutex::new(Vec::new()),
            looking: tokio::sync::Mutex::new(()),
            pressing: tokio::sync::Mutex::new(()),
            stop_looking: Mutex::default(),
            stop_pressing: Mutex::default(),
            events: broadcast::channel(256).0,
            ended: Notify::new(),
            folder,
            port,
            secret,
            once: Mutex::new(Some(once)),
            restored,
        }
    }

    pub(super) fn desk(&self) -> MutexGuard<'_, Desk> {
        lock(&self.desk)
    }

    pub(super) fn machines(&self) -> MutexGuard<'_, Machines> {
        lock(&self.machines)
    }

    pub(super) fn secret(&self) -> &str {
        &self.secret
    }

    /// Where the page is.
    pub(super) fn address(&self) -> String {
        format!("http://127.0.0.1:{}/{}/", self.port, self.secret)
    }

    /// An address that leads there once.
    pub(super) fn first_address(&self) -> String {
        format!("http://127.0.0.1:{}/once/{}", self.port, lock(&self.once).as_deref().unwrap_or_default())
    }

    /// Whether that was it; from then on it is not.
    pub(super) fn is_first(&self, code: &str) -> bool {
        let mut once = lock(&self.once);
        let is_it = once.as_ref().is_some_and(|o| is_same(o.as_bytes(), code.as_bytes()));
        if is_it {
            *once = None;
        }
        is_it
    }

    /// Whether a request names this server and no other.
    pub(super) fn is_own_host(&self, host: &str) -> bool {
        ["127.0.0.1", "localhost"].iter().any(|own| host == format!("{own}:{}", self.port))
    }

    /// What is said of a draft that was taken up.
    pub(super) fn draft_words(&self) -> Option<&'static str> {
        let is_there = self.restored && !self.desk().now().is_saved();
        is_there.then_some("what was not saved last time is here again; undo leads back to the file")
    }

    /// A new flag for a look; the one before stops.
    pub(super) fn start_looking(&self) -> Arc<AtomicBool> {
        start(&self.stop_looking)
    }

    /// The same for files.
    pub(super) fn start_pressing(&self) -> Arc<AtomicBool> {
        start(&self.stop_pressing)
    }

    /// The job has changed: what is made of the former is of no use.
    pub(super) fn stop_all(&self) {
        for flag in [&self.stop_looking, &self.stop_pressing] {
            lock(flag).store(true, Ordering::Relaxed);
        }
    }

    /// What is said at the end.
    pub(super) fn parting(&self) -> &'static str {
        if self.desk().now().is_saved() {
            "All is saved."
        } else if lock(&self.unkept).is_some() {
            "What was not saved is lost: no draft of it could be kept."
        } else {
            "What was not saved is kept as a draft, for the next time."
        }
    }

    pub(super) fn leave(&self) {
        lock(&self.drafts).leave();
    }
}

fn start(of: &Mutex<Arc<AtomicBool>>) -> Arc<AtomicBool> {
    let fresh = Arc::new(AtomicBool::new(false));
    std::mem::replace(&mut *lock(of), fresh.clone()).store(true, Ordering::Relaxed);
    fresh
}

/// Whether both are the same, in a time that does not tell how far they are.
pub(super) fn is_same(a: &[u8], b: &[u8]) -> bool {
    a.len() == b.len() && a.iter().zip(b).fold(0, |all, (x, y)| all | (x ^ y)) == 0
}
