//! Access tokens, kept only as hashes.

use std::fmt;

use chrono::{DateTime, Utc};
use sea_orm::sea_query::SimpleExpr;
use sea_orm::{
    ActiveModelTrait as _, ActiveValue, ColumnTrait as _, EntityTrait as _, IntoActiveModel as _, QueryFilter as _,
    QueryOrder as _,
};

use crate::classify::Attempted as _;
use crate::error::{Result, StoreError};
use crate::table::table;
use crate::tx::{Asked, Tx};
use crate::words::{Word, moment, strange};

table!(access_token, "access_token", {
    #[sea_orm(primary_key)]
    id: i64,
    name: String,
    role: String,
    hash: Vec<u8>,
    made_at: DateTimeUtc,
    revoked_at: Option<DateTimeUtc>,
    expires_at: Option<DateTimeUtc>,
});

const NOUN: &str = "token";

/// What a token is known by; not the token.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TokenId(i64);

impl TokenId {
    /// From its number.
    pub const fn new(number: i64) -> Self {
        Self(number)
    }

    /// The number.
    pub const fn get(self) -> i64 {
        self.0
    }
}

impl fmt::Display for TokenId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

/// What a token lets its bearer do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Role {
    /// Everything.
    Office,
    /// Read all; tickets, stages and stock.
    Bench,
    /// Read.
    Reader,
}

impl Word for Role {
    fn word(&self) -> String {
        match self {
            Role::Office => "office",
            Role::Bench => "bench",
            Role::Reader => "reader",
        }
        .to_owned()
    }

    fn of(word: &str) -> Result<Self> {
        [Role::Office, Role::Bench, Role::Reader]
            .into_iter()
            .find(|role| role.word() == word)
            .ok_or_else(|| strange("role", word))
    }
}

/// A token, without what is secret.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Token {
    /// What it is known by.
    pub id: TokenId,
    /// Who or what bears it.
    pub name: String,
    /// What it lets them do.
    pub role: Role,
    /// When it was made.
    pub made_at: DateTime<Utc>,
    /// When it was revoked.
    pub revoked_at: Option<DateTime<Utc>>,
    /// From when on it lets no one in.
    pub expires_at: Option<DateTime<Utc>>,
}

/// Keeps a new token, without an end where none is given. [`StoreError::Exists`] where one of that name has not been revoked.
pub async fn insert(
    tx: &Tx,
    name: &str,
    role: Role,
    hash: &[u8],
    at: DateTime<Utc>,
    expires_at: Option<DateTime<Utc>>,
) -> Result<TokenId> {
    tx.writes()?;
    if list(tx).await?.iter().any(|t| t.name == name && t.revoked_at.is_none()) {
        return Err(StoreError::Exists { noun: NOUN, id: name.to_owned() });
    }
    let row = access_token::ActiveModel {
        id: ActiveValue::NotSet,
        name: ActiveValue::Set(name.to_owned()),
        role: ActiveValue::Set(role.word()),
        hash: ActiveValue::Set(hash.to_vec()),
        made_at: ActiveValue::Set(moment(at)),
        revoked_at: ActiveValue::Set(None),
        expires_at: ActiveValue::Set(expires_at.map(moment)),
    };
    let written =
        access_token::Entity::insert(row).exec(tx.writes()?).await.attempted(|| "write a token".to_owned())?;
    Ok(TokenId(written.last_insert_id))
}

/// All of them, revoked ones too, by number.
pub async fn list(tx: &Tx) -> Result<Vec<Token>> {
    let rows = access_token::Entity::find()
        .order_by_asc(access_token::Column::Id)
        .all(tx.reads())
        .await
        .attempted(|| "read the tokens".to_owned())?;
    rows.into_iter().map(value).collect()
}

/// Lets a token in no more. Revoking it again changes nothing.
pub async fn revoke(tx: &Tx, id: TokenId, at: DateTime<Utc>) -> Result<()> {
    let mut row = access_token::Entity::find_by_id(id.0)
        .one(tx.reads())
        .await
        .attempted(|| format!("read token {id}"))?
        .ok_or_else(|| StoreError::not_found(NOUN, id))?;
    row.revoked_at = row.revoked_at.or(Some(moment(at)));
    let active = row.into_active_model().reset_all();
    active.update(tx.writes()?).await.attempted(|| format!("revoke token {id}"))?;
    Ok(())
}

/// Whose token has this hash, unless it has been revoked or has expired.
pub async fn find_by_hash(
    asked: &impl Asked,
    hash: &[u8],
    now: DateTime<Utc>,
) -> Result<Option<(TokenId, String, Role)>> {
    in_force(asked, access_token::Column::Hash.eq(hash.to_vec()), now).await
}

/// Whose token this is, unless it has been revoked or has expired.
pub async fn find(tx: &Tx, id: TokenId, now: DateTime<Utc>) -> Result<Option<(TokenId, String, Role)>> {
    in_force(tx, access_token::Column::Id.eq(id.0), now).await
}

async fn in_force(
    asked: &impl Asked,
    which: SimpleExpr,
    now: DateTime<Utc>,
) -> Result<Option<(TokenId, String, Role)>> {
    let row = access_token::Entity::find()
        .filter(which)
        .filter(access_token::Column::RevokedAt.is_null())
        .one(asked.asked())
        .await
        .attempted(|| "look a token up".to_owned())?;
    let Some(row) = row else { return Ok(None) };
    let token = value(row)?;
    if token.expires_at.is_some_and(|end| end <= now) {
        return Ok(None);
    }
    Ok(Some((token.id, token.name, token.role)))
}

/// Whether there is any. One that has expired counts: an end that passes must not open the service to everyone.
pub async fn any(asked: &impl Asked) -> Result<bool> {
    let row = access_token::Entity::find()
        .filter(access_token::Column::RevokedAt.is_null())
        .one(asked.asked())
        .await
        .attempted(|| "see whether there are tokens".to_owned())?;
    Ok(row.is_some())
}

fn value(row: access_token::Model) -> Result<Token> {
    Ok(Token {
        id: TokenId(row.id),
        role: Role::of(&row.role)?,
        name: row.name,
        made_at: row.made_at,
        revoked_at: row.revoked_at,
        expires_at: row.expires_at,
    })
}
