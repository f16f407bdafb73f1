//! Something that is being typed: a count, or the length of a warm-up.

use super::view::Press;
use crate::evidence::typed;
use crate::exit::Failure;

/// The most attempts that a batch event holds.
const LARGEST_BATCH: u32 = 10_000;

/// The most attempts that can be declared a warm-up.
const LONGEST_WARM_UP: u32 = 10;

/// Longer than any count.
const LONGEST: usize = 16;

/// What is asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Kind {
    Batch,
    WarmUp,
}

/// What is asked for, and what is typed of it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Entry {
    kind: Kind,
    typed: String,
}

impl Entry {
    /// A count of made and tried.
    pub(super) fn batch() -> Self {
        Self { kind: Kind::Batch, typed: String::new() }
    }

    /// The number of attempts of a warm-up.
    pub(super) fn warm_up() -> Self {
        Self { kind: Kind::WarmUp, typed: String::new() }
    }

    /// Takes a character more; those that belong in no answer do nothing.
    pub(super) fn add(&mut self, sign: char) {
        let sign = sign.to_ascii_lowercase();
        let known = sign.is_ascii_digit() || (self.kind == Kind::Batch && "/ of".contains(sign));
        if known && self.typed.len() < LONGEST {
            self.typed.push(sign);
        }
    }

    /// Takes the last character away.
    pub(super) fn erase(&mut self) {
        self.typed.pop();
    }

    /// The question with the answer so far.
    pub(super) fn line(&self) -> String {
        let question = match self.kind {
            Kind::Batch => "Made of tried, as 36/50:",
            Kind::WarmUp => "Attempts of warm-up, 1 to 10:",
        };
        format!("{question} {}_", self.typed)
    }

    /// What was typed, or what is wrong with it.
    pub(super) fn read(&self) -> Result<Press, Failure> {
        match self.kind {
            Kind::Batch => batch(&self.typed),
            Kind::WarmUp => warm_up(&self.typed),
        }
    }
}

fn batch(typed: &str) -> Result<Press, Failure> {
    if typed.is_empty() {
        return Err(Failure::Input("nothing is typed yet: made and tried, such as 36/50".to_owned()));
    }
    let count = typed::count(&typed.replace("of", "/").replace(' ', ""))?;
    if count.tried() > LARGEST_BATCH {
        let tried = count.tried();
        let problem = format!("{tried} attempts are too many at once: at most {LARGEST_BATCH}");
        return Err(Failure::Input(problem));
    }
    Ok(Press::Batch { made: count.made(), tried: count.tried() })
}

fn warm_up(typed: &str) -> Result<Press, Failure> {
    match typed.parse() {
        Ok(attempts) if (1..=LONGEST_WARM_UP).contains(&attempts) => Ok(Press::WarmUp(attempts)),
        _ => {
            let problem = format!("\"{typed}\" is no warm-up: 1 to {LONGEST_WARM_UP} attempts");
            Err(Failure::Input(problem))
        }
    }
}
