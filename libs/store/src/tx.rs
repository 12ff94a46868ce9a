//! Transactions.

use chrono::{DateTime, Utc};
use sea_orm::{ConnectionTrait, DatabaseTransaction};
use tokio::sync::OwnedSemaphorePermit;

use crate::classify::Attempted as _;
use crate::error::{Result, StoreError};
use crate::store::{Clock, Store};

/// What can be asked a question: a transaction, or the store itself where one statement is all there is to ask and a
/// transaction around it would only be waited for.
pub trait Asked: Sync {
    /// For queries.
    #[doc(hidden)]
    fn asked(&self) -> &impl ConnectionTrait;
}

impl Asked for Tx {
    fn asked(&self) -> &impl ConnectionTrait {
        &self.inner
    }
}

impl Asked for Store {
    fn asked(&self) -> &impl ConnectionTrait {
        &self.connection
    }
}

/// One transaction. Dropped without [`Tx::commit`], it is as if it had never been.
pub struct Tx {
    inner: DatabaseTransaction,
    /// Held by a writer until it ends, so that writers of one process queue in order of arrival and not at the database.
    writer: Option<OwnedSemaphorePermit>,
    clock: Clock,
    /// Under whose name it writes.
    by: Option<String>,
}

impl Tx {
    pub(crate) fn reading(inner: DatabaseTransaction, clock: Clock) -> Self {
        Self { inner, writer: None, clock, by: None }
    }

    pub(crate) fn writing(inner: DatabaseTransaction, turn: OwnedSemaphorePermit, clock: Clock) -> Self {
        Self { inner, writer: Some(turn), clock, by: None }
    }

    /// The same, writing under the name of whoever asked for it, where there is one.
    #[must_use]
    pub fn under(self, name: Option<String>) -> Self {
        Self { by: name, ..self }
    }

    /// Under whose name it writes.
    pub(crate) fn by(&self) -> Option<String> {
        self.by.clone()
    }

    /// Now, by the clock of the store.
    pub(crate) fn now(&self) -> DateTime<Utc> {
        (self.clock)()
    }

    /// For queries.
    pub(crate) fn reads(&self) -> &DatabaseTransaction {
        &self.inner
    }

    /// For changes; refused on a transaction that was opened to read.
    pub(crate) fn writes(&self) -> Result<&DatabaseTransaction> {
        match self.writer {
            Some(_) => Ok(&self.inner),
            None => Err(StoreError::ReadOnly("this transaction was opened to read: open one to write".to_owned())),
        }
    }

    /// Keeps all of it.
    pub async fn commit(self) -> Result<()> {
        self.inner.commit().await.attempted(|| "keep the changes".to_owned())
    }

    /// Keeps nothing of it.
    pub async fn rollback(self) -> Result<()> {
        self.inner.rollback().await.attempted(|| "take the changes back".to_owned())
    }
}
