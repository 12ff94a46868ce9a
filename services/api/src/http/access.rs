//! Who may ask for what.

use std::net::IpAddr;

use actix_web::dev::ServiceRequest;
use actix_web::http::Uri;
use actix_web::http::header;
use sha2::{Digest, Sha256};
use uuid::Uuid;

use super::problem::{Kind, Problem};
use super::routes::{Route, feed_of};
use crate::state::State;

/// What a token may do; each role may also do what the ones before it may.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// Read everything.
    Reader,
    /// Tickets, stages and stock.
    Bench,
    /// Everything.
    Office,
}

impl Role {
    /// Its name on the wire.
    pub const fn name(self) -> &'static str {
        match self {
            Role::Reader => "reader",
            Role::Bench => "bench",
            Role::Office => "office",
        }
    }

    /// From its name.
    pub fn parse(name: &str) -> Option<Self> {
        [Role::Reader, Role::Bench, Role::Office].into_iter().find(|role| role.name() == name)
    }
}

impl From<store::tokens::Role> for Role {
    fn from(role: store::tokens::Role) -> Self {
        match role {
            store::tokens::Role::Reader => Role::Reader,
            store::tokens::Role::Bench => Role::Bench,
            store::tokens::Role::Office => Role::Office,
        }
    }
}

impl From<Role> for store::tokens::Role {
    fn from(role: Role) -> Self {
        match role {
            Role::Reader => Self::Reader,
            Role::Bench => Self::Bench,
            Role::Office => Self::Office,
        }
    }
}

/// A new token nobody can guess (244 random bits), and what is kept of it.
pub fn new_token() -> (String, Vec<u8>) {
    let text = format!("mb_{}{}", Uuid::new_v4().simple(), Uuid::new_v4().simple());
    let hash = hash(&text);
    (text, hash)
}

/// A secret to sign messages with (244 random bits).
pub fn new_secret() -> String {
    format!("mw_{}{}", Uuid::new_v4().simple(), Uuid::new_v4().simple())
}

/// What is kept of a token: its SHA-256. The token itself is kept nowhere.
pub fn hash(token: &str) -> Vec<u8> {
    Sha256::digest(token.as_bytes()).to_vec()
}

/// What begins every feed token.
const FEED_PREFIX: &str = "mf_";

/// A new feed token: its public half to find it by, and its secret half, of which only the hash is kept.
pub struct NewFeedSecret {
    /// The token as it is shown once.
    pub token: String,
    /// Its public half.
    pub lookup: String,
    /// SHA-256 of its secret half.
    pub hash: Vec<u8>,
}

impl NewFeedSecret {
    /// Draws one that nobody can guess (244 random bits in its secret half).
    pub fn draw() -> Self {
        let lookup = Uuid::new_v4().simple().to_string();
        let secret = format!("{}{}", Uuid::new_v4().simple(), Uuid::new_v4().simple());
        Self { token: format!("{FEED_PREFIX}{lookup}_{secret}"), lookup, hash: hash(&secret) }
    }
}

/// Lets a pull of a feed pass whose address has a token that opens this feed.
pub async fn check_feed(state: &State, request: &ServiceRequest, route: &Route, token: &str) -> Result<(), Problem> {
    let (lookup, secret) = token.strip_prefix(FEED_PREFIX).and_then(|rest| rest.split_once('_')).unwrap_or_default();
    let tx = state.store.read().await?;
    let found = store::feed_tokens::find(&tx, lookup, state.now()).await?;
    tx.rollback().await?;
    // Where there is none, an answer takes as long: it is held against a hash that no secret has.
    let (opens, kept) = found.map_or_else(|| (Vec::new(), vec![0; 32]), |(token, hash)| (token.feeds, hash));
    if !same_bytes(&hash(secret), &kept) {
        return Err(Problem::new(Kind::TokenNeeded, "This feed token is not known here, has expired or was revoked."));
    }
    if request.method().is_safe() && feed_of(&route.pattern).is_some_and(|feed| opens.iter().any(|open| open == feed)) {
        return Ok(());
    }
    Err(Problem::new(Kind::NotAllowed, format!("This feed token opens {} only.", opens.join(", "))))
}

/// Whether two hashes are the same, in a time that does not tell where they differ.
fn same_bytes(a: &[u8], b: &[u8]) -> bool {
    let differing = a.iter().zip(b).fold(0, |all, (a, b)| std::hint::black_box(all | (a ^ b)));
    a.len() == b.len() && differing == 0
}

/// The name of the token a request came with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Caller(pub String);

/// Lets a request pass that may do what `needed` may, with the name of its token where it came with one, or says why not.
pub async fn check(state: &State, request: &ServiceRequest, needed: Option<Role>) -> Result<Option<Caller>, Problem> {
    match (bearer(request)?, needed) {
        // What is open to anyone is asked under any name, once the service is on a network (health probes go by address).
        (None, None) if state.config.bind.iter().all(|address| address.ip().is_loopback()) => {
            not_foreign(state, request).map(|()| None)
        }
        (_, None) => Ok(None),
        (Some(token), Some(needed)) => known_token(state, &token, needed).await,
        (None, Some(needed)) => match session_of(request.headers()) {
            Some(session) => known_session(state, request, &session, needed).await,
            None => local_user(state, request).await.map(|()| None),
        },
    }
}

/// The cookie that holds a browser's session.
pub const SESSION_COOKIE: &str = "mouldboard_session";

/// The session a browser's cookie names, where there is one.
pub fn session_of(headers: &header::HeaderMap) -> Option<String> {
    let cookies = headers.get_all(header::COOKIE).filter_map(|value| value.to_str().ok());
    let mut pairs = cookies.flat_map(|value| value.split(';')).filter_map(|pair| pair.trim().split_once('='));
    pairs.find(|(name, value)| *name == SESSION_COOKIE && !value.is_empty()).map(|(_, value)| value.to_owned())
}

/// Lets in whom a session names. A cookie is sent by the browser whoever wrote the page, so a change has to come from one
/// of our own pages; a browser says where it comes from.
async fn known_session(
    state: &State,
    request: &ServiceRequest,
    session: &str,
    needed: Role,
) -> Result<Option<Caller>, Problem> {
    if !request.method().is_safe() {
        let origin = request.headers().get(header::ORIGIN).and_then(|v| v.to_str().ok());
        let host = request.headers().get(header::HOST).and_then(|v| v.to_str().ok());
        if !origin.zip(host).is_some_and(|(origin, host)| same_place(origin, host)) {
            return Err(foreign("A signed-in browser may change things from this service's own pages only."));
        }
    }
    let tx = state.store.read().await?;
    let found = store::sessions::find(&tx, &hash(session), state.now()).await?;
    tx.rollback().await?;
    match found {
        Some((_, name, role)) => may(Role::from(role), needed).map(|()| Some(Caller(name))),
        None => local_user(state, request).await.map(|()| None),
    }
}

fn may(role: Role, needed: Role) -> Result<(), Problem> {
    if role >= needed {
        return Ok(());
    }
    let detail = format!("This needs a token of the role {}; the one sent is {}.", needed.name(), role.name());
    Err(Problem::new(Kind::NotAllowed, detail))
}

fn bearer(request: &ServiceRequest) -> Result<Option<String>, Problem> {
    let Some(value) = request.headers().get(header::AUTHORIZATION) else { return Ok(None) };
    let text = value.to_str().unwrap_or_default();
    match text.split_once(' ') {
        Some((scheme, token)) if scheme.eq_ignore_ascii_case("bearer") && !token.trim().is_empty() => {
            Ok(Some(token.trim().to_owned()))
        }
        _ => Err(Problem::new(Kind::TokenNeeded, "The Authorization header is not of the form 'Bearer TOKEN'.")),
    }
}

async fn known_token(state: &State, token: &str, needed: Role) -> Result<Option<Caller>, Problem> {
    let found = store::tokens::find_by_hash(&state.store, &hash(token), state.now()).await?;
    let Some((_, name, role)) = found else {
        return Err(Problem::new(Kind::TokenNeeded, "This token is not known here, has expired or was revoked."));
    };
    may(Role::from(role), needed).map(|()| Some(Caller(name)))
}

/// Without a token: only from this machine, only as long as no token has been made, and never for another site's page.
async fn local_user(state: &State, request: &ServiceRequest) -> Result<(), Problem> {
    let needed = || Problem::new(Kind::TokenNeeded, "Send the header Authorization: Bearer TOKEN.");
    let from_here = request.peer_addr().is_some_and(|peer| peer.ip().is_loopback());
    if !state.config.open_to_local_user || !from_here {
        return Err(needed());
    }
    not_foreign(state, request)?;
    if store::tokens::any(&state.store).await? { Err(needed()) } else { Ok(()) }
}

/// A page of any site can send requests to a loopback address, and any name can be made to point to one: both are refused.
fn not_foreign(state: &State, request: &ServiceRequest) -> Result<(), Problem> {
    let header_text = |name| request.headers().get(name).map(|v| v.to_str().unwrap_or("?").to_owned());
    let host = header_text(header::HOST).or_else(|| request.uri().authority().map(ToString::to_string));
    let Some(host) = host else { return Err(foreign("The request names no host.")) };
    if !is_ours(state, host_name(&host)) {
        return Err(foreign(format!("The request was sent to the host name '{host}', which is not this service's.")));
    }
    match header_text(header::ORIGIN) {
        Some(origin) if !same_place(&origin, &host) => Err(foreign(format!(
            "The request comes from a page of '{origin}'; only this service's own pages may send any."
        ))),
        _ => Ok(()),
    }
}

fn foreign(detail: impl Into<String>) -> Problem {
    Problem::new(Kind::Foreign, detail)
}

/// `name:port` or `[address]:port` without the port.
fn host_name(host: &str) -> &str {
    if let Some(rest) = host.strip_prefix('[') {
        return rest.split(']').next().unwrap_or(rest);
    }
    host.rsplit_once(':').map_or(host, |(name, _)| name)
}

fn is_ours(state: &State, name: &str) -> bool {
    let loopback = name.parse::<IpAddr>().is_ok_and(|ip| ip.is_loopback());
    let bound = name.parse::<IpAddr>().is_ok_and(|ip| state.config.bind.iter().any(|b| b.ip() == ip));
    loopback
        || bound
        || name.eq_ignore_ascii_case("localhost")
        || state.config.allowed_hosts.iter().any(|allowed| host_name(allowed).eq_ignore_ascii_case(name))
}

fn same_place(origin: &str, host: &str) -> bool {
    let authority = origin.parse::<Uri>().ok().and_then(|uri| uri.authority().map(ToString::to_string));
    authority.is_some_and(|authority| authority.eq_ignore_ascii_case(host))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hosts_and_origins_are_read_apart() {
        assert_eq!(host_name("localhost:8080"), "localhost");
        assert_eq!(host_name("[::1]:8080"), "::1");
        assert_eq!(host_name("plans.example"), "plans.example");
        assert!(same_place("http://localhost:8080", "localhost:8080"));
        assert!(!same_place("http://evil.example", "localhost:8080"));
        assert!(!same_place("null", "localhost:8080"));
    }

    #[test]
    fn hashes_are_compared_whole() {
        assert!(same_bytes(&hash("a"), &hash("a")));
        assert!(!same_bytes(&hash("a"), &hash("b")));
        assert!(!same_bytes(&hash("a"), &[]));
    }

    #[test]
    fn roles_rise() {
        assert!(Role::Reader < Role::Bench && Role::Bench < Role::Office);
        assert_eq!(Role::parse("bench"), Some(Role::Bench));
        assert_eq!(Role::parse("Bench"), None);
    }
}
