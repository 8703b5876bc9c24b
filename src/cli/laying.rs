//! The layout as seen from the terminal: its progress, and Ctrl-C, which ends the search with the
//! best layout so far.

use super::Terminal;
use crate::design::Piece;
use crate::diag::Diagnostic;
use crate::job::Job;
use crate::nest::{Apart, Search, Sheet, nest_with};
use std::cell::RefCell;
use std::io::IsTerminal;
use std::sync::Once;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// Whether Ctrl-C was pressed.
static STOP: AtomicBool = AtomicBool::new(false);
/// Whether a layout is being searched for; at any other time Ctrl-C ends the program.
static LAYING: AtomicBool = AtomicBool::new(false);
static LISTEN: Once = Once::new();
/// Work shorter than this shows no progress.
const LONG: Duration = Duration::from_millis(1500);
/// The exit status after Ctrl-C, 128 and the signal's number, as shells have it.
const INTERRUPTED: i32 = 130;

/// Lays the pieces of a job on sheets, `apart` at the least.
pub(super) fn lay(
    pieces: &[Piece],
    job: &Job,
    apart: Apart,
    terminal: &mut Terminal<'_>,
) -> (Vec<Sheet>, Vec<Diagnostic>) {
    // Where no handler can be set, Ctrl-C ends the program as ever.
    LISTEN.call_once(|| {
        let _ = ctrlc::set_handler(|| {
            if !LAYING.load(Ordering::Relaxed) || STOP.swap(true, Ordering::Relaxed) {
                std::process::exit(INTERRUPTED);
            }
        });
    });
    let start = Instant::now();
    let shown = RefCell::new((terminal, false));
    let is_seen = std::io::stderr().is_terminal();
    let progress = |kind: crate::job::StockKind, done: u32, of: u32| {
        if is_seen && start.elapsed() >= LONG {
            let (terminal, began) = &mut *shown.borrow_mut();
            // A terminal that is gone stops nothing.
            let _ =
                write!(terminal.err, "\rlaying out {}: {done} of {of} (Ctrl-C takes the best so far) ", kind.word());
            let _ = terminal.err.flush();
            *began = true;
        }
    };
    LAYING.store(true, Ordering::Relaxed);
    let (sheets, mut said) = nest_with(pieces, job, &Search { apart, stop: &STOP, progress: &progress });
    LAYING.store(false, Ordering::Relaxed);
    let (terminal, began) = shown.into_inner();
    if began {
        let _ = writeln!(terminal.err);
    }
    if STOP.load(Ordering::Relaxed) {
        let message = "the layout was stopped: it is the best that was found until then, and another run may differ";
        said.push(
            Diagnostic::warning("layout-stopped", message)
                .at("layout_effort")
                .help("a smaller layout_effort ends by itself and gives the same layout every time"),
        );
    }
    (sheets, said)
}
