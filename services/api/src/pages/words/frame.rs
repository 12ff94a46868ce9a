//! The document around every page, and what is said where one cannot be shown.

use maud::{Markup, html};

/// The language of this folder, by its IETF tag.
pub const LANGUAGE: &str = "en";
/// What the service is called.
pub const OURS: &str = "Mouldboard";

/// A page's title, as a browser shows it.
pub fn title(page: &str) -> String {
    format!("{page} · {OURS}")
}

pub const PAGES: &str = "Pages";
pub const TODAY: &str = "Today";
pub const PLAN: &str = "Plan";
pub const ORDERS: &str = "Orders";
pub const MIXES: &str = "Mixes";
pub const STOCK: &str = "Stock";
pub const WORKSHOP: &str = "Workshop";

/// Which day it is.
pub fn it_is(day: &Markup) -> Markup {
    html! { "It is " (day) }
}

/// Who is signed in.
pub fn signed_in(by: &str) -> Markup {
    html! { "Signed in on this device: " strong { (by) } }
}

pub const SIGN_OUT: &str = "Sign out on this device";
pub const FOR_PROGRAMS: &str = "For programs: the contract, with examples";
pub const WHAT_DECIDES: &str = "Cautions on tickets and pages do not replace the makers' data sheets, local codes or licensed practice, which decide.";
pub const SIGN_IN: &str = "Sign in";

/// Who is shown the pages, and by which command a token is made.
pub fn token_needed(command: &str) -> Markup {
    html! { "This workshop's pages are shown to whoever has a token. The office makes one with " code { (command) } "." }
}

pub const YOUR_TOKEN: &str = "Your token";
// The two weeks are those of the session's cookie.
pub const SIGNED_IN_FOR: &str =
    "This browser then stays signed in for two weeks. Sign out on a tablet that leaves the workshop.";
pub const TOKEN_UNKNOWN: &str = "This token is not known here, has expired or was revoked.";
