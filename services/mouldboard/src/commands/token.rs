//! `mouldboard token`: make, list and revoke access tokens.

use std::process::ExitCode;

use anyhow::Context;
use clap::{Args, Subcommand, ValueEnum};
use store::tokens::{self, Role, TokenId};

use crate::clock;
use crate::settings::Loaded;

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
        #[arg(long, value_enum)]
        role: RoleWord,
        /// Who or what will bear it
        name: String,
    },
    /// List the tokens, without what is secret
    List,
    /// Make a token worthless
    Revoke {
        /// Its number in the list
        number: i64,
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
            TokenCommand::Make { role, name } => make(&store, *role, name).await?,
            TokenCommand::List => list(&store).await?,
            TokenCommand::Revoke { number } => revoke(&store, *number).await?,
        }
        Ok(ExitCode::SUCCESS)
    })
}

async fn make(store: &store::Store, role: RoleWord, name: &str) -> anyhow::Result<()> {
    let name = name.trim();
    anyhow::ensure!(
        (1..=100).contains(&name.chars().count()),
        "give the token a name of 1 to 100 characters: who or what will bear it"
    );
    let role = match role {
        RoleWord::Office => Role::Office,
        RoleWord::Bench => Role::Bench,
        RoleWord::Reader => Role::Reader,
    };
    let (text, hash) = api::new_token();
    let tx = store.write().await?;
    tokens::insert(&tx, name, role, &hash, clock::real()()).await.context("keeping the token's hash")?;
    tx.commit().await?;
    eprintln!("This is the token of '{name}'. It is shown this once; only its hash is kept.");
    println!("{text}");
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
        println!("{:>4}  {role:<7} {}  (made {made}{revoked})", token.id.to_string(), token.name);
    }
    tx.rollback().await?;
    Ok(())
}

async fn revoke(store: &store::Store, number: i64) -> anyhow::Result<()> {
    let tx = store.write().await?;
    tokens::revoke(&tx, TokenId::new(number), clock::real()()).await?;
    tx.commit().await?;
    println!("Token {number} is worthless now.");
    Ok(())
}
