//! The rail with its sights: the navigation, the scale of minutes, the ladder.

use leptos::prelude::*;
use longrail_app_link::{Rung, RungState};

use crate::app::{App, Route};
use crate::words;

/// The screens, along a rail.
#[component]
pub(crate) fn Navigation() -> impl IntoView {
    let app = App::here();
    let links = Route::ALL.map(|route| {
        let here = move || app.route.get() == route;
        view! {
            <li>
                <a href=route.path() aria-current=move || here().then_some("page")>
                    <svg class="sight" viewBox="0 0 24 24" aria-hidden="true"><path d="M12 2l7 10-7 10-7-10z"/></svg>
                    <span>{words::screen(route)}</span>
                </a>
            </li>
        }
    });
    view! { <nav class="rail" aria-label=words::SCREENS><ul>{links}</ul></nav> }
}

/// Minutes that are offered.
const OFFERED: [u32; 7] = [15, 30, 45, 60, 75, 90, 120];

/// The longest of them that is not more than what is left; the shortest if nothing is.
pub(crate) fn offered(left: f64) -> u32 {
    let fits = OFFERED.into_iter().rev().find(|minutes| f64::from(*minutes) <= left);
    fits.unwrap_or(OFFERED[0])
}

/// The scale of minutes.
#[component]
pub(crate) fn Minutes(
    /// What is chosen.
    minutes: RwSignal<u32>,
) -> impl IntoView {
    let choices = OFFERED.map(|offered| {
        view! {
            <label>
                <input
                    type="radio"
                    name="minutes"
                    prop:checked=move || minutes.get() == offered
                    on:change=move |_| minutes.set(offered)
                />
                <svg class="sight" viewBox="0 0 24 24" aria-hidden="true"><path d="M12 2l7 10-7 10-7-10z"/></svg>
                <span>{offered}</span>
            </label>
        }
    });
    view! { <fieldset class="scale"><legend>{words::MINUTES}</legend><div class="steps">{choices}</div></fieldset> }
}

/// How what is drawn of a rung looks.
pub(crate) const fn class_of(state: RungState) -> &'static str {
    match state {
        RungState::Passed => "rung passed",
        RungState::Below => "rung below",
        RungState::Work => "rung work",
        RungState::Prove => "rung prove",
        RungState::Ahead => "rung ahead",
    }
}

/// The sight of a rung.
#[component]
pub(crate) fn RungSight(
    state: RungState,
    /// To prove, and to work at as well.
    #[prop(default = false)]
    both: bool,
) -> impl IntoView {
    let inner =
        (state == RungState::Work || both).then(|| view! { <path class="inner" d="M12 8l3 4-3 4-3-4z"/> });
    view! { <svg class="sight" viewBox="0 0 24 24" aria-hidden="true"><path d="M12 2l7 10-7 10-7-10z"/>{inner}</svg> }
}

/// Rungs that fit on the narrowest screen.
const SHORT: usize = 9;

/// The rungs of a ladder, along its rail.
#[component]
pub(crate) fn Rungs(
    /// The rungs, easiest first.
    rungs: Vec<Rung>,
) -> impl IntoView {
    // A rung that lies between two of the ladder's own is in the evidence, not on the rail.
    let rungs: Vec<Rung> = rungs.into_iter().filter(|rung| !rung.name.contains('.')).collect();
    let says: Vec<String> =
        rungs.iter().map(|rung| format!("rung {} {}", rung.name, words::rung_state(rung.state))).collect();
    let sights = rungs
        .into_iter()
        .map(|rung| {
            view! {
                <li class=class_of(rung.state) aria-hidden="true">
                    <RungSight state=rung.state both=rung.both/>
                    <span>{rung.name}</span>
                </li>
            }
        })
        .collect_view();
    // A long one is scrolled sideways, by keys as well.
    let tab = (says.len() > SHORT).then_some("0");
    view! { <ol class="rungs" role="img" tabindex=tab aria-label=says.join(", ")>{sights}</ol> }
}
