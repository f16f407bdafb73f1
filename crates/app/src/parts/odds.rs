//! A modelled number: behind waves, with its range.

use leptos::prelude::*;

use crate::words;

/// The sign of everything modelled: two waves.
#[component]
pub(crate) fn Waves() -> impl IntoView {
    view! {
        <svg class="waves" viewBox="0 0 20 14" role="img" aria-label=words::MODELLED>
            <path d="M1 5c3-4 6-4 9 0s6 4 9 0M1 11c3-4 6-4 9 0s6 4 9 0"/>
        </svg>
    }
}

/// Odds with their 80 % range.
#[component]
pub(crate) fn Odds(
    /// The chance, and the ends of its range.
    odds: (f64, f64, f64),
) -> impl IntoView {
    let (mean, low, high) = odds;
    view! {
        <span class="odds"><Waves/>" "<b>{words::odds(mean)}</b></span>
        " "<span class="range">"("{words::range(low, high)}")"</span>
    }
}
