//! engine-wasm
