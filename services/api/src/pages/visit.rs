//! A request for a page: the service's state, and who is signed in.

use std::future::{Ready, ready};
use std::ops::Deref;

use actix_web::dev::Payload;
use actix_web::web::Data;
use actix_web::{FromRequest, HttpMessage, HttpRequest};

use crate::http::access::Caller;
use crate::http::problem::Problem;
use crate::state::State;

/// Who asks for a page, and the state it is written from.
pub struct Visit {
    state: Data<State>,
    by: Option<String>,
}

impl Visit {
    /// The name of whose token the browser is signed in with; none where nobody has to sign in.
    pub fn by(&self) -> Option<&str> {
        self.by.as_deref()
    }
}

impl Deref for Visit {
    type Target = State;

    fn deref(&self) -> &State {
        &self.state
    }
}

impl FromRequest for Visit {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let by = request.extensions().get::<Caller>().map(|Caller(name)| name.clone());
        let state = request.app_data::<Data<State>>().cloned();
        ready(state.map(|state| Self { state, by }).ok_or_else(|| Problem::internal("a page has no state")))
    }
}
