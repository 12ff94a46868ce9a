//! Lists in pages: a cursor after which to go on, a limit, and the way to the next page in the `Link` header (RFC 8288).

use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use utoipa::IntoParams;

use super::problem::Problem;
use super::reply::{Answer, Reply};

/// Entries of a page where no limit is given.
pub const USUAL_LIMIT: u64 = 100;

/// What may stand in a query value as it is.
const PLAIN: &AsciiSet = &NON_ALPHANUMERIC.remove(b'-').remove(b'_').remove(b'.').remove(b'~');

/// Which page of a list.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct Page {
    /// Go on after this entry; taken from the `next` link of the page before.
    #[param(min_length = 1, max_length = 60, pattern = "^[A-Za-z0-9][A-Za-z0-9._@-]*$")]
    pub after: Option<String>,
    /// Most entries of the page; 100 where it is not given.
    #[param(minimum = 1, maximum = 500)]
    pub limit: Option<u64>,
}

/// Most entries a page may have.
pub const MOST: u64 = 500;

/// Which page of a list that is worked out as a whole.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct PageOfAll {
    /// Go on after this entry; taken from the `next` link of the page before.
    #[param(min_length = 1, max_length = 60, pattern = "^[A-Za-z0-9][A-Za-z0-9._@-]*$")]
    pub after: Option<String>,
    /// Most entries of the page; 500 where it is not given.
    #[param(minimum = 1, maximum = 500)]
    pub limit: Option<u64>,
}

impl PageOfAll {
    /// The page of `all` that was asked for. An entry is found again by its key.
    ///
    /// # Errors
    /// 400 where the entry to go on after is not in the list, or not any more; where a form cannot be written as JSON.
    pub fn reply<T, F: Serialize>(
        self,
        path: &str,
        filters: &[(&str, Option<String>)],
        mut all: Vec<T>,
        key: impl Fn(&T) -> String,
        form: impl Fn(T) -> F,
    ) -> Answer {
        if let Some(after) = &self.after {
            let at = all.iter().position(|entry| key(entry) == *after).ok_or_else(gone)?;
            all.drain(..=at);
        }
        Page { after: self.after, limit: self.limit.or(Some(MOST)) }.reply(path, filters, all, key, form)
    }
}

fn gone() -> Problem {
    let detail = "after is no entry of this list, or not any more: begin again without it";
    Problem::bad_request(vec![workshop::Fault::at("/query/after", detail)])
}

/// A key for an entry that nothing shorter names: of the same length whatever its parts.
pub fn key_of(parts: &[&dyn std::fmt::Display]) -> String {
    let mut hash = Sha256::new();
    parts.iter().for_each(|part| hash.update(format!("{part}\n")));
    hash.finalize().iter().take(12).map(|byte| format!("{byte:02x}")).collect()
}

impl Page {
    /// Most entries of the page.
    pub fn limit(&self) -> u64 {
        self.limit.unwrap_or(USUAL_LIMIT)
    }

    /// One more than that: whether it is there tells whether there is a next page.
    pub fn limit_and_one(&self) -> u64 {
        self.limit() + 1
    }

    /// The cursor, read by `parse`.
    ///
    /// # Errors
    /// Where it is none that this list gave.
    pub fn after<T>(&self, parse: impl FnOnce(&str) -> Option<T>) -> Result<Option<T>, Problem> {
        let Some(text) = &self.after else { return Ok(None) };
        let fault =
            || workshop::Fault::at("/query/after", "after is no cursor of this list: take it from the next link");
        parse(text).map(Some).ok_or_else(|| Problem::bad_request(vec![fault()]))
    }

    /// A page of at most `limit` of the `items` (read with one more), with links to the first and the next page.
    /// `filters` are the other query keys of the request.
    ///
    /// # Errors
    /// Where a form cannot be written as JSON.
    pub fn reply<T, F: Serialize>(
        &self,
        path: &str,
        filters: &[(&str, Option<String>)],
        mut items: Vec<T>,
        cursor: impl Fn(&T) -> String,
        form: impl Fn(T) -> F,
    ) -> Answer {
        let limit = self.limit() as usize;
        let more = items.len() > limit;
        items.truncate(limit);
        let query = |after: Option<String>| {
            let mut keys: Vec<(&str, String)> = filters.iter().filter_map(|(k, v)| Some((*k, v.clone()?))).collect();
            keys.extend(after.map(|after| ("after", after)));
            keys.push(("limit", limit.to_string()));
            let pairs = keys.iter().map(|(key, value)| format!("{key}={}", utf8_percent_encode(value, PLAIN)));
            format!("{path}?{}", pairs.collect::<Vec<_>>().join("&"))
        };
        let mut links = vec![format!("<{}>; rel=\"first\"", query(None))];
        if let Some(last) = items.last().filter(|_| more) {
            links.push(format!("<{}>; rel=\"next\"", query(Some(cursor(last)))));
        }
        let forms: Vec<F> = items.into_iter().map(form).collect();
        Ok(Reply::json(&forms)?.with_header("Link", links.join(", ")))
    }
}
