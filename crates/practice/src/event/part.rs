//! The set that a body begins with, taken off and put on again.
//!
//! All but a few events of a record say in which set something was shot, as their body's first field. A store writes the
//! identifiers of sets once, and numbers in their place.

use crate::id::EventId;
use std::borrow::Cow;

const FIELD: &str = "{\"set\":\"";
/// Characters of an identifier.
const ID: usize = 36;

/// Takes the set off a body of this program's own writing.
pub(super) fn off(body: String) -> (Option<EventId>, String) {
    let found = body.strip_prefix(FIELD).and_then(|rest| {
        let (id, rest) = rest.split_at_checked(ID)?;
        let rest = rest.strip_prefix('"')?;
        Some((id.parse().ok()?, format!("{{{}", rest.strip_prefix(',').unwrap_or(rest))))
    });
    found.map_or((None, body), |(set, rest)| (Some(set), rest))
}

/// Puts it on again.
pub(super) fn on(set: Option<EventId>, body: &str) -> Cow<'_, str> {
    let Some(set) = set else { return Cow::Borrowed(body) };
    let rest = body.strip_prefix('{').unwrap_or(body);
    let comma = if rest.starts_with('}') { "" } else { "," };
    Cow::Owned(format!("{FIELD}{set}\"{comma}{rest}"))
}

#[cfg(test)]
mod tests {
    use super::{off, on};
    use crate::id::EventId;

    #[test]
    fn what_is_taken_off_comes_back_byte_for_byte() {
        let set = EventId::from_bits(3);
        for rest in [r#""outcome":"made"}"#, r#""made":3,"tried":5}"#] {
            let body = format!(r#"{{"set":"{set}",{rest}"#);
            assert_eq!(off(body.clone()), (Some(set), format!("{{{rest}")));
            assert_eq!(on(Some(set), &off(body.clone()).1), body);
        }
        let alone = format!(r#"{{"set":"{set}"}}"#);
        assert_eq!(off(alone.clone()), (Some(set), "{}".to_owned()));
        assert_eq!(on(Some(set), "{}"), alone);
        for other in [r#"{"minutes":5}"#, r#"{"set":"short"}"#, "{}", r#"{"set":"ä"#] {
            assert_eq!(off(other.to_owned()), (None, other.to_owned()));
        }
    }
}
