//! What is not here yet.

use leptos::prelude::*;

use crate::words;

/// What is asked for is not here yet: said only where that takes longer than a blink.
#[component]
pub(crate) fn Waiting() -> impl IntoView {
    view! { <p class="page quiet waiting" role="status">{words::WAITING}</p> }
}
