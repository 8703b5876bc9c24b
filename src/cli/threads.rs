//! Work divided over threads. What comes out never hangs on how many there are: everything divided
//! is gathered in the order in which it was given.

use super::Failure;
use rayon::{ThreadPool, ThreadPoolBuilder};

/// The threads of one run.
pub(super) struct Threads(ThreadPool);

impl Threads {
    /// So many threads, or one for each core.
    pub(super) fn new(count: Option<u32>) -> Result<Self, Failure> {
        let pool = ThreadPoolBuilder::new().num_threads(count.unwrap_or(0) as usize).build();
        pool.map(Self).map_err(|e| {
            Failure::usage(format!("cannot start threads: {e}"), "try --threads 1, or free some memory".into())
        })
    }

    /// Does the work, with what it divides divided over these threads.
    pub(super) fn run<R: Send>(&self, work: impl FnOnce() -> R + Send) -> R {
        self.0.install(work)
    }

    /// How many there are.
    pub(super) fn count(&self) -> usize {
        self.0.current_num_threads()
    }
}
