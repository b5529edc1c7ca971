//! From an address to a server that answers there, until it is told to end.

use std::io;
use std::net::{IpAddr, SocketAddr, TcpListener};
use std::sync::Arc;
use std::time::Duration;

use tokio::runtime::{Builder, Runtime};

use super::guard::Hosts;
use super::{Server, router};

/// The usual port: nobody else's, as far as we know; eight marks, 360 degrees.
pub const PORT: u16 = 8360;
/// Ports after the usual one that are tried where it is taken.
const MORE: u16 = 40;
/// How long requests that are under way may take to end.
const PATIENCE: Duration = Duration::from_secs(2);
/// Threads for work and for the disk; work itself is bounded by its turns.
const THREADS: usize = 32;

/// A socket at an address: at the port that is asked for, or at the usual one or the next
/// that is free.
///
/// # Errors
/// Where the port, or every one that is tried, is taken or not allowed.
pub fn bind(host: IpAddr, port: Option<u16>) -> io::Result<TcpListener> {
    let Some(port) = port else {
        let mut taken = None;
        for port in PORT..=PORT + MORE {
            match TcpListener::bind((host, port)) {
                Ok(listener) => return Ok(listener),
                Err(error) if error.kind() == io::ErrorKind::AddrInUse => taken = Some(error),
                Err(error) => return Err(error),
            }
        }
        return Err(taken.unwrap_or_else(|| io::ErrorKind::AddrInUse.into()));
    };
    TcpListener::bind((host, port))
}

/// The address as a browser takes it.
pub fn url(address: SocketAddr) -> String {
    // A server that listens everywhere is reached at this machine's loopback, too.
    let ip = match address.ip() {
        IpAddr::V4(ip) if ip.is_unspecified() => IpAddr::from([127, 0, 0, 1]),
        IpAddr::V6(ip) if ip.is_unspecified() => IpAddr::from(std::net::Ipv6Addr::LOCALHOST),
        ip => ip,
    };
    format!("http://{}/", SocketAddr::new(ip, address.port()))
}

/// Threads for a server.
///
/// # Errors
/// Where the system gives none.
pub fn runtime() -> io::Result<Runtime> {
    Builder::new_multi_thread()
        .worker_threads(2)
        .max_blocking_threads(THREADS)
        .enable_all()
        .build()
}

/// Answers until the person or the system asks to end, then ends what is under way.
///
/// # Errors
/// Where the socket fails.
pub fn serve(runtime: Runtime, listener: TcpListener, server: Arc<Server>) -> io::Result<()> {
    let hosts = Hosts::at(listener.local_addr()?);
    listener.set_nonblocking(true)?;
    let served = runtime.block_on(async {
        let listener = tokio::net::TcpListener::from_std(listener)?;
        let (end, ended) = tokio::sync::watch::channel(false);
        let of = Arc::clone(&server);
        let asked = async move {
            asked_to_end().await;
            // Streams of events would stay open for as long as their jobs take.
            of.jobs.cancel_all();
            end.send_replace(true);
        };
        let serving = axum::serve(listener, router(server, hosts))
            .with_graceful_shutdown(asked)
            .into_future();
        tokio::select! {
            served = serving => served,
            () = impatient(ended) => Ok(()),
        }
    });
    // What is still worked out is for nobody now.
    runtime.shutdown_timeout(Duration::from_millis(100));
    served
}

async fn impatient(mut ended: tokio::sync::watch::Receiver<bool>) {
    // A sender that is gone has ended the server by itself.
    if ended.wait_for(|ended| *ended).await.is_err() {
        std::future::pending::<()>().await;
    }
    tokio::time::sleep(PATIENCE).await;
}

async fn asked_to_end() {
    let by_keys = async {
        if tokio::signal::ctrl_c().await.is_err() {
            // Keys cannot be listened to; the system can still end it.
            std::future::pending::<()>().await;
        }
    };
    #[cfg(unix)]
    let by_system = async {
        use tokio::signal::unix::{SignalKind, signal};
        match signal(SignalKind::terminate()) {
            Ok(mut asked) => drop(asked.recv().await),
            Err(_) => std::future::pending().await,
        }
    };
    #[cfg(not(unix))]
    let by_system = std::future::pending::<()>();
    tokio::select! {
        () = by_keys => {}
        () = by_system => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_next_free_port_is_taken_and_a_chosen_one_is_not_changed() {
        let loopback = IpAddr::from([127, 0, 0, 1]);
        let first = bind(loopback, None).unwrap();
        let second = bind(loopback, None).unwrap();
        let ports = [&first, &second].map(|listener| listener.local_addr().unwrap().port());
        assert!(ports[0] >= PORT && ports[1] > ports[0] && ports[1] <= PORT + MORE);
        let error = bind(loopback, Some(ports[0])).unwrap_err();
        assert_eq!(error.kind(), io::ErrorKind::AddrInUse);
    }

    #[test]
    fn addresses_are_written_for_a_browser() {
        for (address, written) in [
            ("127.0.0.1:8360", "http://127.0.0.1:8360/"),
            ("0.0.0.0:80", "http://127.0.0.1:80/"),
            ("[::1]:8360", "http://[::1]:8360/"),
        ] {
            assert_eq!(url(address.parse().unwrap()), written);
        }
    }
}
