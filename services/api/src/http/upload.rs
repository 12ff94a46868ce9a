//! Bodies that are files: CSV or XLSX, within a limit of their own.

use std::future::Future;
use std::pin::Pin;

use actix_web::dev::Payload;
use actix_web::http::header;
use actix_web::web::Bytes;
use actix_web::{FromRequest, HttpRequest};
use feeds::intake::Format;
use feeds::intake::sheet::MOST_BYTES;

use super::body::{Asked, read_up_to};
use super::problem::Problem;
use super::pull::XLSX;

/// A file.
pub struct Upload {
    /// All of it.
    pub bytes: Bytes,
    /// What it is.
    pub format: Format,
    /// What was asked.
    pub asked: Asked,
}

impl FromRequest for Upload {
    type Error = Problem;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Problem>>>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let (request, payload) = (request.clone(), payload.take());
        Box::pin(async move {
            let bytes = read_up_to(payload, MOST_BYTES).await?;
            let asked = Asked::with_file(&request, &bytes)?;
            let media = request.headers().get(header::CONTENT_TYPE).and_then(|v| v.to_str().ok()).unwrap_or_default();
            let is_book = media.split(';').next().is_some_and(|media| media.trim().eq_ignore_ascii_case(XLSX));
            let format = if is_book { Format::Xlsx } else { Format::Csv };
            Ok(Self { bytes, format, asked })
        })
    }
}
