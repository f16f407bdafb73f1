//! Names for what can be worked out again, and sums that tell damaged text.

use std::fmt::{self, Write};
use std::hash::Hasher;

use siphasher::sip128::{Hasher128, SipHasher24};

/// 32 hexadecimal digits that stand for a text: SipHash-2-4 with 128 bits (Aumasson & Bernstein 2012), without a secret key.
/// The text is hashed as it is written.
///
/// ```
/// use longrail_stroke::digest;
/// assert_eq!(digest::of(format_args!("rung {}", 1)), digest::of(format_args!("rung 1")));
/// assert_ne!(digest::of(format_args!("rung 1")), digest::of(format_args!("rung 2")));
/// ```
pub fn of(text: fmt::Arguments<'_>) -> String {
    let mut hashed = Hashed(SipHasher24::new());
    // A hasher takes all that is written.
    let _ = hashed.write_fmt(text);
    format!("{:032x}", hashed.0.finish128().as_u128())
}

/// Text that is hashed as it is written.
struct Hashed(SipHasher24);

impl Write for Hashed {
    fn write_str(&mut self, text: &str) -> fmt::Result {
        self.0.write(text.as_bytes());
        Ok(())
    }
}
