//! Connections: how many at once, with or without TLS, and how long one may be silent before it has said that it
//! speaks HTTP/2. What is said after that is the business of `serve`.

use std::future::Future;
use std::io::{self, IoSlice};
use std::net::SocketAddr;
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};
use std::time::Duration;

use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore, mpsc};
use tokio::time::Sleep;
use tokio_rustls::TlsAcceptor;
use tokio_rustls::server::TlsStream;
use tokio_stream::wrappers::ReceiverStream;
use tonic::transport::server::Connected;

/// How long a new connection may take to say what every HTTP/2 client says first, and as long again for TLS before.
const GREETING_TIME_MAX: Duration = Duration::from_secs(10);

/// Bytes of the HTTP/2 connection preface (RFC 9113, section 3.4).
const GREETING_BYTES: usize = 24;

/// How long to wait after a connection could not be accepted, as when file handles have run out.
const ACCEPT_AGAIN_AFTER: Duration = Duration::from_millis(100);

/// Connections that were accepted and not yet taken up.
const WAITING_MAX: usize = 16;

/// Accepts connections, at most so many at once; a further one waits at the door until another goes.
/// It ends when the stream is dropped.
pub fn connections(
    listener: TcpListener,
    tls: Option<TlsAcceptor>,
    connections_max: usize,
) -> ReceiverStream<io::Result<Connection>> {
    let (sender, receiver) = mpsc::channel(WAITING_MAX);
    tokio::spawn(async move {
        tokio::select! {
            () = accept(&listener, tls, connections_max, &sender) => {}
            () = sender.closed() => {}
        }
    });
    ReceiverStream::new(receiver)
}

async fn accept(
    listener: &TcpListener,
    tls: Option<TlsAcceptor>,
    connections_max: usize,
    sender: &mpsc::Sender<io::Result<Connection>>,
) {
    let places = Arc::new(Semaphore::new(connections_max));
    while let Ok(place) = Arc::clone(&places).acquire_owned().await {
        match listener.accept().await {
            Ok((stream, peer)) => {
                tokio::spawn(greet(stream, peer, tls.clone(), place, sender.clone()));
            }
            Err(fault) => {
                tracing::warn!(cause = %fault, "a connection could not be accepted");
                tokio::time::sleep(ACCEPT_AGAIN_AFTER).await;
            }
        }
    }
}

/// Brings a connection to where calls can be made on it, and hands it over.
async fn greet(
    stream: TcpStream,
    peer: SocketAddr,
    tls: Option<TlsAcceptor>,
    place: OwnedSemaphorePermit,
    sender: mpsc::Sender<io::Result<Connection>>,
) {
    // Calls are small and answered at once: waiting to fill a packet would only delay them.
    if stream.set_nodelay(true).is_err() {
        return;
    }
    let carrier = match tls {
        None => Carrier::Plain(stream),
        Some(tls) => match tokio::time::timeout(GREETING_TIME_MAX, tls.accept(stream)).await {
            Ok(Ok(stream)) => Carrier::Tls(Box::new(stream)),
            Ok(Err(fault)) => {
                tracing::debug!(cause = %fault, "a connection failed in TLS");
                return;
            }
            Err(_) => return,
        },
    };
    let connection = Connection {
        carrier,
        peer,
        greeting: Some(Greeting {
            missing: GREETING_BYTES,
            time: Box::pin(tokio::time::sleep(GREETING_TIME_MAX)),
        }),
        _place: place,
    };
    // The receiver is gone once the server drains; the connection then closes by being dropped.
    sender.send(Ok(connection)).await.ok();
}

/// A connection that holds its place among all connections.
pub struct Connection {
    carrier: Carrier,
    peer: SocketAddr,
    greeting: Option<Greeting>,
    _place: OwnedSemaphorePermit,
}

enum Carrier {
    Plain(TcpStream),
    Tls(Box<TlsStream<TcpStream>>),
}

/// What a new connection has still to say, and until when.
struct Greeting {
    missing: usize,
    time: Pin<Box<Sleep>>,
}

/// Who is at the other end.
#[derive(Debug, Clone, Copy)]
pub struct Peer(pub SocketAddr);

impl Connected for Connection {
    type ConnectInfo = Peer;

    fn connect_info(&self) -> Peer {
        Peer(self.peer)
    }
}

impl Connection {
    fn carrier(&mut self) -> Pin<&mut (dyn Stream + '_)> {
        match &mut self.carrier {
            Carrier::Plain(stream) => Pin::new(stream),
            Carrier::Tls(stream) => Pin::new(stream.as_mut()),
        }
    }

    /// Counts what was read towards the greeting; an error once its time is over.
    fn count(&mut self, context: &mut Context<'_>, bytes: usize) -> io::Result<()> {
        let Some(greeting) = &mut self.greeting else {
            return Ok(());
        };
        greeting.missing = greeting.missing.saturating_sub(bytes);
        if greeting.missing == 0 {
            self.greeting = None;
        } else if greeting.time.as_mut().poll(context).is_ready() {
            return Err(io::ErrorKind::TimedOut.into());
        }
        Ok(())
    }
}

trait Stream: AsyncRead + AsyncWrite + Unpin {}
impl Stream for TcpStream {}
impl Stream for TlsStream<TcpStream> {}

impl AsyncRead for Connection {
    fn poll_read(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        buffer: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        let before = buffer.filled().len();
        let read = self.carrier().poll_read(context, buffer);
        let bytes = buffer.filled().len() - before;
        match self.count(context, bytes) {
            Ok(()) => read,
            Err(fault) => Poll::Ready(Err(fault)),
        }
    }
}

impl AsyncWrite for Connection {
    fn poll_write(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        self.carrier().poll_write(context, bytes)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        slices: &[IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        self.carrier().poll_write_vectored(context, slices)
    }

    fn is_write_vectored(&self) -> bool {
        match &self.carrier {
            Carrier::Plain(stream) => stream.is_write_vectored(),
            Carrier::Tls(stream) => stream.is_write_vectored(),
        }
    }

    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        self.carrier().poll_flush(context)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        self.carrier().poll_shutdown(context)
    }
}
