//! Who may ask, and what every answer carries.
//!
//! The server is for the person at this machine. A page from elsewhere that the same browser
//! shows must not reach it, neither by asking across origins nor by a name of its own that
//! leads here:
//!
//! - `Host` has to be a name of this machine's loopback with our port, or the address that
//!   was asked for. A name from elsewhere is refused even where it resolves to us.
//! - `Origin`, where given, has to be that same host; and a browser that says the request
//!   comes from another site is believed.
//! - What changes or works anything out is sent as `application/json`, which no form can
//!   send. There are no answers to preflight requests.

use std::net::{IpAddr, SocketAddr};

use axum::extract::{Request, State};
use axum::http::header::{self, HeaderName, HeaderValue};
use axum::http::{HeaderMap, Method, StatusCode, Uri};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::answer::Refused;

/// The hosts that are ours.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hosts {
    port: u16,
    /// Where the server listens, when not only on loopback.
    beyond: Option<IpAddr>,
}

impl Hosts {
    /// The hosts of a server that listens at an address.
    pub fn at(address: SocketAddr) -> Self {
        Self {
            port: address.port(),
            beyond: Some(address.ip()).filter(|ip| !ip.is_loopback()),
        }
    }

    /// Whether the host, with its port, is ours.
    pub fn are(&self, host: &str) -> bool {
        let Ok(authority) = host.parse::<axum::http::uri::Authority>() else {
            return false;
        };
        // Nobody logs in here, and a name before an @ only deceives.
        if host.contains('@') || authority.port_u16().unwrap_or(80) != self.port {
            return false;
        }
        let name = authority.host();
        if name.eq_ignore_ascii_case("localhost") {
            return true;
        }
        let Ok(ip) = name.trim_matches(['[', ']']).parse::<IpAddr>() else {
            return false;
        };
        // An address in figures cannot be a foreign name that leads here.
        ip.is_loopback()
            || self
                .beyond
                .is_some_and(|beyond| beyond == ip || beyond.is_unspecified())
    }
}

/// Lets a request on, or refuses it; and gives every answer its headers.
pub async fn guard(State(hosts): State<Hosts>, request: Request, next: Next) -> Response {
    let refused = refusal(&hosts, request.method(), request.uri(), request.headers());
    let mut response = match refused {
        Some(refused) => refused.into_response(),
        None => next.run(request).await,
    };
    let headers = response.headers_mut();
    for (name, value) in ALWAYS {
        headers.insert(name, HeaderValue::from_static(value));
    }
    for (name, value) in USUALLY {
        headers
            .entry(name)
            .or_insert(HeaderValue::from_static(value));
    }
    response
}

/// What every answer carries.
const ALWAYS: [(HeaderName, &str); 4] = [
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::REFERRER_POLICY, "no-referrer"),
    (
        HeaderName::from_static("cross-origin-resource-policy"),
        "same-origin",
    ),
    (
        HeaderName::from_static("cross-origin-opener-policy"),
        "same-origin",
    ),
];

/// What an answer carries that does not say otherwise.
const USUALLY: [(HeaderName, &str); 2] = [
    (header::CACHE_CONTROL, "no-store"),
    // An answer that is opened by itself, such as a drawing, runs nothing and loads nothing.
    (
        header::CONTENT_SECURITY_POLICY,
        "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'self'",
    ),
];

fn refusal(hosts: &Hosts, method: &Method, uri: &Uri, headers: &HeaderMap) -> Option<Refused> {
    let text = |name: HeaderName| headers.get(name).map(|value| value.to_str().unwrap_or(""));
    let forbidden = |says: &str| Some(Refused::Says(StatusCode::FORBIDDEN, says.to_owned()));
    let host = text(header::HOST).or_else(|| uri.authority().map(|authority| authority.as_str()));
    let Some(host) = host.filter(|host| hosts.are(host)) else {
        return forbidden(
            "This server answers only to its own address, as it was printed when it started, such as http://127.0.0.1 with its port.",
        );
    };
    if let Some(origin) = text(header::ORIGIN)
        && origin
            .strip_prefix("http://")
            .is_none_or(|origin| !origin.eq_ignore_ascii_case(host))
    {
        return forbidden("This server answers only to its own page, not to pages from elsewhere.");
    }
    let site = text(HeaderName::from_static("sec-fetch-site"));
    let visit = matches!(
        text(HeaderName::from_static("sec-fetch-mode")),
        Some("navigate")
    ) && !uri.path().starts_with("/api/");
    if matches!(site, Some("cross-site" | "same-site")) && !visit {
        return forbidden("This server answers only to its own page, not to pages from elsewhere.");
    }
    let sends = matches!(*method, Method::POST | Method::PUT | Method::PATCH);
    let json = text(header::CONTENT_TYPE).is_some_and(|kind| {
        let kind = kind.split(';').next().unwrap_or_default().trim();
        kind.eq_ignore_ascii_case("application/json")
    });
    if sends && !json {
        return Some(Refused::Says(
            StatusCode::UNSUPPORTED_MEDIA_TYPE,
            "What is sent here has to be JSON, with the content type application/json.".to_owned(),
        ));
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_names_of_this_machine_are_ours() {
        let hosts = Hosts::at("127.0.0.1:8360".parse().unwrap());
        for ours in [
            "127.0.0.1:8360",
            "localhost:8360",
            "LOCALHOST:8360",
            "[::1]:8360",
            "127.0.0.2:8360",
        ] {
            assert!(hosts.are(ours), "{ours}");
        }
        for not in [
            "",
            "127.0.0.1",
            "127.0.0.1:80",
            "example.org:8360",
            "localhost.example.org:8360",
            "127.0.0.1.example.org:8360",
            "192.168.1.2:8360",
            "me@127.0.0.1:8360",
            "[::1]",
            "a b:8360",
        ] {
            assert!(!hosts.are(not), "{not}");
        }
        let open = Hosts::at("0.0.0.0:80".parse().unwrap());
        assert!(open.are("192.168.1.2") && open.are("[fe80::1]:80") && open.are("localhost"));
        assert!(!open.are("example.org"));
        let one = Hosts::at("192.168.1.2:8360".parse().unwrap());
        assert!(one.are("192.168.1.2:8360") && !one.are("192.168.1.3:8360"));
    }
}
