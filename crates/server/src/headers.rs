//! What every answer says about what a page may do.

use axum::http::{HeaderMap, HeaderName, HeaderValue, header};

/// Nothing but what comes from this server, and no script or style in a page itself. WebAssembly counts as evaluating.
/// Also in the page, for hosts that send no headers; there it cannot say who may frame it.
macro_rules! policy {
    () => {
        "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' data: blob:; \
         font-src 'self'; connect-src 'self'; worker-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'"
    };
}

const ALWAYS: [(HeaderName, &str); 5] = [
    (header::CONTENT_SECURITY_POLICY, concat!(policy!(), "; frame-ancestors 'none'")),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::REFERRER_POLICY, "no-referrer"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    // The screen is kept awake while somebody scores; nothing else of the device is used.
    (
        HeaderName::from_static("permissions-policy"),
        "camera=(), geolocation=(), microphone=(), payment=(), usb=(), screen-wake-lock=(self)",
    ),
];

/// Adds them.
pub(crate) fn protect(headers: &mut HeaderMap) {
    for (name, value) in ALWAYS {
        headers.insert(name, HeaderValue::from_static(value));
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_page_carries_the_same_policy() {
        let page = include_str!("../../app/static/index.html");
        assert!(page.contains(&format!("content=\"{}\"", policy!())), "{page}");
    }
}
