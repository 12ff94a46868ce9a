//! How the service is run: where it listens, to whom it answers, what time it is.

use std::net::SocketAddr;

use crate::clock::Clock;

/// What the service has to be told at its start.
#[derive(Clone)]
pub struct Config {
    /// Addresses to listen on; port 0 takes any free port.
    pub bind: Vec<SocketAddr>,
    /// Host names, besides `localhost` and the loopback addresses, under which requests without a token may arrive.
    pub allowed_hosts: Vec<String>,
    /// Whether a request from this machine needs no token as long as none has been made.
    pub open_to_local_user: bool,
    /// Seconds without a beat after which the worker counts as away.
    pub worker_silence_seconds: i64,
    /// Requests a minute that each token, and each address that is not this machine's, may send; 0 for any number.
    pub requests_per_minute: u32,
    /// Whether web hooks may lead to this machine and to private networks.
    pub hooks_to_private: bool,
    /// Threads that answer requests.
    pub threads: usize,
    /// What time it is.
    pub clock: Clock,
}

impl Config {
    /// One loopback address, open to the local user: what a single computer needs.
    pub fn local(bind: SocketAddr, clock: Clock) -> Self {
        Self {
            bind: vec![bind],
            allowed_hosts: Vec::new(),
            open_to_local_user: true,
            worker_silence_seconds: 120,
            requests_per_minute: 1200,
            hooks_to_private: false,
            threads: 2,
            clock,
        }
    }
}

/// Why the service may not start as it was told.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum MayNotListen {
    /// No address at all.
    #[error("no address to listen on is given: give one, as 127.0.0.1:8080")]
    Nowhere,
    /// Open to the network, yet nobody would have to show a token.
    #[error(
        "{0} can be reached from other machines and no token has been made, so anyone could change the records: make a token first (mouldboard token), or listen on 127.0.0.1"
    )]
    NoToken(SocketAddr),
}

/// Whether the service may listen on `bind`, given whether any token has been made. The program calls it before it starts.
///
/// # Errors
/// Where an address can be reached from other machines and no token has been made, and where there is no address.
pub fn may_listen(bind: &[SocketAddr], any_token: bool) -> Result<(), MayNotListen> {
    if bind.is_empty() {
        return Err(MayNotListen::Nowhere);
    }
    match bind.iter().find(|address| !address.ip().is_loopback()) {
        Some(open) if !any_token => Err(MayNotListen::NoToken(*open)),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_loopback_is_open_without_a_token() {
        let address = |text: &str| text.parse::<SocketAddr>().unwrap();
        let cases = [
            ("127.0.0.1:8080", false, true),
            ("[::1]:8080", false, true),
            ("0.0.0.0:8080", false, false),
            ("192.168.1.4:8080", false, false),
            ("0.0.0.0:8080", true, true),
        ];
        for (bind, any_token, may) in cases {
            assert_eq!(may_listen(&[address(bind)], any_token).is_ok(), may, "{bind}, any token: {any_token}");
        }
        assert_eq!(may_listen(&[], true), Err(MayNotListen::Nowhere));
    }
}
