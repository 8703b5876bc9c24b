//! The flapwright program: see `flapwright --help`.

use std::io::{self, IsTerminal, Write};
use std::process::ExitCode;

// Many small polygons from several threads: with the system's own memory a check takes a sixth longer.
#[cfg(feature = "mimalloc")]
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    let color = io::stderr().is_terminal() && io::stdout().is_terminal() && std::env::var_os("NO_COLOR").is_none();
    let mut out = io::BufWriter::new(io::stdout().lock());
    let exit = flapwright::cli::run(std::env::args_os(), &mut out, &mut io::stderr(), color);
    match out.flush() {
        // Whoever hung up early has what they wanted.
        Err(e) if e.kind() != io::ErrorKind::BrokenPipe => ExitCode::from(2),
        _ => ExitCode::from(exit.code()),
    }
}
