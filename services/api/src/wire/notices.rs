//! Forms of notices and web hooks.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use workshop::Fault;
use workshop::notices as domain;

use super::basics::words;
use crate::http::body::Incoming;

words!(
    /// What happened.
    NoticeKind for domain::Kind {
        /// Another plan came in force; the subject is its run.
        PlanInForce,
        /// A day's tickets were issued; the subject is the day.
        TicketsIssued,
        /// An order will be late that was not before; the subject is the order.
        OrderLate,
        /// A material keeps panels from being poured that did not before; the subject is the material.
        MaterialShort,
    }
);

/// Something that happened. A web hook gets the same.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "id": 17, "at": "2026-05-04T06:00:02Z", "kind": "order_late", "subject": "TH-1042",
    "sentence": "TH-1042 is 3 days late: all side moulds are taken until 2026-05-20.",
}))]
pub struct Event {
    /// Its number; later ones have greater ones.
    pub id: i64,
    /// When it was written.
    pub at: DateTime<Utc>,
    /// What happened.
    pub kind: NoticeKind,
    /// To what: a run, a day, an order or a material.
    pub subject: String,
    /// The same in plain words.
    pub sentence: String,
}

impl From<domain::Notice> for Event {
    fn from(notice: domain::Notice) -> Self {
        let domain::Notice { id, at, said } = notice;
        Self { id, at, kind: said.kind.into(), subject: said.subject, sentence: said.sentence }
    }
}

/// A web hook to be made.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "name": "phone of the yard", "url": "https://listener.example/mouldboard", "kinds": ["order_late", "material_short"] }))]
pub struct GivenWebHook {
    /// What listens there.
    #[schema(min_length = 1, max_length = 200)]
    pub name: String,
    /// Where notices are sent to, by POST.
    #[schema(min_length = 1, max_length = 2000)]
    pub url: String,
    /// Of what it is told.
    #[schema(min_items = 1, max_items = 4)]
    pub kinds: Vec<NoticeKind>,
}

impl Incoming for GivenWebHook {
    type Domain = Self;

    fn into_domain(self) -> Result<Self, Vec<Fault>> {
        if self.name.trim().is_empty() {
            return Err(vec![Fault::at("/name", "is empty: say what listens there")]);
        }
        Ok(self)
    }
}

/// A web hook, without its secret.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "id": 1, "name": "phone of the yard", "url": "https://listener.example/mouldboard", "kinds": ["order_late", "material_short"],
    "made_at": "2026-05-04T08:00:00Z", "waiting": 0, "set_aside": 0,
}))]
pub struct WebHook {
    /// Its number.
    pub id: i64,
    /// What listens there.
    pub name: String,
    /// Where notices are sent to.
    pub url: String,
    /// Of what it is told.
    pub kinds: Vec<NoticeKind>,
    /// When it was made.
    pub made_at: DateTime<Utc>,
    /// Notices still to be sent, or sent once more later.
    pub waiting: i64,
    /// Notices given up after many attempts; they are among the jobs set aside, and a person may have them tried again.
    pub set_aside: i64,
}

/// What the trail of changes tells of a web hook. The path of its address stays out of it: many listeners keep a secret there.
#[derive(Clone, Debug, Serialize)]
pub struct ToldWebHook {
    name: String,
    host: String,
    kinds: Vec<NoticeKind>,
}

impl From<&store::web_hooks::WebHook> for ToldWebHook {
    fn from(hook: &store::web_hooks::WebHook) -> Self {
        let host = hook.url.split("://").nth(1).and_then(|rest| rest.split(['/', '?', '#']).next());
        let kinds = hook.kinds.iter().copied().map(Into::into).collect();
        Self { name: hook.name.clone(), host: host.unwrap_or_default().to_owned(), kinds }
    }
}

/// A new web hook, with its secret this one time.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({ "id": 1, "name": "phone of the yard", "secret": "mw_…" }))]
pub struct MadeWebHook {
    /// Its number.
    pub id: i64,
    /// What listens there.
    pub name: String,
    /// What messages are signed with: the header Mouldboard-Signature is `sha256=` and the HMAC-SHA256 of the seconds in
    /// Mouldboard-Time, a point and the body. It is shown this one time.
    pub secret: String,
}
