//! `mouldboard token`: make, list and revoke access tokens, and tokens that open feeds only.

use std::process::ExitCode;

use anyhow::Context;
use chrono::{DateTime, NaiveDate as Day, NaiveTime, Utc};
use clap::{Args, Subcommand, ValueEnum};
use serde_json::Value;
use store::feed_tokens::{self, NewFeedToken};
use store::tokens::{self, Role, TokenId};
use store::{Tx, trail};

use crate::clock;
use crate::settings::Loaded;

/// The name under which it writes.
const HERE: &str = "mouldboard token";

/// Arguments of `mouldboard token`.
#[derive(Args)]
pub struct TokenArgs {
    #[command(subcommand)]
    command: TokenCommand,
}

#[derive(Subcommand)]
enum TokenCommand {
    /// Make a token and print it, this once: only its hash is kept
    Make {
        /// What it lets its bearer do
        #[arg(long, value_enum, required_unless_present = "feed", conflicts_with = "feed")]
        role: Option<RoleWord>,
        /// A feed it opens instead, as /plan/pours, once for each: a token for the address of a calendar or spreadsheet
        #[arg(long)]
        feed: Vec<String>,
        /// The last day it is good for, as 2027-01-31 (UTC); for good, where none is given
        #[arg(long)]
        until: Option<Day>,
        /// Who or what will bear it
        name: String,
    },
    /// List the tokens, without what is secret
    List,
    /// Make a token worthless
    Revoke {
        /// Its number in the list
        number: i64,
        /// It is a feed token, which are numbered apart
        #[arg(long)]
        feed: bool,
    },
}

#[derive(Clone, Copy, ValueEnum)]
enum RoleWord {
    /// Everything
    Office,
    /// Read all; tickets, stages and stock
    Bench,
    /// Read
    Reader,
}

/// Makes, lists or revokes.
pub fn token(args: &TokenArgs, loaded: &Loaded) -> anyhow::Result<ExitCode> {
    super::block_on(async {
        let store = super::open_ready(&loaded.settings).await?;
        match &args.command {
            TokenCommand::Make { role, feed, until, name } => {
                let (name, end) = (named(name)?, until.map(end_of).transpose()?);
                match role {
                    Some(role) => make(&store, *role, name, end).await?,
                    None => make_for_feeds(&store, feed, name, end).await?,
                }
            }
            TokenCommand::List => list(&store).await?,
            TokenCommand::Revoke { number, feed: false } => revoke(&store, *number).await?,
            TokenCommand::Revoke { number, feed: true } => revoke_for_feeds(&store, *number).await?,
        }
        Ok(ExitCode::SUCCESS)
    })
}

fn named(name: &str) -> anyhow::Result<&str> {
    let name = name.trim();
    anyhow::ensure!(
        (1..=100).contains(&name.chars().count()),
        "give the token a name of 1 to 100 characters: who or what will bear it"
    );
    Ok(name)
}

/// The instant the day is over.
fn end_of(day: Day) -> anyhow::Result<DateTime<Utc>> {
    let next = day.succ_opt().context("that day is too far ahead: give an earlier one, or none")?;
    let end = next.and_time(NaiveTime::MIN).and_utc();
    anyhow::ensure!(end > clock::real()(), "{day} is past: give a day to come, or none");
    Ok(end)
}

async fn make(store: &store::Store, role: RoleWord, name: &str, end: Option<DateTime<Utc>>) -> anyhow::Result<()> {
    let role = match role {
        RoleWord::Office => Role::Office,
        RoleWord::Bench => Role::Bench,
        RoleWord::Reader => Role::Reader,
    };
    let (text, hash) = api::new_token();
    let tx = store.write().await?.under(Some(HERE.to_owned()));
    let id = tokens::insert(&tx, name, role, &hash, clock::real()(), end).await.context("keeping the token's hash")?;
    let told = serde_json::to_value(api::told_of_token(&tx, id).await?)?;
    trail::add(&tx, &[api::change(&format!("/tokens/{id}"), &Value::Null, &told)]).await?;
    tx.commit().await?;
    eprintln!("This is the token of '{name}'. It is shown this once; only its hash is kept.");
    println!("{text}");
    Ok(())
}

async fn make_for_feeds(
    store: &store::Store,
    feeds: &[String],
    name: &str,
    end: Option<DateTime<Utc>>,
) -> anyhow::Result<()> {
    let there = api::DOCUMENT.routes.feeds();
    let unknown: Vec<&str> = feeds.iter().map(String::as_str).filter(|feed| !there.contains(feed)).collect();
    anyhow::ensure!(
        unknown.is_empty(),
        "there is no feed {}; there are {}",
        unknown.join(", "),
        there.into_iter().collect::<Vec<_>>().join(", ")
    );
    let secret = api::NewFeedSecret::draw();
    let new = NewFeedToken { name, lookup: &secret.lookup, hash: &secret.hash, feeds, expires_at: end };
    let tx = store.write().await?.under(Some(HERE.to_owned()));
    let id = feed_tokens::insert(&tx, &new, clock::real()()).await.context("keeping the token's hash")?;
    let told = serde_json::to_value(api::told_of_feed_token(&tx, id).await?)?;
    trail::add(&tx, &[api::change(&format!("/feed-tokens/{id}"), &Value::Null, &told)]).await?;
    tx.commit().await?;
    eprintln!("This is the feed token of '{name}'. It is shown this once. Put it at the end of a feed's address:");
    println!("?feed_token={}", secret.token);
    Ok(())
}

async fn list(store: &store::Store) -> anyhow::Result<()> {
    let tx = store.read().await?;
    for token in tokens::list(&tx).await? {
        let role = match token.role {
            Role::Office => "office",
            Role::Bench => "bench",
            Role::Reader => "reader",
        };
        let made = token.made_at.format("%Y-%m-%d");
        let revoked = token.revoked_at.map_or(String::new(), |at| format!(", revoked {}", at.format("%Y-%m-%d")));
        let until = until(token.expires_at);
        println!("{:>4}  {role:<7} {}  (made {made}{until}{revoked})", token.id.to_string(), token.name);
    }
    for token in feed_tokens::list(&tx).await? {
        let made = token.made_at.format("%Y-%m-%d");
        let revoked = token.revoked_at.map_or(String::new(), |at| format!(", revoked {}", at.format("%Y-%m-%d")));
        let (until, feeds) = (until(token.expires_at), token.feeds.join(", "));
        println!("{:>4}  feeds   {}: {feeds}  (made {made}{until}{revoked})", token.id.to_string(), token.name);
    }
    tx.rollback().await?;
    Ok(())
}

fn until(end: Option<DateTime<Utc>>) -> String {
    end.map_or(String::new(), |end| format!(", good until {}", end.format("%Y-%m-%d %H:%M UTC")))
}

/// Tells the trail of a token that is worthless now; nothing where it was so before.
async fn gone(tx: &Tx, place: &str, told: &Value) -> anyhow::Result<()> {
    if !told.is_null() {
        trail::add(tx, &[api::change(place, told, &Value::Null)]).await?;
    }
    Ok(())
}

async fn revoke_for_feeds(store: &store::Store, number: i64) -> anyhow::Result<()> {
    let tx = store.write().await?.under(Some(HERE.to_owned()));
    let told = serde_json::to_value(api::told_of_feed_token(&tx, TokenId::new(number)).await?)?;
    feed_tokens::revoke(&tx, TokenId::new(number), clock::real()()).await?;
    gone(&tx, &format!("/feed-tokens/{number}"), &told).await?;
    tx.commit().await?;
    println!("Feed token {number} is worthless now.");
    Ok(())
}

async fn revoke(store: &store::Store, number: i64) -> anyhow::Result<()> {
    let tx = store.write().await?.under(Some(HERE.to_owned()));
    let told = serde_json::to_value(api::told_of_token(&tx, TokenId::new(number)).await?)?;
    tokens::revoke(&tx, TokenId::new(number), clock::real()()).await?;
    gone(&tx, &format!("/tokens/{number}"), &told).await?;
    tx.commit().await?;
    println!("Token {number} is worthless now.");
    Ok(())
}
