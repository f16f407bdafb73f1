//! The app's screens.
//!
//! **Knows** how views are drawn, what a tap asks for, and what the browser offers a page (a screen kept awake, a tick).
//! **Does not know** the record, nor any model: both are behind the workers (`link.rs`).
//!
//! `app.rs` has what all screens share; one screen, one file in `screens/`; what several of them show is in `parts/`; every
//! text of the screens' own is in `words.rs`.

// Leptos hands properties to components by value, and a component is named like a type.
#![allow(clippy::needless_pass_by_value, clippy::must_use_candidate, clippy::large_types_passed_by_value)]
// The macro makes a component public whatever it stands in.
#![allow(unreachable_pub)]

mod app;
mod device;
mod link;
mod parts;
mod screens;
mod words;

use leptos::prelude::*;
use wasm_bindgen::prelude::wasm_bindgen;

/// Shows the app.
#[wasm_bindgen(start)]
pub fn start() {
    mount_to_body(screens::Frame);
}
