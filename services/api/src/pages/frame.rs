//! The document around every page: its head, the way to the other pages, and what is said when one cannot be shown.

use actix_web::http::header;
use actix_web::{HttpResponse, ResponseError};
use chrono::NaiveDate as Day;
use maud::{DOCTYPE, Markup, html};
use store::Tx;
use workshop::site::Workshop;

use super::look::{SCRIPT_PATH, SIGN_PATH, STYLE_PATH};
use super::names::Names;
use super::said::Said;
use super::visit::Visit;
use super::words::frame as words;
use super::writing::Written;
use crate::http::problem::{Kind, Problem};
use crate::http::reply::Reply;

/// Where a page stands among the others.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// The bench's day.
    Today,
    /// The month.
    Plan,
    /// What customers want.
    Orders,
    /// What is poured.
    Mixes,
    /// What is on hand and how long it lasts.
    Stock,
    /// The workshop itself.
    Workshop,
}

impl Place {
    const ALL: [(Place, &'static str, &'static str); 6] = [
        (Place::Today, "/", words::TODAY),
        (Place::Plan, "/pages/plan", words::PLAN),
        (Place::Orders, "/pages/orders", words::ORDERS),
        (Place::Mixes, "/pages/mixes", words::MIXES),
        (Place::Stock, "/pages/stock", words::STOCK),
        (Place::Workshop, "/pages/workshop", words::WORKSHOP),
    ];
}

/// What every page needs to be written.
pub struct Frame {
    /// The workshop, once one is recorded.
    pub workshop: Option<Workshop>,
    /// Its local day.
    pub today: Day,
    /// Its ways of saying things.
    pub said: Said,
    /// What things are called.
    pub names: Names,
    /// Who is signed in; none where nobody has to.
    pub by: Option<String>,
}

impl Frame {
    /// Reads it.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn read(visit: &Visit, tx: &Tx) -> Result<Self, Problem> {
        let workshop = store::site::get(tx).await?.map(|found| found.value);
        let (today, names) = (visit.today(tx).await?, Names::read(tx).await?);
        Ok(Self { today, said: Said::of(workshop.as_ref()), names, workshop, by: visit.by().map(str::to_owned) })
    }

    /// A sentence of the planner as people here say it.
    pub fn spoken(&self, sentence: &str) -> String {
        self.names.spoken(*self.said, sentence)
    }

    /// The whole page.
    pub fn page(&self, here: Place, title: &str, main: Markup) -> Reply {
        let workshop = self.workshop.as_ref().map(|w| w.name.as_str());
        let day = self.said.day_in_full(self.today);
        let text = document(
            title,
            Some((*self.said, self.today)),
            self.by.as_deref(),
            html! {
                header.top {
                    p.whose { strong { (words::OURS) } @if let Some(name) = workshop { " " span { (name) } } }
                    nav aria-label=(words::PAGES) {
                        ul {
                            @for (place, path, name) in Place::ALL {
                                li { a href=(path) aria-current=[(place == here).then_some("page")] { (name) } }
                            }
                        }
                    }
                    p.day { (words::it_is(&html! { time datetime=(self.today) { (day) } })) @if let Some(by) = &self.by { span.no-print { " · " (by) } } }
                }
                div #kept hidden role="status" {}
                main { h1 { (title) } (main) }
                footer.bottom {
                    @if let Some(by) = &self.by { form.no-print method="post" action="/pages/session/end" { p { (words::signed_in(by)) } button.slight { (words::SIGN_OUT) } } }
                    p { a href="/docs/" { (words::FOR_PROGRAMS) } }
                    p.quiet { (words::WHAT_DECIDES) }
                }
            },
        );
        guarded(Reply::html(text))
    }
}

fn document(title: &str, shown: Option<(Written, Day)>, by: Option<&str>, body: Markup) -> String {
    let written = shown.map(|(written, _)| written);
    html! {
        (DOCTYPE)
        html lang=(words::LANGUAGE) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (words::title(title)) }
                link rel="icon" type="image/svg+xml" href=(SIGN_PATH);
                link rel="stylesheet" href=(STYLE_PATH);
                script src=(SCRIPT_PATH) defer {}
            }
            body data-by=[by] data-day=[shown.map(|(_, day)| day)] data-zone=[shown.map(|(written, _)| written.zone_name())] data-dates=[written.map(|w| w.dates_word())] data-decimals=[written.map(|w| w.decimals_word())] { (body) }
        }
    }
    .into_string()
}

/// What a page may do: nothing from elsewhere, and nothing written into it is run.
const POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'";

fn guarded(reply: Reply) -> Reply {
    reply
        .with_header("Content-Security-Policy", POLICY)
        .with_header("Referrer-Policy", "same-origin")
        .with_header("X-Content-Type-Options", "nosniff")
        .with_header("Cache-Control", "no-store")
}

/// What a person sees where a page cannot be shown; with the way in, where a token is needed.
pub fn problem_page(problem: &Problem) -> HttpResponse {
    let (_, _, title) = problem.kind().row();
    let sign_in = problem.kind() == Kind::TokenNeeded;
    let title = if sign_in { words::SIGN_IN } else { title };
    let text = document(
        title,
        None,
        None,
        html! {
            header.top {
                p.whose { strong { (words::OURS) } }
                nav aria-label=(words::PAGES) { ul { li { a href="/" { (words::TODAY) } } } }
            }
            main {
                h1 { (title) }
                @if sign_in {
                    p { (words::token_needed("mouldboard token make")) }
                    form.card method="post" action="/pages/session" {
                        // Unnamed, so it is not sent: a browser keeps the token under it.
                        input hidden autocomplete="username" value="mouldboard";
                        label { (words::YOUR_TOKEN) input name="token" type="password" autocomplete="current-password" required maxlength="200"; }
                        button { (words::SIGN_IN) }
                        p.quiet { (words::SIGNED_IN_FOR) }
                    }
                } @else {
                    p { (problem.detail()) }
                    @if !problem.errors().is_empty() { ul { @for fault in problem.errors() { li { (fault.detail) } } } }
                    p { (problem.kind().advice()) }
                }
            }
        },
    );
    // The headers of the problem stay: which methods there are, when to try again.
    let mut response = problem.error_response().set_body(text).map_into_boxed_body();
    for (name, value) in [
        (header::CONTENT_TYPE, "text/html; charset=utf-8"),
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::REFERRER_POLICY, "same-origin"),
        (header::CACHE_CONTROL, "no-store"),
    ] {
        response.headers_mut().insert(name, header::HeaderValue::from_static(value));
    }
    response
}
