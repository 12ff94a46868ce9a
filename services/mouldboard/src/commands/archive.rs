//! `mouldboard backup` and `mouldboard restore`.

use std::path::Path;
use std::process::ExitCode;

use anyhow::Context;

use crate::settings::Loaded;

/// Writes everything in the database to a file.
pub fn backup(file: &Path, loaded: &Loaded) -> anyhow::Result<ExitCode> {
    anyhow::ensure!(!file.exists(), "{} is there already: name a file that is not", file.display());
    super::block_on(async {
        let store = super::open_ready(&loaded.settings).await?;
        store.backup(file).await.with_context(|| format!("writing the backup {}", file.display()))?;
        println!("Backup written to {}.", file.display());
        Ok(ExitCode::SUCCESS)
    })
}

/// Reads a backup into an empty database, whose tables it makes.
pub fn restore(file: &Path, loaded: &Loaded) -> anyhow::Result<ExitCode> {
    anyhow::ensure!(file.is_file(), "{} is not there: name the file that 'mouldboard backup' wrote", file.display());
    super::block_on(async {
        let store = super::open(&loaded.settings).await?;
        store.migrate().await.context("making the database's tables")?;
        store.restore(file).await.with_context(|| format!("reading the backup {}", file.display()))?;
        println!("Backup {} restored.", file.display());
        Ok(ExitCode::SUCCESS)
    })
}
