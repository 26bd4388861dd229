//! What may pass: host names, origins, what the browser says of where a request comes from; and the
//! headers that every answer carries.

use hyper::header::{HOST, HeaderMap, HeaderName, HeaderValue, ORIGIN};
use std::net::IpAddr;

/// Why something is not let through.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// The host name is not one of ours.
    StrangeHost,
    /// It comes from another site's page.
    OtherSite,
    /// The session is unknown: the page is older than this run of the program.
    NoSession,
    /// The token is missing or wrong.
    NoToken,
    /// No such address.
    NoSuchPage,
    /// Nothing of the kind is done there.
    NoSuchMethod,
    /// What was sent is larger than this many bytes.
    TooLarge(u64),
    /// What was sent took too long to come.
    TooSlow,
    /// What was sent cannot be read.
    Unreadable(String),
    /// Seconds to wait after too many wrong codes.
    Wait(u64),
    /// A defect of ours.
    Defect,
}

impl Refusal {
    /// Its status, as HTTP counts them.
    #[must_use]
    pub const fn status(&self) -> u16 {
        match self {
            Self::StrangeHost => 421,
            Self::OtherSite | Self::NoToken | Self::NoSession => 403,
            Self::NoSuchPage => 404,
            Self::NoSuchMethod => 405,
            Self::TooLarge(_) => 413,
            Self::TooSlow => 408,
            Self::Unreadable(_) => 400,
            Self::Wait(_) => 429,
            Self::Defect => 500,
        }
    }
}

/// What a browser is told it may do with our pages.
const HEADERS: [(&str, &str); 7] = [
    (
        "content-security-policy",
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; \
         manifest-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
    ),
    ("x-content-type-options", "nosniff"),
    ("x-frame-options", "DENY"),
    // Not `no-referrer`: with that, a browser sends `Origin: null` with our own forms (Fetch Standard, 3.1).
    ("referrer-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    ("permissions-policy", "geolocation=(), microphone=(), payment=(), usb=()"),
];

/// Puts them on an answer.
pub(crate) fn protect(headers: &mut HeaderMap) {
    for (name, value) in HEADERS {
        headers.insert(HeaderName::from_static(name), HeaderValue::from_static(value));
    }
}

/// The host name of a `Host` header, without its port, in lower case.
fn host_name(host: &str) -> String {
    let without_port = match host.strip_prefix('[') {
        Some(rest) => rest.split_once(']').map_or("", |(name, _)| name),
        None => host.rsplit_once(':').map_or(host, |(name, _)| name),
    };
    without_port.trim_end_matches('.').to_ascii_lowercase()
}

/// Whether the host named is this computer: by that a page of another name that leads here is kept
/// out (DNS rebinding). `ours` is the address in the local network, where there is one.
pub(crate) fn is_our_host(headers: &HeaderMap, ours: Option<IpAddr>) -> bool {
    let Some(host) = headers.get(HOST).and_then(|host| host.to_str().ok()) else { return false };
    let name = host_name(host);
    name == "localhost" || name == "127.0.0.1" || name == "::1" || ours.is_some_and(|ip| name == ip.to_string())
}

/// Whether a request comes from a page of another site, as far as its headers tell.
pub(crate) fn is_from_elsewhere(headers: &HeaderMap, changes: bool) -> bool {
    let text = |name: &str| headers.get(name).and_then(|value| value.to_str().ok());
    if let Some(origin) = headers.get(ORIGIN) {
        let own = text("host").map(|host| format!("http://{host}"));
        if origin.to_str().ok() != own.as_deref() {
            return true;
        }
    }
    match text("sec-fetch-site") {
        None | Some("same-origin" | "none") => false,
        // A link that leads here is fine; anything else another page fetches from us is not.
        Some(_) => changes || text("sec-fetch-mode") != Some("navigate"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers(pairs: &[(&'static str, &str)]) -> HeaderMap {
        pairs
            .iter()
            .map(|(name, value)| (HeaderName::from_static(name), HeaderValue::from_str(value).unwrap()))
            .collect()
    }

    #[test]
    fn only_our_own_names_are_ours() {
        let lan: Option<IpAddr> = Some("192.0.2.7".parse().unwrap());
        for host in ["localhost:7272", "LOCALHOST", "127.0.0.1:1", "[::1]:7272", "192.0.2.7:7272", "localhost.:80"] {
            assert!(is_our_host(&headers(&[("host", host)]), lan), "{host}");
        }
        for host in ["example.org", "127.0.0.1.example.org:7272", "", "[::2]", "192.0.2.8", "localhost.example"] {
            assert!(!is_our_host(&headers(&[("host", host)]), lan), "{host}");
        }
        assert!(!is_our_host(&headers(&[("host", "192.0.2.7:7272")]), None));
        assert!(!is_our_host(&headers(&[]), lan));
    }

    #[test]
    fn other_sites_are_told_by_origin_and_by_what_the_browser_says() {
        let ours = ("host", "localhost:7272");
        assert!(!is_from_elsewhere(&headers(&[ours]), true));
        assert!(!is_from_elsewhere(&headers(&[ours, ("origin", "http://localhost:7272")]), true));
        for origin in ["null", "http://localhost:7273", "https://localhost:7272", "http://example.org"] {
            assert!(is_from_elsewhere(&headers(&[ours, ("origin", origin)]), true), "{origin}");
        }
        let cross = ("sec-fetch-site", "cross-site");
        assert!(is_from_elsewhere(&headers(&[ours, cross, ("sec-fetch-mode", "navigate")]), true));
        assert!(!is_from_elsewhere(&headers(&[ours, cross, ("sec-fetch-mode", "navigate")]), false));
        assert!(is_from_elsewhere(&headers(&[ours, cross, ("sec-fetch-mode", "no-cors")]), false));
        assert!(is_from_elsewhere(&headers(&[ours, ("sec-fetch-site", "same-site")]), true));
    }
}
