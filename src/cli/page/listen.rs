//! Connections: so many at once and no more, and none that is held open without a word.

use axum::serve::Listener;
use std::future::Future;
use std::io;
use std::net::SocketAddr;
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};
use std::time::Duration;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tokio::time::{Instant, Sleep, sleep};

/// Connections at once: a browser opens six to a window, and one for events.
pub(super) const MOST: usize = 64;
/// So long a connection may be silent; events are sent more often.
const SILENT: Duration = Duration::from_secs(60);

/// Takes connections while there is room for them, and shuts the door on the others.
pub(super) struct Door {
    inner: TcpListener,
    room: Arc<Semaphore>,
}

impl Door {
    pub(super) fn new(inner: TcpListener) -> Self {
        Self { inner, room: Arc::new(Semaphore::new(MOST)) }
    }
}

impl Listener for Door {
    type Io = Visit;
    type Addr = SocketAddr;

    async fn accept(&mut self) -> (Visit, SocketAddr) {
        loop {
            match self.inner.accept().await {
                Ok((stream, from)) => {
                    // Who comes when all room is taken is sent away at once.
                    if let Ok(permit) = self.room.clone().try_acquire_owned() {
                        let _ = stream.set_nodelay(true);
                        return (Visit { stream, silence: Box::pin(sleep(SILENT)), _permit: permit }, from);
                    }
                }
                // Out of handles, or the peer is gone already.
                Err(_) => sleep(Duration::from_millis(50)).await,
            }
        }
    }

    fn local_addr(&self) -> io::Result<SocketAddr> {
        self.inner.local_addr()
    }
}

/// A connection that ends when it is silent for too long.
pub(super) struct Visit {
    stream: TcpStream,
    silence: Pin<Box<Sleep>>,
    _permit: OwnedSemaphorePermit,
}

impl Visit {
    fn heard(&mut self) {
        self.silence.as_mut().reset(Instant::now() + SILENT);
    }
}

impl AsyncRead for Visit {
    fn poll_read(mut self: Pin<&mut Self>, cx: &mut Context<'_>, buf: &mut ReadBuf<'_>) -> Poll<io::Result<()>> {
        let read = Pin::new(&mut self.stream).poll_read(cx, buf);
        match read {
            Poll::Ready(_) => self.heard(),
            Poll::Pending if self.silence.as_mut().poll(cx).is_ready() => {
                return Poll::Ready(Err(io::ErrorKind::TimedOut.into()));
            }
            Poll::Pending => {}
        }
        read
    }
}

impl AsyncWrite for Visit {
    fn poll_write(mut self: Pin<&mut Self>, cx: &mut Context<'_>, buf: &[u8]) -> Poll<io::Result<usize>> {
        let written = Pin::new(&mut self.stream).poll_write(cx, buf);
        if written.is_ready() {
            self.heard();
        }
        written
    }

    fn poll_flush(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_flush(cx)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_shutdown(cx)
    }
}
