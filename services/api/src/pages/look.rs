//! What pages look like, their sign, and the script that sends their entries: files inside this program.

use actix_web::get;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::http::reply::{Answer, Reply};

/// Where the style is.
pub const STYLE_PATH: &str = "/pages/look/pages.css";
/// Where the script is.
pub const SCRIPT_PATH: &str = "/pages/look/pages.js";

/// Where the pages' sign is.
pub const SIGN_PATH: &str = "/pages/look/sign.svg";

const STYLE: &str = include_str!("look/pages.css");
const SCRIPT: &str = concat!(include_str!("words/script.js"), include_str!("look/pages.js"));
const SIGN: &str = include_str!("look/sign.svg");

#[utoipa::path(
    tag = "pages", summary = "The look of the pages", description = "A style sheet; nothing of it comes from elsewhere.",
    security(()), responses((status = 200, description = "The style sheet", body = String, content_type = "text/css", example = "body { margin: 0 }"))
)]
#[get("/pages/look/pages.css")]
async fn style() -> Answer {
    Ok(file(STYLE, "text/css; charset=utf-8"))
}

#[utoipa::path(
    tag = "pages", summary = "The script of the pages", description = "Sends entries and keeps those that could not be sent.",
    security(()), responses((status = 200, description = "The script", body = String, content_type = "text/javascript", example = "\"use strict\";"))
)]
#[get("/pages/look/pages.js")]
async fn script() -> Answer {
    Ok(file(SCRIPT, "text/javascript; charset=utf-8"))
}

#[utoipa::path(
    tag = "pages", summary = "The sign of the pages", description = "What a browser shows beside their title.",
    security(()), responses((status = 200, description = "The sign", body = String, content_type = "image/svg+xml", example = "<svg/>"))
)]
#[get("/pages/look/sign.svg")]
async fn sign() -> Answer {
    Ok(file(SIGN, "image/svg+xml"))
}

fn file(text: &str, media_type: &str) -> Reply {
    Reply::text(text.to_owned(), media_type)
        .with_header("Cache-Control", "no-cache")
        .with_header("X-Content-Type-Options", "nosniff")
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(style).service(script).service(sign);
}
