//! Numbers in words.

use longrail_stats::{Count, Interval};
use serde_json::{Value, json};

/// "34 of 50".
pub(super) fn of(count: Count) -> String {
    format!("{} of {}", count.made(), count.tried())
}

/// "68.0 %"; the last tenth of a percent at either end is said in words.
pub(super) fn percent(share: f64) -> String {
    if share < 0.001 {
        "under 0.1 %".to_owned()
    } else if share > 0.999 {
        "over 99.9 %".to_owned()
    } else {
        format!("{:.1} %", share * 100.0)
    }
}

/// A share that was chosen, not found: "50 %", "37.5 %".
pub(super) fn chosen(share: f64) -> String {
    // Six decimals of a percent are more than anybody types; the rounding hides the last bit of 0.55 * 100.
    format!("{} %", (share * 1e8).round() / 1e6)
}

/// A bar: "97.5 %", "99.167 %".
pub(super) fn bar(share: f64) -> String {
    format!("{} %", (share * 1e5).round() / 1e3)
}

/// "58.9 to 76.0 %".
pub(super) fn range(interval: Interval) -> String {
    format!("{:.1} to {:.1} %", interval.low * 100.0, interval.high * 100.0)
}

/// A difference of rates in hundredths, with its sign: "+12.0".
pub(super) fn points(difference: f64) -> String {
    format!("{:+.1}", difference * 100.0)
}

/// "1 make", "2 makes".
pub(super) fn number(count: u32, one: &str) -> String {
    format!("{count} {one}{}", if count == 1 { "" } else { "s" })
}

/// "1 more make", "4 makes in a row".
pub(super) fn run(count: u32, one: &str, many: &str) -> String {
    if count == 1 { format!("1 more {one}") } else { format!("{count} {many} in a row") }
}

/// An interval as JSON.
pub(super) fn ends(interval: Interval) -> Value {
    json!({"low": interval.low, "high": interval.high})
}
