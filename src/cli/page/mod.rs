//! `page`: the page in a browser, served to this computer alone.

mod answers;
mod beside;
mod draft;
mod files;
mod guard;
mod listen;
mod server;
mod store;
mod work;

use super::args::PageArgs;
use super::{Exit, Failure, Terminal, load};
use crate::page::{Desk, Sheaf};
use draft::Drafts;
use std::net::{Ipv4Addr, SocketAddr, TcpListener};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use store::Shared;

/// Threads for what takes long; two of them are enough for one who works at one job.
const WORKERS: usize = 8;

pub(super) fn run(args: &PageArgs, terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
    let folder = std::env::current_dir().map_err(|e| {
        Failure::usage(format!("there is no folder to work in: {}", load::plain(&e)), "start it from another".into())
    })?;
    let opened = args.job.as_deref().map(|path| opened(path, &folder)).transpose()?;
    let mut drafts = Drafts::open();
    let (desk, is_draft) = on_the_desk(opened, &mut drafts);
    let listener = bound(args.port)?;
    let port = listener.local_addr().map_err(|e| cannot_listen(&e))?.port();
    let secret = secret()?;
    let once = secret_of(16)?;
    let shared = Arc::new(Shared::new(desk, drafts, folder, port, secret, once, is_draft));
    let address = shared.address();
    writeln!(
        terminal.out,
        "The page is at\n\n  {address}\n\nfor this computer alone, as long as this program runs. End it with Ctrl-C."
    )?;
    if is_draft {
        writeln!(terminal.out, "What was not saved last time is on it again.")?;
    }
    terminal.out.flush()?;
    if !args.no_browser {
        browse(&shared.first_address());
    }
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_io()
        .enable_time()
        .max_blocking_threads(WORKERS)
        .build()
        .map_err(Failure::Output)?;
    let served = runtime.block_on(server::serve(listener, shared.clone()));
    // A long search ends with the program.
    shared.stop_all();
    runtime.shutdown_background();
    served.map_err(Failure::Output)?;
    writeln!(terminal.out, "\nEnded. {}", shared.parting())?;
    shared.leave();
    Ok(Exit::Good)
}

/// A job's file as it lies on the disk, errors and all: the page shows them.
fn opened(path: &Path, folder: &Path) -> Result<Sheaf, Failure> {
    let source = load::text(path)?;
    let whole = std::fs::canonicalize(path).unwrap_or_else(|_| folder.join(path));
    let name = whole.file_name().map(|n| n.to_string_lossy().into_owned());
    Ok(Sheaf::opened(&source.text, name, Some(whole)))
}

/// The draft that was left, of this job or, without one, the last; else the job, or the starter.
fn on_the_desk(opened: Option<Sheaf>, drafts: &mut Drafts) -> (Desk, bool) {
    let path: Option<PathBuf> = opened.as_ref().and_then(|s| s.path.clone());
    match (drafts.take_up(path.as_deref()), opened) {
        (Some(draft), Some(file)) => {
            let is_other = draft.now().text != file.text;
            if is_other { (Desk::restored(draft, Some(file)), true) } else { (Desk::new(file), false) }
        }
        (Some(draft), None) => (Desk::restored(draft, None), true),
        (None, Some(file)) => (Desk::new(file), false),
        (None, None) => (Desk::new(Sheaf::fresh()), false),
    }
}

fn bound(port: Option<u16>) -> Result<TcpListener, Failure> {
    let address = SocketAddr::from((Ipv4Addr::LOCALHOST, port.unwrap_or(0)));
    let listener = TcpListener::bind(address).map_err(|e| match port {
        Some(port) => Failure::usage(
            format!("cannot listen at port {port}: {}", load::plain(&e)),
            "leave --port out, and a free one is taken".into(),
        ),
        None => cannot_listen(&e),
    })?;
    listener.set_nonblocking(true).map_err(|e| cannot_listen(&e))?;
    Ok(listener)
}

fn cannot_listen(e: &std::io::Error) -> Failure {
    Failure::usage(format!("cannot listen on this computer: {}", load::plain(e)), "is it allowed here?".into())
}

fn secret() -> Result<String, Failure> {
    secret_of(24)
}

/// So many random bytes as hexadecimal digits.
fn secret_of(bytes: usize) -> Result<String, Failure> {
    let mut random = vec![0; bytes];
    getrandom::fill(&mut random).map_err(|e| {
        Failure::usage(format!("the system gives no random numbers: {e}"), "is something wrong with it?".into())
    })?;
    Ok(random.iter().map(|b| format!("{b:02x}")).collect())
}

/// Opens the browser; where that fails the address stands on the terminal. Others on this computer can see
/// with what programs are started, so that this address serves once.
fn browse(address: &str) {
    use std::process::{Command, Stdio};
    let mut command = if cfg!(target_os = "macos") {
        Command::new("open")
    } else if cfg!(windows) {
        let mut command = Command::new("cmd");
        command.args(["/c", "start", ""]);
        command
    } else {
        Command::new("xdg-open")
    };
    command.arg(address).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    if let Ok(mut child) = command.spawn() {
        // Waited for, so that it does not stay behind as a name without a program.
        let _ = std::thread::Builder::new().spawn(move || child.wait());
    }
}
