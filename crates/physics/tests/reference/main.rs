//! Every row of `tests/reference/physics_checks.csv` at the root of the repository, against the engine.
//!
//! A row gives a value from outside the program: from a standard, a publication, or a derivation done apart
//! from it. Each is compared with what the engine makes of a shot posed for it, within the row's own
//! tolerance; no number that the engine printed is ever an expectation. Rows whose source reads "derived,
//! computed" were derived by two routes (algebra and step-by-step integration, mostly). What in the rows
//! rests on memory alone is said at the head of each file here.

// A failing test may stop where it stands, and tells what it measured.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]

/// Names for the claims of a file: what it says of the world, the function that measures it, and the rows of
/// the file of checks that give the values, in the order in which the function returns them.
macro_rules! claims {
    ($($claim:ident: $measure:ident => $($id:ident)+;)+) => {
        /// Every row compared in this file.
        pub(crate) const ROWS: &[&str] = &[$($(stringify!($id)),+),+];
        $(
            #[test]
            fn $claim() {
                crate::rows::compare([$(stringify!($id)),+], $measure());
            }
        )+
    };
}

#[path = "../support/mod.rs"]
mod support;

mod aim;
mod ball_ball;
mod cue;
mod cushion;
mod equipment;
mod friction;
mod motion;
mod pocket;
mod rows;

/// Rows that no shot can show, and why. As short as can be.
const NOT_POSED: [(&str, &str); 3] = [
    ("K17", "a fit of Han 2005 known from memory only; the engine takes the restitution from the table card"),
    (
        "K19",
        "trade arithmetic for three rails: a rule of thumb, which the world follows to half a sight at best",
    ),
    ("K20", "the same rule of thumb in another numbering"),
];

#[test]
fn every_row_of_the_file_is_compared_once_or_set_aside_with_its_reason() {
    let groups = [
        equipment::ROWS,
        motion::ROWS,
        cue::ROWS,
        ball_ball::ROWS,
        friction::ROWS,
        cushion::ROWS,
        aim::ROWS,
        pocket::ROWS,
    ];
    let mut met: Vec<&str> = groups.concat();
    met.extend(NOT_POSED.map(|(id, _)| id));
    met.sort_unstable();
    let rows = rows::all();
    let mut given: Vec<&str> = rows.iter().map(|row| row.id.as_str()).collect();
    given.sort_unstable();
    assert_eq!(given.len(), 121, "rows in the file");
    assert_eq!(met, given);
}
