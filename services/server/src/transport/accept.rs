//! Connections: so many at a time, a first byte in time, and an end.

use std::future::Future;
use std::io;
use std::net::SocketAddr;
use std::pin::Pin;
use std::task::{Context, Poll};
use std::time::Duration;

use std::sync::Arc;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore, mpsc};
use tokio::time::{Sleep, sleep};
use tokio_stream::Stream;
use tokio_stream::wrappers::ReceiverStream;
use tonic::transport::server::Connected;
use tracing::warn;

use crate::settings::{Limits, seconds};

/// Accepts connections until the stream is dropped. Beyond the limit further ones wait in the system's queue.
pub(super) fn accept(
    listener: TcpListener,
    limits: &Limits,
) -> impl Stream<Item = io::Result<Connection>> + use<> {
    let room = Arc::new(Semaphore::new(limits.connections));
    let first_byte = seconds(limits.first_byte_seconds);
    let end = seconds(limits.connection_age_seconds + limits.connection_grace_seconds);
    let (sender, receiver) = mpsc::channel(1);
    tokio::spawn(async move {
        loop {
            let Ok(place) = Arc::clone(&room).acquire_owned().await else {
                return;
            };
            let accepted = tokio::select! {
                accepted = listener.accept() => accepted,
                () = sender.closed() => return,
            };
            let stream = match accepted {
                Ok((stream, _)) => stream,
                Err(error) => {
                    // Usually too many open files: a moment's rest lets some close.
                    warn!(%error, "a connection could not be accepted");
                    sleep(Duration::from_millis(50)).await;
                    continue;
                }
            };
            let _ = stream.set_nodelay(true);
            let connection = Connection {
                stream,
                waiting: Some(Box::pin(sleep(first_byte))),
                end: Box::pin(sleep(end)),
                _place: place,
            };
            if sender.send(Ok(connection)).await.is_err() {
                return;
            }
        }
    });
    ReceiverStream::new(receiver)
}

/// A connection that holds its place, and reads nothing any more once it is late or old.
pub(super) struct Connection {
    stream: TcpStream,
    /// Until the first byte.
    waiting: Option<Pin<Box<Sleep>>>,
    end: Pin<Box<Sleep>>,
    _place: OwnedSemaphorePermit,
}

impl Connected for Connection {
    type ConnectInfo = Option<SocketAddr>;
    fn connect_info(&self) -> Self::ConnectInfo {
        self.stream.peer_addr().ok()
    }
}

impl AsyncRead for Connection {
    fn poll_read(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        buffer: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        let this = &mut *self;
        if let Poll::Ready(read) = Pin::new(&mut this.stream).poll_read(context, buffer) {
            this.waiting = None;
            return Poll::Ready(read);
        }
        let waited = this
            .waiting
            .as_mut()
            .is_some_and(|w| w.as_mut().poll(context).is_ready());
        if waited || this.end.as_mut().poll(context).is_ready() {
            return Poll::Ready(Err(io::ErrorKind::TimedOut.into()));
        }
        Poll::Pending
    }
}

impl AsyncWrite for Connection {
    fn poll_write(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        Pin::new(&mut self.stream).poll_write(context, bytes)
    }
    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_flush(context)
    }
    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_shutdown(context)
    }
    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        parts: &[io::IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        Pin::new(&mut self.stream).poll_write_vectored(context, parts)
    }
    fn is_write_vectored(&self) -> bool {
        self.stream.is_write_vectored()
    }
}
