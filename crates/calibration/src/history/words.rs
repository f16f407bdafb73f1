//! What the simulated player writes down.

use longrail_math::random::Stream;

const WENT_ON: [&str; 5] = [
    "Six ladders again, an hour and a half, nobody else at the tables.",
    "Came late from work; the first set was stiff, then it went.",
    "Tried to stand still until the cue ball has stopped.",
    "The cloth is new since yesterday and everything runs long.",
    "Two sets of proof and the rest at the work rung.",
];
const WORKED: [&str; 5] = [
    "A longer pause before the last stroke.",
    "Looking at the object ball last.",
    "The bridge a hand's breadth nearer.",
    "Walking around the table before each set.",
    "Counting breaths; the misses came when I stopped doing it.",
];
const NEXT: [&str; 5] = [
    "Draw at the same speed, one rung nearer.",
    "Film ten shots from behind.",
    "More on the left side, where most of the misses go.",
    "Start with the cut, not with the straight ones.",
    "Leave the proof for a day when I am awake.",
];
const READ: [&str; 4] = [
    "How much a ball is thrown off line by side.",
    "The chapter on cushions, for the second time.",
    "Notes of the last month, and what was promoted.",
    "Where the cue ball goes after a half-ball hit.",
];

fn one_of(words: &[&str], stream: &mut Stream) -> String {
    let count = u32::try_from(words.len()).unwrap_or(1);
    words.get(stream.below(count) as usize).copied().unwrap_or_default().to_owned()
}

pub(super) fn went_on(stream: &mut Stream) -> String {
    one_of(&WENT_ON, stream)
}

pub(super) fn worked(stream: &mut Stream) -> String {
    one_of(&WORKED, stream)
}

pub(super) fn next(stream: &mut Stream) -> String {
    one_of(&NEXT, stream)
}

pub(super) fn read(stream: &mut Stream) -> String {
    one_of(&READ, stream)
}
