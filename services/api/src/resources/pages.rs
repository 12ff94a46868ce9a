//! The pages of the problems, and the document itself.

use actix_web::get;
use actix_web::web::Path;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::http::document::DOCUMENT;
use crate::http::problem::{Kind, Problem};
use crate::http::reply::{Answer, Reply};

#[utoipa::path(
    tag = "pages", summary = "What a kind of problem means", description = "The page that a problem's type points to.",
    security(()), params(("name" = String, Path, description = "The kind's name, as faulty")),
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/problems/{name}")]
async fn problem(name: Path<String>) -> Answer {
    let kind = Kind::ALL.into_iter().find(|kind| kind.row().0 == name.as_str());
    let kind = kind.ok_or_else(|| Problem::new(Kind::NotFound, "There is no problem of this name."))?;
    let (name, status, title) = kind.row();
    let advice = kind.advice();
    Ok(Reply::html(format!(
        "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>{title}</title></head><body>\n<h1>{title}</h1>\n<p>Status {status}, type /problems/{name}.</p>\n<p>{advice}</p>\n</body></html>\n"
    )))
}

#[utoipa::path(
    tag = "pages", summary = "The OpenAPI document as JSON", description = "What this service offers, for programs.",
    security(()), responses((status = 200, description = "The document", body = serde_json::Value, content_type = "application/json", example = json!({ "openapi": "3.1.0" })))
)]
#[get("/openapi.json")]
async fn openapi_json() -> Answer {
    Ok(Reply::of_value(&DOCUMENT.json))
}

#[utoipa::path(
    tag = "pages", summary = "The OpenAPI document as YAML", description = "The same as the one kept with the source.",
    security(()), responses((status = 200, description = "The document", body = serde_json::Value, content_type = "application/yaml", example = json!({ "openapi": "3.1.0" })))
)]
#[get("/openapi.yaml")]
async fn openapi_yaml() -> Answer {
    let text = DOCUMENT.yaml().map_err(Problem::internal)?;
    Ok(Reply::text(text, "application/yaml"))
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(problem).service(openapi_json).service(openapi_yaml);
}
