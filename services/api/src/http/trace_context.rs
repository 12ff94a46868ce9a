//! Which trace a request belongs to (W3C Trace Context, Recommendation of 23 November 2021): the caller's where it names one.

use actix_web::http::header::HeaderMap;
use uuid::Uuid;

/// The header.
pub const TRACEPARENT: &str = "traceparent";

/// One request's place in its trace.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TraceContext {
    /// The trace: 32 hexadecimal digits.
    pub trace: String,
    /// The caller's span, where it named one: 16 of them.
    pub parent: Option<String>,
    /// This request's span.
    pub span: String,
    /// The flags as they came; not recorded where there are none.
    flags: u8,
}

impl TraceContext {
    /// From the headers; a trace of its own where they name none, or name it wrongly.
    pub fn of(headers: &HeaderMap) -> Self {
        let mut given = headers.get_all(TRACEPARENT).filter_map(|value| value.to_str().ok());
        let named = match (given.next(), given.next()) {
            (Some(one), None) => read(one),
            _ => None,
        };
        let new = || Uuid::new_v4().simple().to_string();
        let span = new()[..16].to_owned();
        match named {
            Some((trace, parent, flags)) => Self { trace, parent: Some(parent), span, flags },
            None => Self { trace: new(), parent: None, span, flags: 0 },
        }
    }

    /// As it is sent on.
    pub fn header(&self) -> String {
        format!("00-{}-{}-{:02x}", self.trace, self.span, self.flags)
    }
}

/// Trace, span and flags of a header; later versions may go on after them.
fn read(header: &str) -> Option<(String, String, u8)> {
    let parts: Vec<&str> = header.trim().split('-').collect();
    let hex = |part: &str, length: usize| {
        let digits = part.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'));
        part.len() == length && digits
    };
    let [version, trace, span, flags, rest @ ..] = parts.as_slice() else { return None };
    let known = hex(version, 2) && *version != "ff" && (*version != "00" || rest.is_empty());
    let named = hex(trace, 32) && hex(span, 16) && trace.bytes().any(|b| b != b'0') && span.bytes().any(|b| b != b'0');
    if !(known && named && hex(flags, 2)) {
        return None;
    }
    Some(((*trace).to_owned(), (*span).to_owned(), u8::from_str_radix(flags, 16).ok()? & 1))
}

#[cfg(test)]
mod tests {
    use actix_web::http::header::{HeaderName, HeaderValue};

    use super::*;

    const TRACE: &str = "4bf92f3577b34da6a3ce929d0e0e4736";

    fn of(values: &[&str]) -> TraceContext {
        let mut headers = HeaderMap::new();
        for value in values {
            headers.append(HeaderName::from_static(TRACEPARENT), HeaderValue::from_str(value).unwrap());
        }
        TraceContext::of(&headers)
    }

    #[test]
    fn a_trace_goes_on_where_it_is_named_rightly() {
        let context = of(&[&format!("00-{TRACE}-00f067aa0ba902b7-01")]);
        assert_eq!((context.trace.as_str(), context.parent.as_deref()), (TRACE, Some("00f067aa0ba902b7")));
        assert!(context.header().starts_with(&format!("00-{TRACE}-")) && context.header().ends_with("-01"));
        assert_ne!(Some(context.span), context.parent);
        assert_eq!(of(&[&format!("cc-{TRACE}-00f067aa0ba902b7-01-more")]).trace, TRACE, "a later version");
    }

    #[test]
    fn a_new_one_begins_otherwise() {
        for wrong in [
            "",
            "00",
            "00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7",
            "ff-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01",
            "00-4BF92F3577B34DA6A3CE929D0E0E4736-00f067aa0ba902b7-01",
            "00-00000000000000000000000000000000-00f067aa0ba902b7-01",
            "00-4bf92f3577b34da6a3ce929d0e0e4736-0000000000000000-01",
            "00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01-more",
        ] {
            let context = of(&[wrong]);
            assert!(context.parent.is_none() && context.trace != TRACE && context.trace.len() == 32, "{wrong}");
        }
        let right = format!("00-{TRACE}-00f067aa0ba902b7-01");
        assert!(of(&[&right, &right]).parent.is_none(), "sent twice");
    }
}
