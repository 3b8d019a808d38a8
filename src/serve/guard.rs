//! Who is answered, and what a browser may do with the answers.
//!
//! A page of another site that is open in the same browser can send requests to this machine. The
//! `Host` says under which name it reached us (a foreign name that points here is refused), the
//! `Origin` says which page asks.

use axum::extract::Request;
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, HOST, HeaderMap, HeaderName, HeaderValue, ORIGIN,
    REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS, X_FRAME_OPTIONS,
};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::trouble::Trouble;

/// Everything comes from this server, nothing from a line of the page itself, and no other page
/// may hold this one.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' \
                      data:; connect-src 'self'; base-uri 'none'; form-action 'none'; \
                      frame-ancestors 'none'";

const CROSS_ORIGIN_RESOURCE_POLICY: HeaderName =
    HeaderName::from_static("cross-origin-resource-policy");

/// Refuses foreign requests and gives every answer its protective headers.
pub(super) async fn guard(port: u16, request: Request, next: Next) -> Response {
    let mut response = match foreign(port, request.headers()) {
        Some(why) => Trouble::Foreign(why).into_response(),
        None => next.run(request).await,
    };
    let protection = [
        (CONTENT_SECURITY_POLICY, POLICY),
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (X_FRAME_OPTIONS, "DENY"),
        (REFERRER_POLICY, "no-referrer"),
        (CROSS_ORIGIN_RESOURCE_POLICY, "same-origin"),
        (CACHE_CONTROL, "no-store"),
    ];
    for (name, value) in protection {
        response.headers_mut().insert(name, HeaderValue::from_static(value));
    }
    response
}

/// Why a request is foreign, if it is.
fn foreign(port: u16, headers: &HeaderMap) -> Option<&'static str> {
    let own = ["127.0.0.1", "localhost"].map(|host| format!("{host}:{port}"));
    let is_own = |value: &HeaderValue| own.iter().any(|own| own.as_bytes() == value.as_bytes());
    let mut hosts = headers.get_all(HOST).iter();
    if !hosts.next().is_some_and(is_own) || hosts.next().is_some() {
        return Some("this server answers only under its own address");
    }
    let own_page = |value: &HeaderValue| {
        value
            .as_bytes()
            .strip_prefix(b"http://")
            .is_some_and(|host| own.iter().any(|own| own.as_bytes() == host))
    };
    if !headers.get_all(ORIGIN).iter().all(own_page) {
        return Some("this server answers only its own page");
    }
    // A link on another site may lead here: such a request is a navigation and has no origin.
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn verdict(pairs: &[(HeaderName, &'static str)]) -> Option<&'static str> {
        let mut headers = HeaderMap::new();
        for (name, value) in pairs {
            headers.append(name.clone(), HeaderValue::from_static(value));
        }
        foreign(4000, &headers)
    }

    #[test]
    fn only_its_own_page_under_its_own_name_is_answered() {
        assert_eq!(verdict(&[(HOST, "127.0.0.1:4000")]), None);
        assert_eq!(verdict(&[(HOST, "localhost:4000"), (ORIGIN, "http://localhost:4000")]), None);
        for pairs in [
            vec![],
            vec![(HOST, "127.0.0.1")],
            vec![(HOST, "127.0.0.1:4001")],
            vec![(HOST, "rebound.example:4000")],
            vec![(HOST, "127.0.0.1:4000"), (HOST, "127.0.0.1:4000")],
            vec![(HOST, "127.0.0.1:4000"), (ORIGIN, "http://elsewhere.example")],
            vec![(HOST, "127.0.0.1:4000"), (ORIGIN, "https://127.0.0.1:4000")],
            vec![(HOST, "127.0.0.1:4000"), (ORIGIN, "null")],
        ] {
            assert!(verdict(&pairs).is_some(), "{pairs:?}");
        }
    }
}
