//! Sends a notice to a web hook: signed, once more later where it was not taken, never into the own network unless a setting
//! allows it.

use std::time::Duration;

use feeds::notices::{NUMBER, SIGNATURE, TIME, is_public, private_target, signature, target, written};
use reqwest::redirect::Policy;
use reqwest::{Client, Url};
use store::{Store, notices, web_hooks};

use crate::Config;
use crate::step::JobError;

/// How long a listener may take.
const PATIENCE: Duration = Duration::from_secs(10);

/// Sends the notice to the web hook that the key names.
pub(crate) async fn carry_out(store: &Store, config: &Config, key: &str) -> Result<String, JobError> {
    let unknown = || JobError::Input(format!("'{key}' names no web hook and notice"));
    let (hook, notice) = notices::of_key(key).ok_or_else(unknown)?;
    let tx = store.read().await?;
    let (hook, notice) = (web_hooks::find(&tx, hook).await?, notices::find(&tx, notice).await?);
    tx.rollback().await?;
    let (Some(hook), Some(notice)) = (hook, notice) else { return Err(unknown()) };
    if hook.ended_at.is_some() {
        return Ok("passed over: the web hook was ended".to_owned());
    }
    let url =
        target(&hook.url, config.hooks_to_private).map_err(|why| JobError::Input(format!("its address {why}")))?;
    let client = client_for(&url, config.hooks_to_private).await?;
    let (body, seconds) = (written(&notice), config.now().timestamp());
    let sent = client
        .post(url)
        .header("Content-Type", "application/json")
        .header(NUMBER, notice.id.to_string())
        .header(TIME, seconds.to_string())
        .header(SIGNATURE, signature(&hook.secret, seconds, &body))
        .body(body)
        .send()
        .await;
    // What is wrong is told without the address: it may hold what only its owner should know.
    let answer =
        sent.map_err(|error| JobError::Input(format!("the listener was not reached: {}", error.without_url())))?;
    match answer.status() {
        status if status.is_success() => Ok(format!("notice {} taken with {status}", notice.id)),
        status => Err(JobError::Input(format!("the listener answered {status}"))),
    }
}

/// A client that goes to the addresses the host has now and nowhere else: a name that stands for another address a moment later
/// leads nowhere, nor does a redirection.
async fn client_for(url: &Url, to_private: bool) -> Result<Client, JobError> {
    let host = url.host_str().unwrap_or_default();
    let port = url.port_or_known_default().unwrap_or(443);
    let bare = host.trim_start_matches('[').trim_end_matches(']');
    let found = tokio::time::timeout(PATIENCE, tokio::net::lookup_host((bare, port))).await;
    let found = found.map_err(|_| JobError::Input("the listener's name was not looked up in time".to_owned()))?;
    let found = found.map_err(|error| JobError::Input(format!("the listener's name cannot be looked up: {error}")))?;
    let addresses: Vec<_> = found.collect();
    if !to_private && addresses.iter().any(|address| !is_public(address.ip())) {
        return Err(JobError::Input(format!("its address {}", private_target())));
    }
    let client = Client::builder().redirect(Policy::none()).timeout(PATIENCE).no_proxy().user_agent("mouldboard");
    let client = client.resolve_to_addrs(host, &addresses).build();
    client.map_err(|error| JobError::Input(format!("no message can be sent: {error}")))
}
