//! `mouldboard migrate`.

use std::process::ExitCode;

use anyhow::Context;

use crate::settings::Loaded;

/// Applies the migrations that are not applied yet, and says which.
pub fn migrate(loaded: &Loaded) -> anyhow::Result<ExitCode> {
    super::block_on(async {
        let store = super::open(&loaded.settings).await?;
        let applied = store.migrate().await.context("bringing the database's tables to this version")?;
        match applied.as_slice() {
            [] => println!("The database's tables are of this version already."),
            names => names.iter().for_each(|name| println!("applied {name}")),
        }
        Ok(ExitCode::SUCCESS)
    })
}
