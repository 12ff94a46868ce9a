//! Lists in pages: a cursor after which to go on, a limit, and the way to the next page in the `Link` header (RFC 8288).

use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};
use serde::{Deserialize, Serialize};
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
