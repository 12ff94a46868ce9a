//! What nouns with an id of their own have in common: they are listed, read, made, replaced and removed alike.

use std::fmt::Display;

use serde::Serialize;
use store::{Record, Versioned};
use workshop::Fault;
use workshop::ids::IdFault;

use crate::http::body::{Asked, Body, Incoming};
use crate::http::paging::Page;
use crate::http::problem::Problem;
use crate::http::reply::{Answer, IfMatch, IfNoneMatch, Shown, once};
use crate::http::trail::{Altered, alter};
use crate::state::State;

/// A noun that the service lists, reads, makes, replaces and removes as a whole.
pub trait Noun: Record<Id: Display + Clone> + Clone {
    /// Its form in JSON.
    type Form: Incoming<Domain = Self> + From<Self> + Serialize;
    /// Where its list is, as `/materials`.
    const PATH: &'static str;

    /// Its id.
    fn id(&self) -> &Self::Id;

    /// An id from the path.
    ///
    /// # Errors
    /// Where the text is none.
    fn parse_id(text: &str) -> Result<Self::Id, IdFault>;

    /// Its place.
    fn location(&self) -> String {
        format!("{}/{}", Self::PATH, self.id())
    }
}

/// A noun's form with its ETag.
///
/// # Errors
/// Where the form cannot be written as JSON.
pub fn shown<N: Noun>(found: &Versioned<N>) -> Result<Shown, Problem> {
    Shown::new(found.version, &N::Form::from(found.value.clone()))
}

/// Reads an id from the path.
///
/// # Errors
/// 400 where it is none.
pub fn id_of<N: Noun>(text: &str) -> Result<N::Id, Problem> {
    N::parse_id(text).map_err(|fault| Problem::bad_request(vec![Fault::at("/path/id", fault.to_string())]))
}

/// A page of all of a noun.
///
/// # Errors
/// Those of the database, and a cursor that is none.
pub async fn list<N: Noun>(state: &State, page: &Page) -> Answer {
    let after = page.after(|text| N::parse_id(text).ok())?;
    let tx = state.store.read().await?;
    let found = N::page(&tx, after.as_ref(), page.limit_and_one()).await?;
    tx.rollback().await?;
    page.reply(N::PATH, &[], found, |v| v.value.id().to_string(), |v| N::Form::from(v.value))
}

/// One.
///
/// # Errors
/// 404 where there is none; those of the database.
pub async fn read<N: Noun>(state: &State, id: &str, known: &IfNoneMatch) -> Answer {
    let id = id_of::<N>(id)?;
    let tx = state.store.read().await?;
    let found = N::find(&tx, &id).await?;
    tx.rollback().await?;
    let found = found.ok_or_else(|| Problem::not_found(N::NOUN, &id))?;
    Ok(shown(&found)?.reply_unless_known(known))
}

/// A new one.
///
/// # Errors
/// 409 where its id is taken, 422 with what it refers to and is not there; those of the database.
pub async fn create<N: Noun>(state: &State, body: &Body<N::Form>) -> Answer {
    once(state, &body.asked, async |tx| {
        let made = N::insert(tx, &body.value).await?;
        Ok(shown(&made)?.reply().created_at(made.value.location()))
    })
    .await
}

/// Another in the place of the one there is.
///
/// # Errors
/// 404, 412, 428; 422 where the body has another id than the path, or refers to what is not there; those of the database.
pub async fn replace<N: Noun>(state: &State, id: &str, seen: &IfMatch, body: &Body<N::Form>) -> Answer {
    let id = id_of::<N>(id)?;
    same_id(&id.to_string(), &body.value.id().to_string())?;
    alter(state, &body.asked, async |tx| {
        let current = N::find(tx, &id).await?.ok_or_else(|| Problem::not_found(N::NOUN, &id))?;
        let before = shown(&current)?;
        seen.agrees(&before)?;
        let changed = N::replace(tx, &body.value, current.version).await?;
        Ok(Altered::put(Some(before), &shown(&changed)?))
    })
    .await
}

/// The id in the body is that in the path.
///
/// # Errors
/// 422 where it is not.
pub fn same_id(in_path: &str, in_body: &str) -> Result<(), Problem> {
    if in_path == in_body {
        return Ok(());
    }
    let detail =
        format!("'{in_body}' is not the id in the path, '{in_path}': an id never changes; make a new one instead");
    Err(Problem::faulty(vec![Fault::at("/id", detail)]))
}

/// Takes one away.
///
/// # Errors
/// 404, 409 where something refers to it, 412, 428; those of the database.
pub async fn remove<N: Noun>(state: &State, id: &str, seen: &IfMatch, asked: &Asked) -> Answer {
    let id = id_of::<N>(id)?;
    alter(state, asked, async |tx| {
        let current = N::find(tx, &id).await?.ok_or_else(|| Problem::not_found(N::NOUN, &id))?;
        let before = shown(&current)?;
        seen.agrees(&before)?;
        N::remove(tx, &id, current.version).await?;
        Ok(Altered::removed(before.form().clone()))
    })
    .await
}

/// The five operations of a noun, with their documentation.
macro_rules! noun_operations {
    (
        noun: $noun:ty, form: $form:ty, one: $one:literal, many: $many:literal, list: $list:literal, item: $item:literal $(,)?
    ) => {
        use crate::http::body::{Asked, Body};
        use crate::http::paging::Page;
        use crate::http::reply::{Answer, IfMatch, IfNoneMatch};
        use crate::resources::nouns;
        use crate::state::State;
        use actix_web::web::{Data, Path, Query};
        use actix_web::{delete, get, post, put};
        use utoipa_actix_web::service_config::ServiceConfig;

        #[utoipa::path(
            tag = $many, summary = concat!("List ", $many), description = "In the order of their ids, in pages.", params(Page),
            responses((status = 200, description = "A page of them", body = Vec<$form>, headers(("Link" = String, description = "first and next page"))))
        )]
        #[get($list)]
        async fn list(state: Data<State>, page: Query<Page>) -> Answer {
            nouns::list::<$noun>(&state, &page).await
        }

        #[utoipa::path(
            tag = $many, summary = concat!("Read a ", $one), description = "Its ETag is what a change has to name.",
            params(("id" = inline(crate::wire::Id), Path, description = "Its id")),
            responses((status = 200, description = "The one named", body = $form, headers(("ETag" = String, description = "its version"))))
        )]
        #[get($item)]
        async fn read(state: Data<State>, id: Path<String>, known: IfNoneMatch) -> Answer {
            nouns::read::<$noun>(&state, &id, &known).await
        }

        #[utoipa::path(
            tag = $many, summary = concat!("Make a ", $one), description = "All faults of the body are listed at once.",
            request_body = $form,
            responses((status = 201, description = "It is made", body = $form, headers(("ETag" = String, description = "its version"), ("Location" = String, description = "its path"))))
        )]
        #[post($list)]
        async fn create(state: Data<State>, body: Body<$form>) -> Answer {
            nouns::create::<$noun>(&state, &body).await
        }

        #[utoipa::path(
            tag = $many, summary = concat!("Replace a ", $one), description = "The whole of it, under the same id.",
            params(("id" = inline(crate::wire::Id), Path, description = "Its id")), request_body = $form,
            responses((status = 200, description = "It is replaced", body = $form, headers(("ETag" = String, description = "its version"))))
        )]
        #[put($item)]
        async fn replace(state: Data<State>, id: Path<String>, seen: IfMatch, body: Body<$form>) -> Answer {
            nouns::replace::<$noun>(&state, &id, &seen, &body).await
        }

        #[utoipa::path(
            tag = $many, summary = concat!("Remove a ", $one), description = "Only where nothing refers to it.",
            params(("id" = inline(crate::wire::Id), Path, description = "Its id")),
            responses((status = 204, description = "It is gone"))
        )]
        #[delete($item)]
        async fn remove(state: Data<State>, id: Path<String>, seen: IfMatch, asked: Asked) -> Answer {
            nouns::remove::<$noun>(&state, &id, &seen, &asked).await
        }

        /// Adds the operations to the service and its document.
        pub fn configure(service: &mut ServiceConfig) {
            service.service(list).service(create).service(read).service(replace).service(remove);
        }
    };
}
pub(crate) use noun_operations;

/// What ties a noun to its form, its path and its id.
macro_rules! noun {
    ($noun:ty, form: $form:ty, id: $id:ty, list: $list:literal) => {
        impl crate::resources::nouns::Noun for $noun {
            type Form = $form;
            const PATH: &'static str = $list;

            fn id(&self) -> &$id {
                &self.id
            }

            fn parse_id(text: &str) -> Result<$id, workshop::ids::IdFault> {
                <$id>::parse(text)
            }
        }
    };
}
pub(crate) use noun;
