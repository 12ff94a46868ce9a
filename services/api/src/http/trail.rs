//! The trail of changes: what a request changed goes into it in the request's own transaction, under the name it came with.
//!
//! A thing goes by its path there: the first part says what kind of thing it is, the rest which of them.

use std::collections::BTreeSet;

use serde_json::{Map, Value};
use store::Tx;
use workshop::trail::{FieldChange, NewChange};

use super::body::Asked;
use super::problem::Problem;
use super::reply::{Answer, Reply, Shown};
use crate::state::State;

/// A change of one thing, and the answer to whoever made it.
pub struct Altered {
    reply: Reply,
    /// Where it is, where that is not the path of the request.
    place: Option<String>,
    before: Value,
    after: Value,
}

impl Altered {
    /// Something put in the place of what was there, or where nothing was.
    pub fn put(before: Option<Shown>, after: &Shown) -> Self {
        let before = before.map_or(Value::Null, |shown| shown.form().clone());
        Self { reply: after.reply(), place: None, before, after: after.form().clone() }
    }

    /// One thing in the place of another.
    pub fn of(reply: Reply, before: Value, after: Value) -> Self {
        Self { reply, place: None, before, after }
    }

    /// Something made that lies at `place`; `form` is what may be told of it.
    pub fn made(reply: Reply, place: String, form: Value) -> Self {
        Self { reply, place: Some(place), before: Value::Null, after: form }
    }

    /// Something taken away.
    pub fn removed(form: Value) -> Self {
        Self { reply: Reply::done(), place: None, before: form, after: Value::Null }
    }
}

/// Does `act` in one transaction, and keeps in the trail what it changed.
///
/// # Errors
/// Those of `act`, pointing into the body; those of the database.
pub async fn alter<F>(state: &State, asked: &Asked, act: F) -> Answer
where
    F: AsyncFnOnce(&Tx) -> Result<Altered, Problem>,
{
    let tx = state.store.write().await?.under(asked.by.clone());
    let altered = act(&tx).await.map_err(|problem| asked.point(problem))?;
    if altered.before != altered.after {
        let place = altered.place.as_deref().unwrap_or_else(|| asked.path());
        store::trail::add(&tx, &[change(place, &altered.before, &altered.after)]).await?;
    }
    tx.commit().await?;
    Ok(altered.reply)
}

/// A change of what lies at `place`, which was `before` and is `after`; null where there was or is nothing.
pub fn change(place: &str, before: &Value, after: &Value) -> NewChange {
    let act = match (before, after) {
        (Value::Null, _) => "made",
        (_, Value::Null) => "removed",
        _ => "changed",
    };
    let (kind, id) = kind_and_id(place);
    NewChange { kind: kind.to_owned(), id: id.to_owned(), act: act.to_owned(), fields: fields(before, after) }
}

/// What a request made, by its answer, or did, by its path and what was sent.
pub fn done(asked: &Asked, made_at: Option<&str>, answered: &Value) -> NewChange {
    if let Some(place) = made_at {
        return change(place, &Value::Null, answered);
    }
    let (kind, rest) = kind_and_id(asked.path());
    // "TH-1042/dispatch" is an act on TH-1042, "import" one on the whole list.
    let (id, act) = rest.split_once('/').unwrap_or(("", rest));
    NewChange {
        kind: kind.to_owned(),
        id: id.to_owned(),
        act: if act.is_empty() { "asked" } else { act }.to_owned(),
        fields: members(&Value::Null, asked.sent()),
    }
}

/// `/orders/TH-1042` is TH-1042 of the orders.
fn kind_and_id(place: &str) -> (&str, &str) {
    let place = place.trim_start_matches('/');
    place.split_once('/').unwrap_or((place, ""))
}

/// Two forms: the members that differ, by name, or the whole of the one where there is no other.
fn fields(before: &Value, after: &Value) -> Vec<FieldChange> {
    let whole = |form: &Value| (!form.is_null()).then(|| form.to_string());
    if before.is_null() != after.is_null() {
        return vec![FieldChange { field: String::new(), before: whole(before), after: whole(after) }];
    }
    members(before, after)
}

/// The members that differ, by name.
fn members(before: &Value, after: &Value) -> Vec<FieldChange> {
    let none = Map::new();
    let (before, after) = (before.as_object().unwrap_or(&none), after.as_object().unwrap_or(&none));
    let names: BTreeSet<&String> = before.keys().chain(after.keys()).collect();
    let differing = names.into_iter().filter(|name| before.get(*name) != after.get(*name));
    let text = |form: &Map<String, Value>, name: &String| form.get(name).map(Value::to_string);
    differing
        .map(|name| FieldChange { field: name.clone(), before: text(before, name), after: text(after, name) })
        .collect()
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    fn told(change: &NewChange) -> (&str, &str, &str) {
        (&change.kind, &change.id, &change.act)
    }

    #[test]
    fn a_change_names_what_differs_and_nothing_else() {
        let (before, after) = (json!({ "a": 1, "b": [1, 2], "c": "x" }), json!({ "a": 1, "b": [1], "d": null }));
        let changed = change("/mixes/plain/revisions/2", &before, &after);
        assert_eq!(told(&changed), ("mixes", "plain/revisions/2", "changed"));
        let field = |field: &str, before: Option<&str>, after: Option<&str>| FieldChange {
            field: field.to_owned(),
            before: before.map(str::to_owned),
            after: after.map(str::to_owned),
        };
        let differing =
            [field("b", Some("[1,2]"), Some("[1]")), field("c", Some("\"x\""), None), field("d", None, Some("null"))];
        assert_eq!(changed.fields, differing);
        assert_eq!(told(&change("/workshop", &Value::Null, &after)), ("workshop", "", "made"));
        assert_eq!(told(&change("/pins/3", &before, &Value::Null)), ("pins", "3", "removed"));
    }
}
