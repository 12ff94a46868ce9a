//! The whole database as one text file, the same for either database, and back.
//!
//! Lines of JSON: a head that says what it is and which migration its tables are at, then for each table a line that
//! names it and a line for each row, then a last line with the SHA-256 of all lines before it. Tables come in an order
//! in which no row refers to a later one, except within a table, where rows come in the order they were written.

use std::fs::{self, File, OpenOptions};
use std::io::{self, BufRead as _, BufReader, BufWriter, Write as _};
use std::path::{Path, PathBuf};

use migrations::Migrator;
use sea_orm::sea_query::{Asterisk, Expr, ExprTrait as _, Func, Query};
use sea_orm::{
    ConnectionTrait as _, DatabaseBackend, EntityTrait, FromQueryResult, IntoActiveModel, Iterable as _, ModelTrait,
    PrimaryKeyToColumn as _, PrimaryKeyTrait as _, QueryOrder as _, QuerySelect as _, Select,
};
use sea_orm_migration::MigratorTrait as _;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};

use crate::classify::Attempted as _;
use crate::error::{Result, StoreError};
use crate::parts;
use crate::tx::Tx;

/// Rows read at a time.
const PAGE: u64 = 1000;
const WHAT: &str = "mouldboard backup";

#[derive(Serialize, Deserialize, PartialEq, Debug)]
struct Head {
    what: String,
    /// The last migration of the tables.
    tables_at: String,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct TableLine {
    table: String,
    rows: u64,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Tail {
    sha256: String,
}

/// Runs a macro over every table, in an order in which none refers to a later one.
macro_rules! every_table {
    ($each:ident, $($with:expr),*) => {
        $each!(crate::nouns::material::material::Entity, $($with),*);
        $each!(crate::nouns::material::price_break::Entity, $($with),*);
        $each!(crate::nouns::finish::finish::Entity, $($with),*);
        $each!(crate::nouns::mix::mix::Entity, $($with),*);
        $each!(crate::nouns::revision::mix_revision::Entity, $($with),*);
        $each!(crate::nouns::revision::ingredient::Entity, $($with),*);
        $each!(crate::nouns::mould_group::mould_group::Entity, $($with),*);
        $each!(crate::nouns::mould_group::out_of_service::Entity, $($with),*);
        $each!(crate::nouns::tank::tank::Entity, $($with),*);
        $each!(crate::nouns::rack::rack::Entity, $($with),*);
        $each!(crate::nouns::upkeep_task::upkeep_task::Entity, $($with),*);
        $each!(crate::upkeep::upkeep_report::Entity, $($with),*);
        $each!(crate::nouns::panel::panel::Entity, $($with),*);
        $each!(crate::nouns::panel::panel_suit::Entity, $($with),*);
        $each!(crate::nouns::panel::panel_tank::Entity, $($with),*);
        $each!(crate::nouns::panel::panel_material::Entity, $($with),*);
        $each!(crate::nouns::trial::trial::Entity, $($with),*);
        $each!(crate::nouns::trial::trial_mass::Entity, $($with),*);
        $each!(crate::nouns::trial::trial_density::Entity, $($with),*);
        $each!(crate::nouns::trial::trial_strength::Entity, $($with),*);
        $each!(crate::nouns::trial::trial_panel::Entity, $($with),*);
        $each!(crate::nouns::trial::trial_photo::Entity, $($with),*);
        $each!(crate::standings::revision_standing::Entity, $($with),*);
        $each!(crate::nouns::panel_set::panel_set::Entity, $($with),*);
        $each!(crate::nouns::panel_set::set_panel::Entity, $($with),*);
        $each!(crate::nouns::panel_set::set_hardware::Entity, $($with),*);
        $each!(crate::site::site_row::Entity, $($with),*);
        $each!(crate::site::working_weekday::Entity, $($with),*);
        $each!(crate::site::soaking_step::Entity, $($with),*);
        $each!(crate::nouns::calendar_day::calendar_day::Entity, $($with),*);
        $each!(crate::nouns::order::customer_order::Entity, $($with),*);
        $each!(crate::nouns::order::order_line::Entity, $($with),*);
        $each!(crate::runs::planning_run::Entity, $($with),*);
        $each!(crate::runs::run_document::Entity, $($with),*);
        $each!(crate::runs::plan_in_force::Entity, $($with),*);
        $each!(crate::progress::run_progress::Entity, $($with),*);
        $each!(crate::tickets::issued_day::Entity, $($with),*);
        $each!(crate::tickets::ticket::Entity, $($with),*);
        $each!(crate::tickets::ticket_line::Entity, $($with),*);
        $each!(crate::tickets::ticket_fill::Entity, $($with),*);
        $each!(crate::tickets::ticket_caution::Entity, $($with),*);
        $each!(crate::ticket_changes::ticket_change::Entity, $($with),*);
        $each!(crate::corrections::ticket_correction::Entity, $($with),*);
        $each!(crate::corrections::ticket_correction_done::Entity, $($with),*);
        $each!(crate::deliveries::delivery::Entity, $($with),*);
        $each!(crate::deliveries::delivery_rest::Entity, $($with),*);
        $each!(crate::stock::stock_entry::Entity, $($with),*);
        $each!(crate::stock::stock_balance::Entity, $($with),*);
        $each!(crate::lots::lot::Entity, $($with),*);
        $each!(crate::moulds::mould_use::Entity, $($with),*);
        $each!(crate::lots::lot_move::Entity, $($with),*);
        $each!(crate::lot_joins::lot_join::Entity, $($with),*);
        $each!(crate::lots::lot_dispatch::Entity, $($with),*);
        $each!(crate::nouns::scrap_cause::scrap_cause::Entity, $($with),*);
        $each!(crate::lots::lot_loss::Entity, $($with),*);
        $each!(crate::lots::dispatch_draw::Entity, $($with),*);
        $each!(crate::marks::plan_mark::Entity, $($with),*);
        $each!(crate::pins::pin::Entity, $($with),*);
        $each!(crate::jobs::job::Entity, $($with),*);
        $each!(crate::tokens::access_token::Entity, $($with),*);
        $each!(crate::sessions::page_session::Entity, $($with),*);
        $each!(crate::idempotency::kept_answer::Entity, $($with),*);
        $each!(crate::beats::worker_beat::Entity, $($with),*);
        $each!(crate::pulls::feed_pull::Entity, $($with),*);
        $each!(crate::agenda::calendar_event::Entity, $($with),*);
        $each!(crate::notices::notice::Entity, $($with),*);
        $each!(crate::notices::notice_standing::Entity, $($with),*);
        $each!(crate::web_hooks::web_hook::Entity, $($with),*);
        $each!(crate::feed_tokens::feed_token::Entity, $($with),*);
        $each!(crate::feed_tokens::feed_of_token::Entity, $($with),*);
        $each!(crate::trail::recorded_change::Entity, $($with),*);
        $each!(crate::trail::changed_field::Entity, $($with),*);
    };
}

/// Writes everything `tx` sees to a new file.
pub(crate) async fn write_file(tx: &Tx, file: &Path) -> Result<()> {
    if file.exists() {
        let why = "there is a file of that name already: name another";
        return Err(StoreError::other(format!("back up to {}", file.display()), why));
    }
    let part = beside(file);
    let written = write_part(tx, &part).await;
    let kept = written.and_then(|()| fs::rename(&part, file).map_err(|e| io("name the backup", file, &e)));
    if kept.is_err() {
        // What is left of it is of no use to anyone; that it cannot be removed either adds nothing to the first fault.
        let _ = fs::remove_file(&part);
    }
    kept
}

async fn write_part(tx: &Tx, part: &Path) -> Result<()> {
    let opened = OpenOptions::new().write(true).create_new(true).open(part);
    let file = opened.map_err(|e| io("write the backup", part, &e))?;
    let mut out = Out { file: BufWriter::new(file), hash: Sha256::new(), path: part.to_owned() };
    out.line(&head()?)?;
    macro_rules! dump {
        ($table:ty, $out:expr) => {
            dump_table::<$table>(tx, $out).await?;
        };
    }
    every_table!(dump, &mut out);
    out.close()
}

/// Fills the database from a file, whose checksum is tried before the first row is written.
pub(crate) async fn read_file(tx: &Tx, file: &Path) -> Result<()> {
    whole(file)?;
    let mut lines = Lines::open(file)?;
    if lines.next::<Head>()? != head()? {
        return Err(damaged(file, "it was made by another version of this program, with other tables"));
    }
    macro_rules! load {
        ($table:ty, $lines:expr) => {
            load_table::<$table>(tx, $lines).await?;
        };
    }
    every_table!(load, &mut lines);
    Ok(())
}

fn head() -> Result<Head> {
    let last = Migrator::migrations().last().map(|m| m.name().to_owned());
    Ok(Head { what: WHAT.to_owned(), tables_at: last.unwrap_or_default() })
}

async fn dump_table<E>(tx: &Tx, out: &mut Out) -> Result<()>
where
    E: EntityTrait,
    E::Model: Serialize + Sync,
{
    let name = E::default().table_name();
    let attempted = || format!("back up {name}");
    let rows = count::<E>(tx).await?;
    out.line(&TableLine { table: name.to_owned(), rows })?;
    let mut from = 0;
    while from < rows {
        let page = in_order::<E>().offset(from).limit(PAGE).all(tx.reads()).await.attempted(attempted)?;
        for row in &page {
            out.line(row)?;
        }
        from += PAGE;
    }
    Ok(())
}

async fn load_table<E>(tx: &Tx, lines: &mut Lines) -> Result<()>
where
    E: EntityTrait,
    E::Model: DeserializeOwned + IntoActiveModel<E::ActiveModel> + ModelTrait<Entity = E> + FromQueryResult,
{
    let name = E::default().table_name();
    if count::<E>(tx).await? > 0 {
        return Err(StoreError::NotEmpty);
    }
    let head: TableLine = lines.next()?;
    if head.table != name {
        return Err(damaged(&lines.path, &format!("the table '{name}' is not where it should be")));
    }
    let mut left = head.rows;
    while left > 0 {
        let some = Ord::min(left, PAGE);
        let rows = (0..some).map(|_| lines.next::<E::Model>()).collect::<Result<Vec<_>>>()?;
        parts::put(tx, rows).await?;
        left -= some;
    }
    numbering::<E>(tx).await
}

/// Has PostgreSQL number new rows from the highest number on; SQLite does so by itself.
async fn numbering<E: EntityTrait>(tx: &Tx) -> Result<()> {
    let inner = tx.writes()?;
    if inner.get_database_backend() != DatabaseBackend::Postgres || !E::PrimaryKey::auto_increment() {
        return Ok(());
    }
    let name = E::default().table_name();
    let sql = format!(
        "SELECT setval(pg_get_serial_sequence('{name}', 'id'), max(id)) FROM {name} HAVING max(id) IS NOT NULL"
    );
    inner.execute_unprepared(&sql).await.attempted(|| format!("number the rows of {name}"))?;
    Ok(())
}

fn in_order<E: EntityTrait>() -> Select<E> {
    E::PrimaryKey::iter().fold(E::find(), |select, key| select.order_by_asc(key.into_column()))
}

async fn count<E: EntityTrait>(tx: &Tx) -> Result<u64> {
    let attempted = || format!("count the rows of {}", E::default().table_name());
    let query = Query::select().expr(Func::count(Expr::col(Asterisk)).cast_as("bigint")).from(E::default()).to_owned();
    let row = tx.reads().query_one(&query).await.attempted(attempted)?;
    let rows = row.map_or(Ok(0), |row| row.try_get_by_index::<i64>(0)).attempted(attempted)?;
    Ok(rows.unsigned_abs())
}

/// A file being written, line by line.
struct Out {
    file: BufWriter<File>,
    hash: Sha256,
    path: PathBuf,
}

impl Out {
    fn line(&mut self, value: &impl Serialize) -> Result<()> {
        let line = text(value)?;
        self.hash.update(&line);
        self.write(&line)
    }

    fn write(&mut self, line: &[u8]) -> Result<()> {
        self.file.write_all(line).map_err(|e| io("write the backup", &self.path, &e))
    }

    /// The checksum, and all of it on the disk.
    fn close(mut self) -> Result<()> {
        let sha256 = hex(self.hash.clone());
        self.write(&text(&Tail { sha256 })?)?;
        let flushed = self.file.flush().and_then(|()| self.file.get_ref().sync_all());
        flushed.map_err(|e| io("write the backup", &self.path, &e))
    }
}

fn text(value: &impl Serialize) -> Result<Vec<u8>> {
    let mut line = serde_json::to_vec(value).map_err(|e| StoreError::other("write a row as text", e))?;
    line.push(b'\n');
    Ok(line)
}

/// A file being read, line by line.
struct Lines {
    file: io::Lines<BufReader<File>>,
    path: PathBuf,
}

impl Lines {
    fn open(path: &Path) -> Result<Self> {
        let file = File::open(path).map_err(|e| io("read the backup", path, &e))?;
        Ok(Self { file: BufReader::new(file).lines(), path: path.to_owned() })
    }

    fn next<T: DeserializeOwned>(&mut self) -> Result<T> {
        let line = self.file.next().ok_or_else(|| damaged(&self.path, "it ends too early"))?;
        let line = line.map_err(|e| io("read the backup", &self.path, &e))?;
        serde_json::from_str(&line).map_err(|e| damaged(&self.path, &format!("a line cannot be read: {e}")))
    }
}

/// That the last line has the checksum of all before it.
fn whole(path: &Path) -> Result<()> {
    let file = File::open(path).map_err(|e| io("read the backup", path, &e))?;
    let mut file = BufReader::new(file);
    let (mut hash, mut before) = (Sha256::new(), Vec::new());
    loop {
        let mut line = Vec::new();
        file.read_until(b'\n', &mut line).map_err(|e| io("read the backup", path, &e))?;
        if line.is_empty() {
            break;
        }
        hash.update(&before);
        before = line;
    }
    match serde_json::from_slice::<Tail>(&before) {
        Ok(tail) if tail.sha256 == hex(hash) => Ok(()),
        Ok(_) => Err(damaged(path, "its checksum does not fit what is in it")),
        Err(_) => Err(damaged(path, "it has no checksum at its end: it is cut off, or no backup")),
    }
}

fn hex(hash: Sha256) -> String {
    hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect()
}

fn beside(file: &Path) -> PathBuf {
    let mut name = file.file_name().unwrap_or_default().to_owned();
    name.push(".part");
    file.with_file_name(name)
}

fn damaged(path: &Path, why: &str) -> StoreError {
    StoreError::Damaged(format!("the backup {} cannot be used: {why}; nothing was restored", path.display()))
}

fn io(attempted: &str, path: &Path, error: &io::Error) -> StoreError {
    let said = format!("while trying to {attempted} ({}): {error}", path.display());
    match error.kind() {
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
            StoreError::Full(format!("{said}; free some space, nothing was changed"))
        }
        io::ErrorKind::ReadOnlyFilesystem | io::ErrorKind::PermissionDenied => StoreError::ReadOnly(said),
        _ => StoreError::Unusable(said),
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use sea_orm::{EntityName as _, Statement};

    use super::*;

    #[tokio::test]
    async fn every_table_of_the_schema_is_in_the_backup() {
        let folder = tempfile::tempdir().unwrap();
        let url = format!("sqlite:{}", folder.path().join("workshop.db").display());
        let store = crate::Store::open(&url, &crate::Options::default()).await.unwrap();
        store.migrate().await.unwrap();
        let ask = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'";
        let ask = Statement::from_string(DatabaseBackend::Sqlite, ask);
        let rows = store.connection.query_all_raw(ask).await.unwrap();
        let mut made: BTreeSet<String> = rows.iter().map(|row| row.try_get_by_index(0).unwrap()).collect();
        assert!(made.remove("seaql_migrations"));
        let mut backed_up = BTreeSet::new();
        macro_rules! name {
            ($table:ty, $names:expr) => {
                $names.insert(<$table>::default().table_name().to_owned());
            };
        }
        every_table!(name, backed_up);
        assert_eq!(made, backed_up);
    }
}
