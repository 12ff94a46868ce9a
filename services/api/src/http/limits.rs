//! How many requests a caller may send: each token and each address its own share, so that one script gone wild does not keep
//! the bench from its tickets.
//!
//! Requests from this machine count by their token only: a reverse proxy and the pages of a single computer come from there.

use std::net::IpAddr;
use std::num::NonZeroU32;
use std::sync::atomic::{AtomicU32, Ordering};

use actix_web::dev::ServiceRequest;
use actix_web::http::header;
use governor::clock::{Clock, DefaultClock};
use governor::{DefaultKeyedRateLimiter, Quota, RateLimiter};

use super::access::{hash, session_of};
use super::problem::{Kind, Problem};

/// After so many requests, callers who have not been heard of for a while are forgotten.
const FORGET_AFTER: u32 = 1024;

/// Whose share a request is of.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum Sharer {
    /// A machine.
    Address(IpAddr),
    /// A token or a session, by its hash.
    Token(Vec<u8>),
}

/// The shares of all callers.
pub struct Limits {
    shares: Option<DefaultKeyedRateLimiter<Sharer>>,
    per_minute: u32,
    seen: AtomicU32,
}

impl Limits {
    /// So many requests a minute for each caller, as many of them at once; 0 for no limit.
    pub fn per_minute(requests: u32) -> Self {
        let shares = NonZeroU32::new(requests).map(|requests| RateLimiter::keyed(Quota::per_minute(requests)));
        Self { shares, per_minute: requests, seen: AtomicU32::new(0) }
    }

    /// Counts a request.
    ///
    /// # Errors
    /// 429 where the caller's share is used up, with the seconds after which there is some of it again.
    pub fn count(&self, caller: &Sharer) -> Result<(), Problem> {
        let Some(shares) = &self.shares else { return Ok(()) };
        if self.seen.fetch_add(1, Ordering::Relaxed).is_multiple_of(FORGET_AFTER) {
            shares.retain_recent();
        }
        shares.check_key(caller).map_err(|until| {
            let seconds = until.wait_time_from(DefaultClock::default().now()).as_secs() + 1;
            let whose = match caller {
                Sharer::Address(_) => "address",
                Sharer::Token(_) => "token",
            };
            let detail =
                format!("More than {} requests a minute came from this {whose}: wait {seconds} s.", self.per_minute);
            Problem::new(Kind::TooMany, detail).with_header(header::RETRY_AFTER, seconds.to_string())
        })
    }
}

/// The machine a request comes from, where that is not this one.
pub fn address(request: &ServiceRequest) -> Option<Sharer> {
    let peer = request.peer_addr()?.ip();
    (!peer.is_loopback()).then_some(Sharer::Address(peer))
}

/// The token or session a request comes with; `feed_token` is the one in its address.
pub fn token(request: &ServiceRequest, feed_token: Option<&str>) -> Option<Sharer> {
    let header = request.headers().get(header::AUTHORIZATION).and_then(|v| v.to_str().ok()).map(str::to_owned);
    let text = header.or_else(|| feed_token.map(str::to_owned)).or_else(|| session_of(request.headers()))?;
    Some(Sharer::Token(hash(&text)))
}

#[cfg(test)]
mod tests {
    use actix_web::ResponseError;

    use super::*;

    #[test]
    fn each_caller_has_a_share_of_its_own() {
        let limits = Limits::per_minute(2);
        let (one, other) = (Sharer::Token(vec![1]), Sharer::Address([192, 0, 2, 1].into()));
        assert!(limits.count(&one).is_ok() && limits.count(&one).is_ok());
        let refused = limits.count(&one).unwrap_err();
        assert_eq!(refused.kind(), Kind::TooMany);
        let response = refused.error_response();
        let seconds =
            response.headers().get(header::RETRY_AFTER).and_then(|v| v.to_str().ok()).and_then(|v| v.parse().ok());
        assert!(seconds.is_some_and(|seconds: u64| (1..=60).contains(&seconds)), "{response:?}");
        assert!(limits.count(&other).is_ok());
        let none = Limits::per_minute(0);
        assert!((0..5000).all(|_| none.count(&one).is_ok()));
    }
}
