//! What a browser takes, and what it has (RFC 9110, sections 12.5.3 and 13.1.2).

/// How a file is compressed, the shortest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Coding {
    Brotli,
    Gzip,
    /// Not at all.
    Identity,
}

impl Coding {
    /// In the order in which they are offered.
    pub(crate) const ALL: [Self; 3] = [Self::Brotli, Self::Gzip, Self::Identity];

    /// Its name in headers.
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Brotli => "br",
            Self::Gzip => "gzip",
            Self::Identity => "identity",
        }
    }

    /// What it adds to a file's name.
    pub(crate) const fn ending(self) -> &'static str {
        match self {
            Self::Brotli => ".br",
            Self::Gzip => ".gz",
            Self::Identity => "",
        }
    }

    /// The name of a file without such an ending, and which one it had.
    pub(crate) fn of_name(name: &str) -> (&str, Self) {
        let found =
            Self::ALL.into_iter().find_map(|coding| Some((name.strip_suffix(coding.ending())?, coding)));
        found.unwrap_or((name, Self::Identity))
    }
}

/// The coding that a browser with this `Accept-Encoding` likes best among those there are; of equals the shortest.
pub(crate) fn coding(accepts: &str, there: impl Fn(Coding) -> bool) -> Coding {
    let mut best = (Coding::Identity, 0.0);
    for coding in Coding::ALL.into_iter().filter(|coding| there(*coding)) {
        let weight = weight(accepts, coding);
        if weight > best.1 {
            best = (coding, weight);
        }
    }
    // Nothing that it takes is there: the file as it is can be understood all the same.
    best.0
}

/// How much a browser likes a coding, from 0 (not at all) to 1.
fn weight(accepts: &str, coding: Coding) -> f64 {
    let mut any = None;
    for item in accepts.split(',') {
        let mut parts = item.split(';').map(str::trim);
        let name = parts.next().unwrap_or_default();
        let weight = parts
            .find_map(|part| part.strip_prefix("q=").or_else(|| part.strip_prefix("Q=")))
            .map_or(1.0, |text| text.parse::<f64>().ok().filter(|weight| *weight >= 0.0).unwrap_or(0.0));
        if name.eq_ignore_ascii_case(coding.name()) {
            return weight;
        }
        if name == "*" {
            any = Some(weight);
        }
    }
    match coding {
        // Taken by all that do not refuse it, but liked less than what is named.
        Coding::Identity => any.unwrap_or(0.001),
        _ => any.unwrap_or(0.0),
    }
}

/// Does `If-None-Match` name what the browser would be sent?
pub(crate) fn has(none_match: &str, etag: &str) -> bool {
    none_match.trim() == "*"
        || none_match.split(',').map(str::trim).any(|known| known.strip_prefix("W/").unwrap_or(known) == etag)
}

#[cfg(test)]
mod tests {
    use super::{Coding, coding, has};

    #[test]
    fn the_coding_liked_best_wins_and_of_equals_the_shortest() {
        for (accepts, expected) in [
            ("gzip, deflate, br, zstd", Coding::Brotli),
            ("gzip", Coding::Gzip),
            ("br;q=0.5, gzip;q=0.8", Coding::Gzip),
            ("br;q=0, gzip", Coding::Gzip),
            ("BR", Coding::Brotli),
            ("*", Coding::Brotli),
            ("*;q=0.5, br;q=0", Coding::Gzip),
            ("identity, br;q=0.2", Coding::Identity),
            ("", Coding::Identity),
            ("deflate", Coding::Identity),
            ("br;q=nonsense", Coding::Identity),
            ("identity;q=0", Coding::Identity),
        ] {
            assert_eq!(coding(accepts, |_| true), expected, "{accepts:?}");
        }
    }

    #[test]
    fn what_is_not_there_is_not_chosen() {
        assert_eq!(coding("br, gzip", |coding| coding != Coding::Brotli), Coding::Gzip);
        assert_eq!(coding("br, gzip", |coding| coding == Coding::Identity), Coding::Identity);
    }

    #[test]
    fn a_list_of_marks_is_looked_through() {
        assert!(has("\"a\", W/\"b\"", "\"b\""));
        assert!(has("*", "\"b\""));
        assert!(!has("\"a\"", "\"b\""));
        assert!(!has("", "\"b\""));
    }
}
