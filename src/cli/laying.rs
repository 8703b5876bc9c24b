//! The layout as seen from the terminal: its progress, and Ctrl-C, which ends the search with the
//! best layout so far.

use super::Terminal;
use crate::diag::Diagnostic;
use crate::job::{Job, StockKind};
use crate::nest::{Look, Saving};
use crate::pipeline::{Layout, Watch, Worked, work};
use std::io::{IsTerminal, Write};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// Work shorter than this shows no progress.
const LONG: Duration = Duration::from_millis(1500);
/// The exit status after Ctrl-C, 128 and the signal's number, as shells have it.
const INTERRUPTED: i32 = 130;

/// Ctrl-C in one run of the program: while a layout is searched for it ends the search, at any other
/// time the program.
#[derive(Clone, Default)]
pub(crate) struct Interrupt(Arc<Flags>);

#[derive(Default)]
struct Flags {
    stop: AtomicBool,
    is_laying: AtomicBool,
}

impl Interrupt {
    /// Listens from now on. Where no handler can be set, as in a second run within one program, Ctrl-C
    /// ends the program as ever.
    fn listen(&self) {
        let Self(flags) = self.clone();
        let _ = ctrlc::set_handler(move || {
            if !flags.is_laying.load(Ordering::Relaxed) || flags.stop.swap(true, Ordering::Relaxed) {
                std::process::exit(INTERRUPTED);
            }
        });
    }
}

/// A job through the stages as far as the operations, seen from the terminal.
pub(super) fn worked(job: &Job, layout: &Layout, terminal: &mut Terminal<'_>) -> (Worked, Vec<Diagnostic>) {
    // Handed to the threads once, and not wherever the work is divided.
    watched(terminal, |watch| rayon::scope(|_| work(job, layout, watch)))
}

/// What would save stock in a job that was worked so.
pub(super) fn savings(job: &Job, worked: &Worked, look: Look, terminal: &mut Terminal<'_>) -> Vec<Saving> {
    watched(terminal, |watch| worked.savings(job, &Layout::default(), look, watch))
}

/// Something that lays out, which Ctrl-C ends with the best so far.
fn watched<T>(terminal: &mut Terminal<'_>, lay: impl FnOnce(&Watch<'_>) -> T) -> T {
    let interrupt = terminal.interrupt.clone();
    interrupt.listen();
    let start = Instant::now();
    let has_begun = AtomicBool::new(false);
    let is_seen = std::io::stderr().is_terminal() && !terminal.is_quiet();
    // Called from whichever thread lays a stock out; seen only where the error stream is a terminal.
    let progress = |kind: StockKind, done: u32, of: u32| {
        if is_seen && start.elapsed() >= LONG {
            let mut err = std::io::stderr().lock();
            // A terminal that is gone stops nothing.
            let _ = write!(err, "\rlaying out {}: {done} of {of} (Ctrl-C takes the best so far) ", kind.word());
            let _ = err.flush();
            has_begun.store(true, Ordering::Relaxed);
        }
    };
    let Interrupt(flags) = &interrupt;
    flags.is_laying.store(true, Ordering::Relaxed);
    let done = lay(&Watch { stop: &flags.stop, progress: &progress });
    flags.is_laying.store(false, Ordering::Relaxed);
    if has_begun.into_inner() {
        let _ = writeln!(terminal.err);
    }
    done
}
