//! Who is asked for.
//!
//! A page from anywhere can make its own name lead to this machine, and then read what is served here as if it were its
//! own. The browser still says which name it asked for, and no such page can make that one of ours.

use std::net::{IpAddr, Ipv6Addr};

use axum::http::uri::Authority;

/// Does this `Host` mean the machine itself: `localhost` or a loopback address, with any port or none?
pub fn is_local(host: &str) -> bool {
    let Ok(authority) = host.parse::<Authority>() else { return false };
    // Only a name and a port belong there.
    if host.contains('@') {
        return false;
    }
    let name = authority.host();
    if let Some(inside) = name.strip_prefix('[').and_then(|rest| rest.strip_suffix(']')) {
        return inside.parse::<Ipv6Addr>().is_ok_and(|address| address.is_loopback());
    }
    name.eq_ignore_ascii_case("localhost")
        || name.parse::<IpAddr>().is_ok_and(|address| address.is_ipv4() && address.is_loopback())
}

#[cfg(test)]
mod tests {
    use super::is_local;

    #[test]
    fn this_machine_under_its_own_names() {
        for host in ["localhost", "LOCALHOST:80", "127.0.0.1", "127.0.0.1:7117", "[::1]", "[::1]:7117"] {
            assert!(is_local(host), "{host}");
        }
    }

    #[test]
    fn no_other_name_is_this_machine() {
        for host in [
            "",
            "example.org",
            "localhost.example.org",
            "127.0.0.1.example.org",
            "example.org:7117",
            "localhost@example.org",
            "example.org@localhost",
            "192.168.1.20",
            "[2001:db8::1]:7117",
            "::1",
            "local host",
        ] {
            assert!(!is_local(host), "{host}");
        }
    }
}
