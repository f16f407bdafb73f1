//! The app's workers: the record in the browser's database, how it becomes views, and the computing.
//!
//! **Knows** the browser's database, and what a screen is told.
//! **Does not know** how a view is drawn, nor any method: what is asked goes to `longrail_practice`.
//!
//! [`start`] is called once in each worker. The *record's* worker (`record/`) answers questions one after the other, and writes;
//! the *ladders'* worker (`ladders.rs`) computes what takes long, so that no question waits for it. Both are one module.

mod drills;
mod ladders;
mod record;
mod views;

use wasm_bindgen::prelude::wasm_bindgen;

/// Starts the worker of this name: `record` or `ladders`.
#[wasm_bindgen]
pub fn start(name: &str) {
    match name {
        "ladders" => ladders::start(),
        _ => record::start(),
    }
}
